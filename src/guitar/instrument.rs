//! The instrument: strings, tuning, capo, frets and measures.

use super::GuitarError;
use crate::theory::Pitch;

/// The most strings an instrument may have here.
pub const MAX_STRINGS: usize = 8;

/// A fretted instrument of 4 to 8 strings.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// The tuning's name, or its notes as written.
    pub tuning: String,
    /// Open strings without capo; index 0 is string 1, the highest.
    pub open: Vec<Pitch>,
    /// Fret of the capo, 0 for none.
    pub capo: u8,
    /// Frets on the neck, counted from the nut.
    pub frets: u8,
    /// Nut to bridge in mm.
    pub scale_mm: f64,
    /// Between neighbouring strings at the nut, in mm.
    pub nut_spacing_mm: f64,
    /// Between neighbouring strings at the bridge, in mm.
    pub bridge_spacing_mm: f64,
}

impl Instrument {
    /// A guitar in standard tuning, no capo, 19 frets, 650 mm.
    pub fn standard() -> Instrument {
        Instrument::new("standard", 0, 19).expect("the standard tuning is built in")
    }

    /// An instrument of the usual measures in a tuning given by name or by its notes, lowest first.
    ///
    /// # Errors
    /// When the tuning can't be read, or the capo leaves no fret.
    pub fn new(_tuning: &str, _capo: u8, _frets: u8) -> Result<Instrument, GuitarError> {
        unimplemented!()
    }

    /// How many strings it has.
    pub fn strings(&self) -> usize {
        self.open.len()
    }

    /// The highest fret above the capo.
    pub fn top_fret(&self) -> u8 {
        self.frets.saturating_sub(self.capo)
    }

    /// MIDI number of `string` (1 is the highest) at `fret` above the capo.
    pub fn sounding(&self, string: u8, fret: u8) -> i32 {
        self.open[usize::from(string) - 1].midi() + i32::from(self.capo) + i32::from(fret)
    }

    /// Every string and fret (above the capo) that gives this MIDI number, highest string first.
    pub fn places(&self, midi: i32) -> impl Iterator<Item = (u8, u8)> + '_ {
        (1..=self.strings() as u8).filter_map(move |string| {
            let fret = midi - self.sounding(string, 0);
            (0..=i32::from(self.top_fret()))
                .contains(&fret)
                .then_some((string, fret as u8))
        })
    }
}
