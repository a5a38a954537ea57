use super::*;
use crate::song::{Target, Wish};
use crate::theory::QUARTER;

/// A file with what a person puts into one: comments, a field of their own, pins, an idea.
const FILE: &str = r##"# For the choir that lost its pianist.
format = 1
title = "Ice on the Rail"   # working title
tags = ["waltz", "slow"]
key = "G"
meter = "3/4"
unit = "1/8"
tempo = 96
mood = "plain"

tune = """
% first part
D2 | "G"B3 A G2 | "D7"F4 D2 |
% second part
"Em"E2 G2 B2 | "C"c4 e2 |
"D7"d3 c A2 | "G"G4 |]
"""

[guitar]
tuning = "drop D"
# for the high voices
capo = 2

# the low F sharp rings
[[pin]]
bar = 2
note = "bass"
string = 6
fret = 4
why = "it rings"

[[idea]]
bar = 3
taken = true

[[pin]]
bar = 4
beat = "2 1/3"
nothing = true
"##;

fn parse(text: &str) -> (SongFile, Song, Vec<Notice>) {
    SongFile::parse(text).unwrap_or_else(|e| panic!("{e}\n{text}"))
}

/// The error of a file that can't be read.
fn error(text: &str) -> String {
    SongFile::parse(text).unwrap_err().to_string()
}

#[test]
fn a_file_says_a_song() {
    let (file, song, notices) = parse(FILE);
    assert_eq!(file.to_string(), FILE);
    assert_eq!(song.title, "Ice on the Rail");
    assert_eq!(song.tags, ["waltz", "slow"]);
    assert_eq!(song.key.to_string(), "G major");
    assert_eq!((song.tempo.beat, song.tempo.per_minute), (QUARTER, 96));
    assert_eq!(song.bars.len(), 7);
    assert_eq!(song.bars[0].number, 0);
    assert_eq!(
        song.bars[3].place,
        Place {
            line: 15,
            column: 5
        }
    );
    assert_eq!(song.guitar.capo, Some(2));
    assert_eq!(song.guitar.tuning.as_deref(), Some("drop D"));
    assert_eq!((song.pins[0].bar, song.pins[0].at), (2, 0));
    let bass = Wish::Place {
        target: Target::Bass,
        string: Some(6),
        fret: Some(4),
        finger: None,
    };
    assert_eq!(song.pins[0].wish, bass);
    assert_eq!((song.pins[1].bar, song.pins[1].at), (4, QUARTER * 4 / 3));
    assert_eq!(song.pins[1].place.line, 36);
    let told: Vec<String> = notices.iter().map(ToString::to_string).collect();
    insta::assert_snapshot!(told.join("\n"), @"");
}

#[test]
fn an_unchanged_song_leaves_every_byte() {
    for text in [FILE, &FILE.replace('\n', "\r\n"), "", "tune = ''"] {
        let (mut file, song, _) = parse(text);
        file.update(&song).unwrap();
        assert_eq!(file.to_string(), text);
    }
}

#[test]
fn saving_rewrites_only_what_changed() {
    let (mut file, mut song, _) = parse(FILE);
    song.title = "Ice on the \"Rail\"".into();
    song.composer = Some("the harbour evening".into());
    song.tags.clear();
    song.guitar.capo = None;
    song.guitar.hand = Some("small".into());
    song.bars[4].notes[0].pitch = "B4".parse().unwrap();
    song.pins[0].wish = Wish::Place {
        target: Target::Bass,
        string: Some(6),
        fret: None,
        finger: Some(1),
    };
    song.pins[1].at = QUARTER;
    song.pins.push(crate::song::Pin {
        bar: 5,
        at: 0,
        wish: Wish::Grip(vec![Some(2), None, Some(10), Some(0), None, None]),
        place: Place::default(),
    });
    file.update(&song).unwrap();
    insta::assert_snapshot!(file.to_string(), @"");
    assert!(parse(&file.to_string()).1.same_as(&song));
}

#[test]
fn bars_come_and_go() {
    let (mut file, mut song, _) = parse(FILE);
    let bar = song.bars.remove(2);
    song.pins.remove(0);
    song.pins[0].bar -= 1;
    song.bars.iter_mut().skip(2).for_each(|b| b.number -= 1);
    file.update(&song).unwrap();
    assert!(parse(&file.to_string()).1.same_as(&song));
    assert!(file.to_string().contains("% second part"));
    song.bars.insert(2, bar);
    song.bars.iter_mut().skip(3).for_each(|b| b.number += 1);
    song.pins[0].bar += 1;
    file.update(&song).unwrap();
    assert!(parse(&file.to_string()).1.same_as(&song));
    assert!(file.to_string().contains("bar = 3\ntaken = true"));
}

#[test]
fn a_key_change_rewrites_the_tune() {
    let (mut file, song, _) = parse(FILE);
    let moved = song.transposed(3);
    file.update(&moved).unwrap();
    let text = file.to_string();
    assert!(text.contains("key = \"Bb\"") && text.contains("# working title"));
    assert!(parse(&text).1.same_as(&moved));
}

#[test]
fn a_song_without_a_file_gets_one() {
    let (_, song, _) = parse(FILE);
    let file = SongFile::new(&song).unwrap();
    insta::assert_snapshot!(file.to_string(), @"");
    assert!(parse(&file.to_string()).1.same_as(&song));
}

#[test]
fn what_a_file_cannot_say_is_refused_and_nothing_is_lost() {
    let (mut file, mut song, _) = parse(FILE);
    song.bars[3].number = 99;
    let error = file.update(&song).unwrap_err();
    insta::assert_snapshot!(error.text, @"");
    assert_eq!(file.to_string(), FILE);
}

#[test]
fn mistakes_are_told_with_place_and_remedy() {
    let errors = [
        "title = Ice",
        "title = 3",
        "\n  tags = [1]",
        "key = \"H\"",
        "meter = \"4/5\"",
        "unit = \"x\"",
        "tempo = \"fast\"",
        "tempo = 0",
        "format = \"one\"",
        "guitar = 3",
        "[guitar]\ncapo = 99",
        "pin = 1",
        "tune = \"\"\"\nc4 | \"Hm\"d4 |\n\"\"\"",
        "tune = \"c4 | \\\"Hm\\\"d4 |\"",
        "title = \"\u{7}a\\u0007\"\nkey = \"\\u0007\"",
    ];
    let told: Vec<String> = errors.iter().map(|text| error(text)).collect();
    insta::assert_snapshot!(told.join("\n"), @"");
}

#[test]
fn mistakes_in_pins() {
    let errors = [
        "note = \"melody\"",
        "bar = true\nfill = 1",
        "bar = 1",
        "bar = 1\nfill = 1\nbass = \"F\"",
        "bar = 1\nfill = 1\nstring = 2",
        "bar = 1\nbeat = 0\nfill = 1",
        "bar = 1\ngrip = \"x320\u{e9}0\"",
        "bar = 1\nbass = \"H\"",
        "bar = 1\nnote = \"alto\"",
        "bar = 1\nnote = \"melody\"\nfinger = 5",
        "bar = 1\nnothing = false",
    ];
    let told: Vec<String> = errors
        .iter()
        .map(|pin| error(&format!("tune = \"c8|\"\n[[pin]]\n{pin}\n")))
        .collect();
    insta::assert_snapshot!(told.join("\n"), @"");
}

#[test]
fn newer_files_and_lost_pins_are_kept_with_a_notice() {
    let text = "format = 7\ntune = \"c8|\"\n[[pin]] # keep\nbar = \"9b\"\nfill = 1\nsway = 2\n";
    let (mut file, mut song, notices) = parse(text);
    let told: Vec<String> = notices.iter().map(ToString::to_string).collect();
    insta::assert_snapshot!(told.join("\n"), @"");
    song.pins.push(crate::song::Pin {
        bar: 0,
        at: 0,
        wish: Wish::Fill(3),
        place: Place::default(),
    });
    file.update(&song).unwrap();
    assert!(file.to_string().contains("[[pin]] # keep\nbar = \"9b\""));
    assert!(parse(&file.to_string()).1.same_as(&song));
}

#[test]
fn halves_of_a_bar_have_names_of_their_own() {
    let tune = "tune = \"|: G2 | c8 | c6 :| G2 | c8 | c6 |]\"";
    let text = format!("{tune}\n[[pin]]\nbar = \"2b\"\nfill = 1\n");
    let (_, song, notices) = parse(&text);
    assert_eq!(notices, []);
    assert_eq!((song.pins[0].bar, song.bars[3].number), (3, 2));
    let written = SongFile::new(&song).unwrap().to_string();
    assert!(written.contains("bar = \"2b\""), "{written}");
}

mod properties {
    use super::*;
    use crate::song::Pin;
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
            ("[A-G][#b]?", proptest::option::of(1..4i8)).prop_map(|(name, octave)| Wish::Bass {
                name: name.parse().unwrap(),
                octave,
            }),
            (0..=6u8).prop_map(Wish::Fill),
            Just(Wish::Nothing),
        ]
    }

    fn pins() -> impl Strategy<Value = Vec<Pin>> {
        let pin = (0..7usize, 0..60_000i64, wish()).prop_map(|(bar, at, wish)| Pin {
            bar,
            at,
            wish,
            place: Place::default(),
        });
        proptest::collection::vec(pin, 0..6)
    }

    proptest! {
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
}
