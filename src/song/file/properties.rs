use super::tests::{FILE, parse};
use super::*;
use crate::song::{BassNote, Doubling, Figure, Idea, Pin, Step, Target, Wish};
use crate::theory::{QUARTER, Symbol, Ticks};
use proptest::prelude::*;

fn wish() -> impl Strategy<Value = Wish> {
    let maybe = |range: std::ops::RangeInclusive<u8>| proptest::option::of(range);
    prop_oneof![
        (any::<bool>(), maybe(1..=8), maybe(0..=36), maybe(1..=4)).prop_map(
            |(bass, string, fret, finger)| Wish::Place {
                target: if bass { Target::Bass } else { Target::Melody },
                string,
                fret,
                finger,
            }
        ),
        proptest::collection::vec(maybe(0..=24), 4..=8).prop_map(Wish::Grip),
        bass_note().prop_map(Wish::Bass),
        (0..=6u8).prop_map(Wish::Fill),
        Just(Wish::Nothing),
    ]
}

/// A place in the song's pickup of a quarter note, or anywhere in another bar.
fn within(bar: usize, at: Ticks) -> Ticks {
    if bar == 0 { at % QUARTER } else { at }
}

fn pins() -> impl Strategy<Value = Vec<Pin>> {
    let pin = (0..7usize, 0..60_000i64, wish()).prop_map(|(bar, at, wish)| Pin {
        bar,
        at: within(bar, at),
        wish,
        place: Place::default(),
    });
    proptest::collection::vec(pin, 0..6)
}

fn bass_note() -> impl Strategy<Value = BassNote> + Clone {
    ("[A-G][#b]?", proptest::option::of(1..4i8)).prop_map(|(name, octave)| BassNote {
        name: name.parse().unwrap(),
        octave,
    })
}

fn figure() -> impl Strategy<Value = Figure> {
    let note = bass_note();
    let step = prop_oneof![Just(Step::Beat), Just(Step::Chord)];
    let chords = ["Gsus4", "Am7b5/Eb", "F#dim7", "N.C."];
    prop_oneof![
        Just(Figure::Beats),
        Just(Figure::Between),
        Just(Figure::Fifths),
        Just(Figure::Breath),
        Just(Figure::Doubled(Doubling::Octave)),
        Just(Figure::Doubled(Doubling::Tenth)),
        Just(Figure::Hits),
        note.clone().prop_map(Figure::Bass),
        (step, proptest::collection::vec(note, 1..9))
            .prop_map(|(step, notes)| Figure::Walk { step, notes }),
        (2..=8u8).prop_map(Figure::Roll),
        (1..=8i64).prop_map(|n| Figure::Broken(n * QUARTER / 6)),
        (1..=8u8, 1..=24u8).prop_map(|(string, fret)| Figure::Harmonic { string, fret }),
        (1..=8u8, 0..=4u8, 0..=4u8).prop_map(|(string, from, to)| Figure::Slur {
            string,
            fingers: (from, to),
        }),
        prop::sample::select(vec![vec![3, 2], vec![1, 2, 1, 3], vec![4, 1, 8]])
            .prop_map(Figure::Campanella),
        prop::sample::select(chords.to_vec())
            .prop_map(|text| Figure::Chord(Symbol::parse(text).unwrap())),
    ]
}

fn ideas() -> impl Strategy<Value = Vec<Idea>> {
    let idea = (0..7usize, 0..3usize, 0..60_000i64, figure(), any::<bool>()).prop_map(
        |(bar, more, at, figure, left)| Idea {
            to: (bar + more).min(6),
            left,
            ..Idea::new(bar, within(bar, at), figure)
        },
    );
    proptest::collection::vec(idea, 0..6)
}

proptest! {
    #![proptest_config(crate::properties::cases(256))]

    #[test]
    fn every_idea_is_read_back(first in ideas(), second in ideas()) {
        let (mut file, mut song, _) = parse(FILE);
        for ideas in [first, second] {
            song.ideas = ideas;
            file.update(&song).unwrap();
            let text = file.to_string();
            prop_assert!(parse(&text).1.same_as(&song), "{}", text);
            prop_assert!(text.contains("[[idea]]\nbar = 3\ntaken = true"), "{}", text);
        }
    }

    #[test]
    fn every_pin_is_read_back(first in pins(), second in pins()) {
        let (mut file, mut song, _) = parse(FILE);
        for pins in [first, second] {
            song.pins = pins;
            file.update(&song).unwrap();
            let text = file.to_string();
            prop_assert!(parse(&text).1.same_as(&song), "{}", text);
            prop_assert!(text.contains("[[idea]]\nbar = 3\ntaken = true"), "{}", text);
            prop_assert!(text.contains("# For the choir"), "{}", text);
        }
    }

    #[test]
    fn every_edit_of_the_tune_is_read_back(
        edits in proptest::collection::vec((0..7usize, -12..=12i32, any::<bool>()), 1..5),
        title in "\\PC{0,8}",
    ) {
        let (mut file, mut song, _) = parse(FILE);
        song.title = title;
        for (bar, up, cut) in edits {
            let bar = &mut song.bars[bar];
            if cut && bar.notes.len() > 1 {
                bar.notes.pop();
            } else if let Some(note) = bar.notes.first_mut() {
                note.pitch = bar.key.spell(note.pitch.midi() + up);
            }
            file.update(&song).unwrap();
            prop_assert!(parse(&file.to_string()).1.same_as(&song), "{}", file);
        }
    }

    #[test]
    fn no_text_is_too_strange(text in "\\PC{0,40}", cut in 0..FILE.len(), more in "[\"\\[\\]=|:a-z0-9\n\\\\]{0,6}") {
        let _ = SongFile::parse(&text);
        let _ = SongFile::parse(&format!("tune = '''{text}'''"));
        let spoilt = format!("{}{more}{}", &FILE[..cut], &FILE[cut..]);
        let _ = SongFile::parse(&spoilt);
    }
}
