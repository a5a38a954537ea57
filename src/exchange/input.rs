//! Opening what the player has: song files, abc, MusicXML and MIDI, from disk or from standard input.

use super::{ChordLine, midi, musicxml};
use crate::song::{Notice, Place, Song, SongError, SongFile, abc};
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

/// The longest input that is read, in bytes. A book of a thousand tunes has about half a million.
pub const LONGEST: u64 = 16 << 20;

/// What the player says about an input that holds more than one melody.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Choice {
    /// The part of a score or the track of a MIDI file with the melody, by its name or its number
    /// from 1; tracks without notes are not counted.
    pub part: Option<String>,
    /// The voice of that part by its name, which is a number as a rule; of a track, its channel.
    pub voice: Option<String>,
    /// Chords instead of the song's own.
    pub chords: Option<ChordLine>,
}

/// A text and the songs found in it.
#[derive(Debug)]
pub struct Opened {
    /// What it is called in messages.
    pub name: String,
    /// The text, to show a line of it beside a message.
    pub text: String,
    /// The text is a song file, which may hold more than the song.
    pub is_song_file: bool,
    /// The songs in order; each was read or not on its own.
    pub songs: Vec<Result<Entry, SongError>>,
}

/// One song out of an input.
#[derive(Debug, Clone)]
pub struct Entry {
    /// The number a book gives it (`X:`); 1 in a song file.
    pub number: u32,
    /// The song.
    pub song: Song,
    /// What is worth knowing about it, in the order of the text.
    pub notices: Vec<Notice>,
}

/// Why an input can't be opened at all.
#[derive(Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum InputError {
    #[error("there is no file “{name}”; check the name and the folder")]
    Missing { name: String },
    #[error("“{name}” is a folder; name a song in it")]
    Folder { name: String },
    #[error("“{name}” can't be read")]
    Unreadable {
        name: String,
        #[source]
        source: io::Error,
    },
    #[error("“{name}” is longer than {} megabytes; split it", LONGEST >> 20)]
    TooLong { name: String },
    #[error("“{name}” is not a text; if it is one, save it as UTF-8")]
    NotText { name: String },
    #[error("“{name}” is empty")]
    Empty { name: String },
    #[error(
        "“{name}” ends in nothing known; songs end in .toml, .abc, .musicxml, .mxl or .mid, and \
         - is standard input"
    )]
    Ending { name: String },
}

impl InputError {
    /// Whether the disk is at fault rather than what was named.
    pub fn is_machine(&self) -> bool {
        matches!(self, InputError::Unreadable { .. })
    }
}

/// Which way an input is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    SongFile,
    Abc,
    MusicXml,
    /// Compressed MusicXML.
    Mxl,
    Midi,
}

/// Opens a file by its ending, or standard input for `-`.
///
/// # Errors
/// When nothing can be read there, or it is a folder; when the ending is not known; when what is read
/// is empty, no text, or longer than [`LONGEST`]. A song that can't be read is told among the songs.
pub fn open(path: &Path) -> Result<Opened, InputError> {
    open_choosing(path, &Choice::default())
}

/// The same where the player says which melody is meant.
///
/// # Errors
/// As for [`open`].
pub fn open_choosing(path: &Path, choice: &Choice) -> Result<Opened, InputError> {
    if path == Path::new("-") {
        return read(io::stdin().lock(), "standard input", None, choice);
    }
    let name = super::plain_text(&path.display().to_string());
    let ending = path.extension().and_then(|e| e.to_str());
    let kind = match ending.map(str::to_ascii_lowercase).as_deref() {
        Some("toml") => Kind::SongFile,
        Some("abc") => Kind::Abc,
        Some("musicxml" | "xml") => Kind::MusicXml,
        Some("mxl") => Kind::Mxl,
        Some("mid" | "midi") => Kind::Midi,
        _ if path.is_dir() => return Err(InputError::Folder { name }),
        _ if !path.exists() => return Err(InputError::Missing { name }),
        _ => return Err(InputError::Ending { name }),
    };
    if path.is_dir() {
        return Err(InputError::Folder { name });
    }
    let file = File::open(path).map_err(|source| match source.kind() {
        io::ErrorKind::NotFound => InputError::Missing { name: name.clone() },
        _ => InputError::Unreadable {
            name: name.clone(),
            source,
        },
    })?;
    read(file, &name, Some(kind), choice)
}

fn read(
    from: impl Read,
    name: &str,
    kind: Option<Kind>,
    choice: &Choice,
) -> Result<Opened, InputError> {
    let name = || name.to_string();
    let mut bytes = Vec::new();
    from.take(LONGEST + 1)
        .read_to_end(&mut bytes)
        .map_err(|source| InputError::Unreadable {
            name: name(),
            source,
        })?;
    if bytes.len() as u64 > LONGEST {
        return Err(InputError::TooLong { name: name() });
    }
    if bytes.is_empty() {
        return Err(InputError::Empty { name: name() });
    }
    let kind = kind.or_else(|| packed(&bytes));
    let bytes = match kind {
        Some(Kind::Midi) => {
            let song =
                midi::read(&bytes, choice).map(|(song, notices)| entry(1, song, notices, choice));
            return Ok(without_text(name(), song));
        }
        Some(Kind::Mxl) => match musicxml::unpack(&bytes) {
            Ok(inner) => inner,
            Err(error) => return Ok(without_text(name(), Err(error))),
        },
        _ => bytes,
    };
    let (text, notice) = decode(bytes).ok_or_else(|| InputError::NotText { name: name() })?;
    if text.trim().is_empty() {
        return Err(InputError::Empty { name: name() });
    }
    let kind = kind.unwrap_or_else(|| guess(&text));
    let mut songs = match kind {
        Kind::Abc => book(&text, choice),
        Kind::SongFile => vec![song_file(&text, choice)],
        _ => {
            let read = musicxml::read(&text, choice);
            vec![read.map(|(song, notices)| entry(1, song, notices, choice))]
        }
    };
    if let (Some(notice), Some(Ok(first))) = (notice, songs.iter_mut().find(|s| s.is_ok())) {
        first.notices.insert(0, notice);
    }
    Ok(Opened {
        name: name(),
        text,
        is_song_file: kind == Kind::SongFile,
        songs,
    })
}

/// An input of one song that has no text to show.
fn without_text(name: String, song: Result<Entry, SongError>) -> Opened {
    Opened {
        name,
        text: String::new(),
        is_song_file: false,
        songs: vec![song],
    }
}

/// A text in UTF-8, with or without a byte order mark, in UTF-16 with one, or else in Latin-1 with a
/// notice. Nothing for what holds a zero byte or mostly control characters.
fn decode(bytes: Vec<u8>) -> Option<(String, Option<Notice>)> {
    let wide: Option<fn([u8; 2]) -> u16> = match bytes.get(..2) {
        Some([0xff, 0xfe]) => Some(u16::from_le_bytes),
        Some([0xfe, 0xff]) => Some(u16::from_be_bytes),
        _ => None,
    };
    if let Some(unit) = wide {
        let pairs = bytes.chunks_exact(2).skip(1);
        let units: Vec<u16> = pairs.map(|pair| unit([pair[0], pair[1]])).collect();
        let text = String::from_utf16(&units).ok()?;
        return (!text.contains('\0')).then_some((text, None));
    }
    let strange = |b: &&u8| **b < b' ' && !b"\t\n\r\x0c\x1b".contains(*b);
    if bytes.contains(&0) || bytes.iter().filter(strange).count() * 20 > bytes.len() {
        return None;
    }
    match String::from_utf8(bytes) {
        Ok(text) => Some((text.trim_start_matches('\u{feff}').to_string(), None)),
        Err(error) => {
            let place = place_of(error.as_bytes(), error.utf8_error().valid_up_to());
            let text = error.as_bytes().iter().map(|&b| char::from(b)).collect();
            let notice = "this text is not UTF-8, so it was read as Latin-1; save it as UTF-8 if \
                          letters look wrong";
            Some((text, Some(Notice::new(place, notice))))
        }
    }
}

/// The place of a byte, one character a byte.
fn place_of(bytes: &[u8], at: usize) -> Place {
    let before = bytes.get(..at).unwrap_or(bytes);
    let line_start = before
        .iter()
        .rposition(|&b| b == b'\n')
        .map_or(0, |i| i + 1);
    let number = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Place {
        line: number(before.iter().filter(|&&b| b == b'\n').count() + 1),
        column: number(at - line_start + 1),
    }
}

/// What an input without an ending is that is no text, by its first bytes.
fn packed(bytes: &[u8]) -> Option<Kind> {
    if bytes.starts_with(b"PK\x03\x04") {
        return Some(Kind::Mxl);
    }
    bytes.starts_with(b"MThd").then_some(Kind::Midi)
}

/// What a text without an ending is. A song file has `name = value` before anything that looks like
/// an abc field (`X:1`).
fn guess(text: &str) -> Kind {
    if text.trim_start().starts_with('<') {
        return Kind::MusicXml;
    }
    for line in text.lines().map(str::trim) {
        let word = line.trim_start_matches(|c: char| c.is_ascii_alphanumeric() || c == '_');
        let has_word = word.len() < line.len();
        if line.starts_with('[') || (has_word && word.trim_start().starts_with('=')) {
            return Kind::SongFile;
        }
        if line.as_bytes().get(1) == Some(&b':')
            && line.starts_with(|c: char| c.is_ascii_alphabetic())
        {
            return Kind::Abc;
        }
    }
    Kind::Abc
}

fn book(text: &str, choice: &Choice) -> Vec<Result<Entry, SongError>> {
    (abc::read_book(text).into_iter())
        .map(|tune| tune.map(|t| entry(t.number, t.song, t.notices, choice)))
        .collect()
}

fn song_file(text: &str, choice: &Choice) -> Result<Entry, SongError> {
    let (_, song, notices) = SongFile::parse(text)?;
    Ok(entry(1, song, notices, choice))
}

/// Puts in the chords that the player gives, and adds what the song itself has to say to what its
/// reader said.
fn entry(number: u32, mut song: Song, mut notices: Vec<Notice>, choice: &Choice) -> Entry {
    notices.extend(choice.chords.as_ref().and_then(|line| line.put(&mut song)));
    notices.extend(song.check());
    notices.sort_by_key(|n| n.place);
    notices.dedup();
    Entry {
        number,
        song,
        notices,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TUNE: &str = "X:4\nT:Foghorn\nM:3/4\nL:1/4\nK:C\n\"C\"C E G |\n";

    fn opened(bytes: &[u8]) -> Result<Opened, InputError> {
        read(bytes, "test", None, &Choice::default())
    }

    #[test]
    fn abc_is_recognised_with_and_without_mark() {
        for text in [TUNE.to_string(), format!("\u{feff}{TUNE}")] {
            let opened = opened(text.as_bytes()).unwrap();
            let entry = opened.songs[0].as_ref().unwrap();
            assert_eq!((entry.number, entry.song.title.as_str()), (4, "Foghorn"));
        }
        assert_eq!(guess("# ours\n\ntitle = \"x\"\n"), Kind::SongFile);
        assert_eq!(guess("[guitar]\n"), Kind::SongFile);
        assert_eq!(guess("%abc\nX:1\n"), Kind::Abc);
        assert_eq!(guess("\n<?xml"), Kind::MusicXml);
    }

    #[test]
    fn utf_16_is_recognised_by_its_text() {
        let wide: Vec<u8> = format!("\u{feff}{TUNE}")
            .encode_utf16()
            .flat_map(u16::to_be_bytes)
            .collect();
        let opened = opened(&wide).unwrap();
        assert_eq!(opened.songs[0].as_ref().unwrap().song.title, "Foghorn");
    }

    #[test]
    fn latin_1_is_read_and_told() {
        let bytes = TUNE.replace("Foghorn", "Foghörn");
        let bytes: Vec<u8> = bytes.chars().map(|c| c as u8).collect();
        let opened = opened(&bytes).unwrap();
        let entry = opened.songs[0].as_ref().unwrap();
        assert_eq!(entry.song.title, "Foghörn");
        assert_eq!(entry.notices[0].place, Place { line: 2, column: 7 });
        assert!(entry.notices[0].text.contains("Latin-1"));
    }

    #[test]
    fn what_is_no_text_is_refused() {
        assert!(matches!(opened(b"X:1\0"), Err(InputError::NotText { .. })));
        let noise: Vec<u8> = (0..=255).map(|b: u8| b % 8 + 1).collect();
        assert!(matches!(opened(&noise), Err(InputError::NotText { .. })));
        assert!(matches!(opened(b" \n "), Err(InputError::Empty { .. })));
        let long = vec![b' '; LONGEST as usize + 1];
        assert!(matches!(opened(&long), Err(InputError::TooLong { .. })));
    }
}
