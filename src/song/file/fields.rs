//! The fields of one TOML table, each asked for by its kind.

use super::SongError;
use super::places::Places;
use crate::song::{Notice, Place};
use std::ops::RangeInclusive;
use toml_edit::{Item, TableLike};

/// A table of the document, with what is needed to say where something is.
pub(super) struct Fields<'a> {
    /// How sentences call the table: `a song file`, `a pin`.
    pub(super) what: &'static str,
    /// Where the table begins.
    pub(super) place: Place,
    pub(super) table: &'a dyn TableLike,
    pub(super) places: &'a Places<'a>,
}

impl<'a> Fields<'a> {
    /// A field and its place, if it is there.
    pub(super) fn get(&self, key: &str) -> Option<(&'a Item, Place)> {
        let item = self.table.get(key).filter(|item| !item.is_none())?;
        Some((item, self.places.of(item.span())))
    }

    /// Whether a field is there.
    pub(super) fn has(&self, key: &str) -> bool {
        self.get(key).is_some()
    }

    /// The place of a field, else of its table.
    pub(super) fn place_of(&self, key: &str) -> Place {
        self.get(key).map_or(self.place, |(_, place)| place)
    }

    /// A text in quotes.
    pub(super) fn text(&self, key: &str, example: &str) -> Result<Option<&'a str>, SongError> {
        let Some((item, place)) = self.get(key) else {
            return Ok(None);
        };
        match item.as_str() {
            Some(text) => Ok(Some(text)),
            None => Err(wrong(key, "a text in quotes", example, item, place)),
        }
    }

    /// A whole number within a range.
    pub(super) fn number<T: TryFrom<i64>>(
        &self,
        key: &str,
        range: RangeInclusive<i64>,
    ) -> Result<Option<T>, SongError> {
        let Some((item, place)) = self.get(key) else {
            return Ok(None);
        };
        let number = item.as_integer().filter(|n| range.contains(n));
        match number.and_then(|n| T::try_from(n).ok()) {
            Some(n) => Ok(Some(n)),
            None => {
                let kind = format!("a whole number from {} to {}", range.start(), range.end());
                Err(wrong(key, &kind, &range.start().to_string(), item, place))
            }
        }
    }

    /// Texts in a list.
    pub(super) fn texts(&self, key: &str, example: &str) -> Result<Vec<String>, SongError> {
        let Some((item, place)) = self.get(key) else {
            return Ok(Vec::new());
        };
        item.as_array()
            .and_then(|list| {
                let texts = list.iter().map(|v| v.as_str().map(str::to_owned));
                texts.collect()
            })
            .ok_or_else(|| wrong(key, "a list of texts", example, item, place))
    }

    /// A notice for each field that is not known here.
    pub(super) fn unknown(&self, known: &[&str], notices: &mut Vec<Notice>) {
        for (key, item) in self.table.iter() {
            if known.contains(&key) || item.is_none() {
                continue;
            }
            let place = match self.table.key(key).and_then(toml_edit::Key::span) {
                Some(span) => self.places.at(span.start),
                None => self.places.of(item.span()),
            };
            notices.push(Notice::new(
                place,
                format!(
                    "{} is not a field of {}; it is kept and passed over (known here: {})",
                    quoted(key),
                    self.what,
                    known.join(", ")
                ),
            ));
        }
    }
}

/// The error for a field of the wrong kind.
pub(super) fn wrong(key: &str, kind: &str, example: &str, item: &Item, place: Place) -> SongError {
    let found = match item {
        Item::Value(value) => quoted(&value.clone().decorated("", "").to_string()),
        other => format!("a {}", other.type_name()),
    };
    SongError::new(
        place,
        format!("{key} is {found} here; write {kind}: {key} = {example}"),
    )
}

/// A text from a file in quotes, made short and harmless.
pub(super) fn quoted(text: &str) -> String {
    const LONGEST: usize = 40;
    let mut clean: String = text
        .chars()
        .take(LONGEST)
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if text.chars().nth(LONGEST).is_some() {
        clean.push('…');
    }
    format!("“{clean}”")
}
