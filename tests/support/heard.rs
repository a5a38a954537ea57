//! What is heard of a tune, in the units of the tables in `tests/outside/abc`.

use thumbline::song::Song;
use thumbline::theory::{QUARTER, Symbol, Ticks};

/// A quarter in the units of the tables: everything that is compared is a whole number of them.
const UNITS: Ticks = 480;

/// An onset, a length and a MIDI number.
pub type Heard = (Ticks, Ticks, i32);

/// Onset and length in 480ths of a quarter and MIDI number of every note, in written order with
/// ties joined.
pub fn events(song: &Song) -> Vec<Heard> {
    let mut joined: Vec<Heard> = Vec::new();
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
    let rounded = joined.into_iter().map(|(at, length, midi)| {
        let (from, to) = (units(at), units(at + length));
        (from, to - from, midi)
    });
    rounded.collect()
}

/// The events as `onset:length:midi`, blank-separated.
pub fn row(events: &[Heard]) -> String {
    let one = |(at, length, midi): &Heard| format!("{at}:{length}:{midi}");
    events.iter().map(one).collect::<Vec<_>>().join(" ")
}

/// The chords as `onset:pitch class of the root`.
pub fn chords(song: &Song) -> String {
    let bars = song.bars.iter().zip(song.starts());
    let chords = bars.flat_map(|(bar, start)| bar.chords.iter().map(move |c| (start + c.at, c)));
    let named = chords.filter_map(|(at, change)| match &change.symbol {
        Symbol::Chord(chord) => Some(format!("{}:{}", at * UNITS / QUARTER, chord.root.class())),
        Symbol::NoChord => None,
    });
    named.collect::<Vec<_>>().join(" ")
}
