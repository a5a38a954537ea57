//! A length that no single value can show, or that would hide a beat, in several tied values.

use super::tuplet::Window;
use super::{FINEST, FINEST_HEAD, Grid, Value};
use crate::theory::Ticks;

/// A part of a length and the value that shows it.
pub(super) type Part = (Ticks, Ticks, Value);

/// A length outside tuplets.
pub(super) fn plain(at: Ticks, end: Ticks, grid: &Grid, rest: bool) -> Vec<Part> {
    let mut parts = Vec::new();
    let mut open = vec![(at, end)];
    while let Some((at, end)) = open.pop() {
        if end <= at {
            continue;
        }
        match Value::of(end - at) {
            Some(value) if fits(at, end, grid, rest) => parts.push((at, end, value)),
            _ => match cut(at, end, grid, rest) {
                Some(place) => open.extend([(place, end), (at, place)]),
                None => parts.push((at, end, Value::near(end - at))),
            },
        }
    }
    parts
}

/// Whether one value over these places lets the reader see the beats.
fn fits(at: Ticks, end: Ticks, grid: &Grid, rest: bool) -> bool {
    let inside = grid.between(at, end);
    let hides_middle = grid.middle.is_some_and(|m| at < m && m < end);
    if inside.is_empty() {
        return true;
    }
    if grid.is_beat(at) {
        return match (grid.compound, rest) {
            (false, false) => true,
            (true, _) => grid.is_beat(end),
            (false, true) => grid.is_beat(end) && (!hides_middle || at == 0),
        };
    }
    // A syncopation is read at one glance when it lies around one beat.
    let (start, next) = grid.beat(at);
    let beat = next - start;
    !grid.compound
        && !rest
        && !hides_middle
        && inside.len() == 1
        && 2 * (end - at) <= 3 * beat
        && 2 * (at - start) == beat
}

/// Where to cut a length: at the middle of the bar, else at a beat, else at the coarsest place
/// inside the beat.
fn cut(at: Ticks, end: Ticks, grid: &Grid, rest: bool) -> Option<Ticks> {
    if let Some(middle) = grid.middle.filter(|&m| at < m && m < end) {
        return Some(middle);
    }
    let beats = grid.between(at, end);
    if grid.is_beat(at) {
        let longest = beats.iter().rev().copied();
        let mut good = longest.filter(|&b| Value::of(b - at).is_some() && fits(at, b, grid, rest));
        if let Some(place) = good.next() {
            return Some(place);
        }
    }
    if let Some(&first) = beats.first() {
        return Some(first);
    }
    let (start, _) = grid.beat(at);
    inside(at - start, end - start).map(|place| place + start)
}

/// The last place on the coarsest grid between two places of one beat.
fn inside(at: Ticks, end: Ticks) -> Option<Ticks> {
    (0..=FINEST_HEAD).rev().find_map(|k| {
        let step = FINEST << k;
        let last = (end - 1).div_euclid(step) * step;
        let first = (at.div_euclid(step) + 1) * step;
        let place = if at % step == 0 { last } else { first };
        (at < place && place < end).then_some(place)
    })
}

/// A length inside a tuplet: longest values first.
pub(super) fn in_tuplet(at: Ticks, end: Ticks, window: &Window) -> Vec<Part> {
    let mut parts = Vec::new();
    let mut from = at;
    while from < end {
        let length = window.written(end - from);
        let value = length.and_then(Value::of);
        let value = value.or_else(|| {
            let near = Value::near(length?);
            window
                .sounding(near)
                .filter(|&l| l < end - from)
                .map(|_| near)
        });
        let Some(value) = value else {
            parts.push((from, end, Value::near(end - from)));
            break;
        };
        let to = window.sounding(value).map_or(end, |l| from + l).min(end);
        parts.push((from, to, value));
        from = to.max(from + 1);
    }
    parts
}
