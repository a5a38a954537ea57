//! The candidates of a stroke, fingered as far as they are asked for.
//!
//! What the music loses by a voicing depends on its notes alone, and most voicings are too poor to be
//! worth fingering. So the voicings are laid out first as frames, the cheapest ahead, and fingers are
//! put on them only up to the price that the search has use for.

use super::candidates::{BODY, Candidate, Kept, List, Melody, places, priced, tune_places};
use super::outdone::NEVER;
use super::plan::Stroke;
use super::shape::{NONE, NOWHERE, PLACES, Shapes, slot};
use super::step::{lowest_of_class, price_voicing};
use super::worth::Worth;
use crate::guitar::{Grip, MAX_STRINGS};

/// A voicing without fingers for what is struck.
struct Frame {
    grip: Grip,
    /// String index of the melody note and of the bass note, or [`NONE`].
    tune: u8,
    bass: u8,
    /// What the music loses by it.
    price: i64,
}

impl Frame {
    fn new(shapes: &Shapes, voicing: &Voicing, grip: Grip) -> Frame {
        let (tune, bass) = (voicing.tune, voicing.bass);
        let outline = shapes.outline(grip, tune, bass);
        let mut price = 0;
        price_voicing(shapes, voicing.stroke, &outline, &mut price);
        Frame {
            grip,
            tune,
            bass,
            price,
        }
    }
}

/// How much dearer candidates than the best voicing are told apart where only the least price counts.
const ENOUGH: i64 = 1_500;

/// The candidates of one stroke over what is kept.
pub(crate) struct Pool {
    frames: Vec<Frame>,
    /// How many of the frames are fingered.
    fingered: usize,
    /// The candidates found, the cheapest first.
    found: Vec<Candidate>,
    list: List,
    /// See [`Pool::least`].
    least: Option<Box<Worth>>,
}

impl Pool {
    pub fn new(shapes: &Shapes, kept: Kept, melody: Melody, stroke: &Stroke) -> Pool {
        Pool {
            frames: frames(shapes, kept, melody, stroke),
            fingered: 0,
            found: Vec::new(),
            list: List::default(),
            least: None,
        }
    }

    /// The candidates, the cheapest first, among them every one that costs `upto` or less; and what
    /// every other one costs more than.
    ///
    /// A list that has grown goes behind `all` others.
    pub fn upto(
        &mut self,
        shapes: &mut Shapes,
        kept: Kept,
        upto: i64,
        all: &mut Vec<Candidate>,
    ) -> (List, i64) {
        let known = self.found.len();
        while let Some(frame) = self.frames.get(self.fingered)
            && (frame.price <= upto || self.found.is_empty())
        {
            let found = &mut self.found;
            shapes.reach.clone().fingerings(frame.grip, &mut |grip| {
                let id = shapes.shape(grip, frame.tune, frame.bass);
                found.extend(id.map(|id| priced(shapes, id, kept, Some(frame.price))));
            });
            self.fingered += 1;
        }
        if self.found.len() > known {
            self.found.sort_by_key(|c| c.fixed);
            let first = all.len();
            all.extend(&self.found);
            self.list = List::from(first..all.len());
        }
        let next = self.frames.get(self.fingered);
        (self.list, next.map_or(NEVER, |f| f.price - 1))
    }

    /// What the cheapest candidate costs, by the slot of the hand's place, with nothing kept; no more
    /// than [`ENOUGH`] beyond the price of the best voicing.
    ///
    /// Fingers are judged only where they may be cheaper than what is known for their place.
    pub fn least(&mut self, shapes: &mut Shapes, kept: Kept) -> Worth {
        if let Some(least) = &self.least {
            return **least;
        }
        let enough = self.frames.first().map_or(NEVER, |f| f.price + ENOUGH);
        let mut least = [enough; PLACES];
        for frame in &self.frames {
            let may_be_less = |least: &Worth, shapes: &Shapes, place: i8| {
                frame.price + shapes.price_place(place) < least[slot(place)]
            };
            let stopped = frame.grip.frets.iter().copied().filter(|&f| f > 0);
            let lowest = stopped.min();
            let mut places = lowest.map_or(NOWHERE..=NOWHERE, |f| f - 3..=f);
            if !places.any(|p| may_be_less(&least, shapes, p)) {
                continue;
            }
            shapes.reach.clone().fingerings(frame.grip, &mut |grip| {
                let fingers = grip.fingers.iter().copied().filter(|&f| f > 0);
                let first = fingers.min().unwrap_or(1) as i8 - 1;
                if !may_be_less(&least, shapes, lowest.map_or(NOWHERE, |f| f - first)) {
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

/// Every frame of a stroke over what is kept, the cheapest first.
fn frames(shapes: &Shapes, kept: Kept, melody: Melody, stroke: &Stroke) -> Vec<Frame> {
    let mut list = Vec::with_capacity(256);
    let struck = u8::from(melody.is_struck());
    let most = if stroke.rolled { stroke.notes } else { 4 };
    let mut frame = |grip: Grip, tune: u8| {
        place_bass(shapes, stroke, (grip, kept), tune, &mut |grip, bass| {
            let plucked = struck + u8::from(bass != NONE && bass != kept.bass);
            let voicing = Voicing {
                stroke,
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
    list.sort_by_key(|f: &Frame| f.price);
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
        for (string, fret) in places(shapes, midi, kept.wide) {
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

/// A stroke with melody and bass placed, to be filled.
struct Voicing<'a> {
    stroke: &'a Stroke,
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
        let open = shapes.instrument.sounding(string as u8 + 1, 0);
        for fret in 0..=shapes.instrument.top_fret().min(BODY) {
            let midi = open + i32::from(fret);
            if midi >= self.stroke.ceiling {
                break;
            }
            let fits = midi > over
                && self.stroke.tones >> midi.rem_euclid(12) & 1 == 1
                && self.stroke.only.is_none_or(|c| c == midi.rem_euclid(12))
                && shapes.reach.spans(&grip, fret);
            if fits {
                let mut with = grip;
                with.frets[string] = fret as i8;
                self.fill_string(shapes, with, (top, string), midi, count + 1, list);
            }
        }
    }
}
