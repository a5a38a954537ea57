//! Notes and rests as they come: tuplets, broken rhythm, ties and chords of notes.

use super::body::Body;
use super::pitch::OpenTie;
use super::rhythm::{self, FINE, Fine, Ratio};
use crate::song::{Close, Place, SongError};
use crate::theory::{Meter, Pitch, QUARTER};

/// A chord of notes `[CEG]` while it is open; its top note is the melody.
#[derive(Debug)]
pub(super) struct Stack {
    pub place: Place,
    pub top: Option<(Pitch, bool)>,
    /// The note read last is the top one, so that a tie after it is the melody's.
    pub on_top: bool,
    pub length: Option<Ratio>,
}

impl Body {
    /// A note, or a rest when there is no pitch.
    pub(super) fn event(
        &mut self,
        length: Ratio,
        pitch: Option<Pitch>,
        place: Place,
    ) -> Result<(), SongError> {
        if length.n == 0 {
            self.notices.pass(place, "notes of no length");
            return Ok(());
        }
        let mut fine = length.of(self.unit);
        if let Some(tuplet) = &mut self.tuplet {
            fine = tuplet.ratio.of(fine);
            tuplet.left -= 1;
            if tuplet.left == 0 {
                self.tuplet = None;
            }
        }
        if let Some(part) = self.next.take() {
            fine = part.of(fine);
        }
        self.place_event(rhythm::believable(fine, place)?, pitch, place)
    }

    pub(super) fn place_event(
        &mut self,
        length: Fine,
        pitch: Option<Pitch>,
        place: Place,
    ) -> Result<(), SongError> {
        self.voices.music();
        self.open
            .begin(place, self.meter.as_ref(), &self.key, &mut self.tempo);
        for (place, symbol) in self.chords.drain(..) {
            if !self.open.chord(symbol, place) {
                self.notices.tell(
                    place,
                    "a second chord over the same note is left out; give it a note or rest of its own",
                );
            }
        }
        if let Some(tie) = self.tie.take() {
            self.settle(tie, pitch);
        }
        self.open.push(length, pitch, place)
    }

    /// Closes an open tie on the event that follows it.
    pub(super) fn settle(&mut self, tie: OpenTie, pitch: Option<Pitch>) {
        if pitch.is_none_or(|p| p.midi() != tie.pitch.midi()) {
            self.notices
                .pass(tie.place, "ties that lead to no note of the same pitch");
        } else if tie.bar == self.bars.len() {
            self.open.tie(tie.note);
        } else if let Some(note) = self
            .bars
            .get_mut(tie.bar)
            .and_then(|b| b.notes.get_mut(tie.note))
        {
            note.tied = true;
        }
    }

    pub(super) fn tie(&mut self, place: Place) {
        if let Some(stack) = &mut self.stack {
            if let Some((_, tied)) = &mut stack.top {
                *tied |= stack.on_top;
            }
            return;
        }
        let last = self.open.last_note().map(|(note, pitch)| OpenTie {
            bar: self.bars.len(),
            note,
            pitch,
            crossed: false,
            place,
        });
        if last.is_none() {
            self.notices.pass(place, "ties with no note before them");
        }
        self.tie = last;
    }

    pub(super) fn broken(
        &mut self,
        depth: u32,
        longer_first: bool,
        place: Place,
    ) -> Result<(), SongError> {
        let (long, short) = rhythm::broken(depth, place)?;
        let (this, next) = if longer_first {
            (long, short)
        } else {
            (short, long)
        };
        if self.open.stretch_last(this, place)? {
            self.next = Some(next);
        } else {
            self.notices
                .pass(place, "broken-rhythm signs with no note before them");
        }
        Ok(())
    }

    pub(super) fn open_stack(&mut self, place: Place) -> Result<(), SongError> {
        if self.stack.is_some() {
            self.close_stack(Ratio::ONE)?;
        }
        self.notices
            .pass(place, "the lower notes of chords written in [ ]");
        self.stack = Some(Stack {
            place,
            top: None,
            on_top: false,
            length: None,
        });
        Ok(())
    }

    /// Ends a chord of notes where it must have ended, at a bar line or the end of the tune. At a
    /// line's end it goes on: files that were wrapped by a mailer part chords there.
    pub(super) fn close_unclosed(&mut self) -> Result<(), SongError> {
        if let Some(stack) = &self.stack {
            let text = "this chord of notes has no closing ]; it ends with its bar";
            self.notices.tell(stack.place, text);
            self.close_stack(Ratio::ONE)?;
        }
        Ok(())
    }

    pub(super) fn close_stack(&mut self, length: Ratio) -> Result<(), SongError> {
        let Some(stack) = self.stack.take() else {
            return Ok(());
        };
        let (Some((pitch, tied)), Some(inner)) = (stack.top, stack.length) else {
            return Ok(());
        };
        // All four are at most `lexer::LARGEST`, so the products fit.
        let whole = Ratio {
            n: inner.n * length.n,
            d: inner.d * length.d,
        };
        self.event(whole, Some(pitch), stack.place)?;
        if tied {
            self.tie(stack.place);
        }
        Ok(())
    }

    pub(super) fn rest_bars(&mut self, count: u32, place: Place) -> Result<(), SongError> {
        if !(1..=999).contains(&count) {
            let text = "bars of rest are counted from 1 to 999";
            return Err(SongError::new(place, text));
        }
        let whole = self.meter.as_ref().map_or(4 * QUARTER, Meter::bar) * FINE;
        for i in 0..count {
            if i > 0 {
                self.end_bar(Close::Single, place)?;
            }
            self.place_event(whole, None, place)?;
        }
        Ok(())
    }
}
