//! Lengths: fractions of the unit note, tuplets and broken rhythm.

use super::Place;
use crate::song::SongError;
use crate::theory::{QUARTER, Ticks};

/// Musical time finer than a tick, so that lengths that are no whole number of ticks (a note in a
/// tuplet of eleven) do not add up to a drift: [`FINE`] to a tick.
pub(super) type Fine = i64;

/// Fine units in a tick: 2⁶·3²·11·13.
pub(super) const FINE: Fine = 64 * 9 * 11 * 13;

/// The longest note or rest that is believed: 64 whole notes.
const LONGEST: Fine = 64 * 4 * QUARTER * FINE;

/// To the nearest tick.
pub(super) fn ticks(fine: Fine) -> Ticks {
    (fine + FINE / 2).div_euclid(FINE)
}

/// A positive fraction, small enough that products with a length never overflow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Ratio {
    pub n: u32,
    pub d: u32,
}

impl Ratio {
    pub(super) const ONE: Ratio = Ratio { n: 1, d: 1 };

    /// That fraction of a length.
    pub(super) fn of(self, length: Fine) -> Fine {
        let scaled = i128::from(length) * i128::from(self.n) / i128::from(self.d.max(1));
        Fine::try_from(scaled).unwrap_or(Fine::MAX)
    }
}

/// Refuses lengths that no bar holds and no hand can play.
pub(super) fn believable(length: Fine, place: Place) -> Result<Fine, SongError> {
    let text = if length > LONGEST {
        "this is longer than 64 whole notes; check the number after it and the unit length L:"
    } else if length < FINE {
        "this is too short to play; check the number after it and the unit length L:"
    } else {
        return Ok(length);
    };
    Err(SongError::new(place, text))
}

/// A running tuplet: so many more events take part of their written length.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tuplet {
    pub left: u32,
    pub ratio: Ratio,
}

impl Tuplet {
    /// `(p:q:r`: p notes in the time of q for the next r. What is not written follows abc 2.1,
    /// section 4.13: 3, 6 (and 2, 4, 8 the other way) have a fixed q; 5, 7 and 9 go in the time of
    /// three in compound meters and of two otherwise.
    pub(super) fn new(
        p: u32,
        q: Option<u32>,
        r: Option<u32>,
        compound: bool,
        place: Place,
    ) -> Result<Tuplet, SongError> {
        let usual = match p {
            2 | 4 | 8 => 3,
            3 | 6 => 2,
            _ if compound => 3,
            _ => 2,
        };
        let (q, r) = (q.unwrap_or(usual), r.unwrap_or(p));
        if [p, q, r].iter().any(|n| !(1..=64).contains(n)) {
            let text = format!("({p}:{q}:{r} is no tuplet; each number must lie between 1 and 64");
            return Err(SongError::new(place, text));
        }
        Ok(Tuplet {
            left: r,
            ratio: Ratio { n: q, d: p },
        })
    }
}

/// What `>` (and `<`, turned round) of some depth does to its two notes: the long one's part and
/// the short one's: 3/2 and 1/2, 7/4 and 1/4, 15/8 and 1/8 …
///
/// # Errors
/// Above eight signs the short note is no music any more.
pub(super) fn broken(depth: u32, place: Place) -> Result<(Ratio, Ratio), SongError> {
    if depth > 8 {
        let text = "more than eight > or < in a row; write at most three";
        return Err(SongError::new(place, text));
    }
    let d = 1 << depth;
    Ok((Ratio { n: 2 * d - 1, d }, Ratio { n: 1, d }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tuplets_left_to_the_standard() {
        // abc 2.1, section 4.13, the table of tuplets.
        let time = |p, compound| {
            Tuplet::new(p, None, None, compound, Place::default())
                .unwrap()
                .ratio
                .n
        };
        for (p, simple, compound) in [
            (2, 3, 3),
            (3, 2, 2),
            (4, 3, 3),
            (5, 2, 3),
            (6, 2, 2),
            (7, 2, 3),
            (8, 3, 3),
            (9, 2, 3),
        ] {
            assert_eq!((time(p, false), time(p, true)), (simple, compound), "({p}");
        }
    }

    #[test]
    fn broken_rhythm_keeps_the_pair_together() {
        for depth in 1..=8 {
            let (long, short) = broken(depth, Place::default()).unwrap();
            assert_eq!(long.of(1 << 20) + short.of(1 << 20), 2 << 20);
        }
        assert!(broken(9, Place::default()).is_err());
    }

    #[test]
    fn eleven_in_the_time_of_two_do_not_drift() {
        let tuplet = Tuplet::new(11, Some(2), None, false, Place::default()).unwrap();
        let note = tuplet.ratio.of(QUARTER * FINE);
        assert_eq!(ticks(11 * note), 2 * QUARTER);
    }
}
