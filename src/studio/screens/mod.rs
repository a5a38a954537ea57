//! One file a screen, each owning its state.

mod desk;
mod home;
mod ideas;
mod pins;
mod shed;
mod shelf;
mod stand;

pub use desk::{Desk, DeskError, Weight};
pub use home::{Home, Leave};
pub use ideas::Ideas;
pub(crate) use ideas::signed;
pub use shed::{Pane, Rise, Run, Setting, Shed, Wishes};
pub use shelf::{Line, Next, Pile, Shelf, Side, Want};
pub use stand::{FOOT, HEAD, Layout, PREFIX, Page, Sheet, Stand};
