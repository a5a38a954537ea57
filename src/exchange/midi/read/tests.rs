use super::*;
use crate::arrange::{Layer, Options, arrange};
use crate::exchange::midi::write;
use crate::guitar::{Hand, Instrument};
use crate::song::abc;
use crate::theory::QUARTER;
use proptest::prelude::*;

/// A file of raw tracks, each of delta and message bytes; `EndOfTrack` is put at their ends.
fn file(format: u8, division: u16, tracks: &[Vec<u8>]) -> Vec<u8> {
    let mut bytes = b"MThd\0\0\0\x06\0".to_vec();
    bytes.push(format);
    bytes.extend((tracks.len() as u16).to_be_bytes());
    bytes.extend(division.to_be_bytes());
    for track in tracks {
        let track = [track.as_slice(), b"\0\xff\x2f\0"].concat();
        bytes.extend(b"MTrk");
        bytes.extend((track.len() as u32).to_be_bytes());
        bytes.extend(track);
    }
    bytes
}

fn meta(delta: u8, kind: u8, data: &[u8]) -> Vec<u8> {
    [&[delta, 0xff, kind, data.len() as u8], data].concat()
}

/// Notes of 96 ticks a quarter as (delta, key, length), one after another, with running status.
fn notes(list: &[(u8, u8, u8)]) -> Vec<u8> {
    let mut bytes = Vec::new();
    for (i, (delta, key, length)) in list.iter().enumerate() {
        bytes.push(*delta);
        if i == 0 {
            bytes.push(0x90);
        }
        // A note on without speed ends a note (MIDI 1.0, running status).
        bytes.extend([*key, 80, *length, *key, 0]);
    }
    bytes
}

fn said(bytes: &[u8], choice: &Choice) -> (Vec<String>, Vec<String>) {
    let (song, notices) = read(bytes, choice).unwrap_or_else(|e| panic!("{e}"));
    let bars = song.bars.iter().map(|bar| {
        let words = bar.notes.iter().map(|n| {
            let (at, length) = (crate::theory::beats(n.at), crate::theory::beats(n.length));
            format!("{at}:{}:{length}{}", n.pitch, if n.tied { "-" } else { "" })
        });
        format!("{} {}", bar.meter, words.collect::<Vec<_>>().join(" "))
    });
    (
        bars.collect(),
        notices.iter().map(|n| n.text.clone()).collect(),
    )
}

#[test]
fn one_track_with_running_status_meter_key_and_tempo() {
    let track = [
        meta(0, 3, b"Gulls"),
        meta(0, 0x51, &[0x09, 0x27, 0xc0]),
        meta(0, 0x58, &[3, 2, 24, 8]),
        meta(0, 0x59, &[0xff, 1]),
        meta(0, 1, b"Dm"),
        notes(&[(0, 62, 48), (0, 66, 48), (0, 70, 96), (96, 69, 96)]),
    ];
    let bytes = file(0, 96, &[track.concat()]);
    let (song, _) = read(&bytes, &Choice::default()).unwrap();
    assert_eq!(
        (song.title.as_str(), song.key.to_string()),
        ("Gulls", "D minor".into())
    );
    assert_eq!((song.tempo.beat, song.tempo.per_minute), (QUARTER, 100));
    assert_eq!(song.bars[0].chords[0].symbol.to_string(), "Dm");
    let (bars, notices) = said(&bytes, &Choice::default());
    assert_eq!(bars, ["3/4 0:D4:½ ½:F♯4:½ 1:B♭4:1", "3/4 0:A4:1"]);
    assert_eq!(
        notices,
        ["the notes are put on a grid of 2 to a quarter; none is moved by it"]
    );
}

/// A tempo in quarters a minute.
fn tempo(delta: u8, per_minute: u32) -> Vec<u8> {
    meta(delta, 0x51, &(60_000_000 / per_minute).to_be_bytes()[1..])
}

#[test]
fn tempos_are_those_in_force_at_the_bars() {
    let meter = |top, power| meta(0, 0x58, &[top, power, 24, 8]);
    let bar = |key| notes(&[(0, key, 96)]);
    for (track, heard) in [
        // What was said before the music, and of two the later one.
        (vec![tempo(0, 120), tempo(96, 60), bar(60)], "1/4=60"),
        (vec![tempo(0, 60), tempo(0, 90), bar(60)], "1/4=90"),
        // Where none is said yet, a file plays at 120.
        (
            vec![bar(60), bar(62), tempo(0, 80), bar(64)],
            "1/4=120 3:1/4=80",
        ),
        (vec![bar(60)], "1/4=100"),
        // Another meter alone is no other tempo.
        (
            vec![
                meter(2, 2),
                tempo(0, 100),
                bar(60),
                meter(6, 3),
                notes(&[(0, 62, 72)]),
            ],
            "1/4=100",
        ),
        (vec![bar(60), tempo(0, 80)], "1/4=120"),
    ] {
        let bytes = file(0, 24, &[track.concat()]);
        let (song, notices) = read(&bytes, &Choice::default()).unwrap();
        let mut tempos = song.tempo.to_string();
        for bar in &song.bars {
            let tempo = bar.tempo.map(|t| format!(" {}:{t}", bar.number));
            tempos += &tempo.unwrap_or_default();
        }
        assert_eq!(tempos, heard);
        assert!(notices.iter().all(|n| !n.text.contains("tempo")), "{heard}");
    }
}

#[test]
fn a_file_at_all_bounds_is_read_as_fast_as_others() {
    let marks = [tempo(0, 90), meta(0, 0x59, &[1, 0]), meta(0, 1, b"C")];
    // 19 990 bars of a quarter, a note through them all.
    let long = [
        meta(0, 0x58, &[1, 2, 24, 8]),
        marks.concat().repeat(30_000),
        b"\0\x90\x3c\x50".to_vec(),
        meta(1, 1, b"C"),
        marks.concat().repeat(30_000),
        b"\x9d\xa4\x0f\x80\x3c\0".to_vec(),
    ]
    .concat();
    let (song, _) = read(&file(0, 24, &[long]), &Choice::default()).unwrap();
    assert_eq!(song.bars.len(), 19_990);
    for (bytes, words) in [
        (file(0, 24, &[tempo(0, 90).repeat(2 << 20)]), "more tempos"),
        (file(0, 24, &[meta(0, 1, b"C").repeat(3 << 20)]), "chords"),
        (file(1, 24, &vec![Vec::new(); 20_000]), "more tracks"),
    ] {
        let error = read(&bytes, &Choice::default()).unwrap_err().to_string();
        assert!(error.contains(words), "{error}, not {words}");
    }
}

#[test]
fn a_note_without_length_is_told_and_a_key_struck_twice_at_once_is_one_note() {
    let twice = b"\0\x90\x3c\x50\0\x3c\x50\x60\x3c\0\0\x3c\0".to_vec();
    let bytes = file(
        0,
        96,
        &[[twice, notes(&[(0, 62, 0), (0, 64, 96)])].concat()],
    );
    let (bars, notices) = said(&bytes, &Choice::default());
    assert_eq!(bars, ["4/4 0:C4:1 1:E4:1"]);
    assert_eq!(
        notices[1..],
        ["passed over: notes that end where they begin"]
    );
}

#[test]
fn the_melody_is_a_track_or_the_top_line() {
    let high = [meta(0, 3, b"Flute"), notes(&[(0, 72, 96), (0, 74, 96)])].concat();
    let low = [meta(0, 3, b"Cello"), notes(&[(0, 48, 96), (0, 79, 96)])].concat();
    let drums = b"\0\x99\x24\x50\x60\x24\0".to_vec();
    let bytes = file(1, 96, &[high, low, drums]);
    let choice = |part: &str, voice: Option<&str>| Choice {
        part: Some(part.into()),
        voice: voice.map(str::to_string),
        chords: None,
    };
    let (bars, notices) = said(&bytes, &Choice::default());
    assert_eq!(bars, ["4/4 0:C5:1 1:G5:1"]);
    assert!(
        notices
            .iter()
            .any(|n| n.contains("the top notes of all") && n.contains("1 Flute, 2 Cello"))
    );
    assert!(
        notices.iter().any(|n| n == "passed over: drums"),
        "{notices:?}"
    );
    assert_eq!(
        said(&bytes, &choice("flute", None)).0,
        ["4/4 0:C5:1 1:D5:1"]
    );
    assert_eq!(
        said(&bytes, &choice("2", Some("1"))).0,
        ["4/4 0:C3:1 1:G5:1"]
    );
    let error = |c: &Choice| read(&bytes, c).unwrap_err().to_string();
    assert!(error(&choice("Horn", None)).contains("there is 1 Flute, 2 Cello"));
    assert!(error(&choice("2", Some("5"))).contains("channel 5"));
}

#[test]
fn notes_over_bar_lines_are_tied_and_silent_bars_left_out() {
    // 96 ticks a quarter; 127 is the longest wait in one byte.
    let wait = [
        meta(127, 1, b""),
        meta(127, 1, b""),
        meta(127, 1, b""),
        meta(3, 1, b""),
    ]
    .concat();
    let bytes = file(
        0,
        96,
        &[[wait, notes(&[(96, 60, 96), (0, 64, 96), (0, 67, 120)])].concat()],
    );
    let (bars, notices) = said(&bytes, &Choice::default());
    assert_eq!(bars, ["4/4 1:C4:1 2:E4:1 3:G4:1-", "4/4 0:G4:¼"]);
    assert_eq!(notices[1], "silent bars at the start are left out: 1");
}

#[test]
fn what_can_not_be_read_is_refused_in_a_sentence() {
    let tune = || vec![notes(&[(0, 60, 96)])];
    let long: Vec<u8> = [0xff, 0xff, 0xff, 0x7f, 0xff, 1, 0].repeat(100);
    for (bytes, words) in [
        (b"MThd".to_vec(), "no MIDI file"),
        (b"RIFF....".to_vec(), "no MIDI file"),
        (file(2, 96, &tune()), "format 2"),
        (file(1, 0, &tune()), "no ticks"),
        (file(1, 0xe728, &tune()), "counts seconds"),
        (file(1, 96, &[Vec::new()]), "no note"),
        (file(0, 1, &[long]), "waits longer"),
        (file(0, 96, &[b"\0\x90\x3c".to_vec()]), "no note"),
    ] {
        let error = read(&bytes, &Choice::default()).unwrap_err().to_string();
        assert!(error.contains(words), "{error}, not {words}");
    }
    // A note that never ends, and a meter of nothing.
    let open = [
        meta(0, 0x58, &[0, 200, 24, 8]),
        b"\0\x90\x3c\x50\x60\x3e\x50\x60\x3e\0".to_vec(),
    ]
    .concat();
    let (bars, notices) = said(&file(0, 96, &[open]), &Choice::default());
    assert_eq!(bars, ["4/4 0:C4:1 1:D4:1"]);
    assert_eq!(notices.len(), 3, "{notices:?}");
}

#[test]
fn what_we_write_is_read_as_it_is_played() {
    let text = "X:1\nT:Sleet\nM:3/4\nL:1/8\nQ:1/4=90\nK:Am\nE2 | \"Am\"A2 (3Bcd e2- | \"E7/G#\"e2 d2 c2 |\
                [M:2/4]\"F\"A4 |]\n";
    let song = abc::read_book(text).remove(0).unwrap().song;
    let options = Options {
        layer: Layer::Melody,
        ..Options::default()
    };
    let hand = Hand::named("medium").unwrap();
    let arrangement = arrange(&song, &Instrument::standard(), &hand, &options).unwrap();
    let (mut read, _) = read(&write(&arrangement), &Choice::default()).unwrap();
    for note in read.bars.iter_mut().flat_map(|b| &mut b.notes) {
        note.pitch = note.pitch.octaves_up(-arrangement.shift / 12);
    }
    let mut wanted = song.without_places();
    wanted.bars[3].close = crate::song::Close::Single;
    assert_eq!(read, wanted);
}

proptest! {
    #![proptest_config(crate::properties::cases(256))]

    #[test]
    fn no_bytes_are_too_strange(
        format in 0u8..3,
        division in prop_oneof![Just(0u16), Just(1), Just(96), Just(0x7fff), any::<u16>()],
        body in prop::collection::vec(prop_oneof![
            any::<u8>(),
            prop::sample::select(vec![0x90, 0x80, 0xff, 0x51, 0x58, 0x2f, 0, 3, 60, 0xf0, 0xf7]),
        ], 0..80),
        cut in 0usize..100,
    ) {
        let bytes = file(format, division, &[body.clone(), body]);
        let _ = read(&bytes, &Choice::default());
        let _ = read(&bytes[..cut.min(bytes.len())], &Choice::default());
    }

    #[test]
    fn any_notes_make_whole_bars(
        list in prop::collection::vec((0u8..120, 40u8..90, 1u8..127), 1..40),
    ) {
        if let Ok((song, _)) = read(&file(0, 96, &[notes(&list)]), &Choice::default()) {
            for bar in &song.bars {
                let mut at = 0;
                for note in &bar.notes {
                    prop_assert!(note.at >= at && note.length > 0);
                    at = note.at + note.length;
                }
                prop_assert!(at <= bar.length);
            }
        }
    }
}
