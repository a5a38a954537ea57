//! One bar from left to right: what stands at which place, and how the space between grows.

use super::face::Face;
use super::measure::*;
use super::signs::tempo_width;
use super::written::{Note, Written, struck_as_one};
use crate::song::Close;
use crate::theory::{QUARTER, Ticks};

/// Room that something takes to the left and right of its place.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Label {
    column: usize,
    row: usize,
    left: f64,
    right: f64,
}

/// Rows in which nothing may touch; the strings come after these.
const NAMES: usize = 0;
const UPPER: usize = 1;
const LOWER: usize = 2;
const RIGHT_HAND: usize = 3;
const BARRES: usize = 4;
const STRINGS: usize = 5;

/// A bar ready to be given a width.
#[derive(Debug, Clone)]
pub(super) struct Cell {
    /// The places of the bar at which something stands, in ticks from the bar line.
    ticks: Vec<Ticks>,
    length: Ticks,
    labels: Vec<Label>,
    rows: usize,
    /// Taken at the front by a repeat sign and a meter.
    pub lead: f64,
    /// Taken at the end by the strokes of the bar line.
    pub tail: f64,
    /// Taken by the bar number in the row of names.
    number: f64,
    /// Taken by what stands in the row of endings.
    top: f64,
}

/// A bar that has its width. Places are in points from its left bar line.
#[derive(Debug, Clone)]
pub(super) struct Placed {
    knots: Vec<(Ticks, f64)>,
    /// From bar line to bar line.
    pub width: f64,
}

impl Placed {
    /// Where a place of the bar stands; places outside give its ends.
    pub fn x(&self, at: Ticks) -> f64 {
        let next = self.knots.partition_point(|k| k.0 < at);
        match (
            next.checked_sub(1).and_then(|i| self.knots.get(i)),
            self.knots.get(next),
        ) {
            (Some(&(t0, x0)), Some(&(t1, x1))) => {
                x0 + (x1 - x0) * (at - t0) as f64 / (t1 - t0).max(1) as f64
            }
            (None, Some(&(_, x))) | (Some(&(_, x)), None) => x,
            (None, None) => 0.0,
        }
    }
}

impl Cell {
    pub fn new(written: &Written, strings: usize) -> Cell {
        let mut cell = Cell {
            ticks: places(written),
            length: written.length,
            labels: Vec::new(),
            rows: STRINGS + strings,
            lead: lead(written),
            tail: written.close.map_or(0.0, tail),
            number: number_width(written) + 2.0 * PAD,
            top: top_width(written),
        };
        cell.names(written);
        cell.voices(written);
        cell.notes(written);
        for (at, text) in &written.barres {
            let width = Face::Bold.width(text, MARK);
            cell.put(*at, BARRES, NAME_IN, width - NAME_IN);
        }
        cell.labels.sort_by_key(|l| l.column);
        cell
    }

    fn put(&mut self, at: Ticks, row: usize, left: f64, right: f64) {
        if let Ok(column) = self.ticks.binary_search(&at) {
            self.labels.push(Label {
                column,
                row,
                left,
                right,
            });
        }
    }

    fn names(&mut self, written: &Written) {
        for name in &written.names {
            let mut width = Face::Bold.width(&name.chord, CHORD);
            if !name.shape.is_empty() {
                width += SHAPE_GAP + Face::Regular.width(&name.shape, SHAPE);
            }
            self.put(name.at, NAMES, NAME_IN, width - NAME_IN + NAME_PAD);
        }
    }

    fn voices(&mut self, written: &Written) {
        for (row, voice) in [(UPPER, &written.upper), (LOWER, &written.lower)] {
            for (i, sign) in voice.signs.iter().enumerate() {
                if sign.whole_bar {
                    continue;
                }
                let beamed = voice.beams.iter().any(|&(a, b)| (a..=b).contains(&i));
                let (left, mut right) = match (sign.rest, sign.value.flags()) {
                    (true, _) => (REST_HALF, REST_HALF),
                    (false, flags) if flags > 0 && !beamed => (STEM, FLAG_WIDTH),
                    (false, _) => (STEM, STEM),
                };
                if sign.value.dots > 0 {
                    right = right.max(STEM) + DOT_ROOM;
                }
                self.put(sign.at, row, left, right);
            }
        }
    }

    fn notes(&mut self, written: &Written) {
        for onset in written.notes.chunk_by(|a, b| a.at == b.at) {
            for note in onset {
                let row = STRINGS + usize::from(note.string) - 1;
                self.put(note.at, row, note.left_of(), note.half());
                if let Some(letter) = note.right {
                    let half = Face::Italic.width(letter, LETTER) / 2.0;
                    self.put(note.at, RIGHT_HAND, half, half);
                }
            }
            // The sign before a rolled or brushed chord goes past the strings between, too.
            if let Some((_, high, low)) = struck_as_one(onset) {
                let left = onset.iter().map(Note::left_of).fold(0.0, f64::max) + ROLL;
                for string in high..=low {
                    self.put(onset[0].at, STRINGS + usize::from(string) - 1, left, 0.0);
                }
            }
        }
    }

    /// Gives every place its column: time takes `stretch` times its usual room, and more where
    /// texts would touch.
    pub fn place(&self, stretch: f64) -> Placed {
        let mut free = vec![self.lead + PAD; self.rows];
        for (row, taken) in [(NAMES, self.number), (BARRES, 0.0)] {
            if let Some(free) = free.get_mut(row) {
                *free = taken;
            }
        }
        let mut knots: Vec<(Ticks, f64)> = Vec::with_capacity(self.ticks.len() + 1);
        let mut labels = self.labels.iter().peekable();
        let mut even = self.lead + FRONT;
        for (column, &tick) in self.ticks.iter().enumerate() {
            let mut here = Vec::new();
            while let Some(label) = labels.next_if(|l| l.column == column) {
                here.push(label);
            }
            let x = (here.iter()).fold(even, |x, l| x.max(free[l.row] + l.left));
            for label in here {
                free[label.row] = free[label.row].max(x + label.right + PAD);
            }
            knots.push((tick, x));
            let next = self.ticks.get(column + 1).copied().unwrap_or(self.length);
            even = x + stretch * room(next - tick);
        }
        if self.ticks.is_empty() {
            even += stretch * room(self.length);
        }
        if self.labels.iter().any(|l| l.row == NAMES) {
            free[NAMES] += NAME_END;
        }
        let inner = free.iter().fold(even, |x, &f| x.max(f)) + self.tail;
        let width = inner.max(self.top);
        knots.push((self.length, width - self.tail));
        Placed { knots, width }
    }
}

/// The room that a length takes: twice the time takes about half as much room again.
fn room(length: Ticks) -> f64 {
    QUARTER_ROOM * (length.max(0) as f64 / QUARTER as f64).powf(0.6)
}

fn places(written: &Written) -> Vec<Ticks> {
    let signs = (written.upper.signs.iter()).chain(&written.lower.signs);
    let mut ticks: Vec<Ticks> = signs.filter(|s| !s.whole_bar).map(|s| s.at).collect();
    ticks.extend(written.notes.iter().map(|n| n.at));
    ticks.extend(written.names.iter().map(|n| n.at));
    ticks.extend(written.barres.iter().map(|b| b.0));
    ticks.sort_unstable();
    ticks.dedup();
    ticks
}

/// What a repeat sign and a meter take at the front.
fn lead(written: &Written) -> f64 {
    let repeat = if written.opens { REPEAT } else { 0.0 };
    let meter = written
        .meter
        .map_or(0.0, |meter| meter_width(meter) + 2.0 * PAD);
    repeat + meter
}

/// How wide a meter is.
pub(super) fn meter_width((top, unit): (u8, u8)) -> f64 {
    let wide = |n: u8| Face::Bold.width(&n.to_string(), METER);
    wide(top).max(wide(unit))
}

fn number_width(written: &Written) -> f64 {
    let number = written.number.map(|n| n.to_string());
    Face::Regular.width(&number.unwrap_or_default(), BAR_NUMBER)
}

/// What an ending's passes, a tempo and the times of a repeat take side by side.
fn top_width(written: &Written) -> f64 {
    let mut width = 2.0 * PAD;
    if let Some(passes) = &written.passes {
        width += Face::Bold.width(passes, MARK) + TOP_GAP;
    }
    if let Some(tempo) = written.tempo {
        width += tempo_width(tempo, MARK) + TOP_GAP;
    }
    if let Some(times) = written.times() {
        width += Face::Bold.width(&times, MARK) + TOP_GAP;
    }
    width
}

/// What the strokes of a bar line take.
fn tail(close: Close) -> f64 {
    match close {
        Close::Single => 0.0,
        Close::Double => DOUBLE,
        Close::Final => FINAL,
        Close::Repeat(_) => REPEAT,
    }
}
