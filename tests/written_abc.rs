//! Tunes put together edit by edit, as another reader of abc has them.
//!
//! `tests/outside/abc` holds their text, what music21 reads in it, and the script that asked it.

mod support;

use support::heard::{chords, events, row};
use thumbline::song::edit::{Caret, Draft};
use thumbline::song::{GuitarWish, Song, Tempo, abc};
use thumbline::theory::{Letter, Meter, QUARTER, Symbol};

fn blank(title: &str, key: &str, meter: &str) -> Draft {
    let meter: Meter = meter.parse().expect("a meter");
    let song = Song {
        title: title.into(),
        composer: None,
        tags: Vec::new(),
        key: key.parse().expect("a key"),
        tempo: Tempo {
            beat: QUARTER,
            per_minute: 96,
        },
        bars: Vec::new(),
        guitar: GuitarWish::default(),
        pins: Vec::new(),
        ideas: Vec::new(),
    };
    Draft::new(song, &meter)
}

/// Edits in words: a letter and its length in twelfths of a quarter (`r` rests), signs for the rest.
fn written(mut draft: Draft, words: &str) -> Draft {
    for word in words.split_whitespace() {
        let (first, rest) = word.split_at(1);
        let length = QUARTER / 12 * rest.parse().unwrap_or(12);
        let made = match first {
            "r" => draft.insert(None, length),
            "|" => draft.bar_line(),
            "(" => draft.open_repeat(),
            ")" => draft.close_repeat(),
            "[" => draft.next_ending(),
            "#" => draft.sharpen(1),
            "-" => draft.sharpen(-1),
            "'" => draft.shift_octave(1),
            "~" => draft.tie_on(length),
            "\"" => {
                let place = draft.chord_place().expect("a place");
                draft.set_chord(place, Some(Symbol::parse(rest).expect("a chord")))
            }
            letter => {
                let letter = letter.chars().next().and_then(Letter::from_char);
                draft.insert(letter.map(|l| draft.pitch_of(l)), length)
            }
        };
        draft = made.expect("it can be written");
    }
    draft
}

fn tunes() -> Vec<Draft> {
    let waltz =
        "d12 | b12 \"G a6 g6 a12 \"D7 g18 f6 g30 \"C e12 g12 # c'6 b12 ~12 r12 \"Em7 e60 d12";
    let triplets =
        "e4 \"Em f4 g4 b24 r6 a6 - g8 \"Am f8 # e8 d24 # e48 \"B7 # e60 f36 ' g48 \"N.C.";
    let repeats = "a18 ( g18 f6 g6 a6 b18 [ ) c36 [ [ d36 \"F ~9 c9";
    let mut meters = written(
        blank("Three in Four", "Bb", "4/4"),
        "b48 \"Bb a24 g24 f36 \"Gm e60 d24 c24",
    );
    meters.go_to(Caret { bar: 1, at: 0 });
    let meters = meters
        .set_meter(&"3/4".parse().expect("a meter"))
        .expect("redrawn");
    vec![
        written(blank("Written Waltz", "G", "3/4"), waltz),
        written(blank("Written in Threes", "Em", "4/4"), triplets),
        written(blank("Written Twice", "F", "6/8"), repeats),
        meters,
        written(blank("Carried Over", "D", "2/4"), "f60 e42 d9 c3 b90"),
    ]
}

/// Source of the table: music21 10.5, made by tests/outside/abc/written.py.
#[test]
fn what_is_written_is_read_alike_elsewhere() {
    let mut text = String::new();
    for (i, draft) in (1..).zip(tunes()) {
        text += &abc::write_tune(draft.song(), i);
        text.push('\n');
    }
    if let Ok(path) = std::env::var("THUMBLINE_WRITTEN") {
        std::fs::write(path, &text).expect("a file");
    }
    assert_eq!(text, include_str!("outside/abc/written.abc"));
    let table = include_str!("outside/abc/written.tsv");
    assert_eq!(table.lines().count(), tunes().len());
    for (draft, line) in tunes().iter().zip(table.lines()) {
        let song = draft.song();
        let ours = format!("{}\t{}", row(&events(song)), chords(song));
        let theirs = line.split_once('\t').map(|l| l.1);
        assert_eq!(theirs, Some(&*ours), "{}", song.title);
    }
}
