//! The neck in millimetres: where a fingertip goes for each string and fret.

use super::Instrument;

/// Finger places of one instrument with its capo, in tenths of a millimetre.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Neck {
    /// Along the neck from the nut, by fret above the capo (index 0 is the capo or nut itself).
    along: Vec<i32>,
    /// Across the neck from string 1, by string (from 0) then fret above the capo.
    across: Vec<Vec<i32>>,
}

impl Neck {
    /// Measures an instrument.
    pub fn new(_instrument: &Instrument) -> Neck {
        unimplemented!()
    }

    /// Where a finger stopping `fret` (above the capo) presses, along the neck from the nut, in
    /// tenths of a millimetre.
    pub fn along(&self, fret: u8) -> i32 {
        self.along[usize::from(fret)]
    }

    /// Where `string` (from 1) runs at that place, across the neck from string 1, in tenths of a
    /// millimetre.
    pub fn across(&self, string: u8, fret: u8) -> i32 {
        self.across[usize::from(string) - 1][usize::from(fret)]
    }
}
