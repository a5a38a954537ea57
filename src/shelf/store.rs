//! A folder of TOML files that are saved whole, kept and locked.

use super::disk::{self, Old};
use super::{Name, ShelfError, history};
use jiff::Timestamp;
use std::io;
use std::path::{Path, PathBuf};

/// What the files end in.
pub(super) const ENDING: &str = ".toml";

/// The folder in which the store keeps versions, bin, journal and locks.
const OWN: &str = ".thumbline";

/// A folder of files of one kind.
#[derive(Debug, Clone)]
pub struct Store {
    folder: PathBuf,
}

/// What a file held when it was read or saved, to notice that another program changed it since.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seal(Option<String>);

impl Seal {
    /// Nothing lay there.
    pub const ABSENT: Seal = Seal(None);
}

impl Store {
    /// Opens a folder, making it if need be.
    ///
    /// # Errors
    /// When it can't be made.
    pub fn open(folder: &Path) -> Result<Store, ShelfError> {
        disk::folder(folder)?;
        let store = Store {
            folder: folder.to_path_buf(),
        };
        Ok(store)
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Where the file of a name lies.
    pub fn path(&self, name: &Name) -> PathBuf {
        self.folder.join(format!("{name}{ENDING}"))
    }

    /// The names of the files here, in order. Links and files with names that would not be safe
    /// are passed over.
    ///
    /// # Errors
    /// When the folder can't be read.
    pub fn names(&self) -> Result<Vec<Name>, ShelfError> {
        let names = disk::names_in(&self.folder)?;
        let names = names.iter().filter_map(|n| n.strip_suffix(ENDING));
        let names = names.filter_map(|n| Name::new(n).ok());
        Ok(names.filter(|n| disk::is_plain(&self.path(n))).collect())
    }

    /// Reads a file.
    ///
    /// # Errors
    /// When it is not there, no plain file, or no text.
    pub fn read(&self, name: &Name) -> Result<(String, Seal), ShelfError> {
        match disk::read(&self.path(name))? {
            Some(text) => Ok((text.clone(), Seal(Some(text)))),
            None => Err(ShelfError::Missing { name: name.clone() }),
        }
    }

    /// What lies there now.
    ///
    /// # Errors
    /// When it can't be read.
    pub fn seal(&self, name: &Name) -> Result<Seal, ShelfError> {
        disk::read(&self.path(name)).map(Seal)
    }

    /// Sees to it that no other program changed, made or removed the file since the seal was taken.
    ///
    /// # Errors
    /// When one did, or the file can't be read.
    pub fn unchanged(&self, name: &Name, seal: &Seal) -> Result<Seal, ShelfError> {
        let (there, name) = (self.seal(name)?, name.clone());
        match (&there, seal) {
            _ if there == *seal => Ok(there),
            (_, Seal(None)) => Err(ShelfError::Taken { name }),
            (Seal(None), _) => Err(ShelfError::Gone { name }),
            _ => Err(ShelfError::Changed { name }),
        }
    }

    /// Saves a text, whole or not at all. What lay there stays among the earlier versions, and the
    /// journal is done with. Returns the seal for the next save.
    ///
    /// # Errors
    /// When another program changed the file since `seal` (take [`Store::seal`] anew to save all
    /// the same), or the disk refuses. The file is then as before, unless the disk failed after the
    /// new text had its place and before it was safe there.
    pub fn save(
        &self,
        name: &Name,
        text: &str,
        seal: &Seal,
        now: Timestamp,
    ) -> Result<Seal, ShelfError> {
        let there = self.unchanged(name, seal)?;
        let jotted = self.journal(name)?;
        let saved = Seal(Some(text.to_owned()));
        if there != saved {
            let old = match &there {
                Seal(Some(before)) => {
                    history::keep(self, name, before, now)?;
                    Old::Replace
                }
                Seal(None) => Old::Keep,
            };
            disk::put(&self.path(name), text, old)?;
        }
        // The text is safe; what can't be dropped now is dropped with the next save.
        let _ = std::fs::remove_file(jotted);
        Ok(saved)
    }

    /// Saves a new text under a name made from a title, with a number where the name is taken.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn add(&self, title: &str, text: &str, now: Timestamp) -> Result<Name, ShelfError> {
        let plain = Name::from_title(title);
        let mut name = plain.clone();
        let mut number = 2;
        loop {
            match self.save(&name, text, &Seal::ABSENT, now) {
                Err(ShelfError::Taken { .. } | ShelfError::NotPlain { .. }) => {
                    name = plain.numbered(number);
                    number += 1;
                }
                other => return other.map(|_| name),
            }
        }
    }

    /// Moves a file to a name that must be free.
    pub(super) fn move_file(&self, from: &Path, to: &Path, name: &Name) -> Result<(), ShelfError> {
        disk::rename(from, to).map_err(|error| match error.kind() {
            io::ErrorKind::AlreadyExists => ShelfError::Taken { name: name.clone() },
            io::ErrorKind::NotFound => ShelfError::Missing { name: name.clone() },
            _ => ShelfError::disk("moved", from)(error),
        })
    }

    /// The store's own folder for a purpose, made if need be.
    pub(super) fn own(&self, purpose: &str) -> Result<PathBuf, ShelfError> {
        let own = self.folder.join(OWN);
        disk::inner_folder(&own)?;
        let path = own.join(purpose);
        disk::inner_folder(&path)?;
        Ok(path)
    }

    /// Whether the store's own folder is there, which it is after the first start.
    pub(super) fn is_used(&self) -> bool {
        std::fs::symlink_metadata(self.folder.join(OWN)).is_ok()
    }
}
