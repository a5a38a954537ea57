//! What `--ideas` and `--propose` of `thumbline arrange` print: ideas with reason and effort.

use super::lists::efforts;
use crate::arrange::{Arrangement, Offer, Proposal, Proposed};
use crate::exchange::plain_text;
use crate::score::{counted, missing};
use serde_json::{Value, json};
use std::fmt::Write as _;

/// The ideas for a bar as a table, the best first.
pub(super) fn table(arrangement: &Arrangement, bar: usize, offers: &[Offer]) -> String {
    let title = plain_text(&arrangement.song.title);
    let mut text = format!(
        "{title}, ideas for bar {}\n\n",
        arrangement.song.number(bar)
    );
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
        "number": arrangement.song.number(bar),
        "ideas": rows,
    })
}

/// Reads the name of a proposal.
pub(super) fn proposal(text: &str) -> Result<Proposal, String> {
    let named = |p: &Proposal| p.name().eq_ignore_ascii_case(text.trim());
    Proposal::ALL.into_iter().find(named).ok_or_else(|| {
        let names = Proposal::ALL.map(Proposal::name).join(", ");
        format!("the proposals are {names}")
    })
}

/// Reads a budget in efforts.
pub(super) fn budget(text: &str) -> Result<f64, String> {
    (text.parse().ok())
        .filter(|n: &f64| (0.0..=100_000.0).contains(n))
        .ok_or_else(|| "a budget is a number of efforts, 0 or more".into())
}

/// A proposal bar by bar, with its total.
pub(super) fn bar_by_bar(proposed: &Proposed) -> String {
    let arrangement = &proposed.arrangement;
    let title = plain_text(&arrangement.song.title);
    let mut text = format!("{title}, {} proposal\n\n", proposed.proposal.name());
    if proposed.offers.is_empty() {
        text.push_str("nothing of this kind is to be had for this budget\n");
        return text;
    }
    text.push_str("  bars    effort  idea\n");
    for offer in &proposed.offers {
        let (first, last) = (
            arrangement.song.number(offer.idea.bar),
            arrangement.song.number(offer.idea.to),
        );
        let bars = if first == last {
            first.to_string()
        } else {
            format!("{first}–{last}")
        };
        let at = beat(arrangement, offer);
        let at = if at.is_empty() {
            at
        } else {
            format!("beat {at}, ")
        };
        let effort = signed(offer.effort());
        let line = format!(
            "  {bars:<6} {effort:>7}  {at}{}: {}",
            offer.text, offer.reason
        );
        let _ = writeln!(text, "{}", line.trim_end());
    }
    let total = arrangement.price.effort();
    let _ = writeln!(
        text,
        "\nall together {} efforts, from {} to {}",
        signed(proposed.more()),
        efforts(proposed.before),
        efforts(total)
    );
    text
}

/// The same for other programs: `bar` and `to` as indices, effort in efforts.
pub(super) fn proposal_json(proposed: &Proposed) -> Value {
    let rows: Vec<Value> = (proposed.offers.iter())
        .map(|o| {
            json!({
                "bar": o.idea.bar,
                "to": o.idea.to,
                "at": o.idea.at,
                "idea": o.text,
                "reason": o.reason,
                "effort": o.effort() as f64 / 1000.0,
                "worth": o.worth as f64 / 1000.0,
            })
        })
        .collect();
    json!({
        "title": proposed.arrangement.song.title,
        "proposal": proposed.proposal.name(),
        "ideas": rows,
        "effort_before": proposed.before as f64 / 1000.0,
        "effort": proposed.arrangement.price.effort() as f64 / 1000.0,
    })
}
