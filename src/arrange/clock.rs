//! From ticks to the time that a hand has.

use crate::song::{Song, Tempo};
use crate::theory::Ticks;

/// Turns ticks into milliseconds along the song's changes of tempo.
pub(crate) struct Clock<'a> {
    song: &'a Song,
    starts: &'a [Ticks],
    bar: usize,
    at: Ticks,
    tempo: Tempo,
}

impl<'a> Clock<'a> {
    pub fn new(song: &'a Song, starts: &'a [Ticks]) -> Clock<'a> {
        Clock {
            song,
            starts,
            bar: 0,
            at: 0,
            tempo: song.tempo,
        }
    }

    /// Milliseconds from the last place asked for (or the start) to `at`.
    pub fn millis_until(&mut self, at: Ticks) -> i64 {
        let mut millis = 0;
        while self.bar < self.song.bars.len() && self.starts[self.bar] <= at {
            if let Some(tempo) = self.song.bars[self.bar].tempo {
                millis += self.step(self.starts[self.bar]);
                self.tempo = tempo;
            }
            self.bar += 1;
        }
        millis + self.step(at)
    }

    fn step(&mut self, at: Ticks) -> i64 {
        let ticks = at - self.at;
        self.at = at;
        ticks * 60_000 / (i64::from(self.tempo.per_minute.max(1)) * self.tempo.beat.max(1))
    }
}
