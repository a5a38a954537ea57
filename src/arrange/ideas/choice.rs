//! Which ideas to take together: the most worth for a budget of effort, exactly.
//!
//! Each bar has some treatments, each with what it is worth and what it costs; some reach over several
//! bars. One is taken a bar, or none; two of a kind in a row are worth less. Walking the bars once, for
//! each kind that the last bar may have only those choices are kept that no other beats on both worth
//! and effort. That is exact: what comes later depends on the last kind, and on nothing else of what
//! was chosen, and any choice beaten on both could be put in the other's place.
//!
//! Choices that can't catch up are left out on the way. With effort at a fixed price, the best of the
//! rest is soon worked out bar by bar, and is never less than what the rest can give within the budget
//! (Lagrangian relaxation: M. L. Fisher, Management Science 27 (1981), 1–18); the price is the lowest at
//! which that best keeps to the budget, which gives a choice to compare with.

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

impl Treatment {
    /// The bar after it.
    fn end(&self) -> usize {
        self.bar + self.bars.max(1)
    }
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
    let menu = Menu::new(list, bars, again);
    let cheapest = menu.cheapest();
    let (bound, known) = menu.bound(budget);
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
                let within = next.effort.saturating_add(cheapest[to]) <= budget;
                let left = budget.saturating_sub(next.effort);
                if within && bound.most(to, next.kind, (next.worth, left)) >= known {
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
            for (i, t) in menu.at(bar) {
                let next = Chosen {
                    kind: Some(t.kind),
                    worth: so_far.worth + t.worth - menu.loses(so_far.kind, t),
                    effort: so_far.effort + t.effort,
                    last: Some(i),
                    back: from,
                };
                go(t.end(), next);
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

/// The treatments by the bar that they start in.
struct Menu<'a> {
    list: &'a [Treatment],
    by_bar: Vec<Vec<usize>>,
    again: i64,
    /// How many kinds there are.
    kinds: usize,
}

/// A price of effort, and what the rest gives at most with it paid, by the bar that it starts in and the
/// kind before that (first for none), each counted in parts of [`FINE`].
struct Bound {
    price: i64,
    rest: Vec<Vec<i64>>,
}

/// How finely a price of effort is told.
const FINE: i64 = 1024;
/// More than what a thousandth of effort is ever worth.
const DEAREST: i64 = 1 << 24;

impl<'a> Menu<'a> {
    fn new(list: &'a [Treatment], bars: usize, again: i64) -> Menu<'a> {
        let mut by_bar = vec![Vec::new(); bars];
        for (i, t) in list.iter().enumerate().filter(|(_, t)| t.end() <= bars) {
            by_bar[t.bar].push(i);
        }
        let kinds = list.iter().map(|t| t.kind + 1).max().unwrap_or(0);
        Menu {
            list,
            by_bar,
            again,
            kinds,
        }
    }

    fn at(&self, bar: usize) -> impl Iterator<Item = (usize, &'a Treatment)> {
        let list = self.list;
        self.by_bar[bar].iter().map(move |&i| (i, &list[i]))
    }

    /// What a treatment loses after one of some kind.
    fn loses(&self, before: Option<usize>, t: &Treatment) -> i64 {
        if before == Some(t.kind) {
            self.again
        } else {
            0
        }
    }

    /// For each bar, the least effort that the rest can come to; below nothing where it gets easier.
    fn cheapest(&self) -> Vec<i64> {
        let bars = self.by_bar.len();
        let mut least = vec![0i64; bars + 1];
        for bar in (0..bars).rev() {
            let ways = self.at(bar).map(|(_, t)| t.effort + least[t.end()]);
            least[bar] = ways.chain([least[bar + 1]]).min().unwrap_or(0);
        }
        least
    }

    /// The lowest price of effort at which the best choice keeps to the budget, as a bound, and the
    /// greatest worth that such a choice was seen to have.
    fn bound(&self, budget: i64) -> (Bound, i64) {
        let mut known = i64::MIN;
        let (mut low, mut high) = (0, DEAREST);
        let mut best = self.priced(high);
        while low < high {
            let price = low + (high - low) / 2;
            let bound = self.priced(price);
            let (worth, effort) = self.follow(&bound);
            if effort <= budget {
                known = known.max(worth);
                (high, best) = (price, bound);
            } else {
                low = price + 1;
            }
        }
        (best, known)
    }

    /// The bound at a price of effort.
    fn priced(&self, price: i64) -> Bound {
        let bars = self.by_bar.len();
        let mut rest = vec![vec![0; self.kinds + 1]; bars + 1];
        for bar in (0..bars).rev() {
            let mut here = vec![rest[bar + 1][0]; self.kinds + 1];
            for (_, t) in self.at(bar) {
                let gives = FINE * t.worth - price * t.effort + rest[t.end()][t.kind + 1];
                for (before, most) in here.iter_mut().enumerate() {
                    *most = (*most).max(gives - FINE * self.loses(before.checked_sub(1), t));
                }
            }
            rest[bar] = here;
        }
        Bound { price, rest }
    }

    /// Worth and effort of the choice that a bound comes from.
    fn follow(&self, bound: &Bound) -> (i64, i64) {
        let (mut worth, mut effort) = (0, 0);
        let (mut bar, mut before) = (0, None);
        while bar < self.by_bar.len() {
            let most = bound.rest[bar][before.map_or(0, |k| k + 1)];
            let taken = self.at(bar).map(|(_, t)| t).find(|t| {
                let own = t.worth - self.loses(before, t);
                FINE * own - bound.price * t.effort + bound.rest[t.end()][t.kind + 1] == most
            });
            let Some(t) = taken.filter(|_| most > bound.rest[bar + 1][0]) else {
                (bar, before) = (bar + 1, None);
                continue;
            };
            worth += t.worth - self.loses(before, t);
            effort += t.effort;
            (bar, before) = (t.end(), Some(t.kind));
        }
        (worth, effort)
    }
}

impl Bound {
    /// The most that a choice so far can come to that goes on at a bar after some kind, with its worth
    /// and what is left of the budget.
    fn most(&self, bar: usize, before: Option<usize>, (worth, left): (i64, i64)) -> i64 {
        let rest = self.rest[bar][before.map_or(0, |k| k + 1)];
        let most = i128::from(FINE) * i128::from(worth)
            + i128::from(self.price) * i128::from(left)
            + i128::from(rest);
        most.div_euclid(i128::from(FINE)) as i64
    }
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

    /// Up to eight treatments of four bars.
    fn treatments() -> impl Strategy<Value = Vec<Treatment>> {
        let one = (0..4usize, 1..=2usize, 0..3usize, -300..900i64, -200..500i64);
        prop::collection::vec(one, 0..9).prop_map(|list| {
            let mut list: Vec<Treatment> = (list.into_iter())
                .map(|(bar, bars, kind, worth, effort)| Treatment {
                    bar,
                    bars,
                    kind,
                    worth,
                    effort,
                })
                .collect();
            list.sort_by_key(|t| t.bar);
            list
        })
    }

    /// Worth and effort of every set of treatments that can be taken together over four bars.
    fn every_choice(list: &[Treatment]) -> impl Iterator<Item = (i64, i64)> {
        (0..1u32 << list.len()).filter_map(|mask| {
            let set: Vec<usize> = (0..list.len()).filter(|i| mask >> i & 1 == 1).collect();
            weigh(list, &set, 4, 250)
        })
    }

    #[test]
    fn a_choice_within_the_budget_is_known_before_the_search() {
        let treatment = |kind, worth, effort| Treatment {
            bar: 0,
            bars: 1,
            kind,
            worth,
            effort,
        };
        let list = [treatment(0, 900, 500), treatment(1, 400, 100)];
        let known = |budget| Menu::new(&list, 2, 250).bound(budget).1;
        assert_eq!((known(600), known(200), known(50)), (900, 400, 0));
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn the_most_at_a_price_is_found_and_followed(list in treatments(), price in 0..4_000i64) {
            let menu = Menu::new(&list, 4, 250);
            let bound = menu.priced(price);
            let gives = |(worth, effort)| FINE * worth - price * effort;
            let most = every_choice(&list).map(gives).max();
            prop_assert_eq!(Some(bound.rest[0][0]), most);
            prop_assert_eq!(Some(gives(menu.follow(&bound))), most);
        }

        #[test]
        fn nothing_better_is_had_for_the_budget(list in treatments(), budget in -100..900i64) {
            let within = every_choice(&list).filter(|&(_, effort)| effort <= budget);
            let best = within.map(|(worth, effort)| (worth, -effort)).max();
            let taken = choose(&list, 4, budget, 250);
            let found = weigh(&list, &taken, 4, 250).map(|(w, e)| (w, -e));
            match best {
                Some(best) => prop_assert_eq!(found, Some(best)),
                None => prop_assert!(taken.is_empty()),
            }
        }
    }
}
