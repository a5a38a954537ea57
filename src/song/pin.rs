//! Pins: decisions of the player that the arranger may not change.

use super::{BassNote, Place};
use crate::theory::Ticks;

/// One pin of a song.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pin {
    /// Index of the written bar, from 0.
    pub bar: usize,
    /// Ticks from the bar line; the pin speaks of what is struck there.
    pub at: Ticks,
    /// What is fixed.
    pub wish: Wish,
    /// Where it stands in the song file.
    pub place: Place,
}

/// Which note of an onset a pin speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Target {
    Melody,
    Bass,
}

/// What a pin fixes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wish {
    /// The melody or bass note is played like this; what is not said stays free.
    Place {
        /// Which note.
        target: Target,
        /// String, 1 is the highest.
        string: Option<u8>,
        /// Fret above the capo, 0 is open.
        fret: Option<u8>,
        /// Left finger 1–4.
        finger: Option<u8>,
    },
    /// The frets sounding at this onset, string 1 first; `None` is a silent string.
    Grip(Vec<Option<u8>>),
    /// The bass note.
    Bass(BassNote),
    /// This many fill notes.
    Fill(u8),
    /// Nothing but the melody is struck here.
    Nothing,
}
