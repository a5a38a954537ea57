//! The signs a text tab is drawn with, in Unicode and in ASCII.

use crate::exchange::{ascii_text, plain_text};
use crate::song::Close;

/// One of the two sets of signs.
#[derive(Debug, Clone, Copy)]
pub(super) struct Signs {
    ascii: bool,
    /// A string on which nothing sounds.
    pub idle: char,
    /// A string that keeps ringing.
    pub ring: char,
    /// A bar line.
    pub bar: char,
    /// The thick stroke of a repeat or of the end.
    pub thick: char,
    /// A barre that stays down.
    pub held: char,
    /// An onset between two beats, in the row of beats.
    pub between: char,
}

impl Signs {
    pub fn new(ascii: bool) -> Signs {
        if ascii {
            Signs {
                ascii,
                idle: '-',
                ring: '=',
                bar: '|',
                thick: '|',
                held: '.',
                between: '+',
            }
        } else {
            Signs {
                ascii,
                idle: '─',
                ring: '═',
                bar: '│',
                thick: '┃',
                held: '·',
                between: '+',
            }
        }
    }

    /// The strokes at a bar's end. The colon of a repeat stands on the two middle strings only.
    pub fn close(self, close: Close) -> Vec<char> {
        match close {
            Close::Single => vec![self.bar],
            Close::Double => vec![self.bar, self.bar],
            Close::Final => vec![self.bar, self.thick],
            Close::Repeat(_) => vec![':', self.bar, self.thick],
        }
    }

    /// The strokes at a bar's start, after the bar line that closed the bar before.
    pub fn open(self, opens_repeat: bool) -> Vec<char> {
        if opens_repeat {
            vec![self.thick, ':', self.idle]
        } else {
            vec![self.idle]
        }
    }

    /// A text as these signs can show it.
    pub fn text(self, text: &str) -> String {
        if self.ascii {
            ascii_text(text)
        } else {
            plain_text(text)
        }
    }
}
