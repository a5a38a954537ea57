//! An arrangement laid out in time: what both eyes and ears read.
//!
//! The arrangement speaks of written bars; the score follows the play order through repeats and
//! endings.

mod columns;
#[cfg(test)]
pub(crate) mod fixture;
mod layout;
mod plain;
mod tempo;

pub use columns::{Columns, Label, bar_beats, counted};
pub use layout::{Event, PlayedBar, Score, missing};
pub use plain::Part;
pub use tempo::{TEMPOS, TempoMark, held_tempo};
