//! Edits of a song: a [`Draft`] is a song and the caret in it, and every edit makes another one.
//!
//! The tune is a row of notes and rests like a text; the caret stands between two of them. A bar
//! need not be full while it is written: it is as long as what stands in it, and [`Count`] says how
//! much that is. Only at the end of the tune a note that is longer than what is left of its bar goes
//! on in a new one, tied.
//!
//! A draft always reads back from its abc text as it is. An edit after which it would not is
//! refused, and the draft stays.

mod bars;
mod chords;
mod count;
mod items;
mod marks;
mod meter;
mod notes;
#[cfg(test)]
mod properties;
mod settle;
mod step;
#[cfg(test)]
mod tests;

pub use bars::Clip;
pub use count::Count;
pub use items::{Item, items};
pub use step::Step;

use super::{Bar, Close, Place, Song};
use crate::theory::{Meter, Symbol, Ticks};

/// A place between two notes or rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Caret {
    /// Index of the bar; one more than there are stands behind the last bar line.
    pub bar: usize,
    /// Ticks from the bar line.
    pub at: Ticks,
}

/// A song that is being written, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    song: Song,
    caret: Caret,
    /// For each bar the one that it was before the last edit.
    from: Vec<Option<usize>>,
    /// The chord over what was just taken out, for what is put in there instead.
    loose: Option<(Caret, Symbol)>,
}

/// Why an edit was not made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs)]
pub enum EditError {
    #[error("nothing stands before the cursor")]
    NothingBefore,
    #[error("nothing stands behind the cursor")]
    NothingBehind,
    #[error("that goes with a note; none stands before the cursor")]
    NoNote,
    #[error("a bar line stands here already")]
    BarLine,
    #[error("no bar stands here yet; write its first note, then this")]
    NoBar,
    #[error("nothing was copied yet; mark bars and copy or cut them first")]
    NoClip,
    #[error("there are no repeats to write out here")]
    NoRepeat,
    #[error("a chord needs a note or a rest under it; write that first")]
    NoPlace,
    #[error("this goes beyond what can be written down; all stays as it was")]
    Unwritable,
}

impl Draft {
    /// How long each bar is.
    fn lengths(&self) -> Vec<Ticks> {
        self.song.bars.iter().map(|b| b.length).collect()
    }

    /// A song to be written on, the caret at its end. A song without bars gets one of rest, in
    /// `meter`.
    pub fn new(mut song: Song, meter: &Meter) -> Draft {
        if song.bars.is_empty() {
            let bar = settle::blank(meter.clone(), song.key.clone());
            song.bars.push(bar);
            song.number_bars();
        }
        let mut draft = Draft {
            from: (0..song.bars.len()).map(Some).collect(),
            song,
            caret: Caret::default(),
            loose: None,
        };
        draft.go_to_end();
        draft
    }

    /// The song.
    pub fn song(&self) -> &Song {
        &self.song
    }

    /// Where the caret is.
    pub fn caret(&self) -> Caret {
        self.caret
    }

    /// For each bar the index of the one that it was before the last edit; `None` for a new one.
    pub fn from(&self) -> &[Option<usize>] {
        &self.from
    }

    /// Whether nothing is written yet: one bar of rest.
    pub fn is_blank(&self) -> bool {
        let [bar] = self.song.bars.as_slice() else {
            return false;
        };
        bar.notes.is_empty() && bar.chords.is_empty() && bar.length == bar.meter.bar()
    }

    /// Index of the bar that the caret stands in, or of the last one.
    pub fn bar(&self) -> usize {
        self.caret.bar.min(self.song.bars.len().saturating_sub(1))
    }

    /// What stands before the caret, and the index of its bar.
    pub fn before(&self) -> Option<(usize, Item)> {
        if self.is_blank() && self.caret.at == 0 {
            return None;
        }
        let (bar, at) = match self.caret.at {
            0 => (self.caret.bar.checked_sub(1)?, Ticks::MAX),
            at => (self.caret.bar, at),
        };
        let items = items(self.song.bars.get(bar)?).into_iter();
        let found = items.take_while(|i| i.at < at).last();
        found.map(|item| (bar, item))
    }

    /// What stands behind the caret, and the index of its bar.
    pub fn behind(&self) -> Option<(usize, Item)> {
        let here = (self.caret.bar, self.caret.at);
        let next = (self.caret.bar + 1, 0);
        [here, next].into_iter().find_map(|(bar, at)| {
            let items = items(self.song.bars.get(bar)?);
            let found = items.into_iter().find(|i| i.at >= at);
            found.map(|item| (bar, item))
        })
    }

    /// Puts the caret behind the last note or rest; before the rest that a blank tune is.
    pub fn go_to_end(&mut self) {
        let last = self.song.bars.len().saturating_sub(1);
        let length = self.song.bars.last().map_or(0, |b| b.length);
        let at = if self.is_blank() { 0 } else { length };
        self.caret = Caret { bar: last, at };
    }

    /// Puts the caret at a place, or the last one before it where a note or rest begins or ends.
    pub fn go_to(&mut self, to: Caret) {
        let Some(bar) = self.song.bars.get(to.bar) else {
            let bar = self.song.bars.len();
            self.caret = Caret { bar, at: 0 };
            return;
        };
        let starts = items(bar).into_iter().map(|i| i.at).chain([bar.length]);
        let at = starts.take_while(|&at| at <= to.at).last().unwrap_or(0);
        self.caret = Caret { bar: to.bar, at };
    }

    /// Moves the caret over so many notes or rests, on or back. The end of a bar and the start of
    /// the next one are two places, as a note goes into the one or the other.
    pub fn step(&mut self, by: isize) {
        for _ in 0..by.unsigned_abs() {
            let places = self.places(self.caret.bar);
            let here = places.iter().position(|&at| at == self.caret.at);
            let next = here.and_then(|i| i.checked_add_signed(by.signum()));
            match next.and_then(|i| places.get(i)) {
                Some(&at) => self.caret.at = at,
                None => self.step_bar(by.signum()),
            }
        }
    }

    /// Over the bar line.
    fn step_bar(&mut self, by: isize) {
        let Some(bar) = self.caret.bar.checked_add_signed(by) else {
            return;
        };
        let places = self.places(bar);
        let at = if by > 0 {
            places.first()
        } else {
            places.last()
        };
        if let Some(&at) = at {
            self.caret = Caret { bar, at };
        }
    }

    /// Moves the caret to the start of another bar.
    pub fn step_bars(&mut self, by: isize) {
        let back = by < 0 && self.caret.at > 0;
        let by = if back { by + 1 } else { by };
        let last = self.song.bars.len().saturating_sub(1);
        let bar = self.caret.bar.saturating_add_signed(by).min(last);
        if bar == self.caret.bar && by > 0 {
            self.go_to_end();
        } else {
            self.caret = Caret { bar, at: 0 };
        }
    }

    /// The places for a caret in a bar; one behind the last bar.
    fn places(&self, bar: usize) -> Vec<Ticks> {
        match self.song.bars.get(bar) {
            Some(bar) => (items(bar).into_iter().map(|i| i.at))
                .chain([bar.length])
                .collect(),
            None if bar == self.song.bars.len() => vec![0],
            None => Vec::new(),
        }
    }

    /// The draft that an edit begins with.
    fn begin(&self) -> Draft {
        Draft {
            from: Vec::new(),
            loose: None,
            ..self.clone()
        }
    }

    /// A new bar like the last one, of no length yet, at the end of the tune. A final bar line moves
    /// along.
    fn append_bar(&mut self) -> usize {
        if let Some(last) = self.song.bars.last_mut() {
            let close = match last.close {
                Close::Final => std::mem::take(&mut last.close),
                _ => Close::Single,
            };
            let bar = Bar {
                close,
                ..empty_like(last)
            };
            self.song.bars.push(bar);
        }
        self.song.bars.len().saturating_sub(1)
    }
}

/// A bar of no length in the key and meter of another.
fn empty_like(bar: &Bar) -> Bar {
    Bar {
        number: 0,
        tempo: None,
        length: 0,
        notes: Vec::new(),
        chords: Vec::new(),
        opens_repeat: false,
        close: Close::Single,
        ending: Vec::new(),
        place: Place::default(),
        ..bar.clone()
    }
}
