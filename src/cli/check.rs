//! `thumbline check IN…`

use super::{Failure, write_json, write_out};
use crate::exchange::input::{self, Entry, Opened};
use crate::exchange::{how_many, plain_text};
use crate::song::{Notice, SongError};
use serde::Serialize;
use std::fmt::Write as _;
use std::io::Write;
use std::path::PathBuf;

/// Say what is in song files, and what is wrong or worth knowing
#[derive(Debug, clap::Args)]
pub(super) struct Args {
    /// Song files (.toml), abc (.abc), MusicXML (.musicxml, .mxl), MIDI (.mid), or - for standard
    /// input
    #[arg(required = true, value_name = "IN")]
    inputs: Vec<PathBuf>,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &Args, out: &mut dyn Write) -> Result<(), Vec<Failure>> {
    let mut failures = Vec::new();
    let opened: Vec<Opened> = (args.inputs.iter())
        .filter_map(|path| input::open(path).map_err(|e| failures.push(e.into())).ok())
        .collect();
    let mut text = String::new();
    for from in &opened {
        for song in &from.songs {
            match song {
                Ok(entry) => say(from, entry, &mut text),
                Err(error) => failures.push(Failure::at(from, &[error.place], &error.text)),
            }
        }
    }
    let files: Vec<File<'_>> = opened.iter().map(file).collect();
    if args.json {
        let json = serde_json::to_string_pretty(&files).unwrap_or_default();
        write_json(out, &(json + "\n"))?;
    } else {
        write_out(out, text.as_bytes())?;
    }
    if failures.is_empty() {
        Ok(())
    } else {
        Err(failures)
    }
}

/// One song in a line, and a line for each notice.
fn say(opened: &Opened, entry: &Entry, text: &mut String) {
    let song = &entry.song;
    let title = match song.title.trim() {
        "" => "without a title".to_string(),
        title => format!("“{}”", plain_text(title)),
    };
    let chords = song.bars.iter().map(|b| b.chords.len()).sum();
    let mut facts = vec![how_many(song.bars.len(), "bar"), song.key.to_string()];
    facts.extend(song.bars.first().map(|b| b.meter.to_string()));
    facts.push(how_many(chords, "chord"));
    facts.push(match entry.notices.len() {
        0 => "nothing to remark".into(),
        n => how_many(n, "remark"),
    });
    let number = entry.number;
    let _ = writeln!(
        text,
        "{}: tune {number}, {title}: {}",
        opened.name,
        facts.join(", ")
    );
    for notice in &entry.notices {
        let _ = writeln!(text, "{}", notice_line(opened, notice));
    }
}

/// `file:line:column: sentence`.
pub(super) fn notice_line(opened: &Opened, notice: &Notice) -> String {
    let text = plain_text(&notice.text);
    match notice.place.line {
        0 => format!("{}: {text}", opened.name),
        _ => format!("{}:{}: {text}", opened.name, notice.place),
    }
}

#[derive(Serialize)]
struct File<'a> {
    file: &'a str,
    songs: Vec<SongOut<'a>>,
    errors: Vec<At<'a>>,
}

#[derive(Serialize)]
struct SongOut<'a> {
    number: u32,
    title: &'a str,
    bars: usize,
    key: String,
    meter: Option<String>,
    chords: usize,
    remarks: Vec<At<'a>>,
}

#[derive(Serialize)]
struct At<'a> {
    line: u32,
    column: u32,
    text: &'a str,
}

fn file(opened: &Opened) -> File<'_> {
    let good = opened.songs.iter().filter_map(|s| s.as_ref().ok());
    let bad = opened.songs.iter().filter_map(|s| s.as_ref().err());
    File {
        file: &opened.name,
        songs: good
            .map(|entry| SongOut {
                number: entry.number,
                title: &entry.song.title,
                bars: entry.song.bars.len(),
                key: entry.song.key.to_string(),
                meter: entry.song.bars.first().map(|b| b.meter.to_string()),
                chords: entry.song.bars.iter().map(|b| b.chords.len()).sum(),
                remarks: (entry.notices.iter())
                    .map(|Notice { place, text }| At {
                        line: place.line,
                        column: place.column,
                        text,
                    })
                    .collect(),
            })
            .collect(),
        errors: bad
            .map(|SongError { place, text }| At {
                line: place.line,
                column: place.column,
                text,
            })
            .collect(),
    }
}
