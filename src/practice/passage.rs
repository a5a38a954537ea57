//! The bars of a loop.

use super::PracticeError;
use std::ops::Range;

/// A run of bars to loop, as written, counted from 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Passage {
    first: usize,
    last: usize,
    overlap: bool,
}

impl Passage {
    /// Bars `first` to `last`, both included, of a song of `count` bars. With `overlap` one bar more
    /// is played at the end, so that the join is practised too.
    ///
    /// # Errors
    /// When the song has no such bars.
    pub fn new(
        first: usize,
        last: usize,
        overlap: bool,
        count: usize,
    ) -> Result<Passage, PracticeError> {
        if first > last || last >= count {
            return Err(PracticeError::Bars {
                first: first.saturating_add(1),
                last: last.saturating_add(1),
                count,
            });
        }
        // Behind the last bar there is none to run over into.
        let overlap = overlap && last + 1 < count;
        Ok(Passage {
            first,
            last,
            overlap,
        })
    }

    /// The first bar.
    pub fn first(&self) -> usize {
        self.first
    }

    /// The last bar that is meant, the overlap not among them.
    pub fn last(&self) -> usize {
        self.last
    }

    /// The bars to play, the overlap among them.
    pub fn bars(&self) -> Range<usize> {
        self.first..self.last + 1 + usize::from(self.overlap)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_passage_runs_over_into_the_next_bar_where_there_is_one() {
        assert_eq!(Passage::new(1, 2, true, 8).unwrap().bars(), 1..4);
        assert_eq!(Passage::new(1, 2, false, 8).unwrap().bars(), 1..3);
        assert_eq!(Passage::new(6, 7, true, 8).unwrap().bars(), 6..8);
    }

    #[test]
    fn bars_that_are_not_there_are_refused() {
        let error = Passage::new(3, 9, false, 8).unwrap_err().to_string();
        assert_eq!(
            error,
            "bars 4 to 10 can't be looped; this song has bars 1 to 8"
        );
    }
}
