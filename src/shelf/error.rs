//! What can go wrong with songs on disk.

use super::Name;
use crate::exchange::plain_text;
use crate::song::SongError;
use std::io;
use std::path::Path;

/// Why the shelf could not do what was asked.
#[derive(Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum ShelfError {
    #[error("this system names no home folder, so there is no place for songs; set HOME")]
    NoHome,
    #[error(
        "“{text}” can't be the name of a song's file; use letters, figures, spaces and any of \
         -_.,'()&+!, begin with a letter or a figure, end with no dot or space, and be short: 100 \
         bytes are 100 plain letters or 33 signs of some other scripts"
    )]
    BadName { text: String },
    #[error("there is no “{name}” here; if it was thrown away, look in the bin")]
    Missing { name: Name },
    #[error("there is a “{name}” already; choose another name")]
    Taken { name: Name },
    #[error(
        "“{name}” was changed by another program since you opened it; look at what it is now, then \
         save again, and the other text stays among the earlier versions"
    )]
    Changed { name: Name },
    #[error(
        "“{name}” was moved or deleted by another program since you opened it; save again to write \
         it anew"
    )]
    Gone { name: Name },
    #[error("“{name}” was written by a newer Thumbline and is only read here; update this one")]
    Newer { name: Name },
    #[error("“{name}” is open in another window; close it there, or only read it here")]
    InUse { name: Name },
    #[error("“{path}” is a link or not a plain file; put the song itself there")]
    NotPlain { path: String },
    #[error("“{name}” is longer than any song or setlist; 16 megabytes are the limit")]
    TooLong { name: String },
    #[error("“{name}” is not UTF-8 text; save it as UTF-8 in your editor")]
    NotText { name: String },
    #[error("“{name}” is not a song yet: {text}")]
    NotASong { name: Name, text: String },
    #[error("{text}")]
    Unsayable { text: String },
    #[error("“{name}” is not a setlist: {text}")]
    NotASetlist { name: Name, text: String },
    #[error("that version of “{name}” is not kept any more; choose another one")]
    NoVersion { name: Name },
    #[error("“{path}” can't be {verb}: {source}")]
    Disk {
        path: String,
        verb: &'static str,
        #[source]
        source: io::Error,
    },
}

impl ShelfError {
    /// Whether the disk is at fault rather than what was asked for.
    pub fn is_machine(&self) -> bool {
        matches!(self, ShelfError::Disk { .. } | ShelfError::NoHome)
    }

    /// What turns the disk's complaint into ours.
    pub(super) fn disk(verb: &'static str, path: &Path) -> impl FnOnce(io::Error) -> ShelfError {
        let path = shown(path);
        move |source| ShelfError::Disk { path, verb, source }
    }

    pub(super) fn not_a_song(name: &Name, error: &SongError) -> ShelfError {
        ShelfError::NotASong {
            name: name.clone(),
            text: plain_text(&error.to_string()),
        }
    }
}

/// A path made fit to be shown.
pub(super) fn shown(path: &Path) -> String {
    plain_text(&path.display().to_string())
}
