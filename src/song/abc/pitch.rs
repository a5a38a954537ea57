//! From written notes to pitches: signature, accidentals of the bar, ties.

use super::Accidentals;
use super::lexer::Written;
use crate::song::Place;
use crate::theory::{Key, Name, Pitch};

/// Octaves 0 to 8, as the lexer lets through.
const OCTAVES: usize = 9;

/// A tie that waits for its second note.
#[derive(Debug, Clone)]
pub(super) struct OpenTie {
    /// Index of the bar, and of the note in it.
    pub bar: usize,
    pub note: usize,
    pub pitch: Pitch,
    /// A bar line has gone by since.
    pub crossed: bool,
    pub place: Place,
}

/// The accidentals in force.
#[derive(Debug)]
pub(super) struct Pitches {
    pub reach: Accidentals,
    bar: [[Option<i8>; 7]; OCTAVES],
}

impl Pitches {
    pub(super) fn new(reach: Accidentals) -> Pitches {
        Pitches {
            reach,
            bar: [[None; 7]; OCTAVES],
        }
    }

    /// Accidentals end here.
    pub(super) fn bar_line(&mut self) {
        self.bar = [[None; 7]; OCTAVES];
    }

    /// The pitch of a note, its accidental remembered.
    pub(super) fn read(&mut self, note: &Written, key: &Key, tie: Option<&OpenTie>) -> Pitch {
        let letter = note.letter as usize;
        let octave = usize::try_from(note.octave).unwrap_or(0).min(OCTAVES - 1);
        if let Some(alter) = note.accidental {
            match self.reach {
                Accidentals::Note => {}
                Accidentals::Octave => self.bar[octave][letter] = Some(alter),
                Accidentals::Pitch => self.bar.iter_mut().for_each(|o| o[letter] = Some(alter)),
            }
        }
        let held = tie
            .filter(|t| t.crossed && t.pitch.octave == note.octave)
            .filter(|t| t.pitch.name.letter == note.letter)
            .map(|t| t.pitch.name.alter);
        let alter = note
            .accidental
            .or(self.bar[octave][letter])
            .or(held)
            .unwrap_or_else(|| key.alter(note.letter));
        Pitch::new(Name::new(note.letter, alter), note.octave)
    }
}
