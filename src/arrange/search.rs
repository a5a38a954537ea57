//! The exact search: dynamic programming over slices.
//!
//! A state is a shape, so what is held is part of it. From each state every set of its notes that
//! may ring on is tried, and over each set every way to strike what the next slice wants. Nothing is
//! cut for speed that could be part of the best answer: a candidate's predecessors are tried in
//! rising order of cost until their cost alone is too high, and a state is dropped only when another
//! one is shown to do at least as well whatever comes ([`super::outdone`]).

use super::candidates::{Candidate, Candidates, Kept, Melody};
use super::cost::Costs;
use super::frontier::{Entry, Frontier, Gather, Group, Groups, Node, Ways};
use super::outdone::{NEVER, Prune};
use super::pins::Fence;
use super::plan::Plan;
use super::shape::{NONE, NOWHERE, Shapes};
use super::step::{haste, price_depth, price_hand, price_leading};
use crate::guitar::{Hand, Instrument};
use rustc_hash::{FxHashMap, FxHashSet};
use std::rc::Rc;

/// What the search makes least.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Goal {
    /// The whole price.
    #[default]
    Total,
    /// The price of the hardest single step, and among those answers the whole price.
    HardestStep,
}

/// How prices of steps are put together along a way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Measure {
    /// Added up; no single step may cost more than the cap.
    Sum { cap: i64 },
    /// The greatest of them.
    Greatest,
}

impl Measure {
    #[inline]
    pub fn join(self, so_far: i64, step: i64) -> i64 {
        match self {
            Measure::Sum { cap } if step > cap => NEVER,
            Measure::Sum { .. } => so_far.saturating_add(step),
            Measure::Greatest => so_far.max(step),
        }
    }

    /// What a way costs at least that has cost `so_far` and still has to pay `part` of a step.
    #[inline]
    pub fn at_least(self, so_far: i64, part: i64) -> i64 {
        match self {
            Measure::Sum { .. } => so_far + part,
            Measure::Greatest => so_far.max(part),
        }
    }
}

/// All states of all slices searched so far.
pub(crate) struct Trellis {
    pub slices: Vec<Vec<Node>>,
}

/// What is worth keeping from one search to the next over the same instrument, hand and costs.
pub(crate) struct Bench<'a> {
    pub shapes: Shapes<'a>,
    candidates: Candidates,
}

impl<'a> Bench<'a> {
    pub fn new(instrument: &'a Instrument, hand: &'a Hand, costs: &'a Costs) -> Bench<'a> {
        Bench {
            shapes: Shapes::new(instrument, hand, costs),
            candidates: Candidates::default(),
        }
    }
}

/// The search over one plan.
pub(crate) struct Search<'p, 'b, 'a> {
    pub plan: &'p Plan,
    pub bench: &'b mut Bench<'a>,
    costs: &'a Costs,
    pub measure: Measure,
    /// For each slice with pins: what a candidate must look like.
    pub fences: FxHashMap<usize, Fence>,
    /// Ways that cost by no more than this beyond the best one are kept as well.
    pub slack: i64,
    /// Slices into which no way that is asked for lets the bass go.
    pub bass_stays: FxHashSet<usize>,
}

impl<'p, 'b, 'a> Search<'p, 'b, 'a> {
    pub fn new(plan: &'p Plan, bench: &'b mut Bench<'a>, measure: Measure) -> Search<'p, 'b, 'a> {
        Search {
            plan,
            costs: bench.shapes.costs,
            bench,
            measure,
            fences: FxHashMap::default(),
            slack: 0,
            bass_stays: FxHashSet::default(),
        }
    }

    /// Searches the whole plan. Stops with the slice at which nothing is left: pins that can't be
    /// met, or every way over `limit`.
    pub fn run(&mut self, limit: i64) -> Result<Trellis, usize> {
        let mut trellis = Trellis {
            slices: Vec::with_capacity(self.plan.slices.len()),
        };
        let mut groups = Groups::default();
        let mut before = vec![Node {
            shape: Shapes::SILENCE,
            place: NOWHERE,
            held: 0,
            cost: 0,
            back: 0,
        }];
        groups.start();
        for index in 0..self.plan.slices.len() {
            let mut frontier = self.frontier(index, limit);
            self.advance(index, &before, &groups, &mut frontier);
            if index > 0 {
                trellis.slices.push(before);
            }
            if frontier.nodes.is_empty() {
                return Err(index);
            }
            frontier.group(&self.bench.shapes, self.measure, &mut groups);
            before = frontier.nodes;
        }
        if !self.plan.slices.is_empty() {
            trellis.slices.push(before);
        }
        Ok(trellis)
    }

    /// No states yet for the slice `index`; none that costs `limit` or more will be taken up.
    pub fn frontier(&self, index: usize, limit: i64) -> Frontier {
        // A cap or another measure leaves no room for one state to do as another does.
        let prune = (self.measure == Measure::Sum { cap: NEVER }).then(|| Prune {
            slack: self.slack,
            bass_stays: self.bass_stays.contains(&(index + 1)),
        });
        Frontier::new(self.plan, &self.bench.shapes, index, limit, prune)
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
        let (haste, depth) = self.pace(index);
        for group in groups.list() {
            let list = self.candidates_for(index, group);
            let mut ways = Ways::new(group);
            for candidate in list.iter() {
                let shape = self.bench.shapes.get(candidate.shape);
                let Some(frontier) = into.frontier(shape) else {
                    continue;
                };
                let from = ways.to(
                    &self.bench.shapes,
                    before,
                    self.measure,
                    (candidate.place, haste),
                );
                self.reach(before, (group, from), candidate, (haste, depth), frontier);
            }
        }
    }

    /// Finds the best way to one candidate among the predecessors of its group.
    #[inline]
    fn reach(
        &self,
        before: &[Node],
        (group, from): (&Group, &[Entry]),
        candidate: &Candidate,
        (haste, depth): (i64, i64),
        frontier: &mut Frontier,
    ) {
        let fixed = candidate.fixed + depth;
        // With no finger set down the hand's place is its predecessor's, so each one counts.
        let stays = candidate.place == NOWHERE;
        let least = from
            .first()
            .map_or(NEVER, |e| self.measure.at_least(e.least, fixed));
        if !stays && frontier.is_beyond(candidate.place, least) {
            return;
        }
        let shape = self.bench.shapes.get(candidate.shape);
        let ringing = frontier.ringing(&self.bench.shapes, shape);
        let mut node = Node {
            shape: candidate.shape,
            place: candidate.place,
            held: group.held,
            cost: NEVER,
            back: 0,
        };
        if !stays
            && frontier.is_hopeless(
                &self.bench.shapes,
                (shape, candidate.place),
                least,
                &ringing,
            )
        {
            return;
        }
        for entry in from {
            if !stays && self.measure.at_least(entry.least, fixed) >= node.cost {
                break;
            }
            let was = &before[entry.node as usize];
            let step = self.step(entry, was, candidate, (haste, depth));
            let cost = self.measure.join(entry.so_far, step);
            if stays {
                let node = Node {
                    place: was.place,
                    cost,
                    back: entry.node,
                    ..node
                };
                frontier.put(&self.bench.shapes, node, &ringing);
            } else if cost < node.cost {
                node.cost = cost;
                node.back = entry.node;
            }
        }
        if !stays {
            frontier.put(&self.bench.shapes, node, &ringing);
        }
    }

    /// What it costs to come from a predecessor to a candidate, letting go included.
    #[inline]
    pub fn step(
        &self,
        entry: &Entry,
        was: &Node,
        candidate: &Candidate,
        (haste, depth): (i64, i64),
    ) -> i64 {
        let shapes = &self.bench.shapes;
        let (from, shape) = (shapes.get(was.shape), shapes.get(candidate.shape));
        let mut step = entry.release + candidate.fixed + depth;
        let to = (shape, candidate.struck, candidate.place);
        price_hand(shapes, haste, (from, was.place), to, &mut step);
        if candidate.leads {
            price_leading(self.costs, from, shape, &mut step);
        }
        step
    }

    /// How hurried the step into the slice `index` is, and what it costs in any case.
    pub fn pace(&self, index: usize) -> (i64, i64) {
        let mut depth = 0;
        price_depth(self.plan, self.costs, index, &mut depth);
        (haste(self.plan.slices[index].millis), depth)
    }

    /// Every way to strike what the slice wants while a group's notes ring on.
    pub fn candidates_for(&mut self, index: usize, group: &Group) -> Rc<[Candidate]> {
        let wanted = &self.plan.slices[index];
        let melody = match wanted.melody {
            Some(i) => {
                let midi = self.plan.melody[i].pitch.midi();
                let touched = |(string, fret)| Melody::Touched(midi, string, fret);
                wanted.touch.map_or(Melody::Struck(midi), touched)
            }
            None if group.keep.melody != NONE => Melody::Held(group.keep.melody),
            None => Melody::Silent,
        };
        let kept = Kept {
            grip: group.keep.grip,
            bass: group.keep.bass,
            missing: group.missing,
            wide: self.fences.contains_key(&index),
        };
        let Bench { shapes, candidates } = &mut *self.bench;
        let list = match wanted.stroke {
            Some(i) => candidates.stroke(shapes, kept, melody, &self.plan.strokes[i]),
            None => candidates.melody(shapes, kept, melody),
        };
        match self.fences.get(&index) {
            Some(fence) => fence.filter(shapes, kept, melody, &list),
            None => list,
        }
    }
}
