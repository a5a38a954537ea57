//! The numbers printed over the bars.

use super::{Bar, Close, Song};
use crate::theory::Ticks;

impl Song {
    /// Numbers the bars as they are printed, which has to be done again after bars came or went.
    ///
    /// A short first bar is a pickup, number 0. Two short bars that fill a meter together with a
    /// section's end between them (`A3 :| D |`) are one bar with one number.
    pub fn number_bars(&mut self) {
        number(&mut self.bars);
    }
}

/// Numbers the bars as they are printed.
pub(super) fn number(bars: &mut [Bar]) {
    let joined = join_parts(bars);
    let mut number = u32::from(!is_pickup(bars, &joined));
    for (i, bar) in bars.iter_mut().enumerate() {
        if i > 0 && !joined[i] {
            number = number.saturating_add(1);
        }
        bar.number = number;
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
pub(super) fn missing(bar: &Bar) -> Ticks {
    bar.meter.bar() - bar.length
}

/// Whether a section begins with this bar: a repeat or an ending, or what follows a bar line that is
/// not plain.
pub(super) fn starts_section(bars: &[Bar], i: usize) -> bool {
    let here = &bars[i];
    i == 0 || here.opens_repeat || !here.ending.is_empty() || bars[i - 1].close != Close::Single
}
