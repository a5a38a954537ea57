//! What a state may cost and still be part of the best way, known before the search comes to it.
//!
//! A narrow search, which follows a few states of each slice only, finds some way through the song
//! and, slice by slice, states that outdo others from a certain cost on ([`super::outdone`]). Both
//! hold for the whole search as well. Going back from the end, a state is worth following only if
//! some place for the hand in the next slice leaves it below what is worth following there, with the
//! hand's way and what the slice costs in itself on top.
//!
//! What a slice costs in itself is its cheapest candidate with the hand in each place, and what is paid
//! in any case for notes that did not sound before: a finger has to be set down, a fill note follows
//! from another one or from nothing. Notes that ring on only make a grip dearer. A chord that is struck
//! while the melody rings on is voiced around it, so there only the depth of the melody counts, as where
//! a pin brings its own candidates.

use super::Layer;
use super::cost::Costs;
use super::frontier::Node;
use super::outdone::NEVER;
use super::search::Search;
use super::shape::{NOWHERE, PLACES, slot};
use super::step::{LEAST_HASTE, jump, price_voicing};

/// A cost by the slot of the hand's place; that of nowhere stands for no finger set down.
pub(crate) type Worth = [i64; PLACES];

impl Search<'_, '_, '_> {
    /// What each slice costs at least; `None` if all of them cost `limit` or more.
    pub fn floors(&mut self, limit: i64) -> Option<Vec<Worth>> {
        let mut sum: i64 = 0;
        let mut floors = Vec::with_capacity(self.steps.len());
        for index in self.steps.clone() {
            let floor = self.floor(index);
            sum = sum.saturating_add(floor.iter().copied().min().unwrap_or(0));
            if sum >= limit {
                return None;
            }
            floors.push(floor);
        }
        Some(floors)
    }

    /// What the slice `index` costs at least.
    fn floor(&mut self, index: usize) -> Worth {
        let depth = self.pace(index).depth;
        if let Some(node) = self.settled.get(&index) {
            return self.settled_floor(index, *node, depth);
        }
        let is_free = index == 0 || self.rests(index - 1).nothing();
        let is_melody_alone = self.plan.slices[index].stroke.is_none();
        if self.fences.contains_key(&index) || !(is_free || is_melody_alone) {
            return [depth; PLACES];
        }
        let heard = self.heard(index);
        let alone = self.alone(index, heard);
        let mut floor = alone.map(|cost| (cost + depth).min(NEVER));
        let finger = self.finger(index, heard);
        floor.iter_mut().skip(1).for_each(|cost| *cost += finger);
        floor
    }

    /// What a slice costs whose state is settled.
    fn settled_floor(&self, index: usize, node: Node, depth: i64) -> Worth {
        let (plan, shapes) = (self.plan, &self.bench.shapes);
        let shape = shapes.get(node.shape);
        let struck = shape.sounding & !node.held;
        let place = shape.place(struck);
        let mut cost = depth;
        shapes.price_grip(shape, struck, place, &mut cost);
        if let Some(stroke) = plan.stroke(index) {
            price_voicing(shapes, stroke, shape, &mut cost);
        }
        let mut floor = [NEVER; PLACES];
        floor[slot(place)] = cost;
        floor
    }

    /// What may sound when the slice `index` begins.
    fn heard(&self, index: usize) -> Heard {
        // Pins and ideas bring notes of their own.
        if !self.fences.is_empty() || self.plan.layer >= Layer::Colour {
            return Heard::ANYTHING;
        }
        let before = index.checked_sub(1).map(|i| &self.plan.slices[i]);
        let under = before.and_then(|s| s.under).map(|i| &self.plan.strokes[i]);
        let melody = before.and_then(|s| s.sung).map(|i| &self.plan.melody[i]);
        Heard {
            melody: melody.map_or(i32::MAX, |tune| tune.pitch.midi()),
            tones: under.map_or(0, |s| s.tones | 1 << s.bass),
            ceiling: under.map_or(i32::MAX, |s| s.ceiling),
        }
    }

    /// What a finger pays at least to stop the melody note of the slice `index` where nothing else is
    /// struck: something, unless it may lie there already for the same note.
    fn finger(&self, index: usize, heard: Heard) -> i64 {
        let slice = &self.plan.slices[index];
        let (Some(i), None) = (slice.melody, slice.stroke) else {
            return 0;
        };
        if heard.has(self.plan.melody[i].pitch.midi()) {
            return 0;
        }
        let costs = self.bench.shapes.costs;
        // A finger that lies over one string more pays for a barre.
        fresh_finger(costs).min(costs.barre)
    }

    /// By slice: what its states may cost, if the whole way may cost `most` and `beyond` says of
    /// each slice by how much other states are outdone at the least.
    pub fn worths(&self, floors: &[Worth], beyond: &[Worth], most: i64) -> Vec<Worth> {
        let mut worths = vec![[most; PLACES]; floors.len()];
        for index in (1..floors.len()).rev() {
            let travels = self.pace(self.steps.start + index).travels;
            let (before, after) = worths.split_at_mut(index);
            let (floor, after) = (&floors[index], &after[0]);
            let ends: Vec<(usize, i64)> = (1..PLACES)
                .filter(|&to| floor[to] < NEVER)
                .map(|to| (to, after[to] - floor[to]))
                .collect();
            for (from, worth) in before[index - 1].iter_mut().enumerate() {
                let ways = &travels[from * PLACES..][..PLACES];
                let stayed = after[from] - floor[slot(NOWHERE)];
                let moved = ends.iter().map(|&(to, left)| left - ways[to]);
                let known = beyond.get(index - 1).map_or(NEVER, |b| b[from]);
                *worth = moved.fold(stayed, i64::max).min(known);
            }
        }
        worths
    }
}

/// What may sound when a slice begins, so that a finger may lie there already: the melody note before it
/// and the notes of the chord under that.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) struct Heard {
    /// MIDI number.
    melody: i32,
    /// Pitch classes as bits, and the MIDI number that all of the chord's notes lie below.
    tones: u16,
    ceiling: i32,
}

impl Heard {
    /// Any note.
    const ANYTHING: Heard = Heard {
        melody: i32::MAX,
        tones: u16::MAX,
        ceiling: i32::MAX,
    };

    /// Whether a MIDI number may be among it.
    pub fn has(self, midi: i32) -> bool {
        let class = midi.rem_euclid(12);
        midi == self.melody || (midi < self.ceiling && self.tones >> class & 1 == 1)
    }
}

/// What a finger pays at least that stops a note which did not sound before.
pub(super) fn fresh_finger(costs: &Costs) -> i64 {
    costs.place.min(costs.guide).min(jump(costs, LEAST_HASTE))
}
