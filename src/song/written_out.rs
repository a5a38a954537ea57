//! Repeats written out, so that the second time may be arranged otherwise than the first.

use super::{Close, Idea, Song};

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
        let chords = self.at_bar_lines();
        song.keep_chords(order.iter().map(|&bar| chords[bar].clone()).collect());
        song.keep_tempos(self, &order);
        song.keep_attacks(self, &order);
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

    /// Writes each change of tempo where it comes now, as when the start is played again.
    fn keep_tempos(&mut self, written: &Song, order: &[usize]) {
        let tempos = written.tempos();
        let mut played = order.iter().map(|&bar| tempos[bar]).peekable();
        self.tempo = played.peek().copied().unwrap_or(written.tempo);
        let mut now = self.tempo;
        for (bar, tempo) in self.bars.iter_mut().zip(played) {
            bar.tempo = (tempo != now).then_some(tempo);
            now = tempo;
        }
    }

    /// Takes out the ties at jumps, whose second note is struck as written.
    fn keep_attacks(&mut self, written: &Song, order: &[usize]) {
        let runs_on = written.runs_on();
        for (i, (bar, &from)) in self.bars.iter_mut().zip(order).enumerate() {
            let straight = |&next: &usize| next == from + 1 && runs_on[next];
            if !order.get(i + 1).is_some_and(straight)
                && let Some(last) = bar.notes.last_mut()
            {
                last.tied = false;
            }
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

    fn read(body: &str) -> Song {
        let text = format!("X:1\nL:1/4\nQ:1/4=120\nK:C\n{body}\n");
        abc::read_book(&text).remove(0).unwrap().song
    }

    #[test]
    fn each_pass_has_the_tempo_of_the_written_bars() {
        let out = read("|: C4 | [Q:1/4=60]D4 :|").written_out();
        let tempos: Vec<u32> = out.tempos().iter().map(|t| t.per_minute).collect();
        assert_eq!(tempos, [120, 60, 120, 60]);
    }

    #[test]
    fn a_note_struck_at_a_jump_is_struck() {
        let tied = |song: &Song| -> Vec<bool> {
            let notes = song.bars.iter().flat_map(|b| &b.notes);
            notes.map(|n| n.tied).collect()
        };
        let song = read("|: c4 | c4- :| c4 |]");
        assert_eq!(tied(&song), [false, true, false]);
        assert_eq!(tied(&song.written_out()), [false; 5]);
        let song = read("|: c4- | c4 :|");
        assert_eq!(tied(&song.written_out()), [true, false, true, false]);
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
