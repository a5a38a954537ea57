//! A grip: which string is stopped at which fret by which finger.

use std::fmt;

use super::MAX_STRINGS;

/// What the left hand does at one moment, barre and open strings included.
///
/// Index 0 is string 1, the highest. Strings that the instrument lacks stay silent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grip {
    /// Fret above the capo; 0 is an open string, −1 a silent one.
    pub frets: [i8; MAX_STRINGS],
    /// Left finger 1–4 on a stopped string, 0 otherwise. One finger on several strings is a barre.
    pub fingers: [u8; MAX_STRINGS],
}

/// One finger lying over several strings at one fret.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Barre {
    /// The finger, 1–4.
    pub finger: u8,
    /// The fret above the capo.
    pub fret: u8,
    /// Highest string under it (lowest number, from 1).
    pub from: u8,
    /// Lowest string under it (highest number).
    pub to: u8,
}

impl std::hash::Hash for Grip {
    /// As one word, a byte a string: grips are looked up by the million.
    fn hash<H: std::hash::Hasher>(&self, state: &mut H) {
        let stops = self.frets.iter().zip(&self.fingers);
        let word = stops.fold(0, |word, (&fret, &finger)| {
            word << 8 | u64::from(fret as u8 ^ finger << 5)
        });
        state.write_u64(word);
    }
}

impl Grip {
    /// Nothing sounds, no finger is down.
    pub const EMPTY: Grip = Grip {
        frets: [-1; MAX_STRINGS],
        fingers: [0; MAX_STRINGS],
    };

    /// The strings that sound, as bits from string 1 up.
    pub fn sounding(&self) -> u8 {
        let bits = self.frets.iter().enumerate();
        bits.fold(0, |set, (s, &fret)| set | u8::from(fret >= 0) << s)
    }

    /// Whether a string (from 0) sounds open or below `fret`, so that no finger may lie over it there.
    pub(crate) fn is_below(&self, string: usize, fret: u8) -> bool {
        let own = self.frets[string];
        own >= 0 && own.unsigned_abs() < fret
    }

    /// A grip as the trade writes it, lowest string first: frets (−1 silent, 0 open) and fingers.
    /// Strings that one of the two slices lacks, and those beyond the eighth, stay silent.
    pub fn from_low(frets: &[i8], fingers: &[u8]) -> Grip {
        let mut grip = Grip::EMPTY;
        let strings = frets.len().min(MAX_STRINGS);
        for (index, (&fret, &finger)) in frets.iter().zip(fingers).take(strings).enumerate() {
            grip.frets[strings - 1 - index] = fret;
            grip.fingers[strings - 1 - index] = finger;
        }
        grip
    }

    /// The barres in it, lowest finger first.
    pub fn barres(&self) -> impl Iterator<Item = Barre> + '_ {
        (1..=4u8).filter_map(|finger| {
            let mut on = (0..MAX_STRINGS).filter(|&s| self.fingers[s] == finger);
            let from = on.next()?;
            let to = on.next_back()?;
            Some(Barre {
                finger,
                fret: self.frets[from].unsigned_abs(),
                from: from as u8 + 1,
                to: to as u8 + 1,
            })
        })
    }

    /// The frets of the first `strings` strings in one line, lowest string first: `x32010`. Frets
    /// above 9 stand in brackets: `x(10)(12)(12)(12)(10)`.
    pub fn line(&self, strings: usize) -> String {
        let frets = self.frets.iter().take(strings).rev();
        frets
            .map(|&fret| match fret {
                ..0 => "x".into(),
                0..=9 => fret.to_string(),
                _ => format!("({fret})"),
            })
            .collect()
    }
}

impl fmt::Display for Grip {
    /// [`Grip::line`] of six strings, or of as many as the lowest that sounds.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lowest = self.frets.iter().rposition(|&fret| fret >= 0);
        f.write_str(&self.line(lowest.map_or(6, |index| (index + 1).max(6))))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grip_is_written_lowest_string_first() {
        let c = Grip::from_low(&[-1, 3, 2, 0, 1, 0], &[0, 3, 2, 0, 1, 0]);
        assert_eq!(c.to_string(), "x32010");
        assert_eq!((c.frets[0], c.frets[1], c.fingers[1]), (0, 1, 1));
        let high = Grip::from_low(&[-1, 10, 12, 12, 12, 10], &[0, 1, 2, 3, 4, 1]);
        assert_eq!(high.to_string(), "x(10)(12)(12)(12)(10)");
        let seven = Grip::from_low(&[0, -1, 2, 2, 2, 0, 0], &[0, 0, 1, 2, 3, 0, 0]);
        assert_eq!(seven.to_string(), "0x22200");
        assert_eq!(Grip::EMPTY.to_string(), "xxxxxx");
        assert_eq!(Grip::EMPTY.line(4), "xxxx");
    }

    #[test]
    fn a_finger_on_several_strings_is_a_barre() {
        let f = Grip::from_low(&[1, 3, 3, 2, 1, 1], &[1, 3, 4, 2, 1, 1]);
        let barres: Vec<_> = f.barres().collect();
        let (finger, fret, from, to) = (1, 1, 1, 6);
        assert_eq!(
            barres,
            [Barre {
                finger,
                fret,
                from,
                to
            }]
        );
    }

    #[test]
    fn too_many_or_too_few_strings_are_left_silent() {
        let long = Grip::from_low(&[0; 20], &[0; 20]);
        assert_eq!(long.frets, [0; MAX_STRINGS]);
        let short = Grip::from_low(&[3, 0], &[3]);
        assert_eq!(short.frets[..2], [-1, 3]);
    }
}
