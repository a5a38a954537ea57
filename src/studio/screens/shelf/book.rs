//! The tunes of one file, shown like songs on the shelf but not lying there.

use super::{Next, Shelf};
use crate::exchange::input::Opened;
use crate::exchange::plain_text;
use crate::shelf::{Entry, Name, Progress, Seal};
use crate::song::{Notice, Song, SongFile};
use crate::studio::disk::Address;
use crate::studio::message::{Ask, Message};
use crate::studio::screens::home::Home;
use crate::studio::screens::{Desk, Pile, Stand, Writing};
use std::collections::HashMap;

/// What is said where something is asked that only songs on the shelf can do.
pub(super) const HINT: &str = "these tunes lie in a file of their own: ⟨Enter⟩ opens one, ⟨Ctrl-G⟩ takes \
                               all of them onto your shelf";

/// A file with several tunes.
#[derive(Debug, Default)]
pub struct Book {
    /// What the file is called.
    pub name: String,
    tunes: HashMap<Name, (Song, Vec<Notice>)>,
}

impl Book {
    /// The tunes, and what the list shows of them.
    pub(super) fn new(opened: Opened) -> (Book, Vec<Entry>) {
        let mut book = Book {
            name: opened.name,
            ..Book::default()
        };
        let mut entries = Vec::new();
        for (i, tune) in opened.songs.into_iter().enumerate() {
            let name = Name::from_title(&format!("tune {}", i + 1));
            let mut entry = Entry::named(name.clone());
            match tune {
                Ok(tune) => {
                    entry.title = format!("(tune {})", tune.number);
                    entry.describe(&tune.song, &Progress::default());
                    book.tunes.insert(name, (tune.song, tune.notices));
                }
                Err(error) => {
                    entry.title = format!("(tune {})", i + 1);
                    entry.problem = Some(plain_text(&error.to_string()));
                }
            }
            entries.push(entry);
        }
        (book, entries)
    }
}

impl Shelf {
    /// What is done with a tune of a book.
    pub(super) fn with_tune(&mut self, entry: &Entry, message: &Message) -> Next {
        let tune = self.book.as_ref().and_then(|b| b.tunes.get(&entry.name));
        let Some((song, notices)) = tune.cloned() else {
            self.complain(entry.problem.clone().unwrap_or_default());
            return Next::nothing();
        };
        match message {
            Message::Open | Message::Stand => {
                let opens = *message == Message::Open;
                match Desk::open(song, Home::nowhere(notices)) {
                    Ok(desk) if opens => return Next::Desk(Box::new(desk)),
                    Ok(desk) => return Next::Stand(Box::new(Stand::of(&desk))),
                    Err(unlaid) if opens => {
                        return Next::Write(Box::new(Writing::unlaid(*unlaid)));
                    }
                    Err(unlaid) => self.complain(unlaid.error.to_string()),
                }
            }
            Message::Shelf(Ask::Notices) => {
                let lines = notices.iter().map(|n| plain_text(&n.to_string()));
                self.pile = Some(Pile::notices(entry.title.clone(), lines.collect()));
            }
            _ => self.complain(HINT),
        }
        Next::nothing()
    }

    /// Lays a song from disk on a Desk; one that can't be arranged can still be written on.
    pub(super) fn lay_out(&mut self, address: Address, text: &str, seal: Seal) -> Next {
        let (file, song, mut notices) = match SongFile::parse(text) {
            Ok(read) => read,
            Err(error) => {
                self.complain(plain_text(&error.to_string()));
                return Next::nothing();
            }
        };
        notices.extend(song.check());
        match Desk::open(song, Home::at(address, file, seal, notices)) {
            Ok(desk) => Next::Desk(Box::new(desk)),
            Err(unlaid) => Next::Write(Box::new(Writing::unlaid(*unlaid))),
        }
    }
}
