//! The order in which written bars are played, through repeats and endings.

use super::{Bar, Close, Song};
use std::collections::BTreeSet;

/// A bar in play order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Played {
    /// Index of the written bar, from 0.
    pub bar: usize,
    /// Which time through its section this is, from 1.
    pub pass: u8,
}

impl Song {
    /// The written bars in the order they are played.
    ///
    /// A repeat goes back to the last `|:`. Where none is open it goes back to what ended the
    /// section before, which is a repeat sign, a double or final bar line or the start. An ending
    /// is played on the passes it names and reaches to the next bar line that is not plain, or to
    /// the next bracket or `|:`; the last ending of a group leads on even if it closes with a
    /// repeat sign, and a first ending leads back even if it lacks one. A `|:` inside an open
    /// repeat starts anew: repeats do not nest. A repeat that is opened and never closed is played
    /// once.
    ///
    /// No bar is played more often than the highest number in its repeat sign or its endings.
    pub fn play_order(&self) -> Vec<Played> {
        let mut walk = Walk::new(&self.bars);
        while walk.step() {}
        walk.played
    }

    /// For each written bar whether it and the bar written before it are only ever played one
    /// straight after the other: the earlier leads nowhere else, the later is reached from nowhere
    /// else. Where this is `false`, a note held over the bar line would ring into the wrong bar on
    /// some pass. `false` for the first bar and for bars that are never played.
    pub fn runs_on(&self) -> Vec<bool> {
        let order = self.play_order();
        let mut straight = vec![false; self.bars.len()];
        let mut broken = vec![false; self.bars.len() + 1];
        for pair in order.windows(2) {
            let (from, to) = (pair[0].bar, pair[1].bar);
            if to == from + 1 {
                straight[to] = true;
            } else {
                broken[to] = true;
                broken[from + 1] = true;
            }
        }
        let first = order.first().map(|p| p.bar);
        (0..self.bars.len())
            .map(|i| straight[i] && !broken[i] && first != Some(i))
            .collect()
    }
}

/// A walk through the written bars.
struct Walk<'a> {
    bars: &'a [Bar],
    at: usize,
    /// Where the section goes back to.
    start: usize,
    /// The section was opened by `|:`.
    opened: bool,
    pass: u8,
    /// The highest pass that an ending of this section names, once one was met.
    endings: Option<u8>,
    /// An ending has been entered on this pass.
    inside: bool,
    played: Vec<Played>,
}

impl<'a> Walk<'a> {
    fn new(bars: &'a [Bar]) -> Walk<'a> {
        Walk {
            bars,
            at: 0,
            start: 0,
            opened: false,
            pass: 1,
            endings: None,
            inside: false,
            played: Vec::with_capacity(2 * bars.len()),
        }
    }

    /// Plays or skips the bar that comes next; `false` at the end.
    fn step(&mut self) -> bool {
        let Some(bar) = self.bars.get(self.at) else {
            return false;
        };
        if bar.opens_repeat && !(self.opened && self.at == self.start) {
            self.section_from(self.at, true);
        }
        if !bar.ending.is_empty() {
            let at = self.at;
            let highest = *self.endings.get_or_insert_with(|| highest(self.bars, at));
            if !bar.ending.contains(&self.pass) {
                if self.inside && self.pass < highest {
                    self.go_back();
                } else {
                    self.at = after_ending(self.bars, self.at);
                }
                return true;
            }
            self.inside = true;
        }
        self.played.push(Played {
            bar: self.at,
            pass: self.pass,
        });
        self.leave(bar.close);
        true
    }

    /// What the bar line says after a bar was played.
    fn leave(&mut self, close: Close) {
        let again = match (close, self.endings) {
            (Close::Repeat(_), Some(highest)) => self.pass < highest,
            (Close::Repeat(times), None) => self.pass < times,
            _ => false,
        };
        // Another ending of the group follows: it is not for this pass, so the section goes back.
        let next = self.bars.get(self.at + 1);
        let leads_back = self.inside
            && self.endings.is_some_and(|highest| self.pass < highest)
            && next.is_some_and(|bar| !bar.ending.is_empty());
        let ends = match close {
            Close::Single => false,
            Close::Double | Close::Final if leads_back => false,
            Close::Double => !self.opened || self.inside,
            Close::Final | Close::Repeat(_) => true,
        };
        if again {
            self.go_back();
        } else if ends {
            self.section_from(self.at + 1, false);
            self.at += 1;
        } else {
            self.at += 1;
        }
    }

    fn section_from(&mut self, start: usize, opened: bool) {
        self.start = start;
        self.opened = opened;
        self.pass = 1;
        self.endings = None;
        self.inside = false;
    }

    fn go_back(&mut self) {
        self.at = self.start;
        self.pass = self.pass.saturating_add(1);
        self.inside = false;
    }
}

/// The highest pass named by the group of endings that starts at bar `at`. The group reaches to
/// the next `|:` or to an ending that names a pass anew.
fn highest(bars: &[Bar], at: usize) -> u8 {
    let mut seen = BTreeSet::new();
    for (i, bar) in bars.iter().enumerate().skip(at) {
        if i > at && bar.opens_repeat || bar.ending.iter().any(|n| seen.contains(n)) {
            break;
        }
        seen.extend(bar.ending.iter().copied());
    }
    seen.last().copied().unwrap_or(1)
}

/// The bar after the ending that starts at `at`.
fn after_ending(bars: &[Bar], at: usize) -> usize {
    (at + 1..bars.len())
        .find(|&i| {
            bars[i - 1].close != Close::Single || bars[i].opens_repeat || !bars[i].ending.is_empty()
        })
        .unwrap_or(bars.len())
}

#[cfg(test)]
mod tests {
    use crate::song::{Song, abc};

    fn song(body: &str) -> Song {
        let text = format!("X:1\nM:1/4\nL:1/4\nK:C\n{body}\n");
        abc::read_book(&text).remove(0).unwrap().song
    }

    /// The letters in play order.
    fn order(body: &str) -> String {
        let song = song(body);
        song.play_order()
            .iter()
            .map(|p| song.bars[p.bar].notes[0].pitch.name.to_string())
            .collect()
    }

    #[test]
    fn repeats_and_endings() {
        // abc 2.1, sections 4.8 to 4.10; what is forgiven is our own reading.
        for (body, played) in [
            ("A|B|C|]", "ABC"),
            ("|:A|B:|", "ABAB"),
            ("A|:B:|C|", "ABBC"),
            ("A|B:|C|D:|", "ABABCDCD"),
            ("A|B||C|D:|E", "ABCDCDE"),
            ("|:A||B:|C", "ABABC"),
            ("|:A:|:B:|", "AABB"),
            ("|:A::B:|", "AABB"),
            ("|::A::|", "AAA"),
            ("|:A|1B:|2C|]", "ABAC"),
            ("|:A|1B:|2C:|D", "ABACD"),
            ("|:A|[1B:|[2C||D:|E", "ABACDDE"),
            ("A|1B:|2C|]D|1E:|2F|]", "ABACDEDF"),
            ("|:A|[1,3B:|[2C:|[4D|]E", "ABACABADE"),
            ("|:A|[1-3B:|[4D|]E", "ABABABADE"),
            ("|:A|1B|2C||D", "ABACD"),
            ("|:A|1B||2C||D", "ABACD"),
            ("|:A|1B|]2C|]D", "ABACD"),
            ("|:A|B|C", "ABC"),
            ("|:A|:B:|", "ABB"),
            ("|:A|1B|C:|2D|E|]F", "ABCADEF"),
        ] {
            assert_eq!(order(body), played, "{body}");
        }
    }

    #[test]
    fn where_a_note_may_be_held_over() {
        let runs = |body: &str| -> String {
            let song = song(body);
            song.runs_on()
                .iter()
                .map(|&r| if r { '~' } else { '|' })
                .collect()
        };
        assert_eq!(runs("A|B|C"), "|~~");
        assert_eq!(runs("A|:B|C:|D"), "||~|");
        assert_eq!(runs("|:A|B|1C:|2D|E"), "|~||~");
    }

    #[test]
    fn passes_are_counted() {
        let passes: Vec<u8> = song("|:A|1B:|2C|]D")
            .play_order()
            .iter()
            .map(|p| p.pass)
            .collect();
        assert_eq!(passes, [1, 1, 2, 2, 1]);
    }
}
