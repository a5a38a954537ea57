//! The tune is complete, in order, on time, and nothing covers it.

use super::Faults;
use super::sheet::{Layer, QUARTER, Sheet, Technique};

pub fn check(sheet: &Sheet, faults: &mut Faults) {
    complete(sheet, faults);
    nothing_struck_above(sheet, faults);
    nothing_rings_above(sheet, faults);
}

fn complete(sheet: &Sheet, faults: &mut Faults) {
    let mut played = sheet
        .plucks()
        .filter(|p| p.layer == Layer::Melody)
        .peekable();
    for note in &sheet.melody {
        while let Some(extra) = played.next_if(|p| p.at < note.at) {
            faults.add(extra.at, "a melody pluck has no note in the tune".into());
        }
        let Some(pluck) = played.next_if(|p| p.at == note.at) else {
            faults.add(note.at, "a note of the tune is not played".into());
            continue;
        };
        if pluck.midi != note.midi {
            let text = format!("the tune has pitch {}, played is {}", note.midi, pluck.midi);
            faults.add(note.at, text);
        }
        if pluck.end > super::ideas::rings_to(sheet, pluck).max(note.end) {
            faults.add(note.at, "a melody note sounds longer than written".into());
        }
    }
    for extra in played {
        faults.add(extra.at, "a melody pluck has no note in the tune".into());
    }
}

fn nothing_struck_above(sheet: &Sheet, faults: &mut Faults) {
    // A knock has no pitch that matters.
    let others = sheet.plucks().filter(|p| p.layer != Layer::Melody);
    for pluck in others.filter(|p| p.technique != Technique::Hit) {
        if sheet
            .tune_at(pluck.at)
            .is_some_and(|t| pluck.midi >= t.midi)
        {
            let text = format!("string {} is struck at or above the melody", pluck.string);
            faults.add(pluck.at, text);
        }
    }
}

/// A note may ring above a melody note that starts later only when that note passes within half a
/// quarter note.
fn nothing_rings_above(sheet: &Sheet, faults: &mut Faults) {
    let others = sheet.plucks().filter(|p| p.layer != Layer::Melody);
    for pluck in others.filter(|p| p.technique != Technique::Hit) {
        let covered = |t: &&super::sheet::Tune| {
            pluck.at < t.at && t.at < pluck.end && pluck.midi > t.midi && t.end - t.at > QUARTER / 2
        };
        if let Some(note) = sheet.melody.iter().find(covered) {
            let text = format!("string {} rings on above the melody", pluck.string);
            faults.add(note.at, text);
        }
    }
}
