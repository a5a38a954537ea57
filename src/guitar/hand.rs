//! The left hand: what it can hold down at once, and how far that stretches it.

use super::{Grip, GuitarError, Neck};

/// How far two fingers may lie apart, in tenths of a millimetre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// Without feeling it.
    pub comfortable: i32,
    /// At the very most.
    pub largest: i32,
}

/// A hand profile.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hand {
    /// Its name: `small`, `medium`, `large`, or the player's own.
    pub name: String,
    /// Span of each pair of fingers, `spans[f - 1][g - 1]` for fingers f < g.
    pub spans: [[Span; 4]; 4],
}

/// The pair of fingers that a grip strains most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// The two fingers, lower first.
    pub fingers: (u8, u8),
    /// Their distance in tenths of a millimetre.
    pub distance: i32,
    /// Distance in per cent of what is comfortable; over 100 is a stretch.
    pub percent: i32,
    /// How far into the reserve between comfortable (0) and largest (1000).
    pub reserve: i32,
}

/// Why a hand can't hold a grip.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs)]
pub enum Refusal {
    #[error("fingers {0} and {1} are farther apart than this hand reaches")]
    TooFar(u8, u8),
    #[error("finger {0} would have to reach over finger {1}")]
    Crossed(u8, u8),
    #[error("finger {0} is wanted at two frets at once")]
    TwoFrets(u8),
    #[error("string {0} is wanted open under a barre")]
    OpenUnderBarre(u8),
    #[error("string {0} is stopped without a finger")]
    NoFinger(u8),
}

impl Hand {
    /// A built-in profile by name.
    ///
    /// # Errors
    /// When there is no profile of that name.
    pub fn named(_name: &str) -> Result<Hand, GuitarError> {
        unimplemented!()
    }

    /// Whether the hand can hold `grip`, and the pair it strains most (none with under two fingers
    /// down).
    ///
    /// # Errors
    /// The first rule that the grip breaks.
    pub fn judge(&self, _neck: &Neck, _grip: &Grip) -> Result<Option<Stretch>, Refusal> {
        unimplemented!()
    }
}
