//! A shape: what sounds in one slice and what it takes to hold it, worked out once and kept.

use super::cost::{Cost, Costs, Tally};
use crate::guitar::{Grip, Hand, Instrument, MAX_STRINGS, Neck};
use rustc_hash::FxHashMap;

/// Stands for "no string" in a shape's voices.
pub(crate) const NONE: u8 = u8::MAX;

/// Stands for "no finger down yet": the hand is nowhere.
pub(crate) const NOWHERE: i8 = i8::MIN;

/// Where one finger is: its fret, and the strings under it as bits. No bits: it is not down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) struct Spot {
    pub fret: u8,
    pub strings: u8,
}

/// A grip with its voices and what setting a finger down in it costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Shape {
    pub grip: Grip,
    /// String index of the melody note, or [`NONE`].
    pub melody: u8,
    /// String index of the bass note, or [`NONE`].
    pub bass: u8,
    /// Strings that sound, as bits.
    pub sounding: u8,
    /// MIDI number by string index, where it sounds.
    pub midis: [i16; MAX_STRINGS],
    pub fingers: [Spot; 4],
    /// What the reach of the grip costs, and its barre.
    pub stretch: i64,
    pub barre: i64,
}

impl Shape {
    /// Nothing sounds.
    pub const SILENCE: Shape = Shape {
        grip: Grip::EMPTY,
        melody: NONE,
        bass: NONE,
        sounding: 0,
        midis: [0; MAX_STRINGS],
        fingers: [Spot {
            fret: 0,
            strings: 0,
        }; 4],
        stretch: 0,
        barre: 0,
    };

    /// MIDI number on a string index that sounds.
    pub fn midi(&self, string: usize) -> i32 {
        self.midis[string].into()
    }

    /// The string that carries the melody, as a bit.
    #[inline]
    pub fn tune(&self) -> u8 {
        if self.melody == NONE {
            0
        } else {
            1 << self.melody
        }
    }

    /// The strings that carry neither melody nor bass, but sound, as bits.
    #[inline]
    pub fn fills(&self) -> u8 {
        let own = |voice: u8| if voice == NONE { 0 } else { 1u8 << voice };
        self.sounding & !own(self.melody) & !own(self.bass)
    }

    /// The string indices that sound, highest string first.
    pub fn strings(&self) -> impl Iterator<Item = usize> + use<> {
        bits(self.sounding)
    }

    /// Where the hand lies to set down the fingers of the strings in `struck`: the fret at which the
    /// first finger lies or would lie, seen from the lowest of them. [`NOWHERE`] when none is stopped.
    pub fn place(&self, struck: u8) -> i8 {
        (0..4i8)
            .map(|f| (f, self.fingers[f as usize]))
            .find(|(_, spot)| spot.strings & struck != 0)
            .map_or(NOWHERE, |(f, spot)| spot.fret as i8 - f)
    }

    /// The grip that stays when only the strings of `mask` go on sounding.
    pub fn kept(&self, mask: u8) -> Grip {
        let mut grip = Grip::EMPTY;
        for s in 0..MAX_STRINGS {
            if mask >> s & 1 == 1 {
                grip.frets[s] = self.grip.frets[s];
                grip.fingers[s] = self.grip.fingers[s];
            }
        }
        grip
    }
}

/// By how many frets fingers are bunched or bent back: each finger above the lowest one that is set
/// down lies free on its own fret, seen from the hand's place, and on the one below; the hand lies
/// free from the fret before the first.
fn cramped(shape: &Shape, struck: u8, place: i8) -> i64 {
    let mut bunched = 0;
    let mut above = false;
    for (finger, spot) in (0..4i8).zip(shape.fingers) {
        if above && spot.strings != 0 {
            bunched += i64::from((place + finger - 1 - spot.fret as i8).max(0));
        }
        above |= spot.strings & struck != 0;
    }
    // At one fret the first finger likes the lower string better than the second does.
    let [first, second, ..] = shape.fingers;
    let crossed = first.fret == second.fret && second.strings > first.strings && first.strings != 0;
    bunched + i64::from(crossed) + i64::from((-place).max(0))
}

/// The places of the bits set, lowest first.
pub(crate) fn bits(mut set: u8) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let lowest = set.checked_sub(1).map(|_| set.trailing_zeros() as usize);
        set &= set.wrapping_sub(1);
        lowest
    })
}

/// All shapes met so far for one instrument and hand, and those that the hand refused.
pub(crate) struct Shapes<'a> {
    pub instrument: &'a Instrument,
    pub neck: Neck,
    pub hand: &'a Hand,
    pub costs: &'a Costs,
    all: Vec<Shape>,
    known: FxHashMap<(Grip, u8, u8), u32>,
    /// Tenths of a millimetre between two hand places.
    ways: Vec<i64>,
    places: usize,
    /// The farthest that any two fingers of the hand reach, in tenths of a millimetre.
    pub reach: i32,
}

/// How far the fingers lean along the neck before the hand follows, in tenths of a millimetre: a
/// little less than the first fret. A proposal.
const LEAN: i64 = 300;

/// Places below the first fret that a hand may be bent back to.
const BENT: i8 = 3;

impl<'a> Shapes<'a> {
    pub fn new(instrument: &'a Instrument, hand: &'a Hand, costs: &'a Costs) -> Shapes<'a> {
        let neck = Neck::new(instrument);
        let top = instrument.top_fret();
        let places = usize::from(top) + BENT as usize + 1;
        let along = |place: usize| {
            let fret = (place as i64 - i64::from(BENT)).clamp(0, i64::from(top)) as u8;
            i64::from(neck.along(fret.max(1).min(top)))
        };
        let ways = (0..places * places)
            .map(|i| (along(i / places) - along(i % places)).abs())
            .collect();
        Shapes {
            instrument,
            neck,
            hand,
            costs,
            all: vec![Shape::SILENCE],
            known: FxHashMap::default(),
            ways,
            places,
            reach: hand
                .spans
                .iter()
                .flatten()
                .map(|s| s.largest)
                .max()
                .unwrap_or(0),
        }
    }

    /// The shape of silence.
    pub const SILENCE: u32 = 0;

    pub fn get(&self, id: u32) -> &Shape {
        &self.all[id as usize]
    }

    /// The shape of a grip with its voices, if this hand can hold it.
    pub fn shape(&mut self, grip: Grip, melody: u8, bass: u8) -> Option<u32> {
        if let Some(&id) = self.known.get(&(grip, melody, bass)) {
            return Some(id);
        }
        let (stretch, barre) = self.judge(&grip)?;
        let mut shape = Shape {
            grip,
            melody,
            bass,
            sounding: 0,
            midis: [0; MAX_STRINGS],
            fingers: [Spot::default(); 4],
            stretch,
            barre,
        };
        for s in 0..MAX_STRINGS {
            if grip.frets[s] >= 0 {
                shape.sounding |= 1 << s;
                let fret = grip.frets[s].unsigned_abs();
                shape.midis[s] = self.instrument.sounding(s as u8 + 1, fret) as i16;
            }
            if grip.fingers[s] > 0 {
                let spot = &mut shape.fingers[usize::from(grip.fingers[s]) - 1];
                spot.fret = grip.frets[s].unsigned_abs();
                spot.strings |= 1 << s;
            }
        }
        let id = self.all.len() as u32;
        self.all.push(shape);
        self.known.insert((grip, melody, bass), id);
        Some(id)
    }

    /// Whether an open string that rings on is in the way of what sounds in `shape`: it is wanted
    /// for something else, or the hand reaches farther over it or can't hold both. Only the first
    /// finger lies over strings that it does not stop, so only then does an open one cost anything.
    pub fn is_in_the_way(&self, string: usize, shape: &Shape) -> bool {
        if shape.sounding >> string & 1 == 1 {
            return true;
        }
        let mut with = shape.grip;
        with.frets[string] = 0;
        shape.fingers[0].strings > 0
            && (self.judge(&with)).is_none_or(|(stretch, _)| stretch > shape.stretch)
    }

    /// What the reach of a grip and its barre cost, if the hand can hold it.
    fn judge(&self, grip: &Grip) -> Option<(i64, i64)> {
        let costs = self.costs;
        let stretch = self.hand.judge(&self.neck, grip).ok()?;
        let reserve = stretch.map_or(0, |s| i64::from(s.reserve));
        let barre = grip
            .barres()
            .map(|b| costs.barre + costs.barre_string * (i64::from(b.to - b.from) - 1).max(0));
        Some((costs.stretch * reserve * reserve / 1_000_000, barre.sum()))
    }

    /// What a struck grip costs apart from how the hand comes to it: its reach, its barre, and the
    /// hand's `place` on the neck. Nothing when no stopped string is struck.
    pub fn price_grip(&self, shape: &Shape, struck: u8, place: i8, tally: &mut impl Tally) {
        if place == NOWHERE {
            return;
        }
        tally.add(Cost::Stretch, shape.stretch);
        tally.add(Cost::Barre, shape.barre);
        let high = i64::from(place) + i64::from(self.instrument.capo) - 5;
        tally.add(Cost::High, self.costs.high * high.max(0));
        let up = i64::from(place) - 1;
        tally.add(Cost::Position, self.costs.position * up.max(0));
        tally.add(
            Cost::Cramp,
            self.costs.cramp * cramped(shape, struck, place),
        );
    }

    /// What it costs to move the hand between two places: little for what the fingers can lean over.
    #[inline]
    pub fn travel(&self, from: i8, to: i8, haste: i64) -> i64 {
        let way = self.way(from, to);
        let felt = 4 * (way - LEAN).max(0) + way.min(LEAN);
        // Rounded once only: the bounds on what states may cost each other count on it.
        felt * self.costs.travel * haste / 40_000
    }

    /// The most by which one place can be nearer to anywhere than another.
    #[inline]
    pub fn apart(&self, from: i8, to: i8, haste: i64) -> i64 {
        self.way(from, to) * self.costs.travel * haste / 10_000 + 1
    }

    /// Tenths of a millimetre that the hand travels between two places.
    #[inline]
    fn way(&self, from: i8, to: i8) -> i64 {
        if from == NOWHERE || to == NOWHERE {
            return 0;
        }
        let index = |place: i8| ((place + BENT).max(0) as usize).min(self.places - 1);
        self.ways[index(from) * self.places + index(to)]
    }
}

/// Every way to put fingers on the strings of `grip` that are stopped there and have no finger yet,
/// without moving those that have one. Calls `found` with each; the hand has not been asked yet.
///
/// Only the first finger lies over several strings; it may do so with strings that it already
/// stops at the same fret.
pub(crate) fn fingerings(grip: Grip, found: &mut impl FnMut(Grip)) {
    let mut open = [(0i8, 0usize); MAX_STRINGS];
    let mut count = 0;
    for s in (0..MAX_STRINGS).filter(|&s| grip.frets[s] > 0 && grip.fingers[s] == 0) {
        open[count] = (grip.frets[s], s);
        count += 1;
    }
    open[..count].sort_unstable();
    finger_next(grip, &open[..count], found);
}

fn finger_next(grip: Grip, open: &[(i8, usize)], found: &mut impl FnMut(Grip)) {
    let Some((&(fret, string), rest)) = open.split_first() else {
        found(grip);
        return;
    };
    for finger in 1..=4u8 {
        let fits = (0..MAX_STRINGS).all(|s| {
            let other = grip.fingers[s];
            other == 0
                || if other == finger {
                    finger == 1 && grip.frets[s] == fret
                } else if other < finger {
                    grip.frets[s] <= fret
                } else {
                    grip.frets[s] >= fret
                }
        });
        if fits {
            let mut next = grip;
            next.fingers[string] = finger;
            finger_next(next, rest, found);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grip(frets: [i8; 6]) -> Grip {
        let mut grip = Grip::EMPTY;
        grip.frets[..6].copy_from_slice(&frets);
        grip
    }

    #[test]
    fn every_fingering_keeps_order_and_barres_with_the_first_finger_alone() {
        let mut all = Vec::new();
        // An F on four strings: frets 1 1 2 3 from the highest string down.
        fingerings(grip([1, 1, 2, 3, -1, -1]), &mut |g| all.push(g.fingers));
        assert!(all.contains(&[1, 1, 2, 3, 0, 0, 0, 0]));
        assert!(all.contains(&[1, 1, 3, 4, 0, 0, 0, 0]));
        assert!(all.contains(&[2, 1, 3, 4, 0, 0, 0, 0]));
        assert!(all.iter().all(|f| f[2] <= f[3]));
        assert!(all.iter().all(|f| f[0] != 2 || f[1] != 2));
    }

    #[test]
    fn a_finger_that_is_down_stays() {
        let mut start = grip([3, -1, -1, -1, 3, -1]);
        start.fingers[4] = 3;
        let mut all = Vec::new();
        fingerings(start, &mut |g| all.push(g.fingers[0]));
        assert_eq!(all, [1, 2, 4]);
    }
}
