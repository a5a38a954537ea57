//! `thumbline` and `thumbline SONG`: the studio.

use super::{Failure, Fault, colours, letters};
use crate::exchange::input;
use crate::shelf::{Folders, Store};
use crate::song::{Song, SongFile};
use crate::studio::{self, Address, Desk, Home, Shelf, Studio, Theme, Writing};
use jiff::tz::TimeZone;
use std::io::IsTerminal;
use std::path::Path;

/// Opens the studio, with a song on the Desk or a list to choose from.
pub(super) fn run(song: Option<&Path>) -> Result<(), Vec<Failure>> {
    if let Some(word) = song.filter(|p| p.extension().is_none() && !p.exists()) {
        let text = format!(
            "“{}” is neither a subcommand nor a song; songs end in .toml, .abc, .mxl or .mid, and \
             `thumbline --help` lists the subcommands",
            word.display()
        );
        return Err(vec![Failure::new(Fault::Usage, text)]);
    }
    on_terminal().map_err(|f| vec![f])?;
    let mut studio = match song {
        None => Studio::choosing(Shelf::new(TimeZone::system()), theme()),
        Some(path) => opened(path)?,
    };
    studio.letters = letters::found().0;
    studio::run(studio, Folders::of_user().ok())
        .map_err(|e| vec![Failure::machine("the studio had to stop", &e)])
}

fn opened(path: &Path) -> Result<Studio, Vec<Failure>> {
    let opened = input::open(path).map_err(|e| vec![e.into()])?;
    let failures: Vec<Failure> = (opened.songs.iter())
        .filter_map(|s| s.as_ref().err())
        .map(|e| Failure::at(&opened, &[e.place], &e.text))
        .collect();
    let songs: Vec<_> = opened.songs.iter().flatten().collect();
    match songs.as_slice() {
        [] => Err(failures),
        [only] if opened.songs.len() == 1 => {
            let nowhere = || (only.song.clone(), Home::nowhere(only.notices.clone()));
            let (song, home) = kept(path).unwrap_or_else(nowhere);
            let zone = TimeZone::system();
            Ok(match Desk::open(song, home) {
                Ok(desk) => Studio::at_desk(desk, theme(), zone),
                Err(unlaid) => Studio::at_writing(Writing::unlaid(*unlaid), theme(), zone),
            })
        }
        _ => {
            let shelf = Shelf::book(opened, TimeZone::system());
            Ok(Studio::choosing(shelf, theme()))
        }
    }
}

/// The song of a file that is kept there, unless its name or place is no good for that. Song and seal
/// are of one reading, so that what another program writes later is noticed.
fn kept(path: &Path) -> Option<(Song, Home)> {
    let address = Address::of(path)?;
    let (text, seal) = Store::open(&address.folder)
        .ok()?
        .read(&address.name)
        .ok()?;
    let (file, song, mut notices) = SongFile::parse(&text).ok()?;
    notices.extend(song.check());
    Some((song, Home::at(address, file, seal, notices)))
}

/// The studio needs a terminal that it can paint on.
fn on_terminal() -> Result<(), Failure> {
    let say = |text: &str| Err(Failure::new(Fault::Machine, text));
    if !std::io::stdin().is_terminal() || !std::io::stdout().is_terminal() {
        return say(
            "the studio needs a terminal; `thumbline arrange SONG` writes to files and pipes, and \
             `thumbline --help` tells the rest",
        );
    }
    if std::env::var_os("TERM").is_some_and(|t| t == "dumb") {
        return say(
            "the studio can't paint on this terminal (TERM is dumb); `thumbline arrange SONG` \
             prints plain tab",
        );
    }
    Ok(())
}

fn theme() -> Theme {
    let colours = colours::found();
    Theme::fitting(colours.none, colours.full)
}
