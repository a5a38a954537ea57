//! Tempo along the score, and the exact time of each place in it.

use crate::song::Tempo;
use crate::theory::Ticks;
use std::ops::RangeInclusive;

/// The slowest and the fastest that music is played, in per cent of its written tempo.
pub const TEMPOS: RangeInclusive<u16> = 20..=200;

/// Holds a tempo within [`TEMPOS`].
pub fn held_tempo(percent: u16) -> u16 {
    percent.clamp(*TEMPOS.start(), *TEMPOS.end())
}

/// A tempo and where it starts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TempoMark {
    /// Played ticks.
    pub at: Ticks,
    /// The tempo from there on.
    pub tempo: Tempo,
}

/// Nanoseconds in a minute.
const MINUTE: i128 = 60_000_000_000;

/// Turns places into times and back.
pub(super) struct Clock<'a> {
    marks: &'a [TempoMark],
}

impl<'a> Clock<'a> {
    pub(super) fn new(marks: &'a [TempoMark]) -> Clock<'a> {
        Clock { marks }
    }

    pub(super) fn nanoseconds(&self, at: Ticks) -> i64 {
        let mut time = 0;
        for (mark, next) in self.stretches() {
            if at <= next {
                return time + length(mark.tempo, at - mark.at);
            }
            time += length(mark.tempo, next - mark.at);
        }
        time
    }

    pub(super) fn at(&self, time: i64) -> Ticks {
        let mut begun = 0;
        for (mark, next) in self.stretches() {
            let place = mark.at + ticks(mark.tempo, time - begun);
            if place < next {
                return place;
            }
            begun += length(mark.tempo, next - mark.at);
        }
        0
    }

    /// Each mark with the place where the next one takes over.
    fn stretches(&self) -> impl Iterator<Item = (TempoMark, Ticks)> + '_ {
        let ends = self.marks.iter().skip(1).map(|m| m.at);
        self.marks
            .iter()
            .copied()
            .zip(ends.chain(std::iter::once(Ticks::MAX)))
    }
}

/// How long `ticks` last, rounded to the nearest nanosecond.
fn length(tempo: Tempo, ticks: Ticks) -> i64 {
    let per = divisor(tempo);
    ((i128::from(ticks) * MINUTE + per / 2).div_euclid(per)) as i64
}

/// The last tick whose rounded start is not after `nanoseconds`.
fn ticks(tempo: Tempo, nanoseconds: i64) -> Ticks {
    let guess = (i128::from(nanoseconds) * divisor(tempo)).div_euclid(MINUTE) as Ticks;
    if length(tempo, guess + 1) <= nanoseconds {
        guess + 1
    } else {
        guess
    }
}

fn divisor(tempo: Tempo) -> i128 {
    i128::from(tempo.beat.max(1)) * i128::from(tempo.per_minute.max(1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::QUARTER;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn places_and_times_are_inverse(
            first in 1u32..=999,
            second in 1u32..=999,
            change in 1i64..100 * QUARTER,
            at in 0i64..200 * QUARTER,
        ) {
            let mark = |at, per_minute| TempoMark { at, tempo: Tempo { beat: QUARTER, per_minute } };
            let marks = [mark(0, first), mark(change, second)];
            let clock = Clock::new(&marks);
            prop_assert_eq!(clock.at(clock.nanoseconds(at)), at);
            prop_assert!(clock.nanoseconds(at) < clock.nanoseconds(at + 1));
        }
    }

    #[test]
    fn a_dotted_beat_counts_as_written() {
        // Dotted quarter = 80: an eighth lasts a quarter of a second.
        let tempo = Tempo {
            beat: QUARTER * 3 / 2,
            per_minute: 80,
        };
        assert_eq!(length(tempo, QUARTER / 2), 250_000_000);
    }
}
