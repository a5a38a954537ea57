//! The right hand: thumb p, index i, middle m, ring a, and the rules that say which plucks what.
//!
//! Which finger plays which string, no finger twice at once, and fingers in the order of the strings
//! are common practice, no source. Choosing fingers over time is the arranger's.

use std::fmt;

/// A finger of the right hand: thumb, index, middle, ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[allow(missing_docs)]
pub enum RightFinger {
    P,
    I,
    M,
    A,
}

use RightFinger::{A, I, M, P};

/// Strings that can be plucked at once, one finger a string.
pub const MOST_PLUCKS: usize = 4;

/// A finger may strike again this often a second at no cost (a proposal; the order of the fingers'
/// speeds is published, Ergonomics 44(15), 2001, and Aoki and others, Motor Control 2005).
pub const FREE_PER_SECOND: u32 = 3;

/// The fastest that one finger strikes again (a proposal, as above).
pub const MOST_PER_SECOND: u32 = 5;

impl RightFinger {
    /// From thumb to ring finger.
    pub const ALL: [RightFinger; 4] = [P, I, M, A];

    /// How many strings this finger leaves its place by to pluck `string` (from 1): a lies over 1, m over
    /// 2, i over 3, p over 4 and all below.
    pub fn off_place(self, string: u8) -> u8 {
        match self {
            A => string.abs_diff(1),
            M => string.abs_diff(2),
            I => string.abs_diff(3),
            P => 4u8.saturating_sub(string),
        }
    }
}

impl RightFinger {
    /// Its letter: `p`, `i`, `m` or `a`.
    pub fn letter(self) -> &'static str {
        match self {
            P => "p",
            I => "i",
            M => "m",
            A => "a",
        }
    }
}

impl fmt::Display for RightFinger {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.letter())
    }
}

/// Every way to pluck `strings` strings at once, lowest string first: one finger a string, in the
/// order p i m a. Nothing for none and for more than [`MOST_PLUCKS`].
pub fn ways(strings: usize) -> &'static [&'static [RightFinger]] {
    match strings {
        1 => &[&[P], &[I], &[M], &[A]],
        2 => &[&[P, I], &[P, M], &[P, A], &[I, M], &[I, A], &[M, A]],
        3 => &[&[P, I, M], &[P, I, A], &[P, M, A], &[I, M, A]],
        4 => &[&[P, I, M, A]],
        _ => &[],
    }
}

/// What it costs one finger to strike again after `gap_ms` milliseconds: 0 up to
/// [`FREE_PER_SECOND`], rising with the rate to 1000 at [`MOST_PER_SECOND`]; nothing when it is
/// faster than a finger goes.
pub fn repeat_load(gap_ms: u32) -> Option<u32> {
    let rate = 1_000_000u32.checked_div(gap_ms)?;
    let (free, most) = (1000 * FREE_PER_SECOND, 1000 * MOST_PER_SECOND);
    (rate <= most).then(|| 1000 * rate.saturating_sub(free) / (most - free))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_way_rises_and_none_is_missing() {
        for (strings, count) in [(0, 0), (1, 4), (2, 6), (3, 4), (4, 1), (5, 0)] {
            assert_eq!(ways(strings).len(), count);
            for way in ways(strings) {
                assert_eq!(way.len(), strings);
                assert!(way.is_sorted_by(|low, high| low < high));
            }
        }
    }

    #[test]
    fn each_finger_is_at_its_place_over_its_string() {
        for (string, finger) in [(1, A), (2, M), (3, I), (4, P), (5, P), (8, P)] {
            assert_eq!(finger.off_place(string), 0);
        }
        assert_eq!((I.off_place(1), I.off_place(5)), (2, 2));
        assert_eq!(P.off_place(1), 3);
        assert_eq!(I.off_place(6), 3);
    }

    #[test]
    fn striking_again_costs_more_the_faster_it_is() {
        assert_eq!(repeat_load(1000), Some(0));
        assert_eq!(repeat_load(334), Some(0));
        assert_eq!(repeat_load(250), Some(500));
        assert_eq!(repeat_load(200), Some(1000));
        assert_eq!(repeat_load(199), None);
        assert_eq!(repeat_load(0), None);
    }
}
