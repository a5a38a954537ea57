//! Bar numbers, and bars whose length disagrees with their meter.

use super::passed::Notices;
use crate::song::{Bar, Close};
use crate::theory::{Meter, Ticks, beats};
use std::collections::BTreeSet;

/// Numbers the bars and tells which are too short or too long.
///
/// A short first bar is a pickup, number 0. Two short bars that fill a meter together with a
/// section's end between them (`A3 :| D |`) are one bar with one number. Short bars at a section's
/// end are in order when a section starts with what they lack, and the other way round; so is a
/// short last bar.
pub(super) fn measure(bars: &mut [Bar], notices: &mut Notices) {
    let joined = join_parts(bars);
    let mut number = u32::from(!is_pickup(bars, &joined));
    for (i, bar) in bars.iter_mut().enumerate() {
        if i > 0 && !joined[i] {
            number = number.saturating_add(1);
        }
        bar.number = number;
    }
    let (starts, ends) = (lacks(bars, starts_section), lacks(bars, ends_section));
    for i in 0..bars.len() {
        let (bar, missing) = (&bars[i], missing(&bars[i]));
        let in_order = missing == 0
            || missing > 0
                && (i == 0
                    || i + 1 == bars.len()
                    || joined[i]
                    || joined[i + 1]
                    || ends_section(bars, i) && starts.contains(&bar.length)
                    || starts_section(bars, i) && ends.contains(&bar.length));
        if !in_order {
            let text = format!(
                "bar {} has {} beats, the meter says {}",
                bar.number,
                in_units(bar.length, &bar.meter),
                in_units(bar.meter.bar(), &bar.meter)
            );
            notices.tell(bar.place, text);
        }
    }
}

/// For each bar whether it goes on with the one before it.
fn join_parts(bars: &[Bar]) -> Vec<bool> {
    let mut joined = vec![false; bars.len()];
    for i in 1..bars.len() {
        let (before, here) = (&bars[i - 1], &bars[i]);
        joined[i] = starts_section(bars, i)
            && !joined[i - 1]
            && missing(before) > 0
            && before.length + here.length == here.meter.bar()
            && before.meter == here.meter;
    }
    joined
}

fn is_pickup(bars: &[Bar], joined: &[bool]) -> bool {
    bars.len() > 1 && missing(&bars[0]) > 0 && !joined[1]
}

/// How much a bar lacks of its meter; negative when it is too long.
fn missing(bar: &Bar) -> Ticks {
    bar.meter.bar() - bar.length
}

/// What the short bars picked by `at` lack.
fn lacks(bars: &[Bar], at: fn(&[Bar], usize) -> bool) -> BTreeSet<Ticks> {
    (0..bars.len())
        .filter(|&i| missing(&bars[i]) > 0 && at(bars, i))
        .map(|i| missing(&bars[i]))
        .collect()
}

fn starts_section(bars: &[Bar], i: usize) -> bool {
    let here = &bars[i];
    i == 0 || here.opens_repeat || !here.ending.is_empty() || bars[i - 1].close != Close::Single
}

fn ends_section(bars: &[Bar], i: usize) -> bool {
    bars[i].close != Close::Single || i + 1 == bars.len() || starts_section(bars, i + 1)
}

/// A length counted in the meter's bottom number: five eighths of 6/8 are 5.
fn in_units(length: Ticks, meter: &Meter) -> String {
    beats(length * Ticks::from(meter.unit()) / 4)
}
