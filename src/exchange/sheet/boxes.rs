//! Chord boxes on paper: strings upright with the lowest on the left, the fingers on their dots.

use super::face::{Face, cut, shown};
use super::mark::{Canvas, Ink, at};
use super::measure::THIN;
use super::system::Block;
use crate::exchange::grips::{Gripped, window};
use crate::guitar::Grip;

/// Between two strings, and between two frets.
const STRING: f64 = 6.6;
const FRET: f64 = 8.6;
/// Radius of a finger's dot.
const DOT: f64 = 3.1;
/// Size of the finger on it.
const FINGER: f64 = 5.2;
/// Size of the name above and of the fret beside.
const NAME: f64 = 9.5;
const LABEL: f64 = 6.5;
/// Size of what is gripped behind a capo, and the room it takes under the name.
const SHAPE: f64 = 8.0;
const SHAPE_ROW: f64 = 9.0;
/// From the top of a box to its first fret line.
const HEAD: f64 = 19.0;
/// Left of the grid, for the fret's number.
const SIDE: f64 = 12.5;

/// Rows of boxes that fill a width.
pub(super) fn rows(grips: &[Gripped], strings: usize, width: f64) -> Vec<Block> {
    let grid = STRING * strings.saturating_sub(1) as f64;
    let name = |g: &Gripped| {
        let chord = Face::Bold.width(&shown(&g.chord), NAME);
        let shape = g.shape.as_deref().unwrap_or_default();
        chord.max(Face::Regular.width(shape, SHAPE)) + SIDE + 3.0
    };
    let slot = (grips.iter())
        .map(name)
        .fold(SIDE + grid + 10.0, f64::max)
        .min(width);
    let count = (width / slot).floor().max(1.0);
    let step = width / count;
    (grips.chunks(count as usize))
        .map(|row| {
            let mut block = Block::default();
            for (i, gripped) in row.iter().enumerate() {
                let x = step * i as f64 + SIDE;
                let height = draw(gripped, strings, x, step - SIDE, &mut block.canvas);
                block.height = block.height.max(height);
            }
            block
        })
        .collect()
}

/// Draws one box with its left string at `x`; gives back its height.
fn draw(gripped: &Gripped, strings: usize, x: f64, room: f64, canvas: &mut Canvas) -> f64 {
    let shape = gripped.shape.as_deref().unwrap_or_default();
    let name = cut(Face::Bold, &shown(&gripped.chord), NAME, room);
    canvas.text(x - 2.0, 8.0, Face::Bold, NAME, &name);
    let below = cut(Face::Regular, shape, SHAPE, room);
    canvas.text(x - 2.0, 8.0 + SHAPE_ROW, Face::Regular, SHAPE, &below);
    let (first, frets) = window(&gripped.grip);
    let row = if shape.is_empty() { 0.0 } else { SHAPE_ROW };
    let grid = Grid {
        left: x,
        right: x + STRING * strings.saturating_sub(1) as f64,
        head: HEAD + row,
        first,
        frets,
    };
    grid.lines(strings, canvas);
    grid.hand(&gripped.grip, strings, canvas);
    grid.bottom() + 5.0
}

/// The strings and frets of a box.
struct Grid {
    left: f64,
    right: f64,
    head: f64,
    /// The first fret shown, and how many there are.
    first: u8,
    frets: u8,
}

impl Grid {
    fn bottom(&self) -> f64 {
        self.head + FRET * f64::from(self.frets)
    }

    /// The place of a string, from the highest one, 0.
    fn string(&self, index: usize) -> f64 {
        self.right - STRING * index as f64
    }

    /// The middle of a fret.
    fn fret(&self, fret: u8) -> f64 {
        self.head + FRET * (f64::from(fret.saturating_sub(self.first)) + 0.5)
    }

    fn lines(&self, strings: usize, canvas: &mut Canvas) {
        for index in 0..strings {
            let x = self.string(index);
            canvas.line(at(x, self.head), at(x, self.bottom()), 0.5);
        }
        for fret in 0..=self.frets {
            let y = self.head + FRET * f64::from(fret);
            let nut = fret == 0 && self.first == 1;
            let weight = if nut { 2.2 } else { 0.5 };
            canvas.line(at(self.left - 0.25, y), at(self.right + 0.25, y), weight);
        }
        if self.first > 1 {
            let (above, _) = Face::Regular.reach("5", LABEL);
            let (x, y) = (self.left - DOT - 1.0, self.fret(self.first) + above / 2.0);
            canvas.ending(x, y, Face::Regular, LABEL, &self.first.to_string());
        }
    }

    /// Barres and fingers, and what is open or silent.
    fn hand(&self, grip: &Grip, strings: usize, canvas: &mut Canvas) {
        for barre in grip.barres() {
            let [left, right] = [barre.to, barre.from].map(|s| self.string(usize::from(s) - 1));
            let y = self.fret(barre.fret);
            canvas.block(left, y - DOT, right, y + DOT);
        }
        let stops = grip.frets.iter().zip(&grip.fingers).enumerate();
        for (index, (&fret, &finger)) in stops.take(strings) {
            let (x, above) = (self.string(index), self.head - 5.0);
            match fret {
                ..0 => cross(x, above, canvas),
                0 => canvas.circle(x, above, 2.1, 0.7),
                _ => dot(x, self.fret(fret.unsigned_abs()), finger, canvas),
            }
        }
    }
}

/// A finger's dot with its figure.
fn dot(x: f64, y: f64, finger: u8, canvas: &mut Canvas) {
    canvas.disc(x, y, DOT);
    if finger > 0 {
        let text = finger.to_string();
        let wide = Face::Bold.width(&text, FINGER);
        let (high, low) = Face::Bold.reach(&text, FINGER);
        let base = y + (high - low) / 2.0;
        canvas.inked(x - wide / 2.0, base, Face::Bold, FINGER, &text, Ink::White);
    }
}

/// The cross over a silent string.
fn cross(x: f64, y: f64, canvas: &mut Canvas) {
    let (r, half) = (1.8, THIN / 2.8);
    for up in [-1.0, 1.0] {
        canvas.polygon(&[
            at(x - r - half, y + up * (r - half)),
            at(x - r + half, y + up * (r + half)),
            at(x + r + half, y - up * (r - half)),
            at(x + r - half, y - up * (r + half)),
        ]);
    }
}
