//! `thumbline probe`: what the program found on this machine.

use super::{Failure, colours, letters, write_json, write_out};
use crate::exchange::letters::Letters;
use crate::exchange::plain_text;
use crate::shelf::Folders;
use serde::Serialize;
use std::fmt::Write as _;
use std::io::{IsTerminal, Write};
use std::path::Path;

/// Show the terminal, sound devices and folders that were found
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Print JSON
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Found {
    version: &'static str,
    terminal: Terminal,
    sound: Sound,
    folders: Option<Places>,
}

#[derive(Serialize)]
struct Terminal {
    /// Standard output is one.
    terminal: bool,
    columns: Option<u16>,
    rows: Option<u16>,
    /// What TERM says.
    kind: Option<String>,
    /// It shows 16 million colours, as COLORTERM or TERM says.
    true_colour: bool,
    /// NO_COLOR asks for none (no-color.org: set and not empty).
    no_colour: bool,
    /// Which letters are shown: all, few or ascii.
    letters: &'static str,
    /// Why those.
    letters_why: String,
}

#[derive(Serialize)]
struct Sound {
    /// This program was built with sound.
    built: bool,
    devices: Vec<Device>,
}

#[derive(Serialize)]
struct Device {
    name: String,
    id: String,
    default: bool,
}

#[derive(Serialize)]
struct Places {
    /// The config file.
    config: String,
    /// The folder of the songs.
    songs: String,
    /// The folder of the setlists.
    setlists: String,
    /// The practice log.
    log: String,
    /// The folder of the user's own themes.
    themes: String,
}

pub(super) fn run(args: &Args, out: &mut dyn Write) -> Result<(), Vec<Failure>> {
    let found = Found {
        version: env!("CARGO_PKG_VERSION"),
        terminal: terminal(),
        sound: Sound {
            built: cfg!(feature = "sound"),
            devices: devices(),
        },
        folders: folders(),
    };
    if args.json {
        let json = serde_json::to_string_pretty(&found).unwrap_or_default();
        return write_json(out, &(json + "\n"));
    }
    write_out(out, found.text().as_bytes())
}

fn terminal() -> Terminal {
    let terminal = std::io::stdout().is_terminal();
    let size = terminal.then(|| crossterm::terminal::size().ok()).flatten();
    let (letters, letters_why) = letters::found();
    let colours = colours::found();
    Terminal {
        terminal,
        columns: size.map(|s| s.0),
        rows: size.map(|s| s.1),
        kind: std::env::var("TERM").ok().filter(|kind| !kind.is_empty()),
        true_colour: colours.full,
        no_colour: colours.none,
        letters: match letters {
            Letters::All => "all",
            Letters::Few => "few",
            Letters::Ascii => "ascii",
        },
        letters_why,
    }
}

#[cfg(feature = "sound")]
fn devices() -> Vec<Device> {
    let list = crate::sound::devices().into_iter();
    list.map(|d| Device {
        name: d.name,
        id: d.id,
        default: d.default,
    })
    .collect()
}

#[cfg(not(feature = "sound"))]
fn devices() -> Vec<Device> {
    Vec::new()
}

/// Where things lie; nothing where this system names no home folder.
fn folders() -> Option<Places> {
    let of = |path: &Path| path.display().to_string();
    Folders::of_user().ok().map(|folders| Places {
        config: of(&folders.config),
        songs: of(&folders.songs),
        setlists: of(&folders.setlists),
        log: of(&folders.log),
        themes: of(&folders.themes),
    })
}

impl Found {
    fn text(&self) -> String {
        let mut text = format!("thumbline {}\n\nterminal\n", self.version);
        let t = &self.terminal;
        let mut line = |name: &str, value: &str| {
            let _ = writeln!(text, "  {name:<10} {}", plain_text(value));
        };
        line(
            "size",
            &match (t.columns, t.rows) {
                (Some(columns), Some(rows)) => format!("{columns} × {rows}"),
                _ => "not a terminal".into(),
            },
        );
        line("kind", t.kind.as_deref().unwrap_or("unknown"));
        let colour = match (t.no_colour, t.true_colour) {
            (true, _) => "none, as NO_COLOR asks",
            (_, true) => "16 million",
            _ => "the terminal's own",
        };
        line("colours", colour);
        line("letters", &t.letters_why);
        text.push_str("\nsound\n");
        match (self.sound.built, self.sound.devices.is_empty()) {
            (false, _) => text.push_str("  this program was built without sound\n"),
            (_, true) => text.push_str("  no device was found\n"),
            _ => {}
        }
        for device in &self.sound.devices {
            let mark = if device.default { '*' } else { ' ' };
            let (name, id) = (plain_text(&device.name), plain_text(&device.id));
            let _ = writeln!(text, "{mark} {name}  ({id})");
        }
        text.push_str("\nfolders\n");
        match &self.folders {
            Some(places) => {
                for (name, path) in [
                    ("config", &places.config),
                    ("songs", &places.songs),
                    ("setlists", &places.setlists),
                    ("log", &places.log),
                    ("themes", &places.themes),
                ] {
                    let _ = writeln!(text, "  {name:<10} {}", plain_text(path));
                }
            }
            None => text.push_str("  this system names no home folder\n"),
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_ways_of_telling_say_something_of_each_part() {
        let tell = |json| {
            let mut out = Vec::new();
            run(&Args { json }, &mut out).unwrap();
            String::from_utf8(out).unwrap()
        };
        let text = tell(false);
        for part in ["terminal", "sound", "folders"] {
            assert!(text.contains(&format!("\n{part}\n")), "{text}");
        }
        let value: serde_json::Value = serde_json::from_str(&tell(true)).unwrap();
        assert!(value["sound"]["devices"].is_array());
        let why = value["terminal"]["letters_why"].as_str().unwrap();
        assert!(text.contains(&format!("letters    {why}")), "{text}");
        if let Ok(folders) = Folders::of_user() {
            let songs = folders.songs.display().to_string();
            assert_eq!(value["folders"]["songs"], songs.as_str());
            assert!(text.contains(&format!("songs      {}", plain_text(&songs))));
        }
    }
}
