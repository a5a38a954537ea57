//! What is worth telling about a text, and where in it.

use std::collections::BTreeMap;
use std::fmt;

/// A place in a text: line and column, both from 1, the column counted in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Place {
    /// Line, from 1; 0 when the thing was not read from a text.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

impl Place {
    /// The place so many characters further on the same line.
    pub fn right(self, characters: usize) -> Place {
        let column = u32::try_from(characters).unwrap_or(u32::MAX);
        Place {
            column: self.column.saturating_add(column),
            ..self
        }
    }

    /// What a sentence about this place begins with: `3:14: `, or nothing when there is no text.
    pub fn lead(self) -> String {
        match self.line {
            0 => String::new(),
            _ => format!("{self}: "),
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}", self.line, self.column)
    }
}

/// Something worth knowing that did not stop the reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// Where it is.
    pub place: Place,
    /// What it is, in a sentence a guitarist understands, with the remedy where there is one.
    pub text: String,
}

impl Notice {
    /// A notice at a place.
    pub fn new(place: Place, text: impl Into<String>) -> Notice {
        Notice {
            place,
            text: text.into(),
        }
    }
}

impl fmt::Display for Notice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.place.lead(), self.text)
    }
}

/// Collects the notices of one reading, what is passed over counted by kind.
#[derive(Debug, Clone, Default)]
pub(crate) struct Notices {
    list: Vec<Notice>,
    passed: BTreeMap<String, (Place, usize)>,
}

impl Notices {
    /// Adds a notice.
    pub(crate) fn tell(&mut self, place: Place, text: impl Into<String>) {
        self.list.push(Notice::new(place, text));
    }

    /// Counts something that is read and left out, by its name in the plural. It becomes one
    /// notice at the first place.
    pub(crate) fn pass(&mut self, place: Place, what: impl Into<String>) {
        self.passed.entry(what.into()).or_insert((place, 0)).1 += 1;
    }

    /// Everything in order of place.
    pub(crate) fn finish(mut self) -> Vec<Notice> {
        for (what, (place, times)) in self.passed {
            let text = match times {
                1 => format!("passed over: {what}"),
                _ => format!("passed over: {what} ({times} times, first here)"),
            };
            self.list.push(Notice::new(place, text));
        }
        self.list.sort_by_key(|n| n.place);
        self.list
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_was_read_has_a_place() {
        let place = Place {
            line: 3,
            column: 14,
        };
        assert_eq!(Notice::new(place, "mind").to_string(), "3:14: mind");
        assert_eq!(Notice::new(Place::default(), "mind").to_string(), "mind");
    }
}
