//! Intervals by name, for saying why a note is where it is.

use super::{Pitch, Tone};
use std::fmt;

/// The distance between two spelled pitches, counted upwards: F to G♯ is an augmented second,
/// F to A♭ a minor third.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Interval {
    /// Letters between the two: 0 for a unison, 2 for a third, 7 for an octave. Never negative.
    pub steps: i32,
    /// Semitones between the two. Negative only where signs cross, as from C♯ to C♭♭ a letter on.
    pub semitones: i32,
}

impl Interval {
    /// From the lower to the higher of two pitches, in whichever order they are given.
    pub fn between(a: Pitch, b: Pitch) -> Interval {
        let key = |p: Pitch| (p.steps(), p.midi());
        let (low, high) = if key(a) <= key(b) { (a, b) } else { (b, a) };
        Interval {
            steps: high.steps() - low.steps(),
            semitones: high.midi() - low.midi(),
        }
    }

    /// How far it is from the major or perfect interval of as many steps, in semitones.
    fn off(self) -> i32 {
        let degree = self.steps.rem_euclid(7) as u8 + 1;
        let natural = i32::from(Tone::natural(degree)) + 12 * self.steps.div_euclid(7);
        self.semitones - natural
    }
}

impl fmt::Display for Interval {
    /// `unison`, `minor 3rd`, `perfect 5th`, `octave`, `major 10th`, `augmented 4th`,
    /// `diminished 7th`; a doubly augmented one is called so.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let off = self.off();
        match (self.steps, off) {
            (0, 0) => return f.write_str("unison"),
            (7, 0) => return f.write_str("octave"),
            _ => {}
        }
        let perfect = matches!(self.steps.rem_euclid(7), 0 | 3 | 4);
        let quality = match (perfect, off) {
            (true, 0) => "perfect",
            (false, 0) => "major",
            (false, -1) => "minor",
            (_, 1) => "augmented",
            (true, -1) | (false, -2) => "diminished",
            (_, 2..) => "doubly augmented",
            _ => "doubly diminished",
        };
        let number = self.steps + 1;
        let ordinal = match (number % 10, number % 100) {
            _ if number == 1 => return write!(f, "{quality} unison"),
            _ if number == 8 => return write!(f, "{quality} octave"),
            (_, 11..=13) => "th",
            (1, _) => "st",
            (2, _) => "nd",
            (3, _) => "rd",
            _ => "th",
        };
        write!(f, "{quality} {number}{ordinal}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(a: &str, b: &str) -> String {
        Interval::between(a.parse().unwrap(), b.parse().unwrap()).to_string()
    }

    #[test]
    fn intervals_are_named_by_their_spelling() {
        // Common practice, no source.
        for (a, b, name) in [
            ("C4", "C4", "unison"),
            ("C4", "C#4", "augmented unison"),
            ("E4", "F4", "minor 2nd"),
            ("F3", "G#3", "augmented 2nd"),
            ("F3", "Ab3", "minor 3rd"),
            ("F3", "A3", "major 3rd"),
            ("B3", "F4", "diminished 5th"),
            ("F3", "B3", "augmented 4th"),
            ("C4", "G4", "perfect 5th"),
            ("G#3", "F4", "diminished 7th"),
            ("E2", "E3", "octave"),
            ("E2", "G#3", "major 10th"),
            ("E2", "B3", "perfect 12th"),
            ("C2", "C4", "perfect 15th"),
            ("B#3", "C4", "diminished 2nd"),
            ("Cb4", "C#5", "doubly augmented octave"),
            ("C2", "D5", "major 23rd"),
        ] {
            assert_eq!(said(a, b), name, "{a} {b}");
            assert_eq!(said(b, a), name, "{b} {a}");
        }
    }
}
