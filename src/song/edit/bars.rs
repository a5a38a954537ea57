//! Bars: parted, repeated, ended, cut out and put in.

use super::{Caret, Draft, EditError, empty_like};
use crate::song::{Bar, Close, Idea, Pin};
use std::ops::Range;

/// The most times that a repeat sign asks for here.
const MOST_TIMES: u8 = 4;

/// Bars that were copied or cut out, with the pins and ideas in them.
#[derive(Debug, Clone, PartialEq)]
pub struct Clip {
    bars: Vec<Bar>,
    /// Their bars are counted from the first of the clip.
    pins: Vec<Pin>,
    ideas: Vec<Idea>,
}

impl Clip {
    /// How many bars it holds.
    pub fn count(&self) -> usize {
        self.bars.len()
    }
}

impl Draft {
    /// Draws a bar line at the caret: what stands behind it in its bar becomes a bar of its own. At
    /// the end of a short bar, which a pickup is, the caret goes into the next bar.
    ///
    /// # Errors
    /// When one is there already.
    pub fn bar_line(&self) -> Result<Draft, EditError> {
        let Caret { bar: index, at } = self.caret;
        let bar = self.song.bars.get(index).ok_or(EditError::BarLine)?;
        if at == 0 {
            return Err(EditError::BarLine);
        }
        let mut draft = self.begin();
        draft.caret = Caret {
            bar: index + 1,
            at: 0,
        };
        if at >= bar.length {
            return draft.settled(self);
        }
        let mut second = empty_like(bar);
        second.length = bar.length - at;
        second.close = bar.close;
        if let Some(first) = draft.song.bars.get_mut(index) {
            first.length = at;
            first.close = Close::Single;
            let cut = first.notes.partition_point(|n| n.at < at);
            second.notes = first.notes.split_off(cut);
            let cut = first.chords.partition_point(|c| c.at < at);
            second.chords = first.chords.split_off(cut);
        }
        second.notes.iter_mut().for_each(|n| n.at -= at);
        second.chords.iter_mut().for_each(|c| c.at -= at);
        draft.song.bars.insert(index + 1, second);
        draft
            .song
            .move_marks(&self.lengths(), |bar, ticks| match bar {
                bar if bar == index && ticks >= at => Caret {
                    bar: bar + 1,
                    at: ticks - at,
                },
                bar if bar > index => Caret {
                    bar: bar + 1,
                    at: ticks,
                },
                bar => Caret { bar, at: ticks },
            });
        draft.settled(self)
    }

    /// Writes the repeats out: each pass has bars of its own. The caret goes where the bar is played
    /// first.
    ///
    /// # Errors
    /// When there are none.
    pub fn write_out(&self) -> Result<Draft, EditError> {
        let order = self.song.play_order();
        if order.iter().map(|p| p.bar).eq(0..self.song.bars.len()) {
            return Err(EditError::NoRepeat);
        }
        let mut draft = self.begin();
        draft.song = self.song.written_out();
        draft.from = order.iter().map(|p| Some(p.bar)).collect();
        let bar = order.iter().position(|p| p.bar == self.caret.bar);
        draft.caret.bar = bar.unwrap_or(draft.song.bars.len());
        draft.settled(self)
    }

    /// Begins a repeat with the bar of the caret, or does so no more.
    ///
    /// # Errors
    /// When no bar stands there.
    pub fn open_repeat(&self) -> Result<Draft, EditError> {
        self.at_bar(|bar| bar.opens_repeat = !bar.opens_repeat)
    }

    /// Ends a repeat with the bar of the caret: twice, three times, four times, not at all.
    ///
    /// # Errors
    /// When no bar stands there.
    pub fn close_repeat(&self) -> Result<Draft, EditError> {
        self.at_bar(|bar| {
            bar.close = match bar.close {
                Close::Repeat(times) if times >= MOST_TIMES => Close::Single,
                Close::Repeat(times) => Close::Repeat(times + 1),
                _ => Close::Repeat(2),
            }
        })
    }

    /// The next kind of bar line behind the bar of the caret: plain, double, final.
    ///
    /// # Errors
    /// When no bar stands there.
    pub fn next_line(&self) -> Result<Draft, EditError> {
        self.at_bar(|bar| {
            bar.close = match bar.close {
                Close::Single => Close::Double,
                Close::Double => Close::Final,
                Close::Final | Close::Repeat(_) => Close::Single,
            }
        })
    }

    /// The next kind of ending that begins with the bar of the caret: first, second, third, first
    /// and second, none.
    ///
    /// # Errors
    /// When no bar stands there.
    pub fn next_ending(&self) -> Result<Draft, EditError> {
        self.at_bar(|bar| {
            bar.ending = match bar.ending.as_slice() {
                [] => vec![1],
                [1] => vec![2],
                [2] => vec![3],
                [3] => vec![1, 2],
                _ => Vec::new(),
            }
        })
    }

    fn at_bar(&self, change: impl Fn(&mut Bar)) -> Result<Draft, EditError> {
        let mut draft = self.begin();
        if self.is_blank() {
            return Err(EditError::NoBar);
        }
        let bar = draft.song.bars.get_mut(self.caret.bar);
        change(bar.ok_or(EditError::NoBar)?);
        draft.settled(self)
    }

    /// Copies bars; a range that goes beyond the tune is cut off.
    ///
    /// # Errors
    /// When there are none.
    pub fn copied(&self, bars: Range<usize>) -> Result<Clip, EditError> {
        let end = bars.end.min(self.song.bars.len());
        let range = bars.start..end;
        let found = self.song.bars.get(range.clone()).unwrap_or_default();
        if found.is_empty() || self.is_blank() {
            return Err(EditError::NoBar);
        }
        let pins = self.song.pins.iter().filter(|p| range.contains(&p.bar));
        let moved = |p: &Pin| Pin {
            bar: p.bar - range.start,
            ..p.clone()
        };
        let ideas =
            (self.song.ideas.iter()).filter(|i| range.contains(&i.bar) && range.contains(&i.to));
        let also = |i: &Idea| Idea {
            bar: i.bar - range.start,
            to: i.to - range.start,
            ..i.clone()
        };
        Ok(Clip {
            bars: found.to_vec(),
            pins: pins.map(moved).collect(),
            ideas: ideas.map(also).collect(),
        })
    }

    /// Cuts bars out.
    ///
    /// # Errors
    /// When there are none.
    pub fn cut(&self, bars: Range<usize>) -> Result<(Draft, Clip), EditError> {
        let clip = self.copied(bars.clone())?;
        let mut draft = self.begin();
        let end = bars.end.min(self.song.bars.len());
        let kept: Vec<Option<usize>> = (0..bars.start)
            .chain(end..self.song.bars.len())
            .map(Some)
            .collect();
        draft.take_bars_out(bars.start..end);
        draft.caret = Caret {
            bar: bars.start,
            at: 0,
        };
        draft.from = kept;
        Ok((draft.settled(self)?, clip))
    }

    /// Takes bars out with their pins and ideas. A final bar line goes to what is last then, and what
    /// stands behind them stays in its tempo.
    pub(super) fn take_bars_out(&mut self, bars: Range<usize>) {
        let (count, lengths) = (bars.len(), self.lengths());
        let tempo = self.tempo_of(bars.end);
        let ends = self.song.bars.get(bars.clone()).and_then(|b| b.last());
        let was_final = ends.is_some_and(|b| b.close == Close::Final);
        self.song.bars.drain(bars.clone());
        self.keep_tempo(bars.start, tempo);
        self.song.drop_marks(&bars);
        self.song.move_marks(&lengths, |bar, at| Caret {
            bar: if bar >= bars.end { bar - count } else { bar },
            at,
        });
        if let Some(last) = self.song.bars.last_mut()
            && was_final
            && last.close == Close::Single
        {
            last.close = Close::Final;
        }
    }

    /// Puts copied bars in: behind the bar of the caret when it stands at its end, else before it. What
    /// stands behind them stays in its tempo.
    ///
    /// # Errors
    /// When the tune could not be written down any more.
    pub fn paste(&self, clip: &Clip) -> Result<Draft, EditError> {
        let mut draft = self.begin();
        if self.is_blank() {
            draft.song.bars.clear();
            draft.caret = Caret::default();
        }
        let Caret { bar, at } = draft.caret;
        let here = draft.song.bars.get(bar);
        let behind = here.is_some_and(|b| at > 0 && at >= b.length);
        let to = if behind { bar + 1 } else { bar };
        let to = to.min(draft.song.bars.len());
        let count = clip.bars.len();
        draft.song.move_marks(&self.lengths(), |bar, at| Caret {
            bar: if bar >= to { bar + count } else { bar },
            at,
        });
        let moved = |p: &Pin| Pin {
            bar: p.bar + to,
            ..p.clone()
        };
        draft.song.pins.extend(clip.pins.iter().map(moved));
        let also = |i: &Idea| Idea {
            bar: i.bar + to,
            to: i.to + to,
            ..i.clone()
        };
        draft.song.ideas.extend(clip.ideas.iter().map(also));
        let old = draft.song.bars.len();
        let mut bars = clip.bars.clone();
        let before = to.checked_sub(1).and_then(|i| draft.song.bars.get_mut(i));
        if let (Some(before), Some(last)) = (before, bars.last_mut())
            && to == old
            && before.close == Close::Final
        {
            before.close = Close::Single;
            last.close = Close::Final;
        } else if let Some(last) = bars.last_mut()
            && to < old
            && last.close == Close::Final
        {
            last.close = Close::Single;
        }
        let tempo = draft.tempo_of(to);
        draft.song.bars.splice(to..to, bars);
        draft.keep_tempo(to + count, tempo);
        let is_new = |i: &usize| (to..to + count).contains(i);
        let came_from = |i: usize| match i {
            i if is_new(&i) || self.is_blank() => None,
            i if i < to => Some(i),
            i => Some(i - count),
        };
        draft.from = (0..draft.song.bars.len()).map(came_from).collect();
        draft.caret = Caret {
            bar: to + count,
            at: 0,
        };
        draft.settled(self)
    }
}
