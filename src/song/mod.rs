//! Songs as they are written: bars of melody and chords, repeats and endings, and the order in
//! which the bars are played. Also the song file (TOML around an abc body) and the abc reader that
//! its body needs.
//!
//! Nothing in this room opens files: texts come in, values and texts go out.

pub mod abc;
mod bar;
mod check;
pub mod edit;
mod file;
mod harmony;
mod idea;
mod notice;
mod number;
mod order;
mod pin;
mod transpose;
mod written_out;

pub use bar::{Bar, ChordChange, Close, GuitarWish, Note, Song, Tempo};
pub(crate) use file::{Places, line_ends, set_field};
pub use file::{SongError, SongFile};
pub use harmony::Harmony;
pub use idea::{Doubling, Figure, Idea, Note as BassNote, SHORTEST_BROKEN, Step};
pub(crate) use notice::Notices;
pub use notice::{Notice, Place};
pub use order::Played;
pub use pin::{Pin, Target, Wish};
