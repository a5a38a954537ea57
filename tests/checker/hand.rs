//! What the left hand is asked to do in every slice.
//!
//! The distance of two fingers, as the hand model states it in words: along the neck between their
//! fingertips; across it, at the fret of the higher finger, from that finger's string to the other's.
//! The first finger may lie flat over neighbouring strings, as far as none of them sounds open, at a
//! lower fret or, by another finger, at its own, and counts from the nearest string under it. Else, where a finger stops several
//! strings, the farthest counts.

use super::Faults;
use super::neck::{along_mm, spacing_mm};
use super::sheet::{Barre, Sheet, Slice};

/// Distances are stored in tenths of a millimetre, each end rounded.
const ROUNDING_MM: f64 = 0.2;

/// One finger of the left hand and the strings it lies on.
struct Finger {
    number: u8,
    frets: Vec<i32>,
    strings: Vec<usize>,
}

pub fn check(sheet: &Sheet, faults: &mut Faults) {
    for slice in sheet.slices() {
        let fingers = fingers_of(slice);
        one_fret_each(slice, &fingers, faults);
        for (i, one) in fingers.iter().enumerate() {
            for other in &fingers[i + 1..] {
                order(slice, one, other, faults);
                reach(sheet, slice, one, other, faults);
            }
        }
        barres(slice, &fingers, faults);
        stretch_is_told(sheet, slice, &fingers, faults);
    }
    flags(sheet, faults);
}

fn fingers_of(slice: &Slice) -> Vec<Finger> {
    (1..=4)
        .filter_map(|number| {
            let on = |&i: &usize| slice.grip.fingers[i] == number;
            let strings: Vec<usize> = (0..slice.grip.fingers.len()).filter(on).collect();
            let fret = |&i: &usize| slice.grip.frets[i];
            (!strings.is_empty()).then(|| Finger {
                number,
                frets: strings.iter().filter_map(fret).collect(),
                strings: strings.iter().map(|i| i + 1).collect(),
            })
        })
        .collect()
}

impl Finger {
    fn lowest(&self) -> i32 {
        self.frets.iter().copied().min().unwrap_or(0)
    }

    fn highest(&self) -> i32 {
        self.frets.iter().copied().max().unwrap_or(0)
    }

    fn from(&self) -> usize {
        self.strings[0]
    }

    fn to(&self) -> usize {
        self.strings[self.strings.len() - 1]
    }
}

/// How far apart two fingers lie, `low` being the one with the lower number.
fn distance_mm(sheet: &Sheet, slice: &Slice, low: &Finger, high: &Finger) -> f64 {
    let guitar = &sheet.instrument;
    let strings = if low.number == 1 {
        let lying = under_flat_first(slice, low);
        let nearest = |&s: &usize| lying.iter().map(|l| l.abs_diff(s)).min().unwrap_or(0);
        high.strings.iter().map(nearest).max().unwrap_or(0)
    } else {
        let ends = (
            high.to().abs_diff(low.from()),
            high.from().abs_diff(low.to()),
        );
        ends.0.max(ends.1)
    };
    let along = along_mm(guitar, low.highest()) - along_mm(guitar, high.highest());
    along.hypot(strings as f64 * spacing_mm(guitar, high.highest()))
}

/// The strings that the first finger may lie over, those it stops among them.
fn under_flat_first(slice: &Slice, first: &Finger) -> Vec<usize> {
    let free = |&s: &usize| {
        let fret = slice.grip.frets[s - 1];
        fret.is_none_or(|fret| fret > first.highest())
    };
    let higher = (1..first.from()).rev().take_while(free);
    let lower = (first.to() + 1..=slice.grip.frets.len()).take_while(free);
    higher
        .chain(first.from()..=first.to())
        .chain(lower)
        .collect()
}

fn one_fret_each(slice: &Slice, fingers: &[Finger], faults: &mut Faults) {
    for finger in fingers {
        if finger.lowest() != finger.highest() {
            let text = format!("finger {} is at two frets at once", finger.number);
            faults.add(slice.at, text);
        }
    }
    let held = slice.grip.frets.iter().zip(&slice.grip.fingers);
    for (i, (fret, finger)) in held.enumerate() {
        let (string, stopped) = (i + 1, fret.is_some_and(|f| f > 0));
        if stopped != (1..=4).contains(finger) {
            let text = format!("the grip has fret and finger at odds on string {string}");
            faults.add(slice.at, text);
        }
    }
}

fn order(slice: &Slice, low: &Finger, high: &Finger, faults: &mut Faults) {
    if low.highest() > high.lowest() {
        let text = format!(
            "finger {} is at a higher fret than finger {}",
            low.number, high.number
        );
        faults.add(slice.at, text);
    }
    // At one fret the lower finger has the lower strings, which have the higher numbers. Only the
    // first two may lie the other way round, with a string between them.
    let usual = low.from() > high.to();
    let other_way = (low.number, high.number) == (1, 2) && low.to() + 1 < high.from();
    if low.highest() == high.highest() && !usual && !other_way {
        let text = format!(
            "fingers {} and {} cross at one fret",
            low.number, high.number
        );
        faults.add(slice.at, text);
    }
}

fn reach(sheet: &Sheet, slice: &Slice, one: &Finger, other: &Finger, faults: &mut Faults) {
    let pair = [one.number, other.number];
    let Some(span) = sheet.hand.spans.iter().find(|s| s.fingers == pair) else {
        let text = format!(
            "the hand says nothing of fingers {} and {}",
            pair[0], pair[1]
        );
        return faults.add(slice.at, text);
    };
    let mm = distance_mm(sheet, slice, one, other);
    if mm > span.largest_mm + ROUNDING_MM {
        let text = format!(
            "fingers {} and {} are {mm:.1} mm apart, the hand reaches {:.1}",
            pair[0], pair[1], span.largest_mm
        );
        faults.add(slice.at, text);
    }
}

/// A finger on several strings lies over everything between them: nothing there can sound lower.
fn barres(slice: &Slice, fingers: &[Finger], faults: &mut Faults) {
    let wide: Vec<&Finger> = fingers.iter().filter(|f| f.strings.len() > 1).collect();
    for finger in &wide {
        for string in finger.from()..=finger.to() {
            match slice.grip.frets[string - 1] {
                Some(0) => {
                    let text = format!("string {string} is wanted open under a barre");
                    faults.add(slice.at, text);
                }
                Some(fret) if fret < finger.highest() => {
                    let text = format!("string {string} is wanted below the barre that lies on it");
                    faults.add(slice.at, text);
                }
                _ => {}
            }
        }
    }
    let barre = |f: &&Finger| Barre {
        finger: f.number,
        fret: f.highest(),
        from: f.from(),
        to: f.to(),
    };
    if wide
        .iter()
        .map(barre)
        .ne(slice.barre.iter().map(|b| Barre { ..*b }))
    {
        let text = "the barres named are not those the fingers lie in";
        faults.add(slice.at, text.into());
    }
}

/// The stretch that the player is shown is the real one.
fn stretch_is_told(sheet: &Sheet, slice: &Slice, fingers: &[Finger], faults: &mut Faults) {
    let Some(told) = &slice.stretch else {
        if fingers.len() > 1 {
            faults.add(slice.at, "the stretch is not told".into());
        }
        return;
    };
    let find = |n: u8| fingers.iter().find(|f| f.number == n);
    let real = match (find(told.fingers[0]), find(told.fingers[1])) {
        (Some(one), Some(other)) => Some(distance_mm(sheet, slice, one, other)),
        _ => None,
    };
    if real.is_none_or(|mm| (mm - told.mm).abs() > ROUNDING_MM) {
        faults.add(slice.at, "the stretch told is not the real one".into());
    }
}

/// A pluck is marked as barred when its finger lies on several strings where it is struck, and not
/// unless it does so at some time while it sounds.
fn flags(sheet: &Sheet, faults: &mut Faults) {
    for pluck in sheet
        .plucks()
        .filter(|p| p.left > 0 && p.is_stopped_or_open())
    {
        let wide = |s: &Slice| s.grip.fingers.iter().filter(|&&f| f == pluck.left).count() > 1;
        let struck = sheet.slices().any(|s| s.at == pluck.at && wide(s));
        let ever = sheet.slices().any(|s| pluck.sounds_at(s.at) && wide(s));
        if (struck && !pluck.barre) || (pluck.barre && !ever) {
            let text = format!("the barre mark on string {} is wrong", pluck.string);
            faults.add(pluck.at, text);
        }
    }
}
