//! Which notes share a beam: those of one beat that follow each other without a rest.

use super::{Grid, Sign};
use crate::theory::{QUARTER, Ticks};

/// The runs of signs under one beam, first and last index.
pub(super) fn beams(signs: &[Sign], grid: &Grid) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    let mut from = 0;
    while from < signs.len() {
        let mut to = from;
        while let (Some(a), Some(b)) = (signs.get(to), signs.get(to + 1)) {
            if !joined(a, b, grid) {
                break;
            }
            to += 1;
        }
        if to > from {
            runs.push((from, to));
        }
        from = to + 1;
    }
    runs
}

fn joined(a: &Sign, b: &Sign, grid: &Grid) -> bool {
    let short = |s: &Sign| !s.rest && s.value.flags() > 0;
    let together = group(a.at + grid.missing, grid) == group(b.at + grid.missing, grid)
        || a.tuplet.is_some() && a.tuplet == b.tuplet;
    short(a) && short(b) && a.end == b.at && together
}

/// The group of beats a place belongs to. Short beats are taken together up to three eighths, so
/// that 3/8 has one beam.
fn group(at: Ticks, grid: &Grid) -> Ticks {
    let (start, end) = grid.beat(at);
    if end - start >= QUARTER {
        return start;
    }
    let wide = match grid.beats.last() {
        Some(&last) if last % (3 * QUARTER / 2) == 0 => 3 * QUARTER / 2,
        _ => QUARTER,
    };
    at.div_euclid(wide) * wide
}
