//! What went wrong, and the one place that prints it.

use crate::exchange::input::{InputError, Opened};
use crate::exchange::output::OutputError;
use crate::exchange::plain_text;
use crate::song::Place;
use std::error::Error;
use std::fmt::Write as _;
use std::io::Write;
use unicode_width::UnicodeWidthStr;

/// Who is at fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// The song.
    Input,
    /// The command as typed.
    Usage,
    /// The disk or another device.
    Machine,
}

impl Fault {
    /// The exit code that says so.
    pub fn code(self) -> u8 {
        match self {
            Fault::Input => 1,
            Fault::Usage => 2,
            Fault::Machine => 3,
        }
    }
}

/// One thing that went wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failure {
    /// Who is at fault.
    pub fault: Fault,
    /// The sentence, with its place and its causes.
    text: String,
    /// Lines of the input with a caret under the place.
    excerpts: Vec<String>,
}

impl Failure {
    /// A failure of a kind, in a sentence.
    pub fn new(fault: Fault, text: impl Into<String>) -> Failure {
        Failure {
            fault,
            text: text.into(),
            excerpts: Vec::new(),
        }
    }

    /// The machine's failure: a sentence and what the system said.
    pub fn machine(text: &str, cause: &dyn Error) -> Failure {
        Failure::new(Fault::Machine, format!("{text}: {cause}"))
    }

    /// Something wrong at places of an input; the first is named, all are shown.
    pub fn at(opened: &Opened, places: &[Place], text: &str) -> Failure {
        let first = places.iter().find(|p| p.line > 0);
        let text = match first {
            Some(place) => format!("{}:{place}: {text}", opened.name),
            None => format!("{}: {text}", opened.name),
        };
        let mut failure = Failure::new(Fault::Input, text);
        failure.excerpts = (places.iter())
            .filter_map(|&p| excerpt(&opened.text, p))
            .collect();
        failure
    }
}

impl From<InputError> for Failure {
    fn from(error: InputError) -> Failure {
        let fault = if error.is_machine() {
            Fault::Machine
        } else {
            Fault::Input
        };
        Failure::new(fault, chain(&error))
    }
}

impl From<OutputError> for Failure {
    fn from(error: OutputError) -> Failure {
        let fault = if error.is_machine() {
            Fault::Machine
        } else {
            Fault::Usage
        };
        Failure::new(fault, chain(&error))
    }
}

/// An error with all its causes, as one sentence.
fn chain(error: &dyn Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(error) = cause {
        let _ = write!(text, ": {error}");
        cause = error.source();
    }
    text
}

/// Prints failures and gives the exit code of the worst.
pub(super) fn report(failures: &[Failure], err: &mut dyn Write) -> u8 {
    for failure in failures {
        // Nothing more can be done when the error stream itself is gone.
        let _ = writeln!(err, "{}", plain_text(&failure.text));
        for excerpt in &failure.excerpts {
            let _ = writeln!(err, "{excerpt}");
        }
    }
    failures
        .iter()
        .map(|f| f.fault)
        .max()
        .map_or(0, Fault::code)
}

/// Columns of an input's line that are shown at most.
const SHOWN: usize = 76;

/// The line of a place and a caret under its column; the part around it of a long line.
fn excerpt(text: &str, place: Place) -> Option<String> {
    let line = text
        .lines()
        .nth(usize::try_from(place.line).ok()?.checked_sub(1)?)?;
    let column = usize::try_from(place.column).ok()?.saturating_sub(1);
    let from = (column + 1).saturating_sub(SHOWN);
    let shown: String = line.chars().skip(from).take(SHOWN).collect();
    let before: String = shown.chars().take(column - from).collect();
    let indent = " ".repeat(plain_text(&before).width());
    Some(format!("  | {}\n  | {indent}^", plain_text(&shown)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn opened(text: &str) -> Opened {
        Opened {
            name: "quay.toml".into(),
            text: text.into(),
            is_song_file: true,
            songs: Vec::new(),
        }
    }

    fn printed(failures: &[Failure]) -> (String, u8) {
        let mut err = Vec::new();
        let code = report(failures, &mut err);
        (String::from_utf8(err).unwrap(), code)
    }

    #[test]
    fn a_place_is_shown_with_its_line() {
        let place = Place { line: 2, column: 6 };
        let text = "one\n港\t\u{1b}ab H c";
        let failure = Failure::at(&opened(text), &[place], "“H” is not a note");
        let (text, code) = printed(&[failure]);
        insta::assert_snapshot!(text, @r"
    quay.toml:2:6: “H” is not a note
      | 港 �ab H c
      |       ^
    ");
        assert_eq!(code, 1);
    }

    #[test]
    fn a_long_line_is_shown_around_its_place() {
        let text = format!("{}X{}", "-".repeat(500), "-".repeat(500));
        let place = Place {
            line: 1,
            column: 501,
        };
        let lines = excerpt(&text, place).unwrap();
        let (shown, caret) = lines.split_once('\n').unwrap();
        assert_eq!(shown.find('X'), caret.find('^'));
        assert!(shown.len() < 90);
    }

    #[test]
    fn a_place_outside_the_text_is_only_named() {
        let place = Place {
            line: 9,
            column: 900,
        };
        let failure = Failure::at(&opened("x"), &[place], "gone");
        assert_eq!(printed(&[failure]).0, "quay.toml:9:900: gone\n");
    }

    #[test]
    fn the_worst_fault_gives_the_code() {
        let failures = [
            Failure::new(Fault::Machine, "disk"),
            Failure::new(Fault::Input, "song"),
        ];
        assert_eq!(printed(&failures), ("disk\nsong\n".into(), 3));
    }
}
