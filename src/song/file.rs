//! The song file: a TOML document around an abc body.

use super::{Notice, Song};

/// A song file as text that remembers its comments and unknown fields.
#[derive(Debug, Clone)]
pub struct SongFile {
    document: toml_edit::DocumentMut,
}

/// Why a song file could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {text}")]
pub struct SongError {
    /// Where.
    pub place: super::Place,
    /// What is wrong and what to do.
    pub text: String,
}

impl SongFile {
    /// Reads a song file.
    ///
    /// # Errors
    /// When it is not TOML, or a field or the tune can't be understood.
    pub fn parse(_text: &str) -> Result<(SongFile, Song, Vec<Notice>), SongError> {
        unimplemented!()
    }
}
