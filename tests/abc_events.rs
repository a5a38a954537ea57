//! The abc reader against what other readers of the notation agree on.
//!
//! `tests/outside/abc` holds the tunes, the events and the script that made them.

mod support;

use std::fmt::Write as _;
use std::path::Path;
use support::heard::{Heard, chords, events, row};
use thumbline::song::{Place, Song, abc};

/// A line for each tune: its place in the file, its title or what is wrong with it, its events.
fn table(text: &str) -> String {
    let mut table = String::new();
    for (i, tune) in abc::read_book(text).into_iter().enumerate() {
        let _ = match tune {
            Ok(tune) => writeln!(table, "{i}\t{}\t{}", tune.number, row(&events(&tune.song))),
            Err(error) => writeln!(table, "{i}\terror\t{error}"),
        };
    }
    table
}

/// Source of the table: music21 10.5, abcjs 6.7 and abc2midi 4.84, made by
/// tests/outside/abc/golden.py; each line is what at least two of them agree on.
#[test]
fn we_read_what_other_readers_agree_on() {
    let tunes = abc::read_book(include_str!("outside/abc/features.abc"));
    let mut checked = 0;
    for line in include_str!("outside/abc/features.tsv").lines() {
        let mut columns = line.split('\t');
        let number: u32 = columns.next().unwrap().parse().unwrap();
        let (who, row) = (columns.next().unwrap(), columns.next().unwrap());
        if who == "nobody" {
            continue;
        }
        let tune = tunes.iter().flatten().find(|t| t.number == number).unwrap();
        let theirs: Vec<Heard> = row.split(' ').map(event).collect();
        let ours = events(&tune.song);
        // The references round: one unit either way.
        let same =
            |(a, b): (&Heard, &Heard)| (a.0 - b.0).abs() < 2 && (a.1 - b.1).abs() < 2 && a.2 == b.2;
        let agree = ours.len() == theirs.len() && ours.iter().zip(&theirs).all(same);
        assert!(
            agree,
            "{}: {ours:?} but {who} read {theirs:?}",
            tune.song.title
        );
        checked += 1;
    }
    assert!(checked >= 55, "only {checked} tunes were checked");
}

/// Source of the table: music21 10.5, made by tests/outside/abc/golden.py.
#[test]
fn chords_stand_where_music21_has_them() {
    let tunes = abc::read_book(include_str!("outside/abc/chords.abc"));
    let table = include_str!("outside/abc/chords.tsv");
    assert_eq!(tunes.len(), table.lines().count());
    for (tune, line) in tunes.iter().zip(table.lines()) {
        let song = &tune.as_ref().expect("a tune").song;
        assert_eq!(
            line.split_once('\t').map(|l| l.1),
            Some(&*chords(song)),
            "{}",
            song.title
        );
    }
}

fn event(text: &str) -> Heard {
    let numbers: Vec<i64> = text
        .split(':')
        .map(|n| n.parse().expect("a number"))
        .collect();
    (numbers[0], numbers[1], numbers[2] as i32)
}

/// Not a check: writes our events for each `.abc` file of the folder that `THUMBLINE_CORPUS` names
/// into the folder that `THUMBLINE_EVENTS` names, for the script to compare.
#[test]
#[ignore = "a tool of tests/outside/abc/compare.py"]
fn write_events() {
    let folder = |name| std::env::var(name).unwrap_or_else(|_| panic!("set {name} to a folder"));
    let (corpus, out) = (folder("THUMBLINE_CORPUS"), folder("THUMBLINE_EVENTS"));
    for entry in std::fs::read_dir(corpus).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "abc") {
            let text = String::from_utf8_lossy(&std::fs::read(&path).unwrap()).into_owned();
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            std::fs::write(Path::new(&out).join(format!("{name}.tsv")), table(&text)).unwrap();
        }
    }
}

/// Not a check of the plain run: every tune of the corpus that `THUMBLINE_CORPUS` names, written by
/// us and read again, is the same in every note, chord and bar line.
#[test]
#[ignore = "needs a corpus of abc files"]
fn a_corpus_survives_writing() {
    let corpus = std::env::var("THUMBLINE_CORPUS").expect("set THUMBLINE_CORPUS to a folder");
    for entry in std::fs::read_dir(corpus).unwrap() {
        let text = std::fs::read(entry.unwrap().path()).unwrap();
        for tune in abc::read_book(&String::from_utf8_lossy(&text)) {
            let Ok(tune) = tune else { continue };
            let written = abc::write_tune(&tune.song, 1);
            let again = abc::read_book(&written).remove(0).unwrap();
            assert!(shape(&again.song) == shape(&tune.song), "{written}");
        }
    }
}

/// A song without its texts and the places of its parts.
fn shape(song: &Song) -> Song {
    let mut song = Song {
        title: String::new(),
        composer: None,
        tags: Vec::new(),
        ..song.clone()
    };
    for bar in &mut song.bars {
        bar.place = Place::default();
        bar.notes
            .iter_mut()
            .for_each(|n| n.place = Place::default());
        bar.chords
            .iter_mut()
            .for_each(|c| c.place = Place::default());
    }
    song
}
