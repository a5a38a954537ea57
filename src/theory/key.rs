//! Keys and modes: signatures, spelling, transposition.

use super::{Letter, Name, Pitch};
use std::fmt;

/// The seven modes of the major scale; `Major` is Ionian, `Minor` Aeolian.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Mode {
    Major,
    Dorian,
    Phrygian,
    Lydian,
    Mixolydian,
    Minor,
    Locrian,
}

/// A key: tonic and mode, with accidentals that the signature carries besides (or instead).
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Key {
    /// The keynote.
    pub tonic: Name,
    /// The mode over it.
    pub mode: Mode,
    /// Explicit accidentals of the signature: each letter's alteration in semitones, where given.
    pub explicit: [Option<i8>; 7],
}

/// Why a key could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("“{text}” is not a key; write a keynote and a mode: G, Em, D dorian, Bb mixolydian")]
pub struct KeyError {
    /// What was written.
    pub text: String,
}

impl Key {
    /// A plain key.
    pub const fn new(tonic: Name, mode: Mode) -> Key {
        Key {
            tonic,
            mode,
            explicit: [None; 7],
        }
    }

    /// Sharps (positive) or flats (negative) of the mode's signature.
    pub fn fifths(&self) -> i32 {
        let mode = match self.mode {
            Mode::Lydian => 1,
            Mode::Major => 0,
            Mode::Mixolydian => -1,
            Mode::Dorian => -2,
            Mode::Minor => -3,
            Mode::Phrygian => -4,
            Mode::Locrian => -5,
        };
        self.tonic.fifths() + mode
    }

    /// How the signature alters a letter, in semitones.
    pub fn alter(&self, letter: Letter) -> i8 {
        if let Some(a) = self.explicit[letter as usize] {
            return a;
        }
        // Sharps come in the order F C G D A E B, flats the other way round.
        let order = (Name::new(letter, 0).fifths() + 1).rem_euclid(7);
        ((self.fifths() - order + 6).div_euclid(7)) as i8
    }

    /// Spells a MIDI number as this key would.
    pub fn spell(&self, midi: i32) -> Pitch {
        Pitch::from_midi(midi, self.fifths() + 2)
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} {}",
            self.tonic,
            match self.mode {
                Mode::Major => "major",
                Mode::Dorian => "dorian",
                Mode::Phrygian => "phrygian",
                Mode::Lydian => "lydian",
                Mode::Mixolydian => "mixolydian",
                Mode::Minor => "minor",
                Mode::Locrian => "locrian",
            }
        )
    }
}
