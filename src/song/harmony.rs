//! Which chord rules where: chords last until the next one, across bar lines and through repeats.

use super::{ChordChange, Place, Song};
use crate::theory::{Symbol, Ticks};

/// The chord from one place on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Harmony<'a> {
    /// Index of the written bar, from 0.
    pub bar: usize,
    /// Ticks from the start of the song laid out as written.
    pub at: Ticks,
    /// The symbol; none before the first chord.
    pub symbol: Option<&'a Symbol>,
}

impl Song {
    /// The chord at each bar line and at each change, in written order.
    ///
    /// A bar that starts without a chord goes on with the chord of the bar played before it, which
    /// need not be the bar written before it: a second ending follows what leads into the first.
    pub fn harmony(&self) -> Vec<Harmony<'_>> {
        let before = self.led_from();
        let starts = self.starts();
        let mut last: Vec<Option<&Symbol>> = vec![None; self.bars.len()];
        let mut harmony = Vec::new();
        for (bar, written) in self.bars.iter().enumerate() {
            let start = starts[bar];
            let mut symbol = before[bar].and_then(|b| last[b]);
            if written.chords.first().is_none_or(|c| c.at > 0) {
                harmony.push(Harmony {
                    bar,
                    at: start,
                    symbol,
                });
            }
            for change in &written.chords {
                symbol = Some(&change.symbol);
                harmony.push(Harmony {
                    bar,
                    at: start + change.at,
                    symbol,
                });
            }
            last[bar] = symbol;
        }
        harmony
    }

    /// For each bar the one that is played before it the first time, where that is written before it
    /// too; for a bar that is never played, the bar written before it.
    fn led_from(&self) -> Vec<Option<usize>> {
        let mut before: Vec<Option<usize>> =
            (0..self.bars.len()).map(|bar| bar.checked_sub(1)).collect();
        for pair in self.play_order().windows(2).rev() {
            before[pair[1].bar] = Some(pair[0].bar);
        }
        let earlier = before.iter().enumerate();
        earlier.map(|(bar, b)| b.filter(|&b| b < bar)).collect()
    }

    /// The chord that each written bar begins with; none before the first chord.
    pub(super) fn at_bar_lines(&self) -> Vec<Option<Symbol>> {
        let mut chords = vec![None; self.bars.len()];
        for h in self.harmony().into_iter().rev() {
            chords[h.bar] = h.symbol.cloned();
        }
        chords
    }

    /// Says in words what chord each bar begins with, `had`, where another one would go on now.
    pub(super) fn keep_chords(&mut self, had: Vec<Option<Symbol>>) {
        let before = self.led_from();
        let mut last: Vec<Symbol> = Vec::with_capacity(self.bars.len());
        for ((bar, had), before) in self.bars.iter_mut().zip(had).zip(before) {
            let goes_on = before.map_or(Symbol::NoChord, |b| last[b].clone());
            let had = had.unwrap_or(Symbol::NoChord);
            if had != goes_on && bar.chords.first().is_none_or(|c| c.at > 0) {
                let change = ChordChange {
                    at: 0,
                    symbol: had,
                    place: Place::default(),
                };
                bar.chords.insert(0, change);
            }
            last.push(bar.chords.last().map_or(goes_on, |c| c.symbol.clone()));
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::song::abc;

    #[test]
    fn a_second_ending_follows_what_leads_into_the_first() {
        let text = "X:1\nM:2/4\nL:1/4\nK:C\n\"C\"CE|[1\"G\"GG:|[2EC|]\n";
        let song = abc::read_book(text).remove(0).unwrap().song;
        let symbols: Vec<String> = song
            .harmony()
            .iter()
            .map(|h| h.symbol.map(ToString::to_string).unwrap_or_default())
            .collect();
        assert_eq!(symbols, ["C", "G", "C"]);
    }
}
