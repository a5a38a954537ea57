//! Songs as they are, not arranged: written as abc or as song files.

use super::Failure;
use super::plan::{Plan, Wanted, arranged};
use crate::exchange::input::{Entry, Opened};
use crate::exchange::output::{self, Lead, SongFormat};
use crate::song::Song;
use std::path::PathBuf;

/// Writes the chosen songs into each of these files, in the key and with the guitar asked for.
pub(super) fn write(
    plan: &Plan,
    files: &[(PathBuf, SongFormat)],
    chosen: &[(&Opened, &Entry)],
) -> Vec<Failure> {
    let mut failures = Vec::new();
    if files.is_empty() {
        return failures;
    }
    let mut leads = Vec::new();
    for (from, entry) in chosen {
        match wanted(plan, &entry.song) {
            Ok(song) => leads.push(Lead {
                number: entry.number,
                song,
                text: from.is_song_file.then_some(from.text.as_str()),
            }),
            Err(problem) => failures.push(problem.at(from, &entry.song)),
        }
    }
    if leads.is_empty() {
        return failures;
    }
    for (path, format) in files {
        let written = match format.render(&leads) {
            Ok(text) => output::write_file(path, text.as_bytes()).map_err(Failure::from),
            Err(error) => Err(match chosen {
                [(from, _)] => Failure::at(from, &[error.place], &error.text),
                _ => Failure::new(super::Fault::Input, error.to_string()),
            }),
        };
        failures.extend(written.err());
    }
    failures
}

/// The song in the key that is asked for; for the key that plays best it is arranged first.
fn wanted(plan: &Plan, song: &Song) -> Result<Song, super::problem::Problem> {
    let mut wanted = match &plan.key {
        Wanted::AsWritten => song.clone(),
        Wanted::Key(key) => song.in_key(key),
        Wanted::Best => arranged(plan, song)?.song,
    };
    wanted.guitar = plan.wished(song);
    Ok(wanted)
}
