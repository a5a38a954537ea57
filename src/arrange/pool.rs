//! The candidates of a stroke, fingered as far as they are asked for.
//!
//! What the music loses by a voicing depends on its notes alone, and most voicings are too poor to be
//! worth fingering. So the voicings are laid out first as frames, the cheapest ahead, and fingers are
//! put on them only up to the price that the search has use for.

use super::candidates::{
    Ask, BODY, Candidate, Kept, List, Melody, places as places_of, priced, tune_places,
};
use super::cost::Costs;
use super::outdone::NEVER;
use super::shape::{NONE, NOWHERE, PLACES, Shapes, slot};
use super::step::{lowest_of_class, price_voicing};
use super::strokes::Stroke;
use super::worth::{Heard, Worth, fresh_finger};
use crate::guitar::{Grip, MAX_STRINGS};
use rustc_hash::FxHashMap;
use std::ops::Range;

/// A voicing without fingers for what is struck.
struct Frame {
    grip: Grip,
    /// String index of the melody note and of the bass note, or [`NONE`].
    tune: u8,
    bass: u8,
    /// The lowest and the highest place that the hand may have.
    places: (i8, i8),
    /// What the music loses by it.
    price: i64,
    /// What it costs at least, however it is fingered.
    least: i64,
}

impl Frame {
    fn new(shapes: &Shapes, voicing: &Voicing, grip: Grip) -> Frame {
        let (tune, bass) = (voicing.tune, voicing.bass);
        let outline = shapes.outline(grip, tune, bass);
        let mut price = 0;
        price_voicing(shapes, voicing.stroke, &outline, &mut price);
        let stopped = |s: &usize| grip.frets[*s] > 0;
        let struck = |s: &usize| stopped(s) && grip.fingers[*s] == 0;
        let places = places((0..MAX_STRINGS).filter(struck).map(|s| grip.frets[s]));
        // There are four fingers, so more notes ask for a barre.
        let barre = places.0 != NOWHERE && (0..MAX_STRINGS).filter(stopped).count() > 4;
        let place = (places.0..=places.1).map(|p| shapes.price_place(p)).min();
        let barre = if barre { shapes.costs.barre } else { 0 };
        Frame {
            grip,
            tune,
            bass,
            places,
            price,
            least: price + place.unwrap_or(0) + barre,
        }
    }

    /// What its fingers and its fill pay at least, all of it struck, where a bit by its fret says of each
    /// string which of its notes may not have sounded before.
    fn fresh(&self, costs: &Costs, fresh: &[u32; MAX_STRINGS]) -> i64 {
        let (mut stopped, mut fills) = (0, 0);
        for (string, fresh) in fresh.iter().enumerate() {
            let fret = self.grip.frets[string];
            if fret >= 0 && fresh >> fret & 1 == 1 {
                stopped += i64::from(fret > 0);
                fills += i64::from(string as u8 != self.tune && string as u8 != self.bass);
            }
        }
        let fingers = (fresh_finger(costs) * stopped).min(costs.barre);
        fingers + costs.lead.min(costs.leap) * fills
    }
}

/// Where the hand may be to stop what is struck at these frets: as far below the lowest of them as the
/// fingers before the one on it, and every note takes a finger, except that the first may take several.
fn places(frets: impl Iterator<Item = i8>) -> (i8, i8) {
    let (count, lowest) = frets.fold((0, i8::MAX), |(n, low), fret| (n + 1, low.min(fret)));
    match count {
        0 => (NOWHERE, NOWHERE),
        _ => (lowest - (4 - count).max(0), lowest),
    }
}

/// The frames for which the hand has the same places, those that are not fingered yet, the cheapest first.
struct Run {
    places: (i8, i8),
    frames: Range<usize>,
}

impl Run {
    /// The most that a candidate of it may cost by what is asked.
    fn at_most(&self, ask: Ask) -> i64 {
        let (low, high) = self.places;
        if low == NOWHERE {
            return NEVER; // the hand stays where it is, wherever that was
        }
        let most = (low..=high).map(|place| (ask.at_most)(slot(place)));
        most.max().unwrap_or(NEVER)
    }
}

/// The candidates of one stroke over what is kept.
pub(crate) struct Pool {
    frames: Vec<Frame>,
    runs: Vec<Run>,
    /// The candidates found, the cheapest first.
    found: Vec<Candidate>,
    list: List,
    /// See [`Pool::least`].
    least: FxHashMap<Heard, Worth>,
}

impl Pool {
    pub fn new(shapes: &Shapes, kept: Kept, melody: Melody, stroke: &Stroke) -> Pool {
        let frames = frames(shapes, kept, melody, stroke);
        let mut runs: Vec<Run> = Vec::new();
        for run in frames.chunk_by(|a, b| a.places == b.places) {
            let first = runs.last().map_or(0, |r| r.frames.end);
            runs.push(Run {
                places: run[0].places,
                frames: first..first + run.len(),
            });
        }
        Pool {
            frames,
            runs,
            found: Vec::new(),
            list: List::default(),
            least: FxHashMap::default(),
        }
    }

    /// The candidates, the cheapest first, among them every one that is asked for; and what every other
    /// one costs more than that is cheap enough for its place.
    ///
    /// A list that has grown goes behind `all` others.
    pub fn list(
        &mut self,
        shapes: &mut Shapes,
        kept: Kept,
        ask: Ask,
        all: &mut Vec<Candidate>,
    ) -> (List, i64) {
        let known = self.found.len();
        let mut next = NEVER;
        for run in &mut self.runs {
            let Some(first) = self.frames[run.frames.clone()].first() else {
                continue;
            };
            let at_most = run.at_most(ask);
            if first.least > at_most {
                continue;
            }
            let upto = ask.upto.min(at_most);
            while let Some(frame) = self.frames[run.frames.clone()].first()
                && frame.least <= upto
            {
                let found = &mut self.found;
                shapes.reach.clone().fingerings(frame.grip, &mut |grip| {
                    let id = shapes.shape(grip, frame.tune, frame.bass);
                    found.extend(id.map(|id| priced(shapes, id, kept, Some(frame.price))));
                });
                run.frames.start += 1;
            }
            let left = self.frames[run.frames.clone()].first().map(|f| f.least);
            next = left
                .filter(|&least| least <= at_most)
                .map_or(next, |l| next.min(l));
        }
        if self.found.len() > known {
            self.found.sort_by_key(|c| c.fixed);
            let first = all.len();
            all.extend(&self.found);
            self.list = List::from(first..all.len());
        }
        (self.list, if next == NEVER { NEVER } else { next - 1 })
    }

    /// What a candidate costs at least with nothing kept, by the slot of the hand's place, with what its
    /// fingers and its fill pay when `heard` has sounded before.
    pub fn least(&mut self, shapes: &Shapes, heard: Heard) -> Worth {
        if let Some(least) = self.least.get(&heard) {
            return *least;
        }
        let mut least = [NEVER; PLACES];
        let is_fresh = |s: usize, fret: i32| !heard.has(i32::from(shapes.open[s]) + fret);
        let fresh = std::array::from_fn(|s| {
            (0..32).fold(0, |bits, f| bits | u32::from(is_fresh(s, f)) << f)
        });
        for frame in &self.frames {
            let price = frame.price + frame.fresh(shapes.costs, &fresh);
            for place in frame.places.0..=frame.places.1 {
                let here = &mut least[slot(place)];
                *here = (*here).min(price + shapes.price_place(place));
            }
        }
        self.least.insert(heard, least);
        least
    }
}

/// Every frame of a stroke over what is kept, by the places of the hand that it allows and the cheapest
/// of each first.
fn frames(shapes: &Shapes, kept: Kept, melody: Melody, stroke: &Stroke) -> Vec<Frame> {
    let mut list = Vec::with_capacity(256);
    let tones = tones(shapes, stroke);
    let struck = u8::from(melody.is_struck());
    let most = if stroke.rolled { stroke.notes } else { 4 };
    let mut frame = |grip: Grip, tune: u8| {
        place_bass(shapes, stroke, (grip, kept), tune, &mut |grip, bass| {
            let plucked = struck + u8::from(bass != NONE && bass != kept.bass);
            let voicing = Voicing {
                stroke,
                tones: &tones,
                tune,
                bass,
                plucks: most.saturating_sub(plucked),
            };
            voicing.fill(shapes, grip, &mut list);
        });
    };
    match melody {
        Melody::Held(string) => frame(kept.grip, string),
        Melody::Silent => frame(kept.grip, NONE),
        Melody::Struck(_) | Melody::Touched(..) => {
            for (string, fret) in tune_places(shapes, melody, kept.wide) {
                let mut grip = kept.grip;
                if grip.frets[string] < 0 {
                    grip.frets[string] = fret;
                    frame(grip, string as u8);
                }
            }
        }
    }
    list.sort_by_cached_key(|f: &Frame| (f.places, f.least));
    list
}

/// Every place of the bass, and none where it may be left out.
///
/// The bass lies in the lowest octave of the instrument or the next, on a string below the melody's.
fn place_bass(
    shapes: &Shapes,
    stroke: &Stroke,
    (grip, kept): (Grip, Kept),
    tune: u8,
    found: &mut impl FnMut(Grip, u8),
) {
    if stroke.silent || !stroke.bass_pinned {
        found(grip, kept.bass);
    }
    if stroke.silent || stroke.bassless {
        return;
    }
    let lowest = lowest_of_class(shapes, stroke.bass);
    let choices = match stroke.bass_midi {
        Some(midi) => [Some(midi), None],
        None => [Some(lowest), Some(lowest + 12)],
    };
    for midi in choices
        .into_iter()
        .flatten()
        .filter(|&m| m < stroke.ceiling)
    {
        for (string, fret) in places_of(shapes, midi, kept.wide) {
            let below_tune = tune == NONE || string > usize::from(tune);
            if below_tune
                && (!stroke.over || is_below(shapes, &kept, tune, (string, midi)))
                && grip.frets[string] < 0
                && shapes.reach.spans(&grip, fret.unsigned_abs())
            {
                let mut with = grip;
                with.frets[string] = fret;
                found(with, string as u8);
            }
        }
    }
}

/// Whether a bass on a string index lies below the fill that rings on, by string and by pitch.
fn is_below(shapes: &Shapes, kept: &Kept, tune: u8, (bass, midi): (usize, i32)) -> bool {
    (0..MAX_STRINGS).all(|s| {
        let fret = kept.grip.frets[s];
        fret < 0
            || s as u8 == tune
            || (s < bass && shapes.instrument.sounding(s as u8 + 1, fret.unsigned_abs()) > midi)
    })
}

/// Fret and MIDI number of every fill note that a stroke may have on one string, the lowest first.
type Tones = Vec<(i8, i32)>;

/// The fill notes of a stroke, by string index.
fn tones(shapes: &Shapes, stroke: &Stroke) -> Vec<Tones> {
    let instrument = shapes.instrument;
    let on = |string: usize| {
        let notes = (0..=instrument.top_fret().min(BODY))
            .map(|fret| (fret as i8, instrument.sounding(string as u8 + 1, fret)));
        let fits = |&(_, midi): &(i8, i32)| {
            let class = midi.rem_euclid(12);
            midi < stroke.ceiling
                && stroke.tones >> class & 1 == 1
                && stroke.only.is_none_or(|c| c == class)
        };
        notes.filter(fits).collect()
    };
    (0..instrument.strings()).map(on).collect()
}

/// A stroke with melody and bass placed, to be filled.
struct Voicing<'a> {
    stroke: &'a Stroke,
    tones: &'a [Tones],
    tune: u8,
    bass: u8,
    /// How many more strings the right hand can pluck.
    plucks: u8,
}

impl Voicing<'_> {
    /// Adds every filling.
    fn fill(&self, shapes: &Shapes, grip: Grip, list: &mut Vec<Frame>) {
        let top = if self.tune == NONE {
            0
        } else {
            usize::from(self.tune) + 1
        };
        let bottom = if self.bass == NONE {
            shapes.instrument.strings()
        } else {
            self.bass.into()
        };
        let over = if self.bass == NONE {
            i32::MIN
        } else {
            shapes
                .instrument
                .sounding(self.bass + 1, grip.frets[bottom].unsigned_abs())
        };
        self.fill_string(shapes, grip, (top, bottom), over, 0, list);
    }

    /// Decides about the lowest string still open to fill: voices keep the order of strings.
    fn fill_string(
        &self,
        shapes: &Shapes,
        grip: Grip,
        (top, bottom): (usize, usize),
        over: i32,
        count: u8,
        list: &mut Vec<Frame>,
    ) {
        let (least, most) = self.stroke.fill;
        if bottom <= top || count >= most.min(self.plucks) || self.stroke.silent {
            if count >= least {
                list.push(Frame::new(shapes, self, grip));
            }
            return;
        }
        let string = bottom - 1;
        self.fill_string(shapes, grip, (top, string), over, count, list);
        if grip.frets[string] >= 0 {
            return;
        }
        for &(fret, midi) in &self.tones[string] {
            if midi > over && shapes.reach.spans(&grip, fret.unsigned_abs()) {
                let mut with = grip;
                with.frets[string] = fret;
                self.fill_string(shapes, with, (top, string), midi, count + 1, list);
            }
        }
    }
}
