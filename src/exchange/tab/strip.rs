//! Every bar of an arrangement drawn as a block of characters, all blocks with the same rows.

use super::signs::Signs;
use crate::arrange::{Arrangement, Pluck, RightFinger, Technique};
use crate::exchange::tab::words::tempo_text;
use crate::score::{Columns, Label, missing};
use crate::song::{Bar, Close};
use crate::theory::{Key, Symbol, Ticks};

/// The whole arrangement as blocks side by side.
pub(super) struct Strip {
    pub rows: Rows,
    pub signs: Signs,
    /// What stands before each string: its open note.
    pub names: Vec<String>,
    /// One block a written bar.
    pub blocks: Vec<Block>,
}

/// One drawn bar.
pub(super) struct Block {
    /// As many rows as [`Rows::count`], all of one length.
    pub cells: Vec<Vec<char>>,
    /// Columns where beats fall, best places to cut a bar too long for the line.
    pub beats: Vec<usize>,
}

/// Which row holds what, for an instrument of so many strings.
#[derive(Clone, Copy)]
pub(super) struct Rows {
    pub strings: usize,
}

#[allow(missing_docs)]
impl Rows {
    pub const NUMBERS: usize = 0;
    pub const MARKS: usize = 1;
    pub const CHORDS: usize = 2;
    /// With a capo: what a chord is called at the hand.
    pub const SHAPES: usize = 3;
    pub const FIRST_STRING: usize = 4;

    /// The row of a string, from 1.
    pub fn string(self, string: u8) -> usize {
        Self::FIRST_STRING + usize::from(string.clamp(1, self.strings.max(1) as u8)) - 1
    }
    pub fn ruler(self) -> usize {
        Self::FIRST_STRING + self.strings
    }
    pub fn left(self) -> usize {
        self.ruler() + 1
    }
    pub fn right(self) -> usize {
        self.left() + self.strings
    }
    pub fn count(self) -> usize {
        self.right() + self.strings
    }
    pub fn is_string(self, row: usize) -> bool {
        (Self::FIRST_STRING..self.ruler()).contains(&row)
    }
}

/// A text that stands at a place in a bar.
struct Mark {
    row: usize,
    at: Ticks,
    text: String,
}

/// A finger that stays down as a barre.
struct Held {
    bar: usize,
    at: Ticks,
    end: Ticks,
    finger: u8,
    fret: u8,
    from: u8,
    to: u8,
}

impl Strip {
    pub fn draw(arrangement: &Arrangement, signs: Signs) -> Strip {
        let song = &arrangement.song;
        let rows = Rows {
            strings: arrangement.instrument.strings(),
        };
        let starts = song.starts();
        let lacks = missing(&song.bars);
        let barres = barres(arrangement);
        let marks = marks(arrangement, &starts, &barres, rows, signs);
        let columns: Vec<Columns> = (song.bars.iter().zip(&lacks).zip(&marks))
            .map(|((bar, &lacks), marks)| Columns::new(bar, lacks, &labels(bar, marks, rows)))
            .collect();
        let mut blocks: Vec<Block> = (song.bars.iter().zip(&columns))
            .map(|(bar, columns)| Block::empty(bar, columns, rows, signs))
            .collect();
        for pluck in &arrangement.plucks {
            let row = rows.string(pluck.string);
            let span = (pluck.bar, pluck.at, pluck.end);
            paint_span(
                &mut blocks,
                &song.bars,
                &columns,
                &starts,
                row,
                span,
                signs.ring,
            );
        }
        for held in &barres {
            let span = (held.bar, held.at, held.end);
            let row = Rows::MARKS;
            paint_span(
                &mut blocks,
                &song.bars,
                &columns,
                &starts,
                row,
                span,
                signs.held,
            );
        }
        for (i, block) in blocks.iter_mut().enumerate() {
            block.finish(&song.bars[i], &columns[i], &marks[i], rows, signs);
        }
        let names = (arrangement.instrument.open.iter())
            .map(|pitch| signs.text(&pitch.name.to_string()))
            .collect();
        Strip {
            rows,
            signs,
            names,
            blocks,
        }
    }
}

/// Everything written in each bar, in order of row and place.
fn marks(
    arrangement: &Arrangement,
    starts: &[Ticks],
    barres: &[Held],
    rows: Rows,
    signs: Signs,
) -> Vec<Vec<Mark>> {
    let song = &arrangement.song;
    let mut marks: Vec<Vec<Mark>> = song.bars.iter().map(|_| Vec::new()).collect();
    let mut put = |bar: usize, at: Ticks, row: usize, text: String| {
        let (Some(list), Some(start)) = (marks.get_mut(bar), starts.get(bar)) else {
            return;
        };
        list.push(Mark {
            row,
            at: at - start,
            text,
        });
    };
    for (i, bar) in song.bars.iter().enumerate() {
        let text = number(bar, i.checked_sub(1).and_then(|b| song.bars.get(b)));
        put(i, starts[i], Rows::NUMBERS, signs.text(&text));
        for change in &bar.chords {
            let text = signs.text(&change.symbol.to_string());
            put(i, starts[i] + change.at, Rows::CHORDS, text);
            let shape = shape(&change.symbol, &bar.key, arrangement.instrument.capo);
            if let Some(text) = shape {
                put(i, starts[i] + change.at, Rows::SHAPES, signs.text(&text));
            }
        }
    }
    for held in barres {
        let text = format!("B{}:{}-{}", held.fret, held.from, held.to);
        put(held.bar, held.at, Rows::MARKS, text);
    }
    for onset in arrangement.plucks.chunk_by(|a, b| a.at == b.at) {
        let way = |t| onset.iter().any(|p| p.technique == t);
        for (technique, word) in [(Technique::Roll, "roll"), (Technique::Brush, "brush")] {
            if way(technique) {
                put(onset[0].bar, onset[0].at, Rows::MARKS, word.into());
            }
        }
        let mut from_top: Vec<&Pluck> = onset.iter().collect();
        from_top.sort_by_key(|p| p.string);
        let stopped = from_top.iter().filter(|p| p.left > 0);
        for (row, pluck) in (rows.left()..rows.right()).zip(stopped) {
            put(pluck.bar, pluck.at, row, pluck.left.to_string());
        }
        for (row, pluck) in (rows.right()..rows.count()).zip(&from_top) {
            put(pluck.bar, pluck.at, row, right(pluck.right).into());
        }
    }
    let mut before: Vec<Option<u8>> = vec![None; rows.count()];
    for pluck in &arrangement.plucks {
        let row = rows.string(pluck.string);
        put(pluck.bar, pluck.at, row, fret(pluck, before[row]));
        before[row] = Some(pluck.fret);
    }
    for list in &mut marks {
        list.sort_by_key(|m| (m.row, m.at));
        list.dedup_by(|next, kept| {
            let same = next.row == kept.row && next.at == kept.at;
            if same && !rows.is_string(kept.row) {
                kept.text = format!("{} {}", kept.text, next.text);
            }
            same
        });
    }
    marks
}

/// The chord that the hand grips behind a capo, in brackets.
fn shape(symbol: &Symbol, key: &Key, capo: u8) -> Option<String> {
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

fn right(finger: RightFinger) -> &'static str {
    match finger {
        RightFinger::P => "p",
        RightFinger::I => "i",
        RightFinger::M => "m",
        RightFinger::A => "a",
    }
}

/// How a fret is written; `before` is the fret struck last on the string.
fn fret(pluck: &Pluck, before: Option<u8>) -> String {
    let fret = pluck.fret;
    match pluck.technique {
        Technique::Plain | Technique::Roll | Technique::Brush => fret.to_string(),
        Technique::Harmonic => format!("<{fret}>"),
        Technique::Hit => "x".into(),
        Technique::Slur if before.is_some_and(|b| b > fret) => format!("p{fret}"),
        Technique::Slur => format!("h{fret}"),
    }
}

/// The barres of an arrangement, each from where it is laid to where it is lifted.
fn barres(arrangement: &Arrangement) -> Vec<Held> {
    let mut barres: Vec<Held> = Vec::new();
    for slice in &arrangement.slices {
        for barre in slice.grip.barres() {
            let goes_on =
                barres.iter_mut().rev().take(4).find(|h| {
                    h.end == slice.at && (h.finger, h.fret) == (barre.finger, barre.fret)
                });
            if let Some(held) = goes_on {
                held.end = slice.end;
                held.from = held.from.min(barre.from);
                held.to = held.to.max(barre.to);
            } else {
                barres.push(Held {
                    bar: slice.bar,
                    at: slice.at,
                    end: slice.end,
                    finger: barre.finger,
                    fret: barre.fret,
                    from: barre.from,
                    to: barre.to,
                });
            }
        }
    }
    barres
}

/// The room that a bar's marks need, by row.
fn labels(bar: &Bar, marks: &[Mark], rows: Rows) -> Vec<Vec<Label>> {
    let mut labels = vec![Vec::new(); rows.count()];
    for mark in marks {
        labels[mark.row].push(Label {
            at: mark.at,
            width: mark.text.chars().count() + 1,
        });
    }
    if let Some(first) = labels[Rows::NUMBERS].first_mut() {
        first.width += times(bar).chars().count();
    }
    labels
}

/// How often a repeated section is played, where that is more than twice.
fn times(bar: &Bar) -> String {
    match bar.close {
        Close::Repeat(n) if n > 2 => format!(" x{n}"),
        _ => String::new(),
    }
}

impl Block {
    fn empty(bar: &Bar, columns: &Columns, rows: Rows, signs: Signs) -> Block {
        let open = signs.open(bar.opens_repeat).len();
        let width = open + columns.width() + signs.close(bar.close).len();
        let cells = (0..rows.count())
            .map(|row| {
                let ground = if rows.is_string(row) { signs.idle } else { ' ' };
                vec![ground; width]
            })
            .collect();
        Block {
            cells,
            beats: columns.beats().map(|(_, c)| open + c).collect(),
        }
    }

    /// Draws what lies over the ringing strings: texts, beats and bar lines.
    fn finish(&mut self, bar: &Bar, columns: &Columns, marks: &[Mark], rows: Rows, signs: Signs) {
        let open = signs.open(bar.opens_repeat);
        let between = marks.iter().filter(|m| rows.is_string(m.row));
        for mark in between {
            self.paint(
                rows.ruler(),
                open.len() + columns.column(mark.at),
                &signs.between.to_string(),
            );
        }
        for (number, column) in columns.beats() {
            self.paint(rows.ruler(), open.len() + column, &number.to_string());
        }
        for mark in marks {
            self.paint(mark.row, open.len() + columns.column(mark.at), &mark.text);
        }
        let close = signs.close(bar.close);
        let end = open.len() + columns.width();
        let middle = [rows.strings / 2, rows.strings - rows.strings / 2 + 1];
        for string in 1..=rows.strings {
            let strokes = open.iter().enumerate();
            let strokes = strokes.chain(close.iter().enumerate().map(|(i, c)| (end + i, c)));
            for (column, &stroke) in strokes {
                let dot_elsewhere = stroke == ':' && !middle.contains(&string);
                if stroke != signs.idle && !dot_elsewhere {
                    self.paint(Rows::FIRST_STRING + string - 1, column, &stroke.to_string());
                }
            }
        }
        let times = times(bar);
        let column = (end + close.len()).saturating_sub(times.chars().count());
        self.paint(Rows::NUMBERS, column, &times);
    }

    fn paint(&mut self, row: usize, column: usize, text: &str) {
        let Some(cells) = self.cells.get_mut(row) else {
            return;
        };
        for (cell, c) in cells.iter_mut().skip(column).zip(text.chars()) {
            *cell = c;
        }
    }
}

/// Fills a row with a sign from a place in one bar up to a later place, over bar lines.
fn paint_span(
    blocks: &mut [Block],
    bars: &[Bar],
    columns: &[Columns],
    starts: &[Ticks],
    row: usize,
    (bar, at, end): (usize, Ticks, Ticks),
    sign: char,
) {
    for i in bar..blocks.len() {
        if starts[i] >= end && i > bar {
            break;
        }
        let open = if bars[i].opens_repeat { 3 } else { 1 };
        let from = if at < starts[i] {
            0
        } else {
            open + columns[i].column(at - starts[i])
        };
        let over = end > starts[i + 1];
        let to = if over {
            blocks[i].cells[row].len()
        } else {
            open + columns[i].column(end - starts[i])
        };
        for cell in blocks[i].cells[row].iter_mut().take(to).skip(from) {
            *cell = sign;
        }
    }
}
