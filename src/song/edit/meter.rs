//! Key, meter, tempo and what else holds for a stretch of bars or for the whole song.

use super::items::notated;
use super::{Caret, Draft, EditError, empty_like};
use crate::song::number::{missing, starts_section};
use crate::song::{Bar, ChordChange, GuitarWish, Note, Song, Tempo};
use crate::theory::{Key, Meter, Ticks};
use std::ops::Range;

impl Draft {
    /// The meter changes with the bar of the caret, until it is changed again; the bar lines are
    /// drawn anew. A pickup stays as long as it is.
    ///
    /// # Errors
    /// When the tune could not be written down any more.
    pub fn set_meter(&self, meter: &Meter) -> Result<Draft, EditError> {
        let first = self.bar();
        let old = self.song.bars.get(first).map(|b| b.meter.clone());
        let range = self.stretch(first, |bar| Some(&bar.meter) == old.as_ref());
        let mut draft = self.begin();
        for bar in draft.song.bars.get_mut(range.clone()).unwrap_or_default() {
            bar.meter = meter.clone();
        }
        if self.is_blank() {
            let bar = draft.song.bars.first_mut();
            bar.into_iter().for_each(|bar| bar.length = meter.bar());
        }
        draft.draw_bar_lines(range, self.starts_short());
        draft.settled(self)
    }

    /// Draws the bar lines anew by the meter, from the bar of the caret to the next change of meter.
    /// Repeats, endings and changes of key and tempo stay where they are.
    ///
    /// # Errors
    /// As for [`Draft::set_meter`].
    pub fn redraw_bar_lines(&self) -> Result<Draft, EditError> {
        let first = self.bar();
        let meter = self.song.bars.get(first).map(|b| b.meter.clone());
        let range = self.stretch(first, |bar| Some(&bar.meter) == meter.as_ref());
        let mut draft = self.begin();
        draft.draw_bar_lines(range, self.starts_short());
        draft.settled(self)
    }

    /// The key that is signed changes with the bar of the caret, until it is changed again. The notes
    /// sound as before.
    ///
    /// # Errors
    /// As for [`Draft::set_meter`].
    pub fn set_key(&self, key: &Key) -> Result<Draft, EditError> {
        let first = self.bar();
        let old = self.song.bars.get(first).map(|b| b.key.clone());
        let range = self.stretch(first, |bar| Some(&bar.key) == old.as_ref());
        let mut draft = self.begin();
        for bar in draft.song.bars.get_mut(range).unwrap_or_default() {
            bar.key = key.clone();
        }
        draft.settled(self)
    }

    /// The tempo changes with the bar of the caret.
    ///
    /// # Errors
    /// As for [`Draft::set_meter`].
    pub fn set_tempo(&self, tempo: Tempo) -> Result<Draft, EditError> {
        let mut draft = self.begin();
        match self.bar() {
            0 => draft.song.tempo = tempo,
            bar => {
                let bar = draft.song.bars.get_mut(bar);
                bar.into_iter().for_each(|bar| bar.tempo = Some(tempo));
            }
        }
        draft.settled(self)
    }

    /// The tempo does not change with the bar of the caret. (At the start it stays as it is.)
    ///
    /// # Errors
    /// As for [`Draft::set_meter`].
    pub fn clear_tempo(&self) -> Result<Draft, EditError> {
        let mut draft = self.begin();
        let bar = draft.song.bars.get_mut(self.bar());
        bar.into_iter().for_each(|bar| bar.tempo = None);
        draft.settled(self)
    }

    /// The tempo in force in the bar of the caret.
    pub fn tempo(&self) -> Tempo {
        self.tempo_of(self.bar())
    }

    /// The tempo in force in a bar, or behind the last one.
    pub(super) fn tempo_of(&self, bar: usize) -> Tempo {
        let bars = self.song.bars.iter().take(bar + 1);
        bars.rev().find_map(|b| b.tempo).unwrap_or(self.song.tempo)
    }

    /// Leaves a bar in its tempo, where another one leads up to it now.
    pub(super) fn keep_tempo(&mut self, bar: usize, tempo: Tempo) {
        let changed = self.tempo_of(bar) != tempo;
        if let Some(bar) = self.song.bars.get_mut(bar).filter(|_| changed) {
            bar.tempo = Some(tempo);
        }
    }

    /// The song so many half steps higher, or lower.
    ///
    /// # Errors
    /// When it would leave the range that can be written.
    pub fn transposed(&self, semitones: i32) -> Result<Draft, EditError> {
        self.with(|song| *song = song.transposed(semitones))
    }

    /// The song moved into a key, up or down, whichever is nearer.
    ///
    /// # Errors
    /// As for [`Draft::transposed`].
    pub fn moved_to(&self, key: &Key) -> Result<Draft, EditError> {
        self.with(|song| *song = song.in_key(key))
    }

    /// Another title.
    ///
    /// # Errors
    /// As for [`Draft::set_meter`].
    pub fn set_title(&self, title: &str) -> Result<Draft, EditError> {
        self.with(|song| song.title = title.to_string())
    }

    /// Another guitar or hand. Whether there is such a one is for the guitar room to say.
    ///
    /// # Errors
    /// As for [`Draft::set_meter`].
    pub fn set_guitar(&self, guitar: GuitarWish) -> Result<Draft, EditError> {
        self.with(|song| song.guitar = guitar)
    }

    fn with(&self, change: impl FnOnce(&mut Song)) -> Result<Draft, EditError> {
        let mut draft = self.begin();
        change(&mut draft.song);
        draft.settled(self)
    }

    /// The bars from one on for which something holds.
    fn stretch(&self, first: usize, holds: impl Fn(&Bar) -> bool) -> Range<usize> {
        let bars = self.song.bars.get(first..).unwrap_or_default();
        first..first + bars.iter().take_while(|bar| holds(bar)).count()
    }

    /// Whether the first bar is shorter than its meter and others follow.
    fn starts_short(&self) -> bool {
        let bars = &self.song.bars;
        bars.len() > 1 && bars.first().is_some_and(|bar| missing(bar) > 0)
    }

    /// Draws the bar lines of some bars of one meter anew, section by section; a first bar that is a
    /// `pickup` stays as long as it is. Caret and pins stay with the music, ticks with the bars that
    /// come out as long as they were.
    fn draw_bar_lines(&mut self, range: Range<usize>, pickup: bool) {
        let old = self.song.starts();
        let caret = old.get(self.caret.bar).map_or(0, |at| at + self.caret.at);
        let at_end = self.caret.bar >= self.song.bars.len();
        let mut bars = Vec::with_capacity(self.song.bars.len());
        let mut section: Vec<Bar> = Vec::new();
        for (i, bar) in self.song.bars.iter().enumerate() {
            let pickup = pickup && i == 0 && missing(bar) > 0;
            let begins = i == range.start || i == range.end;
            if begins || begins_anew(&self.song.bars, i) {
                bars.extend(redrawn(&std::mem::take(&mut section)));
            }
            match range.contains(&i) && !pickup {
                true => section.push(bar.clone()),
                false => bars.push(bar.clone()),
            }
            if pickup {
                bars.extend(redrawn(&std::mem::take(&mut section)));
            }
        }
        bars.extend(redrawn(&section));
        self.song.bars = bars;
        let new = self.song.starts();
        let place = |at: Ticks| {
            let bar = new.partition_point(|&s| s <= at).saturating_sub(1);
            let bar = bar.min(new.len().saturating_sub(2));
            Caret {
                bar,
                at: at - new.get(bar).copied().unwrap_or(0),
            }
        };
        let lengths: Vec<Ticks> = old.windows(2).map(|w| w[1] - w[0]).collect();
        (self.song).move_marks(&lengths, |bar, at| {
            let start = old.get(bar);
            start.map_or(Caret { bar, at }, |start| place(start + at))
        });
        self.caret = match at_end {
            true => Caret {
                bar: self.song.bars.len(),
                at: 0,
            },
            false => place(caret),
        };
        let spans = |starts: &[Ticks]| -> Vec<(Ticks, Ticks)> {
            starts.windows(2).map(|w| (w[0], w[1])).collect()
        };
        let (before, after) = (spans(&old), spans(&new));
        let from = |span: &(Ticks, Ticks)| before.iter().position(|b| b == span);
        self.from = after.iter().map(from).collect();
    }
}

/// Whether bar lines are drawn anew from this bar on, whatever stands before it.
fn begins_anew(bars: &[Bar], i: usize) -> bool {
    let changes = match (i.checked_sub(1).and_then(|b| bars.get(b)), bars.get(i)) {
        (Some(before), Some(here)) => before.key != here.key || here.tempo.is_some(),
        _ => false,
    };
    changes || starts_section(bars, i)
}

/// The bars of a section, each as long as the meter says; the last one may be shorter.
fn redrawn(section: &[Bar]) -> Vec<Bar> {
    let (Some(first), Some(last)) = (section.first(), section.last()) else {
        return Vec::new();
    };
    let full = first.meter.bar();
    let (notes, chords, length) = stream(section);
    let mut bars: Vec<Bar> = Vec::new();
    let mut at = 0;
    while at < length {
        let mut bar = empty_like(first);
        bar.length = full.min(length - at);
        at += bar.length;
        bars.push(bar);
    }
    for mut note in notes {
        let mut left = note.length;
        while left > 0 {
            let index = usize::try_from(note.at / full).unwrap_or(usize::MAX);
            let inside = note.at % full;
            let piece = left.min(full - inside);
            left -= piece;
            let Some(bar) = bars.get_mut(index) else {
                break;
            };
            let mut at = inside;
            for part in notated(piece) {
                bar.notes.push(Note {
                    at,
                    length: part,
                    tied: note.tied || left > 0 || at + part < inside + piece,
                    ..note
                });
                at += part;
            }
            note.at += piece;
        }
    }
    for chord in chords {
        let index = usize::try_from(chord.at / full).unwrap_or(usize::MAX);
        if let Some(bar) = bars.get_mut(index) {
            bar.chords.push(ChordChange {
                at: chord.at % full,
                ..chord
            });
        }
    }
    if let Some(bar) = bars.first_mut() {
        bar.opens_repeat = first.opens_repeat;
        bar.ending = first.ending.clone();
        bar.tempo = first.tempo;
    }
    if let Some(bar) = bars.last_mut() {
        bar.close = last.close;
    }
    bars
}

/// Notes and chords of a section counted from its start, ties over bar lines joined, and its length.
fn stream(section: &[Bar]) -> (Vec<Note>, Vec<ChordChange>, Ticks) {
    let (mut notes, mut chords): (Vec<Note>, Vec<ChordChange>) = (Vec::new(), Vec::new());
    let mut start = 0;
    for bar in section {
        for note in &bar.notes {
            let at = start + note.at;
            let apart = bar.chords.iter().any(|c| c.at == note.at);
            match notes.last_mut() {
                Some(last)
                    if note.at == 0 && last.tied && last.at + last.length == at && !apart =>
                {
                    last.length += note.length;
                    last.tied = note.tied;
                }
                _ => notes.push(Note { at, ..*note }),
            }
        }
        chords.extend(bar.chords.iter().map(|c| ChordChange {
            at: start + c.at,
            ..c.clone()
        }));
        start += bar.length;
    }
    (notes, chords, start)
}
