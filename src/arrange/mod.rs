//! The arranger: from a song, an instrument, a hand and the player's pins to the best arrangement
//! under the stated costs. Pure: the same values in give the same arrangement out.

mod arrangement;
mod cost;
mod reasons;

pub use arrangement::{Arrangement, Layer, Pluck, Remark, Slice, Technique, Tune};
pub use cost::Price;
pub use reasons::Reason;

pub use crate::guitar::RightFinger;
use crate::guitar::{Hand, Instrument};
use crate::song::Song;

/// What is asked of the arranger beside song, instrument and hand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Options {
    /// The highest layer wanted.
    pub layer: Layer,
    /// Move the melody by this many semitones' octave instead of choosing it (0, ±12, …).
    pub shift: Option<i32>,
    /// Which of fuller and easier weighs more.
    pub lean: Lean,
}

/// Which way to lean where fullness and ease disagree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[allow(missing_docs)]
pub enum Lean {
    Easy,
    #[default]
    Even,
    Full,
}

/// Why a song can't be arranged.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs)]
pub enum ArrangeError {
    /// There is no melody note at all.
    #[error("there is no note in this tune")]
    Empty,
    /// No octave puts the melody on the neck. `fits` lists transpositions in semitones that do.
    #[error("the melody goes from {low} to {high}, outside what this instrument plays")]
    OutOfRange {
        low: String,
        high: String,
        fits: Vec<i32>,
    },
    /// These pins (indices into the song's pins) can't all be kept.
    #[error("these pins can't be kept together")]
    Clash { pins: Vec<usize> },
}

/// Arranges a song.
///
/// # Errors
/// When there is nothing to arrange, the melody does not fit the neck, or pins clash.
pub fn arrange(
    _song: &Song,
    _instrument: &Instrument,
    _hand: &Hand,
    _options: &Options,
) -> Result<Arrangement, ArrangeError> {
    unimplemented!()
}
