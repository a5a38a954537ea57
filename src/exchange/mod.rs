//! Ways in and out: open formats only.

#[cfg(feature = "sound")]
pub mod wav;
