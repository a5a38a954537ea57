//! The text tab: an arrangement to be read on a screen, pasted into a message, or printed.
//!
//! What is written in each bar is gathered (`marks`), drawn on one endless strip (`strip`) and cut
//! into lines of the width asked for (`lines`); what stands around them is in `words`.

mod lines;
mod marks;
mod signs;
mod strip;
mod words;

use super::grips;
use crate::arrange::Arrangement;
use signs::Signs;
use words::Words;

pub(in crate::exchange) use marks::shape;
pub use strip::{Block, Rows, Strip, fill};
pub(in crate::exchange) use words::{layers, tempo_text};

/// How a text tab is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Options {
    /// No line is longer than this many columns; at least [`NARROWEST`].
    pub width: usize,
    /// Only ASCII characters.
    pub ascii: bool,
    /// Before the tab, chord boxes for the grips used.
    pub boxes: bool,
    /// After the tab, say bar by bar why each note is there.
    pub reasons: bool,
}

/// The narrowest tab that can be written.
pub const NARROWEST: usize = 40;

impl Default for Options {
    fn default() -> Options {
        Options {
            width: 80,
            ascii: false,
            boxes: false,
            reasons: false,
        }
    }
}

/// Writes an arrangement as text tab, ending in a line end.
pub fn write(arrangement: &Arrangement, options: Options) -> String {
    let width = options.width.max(NARROWEST);
    let signs = Signs::new(options.ascii);
    let strip = Strip::draw(arrangement, signs);
    let words = Words::new(arrangement, signs, width);
    let mut parts = vec![words.header()];
    if options.boxes {
        let boxes = grips::text(arrangement, width, options.ascii);
        parts.extend((!boxes.is_empty()).then_some(boxes));
    }
    parts.extend(lines::wrap(&strip, width));
    parts.push(words.legend());
    parts.extend(words.remarks());
    if options.reasons {
        parts.extend(words.reasons());
    }
    parts.join("\n\n") + "\n"
}

#[cfg(test)]
mod tests;
