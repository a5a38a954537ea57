//! The single lines of the Shed.

use super::super::lines::tempo_text;
use super::super::{span, weighed};
use crate::exchange::plain_text;
use crate::practice::{LONGEST_TURN, Prompt};
use crate::studio::brush::Brush;
use crate::studio::log::Log;
use crate::studio::screens::{Rise, Run, Setting, Shed};
use crate::studio::theme::Role;
use ratatui::text::Line;

/// The keys that are wanted most.
pub(super) const KEYS: &str = " ⟨?⟩ keys   ⟨Space⟩ begin   ⟨↑⟩⟨↓⟩⟨←⟩⟨→⟩ set   ⟨m⟩ model   ⟨t⟩ turn   ⟨Tab⟩ charts   ⟨Esc⟩ Desk";
/// Columns of the way up.
const WAY: usize = 16;
/// From here on a stretch is one, in per cent of comfort.
const COMFORT: i32 = 100;

/// What is practised, and for how long today.
pub(super) fn title(shed: &Shed, log: &Log, brush: &Brush) -> Line<'static> {
    let song = &shed.arrangement.song;
    let bars = shed.value(Setting::Bars);
    let word = if bars.contains('–') { "bars" } else { "bar" };
    let last = song.bars.last().map_or(0, |b| b.number);
    let minutes = log.seconds_today() / 60;
    let today = match minutes {
        0 => String::new(),
        1 => " · 1 minute today".into(),
        _ => format!(" · {minutes} minutes today"),
    };
    let about = format!("Shed · {word} {bars} of {last}{today}");
    Line::from(vec![
        span(
            brush,
            Role::Title,
            format!(" {}  ", plain_text(&song.title)),
        ),
        span(brush, Role::Quiet, about),
    ])
}

/// What to do now.
pub(super) fn now(shed: &Shed, brush: &Brush) -> Line<'static> {
    let counting = shed.heard.is_none_or(|at| at < 0);
    let text = match shed.run {
        Run::Still => still(shed),
        Run::Model { .. } => "Listen: this is how it goes.".into(),
        Run::Pass if shed.owes => {
            "Was that pass clean?   ⟨Enter⟩ yes   ⟨Backspace⟩ no   (a pedal: PgDn, PgUp)".into()
        }
        Run::Pass if counting && shed.wishes.count_in > 0 => "Counting in …".into(),
        Run::Pass => "Play.   ⟨Backspace⟩ if it breaks off".into(),
        Run::Asked => "Was that pass clean?   ⟨Enter⟩ yes   ⟨Backspace⟩ no   ⟨Space⟩ stop".into(),
    };
    let role = match shed.run {
        Run::Asked => Role::Cursor,
        Run::Pass if shed.owes => Role::Cursor,
        Run::Still => Role::Key,
        _ => Role::Title,
    };
    Line::from(vec![span(brush, Role::Text, " "), span(brush, role, text)])
}

/// What Space would bring.
fn still(shed: &Shed) -> String {
    let model = match shed.hears_model() {
        true => " You hear it once.",
        false => "",
    };
    let counted = match shed.wishes.count_in {
        0 => "Play at once.".to_string(),
        1 => "One bar is counted in.".into(),
        bars => format!("{bars} bars are counted in."),
    };
    format!("⟨Space⟩ begins.{model} {counted}")
}

/// The tempo, how far the climb has got, the passes of today.
pub(super) fn way(shed: &Shed, log: &Log, brush: &Brush) -> Line<'static> {
    let tempo = shed.tempo();
    let written = shed.score.tempo.first().map(|m| m.tempo);
    let beat = written.map_or(String::new(), |t| format!(" {}", tempo_text(t, tempo)));
    let mut spans = vec![span(brush, Role::Title, format!(" {tempo} %{beat}   "))];
    if let Some(climb) = shed.climb {
        let (from, goal) = (shed.wishes.from, shed.wishes.goal);
        let way = match shed.wishes.rise {
            Rise::InTurn => format!("{from} and {goal} in turn   "),
            _ => format!("{from} {} {goal}   ", slope(from, goal, tempo)),
        };
        spans.push(span(brush, Role::Quiet, way));
        let (clean, needed) = (climb.clean() as usize, climb.needed() as usize);
        spans.push(span(brush, Role::Key, "●".repeat(clean.min(needed))));
        spans.push(span(
            brush,
            Role::Quiet,
            "○".repeat(needed.saturating_sub(clean)),
        ));
        if climb.is_there() {
            spans.push(span(brush, Role::Title, " there"));
        }
    }
    let (clean, all) = shed.passes_today(log);
    if all > 0 {
        let text = format!("   {clean} of {all} clean today");
        spans.push(span(brush, Role::Text, text));
    }
    Line::from(spans)
}

/// Where a tempo lies between two.
fn slope(from: u16, goal: u16, tempo: u16) -> String {
    let whole = usize::from(goal.saturating_sub(from));
    let done = usize::from(tempo.saturating_sub(from)).min(whole);
    let at = (done * (WAY - 1)).checked_div(whole).unwrap_or(WAY - 1);
    format!("{}◆{}", "━".repeat(at), "─".repeat(WAY - 1 - at))
}

/// What was said last; else a break, the end of a turn, a stretch, or the usual caution.
pub(super) fn care(shed: &Shed, log: &Log, brush: &Brush) -> Line<'static> {
    let prompt = log.sitting.prompt();
    let (role, text) = if let Some((weight, text)) = &shed.said {
        (weighed(*weight), plain_text(text))
    } else if prompt == Prompt::Now {
        (Role::Warning, prompt.text().unwrap_or_default().into())
    } else if let Some(text) = turn_over(shed) {
        (Role::Key, text)
    } else if let Some(text) = prompt.text() {
        (Role::Warning, text.into())
    } else if let Some(text) = stretch(shed) {
        (Role::Warning, text)
    } else {
        let text = "Warm up slowly. Stop if it hurts or tingles; if that stays, see a doctor.";
        (Role::Quiet, text.into())
    };
    Line::from(span(brush, role, format!(" {text}")))
}

fn turn_over(shed: &Shed) -> Option<String> {
    let (index, spent) = shed.turn?;
    let wanted = shed.turns.get(index).map_or(LONGEST_TURN, |t| t.seconds);
    let minutes = match wanted / 60 {
        1 => "one minute is".to_string(),
        2 => "two minutes are".into(),
        _ => "three minutes are".into(),
    };
    (spent >= wanted).then(|| format!("{minutes} over: ⟨t⟩ takes the next turn, the mixture helps"))
}

/// The worst stretch of the passage, when it is beyond comfort.
fn stretch(shed: &Shed) -> Option<String> {
    let bars = shed.passage.bars();
    let here = (shed.arrangement.slices.iter()).filter(|s| bars.contains(&s.bar));
    let (bar, worst) = here
        .filter_map(|s| Some((s.bar, s.stretch?)))
        .max_by_key(|(_, s)| s.percent)?;
    (worst.percent > COMFORT).then(|| {
        format!(
            "! bar {} stretches fingers {} and {} to {} % of comfort: warm up, rest often",
            shed.number(bar),
            worst.fingers.0,
            worst.fingers.1,
            worst.percent
        )
    })
}
