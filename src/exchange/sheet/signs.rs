//! The signs that no typeface has: flags, rests, ties, dots, the note of a tempo. Drawn for these
//! sheets.

use super::face::Face;
use super::mark::{Canvas, Point, Step, at, oval};
use super::measure::*;
use super::rhythm::Value;
use crate::exchange::tab::tempo_text;
use crate::song::Tempo;
use crate::theory::QUARTER;

/// Flags at the tip of a stem; `down` is 1 for a stem that points up (its flags hang down), −1
/// for the other way round.
pub(super) fn flags(canvas: &mut Canvas, tip: Point, down: f64, count: u8) {
    // More than four take the room of four.
    let step = BEAM_STEP.min(3.0 * BEAM_STEP / f64::from(count.max(2) - 1));
    for i in 0..count {
        let y = tip.y + down * f64::from(i) * step;
        let p = |dx: f64, dy: f64| at(tip.x + dx, y + down * dy);
        canvas.fill(vec![
            Step::Move(p(0.0, 0.0)),
            Step::Curve(p(0.6, 3.2), p(5.6, 4.2), p(4.6, 9.2)),
            Step::Curve(p(4.6, 6.4), p(2.6, 4.8), p(0.0, 4.0)),
            Step::Close,
        ]);
    }
}

/// A dot that makes a value longer by its half.
pub(super) fn dot(canvas: &mut Canvas, x: f64, y: f64) {
    canvas.disc(x, y, 1.0);
}

/// A rest with its middle at a place.
pub(super) fn rest(canvas: &mut Canvas, middle: Point, value: Value) {
    let Point { x, y } = middle;
    match value.head {
        // A block that hangs from a line or lies on it.
        0 | 1 => {
            let (top, bottom) = if value.head == 0 {
                (0.0, 2.6)
            } else {
                (-2.6, 0.0)
            };
            canvas.block(x - 3.2, y + top, x + 3.2, y + bottom);
            canvas.line(at(x - 4.8, y), at(x + 4.8, y), THIN);
        }
        2 => {
            let p = |dx: f64, dy: f64| at(x + dx, y + dy);
            canvas.fill(vec![
                Step::Move(p(-1.6, -6.6)),
                Step::Curve(p(-0.4, -5.2), p(1.2, -3.6), p(2.2, -2.4)),
                Step::Curve(p(0.2, -0.6), p(0.4, 0.8), p(2.4, 3.0)),
                Step::Curve(p(-0.4, 2.2), p(-1.4, 3.6), p(0.8, 6.2)),
                Step::Curve(p(-3.2, 4.4), p(-3.4, 1.8), p(-0.2, 1.7)),
                Step::Curve(p(-1.2, 0.7), p(-2.0, -0.1), p(-2.6, -0.7)),
                Step::Curve(p(-0.6, -2.4), p(-0.6, -4.2), p(-1.6, -6.6)),
                Step::Close,
            ]);
        }
        _ => {
            let hooks = value.flags().max(1);
            // A fifth hook stands above the others.
            let top = y - 4.0 - 3.6 * f64::from(hooks.saturating_sub(4));
            let height = 8.5 + 2.0 * f64::from(hooks - 1);
            for i in 0..hooks {
                let dy = top + f64::from(i) * 3.6;
                let dx = x - 1.8 - 0.9 * f64::from(i);
                canvas.disc(dx, dy, 1.35);
                let p = |a: f64, b: f64| at(dx + a, dy + b);
                canvas.fill(vec![
                    Step::Move(p(-0.8, 0.9)),
                    Step::Curve(p(1.0, 2.0), p(3.2, 1.0), p(4.2, -0.9)),
                    Step::Line(p(3.6, 0.9)),
                    Step::Curve(p(2.8, 2.2), p(0.4, 2.9), p(-0.8, 0.9)),
                    Step::Close,
                ]);
            }
            let slope = 0.25 * height;
            let (a, b) = (at(x + 2.4, top - 0.9), at(x + 2.4 - slope, top + height));
            canvas.polygon(&[a, at(a.x - 0.9, a.y), at(b.x - 0.9, b.y), b]);
        }
    }
}

/// A tie or slur from one place to another; `up` is −1 when it bends upwards, 1 downwards.
pub(super) fn tie(canvas: &mut Canvas, from: Point, to: Point, up: f64, bend: f64) {
    let wide = to.x - from.x;
    if wide <= 0.0 {
        return;
    }
    let inner = bend.min(wide * 0.4);
    let outer = inner + 1.1;
    let p = |share: f64, dy: f64| at(from.x + share * wide, from.y + up * dy);
    canvas.fill(vec![
        Step::Move(from),
        Step::Curve(p(0.25, outer * 4.0 / 3.0), p(0.75, outer * 4.0 / 3.0), to),
        Step::Curve(p(0.75, inner * 4.0 / 3.0), p(0.25, inner * 4.0 / 3.0), from),
        Step::Close,
    ]);
}

/// The wave before a rolled chord, between two heights.
pub(super) fn wave(canvas: &mut Canvas, x: f64, top: f64, bottom: f64) {
    const STEP: f64 = 4.5;
    let count = ((bottom - top) / STEP).round().max(1.0) as usize;
    let step = (bottom - top) / count as f64;
    let mut down = vec![Step::Move(at(x, top))];
    let mut up = Vec::new();
    for i in 0..count {
        let y = top + step * i as f64;
        let side = if i % 2 == 0 { 1.6 } else { -1.6 };
        let curve = |dx: f64, from: f64, to: f64| {
            let (a, b) = (from + (to - from) * 0.3, from + (to - from) * 0.7);
            Step::Curve(at(x + dx + side, a), at(x + dx + side, b), at(x + dx, to))
        };
        down.push(curve(0.0, y, y + step));
        up.push(curve(0.9, y + step, y));
    }
    down.push(Step::Line(at(x + 0.9, bottom)));
    down.extend(up.into_iter().rev());
    down.push(Step::Close);
    canvas.fill(down);
}

/// The arrow of a brush, from the low strings to the high ones.
pub(super) fn arrow(canvas: &mut Canvas, x: f64, top: f64, bottom: f64) {
    canvas.line(at(x, top + 3.0), at(x, bottom), THIN);
    canvas.polygon(&[
        at(x, top - 1.0),
        at(x - 1.8, top + 4.0),
        at(x + 1.8, top + 4.0),
    ]);
}

/// What a tempo takes when it is written at a size.
pub(super) fn tempo_width(tempo: Tempo, size: f64) -> f64 {
    let (note, text) = tempo_parts(tempo);
    let wide = if note.is_some() { size * 1.1 } else { 0.0 };
    wide + Face::Regular.width(&text, size)
}

/// A tempo: the note that is counted and how many of it go into a minute. Gives back where it ends.
pub(super) fn tempo(canvas: &mut Canvas, x: f64, y: f64, size: f64, tempo: Tempo) -> f64 {
    let (note, text) = tempo_parts(tempo);
    let mut x = x;
    if let Some(value) = note {
        small_note(canvas, x, y, size, value);
        x += size * 1.1;
    }
    canvas.text(x, y, Face::Regular, size, &text)
}

/// The note sign of a tempo, and the text after it; words where there is no sign.
fn tempo_parts(tempo: Tempo) -> (Option<Value>, String) {
    let value = Value::of(tempo.beat).filter(|v| v.head <= 3 && tempo.beat <= 4 * QUARTER);
    match value {
        Some(value) => (Some(value), format!("= {}", tempo.per_minute)),
        None => (None, tempo_text(tempo)),
    }
}

/// A note with a head, about as high as the text beside it.
fn small_note(canvas: &mut Canvas, x: f64, y: f64, size: f64, value: Value) {
    let (rx, ry) = (size * 0.2, size * 0.145);
    let middle = at(x + rx, y - ry);
    let mut head = oval(middle.x, middle.y, rx, ry);
    if value.head < 2 {
        head.extend(oval(middle.x, middle.y, -rx * 0.62, ry * 0.62));
    }
    canvas.fill(head);
    if value.head > 0 {
        let stem = middle.x + rx - 0.3;
        let tip = at(stem, y - size * 0.95);
        canvas.line(tip, at(stem, middle.y), 0.6);
        if value.head == 3 {
            let small = Canvas::default();
            let mut flag = small;
            flags(&mut flag, at(0.0, 0.0), 1.0, 1);
            let scaled = flag.marks.iter().map(|m| m.placed(size / 18.0, tip));
            canvas.marks.extend(scaled);
        }
    }
    if value.dots > 0 {
        canvas.disc(x + size * 0.62, middle.y, size * 0.07);
    }
}
