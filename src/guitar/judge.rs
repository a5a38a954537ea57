//! Whether a hand can hold a grip, and how far that stretches it.

use super::{Grip, Hand, MAX_STRINGS, Neck};

/// The pair of fingers that a grip strains most.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// The two fingers, lower first.
    pub fingers: (u8, u8),
    /// Their distance in tenths of a millimetre.
    pub distance: i32,
    /// Distance in per cent of what is comfortable, rounded down; over 100 is a stretch.
    pub percent: i32,
    /// How far into the reserve between comfortable (0) and largest (1000), rounded down.
    pub reserve: i32,
}

/// Why a hand can't hold a grip. Strings count from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs)]
pub enum Refusal {
    #[error("fingers {0} and {1} are farther apart than this hand reaches")]
    TooFar(u8, u8),
    #[error("finger {0} would have to reach over finger {1}")]
    Crossed(u8, u8),
    #[error("finger {0} is wanted at two frets at once")]
    TwoFrets(u8),
    #[error("string {0} is wanted open or at a lower fret under a barre")]
    OpenUnderBarre(u8),
    #[error("string {0} is stopped without a finger")]
    NoFinger(u8),
    #[error("string {0} has a finger on it but is not stopped")]
    IdleFinger(u8),
    #[error("string {0} is wanted where this instrument has no string or fret")]
    OffNeck(u8),
}

/// A finger that is down: its fret and the first and last of its strings (from 0).
#[derive(Debug, Clone, Copy)]
struct Down {
    fret: u8,
    first: usize,
    last: usize,
}

impl Hand {
    /// Whether the hand can hold `grip`, and the pair it strains most (none with under two fingers
    /// down).
    ///
    /// The rules, in the order they are looked at:
    /// 1. From string 1 up: a sounding string is on the instrument and within its frets
    ///    ([`Refusal::OffNeck`]); a finger lies on stopped strings only ([`Refusal::IdleFinger`]); a
    ///    stopped string has a finger 1–4 ([`Refusal::NoFinger`]), and the finger one fret
    ///    ([`Refusal::TwoFrets`]).
    /// 2. Between the first and last string of a finger no string sounds open or at a lower fret
    ///    ([`Refusal::OpenUnderBarre`]). Any finger may lie over several strings.
    /// 3. Of fingers f < g, in the order 1–2, 1–3, 1–4, 2–3, 2–4, 3–4: g's fret is not below f's, and
    ///    at the same fret every string of f is lower than every string of g; only fingers 1 and 2
    ///    may lie the other way round, with a string between them ([`Refusal::Crossed`]; so do the
    ///    published grips: the usual way over 2 000 times, the other five times).
    /// 4. Their distance is at most the pair's largest span ([`Refusal::TooFar`]).
    ///
    /// The distance is √(x² + y²), rounded to a tenth of a millimetre. x is the difference of
    /// [`Neck::along`]; y is measured across the neck at g's fret, from g's string to the nearest
    /// string that f lies over. If g lies over several strings, the farthest of them counts. Finger
    /// 1 may lie over more strings than it sounds: it reaches on over neighbouring strings up
    /// to the next that sounds open, at a lower or at its own fret. Other fingers, as f, lie on one string with
    /// their tip: the farthest of theirs counts too.
    ///
    /// Taking away a sounding string never makes a grip unplayable.
    ///
    /// The worst pair is that with the greatest reserve, then the greatest percent, then the lower
    /// fingers.
    ///
    /// # Errors
    /// The first rule that the grip breaks.
    pub fn judge(&self, neck: &Neck, grip: &Grip) -> Result<Option<Stretch>, Refusal> {
        let mut worst: Option<Stretch> = None;
        pairs(neck, grip, &mut |f, g, square| {
            let stretch = self.stretch(f, g, rounded_root(square))?;
            if worst.is_none_or(|w| (stretch.reserve, stretch.percent) > (w.reserve, w.percent)) {
                worst = Some(stretch);
            }
            Ok(())
        })?;
        Ok(worst)
    }

    /// How far [`Hand::judge`] finds the hand in its reserve, in thousandths; 0 where no pair is farther
    /// apart than is comfortable.
    ///
    /// # Errors
    /// As for [`Hand::judge`].
    pub(crate) fn reserve(&self, neck: &Neck, grip: &Grip) -> Result<i32, Refusal> {
        let mut worst = 0;
        pairs(neck, grip, &mut |f, g, square| {
            let comfortable = self.span(f, g).comfortable;
            if square > comfortable * comfortable {
                worst = worst.max(self.stretch(f, g, rounded_root(square))?.reserve);
            }
            Ok(())
        })?;
        Ok(worst)
    }

    fn stretch(&self, f: u8, g: u8, distance: i32) -> Result<Stretch, Refusal> {
        let span = self.span(f, g);
        if distance > span.largest {
            return Err(Refusal::TooFar(f, g));
        }
        let reserve =
            1000 * (distance - span.comfortable) / (span.largest - span.comfortable).max(1);
        Ok(Stretch {
            fingers: (f, g),
            distance,
            percent: 100 * distance / span.comfortable.max(1),
            reserve: reserve.clamp(0, 1000),
        })
    }
}

/// Calls `each` with every pair of fingers f < g that are down and the square of their distance, in the
/// order of rule 3, as long as no rule is broken.
#[inline]
fn pairs(
    neck: &Neck,
    grip: &Grip,
    each: &mut impl FnMut(u8, u8, i32) -> Result<(), Refusal>,
) -> Result<(), Refusal> {
    let fingers = fingers(neck, grip)?;
    for down in fingers.iter().flatten() {
        let mut under = down.first + 1..down.last;
        if let Some(string) = under.find(|&s| grip.is_below(s, down.fret)) {
            return Err(Refusal::OpenUnderBarre(string as u8 + 1));
        }
    }
    for f in 1..=3u8 {
        let Some(lower) = fingers[usize::from(f) - 1] else {
            continue;
        };
        let lying = if f == 1 {
            laid(neck, grip, lower)
        } else {
            lower
        };
        for g in f + 1..=4u8 {
            let Some(upper) = fingers[usize::from(g) - 1] else {
                continue;
            };
            if is_crossed(f, lower, g, upper) {
                return Err(Refusal::Crossed(f, g));
            }
            let y = if f == 1 {
                nearest(neck, lying, upper)
            } else {
                farthest(neck, lower, upper)
            };
            let x = neck.along(upper.fret) - neck.along(lower.fret);
            each(f, g, x * x + y * y)?;
        }
    }
    Ok(())
}

/// Rule 1: the fingers that are down, or what is wrong on a string.
fn fingers(neck: &Neck, grip: &Grip) -> Result<[Option<Down>; 4], Refusal> {
    let mut fingers: [Option<Down>; 4] = [None; 4];
    for string in 0..MAX_STRINGS {
        let (fret, finger) = (grip.frets[string], grip.fingers[string]);
        let number = string as u8 + 1;
        let Ok(fret) = u8::try_from(fret) else {
            if finger != 0 {
                return Err(Refusal::IdleFinger(number));
            }
            continue;
        };
        if string >= neck.strings() || fret > neck.top_fret() {
            return Err(Refusal::OffNeck(number));
        }
        match (fret, finger) {
            (0, 0) => {}
            (0, _) => return Err(Refusal::IdleFinger(number)),
            (_, 1..=4) => match &mut fingers[usize::from(finger) - 1] {
                Some(down) if down.fret != fret => return Err(Refusal::TwoFrets(finger)),
                Some(down) => down.last = string,
                none => {
                    let (first, last) = (string, string);
                    *none = Some(Down { fret, first, last });
                }
            },
            _ => return Err(Refusal::NoFinger(number)),
        }
    }
    Ok(fingers)
}

/// Rule 3, of fingers f < g.
fn is_crossed(f: u8, lower: Down, g: u8, upper: Down) -> bool {
    let usual = upper.last < lower.first;
    let turned = (f, g) == (1, 2) && upper.first > lower.last + 1;
    upper.fret < lower.fret || (upper.fret == lower.fret && !usual && !turned)
}

/// The strings that a finger could lie over without touching one that sounds at its fret or lower.
fn laid(neck: &Neck, grip: &Grip, down: Down) -> Down {
    let Down {
        fret,
        mut first,
        mut last,
    } = down;
    while first > 0 && !grip.is_below(first - 1, fret + 1) {
        first -= 1;
    }
    while last + 1 < neck.strings() && !grip.is_below(last + 1, fret + 1) {
        last += 1;
    }
    Down { fret, first, last }
}

/// From the farthest string of `upper` to the nearest that `lying` lies over, across the neck.
fn nearest(neck: &Neck, lying: Down, upper: Down) -> i32 {
    let across = |string: usize| neck.across(string as u8 + 1, upper.fret);
    let beyond_first = across(lying.first) - across(upper.first);
    let beyond_last = across(upper.last) - across(lying.last);
    beyond_first.max(beyond_last).max(0)
}

/// Between the farthest strings of two fingers, across the neck.
fn farthest(neck: &Neck, lower: Down, upper: Down) -> i32 {
    let across = |string: usize| neck.across(string as u8 + 1, upper.fret);
    let one_way = across(upper.last) - across(lower.first);
    let other_way = across(lower.last) - across(upper.first);
    one_way.max(other_way)
}

/// The square root, rounded to the nearest whole number.
fn rounded_root(square: i32) -> i32 {
    // Exact: the root of a whole number is never so near to a half that a double could miss it.
    (f64::from(square.max(0)).sqrt() + 0.5) as i32
}

#[cfg(test)]
mod tests;
