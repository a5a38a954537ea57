//! Every way to strike what one slice wants over what is held: string, fret, finger, bass, fill.
//!
//! Songs repeat themselves, so each list is worked out once and kept.

use super::ideas::harmonic;
use super::outdone::NEVER;
use super::plan::Stroke;
use super::pool::Pool;
use super::shape::{NONE, Shapes, bits};
use super::step::price_voicing;
use crate::guitar::Grip;
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// A shape that a slice may have.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Candidate {
    pub shape: u32,
    /// Strings struck, as bits.
    pub struck: u8,
    /// Where the hand goes for them.
    pub place: i8,
    /// What it costs whatever came before: the grip, and what the music loses by the voicing.
    pub fixed: i64,
    /// Fill notes are struck in it, so what rang before matters.
    pub leads: bool,
}

/// What the melody does where the candidates are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Melody {
    /// A note of this MIDI number is struck.
    Struck(i32),
    /// The note on this string index is held.
    Held(u8),
    /// A natural harmonic of this MIDI number is touched on this string index over this fret.
    Touched(i32, u8, i8),
    /// Nothing sounds: a rest, or the note was let go.
    Silent,
}

impl Melody {
    /// Whether a note is struck.
    pub fn is_struck(self) -> bool {
        matches!(self, Melody::Struck(_) | Melody::Touched(..))
    }
}

/// What rings on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Kept {
    /// The number of this set of notes.
    pub id: u32,
    pub grip: Grip,
    pub bass: u8,
    /// Open strings that were let go: each must be in the way of what is struck. Otherwise it costs
    /// the hand nothing, so letting it go can't be better.
    pub missing: u8,
    /// A pin may ask for a place above the body of the instrument.
    pub wide: bool,
}

impl Kept {
    /// The same with no open string let go.
    fn complete(self) -> Kept {
        Kept { missing: 0, ..self }
    }
}

/// What of a stroke decides its candidates.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
struct StrokeKey {
    tones: u16,
    third: Option<i32>,
    seventh: Option<i32>,
    bass: i32,
    bass_midi: Option<i32>,
    bass_pinned: bool,
    ceiling: i32,
    fill: (u8, u8),
    silent: bool,
    over: bool,
    bassless: bool,
    notes: u8,
    rolled: bool,
    only: Option<i32>,
    tune: Option<i32>,
}

impl StrokeKey {
    fn new(stroke: &Stroke) -> StrokeKey {
        StrokeKey {
            tones: stroke.tones,
            third: stroke.third,
            seventh: stroke.seventh,
            bass: stroke.bass,
            bass_midi: stroke.bass_midi,
            bass_pinned: stroke.bass_pinned,
            ceiling: stroke.ceiling,
            fill: stroke.fill,
            silent: stroke.silent,
            over: stroke.over,
            bassless: stroke.bassless,
            notes: stroke.notes,
            rolled: stroke.rolled,
            only: stroke.only,
            tune: stroke.tune,
        }
    }
}

pub(crate) type List = Rc<[Candidate]>;

/// What decides a list: the kind of the stroke, the number of what is kept, the melody note if one is
/// struck, and how what is kept is looked at.
type ListKey = (Option<u32>, u32, Option<Melody>, (u8, bool));

/// The lists worked out so far.
#[derive(Default)]
pub(crate) struct Candidates {
    kinds: FxHashMap<StrokeKey, u32>,
    /// Room for the list that is being worked out.
    room: Vec<Candidate>,
    lists: FxHashMap<ListKey, List>,
    pools: FxHashMap<ListKey, Pool>,
}

impl Candidates {
    /// A number that two strokes share if they have the same candidates.
    pub fn kind(&mut self, stroke: &Stroke) -> u32 {
        let next = self.kinds.len() as u32;
        *self.kinds.entry(StrokeKey::new(stroke)).or_insert(next)
    }

    /// Ways to strike the melody note, and with a stroke (and its kind) bass and fill as well: the
    /// cheapest first, and every one that costs `upto` or less. With it goes what every one that is
    /// not in the list costs more than.
    pub fn list(
        &mut self,
        shapes: &mut Shapes,
        kept: Kept,
        melody: Melody,
        stroke: Option<(u32, &Stroke)>,
        upto: i64,
    ) -> (List, i64) {
        let struck = Some(melody).filter(|m| m.is_struck());
        let kind = stroke.map(|(kind, _)| kind);
        let key = (kind, kept.id, struck, (kept.missing, kept.wide));
        if let (Some((_, stroke)), 0) = (stroke, kept.missing) {
            let known = self.pools.entry(key);
            let pool = known.or_insert_with(|| Pool::new(shapes, kept, melody, stroke));
            return pool.upto(shapes, kept, upto);
        }
        if let Some(list) = self.lists.get(&key) {
            return (list.clone(), NEVER);
        }
        let list = if kept.missing > 0 {
            let (all, _) = self.list(shapes, kept.complete(), melody, stroke, NEVER);
            // Under a note struck over what rings, an open string may be in the way by its pitch.
            if stroke.is_some_and(|(_, s)| s.over) {
                all
            } else {
                needing(shapes, kept.missing, &all)
            }
        } else {
            self.room.clear();
            melodies(shapes, kept, melody, &mut self.room);
            self.room.sort_by_key(|c| c.fixed);
            List::from(&self.room[..])
        };
        self.lists.insert(key, list.clone());
        (list, NEVER)
    }
}

/// Every way to strike a melody note alone.
fn melodies(shapes: &mut Shapes, kept: Kept, melody: Melody, list: &mut Vec<Candidate>) {
    place_melody(shapes, kept, melody, &mut |shapes, grip, string| {
        let id = shapes.shape(grip, string, kept.bass);
        list.extend(id.map(|id| priced(shapes, id, kept, None)));
    });
}

/// The candidates that each open string of `missing` would be in the way of.
fn needing(shapes: &Shapes, missing: u8, list: &[Candidate]) -> List {
    list.iter()
        .copied()
        .filter(|c| bits(missing).all(|s| shapes.is_in_the_way(s, shapes.get(c.shape))))
        .collect()
}

/// The fret at which a neck usually meets the body (common practice, no source): what can be played
/// below it is not looked for above.
pub(super) const BODY: u8 = 12;

/// String index and fret of every place where a MIDI number can be played: those up to the body,
/// else the lowest one.
pub(super) fn places<'a>(
    shapes: &Shapes<'a>,
    midi: i32,
    wide: bool,
) -> impl Iterator<Item = (usize, i8)> + use<'a> {
    let instrument = shapes.instrument;
    let all = move || {
        let places = instrument.places(midi);
        places.map(|(string, fret)| (usize::from(string) - 1, fret as i8))
    };
    let limit = all()
        .map(|(_, fret)| fret)
        .min()
        .unwrap_or(0)
        .max(BODY as i8);
    all().filter(move |&(_, fret)| wide || fret <= limit)
}

/// Where the melody note that is struck may be played.
pub(super) fn tune_places(shapes: &Shapes, melody: Melody, wide: bool) -> Vec<(usize, i8)> {
    match melody {
        Melody::Struck(midi) => places(shapes, midi, wide).collect(),
        Melody::Touched(midi, string, fret) => {
            let node = harmonic(shapes.instrument, string + 1, fret.unsigned_abs());
            let sounds = node == Some(midi);
            Vec::from_iter(sounds.then_some((string.into(), fret)))
        }
        Melody::Held(_) | Melody::Silent => Vec::new(),
    }
}

/// Every place of the melody note with every fingering of it.
fn place_melody(
    shapes: &mut Shapes,
    kept: Kept,
    melody: Melody,
    found: &mut impl FnMut(&mut Shapes, Grip, u8),
) {
    let grip = kept.grip;
    match melody {
        Melody::Held(string) => found(shapes, grip, string),
        Melody::Silent => found(shapes, grip, NONE),
        Melody::Struck(_) | Melody::Touched(..) => {
            for (string, fret) in tune_places(shapes, melody, kept.wide) {
                if grip.frets[string] < 0 && shapes.reach.spans(&grip, fret.unsigned_abs()) {
                    let mut with = grip;
                    with.frets[string] = fret;
                    let reach = shapes.reach.clone();
                    reach.fingerings(with, &mut |fingered| found(shapes, fingered, string as u8));
                }
            }
        }
    }
}

/// A candidate from a shape that the hand can hold.
pub(crate) fn candidate(
    shapes: &Shapes,
    id: u32,
    kept: Kept,
    stroke: Option<&Stroke>,
) -> Candidate {
    let voicing = stroke.map(|stroke| {
        let mut price = 0;
        price_voicing(shapes, stroke, shapes.get(id), &mut price);
        price
    });
    priced(shapes, id, kept, voicing)
}

/// The same where the price of the stroke's voicing is known.
pub(super) fn priced(shapes: &Shapes, id: u32, kept: Kept, voicing: Option<i64>) -> Candidate {
    let shape = shapes.get(id);
    let struck = shape.sounding & !kept.grip.sounding();
    let place = shape.place(struck);
    let mut fixed = voicing.unwrap_or(0);
    shapes.price_grip(shape, struck, place, &mut fixed);
    Candidate {
        shape: id,
        struck,
        place,
        fixed,
        leads: voicing.is_some() && shape.fills != 0,
    }
}
