//! From the best way through the trellis to plucks, slices and what is worth saying.

use super::arrangement::{Layer, Pluck, Remark, Slice, Technique};
use super::cost::{Cost, Price, Tally};
use super::frontier::Node;
use super::ideas::{is_slurred, mark_at};
use super::plan::Plan;
use super::reasons;
use super::right::{Onset, right_hand};
use super::shape::{NONE, Shape, Shapes};
use super::step::{
    haste, jump, price_depth, price_fingers, price_leading, price_release, price_voicing,
    wanted_until,
};
use crate::guitar::{Grip, RightFinger};
use crate::theory::{Pitch, QUARTER, Ticks};
use std::ops::Range;

/// The price by name of the step into slice `index`.
pub(crate) fn price_step(
    plan: &Plan,
    shapes: &Shapes,
    index: usize,
    before: Option<&Node>,
    node: &Node,
) -> Price {
    let mut price = Price::default();
    let shape = shapes.get(node.shape);
    let (from, from_place) = before
        .map_or((shapes.get(Shapes::SILENCE), super::shape::NOWHERE), |b| {
            (shapes.get(b.shape), b.place)
        });
    if index > 0 {
        price_release(plan, shapes, index, from, node.held, &mut price);
    }
    let slice = &plan.slices[index];
    let struck = shape.sounding & !node.held;
    let place = shape.place(struck);
    let haste = haste(slice.millis);
    let jump = jump(shapes.costs, haste);
    price_fingers(shapes.costs, jump, from, (shape, struck), &mut price);
    price.add(Cost::Travel, shapes.travel(from_place, place, haste));
    shapes.price_grip(shape, struck, place, &mut price);
    price_depth(plan, shapes.costs, index, &mut price);
    if let Some(stroke) = plan.stroke(index) {
        price_voicing(shapes, stroke, shape, &mut price);
        price_leading(shapes.costs, from, shape, &mut price);
    }
    price
}

/// One note as the search left it, before it has a right finger and a reason.
pub(crate) struct Struck {
    /// Slice in which it is struck.
    pub index: usize,
    /// String index.
    pub string: usize,
    pub layer: Layer,
    pub midi: i32,
    pub pitch: Pitch,
    /// When it should stop, and when it does.
    pub wanted: Ticks,
    pub end: Ticks,
}

/// A solved plan, ready to be read off.
pub(crate) struct Answer<'a> {
    pub plan: &'a Plan,
    pub shapes: &'a Shapes<'a>,
    pub path: &'a [Node],
    pub song_end: Ticks,
    /// Spells a MIDI number that sounds in a slice.
    pub spell: &'a dyn Fn(usize, i32) -> Pitch,
    /// What an idea of the song does, in words.
    pub why: &'a dyn Fn(usize) -> String,
}

impl Answer<'_> {
    pub fn shape(&self, index: usize) -> &Shape {
        self.shapes.get(self.path[index].shape)
    }

    /// The notes struck in some slices in order of onset, each from the lowest string up. What becomes of
    /// them after those slices is not looked at.
    pub fn struck(&self, slices: Range<usize>) -> Vec<Struck> {
        let mut notes: Vec<Struck> = Vec::new();
        let mut ringing: [Option<usize>; crate::guitar::MAX_STRINGS] = Default::default();
        for index in slices {
            let node = &self.path[index];
            let at = self.plan.slices[index].at;
            for (string, note) in ringing.iter_mut().enumerate() {
                if node.held >> string & 1 == 0
                    && let Some(i) = note.take()
                {
                    notes[i].end = notes[i].wanted.min(at);
                }
            }
            let shape = *self.shape(index);
            for string in (0..crate::guitar::MAX_STRINGS).rev() {
                if (shape.sounding & !node.held) >> string & 1 == 0 {
                    continue;
                }
                let wanted = wanted_until(self.plan, index, &shape, string);
                ringing[string] = Some(notes.len());
                notes.push(self.note(index, &shape, string, wanted));
            }
        }
        notes
    }

    fn note(&self, index: usize, shape: &Shape, string: usize, wanted: Ticks) -> Struck {
        let slice = &self.plan.slices[index];
        let midi = shape.midi(string);
        let (layer, pitch) = if shape.melody == string as u8 {
            let sung = slice.sung.map(|i| self.plan.melody[i].pitch);
            (Layer::Melody, sung)
        } else if shape.bass == string as u8 {
            (Layer::Bass, None)
        } else {
            (Layer::Fill, None)
        };
        Struck {
            index,
            string,
            layer,
            midi,
            pitch: pitch.unwrap_or_else(|| (self.spell)(index, midi)),
            wanted,
            end: wanted,
        }
    }

    /// The finished plucks.
    pub fn plucks(&self, notes: &[Struck], grips: &[Grip]) -> Vec<Pluck> {
        let onsets: Vec<Onset> = self
            .plan
            .slices
            .iter()
            .enumerate()
            .map(|(index, slice)| {
                let here = notes_of(notes, index);
                // The left hand sounds a slur.
                let plucked = || here.iter().filter(|n| !self.is_slurred(notes, n));
                Onset {
                    millis: if slice.acts() { slice.millis } else { 0 },
                    strings: plucked().map(|n| n.string as u8 + 1).collect(),
                    bass: plucked().next().is_some_and(|n| n.layer == Layer::Bass),
                    knock: slice.hit.is_some(),
                    rolled: self.is_rolled(index),
                }
            })
            .collect();
        let fingers = right_hand(&onsets);
        let mut plucks = Vec::with_capacity(notes.len());
        for (index, way) in fingers.iter().enumerate() {
            let shape = self.shape(index);
            let here = notes_of(notes, index);
            let knock = self.knock(index, &grips[index]);
            let mut way = way.iter();
            for note in here {
                let slurred = self.is_slurred(notes, note);
                let right = if slurred { None } else { way.next() };
                let left = shape.grip.fingers[note.string];
                plucks.push(Pluck {
                    bar: self.plan.slices[index].bar,
                    at: self.plan.slices[index].at,
                    end: note.end,
                    string: note.string as u8 + 1,
                    fret: shape.grip.frets[note.string].unsigned_abs(),
                    pitch: note.pitch,
                    left,
                    barre: left > 0
                        && shape.fingers[usize::from(left) - 1].strings.count_ones() > 1,
                    right: right.copied().unwrap_or(RightFinger::I),
                    layer: note.layer,
                    technique: self.technique(note, here.len(), slurred),
                    reason: reasons::of(self, note, slurred),
                });
            }
            if let Some(knock) = knock {
                let here = plucks.len() - here.len();
                let below = |p: &Pluck| p.string > knock.string;
                let place = here + plucks[here..].partition_point(below);
                plucks.insert(place, knock);
            }
        }
        plucks
    }

    fn technique(&self, note: &Struck, together: usize, slurred: bool) -> Technique {
        let is_melody = note.layer == Layer::Melody;
        if slurred {
            Technique::Slur
        } else if is_melody && self.plan.slices[note.index].touch.is_some() {
            Technique::Harmonic
        } else if self.is_rolled(note.index) {
            Technique::Roll
        } else if together > 4 {
            Technique::Brush
        } else {
            Technique::Plain
        }
    }

    fn is_rolled(&self, index: usize) -> bool {
        self.plan.stroke(index).is_some_and(|s| s.rolled)
    }

    /// Whether the left hand sounds a melody note from the one before it, which still sounds then.
    pub fn is_slurred(&self, notes: &[Struck], note: &Struck) -> bool {
        let at = self.plan.slices[note.index].at;
        if note.layer != Layer::Melody || mark_at(&self.plan.marks.slurs, at).is_none() {
            return false;
        }
        let before = notes
            .iter()
            .rev()
            .find(|n| n.index < note.index && n.layer == Layer::Melody);
        let stop = |n: &Struck| {
            let grip = &self.shape(n.index).grip;
            (grip.frets[n.string], grip.fingers[n.string])
        };
        before.is_some_and(|b| {
            b.string == note.string && b.end == at && is_slurred(stop(b), stop(note))
        })
    }

    /// The knock at a slice: on the lowest string that is silent then, none if all of them sound.
    pub fn knock(&self, index: usize, grip: &Grip) -> Option<Pluck> {
        let slice = &self.plan.slices[index];
        slice.hit?;
        let strings = self.shapes.instrument.strings();
        let string = (0..strings).rev().find(|&s| grip.frets[s] < 0)?;
        let next = self.plan.end(index, self.song_end);
        Some(Pluck {
            bar: slice.bar,
            at: slice.at,
            end: next.min(slice.at + QUARTER / 4),
            string: string as u8 + 1,
            fret: 0,
            pitch: *self.shapes.instrument.open.get(string)?,
            left: 0,
            barre: false,
            right: RightFinger::P,
            layer: Layer::Colour,
            technique: Technique::Hit,
            reason: reasons::Reason::Knock,
        })
    }

    /// The slices with their prices, and what sounds in each.
    pub fn slices(&self, grips: &[Grip]) -> Vec<Slice> {
        (0..self.path.len())
            .map(|index| {
                let grip = grips[index];
                let before = index.checked_sub(1).map(|i| &self.path[i]);
                Slice {
                    bar: self.plan.slices[index].bar,
                    at: self.plan.slices[index].at,
                    end: self.plan.end(index, self.song_end),
                    grip,
                    stretch: self
                        .shapes
                        .hand
                        .judge(&self.shapes.neck, &grip)
                        .ok()
                        .flatten(),
                    price: price_step(self.plan, self.shapes, index, before, &self.path[index]),
                }
            })
            .collect()
    }

    /// Where a teacher would put a word in the margin.
    pub fn remarks(&self, notes: &[Struck]) -> Vec<Remark> {
        let mut remarks = Vec::new();
        for note in notes
            .iter()
            .filter(|n| n.end < n.wanted && n.layer != Layer::Fill)
        {
            let stop = self.plan.slices.partition_point(|s| s.at < note.end);
            remarks.push(self.remark(note.index, reasons::let_go(self, note, stop)));
        }
        for (index, slice) in self.plan.slices.iter().enumerate() {
            let Some(i) = slice.stroke else { continue };
            let stroke = &self.plan.strokes[i];
            let shape = self.shape(index);
            if shape.bass == NONE && !stroke.silent && !stroke.bassless {
                remarks.push(self.remark(index, reasons::no_bass(self, index, stroke)));
            }
        }
        remarks.sort_by_key(|r| r.at);
        remarks
    }

    fn remark(&self, index: usize, text: String) -> Remark {
        Remark {
            bar: self.plan.slices[index].bar,
            at: self.plan.slices[index].at,
            text,
        }
    }
}

/// The notes struck in slice `index`.
pub(crate) fn notes_of(notes: &[Struck], index: usize) -> &[Struck] {
    let from = notes.partition_point(|n| n.index < index);
    let to = notes.partition_point(|n| n.index <= index);
    &notes[from..to]
}
