//! What the list of songs shows: finding as you type, and the order.

use super::{Name, Progress, ShelfError, Store};
use crate::arrange::Layer;
use crate::exchange::{ascii_text, plain_text};
use crate::song::{Song, SongFile};
use jiff::Timestamp;

/// A song in the list. Its texts are fit to be shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The file's name.
    pub name: Name,
    /// The title, or the name where there is none.
    pub title: String,
    /// The key in words: `E minor`.
    pub key: String,
    /// Words to find it by.
    pub tags: Vec<String>,
    /// How many bars are written.
    pub bars: usize,
    /// How many of them are ticked, from Melody to Colour.
    pub done: [usize; 4],
    /// When the file was last changed, if the system tells.
    pub changed: Option<Timestamp>,
    /// What is wrong with it, where it can't be read; the other fields then say little.
    pub problem: Option<String>,
}

/// The order of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sort {
    /// By title.
    #[default]
    Title,
    /// By key, then title.
    Key,
    /// The last changed first.
    Changed,
    /// The least far first: fewest ticks of all that there could be.
    Progress,
}

impl Entry {
    /// What there is to say about a song before its file is read: its name is its title.
    pub fn named(name: Name) -> Entry {
        Entry {
            title: name.to_string(),
            key: String::new(),
            tags: Vec::new(),
            bars: 0,
            done: [0; 4],
            changed: None,
            problem: None,
            name,
        }
    }

    /// The same, with the time when the file was last changed.
    pub(super) fn unread(store: &Store, name: Name) -> Entry {
        let changed = std::fs::symlink_metadata(store.path(&name)).and_then(|m| m.modified());
        Entry {
            changed: changed.ok().and_then(|t| Timestamp::try_from(t).ok()),
            ..Entry::named(name)
        }
    }

    pub(super) fn of(store: &Store, name: Name) -> Entry {
        let mut entry = Entry::unread(store, name);
        if let Err(error) = entry.fill(store) {
            entry.problem = Some(error.to_string());
        }
        entry
    }

    /// Takes over what a song says about itself.
    pub fn describe(&mut self, song: &Song, progress: &Progress) {
        if !song.title.trim().is_empty() {
            self.title = plain_text(&song.title);
        }
        self.key = song.key.to_string();
        self.tags = song.tags.iter().map(|t| plain_text(t)).collect();
        self.bars = song.bars.len();
        self.done = Layer::ALL.map(|layer| progress.count(layer, self.bars));
    }

    fn fill(&mut self, store: &Store) -> Result<(), ShelfError> {
        let (text, _) = store.read(&self.name)?;
        let (_, song, _) =
            SongFile::parse(&text).map_err(|error| ShelfError::not_a_song(&self.name, &error))?;
        self.describe(&song, &Progress::read(&text));
        Ok(())
    }
}

/// The songs that match what was typed: each word begins a word of the title, the key or a tag.
/// Case and accents don't matter, and `#` is ♯. Nothing typed matches all.
pub fn found<'a>(entries: &'a [Entry], typed: &str) -> Vec<&'a Entry> {
    let typed = folded(typed);
    let words: Vec<&str> = typed.split_whitespace().collect();
    let matches = |entry: &&Entry| {
        let texts = [&entry.title, &entry.key].into_iter().chain(&entry.tags);
        let text = texts.map(|t| folded(t)).collect::<Vec<_>>().join(" ");
        words
            .iter()
            .all(|w| text.split_whitespace().any(|t| t.starts_with(w)))
    };
    entries.iter().filter(matches).collect()
}

/// Puts a list in order; equal ones go by title and name.
pub fn sort(entries: &mut [Entry], by: Sort) {
    entries.sort_by_cached_key(|e| {
        let most = 4 * e.bars.max(1);
        let first = match by {
            Sort::Title => (0, String::new()),
            Sort::Key => (0, e.key.clone()),
            Sort::Changed => {
                let at = e.changed.map_or(i64::MIN + 1, Timestamp::as_millisecond);
                (-at, String::new())
            }
            Sort::Progress => {
                let done: usize = e.done.iter().sum();
                ((done * 10_000 / most) as i64, String::new())
            }
        };
        (first, folded(&e.title), e.name.clone())
    });
}

/// Without case, accents and punctuation.
fn folded(text: &str) -> String {
    let plain = ascii_text(text).to_lowercase().replace('\'', "");
    plain
        .chars()
        .map(|c| {
            if c.is_alphanumeric() || c == '#' {
                c
            } else {
                ' '
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn entry(title: &str, key: &str, tags: &[&str], done: [usize; 4]) -> Entry {
        Entry {
            name: Name::from_title(title),
            title: title.into(),
            key: key.into(),
            tags: tags.iter().map(|t| (*t).into()).collect(),
            bars: 8,
            done,
            changed: Timestamp::from_second(done[0] as i64).ok(),
            problem: None,
        }
    }

    fn list() -> Vec<Entry> {
        vec![
            entry("Zoë's Réel", "F♯ minor", &["reel", "fast"], [8, 8, 0, 0]),
            entry("A Lamp", "G major", &["waltz"], [3, 0, 0, 0]),
            entry("Ferry Waltz", "D major", &[], [0; 4]),
        ]
    }

    fn titles<'a>(entries: impl IntoIterator<Item = &'a Entry>) -> Vec<&'a str> {
        entries.into_iter().map(|e| e.title.as_str()).collect()
    }

    #[test]
    fn words_find_title_key_and_tags() {
        let list = list();
        for (typed, wanted) in [
            ("waltz", vec!["A Lamp", "Ferry Waltz"]),
            ("WAL maj d", vec!["Ferry Waltz"]),
            ("f# min", vec!["Zoë's Réel"]),
            ("zoes ree", vec!["Zoë's Réel"]),
            ("rry", vec![]),
            (" ", vec!["Zoë's Réel", "A Lamp", "Ferry Waltz"]),
        ] {
            assert_eq!(titles(found(&list, typed)), wanted, "{typed}");
        }
    }

    #[test]
    fn lists_have_their_orders() {
        let mut list = list();
        for (by, wanted) in [
            (Sort::Title, ["A Lamp", "Ferry Waltz", "Zoë's Réel"]),
            (Sort::Key, ["Ferry Waltz", "Zoë's Réel", "A Lamp"]),
            (Sort::Changed, ["Zoë's Réel", "A Lamp", "Ferry Waltz"]),
            (Sort::Progress, ["Ferry Waltz", "A Lamp", "Zoë's Réel"]),
        ] {
            sort(&mut list, by);
            assert_eq!(titles(&list), wanted, "{by:?}");
        }
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn typing_on_finds_no_more(typed in "\\PC{0,12}", more in "[a-z#]{1,3}") {
            let list = list();
            let few = found(&list, &format!("{typed}{more}"));
            // What a sign is spelled out as may depend on nothing but itself.
            let all = found(&list, &typed);
            prop_assert!(few.iter().all(|e| all.contains(e)));
        }
    }
}
