//! What was changed and not yet saved, so that a crash loses a key press at most.

use super::disk::{self, Old};
use super::store::ENDING;
use super::{Name, ShelfError, Store};
use std::io;
use std::path::PathBuf;

impl Store {
    pub(super) fn journal(&self, name: &Name) -> Result<PathBuf, ShelfError> {
        Ok(self.own("journal")?.join(format!("{name}{ENDING}")))
    }

    /// Jots a text down, beside the file and not in it. Saving drops it.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn jot(&self, name: &Name, text: &str) -> Result<(), ShelfError> {
        disk::put(&self.journal(name)?, text, Old::Replace)
    }

    /// What was jotted down and never saved: after a crash, the work to go on with.
    ///
    /// # Errors
    /// When it can't be read.
    pub fn jotted(&self, name: &Name) -> Result<Option<String>, ShelfError> {
        disk::read(&self.journal(name)?)
    }

    /// Drops what was jotted down.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn drop_jotted(&self, name: &Name) -> Result<(), ShelfError> {
        let path = self.journal(name)?;
        match std::fs::remove_file(&path) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => {
                Err(ShelfError::disk("removed", &path)(error))
            }
            _ => Ok(()),
        }
    }
}
