//! The arithmetic of a bar.

use super::Draft;
use crate::song::Song;
use crate::song::check::{in_units, unit_word};
use crate::theory::{Meter, Ticks};
use std::cmp::Ordering;
use std::fmt;

/// How much of its meter a bar holds. It reads as `bar 3: 2½ of 3 beats`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Count {
    /// The printed number; 0 is a pickup.
    pub number: u32,
    /// How much stands in it.
    pub has: Ticks,
    /// What it is held against.
    pub meter: Meter,
}

impl Count {
    /// Of one bar.
    pub fn of(song: &Song, bar: usize) -> Option<Count> {
        let bar = song.bars.get(bar)?;
        Some(Count {
            number: bar.number,
            has: bar.length,
            meter: bar.meter.clone(),
        })
    }

    /// Whether it holds less than its meter, as much, or more.
    pub fn is(&self) -> Ordering {
        self.has.cmp(&self.meter.bar())
    }
}

impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.number {
            0 => f.write_str("pickup: ")?,
            n => write!(f, "bar {n}: ")?,
        }
        let (has, wants) = (in_units(self.has, &self.meter), self.meter.top());
        write!(
            f,
            "{has} of {wants} {}",
            unit_word(self.meter.bar(), &self.meter)
        )
    }
}

impl Draft {
    /// The arithmetic of the bar that the next note goes into, unless the caret stands inside one.
    pub fn count(&self) -> Count {
        let song = &self.song;
        let here = Count::of(song, self.caret.bar);
        if self.is_blank() && self.caret.at == 0 {
            return Count {
                number: 1,
                has: 0,
                meter: song
                    .bars
                    .first()
                    .map_or(Meter::common(), |b| b.meter.clone()),
            };
        }
        here.unwrap_or_else(|| {
            let last = song.bars.last();
            Count {
                number: last.map_or(1, |b| b.number.saturating_add(1)),
                has: 0,
                meter: last.map_or(Meter::common(), |b| b.meter.clone()),
            }
        })
    }
}
