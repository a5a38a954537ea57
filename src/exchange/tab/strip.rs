//! Every bar of an arrangement drawn as a block of characters, all blocks with the same rows.

use super::marks::{Mark, marks};
use super::signs::Signs;
use crate::arrange::Arrangement;
use crate::exchange::left_hand::barres;
use crate::score::{Columns, Label, missing};
use crate::song::{Bar, Close};
use crate::theory::Ticks;
use std::ops::Range;

/// The whole arrangement as blocks side by side.
#[derive(Debug, Clone)]
pub struct Strip {
    /// Which row holds what.
    pub rows: Rows,
    pub(super) signs: Signs,
    /// What stands before each string: its open note.
    pub names: Vec<String>,
    /// One block a written bar.
    pub blocks: Vec<Block>,
}

/// Bars of these widths cut into lines: as many whole ones to a line as fit, at least one.
pub fn fill(widths: impl Iterator<Item = usize>, room: usize) -> Vec<Range<usize>> {
    let mut lines: Vec<Range<usize>> = Vec::new();
    let mut used = 0;
    for (i, width) in widths.enumerate() {
        match lines.last_mut() {
            Some(line) if used + width <= room => {
                line.end = i + 1;
                used += width;
            }
            _ => {
                lines.push(i..i + 1);
                used = width;
            }
        }
    }
    lines
}

/// One drawn bar.
#[derive(Debug, Clone)]
pub struct Block {
    /// As many rows as [`Rows::count`], all of one length.
    pub cells: Vec<Vec<char>>,
    /// Columns where beats fall, best places to cut a bar too long for the line.
    pub beats: Vec<usize>,
    /// Columns before the first place of the bar.
    open: usize,
    columns: Columns,
}

/// Which row holds what, for an instrument of so many strings.
#[derive(Debug, Clone, Copy)]
pub struct Rows {
    /// How many strings there are.
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

    /// Those of some rows that are shown where there is room for so many: what is needed less goes
    /// first, the right hand, the left hand, and what stands over the strings. Strings and beats are
    /// shown all or none.
    pub fn fitting(self, mut shown: Vec<usize>, room: usize) -> Vec<usize> {
        let one = |row| row..row + 1;
        let by_need = [
            self.right()..self.count(),
            self.left()..self.right(),
            one(Self::MARKS),
            one(Self::SHAPES),
            one(Self::NUMBERS),
            one(Self::CHORDS),
            0..self.count(),
        ];
        for less in by_need {
            if shown.len() <= room {
                break;
            }
            shown.retain(|row| !less.contains(row));
        }
        shown
    }
}

impl Strip {
    /// Draws an arrangement for a screen that shows Unicode.
    pub fn new(arrangement: &Arrangement) -> Strip {
        Strip::draw(arrangement, Signs::new(false))
    }

    /// The bars cut into lines of so many columns: as many whole bars to a line as fit, at least one.
    pub fn lines(&self, room: usize) -> Vec<Range<usize>> {
        fill(self.blocks.iter().map(Block::width), room)
    }

    pub(super) fn draw(arrangement: &Arrangement, signs: Signs) -> Strip {
        let song = &arrangement.song;
        let rows = Rows {
            strings: arrangement.instrument.strings(),
        };
        let starts = song.starts();
        let lacks = missing(&song.bars);
        let barres = barres(arrangement);
        let marks = marks(arrangement, &starts, &barres, rows, signs);
        let mut blocks: Vec<Block> = (song.bars.iter().zip(&lacks).zip(&marks))
            .map(|((bar, &lacks), marks)| {
                let columns = Columns::new(bar, lacks, &labels(bar, marks, rows));
                Block::empty(bar, columns, rows, signs)
            })
            .collect();
        for pluck in &arrangement.plucks {
            let row = rows.string(pluck.string);
            let span = (pluck.bar, pluck.at, pluck.end);
            paint_span(&mut blocks, &starts, row, span, signs.ring);
        }
        for held in &barres {
            let span = (held.bar, held.at, held.end);
            paint_span(&mut blocks, &starts, Rows::MARKS, span, signs.held);
        }
        for ((block, bar), marks) in blocks.iter_mut().zip(&song.bars).zip(&marks) {
            block.finish(bar, marks, rows, signs);
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
    fn empty(bar: &Bar, columns: Columns, rows: Rows, signs: Signs) -> Block {
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
            open,
            columns,
        }
    }

    /// The column of a place, in ticks from the bar line; places outside the bar give its ends.
    pub fn column(&self, at: Ticks) -> usize {
        self.open + self.columns.column(at)
    }

    /// How many columns it takes, bar lines included.
    pub fn width(&self) -> usize {
        self.cells.first().map_or(0, Vec::len)
    }

    /// Draws what lies over the ringing strings: texts, beats and bar lines.
    fn finish(&mut self, bar: &Bar, marks: &[Mark], rows: Rows, signs: Signs) {
        let between = marks.iter().filter(|m| rows.is_string(m.row));
        for mark in between {
            let column = self.column(mark.at);
            self.paint(rows.ruler(), column, &signs.between.to_string());
        }
        let beats: Vec<(usize, usize)> = self.columns.beats().collect();
        for (number, column) in beats {
            self.paint(rows.ruler(), self.open + column, &number.to_string());
        }
        for mark in marks {
            self.paint(mark.row, self.column(mark.at), &mark.text);
        }
        let (open, close) = (signs.open(bar.opens_repeat), signs.close(bar.close));
        let end = self.open + self.columns.width();
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

/// Fills a row with a sign from a place in one bar up to a later place, over bar lines. `starts` are
/// the bars' starts, and the end of the last one.
fn paint_span(
    blocks: &mut [Block],
    starts: &[Ticks],
    row: usize,
    (bar, at, end): (usize, Ticks, Ticks),
    sign: char,
) {
    let bars = blocks.iter_mut().zip(starts.windows(2)).skip(bar);
    for (i, (block, span)) in bars.enumerate() {
        let (start, line) = (span[0], span[1]);
        if start >= end && i > 0 {
            break;
        }
        let from = if at < start {
            0
        } else {
            block.column(at - start)
        };
        let to = if end > line {
            block.width()
        } else {
            block.column(end - start)
        };
        let cells = block.cells.get_mut(row).into_iter().flatten();
        for cell in cells.take(to).skip(from) {
            *cell = sign;
        }
    }
}
