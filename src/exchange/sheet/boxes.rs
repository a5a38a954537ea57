//! Chord boxes on paper: strings upright with the lowest on the left, the fingers on their dots.

use super::face::{Face, cut, shown};
use super::mark::{Canvas, Ink, at};
use super::measure::THIN;
use super::system::Block;
use crate::exchange::grips::{Gripped, window};

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
    let grip = &gripped.grip;
    let (first, frets) = window(grip);
    let right = x + STRING * strings.saturating_sub(1) as f64;
    let head = HEAD
        + if gripped.shape.is_some() {
            SHAPE_ROW
        } else {
            0.0
        };
    let bottom = head + FRET * f64::from(frets);
    let of = |index: usize| right - STRING * index as f64;
    let name = cut(Face::Bold, &shown(&gripped.chord), NAME, room);
    canvas.text(x - 2.0, 8.0, Face::Bold, NAME, &name);
    let shape = gripped.shape.as_deref().unwrap_or_default();
    let shape = cut(Face::Regular, shape, SHAPE, room);
    canvas.text(x - 2.0, 8.0 + SHAPE_ROW, Face::Regular, SHAPE, &shape);
    for index in 0..strings {
        canvas.line(at(of(index), head), at(of(index), bottom), 0.5);
    }
    for fret in 0..=frets {
        let y = head + FRET * f64::from(fret);
        let nut = fret == 0 && first == 1;
        let weight = if nut { 2.2 } else { 0.5 };
        canvas.line(at(x - 0.25, y), at(right + 0.25, y), weight);
    }
    if first > 1 {
        let (above, _) = Face::Regular.reach("5", LABEL);
        let y = head + FRET / 2.0 + above / 2.0;
        canvas.ending(x - DOT - 1.0, y, Face::Regular, LABEL, &first.to_string());
    }
    let middle = |fret: u8| head + FRET * (f64::from(fret.saturating_sub(first)) + 0.5);
    for barre in grip.barres() {
        let (left, end) = (
            of(usize::from(barre.to) - 1),
            of(usize::from(barre.from) - 1),
        );
        let y = middle(barre.fret);
        canvas.block(left, y - DOT, end, y + DOT);
    }
    for index in 0..strings {
        let fret = grip.frets.get(index).copied().unwrap_or(-1);
        let finger = grip.fingers.get(index).copied().unwrap_or(0);
        let (x, above) = (of(index), head - 5.0);
        match fret {
            ..0 => {
                for up in [-1.0, 1.0] {
                    canvas.marks.extend(cross(x, above, up));
                }
            }
            0 => canvas.circle(x, above, 2.1, 0.7),
            _ => {
                let y = middle(fret.unsigned_abs());
                canvas.disc(x, y, DOT);
                let text = if finger > 0 {
                    finger.to_string()
                } else {
                    String::new()
                };
                let wide = Face::Bold.width(&text, FINGER);
                let (high, low) = Face::Bold.reach(&text, FINGER);
                let base = y + (high - low) / 2.0;
                canvas.inked(x - wide / 2.0, base, Face::Bold, FINGER, &text, Ink::White);
            }
        }
    }
    bottom + 5.0
}

/// One stroke of the cross over a silent string.
fn cross(x: f64, y: f64, up: f64) -> Option<super::mark::Mark> {
    let (r, half) = (1.8, THIN / 2.8);
    let mut canvas = Canvas::default();
    canvas.polygon(&[
        at(x - r - half, y + up * (r - half)),
        at(x - r + half, y + up * (r + half)),
        at(x + r + half, y - up * (r - half)),
        at(x + r - half, y - up * (r + half)),
    ]);
    canvas.marks.pop()
}
