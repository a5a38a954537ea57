//! Files that come in and go out by a path that was typed.

use super::{News, Paper};
use crate::arrange::{Arrangement, Options};
use crate::exchange::input;
use crate::exchange::output::{Format, Lead, Target, write_file};
use crate::exchange::sheet::{self, Booklet};
use crate::exchange::{plain_text, tab};
use crate::shelf::{Name, Setlist, Shelf};
use crate::song::Song;
use crate::studio::screens::arranged;
use jiff::Timestamp;
use std::error::Error;
use std::path::{Path, PathBuf};

/// A path as it was typed, `~/` being the home folder.
fn path_of(typed: &str) -> PathBuf {
    let typed = typed.trim();
    let home = std::env::home_dir().filter(|h| !h.as_os_str().is_empty());
    match (typed.strip_prefix("~/"), home) {
        (Some(rest), Some(home)) => home.join(rest),
        _ => PathBuf::from(typed),
    }
}

/// How many songs of a file were taken, lay there already, and could not be taken.
#[derive(Default)]
struct Taken {
    new: usize,
    known: usize,
    failed: usize,
}

impl Taken {
    fn sentence(&self) -> String {
        let mut text = match self.new {
            0 => "nothing new is taken".to_string(),
            1 => "1 song is on the shelf now".into(),
            n => format!("{n} songs are on the shelf now"),
        };
        if self.known > 0 {
            text += &format!(", {} lay there already", self.known);
        }
        if self.failed > 0 {
            text += &format!(", {} could not be taken", self.failed);
        }
        text
    }
}

/// Puts the songs of a file on the shelf. What can't be taken is told, song by song.
pub(super) fn import(shelf: &Shelf, typed: &str, now: Timestamp) -> Vec<News> {
    let opened = match input::open(&path_of(typed)) {
        Ok(opened) => opened,
        Err(error) => return vec![News::trouble(&error)],
    };
    let (mut lines, mut taken) = (Vec::new(), Taken::default());
    for (i, song) in opened.songs.iter().enumerate() {
        let place = format!("tune {}", i + 1);
        let entry = match song {
            Ok(entry) if is_known(shelf, &entry.song) => {
                taken.known += 1;
                continue;
            }
            Ok(entry) => entry,
            Err(error) => {
                taken.failed += 1;
                let why = plain_text(&error.to_string());
                lines.push(format!("{place} is not taken: {why}"));
                continue;
            }
        };
        let added = match opened.is_song_file {
            true => shelf.songs.add(&entry.song.title, &opened.text, now),
            false => shelf.add(&entry.song, now),
        };
        let title = plain_text(&entry.song.title);
        if let Err(error) = added {
            taken.failed += 1;
            lines.push(format!("{place}, {title}, is not taken: {error}"));
            continue;
        }
        taken.new += 1;
        let notices = entry.notices.iter().map(|n| plain_text(&n.to_string()));
        lines.extend(notices.map(|n| format!("{title}: {n}")));
    }
    let mut news = Vec::new();
    if !lines.is_empty() {
        news.push(News::Notices(opened.name, lines));
    }
    news.push(match (taken.new, taken.known) {
        (0, 0) => News::Trouble(taken.sentence()),
        _ => News::Done(taken.sentence()),
    });
    news
}

/// Whether the shelf has this very song, under the name that its title gives.
fn is_known(shelf: &Shelf, song: &Song) -> bool {
    let there = shelf.take(&Name::from_title(&song.title));
    there.is_ok_and(|t| t.song.same_as(song))
}

/// Writes a song or a setlist to a file.
pub(super) fn export(shelf: &Shelf, what: &Paper, typed: &str, replace: bool) -> News {
    let path = path_of(typed);
    if path.file_name().is_none() || path.is_dir() {
        return News::Trouble("name a file, such as evening.txt".into());
    }
    if !replace && path.symlink_metadata().is_ok() {
        return News::Exists(typed.to_string());
    }
    let written = match what {
        Paper::Song(name) => write_song(shelf, name, &path),
        Paper::Setlist(name) => write_setlist(shelf, name, &path),
    };
    match written {
        Ok(()) => {
            let path = std::fs::canonicalize(&path).unwrap_or(path);
            News::Done(plain_text(&format!("written: {}", path.display())))
        }
        Err(error) => News::trouble(error.as_ref()),
    }
}

/// Writes an arrangement as sheets into a folder, under a name that nothing there has yet.
pub(super) fn print(folder: &Path, arrangement: &Arrangement, name: &str) -> News {
    let names = std::iter::once(format!("{name}.pdf"));
    let names = names.chain((2..1000).map(|n| format!("{name}-{n}.pdf")));
    let free = names
        .map(|n| folder.join(n))
        .find(|p| p.symlink_metadata().is_err());
    let Some(path) = free else {
        return News::Trouble(format!("there are too many sheets of {name} here already"));
    };
    let look = tab::Options::default();
    let bytes = Format::Pdf.render(std::slice::from_ref(arrangement), look);
    match write_file(&path, &bytes) {
        Ok(()) => {
            let path = std::fs::canonicalize(&path).unwrap_or(path);
            News::Printed(plain_text(&path.display().to_string()))
        }
        Err(error) => News::trouble(&error),
    }
}

fn write_setlist(shelf: &Shelf, name: &Name, path: &Path) -> Result<(), Box<dyn Error>> {
    let (list, _) = shelf.take_setlist(name)?;
    if let Ok(Target::Arranged(format @ (Format::Pdf | Format::Svg))) = Target::of(path) {
        return write_booklet(shelf, &list, format, path);
    }
    let known = list.songs.iter().cloned().map(|n| shelf.entry(n));
    let entries: Vec<_> = known.filter(|e| e.problem.is_none()).collect();
    write_file(path, list.listed(&entries).as_bytes())?;
    Ok(())
}

/// The sheets of a setlist's songs with a page of contents. A song that can't be arranged is named,
/// and nothing is written: an evening's sheets without one of its songs would be found out too late.
fn write_booklet(
    shelf: &Shelf,
    list: &Setlist,
    format: Format,
    path: &Path,
) -> Result<(), Box<dyn Error>> {
    let mut songs = Vec::with_capacity(list.songs.len());
    for name in &list.songs {
        let song = shelf.take(name)?.song;
        songs.push(
            arranged(&song, &Options::usual(&song)).map_err(|e| format!("{}: {e}", song.title))?,
        );
    }
    if songs.is_empty() {
        return Err("there is no song in this setlist yet".into());
    }
    let mut booklet = Booklet::of(&songs);
    booklet.title = &list.title;
    let document = booklet.lay_out(sheet::Options::default());
    let bytes = match format {
        Format::Svg => document.svg().into_bytes(),
        _ => document.pdf(),
    };
    write_file(path, &bytes)?;
    Ok(())
}

/// What is said to an ending that names no format.
const ENDINGS: &str = "the ending says what is written: .txt for tab, .pdf or .svg for sheets, .json, \
                       .mid, .musicxml, .mxl, .abc, .wav or .toml";

fn write_song(shelf: &Shelf, name: &Name, path: &Path) -> Result<(), Box<dyn Error>> {
    let taken = shelf.take(name)?;
    let ending = path
        .extension()
        .and_then(|e| e.to_str())
        .unwrap_or_default();
    match ending.to_ascii_lowercase().as_str() {
        "toml" => write_file(path, taken.file.to_string().as_bytes())?,
        "wav" => write_sound(&arranged(&taken.song, &Options::usual(&taken.song))?, path)?,
        _ => {
            let bytes = match Target::of(path).map_err(|_| ENDINGS)? {
                Target::Songs(format) => {
                    let (number, song, text) = (1, taken.song.clone(), None);
                    format.render(&[Lead { number, song, text }])?.into_bytes()
                }
                Target::Arranged(format) => {
                    let all = [arranged(&taken.song, &Options::usual(&taken.song))?];
                    format.render(&all, tab::Options::default())
                }
            };
            write_file(path, &bytes)?;
        }
    }
    Ok(())
}

#[cfg(feature = "sound")]
fn write_sound(arrangement: &Arrangement, path: &Path) -> Result<(), Box<dyn Error>> {
    let score = crate::score::Score::new(arrangement);
    Ok(crate::sound::write_plain_sound(path, &score)?)
}

#[cfg(not(feature = "sound"))]
fn write_sound(_: &Arrangement, _: &Path) -> Result<(), Box<dyn Error>> {
    Err("this program was built without sound, so it writes no .wav".into())
}
