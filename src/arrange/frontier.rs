//! The states of one slice as the search finds them, and their sorting by what they may keep.

use super::outdone::{NEVER, Prune, Rests, Ringing, Rivals, State};
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
        let left: Vec<u32> = (0..self.nodes.len() as u32)
            .filter(|&i| {
                let (node, ringing) = (&self.nodes[i as usize], &self.ringing[i as usize]);
                let shape = shapes.get(node.shape);
                !self.is_hopeless(shapes, (shape, node.place), node.cost, ringing)
            })
            .collect();
        let mut alike: FxHashMap<Keep, Vec<u32>> = FxHashMap::default();
        if self.rivals.is_some() {
            for &i in &left {
                let shape = shapes.get(self.nodes[i as usize].shape);
                let all = Keep::new(shape, self.ringing[i as usize].alive);
                alike.entry(all).or_default().push(i);
            }
        }
        let mut keeps: Vec<(u8, Keep)> = Vec::new();
        for &i in &left {
            let (node, ringing) = (&self.nodes[i as usize], &self.ringing[i as usize]);
            let shape = shapes.get(node.shape);
            keeps.clear();
            keeps.extend(subsets(ringing.alive).map(|held| (held, Keep::new(shape, held))));
            if self.is_outdone(shapes, i, &keeps, &alike) {
                continue;
            }
            // An open string rings on until it is in the way: letting it go sooner costs more. Where
            // single steps count, though, it may be worth paying for it in an easier one. An open
            // melody note counts in how a chord is voiced under it, so it may be let go freely.
            let open = if measure == (Measure::Sum { cap: NEVER }) {
                ringing.open & !shape.tune()
            } else {
                0
            };
            for &(held, keep) in &keeps {
                let release = ringing.release(held);
                let entry = Entry {
                    so_far: node.cost,
                    release,
                    least: measure.at_least(node.cost, release),
                    node: first + i,
                };
                groups.enter(keep, held, open & !held, entry);
            }
        }
        for group in groups.list_mut() {
            group.entries.sort_unstable_by_key(|e| e.least);
        }
        // What is likely best first, so that the rest is soon seen to be outdone.
        groups
            .list_mut()
            .sort_by_key(|g| g.entries.first().map_or(NEVER, |e| e.least));
    }

    /// Whether a state that rings on with part of what rings on from state `i` outdoes it.
    fn is_outdone(
        &self,
        shapes: &Shapes,
        i: u32,
        keeps: &[(u8, Keep)],
        alike: &FxHashMap<Keep, Vec<u32>>,
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
        keeps.iter().any(|(held, keep)| {
            // A note of the melody that rings on is voiced around, so both must hold it.
            let tune = other.shape.melody;
            let drops_tune = tune != NONE && keep.melody == NONE && keeps[0].1.melody != NONE;
            let drops_bass = rivals.bass_stays() && keep.bass == NONE;
            !drops_tune
                && !drops_bass
                && alike.get(keep).is_some_and(|list| {
                    let cheaper = |&&j: &&u32| self.nodes[j as usize].cost < other.cost;
                    list.iter().filter(cheaper).any(|&j| {
                        rivals.outdoes(shapes, state(j), other, other.shape.sounding & !held)
                    })
                })
        })
    }
}

/// Every subset of a set of bits, all of it first, nothing last.
fn subsets(all: u8) -> impl Iterator<Item = u8> {
    let mut next = Some(all);
    std::iter::from_fn(move || {
        let set = next?;
        next = (set > 0).then(|| (set - 1) & all);
        Some(set)
    })
}

/// Notes that ring on, with their voices.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) struct Keep {
    pub grip: Grip,
    pub melody: u8,
    pub bass: u8,
}

impl Keep {
    /// The notes of a shape on the strings of `held`.
    pub fn new(shape: &Shape, held: u8) -> Keep {
        let still = |string: u8| {
            if string != NONE && held >> string & 1 == 1 {
                string
            } else {
                NONE
            }
        };
        Keep {
            grip: shape.kept(held),
            melody: still(shape.melody),
            bass: still(shape.bass),
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
    pub keep: Keep,
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
    index: FxHashMap<(Keep, u8), usize>,
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
        self.enter(Keep::new(&Shape::SILENCE, 0), 0, 0, entry);
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

    fn enter(&mut self, keep: Keep, held: u8, missing: u8, entry: Entry) {
        let (list, used) = (&mut self.list, &mut self.used);
        let group = *self.index.entry((keep, missing)).or_insert_with(|| {
            if *used == list.len() {
                list.push(Group {
                    keep,
                    held,
                    missing,
                    entries: Vec::new(),
                });
            }
            let group = &mut list[*used];
            (group.keep, group.held, group.missing) = (keep, held, missing);
            group.entries.clear();
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
