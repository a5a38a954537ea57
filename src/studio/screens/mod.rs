//! The screens, each owning its state.

mod desk;
mod home;
mod ideas;
mod know;
mod pins;
mod proposal;
mod shed;
mod shelf;
mod stand;
mod writing;

pub(super) use desk::arranged;
pub use desk::{Desk, DeskError, Unlaid, Weight};
pub use home::{Home, Leave};
pub use ideas::Ideas;
pub(crate) use ideas::signed;
pub(super) use ideas::tenths;
pub use proposal::Shown;
pub use shed::{Pane, Rise, Run, Setting, Shed, Wishes};
pub use shelf::{Line, NewSong, Next, Pile, Shelf, Side, Want};
pub use stand::{FOOT, HEAD, Layout, PREFIX, Page, Sheet, Stand};
pub use writing::{ChordLine, Fact, Length, List as Facts, Past, Pen, Writing, sign, words};
