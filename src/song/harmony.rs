//! Which chord rules where: chords last until the next one, across bar lines and through repeats.

use super::Song;
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
        let mut before: Vec<Option<usize>> =
            (0..self.bars.len()).map(|bar| bar.checked_sub(1)).collect();
        for pair in self.play_order().windows(2).rev() {
            before[pair[1].bar] = Some(pair[0].bar);
        }
        let starts = self.starts();
        let mut last: Vec<Option<&Symbol>> = vec![None; self.bars.len()];
        let mut harmony = Vec::new();
        for (bar, written) in self.bars.iter().enumerate() {
            let start = starts[bar];
            let mut symbol = before[bar].filter(|&b| b < bar).and_then(|b| last[b]);
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
