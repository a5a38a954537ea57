//! The abc reader against what other readers of the notation agree on.
//!
//! `tests/outside/abc` holds the tunes, the events and the script that made them.

use std::fmt::Write as _;
use std::path::Path;
use thumbline::song::{Song, abc};
use thumbline::theory::{QUARTER, Ticks};

/// A quarter in the units of the tables: everything that is compared is a whole number of them.
const UNITS: Ticks = 480;

/// Onset and length in 480ths of a quarter and MIDI number of every note, in written order with
/// ties joined, blank-separated.
fn events(song: &Song) -> String {
    let mut joined: Vec<(Ticks, Ticks, i32)> = Vec::new();
    let mut tied = false;
    for (bar, start) in song.bars.iter().zip(song.starts()) {
        for note in &bar.notes {
            let (at, midi) = (start + note.at, note.pitch.midi());
            match joined.last_mut() {
                Some(last) if tied && last.2 == midi && last.0 + last.1 == at => {
                    last.1 += note.length;
                }
                _ => joined.push((at, note.length, midi)),
            }
            tied = note.tied;
        }
    }
    let units = |t: Ticks| (t * UNITS + QUARTER / 2) / QUARTER;
    let mut text = String::new();
    for (at, length, midi) in joined {
        let (from, to) = (units(at), units(at + length));
        let _ = write!(text, " {from}:{}:{midi}", to - from);
    }
    text
}

/// A line for each tune: its place in the file, its title or what is wrong with it, its events.
fn table(text: &str) -> String {
    let mut table = String::new();
    for (i, tune) in abc::read_book(text).into_iter().enumerate() {
        let _ = match tune {
            Ok(tune) => writeln!(table, "{i}\t{}\t{}", tune.number, events(&tune.song).trim()),
            Err(error) => writeln!(table, "{i}\terror\t{error}"),
        };
    }
    table
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
