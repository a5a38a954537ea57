//! The candidates of a stroke, fingered as far as they are asked for.
//!
//! What the music loses by a voicing depends on its notes alone, and most voicings are too poor to be
//! worth fingering. So the voicings are laid out first as frames, the cheapest ahead, and fingers are
//! put on them only up to the price that the search has use for.

use super::candidates::{
    Ask, BODY, Candidate, Kept, List, Melody, places as places_of, priced, tune_places,
};
use super::outdone::NEVER;
use super::shape::{NONE, NOWHERE, PLACES, Shapes, slot};
use super::step::{lowest_of_class, price_voicing};
use super::strokes::Stroke;
use super::worth::Worth;
use crate::guitar::{Grip, MAX_STRINGS};
use std::ops::{Range, RangeInclusive};

/// A voicing without fingers for what is struck.
struct Frame {
    grip: Grip,
    /// String index of the melody note and of the bass note, or [`NONE`].
    tune: u8,
    bass: u8,
    /// The lowest fret that is struck stopped, if one is: the hand's place is there, or up to three
    /// frets below.
    lowest: Option<i8>,
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
        let lowest = (0..MAX_STRINGS).filter(struck).map(|s| grip.frets[s]).min();
        // There are four fingers, so more notes ask for a barre.
        let barre = lowest.is_some() && (0..MAX_STRINGS).filter(stopped).count() > 4;
        let place = places(lowest).map(|place| shapes.price_place(place)).min();
        let barre = if barre { shapes.costs.barre } else { 0 };
        Frame {
            grip,
            tune,
            bass,
            lowest,
            price,
            least: price + place.unwrap_or(0) + barre,
        }
    }
}

/// Where the hand may be for a grip in which this is the lowest fret struck.
fn places(lowest: Option<i8>) -> RangeInclusive<i8> {
    lowest.map_or(NOWHERE..=NOWHERE, |fret| fret - 3..=fret)
}

/// The frames with one lowest fret that are not fingered yet, the cheapest first.
struct Run {
    lowest: Option<i8>,
    frames: Range<usize>,
}

impl Run {
    /// The most that a candidate of it may cost by what is asked.
    fn at_most(&self, ask: Ask) -> i64 {
        if self.lowest.is_none() {
            return NEVER; // the hand stays where it is, wherever that was
        }
        let most = places(self.lowest).map(|place| (ask.at_most)(slot(place)));
        most.max().unwrap_or(NEVER)
    }
}

/// How much dearer candidates than the best voicing are told apart where only the least price counts.
const ENOUGH: i64 = 1_500;

/// The candidates of one stroke over what is kept.
pub(crate) struct Pool {
    frames: Vec<Frame>,
    runs: Vec<Run>,
    /// The candidates found, the cheapest first.
    found: Vec<Candidate>,
    list: List,
    /// See [`Pool::least`].
    least: Option<Box<Worth>>,
}

impl Pool {
    pub fn new(shapes: &Shapes, kept: Kept, melody: Melody, stroke: &Stroke) -> Pool {
        let frames = frames(shapes, kept, melody, stroke);
        let mut runs: Vec<Run> = Vec::new();
        for run in frames.chunk_by(|a, b| a.lowest == b.lowest) {
            let first = runs.last().map_or(0, |r| r.frames.end);
            runs.push(Run {
                lowest: run[0].lowest,
                frames: first..first + run.len(),
            });
        }
        Pool {
            frames,
            runs,
            found: Vec::new(),
            list: List::default(),
            least: None,
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

    /// What the cheapest candidate costs, by the slot of the hand's place, with nothing kept; no more
    /// than [`ENOUGH`] beyond the price of the best voicing.
    ///
    /// Fingers are judged only where they may be cheaper than what is known for their place.
    pub fn least(&mut self, shapes: &mut Shapes, kept: Kept) -> Worth {
        if let Some(least) = &self.least {
            return **least;
        }
        let best = self.frames.iter().map(|f| f.least).min();
        let enough = best.map_or(NEVER, |least| least + ENOUGH);
        let mut least = [enough; PLACES];
        for frame in &self.frames {
            let may_be_less = |least: &Worth, shapes: &Shapes, place: i8| {
                frame.price + shapes.price_place(place) < least[slot(place)]
            };
            if !places(frame.lowest).any(|p| may_be_less(&least, shapes, p)) {
                continue;
            }
            shapes.reach.clone().fingerings(frame.grip, &mut |grip| {
                let fingers = grip.fingers.iter().copied().filter(|&f| f > 0);
                let first = fingers.min().unwrap_or(1) as i8 - 1;
                if !may_be_less(&least, shapes, frame.lowest.map_or(NOWHERE, |f| f - first)) {
                    return;
                }
                if let Some(id) = shapes.shape(grip, frame.tune, frame.bass) {
                    let found = priced(shapes, id, kept, Some(frame.price));
                    let here = &mut least[slot(found.place)];
                    *here = (*here).min(found.fixed);
                }
            });
        }
        self.least = Some(Box::new(least));
        least
    }
}

/// Every frame of a stroke over what is kept, by its lowest fret and the cheapest of each first.
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
    list.sort_by_cached_key(|f: &Frame| (f.lowest, f.least));
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
