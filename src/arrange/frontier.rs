//! The states of one slice as the search finds them, and their sorting by what they may keep.

use super::outdone::{NEVER, Prune, Rests, Ringing, Rivals};
use super::plan::Plan;
use super::search::Measure;
use super::shape::{NONE, NOWHERE, Shape, Shapes};
use crate::guitar::Grip;
use rustc_hash::FxHashMap;

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

/// The states of one slice, each once.
pub(crate) struct Frontier {
    limit: i64,
    pub nodes: Vec<Node>,
    ringing: Vec<Ringing>,
    slots: FxHashMap<(u32, i8), u32>,
    rests: Rests,
    rivals: Option<Rivals>,
}

/// Where the states of a slice are gathered: in one frontier, or in several told apart by shape.
pub(crate) trait Gather {
    /// The frontier that takes up the states of this shape; `None` where it is not wanted.
    fn frontier(&mut self, shape: &Shape) -> Option<&mut Frontier>;
}

impl Gather for Frontier {
    #[inline]
    fn frontier(&mut self, _: &Shape) -> Option<&mut Frontier> {
        Some(self)
    }
}

impl Frontier {
    /// No states yet for the slice `index`. States that cost `limit` or more are not taken up, nor
    /// those that another one outdoes if `prune` says so.
    pub fn new(
        plan: &Plan,
        shapes: &Shapes,
        index: usize,
        limit: i64,
        prune: Option<Prune>,
    ) -> Frontier {
        let rests = Rests::new(plan, index);
        Frontier {
            limit: limit.min(NEVER),
            nodes: Vec::new(),
            ringing: Vec::new(),
            slots: FxHashMap::default(),
            rivals: prune.and_then(|p| Rivals::new(plan, shapes, index, rests.melody > 0, p)),
            rests,
        }
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
        cost >= self.limit
            || self
                .rivals
                .as_ref()
                .is_some_and(|r| r.is_beyond(place, cost))
    }

    /// Whether a state that costs at least `cost` is not worth finding out about.
    #[inline]
    pub fn is_hopeless(
        &self,
        shapes: &Shapes,
        (shape, place): (&Shape, i8),
        cost: i64,
        ringing: &Ringing,
    ) -> bool {
        cost >= self.limit
            || self
                .rivals
                .as_ref()
                .is_some_and(|r| r.outdo(shapes, shape, place, cost, ringing))
    }

    /// Takes up a way to a state.
    pub fn put(&mut self, shapes: &Shapes, node: Node, ringing: &Ringing) {
        let shape = shapes.get(node.shape);
        if self.is_hopeless(shapes, (shape, node.place), node.cost, ringing) {
            return;
        }
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
            *known = node;
            if let Some(rivals) = &mut self.rivals {
                rivals.enter(shapes, shape, node.place, node.cost, ringing);
            }
        }
    }

    /// Sorts the states by what they may keep into the next slice, those left out that turned out
    /// to be outdone.
    pub fn group(&self, shapes: &Shapes, measure: Measure, groups: &mut Groups) {
        self.group_from(0, shapes, measure, groups);
    }

    /// The same where the states stand in a row of several frontiers' states, from place `first` on.
    pub fn group_from(&self, first: u32, shapes: &Shapes, measure: Measure, groups: &mut Groups) {
        groups.clear();
        for (i, (node, ringing)) in self.nodes.iter().zip(&self.ringing).enumerate() {
            let shape = shapes.get(node.shape);
            if self.is_hopeless(shapes, (shape, node.place), node.cost, ringing) {
                continue;
            }
            // Every subset of what rings, all of it first.
            let mut held = ringing.alive;
            loop {
                let release = ringing.release(held);
                let entry = Entry {
                    so_far: node.cost,
                    release,
                    least: measure.at_least(node.cost, release),
                    node: first + i as u32,
                };
                groups.enter(shape, held, ringing.open & !held, entry);
                if held == 0 {
                    break;
                }
                held = (held - 1) & ringing.alive;
            }
        }
        for group in groups.list_mut() {
            group.entries.sort_unstable_by_key(|e| e.least);
        }
    }
}

/// A predecessor that keeps a certain set of notes.
#[derive(Clone, Copy)]
pub(crate) struct Entry {
    /// Cost of the way to it.
    pub so_far: i64,
    /// Cost of letting go what it does not keep.
    pub release: i64,
    /// What any way through it costs at least.
    pub least: i64,
    pub node: u32,
}

/// The predecessors that keep the same notes, the cheapest first.
pub(crate) struct Group {
    pub kept: Grip,
    pub melody: u8,
    pub bass: u8,
    pub held: u8,
    /// Open strings let go, which must each be in the way of what comes.
    pub missing: u8,
    pub entries: Vec<Entry>,
}

/// Groups, with their room kept from one slice to the next.
#[derive(Default)]
pub(crate) struct Groups {
    list: Vec<Group>,
    used: usize,
    index: FxHashMap<(Grip, u8, u8, u8), usize>,
}

impl Groups {
    /// The one group that a song starts from: silence.
    pub fn start(&mut self) {
        self.clear();
        let entry = Entry {
            so_far: 0,
            release: 0,
            least: 0,
            node: 0,
        };
        self.enter(&Shape::SILENCE, 0, 0, entry);
    }

    fn clear(&mut self) {
        self.index.clear();
        self.used = 0;
    }

    pub fn list(&self) -> &[Group] {
        &self.list[..self.used]
    }

    /// Leaves only the groups that `passes` lets through.
    pub fn retain(&mut self, passes: impl Fn(&Group) -> bool) {
        let mut kept = 0;
        for i in 0..self.used {
            if passes(&self.list[i]) {
                self.list.swap(kept, i);
                kept += 1;
            }
        }
        self.used = kept;
        self.index.clear();
    }

    fn list_mut(&mut self) -> &mut [Group] {
        &mut self.list[..self.used]
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
        let (list, used) = (&mut self.list, &mut self.used);
        let group = *self
            .index
            .entry((kept, melody, bass, missing))
            .or_insert_with(|| {
                let mut entries = match list.get_mut(*used) {
                    Some(old) => std::mem::take(&mut old.entries),
                    None => Vec::new(),
                };
                entries.clear();
                let group = Group {
                    kept,
                    melody,
                    bass,
                    held,
                    missing,
                    entries,
                };
                match list.get_mut(*used) {
                    Some(old) => *old = group,
                    None => list.push(group),
                }
                *used += 1;
                *used - 1
            });
        self.list[group].entries.push(entry);
    }
}

/// The entries of a group in the order in which they are worth trying for each hand place.
pub(crate) struct Ways<'a> {
    group: &'a Group,
    by_place: Vec<(i8, Vec<Entry>)>,
}

/// Groups smaller than this are tried in their own order.
const WORTH_SORTING: usize = 12;

impl<'a> Ways<'a> {
    pub fn new(group: &'a Group) -> Ways<'a> {
        Ways {
            group,
            by_place: Vec::new(),
        }
    }

    /// The entries with the way to `place` counted into what they cost at least.
    pub fn to(
        &mut self,
        shapes: &Shapes,
        before: &[Node],
        measure: Measure,
        (place, haste): (i8, i64),
    ) -> &[Entry] {
        if self.group.entries.len() < WORTH_SORTING || place == NOWHERE {
            return &self.group.entries;
        }
        let known = self.by_place.iter().position(|(p, _)| *p == place);
        let i = known.unwrap_or_else(|| {
            let mut entries = self.group.entries.clone();
            for entry in &mut entries {
                let travel = shapes.travel(before[entry.node as usize].place, place, haste);
                entry.least = measure.at_least(entry.so_far, entry.release + travel);
            }
            entries.sort_unstable_by_key(|e| e.least);
            self.by_place.push((place, entries));
            self.by_place.len() - 1
        });
        &self.by_place[i].1
    }
}
