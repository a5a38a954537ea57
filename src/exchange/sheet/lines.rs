//! Bars gathered into systems: breaks at bar lines only, all lines about equally full, and rather
//! after a section, or an even number of bars, than elsewhere.

use super::cell::{Cell, Placed};
use std::ops::Range;

/// A bar as the breaking sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Weight {
    /// Its width as it would best be.
    pub best: f64,
    /// Its least width.
    pub least: f64,
    /// What a break after it costs; below 0 where one is welcome.
    pub after: f64,
}

/// Lines may be this much fuller than best before a further line is begun.
const FULLEST: f64 = 1.5;

/// Cuts bars into lines of `room`: the cut that costs least. A bar that is wider than a line is a
/// line of its own.
pub(super) fn cut(bars: &[Weight], room: f64) -> Vec<Range<usize>> {
    // The least cost of the bars before each place, and where its last line begins.
    let mut best: Vec<(f64, usize)> = vec![(0.0, 0)];
    for end in 1..=bars.len() {
        let (mut wide, mut least) = (0.0, 0.0);
        let mut found = (f64::INFINITY, end - 1);
        for start in (0..end).rev() {
            wide += bars[start].best;
            least += bars[start].least;
            let alone = start + 1 == end;
            if !alone && (least > room || wide > room * FULLEST) {
                break;
            }
            let cost = best[start].0 + cost(bars, wide / room, end);
            if cost < found.0 {
                found = (cost, start);
            }
        }
        best.push(found);
    }
    let mut lines = Vec::new();
    let mut end = bars.len();
    while end > 0 {
        let start = best[end].1.min(end - 1);
        lines.push(start..end);
        end = start;
    }
    lines.reverse();
    lines
}

fn cost(bars: &[Weight], fill: f64, end: usize) -> f64 {
    if end == bars.len() {
        // The last line need not be full, but a lone bar looks lost.
        return if fill < 0.35 {
            0.1
        } else {
            (fill - 1.0).max(0.0).powi(2)
        };
    }
    // Bars set wide are read more easily than bars set tight.
    let uneven = fill.ln().powi(2) * if fill < 1.0 { 0.5 } else { 2.0 };
    0.02 + uneven + bars[end - 1].after
}

/// One line stretched to its room: its bars, in which time takes more or less room than usual, and the
/// scale by which a line is made smaller that fits at no stretch.
pub(super) fn stretched(cells: &[Cell], room: f64, last: bool) -> (Vec<Placed>, f64) {
    let place = |stretch: f64| -> Vec<Placed> { cells.iter().map(|c| c.place(stretch)).collect() };
    let width = |placed: &[Placed]| placed.iter().map(|p| p.width).sum::<f64>();
    let tight = place(0.0);
    let least = width(&tight);
    if least >= room {
        return (tight, room / least);
    }
    let usual = place(LOOSE);
    if last && width(&usual) < room * 0.85 {
        return (usual, 1.0);
    }
    let (mut low, mut high) = (0.0, 1.0);
    while width(&place(high)) < room && high < 1e4 {
        low = high;
        high *= 2.0;
    }
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if width(&place(middle)) < room {
            low = middle;
        } else {
            high = middle;
        }
    }
    (place(low), 1.0)
}

/// The stretch of a last line that is not filled.
const LOOSE: f64 = 1.15;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn bars(widths: &[f64]) -> Vec<Weight> {
        let weight = |&best: &f64| Weight {
            best,
            least: best * 0.6,
            after: 0.0,
        };
        widths.iter().map(weight).collect()
    }

    #[test]
    fn equal_bars_are_shared_out_evenly() {
        assert_eq!(cut(&bars(&[100.0; 12]), 410.0), [0..4, 4..8, 8..12]);
        assert_eq!(cut(&bars(&[]), 410.0), []);
    }

    #[test]
    fn a_bar_too_wide_stands_alone() {
        assert_eq!(
            cut(&bars(&[100.0, 900.0, 100.0]), 400.0),
            [0..1, 1..2, 2..3]
        );
    }

    #[test]
    fn a_break_after_a_section_is_welcome() {
        let mut list = bars(&[100.0; 10]);
        list[4].after = -0.2;
        assert!(cut(&list, 500.0).contains(&(0..5)));
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn every_bar_is_in_one_line(widths in prop::collection::vec(20.0..900.0f64, 1..60)) {
            let list = bars(&widths);
            let lines = cut(&list, 500.0);
            let all: Vec<usize> = lines.iter().cloned().flatten().collect();
            prop_assert_eq!(all, (0..widths.len()).collect::<Vec<_>>());
            for line in lines.iter().filter(|l| l.len() > 1) {
                let least: f64 = list[line.clone()].iter().map(|b| b.least).sum();
                prop_assert!(least <= 500.0);
            }
        }
    }
}
