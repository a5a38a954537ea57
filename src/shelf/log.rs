//! The practice log on disk: lines are only ever added. What they say is the practice room's matter.

use super::{Folders, ShelfError, disk};
use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};

impl Folders {
    /// The whole log; empty before the first practice. Bytes that are no text, as a torn write may
    /// leave, come as `�`.
    ///
    /// # Errors
    /// When it can't be read.
    pub fn read_log(&self) -> Result<String, ShelfError> {
        let path = &self.log;
        let Some(file) = disk::open_plain(path, OpenOptions::new().read(true), "read")? else {
            return Ok(String::new());
        };
        let mut bytes = Vec::new();
        // Sixty years of an hour a day are under a hundred megabytes.
        (file.take(256 << 20).read_to_end(&mut bytes)).map_err(ShelfError::disk("read", path))?;
        Ok(String::from_utf8_lossy(&bytes).into_owned())
    }

    /// Adds a line and brings it to the disk. After a torn line it begins a new one.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn add_to_log(&self, line: &str) -> Result<(), ShelfError> {
        let path = &self.log;
        if let Some(folder) = path.parent() {
            disk::folder(folder)?;
        }
        let mut how = OpenOptions::new();
        how.create(true).read(true).append(true);
        let file = disk::open_plain(path, &how, "opened")?;
        let gone = || ShelfError::disk("opened", path)(io::ErrorKind::NotFound.into());
        let mut file = file.ok_or_else(gone)?;
        // Two programs that practise at once take turns.
        (file.lock()).map_err(ShelfError::disk("locked", path))?;
        append(&mut file, line).map_err(ShelfError::disk("written", path))
    }
}

fn append(file: &mut File, line: &str) -> io::Result<()> {
    let mut text = String::new();
    if file.seek(SeekFrom::End(0))? > 0 {
        let mut last = [0];
        file.seek(SeekFrom::End(-1))?;
        file.read_exact(&mut last)?;
        if last != *b"\n" {
            text.push('\n');
        }
    }
    text.extend(
        line.trim_end()
            .chars()
            .map(|c| if c.is_control() { ' ' } else { c }),
    );
    text.push('\n');
    file.write_all(text.as_bytes())?;
    file.sync_data()
}
