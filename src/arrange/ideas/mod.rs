//! The fourth layer: ideas that colour a bar, a run of bars or an onset.
//!
//! A taken idea becomes marks on the plan (`marks`): more strokes, another bass, a rolled chord, a
//! touched string, a knock. What is struck for it is found by the same search as everything else.

mod bass;
mod bells;
mod choice;
mod chords;
mod line;
mod marks;
mod offer;
mod price;
mod proposal;
mod scene;
mod touch;
mod walk;
mod words;

pub use offer::{Offer, offers};
pub use proposal::{Proposal, Proposed, propose};

pub(crate) use marks::{Asked, Marks, at as mark_at, broken_tone};
pub use words::why;

use super::plan::Plan;
use crate::guitar::Instrument;
use crate::song::{Pin, Place, Song, Target, Wish};
use crate::theory::Ticks;

/// Semitones above the open string of the natural harmonics that lie at a fret up to the body, and
/// their cents against equal temperament: the fret, the semitones, the thousandths of a cent.
///
/// A string touched at 1/k of its length sounds its k-th partial, k times its frequency (harmonic
/// series): 2, 3, 4 and 5 are an octave, an octave and a fifth, two octaves, two octaves and a third,
/// and 1200·log2(k) cents.
pub const NODES: [(u8, i32, i32); 4] = [(12, 12, 0), (7, 19, 1_955), (5, 24, 0), (4, 28, -13_686)];

/// The MIDI number nearest to the natural harmonic of a string touched over a fret above the capo.
pub(crate) fn harmonic(instrument: &Instrument, string: u8, fret: u8) -> Option<i32> {
    let node = NODES.iter().find(|n| n.0 == fret)?;
    let there = (1..=instrument.strings()).contains(&usize::from(string));
    (there && fret <= instrument.top_fret()).then(|| instrument.sounding(string, 0) + node.1)
}

/// Whether a harmonic is asked for where no melody note starts.
pub(crate) fn is_in_vain(plan: &Plan) -> bool {
    let starts = |at| plan.melody.binary_search_by_key(&at, |t| t.at).is_ok();
    plan.marks.touched.iter().any(|m| !starts(m.at))
}

/// The pins that taken slurs and campanellas amount to: melody notes on the strings said, those of a
/// slur by the fingers said.
pub(crate) fn melody_pins(song: &Song, plan: &Plan) -> Vec<Pin> {
    let bells = plan.marks.bells.iter();
    let mut pins: Vec<Pin> = (bells)
        .map(|mark| melody_pin(song, mark.at, mark.what.0, None))
        .collect();
    for mark in &plan.marks.slurs {
        let (string, fingers) = mark.what;
        let to = plan.melody.binary_search_by_key(&mark.at, |t| t.at);
        let pair = match to {
            Ok(i) => [i.checked_sub(1), Some(i)],
            // What is not there can't be slurred, and is told like a pin that can't be kept.
            Err(_) => [None, None],
        };
        for (note, finger) in pair.into_iter().zip([fingers.0, fingers.1]) {
            let tune = note.and_then(|i| plan.melody.get(i));
            let at = tune.map_or(mark.at, |t| t.at);
            pins.push(melody_pin(song, at, string, Some(finger)));
        }
    }
    pins
}

/// The melody note at `at` on a string, by a finger.
fn melody_pin(song: &Song, at: Ticks, string: u8, finger: Option<u8>) -> Pin {
    let starts = song.starts();
    let bar = starts.partition_point(|&s| s <= at).saturating_sub(1);
    let bar = bar.min(song.bars.len().saturating_sub(1));
    Pin {
        bar,
        at: at - starts[bar],
        wish: Wish::Place {
            target: Target::Melody,
            string: Some(string),
            fret: None,
            finger,
        },
        place: Place::default(),
    }
}

/// Whether the melody notes `from` and `to` of a plan, on one string by these frets and fingers, can be
/// slurred: hammered on by a higher finger, pulled off to a lower one or the open string, or slid.
pub(crate) fn is_slurred((from, finger): (i8, u8), (to, then): (i8, u8)) -> bool {
    match to.cmp(&from) {
        std::cmp::Ordering::Greater => then > finger || (then == finger && finger > 0),
        std::cmp::Ordering::Less => then <= finger,
        std::cmp::Ordering::Equal => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Hammered on by a higher finger, pulled off to a lower one, slid by the same (common practice, no
    /// source).
    #[test]
    fn a_slur_goes_up_to_a_higher_finger_and_down_to_a_lower_one_or_slides() {
        for (from, to, slurred) in [
            ((3, 1), (5, 3), true),
            ((3, 1), (5, 1), true),
            ((0, 0), (2, 2), true),
            ((3, 2), (5, 1), false),
            ((0, 0), (5, 0), false),
            ((5, 3), (3, 1), true),
            ((5, 2), (3, 2), true),
            ((2, 2), (0, 0), true),
            ((5, 1), (3, 3), false),
            ((3, 1), (3, 1), false),
            ((3, 1), (3, 2), false),
        ] {
            assert_eq!(is_slurred(from, to), slurred, "{from:?} to {to:?}");
        }
    }
}
