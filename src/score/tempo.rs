//! Tempo along the score, and how far from the written one it is played.

use crate::song::Tempo;
use crate::theory::Ticks;
use std::ops::RangeInclusive;

/// The slowest and the fastest that music is played, in per cent of its written tempo.
pub const TEMPOS: RangeInclusive<u16> = 20..=200;

/// Holds a tempo within [`TEMPOS`].
pub fn held_tempo(percent: u16) -> u16 {
    percent.clamp(*TEMPOS.start(), *TEMPOS.end())
}

/// A tempo and where it starts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TempoMark {
    /// Played ticks.
    pub at: Ticks,
    /// The tempo from there on.
    pub tempo: Tempo,
}
