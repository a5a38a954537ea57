//! One file a screen, each owning its state.

mod desk;
mod pins;
mod start;

pub use desk::{Desk, DeskError, Weight};
pub use start::Start;
