//! A written bar on a grid of columns, for whatever shows tab: paper, screen, a message.
//!
//! Equal beats get equal width. The grid is the coarsest one on which everything that is written in
//! the bar has its own place, triplets and other divisions included.

use crate::song::Bar;
use crate::theory::{QUARTER, Ticks, beats_of, gcd};

/// A quarter note takes at least this many columns: two eighths and a sign between them.
const COLUMNS_A_QUARTER: Ticks = 4;
/// Divisions of a beat that are shown exactly; finer mixtures (fives against fours) are rounded.
const FINEST: Ticks = 12;
/// A beat is never stretched beyond this many times the least; what is still too close is pushed
/// apart.
const STRETCH: Ticks = 8;

/// Something written in a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Label {
    /// Ticks from the bar line.
    pub at: Ticks,
    /// Columns it takes, the space after it included.
    pub width: usize,
}

/// Where everything in one bar stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Columns {
    /// Places in ticks from the bar line with their columns, in order; the last is the bar's end.
    knots: Vec<(Ticks, usize)>,
    /// The beats: what a player counts there, and the ticks from the bar line.
    beats: Vec<(usize, Ticks)>,
}

impl Columns {
    /// Lays out a bar of which `missing` ticks lack before its first note. Each row is a list of
    /// labels in order of place that must not touch each other; labels of different rows may.
    pub fn new(bar: &Bar, missing: Ticks, rows: &[Vec<Label>]) -> Columns {
        let beats = counted_beats(bar, missing);
        let unit = unit(bar);
        let offset = missing.rem_euclid(unit);
        let mut places: Vec<Ticks> = beats.iter().map(|b| b.1).collect();
        places.extend(rows.iter().flatten().map(|l| l.at));
        places.push(0);
        places.retain(|p| (0..bar.length).contains(p));
        places.push(bar.length);
        places.sort_unstable();
        places.dedup();
        let scale = |per: Ticks| Scale { unit, offset, per };
        let least = ((unit * COLUMNS_A_QUARTER) / QUARTER).max(1);
        let division = unit / places.iter().fold(unit, |step, p| gcd(step, p + offset));
        let most = least * STRETCH;
        let exact = (division <= FINEST)
            .then(|| (least..=most).filter(|per| per % division == 0))
            .into_iter()
            .flatten();
        let knots = exact
            .chain(least..=most)
            .find_map(|per| scale(per).knots(&places, rows, false))
            .or_else(|| scale(most).knots(&places, rows, true))
            .unwrap_or_default();
        Columns { knots, beats }
    }

    /// The column of a place, in ticks from the bar line; places outside the bar give its ends.
    pub fn column(&self, at: Ticks) -> usize {
        let next = self.knots.partition_point(|k| k.0 < at);
        match (
            next.checked_sub(1).and_then(|i| self.knots.get(i)),
            self.knots.get(next),
        ) {
            (Some(&(t0, c0)), Some(&(t1, c1))) => {
                c0 + ((at - t0) * (c1 - c0) as Ticks / (t1 - t0).max(1)) as usize
            }
            (None, Some(&(_, c))) | (Some(&(_, c)), None) => c,
            (None, None) => 0,
        }
    }

    /// How many columns the bar takes, bar lines not included.
    pub fn width(&self) -> usize {
        self.knots.last().map_or(0, |k| k.1)
    }

    /// The beats: what a player counts (1, 2, 3, …; a pickup starts with a later one), and the
    /// column.
    pub fn beats(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        self.beats.iter().map(|&(n, at)| (n, self.column(at)))
    }
}

/// Columns in proportion to time.
struct Scale {
    unit: Ticks,
    offset: Ticks,
    per: Ticks,
}

impl Scale {
    fn column(&self, at: Ticks) -> usize {
        let column = |t: Ticks| t * self.per / self.unit;
        (column(at + self.offset) - column(self.offset)).max(0) as usize
    }

    /// The column of each place, or nothing where labels would touch. With `push`, what would touch
    /// is moved to the right instead.
    fn knots(
        &self,
        places: &[Ticks],
        rows: &[Vec<Label>],
        push: bool,
    ) -> Option<Vec<(Ticks, usize)>> {
        // For each row: its next label, and the first column that is free again.
        let mut state = vec![(0usize, 0usize); rows.len()];
        let mut knots: Vec<(Ticks, usize)> = Vec::with_capacity(places.len());
        for (i, &place) in places.iter().enumerate() {
            let last = i + 1 == places.len();
            let even = self.column(place);
            let mut column = even.max(knots.last().map_or(0, |k| k.1));
            for (row, &(next, free)) in rows.iter().zip(&state) {
                if last || row.get(next).is_some_and(|l| l.at == place) {
                    column = column.max(free);
                }
            }
            if column > even && !push {
                return None;
            }
            for (row, (next, free)) in rows.iter().zip(&mut state) {
                while let Some(label) = row.get(*next).filter(|l| l.at <= place) {
                    *free = (*free).max(column + label.width);
                    *next += 1;
                }
            }
            knots.push((place, column));
        }
        Some(knots)
    }
}

/// The length that all beats of the bar's meter are multiples of.
fn unit(bar: &Bar) -> Ticks {
    let mut edges = bar.meter.beats();
    edges.push(bar.meter.bar());
    edges
        .windows(2)
        .fold(0, |unit, pair| gcd(unit, pair[1] - pair[0]))
        .max(1)
}

/// Where the beats of a written bar fall, in ticks from its bar line, and last where the last one ends.
/// Those that a bar lacks at its front lie before the line; a bar longer than its meter goes on
/// counting.
pub fn bar_beats(bar: &Bar, missing: Ticks) -> Vec<Ticks> {
    let full = bar.meter.bar().max(1);
    let beats = bar.meter.beats();
    let rounds = (bar.length + missing - 1).max(0) / full + 1;
    (0..rounds)
        .flat_map(|round| beats.iter().map(move |b| round * full + b))
        .chain([rounds * full])
        .map(|at| at - missing)
        .collect()
}

/// The beats inside a bar: their numbers and their ticks from the bar line.
fn counted_beats(bar: &Bar, missing: Ticks) -> Vec<(usize, Ticks)> {
    (1..)
        .zip(bar_beats(bar, missing))
        .filter(|&(_, at)| (0..bar.length).contains(&at))
        .collect()
}

/// What a player counts at a place of a written bar: `2`, `2½`, `3⅓`. `at` is in ticks from the
/// bar line; a pickup counts on from the beats `missing` before it.
pub fn counted(bar: &Bar, missing: Ticks, at: Ticks) -> String {
    let beats = bar_beats(bar, missing);
    let spans = beats.windows(2).enumerate();
    let Some((index, span)) = spans.take_while(|(i, s)| *i == 0 || s[0] <= at).last() else {
        return String::new();
    };
    let length = span[1] - span[0];
    beats_of((index as Ticks + 1) * length + at - span[0], length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::fixture;
    use proptest::prelude::*;

    fn row(places: &[Ticks]) -> Vec<Label> {
        places.iter().map(|&at| Label { at, width: 2 }).collect()
    }

    fn columns(meter: &str, places: &[Ticks]) -> Vec<usize> {
        let columns = Columns::new(&fixture::bar(1, meter), 0, &[row(places)]);
        places.iter().map(|&p| columns.column(p)).collect()
    }

    #[test]
    fn quarters_eighths_and_triplets_stand_evenly() {
        let q = QUARTER;
        assert_eq!(columns("4/4", &[0, q, 2 * q]), [0, 4, 8]);
        assert_eq!(columns("4/4", &[0, q / 2, q]), [0, 2, 4]);
        assert_eq!(columns("4/4", &[0, q / 3, 2 * q / 3, q]), [0, 2, 4, 6]);
        assert_eq!(
            columns("4/4", &[0, q / 3, q, 3 * q / 2, 7 * q / 4]),
            [0, 4, 12, 18, 21]
        );
        assert_eq!(columns("6/8", &[0, q / 2, 3 * q / 2]), [0, 2, 6]);
        assert_eq!(columns("7/8", &[0, q, 2 * q, 3 * q]), [0, 4, 8, 12]);
    }

    #[test]
    fn a_pickup_counts_from_what_is_missing() {
        let mut bar = fixture::bar(0, "3/4");
        bar.length = QUARTER;
        let columns = Columns::new(&bar, 2 * QUARTER, &[]);
        assert_eq!(columns.beats().collect::<Vec<_>>(), [(3, 0)]);
        assert_eq!(counted(&bar, 2 * QUARTER, QUARTER / 2), "3½");
        assert_eq!(counted(&fixture::bar(1, "6/8"), 0, QUARTER), "1⅔");
    }

    #[test]
    fn a_bar_longer_than_its_meter_goes_on_counting() {
        let eighth = QUARTER / 2;
        let mut bar = fixture::bar(1, "7/8");
        bar.length = 11 * eighth;
        let beats: Vec<Ticks> = bar_beats(&bar, 0).iter().map(|b| b / eighth).collect();
        assert_eq!(beats, [0, 2, 4, 7, 9, 11, 14]);
        assert_eq!(counted(&bar, 0, 9 * eighth), "5");
        assert_eq!(counted(&bar, 0, 10 * eighth), "5½");
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn labels_never_touch_and_equal_beats_are_equally_wide(
            mut places in prop::collection::btree_set(0i64..4 * QUARTER, 1..40),
            meter in prop::sample::select(vec!["4/4", "3/2", "6/8", "12/8", "2+3+3/8"]),
        ) {
            let bar = fixture::bar(1, meter);
            places.retain(|p| *p < bar.length);
            let list: Vec<Ticks> = places.into_iter().collect();
            let columns = Columns::new(&bar, 0, &[row(&list)]);
            for pair in list.windows(2) {
                prop_assert!(columns.column(pair[0]) + 2 <= columns.column(pair[1]));
            }
            prop_assert!(columns.column(bar.length) == columns.width());
        }

        #[test]
        fn beats_are_even_where_nothing_is_crowded(
            eighths in prop::collection::btree_set(0i64..8, 1..8),
        ) {
            let list: Vec<Ticks> = eighths.into_iter().map(|e| e * QUARTER / 2).collect();
            let columns = Columns::new(&fixture::bar(1, "4/4"), 0, &[row(&list)]);
            let beats: Vec<usize> = columns.beats().map(|b| b.1).collect();
            let wide = beats[1] - beats[0];
            for pair in beats.windows(2) {
                prop_assert_eq!(pair[1] - pair[0], wide);
            }
        }
    }
}
