//! Which ideas to take together: the most worth for a budget of effort, exactly.
//!
//! Each bar has some treatments, each with what it is worth and what it costs; some reach over several
//! bars. One is taken a bar, or none; two of a kind in a row are worth less. Walking the bars once, for
//! each kind that the last bar may have only those choices are kept that no other beats on both worth
//! and effort. That is exact: what comes later depends on the last kind, and on nothing else of what
//! was chosen, and any choice beaten on both could be put in the other's place.

/// A treatment of some bars.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Treatment {
    /// First bar, and how many.
    pub bar: usize,
    pub bars: usize,
    /// Two of one kind in a row are worth less.
    pub kind: usize,
    pub worth: i64,
    pub effort: i64,
}

/// A choice so far.
#[derive(Clone, Copy)]
struct Chosen {
    kind: Option<usize>,
    worth: i64,
    effort: i64,
    /// The treatment taken last, and the choice before it.
    last: Option<usize>,
    back: usize,
}

/// The indices of the treatments to take over `bars` bars: as much worth as can be had for no more than
/// `budget`, and of equal worth the least effort. Two of one kind in a row lose `again`.
pub(super) fn choose(list: &[Treatment], bars: usize, budget: i64, again: i64) -> Vec<usize> {
    let cheapest = cheapest_from(list, bars);
    let start = Chosen {
        kind: None,
        worth: 0,
        effort: 0,
        last: None,
        back: 0,
    };
    let mut all: Vec<Chosen> = vec![start];
    let mut open: Vec<Vec<usize>> = vec![Vec::new(); bars + 1];
    open[0].push(0);
    for bar in 0..bars {
        let here = std::mem::take(&mut open[bar]);
        let here = unbeaten(&all, here);
        for from in here {
            let so_far = all[from];
            let mut go = |to: usize, next: Chosen| {
                if next.effort.saturating_add(cheapest[to]) <= budget {
                    all.push(next);
                    open[to].push(all.len() - 1);
                }
            };
            go(
                bar + 1,
                Chosen {
                    kind: None,
                    last: None,
                    back: from,
                    ..so_far
                },
            );
            for (i, t) in list.iter().enumerate().filter(|(_, t)| t.bar == bar) {
                let loses = if so_far.kind == Some(t.kind) {
                    again
                } else {
                    0
                };
                let next = Chosen {
                    kind: Some(t.kind),
                    worth: so_far.worth + t.worth - loses,
                    effort: so_far.effort + t.effort,
                    last: Some(i),
                    back: from,
                };
                if bar + t.bars.max(1) <= bars {
                    go(bar + t.bars.max(1), next);
                }
            }
        }
    }
    let best = (open[bars].iter().copied())
        .min_by_key(|&i| (-all[i].worth, all[i].effort, i))
        .unwrap_or(0);
    let mut taken = Vec::new();
    let mut at = best;
    while at > 0 {
        taken.extend(all[at].last);
        at = all[at].back;
    }
    taken.reverse();
    taken
}

/// For each bar, the least effort that the rest can come to; below nothing where it gets easier.
fn cheapest_from(list: &[Treatment], bars: usize) -> Vec<i64> {
    let mut least = vec![0i64; bars + 1];
    for bar in (0..bars).rev() {
        let ways = (list.iter())
            .filter(|t| t.bar == bar && bar + t.bars.max(1) <= bars)
            .map(|t| t.effort + least[bar + t.bars.max(1)]);
        least[bar] = ways.chain([least[bar + 1]]).min().unwrap_or(0);
    }
    least
}

/// The choices that no other with the same last kind beats on both worth and effort.
fn unbeaten(all: &[Chosen], mut here: Vec<usize>) -> Vec<usize> {
    here.sort_by_key(|&i| (all[i].kind, all[i].effort, -all[i].worth, i));
    let mut kept: Vec<usize> = Vec::with_capacity(here.len());
    for i in here {
        let beaten = kept
            .last()
            .is_some_and(|&k| all[k].kind == all[i].kind && all[k].worth >= all[i].worth);
        if !beaten {
            kept.push(i);
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Worth and effort of a set of treatments, if they don't overlap.
    fn weigh(list: &[Treatment], set: &[usize], bars: usize, again: i64) -> Option<(i64, i64)> {
        let (mut worth, mut effort, mut free) = (0, 0, 0);
        let mut before: Option<(usize, usize)> = None;
        for &i in set {
            let t = list[i];
            if t.bar < free || t.bar + t.bars > bars {
                return None;
            }
            let in_a_row = before == Some((t.bar, t.kind));
            worth += t.worth - if in_a_row { again } else { 0 };
            effort += t.effort;
            free = t.bar + t.bars;
            before = Some((free, t.kind));
        }
        Some((worth, effort))
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn nothing_better_is_had_for_the_budget(
            list in prop::collection::vec(
                (0..4usize, 1..=2usize, 0..3usize, -300..900i64, -200..500i64), 0..9),
            budget in -100..900i64,
        ) {
            let mut list: Vec<Treatment> = (list.into_iter())
                .map(|(bar, bars, kind, worth, effort)| Treatment { bar, bars, kind, worth, effort })
                .collect();
            list.sort_by_key(|t| t.bar);
            let mut best = None;
            for mask in 0..1u32 << list.len() {
                let set: Vec<usize> = (0..list.len()).filter(|i| mask >> i & 1 == 1).collect();
                if let Some((worth, effort)) = weigh(&list, &set, 4, 250)
                    && effort <= budget
                {
                    best = best.max(Some((worth, -effort)));
                }
            }
            let taken = choose(&list, 4, budget, 250);
            let found = weigh(&list, &taken, 4, 250).map(|(w, e)| (w, -e));
            match best {
                Some(best) => prop_assert_eq!(found, Some(best)),
                None => prop_assert!(taken.is_empty()),
            }
        }
    }
}
