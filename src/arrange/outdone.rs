//! Which states can't be part of the best way any more.
//!
//! A state X is outdone by a state B of the same slice when B can follow X's best continuation, note
//! for note, at no higher cost in the end. B does so by letting go what X does not hold, by striking
//! what X strikes, and by simply lacking what X holds and B does not. Every grip on the way is part
//! of a grip that X's way uses, so the hand can hold it and it reaches no farther. What B pays beyond
//! X's continuation is bounded:
//!
//! - what it costs B to let go its notes that X does not hold;
//! - in the first step, its fingers may have to jump where X's need not;
//! - once, the hand's way from B's place to X's place, in the least time there is later on;
//! - a finger that X leaves lying for a later note, B has to set down;
//! - a fill note that follows from one X holds, follows from nothing for B.
//!
//! So X is dropped when it costs more than B and all of this together. A melody note that both still
//! hold must be the same one, since a chord struck under it is voiced around it.

use super::plan::Plan;
use super::search::{NEVER, Node};
use super::shape::{NONE, NOWHERE, Shapes};
use super::step::{haste, price_string, wanted_until};
use crate::guitar::MAX_STRINGS;

/// What of one state may ring on into a slice, and what letting go of it costs there.
pub(crate) struct Ringing {
    /// Strings whose notes may ring on, as bits.
    pub alive: u8,
    /// Those of them that are open.
    pub open: u8,
    price: [i64; MAX_STRINGS],
}

impl Ringing {
    /// What `node` of the slice before `index` brings into `index`.
    pub fn new(plan: &Plan, shapes: &Shapes, index: usize, node: &Node) -> Ringing {
        let mut ringing = Ringing {
            alive: 0,
            open: 0,
            price: [0; MAX_STRINGS],
        };
        if index == 0 {
            return ringing;
        }
        let shape = shapes.get(node.shape);
        let at = plan.slices[index].at;
        for s in shape.strings() {
            let rest = wanted_until(plan, shapes, index - 1, shape, s) - at;
            if rest > 0 {
                ringing.alive |= 1 << s;
                ringing.open |= u8::from(shape.grip.frets[s] == 0) << s;
                price_string(shapes.costs, shape, s, rest, &mut ringing.price[s]);
            }
        }
        ringing
    }

    /// What it costs to hold only the strings of `held`.
    #[inline]
    pub fn release(&self, held: u8) -> i64 {
        let gone = self.alive & !held;
        (0..MAX_STRINGS)
            .filter(|s| gone >> s & 1 == 1)
            .map(|s| self.price[s])
            .sum()
    }
}

/// Hand places told apart: as many as there are frets, those below the first, and nowhere.
const PLACES: usize = 48;

/// States that hold the same melody note and, if `bass` says so, the same bass note.
struct Class {
    melody: u32,
    bass: Option<u32>,
    /// By the hand's place: what the best of them costs with all that may come on top.
    least: [i64; PLACES],
}

/// Finds outdone states among those that lead into one slice.
pub(crate) struct Outdone<'a> {
    shapes: &'a Shapes<'a>,
    stroke: bool,
    haste: i64,
    /// The greatest haste from here on.
    hurry: i64,
}

impl<'a> Outdone<'a> {
    pub fn new(plan: &Plan, shapes: &'a Shapes<'a>, index: usize) -> Outdone<'a> {
        let slice = &plan.slices[index];
        Outdone {
            shapes,
            stroke: slice.stroke.is_some(),
            haste: haste(slice.millis),
            hurry: haste(slice.quickest),
        }
    }

    /// Whether each state is outdone by another.
    pub fn among(&self, nodes: &[Node], ringing: &[Ringing]) -> Vec<bool> {
        let mut classes: Vec<Class> = Vec::new();
        for (node, ringing) in nodes.iter().zip(ringing) {
            let (melody, bass) = self.voices(node, ringing);
            let shape = self.shapes.get(node.shape);
            let own = |voice: u8| if voice == NONE { 0 } else { 1u8 << voice };
            let melody_bit = own(shape.melody);
            let base = node.cost + self.fingers(node);
            let rest = ringing.release(melody_bit);
            put(&mut classes, melody, None, index(node.place), base + rest);
            if bass != 0 {
                let rest = ringing.release(melody_bit | own(shape.bass));
                put(
                    &mut classes,
                    melody,
                    Some(bass),
                    index(node.place),
                    base + rest,
                );
            }
        }
        classes.iter_mut().for_each(|c| self.spread(&mut c.least));
        nodes
            .iter()
            .zip(ringing)
            .map(|(node, ringing)| {
                let (melody, bass) = self.voices(node, ringing);
                let bar = classes
                    .iter()
                    .filter(|c| c.melody == melody && c.bass.is_none_or(|b| b == bass))
                    .map(|c| c.least[index(node.place)])
                    .min()
                    .unwrap_or(NEVER);
                node.cost > bar + self.lack(node, ringing)
            })
            .collect()
    }

    /// The melody and bass notes that still ring, each as a number of its own; 0 for none.
    fn voices(&self, node: &Node, ringing: &Ringing) -> (u32, u32) {
        let shape = self.shapes.get(node.shape);
        let code = |voice: u8| {
            if voice == NONE || ringing.alive >> voice & 1 == 0 {
                return 0;
            }
            let s = usize::from(voice);
            1 + u32::from(voice)
                + 8 * (u32::from(shape.grip.fingers[s])
                    + 8 * u32::from(shape.grip.frets[s].unsigned_abs()))
        };
        (code(shape.melody), code(shape.bass))
    }

    /// The most that the fingers cost this state in the step to come.
    fn fingers(&self, node: &Node) -> i64 {
        let costs = self.shapes.costs;
        let jump = (costs.jump * self.haste / 1000)
            .max(costs.guide)
            .max(costs.place);
        let each = self
            .shapes
            .get(node.shape)
            .fingers
            .map(|spot| if spot.strings == 0 { costs.place } else { jump });
        if self.stroke {
            each.iter().sum()
        } else {
            each.into_iter().max().unwrap_or(0)
        }
    }

    /// The most that a state without this one's notes pays for lacking them.
    fn lack(&self, node: &Node, ringing: &Ringing) -> i64 {
        let costs = self.shapes.costs;
        let shape = self.shapes.get(node.shape);
        let stopped = (ringing.alive & !ringing.open).count_ones();
        let fills = shape.strings().filter(|&s| shape.is_fill(s)).count();
        costs.place * i64::from(stopped) + costs.leap * fills as i64
    }

    /// Lets each place take the best of all, with the way from there on top.
    fn spread(&self, least: &mut [i64; PLACES]) {
        let from: Vec<(usize, i64)> = least
            .iter()
            .copied()
            .enumerate()
            .filter(|&(_, cost)| cost < NEVER)
            .collect();
        for (to, best) in least.iter_mut().enumerate().skip(1) {
            for &(place, cost) in &from {
                let way = self.shapes.way(place_of(place), place_of(to));
                let travel = way * self.shapes.costs.travel * self.hurry / 10_000 + 1;
                *best = (*best).min(cost + travel);
            }
        }
    }
}

fn put(classes: &mut Vec<Class>, melody: u32, bass: Option<u32>, place: usize, cost: i64) {
    let i = classes
        .iter()
        .position(|c| c.melody == melody && c.bass == bass)
        .unwrap_or_else(|| {
            classes.push(Class {
                melody,
                bass,
                least: [NEVER; PLACES],
            });
            classes.len() - 1
        });
    let least = &mut classes[i].least[place];
    *least = (*least).min(cost);
}

/// The table index of a place; 0 is nowhere.
fn index(place: i8) -> usize {
    if place == NOWHERE {
        0
    } else {
        (place + 8).clamp(1, PLACES as i8 - 1) as usize
    }
}

fn place_of(index: usize) -> i8 {
    if index == 0 { NOWHERE } else { index as i8 - 8 }
}
