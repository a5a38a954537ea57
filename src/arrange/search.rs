//! The exact search: dynamic programming over slices.
//!
//! A state is a shape, so what is held is part of it. From each state every set of its notes that
//! may ring on is tried, and over each set every way to strike what the next slice wants. Nothing is
//! cut for speed that could be part of the best answer: a candidate's predecessors are tried in
//! rising order of cost until their cost alone is too high, and a state is dropped only when another
//! one is shown to do at least as well whatever comes ([`super::outdone`]).

use super::candidates::{Candidate, Candidates, Kept, Melody};
use super::cost::Costs;
use super::outdone::{Outdone, Ringing};
use super::plan::Plan;
use super::shape::{NONE, NOWHERE, Shape, Shapes};
use super::step::{haste, price_depth, price_hand, price_leading};
use crate::guitar::Grip;
use rustc_hash::FxHashMap;
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
    fn join(self, so_far: i64, step: i64) -> i64 {
        match self {
            Measure::Sum { cap } if step > cap => NEVER,
            Measure::Sum { .. } => so_far.saturating_add(step),
            Measure::Greatest => so_far.max(step),
        }
    }

    /// What a way costs at least that has cost `so_far` and still has to pay `part` of a step.
    #[inline]
    fn at_least(self, so_far: i64, part: i64) -> i64 {
        match self {
            Measure::Sum { .. } => so_far + part,
            Measure::Greatest => so_far.max(part),
        }
    }
}

/// More than any way costs.
pub(crate) const NEVER: i64 = i64::MAX / 4;

/// One state in one slice, with the best way to it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Node {
    pub shape: u32,
    /// Where the hand is: the shape's own place, or the last one while no finger is down.
    pub place: i8,
    /// Strings held over from the slice before, as bits.
    pub held: u8,
    pub cost: i64,
    /// Index of the best predecessor in the slice before.
    pub back: u32,
}

/// All states of all slices searched so far.
pub(crate) struct Trellis {
    pub slices: Vec<Vec<Node>>,
}

/// A predecessor that keeps a certain set of notes.
#[derive(Clone, Copy)]
struct Entry {
    /// Cost of the way to it.
    so_far: i64,
    /// Cost of letting go what it does not keep.
    release: i64,
    /// What any way through it costs at least.
    least: i64,
    node: u32,
}

/// The predecessors that keep the same notes.
struct Group {
    kept: Grip,
    melody: u8,
    bass: u8,
    held: u8,
    /// Open strings let go, which must each be in the way of what comes.
    missing: u8,
    entries: Vec<Entry>,
}

/// The search over one plan.
pub(crate) struct Search<'a> {
    pub plan: &'a Plan,
    pub shapes: Shapes<'a>,
    costs: &'a Costs,
    candidates: Candidates,
    measure: Measure,
    /// For each slice with pins: what a candidate must look like.
    pub fences: FxHashMap<usize, super::pins::Fence>,
    /// Keep every state, also those that can't be part of the best way.
    pub keep_all: bool,
    groups: Vec<Group>,
    group_of: FxHashMap<(Grip, u8, u8, u8), usize>,
}

impl<'a> Search<'a> {
    pub fn new(plan: &'a Plan, shapes: Shapes<'a>, measure: Measure) -> Search<'a> {
        Search {
            plan,
            costs: shapes.costs,
            shapes,
            candidates: Candidates::default(),
            measure,
            fences: FxHashMap::default(),
            keep_all: false,
            groups: Vec::new(),
            group_of: FxHashMap::default(),
        }
    }

    /// Searches the whole plan. Stops with the slice at which nothing is left: pins that can't be
    /// met, or every way over `limit`.
    pub fn run(&mut self, limit: i64) -> Result<Trellis, usize> {
        let mut trellis = Trellis {
            slices: Vec::with_capacity(self.plan.slices.len()),
        };
        let start = [Node {
            shape: Shapes::SILENCE,
            place: NOWHERE,
            held: 0,
            cost: 0,
            back: 0,
        }];
        for index in 0..self.plan.slices.len() {
            let before = trellis.slices.last().map_or(&start[..], |s| &s[..]);
            let nodes = self.advance(index, before, limit);
            if nodes.is_empty() {
                return Err(index);
            }
            trellis.slices.push(nodes);
        }
        Ok(trellis)
    }

    /// All states of the slice `index` with the best way to each.
    fn advance(&mut self, index: usize, before: &[Node], limit: i64) -> Vec<Node> {
        self.group(index, before);
        let wanted = &self.plan.slices[index];
        let haste = haste(wanted.millis);
        let mut depth = 0;
        price_depth(self.plan, self.costs, index, &mut depth);
        let mut groups = std::mem::take(&mut self.groups);
        let mut nodes = Nodes::new(limit);
        for group in &mut groups {
            group.entries.sort_unstable_by_key(|e| e.least);
            let list = self.candidates_for(index, group);
            for candidate in list.iter() {
                self.reach(before, group, candidate, (haste, depth), &mut nodes);
            }
        }
        self.groups = groups;
        nodes.list
    }

    /// Finds the best way to one candidate among the predecessors of its group.
    #[inline]
    fn reach(
        &self,
        before: &[Node],
        group: &Group,
        candidate: &Candidate,
        (haste, depth): (i64, i64),
        nodes: &mut Nodes,
    ) {
        let shape = self.shapes.get(candidate.shape);
        let fixed = candidate.fixed + depth;
        let stays = candidate.place == NOWHERE;
        let mut best = (NEVER, 0);
        for entry in &group.entries {
            // With no finger set down the hand's place is its predecessor's, so each one counts.
            if !stays && self.measure.at_least(entry.least, fixed) >= best.0 {
                break;
            }
            let from = &before[entry.node as usize];
            let from_shape = self.shapes.get(from.shape);
            let mut step = entry.release + fixed;
            let to = (shape, candidate.struck, candidate.place);
            price_hand(&self.shapes, haste, (from_shape, from.place), to, &mut step);
            if candidate.leads {
                price_leading(self.costs, from_shape, shape, &mut step);
            }
            let cost = self.measure.join(entry.so_far, step);
            if stays {
                nodes.put(candidate.shape, from.place, group.held, cost, entry.node);
            } else if cost < best.0 {
                best = (cost, entry.node);
            }
        }
        if !stays {
            nodes.put(candidate.shape, candidate.place, group.held, best.0, best.1);
        }
    }

    /// Sorts the predecessors by what they may keep into the slice `index`.
    fn group(&mut self, index: usize, before: &[Node]) {
        self.groups.clear();
        self.group_of.clear();
        let ringing: Vec<Ringing> = before
            .iter()
            .map(|node| Ringing::new(self.plan, &self.shapes, index, node))
            .collect();
        let sum = self.measure == Measure::Sum { cap: NEVER };
        let outdone = if sum && !self.keep_all {
            Outdone::new(self.plan, &self.shapes, index).among(before, &ringing)
        } else {
            vec![false; before.len()]
        };
        for (i, node) in before.iter().enumerate().filter(|&(i, _)| !outdone[i]) {
            let shape = *self.shapes.get(node.shape);
            let ringing = &ringing[i];
            // Every subset of what rings, all of it first.
            let mut held = ringing.alive;
            loop {
                let release = ringing.release(held);
                let entry = Entry {
                    so_far: node.cost,
                    release,
                    least: self.measure.at_least(node.cost, release),
                    node: i as u32,
                };
                self.enter(&shape, held, ringing.open & !held, entry);
                if held == 0 {
                    break;
                }
                held = (held - 1) & ringing.alive;
            }
        }
    }

    fn enter(&mut self, shape: &Shape, held: u8, missing: u8, entry: Entry) {
        let kept = shape.kept(held);
        let still = |string: u8| {
            if string != NONE && held >> string & 1 == 1 {
                string
            } else {
                NONE
            }
        };
        let (melody, bass) = (still(shape.melody), still(shape.bass));
        let groups = &mut self.groups;
        let group = *self
            .group_of
            .entry((kept, melody, bass, missing))
            .or_insert_with(|| {
                groups.push(Group {
                    kept,
                    melody,
                    bass,
                    held,
                    missing,
                    entries: Vec::new(),
                });
                groups.len() - 1
            });
        groups[group].entries.push(entry);
    }

    /// Every way to strike what the slice wants while a group's notes ring on.
    fn candidates_for(&mut self, index: usize, group: &Group) -> Rc<[Candidate]> {
        let wanted = &self.plan.slices[index];
        let melody = match wanted.melody {
            Some(i) => Melody::Struck(self.plan.melody[i].pitch.midi()),
            None if group.melody != NONE => Melody::Held(group.melody),
            None => Melody::Silent,
        };
        let kept = Kept {
            grip: group.kept,
            bass: group.bass,
            missing: group.missing,
        };
        let list = match wanted.stroke {
            Some(i) => {
                let stroke = &self.plan.strokes[i];
                self.candidates
                    .stroke(&mut self.shapes, kept, melody, stroke)
            }
            None => self.candidates.melody(&mut self.shapes, kept, melody),
        };
        match self.fences.get(&index) {
            Some(fence) => fence.filter(&mut self.shapes, kept, melody, &list),
            None => list,
        }
    }
}

/// The states of one slice as they are found, each once.
struct Nodes {
    limit: i64,
    list: Vec<Node>,
    slots: FxHashMap<(u32, i8), u32>,
}

impl Nodes {
    fn new(limit: i64) -> Nodes {
        Nodes {
            limit,
            list: Vec::new(),
            slots: FxHashMap::default(),
        }
    }

    #[inline]
    fn put(&mut self, shape: u32, place: i8, held: u8, cost: i64, back: u32) {
        if cost >= self.limit.min(NEVER) {
            return;
        }
        let list = &mut self.list;
        let slot = *self.slots.entry((shape, place)).or_insert_with(|| {
            list.push(Node {
                shape,
                place,
                held,
                cost: NEVER,
                back: 0,
            });
            list.len() as u32 - 1
        });
        let node = &mut self.list[slot as usize];
        if cost < node.cost {
            node.cost = cost;
            node.back = back;
        }
    }
}
