use super::*;
use crate::song::{Target, Wish};
use crate::theory::QUARTER;

/// A file with what a person puts into one: comments, a field of their own, pins, an idea.
pub(super) const FILE: &str = r##"# For the choir that lost its pianist.
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

pub(super) fn parse(text: &str) -> (SongFile, Song, Vec<Notice>) {
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
    insta::assert_snapshot!(told.join("\n"), @r##"
        9:1: “mood” is not a field of a song file; it is kept and passed over (known here: format, title, composer, tags, key, meter, unit, tempo, tune, guitar, pin, idea, done)
        30:1: “why” is not a field of a pin; it is kept and passed over (known here: bar, beat, note, string, fret, finger, grip, bass, fill, nothing)
        "##);
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
    insta::assert_snapshot!(file.to_string(), @r##"
        # For the choir that lost its pianist.
        format = 1
        title = 'Ice on the "Rail"'   # working title
        key = "G"
        meter = "3/4"
        unit = "1/8"
        tempo = 96
        mood = "plain"

        tune = """
        % first part
        D2 | "G"B3 A G2 | "D7"F4 D2 |
        % second part
        "Em"E2 G2 B2 | "C"B4 e2 |
        "D7"d3 c A2 | "G"G4 |]
        """
        composer = "the harbour evening"

        [guitar]
        tuning = "drop D"
        # for the high voices
        hand = "small"

        # the low F sharp rings
        [[pin]]
        bar = 2
        note = "bass"
        string = 6
        why = "it rings"
        finger = 1

        [[idea]]
        bar = 3
        taken = true

        [[pin]]
        bar = 4
        beat = 2
        nothing = true

        [[pin]]
        bar = 5
        beat = 1
        grip = "x x 0 10 x 2"
        "##);
    assert!(parse(&file.to_string()).1.same_as(&song));
}

#[test]
fn a_song_without_a_file_gets_one() {
    let (_, song, _) = parse(FILE);
    let file = SongFile::new(&song).unwrap();
    insta::assert_snapshot!(file.to_string(), @r##"
        format = 1
        title = "Ice on the Rail"
        tags = ["waltz", "slow"]
        key = "G"
        meter = "3/4"
        unit = "1/8"
        tempo = "1/4=96"
        tune = """
        D2 | "G"B3 A G2 | "D7"F4 D2 | "Em"E2 G2 B2 |
        "C"c4 e2 | "D7"d3 c A2 | "G"G4 |]
        """

        [guitar]
        tuning = "drop D"
        capo = 2

        [[pin]]
        bar = 2
        beat = 1
        note = "bass"
        string = 6
        fret = 4

        [[pin]]
        bar = 4
        beat = "2 1/3"
        nothing = true
        "##);
    assert!(parse(&file.to_string()).1.same_as(&song));
}

#[test]
fn what_a_file_cannot_say_is_refused_and_nothing_is_lost() {
    let (mut file, mut song, _) = parse(FILE);
    song.bars[3].notes[0].length += QUARTER;
    let error = file.update(&song).unwrap_err();
    insta::assert_snapshot!(error.text, @r##"this song can't be kept in a song file as it is: bar 3 would read differently"##);
    assert_eq!(file.to_string(), FILE);
}

#[test]
fn mistakes_are_told_with_place_and_remedy() {
    let errors = [
        "title = Ice",
        "title = \"\"\"a",
        "title = \"a",
        "title",
        "title = \"a\"\ntitle = \"b\"",
        "[guitar",
        "title = true false",
        "title = 3",
        "\n  tags = [1]",
        "key = \"H\"",
        "meter = \"4/5\"",
        "unit = \"x\"",
        "unit = \"2/1\"",
        "tempo = \"fast\"",
        "tempo = 0",
        "format = \"one\"",
        "guitar = 3",
        "[guitar]\ncapo = 99 # high",
        "pin = 1",
        "tune = \"\"\"\nc4 | \"Hm\"d4 |\n\"\"\"",
        "tune = \"c4 | \\\"Hm\\\"d4 |\"",
        "title = \"\u{7}a\\u0007\"\nkey = \"\\u0007\"",
    ];
    let told: Vec<String> = errors.iter().map(|text| error(text)).collect();
    insta::assert_snapshot!(told.join("\n"), @r##"
        1:9: a text needs quotes around it: title = "Evening Song"
        1:13: the file ends inside a text, whose closing quotes are missing; a tune stands between two """
        1:11: the file ends inside a text, whose closing quotes are missing; a tune stands between two """
        1:6: something is missing here; a field is written as name = "text" or name = number
        2:1: this field is written a second time; keep one of them
        1:8: a bracket is not closed; a table begins with its name in brackets: [guitar] or [[pin]]
        1:9: a text needs quotes around it: title = "Evening Song"
        1:9: title is “3” here; write a text in quotes: title = "Evening Song"
        2:10: tags is “[1]” here; write a list of texts: tags = ["waltz", "slow"]
        1:7: “H” is not a key; write a keynote and a mode: G, Em, D dorian, Bb mixolydian
        1:9: “4/5” is not a meter; write it as 4/4, 6/8 or 2+2+3/8
        1:8: “x” is not a note length up to a whole note; write it as unit = "1/8"
        1:8: “2/1” is not a note length up to a whole note; write it as unit = "1/8"
        1:9: tempo is “"fast"” here; write the note that is counted and how many a minute, 1 to 999: tempo = "1/4=96"
        1:9: tempo is “0” here; write a whole number from 1 to 999: tempo = 1
        1:10: format is “"one"” here; write a whole number from 1 to 999: format = 1
        1:10: guitar is a table; write [guitar] on a line of its own and its fields below it
        2:8: capo is “99” here; write a whole number from 0 to 24: capo = 0
        1:7: pins are tables; write [[pin]] on a line of its own and its fields below it
        2:7: chord “Hm”: H is written B here, and the German B is written Bb
        1:16: chord “Hm”: H is written B here, and the German B is written Bb
        1:10: this text is not closed, or holds what can't stand in quotes; a tune stands between two """
        "##);
}

#[test]
fn a_file_that_breaks_off_says_what_is_missing() {
    let whole = "# for the choir\ntitle = \"Ice\"\ntags = [\"waltz\", # slow\n  \"ice\"]\n\
                 key = 'G'\ntune = \"\"\"\nG4 |]\n\"\"\"\n[guitar]\ncapo = 2\n[[idea]]\n\
                 at = { bar = 1 } # the end\n";
    let mut told = Vec::new();
    for end in 0..whole.len() {
        if let Err(e) = SongFile::parse(&whole[..end]) {
            assert!(!e.text.contains("not TOML"), "{:?}: {e}", &whole[..end]);
            told.push(e.text);
        }
    }
    told.sort_unstable();
    told.dedup();
    insta::assert_snapshot!(told.join("\n"), @r##"
        a brace is not closed: write } after the last field
        a bracket is not closed; a table begins with its name in brackets: [guitar] or [[pin]]
        a list is not closed: write ] after its last text: tags = ["waltz", "slow"]
        something is missing here; a field is written as name = "text" or name = number
        the file ends inside a text, whose closing quotes are missing; a tune stands between two """
        "##);
    let inside_a_comment = "tags = [\"waltz\", # slo";
    assert_eq!(
        error(inside_a_comment),
        "1:17: a list is not closed: write ] after its last text: tags = [\"waltz\", \"slow\"]"
    );
    assert_eq!(
        error("# for the \u{1}choir\ntitle = \"Ice\"\n"),
        "1:11: a control character stands here; delete it, or save the file with plain line ends"
    );
}

#[test]
fn a_field_of_the_guitar_has_its_place() {
    let text = "title = \"Ice\"\n[guitar]\ntuning = \"drop D\"\n  capo = 2\n";
    let place = |field| SongFile::guitar_place(text, field).map(|p| p.to_string());
    assert_eq!(place("tuning").as_deref(), Some("3:10"));
    assert_eq!(place("capo").as_deref(), Some("4:10"));
    assert_eq!(place("hand"), None);
    assert_eq!(SongFile::guitar_place("X:1", "capo"), None);
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
    insta::assert_snapshot!(told.join("\n"), @r##"
        2:1: a pin needs a bar: bar = 8, the number printed over it
        3:7: bar is “true” here; write the number printed over it: bar = 8
        2:1: a pin fixes just one of note, grip, bass, fill, nothing; this one has none
        2:1: a pin fixes just one of note, grip, bass, fill, nothing; make one pin of each: bass, fill
        5:10: string goes with note = "melody" or note = "bass" only
        4:8: beat is “0” here; write a beat, the first being 1, with a part of one where needed: beat = 2.5 or "2 1/3"
        4:8: “x320é0” is not a grip; write a fret or x for each string, lowest first: x32010, or with blanks between: x 10 12 12 11 10
        4:8: “H” is not a bass note; write a note with or without its octave: F2 or F
        4:8: “alto” is no note of a pin; write note = "melody" or note = "bass"
        5:10: finger is “5” here; write a whole number from 1 to 4: finger = 1
        4:11: write nothing = true, or take the pin out to let the arranger choose again
        "##);
}

#[test]
fn newer_files_and_lost_pins_are_kept_with_a_notice() {
    let text = "format = 7\ntune = \"c8|\"\n[[pin]] # keep\nbar = \"9b\"\nfill = 1\nsway = 2\n";
    let (mut file, mut song, notices) = parse(text);
    let told: Vec<String> = notices.iter().map(ToString::to_string).collect();
    insta::assert_snapshot!(told.join("\n"), @r##"
        1:10: this file is of format 7, newer than the 1 known here; what is not understood is kept and passed over
        4:7: this pin speaks of bar “9b”, which the tune does not have (its last is 1); the pin is kept and passed over
        6:1: “sway” is not a field of a pin; it is kept and passed over (known here: bar, beat, note, string, fret, finger, grip, bass, fill, nothing)
        "##);
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

#[test]
fn depth_and_length_are_bounded() {
    for text in [
        "[".repeat(100_000),
        format!("pin = {}", "[".repeat(100_000)),
    ] {
        assert!(SongFile::parse(&text).is_err());
    }
    let long = format!("title = \"{}\"", "a".repeat(LONGEST));
    assert!(error(&long).contains("16 megabytes"));
    let pins = |count| {
        format!(
            "tune = \"c8|\"\npin = [{}]",
            "{bar=1,fill=1},".repeat(count)
        )
    };
    assert_eq!(parse(&pins(tables::MOST)).1.pins.len(), tables::MOST);
    assert!(error(&pins(tables::MOST + 1)).contains("more than 20000"));
    let bars = "\"C\"c4 \"G7\"B4 | ".repeat(10_000);
    let (mut file, mut song, _) = parse(&format!("tune = \"\"\"\n{bars}\n\"\"\"\n"));
    assert_eq!(song.bars.len(), 10_000);
    song.bars[5_000].notes[0].pitch = "E5".parse().unwrap();
    file.update(&song).unwrap();
    assert!(file.to_string().contains("\"C\"e4"));
}

/// The tab shows the one beat of a pickup in 3/4 as the third.
#[test]
fn a_beat_of_a_pickup_is_counted_from_its_start_or_as_it_is_shown() {
    let at = |beat: &str| {
        let pin = format!("pin = [{{ bar = 0, beat = {beat}, fill = 1 }}]\n");
        let text =
            format!("meter = \"3/4\"\nunit = \"1/4\"\ntune = \"\"\"\nD | G3 |]\n\"\"\"\n{pin}");
        SongFile::parse(&text).unwrap().1.pins[0].at
    };
    assert_eq!(
        ["1", "1.5", "3", "3.5"].map(at),
        [0, QUARTER / 2, 0, QUARTER / 2]
    );
}
