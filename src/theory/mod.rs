//! The musical words everything else is built from: pitch with its spelling,
//! chord symbols, keys, meters and musical time in ticks.
//!
//! Nothing in this room knows about guitars, files or screens.

mod chord;
mod interval;
mod key;
mod meter;
mod pitch;
mod time;

pub use chord::{Chord, ChordError, Symbol, Tone};
pub use interval::Interval;
pub use key::{Key, KeyError, Mode};
pub use meter::{Meter, MeterError};
pub use pitch::{Letter, Name, Pitch, PitchError};
pub use time::{QUARTER, Ticks, beats, length_name, length_named};
pub(crate) use time::{beats_of, gcd};
