//! A line that is typed: tags, names, paths.

use super::book::Book;
use super::{NewSong, Next, Shelf};
use crate::shelf::{Entry, Name};
use crate::studio::disk::{Errand, List, Paper};
use crate::studio::message::Message;
use crate::studio::screens::Fact;
use std::path::Path;

/// What can be written, by the ending of the file.
const ENDINGS: [&str; 10] = [
    "txt", "pdf", "svg", "json", "mid", "mxl", "musicxml", "wav", "abc", "toml",
];

/// The same for a setlist.
const LIST_ENDINGS: [&str; 3] = ["txt", "pdf", "svg"];

/// What the line is for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Want {
    /// Tags of a song.
    Tags(Name),
    /// The setlist that a song is put into.
    Enlist(Name),
    /// The title of a new setlist.
    NewSetlist,
    /// The file that songs are taken from.
    Import,
    /// The file that something is written to.
    Export(Paper),
    /// The next thing about a new song.
    New(Box<NewSong>),
    /// Something about the song that is written.
    Fact(Fact),
}

/// A line that is being typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// What for.
    pub want: Want,
    /// What is asked.
    pub title: String,
    /// How to answer.
    pub hint: String,
    /// What was typed so far.
    pub text: String,
    /// What was wrong with it.
    pub said: Option<String>,
    /// What up and down go through.
    choices: Vec<String>,
    /// The file that is there already, and may be replaced by asking again.
    there: Option<String>,
    /// The answer is being carried out.
    waits: bool,
    /// The text is only offered: what is typed takes its place.
    pub offered: bool,
}

impl Line {
    fn new(want: Want, title: String, hint: &str, text: String) -> Line {
        Line {
            want,
            title,
            hint: hint.into(),
            text,
            said: None,
            choices: Vec::new(),
            there: None,
            waits: false,
            offered: false,
        }
    }

    /// A line with choices; the text is offered and gives way to what is typed.
    pub(in crate::studio::screens) fn asking(
        want: Want,
        title: String,
        hint: &str,
        text: String,
        choices: Vec<String>,
    ) -> Line {
        Line {
            choices,
            offered: !text.is_empty(),
            ..Line::new(want, title, hint, text)
        }
    }

    /// Changes the line by what is typed.
    pub(in crate::studio::screens) fn edit(&mut self, message: &Message) {
        self.said = None;
        match message {
            Message::Type(c) => {
                if self.offered {
                    self.text.clear();
                }
                self.text.push(*c);
            }
            Message::Erase => {
                self.text.pop();
            }
            Message::Clear => self.text.clear(),
            Message::Choose(by) => self.choose(*by),
            _ => return,
        }
        self.offered = false;
    }

    pub(super) fn tags(entry: &Entry) -> Line {
        Line::new(
            Want::Tags(entry.name.clone()),
            format!("Tags of {}", entry.title),
            "words to find it by, with commas between: waltz, quiet, encore",
            entry.tags.join(", "),
        )
    }

    pub(super) fn enlist(entry: &Entry, lists: &[List], chosen: usize) -> Line {
        let choices: Vec<String> = lists.iter().map(|l| l.title.clone()).collect();
        let hint = match choices.len() {
            0 => "what the evening is called; this makes the setlist",
            _ => "↑↓ the setlists there are; a new title makes a new one",
        };
        let text = choices.get(chosen).cloned().unwrap_or_default();
        Line {
            choices,
            ..Line::new(
                Want::Enlist(entry.name.clone()),
                format!("Put {} into a setlist", entry.title),
                hint,
                text,
            )
        }
    }

    pub(super) fn new_setlist() -> Line {
        Line::new(
            Want::NewSetlist,
            "A new setlist".into(),
            "what the evening is called",
            String::new(),
        )
    }

    pub(super) fn import(book: Option<&Book>) -> Line {
        Line::new(
            Want::Import,
            "Take songs in from a file".into(),
            "its path: .toml, .abc (every tune of a book), .musicxml, .mxl, .mid",
            book.map(|b| b.name.clone()).unwrap_or_default(),
        )
    }

    pub(super) fn export(entry: &Entry) -> Line {
        let choices = ENDINGS.map(|e| format!("{}.{e}", entry.name));
        Line {
            choices: choices.to_vec(),
            ..Line::new(
                Want::Export(Paper::Song(entry.name.clone())),
                format!("Write {} to a file", entry.title),
                "↑↓ .txt is tab, .pdf .svg sheets, .wav sound, .toml the song",
                format!("{}.txt", entry.name),
            )
        }
    }

    pub(super) fn print(list: &List) -> Line {
        let choices = LIST_ENDINGS.map(|e| format!("{}.{e}", list.name));
        Line {
            choices: choices.to_vec(),
            ..Line::new(
                Want::Export(Paper::Setlist(list.name.clone())),
                format!("Write {} to a file", list.title),
                "↑↓ .txt lists titles and keys, .pdf .svg are all its sheets",
                format!("{}.txt", list.name),
            )
        }
    }

    /// Whether the answer is being carried out.
    pub(super) fn waits(&self) -> bool {
        self.waits
    }

    /// What was typed did not do.
    pub(in crate::studio::screens) fn complain(&mut self, text: String) {
        self.waits = false;
        self.said = Some(text);
    }

    /// A file of this name is there already.
    pub(super) fn exists(&mut self, path: &str) {
        self.there = Some(path.to_string());
        self.complain("this file is there already; ⟨Enter⟩ again replaces it".into());
    }

    /// Goes through the choices. For a file only the ending changes, whatever was typed before it.
    fn choose(&mut self, by: isize) {
        let count = self.choices.len() as isize;
        if count == 0 {
            return;
        }
        let path = Path::new(&self.text);
        let is_file = matches!(self.want, Want::Export(_)) && path.file_name().is_some();
        let same = |c: &String| match is_file {
            true => Path::new(c).extension() == path.extension(),
            false => *c == self.text,
        };
        let here = self.choices.iter().position(same);
        let next = here.map_or(0, |i| (i as isize + by).rem_euclid(count)) as usize;
        let Some(choice) = self.choices.get(next) else {
            return;
        };
        let ending = Path::new(choice).extension().unwrap_or_default();
        self.text = match is_file {
            true if self.text.ends_with('/') => self.text.clone() + choice,
            true => path.with_extension(ending).display().to_string(),
            false => choice.clone(),
        };
    }
}

impl Shelf {
    pub(super) fn type_line(&mut self, message: Message) -> Next {
        let Some(line) = &mut self.line else {
            return Next::nothing();
        };
        line.edit(&message);
        match message {
            Message::Open => self.answer(),
            _ => Next::nothing(),
        }
    }

    /// Carries out what was typed.
    fn answer(&mut self) -> Next {
        let Some(line) = self.line.clone() else {
            return Next::nothing();
        };
        let text = line.text.trim().to_string();
        if text.is_empty() && !matches!(line.want, Want::Tags(_) | Want::New(_)) {
            self.line = None;
            return Next::nothing();
        }
        if line.waits {
            return Next::nothing();
        }
        match line.want {
            Want::Tags(name) => {
                self.line = None;
                let tags = text.split(',').map(str::trim).filter(|t| !t.is_empty());
                Next::errand(Errand::Tag(name, tags.map(String::from).collect()))
            }
            Want::Enlist(name) => {
                self.line = None;
                self.enlist(name, text)
            }
            Want::NewSetlist => {
                self.line = None;
                Next::errand(Errand::NewSetlist(text, Vec::new()))
            }
            Want::New(song) => self.go_on_with(*song, &text),
            Want::Fact(_) => {
                self.line = None;
                Next::nothing()
            }
            Want::Import => {
                self.wait("reading …");
                Next::errand(Errand::Import(text))
            }
            Want::Export(what) => {
                self.wait("writing …");
                let replace = line.there.as_ref() == Some(&text);
                Next::errand(Errand::Export {
                    what,
                    path: text,
                    replace,
                })
            }
        }
    }

    fn wait(&mut self, text: &str) {
        if let Some(line) = &mut self.line {
            line.said = Some(text.into());
            line.waits = true;
        }
    }
}
