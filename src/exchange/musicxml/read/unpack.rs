//! Compressed documents (`.mxl`): an archive with a list of contents that names the score.

use super::START;
use super::tree::Tree;
use crate::song::SongError;
use std::io::{Cursor, Read};
use zip::ZipArchive;

/// The longest score that is unpacked, in bytes.
const LONGEST: u64 = 32 << 20;
/// The longest list of contents.
const LONGEST_LIST: u64 = 1 << 16;
/// The most files that an archive may hold.
const MOST_FILES: usize = 1000;

/// Unpacks the score out of a compressed document. Nothing is ever written, and a name that climbs
/// out of the archive names nothing.
///
/// # Errors
/// When it is no archive, a broken one, one beyond all bounds, or holds no score.
pub fn unpack(bytes: &[u8]) -> Result<Vec<u8>, SongError> {
    let error = |text: &str| SongError::new(START, text);
    let broken = "this is no compressed MusicXML, or it is broken";
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|_| error(broken))?;
    if archive.len() > MOST_FILES {
        return Err(error("this archive holds more files than any score"));
    }
    // Without a list of contents that can be read, the one score in the archive is meant.
    let list = file(&mut archive, "META-INF/container.xml", LONGEST_LIST);
    let list = list.ok().flatten();
    let listed = list.and_then(|list| rootfile(&String::from_utf8_lossy(&list)));
    let name = listed.or_else(|| {
        let is_score = |n: &&str| {
            let end = n.rsplit('.').next().map(str::to_ascii_lowercase);
            matches!(end.as_deref(), Some("xml" | "musicxml")) && !n.starts_with("META-INF/")
        };
        let names = archive.file_names().filter_map(Result::ok);
        let names: Vec<String> = names.map(|n| n.into_owned()).collect();
        names
            .iter()
            .map(String::as_str)
            .find(is_score)
            .map(str::to_owned)
    });
    let none = "there is no score in this archive";
    let name = name.ok_or_else(|| error(none))?;
    file(&mut archive, &name, LONGEST)?.ok_or_else(|| error(none))
}

fn rootfile(list: &str) -> Option<String> {
    let tree = Tree::read(list).ok()?;
    let files = tree.root().child("rootfiles")?;
    let name = files.child("rootfile")?.attribute("full-path")?;
    Some(name.into_owned())
}

/// A file of the archive, no longer than `most` whatever it says of itself.
fn file(
    archive: &mut ZipArchive<Cursor<&[u8]>>,
    name: &str,
    most: u64,
) -> Result<Option<Vec<u8>>, SongError> {
    let error = |text: String| SongError::new(START, text);
    let file = match archive.by_name(name) {
        Ok(file) => file,
        Err(zip::result::ZipError::FileNotFound) => return Ok(None),
        Err(_) => return Err(error("the score in this archive can't be unpacked".into())),
    };
    let mut bytes = Vec::new();
    let read = file.take(most + 1).read_to_end(&mut bytes);
    if read.is_err() {
        return Err(error("the score in this archive is broken".into()));
    }
    if bytes.len() as u64 > most {
        let text = format!(
            "the score in this archive unpacks to more than {} megabytes",
            most >> 20
        );
        return Err(error(text));
    }
    Ok(Some(bytes))
}
