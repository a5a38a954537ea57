//! The songs of the harbour evening: each reads without a notice, adds up and can be sung.

// A test that can't read its song should stop right there, in helpers as well.
#![allow(clippy::unwrap_used)]

use thumbline::song::abc;
use thumbline::song::{Note, Song, SongFile};
use thumbline::theory::{Chord, Mode, QUARTER, Symbol, Ticks};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/songs");

/// Every song of `songs/`, with its file's name and the notices of its reader.
fn songs() -> Vec<(String, Song)> {
    let mut songs = Vec::new();
    for entry in std::fs::read_dir(FOLDER).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        // Who opened a demo song in the studio has its notes here.
        if name.starts_with('.') {
            continue;
        }
        let text = std::fs::read_to_string(&path).unwrap();
        if name.ends_with(".toml") {
            let (file, song, notices) =
                SongFile::parse(&text).unwrap_or_else(|e| panic!("{name}:{e}"));
            assert_eq!(notices, [], "{name}");
            assert_eq!(file.to_string(), text, "{name}");
            songs.push((name, song));
        } else {
            for tune in abc::read_book(&text) {
                let tune = tune.unwrap_or_else(|e| panic!("{name}:{e}"));
                assert_eq!(tune.notices, [], "{name}");
                songs.push((format!("{name}, {}", tune.number), tune.song));
            }
        }
    }
    songs.sort_by(|a, b| a.0.cmp(&b.0));
    songs
}

/// The chord in force at a place: the last change at or before it.
fn chord_at(song: &Song, bar: usize, at: Ticks) -> Option<&Chord> {
    let here = song.bars[bar].chords.iter().rev().find(|c| c.at <= at);
    let before = || song.bars[..bar].iter().rev().find_map(|b| b.chords.last());
    match &here.or_else(before)?.symbol {
        Symbol::Chord(chord) => Some(chord),
        Symbol::NoChord => None,
    }
}

fn is_tone(chord: &Chord, note: &Note) -> bool {
    chord.tone_of(note.pitch.midi().rem_euclid(12)).is_some()
}

#[test]
fn there_is_a_whole_evening() {
    let songs = songs();
    assert!(
        songs
            .iter()
            .filter(|(name, _)| name.ends_with(".toml"))
            .count()
            >= 6
    );
    assert!(
        songs
            .iter()
            .filter(|(name, _)| name.contains(".abc"))
            .count()
            >= 3
    );
    for (name, song) in &songs {
        assert!(!song.title.is_empty(), "{name}");
    }
    let bars = || songs.iter().flat_map(|(_, s)| &s.bars);
    for meter in ["3/4", "4/4", "6/8", "7/8"] {
        assert!(bars().any(|b| b.meter.to_string() == meter), "{meter}");
    }
    for mode in [Mode::Major, Mode::Minor, Mode::Dorian, Mode::Mixolydian] {
        assert!(bars().any(|b| b.key.mode == mode), "{mode:?}");
    }
    assert!(bars().any(|b| b.number == 0), "a pickup");
    assert!(bars().any(|b| b.ending == [2]), "a second ending");
    let third = QUARTER / 3;
    assert!(
        bars().any(|b| b.notes.iter().any(|n| n.length == third)),
        "a triplet"
    );
}

#[test]
fn every_bar_adds_up() {
    for (name, song) in songs() {
        assert_eq!(song.check(), [], "{name}");
        for bar in &song.bars {
            let sum: Ticks = bar.notes.iter().map(|n| n.length).sum();
            assert!(
                sum <= bar.length && bar.length <= bar.meter.bar(),
                "{name}, bar {}",
                bar.number
            );
        }
    }
}

#[test]
fn every_tune_is_within_a_voice() {
    for (name, song) in songs() {
        let notes = song.bars.iter().flat_map(|b| &b.notes);
        let midi: Vec<i32> = notes.map(|n| n.pitch.midi()).collect();
        let (low, high) = (midi.iter().min().unwrap(), midi.iter().max().unwrap());
        assert!(high - low <= 17, "{name}: {} semitones", high - low);
        // C4 to E5, a comfortable range for mixed voices: common practice, no source.
        assert!(*low >= 60 && *high <= 76, "{name}: {low} to {high}");
        for pair in midi.windows(2) {
            assert!(
                (pair[0] - pair[1]).abs() <= 12,
                "{name}: a leap over an octave"
            );
        }
    }
}

#[test]
fn strong_beats_carry_chord_tones() {
    for (name, song) in songs() {
        let (mut strong, mut tones) = (0, 0);
        for (b, bar) in song.bars.iter().enumerate() {
            let beats = bar.meter.beats();
            let middle = bar.meter.bar() / 2;
            for note in &bar.notes {
                let on = note.at == 0 || note.at == middle && beats.contains(&middle);
                if let Some(chord) = chord_at(&song, b, note.at).filter(|_| on) {
                    strong += 1;
                    tones += usize::from(is_tone(chord, note));
                }
            }
        }
        assert!(strong >= 8, "{name}");
        // The rest are suspensions and leaning notes.
        assert!(tones * 100 >= strong * 90, "{name}: {tones} of {strong}");
    }
}

#[test]
fn every_tune_comes_home() {
    for (name, song) in songs() {
        let bar = song.bars.len() - 1;
        let note = song.bars[bar].notes.last().unwrap();
        let chord = chord_at(&song, bar, note.at).unwrap();
        let tone = chord.tone_of(note.pitch.midi().rem_euclid(12));
        assert!(
            tone.is_some_and(|t| [1, 3, 5].contains(&t.degree)),
            "{name}"
        );
        assert_eq!(chord.root, song.key.tonic, "{name}");
    }
}

#[test]
fn songs_come_back_from_every_key() {
    for (name, song) in songs() {
        for semitones in [-5, 2, 7] {
            let moved = song.transposed(semitones);
            let read = SongFile::parse(&SongFile::new(&moved).unwrap().to_string())
                .unwrap()
                .1;
            assert!(read.same_as(&moved), "{name} moved by {semitones}");
        }
    }
}

#[test]
fn one_changed_bar_rewrites_one_line() {
    for (name, song) in songs() {
        one_line_at_a_time(&name, SongFile::new(&song).unwrap());
        if name.ends_with(".toml") {
            let path = format!("{FOLDER}/{name}");
            let text = std::fs::read_to_string(path).unwrap();
            one_line_at_a_time(&name, SongFile::parse(&text).unwrap().0);
        }
    }
}

fn one_line_at_a_time(name: &str, mut file: SongFile) {
    for bar in 0..file.song().bars.len() {
        let mut song = file.song().clone();
        let Some(note) = song.bars[bar].notes.last_mut() else {
            continue;
        };
        note.pitch = note.pitch.octaves_up(1);
        let before = file.to_string();
        file.update(&song).unwrap();
        let after = file.to_string();
        let changed = before.lines().zip(after.lines()).filter(|(a, b)| a != b);
        assert_eq!(changed.count(), 1, "{name}, bar {bar}:\n{before}\n{after}");
        assert_eq!(before.lines().count(), after.lines().count(), "{name}");
    }
}
