//! Chord symbols as values: root, tones, slash bass, and what an arranger asks of them.
//!
//! `read`, `change` and `parts` read them, `write` makes the fixed spelling of [`Display`](fmt::Display).

mod change;
mod parts;
mod read;
#[cfg(test)]
mod tests;
mod write;

use super::pitch::ascii;
use super::{Key, Name};
use std::fmt;

/// One tone of a chord, counted from its root.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Tone {
    /// Degree as the trade counts it: 1, 2, 3, 4, 5, 6, 7, 9, 11, 13.
    ///
    /// 2 and 4 stand in place of a third (suspended); beside a third they are counted 9 and 11.
    /// 6 is counted 13 beside a seventh, and 13 is counted 6 without one.
    pub degree: u8,
    /// Semitones above the root, 0 to 21 (a ninth is 13, 14 or 15).
    pub semitones: u8,
}

impl Tone {
    /// The root of any chord.
    pub const ROOT: Tone = Tone::new(1, 0);

    /// A tone from its degree and its semitones above the root.
    pub const fn new(degree: u8, semitones: u8) -> Tone {
        Tone { degree, semitones }
    }

    /// Semitones of the major scale's `degree` (1 to 13) above its first.
    pub(in crate::theory) const fn natural(degree: u8) -> u8 {
        let step = (degree + 6) % 7;
        let octaves = (degree - 1) / 7;
        [0, 2, 4, 5, 7, 9, 11][step as usize] + 12 * octaves
    }
}

impl fmt::Display for Tone {
    /// The degree against the major scale: `1`, `♭3`, `5`, `♭7`, `♯11`; a diminished seventh is `♭♭7`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let by = i32::from(self.semitones) - i32::from(Tone::natural(self.degree.max(1)));
        let sign = if by > 0 { "♯" } else { "♭" };
        write!(
            f,
            "{}{}",
            sign.repeat(by.unsigned_abs() as usize),
            self.degree
        )
    }
}

/// A chord read from a symbol. Two ways of writing one chord compare equal except for `text`.
#[derive(Debug, Clone)]
pub struct Chord {
    /// The root.
    pub root: Name,
    /// The tones, root first, by degree. Omitted tones are absent; the slash bass is not in here.
    pub tones: Vec<Tone>,
    /// The note after the slash, if one is written and it is not the root.
    pub bass: Option<Name>,
    /// The symbol as it was written, without surrounding blanks.
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
    /// Reads a chord symbol in any of the trade's spellings, or `N.C.`.
    ///
    /// Where the trade or the reference libraries differ, this is how a symbol is read:
    ///
    /// | written | read as | why |
    /// | --- | --- | --- |
    /// | `C-` `C-7` `C-9` | minor | a dash after the root is minor; after a number (`C7-9`) it is a flat |
    /// | `C-5` | `C(♭5)` | a minor chord needs no 5 |
    /// | `C+7` `C+9` | 7 and 9 with ♯5 | a plus after the root is augmented; after a number (`C7+9`) a sharp |
    /// | `Cb5` `C#9` | C♭5, C♯9 | a sign after the letter belongs to the root: write `C(b5)` |
    /// | `CΔ` `C^` | major seventh | |
    /// | `C°` | the triad | the seventh is written `C°7` |
    /// | `C2` | `Cadd9` | the third is kept; without it: `Csus2` |
    /// | `C4` | `Csus4` | |
    /// | `C11` `Cmaj11` | no third | a fourth over a major third clashes; to keep both: `C9add11` |
    /// | `C13` `Cmaj13` | 9 but no 11 | the same clash |
    /// | `Cm11` `Cm13` | 9 and 11 | no clash over a minor third |
    /// | `Cdim9` | diminished seventh and major ninth | |
    /// | `C7alt` | `C7(♯5,♯9)` | the usual five tones that say it |
    /// | `C6/9` | 6 and 9 added | a 9 after the slash is no bass |
    /// | `C(9)` `C7/13` | the tone added | a plain number in brackets or after a slash |
    ///
    /// Roots and basses are capital letters: a small `b` could be a flat as well as the note B.
    ///
    /// # Errors
    /// A [`ChordError`] with the place and a remedy for everything that is not understood.
    pub fn parse(text: &str) -> Result<Symbol, ChordError> {
        read::read(text)
    }

    /// As [`Chord::ascii`], or `N.C.`.
    pub fn ascii(&self) -> String {
        ascii(self)
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

    /// Pitch class (0–11) of a tone of this chord.
    pub fn class(&self, tone: Tone) -> i32 {
        (self.root.class() + i32::from(tone.semitones)).rem_euclid(12)
    }

    /// Pitch classes (0–11) of the tones in their order. The slash bass is not among them.
    pub fn classes(&self) -> impl Iterator<Item = i32> + '_ {
        self.tones.iter().map(|&t| self.class(t))
    }

    /// The pitch classes of its tones, as bits.
    pub fn class_set(&self) -> u16 {
        self.classes().fold(0, |set, class| set | 1 << class)
    }

    /// The tone that sounds as pitch class `class` (any octave's), if the chord has one.
    pub fn tone_of(&self, class: i32) -> Option<Tone> {
        let class = class.rem_euclid(12);
        self.tones.iter().copied().find(|&t| self.class(t) == class)
    }

    /// Whether `class` (any octave's) is a tone of the chord. The slash bass does not count.
    pub fn is_tone(&self, class: i32) -> bool {
        self.tone_of(class).is_some()
    }

    /// The third. None when it is suspended or left out.
    pub fn third(&self) -> Option<Tone> {
        self.degree(3)
    }

    /// The fifth, plain or altered; the lower one where a chord has two.
    pub fn fifth(&self) -> Option<Tone> {
        self.degree(5)
    }

    /// The seventh; none in a sixth chord.
    pub fn seventh(&self) -> Option<Tone> {
        self.degree(7)
    }

    fn degree(&self, degree: u8) -> Option<Tone> {
        self.tones.iter().copied().find(|t| t.degree == degree)
    }

    /// The chord `semitones` higher (lower when negative), spelled as the new `key` would:
    /// diminished chords as leading tones (F♯dim in C), others on the flat side (A♭ in C), no
    /// double accidental in the root. A slash bass keeps its distance from the root.
    pub fn transposed(&self, semitones: i32, key: &Key) -> Chord {
        let class = (self.root.class() + semitones.rem_euclid(12)).rem_euclid(12);
        let diminished = self.third().is_some_and(|t| t.semitones == 3)
            && self.fifth().is_some_and(|t| t.semitones == 6);
        let root = Name::nearest(class, key.fifths() + if diminished { 3 } else { 0 }).plain();
        let bass = self.bass.map(|bass| {
            let steps = bass.letter as i32 - self.root.letter as i32;
            let moved = root.up(steps, bass.class() - self.root.class());
            if moved.alter.abs() > 2 {
                moved.plain()
            } else {
                moved
            }
        });
        let mut chord = Chord {
            root,
            tones: self.tones.clone(),
            bass,
            text: String::new(),
        };
        chord.text = chord.to_string();
        chord
    }

    /// The fixed spelling of [`fmt::Display`] with `#` and `b`, for abc, MIDI text and the like.
    pub fn ascii(&self) -> String {
        ascii(self)
    }
}

impl PartialEq for Chord {
    fn eq(&self, other: &Chord) -> bool {
        self.root == other.root && self.tones == other.tones && self.bass == other.bass
    }
}
impl Eq for Chord {}

impl fmt::Display for Chord {
    /// One fixed spelling of each chord, made from its tones: `Am7`, `F♯m7♭5`, `D/F♯`, `C7(♭9,♯11)`.
    /// It reads back as the same chord.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.root, write::suffix(&self.tones))?;
        match self.bass {
            Some(bass) => write!(f, "/{bass}"),
            None => Ok(()),
        }
    }
}
