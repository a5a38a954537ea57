//! Chords typed over the beats.

use super::Writing;
use crate::score::Score;
use crate::song::edit::Caret;
use crate::studio::message::{Message, Order};
use crate::studio::screens::writing::Pen;
use crate::theory::Symbol;

/// A chord that is being typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChordLine {
    /// Over which place.
    pub at: Caret,
    /// What was typed.
    pub text: String,
    /// The text is the chord that is there: what is typed takes its place.
    pub offered: bool,
    /// What is wrong with it.
    pub said: Option<String>,
}

impl Writing {
    pub(super) fn begin_chord(&mut self) {
        match self.draft.chord_place() {
            Ok(at) => self.chord_from(at),
            Err(error) => self.complain(error.to_string()),
        }
    }

    fn chord_from(&mut self, at: Caret) {
        let text = self.draft.chord_at(at).map(ToString::to_string);
        self.chord = Some(ChordLine {
            at,
            offered: text.is_some(),
            text: text.unwrap_or_default(),
            said: None,
        });
    }

    pub(super) fn type_chord(&mut self, message: Message) -> Vec<Order> {
        let Some(line) = &mut self.chord else {
            return Vec::new();
        };
        line.said = None;
        match message {
            Message::Type(c) => {
                if std::mem::take(&mut line.offered) {
                    line.text.clear();
                }
                line.text.push(c);
            }
            Message::Erase => {
                line.offered = false;
                line.text.pop();
            }
            Message::Clear => line.text.clear(),
            Message::Open => return self.keep_chord(0),
            Message::Pen(Pen::Beat(by)) => return self.keep_chord(by),
            _ => {}
        }
        Vec::new()
    }

    /// Writes the chord and goes on to another beat; by 0 beats, ends.
    fn keep_chord(&mut self, by: isize) -> Vec<Order> {
        let Some(line) = self.chord.clone() else {
            return Vec::new();
        };
        let symbol = match line.text.trim() {
            "" => None,
            text => match Symbol::parse(text) {
                Ok(symbol) => Some(symbol),
                Err(error) => {
                    if let Some(line) = &mut self.chord {
                        line.said = Some(error.to_string());
                    }
                    return Vec::new();
                }
            },
        };
        let mut orders = Vec::new();
        if self.draft.chord_at(line.at) != symbol.as_ref() {
            if !self.take(self.draft.set_chord(line.at, symbol.clone())) {
                self.chord = None;
                return Vec::new();
            }
            if let Some(Symbol::Chord(chord)) = &symbol {
                let tempo = self.draft.tempo();
                let score = Score::chord(chord, 2 * tempo.beat, tempo, &self.instrument);
                orders = self.hear(score);
            }
        }
        self.chord = None;
        if by != 0 {
            match self.draft.beat_from(line.at, by) {
                Some(next) => self.chord_from(next),
                None => self.say("that was the last beat"),
            }
        }
        orders
    }
}
