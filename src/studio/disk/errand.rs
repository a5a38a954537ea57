//! What the studio asks of the songs and the practice log on disk, and what it hears back.

use crate::arrange::Arrangement;
use crate::exchange::plain_text;
use crate::shelf::{Binned, Entry, Name, Seal, Version};
use std::path::{Path, PathBuf};

/// Where a song file lies.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Address {
    /// Its folder.
    pub folder: PathBuf,
    /// Its name there, without `.toml`.
    pub name: Name,
}

impl Address {
    /// The address of a file that can be kept where it is: a plain file that ends in `.toml` and has
    /// a name that is safe everywhere.
    pub fn of(path: &Path) -> Option<Address> {
        let is_plain = std::fs::symlink_metadata(path).is_ok_and(|m| m.is_file());
        if !is_plain || path.extension()? != "toml" {
            return None;
        }
        let path = std::fs::canonicalize(path).ok()?;
        Some(Address {
            folder: path.parent()?.to_path_buf(),
            name: Name::new(path.file_stem()?.to_str()?).ok()?,
        })
    }
}

/// What is to be done with the songs and the practice log on disk. Each is answered by some [`News`].
#[derive(Debug, Clone, PartialEq)]
pub enum Errand {
    /// Say what is on the shelf.
    List,
    /// Take a song to work on.
    Open(Name),
    /// Hold a song that is worked on, so that other windows notice, and say what a crash left.
    Hold(Address),
    /// Let a song go.
    Release(Address),
    /// Take a song to play from, by its place in a setlist.
    Read(Name),
    /// Jot down what was changed and not yet saved.
    Jot {
        /// The song.
        address: Address,
        /// What its file would say.
        text: String,
        /// What its file should hold now; `None` where that is known not to be so.
        seal: Option<Seal>,
    },
    /// Save a song.
    Save {
        /// The song.
        address: Address,
        /// What its file says from now on.
        text: String,
        /// What its file should hold now; `None` takes whatever it holds.
        seal: Option<Seal>,
    },
    /// Put a new song on the shelf and hold it.
    Add {
        /// Its title, of which its name is made.
        title: String,
        /// What its file says.
        text: String,
    },
    /// Give a song other tags.
    Tag(Name, Vec<String>),
    /// Throw a song away, or a setlist.
    ThrowAway(Kind, Name),
    /// Say what lies in the bin.
    Bin,
    /// Take something back out of the bin.
    TakeBack(Kind, Binned),
    /// Say which earlier versions of a song there are.
    Versions(Name),
    /// Go back to an earlier version of a song.
    GoBack(Name, Version),
    /// Say what is worth knowing about a song's text.
    Notices(Name),
    /// Make a setlist, with these songs in it.
    NewSetlist(String, Vec<Name>),
    /// Change the songs of a setlist.
    SetSongs {
        /// The setlist.
        name: Name,
        /// The songs it should hold now.
        before: Vec<Name>,
        /// The songs it holds from now on.
        after: Vec<Name>,
    },
    /// Put the songs of a file on the shelf.
    Import(String),
    /// Read the practice log.
    ReadLog,
    /// Add a line to the practice log.
    Log(String),
    /// Write an arrangement as sheets, a PDF of this name in the folder the program was started in.
    Print(Box<Arrangement>, String),
    /// Write something to a file.
    Export {
        /// What.
        what: Paper,
        /// Where; the ending says in which format.
        path: String,
        /// Whether a file that is there already is replaced.
        replace: bool,
    },
}

/// What a store holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Kind {
    Song,
    Setlist,
}

/// What can be written to a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Paper {
    /// The arrangement of a song.
    Song(Name),
    /// A setlist as a plain list.
    Setlist(Name),
}

/// A setlist as it is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct List {
    /// The name of its file.
    pub name: Name,
    /// Its title, fit to be shown.
    pub title: String,
    /// The songs in order.
    pub songs: Vec<Name>,
    /// What is wrong with it, where it can't be read.
    pub problem: Option<String>,
}

/// What there is to tell about the songs and the practice log on disk.
#[derive(Debug, Clone, PartialEq)]
pub enum News {
    /// The shelf was opened for the first time; the demo songs lie on it.
    Welcome,
    /// What is on the shelf. Songs not read yet follow as [`News::Entries`].
    Listed {
        /// Songs, read or not.
        entries: Vec<Entry>,
        /// The names of those that are still to be read.
        unread: usize,
        /// Setlists.
        lists: Vec<List>,
        /// Where the songs lie.
        folder: PathBuf,
    },
    /// Songs that were read meanwhile.
    Entries(Vec<Entry>),
    /// A song to work on.
    Opened {
        /// Where it lies.
        address: Address,
        /// Its text.
        text: String,
        /// What lies there.
        seal: Seal,
    },
    /// A song is held, or why not; and what a crash left of it.
    Held {
        /// The song.
        address: Address,
        /// Why it can't be held.
        refused: Option<String>,
        /// What was jotted down and never saved.
        jotted: Option<String>,
    },
    /// The text of a song to play from, or why there is none.
    Read(Name, Result<String, String>),
    /// A song was saved.
    Saved {
        /// The song.
        address: Address,
        /// What lies there.
        seal: Seal,
    },
    /// A song's work could not be jotted down; a save that is under way is not answered by it.
    Unjotted {
        /// The song.
        address: Address,
        /// Why.
        why: String,
        /// Another program changed it, so that saving anew has to be wanted.
        changed: bool,
    },
    /// A song was not saved.
    Unsaved {
        /// The song, if it has a place already.
        address: Option<Address>,
        /// Why.
        why: String,
        /// Another program changed it, so that saving anew has to be wanted.
        changed: bool,
    },
    /// A new song lies on the shelf.
    Added {
        /// Where.
        address: Address,
        /// What lies there.
        seal: Seal,
    },
    /// What lies in the bin, the last thrown away first.
    Binned(Vec<(Kind, Binned)>),
    /// The earlier versions of a song, the newest first.
    Versions(Name, Vec<Version>),
    /// Something to read: what it is about, and the lines.
    Notices(String, Vec<String>),
    /// A setlist with this name was made.
    NewSetlist(Name),
    /// A file is there already and was left.
    Exists(String),
    /// The practice log as it lies on disk, or why it can't be read.
    LogRead(Result<String, String>),
    /// This line of the practice log was written, or why not.
    Logged(String, Result<(), String>),
    /// Sheets were written to this file.
    Printed(String),
    /// Something was done.
    Done(String),
    /// Something went wrong.
    Trouble(String),
}

impl News {
    /// A complaint, fit to be shown.
    pub fn trouble(error: &dyn std::error::Error) -> News {
        let mut text = error.to_string();
        if let Some(source) = error.source() {
            let more = source.to_string();
            if !text.contains(&more) {
                text = format!("{text}: {more}");
            }
        }
        News::Trouble(plain_text(&text))
    }
}
