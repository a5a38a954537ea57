//! Writing arrangements: the format goes by the file's ending, and a file is either the old one or
//! the new one, never half of it.

use super::sheet::{self, Booklet};
use super::{how_many, json, midi, musicxml, plain_text, spoken, tab};
use crate::arrange::Arrangement;
use crate::song::{Song, SongError, SongFile, abc};
use std::fs::File;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// What a file is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Target {
    /// Arrangements.
    Arranged(Format),
    /// Songs as they are.
    Songs(SongFormat),
}

/// What arrangements can be written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// Text tab.
    Tab,
    /// The same in words.
    Spoken,
    /// JSON.
    Json,
    /// A Standard MIDI File.
    Midi,
    /// Sheets to be printed.
    Pdf,
    /// The same sheets as one image.
    Svg,
    /// A MusicXML document.
    MusicXml,
    /// The same, compressed.
    Mxl,
}

/// What songs can be written as, which need not be arranged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SongFormat {
    /// A book in abc notation.
    Abc,
    /// A song file.
    SongFile,
}

/// How what is meant for eyes is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Look {
    /// Text tab.
    pub tab: tab::Options,
    /// Sheets.
    pub sheet: sheet::Options,
}

impl From<tab::Options> for Look {
    fn from(tab: tab::Options) -> Look {
        Look {
            tab,
            ..Look::default()
        }
    }
}

/// A song to be written as it is.
#[derive(Debug, Clone)]
pub struct Lead<'a> {
    /// Its number in a book.
    pub number: u32,
    /// The song.
    pub song: Song,
    /// The song file that it comes from, if it comes from one, so that comments are kept.
    pub text: Option<&'a str>,
}

/// Why nothing was written.
#[derive(Debug, thiserror::Error)]
#[allow(missing_docs)]
pub enum OutputError {
    #[error(
        "“{name}” ends in nothing that can be written; use .txt for tab, .pdf or .svg for sheets, \
         .json, .mid, .musicxml, .mxl, .abc, .toml or .wav, and - for standard output"
    )]
    Ending { name: String },
    #[error("“{name}” holds one song, and {count} were asked for; choose one with --tune")]
    OneSong { name: String, count: usize },
    #[error("“{name}” can't be written")]
    Unwritable {
        name: String,
        #[source]
        source: io::Error,
    },
}

impl OutputError {
    /// Whether the disk is at fault rather than what was asked for.
    pub fn is_machine(&self) -> bool {
        matches!(self, OutputError::Unwritable { .. })
    }
}

impl Target {
    /// What a file's ending asks for.
    ///
    /// # Errors
    /// When the ending names no format.
    pub fn of(path: &Path) -> Result<Target, OutputError> {
        let ending = path.extension().and_then(|e| e.to_str());
        let format = match ending.map(str::to_ascii_lowercase).as_deref() {
            Some("txt") => Format::Tab,
            Some("json") => Format::Json,
            Some("mid" | "midi") => Format::Midi,
            Some("pdf") => Format::Pdf,
            Some("svg") => Format::Svg,
            Some("musicxml" | "xml") => Format::MusicXml,
            Some("mxl") => Format::Mxl,
            Some("abc") => return Ok(Target::Songs(SongFormat::Abc)),
            Some("toml") => return Ok(Target::Songs(SongFormat::SongFile)),
            _ => return Err(OutputError::Ending { name: name(path) }),
        };
        Ok(Target::Arranged(format))
    }

    /// Whether a file of this kind can hold so many songs.
    ///
    /// # Errors
    /// When it holds one song only.
    pub fn holds(self, path: &Path, count: usize) -> Result<(), OutputError> {
        let one = matches!(
            self,
            Target::Arranged(Format::Midi | Format::MusicXml | Format::Mxl)
                | Target::Songs(SongFormat::SongFile)
        );
        if one && count > 1 {
            return Err(OutputError::OneSong {
                name: name(path),
                count,
            });
        }
        Ok(())
    }
}

impl SongFormat {
    /// The text of a file: a book of tunes, or the first one as a song file. Tunes keep their numbers
    /// if no two have the same.
    ///
    /// # Errors
    /// When a song holds what a song file can't say.
    pub fn render(self, leads: &[Lead]) -> Result<String, SongError> {
        if self == SongFormat::SongFile {
            return leads.first().map_or(Ok(String::new()), song_file);
        }
        let mut numbers: Vec<u32> = leads.iter().map(|lead| lead.number).collect();
        numbers.sort_unstable();
        numbers.dedup();
        let distinct = numbers.len() == leads.len() && !numbers.contains(&0);
        let tunes = (1..).zip(leads).map(|(count, lead)| {
            abc::write_tune(&lead.song, if distinct { lead.number } else { count })
        });
        Ok(format!(
            "%abc-2.1\n\n{}",
            tunes.collect::<Vec<_>>().join("\n")
        ))
    }

    /// What of a song a file of this kind does not keep, as a sentence; nothing when it keeps all.
    pub fn loses(self, song: &Song) -> Option<String> {
        if self == SongFormat::SongFile {
            return None;
        }
        let guitar = &song.guitar;
        let tuning = guitar.tuning.iter().filter(|t| *t != "standard");
        let capo = guitar.capo.iter().filter(|&&fret| fret > 0);
        let hand = guitar.hand.iter().filter(|h| *h != "medium");
        let counted = [(song.pins.len(), "pin"), (song.ideas.len(), "idea")];
        let counted = counted.into_iter().filter(|c| c.0 > 0);
        let lost: Vec<String> = tuning
            .map(|t| format!("tuning {t}"))
            .chain(capo.map(|fret| format!("capo at fret {fret}")))
            .chain(hand.map(|h| format!("{h} hand")))
            .chain(counted.map(|(count, one)| how_many(count, one)))
            .collect();
        let (title, lost) = (&song.title, lost.join(", "));
        (!lost.is_empty()).then(|| {
            plain_text(&format!(
                "“{title}” is written without {lost}; abc has no place for that, a song file (.toml) has"
            ))
        })
    }
}

impl Format {
    /// The bytes of a file of this format: tabs one after another, one JSON object or an array of
    /// several, the first arrangement as MIDI or MusicXML, or all of them as one booklet of sheets.
    pub fn render(self, arrangements: &[Arrangement], look: impl Into<Look>) -> Vec<u8> {
        let look = look.into();
        let sheets = |all| Booklet::of(all).lay_out(look.sheet);
        let first = arrangements.first();
        match (self, arrangements) {
            (Format::Pdf, all) => sheets(all).pdf(),
            (Format::Svg, all) => sheets(all).svg().into_bytes(),
            (Format::Tab, all) => {
                let tabs: Vec<String> = all.iter().map(|a| tab::write(a, look.tab)).collect();
                tabs.join("\n\n").into_bytes()
            }
            (Format::Spoken, all) => {
                let spoken: Vec<String> = all.iter().map(spoken::write).collect();
                spoken.join("\n\n").into_bytes()
            }
            (Format::Json, [one]) => json::write(one).into_bytes(),
            (Format::Json, all) => json::write_all(all).into_bytes(),
            (Format::Midi, _) => first.map(midi::write).unwrap_or_default(),
            (Format::MusicXml, _) => first.map(musicxml::write).unwrap_or_default().into_bytes(),
            (Format::Mxl, _) => first.map(musicxml::write_compressed).unwrap_or_default(),
        }
    }
}

/// The text of a song file, made from the one it comes from where there is one.
fn song_file(lead: &Lead) -> Result<String, SongError> {
    if let Some((mut file, ..)) = lead.text.and_then(|text| SongFile::parse(text).ok()) {
        file.update(&lead.song)?;
        return Ok(file.to_string());
    }
    SongFile::new(&lead.song).map(|file| file.to_string())
}

/// Puts bytes into a file: into a new one beside it first, which then takes its name. What is not a
/// plain file (a pipe, a device) is written straight. Links are followed.
///
/// # Errors
/// When the disk refuses; the old file is then as before.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<(), OutputError> {
    write_file_by(path, |file| file.write_all(bytes))
}

/// The same for what is too large to be held in memory: `fill` writes it.
///
/// # Errors
/// When the disk or `fill` refuses; the old file is then as before.
pub fn write_file_by(
    path: &Path,
    fill: impl FnOnce(&mut File) -> io::Result<()>,
) -> Result<(), OutputError> {
    put(path, fill).map_err(|source| OutputError::Unwritable {
        name: name(path),
        source,
    })
}

fn put(path: &Path, fill: impl FnOnce(&mut File) -> io::Result<()>) -> io::Result<()> {
    let target = std::fs::canonicalize(path).unwrap_or_else(|_| behind_links(path));
    let old = std::fs::metadata(&target).ok();
    if old.as_ref().is_some_and(|m| !m.is_file()) {
        return fill(&mut File::options().write(true).open(&target)?);
    }
    let folder = match target.parent() {
        Some(folder) if folder != Path::new("") => folder.to_path_buf(),
        _ => PathBuf::from("."),
    };
    let mut builder = tempfile::Builder::new();
    builder.prefix(".thumbline-");
    #[cfg(unix)]
    if old.is_none() {
        // What any new file gets; the user's mask applies.
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    let mut file = builder.tempfile_in(folder)?;
    if let Some(old) = old {
        file.as_file().set_permissions(old.permissions())?;
    }
    fill(file.as_file_mut())?;
    file.as_file().sync_all()?;
    file.persist(&target)?;
    Ok(())
}

/// Where links lead that end at a file which isn't there yet.
fn behind_links(path: &Path) -> PathBuf {
    let mut path = path.to_path_buf();
    // As many as Linux follows.
    for _ in 0..40 {
        let Ok(to) = std::fs::read_link(&path) else {
            break;
        };
        path.pop();
        path.push(to);
    }
    path
}

fn name(path: &Path) -> String {
    plain_text(&path.display().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::fixture;

    #[test]
    fn endings_name_formats() {
        let of = |path: &str| Target::of(Path::new(path));
        for (path, format) in [
            ("a/b.TXT", Format::Tab),
            ("b.mid", Format::Midi),
            ("b.Pdf", Format::Pdf),
            ("b.svg", Format::Svg),
        ] {
            assert_eq!(of(path).unwrap(), Target::Arranged(format));
        }
        assert_eq!(of("b.abc").unwrap(), Target::Songs(SongFormat::Abc));
        let error = of("b.doc").unwrap_err();
        assert!(error.to_string().contains(".json"), "{error}");
        for (path, several) in [
            ("b.mid", false),
            ("b.mxl", false),
            ("b.toml", false),
            ("b.json", true),
            ("b.pdf", true),
            ("b.abc", true),
        ] {
            let holds = of(path).unwrap().holds(Path::new(path), 2);
            assert_eq!(holds.is_ok(), several, "{path}");
        }
    }

    #[test]
    fn songs_are_written_as_they_are() {
        let text = "# ours\ntitle = \"Gull\"\ntune = \"\"\"\n\"C\"C4 E4 |]\n\"\"\"\n";
        let (_, song, _) = SongFile::parse(text).unwrap();
        let lead = |number, text| Lead {
            number,
            song: song.clone(),
            text,
        };
        let book = SongFormat::Abc
            .render(&[lead(3, None), lead(3, None)])
            .unwrap();
        let read = abc::read_book(&book);
        let numbers: Vec<u32> = read.iter().map(|t| t.as_ref().unwrap().number).collect();
        assert_eq!(numbers, [1, 2]);
        assert!(read[1].as_ref().unwrap().song.same_as(&song), "{book}");
        let kept = SongFormat::SongFile.render(&[lead(1, Some(text))]).unwrap();
        assert_eq!(kept, text);
        let fresh = SongFormat::SongFile.render(&[lead(1, None)]).unwrap();
        assert!(SongFile::parse(&fresh).unwrap().1.same_as(&song), "{fresh}");
    }

    #[test]
    fn a_file_is_replaced_whole_and_nothing_else_is_left() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("lamps.txt");
        write_file(&path, b"old").unwrap();
        let bytes = Format::Tab.render(&[fixture::waltz()], tab::Options::default());
        write_file(&path, &bytes).unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), bytes);
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
        let missing = folder.path().join("no/lamps.txt");
        assert!(write_file(&missing, b"x").unwrap_err().is_machine());
    }

    #[cfg(unix)]
    #[test]
    fn rights_and_links_stay() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.txt");
        let link = folder.path().join("b.txt");
        std::fs::write(&path, "old").unwrap();
        std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o640)).unwrap();
        std::os::unix::fs::symlink(&path, &link).unwrap();
        write_file(&link, b"new").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"new");
        let mode = std::fs::metadata(&path).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o640);
        assert!(std::fs::symlink_metadata(&link).unwrap().is_symlink());
    }

    #[cfg(unix)]
    #[test]
    fn a_link_to_a_file_that_is_not_there_yet_is_followed() {
        let folder = tempfile::tempdir().unwrap();
        let link = folder.path().join("out.txt");
        std::os::unix::fs::symlink("set.txt", &link).unwrap();
        write_file(&link, b"new").unwrap();
        assert!(std::fs::symlink_metadata(&link).unwrap().is_symlink());
        let set = std::fs::read(folder.path().join("set.txt")).unwrap();
        assert_eq!(set, b"new");
    }
}
