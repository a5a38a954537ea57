//! What several test programs share. Each of them uses a part of it.
#![allow(dead_code, unused_imports)]

mod corpus;
pub mod heard;
mod plain_chords;
pub mod program;
pub mod timing;

pub use corpus::{corpus_files, corpus_folder, folk_tunes, median_bars, read_corpus, spread};
pub use plain_chords::plain_chords;
