//! Our reading of chord symbols against five open libraries: music21, tonal, chord-symbol, pychord
//! and mingus. The tables, their script and the decided differences are in `tests/outside/chords`.

use std::collections::{BTreeMap, BTreeSet};
use thumbline::theory::{Chord, Symbol, Tone};

const AGREED: &str = include_str!("outside/chords/agreed.tsv");
const OPEN: &str = include_str!("outside/chords/open.tsv");
const DECIDED: &str = include_str!("outside/chords/README.md");

/// The script's roots, a semitone apart from C.
const ROOTS: [&str; 12] = [
    "C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B",
];

fn rows(table: &str) -> impl Iterator<Item = Vec<&str>> {
    table
        .lines()
        .filter(|line| !line.starts_with('#'))
        .map(|line| line.split('\t').collect())
}

/// The symbol of a row on its `i`th root.
fn symbol(row: &[&str], i: usize) -> String {
    let suffix = if row[0] == "." { "" } else { row[0] };
    match row[1].parse::<usize>() {
        Ok(low) => format!("{}{suffix}/{}", ROOTS[i], ROOTS[(i + low) % 12]),
        Err(_) => format!("{}{suffix}", ROOTS[i]),
    }
}

fn read(text: &str) -> Chord {
    match Symbol::parse(text) {
        Ok(Symbol::Chord(chord)) => chord,
        other => panic!("{text}: {other:?}"),
    }
}

/// Semitones above the root, the bass among them.
fn sounds(chord: &Chord) -> BTreeSet<i32> {
    let bass = chord.bass_name().class();
    let above = |class: i32| (class - chord.root.class()).rem_euclid(12);
    chord.classes().chain([bass]).map(above).collect()
}

/// Degrees within one octave, `♭9` as `b2`.
fn degrees(chord: &Chord) -> BTreeSet<String> {
    let within = |t: &Tone| {
        let tone = match t.degree {
            8.. => Tone::new(t.degree - 7, t.semitones - 12),
            _ => *t,
        };
        tone.to_string().replace('♭', "b").replace('♯', "#")
    };
    chord.tones.iter().map(within).collect()
}

fn words(text: &str) -> BTreeSet<String> {
    text.split(' ').map(String::from).collect()
}

#[test]
fn we_read_as_three_libraries_agree() {
    let mut count = 0;
    for row in rows(AGREED) {
        let wanted: BTreeSet<i32> = row[2].split(' ').map(|n| n.parse().unwrap()).collect();
        for i in 0..12 {
            let text = symbol(&row, i);
            let chord = read(&text);
            assert_eq!(sounds(&chord), wanted, "{text}");
            let low = row[1].parse().unwrap_or(0);
            let bass = (chord.bass_name().class() - chord.root.class()).rem_euclid(12);
            assert_eq!(bass, low, "{text}");
            if row[3] != "-" {
                assert_eq!(degrees(&chord), words(row[3]), "{text}");
            }
            count += 1;
        }
    }
    assert!(count >= 1800, "{count}");
}

/// Symbol and our degrees, from the table of decided readings.
fn decided() -> BTreeMap<&'static str, &'static str> {
    DECIDED
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split_once("` | "))
        .filter_map(|(symbol, rest)| Some((symbol, rest.split_once(" | ")?.0)))
        .collect()
}

#[test]
fn decided_readings_are_what_we_read() {
    assert!(decided().len() >= 25);
    for (symbol, tones) in decided() {
        let ours: Vec<String> = read(symbol).tones.iter().map(Tone::to_string).collect();
        assert_eq!(ours.join(" "), tones, "{symbol}");
    }
}

/// Symbols of a table's rows (on C) in which `differs` sees another reading and none is decided.
fn undecided(table: &str, differs: impl Fn(&[&str], &Chord) -> bool) -> Vec<String> {
    let decided = decided();
    rows(table)
        .filter(|row| differs(row, &read(&symbol(row, 0))))
        .filter(|row| !decided.contains_key(symbol(row, 0).as_str()))
        .map(|row| row.join(" | "))
        .collect()
}

#[test]
fn every_difference_is_decided() {
    assert_eq!(
        undecided(AGREED, |row, _| row[5] != "-"),
        Vec::<String>::new()
    );
    // A library's cell holds degrees if it spells (the first three), else semitones.
    let differs = |row: &[&str], chord: &Chord| {
        let numbers: BTreeSet<String> = sounds(chord).iter().map(i32::to_string).collect();
        let said = |cells: &[&str], ours: &BTreeSet<String>| {
            cells.iter().any(|&c| c != "-" && words(c) != *ours)
        };
        said(&row[2..5], &degrees(chord)) || said(&row[5..], &numbers)
    };
    assert_eq!(undecided(OPEN, differs), Vec::<String>::new());
}
