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

    /// The passage of the same length behind this one, shorter at the song's end; `None` at the end.
    pub fn next(&self, count: usize) -> Option<Passage> {
        let first = self.last + 1;
        let last = (self.last + 1 + self.last - self.first).min(count.checked_sub(1)?);
        Passage::new(first, last, self.overlap, count).ok()
    }

    /// The run of `length` bars that costs most effort together, the first of equal ones. `efforts`
    /// holds one figure a bar; `None` when there are fewer bars than that.
    pub fn hardest(efforts: &[i64], length: usize, overlap: bool) -> Option<Passage> {
        let length = length.max(1);
        let sums = efforts.windows(length).map(|w| w.iter().sum::<i64>());
        let (first, _) = sums
            .enumerate()
            .max_by_key(|&(i, sum)| (sum, usize::MAX - i))?;
        Passage::new(first, first + length - 1, overlap, efforts.len()).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_hardest_run_is_found() {
        let hard = Passage::hardest(&[1, 5, 5, 0, 9], 2, true).unwrap();
        assert_eq!(hard.bars(), 1..4);
        assert_eq!(Passage::hardest(&[1, 2], 3, true), None);
        assert_eq!(Passage::hardest(&[], 0, true), None);
        let error = Passage::new(3, 9, false, 8).unwrap_err().to_string();
        assert_eq!(
            error,
            "bars 4 to 10 can't be looped; this song has bars 1 to 8"
        );
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn passages_one_after_another_play_each_bar(count in 1usize..60, length in 1usize..9, overlap: bool) {
            let mut passage = Passage::new(0, length.min(count) - 1, overlap, count).ok();
            let mut next = 0;
            while let Some(p) = passage {
                prop_assert_eq!(p.first(), next);
                prop_assert!(p.bars().end <= count);
                prop_assert_eq!(p.bars().end - p.last() - 1, usize::from(overlap && p.last() + 1 < count));
                next = p.last() + 1;
                passage = p.next(count);
            }
            prop_assert_eq!(next, count);
        }
    }
}
