//! Pins in the search: which candidates a pinned onset leaves, and which pins clash.

use super::candidates::{Candidate, Kept, Melody, candidate};
use super::plan::{Plan, Stroke, pins_at};
use super::shape::{NONE, Shape, Shapes, fingerings};
use crate::guitar::MAX_STRINGS;
use crate::song::{Song, Target, Wish};
use rustc_hash::FxHashMap;
use std::rc::Rc;

/// What the pins of one onset ask of a shape.
#[derive(Debug, Clone)]
pub(crate) struct Fence {
    wishes: Vec<Wish>,
    stroke: Option<Stroke>,
}

/// The fences of all pinned onsets, by slice.
pub(crate) fn fences(song: &Song, plan: &Plan) -> FxHashMap<usize, Fence> {
    let starts = song.starts();
    let mut fences = FxHashMap::default();
    if song.pins.is_empty() {
        return fences;
    }
    for (index, slice) in plan.slices.iter().enumerate() {
        let wishes: Vec<Wish> = pins_at(song, &starts, slice.at)
            .map(|(_, pin)| pin.wish.clone())
            .filter(|w| matches!(w, Wish::Place { .. } | Wish::Grip(_)))
            .collect();
        if !wishes.is_empty() {
            let stroke = slice.stroke.map(|i| plan.strokes[i].clone());
            fences.insert(index, Fence { wishes, stroke });
        }
    }
    fences
}

impl Fence {
    /// The candidates that keep every pin. A pinned grip brings its own candidates.
    pub fn filter(
        &self,
        shapes: &mut Shapes,
        kept: Kept,
        melody: Melody,
        list: &Rc<[Candidate]>,
    ) -> Rc<[Candidate]> {
        let grip = self.wishes.iter().find_map(|w| match w {
            Wish::Grip(frets) => Some(frets),
            _ => None,
        });
        let list = match grip {
            Some(frets) => self.hold(shapes, kept, melody, frets),
            None => list.to_vec(),
        };
        list.into_iter()
            .filter(|c| self.wishes.iter().all(|w| keeps(w, shapes.get(c.shape))))
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
        for string in 0..MAX_STRINGS {
            let fret = frets.get(string).copied().flatten().map_or(-1, |f| f as i8);
            if grip.frets[string] >= 0 && grip.frets[string] != fret {
                return Vec::new();
            }
            if string < shapes.instrument.strings() {
                grip.frets[string] = fret.min(shapes.instrument.top_fret() as i8);
            }
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
        };
        let over = |s: &usize| tune != NONE && midi(*s) >= midi(tune.into()) && *s as u8 != tune;
        if sounding.iter().any(over) {
            return Vec::new();
        }
        let bass = match sounding.last() {
            _ if kept.bass != NONE => kept.bass,
            Some(&low) if self.stroke.is_some() && low as u8 != tune => low as u8,
            _ => NONE,
        };
        let mut list = Vec::new();
        fingerings(grip, &mut |fingered| {
            let id = shapes.shape(fingered, tune, bass);
            list.extend(id.map(|id| candidate(shapes, id, kept, self.stroke.as_ref())));
        });
        list
    }
}

/// Whether a shape does what a wish asks.
fn keeps(wish: &Wish, shape: &Shape) -> bool {
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
            if voice == NONE {
                return false;
            }
            let at = usize::from(voice);
            string.is_none_or(|s| s == voice + 1)
                && fret.is_none_or(|f| i32::from(shape.grip.frets[at]) == i32::from(f))
                && finger.is_none_or(|f| shape.grip.fingers[at] == f)
        }
        // A grip makes its own candidates; the others are built into the stroke.
        Wish::Grip(_) | Wish::Bass { .. } | Wish::Fill(_) | Wish::Nothing => true,
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
    }
}
