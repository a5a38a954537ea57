//! The states of one slice sorted by what they keep into the next one.

use super::keep::{Keep, Keeps};
use super::measure::{Measure, Pace};
use super::search::Bench;
use super::shape::{NOWHERE, PLACES, Shape, slot};
use rustc_hash::FxHashMap;

/// A predecessor that keeps a certain set of notes.
#[derive(Clone, Copy)]
pub(crate) struct Entry {
    /// Cost of the way to it.
    pub so_far: i64,
    /// Cost of letting go what it does not keep.
    pub release: i64,
    /// What any way through it costs at least.
    pub least: i64,
    /// The [`slot`] of the hand's place.
    pub place: u8,
    pub node: u32,
}

/// The predecessors that keep the same notes.
#[derive(Clone, Copy)]
pub(crate) struct Group {
    pub keep: Keep,
    /// The number of `keep`.
    pub id: u32,
    pub held: u8,
    /// Open strings let go, which must each be in the way of what comes.
    pub missing: u8,
    /// What any way through it costs at least.
    pub least: i64,
    /// Where its entries lie.
    first: u32,
    count: u32,
}

/// Stands for the end of a chain of states.
const END: u32 = u32::MAX;

/// Groups, with their room kept from one slice to the next.
#[derive(Default)]
pub(crate) struct Groups {
    list: Vec<Group>,
    /// All entries, group by group, and as they came in with their groups.
    entries: Vec<Entry>,
    came: Vec<(u32, Entry)>,
    /// By the number of a set of notes: its group with no open string missing, or [`END`].
    plain: Vec<u32>,
    /// The groups with open strings missing.
    others: FxHashMap<(u32, u8), u32>,
    /// By the number of a set of notes: the first and the last of the states from which just these
    /// ring on, or [`END`].
    heads: Vec<u32>,
    tails: Vec<u32>,
    /// By state: the next one in the same chain, or [`END`].
    next: Vec<u32>,
    /// The numbers that have a place in `plain` or `heads`.
    touched: Vec<u32>,
}

impl Groups {
    /// The one group that a song starts from: silence.
    pub fn start(&mut self, bench: &mut Bench) {
        self.clear();
        let entry = Entry {
            so_far: 0,
            release: 0,
            least: 0,
            place: slot(NOWHERE) as u8,
            node: 0,
        };
        let keep = bench.keeps.of(&Shape::SILENCE, 0);
        self.enter((keep, 0, 0), &bench.keeps, entry);
        self.sort();
    }

    pub fn clear(&mut self) {
        for keep in self.touched.drain(..) {
            self.plain[keep as usize] = END;
            self.heads[keep as usize] = END;
        }
        self.others.clear();
        self.next.clear();
        self.list.clear();
        self.came.clear();
    }

    pub fn list(&self) -> &[Group] {
        &self.list
    }

    /// The predecessors of a group; there is at least one.
    pub fn entries(&self, group: &Group) -> &[Entry] {
        let first = group.first as usize;
        &self.entries[first..first + group.count as usize]
    }

    /// Leaves only the groups that `passes` lets through.
    pub fn retain(&mut self, passes: impl Fn(&Group) -> bool) {
        self.list.retain(passes);
    }

    /// Lays the entries out group by group, and puts what is likely best first, so that the rest is
    /// soon seen to be outdone.
    pub fn sort(&mut self) {
        let mut first = 0;
        for group in &mut self.list {
            group.first = first;
            first += group.count;
            group.count = 0;
        }
        self.entries.clear();
        if let Some(&(_, any)) = self.came.first() {
            self.entries.resize(self.came.len(), any);
        }
        for &(i, entry) in &self.came {
            let group = &mut self.list[i as usize];
            self.entries[(group.first + group.count) as usize] = entry;
            group.count += 1;
        }
        self.list.sort_by_key(|g| g.least);
    }

    /// Makes room for the number of a set of notes.
    fn touch(&mut self, keep: u32) {
        let room = keep as usize + 1;
        if self.plain.len() < room {
            self.plain.resize(room, END);
            self.heads.resize(room, END);
            self.tails.resize(room, END);
        }
        if self.plain[keep as usize] == END && self.heads[keep as usize] == END {
            self.touched.push(keep);
        }
    }

    /// Takes up the state `i` as one from which just the notes of `keep` ring on.
    pub fn chain(&mut self, i: u32, keep: u32) {
        self.touch(keep);
        self.next.resize(self.next.len().max(i as usize + 1), END);
        match self.heads[keep as usize] {
            END => self.heads[keep as usize] = i,
            _ => self.next[self.tails[keep as usize] as usize] = i,
        }
        self.tails[keep as usize] = i;
    }

    /// The first of the states from which just the notes of `keep` ring on.
    #[inline]
    pub fn head(&self, keep: u32) -> Option<u32> {
        let head = self.heads.get(keep as usize).copied();
        head.filter(|&i| i != END)
    }

    /// A chain from one of its states on.
    #[inline]
    pub fn chain_from(&self, head: u32) -> impl Iterator<Item = u32> + '_ {
        std::iter::successors(Some(head), |&i| {
            Some(self.next[i as usize]).filter(|&i| i != END)
        })
    }

    pub fn enter(&mut self, (keep, held, missing): (u32, u8, u8), keeps: &Keeps, entry: Entry) {
        self.touch(keep);
        let slot = if missing == 0 {
            &mut self.plain[keep as usize]
        } else {
            self.others.entry((keep, missing)).or_insert(END)
        };
        if *slot == END {
            *slot = self.list.len() as u32;
            self.list.push(Group {
                keep: *keeps.get(keep),
                id: keep,
                held,
                missing,
                least: entry.least,
                first: 0,
                count: 0,
            });
        }
        let group = &mut self.list[*slot as usize];
        group.least = group.least.min(entry.least);
        group.count += 1;
        self.came.push((*slot, entry));
    }
}

/// The entries of a group as they are seen from each place that the hand may go to, with their room kept
/// from one slice to the next.
#[derive(Default)]
pub(crate) struct Ways {
    /// By the [`slot`] of the place: its view, if it was made for the group at hand.
    views: Vec<View>,
    /// Counts the groups.
    group: u32,
}

/// What the ways of a group cost at least with the hand's way to a place counted in, by entry.
#[derive(Clone, Default)]
pub(crate) struct View {
    group: u32,
    pub least: Vec<i64>,
    /// The entry that costs least.
    pub best: usize,
}

impl Ways {
    /// Goes on to the next group.
    pub fn turn(&mut self) {
        self.views.resize_with(PLACES, View::default);
        self.group += 1;
    }

    /// How the entries of the group look from `place`.
    #[inline]
    pub fn to(&mut self, entries: &[Entry], (measure, pace): (Measure, &Pace), place: i8) -> &View {
        let to = slot(place);
        let view = &mut self.views[to];
        if view.group != self.group {
            view.group = self.group;
            let from = &pace.travels[to * PLACES..][..PLACES];
            view.least.clear();
            view.least.extend(entries.iter().map(|e| {
                let travel = from[usize::from(e.place)];
                measure.at_least(e.so_far, e.release + travel)
            }));
            let best = (0..view.least.len()).min_by_key(|&i| view.least[i]);
            view.best = best.unwrap_or(0);
        }
        view
    }
}
