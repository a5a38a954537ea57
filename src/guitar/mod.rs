//! The instrument and the two hands that play it: tunings, the neck in millimetres, what a left
//! hand can hold down at once, and which right finger plucks which string.

mod error;
mod grip;
mod hand;
mod instrument;
mod neck;

pub use error::GuitarError;
pub use grip::{Barre, Grip};
pub use hand::{Hand, Refusal, Span, Stretch};
pub use instrument::{Instrument, MAX_STRINGS};
pub use neck::Neck;
