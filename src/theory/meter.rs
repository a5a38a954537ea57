//! Meters: simple, compound and odd, with their beats.

use super::{QUARTER, Ticks};
use std::fmt;

/// A time signature. `groups` holds the top number as written, so that 2+2+3/8 keeps its beats.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Meter {
    groups: Vec<u8>,
    unit: u8,
}

/// Why a meter could not be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("“{text}” is not a meter; write it as 4/4, 6/8 or 2+2+3/8")]
pub struct MeterError {
    /// What was written.
    pub text: String,
}

impl Meter {
    /// A meter of `beats` over `unit`, e.g. (6, 8). Beats are 1 to 64, units powers of two up to 64;
    /// `None` for others.
    pub fn new(beats: u8, unit: u8) -> Option<Meter> {
        Meter::grouped(vec![beats], unit)
    }

    /// An additive meter such as 2+2+3 over 8, held to the same bounds. `None` also for no groups or
    /// one of 0.
    pub fn grouped(groups: Vec<u8>, unit: u8) -> Option<Meter> {
        let total: u32 = groups.iter().map(|&g| u32::from(g)).sum();
        let good = !groups.is_empty()
            && groups.iter().all(|&g| g > 0)
            && total <= 64
            && unit.is_power_of_two()
            && unit <= 64;
        good.then_some(Meter { groups, unit })
    }

    /// The meter that a bar without one fills: counted in quarters where that comes out even, else in
    /// the largest smaller unit, else in halves or whole notes. `None` where nothing does.
    pub fn filled_by(length: Ticks) -> Option<Meter> {
        [4, 8, 16, 32, 64, 2, 1].into_iter().find_map(|unit| {
            let top = u8::try_from(length * Ticks::from(unit) / (4 * QUARTER)).ok()?;
            Meter::new(top, unit).filter(|meter| meter.bar() == length)
        })
    }

    /// 4/4.
    pub fn common() -> Meter {
        Meter {
            groups: vec![4],
            unit: 4,
        }
    }

    /// The top number: units in a bar.
    pub fn top(&self) -> u8 {
        self.groups.iter().sum()
    }

    /// The bottom number: 4 for quarters, 8 for eighths.
    pub fn unit(&self) -> u8 {
        self.unit
    }

    /// Length of one unit of the bottom number.
    pub fn unit_ticks(&self) -> Ticks {
        4 * QUARTER / Ticks::from(self.unit)
    }

    /// Length of a full bar.
    pub fn bar(&self) -> Ticks {
        Ticks::from(self.top()) * self.unit_ticks()
    }

    /// Compound meters beat in dotted notes: 6/8, 9/8, 12/8, and 6/4, 9/4, 12/4.
    pub fn is_compound(&self) -> bool {
        self.groups.len() == 1 && self.top() > 3 && self.top().is_multiple_of(3) && self.unit >= 4
    }

    /// Where the beats fall, in ticks from the bar line. The first is always 0.
    ///
    /// Simple meters beat once a unit, compound ones once in three. Odd eighth meters beat in twos
    /// with the three last (5/8 is 2+3, 7/8 is 2+2+3) unless groups are written.
    pub fn beats(&self) -> Vec<Ticks> {
        let lengths: Vec<u8> = if self.groups.len() > 1 {
            self.groups.clone()
        } else if self.is_compound() {
            vec![3; usize::from(self.top() / 3)]
        } else if self.unit >= 8 && self.top() > 3 && self.top() % 2 == 1 {
            let mut twos = vec![2; usize::from((self.top() - 3) / 2)];
            twos.push(3);
            twos
        } else {
            vec![1; usize::from(self.top())]
        };
        let mut at = 0;
        lengths
            .into_iter()
            .map(|n| {
                let here = at;
                at += Ticks::from(n) * self.unit_ticks();
                here
            })
            .collect()
    }

    /// Length of the beat that contains `at` (ticks from the bar line).
    pub fn beat_at(&self, at: Ticks) -> Ticks {
        let beats = self.beats();
        let i = beats.iter().rposition(|&b| b <= at).unwrap_or(0);
        beats.get(i + 1).copied().unwrap_or(self.bar()) - beats[i]
    }
}

impl fmt::Display for Meter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let top: Vec<String> = self.groups.iter().map(u8::to_string).collect();
        write!(f, "{}/{}", top.join("+"), self.unit)
    }
}

impl std::str::FromStr for Meter {
    type Err = MeterError;

    /// Reads `4/4`, `C`, `C|`, `2+2+3/8`, `(2+3)/8`.
    fn from_str(text: &str) -> Result<Meter, MeterError> {
        let error = || MeterError { text: text.into() };
        let clean: String = text
            .chars()
            .filter(|c| !c.is_whitespace() && !"()".contains(*c))
            .collect();
        match clean.as_str() {
            "C" => return Ok(Meter::common()),
            "C|" => return Meter::new(2, 2).ok_or_else(error),
            _ => {}
        }
        let (top, unit) = clean.split_once('/').ok_or_else(error)?;
        let groups: Option<Vec<u8>> = top.split('+').map(|g| g.parse::<u8>().ok()).collect();
        let unit = unit.parse().map_err(|_| error())?;
        groups
            .and_then(|g| Meter::grouped(g, unit))
            .ok_or_else(error)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meter(text: &str) -> Meter {
        text.parse().unwrap()
    }

    #[test]
    fn beats_of_simple_compound_and_odd_meters() {
        let e = QUARTER / 2;
        assert_eq!(meter("3/4").beats(), [0, QUARTER, 2 * QUARTER]);
        assert_eq!(meter("6/8").beats(), [0, 3 * e]);
        assert_eq!(meter("7/8").beats(), [0, 2 * e, 4 * e]);
        assert_eq!(meter("3+2+2/8").beats(), [0, 3 * e, 5 * e]);
        assert_eq!(meter("3/8").beats(), [0, e, 2 * e]);
        assert_eq!(meter("C|").beats(), [0, 2 * QUARTER]);
    }

    #[test]
    fn the_beat_around_a_place() {
        let e = QUARTER / 2;
        assert_eq!(meter("7/8").beat_at(5 * e), 3 * e);
        assert_eq!(meter("7/8").beat_at(0), 2 * e);
    }

    #[test]
    fn bars_without_a_meter_fill_one() {
        let filled = |length| Meter::filled_by(length).map(|m| m.to_string());
        for (length, meter) in [
            (2 * QUARTER, Some("2/4")),
            (5 * QUARTER, Some("5/4")),
            (QUARTER * 5 / 2, Some("5/8")),
            (80 * QUARTER, Some("40/2")),
            (QUARTER / 3, None),
            (0, None),
        ] {
            assert_eq!(filled(length).as_deref(), meter);
        }
    }

    #[test]
    fn nonsense_is_refused() {
        for text in ["", "4", "0/4", "4/3", "4/0", "x/4", "200/4", "4/128"] {
            assert!(text.parse::<Meter>().is_err(), "{text}");
        }
    }
}
