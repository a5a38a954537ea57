//! What each key writes.

use super::{Cut, Length, Pen, Writing};
use crate::exchange::how_many;
use crate::song::edit::{Caret, EditError};
use crate::studio::message::{Message, Order};
use crate::theory::{Key, Letter, Pitch};
use std::ops::Range;

impl Writing {
    pub(super) fn touch(&mut self, message: Message) -> Vec<Order> {
        match message {
            Message::Type(c) => return self.letter(c),
            Message::Open => return self.enter(),
            Message::Choose(by) => return self.up_or_down(-by),
            Message::Onset(by) => self.go(by),
            Message::Bar(by) => self.draft.step_bars(by),
            Message::First => self.draft.go_to(Caret::default()),
            Message::Last => self.draft.go_to_end(),
            Message::Erase => {
                self.take(self.draft.erase());
            }
            Message::Undo => self.undo(true),
            Message::Redo => self.undo(false),
            Message::Pen(pen) => return self.pen(pen),
            _ => {}
        }
        Vec::new()
    }

    fn pen(&mut self, pen: Pen) -> Vec<Order> {
        let draft = &self.draft;
        let length = self.length.ticks();
        let made = match pen {
            Pen::Rest => draft.insert(None, length),
            Pen::EraseBehind => draft.erase_behind(),
            Pen::BarLine => draft.bar_line(),
            Pen::OpenRepeat => draft.open_repeat(),
            Pen::CloseRepeat => draft.close_repeat(),
            Pen::Ending => draft.next_ending(),
            Pen::WriteOut => draft.write_out(),
            Pen::Line => draft.next_line(),
            Pen::Redraw => draft.redraw_bar_lines(),
            Pen::Tie => return self.write_heard(draft.tie_on(length)),
            Pen::Sharpen(by) => return self.write_heard(draft.sharpen(by)),
            Pen::Octave(by) => return self.write_heard(draft.shift_octave(by)),
            other => {
                self.aside_from_notes(other);
                return Vec::new();
            }
        };
        self.take(made);
        Vec::new()
    }

    /// What writes no note.
    fn aside_from_notes(&mut self, pen: Pen) {
        match pen {
            Pen::Dot => self.length.dots = (self.length.dots + 1) % 3,
            Pen::Triplet => self.length.triplet = !self.length.triplet,
            Pen::Chord => self.begin_chord(),
            Pen::Mark => self.mark_bar(),
            Pen::Copy => self.copy(),
            Pen::Cut => self.cut(),
            Pen::Paste => self.paste(),
            Pen::Neck => self.neck = self.neck.xor(Some(self.first_place())),
            Pen::Settings => self.show_list(),
            _ => {}
        }
    }

    /// A letter writes a note, a figure chooses the length of the next one.
    fn letter(&mut self, c: char) -> Vec<Order> {
        if let Some(length) = Length::of_key(c) {
            let triplet = self.length.triplet;
            self.length = Length { triplet, ..length };
            return Vec::new();
        }
        match Letter::from_char(c) {
            Some(letter) => {
                let pitch = self.draft.pitch_of(letter);
                self.write_heard(self.draft.insert(Some(pitch), self.length.ticks()))
            }
            None => Vec::new(),
        }
    }

    fn write_heard(&mut self, made: Result<crate::song::edit::Draft, EditError>) -> Vec<Order> {
        match self.take(made) {
            true => self.hear_note(),
            false => Vec::new(),
        }
    }

    /// Gives the note before the caret the length of the next one; on the neck, writes a note.
    fn enter(&mut self) -> Vec<Order> {
        let length = self.length.ticks();
        let made = match self.neck_pitch() {
            Some(pitch) => self.draft.insert(Some(pitch), length),
            None => self.draft.lengthen(length),
        };
        self.write_heard(made)
    }

    /// The pitch under the hand on the neck, as it is written.
    pub fn neck_pitch(&self) -> Option<Pitch> {
        let (string, fret) = self.neck?;
        let midi = self.instrument.pitch_at(string, fret)? - self.aside.shift;
        let bar = self.song().bars.get(self.draft.bar());
        let key: Option<&Key> = bar.map(|b| &b.key);
        Some(key.unwrap_or(&self.song().key).spell(midi))
    }

    /// Where the hand begins on the neck: where the note before the caret lies.
    fn first_place(&self) -> (u8, u8) {
        let heard = self.draft.heard();
        let midi = heard.map(|(pitch, _)| pitch.midi() + self.aside.shift);
        let places = midi.into_iter().flat_map(|m| self.instrument.places(m));
        places.min_by_key(|p| p.1).unwrap_or((2, 1))
    }

    fn up_or_down(&mut self, by: isize) -> Vec<Order> {
        let strings = self.instrument.strings().max(1);
        match &mut self.neck {
            // String 1 is on top.
            Some((string, _)) => {
                let to = usize::from(*string).saturating_add_signed(-by);
                *string = u8::try_from(to.clamp(1, strings)).unwrap_or(1);
                Vec::new()
            }
            None => {
                let steps = i32::try_from(by).unwrap_or(0);
                self.write_heard(self.draft.step_note(steps))
            }
        }
    }

    fn go(&mut self, by: isize) {
        let top = self.instrument.top_fret();
        match &mut self.neck {
            Some((_, fret)) => {
                let to = usize::from(*fret).saturating_add_signed(by);
                *fret = u8::try_from(to).unwrap_or(top).min(top);
            }
            None => self.draft.step(by),
        }
    }

    /// The marked bars, the bar of the caret when none are marked.
    pub fn marked(&self) -> Range<usize> {
        let here = self.draft.bar();
        let mark = self.mark.unwrap_or(here);
        here.min(mark)..here.max(mark) + 1
    }

    fn mark_bar(&mut self) {
        self.mark = match self.mark {
            Some(_) => None,
            None => Some(self.draft.bar()),
        };
        if self.mark.is_some() {
            self.say("marked: go to the last bar, then ⟨k⟩ copies and ⟨x⟩ cuts");
        }
    }

    fn copy(&mut self) {
        match self.draft.copied(self.marked()) {
            Ok(clip) => {
                self.say(format!("{} copied: ⟨v⟩ puts a copy in", bars(clip.count())));
                self.clip = Some(Cut { clip, ticks: None });
                self.mark = None;
            }
            Err(error) => self.complain(error.to_string()),
        }
    }

    fn cut(&mut self) {
        let marked = self.marked();
        match self.draft.cut(marked.clone()) {
            Ok((draft, clip)) => {
                let from: Vec<Option<usize>> = marked.map(Some).collect();
                let ticks = Some(self.home.progress.moved(&from));
                self.take(Ok(draft));
                self.say(format!(
                    "{} cut: ⟨v⟩ puts them in, ⟨u⟩ undoes it",
                    bars(clip.count())
                ));
                self.clip = Some(Cut { clip, ticks });
                self.mark = None;
            }
            Err(error) => self.complain(error.to_string()),
        }
    }

    /// Puts bars in. Bars that were cut out keep their ticks the first time.
    fn paste(&mut self) {
        let Some(Cut { clip, ticks }) = self.clip.take() else {
            self.complain(EditError::NoClip.to_string());
            return;
        };
        let ticks = match self.draft.paste(&clip) {
            Ok(draft) => {
                let mut progress = self.home.progress.moved(draft.from());
                let first = draft.caret().bar.saturating_sub(clip.count());
                if let Some(ticks) = ticks {
                    progress.add(first, &ticks);
                }
                self.take_with(draft, progress);
                self.say(format!("{} put in", bars(clip.count())));
                None
            }
            Err(error) => {
                self.complain(error.to_string());
                ticks
            }
        };
        self.clip = Some(Cut { clip, ticks });
    }
}

fn bars(count: usize) -> String {
    how_many(count, "bar")
}
