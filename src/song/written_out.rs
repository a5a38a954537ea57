//! Repeats written out, so that the second time may be arranged otherwise than the first.

use super::{ChordChange, Close, Idea, Place, Song};
use crate::theory::{Symbol, Ticks};
use rustc_hash::FxHashMap;

impl Song {
    /// The song as it is played, without repeats and endings: every pass has bars of its own, with
    /// the pins and ideas of the written ones. It sounds the same.
    ///
    /// An idea over several bars is there where those are played one after another.
    pub fn written_out(&self) -> Song {
        let order: Vec<usize> = self.play_order().iter().map(|p| p.bar).collect();
        let mut song = self.clone();
        song.bars = order.iter().map(|&bar| self.bars[bar].clone()).collect();
        let last = song.bars.len().saturating_sub(1);
        for (i, bar) in song.bars.iter_mut().enumerate() {
            bar.opens_repeat = false;
            bar.ending.clear();
            bar.close = match bar.close {
                Close::Single => Close::Single,
                _ if i == last => Close::Final,
                _ => Close::Double,
            };
        }
        song.keep_chords(self, &order);
        let played = |written: usize| {
            let places = order.iter().enumerate();
            places
                .filter(move |&(_, &bar)| bar == written)
                .map(|(i, _)| i)
        };
        song.pins = (self.pins.iter())
            .flat_map(|pin| played(pin.bar).map(|bar| super::Pin { bar, ..pin.clone() }))
            .collect();
        song.ideas = (self.ideas.iter())
            .flat_map(|idea| {
                let bars = idea.bar..=idea.to;
                let whole = |&i: &usize| {
                    bars.clone()
                        .eq(order[i..].iter().copied().take(bars.clone().count()))
                };
                let here: Vec<usize> = played(idea.bar).filter(whole).collect();
                here.into_iter().map(|bar| Idea {
                    bar,
                    to: bar + idea.to - idea.bar,
                    ..idea.clone()
                })
            })
            .collect();
        song.number_bars();
        song
    }

    /// Says in words what chord a bar begins with, where another bar is played before it now.
    fn keep_chords(&mut self, written: &Song, order: &[usize]) {
        let starts = written.starts();
        let at_start: FxHashMap<Ticks, Option<Symbol>> = (written.harmony().into_iter())
            .map(|h| (h.at, h.symbol.cloned()))
            .collect();
        let mut goes_on: Option<Symbol> = None;
        for (bar, &from) in self.bars.iter_mut().zip(order) {
            if bar.chords.first().is_none_or(|c| c.at > 0) {
                let had = at_start.get(&starts[from]).cloned().flatten();
                if had != goes_on {
                    let symbol = had.unwrap_or(Symbol::NoChord);
                    let place = Place::default();
                    bar.chords.insert(
                        0,
                        ChordChange {
                            at: 0,
                            symbol,
                            place,
                        },
                    );
                }
            }
            goes_on = (bar.chords.last().map(|c| c.symbol.clone())).or(goes_on);
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::song::{Figure, Idea, Pin, Place, Song, Wish, abc};

    /// Two bars repeated with endings; the second time the first bar follows a G.
    fn waltz() -> Song {
        let text = "X:1\nM:3/4\nL:1/4\nK:C\n|:CDE|1 \"G\"F3:|2 \"C\"E3|]\n";
        abc::read_book(text).remove(0).unwrap().song
    }

    #[test]
    fn every_pass_has_bars_of_its_own() {
        let out = waltz().written_out();
        let numbers: Vec<u32> = out.bars.iter().map(|b| b.number).collect();
        assert_eq!(numbers, [1, 2, 3, 4]);
        assert!(out.play_order().iter().map(|p| p.bar).eq(0..4));
        let notes = |song: &Song, bar: usize| song.bars[bar].notes.len();
        assert_eq!((0..4).map(|b| notes(&out, b)).sum::<usize>(), 8);
        // The first bar had no chord, and has none the second time.
        let symbols: Vec<String> = (out.harmony().iter())
            .map(|h| h.symbol.map_or("-".into(), ToString::to_string))
            .collect();
        assert_eq!(symbols, ["-", "G", "N.C.", "C"]);
    }

    #[test]
    fn what_was_decided_holds_on_every_pass() {
        let mut song = waltz();
        song.pins.push(Pin {
            bar: 0,
            at: 0,
            wish: Wish::Nothing,
            place: Place::default(),
        });
        let mut over = Idea::new(0, 0, Figure::Hits);
        over.to = 1;
        song.ideas.push(over);
        let out = song.written_out();
        assert_eq!(out.pins.iter().map(|p| p.bar).collect::<Vec<_>>(), [0, 2]);
        let ideas: Vec<_> = out.ideas.iter().map(|i| (i.bar, i.to)).collect();
        assert_eq!(ideas, [(0, 1)], "the second ending has none");
    }
}
