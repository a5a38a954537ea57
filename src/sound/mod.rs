//! The sound: plucked strings, click and transport, to a device, to a silent clock or to a file.
//!
//! [`Program`] is a score made ready to be played. An engine plays it. [`Player`] runs an engine
//! on a sound device, or on a silent clock when there is none; [`Render`] runs one off line.

mod click;
mod command;
mod device;
mod engine;
mod file;
pub mod level;
mod output;
mod player;
mod program;
mod render;
mod stream;
mod transport;
pub mod voice;

pub use click::ClickSetting;
pub use command::{Command, LayerSet, Mix, Position};
pub use device::{DeviceError, DeviceInfo, devices};
pub use file::{write_plain_sound, write_sound};
pub use output::Output;
pub use player::Player;
pub use program::{Program, Strength};
pub use render::{Bench, RATES, Render, Settings};
pub use transport::{MAX_COUNT_IN, Passage};
