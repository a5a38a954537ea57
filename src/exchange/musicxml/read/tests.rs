use super::*;
use crate::arrange::{Arrangement, Layer, Options, arrange};
use crate::exchange::musicxml::{write, write_compressed};
use crate::guitar::Hand;
use crate::song::{Close, abc};
use crate::theory::QUARTER;
use std::io::Write;

/// A measure's opening: divisions, key and meter.
const HEAD: &str = "<attributes><divisions>2</divisions><key><fifths>1</fifths></key>\
                    <time><beats>3</beats><beat-type>4</beat-type></time></attributes>";

fn note(pitch: &str, duration: u32, more: &str) -> String {
    let (step, octave) = pitch.split_at(1);
    format!(
        "<note>{more}<pitch><step>{step}</step><octave>{octave}</octave></pitch>\
         <duration>{duration}</duration></note>"
    )
}

fn score(measures: &[String]) -> String {
    let all: Vec<String> = (1..)
        .zip(measures)
        .map(|(i, m)| format!("<measure number=\"{i}\">{m}</measure>"))
        .collect();
    format!(
        "<score-partwise><part id=\"P1\">{}</part></score-partwise>",
        all.concat()
    )
}

fn song(text: &str) -> (Song, Vec<String>) {
    choosing(text, &Choice::default())
}

#[track_caller]
fn choosing(text: &str, choice: &Choice) -> (Song, Vec<String>) {
    match read(text, choice) {
        Ok((song, notices)) => (song, notices.iter().map(ToString::to_string).collect()),
        Err(error) => panic!("{error} in {text}"),
    }
}

/// Each note as onset in quarters, pitch, length.
fn notes(song: &Song) -> Vec<String> {
    let quarters = |t| crate::theory::beats(t);
    let all = song
        .bars
        .iter()
        .flat_map(|b| b.notes.iter().map(move |n| (b, n)));
    all.map(|(_, n)| {
        let tie = if n.tied { "-" } else { "" };
        format!("{}:{}:{}{tie}", quarters(n.at), n.pitch, quarters(n.length))
    })
    .collect()
}

#[test]
fn melody_key_meter_chords_and_tempo() {
    let harmony = "<harmony><root><root-step>D</root-step></root><kind>dominant</kind>\
                   <bass><bass-step>F</bass-step><bass-alter>1</bass-alter></bass></harmony>";
    let tempo = "<direction><direction-type><metronome><beat-unit>quarter</beat-unit>\
                 <beat-unit-dot/><per-minute>c. 66</per-minute></metronome></direction-type></direction>";
    let text = score(&[
        format!("{HEAD}{tempo}{}", note("D4", 2, "")),
        format!(
            "{harmony}{}<note><rest/><duration>1</duration></note>{}",
            note("G4", 3, ""),
            note("A4", 2, "")
        ),
        format!(
            "{}<direction><sound tempo=\"132.4\"/></direction>{}",
            "",
            note("G4", 6, "")
        ),
    ]);
    let (song, notices) = song(&text);
    assert_eq!(song.key.to_string(), "G major");
    assert_eq!(notes(&song), ["0:D4:1", "0:G4:1½", "2:A4:1", "0:G4:3"]);
    let numbers: Vec<u32> = song.bars.iter().map(|b| b.number).collect();
    assert_eq!((numbers, song.bars[0].length), (vec![0, 1, 2], QUARTER));
    assert_eq!(song.bars[1].chords[0].symbol.to_string(), "D7/F♯");
    assert_eq!(
        (song.tempo.beat, song.tempo.per_minute),
        (QUARTER * 3 / 2, 66)
    );
    assert_eq!(song.bars[2].tempo.map(|t| t.per_minute), Some(132));
    assert_eq!(notices, Vec::<String>::new());
}

#[test]
fn ties_inside_a_bar_join_and_those_over_it_stay() {
    let start = "<tie type=\"start\"/>";
    let text = score(&[
        format!(
            "{HEAD}{}{}{}",
            note("G4", 2, start),
            note("G4", 1, ""),
            note("A4", 3, start)
        ),
        note("A4", 6, "<tie type=\"stop\"/>"),
    ]);
    assert_eq!(notes(&song(&text).0), ["0:G4:1½", "1½:A4:1½-", "0:A4:3"]);
}

#[test]
fn what_is_passed_over_is_told_with_its_place() {
    let text = score(&[format!(
        "{HEAD}\n{}\n{}\n{}\n{}\n{}",
        "<note><grace/><pitch><step>A</step><octave>4</octave></pitch></note>",
        note("G4", 6, ""),
        note("B4", 6, "<chord/>"),
        "<backup><duration>6</duration></backup>",
        note("E3", 6, "").replace("</note>", "<voice>2</voice></note>"),
    )]);
    let (song, notices) = song(&text);
    assert_eq!(notes(&song), ["0:B4:3"]);
    assert_eq!(
        notices,
        [
            "2:1: passed over: grace notes",
            "4:1: passed over: lower notes of chords",
            "6:1: passed over: notes of other voices",
        ]
    );
}

#[test]
fn what_is_read_otherwise_than_written_is_told() {
    let string = |line: u8| {
        format!(
            "<staff-tuning line=\"{line}\"><tuning-step>E</tuning-step>\
             <tuning-octave>{line}</tuning-octave></staff-tuning>"
        )
    };
    let strings = [1, 2, 3].map(string).concat();
    let sharp = note("G4", 6, "").replace("<octave>", "<alter>0.5</alter><octave>");
    let (song, notices) = song(&score(&[format!(
        "{HEAD}<attributes><staff-details>{strings}<capo>20</capo></staff-details></attributes>{sharp}"
    )]));
    assert_eq!(song.guitar, GuitarWish::default());
    assert_eq!(notes(&song), ["0:G4:3"]);
    for told in ["capo at fret 20", "its tuning is left out", "quarter tones"] {
        assert!(notices.iter().any(|n| n.contains(told)), "{notices:?}");
    }
}

#[test]
fn divisions_need_not_be_whole() {
    let head = HEAD.replace("<divisions>2<", "<divisions>2.5<");
    let long = note("G4", 5, "");
    let short = long.replace("<duration>5<", "<duration>2.5<");
    let text = score(&[format!("{head}{short}{long}")]);
    assert_eq!(notes(&song(&text).0), ["0:G4:1", "1:G4:2"]);
}

#[test]
fn parts_and_voices_are_chosen_by_name_or_number() {
    let list = "<part-list><score-part id=\"P1\"><part-name>Flute</part-name></score-part>\
                <score-part id=\"P2\"><part-name>Bass</part-name></score-part></part-list>";
    let low = note("C3", 6, "").replace("</note>", "<voice>2</voice></note>");
    let second = format!(
        "{HEAD}{}<backup><duration>6</duration></backup>{low}",
        note("E3", 6, "")
    );
    let text = format!(
        "<score-partwise>{list}<part id=\"P1\"><measure>{HEAD}{}</measure></part>\
         <part id=\"P2\"><measure>{second}</measure></part></score-partwise>",
        note("G4", 6, "")
    );
    let choice = |part: Option<&str>, voice: Option<&str>| Choice {
        part: part.map(str::to_string),
        voice: voice.map(str::to_string),
        chords: None,
    };
    for (part, voice, heard) in [
        (None, None, "0:G4:3"),
        (Some("bass"), None, "0:E3:3"),
        (Some("2"), Some("2"), "0:C3:3"),
    ] {
        assert_eq!(notes(&choosing(&text, &choice(part, voice)).0), [heard]);
    }
    assert!(song(&text).1[0].contains("of 2 parts the melody is read from “Flute”"));
    let error = |part, voice| read(&text, &choice(part, voice)).unwrap_err().to_string();
    assert!(error(Some("Horn"), None).contains("there is 1 Flute, 2 Bass"));
    assert!(error(Some("2"), Some("7")).contains("it has 1, 2"));
}

#[test]
fn a_timewise_score_is_the_same_song() {
    let bar = |n: &str, more: &str| format!("{more}{}", note(n, 6, ""));
    let partwise = score(&[bar("G4", HEAD), bar("A4", "")]);
    let timewise = format!(
        "<score-timewise><measure number=\"1\"><part id=\"P1\">{}</part></measure>\
         <measure number=\"2\"><part id=\"P1\">{}</part></measure></score-timewise>",
        bar("G4", HEAD),
        bar("A4", "")
    );
    assert!(song(&partwise).0.same_as(&song(&timewise).0));
}

#[test]
fn a_transposing_part_is_moved_to_what_sounds() {
    // A clarinet in B flat reads G for what sounds as F.
    let transpose = "<attributes><transpose><chromatic>-2</chromatic></transpose></attributes>";
    let harmony = "<harmony><root><root-step>G</root-step></root><kind>major</kind></harmony>";
    let text = score(&[format!("{HEAD}{transpose}{harmony}{}", note("G4", 6, ""))]);
    let (song, notices) = song(&text);
    assert_eq!(
        (song.key.to_string(), notes(&song)),
        ("F major".into(), vec!["0:F4:3".into()])
    );
    assert_eq!(song.bars[0].chords[0].symbol.to_string(), "F");
    assert!(
        notices[0].contains("sounds 2 semitones lower"),
        "{notices:?}"
    );
}

#[test]
fn repeats_and_endings() {
    let line = |location: &str, inside: &str| {
        format!("<barline location=\"{location}\">{inside}</barline>")
    };
    let ending = |n: &str, kind: &str| format!("<ending number=\"{n}\" type=\"{kind}\"/>");
    let bar = |left: &str, right: &str| format!("{left}{}{right}", note("G4", 6, ""));
    let back = "<repeat direction=\"backward\"/>";
    let text = score(&[
        format!(
            "{HEAD}{}",
            bar(&line("left", "<repeat direction=\"forward\"/>"), "")
        ),
        bar(
            &line("left", &ending("1, 2", "start")),
            &line("right", &format!("{}{back}", ending("1, 2", "stop"))),
        ),
        bar(
            &line("left", &ending("3", "start")),
            &line("right", &ending("3", "discontinue")),
        ),
        bar("", &line("right", "<bar-style>light-light</bar-style>")),
        bar("", &line("right", back)),
    ]);
    let (song, _) = song(&text);
    let order: Vec<usize> = song.play_order().iter().map(|p| p.bar).collect();
    assert_eq!(order, [0, 1, 0, 1, 0, 2, 3, 4, 3, 4].map(|i: usize| i));
    assert_eq!(song.bars[1].ending, [1, 2]);
    assert_eq!(song.bars[2].close, Close::Double);
}

#[test]
fn more_passes_than_a_song_has_are_told() {
    let back = "<repeat direction=\"backward\" times=\"12\"/>";
    let line = format!("<barline location=\"right\">{back}</barline>");
    let (song, notices) = song(&score(&[format!("{HEAD}{}{line}", note("G4", 6, ""))]));
    assert_eq!(song.bars[0].close, Close::Repeat(9));
    assert!(notices[0].contains("passes beyond"), "{notices:?}");
}

/// An arrangement of a tune with most things that abc can say.
fn arranged() -> Arrangement {
    let text = "X:1\nT:Sleet & Sun\nC:the harbour evening\nM:6/8\nL:1/8\nQ:3/8=88\nK:Ddor\n\
                A | \"Dm\"d2 e f2 d | \"C7\"(3efg e-e3 | [M:3/4]\"F/A\"f4 z2 |\
                [K:G]|: \"G\"G3 A B2 | [1 \"D7\"A4 A2 :| [2 [Q:1/4=90] \"G\"G6 |]\n";
    let song = abc::read_book(text).remove(0).unwrap().song;
    let instrument = Instrument::new("drop D", 2, 19).unwrap();
    let options = Options {
        layer: Layer::Melody,
        ..Options::default()
    };
    arrange(
        &song,
        &instrument,
        &Hand::named("medium").unwrap(),
        &options,
    )
    .unwrap()
}

#[test]
fn what_we_write_is_read_as_the_song_it_came_from() {
    let arrangement = arranged();
    assert_eq!(arrangement.shift, -12);
    let (read, notices) = song(&write(&arrangement));
    assert_eq!(notices, Vec::<String>::new());
    let mut wanted = arrangement.song.clone();
    wanted.guitar.tuning = Some("drop D".into());
    wanted.guitar.capo = Some(2);
    // The tie inside a bar is one note.
    let bar = &mut wanted.bars[2];
    let tied = bar.notes.remove(4);
    bar.notes[3].length += tied.length;
    bar.notes[3].tied = false;
    assert_eq!(read.without_places(), wanted.without_places());
    let bytes = unpack(&write_compressed(&arrangement)).unwrap();
    assert_eq!(String::from_utf8(bytes).unwrap(), write(&arrangement));
}

#[test]
fn bad_archives_are_refused_within_bounds() {
    let zipped = |files: &[(&str, &[u8])]| {
        let mut archive = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
        for (name, bytes) in files {
            archive
                .start_file(*name, zip::write::SimpleFileOptions::default())
                .unwrap();
            archive.write_all(bytes).unwrap();
        }
        archive.finish().unwrap().into_inner()
    };
    let container = |path: &str| {
        format!("<container><rootfiles><rootfile full-path=\"{path}\"/></rootfiles></container>")
    };
    let bomb = vec![b' '; 40 << 20];
    let whole = zipped(&[("a.musicxml", b"<score/>")]);
    for (bytes, said) in [
        (b"PK\x03\x04 nothing".to_vec(), "no compressed MusicXML"),
        (whole[..whole.len() / 2].to_vec(), "no compressed MusicXML"),
        (zipped(&[("a.txt", b"x")]), "no score"),
        (zipped(&[("a.musicxml", &bomb)]), "more than 32 megabytes"),
        (
            zipped(&[
                (
                    "META-INF/container.xml",
                    container("../../etc/passwd").as_bytes(),
                ),
                ("a.musicxml", b"<score/>"),
            ]),
            "no score",
        ),
    ] {
        let error = unpack(&bytes).unwrap_err().to_string();
        assert!(error.contains(said), "{error}, not {said}");
    }
    let list = vec![b' '; (1 << 16) + 1];
    let listed = [
        ("META-INF/container.xml", list.as_slice()),
        ("a.musicxml", b"<score/>"),
    ];
    for whole in [whole, zipped(&listed)] {
        assert_eq!(unpack(&whole).unwrap(), b"<score/>");
    }
}

#[test]
fn impossible_numbers_are_refused_at_their_place() {
    let bar = |inside: &str| score(&[format!("{HEAD}\n{inside}")]);
    for (text, said) in [
        (bar(&note("G4", 99_999, "")), "2:"),
        (
            bar("<note><pitch><step>G</step></pitch><duration>-1</duration></note>"),
            "a duration is",
        ),
        (
            bar("<attributes><divisions>0</divisions></attributes>"),
            "divisions say",
        ),
        (
            bar("<note><rest/><duration>6</duration></note>"),
            "no note in this part",
        ),
        (
            bar(&note("G4", 500, "").repeat(4)),
            "longer than 64 whole notes",
        ),
        ("<opera/>".into(), "this is no score"),
        ("<score-partwise/>".into(), "no part"),
    ] {
        let error = read(&text, &Choice::default()).unwrap_err().to_string();
        assert!(error.contains(said), "{error}, not {said}");
    }
}

/// As many elements of one kind as the longest input holds.
fn full(element: &str) -> String {
    element.repeat(crate::exchange::input::LONGEST as usize / (element.len() + 10))
}

#[test]
fn documents_at_all_bounds_are_read_as_fast_as_others() {
    let silent = full("<note><duration>0</duration></note>");
    let fine = "<attributes><divisions>960</divisions></attributes>";
    let one = note("G4", 2, "");
    for text in [
        // Places that are known, and many of them.
        score(&[format!("{HEAD}{one}{silent}")]),
        score(&[format!("{HEAD}{fine}{}{silent}", note("G4", 960, ""))]),
        // Bars on one line.
        format!(
            "<score-partwise><part>{}</part></score-partwise>",
            full(&format!("<measure>{one}</measure>"))
        ),
        // Staves of tab, and notes of other voices.
        {
            let clefs = "<clef number=\"2\"><sign>TAB</sign></clef>".repeat(100_000);
            let others = note("E3", 0, "").replace("</note>", "<voice>2</voice></note>");
            let others = others.repeat(100_000);
            score(&[format!(
                "{HEAD}<attributes>{clefs}</attributes>{one}{others}"
            )])
        },
        // Parts on one line, each asked for chords.
        {
            let chord = "<harmony><kind>x</kind></harmony>";
            let parts: Vec<String> = (0..50_000)
                .map(|i| format!("<part id=\"{i}\">{chord}</part>"))
                .collect();
            let measure = format!("<measure>{}</measure>", parts.concat());
            format!(
                "<score-timewise><measure><part id=\"0\">{one}</part></measure>\
                 {measure}{measure}</score-timewise>"
            )
        },
    ] {
        let read = read(&text, &Choice::default());
        assert_eq!(read.err().map(|e| e.to_string()), None);
    }
}
