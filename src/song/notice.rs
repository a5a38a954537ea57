//! What is worth telling about a text, and where in it.

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
