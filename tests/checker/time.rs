//! Bars, slices and plucks lie where they should in time, and in order.

use super::Faults;
use super::sheet::{Bar, Pluck, Sheet};

pub fn check(sheet: &Sheet, faults: &mut Faults) {
    bars(sheet, faults);
    slices(sheet, faults);
    for bar in &sheet.bars {
        plucks(bar, sheet, faults);
    }
    jumps(sheet, faults);
    for (one, next) in sheet.melody.iter().zip(sheet.melody.iter().skip(1)) {
        if next.at < one.end {
            faults.add(next.at, "two melody notes overlap".into());
        }
    }
    if sheet.chords.windows(2).any(|c| c[1].at <= c[0].at) {
        faults.add(0, "the chords are not in order".into());
    }
}

fn bars(sheet: &Sheet, faults: &mut Faults) {
    let mut at = 0;
    for (i, bar) in sheet.bars.iter().enumerate() {
        if bar.index != i || bar.at != at || bar.length <= 0 {
            faults.add(bar.at, format!("the bar with index {i} is out of place"));
        }
        at = bar.at + bar.length;
    }
}

/// The slices follow each other from the first onset to the end of the song.
fn slices(sheet: &Sheet, faults: &mut Faults) {
    let strings = sheet.instrument.strings.len();
    let mut at = sheet.slices().next().map_or(0, |s| s.at);
    for bar in &sheet.bars {
        for slice in &bar.slices {
            if slice.at != at || slice.end <= slice.at {
                faults.add(slice.at, "the slices leave a gap or overlap".into());
            }
            if !contains(bar, slice.at) {
                faults.add(slice.at, "a slice starts outside its bar".into());
            }
            if slice.grip.frets.len() != strings || slice.grip.fingers.len() != strings {
                faults.add(slice.at, "the grip has not one entry a string".into());
            }
            at = slice.end;
        }
    }
    if at != sheet.end() {
        faults.add(at, "the slices do not reach the end of the song".into());
    }
}

fn plucks(bar: &Bar, sheet: &Sheet, faults: &mut Faults) {
    for pluck in &bar.plucks {
        if !contains(bar, pluck.at) {
            faults.add(pluck.at, "a pluck starts outside its bar".into());
        }
        if pluck.end <= pluck.at || pluck.end > sheet.end() {
            faults.add(pluck.at, "a pluck ends outside the song".into());
        }
        if !sheet.slices().any(|s| s.at == pluck.at) {
            faults.add(pluck.at, "a pluck falls inside a slice".into());
        }
        if !(1..=sheet.instrument.strings.len()).contains(&pluck.string) {
            faults.add(pluck.at, format!("there is no string {}", pluck.string));
        }
    }
    // In order of onset, then from the lowest string (highest number) up.
    let place = |p: &Pluck| (p.at, usize::MAX - p.string);
    if !bar.plucks.is_sorted_by_key(place) {
        faults.add(bar.at, "the plucks are not in order".into());
    }
}

/// Where the play order leaves a bar for another than the next, or comes into the next from
/// elsewhere, nothing rings over the bar line: it would ring into the wrong bar, or be missing.
fn jumps(sheet: &Sheet, faults: &mut Faults) {
    for pair in sheet.play_order.windows(2) {
        if pair[1] == pair[0] + 1 {
            continue;
        }
        let left = sheet.bars.get(pair[0]).map(|b| b.at + b.length);
        let entered = sheet.bars.get(pair[1]).map(|b| b.at);
        for line in [left, entered].into_iter().flatten() {
            if sheet.plucks().any(|p| p.at < line && line < p.end) {
                faults.add(line, "a note rings over a bar line that is jumped".into());
            }
        }
    }
}

fn contains(bar: &Bar, at: i64) -> bool {
    (bar.at..bar.at + bar.length).contains(&at)
}
