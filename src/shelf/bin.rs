//! Throwing away, and taking back.

use super::store::ENDING;
use super::{Name, ShelfError, Store, disk, stamp};
use jiff::Timestamp;
use std::io;
use std::path::Path;

/// What the unsaved work ends in that was thrown away with its file.
const JOTTED: &str = ".jotted";

/// Something in the bin.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Binned {
    /// What was thrown away later has a greater number, however the clock was set.
    pub number: u32,
    /// When it was thrown away, to the millisecond.
    pub at: Timestamp,
    /// The name it had.
    pub name: Name,
}

impl Binned {
    fn file(&self, ending: &str) -> String {
        let stamp = stamp::write((self.number, self.at));
        format!("{stamp}.{}{ending}", self.name)
    }

    fn of(file: &str) -> Option<Binned> {
        let ((number, at), name) = stamp::read(file.strip_suffix(ENDING)?)?;
        let name = Name::new(name.strip_prefix('.')?).ok()?;
        Some(Binned { number, at, name })
    }
}

impl Store {
    /// Moves a file into the bin, with the work on it that was jotted down and not saved. Its earlier
    /// versions stay where they are.
    ///
    /// # Errors
    /// When it is not there or the disk refuses.
    pub fn throw_away(&self, name: &Name, now: Timestamp) -> Result<Binned, ShelfError> {
        if !disk::is_plain(&self.path(name)) {
            return Err(ShelfError::Missing { name: name.clone() });
        }
        let binned = Binned {
            number: stamp::next(self.bin()?.iter().map(|b| b.number)),
            at: now,
            name: name.clone(),
        };
        let (bin, jotted) = (self.own("bin")?, self.journal(name)?);
        self.move_file(&self.path(name), &bin.join(binned.file(ENDING)), name)?;
        move_jotted(&jotted, &bin.join(binned.file(JOTTED)))?;
        Ok(binned)
    }

    /// What lies in the bin, the last thrown away first.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn bin(&self) -> Result<Vec<Binned>, ShelfError> {
        let names = disk::names_in(&self.own("bin")?)?;
        let mut all: Vec<Binned> = names.iter().filter_map(|n| Binned::of(n)).collect();
        all.sort_by(|a, b| b.cmp(a));
        Ok(all)
    }

    /// Takes something back out of the bin, under its old name, or with a number behind it where
    /// that name is taken by now.
    ///
    /// # Errors
    /// When it is not in the bin any more or the disk refuses.
    pub fn take_back(&self, binned: &Binned) -> Result<Name, ShelfError> {
        let bin = self.own("bin")?;
        let from = bin.join(binned.file(ENDING));
        let mut name = binned.name.clone();
        let mut number = 2;
        loop {
            match self.move_file(&from, &self.path(&name), &name) {
                Err(ShelfError::Taken { .. }) => {
                    name = binned.name.numbered(number);
                    number += 1;
                }
                other => {
                    other?;
                    move_jotted(&bin.join(binned.file(JOTTED)), &self.journal(&name)?)?;
                    return Ok(name);
                }
            }
        }
    }
}

/// Moves unsaved work where its file went, if there is any.
fn move_jotted(from: &Path, to: &Path) -> Result<(), ShelfError> {
    match std::fs::rename(from, to) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => {
            Err(ShelfError::disk("moved", from)(error))
        }
        _ => Ok(()),
    }
}
