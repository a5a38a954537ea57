//! From bytes of a text to lines and columns; of a TOML document also through the escapes of a string.

use crate::song::Place;
use std::ops::Range;

/// So many bytes at most are gone through for a column, however long its line is.
const STRIDE: usize = 256;

/// Where the lines of a text start, of no more than 4 GiB.
pub(crate) struct Places<'a> {
    text: &'a str,
    lines: Vec<u32>,
    /// How many characters begin before each stride.
    strides: Vec<u32>,
}

impl<'a> Places<'a> {
    pub(crate) fn new(text: &'a str) -> Places<'a> {
        let breaks = text.match_indices('\n').map(|(at, _)| at as u32 + 1);
        let mut strides = vec![0];
        let mut before = 0;
        for bytes in text.as_bytes().chunks(STRIDE) {
            before += characters(bytes);
            strides.push(before);
        }
        Places {
            text,
            lines: std::iter::once(0).chain(breaks).collect(),
            strides,
        }
    }

    /// The place of the byte at `offset`.
    pub(crate) fn at(&self, offset: usize) -> Place {
        let begun = |&start: &u32| start as usize <= offset;
        let line = self.lines.partition_point(begun).max(1);
        let start = self.lines[line - 1] as usize;
        Place {
            line: line as u32,
            column: self.before(offset) - self.before(start) + 1,
        }
    }

    /// How many characters begin before the byte at `offset`.
    fn before(&self, offset: usize) -> u32 {
        let bytes = self.text.as_bytes();
        let end = offset.min(bytes.len());
        let stride = end / STRIDE;
        let rest = bytes.get(stride * STRIDE..end).unwrap_or_default();
        self.strides.get(stride).unwrap_or(&0) + characters(rest)
    }

    /// The place where a span begins; nowhere for what was not read from a text.
    pub(super) fn of(&self, span: Option<Range<usize>>) -> Place {
        span.map(|s| self.at(s.start)).unwrap_or_default()
    }

    /// Where each character of the string value `value` stands, given the span of its TOML text
    /// with the quotes.
    pub(super) fn inside(&self, span: Option<Range<usize>>, value: &str) -> Inside {
        let start = self.of(span.clone());
        let raw = span.and_then(|s| self.text.get(s)).unwrap_or("");
        let mut places = vec![Vec::new()];
        let mut walk = Walk::new(raw, start);
        for c in value.chars() {
            let here = walk.find(c);
            if let Some(line) = places.last_mut() {
                line.push(here);
            }
            if c == '\n' {
                places.push(Vec::new());
            }
        }
        let end = walk.place;
        if let Some(line) = places.last_mut() {
            line.push(end);
        }
        Inside { places }
    }
}

/// How many characters begin in some bytes of UTF-8.
fn characters(bytes: &[u8]) -> u32 {
    bytes.iter().filter(|b| **b & 0xc0 != 0x80).count() as u32
}

/// The places of a string's characters, line by line, the end included.
pub(super) struct Inside {
    places: Vec<Vec<Place>>,
}

impl Inside {
    /// The place in the document of a place in the string.
    pub(super) fn at(&self, place: Place) -> Place {
        let line = (place.line.max(1) as usize - 1).min(self.places.len() - 1);
        let column = place.column.max(1) as usize - 1;
        let places = &self.places[line];
        places
            .get(column)
            .or(places.last())
            .copied()
            .unwrap_or_default()
    }
}

/// A walk through the TOML text of a string, in step with its value.
struct Walk<'a> {
    rest: std::iter::Peekable<std::str::Chars<'a>>,
    place: Place,
    escapes: bool,
}

impl<'a> Walk<'a> {
    fn new(raw: &'a str, place: Place) -> Walk<'a> {
        let many = raw.starts_with("\"\"\"") || raw.starts_with("'''");
        let mut walk = Walk {
            rest: raw.chars().peekable(),
            place,
            escapes: raw.starts_with('"'),
        };
        for _ in 0..if many { 3 } else { 1 } {
            walk.step();
        }
        if many {
            // A line break right after the opening quotes is not part of the value.
            walk.rest.next_if_eq(&'\r');
            if walk.rest.peek() == Some(&'\n') {
                walk.step();
            }
        }
        walk
    }

    fn step(&mut self) -> Option<char> {
        let c = self.rest.next()?;
        if c == '\n' {
            self.place.line += 1;
            self.place.column = 1;
        } else {
            self.place.column += 1;
        }
        Some(c)
    }

    /// The place of the next character, which is `c` in the value; the walk goes past it.
    fn find(&mut self, c: char) -> Place {
        while self.escapes && self.rest.peek() == Some(&'\\') {
            let here = self.place;
            self.step();
            let digits = match self.rest.peek() {
                Some('x') => 2,
                Some('u') => 4,
                Some('U') => 8,
                // A backslash at the end of a line swallows the blanks that follow.
                Some(w) if w.is_whitespace() => {
                    while self.rest.peek().is_some_and(|w| w.is_whitespace()) {
                        self.step();
                    }
                    continue;
                }
                _ => 0,
            };
            for _ in 0..=digits {
                self.step();
            }
            return here;
        }
        if self.rest.peek() == Some(&'\r') && c != '\r' {
            self.step();
        }
        let here = self.place;
        self.step();
        here
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(line: u32, column: u32) -> Place {
        Place { line, column }
    }

    #[test]
    fn columns_count_characters() {
        let places = Places::new("é = 1\nb");
        assert_eq!(places.at(0), place(1, 1));
        assert_eq!(places.at(3), place(1, 3));
        assert_eq!(places.at(7), place(2, 1));
        assert_eq!(places.at(99), place(2, 2), "beyond the end");
        let long = "aé".repeat(STRIDE);
        let places = Places::new(&long);
        for (at, _) in long.char_indices() {
            let column = long[..at].chars().count() as u32 + 1;
            assert_eq!(places.at(at), place(1, column));
        }
    }

    #[test]
    fn places_inside_a_string_see_through_its_escapes() {
        for (text, line, column) in [
            ("t = \"\"\"\nab\nXc\"\"\"", 3, 1),
            ("t = \"\"\"\r\nab\r\nXc\"\"\"", 3, 1),
            ("t = '''ab\n X'''", 2, 2),
            ("t = \"a\\nb\\u0041X\"", 1, 16),
            ("t = \"\"\"a \\\n   X\"\"\"", 2, 4),
        ] {
            let document = toml_edit::Document::parse(text).unwrap();
            let item = document.get("t").unwrap();
            let value = item.as_str().unwrap();
            let inside = Places::new(text).inside(item.span(), value);
            let before = &value[..value.find('X').unwrap()];
            let found = inside.at(place(
                before.matches('\n').count() as u32 + 1,
                before.rsplit('\n').next().unwrap().chars().count() as u32 + 1,
            ));
            assert_eq!(found, place(line, column), "{text:?}");
        }
    }
}
