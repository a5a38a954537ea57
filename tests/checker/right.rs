//! What the right hand is asked to do at every onset.

use super::Faults;
use super::sheet::{Pluck, Right, Sheet, Technique};

pub fn check(sheet: &Sheet, faults: &mut Faults) {
    let plucked: Vec<&Pluck> = sheet
        .plucks()
        // The left hand sounds a slur, and a hit takes no string.
        .filter(|p| !matches!(p.technique, Technique::Slur | Technique::Hit))
        .collect();
    for onset in plucked.chunk_by(|a, b| a.at == b.at) {
        at_one_onset(onset, faults);
    }
}

/// `onset` runs from the lowest string up.
fn at_one_onset(onset: &[&Pluck], faults: &mut Faults) {
    let swept = onset
        .iter()
        .any(|p| matches!(p.technique, Technique::Roll | Technique::Brush));
    let at = onset[0].at;
    if onset.len() > 4 && !swept {
        faults.add(at, format!("{} strings are plucked at once", onset.len()));
    }
    for pair in onset.windows(2) {
        // In a roll or brush the thumb may slide over several strings.
        let slides = swept && pair[0].right == Right::P && pair[1].right == Right::P;
        if pair[0].right >= pair[1].right && !slides {
            let text = format!(
                "strings {} and {} do not get right fingers in order",
                pair[0].string, pair[1].string
            );
            faults.add(at, text);
        }
    }
}
