//! A checker of arrangements that shares no code with the library.
//!
//! It reads nothing but the JSON text of an arrangement and works out from the raw numbers, with
//! its own geometry, whether a hard rule is broken. A fault in the arranger or in the hand model
//! can therefore not hide itself here.
//!
//! The JSON speaks of the bars as written. Where it has a `play_order` as well, a list of bar
//! indices, bars reached from two places are looked at too.

mod hand;
mod harmony;
mod ideas;
mod melody;
mod neck;
mod pins;
mod right;
mod sheet;
mod strings;
mod time;

use serde_json::Value;
use sheet::Sheet;

/// Every hard rule that the arrangement breaks, as sentences with their place; empty when all hold.
pub fn broken_rules(json: &Value) -> Vec<String> {
    let sheet = match Sheet::read(json) {
        Ok(sheet) => sheet,
        Err(problem) => return vec![format!("the JSON is not an arrangement: {problem}")],
    };
    let mut faults = Faults {
        sheet: &sheet,
        found: Vec::new(),
    };
    // The other rules look things up by bar and slice, so these must be sound first.
    time::check(&sheet, &mut faults);
    if faults.found.is_empty() {
        strings::check(&sheet, &mut faults);
        hand::check(&sheet, &mut faults);
        melody::check(&sheet, &mut faults);
        harmony::check(&sheet, &mut faults);
        right::check(&sheet, &mut faults);
        pins::check(&sheet, &mut faults);
        ideas::check(&sheet, &mut faults);
    }
    faults.found
}

/// The faults found so far, each put at its place in the song.
struct Faults<'a> {
    sheet: &'a Sheet,
    found: Vec<String>,
}

impl Faults<'_> {
    /// Notes a fault at `at` ticks from the song's start.
    fn add(&mut self, at: i64, text: String) {
        let bars = &self.sheet.bars;
        let bar = bars.iter().rev().find(|b| b.at <= at).or(bars.first());
        self.found.push(match bar {
            Some(bar) => format!("bar {}, tick {}: {text}", bar.number, at - bar.at),
            None => format!("tick {at}: {text}"),
        });
    }
}
