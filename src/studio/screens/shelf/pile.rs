//! What is shown over the list: the bin, earlier versions, notices.

use super::{Next, Shelf};
use crate::shelf::{Binned, Name, Version};
use crate::studio::disk::{Errand, Kind};
use crate::studio::message::Message;
use jiff::Timestamp;
use jiff::tz::TimeZone;

/// A list to read, and perhaps to choose from.
#[derive(Debug, Clone, PartialEq)]
pub struct Pile {
    /// What is in it.
    pub what: Stuff,
    /// The row chosen, or the first one shown.
    pub at: usize,
}

/// What a pile is made of.
#[derive(Debug, Clone, PartialEq)]
pub enum Stuff {
    /// What was thrown away.
    Bin(Vec<(Kind, Binned)>),
    /// Earlier versions of a song.
    Versions(Name, Vec<Version>),
    /// What is worth knowing about something.
    Notices(String, Vec<String>),
}

impl Pile {
    fn new(what: Stuff, before: Option<Pile>) -> Pile {
        let mut pile = Pile { what, at: 0 };
        pile.go(before.map_or(0, |b| b.at));
        pile
    }

    pub(super) fn bin(all: Vec<(Kind, Binned)>, before: Option<Pile>) -> Pile {
        Pile::new(Stuff::Bin(all), before)
    }

    pub(super) fn versions(name: Name, all: Vec<Version>, before: Option<Pile>) -> Pile {
        Pile::new(Stuff::Versions(name, all), before)
    }

    pub(super) fn notices(about: String, lines: Vec<String>) -> Pile {
        Pile::new(Stuff::Notices(about, lines), None)
    }

    fn go(&mut self, to: usize) {
        self.at = to.min(self.count().saturating_sub(1));
    }

    fn count(&self) -> usize {
        match &self.what {
            Stuff::Bin(all) => all.len(),
            Stuff::Versions(_, all) => all.len(),
            Stuff::Notices(_, lines) => lines.len(),
        }
    }

    /// What it is called.
    pub fn title(&self) -> String {
        match &self.what {
            Stuff::Bin(_) => "The bin".into(),
            Stuff::Versions(name, _) => format!("Earlier versions of {name}"),
            Stuff::Notices(about, _) => format!("Worth knowing about {about}"),
        }
    }

    /// What is in it, one row each, with times as they are told in `zone`.
    pub fn rows(&self, zone: &TimeZone) -> Vec<String> {
        match &self.what {
            Stuff::Bin(all) => (all.iter())
                .map(|(kind, b)| {
                    let word = match kind {
                        Kind::Song => "",
                        Kind::Setlist => "  (setlist)",
                    };
                    format!("{}  {}{word}", told(b.at, zone), b.name)
                })
                .collect(),
            Stuff::Versions(_, all) => (all.iter())
                .map(|v| format!("as it was until {}", told(v.until, zone)))
                .collect(),
            Stuff::Notices(_, lines) => lines.clone(),
        }
    }

    /// What is said of an empty one.
    pub fn nothing(&self) -> &'static str {
        match self.what {
            Stuff::Bin(_) => {
                "Nothing lies in the bin. ⟨Del⟩ throws a song or a setlist in, and from here it comes \
                 back."
            }
            Stuff::Versions(..) => {
                "There is only what the song says now. Each save keeps the version before it."
            }
            Stuff::Notices(..) => {
                "Nothing: every line of this song was understood as it is written."
            }
        }
    }

    /// What Enter does.
    pub fn hint(&self) -> &'static str {
        match self.what {
            Stuff::Bin(_) => "⟨↑⟩⟨↓⟩ choose   ⟨Enter⟩ take it back   ⟨Esc⟩ to the songs   ⟨?⟩ keys",
            Stuff::Versions(..) => {
                "⟨↑⟩⟨↓⟩ choose   ⟨Enter⟩ go back to it   ⟨Esc⟩ to the songs   ⟨?⟩ keys"
            }
            Stuff::Notices(..) => "⟨↑⟩⟨↓⟩ read on   ⟨Esc⟩ to the songs   ⟨?⟩ keys",
        }
    }

    /// Whether its rows are chosen rather than read.
    pub fn is_chosen_from(&self) -> bool {
        !matches!(self.what, Stuff::Notices(..))
    }
}

/// A time to the minute.
fn told(at: Timestamp, zone: &TimeZone) -> String {
    let local = at.to_zoned(zone.clone());
    local.strftime("%Y-%m-%d %H:%M").to_string()
}

impl Shelf {
    pub(super) fn turn_pile(&mut self, message: Message) -> Next {
        let Some(pile) = &mut self.pile else {
            return Next::nothing();
        };
        match message {
            Message::Choose(by) => pile.go(pile.at.saturating_add_signed(by)),
            Message::Page(by) => pile.go(pile.at.saturating_add_signed(by * 10)),
            Message::First => pile.go(0),
            Message::Last => pile.go(usize::MAX),
            Message::Open => match &pile.what {
                Stuff::Bin(all) => {
                    if let Some((kind, binned)) = all.get(pile.at).cloned() {
                        return Next::errand(Errand::TakeBack(kind, binned));
                    }
                }
                Stuff::Versions(name, all) => {
                    if let Some(version) = all.get(pile.at) {
                        return Next::errand(Errand::GoBack(name.clone(), *version));
                    }
                }
                Stuff::Notices(..) => self.pile = None,
            },
            _ => {}
        }
        Next::nothing()
    }
}
