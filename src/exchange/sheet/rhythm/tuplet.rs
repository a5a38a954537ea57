//! Where a stretch is divided by three, five, six and so on instead of by two.
//!
//! Elevenths and thirteenths of a beat fall on no whole ticks, so they are not found: they are written
//! as the nearest plain values.

use super::{FINEST, Grid, Kind, Span, Value};
use crate::theory::{QUARTER, Ticks};

/// A stretch that is read as a tuplet: `count` in the time of `of`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Window {
    pub at: Ticks,
    pub end: Ticks,
    pub count: u8,
    of: u8,
}

impl Window {
    pub fn holds(&self, at: Ticks) -> bool {
        (self.at..self.end).contains(&at)
    }

    /// The written length of a sounding one, if it is whole.
    pub fn written(&self, sounding: Ticks) -> Option<Ticks> {
        let times = sounding * Ticks::from(self.count);
        let of = Ticks::from(self.of);
        (times % of == 0).then_some(times / of)
    }

    /// How long a value lasts here, if that is whole.
    pub fn sounding(&self, value: Value) -> Option<Ticks> {
        let plain = (4 * QUARTER) >> value.head;
        let length = if value.dots > 0 { plain / 2 * 3 } else { plain };
        let times = length * Ticks::from(self.of);
        let count = Ticks::from(self.count);
        (times % count == 0).then_some(times / count)
    }

    /// The tuplet of `count` over a stretch, when its unit can be written.
    fn new(at: Ticks, end: Ticks, count: u8) -> Option<Window> {
        let length = end - at;
        let fits = |of: u8| {
            let unit = length / Ticks::from(of);
            length % Ticks::from(of) == 0 && Value::of(unit).is_some_and(|v| v.dots == 0)
        };
        let of = (1..count).rev().find(|&of| fits(of))?;
        Some(Window { at, end, count, of })
    }
}

/// The tuplets of a voice, in order; they do not overlap.
pub(super) fn windows(spans: &[Span], grid: &Grid) -> Vec<Window> {
    let mut found: Vec<Window> = Vec::new();
    for span in spans {
        for place in [span.at, span.end] {
            let done = found.iter().any(|w| w.holds(place) || w.end == place);
            if done || place % FINEST == 0 {
                continue;
            }
            let free = |w: &Window| found.iter().all(|f| w.end <= f.at || f.end <= w.at);
            found.extend(window(place, spans, grid).filter(free));
        }
    }
    found.sort_by_key(|w| w.at);
    found
}

/// The smallest tuplet around a place.
fn window(place: Ticks, spans: &[Span], grid: &Grid) -> Option<Window> {
    let all = stretches(place, grid).into_iter();
    let bar = (grid.missing, grid.end);
    all.chain(unaligned(place, spans))
        .chain([bar])
        .find_map(|(at, end)| {
            let inside = at >= grid.missing && end <= grid.end;
            let crossed = spans.iter().any(|s| {
                matches!(s.kind, Kind::Note { .. })
                    && [at, end].iter().any(|&edge| s.at < edge && edge < s.end)
            });
            if !inside || crossed || end <= at {
                return None;
            }
            let places =
                (spans.iter().flat_map(|s| [s.at, s.end])).filter(|p| (at..=end).contains(p));
            let places: Vec<Ticks> = places.collect();
            [3u8, 5, 6, 7, 9, 10, 12].into_iter().find_map(|count| {
                let parts = Ticks::from(count) * 4;
                let even = |&p: &Ticks| ((p - at) * parts) % (end - at) == 0;
                places
                    .iter()
                    .all(even)
                    .then(|| Window::new(at, end, count))?
            })
        })
}

/// The stretches of beats that a tuplet around a place may fill: half a beat, a beat, two beats.
fn stretches(place: Ticks, grid: &Grid) -> Vec<(Ticks, Ticks)> {
    let (start, end) = grid.beat(place);
    let half = (end - start) / 2;
    let first = place < start + half;
    let halves = if first {
        (start, start + half)
    } else {
        (start + half, end)
    };
    let index = grid.beats.partition_point(|&b| b < start);
    let pair = index / 2 * 2;
    let get = |i: usize| grid.beats.get(i).copied();
    let mut all = vec![halves, (start, end)];
    if let (Some(a), Some(b)) = (get(pair), get(pair + 2)) {
        all.push((a, b));
    }
    all
}

/// The stretches between onsets around a place that no beat bounds, the shortest first.
fn unaligned(place: Ticks, spans: &[Span]) -> Vec<(Ticks, Ticks)> {
    let even = |p: &Ticks| p % FINEST == 0;
    let starts = spans
        .iter()
        .map(|s| s.at)
        .filter(|&p| p < place)
        .filter(even);
    let ends = spans
        .iter()
        .map(|s| s.end)
        .filter(|&p| p > place)
        .filter(even);
    let ends: Vec<Ticks> = ends.take(16).collect();
    let starts: Vec<Ticks> = starts.collect();
    let near = starts.iter().rev().take(16);
    let pairs = near.flat_map(|&a| ends.iter().map(move |&b| (a, b)));
    let plain = |&(a, b): &(Ticks, Ticks)| Value::of(b - a).is_some_and(|v| v.dots == 0);
    let mut pairs: Vec<(Ticks, Ticks)> = pairs.filter(plain).collect();
    pairs.sort_by_key(|(a, b)| b - a);
    pairs
}

/// Rests and gaps cut where a tuplet begins or ends inside them; none does inside a note.
pub(super) fn cut(spans: &[Span], windows: &[Window]) -> Vec<Span> {
    let mut out = Vec::new();
    for span in spans {
        let edges = windows.iter().flat_map(|w| [w.at, w.end]);
        let mut edges: Vec<Ticks> = edges.filter(|&e| span.at < e && e < span.end).collect();
        edges.dedup();
        edges.push(span.end);
        let mut at = span.at;
        for end in edges {
            out.push(Span {
                at,
                end,
                kind: span.kind,
            });
            at = end;
        }
    }
    out
}
