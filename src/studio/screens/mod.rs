//! One file a screen, each owning its state.

mod desk;
mod pins;
mod shed;
mod start;

pub use desk::{Desk, DeskError, Weight};
pub use shed::{Pane, Rise, Run, Setting, Shed, Wishes};
pub use start::Start;
