//! The states of one slice as the search finds them, and their sorting by what they may keep.

use super::groups::{Entry, Groups};
use super::keep::{Keeps, Part};
use super::measure::Measure;
use super::outdone::{NEVER, Prune, Rests, Ringing, Rivals, State};
use super::plan::Plan;
use super::search::Bench;
use super::shape::{NONE, NOWHERE, PLACES, Shape, Shapes, slot};
use super::worth::Worth;
use crate::guitar::MAX_STRINGS;
use rustc_hash::FxHashMap;
use std::collections::BinaryHeap;
use std::rc::Rc;

/// What one frontier leaves to the next: its room.
#[derive(Default)]
pub(crate) struct Spare {
    nodes: Vec<Node>,
    ringing: Vec<Ringing>,
    slots: FxHashMap<(u32, i8), u32>,
}

/// One state in one slice, with the best way to it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Node {
    pub shape: u32,
    /// Where the hand is: where it went for the strings struck, or where it was if none is stopped.
    pub place: i8,
    /// Strings held over from the slice before, as bits.
    pub held: u8,
    pub cost: i64,
    /// Index of the best predecessor in the slice before.
    pub back: u32,
}

impl Node {
    /// Silence, before the first slice of a song.
    pub const START: Node = Node {
        shape: Shapes::SILENCE,
        place: NOWHERE,
        held: 0,
        cost: 0,
        back: 0,
    };
}

/// The states of one slice, each once.
pub(crate) struct Frontier {
    limit: i64,
    /// By the slot of the hand's place: the most that a state may cost, and the greatest of them.
    worth: Worth,
    worth_all: i64,
    /// In a narrow search: the costs of the cheapest ways so far, and how many there may be.
    cheapest: Option<BinaryHeap<i64>>,
    width: usize,
    pub nodes: Vec<Node>,
    ringing: Vec<Ringing>,
    slots: FxHashMap<(u32, i8), u32>,
    rests: Rc<Rests>,
    rivals: Option<Rivals>,
}

/// Where the states of a slice are gathered: in one frontier, or in several told apart by shape.
pub(crate) trait Gather {
    /// The frontier that takes up the states of this shape; `None` where it is not wanted.
    fn frontier(&mut self, shape: &Shape) -> Option<&mut Frontier>;

    /// Whether no state whatever that costs at least `cost` is worth finding out about.
    fn is_beyond_all(&self, cost: i64) -> bool;

    /// The most that a state with the hand at the place of this [`slot`] may cost and be worth finding
    /// out about. It never rises.
    fn most_at(&self, slot: usize) -> i64;
}

impl Gather for Frontier {
    #[inline]
    fn frontier(&mut self, _: &Shape) -> Option<&mut Frontier> {
        Some(self)
    }

    #[inline]
    fn is_beyond_all(&self, cost: i64) -> bool {
        cost >= self.limit
            || cost > self.worth_all
            || (self.rivals.as_ref()).is_some_and(|r| r.is_beyond_all(cost))
    }

    #[inline]
    fn most_at(&self, slot: usize) -> i64 {
        let most = self.worth[slot].min(self.limit - 1);
        let rivals = self.rivals.as_ref();
        rivals.map_or(most, |r| most.min(r.most_at(slot)))
    }
}

impl Frontier {
    /// No states yet for the slice `index`. States that cost `limit` or more are not taken up, nor
    /// those that another one outdoes if `prune` says so.
    pub fn new(
        plan: &Plan,
        shapes: &Shapes,
        (index, rests): (usize, Rc<Rests>),
        limit: i64,
        prune: Option<Prune>,
        spare: Spare,
    ) -> Frontier {
        Frontier {
            limit: limit.min(NEVER),
            worth: [NEVER; PLACES],
            worth_all: NEVER,
            cheapest: None,
            width: usize::MAX,
            nodes: spare.nodes,
            ringing: spare.ringing,
            slots: spare.slots,
            rivals: prune.and_then(|p| Rivals::new(plan, shapes, index, &rests, p)),
            rests,
        }
    }

    /// The states, in no more room than they need, and the room that they had.
    pub fn finish(mut self) -> (Vec<Node>, Spare) {
        let nodes = self.nodes.clone();
        self.nodes.clear();
        self.ringing.clear();
        self.slots.clear();
        let spare = Spare {
            nodes: self.nodes,
            ringing: self.ringing,
            slots: self.slots,
        };
        (nodes, spare)
    }

    /// Says what states may cost.
    pub fn bound(&mut self, worth: &Worth) {
        self.worth = *worth;
        self.worth_all = worth.iter().copied().max().unwrap_or(NEVER);
    }

    /// Takes up no more states once there are `most`, but for cheaper ones.
    pub fn narrow(&mut self, most: usize) {
        self.cheapest = Some(BinaryHeap::with_capacity(most + 1));
        self.width = most;
    }

    /// What any state may cost before it is outdone by one of these.
    pub fn beyond(&self) -> Worth {
        self.rivals.as_ref().map_or([NEVER; PLACES], Rivals::beyond)
    }

    /// What of a shape may ring on into the next slice.
    #[inline]
    pub fn ringing(&self, shapes: &Shapes, shape: &Shape) -> Ringing {
        self.rests.of(shapes, shape)
    }

    /// Whether no state of this slice that costs at least `cost` with the hand at `place` is worth
    /// finding out about, whatever else it is.
    #[inline]
    pub fn is_beyond(&self, place: i8, cost: i64) -> bool {
        cost > self.most_at(slot(place))
    }

    /// The most that a state may cost and be worth finding out about.
    #[inline]
    pub fn most(&self, shapes: &Shapes, (shape, place): (&Shape, i8), ringing: &Ringing) -> i64 {
        let most = self.worth[slot(place)].min(self.limit - 1);
        let rivals = self.rivals.as_ref();
        rivals.map_or(most, |r| most.min(r.most(shapes, shape, place, ringing)))
    }

    /// Takes up a way to a state, if it is worth that.
    pub fn put(&mut self, shapes: &Shapes, node: Node, ringing: &Ringing) {
        let here = (shapes.get(node.shape), node.place);
        if node.cost <= self.most(shapes, here, ringing) {
            self.take(shapes, node, ringing);
        }
    }

    /// Takes up a way to a state that is worth it.
    pub fn take(&mut self, shapes: &Shapes, node: Node, ringing: &Ringing) {
        let (nodes, rings) = (&mut self.nodes, &mut self.ringing);
        let slot = *self
            .slots
            .entry((node.shape, node.place))
            .or_insert_with(|| {
                nodes.push(Node {
                    cost: NEVER,
                    ..node
                });
                rings.push(*ringing);
                nodes.len() as u32 - 1
            });
        let known = &mut self.nodes[slot as usize];
        if node.cost < known.cost {
            if let Some(cheapest) = &mut self.cheapest
                && known.cost == NEVER
            {
                cheapest.push(node.cost);
                if cheapest.len() > self.width {
                    cheapest.pop();
                    let worst = cheapest.peek().copied().unwrap_or(NEVER);
                    self.limit = self.limit.min(worst + 1);
                }
            }
            *known = node;
            if let Some(rivals) = &mut self.rivals {
                rivals.enter(
                    shapes,
                    shapes.get(node.shape),
                    node.place,
                    node.cost,
                    ringing,
                );
            }
        }
    }

    /// Sorts the states by what they may keep into the next slice, those left out that turned out
    /// to be outdone.
    ///
    /// Takes the `most` cheapest only. The states stand in a row of several frontiers' states, from
    /// place `first` on.
    pub fn group(
        &self,
        bench: &mut Bench,
        measure: Measure,
        (first, most): (u32, usize),
        groups: &mut Groups,
    ) {
        let Bench { shapes, keeps, .. } = bench;
        groups.clear();
        let mut left = self.left(shapes);
        left.truncate(most);
        let mut parts = Vec::with_capacity(1 << MAX_STRINGS);
        for &i in &left {
            let (node, ringing) = (&self.nodes[i as usize], &self.ringing[i as usize]);
            let shape = shapes.get(node.shape);
            parts.clear();
            parts.extend(keeps.parts((node.shape, shape), ringing.alive));
            if self.is_outdone(shapes, i, &parts, (keeps, groups)) {
                continue;
            }
            groups.chain(i, parts[0].keep);
            // An open string rings on until it is in the way: letting it go sooner costs more. Where
            // single steps count, though, it may be worth paying for it in an easier one. An open
            // melody note counts in how a chord is voiced under it, so it may be let go freely.
            let open = if measure == (Measure::Sum { cap: NEVER }) {
                ringing.open & !shape.tune()
            } else {
                0
            };
            for &Part { held, keep } in &parts {
                let release = ringing.release(held);
                let least = measure.at_least(node.cost, release);
                let place = slot(node.place);
                // Letting go is paid in the step to come, and the bound counts nothing of it.
                if least > self.worth[place] {
                    continue;
                }
                let entry = Entry {
                    so_far: node.cost,
                    release,
                    least,
                    place: place as u8,
                    node: first + i,
                };
                groups.enter((keep, held, open & !held), keeps, entry);
            }
        }
        groups.sort();
    }

    /// The states that no other one is known to outdo, by index, the cheapest first.
    fn left(&self, shapes: &Shapes) -> Vec<u32> {
        let mut left = Vec::with_capacity(self.nodes.len());
        left.extend((0..self.nodes.len() as u32).filter(|&i| {
            let (node, ringing) = (&self.nodes[i as usize], &self.ringing[i as usize]);
            let shape = shapes.get(node.shape);
            node.cost <= self.most(shapes, (shape, node.place), ringing)
        }));
        left.sort_by_key(|&i| self.nodes[i as usize].cost);
        left
    }

    /// Whether a cheaper state that rings on with part of what rings on from state `i` outdoes it.
    fn is_outdone(
        &self,
        shapes: &Shapes,
        i: u32,
        parts: &[Part],
        (keeps, groups): (&Keeps, &Groups),
    ) -> bool {
        let Some(rivals) = &self.rivals else {
            return false;
        };
        let state = |i: u32| {
            let node = &self.nodes[i as usize];
            State {
                shape: shapes.get(node.shape),
                place: node.place,
                cost: node.cost,
            }
        };
        let other = state(i);
        let rings = keeps.get(parts[0].keep).melody != NONE;
        parts.iter().any(|&Part { held, keep }| {
            let Some(head) = groups.head(keep) else {
                return false;
            };
            // A note of the melody that rings on is voiced around, so both must hold it.
            let part = keeps.get(keep);
            let drops_tune = rings && part.melody == NONE;
            let drops_bass = rivals.bass_stays() && part.bass == NONE;
            !drops_tune
                && !drops_bass
                && groups
                    .chain_from(head)
                    .any(|j| rivals.outdoes(shapes, state(j), other, other.shape.sounding & !held))
        })
    }
}
