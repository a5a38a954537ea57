//! Songs as they are, not arranged: written as abc or as song files.

use super::Failure;
use super::plan::Plan;
use crate::exchange::input::{Entry, Opened};
use crate::exchange::output::{self, Lead, SongFormat};
use crate::exchange::plain_text;
use std::io::Write;
use std::path::PathBuf;

/// Writes the chosen songs into each of these files, in the key, with the guitar and in the form asked
/// for, and says what of them a file does not keep.
pub(super) fn write(
    plan: &Plan,
    files: &[(PathBuf, SongFormat)],
    chosen: &[(&Opened, &Entry)],
    err: &mut dyn Write,
) -> Vec<Failure> {
    let mut failures = Vec::new();
    if files.is_empty() {
        return failures;
    }
    let mut leads = Vec::new();
    for (from, entry) in chosen {
        match plan.song(&entry.song) {
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
        for lead in &leads {
            if let Some(lost) = format.loses(&lead.song) {
                let name = plain_text(&path.display().to_string());
                let _ = writeln!(err, "{name}: {lost}");
            }
        }
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

#[cfg(test)]
mod tests {
    const SONG: &str = "title = \"Quay\"\nkey = \"C\"\nmeter = \"3/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\
        |: \"C\"E G c | \"F\"A F A :| \"G7\"B G D | \"C\"E3 |]\n\"\"\"\n";

    /// What `arrange` writes into a file of this name, and what it says.
    fn written_and_said(name: &str, options: &[&str]) -> (String, String) {
        let folder = tempfile::tempdir().unwrap();
        let (song, out) = (folder.path().join("quay.toml"), folder.path().join(name));
        std::fs::write(&song, SONG).unwrap();
        let mut args = vec!["thumbline".into(), "arrange".into(), song.into()];
        args.extend(options.iter().map(Into::into));
        args.extend(["-o".into(), out.clone().into()]);
        let (mut said, mut err) = (Vec::new(), Vec::new());
        let code = crate::cli::run(args, &mut said, &mut err);
        let err = String::from_utf8(err).unwrap();
        assert_eq!(code, 0, "{err}");
        (std::fs::read_to_string(out).unwrap(), err)
    }

    fn written(name: &str, options: &[&str]) -> String {
        written_and_said(name, options).0
    }

    #[test]
    fn repeats_are_written_out_where_that_is_asked_for() {
        assert!(written("quay.abc", &[]).contains(":|"));
        for key in ["C", "D", "auto"] {
            let text = written("quay.abc", &["--write-out", "--key", key]);
            assert!(!text.contains(":|"), "{text}");
        }
    }

    #[test]
    fn the_ideas_that_are_asked_for_stand_in_the_song_file() {
        let text = written("quay.toml", &["--colour", "walking"]);
        assert!(text.contains("[[idea]]"), "{text}");
    }

    #[test]
    fn what_abc_does_not_keep_is_told() {
        let guitar = ["--tuning", "drop D", "--capo", "2"];
        let said = written_and_said("quay.abc", &guitar).1;
        let sentence = "quay.abc: “Quay” is written without tuning drop D, capo at fret 2; abc has";
        assert!(said.contains(sentence), "{said}");
        assert_eq!(written_and_said("quay.abc", &[]).1, "");
        assert_eq!(written_and_said("quay.toml", &guitar).1, "");
    }
}
