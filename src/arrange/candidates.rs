//! Every way to strike what one slice wants over what is held: string, fret, finger, bass, fill.
//!
//! Songs repeat themselves, so each list is worked out once and kept.

use super::ideas::harmonic;
use super::outdone::NEVER;
use super::pool::Pool;
use super::shape::{NONE, PLACES, Shapes, bits, slot};
use super::step::price_voicing;
use super::strokes::Stroke;
use super::worth::{Heard, Worth};
use crate::guitar::Grip;
use rustc_hash::FxHashMap;
use std::ops::Range;

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

/// Which candidates are asked for.
#[derive(Clone, Copy)]
pub(crate) struct Ask<'a> {
    /// Those that cost no more.
    pub upto: i64,
    /// And of them those that cost no more than this with the hand at the place of a [`slot`].
    pub at_most: &'a dyn Fn(usize) -> i64,
}

impl Ask<'_> {
    /// Every one.
    pub const ALL: Ask<'static> = Ask::upto(NEVER);

    /// Those that cost no more than this, wherever the hand is.
    pub const fn upto(upto: i64) -> Ask<'static> {
        Ask {
            upto,
            at_most: &|_| NEVER,
        }
    }
}

/// Where a list of candidates lies among all of them; see [`Candidates::of`].
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct List {
    first: u32,
    end: u32,
}

impl From<Range<usize>> for List {
    fn from(range: Range<usize>) -> List {
        List {
            first: range.start as u32,
            end: range.end as u32,
        }
    }
}

impl From<List> for Range<usize> {
    fn from(list: List) -> Range<usize> {
        list.first as usize..list.end as usize
    }
}

/// What decides a list: the kind of the stroke, the number of what is kept, the melody note if one is
/// struck, and how what is kept is looked at.
type ListKey = (Option<u32>, u32, Option<Melody>, (u8, bool));

/// The lists worked out so far.
#[derive(Default)]
pub(crate) struct Candidates {
    kinds: FxHashMap<StrokeKey, u32>,
    /// All lists, one behind the other.
    all: Vec<Candidate>,
    lists: FxHashMap<ListKey, List>,
    pools: FxHashMap<ListKey, Pool>,
}

impl Candidates {
    /// A number that two strokes share if they have the same candidates.
    pub fn kind(&mut self, stroke: &Stroke) -> u32 {
        let next = self.kinds.len() as u32;
        *self.kinds.entry(StrokeKey::new(stroke)).or_insert(next)
    }

    /// The candidates of a list.
    #[inline]
    pub fn of(&self, list: List) -> &[Candidate] {
        &self.all[Range::from(list)]
    }

    /// Takes up a list.
    pub fn add(&mut self, list: impl IntoIterator<Item = Candidate>) -> List {
        let first = self.all.len();
        self.all.extend(list);
        List::from(first..self.all.len())
    }

    /// Ways to strike the melody note, and with a stroke (and its kind) bass and fill as well: the
    /// cheapest first, and every one that is asked for. With it goes what every one costs more than
    /// that is not in the list and cheap enough for its place.
    pub fn list(
        &mut self,
        shapes: &mut Shapes,
        kept: Kept,
        melody: Melody,
        stroke: Option<(u32, &Stroke)>,
        ask: Ask,
    ) -> (List, i64) {
        let struck = Some(melody).filter(|m| m.is_struck());
        let kind = stroke.map(|(kind, _)| kind);
        let key = (kind, kept.id, struck, (kept.missing, kept.wide));
        if let (Some((_, stroke)), 0) = (stroke, kept.missing) {
            let known = self.pools.entry(key);
            let pool = known.or_insert_with(|| Pool::new(shapes, kept, melody, stroke));
            return pool.list(shapes, kept, ask, &mut self.all);
        }
        if let Some(&list) = self.lists.get(&key) {
            return (list, NEVER);
        }
        let list = if kept.missing > 0 {
            let (all, _) = self.list(shapes, kept.complete(), melody, stroke, Ask::ALL);
            // Under a note struck over what rings, an open string may be in the way by its pitch.
            if stroke.is_some_and(|(_, s)| s.over) {
                all
            } else {
                self.needing(shapes, kept.missing, all)
            }
        } else {
            let first = self.all.len();
            melodies(shapes, kept, melody, &mut self.all);
            self.all[first..].sort_by_key(|c| c.fixed);
            List::from(first..self.all.len())
        };
        self.lists.insert(key, list);
        (list, NEVER)
    }

    /// The candidates of a list that each open string of `missing` would be in the way of.
    fn needing(&mut self, shapes: &Shapes, missing: u8, list: List) -> List {
        let first = self.all.len();
        for i in Range::from(list) {
            let shape = shapes.get(self.all[i].shape);
            if bits(missing).all(|s| shapes.is_in_the_way(s, shape)) {
                self.all.push(self.all[i]);
            }
        }
        List::from(first..self.all.len())
    }

    /// What the cheapest candidate of [`Candidates::list`] costs, by the slot of the hand's place. That of
    /// a stroke is struck once `heard` has sounded.
    pub fn least(
        &mut self,
        shapes: &mut Shapes,
        (kept, heard): (Kept, Heard),
        melody: Melody,
        stroke: Option<(u32, &Stroke)>,
    ) -> Worth {
        let struck = Some(melody).filter(|m| m.is_struck());
        if let Some((kind, stroke)) = stroke {
            let key = (Some(kind), kept.id, struck, (kept.missing, kept.wide));
            let known = self.pools.entry(key);
            let pool = known.or_insert_with(|| Pool::new(shapes, kept, melody, stroke));
            return pool.least(shapes, heard);
        }
        let (list, _) = self.list(shapes, kept, melody, None, Ask::ALL);
        let mut least = [NEVER; PLACES];
        for candidate in self.of(list) {
            let here = &mut least[slot(candidate.place)];
            *here = (*here).min(candidate.fixed);
        }
        least
    }
}

/// Every way to strike a melody note alone.
fn melodies(shapes: &mut Shapes, kept: Kept, melody: Melody, list: &mut Vec<Candidate>) {
    place_melody(shapes, kept, melody, &mut |shapes, grip, string| {
        let id = shapes.shape(grip, string, kept.bass);
        list.extend(id.map(|id| priced(shapes, id, kept, None)));
    });
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
pub(super) fn tune_places<'a>(
    shapes: &Shapes<'a>,
    melody: Melody,
    wide: bool,
) -> impl Iterator<Item = (usize, i8)> + use<'a> {
    let (stopped, touched) = match melody {
        Melody::Struck(midi) => (Some(places(shapes, midi, wide)), None),
        Melody::Touched(midi, string, fret) => {
            let node = harmonic(shapes.instrument, string + 1, fret.unsigned_abs());
            (None, (node == Some(midi)).then_some((string.into(), fret)))
        }
        Melody::Held(_) | Melody::Silent => (None, None),
    };
    stopped.into_iter().flatten().chain(touched)
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
