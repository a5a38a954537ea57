//! Chord symbols: what the trade writes over a melody, read into tones.

use super::{Key, Name};
use std::fmt;

/// One tone of a chord, counted from its root.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tone {
    /// Degree as the trade counts it: 1, 2, 3, 4, 5, 6, 7, 9, 11, 13.
    pub degree: u8,
    /// Semitones above the root, 0 to 21 (a ninth is 13, 14 or 15).
    pub semitones: u8,
}

/// A chord read from a symbol. Two ways of writing one chord compare equal except for `text`.
#[derive(Debug, Clone)]
pub struct Chord {
    /// The root.
    pub root: Name,
    /// The tones, root first, by degree. Omitted tones are absent; the slash bass is not in here.
    pub tones: Vec<Tone>,
    /// The note after the slash, if one is written.
    pub bass: Option<Name>,
    /// The symbol as it was written.
    pub text: String,
}

/// A symbol over the melody: a chord, or the word that there is none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Symbol {
    /// A chord.
    Chord(Chord),
    /// `N.C.`: no chord here.
    NoChord,
}

/// Why a chord symbol could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("chord “{text}”: {problem}")]
pub struct ChordError {
    /// The whole symbol.
    pub text: String,
    /// Where it stops making sense, in characters from its start.
    pub at: usize,
    /// What is wrong, and what to write instead.
    pub problem: String,
}

impl Symbol {
    /// Reads a chord symbol in any of the trade's spellings.
    pub fn parse(_text: &str) -> Result<Symbol, ChordError> {
        unimplemented!()
    }
}

impl Chord {
    /// The lowest note asked for: the slash bass, else the root.
    pub fn bass_name(&self) -> Name {
        self.bass.unwrap_or(self.root)
    }

    /// The spelled name of a tone of this chord.
    pub fn name(&self, tone: Tone) -> Name {
        self.root
            .up(i32::from(tone.degree) - 1, i32::from(tone.semitones))
    }

    /// The tone that sounds as pitch class `class` (0–11), if the chord has one.
    pub fn tone_of(&self, class: i32) -> Option<Tone> {
        self.tones
            .iter()
            .copied()
            .find(|t| (self.root.class() + i32::from(t.semitones)).rem_euclid(12) == class)
    }

    /// The chord moved so that its names fit `key`, `semitones` higher (lower when negative).
    pub fn transposed(&self, _semitones: i32, _key: &Key) -> Chord {
        unimplemented!()
    }
}

impl PartialEq for Chord {
    fn eq(&self, other: &Chord) -> bool {
        self.root == other.root && self.tones == other.tones && self.bass == other.bass
    }
}
impl Eq for Chord {}

impl fmt::Display for Chord {
    /// One fixed spelling of each chord: `Am7`, `F♯m7♭5`, `D/F♯`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl fmt::Display for Symbol {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Symbol::Chord(chord) => chord.fmt(f),
            Symbol::NoChord => f.write_str("N.C."),
        }
    }
}
