//! The few things done to the disk: reading a plain file, putting a whole one, making a folder.

use super::ShelfError;
use super::error::shown;
use crate::exchange::input::LONGEST;
use std::fs::{self, File, Metadata, OpenOptions};
use std::io::{self, Read, Write};
use std::path::Path;

/// Makes a folder, and those above it, unless it is there. The folder itself may be a link that the
/// user made; what the store keeps inside may not, see [`inner_folder`].
pub(super) fn folder(path: &Path) -> Result<(), ShelfError> {
    fs::create_dir_all(path).map_err(ShelfError::disk("made", path))
}

/// Makes a folder inside another, never through a link.
pub(super) fn inner_folder(path: &Path) -> Result<(), ShelfError> {
    match fs::create_dir(path) {
        Err(error) if error.kind() != io::ErrorKind::AlreadyExists => {
            Err(ShelfError::disk("made", path)(error))
        }
        _ => real_folder(path),
    }
}

/// Holds that a path is a folder and no link to one.
pub(super) fn real_folder(path: &Path) -> Result<(), ShelfError> {
    let found = fs::symlink_metadata(path).map_err(ShelfError::disk("opened", path))?;
    if found.is_dir() {
        Ok(())
    } else {
        Err(ShelfError::NotPlain { path: shown(path) })
    }
}

/// Reads a text; `None` when nothing is there.
pub(super) fn read(path: &Path) -> Result<Option<String>, ShelfError> {
    let Some(file) = open_plain(path, OpenOptions::new().read(true), "read")? else {
        return Ok(None);
    };
    let mut bytes = Vec::new();
    (file.take(LONGEST + 1).read_to_end(&mut bytes)).map_err(ShelfError::disk("read", path))?;
    if bytes.len() as u64 > LONGEST {
        return Err(ShelfError::TooLong { name: shown(path) });
    }
    match String::from_utf8(bytes) {
        Ok(text) => Ok(Some(text)),
        Err(_) => Err(ShelfError::NotText { name: shown(path) }),
    }
}

/// Whether a path is a plain file, and no link to one.
pub(super) fn is_plain(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok_and(|m| m.is_file())
}

/// Opens the plain file that a path names; `None` when nothing is there and `how` makes nothing.
///
/// A link is refused even if it took the file's place while it was opened. `verb` is what can't be
/// done to the file where the disk refuses.
pub(super) fn open_plain(
    path: &Path,
    how: &OpenOptions,
    verb: &'static str,
) -> Result<Option<File>, ShelfError> {
    let refused = || ShelfError::disk(verb, path);
    let not_plain = || ShelfError::NotPlain { path: shown(path) };
    let nothing = |error: &io::Error| error.kind() == io::ErrorKind::NotFound;
    match fs::symlink_metadata(path) {
        Ok(found) if !found.is_file() => return Err(not_plain()),
        Err(error) if !nothing(&error) => return Err(refused()(error)),
        _ => {}
    }
    let file = match how.open(path) {
        Err(error) if nothing(&error) => return Ok(None),
        opened => opened.map_err(refused())?,
    };
    let named = fs::symlink_metadata(path).map_err(refused())?;
    let opened = file.metadata().map_err(refused())?;
    match named.is_file() && opened.is_file() && same(&named, &opened) {
        true => Ok(Some(file)),
        false => Err(not_plain()),
    }
}

#[cfg(unix)]
fn same(a: &Metadata, b: &Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (a.dev(), a.ino()) == (b.dev(), b.ino())
}

#[cfg(not(unix))]
fn same(_: &Metadata, _: &Metadata) -> bool {
    true
}

/// What becomes of a file that has the name already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Old {
    /// It is replaced.
    Replace,
    /// It stays, and nothing is put.
    Keep,
}

/// Puts a text under a path, whole or not at all: written aside in the same folder, brought to the
/// disk, then renamed. A rename replaces a link itself and not what it points at.
pub(super) fn put(path: &Path, text: &str, old: Old) -> Result<(), ShelfError> {
    place(path, text, old).map_err(ShelfError::disk("saved", path))
}

fn place(path: &Path, text: &str, old: Old) -> io::Result<()> {
    let folder = path.parent().ok_or(io::ErrorKind::InvalidInput)?;
    let mut builder = tempfile::Builder::new();
    builder.prefix(".aside-");
    #[cfg(unix)]
    {
        // What any new file gets, unless the old one had other rights; the user's mask applies.
        use std::os::unix::fs::PermissionsExt;
        let rights = fs::symlink_metadata(path).ok().filter(Metadata::is_file);
        let mode = rights.map_or(0o666, |m| m.permissions().mode() & 0o777);
        builder.permissions(fs::Permissions::from_mode(mode));
    }
    let mut file = builder.tempfile_in(folder)?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    match old {
        Old::Replace => file.persist(path)?,
        Old::Keep => file.persist_noclobber(path)?,
    };
    flush_folder(folder)
}

/// Brings the names in a folder to the disk, where the system can.
pub(super) fn flush_folder(folder: &Path) -> io::Result<()> {
    #[cfg(unix)]
    File::open(folder)?.sync_all()?;
    #[cfg(not(unix))]
    let _ = folder;
    Ok(())
}

/// Gives a file another name, which must be free.
pub(super) fn rename(from: &Path, to: &Path) -> io::Result<()> {
    // A second name first: it fails where the name is taken, which a rename would not.
    match fs::hard_link(from, to) {
        Ok(()) => fs::remove_file(from)?,
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Err(error),
        // A file system without second names.
        Err(_) if fs::symlink_metadata(to).is_err() => fs::rename(from, to)?,
        Err(_) => return Err(io::ErrorKind::AlreadyExists.into()),
    }
    for path in [from, to] {
        if let Some(folder) = path.parent() {
            flush_folder(folder)?;
        }
    }
    Ok(())
}

/// The names in a folder; none when there is no folder.
pub(super) fn names_in(folder: &Path) -> Result<Vec<String>, ShelfError> {
    let entries = match fs::read_dir(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        other => other.map_err(ShelfError::disk("read", folder))?,
    };
    let mut names = Vec::new();
    for entry in entries {
        let entry = entry.map_err(ShelfError::disk("read", folder))?;
        names.extend(entry.file_name().into_string());
    }
    names.sort();
    Ok(names)
}
