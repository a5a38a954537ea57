//! Tempo along the score.

use crate::song::Tempo;
use crate::theory::Ticks;

/// A tempo and where it starts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TempoMark {
    /// Played ticks.
    pub at: Ticks,
    /// The tempo from there on.
    pub tempo: Tempo,
}
