//! The open abc notation 2.1, as far as a tune with chords needs it.

use super::{Notice, Song, SongError};

/// A tune out of an abc file.
#[derive(Debug, Clone)]
pub struct AbcTune {
    /// The `X:` reference number.
    pub number: u32,
    /// The song.
    pub song: Song,
    /// What was passed over or mended, in order.
    pub notices: Vec<Notice>,
}

/// Reads every tune of an abc file; each tune fails or succeeds on its own.
pub fn read_book(_text: &str) -> Vec<Result<AbcTune, SongError>> {
    unimplemented!()
}
