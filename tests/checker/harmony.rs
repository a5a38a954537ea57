//! Bass and fill belong to the chord, and lie where they should among the parts.

use super::Faults;
use super::sheet::{Bar, Layer, Pluck, QUARTER, Sheet, Wish};

pub fn check(sheet: &Sheet, faults: &mut Faults) {
    for pluck in sheet.plucks() {
        if pluck.layer as u8 > sheet.layer {
            faults.add(
                pluck.at,
                "a pluck belongs to a layer that was not asked for".into(),
            );
        }
        match pluck.layer {
            Layer::Bass => bass(pluck, sheet, faults),
            Layer::Fill => fill(pluck, sheet, faults),
            Layer::Melody | Layer::Colour => {}
        }
    }
    pickup(sheet, faults);
}

fn bass(pluck: &Pluck, sheet: &Sheet, faults: &mut Faults) {
    // The player and the ideas of the fourth layer may put other notes in the bass; the player also
    // where no chord is.
    let pinned = is_pinned(pluck, sheet);
    let Some((chord, end)) = sheet.chord_at(pluck.at) else {
        if !pinned && !super::ideas::allows_stroke(sheet, pluck.at) {
            let text = "there is a bass note before the first chord";
            faults.add(pluck.at, text.into());
        }
        return;
    };
    let free = pinned || super::ideas::allows_bass(sheet, pluck, chord);
    if !free && chord.bass != Some(pluck.midi.rem_euclid(12)) {
        let text = format!("the bass is not the one of {}", chord.symbol);
        faults.add(pluck.at, text);
    }
    if pluck.end > end {
        let text = format!("the bass of {} rings into the next chord", chord.symbol);
        faults.add(pluck.at, text);
    }
}

/// Whether the player says which bass is struck here.
fn is_pinned(pluck: &Pluck, sheet: &Sheet) -> bool {
    sheet
        .pins()
        .any(|(at, wish)| at == pluck.at && matches!(wish, Wish::Bass { .. } | Wish::Grip { .. }))
}

fn fill(pluck: &Pluck, sheet: &Sheet, faults: &mut Faults) {
    let Some((chord, end)) = sheet.chord_at(pluck.at) else {
        return faults.add(
            pluck.at,
            "there is a fill note before the first chord".into(),
        );
    };
    let pinned = sheet
        .pins()
        .any(|(at, wish)| at == pluck.at && matches!(wish, Wish::Grip { .. }));
    if !pinned && !chord.classes.contains(&pluck.midi.rem_euclid(12)) {
        let text = format!(
            "the fill on string {} is not in {}",
            pluck.string, chord.symbol
        );
        faults.add(pluck.at, text);
    }
    if pluck.end > end {
        let text = format!("the fill of {} rings into the next chord", chord.symbol);
        faults.add(pluck.at, text);
    }
    let under_bass = sheet
        .plucks()
        .filter(|p| p.layer == Layer::Bass && p.sounds_at(pluck.at))
        .any(|p| pluck.midi <= p.midi);
    if under_bass {
        let text = format!("the fill on string {} is not above the bass", pluck.string);
        faults.add(pluck.at, text);
    }
}

fn pickup(sheet: &Sheet, faults: &mut Faults) {
    let Some(first) = sheet.bars.first() else {
        return;
    };
    let Some(full) = full_length(first) else {
        let text = format!("“{}” is not a meter", first.meter);
        return faults.add(first.at, text);
    };
    let bass = first.plucks.iter().find(|p| p.layer == Layer::Bass);
    if let (true, Some(pluck)) = (first.length < full, bass)
        && !is_pinned(pluck, sheet)
    {
        faults.add(pluck.at, "there is a bass note in the pickup".into());
    }
}

/// Ticks of a whole bar of the bar's meter, written like `4/4` or `2+2+3/8`.
fn full_length(bar: &Bar) -> Option<i64> {
    let (top, unit) = bar.meter.split_once('/')?;
    let groups: Option<Vec<i64>> = top.split('+').map(|g| g.parse().ok()).collect();
    let unit: i64 = unit.parse().ok().filter(|&u| u > 0)?;
    Some(groups?.iter().sum::<i64>() * 4 * QUARTER / unit)
}
