//! The instrument and the two hands that play it: tunings, the neck in millimetres, what a left
//! hand can hold down at once, and which right finger plucks which string.

mod error;
mod grip;
mod hand;
mod instrument;
mod judge;
mod neck;
pub mod right;
mod tuning;

pub use error::GuitarError;
pub use grip::{Barre, Grip};
pub use hand::{Hand, PAIRS, Span};
pub(crate) use instrument::MOST_FRETS;
pub use instrument::{Instrument, MAX_STRINGS, Measures, NO_PITCH};
pub use judge::{Refusal, Stretch};
pub use neck::Neck;
pub use right::RightFinger;
