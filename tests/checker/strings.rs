//! What each string does: one note at a time, the right pitch, and the grip that holds it.

use super::Faults;
use super::sheet::{Pluck, Sheet, Slice, Technique};

pub fn check(sheet: &Sheet, faults: &mut Faults) {
    one_note_a_string(sheet, faults);
    for pluck in sheet.plucks() {
        fret_and_pitch(pluck, sheet, faults);
    }
    let plucks: Vec<&Pluck> = sheet.plucks().collect();
    for slice in sheet.slices() {
        grip_is_what_sounds(slice, &plucks, faults);
    }
}

fn one_note_a_string(sheet: &Sheet, faults: &mut Faults) {
    let mut free_from = vec![0; sheet.instrument.strings.len()];
    for pluck in sheet.plucks().filter(|p| p.technique != Technique::Hit) {
        let free = &mut free_from[pluck.string - 1];
        if pluck.at < *free {
            let text = format!("string {} sounds two notes at once", pluck.string);
            faults.add(pluck.at, text);
        }
        *free = pluck.end;
    }
}

fn fret_and_pitch(pluck: &Pluck, sheet: &Sheet, faults: &mut Faults) {
    let guitar = &sheet.instrument;
    let (string, fret) = (pluck.string, pluck.fret);
    if !(0..=guitar.frets - guitar.capo).contains(&fret) {
        faults.add(pluck.at, format!("string {string} has no fret {fret}"));
    }
    let open = guitar.strings[string - 1].midi + guitar.capo;
    let sounding = match pluck.technique {
        Technique::Hit => return,
        Technique::Harmonic => harmonic(fret).map(|above| open + above),
        _ => Some(open + fret),
    };
    if sounding != Some(pluck.midi) {
        let text = format!(
            "string {string}, fret {fret} does not sound pitch {}",
            pluck.midi
        );
        faults.add(pluck.at, text);
    }
    if pluck.is_stopped_or_open() {
        match (fret, pluck.left) {
            (0, 1..) => faults.add(pluck.at, format!("string {string} is open with a finger")),
            (1.., 0 | 5..) => {
                faults.add(pluck.at, format!("string {string} is stopped by no finger"));
            }
            _ => {}
        }
    }
}

/// Semitones above the open string of the natural harmonic touched over `fret`.
///
/// A string touched at k/m of its length sounds its m-th partial (harmonic series); of the nodes
/// with m up to 5 those count that a fret wire marks to within 0.7 % of the string, about a
/// fingertip's width: the fifth partial's lies 4 mm before fret 4 of a string of 650 mm.
fn harmonic(fret: i32) -> Option<i32> {
    let along = 1.0 - 2f64.powf(-f64::from(fret) / 12.0);
    (2..=5)
        .find(|&m| {
            let part = along * f64::from(m);
            let k = part.round();
            k >= 1.0 && k < f64::from(m) && (part - k).abs() / f64::from(m) < 0.007
        })
        .map(|m| (12.0 * f64::from(m).log2()).round() as i32)
}

/// The grip shows the notes that sound where the slice starts, with their frets and fingers. Since
/// every pluck has one string, fret and finger, this also proves that held notes keep all three.
fn grip_is_what_sounds(slice: &Slice, plucks: &[&Pluck], faults: &mut Faults) {
    let sounding = |string: usize| {
        plucks
            .iter()
            .find(|p| p.string == string && p.is_stopped_or_open() && p.sounds_at(slice.at))
    };
    let touched = |string: usize| {
        plucks
            .iter()
            .any(|p| p.string == string && !p.is_stopped_or_open() && p.sounds_at(slice.at))
    };
    let held = slice.grip.frets.iter().zip(&slice.grip.fingers);
    for (i, (&fret, &finger)) in held.enumerate() {
        let string = i + 1;
        if touched(string) {
            continue;
        }
        let (want_fret, want_finger) = match sounding(string) {
            Some(p) => (Some(p.fret), p.left),
            None => (None, 0),
        };
        if fret != want_fret {
            let text = format!("the grip on string {string} is not the fret that sounds");
            faults.add(slice.at, text);
        } else if finger != want_finger {
            let text = format!("the finger on string {string} changes while it sounds");
            faults.add(slice.at, text);
        }
    }
}
