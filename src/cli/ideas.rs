//! What `--ideas` of `thumbline arrange` prints: the ideas for a bar.

use super::lists::{efforts, number};
use crate::arrange::{Arrangement, Offer};
use crate::exchange::plain_text;
use crate::score::{counted, missing};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// The ideas for a bar as a table, the best first.
pub(super) fn table(arrangement: &Arrangement, bar: usize, offers: &[Offer]) -> String {
    let title = plain_text(&arrangement.song.title);
    let mut text = format!("{title}, ideas for bar {}\n\n", number(arrangement, bar));
    if offers.is_empty() {
        text.push_str("none that this hand can play here\n");
        return text;
    }
    text.push_str("  no.   effort   worth  beat   idea\n");
    for (i, offer) in offers.iter().enumerate() {
        let line = format!(
            "  {:>3}  {:>7}  {:>6}  {:<5}  {}: {}",
            i + 1,
            signed(offer.effort()),
            efforts(offer.worth),
            beat(arrangement, offer),
            offer.text,
            offer.reason
        );
        let _ = writeln!(text, "{}", line.trim_end());
    }
    text.push_str(
        "\neffort: what the hands pay more in the bar; worth: what taste would pay for it\n",
    );
    text
}

/// A change of effort with its sign.
pub(super) fn signed(thousandths: i64) -> String {
    format!("{:+.3}", thousandths as f64 / 1000.0)
}

/// The beat on which an idea begins; nothing for one of the whole bar.
fn beat(arrangement: &Arrangement, offer: &Offer) -> String {
    let bars = &arrangement.song.bars;
    let lacks = missing(bars).get(offer.idea.bar).copied().unwrap_or(0);
    match bars.get(offer.idea.bar) {
        Some(bar) if !offer.idea.is_whole_bar() => counted(bar, lacks, offer.idea.at),
        _ => String::new(),
    }
}

/// The same for other programs: `effort` and `worth` in efforts, `at` in ticks from the bar line.
pub(super) fn json(arrangement: &Arrangement, bar: usize, offers: &[Offer]) -> Value {
    let rows: Vec<Value> = (offers.iter())
        .map(|o| {
            json!({
                "at": o.idea.at,
                "idea": o.text,
                "reason": o.reason,
                "effort": o.effort() as f64 / 1000.0,
                "worth": o.worth as f64 / 1000.0,
            })
        })
        .collect();
    json!({
        "title": arrangement.song.title,
        "bar": bar,
        "number": number(arrangement, bar),
        "ideas": rows,
    })
}
