//! What several test programs share. Each of them uses a part of it.
#![allow(dead_code, unused_imports)]

mod corpus;
mod plain_chords;
pub mod program;

pub use corpus::{corpus_files, corpus_folder, folk_tunes, median_bars, read_corpus};
pub use plain_chords::plain_chords;
