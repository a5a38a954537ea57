//! Pins in the search: which candidates a pinned onset leaves, and which pins clash.

use super::Layer;
use super::candidates::{Candidate, Kept, Melody, candidate};
use super::ideas::{Asked, mark_at};
use super::plan::Plan;
use super::shape::{NONE, Shape, Shapes, bits};
use super::strokes::Stroke;
use crate::guitar::MAX_STRINGS;
use crate::song::{Song, Target, Wish};
use rustc_hash::{FxHashMap, FxHashSet};

/// What the pins of one onset ask of a shape.
#[derive(Debug, Clone)]
pub(crate) struct Fence {
    wishes: Vec<Wish>,
    stroke: Option<Stroke>,
    /// Pitch class of the bass that an idea asks for here.
    bass: Option<i32>,
}

/// The fences of all pinned onsets that the plan is of, by slice; `None` if something is pinned where
/// nothing is struck.
pub(crate) fn fences(song: &Song, plan: &Plan) -> Option<FxHashMap<usize, Fence>> {
    let starts = song.starts();
    let mut fences: FxHashMap<usize, Fence> = FxHashMap::default();
    if super::ideas::is_in_vain(plan) {
        return None;
    }
    let asked = super::ideas::melody_pins(song, plan);
    let pins = song.pins.iter().chain(&asked);
    for pin in pins.filter(|p| p.bar < song.bars.len()) {
        if !concerns(&pin.wish, plan.layer) {
            continue;
        }
        let at = starts[pin.bar] + pin.at;
        let index = match plan.slices.binary_search_by_key(&at, |s| s.at) {
            Ok(index) => index,
            Err(_) if !plan.part.contains(&at) => continue,
            Err(_) if matches!(pin.wish, Wish::Nothing | Wish::Fill(0)) => continue,
            Err(_) => return None,
        };
        let stroke = plan.stroke(index).cloned();
        let asked = mark_at(&plan.marks.bass, at).is_some_and(|m| m.what != Asked::Own);
        let fence = fences.entry(index).or_insert(Fence {
            wishes: Vec::new(),
            bass: (stroke.as_ref())
                .filter(|s| asked && !s.bass_pinned)
                .map(|s| s.bass),
            stroke,
        });
        fence.wishes.push(pin.wish.clone());
    }
    Some(fences)
}

/// The slices from which a note may ring on into a pinned grip. A grip holds or strikes all its strings,
/// so whoever comes to it without a note has a finger more to set down there.
pub(crate) fn held_whole(fences: &FxHashMap<usize, Fence>, plan: &Plan) -> FxHashSet<usize> {
    let is_new = |i: usize| plan.stroke(i).is_some_and(|s| !s.over);
    let mut whole = FxHashSet::default();
    for (&pinned, fence) in fences {
        let has_grip = fence.wishes.iter().any(|w| matches!(w, Wish::Grip(_)));
        let mut at = pinned;
        while has_grip && at > 0 && !is_new(at) && whole.insert(at - 1) {
            at -= 1;
        }
    }
    whole
}

/// Whether a wish says something about an arrangement up to `layer`.
fn concerns(wish: &Wish, layer: Layer) -> bool {
    match wish {
        Wish::Place {
            target: Target::Melody,
            ..
        }
        | Wish::Nothing => true,
        Wish::Place {
            target: Target::Bass,
            ..
        }
        | Wish::Bass { .. } => layer >= Layer::Bass,
        Wish::Grip(_) | Wish::Fill(_) => layer >= Layer::Fill,
    }
}

impl Fence {
    /// The candidates that keep every pin. A pinned grip brings its own candidates.
    pub fn filter(
        &self,
        shapes: &mut Shapes,
        kept: Kept,
        melody: Melody,
        list: &[Candidate],
    ) -> Vec<Candidate> {
        let grip = self.wishes.iter().find_map(|w| match w {
            Wish::Grip(frets) => Some(frets),
            _ => None,
        });
        let list = match grip {
            Some(frets) => self.hold(shapes, kept, melody, frets),
            None => list.to_vec(),
        };
        list.into_iter()
            .filter(|c| {
                let shape = shapes.get(c.shape);
                let class = |bass: u8| shape.midi(bass.into()).rem_euclid(12);
                let has = |asked: i32| shape.bass != NONE && class(shape.bass) == asked;
                // A pinned grip has a bass of its own; an idea that asks for another clashes with it.
                (grip.is_none() || self.bass.is_none_or(has))
                    && self.wishes.iter().all(|w| keeps(w, shape, c.struck))
            })
            .collect()
    }

    /// Every fingering of a pinned grip over what is kept.
    fn hold(
        &self,
        shapes: &mut Shapes,
        kept: Kept,
        melody: Melody,
        frets: &[Option<u8>],
    ) -> Vec<Candidate> {
        let mut grip = kept.grip;
        let (strings, top) = (shapes.instrument.strings(), shapes.instrument.top_fret());
        for string in 0..MAX_STRINGS {
            let fret = frets.get(string).copied().flatten();
            if fret.is_some_and(|f| string >= strings || f > top) {
                return Vec::new();
            }
            let fret = fret.map_or(-1, |f| f as i8);
            if grip.frets[string] >= 0 && grip.frets[string] != fret {
                return Vec::new();
            }
            grip.frets[string] = fret;
        }
        let sounding: Vec<usize> = (0..MAX_STRINGS).filter(|&s| grip.frets[s] >= 0).collect();
        let midi = |s: usize| {
            shapes
                .instrument
                .sounding(s as u8 + 1, grip.frets[s].unsigned_abs())
        };
        let tune = match melody {
            Melody::Held(string) => string,
            Melody::Silent => NONE,
            Melody::Struck(wanted) => {
                let found = sounding
                    .iter()
                    .find(|&&s| kept.grip.frets[s] < 0 && midi(s) == wanted);
                match found {
                    Some(&s) => s as u8,
                    None => return Vec::new(),
                }
            }
            Melody::Touched(_, string, fret) => {
                if grip.frets[usize::from(string)] != fret {
                    return Vec::new();
                }
                string
            }
        };
        // A touched string sounds higher than its fret.
        let touched = self.stroke.as_ref().and_then(|s| s.tune);
        let ceiling = match melody {
            _ if tune == NONE => i32::MAX,
            Melody::Touched(midi, ..) => midi,
            _ => touched.unwrap_or_else(|| midi(tune.into())),
        };
        let over = |s: &usize| midi(*s) >= ceiling && *s as u8 != tune;
        if sounding.iter().any(over) {
            return Vec::new();
        }
        let bass = match sounding.last() {
            _ if kept.bass != NONE => kept.bass,
            Some(&low) if self.stroke.is_some() && low as u8 != tune => low as u8,
            _ => NONE,
        };
        let mut list = Vec::new();
        shapes.reach.clone().fingerings(grip, &mut |fingered| {
            let id = shapes.shape(fingered, tune, bass);
            list.extend(id.map(|id| candidate(shapes, id, kept, self.stroke.as_ref())));
        });
        list
    }
}

/// Whether a shape in which the strings of `struck` are struck does what a wish asks.
fn keeps(wish: &Wish, shape: &Shape, struck: u8) -> bool {
    let is_struck = |voice: u8| voice != NONE && struck >> voice & 1 == 1;
    match wish {
        Wish::Place {
            target,
            string,
            fret,
            finger,
        } => {
            let voice = match target {
                Target::Melody => shape.melody,
                Target::Bass => shape.bass,
            };
            if !is_struck(voice) {
                return false;
            }
            let at = usize::from(voice);
            string.is_none_or(|s| s == voice + 1)
                && fret.is_none_or(|f| i32::from(shape.grip.frets[at]) == i32::from(f))
                && finger.is_none_or(|f| shape.grip.fingers[at] == f)
        }
        Wish::Bass(note) => {
            is_struck(shape.bass) && {
                let midi = shape.midi(shape.bass.into());
                match note.midi() {
                    Some(wanted) => midi == wanted,
                    None => midi.rem_euclid(12) == note.name.class(),
                }
            }
        }
        Wish::Fill(n) => (shape.fills & struck).count_ones() == u32::from(*n),
        Wish::Nothing => bits(struck).all(|s| s == usize::from(shape.melody)),
        // A grip makes its own candidates.
        Wish::Grip(_) => true,
    }
}

/// The smallest set of pins that can't be kept together, given a way to ask whether a set can.
///
/// Single pins are tried first, then the clash is thinned out until every pin left is needed, then
/// every smaller set of the pins left over is tried, so that the answer is smallest among the pins
/// that take part.
pub(crate) fn smallest_clash(count: usize, fits: &mut impl FnMut(&[usize]) -> bool) -> Vec<usize> {
    for pin in 0..count {
        if !fits(&[pin]) {
            return vec![pin];
        }
    }
    let mut set: Vec<usize> = (0..count).collect();
    let mut i = 0;
    while i < set.len() {
        let mut without = set.clone();
        without.remove(i);
        if fits(&without) {
            i += 1;
        } else {
            set = without;
        }
    }
    for a in 0..count {
        if set.len() <= 2 {
            break;
        }
        if let Some(b) = set.iter().copied().find(|&b| b != a && !fits(&[a, b])) {
            let mut pair = vec![a, b];
            pair.sort_unstable();
            return pair;
        }
    }
    set
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clash_is_named_by_its_smallest_set() {
        let clashes: [&[usize]; 2] = [&[1, 3, 4], &[2, 5]];
        let mut fits = |set: &[usize]| {
            !clashes
                .iter()
                .any(|c| c.iter().all(|pin| set.contains(pin)))
        };
        assert_eq!(smallest_clash(6, &mut fits), [2, 5]);
        let mut alone = |set: &[usize]| !set.contains(&4);
        assert_eq!(smallest_clash(6, &mut alone), [4]);
        let mut three = |set: &[usize]| ![0, 2, 3].iter().all(|p| set.contains(p));
        assert_eq!(smallest_clash(5, &mut three), [0, 2, 3]);
        let mut pair_first = |set: &[usize]| {
            let clashes: [&[usize]; 2] = [&[1, 3], &[3, 4, 5]];
            !clashes.iter().any(|c| c.iter().all(|p| set.contains(p)))
        };
        assert_eq!(smallest_clash(6, &mut pair_first), [1, 3]);
    }
}
