//! The songs that lie on a new shelf.

use super::{Name, Seal, ShelfError, Store};
use crate::song::{SongFile, abc};
use jiff::Timestamp;

macro_rules! demo {
    ($name:literal) => {
        ($name, include_str!(concat!("../../songs/", $name, ".toml")))
    };
}

/// File names and texts of the demo songs.
const SONGS: [(&str, &str); 8] = [
    demo!("a-chair-by-the-stove"),
    demo!("lamps-along-the-quay"),
    demo!("nets-drying-indoors"),
    demo!("salt-on-the-window"),
    demo!("the-ferry-holds-for-snow"),
    demo!("the-ropewalk-at-closing"),
    demo!("the-scarf-on-the-piano"),
    demo!("tide-table-dance"),
];

/// A book of tunes; each becomes a song of its own.
const BOOK: &str = include_str!("../../songs/evening-book.abc");

/// Puts the demo songs on a shelf that was never opened before. A song that has one of their names
/// already stays as it is. True when the shelf was new.
pub(super) fn welcome(store: &Store, now: Timestamp) -> Result<bool, ShelfError> {
    if store.is_used() {
        return Ok(false);
    }
    for (name, text) in SONGS {
        put(store, &Name::new(name)?, text, now)?;
    }
    for song in abc::read_book(BOOK).into_iter().flatten().map(|t| t.song) {
        if let Ok(file) = SongFile::new(&song) {
            let name = Name::from_title(&song.title);
            put(store, &name, &file.to_string(), now)?;
        }
    }
    Ok(true)
}

fn put(store: &Store, name: &Name, text: &str, now: Timestamp) -> Result<(), ShelfError> {
    match store.save(name, text, &Seal::ABSENT, now) {
        Err(ShelfError::Taken { .. } | ShelfError::NotPlain { .. }) | Ok(_) => Ok(()),
        Err(error) => Err(error),
    }
}
