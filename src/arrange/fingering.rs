//! Every way to put the fingers of the left hand on a grip.
//!
//! What two fingers can't do together no hand can that has more of them down, so a finger is set
//! down only where it gets along with each one before it. The hand model, which sees the whole
//! grip, has the last word.

use crate::guitar::{Grip, Hand, Instrument, MAX_STRINGS, Neck};

/// Where a finger lies: its number from 1, its fret, and its string from 0.
type Tip = (u8, i8, usize);

/// What is known of a hand on a neck without looking at a whole grip.
pub(crate) struct Reach {
    neck: Neck,
    /// By the lower and the higher finger, from 0: the greatest square of their distance.
    squares: [[i32; 4]; 4],
    /// The farthest that any two fingers reach, in tenths of a millimetre.
    farthest: i32,
}

impl Reach {
    pub fn new(instrument: &Instrument, hand: &Hand) -> Reach {
        let spans = || hand.spans.iter().flatten().map(|s| s.largest);
        Reach {
            neck: Neck::new(instrument),
            // Distances are rounded to the nearest tenth, so a little more than the square itself.
            squares: hand
                .spans
                .map(|row| row.map(|s| s.largest * (s.largest + 1))),
            farthest: spans().max().unwrap_or(0),
        }
    }

    /// Whether any two fingers of this hand could reach from the stopped frets of `grip` to `fret`.
    pub fn spans(&self, grip: &Grip, fret: u8) -> bool {
        fret == 0
            || grip.frets.iter().filter(|&&f| f > 0).all(|&f| {
                (self.neck.along(f.unsigned_abs()) - self.neck.along(fret)).abs() <= self.farthest
            })
    }

    /// Whether two fingers could be down together in a grip with these frets.
    fn allows(&self, grip: &Grip, one: Tip, other: Tip) -> bool {
        let (low, high) = if one.0 < other.0 {
            (one, other)
        } else {
            (other, one)
        };
        if low.0 == high.0 {
            let (from, to) = (low.2.min(high.2), low.2.max(high.2));
            return low.0 == 1
                && low.1 == high.1
                && (from..to).all(|s| !grip.is_below(s, low.1.unsigned_abs()));
        }
        let usual = high.2 < low.2;
        let turned = (low.0, high.0) == (1, 2) && high.2 > low.2 + 1;
        if high.1 < low.1 || (high.1 == low.1 && !usual && !turned) {
            return false;
        }
        let fret = high.1.unsigned_abs();
        let x = self.neck.along(fret) - self.neck.along(low.1.unsigned_abs());
        let lying = match low.0 {
            1 => nearest_under(grip, low, high.2),
            _ => low.2,
        };
        let across = |string: usize| self.neck.across(string as u8 + 1, fret);
        let y = across(high.2) - across(lying);
        x * x + y * y <= self.squares[usize::from(low.0) - 1][usize::from(high.0) - 1]
    }

    /// Every way to put fingers on the strings of `grip` that are stopped there and have no finger
    /// yet, without moving those that have one. Calls `found` with each; the hand has not been asked
    /// about the whole yet.
    ///
    /// Only the first finger lies over several strings; it may do so with strings that it already
    /// stops at the same fret.
    pub fn fingerings(&self, grip: Grip, found: &mut impl FnMut(Grip)) {
        let mut open = [(0i8, 0usize); MAX_STRINGS];
        let mut down = [(0u8, 0i8, 0usize); MAX_STRINGS];
        let (mut wanted, mut lying) = (0, 0);
        for s in (0..MAX_STRINGS).filter(|&s| grip.frets[s] > 0) {
            if grip.fingers[s] == 0 {
                open[wanted] = (grip.frets[s], s);
                wanted += 1;
            } else {
                down[lying] = (grip.fingers[s], grip.frets[s], s);
                lying += 1;
            }
        }
        open[..wanted].sort_unstable();
        self.next_finger(grip, &open[..wanted], (&mut down, lying), found);
    }

    fn next_finger(
        &self,
        grip: Grip,
        open: &[(i8, usize)],
        (down, lying): (&mut [Tip; MAX_STRINGS], usize),
        found: &mut impl FnMut(Grip),
    ) {
        let Some((&(fret, string), rest)) = open.split_first() else {
            found(grip);
            return;
        };
        // A higher fret asks for a higher finger, and each note there for one of its own.
        let lies_below = down[..lying].iter().filter(|d| d.1 < fret);
        let lies_above = down[..lying].iter().filter(|d| d.1 > fret);
        let least = lies_below.map(|d| d.0 + 1).max().unwrap_or(1);
        let most = lies_above.map(|d| d.0 - 1).min().unwrap_or(4);
        let to_come = rest.iter().filter(|o| o.0 > fret).count() as u8;
        for finger in least..=most.min(4u8.saturating_sub(to_come)) {
            let tip = (finger, fret, string);
            if down[..lying]
                .iter()
                .all(|&other| self.allows(&grip, tip, other))
            {
                down[lying] = tip;
                let mut next = grip;
                next.fingers[string] = finger;
                self.next_finger(next, rest, (down, lying + 1), found);
            }
        }
    }
}

/// The string nearest to `string` that the first finger could lie over, with every other string at
/// its fret under it as well.
fn nearest_under(grip: &Grip, (_, fret, mut at): Tip, string: usize) -> usize {
    while at != string {
        let next = if at < string { at + 1 } else { at - 1 };
        if grip.is_below(next, fret.unsigned_abs()) {
            break;
        }
        at = next;
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grip(frets: [i8; 6]) -> Grip {
        let mut grip = Grip::EMPTY;
        grip.frets[..6].copy_from_slice(&frets);
        grip
    }

    fn all_of(grip: Grip) -> Vec<[u8; MAX_STRINGS]> {
        let reach = Reach::new(&Instrument::standard(), &Hand::named("medium").unwrap());
        let mut all = Vec::new();
        reach.fingerings(grip, &mut |g| all.push(g.fingers));
        all
    }

    #[test]
    fn every_fingering_keeps_order_and_barres_with_the_first_finger_alone() {
        // An F on four strings: frets 1 1 2 3 from the highest string down.
        let all = all_of(grip([1, 1, 2, 3, -1, -1]));
        assert!(all.contains(&[1, 1, 2, 3, 0, 0, 0, 0]));
        assert!(all.contains(&[1, 1, 3, 4, 0, 0, 0, 0]));
        assert!(all.contains(&[2, 1, 3, 4, 0, 0, 0, 0]));
        assert!(all.iter().all(|f| f[2] <= f[3]));
        assert!(all.iter().all(|f| f[0] != 2 || f[1] != 2));
    }

    #[test]
    fn a_finger_that_is_down_stays() {
        let mut start = grip([3, -1, -1, -1, 3, -1]);
        start.fingers[4] = 3;
        let all: Vec<u8> = all_of(start).iter().map(|f| f[0]).collect();
        assert_eq!(all, [4]);
    }

    #[test]
    fn nothing_that_the_hand_can_hold_is_left_out() {
        let (instrument, hand) = (Instrument::standard(), Hand::named("medium").unwrap());
        let neck = Neck::new(&instrument);
        let mut held = 0;
        for code in 0..8usize.pow(4) {
            let frets: [i8; 4] =
                std::array::from_fn(|i| (code / 8usize.pow(i as u32) % 8) as i8 - 1);
            let grip = grip([frets[0], -1, frets[1], frets[2], -1, frets[3]]);
            let found = all_of(grip);
            let stopped: Vec<usize> = (0..6).filter(|&s| grip.frets[s] > 0).collect();
            for code in 0..4usize.pow(stopped.len() as u32) {
                let mut with = grip;
                for (i, &s) in stopped.iter().enumerate() {
                    with.fingers[s] = 1 + (code / 4usize.pow(i as u32) % 4) as u8;
                }
                let barred = with.barres().all(|b| b.finger == 1 || b.from == b.to);
                if barred && hand.judge(&neck, &with).is_ok() {
                    held += 1;
                    assert!(found.contains(&with.fingers), "{with} {:?}", with.fingers);
                }
            }
        }
        assert!(held > 10_000, "{held}");
    }
}
