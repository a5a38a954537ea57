//! Lengths as notes write them: wholes to 128ths, dots and tuplets, tied where one note is not
//! enough.

use crate::theory::{QUARTER, Ticks};

/// The shortest note that is written, a 128th.
const SHORTEST: Ticks = QUARTER / 32;

/// Names of the note values by [`Value::power`] + 1.
const NAMES: [&str; 9] = [
    "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th",
];

/// A note value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Value {
    /// Which part of a whole note: 0 is a whole, 2 a quarter, 7 a 128th; −1 is a breve.
    pub power: i8,
    /// One dot or none.
    pub dotted: bool,
    /// So many in the time of so many, in a tuplet.
    pub ratio: Option<(u8, u8)>,
}

impl Value {
    /// The plain value of a length, if it has one.
    pub(super) fn of(length: Ticks) -> Option<Value> {
        (-1..=7i8).find_map(|power| {
            let plain = (8 * QUARTER) >> (power + 1);
            let dotted = plain * 3 / 2 == length && plain > SHORTEST;
            (plain == length || dotted).then_some(Value {
                power,
                dotted,
                ratio: None,
            })
        })
    }

    pub(super) fn name(self) -> &'static str {
        let index = usize::try_from(self.power + 1).unwrap_or(0);
        NAMES.get(index).copied().unwrap_or("quarter")
    }
}

/// A stretch of a bar that one written note or rest fills.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Piece {
    /// Ticks from the bar line.
    pub at: Ticks,
    pub length: Ticks,
    /// Nothing where no note value says the length.
    pub value: Option<Value>,
    /// A tuplet begins with this piece.
    pub opens: bool,
    /// A tuplet ends with this piece.
    pub closes: bool,
}

/// The meter as far as note values go by it.
#[derive(Debug, Clone)]
pub(super) struct Frame {
    /// The bar's length.
    pub length: Ticks,
    /// The beats, in ticks from the bar line, and where the last one ends; those of a pickup may lie before
    /// it.
    pub beats: Vec<Ticks>,
    /// Where a full bar would have begun: 0, or less in a pickup.
    pub origin: Ticks,
}

/// Fills a bar: `edges` are all places where something begins or ends, in order, from 0 to the end
/// of the bar. Each piece lies between two neighbouring edges.
pub(super) fn pieces(frame: &Frame, edges: &[Ticks]) -> Vec<Piece> {
    let tuplets = tuplets(frame, edges);
    let mut pieces = Vec::new();
    for pair in edges.windows(2) {
        let mut cuts = vec![pair[0]];
        let borders = tuplets.iter().flat_map(|t| [t.from, t.to]);
        cuts.extend(borders.filter(|&b| pair[0] < b && b < pair[1]));
        cuts.push(pair[1]);
        cuts.sort_unstable();
        cuts.dedup();
        for span in cuts.windows(2) {
            let tuplet = tuplets
                .iter()
                .find(|t| t.from <= span[0] && span[1] <= t.to);
            match tuplet {
                Some(tuplet) => tuplet.fill(span[0], span[1], &mut pieces),
                None => plain(frame, span[0], span[1], &mut pieces),
            }
        }
    }
    for tuplet in &tuplets {
        let inside = |p: &&mut Piece| tuplet.from <= p.at && p.at + p.length <= tuplet.to;
        let mut inside: Vec<&mut Piece> = pieces.iter_mut().filter(inside).collect();
        if let Some(first) = inside.first_mut() {
            first.opens = true;
        }
        if let Some(last) = inside.last_mut() {
            last.closes = true;
        }
    }
    pieces
}

fn piece(at: Ticks, length: Ticks, value: Option<Value>) -> Piece {
    Piece {
        at,
        length,
        value,
        opens: false,
        closes: false,
    }
}

/// Fills a stretch with plain values, parted at beats where one value is not enough.
fn plain(frame: &Frame, from: Ticks, to: Ticks, pieces: &mut Vec<Piece>) {
    let length = to - from;
    let value = Value::of(length);
    if value.is_some() || length % SHORTEST != 0 || (from - frame.origin) % SHORTEST != 0 {
        pieces.push(piece(from, length, value));
        return;
    }
    let cut = cut(frame, from, to);
    if cut <= from || cut >= to {
        pieces.push(piece(from, length, None));
        return;
    }
    plain(frame, from, cut, pieces);
    plain(frame, cut, to, pieces);
}

/// Where a stretch is parted: at the beat that leaves whole values on both sides, or on one, else
/// at the strongest place in it.
fn cut(frame: &Frame, from: Ticks, to: Ticks) -> Ticks {
    let single = |a: Ticks, b: Ticks| usize::from(Value::of(b - a).is_some());
    let inside = |at: &Ticks| from < *at && *at < to;
    // What begins off the beat is parted at the next one, what begins on it as late as can be.
    let late = if frame.beats.contains(&from) { 1 } else { -1 };
    let best = (frame.beats.iter().copied().filter(inside))
        .max_by_key(|&at| (single(from, at) + single(at, to), late * at));
    if let Some(at) = best {
        return at;
    }
    let mut grid = 4 * QUARTER;
    while grid >= SHORTEST {
        let last = (to - 1 - frame.origin).div_euclid(grid) * grid + frame.origin;
        if last > from {
            return last;
        }
        grid /= 2;
    }
    to
}

/// A stretch in which `actual` notes take the time of `normal`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Tuplet {
    from: Ticks,
    to: Ticks,
    actual: u8,
    normal: u8,
}

impl Tuplet {
    fn fill(&self, from: Ticks, to: Ticks, pieces: &mut Vec<Piece>) {
        let (actual, normal) = (Ticks::from(self.actual), Ticks::from(self.normal));
        let written = |length: Ticks| {
            let scaled = length * actual;
            let value = (scaled % normal == 0).then(|| Value::of(scaled / normal));
            let ratio = Some((self.actual, self.normal));
            value.flatten().map(|value| Value { ratio, ..value })
        };
        let (mut at, step) = (from, (self.to - self.from) / actual);
        while at < to {
            let left = to - at;
            // The whole, or the greatest plain part of it that ends on the tuplet's own grid.
            let mut lengths = [8, 4, 3, 2, 1].map(|n| n * step).to_vec();
            lengths.extend([step * 3 / 4, step / 2, step / 4, step / 8]);
            lengths.retain(|&l| 0 < l && l < left);
            lengths.insert(0, left);
            let found = lengths.iter().find_map(|&l| Some((l, written(l)?)));
            let (length, value) = found.map_or((left, None), |(l, value)| (l, Some(value)));
            pieces.push(piece(at, length, value));
            at += length;
        }
    }
}

/// The tuplets that a bar's edges need.
fn tuplets(frame: &Frame, edges: &[Ticks]) -> Vec<Tuplet> {
    let mut found: Vec<Tuplet> = Vec::new();
    for &edge in edges {
        let covered = found.iter().any(|t| t.from < edge && edge < t.to);
        if (edge - frame.origin) % SHORTEST == 0 || covered {
            continue;
        }
        let free_from = found.last().map_or(0, |t| t.to);
        found.extend(tuplet(frame, edges, edge, free_from));
    }
    found
}

/// The likeliest tuplet around an edge: one that begins and ends where notes do, has no need of
/// finer parts, crosses no beat with them, and is short.
fn tuplet(frame: &Frame, edges: &[Ticks], edge: Ticks, free_from: Ticks) -> Option<Tuplet> {
    let mut best = None;
    for width in [1, 2, 4, 8, 16].map(|n| n * QUARTER / 4) {
        let step = (width / 2).min(QUARTER / 2);
        let first = (edge - width - frame.origin).div_euclid(step) * step + frame.origin;
        let starts = (0..).map(|i| first + i * step).take_while(|&s| s < edge);
        for from in starts.filter(|&s| s >= free_from && s + width > edge) {
            let to = from + width;
            let Some((actual, part)) = (to <= frame.length)
                .then(|| fits(edges, from, to))
                .flatten()
            else {
                continue;
            };
            let loose = u32::from(!edges.contains(&from)) + u32::from(!edges.contains(&to));
            let crosses = part > 1 && frame.beats.iter().any(|&b| from < b && b < to);
            let on_beat = |at: Ticks| at == frame.length || frame.beats.contains(&at);
            let off = u32::from(!(on_beat(from) && on_beat(to)));
            let price = 3 * loose + 2 * part.ilog2() + 2 * u32::from(crosses) + off;
            let price = (price, width);
            if best.is_none_or(|(least, _)| price < least) {
                let normal = 1 << actual.ilog2();
                let tuplet = Tuplet {
                    from,
                    to,
                    actual,
                    normal,
                };
                best = Some((price, tuplet));
            }
        }
    }
    best.map(|(_, tuplet)| tuplet)
}

/// Into how many equal parts a stretch falls so that every edge in it lies on one of them, or on
/// the second number's part of them: halves, quarters, eighths.
fn fits(edges: &[Ticks], from: Ticks, to: Ticks) -> Option<(u8, u8)> {
    let inside = || edges.iter().filter(|&&e| from < e && e < to);
    let width = to - from;
    [1u8, 2, 4, 8].into_iter().find_map(|part| {
        let actual = [3u8, 5, 7, 9].into_iter().find(|&actual| {
            let parts = Ticks::from(actual) * Ticks::from(part);
            inside().all(|&e| (e - from) * parts % width == 0)
        });
        actual.map(|actual| (actual, part))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn frame(quarters: Ticks) -> Frame {
        Frame {
            length: quarters * QUARTER,
            beats: (0..quarters).map(|b| b * QUARTER).collect(),
            origin: 0,
        }
    }

    /// Pieces as `type`, a dot, and the tuplet's number, brackets where tuplets begin and end.
    fn said(quarters: Ticks, edges: &[Ticks]) -> String {
        let words: Vec<String> = (pieces(&frame(quarters), edges).iter())
            .map(|p| {
                let value = p.value.map_or("?".into(), |v| {
                    let dot = if v.dotted { "." } else { "" };
                    let ratio = v.ratio.map_or(String::new(), |r| format!(":{}", r.0));
                    format!("{}{dot}{ratio}", v.name())
                });
                let (open, close) = (
                    ["", "("][usize::from(p.opens)],
                    ["", ")"][usize::from(p.closes)],
                );
                format!("{open}{value}{close}")
            })
            .collect();
        words.join(" ")
    }

    #[test]
    fn plain_values_and_ties() {
        let q = QUARTER;
        assert_eq!(said(4, &[0, 4 * q]), "whole");
        assert_eq!(said(4, &[0, 3 * q, 4 * q]), "half. quarter");
        assert_eq!(
            said(4, &[0, q / 2, 3 * q, 4 * q]),
            "eighth eighth half quarter"
        );
        assert_eq!(said(4, &[0, 5 * q / 2, 4 * q]), "half eighth quarter.");
        assert_eq!(said(5, &[0, 5 * q]), "whole quarter");
    }

    #[test]
    fn tuplets_are_found() {
        let q = QUARTER;
        let third = q / 3;
        assert_eq!(
            said(2, &[0, third, 2 * third, q, 2 * q]),
            "(eighth:3 eighth:3 eighth:3) quarter"
        );
        assert_eq!(
            said(2, &[0, 2 * third, 4 * third, 2 * q]),
            "(quarter:3 quarter:3 quarter:3)"
        );
        assert_eq!(said(1, &[0, 2 * third, q]), "(quarter:3 eighth:3)");
        // What goes on over the tuplet's end is tied.
        assert_eq!(said(2, &[0, third, 2 * q]), "(eighth:3 quarter:3) quarter");
        assert_eq!(
            said(1, &[0, q / 5, 2 * q / 5, 3 * q / 5, 4 * q / 5, q]),
            "(16th:5 16th:5 16th:5 16th:5 16th:5)"
        );
        // One that begins off the beat.
        assert_eq!(
            said(
                3,
                &[0, q / 2, q / 2 + third, q / 2 + 2 * third, 3 * q / 2, 3 * q]
            ),
            "eighth (eighth:3 eighth:3 eighth:3) quarter."
        );
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn every_bar_is_filled_without_gaps(
            mut cuts in prop::collection::btree_set(prop_oneof![
                (1i64..64).prop_map(|n| n * QUARTER / 16),
                (1i64..48).prop_map(|n| n * QUARTER / 12),
                1i64..4 * QUARTER,
            ], 0..9),
        ) {
            cuts.extend([0, 4 * QUARTER]);
            let edges: Vec<Ticks> = cuts.into_iter().filter(|&c| c <= 4 * QUARTER).collect();
            let pieces = pieces(&frame(4), &edges);
            let mut at = 0;
            for piece in &pieces {
                prop_assert_eq!(piece.at, at);
                prop_assert!(piece.length > 0);
                at += piece.length;
                if let Some(value) = piece.value {
                    let plain = (8 * QUARTER) >> (value.power + 1);
                    let written = if value.dotted { plain * 3 / 2 } else { plain };
                    let (actual, normal) = value.ratio.unwrap_or((1, 1));
                    prop_assert_eq!(written * i64::from(normal), piece.length * i64::from(actual));
                }
            }
            prop_assert_eq!(at, 4 * QUARTER);
            prop_assert!(edges.iter().all(|e| *e == 4 * QUARTER || pieces.iter().any(|p| p.at == *e)));
        }
    }
}
