//! The songs that lie on a new shelf.

use super::{Seal, ShelfError, Store};
use crate::shelf::Name;
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

/// Puts the demo songs on a shelf that was never opened before. A song that has one of their names
/// already stays as it is.
pub(super) fn welcome(store: &Store, now: Timestamp) -> Result<(), ShelfError> {
    if store.is_used() {
        return Ok(());
    }
    for (name, text) in SONGS {
        match store.save(&Name::new(name)?, text, &Seal::ABSENT, now) {
            Err(ShelfError::Taken { .. } | ShelfError::NotPlain { .. }) | Ok(_) => {}
            Err(error) => return Err(error),
        }
    }
    Ok(())
}
