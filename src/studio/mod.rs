//! The terminal front end: state → update(message) → view(state).
//!
//! [`Studio`] is the state. A key becomes a [`Message`] by the one table in [`keymap`];
//! [`Studio::update`] changes the state and answers with [`Order`]s to the world, and touches
//! neither terminal, disk nor sound itself. [`view()`] draws the state. [`run()`] is the thin part
//! that owns terminal, clock, files and sound.

mod brush;
mod config;
mod disk;
pub mod keymap;
mod letters;
mod log;
mod message;
mod panes;
mod run;
mod screens;
mod sound;
mod state;
#[cfg(test)]
mod tests;
mod theme;
mod tour;
mod valet;
mod view;

pub use brush::Spots;
pub use config::Look;
pub use disk::{Address, Errand, Kind, List, News, Paper};
pub use log::Log;
pub use message::{Ask, Message, Order};
pub use run::{StudioError, run};
pub use screens::{
    ChordLine, Desk, DeskError, Fact, Facts, Home, Leave, Length, Line, NewSong, Next, Page, Pane,
    Past, Pen, Pile, Rise, Run, Setting, Shed, Sheet, Shelf, Side, Stand, Unlaid, Want, Weight,
    Wishes, Writing,
};
pub use state::{Screen, Studio};
pub use theme::{Role, Theme, ThemeError};
pub use tour::Tour;
pub use view::view;
