//! What `--variants`, `--best`, `--ideas` and `--propose` of `thumbline arrange` print: lists to choose from.

use super::plan::{Plan, arranged};
use super::problem::Problem;
use super::{Failure, ideas};
use crate::arrange::{
    Arrangement, Front, Pluck, Proposal, Variant, best, offers, propose, variants,
};
use crate::exchange::input::{Entry, Opened};
use crate::exchange::plain_text;
use crate::guitar::Stretch;
use crate::song::Song;
use serde_json::{Value, json};
use std::fmt::Write as _;

/// A list to choose from that is printed instead of arrangements.
#[derive(Clone, Copy)]
pub(super) enum List {
    /// The ways to play the bar of this number.
    Variants(u32),
    /// So many of the best arrangements.
    Best(u16),
    /// The ideas for the bar of this number.
    Ideas(u32),
    /// What a whole-song proposal would take.
    Proposal(Proposal),
}

/// A list for each song, as text or as JSON (an array for several songs), and what failed.
pub(super) fn render(
    plan: &Plan,
    list: List,
    chosen: &[(&Opened, &Entry)],
    is_json: bool,
) -> (String, Vec<Failure>) {
    let (mut texts, mut values, mut failures) = (Vec::new(), Vec::new(), Vec::new());
    for (from, entry) in chosen {
        match listed(plan, &entry.song, list) {
            Ok((text, json)) => {
                texts.push(text);
                values.push(json);
            }
            Err(problem) => failures.push(problem.at(from, &entry.song)),
        }
    }
    let text = match values.as_slice() {
        [] => String::new(),
        [one] if is_json => format!("{one:#}\n"),
        _ if is_json => format!("{:#}\n", Value::Array(values)),
        _ => texts.join("\n"),
    };
    (text, failures)
}

/// A list as text and as JSON.
fn listed(plan: &Plan, song: &Song, list: List) -> Result<(String, Value), Problem> {
    let arrangement = arranged(plan, song)?;
    let options = plan.options(song);
    let (written, tried) = (song, &arrangement.song);
    let refused = |error| Problem::arrange(error, tried, written);
    let Arrangement {
        song,
        instrument,
        hand,
        ..
    } = arrangement.clone();
    match list {
        List::Variants(number) => {
            let bar = song.bars.iter().position(|b| b.number == number);
            let bar = bar.ok_or_else(|| Problem::NoBar(number, bar_numbers(&song)))?;
            let front = variants(&song, &instrument, &hand, &options, bar).map_err(refused)?;
            Ok((front_table(&front), front_json(&front)))
        }
        List::Ideas(number) => {
            let bar = song.bars.iter().position(|b| b.number == number);
            let bar = bar.ok_or_else(|| Problem::NoBar(number, bar_numbers(&song)))?;
            let found = offers(&song, &instrument, &hand, &options, bar).map_err(refused)?;
            Ok((
                ideas::table(&arrangement, bar, &found),
                ideas::json(&arrangement, bar, &found),
            ))
        }
        List::Proposal(name) => {
            let wanted = (name, plan.budget);
            let proposed = propose(&song, &instrument, &hand, &options, wanted).map_err(refused)?;
            Ok((
                ideas::bar_by_bar(&proposed),
                ideas::proposal_json(&proposed),
            ))
        }
        List::Best(k) => {
            let k = k.into();
            let all = best(&song, &instrument, &hand, &options, k).map_err(refused)?;
            Ok((best_list(&all), best_json(&all)))
        }
    }
}

fn bar_numbers(song: &Song) -> (u32, u32) {
    let numbers = || song.bars.iter().map(|b| b.number);
    (
        numbers().min().unwrap_or_default(),
        numbers().max().unwrap_or_default(),
    )
}

/// Thousandths as efforts.
pub(super) fn efforts(thousandths: i64) -> String {
    format!("{:.3}", thousandths as f64 / 1000.0)
}

/// The frets of a bar, slice by slice.
fn grips(arrangement: &Arrangement, bar: usize) -> Vec<String> {
    let strings = arrangement.instrument.strings();
    let slices = arrangement.slices.iter().filter(|s| s.bar == bar);
    slices.map(|s| s.grip.line(strings)).collect()
}

/// The ways to play a bar as a table, easier ones first.
fn front_table(front: &Front) -> String {
    let now = &front.current;
    let title = plain_text(&now.arrangement.song.title);
    let bar = now.arrangement.song.number(now.bar);
    let mut text = format!("{title}, bar {bar}, from easier to fuller\n\n");
    text.push_str("  no.   effort  fullness  stretch    price  grips\n");
    for (i, variant) in front.variants.iter().enumerate() {
        let mark = if front.stands == Some(i) { '*' } else { ' ' };
        let _ = writeln!(text, "{mark} {:>3}  {}", i + 1, front_row(variant));
    }
    if front.stands.is_some() {
        text.push_str("\n* as arranged now\n");
    } else {
        let _ = writeln!(text, "\n* now  {}", front_row(now));
        text.push_str("  (one of the others is as full or fuller, and no harder; it costs more in other ways)\n");
    }
    text
}

fn front_row(variant: &Variant) -> String {
    format!(
        "{:>7}  {:>8}  {:>7}  {:>7}  {}",
        efforts(variant.effort),
        variant.fullness,
        (variant.stretch).map_or("-".into(), |s| format!("{} %", s.percent)),
        efforts(variant.price.total()),
        grips(&variant.arrangement, variant.bar).join(" ")
    )
}

/// The same for other programs: `effort` in efforts, `price` in thousandths, `stands` counted from
/// 0.
fn front_json(front: &Front) -> Value {
    let variants: Vec<Value> = front.variants.iter().map(variant_json).collect();
    let now = &front.current;
    json!({
        "title": now.arrangement.song.title,
        "bar": now.bar,
        "number": now.arrangement.song.number(now.bar),
        "variants": variants,
        "stands": front.stands,
        "current": variant_json(now),
    })
}

fn variant_json(variant: &Variant) -> Value {
    let price: serde_json::Map<String, Value> = (variant.price.items())
        .map(|(cost, amount)| (cost.name().into(), amount.into()))
        .collect();
    let stretch = |s: Stretch| json!({"fingers": s.fingers, "percent": s.percent});
    json!({
        "effort": variant.effort as f64 / 1000.0,
        "fullness": variant.fullness,
        "stretch": variant.stretch.map(stretch),
        "price": price,
        "grips": grips(&variant.arrangement, variant.bar),
    })
}

/// The best arrangements, one a line: what each costs, how much more that is than the best, and the
/// bars that are played otherwise.
fn best_list(all: &[Arrangement]) -> String {
    let Some(first) = all.first() else {
        return String::new();
    };
    let title = plain_text(&first.song.title);
    let mut text =
        format!("{title}, best first\n\n  no.    price     more  what is played otherwise\n");
    for (i, arrangement) in all.iter().enumerate() {
        let price = arrangement.price.total();
        let bars: Vec<String> = (differences(first, arrangement).iter())
            .map(|(bar, how)| format!("bar {}: {how}", arrangement.song.number(*bar)))
            .collect();
        let line = format!(
            "  {:>3}  {:>7}  {:>7}  {}",
            i + 1,
            efforts(price),
            efforts(price - first.price.total()),
            bars.join("; ")
        );
        let _ = writeln!(text, "{}", line.trim_end());
    }
    text
}

/// The same for other programs: `price` and `more` in thousandths.
fn best_json(all: &[Arrangement]) -> Value {
    let first = all.first();
    let rows: Vec<Value> = (all.iter().zip(first.into_iter().cycle()))
        .map(|(arrangement, first)| {
            let price = arrangement.price.total();
            let bars: Vec<Value> = (differences(first, arrangement).into_iter())
                .map(|(bar, how)| json!({"bar": bar, "number": first.song.number(bar), "how": how}))
                .collect();
            json!({"price": price, "more": price - first.price.total(), "otherwise": bars})
        })
        .collect();
    json!({"title": first.map(|a| &a.song.title), "best": rows})
}

/// The bars (indices) that are played otherwise than in `first`, and how.
fn differences(first: &Arrangement, other: &Arrangement) -> Vec<(usize, String)> {
    let bars = 0..first.song.bars.len();
    bars.filter_map(|bar| Some((bar, difference(first, other, bar)?)))
        .collect()
}

fn difference(first: &Arrangement, other: &Arrangement, bar: usize) -> Option<String> {
    let differs = |what: fn(&Pluck) -> (i64, i64)| {
        let all = |a: &Arrangement| -> Vec<(i64, i64)> {
            let here = a.plucks.iter().filter(|p| p.bar == bar);
            here.map(what).collect()
        };
        all(first) != all(other)
    };
    if differs(|p| (p.at, i64::from(p.string) * 256 + i64::from(p.fret))) {
        Some(grips(other, bar).join(" "))
    } else if differs(|p| (p.at, i64::from(p.left))) {
        Some("other fingers".into())
    } else if differs(|p| (p.at, p.end)) {
        Some("notes ring otherwise".into())
    } else {
        None
    }
}
