//! What keys mean: the table of keys, and the player's changes to it.

mod spell;
mod table;
#[cfg(test)]
mod tests;

pub use table::{BINDINGS, Binding, Place};

use super::message::Message;
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

/// A key with what is held down with it.
pub type Key = (KeyCode, KeyModifiers);

/// A row of the table as this player has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The row as it comes.
    pub usual: &'static Binding,
    /// The keys that do it.
    pub keys: Vec<Key>,
    /// The keys as they are shown.
    pub shown: String,
}

impl Row {
    /// What choosing the row does; nothing when it stands for several keys.
    pub fn message(&self) -> Option<Message> {
        let several = matches!(self.usual.message, Message::Type(_));
        (!several).then(|| self.usual.message.clone())
    }
}

/// The table of keys as this player has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Keymap {
    rows: Vec<Row>,
}

/// Why keys can't be changed as it is asked for.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs)]
pub enum KeymapError {
    #[error("there is no screen “{0}”; there are {places}", places = place_names())]
    Place(String),
    #[error("“{0}” is no key; keys are written like p, P, F5, Ctrl-P, Enter, PgDn, Space or ↑")]
    Key(String),
    #[error("{key} does nothing at the {place} that could be given to another key")]
    Row { place: Place, key: String },
    #[error("{key} at the {place} stands for several keys, which can't be moved")]
    Several { place: Place, key: String },
    #[error("at the {place} letters are typed: {key} can't do anything else there")]
    Typed { place: Place, key: String },
    #[error("{key} at the {place} would both be “{one}” and “{other}”")]
    Clash {
        place: Place,
        key: String,
        one: &'static str,
        other: &'static str,
    },
    #[error("“{does}” at the {place} would have no key left")]
    Keyless { place: Place, does: &'static str },
}

impl Default for Keymap {
    /// The table as it comes.
    fn default() -> Keymap {
        let rows = BINDINGS.iter().map(|usual| Row {
            usual,
            keys: usual.keys.to_vec(),
            shown: usual.shown.into(),
        });
        Keymap {
            rows: rows.collect(),
        }
    }
}

impl Keymap {
    /// The rows that hold in a place, its own first.
    pub fn rows(&self, place: Place) -> impl Iterator<Item = &Row> {
        let holds = move |r: &&Row| [place, Place::Everywhere].contains(&r.usual.place);
        self.rows.iter().filter(holds)
    }

    /// What a key means in a place. Where a line is typed, every sign is; where songs are found, a
    /// letter without a meaning of its own.
    pub fn message(&self, place: Place, key: KeyEvent) -> Option<Message> {
        // Shift is part of the character already.
        let modifiers = key.modifiers.difference(KeyModifiers::SHIFT);
        let bare = modifiers.is_empty();
        if let (Place::Line | Place::Chord, KeyCode::Char(c), true) = (place, key.code, bare) {
            return Some(Message::Type(c));
        }
        let pressed = (key.code, modifiers);
        if let Some(row) = self.rows(place).find(|r| r.keys.contains(&pressed)) {
            return Some(match (&row.usual.message, key.code) {
                // A row for several letters gives the one that was pressed.
                (Message::Type(_), KeyCode::Char(c)) => Message::Type(c),
                (message, _) => message.clone(),
            });
        }
        match key.code {
            KeyCode::Char(c) if place == Place::Shelf && bare => Some(Message::Type(c)),
            _ => None,
        }
    }

    /// What a key does in the list of keys, if anything.
    pub fn menu(&self, key: KeyEvent) -> Option<Message> {
        let pressed = (key.code, key.modifiers.difference(KeyModifiers::SHIFT));
        let mut rows = self.rows.iter().filter(|r| r.usual.place == Place::Keys);
        let row = rows.find(|r| r.keys.contains(&pressed))?;
        Some(row.usual.message.clone())
    }

    /// What a key that comes with the program is called now, there or in the nearest place that
    /// has it.
    pub fn shown(&self, place: Place, usual: &str) -> Option<&str> {
        let named = |r: &&Row| first(r.usual) == usual;
        let row = (self.rows(place).find(named)).or_else(|| self.rows.iter().find(named))?;
        row.shown.split(' ').next()
    }

    /// What a key that comes with the program does, there or everywhere.
    pub fn meant(&self, place: Place, usual: &str) -> Option<Message> {
        self.rows(place)
            .find(|r| first(r.usual) == usual)?
            .message()
    }

    /// Gives other keys to what a key does; `check` says whether all is still well.
    ///
    /// # Errors
    /// When the place or a key is unknown, or the row can't be changed.
    pub fn change(&mut self, place: &str, usual: &str, to: &[String]) -> Result<(), KeymapError> {
        let place = (Place::ALL.into_iter())
            .find(|p| p.to_string().to_lowercase() == place)
            .ok_or_else(|| KeymapError::Place(place.into()))?;
        let wanted = spell::read(usual).ok_or_else(|| KeymapError::Key(usual.into()))?;
        let row = (self.rows.iter_mut())
            .find(|r| r.usual.place == place && r.usual.keys.contains(&wanted))
            .ok_or_else(|| KeymapError::Row {
                place,
                key: usual.into(),
            })?;
        if matches!(row.usual.message, Message::Type(_)) {
            let key = usual.into();
            return Err(KeymapError::Several { place, key });
        }
        let read = |text: &String| spell::read(text).ok_or_else(|| KeymapError::Key(text.clone()));
        let mut keys: Vec<Key> = Vec::with_capacity(to.len());
        for text in to {
            let key = read(text)?;
            if !keys.contains(&key) {
                keys.push(key);
            }
        }
        if keys.is_empty() {
            let does = row.usual.does;
            return Err(KeymapError::Keyless { place, does });
        }
        row.shown = keys
            .iter()
            .map(|k| spell::shown(*k))
            .collect::<Vec<_>>()
            .join(" ");
        row.keys = keys;
        Ok(())
    }

    /// Sees to it that no key has two meanings and none is taken from typing.
    ///
    /// # Errors
    /// When one has or is.
    pub fn check(&self) -> Result<(), KeymapError> {
        for place in Place::ALL {
            let mut seen: Vec<(Key, &Row)> = Vec::new();
            for row in self.rows(place) {
                for key in &row.keys {
                    let spelled = || spell::shown(*key);
                    if let Some((_, other)) = seen.iter().find(|(k, _)| k == key) {
                        return Err(KeymapError::Clash {
                            place,
                            key: spelled(),
                            one: other.usual.does,
                            other: row.usual.does,
                        });
                    }
                    if place.is_typed_in() && is_typed(*key, row.usual.place == place) {
                        let key = spelled();
                        return Err(KeymapError::Typed { place, key });
                    }
                    seen.push((*key, row));
                }
            }
        }
        Ok(())
    }
}

/// Would be missed where letters are typed: any sign in the place's own rows, letters and figures
/// where the row holds everywhere.
fn is_typed((code, modifiers): Key, own: bool) -> bool {
    match code {
        KeyCode::Char(c) => modifiers.is_empty() && (own || c.is_alphanumeric()),
        _ => false,
    }
}

/// The first of a row's keys as it is shown.
fn first(binding: &Binding) -> &'static str {
    binding.shown.split(' ').next().unwrap_or_default()
}

fn place_names() -> String {
    let names: Vec<String> = (Place::ALL.iter())
        .map(|p| p.to_string().to_lowercase())
        .collect();
    names.join(", ")
}
