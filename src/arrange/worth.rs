//! What a state may cost and still be part of the best way, known before the search comes to it.
//!
//! A narrow search, which follows a few states of each slice only, finds some way through the song
//! and, slice by slice, states that outdo others from a certain cost on ([`super::outdone`]). Both
//! hold for the whole search as well. Going back from the end, a state is worth following only if
//! some place for the hand in the next slice leaves it below what is worth following there, with the
//! hand's way and what the slice costs in itself on top.
//!
//! What a slice costs in itself is its cheapest candidate with the hand in each place: notes that
//! ring on only make a grip dearer. A chord that is struck while the melody rings on is voiced around
//! it, so there only the depth of the melody counts, as where a pin brings its own candidates.

use super::candidates::Candidate;
use super::outdone::NEVER;
use super::search::Search;
use super::shape::{NOWHERE, PLACES, slot};

/// What one slice costs at least.
pub(crate) struct Floor {
    /// With no finger set down.
    open: i64,
    /// With the hand at a place, by its slot.
    at: [i64; PLACES],
}

impl Floor {
    /// The same wherever the hand is.
    fn flat(cost: i64) -> Floor {
        Floor {
            open: cost,
            at: [cost; PLACES],
        }
    }

    /// Of these candidates and others that cost more than `known`, with `depth` on top.
    fn under(candidates: &[Candidate], known: i64, depth: i64) -> Floor {
        let mut floor = Floor::flat((known + depth).min(NEVER));
        for candidate in candidates {
            let least = match candidate.place {
                NOWHERE => &mut floor.open,
                place => &mut floor.at[slot(place)],
            };
            *least = (*least).min(candidate.fixed + depth);
        }
        floor
    }
}

/// What the whole song costs at least.
pub(crate) fn sum(floors: &[Floor]) -> i64 {
    let least = |floor: &Floor| floor.at.iter().copied().fold(floor.open, i64::min);
    floors.iter().map(least).sum()
}

/// Up to which price the candidates of a slice are looked at for its floor.
const ENOUGH: i64 = 2000;

/// By the slot of the hand's place: the most that a state may cost.
pub(crate) type Worth = [i64; PLACES];

impl Search<'_, '_, '_> {
    /// What each slice costs at least.
    pub fn floors(&mut self) -> Vec<Floor> {
        (0..self.plan.slices.len())
            .map(|index| {
                let (_, depth) = self.pace(index);
                let is_free = index == 0 || self.rests(index - 1).nothing();
                let is_melody_alone = self.plan.slices[index].stroke.is_none();
                if self.fences.contains_key(&index) || !(is_free || is_melody_alone) {
                    return Floor::flat(depth);
                }
                let (alone, known) = self.alone(index, ENOUGH);
                Floor::under(&alone, known, depth)
            })
            .collect()
    }

    /// By slice: what its states may cost, if the whole way may cost `most` and `beyond` says of
    /// each slice by how much other states are outdone at the least.
    pub fn worths(&self, floors: &[Floor], beyond: &[Worth], most: i64) -> Vec<Worth> {
        let mut worths = vec![[most; PLACES]; floors.len()];
        for index in (1..floors.len()).rev() {
            let (haste, _) = self.pace(index);
            let travels = self.bench.shapes.travels(haste);
            let (before, after) = worths.split_at_mut(index);
            let (floor, after) = (&floors[index], &after[0]);
            let ends: Vec<(usize, i64)> = (1..PLACES)
                .filter(|&to| floor.at[to] < NEVER)
                .map(|to| (to, after[to] - floor.at[to]))
                .collect();
            for (from, worth) in before[index - 1].iter_mut().enumerate() {
                let ways = &travels[from * PLACES..][..PLACES];
                let stayed = after[from] - floor.open;
                let moved = ends.iter().map(|&(to, left)| left - ways[to]);
                let known = beyond.get(index - 1).map_or(NEVER, |b| b[from]);
                *worth = moved.fold(stayed, i64::max).min(known);
            }
        }
        worths
    }
}
