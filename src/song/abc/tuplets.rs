//! Lengths that only a tuplet can write, found again from their ticks.

use super::rhythm::Ratio;
use crate::theory::Ticks;

/// A tuplet `(p:q:r`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Found {
    p: u32,
    q: u32,
    /// How many notes and rests it takes.
    pub events: usize,
}

impl Found {
    /// Its sign, short where the standard fills in the rest.
    pub(super) fn sign(self) -> String {
        if (self.p, self.q, self.events) == (3, 2, 3) {
            return "(3".into();
        }
        format!("({}:{}:{}", self.p, self.q, self.events)
    }

    /// What it makes of written lengths.
    pub(super) fn ratio(self) -> Ratio {
        Ratio {
            n: self.q,
            d: self.p,
        }
    }
}

/// The tuplet that starts at the first of these lengths: the shortest run that together is a
/// plain length again. `None` when the first one is plain, or nothing fits.
pub(super) fn start(lengths: impl Iterator<Item = Ticks> + Clone, unit: Ticks) -> Option<Found> {
    if lengths.clone().next().is_none_or(|l| is_plain(l, unit)) {
        return None;
    }
    [(3, 2), (5, 4), (7, 4), (9, 8)]
        .into_iter()
        .find_map(|(p, q)| {
            let mut sum = 0;
            for (i, length) in lengths.clone().take(16).enumerate() {
                let scaled = length * Ticks::from(p);
                if scaled % Ticks::from(q) != 0 || !is_plain(scaled / Ticks::from(q), unit) {
                    return None;
                }
                sum += length;
                if is_plain(sum, unit) {
                    let events = i + 1;
                    return (events > 1).then_some(Found { p, q, events });
                }
            }
            None
        })
}

/// Whether a length is so many halves, quarters … 64ths of the unit.
fn is_plain(length: Ticks, unit: Ticks) -> bool {
    length * 64 % unit == 0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::QUARTER;

    #[test]
    fn runs_that_fill_a_plain_length() {
        let e = QUARTER / 2;
        let found = |lengths: &[Ticks]| start(lengths.iter().copied(), e).map(Found::sign);
        assert_eq!(found(&[e, e]), None);
        assert_eq!(found(&[e * 2 / 3; 3]).as_deref(), Some("(3"));
        assert_eq!(found(&[e * 4 / 3, e * 2 / 3]).as_deref(), Some("(3:2:2"));
        assert_eq!(found(&[e * 4 / 5; 5]).as_deref(), Some("(5:4:5"));
        assert_eq!(found(&[e * 2 / 3]), None);
    }
}
