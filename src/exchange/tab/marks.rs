//! The texts written in each bar: numbers, chord names, frets, fingers, barres.

use super::signs::Signs;
use super::strip::Rows;
use super::words::tempo_text;
use crate::arrange::{Arrangement, Pluck, Technique};
use crate::exchange::left_hand::{Held, Slur, Way, slurs};
use crate::song::Bar;
use crate::theory::{Key, Symbol, Ticks};

/// A text that stands at a place in a bar.
pub(super) struct Mark {
    pub row: usize,
    pub at: Ticks,
    pub text: String,
}

/// Everything written in each bar, in order of row and place.
pub(super) fn marks(
    arrangement: &Arrangement,
    starts: &[Ticks],
    barres: &[Held],
    rows: Rows,
    signs: Signs,
) -> Vec<Vec<Mark>> {
    let mut sheet = Sheet {
        bars: arrangement.song.bars.iter().map(|_| Vec::new()).collect(),
        starts,
        rows,
        signs,
    };
    sheet.names(arrangement);
    for held in barres {
        sheet.put(held.bar, held.at, Rows::MARKS, &held.sign());
    }
    for onset in arrangement.plucks.chunk_by(|a, b| a.at == b.at) {
        sheet.hands(onset);
    }
    for (pluck, slur) in arrangement.plucks.iter().zip(slurs(&arrangement.plucks)) {
        let row = rows.string(pluck.string);
        sheet.put(pluck.bar, pluck.at, row, &fret(pluck, slur));
    }
    sheet.sorted()
}

/// The marks of each bar while they are gathered.
struct Sheet<'a> {
    bars: Vec<Vec<Mark>>,
    starts: &'a [Ticks],
    rows: Rows,
    signs: Signs,
}

impl Sheet<'_> {
    /// Writes a text at a place, in ticks from the song's start.
    fn put(&mut self, bar: usize, at: Ticks, row: usize, text: &str) {
        let (Some(list), Some(start)) = (self.bars.get_mut(bar), self.starts.get(bar)) else {
            return;
        };
        list.push(Mark {
            row,
            at: at - start,
            text: self.signs.text(text),
        });
    }

    /// Bar numbers and chord names.
    fn names(&mut self, arrangement: &Arrangement) {
        let bars = &arrangement.heard().bars;
        for (i, bar) in bars.iter().enumerate() {
            let start = self.starts[i];
            let before = i.checked_sub(1).and_then(|b| bars.get(b));
            self.put(i, start, Rows::NUMBERS, &number(bar, before));
            for change in &bar.chords {
                let at = start + change.at;
                self.put(i, at, Rows::CHORDS, &change.symbol.to_string());
                let shape = shape(&change.symbol, &bar.key, arrangement.instrument.capo);
                if let Some(text) = shape {
                    self.put(i, at, Rows::SHAPES, &text);
                }
            }
        }
    }

    /// The fingers of one onset, from the highest string down, and how it is struck.
    fn hands(&mut self, onset: &[Pluck]) {
        for (technique, word) in [(Technique::Roll, "roll"), (Technique::Brush, "brush")] {
            if let Some(pluck) = onset.iter().find(|p| p.technique == technique) {
                self.put(pluck.bar, pluck.at, Rows::MARKS, word);
            }
        }
        let mut from_top: Vec<&Pluck> = onset.iter().collect();
        from_top.sort_by_key(|p| p.string);
        let stopped = from_top.iter().filter(|p| p.left > 0);
        let plucked = from_top.iter().filter_map(|p| Some((p, p.plucked_by()?)));
        for (row, pluck) in (self.rows.left()..self.rows.right()).zip(stopped) {
            self.put(pluck.bar, pluck.at, row, &pluck.left.to_string());
        }
        for (row, (pluck, finger)) in (self.rows.right()..self.rows.count()).zip(plucked) {
            self.put(pluck.bar, pluck.at, row, finger.letter());
        }
    }

    /// The marks in order, those of one row and place joined to one.
    fn sorted(mut self) -> Vec<Vec<Mark>> {
        for list in &mut self.bars {
            list.sort_by_key(|m| (m.row, m.at));
            list.dedup_by(|next, kept| {
                let same = next.row == kept.row && next.at == kept.at;
                if same && !self.rows.is_string(kept.row) {
                    kept.text = format!("{} {}", kept.text, next.text);
                }
                same
            });
        }
        self.bars
    }
}

/// The chord that the hand grips behind a capo, in brackets.
pub(in crate::exchange) fn shape(symbol: &Symbol, key: &Key, capo: u8) -> Option<String> {
    match symbol {
        Symbol::Chord(chord) if capo > 0 => {
            let down = -i32::from(capo);
            let shape = chord.transposed(down, &key.transposed(down));
            Some(format!("({shape})"))
        }
        _ => None,
    }
}

/// What stands over a bar: its number, an ending's passes, a new meter or tempo.
fn number(bar: &Bar, before: Option<&Bar>) -> String {
    let mut words = vec![bar.number.to_string()];
    if !bar.ending.is_empty() {
        let passes: Vec<String> = bar.ending.iter().map(u8::to_string).collect();
        words.push(format!("[{}.", passes.join(",")));
    }
    if before.is_none_or(|b| b.meter != bar.meter) {
        words.push(format!("({})", bar.meter));
    }
    if let (Some(tempo), Some(_)) = (bar.tempo, before) {
        words.push(format!("({})", tempo_text(tempo)));
    }
    words.join(" ")
}

/// How a fret is written, and how the note is slurred.
fn fret(pluck: &Pluck, slur: Option<Slur>) -> String {
    let fret = pluck.fret;
    match pluck.technique {
        Technique::Plain | Technique::Roll | Technique::Brush => fret.to_string(),
        Technique::Harmonic => format!("<{fret}>"),
        Technique::Hit => "x".into(),
        Technique::Slur => {
            let sign = match slur.map(|s| s.way) {
                Some(Way::SlideDown) => '\\',
                Some(Way::SlideUp) => '/',
                Some(Way::PullOff) => 'p',
                Some(Way::HammerOn) | None => 'h',
            };
            format!("{sign}{fret}")
        }
    }
}
