//! The plain rule that gives test tunes their chords does what it says.

mod support;

use support::plain_chords;
use thumbline::song::{Bar, Close, GuitarWish, Note, Place, Song, Tempo};
use thumbline::theory::{Key, Meter, Mode, Pitch, QUARTER, Symbol};

/// A song of one note a quarter; `.` is a rest. Bars are parted by `|`.
fn song(key: Key, meter: &str, tune: &str) -> Song {
    let meter: Meter = meter.parse().expect("a meter");
    let bar = |(i, text): (usize, &str)| {
        let words: Vec<&str> = text.split_whitespace().collect();
        let note = |(i, word): (usize, &&str)| {
            let pitch: Pitch = word.parse().ok()?;
            Some(Note {
                at: i as i64 * QUARTER,
                length: QUARTER,
                pitch,
                tied: false,
                place: Place::default(),
            })
        };
        Bar {
            number: i as u32,
            meter: meter.clone(),
            key: key.clone(),
            tempo: None,
            length: words.len() as i64 * QUARTER,
            notes: words.iter().enumerate().filter_map(note).collect(),
            chords: Vec::new(),
            opens_repeat: false,
            close: Close::Single,
            ending: Vec::new(),
            place: Place::default(),
        }
    };
    Song {
        title: String::new(),
        composer: None,
        tags: Vec::new(),
        key: key.clone(),
        tempo: Tempo {
            beat: QUARTER,
            per_minute: 100,
        },
        bars: tune.split('|').enumerate().map(bar).collect(),
        guitar: GuitarWish::default(),
        pins: Vec::new(),
        ideas: Vec::new(),
    }
}

/// The chords it gets, each as `bar:quarter symbol`.
fn chords(tonic: &str, mode: Mode, meter: &str, tune: &str) -> String {
    let mut song = song(Key::new(tonic.parse().expect("a note"), mode), meter, tune);
    plain_chords(&mut song);
    let mut said = Vec::new();
    for (i, bar) in song.bars.iter().enumerate() {
        for change in &bar.chords {
            if let Symbol::Chord(chord) = &change.symbol {
                said.push(format!("{i}:{} {}", change.at / QUARTER, chord.text));
            }
        }
    }
    said.join(", ")
}

#[test]
fn half_bars_of_four_four_get_a_chord_each_and_a_pickup_none() {
    let tune = "G4 | C4 E4 F4 A4 | A4 F4 G4 B4 | . . . . | C4 G4 C4 E4";
    assert_eq!(
        chords("C", Mode::Major, "4/4", tune),
        "1:0 C, 1:2 F, 2:2 G, 4:0 C"
    );
}

#[test]
fn bars_of_three_four_get_one_and_the_downbeat_counts_double() {
    // C E B: C major holds 3 of 4, and so does A minor; the first in the order is taken.
    let tune = "C4 E4 B4 | B4 C4 A4";
    assert_eq!(chords("C", Mode::Major, "3/4", tune), "0:0 C, 1:0 F");
}

#[test]
fn minor_has_its_major_fifth_and_the_modes_stay_diatonic() {
    assert_eq!(
        chords("A", Mode::Minor, "2/4", "A4 C4 | B4 G#4 | D4 F4 | G4 B4"),
        "0:0 Am, 1:0 E, 2:0 Dm, 3:0 G"
    );
    assert_eq!(
        chords("D", Mode::Dorian, "2/4", "D4 F4 | G4 B4 | C4 E4"),
        "0:0 Dm, 1:0 G, 2:0 Am"
    );
    assert_eq!(
        chords("Bb", Mode::Mixolydian, "2/4", "Bb4 D4 | Eb4 G4 | Ab4 C4"),
        "0:0 Bb, 1:0 Eb, 2:0 Fm"
    );
}
