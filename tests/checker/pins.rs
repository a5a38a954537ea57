//! What the player decided stays as decided.

use super::Faults;
use super::sheet::{Layer, Pluck, Sheet, Wish};

pub fn check(sheet: &Sheet, faults: &mut Faults) {
    for (at, wish) in sheet.pins() {
        if let Some(text) = broken(sheet, at, wish) {
            faults.add(at, text);
        }
    }
}

/// What is wrong with what is struck at `at`, seen from one pin. A pin about a layer that was not
/// asked for says nothing.
fn broken(sheet: &Sheet, at: i64, wish: &Wish) -> Option<String> {
    let struck = |layer: Layer| -> Vec<&Pluck> {
        let here = sheet.plucks().filter(|p| p.at == at);
        here.filter(|p| p.layer == layer).collect()
    };
    let asked = |layer: Layer| layer as u8 <= sheet.layer;
    match wish {
        Wish::Place {
            target,
            string,
            fret,
            finger,
        } => {
            let kept = struck(*target).iter().any(|p| {
                string.is_none_or(|s| s == p.string)
                    && fret.is_none_or(|f| f == p.fret)
                    && finger.is_none_or(|f| f == p.left)
            });
            (asked(*target) && !kept).then(|| "the place pinned is not played".into())
        }
        Wish::Grip { frets } => {
            let slice = sheet.slices().find(|s| s.at == at);
            let kept = slice.is_some_and(|s| s.grip.frets == *frets);
            (asked(Layer::Fill) && !kept).then(|| "the grip pinned is not held".into())
        }
        Wish::Bass { name, octave } => {
            let Some(class) = class_of(name) else {
                return Some(format!("the pinned bass “{name}” is no note"));
            };
            let kept = struck(Layer::Bass).iter().any(|p| match octave {
                // Scientific pitch notation: C4 is MIDI 60. B sharp and C flat belong to the
                // octave of their letter, so the class is not yet brought into one octave.
                Some(octave) => p.midi == 12 * (octave + 1) + class,
                None => (p.midi - class).rem_euclid(12) == 0,
            });
            (asked(Layer::Bass) && !kept).then(|| format!("the pinned bass {name} is not struck"))
        }
        Wish::Fill { notes } => {
            let found = struck(Layer::Fill).len();
            (asked(Layer::Fill) && found != *notes)
                .then(|| format!("{notes} fill notes are pinned, {found} are struck"))
        }
        Wish::Nothing => sheet
            .plucks()
            .any(|p| p.at == at && p.layer != Layer::Melody)
            .then(|| "nothing was to be struck under the melody".into()),
    }
}

/// Semitones of a note name above the C of its octave; below 0 or above 11 for C flat, B sharp.
pub fn class_of(name: &str) -> Option<i32> {
    let mut signs = name.chars();
    let natural = match signs.next()? {
        'C' => 0,
        'D' => 2,
        'E' => 4,
        'F' => 5,
        'G' => 7,
        'A' => 9,
        'B' => 11,
        _ => return None,
    };
    signs.try_fold(natural, |class, sign| match sign {
        '#' | '♯' => Some(class + 1),
        'b' | '♭' => Some(class - 1),
        _ => None,
    })
}
