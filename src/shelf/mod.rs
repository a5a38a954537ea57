//! Songs and setlists on disk: saved whole or not at all, with the earlier versions to go back to, a
//! bin to take things back from, and a lock so that two programs on one song notice each other.
//!
//! A [`Shelf`] is two [`Store`]s (songs, setlists) and the practice log in the user's [`Folders`].
//! The clock is handed in, so that everything can be tried at any time of day.
//!
//! ```text
//! songs/
//!   the-late-ferry.toml
//!   .thumbline/            what the store keeps for itself
//!     earlier/the-late-ferry/000012.20260105T181410.000Z.toml
//!     bin/000003.20260105T181410.000Z.the-late-ferry.toml
//!     bin/000003.20260105T181410.000Z.the-late-ferry.jotted
//!     journal/the-late-ferry.toml
//!     locks/the-late-ferry.lock
//! ```
//!
//! Only plain files are read, links are refused, and a name can't lead out of the folder.

mod bin;
mod demo;
mod disk;
mod entry;
mod error;
mod folders;
mod history;
mod journal;
mod lock;
mod log;
mod name;
mod progress;
mod setlist;
mod stamp;
mod store;

pub use bin::Binned;
pub use entry::{Entry, Sort, found, sort};
pub use error::ShelfError;
pub use folders::Folders;
pub use history::Version;
pub use lock::Lock;
pub use name::Name;
pub use progress::Progress;
pub use setlist::Setlist;
pub use store::{Seal, Store};

use crate::exchange::plain_text;
use crate::song::{Notice, Song, SongFile};
use jiff::Timestamp;

/// A song taken from the shelf.
#[derive(Debug, Clone)]
pub struct Taken {
    /// The file's text, to change and give back.
    pub file: SongFile,
    /// The song it says.
    pub song: Song,
    /// What is worth knowing about the text.
    pub notices: Vec<Notice>,
    /// How far the layers have got.
    pub progress: Progress,
    /// What lay on disk, to be shown when saving.
    pub seal: Seal,
}

/// The user's songs, setlists and practice log.
#[derive(Debug, Clone)]
pub struct Shelf {
    /// Where everything lies.
    pub folders: Folders,
    /// Songs as files: saving, versions, bin, locks.
    pub songs: Store,
    /// Setlists likewise.
    pub setlists: Store,
    /// It was opened for the first time.
    pub is_new: bool,
}

impl Shelf {
    /// Opens the shelf, making its folders if need be. With `now` the time, the demo songs are put
    /// on a shelf that was never opened before; thrown away, they don't come back.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn open(folders: Folders, now: Timestamp) -> Result<Shelf, ShelfError> {
        let songs = Store::open(&folders.songs)?;
        let setlists = Store::open(&folders.setlists)?;
        let is_new = demo::welcome(&songs, now)?;
        Ok(Shelf {
            folders,
            songs,
            setlists,
            is_new,
        })
    }

    /// Takes a song to work on.
    ///
    /// # Errors
    /// When it is not there, can't be read or is not a song.
    pub fn take(&self, name: &Name) -> Result<Taken, ShelfError> {
        let (text, seal) = self.songs.read(name)?;
        let (file, song, notices) =
            SongFile::parse(&text).map_err(|error| ShelfError::not_a_song(name, &error))?;
        Ok(Taken {
            progress: Progress::read(&text),
            file,
            song,
            notices,
            seal,
        })
    }

    /// All songs in the order of their names, with no file read yet; [`Shelf::entry`] reads one.
    ///
    /// # Errors
    /// When the folder can't be read.
    pub fn unread(&self) -> Result<Vec<Entry>, ShelfError> {
        let names = self.songs.names()?.into_iter();
        Ok(names.map(|n| Entry::unread(&self.songs, n)).collect())
    }

    /// One song with what the list shows; of a file that is not a song, what is wrong with it.
    pub fn entry(&self, name: Name) -> Entry {
        Entry::of(&self.songs, name)
    }

    /// Puts a new song on the shelf, under a name made from its title that no other song has.
    ///
    /// # Errors
    /// When the song can't be kept in a file or the disk refuses.
    pub fn add(&self, song: &Song, now: Timestamp) -> Result<Name, ShelfError> {
        let file = SongFile::new(song).map_err(|error| ShelfError::Unsayable {
            text: plain_text(&error.to_string()),
        })?;
        self.songs.add(&song.title, &file.to_string(), now)
    }
}

#[cfg(test)]
mod tests;
