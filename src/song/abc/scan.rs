//! A line of text read character by character, with its place.

use super::Place;

/// A cursor in one line.
#[derive(Debug)]
pub(super) struct Scan {
    chars: Vec<char>,
    at: usize,
    start: Place,
}

impl Scan {
    /// A cursor before the first character of `text`, which stands at `start`.
    pub(super) fn new(text: &str, start: Place) -> Scan {
        Scan {
            chars: text.chars().collect(),
            at: 0,
            start,
        }
    }

    /// The next character.
    pub(super) fn peek(&self) -> Option<char> {
        self.peek_at(0)
    }

    /// The character `ahead` of the next one.
    pub(super) fn peek_at(&self, ahead: usize) -> Option<char> {
        self.chars.get(self.at + ahead).copied()
    }

    /// Whether `text` stands here.
    pub(super) fn starts_with(&self, text: &str) -> bool {
        text.chars()
            .enumerate()
            .all(|(i, c)| self.peek_at(i) == Some(c))
    }

    /// Takes the next character.
    pub(super) fn take(&mut self) -> Option<char> {
        let c = self.peek();
        self.skip(1);
        c
    }

    /// Steps over `n` characters.
    pub(super) fn skip(&mut self, n: usize) {
        self.at = (self.at + n).min(self.chars.len());
    }

    /// Where the cursor stands, to come [back to](Scan::back_to).
    pub(super) fn mark(&self) -> usize {
        self.at
    }

    /// Returns to a mark.
    pub(super) fn back_to(&mut self, mark: usize) {
        self.at = mark;
    }

    /// The place of the next character.
    pub(super) fn place(&self) -> Place {
        self.start.right(self.at)
    }

    /// Steps over a run of `c` and counts it.
    pub(super) fn count(&mut self, c: char) -> usize {
        let start = self.at;
        while self.peek() == Some(c) {
            self.at += 1;
        }
        self.at - start
    }

    /// A number, if one stands here; numbers too large to count are `u32::MAX`.
    pub(super) fn number(&mut self) -> Option<u32> {
        let mut value = None;
        while let Some(digit) = self.peek().and_then(|c| c.to_digit(10)) {
            value = Some(
                value
                    .unwrap_or(0u32)
                    .saturating_mul(10)
                    .saturating_add(digit),
            );
            self.at += 1;
        }
        value
    }

    /// Takes everything before the next `end` and steps over it; `None`, and nothing taken, when
    /// the line holds none within `limit` characters.
    pub(super) fn until(&mut self, end: char, limit: usize) -> Option<String> {
        let window = self.chars.get(self.at..)?;
        let length = window.iter().take(limit).position(|&c| c == end)?;
        let text = window[..length].iter().collect();
        self.skip(length + 1);
        Some(text)
    }

    /// Takes the rest of the line.
    pub(super) fn rest(&mut self) -> String {
        let rest = self.chars[self.at.min(self.chars.len())..].iter().collect();
        self.at = self.chars.len();
        rest
    }
}
