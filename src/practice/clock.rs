//! Times told by a wall clock, which may have been set in between.

/// Which of some times, in the order in which they were told, can be true at `now`: those that lie
/// neither after it nor before an earlier one that can.
pub fn believed<T: Ord + Copy>(told: impl IntoIterator<Item = T>, now: T) -> Vec<bool> {
    let mut latest = None;
    let can_be = |time| {
        let can_be = time <= now && latest.is_none_or(|l| l <= time);
        if can_be {
            latest = Some(time);
        }
        can_be
    };
    told.into_iter().map(can_be).collect()
}

/// The same times such that they are in order and none lies after `now`: one that can't be true is
/// taken for the next one that can, or for `now`.
pub fn settled<T: Ord + Copy>(told: &[T], now: T) -> Vec<T> {
    let mut next = now;
    let mut settled: Vec<T> = believed(told.iter().copied(), now)
        .into_iter()
        .zip(told)
        .rev()
        .map(|(can_be, time)| {
            if can_be {
                next = *time;
            }
            next
        })
        .collect();
    settled.reverse();
    settled
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_clock_that_was_wrong_is_found_out() {
        // Set back from 9 to 3: what was told before is not believed until it is 9 again.
        assert_eq!(settled(&[1, 8, 9, 3, 4], 5), [1, 3, 3, 3, 4]);
        assert_eq!(settled(&[1, 8, 9, 3, 4, 10], 10), [1, 8, 9, 10, 10, 10]);
        // Once far ahead, and once far behind.
        assert_eq!(settled(&[1, 2, 99, 3], 4), [1, 2, 3, 3]);
        assert_eq!(settled(&[11, 12, 0, 1, 13], 14), [11, 12, 13, 13, 13]);
        assert_eq!(settled(&[99], 4), [4]);
        assert_eq!(settled(&[], 4), [0; 0]);
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn what_is_settled_is_in_order(told in prop::collection::vec(0u32..20, 0..12), now in 0u32..20) {
            let times = settled(&told, now);
            prop_assert!(times.is_sorted() && times.iter().all(|t| *t <= now));
            prop_assert_eq!(settled(&times, now), times);
            if told.is_sorted() && told.iter().all(|t| *t <= now) {
                prop_assert_eq!(settled(&told, now), told);
            }
        }
    }
}
