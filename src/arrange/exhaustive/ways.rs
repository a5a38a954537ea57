//! The k best and the front of a bar held against trying everything.

use super::*;
use crate::arrange::answer::price_step;
use crate::arrange::cost::Price;
use crate::arrange::search::Bench;
use crate::arrange::solve::{Case, Solved};
use crate::arrange::variants::{best, from_slack, variants, with_slack};
use crate::arrange::{Arrangement, Options};
use std::collections::{BTreeMap, HashMap};

const START: Node = Node {
    shape: Shapes::SILENCE,
    place: NOWHERE,
    held: 0,
    cost: 0,
    back: 0,
};

/// What sounds in each slice, and what of it is held.
type Played = Vec<(Grip, u8)>;

impl Everything<'_> {
    /// Every state that may follow, with the price of going there.
    fn following(&self, states: &[Vec<u32>], index: usize, before: &Node) -> Vec<(Node, Price)> {
        let from = self.shapes.get(before.shape);
        let mut out = Vec::new();
        for &id in &states[index] {
            let shape = self.shapes.get(id);
            let held = self.follows(index, from, shape);
            let Some(held) = held.filter(|&h| self.lets_ring(index, from, shape, h)) else {
                continue;
            };
            let place = match shape.place(shape.sounding & !held) {
                NOWHERE => before.place,
                place => place,
            };
            let node = Node {
                shape: id,
                place,
                held,
                ..START
            };
            let last = (index > 0).then_some(before);
            let price = price_step(self.plan, &self.shapes, index, last, &node);
            out.push((node, price));
        }
        out
    }

    /// Whether every open string of bass and fill that is let go is in the way of what sounds then:
    /// of its string, or of how far the hand reaches.
    fn lets_ring(&self, index: usize, before: &Shape, shape: &Shape, held: u8) -> bool {
        let at = self.plan.slices[index].at;
        let reach = |grip: &Grip| {
            let judged = self.shapes.hand.judge(&self.shapes.neck, grip).ok()?;
            let reserve = judged.map_or(0, |s| i64::from(s.reserve));
            Some(self.shapes.costs.stretch * reserve * reserve / 1_000_000)
        };
        before.strings().all(|s| {
            let rings = before.grip.frets[s] == 0
                && before.melody != s as u8
                && held >> s & 1 == 0
                && wanted_until(self.plan, index - 1, before, s) > at;
            let mut with = shape.grip;
            with.frets[s] = 0;
            !rings
                || shape.grip.frets[s] >= 0
                || reach(&with).is_none_or(|far| Some(far) > reach(&shape.grip))
        })
    }

    /// The least cost from a state to the end.
    fn rest(&self, states: &[Vec<u32>], index: usize, before: &Node, memo: &mut Memo) -> i64 {
        if index == states.len() {
            return 0;
        }
        let key = (index, before.shape, before.place);
        if let Some(&known) = memo.get(&key) {
            return known;
        }
        let ways = self.following(states, index, before);
        let costs = ways
            .iter()
            .map(|(n, p)| p.total() + self.rest(states, index + 1, n, memo));
        let least = costs.min().unwrap_or(NEVER);
        memo.insert(key, least);
        least
    }

    /// Every way that costs `most` or less, by what is played, with the least cost of playing that.
    fn within(&self, states: &[Vec<u32>], most: i64) -> HashMap<Played, i64> {
        let mut memo = Memo::new();
        let mut found = HashMap::new();
        let mut open = vec![(START, 0, Played::new())];
        while let Some((before, cost, played)) = open.pop() {
            let index = played.len();
            if index == states.len() {
                let least = found.entry(played).or_insert(cost);
                *least = cost.min(*least);
                continue;
            }
            for (node, price) in self.following(states, index, &before) {
                let cost = cost + price.total();
                if cost + self.rest(states, index + 1, &node, &mut memo) <= most {
                    let mut longer = played.clone();
                    longer.push((self.shapes.get(node.shape).grip, node.held));
                    open.push((node, cost, longer));
                }
            }
        }
        found
    }

    /// For each fullness of the bar the least effort and then price of the whole song, where all
    /// else is played as in `solved` and nothing is let go that is held there.
    fn by_fullness(
        &self,
        states: &[Vec<u32>],
        (solved, shapes): (&Solved, &Shapes),
        bar: usize,
    ) -> BTreeMap<usize, (i64, i64)> {
        let mut table = HashMap::from([((START.shape, START.place, 0), (0, 0))]);
        for index in 0..states.len() {
            let slice = &self.plan.slices[index];
            let (best, best_held) = {
                let node = &solved.path[index];
                (shapes.get(node.shape), node.held)
            };
            let mut next = HashMap::new();
            for (&(shape, place, full), &(effort, total)) in &table {
                let before = Node {
                    shape,
                    place,
                    ..START
                };
                for (node, price) in self.following(states, index, &before) {
                    let shape = self.shapes.get(node.shape);
                    let keeps = |voice: u8, best: u8| {
                        let held = best != NONE && best_held >> best & 1 == 1;
                        !held || (voice != NONE && node.held >> voice & 1 == 1)
                    };
                    let fits = if slice.bar == bar {
                        keeps(shape.melody, best.melody)
                            && keeps(shape.bass, best.bass)
                            && (best.bass == NONE || shape.bass != NONE)
                    } else {
                        shape == best && node.held == best_held
                    };
                    if !fits {
                        continue;
                    }
                    let here = (slice.stroke.filter(|_| slice.bar == bar))
                        .map_or(0, |i| self.fullness(shape, &self.plan.strokes[i].chord));
                    let way = (effort + price.effort(), total + price.total());
                    let key = (node.shape, node.place, full + here);
                    let known = next.entry(key).or_insert(way);
                    *known = way.min(*known);
                }
            }
            table = next;
        }
        let mut out = BTreeMap::new();
        for ((_, _, full), way) in table {
            let known = out.entry(full).or_insert(way);
            *known = way.min(*known);
        }
        out
    }

    /// Notes sounding and distinct chord tones among them.
    fn fullness(&self, shape: &Shape, chord: &Chord) -> usize {
        let sounds = |s: &usize| shape.grip.frets[*s] >= 0;
        let class = |s: usize| {
            let fret = shape.grip.frets[s].unsigned_abs();
            self.shapes.instrument.sounding(s as u8 + 1, fret) % 12
        };
        let notes = (0..STRINGS).filter(sounds).count();
        let heard = |c: &i32| (0..STRINGS).any(|s| sounds(&s) && class(s) == *c);
        notes + chord.classes().filter(heard).count()
    }
}

/// Runs `check` with everything there is for a song.
fn with_everything(
    song: &Song,
    layer: Layer,
    check: impl FnOnce(&Everything, &[Vec<u32>], &Options),
) {
    let (instrument, hand) = (instrument(), Hand::named("medium").unwrap());
    let options = Options {
        layer,
        shift: Some(0),
        ..Options::default()
    };
    let plan = Plan::new(song, layer, 0);
    let shapes = Shapes::new(&instrument, &hand, &options.costs);
    let grips = all_grips(&hand, &shapes);
    let mut all = Everything {
        plan: &plan,
        shapes,
        grips: &grips,
        measure: Measure::Sum { cap: NEVER },
    };
    let states: Vec<Vec<u32>> = (0..plan.slices.len()).map(|i| all.states(i)).collect();
    check(&all, &states, &options);
}

/// What is played in an arrangement.
fn played(arrangement: &Arrangement) -> Played {
    let slices = arrangement.slices.iter();
    slices
        .map(|slice| {
            let struck = |p: &&crate::arrange::Pluck| p.at == slice.at;
            let struck = arrangement.plucks.iter().filter(struck);
            let struck = struck.fold(0, |set, p| set | 1 << (p.string - 1));
            let sounding = (0..STRINGS).filter(|&s| slice.grip.frets[s] >= 0);
            let sounding = sounding.fold(0u8, |set, s| set | 1 << s);
            (slice.grip, sounding & !struck)
        })
        .collect()
}

fn compare_best(song: &Song, layer: Layer, k: usize) {
    with_everything(song, layer, |all, states, options| {
        let (instrument, hand) = (all.shapes.instrument, all.shapes.hand);
        let found = best(song, instrument, hand, options, k).unwrap();
        let prices: Vec<i64> = found.iter().map(|a| a.price.total()).collect();
        let most = match prices.last() {
            Some(&last) if found.len() == k => last,
            _ => NEVER / 2,
        };
        let known = all.within(states, most);
        let mut least: Vec<i64> = known.values().copied().collect();
        least.sort_unstable();
        least.truncate(k);
        assert_eq!(prices, least, "{layer:?}");
        let mut different: Vec<Played> = Vec::new();
        for arrangement in &found {
            let played = played(arrangement);
            assert_eq!(known.get(&played), Some(&arrangement.price.total()));
            assert!(!different.contains(&played));
            different.push(played);
        }
        let first = crate::arrange::arrange(song, instrument, hand, options).unwrap();
        assert_eq!(found[0], first);
    });
}

fn compare_front(song: &Song, layer: Layer) {
    with_everything(song, layer, |all, states, options| {
        let (instrument, hand) = (all.shapes.instrument, all.shapes.hand);
        let mut bench = Bench::new(instrument, hand, &options.costs);
        let solved = Case { song, options }.settle(&mut bench).unwrap();
        for bar in 0..song.bars.len() {
            let mut wanted = Vec::new();
            let mut least = NEVER;
            let full = all.by_fullness(states, (&solved, &bench.shapes), bar);
            for (full, (effort, total)) in full.into_iter().rev() {
                if effort < least {
                    least = effort;
                    wanted.push((effort, full, total));
                }
            }
            wanted.reverse();
            let front = variants(song, instrument, hand, options, bar).unwrap();
            let found: Vec<_> = (front.variants.iter())
                .map(|v| {
                    let price = v.arrangement.price;
                    (price.effort(), v.fullness as usize, price.total())
                })
                .collect();
            assert_eq!(found, wanted, "{layer:?}, bar {bar}");
            let current = (front.current.effort, front.current.fullness);
            let stands = (front.variants.iter()).position(|v| (v.effort, v.fullness) == current);
            assert_eq!(front.stands, stands);
        }
    });
}

proptest! {
    #![proptest_config(crate::properties::cases(60))]

    #[test]
    fn the_k_best_melodies_are_the_cheapest(bars in bars(), tempo in 40..200u32) {
        compare_best(&song(&bars, &[chord(Letter::C, false, false)], tempo), Layer::Melody, 15);
    }

    #[test]
    fn the_k_best_with_bass_are_the_cheapest(bars in bars(), chords in chords(), tempo in 40..200u32) {
        compare_best(&song(&bars, &chords, tempo), Layer::Bass, 15);
    }

    #[test]
    fn the_k_best_with_fill_are_the_cheapest(bars in bars(), chords in chords(), tempo in 40..200u32) {
        compare_best(&song(&bars, &chords, tempo), Layer::Fill, 40);
    }

    #[test]
    fn nothing_beats_the_front_with_bass(bars in bars(), chords in chords(), tempo in 40..200u32) {
        compare_front(&song(&bars, &chords, tempo), Layer::Bass);
    }

    #[test]
    fn nothing_beats_the_front_with_fill(bars in bars(), chords in chords(), tempo in 40..200u32) {
        compare_front(&song(&bars, &chords, tempo), Layer::Fill);
    }
}

/// Two bars for six strings, with as many notes as bars have.
fn long_bars() -> impl Strategy<Value = Vec<Vec<(i32, i64)>>> {
    tunes(48..=76, 1..=5, 2..=2).prop_filter("needs a note", |bars| {
        bars.iter().flatten().any(|n| n.0 > 0)
    })
}

proptest! {
    #![proptest_config(crate::properties::cases(80))]

    #[test]
    fn dropping_states_does_not_change_what_is_offered(
        bars in long_bars(),
        chords in chords(),
        tempo in 40..240u32,
        ideas in colours::ideas(),
        layer in prop::sample::select(vec![Layer::Bass, Layer::Fill, Layer::Colour]),
    ) {
        let song = colours::coloured(&bars, &chords, tempo, ideas);
        let (guitar, hand) = guitar();
        let options = Options { layer, shift: Some(0), ..Options::default() };
        let on = (&guitar, &hand);
        let levels = |slack| {
            let front = with_slack(&song, on, &options, 1, slack).ok()?;
            let level = |v: &crate::arrange::Variant| (v.effort, v.fullness, v.price.total());
            Some(front.variants.iter().map(level).collect::<Vec<_>>())
        };
        prop_assert_eq!(levels(0), levels(NEVER));
        let prices = |slack| {
            let found = from_slack(&song, on, &options, 10, slack).ok()?;
            Some(found.iter().map(|a| a.price.total()).collect::<Vec<_>>())
        };
        prop_assert_eq!(prices(50), prices(20_000));
    }
}
