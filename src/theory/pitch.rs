//! Pitch that keeps its spelling: F♯ and G♭ sound alike and print as written.

use std::fmt;

/// One of the seven letter names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum Letter {
    C,
    D,
    E,
    F,
    G,
    A,
    B,
}

impl Letter {
    /// The letters upwards from C.
    pub const ALL: [Letter; 7] = [
        Letter::C,
        Letter::D,
        Letter::E,
        Letter::F,
        Letter::G,
        Letter::A,
        Letter::B,
    ];

    /// Semitones above C within one octave: 0, 2, 4, 5, 7, 9, 11.
    pub fn semitones(self) -> i32 {
        [0, 2, 4, 5, 7, 9, 11][self as usize]
    }

    /// The letter `steps` diatonic steps above (below when negative).
    pub fn step(self, steps: i32) -> Letter {
        Self::ALL[(self as i32 + steps).rem_euclid(7) as usize]
    }

    /// Reads an upper- or lower-case letter A to G.
    pub fn from_char(c: char) -> Option<Letter> {
        Self::ALL
            .into_iter()
            .find(|l| l.to_char() == c.to_ascii_uppercase())
    }

    /// The letter as an upper-case character.
    pub fn to_char(self) -> char {
        ['C', 'D', 'E', 'F', 'G', 'A', 'B'][self as usize]
    }
}

/// A spelled note without its octave: a letter and its alteration.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Name {
    /// The letter.
    pub letter: Letter,
    /// Semitones up (sharps) or down (flats): −3 to 3 as read, −5 to 6 as [`Name::up`] makes it.
    pub alter: i8,
}

impl Name {
    /// A note name from its letter and alteration in semitones.
    pub const fn new(letter: Letter, alter: i8) -> Name {
        Name { letter, alter }
    }

    /// Pitch class, 0 (C) to 11 (B).
    pub fn class(self) -> i32 {
        (self.letter.semitones() + i32::from(self.alter)).rem_euclid(12)
    }

    /// Place on the line of fifths: C is 0, each sharp-ward fifth adds one (G 1, F −1, F♯ 6).
    pub fn fifths(self) -> i32 {
        [0, 2, 4, -1, 1, 3, 5][self.letter as usize] + 7 * i32::from(self.alter)
    }

    /// The name at `fifths` on the line of fifths (the inverse of [`Name::fifths`]).
    pub fn from_fifths(fifths: i32) -> Name {
        let letter = Letter::ALL[((fifths + 1).rem_euclid(7) * 4 + 3).rem_euclid(7) as usize];
        let alter = (fifths + 1).div_euclid(7);
        Name::new(letter, alter as i8)
    }

    /// Spells a pitch class as the name nearest to `centre` on the line of fifths; of two equally
    /// near, the sharper.
    pub fn nearest(class: i32, centre: i32) -> Name {
        let base = (class * 7).rem_euclid(12);
        Name::from_fifths(base + 12 * (centre - base + 6).div_euclid(12))
    }

    /// The same sound without double signs: E♭♭ becomes D; F♯ stays.
    pub fn plain(self) -> Name {
        if self.alter.abs() > 1 {
            Name::nearest(self.class(), 0)
        } else {
            self
        }
    }

    /// The note `steps` letters and `semitones` above: a major third is (2, 4).
    pub fn up(self, steps: i32, semitones: i32) -> Name {
        let letter = self.letter.step(steps);
        let class = self.class() + semitones;
        let mut alter = (class - letter.semitones()).rem_euclid(12);
        if alter > 6 {
            alter -= 12;
        }
        Name::new(letter, alter as i8)
    }

    /// The name with signs that every keyboard has: `F#`, `Bb`.
    pub fn ascii(self) -> String {
        ascii(&self)
    }

    /// This name in the octave that puts it at or next above `midi`.
    pub fn at_or_above(self, midi: i32) -> Pitch {
        let lowest = Pitch::new(self, -1);
        let octaves = (midi - lowest.midi() + 11).div_euclid(12);
        Pitch::new(self, (octaves - 1) as i8)
    }
}

impl fmt::Display for Name {
    /// With the signs ♯ and ♭, doubled where needed: `F♯`, `B♭♭`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.letter.to_char())?;
        let sign = if self.alter > 0 { "♯" } else { "♭" };
        for _ in 0..self.alter.unsigned_abs() {
            f.write_str(sign)?;
        }
        Ok(())
    }
}

/// A text with signs that every keyboard has: `#` and `b`.
pub(super) fn ascii(text: &impl fmt::Display) -> String {
    text.to_string().replace('♯', "#").replace('♭', "b")
}

/// Why a note name could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("“{text}” is not a note; write a letter A to G, sharps or flats, and an octave: F#3, Bb2")]
pub struct PitchError {
    /// What was written.
    pub text: String,
}

impl std::str::FromStr for Name {
    type Err = PitchError;

    /// Reads `C`, `F#`, `Bb`, `c♯`, `Ebb`, `Fx`.
    fn from_str(text: &str) -> Result<Name, PitchError> {
        let error = || PitchError { text: text.into() };
        let mut chars = text.trim().chars();
        let letter = chars.next().and_then(Letter::from_char).ok_or_else(error)?;
        let mut alter = 0i8;
        for c in chars {
            alter += match c {
                '#' | '♯' => 1,
                'b' | '♭' => -1,
                'x' | '𝄪' => 2,
                _ => return Err(error()),
            };
            if alter.abs() > 3 {
                return Err(error());
            }
        }
        Ok(Name::new(letter, alter))
    }
}

/// A spelled note in its octave, in scientific pitch notation: C4 is middle C, MIDI 60.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Pitch {
    /// Letter and alteration.
    pub name: Name,
    /// Octave of the letter: B♯3 and C4 sound alike.
    pub octave: i8,
}

impl Pitch {
    /// A pitch from its name and octave.
    pub const fn new(name: Name, octave: i8) -> Pitch {
        Pitch { name, octave }
    }

    /// MIDI note number; 60 is C4, 69 is A4. May lie outside 0–127.
    pub fn midi(self) -> i32 {
        (i32::from(self.octave) + 1) * 12
            + self.name.letter.semitones()
            + i32::from(self.name.alter)
    }

    /// Letters above C0, without regard to signs: C4 and C♯4 are 28, D4 is 29.
    pub(super) fn steps(self) -> i32 {
        7 * i32::from(self.octave) + self.name.letter as i32
    }

    /// The same name some octaves higher or lower.
    pub fn octaves_up(self, octaves: i32) -> Pitch {
        Pitch::new(self.name, (i32::from(self.octave) + octaves) as i8)
    }

    /// The pitch `steps` letters and `semitones` above (below when negative).
    pub fn up(self, steps: i32, semitones: i32) -> Pitch {
        let name = self.name.up(steps, semitones);
        let octave = (self.midi() + semitones - name.letter.semitones() - i32::from(name.alter))
            .div_euclid(12)
            - 1;
        Pitch::new(name, octave as i8)
    }

    /// Spells a MIDI number as the name nearest to `centre` on the line of fifths
    /// (0 is C; key signatures centre about two fifths above their tonic's major).
    pub fn from_midi(midi: i32, centre: i32) -> Pitch {
        let name = Name::nearest(midi.rem_euclid(12), centre);
        let octave = (midi - name.letter.semitones() - i32::from(name.alter)).div_euclid(12) - 1;
        Pitch::new(name, octave as i8)
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.name, self.octave)
    }
}

impl std::str::FromStr for Pitch {
    type Err = PitchError;

    /// Reads `E2`, `F#3`, `Bb-1`.
    fn from_str(text: &str) -> Result<Pitch, PitchError> {
        let error = || PitchError { text: text.into() };
        let text = text.trim();
        let split = text
            .find(|c: char| c.is_ascii_digit() || c == '-')
            .ok_or_else(error)?;
        let name = text[..split].parse().map_err(|_| error())?;
        let octave: i8 = text[split..].parse().map_err(|_| error())?;
        if !(-1..=9).contains(&octave) {
            return Err(error());
        }
        Ok(Pitch::new(name, octave))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fifths_and_names_are_inverse() {
        for f in -20..=20 {
            assert_eq!(Name::from_fifths(f).fifths(), f);
        }
    }

    #[test]
    fn double_signs_are_made_plain() {
        for (from, to) in [
            ("Ebb", "D"),
            ("Fx", "G"),
            ("Abb", "G"),
            ("F#", "F♯"),
            ("Cb", "C♭"),
        ] {
            assert_eq!(from.parse::<Name>().unwrap().plain().to_string(), to);
        }
    }

    #[test]
    fn midi_numbers_follow_the_midi_standard() {
        // MIDI 1.0: middle C is note 60; A4 = 440 Hz is 69.
        for (text, midi) in [("C4", 60), ("A4", 69), ("E2", 40), ("B#3", 60), ("Cb4", 59)] {
            assert_eq!(text.parse::<Pitch>().unwrap().midi(), midi, "{text}");
        }
    }

    #[test]
    fn spelling_follows_the_key() {
        assert_eq!(Pitch::from_midi(66, 4).to_string(), "F♯4");
        assert_eq!(Pitch::from_midi(66, -4).to_string(), "G♭4");
        assert_eq!(Pitch::from_midi(60, 2).to_string(), "C4");
    }

    #[test]
    fn steps_keep_spelling() {
        let f: Pitch = "F#3".parse().unwrap();
        assert_eq!(f.up(2, 4).to_string(), "A♯3");
        assert_eq!(f.up(-1, -1).to_string(), "E♯3");
        assert_eq!(f.up(7, 12).to_string(), "F♯4");
    }

    #[test]
    fn names_sit_above_a_floor() {
        let e: Name = "E".parse().unwrap();
        assert_eq!(e.at_or_above(40).midi(), 40);
        assert_eq!(e.at_or_above(41).midi(), 52);
    }
}
