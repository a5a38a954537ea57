//! Every way to strike what one slice wants over what is held: string, fret, finger, bass, fill.
//!
//! Songs repeat themselves, so each list is worked out once and kept.

use super::ideas::harmonic;
use super::plan::Stroke;
use super::shape::{NONE, Shapes, bits, fingerings};
use super::step::{lowest_of_class, price_voicing};
use crate::guitar::{Grip, MAX_STRINGS};
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
    fn is_struck(self) -> bool {
        matches!(self, Melody::Struck(_) | Melody::Touched(..))
    }
}

/// What rings on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) struct Kept {
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
    root: i32,
    third: Option<u8>,
    seventh: Option<u8>,
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
            tones: stroke.chord.classes().fold(0, |set, c| set | 1 << c),
            root: stroke.chord.root.class(),
            third: stroke.chord.third().map(|t| t.semitones),
            seventh: stroke.chord.seventh().map(|t| t.semitones),
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

type List = Rc<[Candidate]>;

/// The lists worked out so far.
#[derive(Default)]
pub(crate) struct Candidates {
    melodies: FxHashMap<(Kept, Melody), List>,
    strokes: FxHashMap<(StrokeKey, Kept, Melody), List>,
}

impl Candidates {
    /// Ways to strike a melody note alone.
    pub fn melody(&mut self, shapes: &mut Shapes, kept: Kept, melody: Melody) -> List {
        if let Some(list) = self.melodies.get(&(kept, melody)) {
            return list.clone();
        }
        let list = if kept.missing > 0 {
            let all = self.melody(shapes, kept.complete(), melody);
            needing(shapes, kept.missing, &all)
        } else {
            let mut list = Vec::new();
            place_melody(shapes, kept, melody, &mut |shapes, grip, string| {
                push(shapes, kept, grip, string, kept.bass, None, &mut list);
            });
            sorted(list)
        };
        self.melodies.insert((kept, melody), list.clone());
        list
    }

    /// Ways to strike bass and fill, with the melody note if it is struck there too.
    pub fn stroke(
        &mut self,
        shapes: &mut Shapes,
        kept: Kept,
        melody: Melody,
        stroke: &Stroke,
    ) -> List {
        let key = (StrokeKey::new(stroke), kept, melody);
        if let Some(list) = self.strokes.get(&key) {
            return list.clone();
        }
        let list = if kept.missing > 0 {
            let all = self.stroke(shapes, kept.complete(), melody, stroke);
            // Under a note struck over what rings, an open string may be in the way by its pitch.
            if stroke.over {
                all
            } else {
                needing(shapes, kept.missing, &all)
            }
        } else {
            voicings(shapes, kept, melody, stroke)
        };
        self.strokes.insert(key, list.clone());
        list
    }
}

/// Every way to strike a stroke's bass and fill over what is kept.
fn voicings(shapes: &mut Shapes, kept: Kept, melody: Melody, stroke: &Stroke) -> List {
    let mut list = Vec::new();
    let struck = u8::from(melody.is_struck());
    let most = if stroke.rolled { stroke.notes } else { 4 };
    let mut frame = |shapes: &mut Shapes, grip: Grip, tune: u8| {
        place_bass(
            shapes,
            stroke,
            (grip, kept),
            tune,
            &mut |shapes, grip, bass| {
                let plucked = struck + u8::from(bass != NONE && bass != kept.bass);
                let plucks = most.saturating_sub(plucked);
                let voicing = Voicing {
                    stroke,
                    tune,
                    bass,
                    plucks,
                    kept,
                };
                voicing.fill(shapes, grip, &mut list);
            },
        );
    };
    match melody {
        Melody::Held(string) => frame(shapes, kept.grip, string),
        Melody::Silent => frame(shapes, kept.grip, NONE),
        Melody::Struck(_) | Melody::Touched(..) => {
            for (string, fret) in tune_places(shapes, melody, kept.wide) {
                let mut grip = kept.grip;
                if grip.frets[string] < 0 {
                    grip.frets[string] = fret;
                    frame(shapes, grip, string as u8);
                }
            }
        }
    }
    sorted(list)
}

/// The candidates that each open string of `missing` would be in the way of.
fn needing(shapes: &Shapes, missing: u8, list: &[Candidate]) -> List {
    list.iter()
        .copied()
        .filter(|c| bits(missing).all(|s| shapes.is_in_the_way(s, shapes.get(c.shape))))
        .collect()
}

/// The list with the cheapest first, so that a search may stop early.
fn sorted(mut list: Vec<Candidate>) -> List {
    list.sort_by_key(|c| c.fixed);
    list.into()
}

/// The fret at which a neck usually meets the body (common practice, no source): what can be played
/// below it is not looked for above.
const BODY: u8 = 12;

/// String index and fret of every place where a MIDI number can be played: those up to the body,
/// else the lowest one.
fn places(shapes: &Shapes, midi: i32, wide: bool) -> Vec<(usize, i8)> {
    let all = || {
        shapes
            .instrument
            .places(midi)
            .map(|(string, fret)| (usize::from(string) - 1, fret as i8))
    };
    let limit = all()
        .map(|(_, fret)| fret)
        .min()
        .unwrap_or(0)
        .max(BODY as i8);
    all().filter(|&(_, fret)| wide || fret <= limit).collect()
}

/// Where the melody note that is struck may be played.
fn tune_places(shapes: &Shapes, melody: Melody, wide: bool) -> Vec<(usize, i8)> {
    match melody {
        Melody::Struck(midi) => places(shapes, midi, wide),
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
                if grip.frets[string] < 0 && within_reach(shapes, &grip, fret.unsigned_abs()) {
                    let mut with = grip;
                    with.frets[string] = fret;
                    fingerings(with, &mut |fingered| found(shapes, fingered, string as u8));
                }
            }
        }
    }
}

/// Every place of the bass, and none where it may be left out.
///
/// The bass lies in the lowest octave of the instrument or the next, on a string below the melody's.
fn place_bass(
    shapes: &mut Shapes,
    stroke: &Stroke,
    (grip, kept): (Grip, Kept),
    tune: u8,
    found: &mut impl FnMut(&mut Shapes, Grip, u8),
) {
    if stroke.silent || !stroke.bass_pinned {
        found(shapes, grip, kept.bass);
    }
    if stroke.silent || stroke.bassless {
        return;
    }
    let lowest = lowest_of_class(shapes, stroke.bass);
    let choices = match stroke.bass_midi {
        Some(midi) => vec![midi],
        None => vec![lowest, lowest + 12],
    };
    for midi in choices.into_iter().filter(|&m| m < stroke.ceiling) {
        for (string, fret) in places(shapes, midi, kept.wide) {
            let below_tune = tune == NONE || string > usize::from(tune);
            if below_tune
                && (!stroke.over || is_below(shapes, &kept, tune, (string, midi)))
                && grip.frets[string] < 0
                && within_reach(shapes, &grip, fret.unsigned_abs())
            {
                let mut with = grip;
                with.frets[string] = fret;
                found(shapes, with, string as u8);
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
    kept: Kept,
}

impl Voicing<'_> {
    /// Adds every filling with every fingering.
    fn fill(&self, shapes: &mut Shapes, grip: Grip, list: &mut Vec<Candidate>) {
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
        shapes: &mut Shapes,
        grip: Grip,
        (top, bottom): (usize, usize),
        over: i32,
        count: u8,
        list: &mut Vec<Candidate>,
    ) {
        let (least, most) = self.stroke.fill;
        if bottom <= top || count >= most.min(self.plucks) || self.stroke.silent {
            if count >= least {
                self.finger(shapes, grip, list);
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
                && self.stroke.chord.tone_of(midi.rem_euclid(12)).is_some()
                && self.stroke.only.is_none_or(|c| c == midi.rem_euclid(12))
                && within_reach(shapes, &grip, fret);
            if fits {
                let mut with = grip;
                with.frets[string] = fret as i8;
                self.fill_string(shapes, with, (top, string), midi, count + 1, list);
            }
        }
    }

    fn finger(&self, shapes: &mut Shapes, grip: Grip, list: &mut Vec<Candidate>) {
        fingerings(grip, &mut |fingered| {
            push(
                shapes,
                self.kept,
                fingered,
                self.tune,
                self.bass,
                Some(self.stroke),
                list,
            );
        });
    }
}

/// Whether any two fingers of this hand could reach from the stopped frets of `grip` to `fret`.
fn within_reach(shapes: &Shapes, grip: &Grip, fret: u8) -> bool {
    let reach = shapes.reach;
    fret == 0
        || grip.frets.iter().filter(|&&f| f > 0).all(|&f| {
            (shapes.neck.along(f.unsigned_abs()) - shapes.neck.along(fret)).abs() <= reach
        })
}

/// Takes up a fingered grip if the hand can hold it.
fn push(
    shapes: &mut Shapes,
    kept: Kept,
    grip: Grip,
    melody: u8,
    bass: u8,
    stroke: Option<&Stroke>,
    list: &mut Vec<Candidate>,
) {
    let Some(id) = shapes.shape(grip, melody, bass) else {
        return;
    };
    list.push(candidate(shapes, id, kept, stroke));
}

/// A candidate from a shape that the hand can hold.
pub(crate) fn candidate(
    shapes: &Shapes,
    id: u32,
    kept: Kept,
    stroke: Option<&Stroke>,
) -> Candidate {
    let shape = shapes.get(id);
    let held = (0..MAX_STRINGS)
        .filter(|&s| kept.grip.frets[s] >= 0)
        .fold(0, |m, s| m | 1 << s);
    let struck = shape.sounding & !held;
    let place = shape.place(struck);
    let mut fixed = 0;
    shapes.price_grip(shape, struck, place, &mut fixed);
    if let Some(stroke) = stroke {
        price_voicing(shapes, stroke, shape, &mut fixed);
    }
    let leads = stroke.is_some() && shape.fills() != 0;
    Candidate {
        shape: id,
        struck,
        place,
        fixed,
        leads,
    }
}
