//! Any song, any hand, any instrument: what the arranger answers passes the checker that shares no
//! code with it, and what it can't answer it refuses in words.

mod checker;

use checker::broken_rules;
use proptest::prelude::*;
use thumbline::arrange::{ArrangeError, Arrangement, Goal, Layer, Lean, Options, arrange};
use thumbline::exchange::json;
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::{
    BassNote, Doubling, Figure, Idea, Pin, Place, Song, Step, Target, Wish, abc,
};
use thumbline::theory::{QUARTER, Symbol};

/// A bar of 4/4 in eighths: notes, rests, ties and a chord here and there.
fn bar() -> impl Strategy<Value = String> {
    let pitch = prop::sample::select(vec![
        "C", "D", "E", "F", "G", "A", "B", "c", "d", "e", "^F", "_B", "z", "G,", "A,",
    ]);
    let chord = prop::sample::select(vec![
        "", "", "", "\"C\"", "\"Am7\"", "\"F\"", "\"G7\"", "\"Dm/F\"", "\"E7b9\"", "\"Bdim\"",
        "\"N.C.\"",
    ]);
    let tie = prop::sample::select(vec!["", "", "", "-"]);
    prop::collection::vec((chord, pitch, 1..=4u8, tie), 1..=8).prop_map(|notes| {
        let mut left = 8u8;
        let mut text = String::new();
        for (chord, pitch, length, tie) in notes {
            let length = length.min(left);
            if length == 0 {
                break;
            }
            left -= length;
            let tie = if pitch == "z" { "" } else { tie };
            text += &format!("{chord}{pitch}{length}{tie} ");
        }
        if left > 0 {
            text += &format!("z{left}");
        }
        text
    })
}

fn song() -> impl Strategy<Value = Song> {
    let line = prop::sample::select(vec!["|", "|", "|", ":|", "||"]);
    (prop::collection::vec((bar(), line), 1..=5), 40..=240u16).prop_filter_map(
        "needs a note",
        |(bars, tempo)| {
            let body: String = bars
                .iter()
                .map(|(bar, line)| format!("{bar}{line}"))
                .collect();
            let text = format!("X:1\nT:any\nM:4/4\nL:1/8\nQ:1/4={tempo}\nK:C\n{body}\n");
            let song = abc::read_book(&text).into_iter().next()?.ok()?.song;
            song.bars
                .iter()
                .any(|b| !b.notes.is_empty())
                .then_some(song)
        },
    )
}

fn instrument() -> impl Strategy<Value = Instrument> {
    let tuning = prop::sample::select(vec![
        "standard",
        "drop D",
        "DADGAD",
        "open G",
        "CGDGCD",
        "A2 D3 G3 C4 E4",
        "B1 E2 A2 D3 G3 B3 E4",
    ]);
    (tuning, 0..=5u8, 17..=22u8).prop_map(|(tuning, capo, frets)| {
        Instrument::new(tuning, capo, frets).expect("it is a tuning")
    })
}

fn options() -> impl Strategy<Value = Options> {
    let layer = prop::sample::select(vec![Layer::Melody, Layer::Bass, Layer::Fill]);
    let lean = prop::sample::select(vec![Lean::Easy, Lean::Even, Lean::Full]);
    let goal = prop::sample::select(vec![Goal::Total, Goal::Total, Goal::HardestStep]);
    (layer, lean, goal).prop_map(|(layer, lean, goal)| Options {
        layer,
        lean,
        goal,
        ..Options::default()
    })
}

/// Pins on the first notes of bars: a string, a finger, a bass, a fill size, or nothing but melody.
fn pins() -> impl Strategy<Value = Vec<Pin>> {
    let place =
        (1..=5u8, prop::option::of(1..=4u8), any::<bool>()).prop_map(|(s, finger, melody)| {
            Wish::Place {
                target: if melody { Target::Melody } else { Target::Bass },
                string: Some(s),
                fret: None,
                finger,
            }
        });
    let bass = prop::sample::select(vec!["C", "E", "G", "A"])
        .prop_map(|name| Wish::Bass(name.parse().expect("it is a note")));
    let wish = prop_oneof![
        place,
        bass,
        (0..=3u8).prop_map(Wish::Fill),
        Just(Wish::Nothing)
    ];
    prop::collection::vec(
        (0..5usize, wish).prop_map(|(bar, wish)| Pin {
            bar,
            at: 0,
            wish,
            place: Place::default(),
        }),
        0..=2,
    )
}

/// Ideas of every kind anywhere in the first bars, most of them good, some that can't be.
fn ideas() -> impl Strategy<Value = Vec<Idea>> {
    let note = (
        prop::sample::select(vec!["C", "D", "F#", "Bb", "G"]),
        prop::option::of(2..=3i8),
    )
        .prop_map(|(name, octave)| BassNote {
            name: name.parse().expect("it is a note"),
            octave,
        });
    let step = prop_oneof![Just(Step::Beat), Just(Step::Chord)];
    let figure = prop_oneof![
        Just(Figure::Beats),
        Just(Figure::Between),
        Just(Figure::Fifths),
        Just(Figure::Breath),
        Just(Figure::Doubled(Doubling::Octave)),
        Just(Figure::Doubled(Doubling::Tenth)),
        Just(Figure::Hits),
        note.clone().prop_map(Figure::Bass),
        (step, prop::collection::vec(note, 1..6))
            .prop_map(|(step, notes)| Figure::Walk { step, notes }),
        (4..=6u8).prop_map(Figure::Roll),
        (1..=2i64).prop_map(|n| Figure::Broken(n * QUARTER / 2)),
        (1..=6u8, prop::sample::select(vec![4u8, 5, 7, 12]))
            .prop_map(|(string, fret)| Figure::Harmonic { string, fret }),
        (1..=3u8, 0..=4u8, 0..=4u8).prop_map(|(string, from, to)| Figure::Slur {
            string,
            fingers: (from, to),
        }),
        prop::sample::select(vec![vec![3, 2], vec![1, 2, 1], vec![2, 3, 1, 2]])
            .prop_map(Figure::Campanella),
        prop::sample::select(vec!["Gsus4", "C6", "Fmaj7", "F#dim7"])
            .prop_map(|text| Figure::Chord(Symbol::parse(text).expect("it is a chord"))),
    ];
    let idea = (0..5usize, 0..2usize, 0..8i64, figure).prop_map(|(bar, more, eighth, figure)| {
        let whole = matches!(
            figure,
            Figure::Beats
                | Figure::Between
                | Figure::Fifths
                | Figure::Doubled(_)
                | Figure::Breath
                | Figure::Hits
                | Figure::Walk { .. }
        );
        let at = if whole { 0 } else { eighth * QUARTER / 2 };
        let mut idea = Idea::new(bar, at, figure);
        if whole {
            idea.to = bar + more;
        }
        idea
    });
    prop::collection::vec(idea, 0..=4)
}

fn faults(arrangement: &Arrangement) -> Vec<String> {
    let value = serde_json::from_str(&json::write(arrangement)).expect("it is JSON");
    broken_rules(&value)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn every_answer_keeps_every_hard_rule(
        song in song(),
        instrument in instrument(),
        hand in prop::sample::select(vec!["small", "medium", "large"]),
        options in options(),
    ) {
        let hand = Hand::named(hand).unwrap();
        match arrange(&song, &instrument, &hand, &options) {
            Ok(arrangement) => prop_assert_eq!(faults(&arrangement), Vec::<String>::new()),
            Err(ArrangeError::OutOfRange { .. }) => {}
            Err(other) => prop_assert!(false, "{other}"),
        }
    }

    #[test]
    fn pins_are_kept_or_named(song in song(), pins in pins(), options in options()) {
        let mut song = song;
        song.pins = pins.into_iter().filter(|p| p.bar < song.bars.len()).collect();
        let (instrument, hand) = (Instrument::standard(), Hand::named("medium").unwrap());
        match arrange(&song, &instrument, &hand, &options) {
            Ok(arrangement) => prop_assert_eq!(faults(&arrangement), Vec::<String>::new()),
            Err(ArrangeError::Clash { pins }) => {
                prop_assert!(!pins.is_empty());
                // Without any one of them the others fit.
                for leave in &pins {
                    let mut fewer = song.clone();
                    let keep = |i: usize| pins.contains(&i) && i != *leave;
                    fewer.pins = (0..song.pins.len()).filter(|&i| keep(i)).map(|i| song.pins[i].clone()).collect();
                    prop_assert!(arrange(&fewer, &instrument, &hand, &options).is_ok());
                }
            }
            Err(ArrangeError::OutOfRange { .. }) => {}
            Err(other) => prop_assert!(false, "{other}"),
        }
    }

    #[test]
    fn ideas_are_kept_or_named(
        song in song(),
        ideas in ideas(),
        instrument in instrument(),
        hand in prop::sample::select(vec!["small", "medium", "large"]),
    ) {
        let mut song = song;
        song.ideas = ideas.into_iter().filter(|i| i.to < song.bars.len()).collect();
        song.ideas.retain(|i| i.at < song.bars[i.bar].length);
        let options = Options { layer: Layer::Colour, ..Options::default() };
        let hand = Hand::named(hand).unwrap();
        match arrange(&song, &instrument, &hand, &options) {
            Ok(arrangement) => prop_assert_eq!(faults(&arrangement), Vec::<String>::new()),
            Err(ArrangeError::Ideas { ideas, pins }) => {
                prop_assert!(!ideas.is_empty() && pins.is_empty());
                // Without any one of them the others fit.
                for leave in &ideas {
                    let mut fewer = song.clone();
                    let keep = |i: usize| ideas.contains(&i) && i != *leave;
                    fewer.ideas = (0..song.ideas.len()).filter(|&i| keep(i)).map(|i| song.ideas[i].clone()).collect();
                    prop_assert!(arrange(&fewer, &instrument, &hand, &options).is_ok());
                }
            }
            Err(ArrangeError::OutOfRange { .. }) => {}
            Err(other) => prop_assert!(false, "{other}"),
        }
    }

    #[test]
    fn the_same_question_has_the_same_answer(song in song(), options in options()) {
        let (instrument, hand) = (Instrument::standard(), Hand::named("medium").unwrap());
        let once = arrange(&song, &instrument, &hand, &options);
        prop_assert_eq!(&once, &arrange(&song, &instrument, &hand, &options));
    }

    #[test]
    fn the_hardest_step_is_no_harder_when_it_is_made_least(song in song()) {
        let (instrument, hand) = (Instrument::standard(), Hand::named("medium").unwrap());
        let hardest = |goal| {
            let options = Options { goal, shift: Some(0), layer: Layer::Bass, ..Options::default() };
            let arrangement = arrange(&song, &instrument, &hand, &options).ok()?;
            let step = |s: &thumbline::arrange::Slice| s.price.total();
            Some((arrangement.slices.iter().map(step).max()?, arrangement.price.total()))
        };
        if let (Some(least), Some(total)) = (hardest(Goal::HardestStep), hardest(Goal::Total)) {
            prop_assert!(least.0 <= total.0 && least.1 >= total.1, "{least:?} {total:?}");
        }
    }
}
