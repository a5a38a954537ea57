//! What is asked at the writing screen, and the length that the next note gets.

use crate::theory::{QUARTER, Ticks, beats};

/// What is asked at the writing screen alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pen {
    /// A rest.
    Rest,
    /// A dot for the next notes, a second one, none.
    Dot,
    /// The next notes are three in the time of two, or not.
    Triplet,
    /// Tie the note before the caret to the next one, or untie it.
    Tie,
    /// Move the note before the caret by half steps.
    Sharpen(i8),
    /// Move the note before the caret by octaves.
    Octave(i32),
    /// Take out what stands behind the caret.
    EraseBehind,
    /// Write a chord.
    Chord,
    /// While a chord is written: keep it and go so many beats on (or back).
    Beat(isize),
    /// Draw a bar line.
    BarLine,
    /// Begin a repeat with the bar.
    OpenRepeat,
    /// End a repeat with the bar.
    CloseRepeat,
    /// An ending begins with the bar.
    Ending,
    /// Write the repeats out.
    WriteOut,
    /// Another bar line behind the bar.
    Line,
    /// Draw the bar lines anew by the meter.
    Redraw,
    /// Mark bars from here on, or no more.
    Mark,
    /// Copy the marked bars.
    Copy,
    /// Cut the marked bars out.
    Cut,
    /// Put copied bars in.
    Paste,
    /// Write by string and fret, or by letters again.
    Neck,
    /// Title, key, meter, tempo, guitar.
    Settings,
}

/// The length that the next note gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Length {
    /// The part of a whole note: 1 is a whole note, 4 a quarter.
    pub part: u8,
    /// Dots, up to 2.
    pub dots: u8,
    /// Three in the time of two.
    pub triplet: bool,
}

/// The shortest note has this part of a whole one; a double dot in a triplet is still whole ticks.
const SHORTEST: u8 = 32;

const NAMES: [(u8, &str); 6] = [
    (1, "whole"),
    (2, "half"),
    (4, "quarter"),
    (8, "eighth"),
    (16, "sixteenth"),
    (SHORTEST, "thirty-second"),
];

impl Default for Length {
    fn default() -> Length {
        Length::plain(4)
    }
}

impl Length {
    /// A plain length.
    const fn plain(part: u8) -> Length {
        Length {
            part,
            dots: 0,
            triplet: false,
        }
    }

    /// The length that a key stands for; 6 is the sixteenth, 5 half of it.
    pub fn of_key(key: char) -> Option<Length> {
        let part = match key {
            '1' => 1,
            '2' => 2,
            '4' => 4,
            '8' => 8,
            '6' => 16,
            '5' => SHORTEST,
            _ => return None,
        };
        Some(Length::plain(part))
    }

    /// In ticks.
    pub fn ticks(self) -> Ticks {
        let plain = 4 * QUARTER / Ticks::from(self.part.max(1));
        let dotted = match self.dots {
            0 => plain,
            1 => plain * 3 / 2,
            _ => plain * 7 / 4,
        };
        if self.triplet { dotted * 2 / 3 } else { dotted }
    }

    /// The length that is so many ticks long, if there is one.
    pub fn of_ticks(ticks: Ticks) -> Option<Length> {
        let parts = NAMES.iter().map(|n| n.0);
        let mut all = parts.flat_map(|part| {
            [(0, false), (1, false), (0, true), (2, false)].map(|(dots, triplet)| Length {
                part,
                dots,
                triplet,
            })
        });
        all.find(|l| l.ticks() == ticks)
    }

    /// As it stands under a note: the part of a whole note, dots, a small 3 in a triplet.
    pub fn sign(self) -> String {
        let dots = ".".repeat(usize::from(self.dots));
        let three = if self.triplet { "³" } else { "" };
        format!("{}{dots}{three}", self.part)
    }

    /// In words: `dotted quarter`.
    pub fn words(self) -> String {
        let found = NAMES.iter().find(|n| n.0 == self.part);
        let dots = match self.dots {
            0 => "",
            1 => "dotted ",
            _ => "double dotted ",
        };
        let triplet = if self.triplet { " in a triplet" } else { "" };
        format!("{dots}{}{triplet}", found.map_or("", |n| n.1))
    }
}

/// Any length as it stands under a note; one that no sign has in quarters, in brackets.
pub fn sign(ticks: Ticks) -> String {
    let found = Length::of_ticks(ticks);
    found.map_or_else(|| format!("({})", beats(ticks)), Length::sign)
}

/// Any length in words.
pub fn words(ticks: Ticks) -> String {
    let found = Length::of_ticks(ticks);
    found.map_or_else(|| format!("{} quarters", beats(ticks)), Length::words)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_whole_ticks_and_found_again() {
        for (part, _) in NAMES {
            for dots in 0..3 {
                for triplet in [false, true] {
                    let length = Length {
                        part,
                        dots,
                        triplet,
                    };
                    let ticks = length.ticks();
                    // Exact: put together again it is the whole note's part.
                    let thirds = if triplet { 3 } else { 1 };
                    let back = ticks * thirds * Ticks::from(part) * 4;
                    let times = [4, 6, 7][usize::from(dots)] * if triplet { 2 } else { 1 };
                    assert_eq!(back, 4 * QUARTER * times, "{length:?}");
                    let found = Length::of_ticks(ticks).map(Length::ticks);
                    assert!(found.is_none_or(|t| t == ticks));
                }
            }
        }
    }

    #[test]
    fn lengths_are_signed_and_named() {
        let dotted = Length {
            dots: 1,
            ..Length::plain(4)
        };
        assert_eq!(
            (dotted.sign(), dotted.words()),
            ("4.".into(), "dotted quarter".into())
        );
        assert_eq!(sign(QUARTER / 3), "8³");
        assert_eq!(words(QUARTER / 3), "eighth in a triplet");
        assert_eq!(sign(QUARTER * 5 / 2), "(2½)");
        assert_eq!(words(QUARTER * 5 / 2), "2½ quarters");
        assert_eq!(
            Length::of_key('6').map(Length::words),
            Some("sixteenth".into())
        );
        assert_eq!(Length::of_key('7'), None);
    }
}
