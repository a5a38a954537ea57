//! Throwing away, and taking back.

use super::{Name, ShelfError, Store, disk, stamp};
use jiff::Timestamp;

const ENDING: &str = ".toml";

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
    fn file(&self) -> String {
        let stamp = stamp::write((self.number, self.at));
        format!("{stamp}.{}{ENDING}", self.name)
    }

    fn of(file: &str) -> Option<Binned> {
        let ((number, at), name) = stamp::read(file.strip_suffix(ENDING)?)?;
        let name = Name::new(name.strip_prefix('.')?).ok()?;
        Some(Binned { number, at, name })
    }
}

impl Store {
    /// Moves a file into the bin. Its earlier versions stay where they are.
    ///
    /// # Errors
    /// When it is not there or the disk refuses.
    pub fn throw_away(&self, name: &Name, now: Timestamp) -> Result<Binned, ShelfError> {
        self.read(name)?;
        let binned = Binned {
            number: stamp::next(self.bin()?.iter().map(|b| b.number)),
            at: now,
            name: name.clone(),
        };
        let to = self.own("bin")?.join(binned.file());
        self.move_file(&self.path(name), &to, name)?;
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
        let from = self.own("bin")?.join(binned.file());
        let mut name = binned.name.clone();
        let mut number = 2;
        loop {
            match self.move_file(&from, &self.path(&name), &name) {
                Err(ShelfError::Taken { .. }) => {
                    name = binned.name.numbered(number);
                    number += 1;
                }
                other => return other.map(|()| name),
            }
        }
    }
}
