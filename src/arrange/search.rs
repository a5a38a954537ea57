//! The exact search: dynamic programming over slices.
//!
//! A state is a shape, so what is held is part of it. From each state every set of its notes that
//! may ring on is tried, and over each set every way to strike what the next slice wants. Nothing is
//! cut for speed that could be part of the best answer: a candidate's predecessors are tried in
//! rising order of cost until their cost alone is too high, and a state is dropped only when another
//! one is shown to do at least as well whatever comes ([`super::outdone`]).

use super::candidates::{Ask, Candidate, Candidates, Kept, List, Melody, candidate};
use super::cost::Costs;
use super::frontier::{Frontier, Gather, Node, Spare};
use super::groups::{Entry, Group, Groups, View, Ways};
use super::keep::Keeps;
use super::measure::{Measure, Pace};
use super::outdone::{NEVER, Prune, Rests};
use super::pins::{Fence, held_whole};
use super::plan::Plan;
use super::shape::{NONE, NOWHERE, Shape, Shapes};
use super::step::{haste, jump, price_depth, price_fingers, price_leading};
use super::worth::{Heard, Worth};
use crate::guitar::{Hand, Instrument};
use rustc_hash::{FxHashMap, FxHashSet};
use std::cell::OnceCell;
use std::ops::Range;
use std::rc::Rc;

/// All states of all slices searched so far.
pub(crate) struct Trellis {
    pub slices: Vec<Vec<Node>>,
}

/// What is worth keeping from one search to the next over the same instrument, hand and costs.
pub(crate) struct Bench<'a> {
    pub shapes: Shapes<'a>,
    pub keeps: Keeps,
    pub candidates: Candidates,
    /// Room from the last sweep for the next one.
    groups: Groups,
    ways: Ways,
    spare: Spare,
}

impl<'a> Bench<'a> {
    pub fn new(instrument: &'a Instrument, hand: &'a Hand, costs: &'a Costs) -> Bench<'a> {
        Bench {
            shapes: Shapes::new(instrument, hand, costs),
            keeps: Keeps::default(),
            candidates: Candidates::default(),
            groups: Groups::default(),
            ways: Ways::default(),
            spare: Spare::default(),
        }
    }
}

/// How many states of each slice the narrow search follows.
const NARROW: usize = 14;

/// How much dearer candidates are looked at in each go: as much as one note missing to a chord.
const FURTHER: i64 = 600;

/// The search over one plan.
pub(crate) struct Search<'p, 'b, 'a> {
    pub plan: &'p Plan,
    pub bench: &'b mut Bench<'a>,
    costs: &'a Costs,
    pub measure: Measure,
    /// The slices searched.
    pub(super) steps: Range<usize>,
    /// The state before them.
    start: Node,
    /// For each slice with pins: what a candidate must look like.
    pub(super) fences: FxHashMap<usize, Fence>,
    /// Slices none of whose states does as another does: a pinned grip to come holds what rings.
    whole: FxHashSet<usize>,
    /// Slices whose states must be these, with the same strings held over.
    pub settled: FxHashMap<usize, Node>,
    /// Ways that cost by no more than this beyond the best one are kept as well.
    pub slack: i64,
    /// By slice, once it was asked for: what should ring on from it.
    rests: Vec<OnceCell<Rc<Rests>>>,
    /// By stroke: the kind of its candidates.
    kinds: Vec<u32>,
    /// Slices into which no way that is asked for lets the bass go.
    pub bass_stays: FxHashSet<usize>,
}

impl<'p, 'b, 'a> Search<'p, 'b, 'a> {
    pub fn new(plan: &'p Plan, bench: &'b mut Bench<'a>, measure: Measure) -> Search<'p, 'b, 'a> {
        let kinds = &mut bench.candidates;
        Search {
            rests: vec![OnceCell::new(); plan.slices.len()],
            kinds: plan.strokes.iter().map(|s| kinds.kind(s)).collect(),
            plan,
            costs: bench.shapes.costs,
            bench,
            measure,
            steps: 0..plan.slices.len(),
            start: Node::START,
            fences: FxHashMap::default(),
            whole: FxHashSet::default(),
            settled: FxHashMap::default(),
            slack: 0,
            bass_stays: FxHashSet::default(),
        }
    }

    /// Keeps pins.
    pub fn fence_in(&mut self, fences: FxHashMap<usize, Fence>) {
        self.whole = held_whole(&fences, self.plan);
        self.fences = fences;
    }

    /// Searches some slices only, from the state `start` before them.
    pub fn between(&mut self, start: Node, steps: Range<usize>) {
        (self.start, self.steps) = (start, steps);
    }

    /// Searches all the slices. Stops with the slice at which nothing is left: pins that can't be
    /// met, or every way over `limit`.
    pub fn run(&mut self, limit: i64) -> Result<Trellis, usize> {
        if !self.adds_up() || self.slack > 0 {
            return self.sweep(limit, &[], None);
        }
        if limit < NEVER {
            return self.within(limit - 1);
        }
        let floors = self.floors(NEVER).ok_or(0usize)?;
        let mut beyond = Vec::with_capacity(self.steps.len());
        let narrow = self.sweep(NEVER, &[], Some(&mut beyond)).ok();
        let found = narrow.and_then(|t| t.slices.last()?.iter().map(|n| n.cost).min());
        let worths = self.worths(&floors, &beyond, found.unwrap_or(NEVER));
        self.sweep(NEVER, &worths, None)
    }

    /// Searches for ways that cost no more than `most`.
    pub fn within(&mut self, most: i64) -> Result<Trellis, usize> {
        let floors = self.floors(most.saturating_add(1)).ok_or(0usize)?;
        let worths = self.worths(&floors, &[], most);
        self.sweep(most.saturating_add(1), &worths, None)
    }

    /// Goes through all slices once, in each through the states that cost no more than `worths` says of
    /// it. A narrow search follows only a few of them, and takes up what it finds out about others.
    fn sweep(
        &mut self,
        limit: i64,
        worths: &[Worth],
        narrow: Option<&mut Vec<Worth>>,
    ) -> Result<Trellis, usize> {
        let mut groups = std::mem::take(&mut self.bench.groups);
        let found = self.sweep_through(limit, worths, narrow, &mut groups);
        self.bench.groups = groups;
        found
    }

    fn sweep_through(
        &mut self,
        limit: i64,
        worths: &[Worth],
        mut narrow: Option<&mut Vec<Worth>>,
        groups: &mut Groups,
    ) -> Result<Trellis, usize> {
        let width = narrow.as_ref().map_or(usize::MAX, |_| NARROW);
        let mut trellis = Trellis {
            slices: Vec::with_capacity(self.steps.len()),
        };
        let mut before = self.starting(groups);
        let first = self.steps.start;
        for index in self.steps.clone() {
            let mut frontier = self.frontier(index, limit);
            if let Some(worth) = worths.get(index - first) {
                frontier.bound(worth);
            }
            if narrow.is_some() {
                frontier.narrow(width);
            }
            self.advance(index, &before, groups, &mut frontier);
            if index > first {
                trellis.slices.push(before);
            }
            if frontier.nodes.is_empty() {
                return Err(index);
            }
            if let Some(beyond) = &mut narrow {
                beyond.push(frontier.beyond());
            }
            frontier.group(self.bench, self.measure, (0, width), groups);
            (before, self.bench.spare) = frontier.finish();
        }
        if !self.steps.is_empty() {
            trellis.slices.push(before);
        }
        Ok(trellis)
    }

    /// The one state before all steps, and what of it may ring on.
    pub fn starting(&mut self, groups: &mut Groups) -> Vec<Node> {
        let Some(index) = self.steps.start.checked_sub(1) else {
            groups.start(self.bench);
            return vec![self.start];
        };
        let mut frontier = self.frontier(index, NEVER);
        let shapes = &self.bench.shapes;
        let ringing = frontier.ringing(shapes, shapes.get(self.start.shape));
        frontier.put(shapes, self.start, &ringing);
        frontier.group(self.bench, self.measure, (0, usize::MAX), groups);
        frontier.nodes
    }

    /// Whether the whole price counts and no single step, so that one state may outdo another.
    fn adds_up(&self) -> bool {
        self.measure == Measure::Sum { cap: NEVER }
    }

    /// What should ring on from the slice `index`.
    pub fn rests(&self, index: usize) -> &Rc<Rests> {
        self.rests[index].get_or_init(|| Rc::new(Rests::new(self.plan, index)))
    }

    /// No states yet for the slice `index`; none that costs `limit` or more will be taken up.
    pub fn frontier(&mut self, index: usize, limit: i64) -> Frontier {
        // A cap, another measure or a pinned grip to come leaves no room for one state to do as
        // another does.
        let prune = (self.adds_up() && !self.whole.contains(&index)).then(|| Prune {
            slack: self.slack,
            bass_stays: self.bass_stays.contains(&(index + 1)),
        });
        let rests = self.rests(index).clone();
        let spare = std::mem::take(&mut self.bench.spare);
        let shapes = &self.bench.shapes;
        Frontier::new(self.plan, shapes, (index, rests), limit, prune, spare)
    }

    /// Gathers the states of the slice `index` that come from the groups given, with the best way to
    /// each.
    pub fn advance(
        &mut self,
        index: usize,
        before: &[Node],
        groups: &Groups,
        into: &mut impl Gather,
    ) {
        let pace = self.pace(index);
        let depth = pace.depth;
        let measure = self.measure;
        let mut ways = std::mem::take(&mut self.bench.ways);
        for group in groups.list() {
            let entries = groups.entries(group);
            ways.turn();
            let (mut seen, mut upto, mut next) = (0, 0, 0);
            // The cheapest come first, so the rest is too dear once the next one is.
            while !into.is_beyond_all(self.measure.at_least(group.least, next + depth)) {
                let at_most = |slot| measure.left(group.least, into.most_at(slot)) - depth;
                let ask = Ask {
                    upto,
                    at_most: &at_most,
                };
                let (list, known) = self.candidates_for(index, group, ask);
                let list = self.bench.candidates.of(list);
                let before_next = list.partition_point(|c| c.fixed <= known);
                for candidate in &list[seen..before_next] {
                    let least = self.measure.at_least(group.least, candidate.fixed + depth);
                    let shape = self.bench.shapes.get(candidate.shape);
                    let Some(frontier) = into.frontier(shape) else {
                        continue;
                    };
                    if candidate.place != NOWHERE && frontier.is_beyond(candidate.place, least) {
                        continue;
                    }
                    let from = ways.to(entries, (measure, &pace), candidate.place);
                    let group = (group.held, entries, from);
                    self.reach(before, group, candidate, &pace, frontier);
                }
                seen = before_next;
                if known == NEVER {
                    break;
                }
                (next, upto) = (known + 1, known + FURTHER);
            }
        }
        self.bench.ways = ways;
    }

    /// Finds the best way to one candidate among the predecessors of its group.
    #[inline]
    fn reach(
        &self,
        before: &[Node],
        (held, entries, from): (u8, &[Entry], &View),
        candidate: &Candidate,
        pace: &Pace,
        frontier: &mut Frontier,
    ) {
        let fixed = candidate.fixed + pace.depth;
        let Some(least) = from.least.get(from.best) else {
            return;
        };
        let least = self.measure.at_least(*least, fixed);
        // With no finger set down the hand's place is its predecessor's, so each one counts.
        let stays = candidate.place == NOWHERE;
        if !stays && frontier.is_beyond(candidate.place, least) {
            return;
        }
        let shape = self.bench.shapes.get(candidate.shape);
        let ringing = frontier.ringing(&self.bench.shapes, shape);
        let shapes = &self.bench.shapes;
        let mut node = Node {
            shape: candidate.shape,
            place: candidate.place,
            held,
            cost: NEVER,
            back: 0,
        };
        let most = frontier.most(shapes, (shape, candidate.place), &ringing);
        if !stays && least > most {
            return;
        }
        let mut take = |i: usize| {
            let entry = &entries[i];
            let was = &before[entry.node as usize];
            let step = self.step(entry, shapes.get(was.shape), candidate, pace);
            let cost = self.measure.join(entry.so_far, step);
            if stays {
                let node = Node {
                    place: was.place,
                    cost,
                    back: entry.node,
                    ..node
                };
                frontier.put(shapes, node, &ringing);
            } else if cost < node.cost {
                node.cost = cost;
                node.back = entry.node;
            }
            node.cost
        };
        // The likely best first: most of the others can't be cheaper.
        let mut known = take(from.best);
        for (i, &least) in from.least.iter().enumerate() {
            if i != from.best && (stays || self.measure.at_least(least, fixed) < known) {
                known = take(i);
            }
        }
        if !stays && node.cost <= most {
            frontier.take(shapes, node, &ringing);
        }
    }

    /// What it costs to come from a predecessor to a candidate, letting go included.
    #[inline]
    pub fn step(&self, entry: &Entry, from: &Shape, candidate: &Candidate, pace: &Pace) -> i64 {
        let shape = self.bench.shapes.get(candidate.shape);
        let travel = pace.travel(entry.place, candidate.place);
        let mut step = entry.release + candidate.fixed + pace.depth + travel;
        let to = (shape, candidate.struck);
        price_fingers(self.costs, pace.jump, from, to, &mut step);
        if candidate.leads {
            price_leading(self.costs, from, shape, &mut step);
        }
        step
    }

    /// What the step into the slice `index` costs whatever it is, and its moves.
    pub fn pace(&self, index: usize) -> Pace {
        let mut depth = 0;
        price_depth(self.plan, self.costs, index, &mut depth);
        let haste = haste(self.plan.slices[index].millis);
        Pace {
            depth,
            jump: jump(self.costs, haste),
            travels: self.bench.shapes.travels(haste),
        }
    }

    /// The ways to strike what the slice wants while a group's notes ring on: the cheapest first, and
    /// every one that is asked for. With it goes what every other one of use costs more than.
    pub fn candidates_for(&mut self, index: usize, group: &Group, ask: Ask) -> (List, i64) {
        let (kept, melody) = self.over(index, (group.id, group.missing));
        let Bench {
            shapes, candidates, ..
        } = &mut *self.bench;
        let stroke =
            (self.plan.slices[index].stroke).map(|i| (self.kinds[i], &self.plan.strokes[i]));
        if let Some(node) = self.settled.get(&index) {
            if kept.grip != shapes.get(node.shape).kept(node.held) {
                return (List::default(), NEVER);
            }
            let own = candidate(shapes, node.shape, kept, stroke.map(|(_, s)| s));
            let (all, _) = candidates.list(shapes, kept, melody, stroke, Ask::upto(own.fixed));
            let known = (candidates.of(all).iter()).any(|c| c.shape == own.shape);
            return (candidates.add(known.then_some(own)), NEVER);
        }
        let Some(fence) = self.fences.get(&index) else {
            return candidates.list(shapes, kept, melody, stroke, ask);
        };
        let (all, _) = candidates.list(shapes, kept, melody, stroke, Ask::ALL);
        let within = fence.filter(shapes, kept, melody, candidates.of(all));
        (candidates.add(within), NEVER)
    }

    /// What the cheapest candidate costs with nothing else sounding once `heard` has, by the slot of the
    /// hand's place.
    pub fn alone(&mut self, index: usize, heard: Heard) -> Worth {
        let nothing = self.bench.keeps.of(&Shape::SILENCE, 0);
        let (kept, melody) = self.over(index, (nothing, 0));
        let Bench {
            shapes, candidates, ..
        } = &mut *self.bench;
        let stroke =
            (self.plan.slices[index].stroke).map(|i| (self.kinds[i], &self.plan.strokes[i]));
        candidates.least(shapes, (kept, heard), melody, stroke)
    }

    /// What rings on into a slice when it is just a set of notes, and what the melody does over it.
    fn over(&self, index: usize, (keep, missing): (u32, u8)) -> (Kept, Melody) {
        let wanted = &self.plan.slices[index];
        let held = *self.bench.keeps.get(keep);
        let melody = match wanted.melody {
            Some(i) => {
                let midi = self.plan.melody[i].pitch.midi();
                let touched = |(string, fret)| Melody::Touched(midi, string, fret);
                wanted.touch.map_or(Melody::Struck(midi), touched)
            }
            None if held.melody != NONE => Melody::Held(held.melody),
            None => Melody::Silent,
        };
        let kept = Kept {
            id: keep,
            grip: held.grip,
            bass: held.bass,
            missing,
            wide: self.fences.contains_key(&index),
        };
        (kept, melody)
    }
}
