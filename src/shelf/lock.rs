//! One song, one program that writes it.

use super::{Name, ShelfError, Store, disk};
use std::fs::{File, OpenOptions, TryLockError};
use std::io;

/// Held as long as a song is open for writing. The system gives it free when it is dropped, and
/// when the program dies.
///
/// The lock lies on a file of its own, since a save puts a new file in the song's place.
#[derive(Debug)]
pub struct Lock {
    _file: File,
}

impl Store {
    /// Locks a song or setlist against other programs of this kind. Editors don't ask for locks:
    /// what they change is noticed by the [`super::Seal`].
    ///
    /// # Errors
    /// [`ShelfError::InUse`] when it is locked already, or when the disk refuses.
    pub fn lock(&self, name: &Name) -> Result<Lock, ShelfError> {
        let path = self.own("locks")?.join(format!("{name}.lock"));
        let mut how = OpenOptions::new();
        how.create(true).truncate(false).write(true);
        let file = disk::open_plain(&path, &how, "locked")?;
        let gone = || ShelfError::disk("locked", &path)(io::ErrorKind::NotFound.into());
        let file = file.ok_or_else(gone)?;
        match file.try_lock() {
            Ok(()) => Ok(Lock { _file: file }),
            Err(TryLockError::WouldBlock) => Err(ShelfError::InUse { name: name.clone() }),
            Err(TryLockError::Error(error)) => Err(ShelfError::disk("locked", &path)(error)),
        }
    }
}
