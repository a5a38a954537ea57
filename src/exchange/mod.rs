//! Ways in and out: open formats only.

mod chord_line;
pub mod grips;
pub mod input;
pub mod json;
pub mod letters;
pub mod midi;
pub mod musicxml;
#[cfg(feature = "sound")]
mod noise;
pub mod output;
mod plain;
mod repeats;
pub mod sheet;
pub mod spoken;
pub mod tab;
#[cfg(feature = "sound")]
pub mod wav;

pub use chord_line::ChordLine;
#[cfg(feature = "sound")]
pub(crate) use noise::Noise;
pub use plain::{ascii_text, plain_text};
