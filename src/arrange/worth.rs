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

use super::Layer;
use super::frontier::Node;
use super::outdone::NEVER;
use super::plan::Wanted;
use super::search::Search;
use super::shape::{NOWHERE, PLACES, slot};
use super::step::price_voicing;
use super::strokes::Stroke;

/// What the whole song costs at least.
pub(crate) fn sum(floors: &[Worth]) -> i64 {
    let least = |floor: &Worth| floor.iter().copied().min().unwrap_or(0);
    floors.iter().map(least).fold(0, i64::saturating_add)
}

/// A cost by the slot of the hand's place; that of nowhere stands for no finger set down.
pub(crate) type Worth = [i64; PLACES];

impl Search<'_, '_, '_> {
    /// What each slice costs at least.
    pub fn floors(&mut self) -> Vec<Worth> {
        (self.steps.clone())
            .map(|index| {
                let depth = self.pace(index).depth;
                if let Some(node) = self.settled.get(&index) {
                    return self.settled_floor(index, *node, depth);
                }
                let is_free = index == 0 || self.rests(index - 1).nothing();
                let is_melody_alone = self.plan.slices[index].stroke.is_none();
                if self.fences.contains_key(&index) || !(is_free || is_melody_alone) {
                    return [depth; PLACES];
                }
                let mut floor = self.alone(index).map(|cost| (cost + depth).min(NEVER));
                let finger = self.finger(index);
                floor.iter_mut().skip(1).for_each(|cost| *cost += finger);
                floor
            })
            .collect()
    }

    /// What a slice costs whose state is settled.
    fn settled_floor(&self, index: usize, node: Node, depth: i64) -> Worth {
        let (plan, shapes) = (self.plan, &self.bench.shapes);
        let shape = shapes.get(node.shape);
        let struck = shape.sounding & !node.held;
        let place = shape.place(struck);
        let mut cost = depth;
        shapes.price_grip(shape, struck, place, &mut cost);
        if let Some(i) = plan.slices[index].stroke {
            price_voicing(shapes, &plan.strokes[i], shape, &mut cost);
        }
        let mut floor = [NEVER; PLACES];
        floor[slot(place)] = cost;
        floor
    }

    /// What a finger pays at least to stop the melody note of the slice `index` where nothing else is
    /// struck: something, unless it may lie there already for the same note.
    fn finger(&self, index: usize) -> i64 {
        let (plan, slice) = (self.plan, &self.plan.slices[index]);
        let (Some(i), None) = (slice.melody, slice.stroke) else {
            return 0;
        };
        let midi = plan.melody[i].pitch.midi();
        let may_sound = |before: &Wanted| {
            let is_sung = before
                .sung
                .is_some_and(|j| plan.melody[j].pitch.midi() == midi);
            is_sung
                || before
                    .under
                    .is_some_and(|k| may_sound_in(&plan.strokes[k], midi))
        };
        let before = index.checked_sub(1).map(|i| &plan.slices[i]);
        // Pins and ideas bring notes of their own.
        let is_plain = self.fences.is_empty() && plan.layer < Layer::Colour;
        if !is_plain || before.is_some_and(may_sound) {
            return 0;
        }
        let costs = self.bench.shapes.costs;
        let moved = costs.place.min(costs.guide).min(self.pace(index).jump);
        moved.min(costs.barre) // a finger that lies over one string more
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

/// Whether a chord struck by the song alone may have a note in its bass or its fill.
fn may_sound_in(stroke: &Stroke, midi: i32) -> bool {
    let class = midi.rem_euclid(12);
    midi < stroke.ceiling && (class == stroke.bass || stroke.tones >> class & 1 == 1)
}
