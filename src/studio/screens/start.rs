//! The start screen: a list of songs, found as you type.

use super::Desk;
use crate::exchange::input::{self, Opened};
use crate::exchange::plain_text;
use crate::studio::message::Message;

/// The songs that come with the program.
const DEMOS: [(&str, &str); 9] = [
    (
        "lamps-along-the-quay.toml",
        include_str!("../../../songs/lamps-along-the-quay.toml"),
    ),
    (
        "a-chair-by-the-stove.toml",
        include_str!("../../../songs/a-chair-by-the-stove.toml"),
    ),
    (
        "nets-drying-indoors.toml",
        include_str!("../../../songs/nets-drying-indoors.toml"),
    ),
    (
        "salt-on-the-window.toml",
        include_str!("../../../songs/salt-on-the-window.toml"),
    ),
    (
        "the-ferry-holds-for-snow.toml",
        include_str!("../../../songs/the-ferry-holds-for-snow.toml"),
    ),
    (
        "the-ropewalk-at-closing.toml",
        include_str!("../../../songs/the-ropewalk-at-closing.toml"),
    ),
    (
        "the-scarf-on-the-piano.toml",
        include_str!("../../../songs/the-scarf-on-the-piano.toml"),
    ),
    (
        "tide-table-dance.toml",
        include_str!("../../../songs/tide-table-dance.toml"),
    ),
    (
        "evening-book.abc",
        include_str!("../../../songs/evening-book.abc"),
    ),
];

/// One song to choose.
#[derive(Debug, Clone)]
pub struct Choice {
    /// What is shown: title and what there is to know at a glance.
    pub title: String,
    /// Key, meter and length.
    pub about: String,
    song: crate::song::Song,
}

/// The state of the start screen.
#[derive(Debug, Clone)]
pub struct Start {
    choices: Vec<Choice>,
    /// What was typed.
    pub typed: String,
    /// Which of the songs found is chosen.
    pub chosen: usize,
    /// Why the last song could not be opened.
    pub trouble: Option<String>,
}

impl Start {
    /// The songs that come with the program.
    pub fn demos() -> Start {
        let opened = DEMOS
            .iter()
            .filter_map(|(name, text)| input::of_text(name, text).ok());
        Start::of(opened.flat_map(choices).collect())
    }

    /// The songs of one input.
    pub fn book(opened: Opened) -> Start {
        Start::of(choices(opened))
    }

    fn of(choices: Vec<Choice>) -> Start {
        Start {
            choices,
            typed: String::new(),
            chosen: 0,
            trouble: None,
        }
    }

    /// The songs that have everything typed in title or what is known about them.
    pub fn found(&self) -> Vec<&Choice> {
        let words: Vec<String> = folded(&self.typed)
            .split_whitespace()
            .map(String::from)
            .collect();
        let fits = |c: &&Choice| {
            let text = folded(&format!("{} {}", c.title, c.about));
            words.iter().all(|w| text.contains(w))
        };
        self.choices.iter().filter(fits).collect()
    }

    /// Takes back what was typed; false when there was nothing.
    pub fn forget(&mut self) -> bool {
        self.chosen = 0;
        !std::mem::take(&mut self.typed).is_empty()
    }

    /// Changes the state; a song that was opened comes back on its Desk.
    pub fn update(&mut self, message: Message) -> Option<Desk> {
        match message {
            Message::Type(c) => {
                self.typed.push(c);
                self.chosen = 0;
            }
            Message::Erase => {
                self.typed.pop();
                self.chosen = 0;
            }
            Message::Choose(by) => {
                let last = self.found().len().saturating_sub(1);
                self.chosen = self.chosen.saturating_add_signed(by).min(last);
            }
            Message::Open => {
                let song = self.found().get(self.chosen)?.song.clone();
                match Desk::new(song, None) {
                    Ok(desk) => return Some(desk),
                    Err(error) => self.trouble = Some(error.to_string()),
                }
            }
            _ => {}
        }
        None
    }
}

fn choices(opened: Opened) -> Vec<Choice> {
    let entries = opened.songs.into_iter().flatten();
    entries
        .map(|entry| {
            let song = entry.song;
            let title = match song.title.as_str() {
                "" => format!("(tune {})", entry.number),
                title => plain_text(title),
            };
            let meter = song.bars.first().map(|b| b.meter.to_string());
            Choice {
                title,
                about: format!(
                    "{}  {}  {} bars",
                    song.key,
                    meter.unwrap_or_default(),
                    song.bars.len()
                ),
                song,
            }
        })
        .collect()
}

/// Lower case without accents, to find by.
fn folded(text: &str) -> String {
    deunicode::deunicode(text).to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn songs_are_found_as_they_are_typed() {
        let mut start = Start::demos();
        assert!(start.found().len() > DEMOS.len());
        for c in "QUAY l".chars() {
            assert!(start.update(Message::Type(c)).is_none());
        }
        let titles: Vec<&str> = start.found().iter().map(|c| c.title.as_str()).collect();
        assert_eq!(titles, ["Lamps Along the Quay"]);
        start.update(Message::Choose(5));
        assert_eq!(start.chosen, 0);
        assert!(start.update(Message::Open).is_some());
        assert!(start.forget());
        assert!(!start.forget());
    }

    #[test]
    fn nothing_found_opens_nothing() {
        let mut start = Start::demos();
        start.update(Message::Type('§'));
        assert!(start.found().is_empty());
        start.update(Message::Choose(1));
        assert!(start.update(Message::Open).is_none());
    }
}
