//! A shape: what sounds in one slice and what it takes to hold it, worked out once and kept.

use super::cost::{Cost, Costs, Tally};
use super::fingering::Reach;
use crate::guitar::{Grip, Hand, Instrument, MAX_STRINGS, MOST_FRETS, Neck};
use rustc_hash::{FxBuildHasher, FxHashMap};
use std::cell::RefCell;
use std::rc::Rc;

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

/// Where all four fingers are, in a lane of 16 bits each, so that they are asked at once. An answer has
/// one bit for each finger of which it is true.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Spots {
    frets: u64,
    strings: u64,
}

impl Spots {
    #[inline]
    fn new(fingers: &[Spot; 4]) -> Spots {
        let [a, b, c, d] = *fingers;
        let lanes = |a: u8, b: u8, c: u8, d: u8| u64::from_le_bytes([a, 0, b, 0, c, 0, d, 0]);
        Spots {
            frets: lanes(a.fret, b.fret, c.fret, d.fret),
            strings: lanes(a.strings, b.strings, c.strings, d.strings),
        }
    }

    /// The fingers that lie on a string of `set`.
    #[inline]
    pub fn on(self, set: u8) -> u64 {
        any(self.strings & (u64::from(set) * EACH))
    }

    /// The fingers that lie on a string on which the same finger of `other` lies.
    #[inline]
    pub fn on_strings_of(self, other: Spots) -> u64 {
        any(self.strings & other.strings)
    }

    /// The fingers that lie at another fret than the same finger of `other`.
    #[inline]
    pub fn elsewhere_than(self, other: Spots) -> u64 {
        any(self.frets ^ other.frets)
    }
}

/// One in each lane.
const EACH: u64 = 0x0001_0001_0001_0001;

/// For each lane whose lower byte is not zero, the bit above that byte; the upper bytes are zero.
#[inline]
fn any(lanes: u64) -> u64 {
    (lanes + 0xff * EACH) & (0x100 * EACH)
}

/// How many fingers an answer of [`Spots`] is true of.
#[inline]
pub(crate) fn count(answer: u64) -> i64 {
    // The sum of all lanes comes to stand in the highest one.
    ((answer >> 8).wrapping_mul(EACH) >> 48) as i64
}

/// A grip with its voices and what setting a finger down in it costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Shape {
    pub grip: Grip,
    /// String index of the melody note, or [`NONE`].
    pub melody: u8,
    /// String index of the bass note, or [`NONE`].
    pub bass: u8,
    /// Strings that sound, and of them those that carry neither melody nor bass, as bits.
    pub sounding: u8,
    pub fills: u8,
    /// Fret and finger of each string that sounds, in a byte a string.
    pub stops: u64,
    /// MIDI number by string index, where it sounds.
    pub midis: [i16; MAX_STRINGS],
    pub fingers: [Spot; 4],
    /// The same, to be asked of all four at once.
    pub spots: Spots,
    /// How many of them are down.
    pub fingers_down: u8,
    /// What the reach of the grip costs, and its barre.
    pub stretch: i64,
    pub barre: i64,
}

/// What of [`Shape::stops`] says the frets, and once they are moved down, the fingers; and the highest
/// bit of each byte.
const STOP_FRETS: u64 = 0x1f1f_1f1f_1f1f_1f1f;
const STOP_FINGERS: u64 = 0x0707_0707_0707_0707;
const HIGHEST: u64 = 0x8080_8080_8080_8080;

impl Shape {
    /// Nothing sounds.
    pub const SILENCE: Shape = Shape {
        grip: Grip::EMPTY,
        melody: NONE,
        bass: NONE,
        sounding: 0,
        fills: 0,
        stops: 0,
        midis: [0; MAX_STRINGS],
        fingers: [Spot {
            fret: 0,
            strings: 0,
        }; 4],
        spots: Spots {
            frets: 0,
            strings: 0,
        },
        fingers_down: 0,
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

    /// The strings that are stopped at the same fret in `other`, but by another finger, as bits.
    #[inline]
    pub fn by_other_fingers(&self, other: &Shape) -> u8 {
        let apart = self.stops ^ other.stops;
        // For each string the highest bit of its byte: its frets, its fingers are not the same.
        let frets = (apart & STOP_FRETS) + !HIGHEST;
        let fingers = (apart >> 5 & STOP_FINGERS) + !HIGHEST;
        let mut found = fingers & !frets & HIGHEST;
        let mut strings = 0;
        while found != 0 {
            strings |= 1 << (found.trailing_zeros() / 8);
            found &= found - 1;
        }
        strings
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
/// free from the fret before the first. The first fret belongs to the first finger: of the published
/// grips that the hand was set by, six in two thousand have the second there and the first free.
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
    let in_place_of_first = place == 0 && second.fret == 1 && second.strings & struck != 0;
    bunched + i64::from(crossed) + i64::from(in_place_of_first) + i64::from((-place).max(0))
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
    /// Tenths of a millimetre between two hand places, and how much of it the hand feels.
    ways: Vec<i64>,
    felt: Vec<i64>,
    /// By haste: see [`Shapes::travels`] and [`Shapes::aparts`].
    travels: RefCell<FxHashMap<i64, Rc<[i64]>>>,
    aparts: RefCell<FxHashMap<i64, Rc<[i64]>>>,
    places: usize,
    /// MIDI number of each open string, by index.
    pub open: [i16; MAX_STRINGS],
    /// By slot: see [`Shapes::price_place`].
    prices: [i64; PLACES],
    /// Shared, so that it can be asked while shapes are taken up.
    pub reach: Rc<Reach>,
}

/// Room for as many shapes as a song usually meets.
const USUAL: usize = 8_000;

/// How far the fingers lean along the neck before the hand follows, in tenths of a millimetre: a
/// little less than the first fret. A proposal.
const LEAN: i64 = 300;

/// Places below the first fret that a hand may be bent back to.
const BENT: i8 = 3;

/// Hand places told apart: as many as the longest neck has frets, those below the first, and nowhere.
pub(crate) const PLACES: usize = MOST_FRETS as usize + BENT as usize + 1;

/// The table index of a place; 0 is nowhere.
pub(crate) fn slot(place: i8) -> usize {
    if place == NOWHERE {
        0
    } else {
        (place + BENT).clamp(1, PLACES as i8 - 1) as usize
    }
}

/// The place of a [`slot`].
fn place(slot: usize) -> i8 {
    if slot == 0 {
        NOWHERE
    } else {
        slot as i8 - BENT
    }
}

impl<'a> Shapes<'a> {
    pub fn new(instrument: &'a Instrument, hand: &'a Hand, costs: &'a Costs) -> Shapes<'a> {
        let neck = Neck::new(instrument);
        let top = instrument.top_fret();
        let places = usize::from(top) + BENT as usize + 1;
        let along = |place: usize| {
            let fret = (place as i64 - i64::from(BENT)).clamp(0, i64::from(top)) as u8;
            i64::from(neck.along(fret.max(1).min(top)))
        };
        let ways: Vec<i64> = (0..places * places)
            .map(|i| (along(i / places) - along(i % places)).abs())
            .collect();
        let mut all = Vec::with_capacity(USUAL);
        all.push(Shape::SILENCE);
        let mut shapes = Shapes {
            instrument,
            neck,
            hand,
            costs,
            all,
            known: FxHashMap::with_capacity_and_hasher(USUAL, FxBuildHasher),
            felt: ways
                .iter()
                .map(|&way| (4 * (way - LEAN).max(0) + way.min(LEAN)) * costs.travel)
                .collect(),
            ways,
            travels: RefCell::default(),
            aparts: RefCell::default(),
            places,
            open: std::array::from_fn(|s| match s < instrument.strings() {
                true => instrument.sounding(s as u8 + 1, 0) as i16,
                false => 0,
            }),
            prices: [0; PLACES],
            reach: Rc::new(Reach::new(instrument, hand)),
        };
        shapes.prices = std::array::from_fn(|slot| {
            let mut price = 0;
            shapes.price_grip(&Shape::SILENCE, 0, place(slot), &mut price);
            price
        });
        shapes
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
            stretch,
            barre,
            ..self.outline(grip, melody, bass)
        };
        for s in 0..MAX_STRINGS {
            if grip.fingers[s] > 0 {
                let spot = &mut shape.fingers[usize::from(grip.fingers[s]) - 1];
                spot.fret = grip.frets[s].unsigned_abs();
                spot.strings |= 1 << s;
            }
        }
        shape.spots = Spots::new(&shape.fingers);
        let down = shape.fingers.iter().filter(|spot| spot.strings != 0);
        shape.fingers_down = down.count() as u8;
        let id = self.all.len() as u32;
        self.all.push(shape);
        self.known.insert((grip, melody, bass), id);
        Some(id)
    }

    /// What sounds in a grip, as a shape without fingers and their prices.
    pub fn outline(&self, grip: Grip, melody: u8, bass: u8) -> Shape {
        let mut shape = Shape {
            grip,
            melody,
            bass,
            ..Shape::SILENCE
        };
        for s in (0..MAX_STRINGS).filter(|&s| grip.frets[s] >= 0) {
            shape.sounding |= 1 << s;
            let stop = (grip.frets[s] as u8 + 1) | grip.fingers[s] << 5;
            shape.stops |= u64::from(stop) << (8 * s);
            shape.midis[s] = self.open[s] + i16::from(grip.frets[s]);
        }
        let own = |voice: u8| if voice == NONE { 0 } else { 1u8 << voice };
        shape.fills = shape.sounding & !own(melody) & !own(bass);
        shape
    }

    /// Whether an open string that rings on is in the way of what sounds in `shape`: it is wanted
    /// for something else, or the hand reaches farther over it or can't hold both. Only the first
    /// finger lies over strings that it does not stop, so only then does an open one cost anything.
    pub fn is_in_the_way(&self, string: usize, shape: &Shape) -> bool {
        if shape.sounding >> string & 1 == 1 {
            return true;
        }
        let stopped = shape.fingers.iter().fold(0, |all, spot| all | spot.strings);
        let lies_between = stopped >> string != 0 && stopped & ((1 << string) - 1) != 0;
        let mut with = shape.grip;
        with.frets[string] = 0;
        shape.fingers[0].strings > 0
            && lies_between
            && (self.judge(&with)).is_none_or(|(stretch, _)| stretch > shape.stretch)
    }

    /// What the reach of a grip and its barre cost, if the hand can hold it.
    fn judge(&self, grip: &Grip) -> Option<(i64, i64)> {
        let costs = self.costs;
        let reserve = i64::from(self.hand.reserve(&self.neck, grip).ok()?);
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

    /// What striking any grip costs at least with the hand at `place`.
    #[inline]
    pub fn price_place(&self, place: i8) -> i64 {
        self.prices[slot(place)]
    }

    /// What it costs to move the hand between two places: little for what the fingers can lean over.
    #[inline]
    pub fn travel(&self, from: i8, to: i8, haste: i64) -> i64 {
        // Rounded once only: the bounds on what states may cost each other count on it.
        self.between(&self.felt, from, to) * haste / 40_000
    }

    /// The most by which one place can be nearer to anywhere than another.
    #[inline]
    pub fn apart(&self, from: i8, to: i8, haste: i64) -> i64 {
        self.between(&self.ways, from, to) * self.costs.travel * haste / 10_000 + 1
    }

    /// [`Shapes::travel`] between every two places, by their [`slot`]s.
    pub fn travels(&self, haste: i64) -> Rc<[i64]> {
        let travel = |from, to| self.travel(from, to, haste);
        let mut known = self.travels.borrow_mut();
        known
            .entry(haste)
            .or_insert_with(|| self.by_slots(travel))
            .clone()
    }

    /// [`Shapes::apart`] between every two places, by their [`slot`]s.
    pub fn aparts(&self, haste: i64) -> Rc<[i64]> {
        let apart = |from, to| self.apart(from, to, haste);
        let mut known = self.aparts.borrow_mut();
        known
            .entry(haste)
            .or_insert_with(|| self.by_slots(apart))
            .clone()
    }

    /// A table of what a function says of every two places on this neck.
    fn by_slots(&self, of: impl Fn(i8, i8) -> i64) -> Rc<[i64]> {
        let top = self.instrument.top_fret() as i8;
        (0..PLACES * PLACES)
            .map(|i| (place(i / PLACES), place(i % PLACES)))
            .map(|(from, to)| if from.max(to) > top { 0 } else { of(from, to) })
            .collect()
    }

    /// What a table says of two places.
    #[inline]
    fn between(&self, table: &[i64], from: i8, to: i8) -> i64 {
        if from == NOWHERE || to == NOWHERE {
            return 0;
        }
        let index = |place: i8| ((place + BENT).max(0) as usize).min(self.places - 1);
        table[index(from) * self.places + index(to)]
    }
}
