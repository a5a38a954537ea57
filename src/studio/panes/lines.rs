//! The single lines around the tab: title, chord tones, stretch, reason, what was last said.

use super::shelf::short;
use super::{span, weighed};
use crate::arrange::Layer;
use crate::exchange::plain_text;
use crate::guitar::Stretch;
use crate::score::Part;
use crate::song::Tempo;
use crate::studio::brush::Brush;
use crate::studio::screens::Desk;
use crate::studio::theme::Role;
use crate::theory::{Chord, QUARTER, Symbol};
use ratatui::text::{Line, Span};
use unicode_width::UnicodeWidthStr;

/// From here on a stretch is told before it is one, in per cent of comfort.
const NEAR: i32 = 85;
/// From here on into the reserve the largest span is near, in thousandths.
const LIMIT: i32 = 600;

/// What is on the Desk, in so many columns.
pub(crate) fn title(desk: &Desk, brush: &Brush, width: u16) -> Line<'static> {
    let now = &desk.arrangement;
    let song = &now.song;
    let layer = desk.options.layer;
    let (done, bars) = (desk.done(), song.bars.len());
    let mut facts = vec![
        Fact::new(3, song.key.to_string()),
        Fact::new(5, tempo_text(song.tempo, desk.speed)),
        Fact::behind(2, format!("({}%)", desk.speed)),
    ];
    if now.instrument.capo > 0 {
        facts.push(Fact::new(6, format!("capo {}", now.instrument.capo)));
    }
    facts.push(Fact::new(1, format!("hand {}", plain_text(&now.hand.name))));
    facts.push(Fact::new(7, format!("{} {}", layer as u8, layer.name())));
    if done > 0 {
        facts.push(Fact::behind(4, format!("{done}/{bars}")));
    }
    if desk.click {
        facts.push(Fact::new(4, "click".into()));
    }
    headed(&song.title, facts, desk.is_changed(), brush, width)
}

/// Something that a heading says about a song.
pub(super) struct Fact {
    /// How much it is needed: where there is no room for all, the others go first.
    need: u8,
    /// What stands between it and the fact before.
    after: &'static str,
    text: String,
}

impl Fact {
    pub fn new(need: u8, text: String) -> Fact {
        let after = " · ";
        Fact { need, after, text }
    }

    /// One that belongs to the fact before.
    pub fn behind(need: u8, text: String) -> Fact {
        Fact {
            after: " ",
            ..Fact::new(need, text)
        }
    }
}

/// A title, facts, and whether something is not saved, in so many columns. Where there is no room for
/// all, what is needed less is left out, and then the title is shortened.
pub(super) fn headed(
    title: &str,
    mut facts: Vec<Fact>,
    is_changed: bool,
    brush: &Brush,
    width: u16,
) -> Line<'static> {
    let title = plain_text(title);
    let unsaved = if is_changed { " · not saved" } else { "" };
    let told = |facts: &[Fact]| {
        let texts = facts.iter().enumerate();
        let texts = texts.map(|(i, f)| format!("{}{}", if i == 0 { " " } else { f.after }, f.text));
        texts.collect::<String>()
    };
    let room = usize::from(width).saturating_sub(2 + unsaved.width());
    while facts.len() > 1 && title.width() + told(&facts).width() > room {
        let least = facts.iter().enumerate().min_by_key(|(_, f)| f.need);
        let least = least.map_or(0, |(i, _)| i);
        facts.remove(least);
    }
    let told = told(&facts);
    let title = short(&title, room.saturating_sub(told.width()));
    Line::from(vec![
        span(brush, Role::Title, format!(" {title} ")),
        span(brush, Role::Quiet, told),
        span(brush, Role::Warning, unsaved),
    ])
}

/// A tempo at so many per cent: `♩=96`.
pub(super) fn tempo_text(tempo: Tempo, percent: u16) -> String {
    let beat = match tempo.beat {
        QUARTER => "♩=".to_string(),
        other => format!("{} quarters=", crate::theory::beats(other)),
    };
    format!("{beat}{}", tempo.per_minute * u32::from(percent) / 100)
}

/// The chord under the cursor: each tone by its letter, and the strings that sound it.
pub(crate) fn legend(desk: &Desk, brush: &Brush) -> Line<'static> {
    match desk.symbol() {
        Some(Symbol::Chord(chord)) => tones(desk, brush, &chord),
        Some(Symbol::NoChord) => Line::from(span(brush, Role::Quiet, " no chord here (N.C.)")),
        None => Line::from(span(brush, Role::Quiet, " no chord is written up to here")),
    }
}

fn tones(desk: &Desk, brush: &Brush, chord: &Chord) -> Line<'static> {
    let mut spans = vec![span(brush, Role::Chord, format!(" {chord} "))];
    for &tone in &chord.tones {
        spans.push(Span::raw("  "));
        spans.extend(tone_strings(
            desk,
            brush,
            chord.name(tone),
            &format!("({tone})"),
        ));
    }
    if let Some(bass) = chord.bass
        && !chord.is_tone(bass.class())
    {
        spans.push(Span::raw("  "));
        spans.extend(tone_strings(desk, brush, bass, "(bass)"));
    }
    Line::from(spans)
}

/// One tone and the strings it sounds on.
fn tone_strings(
    desk: &Desk,
    brush: &Brush,
    name: crate::theory::Name,
    degree: &str,
) -> [Span<'static>; 3] {
    let instrument = &desk.arrangement.instrument;
    let strings: Vec<String> = (desk.slice().into_iter())
        .flat_map(|s| s.grip.frets.iter().take(instrument.strings()).enumerate())
        .filter_map(|(i, &fret)| Some((i as u8 + 1, u8::try_from(fret).ok()?)))
        .filter(|&(string, fret)| instrument.sounding(string, fret).rem_euclid(12) == name.class())
        .map(|(string, _)| string.to_string())
        .collect();
    let (role, text) = match strings.len() {
        0 => (Role::Quiet, " not sounded".to_string()),
        1 => (Role::Text, format!(" string {}", strings[0])),
        _ => (Role::Text, format!(" strings {}", strings.join(","))),
    };
    [
        span(brush, Role::Title, name.to_string()),
        span(brush, Role::Quiet, degree.to_string()),
        span(brush, role, text),
    ]
}

/// The worst stretch of the bar under the cursor, with a warning in words before the limit.
pub(crate) fn stretch(desk: &Desk, brush: &Brush) -> Line<'static> {
    let bar = desk.bar();
    let here = desk.arrangement.slices.iter().filter(|s| s.bar == bar);
    let worst = here.filter_map(|s| s.stretch).max_by_key(|s| s.percent);
    let Some(worst) = worst else {
        let text = " stretch  none in this bar: never two fingers down at once";
        return Line::from(span(brush, Role::Quiet, text));
    };
    let (role, word) = judged(&worst);
    let text = format!(
        " stretch  fingers {} and {}: {} mm, {} % of comfort",
        worst.fingers.0,
        worst.fingers.1,
        (worst.distance + 5) / 10,
        worst.percent
    );
    Line::from(vec![
        span(brush, Role::Text, text),
        span(brush, role, format!("  {word}")),
    ])
}

fn judged(stretch: &Stretch) -> (Role, &'static str) {
    match (stretch.percent, stretch.reserve) {
        (..NEAR, _) => (Role::Quiet, "easy"),
        (..=100, _) => (Role::Text, "near the edge of comfort"),
        (_, ..LIMIT) => (Role::Warning, "! beyond comfort: rest often, or ⟨e⟩"),
        _ => (Role::Danger, "!! near your limit: ⟨e⟩, stop if it hurts"),
    }
}

/// Why the note under the cursor is there.
pub(crate) fn reason(desk: &Desk, brush: &Brush) -> Line<'static> {
    let Some(pluck) = desk.pluck() else {
        return Line::from(span(brush, Role::Quiet, " no note is struck here"));
    };
    let pinned = desk.pin_of(pluck).is_some();
    let mut spans = vec![Span::raw(" ")];
    if pinned {
        spans.push(span(brush, Role::Warning, "^ pinned  "));
    }
    spans.push(span(
        brush,
        layer_role(pluck.layer),
        pluck.reason.to_string(),
    ));
    Line::from(spans)
}

/// The role that a layer's notes are painted in.
pub(super) fn layer_role(layer: Layer) -> Role {
    match layer {
        Layer::Melody => Role::Melody,
        Layer::Bass => Role::Bass,
        Layer::Fill | Layer::Colour => Role::Fill,
    }
}

/// What was last said; else what a teacher would say about the bar; else where the music is.
pub(crate) fn footer(desk: &Desk, brush: &Brush) -> Line<'static> {
    if let Some((weight, text)) = &desk.said {
        let text = format!(" {}", plain_text(text));
        return Line::from(span(brush, weighed(*weight), text));
    }
    let bar = desk.bar();
    if let Some(remark) = desk.arrangement.remarks.iter().find(|r| r.bar == bar) {
        return Line::from(span(brush, Role::Quiet, format!(" {}", remark.text)));
    }
    let number = desk.arrangement.song.number(bar);
    let last = desk.arrangement.song.bars.last().map_or(0, |b| b.number);
    let done = if desk.is_done() { ", done" } else { "" };
    let heard = match (desk.options.layer, desk.hears) {
        (Layer::Melody, Part::Tune) => {
            "   heard: the tune; ⟨h⟩ is for the chords, ⟨T⟩ when you know it"
        }
        (Layer::Melody, Part::Chords) => {
            "   heard: the chords; ⟨h⟩ is for both, ⟨T⟩ when you know it"
        }
        (Layer::Melody, Part::Both) => {
            "   heard: both; ⟨h⟩ is for the tune alone, ⟨T⟩ when you know it"
        }
        _ => "",
    };
    let text = format!(" bar {number} of {last}{done}{heard}");
    brush.line(Role::Quiet, &text)
}
