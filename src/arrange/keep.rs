//! What may ring on from one slice into the next: sets of notes with their voices, each known by a
//! number, so that the search compares numbers and not notes.

use super::shape::{NONE, Shape};
use crate::guitar::Grip;
use rustc_hash::FxHashMap;

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

/// All sets met so far.
#[derive(Default)]
pub(crate) struct Keeps {
    all: Vec<Keep>,
    /// By the stops and voices of a set, packed.
    known: FxHashMap<(u64, u16), u32>,
    /// By a shape and its strings that may ring on: where the numbers of all parts of them lie in
    /// `parts`.
    parted: FxHashMap<(u32, u8), u32>,
    parts: Vec<u32>,
}

impl Keeps {
    pub fn get(&self, id: u32) -> &Keep {
        &self.all[id as usize]
    }

    /// The parts of what may ring on of a shape: the strings held, and the number of that set of notes.
    /// All of it comes first, nothing last.
    pub fn parts(&mut self, (id, shape): (u32, &Shape), alive: u8) -> impl Iterator<Item = Part> {
        let first = match self.parted.get(&(id, alive)) {
            Some(&first) => first,
            None => {
                let first = self.parts.len() as u32;
                for held in subsets_of(alive) {
                    let keep = self.of(shape, held);
                    self.parts.push(keep);
                }
                self.parted.insert((id, alive), first);
                first
            }
        };
        let parts = self.parts[first as usize..].iter();
        subsets_of(alive)
            .zip(parts.copied())
            .map(|(held, keep)| Part { held, keep })
    }

    /// The number of the set of notes that a shape has on the strings of `held`.
    #[inline]
    pub fn of(&mut self, shape: &Shape, held: u8) -> u32 {
        let stops = shape.stops & BYTES[usize::from(held)];
        let still = |string: u8| {
            let is_held = string != NONE && held >> string & 1 == 1;
            if is_held { string } else { NONE }
        };
        let voices = u16::from_be_bytes([still(shape.melody), still(shape.bass)]);
        let all = &mut self.all;
        *self.known.entry((stops, voices)).or_insert_with(|| {
            all.push(Keep::new(shape, held));
            all.len() as u32 - 1
        })
    }
}

/// A part of what may ring on: the strings held, and the number of its set of notes.
#[derive(Clone, Copy)]
pub(crate) struct Part {
    pub held: u8,
    pub keep: u32,
}

/// Every subset of a set of bits, all of it first, nothing last.
fn subsets_of(all: u8) -> impl Iterator<Item = u8> {
    let mut next = Some(all);
    std::iter::from_fn(move || {
        let set = next?;
        next = (set > 0).then(|| (set - 1) & all);
        Some(set)
    })
}

/// By a set of bits: a word with all bits set in the bytes that they stand for.
const BYTES: [u64; 256] = {
    let mut words = [0; 256];
    let mut i = 0;
    while i < 256 * 8 {
        if (i / 8) >> (i % 8) & 1 == 1 {
            words[i / 8] |= 0xff << (i % 8 * 8);
        }
        i += 1;
    }
    words
};
