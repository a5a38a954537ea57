//! The writing screen: the tune as letters over lengths, chords above, and what the bar adds up to.

mod boxes;
mod fretboard;
mod sheet;

use super::lines::{Fact, headed, tempo_text};
use super::shelf::{draw_line, teaching};
use super::{span, weighed};
use crate::exchange::plain_text;
use crate::studio::brush::Brush;
use crate::studio::screens::{Writing, words};
use crate::studio::theme::Role;
use crate::theory::Symbol;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;
use std::cmp::Ordering;

/// Lines that are always there: title, what the bar adds up to, what was said, keys.
const ALWAYS: u16 = 4;

/// What a tune without a note teaches.
const NOTHING: &str = "Nothing is written yet. A letter from a to g writes a note as long as you \
                       say: 4 is a quarter, 8 an eighth, and ⟨.⟩ dots it; ⟨r⟩ is a rest. Then \
                       ⟨h⟩ writes a chord over the note, and ⟨|⟩ draws a bar line where a bar is \
                       to be short, as a pickup is. With ⟨n⟩ you write by string and fret. Every \
                       key press is kept at once; ⟨u⟩ takes it back. ⟨?⟩ shows all keys.";

/// Draws the writing screen.
pub(crate) fn writing(writing: &Writing, brush: &Brush, frame: &mut Frame) {
    let remark = remark(writing, brush, brush.area.width);
    let fretboard = match writing.neck {
        Some(_) => fretboard::rows(&writing.instrument),
        None => 0,
    };
    // Notes and neck come first and are shown whole; then the lines that say less, and blank ones.
    let spare = brush.area.height.saturating_sub(ALWAYS + sheet::ROWS);
    let fretboard = if fretboard <= spare { fretboard } else { 0 };
    let spare = spare - fretboard;
    let said = (remark.len().max(1) as u16).min(spare + 1);
    let line = |others: u16| Constraint::Length(u16::from(spare + 1 >= said + others));
    let [title, _, sheet, neck, _, sum, last, said, keys] = Layout::vertical([
        Constraint::Length(1),
        line(2),
        Constraint::Fill(1),
        Constraint::Length(fretboard),
        if fretboard > 0 {
            line(3)
        } else {
            Constraint::Length(0)
        },
        Constraint::Length(1),
        line(1),
        Constraint::Length(said),
        Constraint::Length(1),
    ])
    .areas(brush.area);
    frame.render_widget(heading(writing, brush, title.width), title);
    if writing.draft.is_blank() {
        frame.render_widget(teaching(NOTHING, brush, sheet.width), sheet);
    } else {
        sheet::draw(writing, brush, sheet, frame.buffer_mut());
    }
    fretboard::draw(writing, brush, neck, frame.buffer_mut());
    frame.render_widget(arithmetic(writing, brush), sum);
    frame.render_widget(last_note(writing, brush), last);
    frame.render_widget(Paragraph::new(remark), said);
    brush.hint(hint(writing), keys, frame);
    if writing.list.is_some() {
        boxes::facts(writing, brush, frame);
    }
    if let Some(line) = &writing.line {
        draw_line(line, brush, frame);
    }
    if let Some(chord) = &writing.chord {
        boxes::chord(writing, chord, brush, frame);
    }
}

fn heading(writing: &Writing, brush: &Brush, width: u16) -> Line<'static> {
    let song = writing.song();
    let mut facts = Vec::new();
    if let Some(bar) = song.bars.get(writing.draft.bar()) {
        facts.push(Fact::new(4, bar.key.to_string()));
        facts.push(Fact::new(5, bar.meter.to_string()));
    }
    facts.push(Fact::new(3, tempo_text(writing.draft.tempo(), 100)));
    if let Some(fret) = song.guitar.capo {
        facts.push(Fact::new(2, format!("capo {fret}")));
    }
    if let Some(tuning) = &song.guitar.tuning {
        facts.push(Fact::new(1, plain_text(tuning)));
    }
    facts.push(Fact::new(6, "writing".into()));
    headed(&song.title, facts, writing.is_changed(), brush, width)
}

/// What the bar adds up to, the next length, and the bars that don't add up.
fn arithmetic(writing: &Writing, brush: &Brush) -> Line<'static> {
    let count = writing.draft.count();
    let role = match count.is() {
        Ordering::Less => Role::Text,
        Ordering::Equal => Role::Key,
        Ordering::Greater => Role::Warning,
    };
    let mut spans = vec![
        span(brush, role, format!(" {count}")),
        span(brush, Role::Quiet, "   next: "),
        span(brush, Role::Text, writing.length.words()),
    ];
    let marked = writing.marked();
    if writing.mark.is_some() {
        let number = |bar| writing.song().number(bar);
        let text = match marked.len() {
            1 => format!("   bar {} marked", number(marked.start)),
            _ => format!(
                "   bars {}–{} marked",
                number(marked.start),
                number(marked.end - 1)
            ),
        };
        spans.push(span(brush, Role::Key, text));
    }
    // The bar that is being written at the end is not odd yet.
    let last = writing.song().bars.last().map_or(0, |b| b.number);
    let odd = writing.song().odd_bars().into_iter();
    let odd: Vec<String> = odd.filter(|&n| n != last).map(|n| n.to_string()).collect();
    if !odd.is_empty() {
        let word = if odd.len() == 1 { "bar" } else { "bars" };
        let text = format!("   ! mend {word} {}", odd.join(", "));
        spans.push(span(brush, Role::Warning, text));
    }
    Line::from(spans)
}

/// The note or rest that the keys change, with its chord.
fn last_note(writing: &Writing, brush: &Brush) -> Line<'static> {
    if let Some((string, fret)) = writing.neck {
        let pitch = writing.neck_pitch();
        let name = pitch.map_or_else(String::new, |p| p.to_string());
        let text = format!(" the hand: {name} on string {string}, fret {fret}");
        return Line::from(span(brush, Role::Melody, text));
    }
    let Some((bar, item)) = writing.draft.before() else {
        return Line::from(span(brush, Role::Quiet, " the start of the tune"));
    };
    let text = match item.note {
        Some(note) if note.tied => format!(" {}, {}, tied on", note.pitch, words(item.length)),
        Some(note) => format!(" {}, {}", note.pitch, words(item.length)),
        None => format!(" a rest, {}", words(item.length)),
    };
    let mut spans = vec![
        span(brush, Role::Quiet, " last:"),
        span(brush, Role::Melody, text),
    ];
    let starts = writing.song().starts();
    let at = starts.get(bar).map_or(0, |s| s + item.at);
    let harmony = writing.song().harmony();
    let chord = harmony.iter().rev().find(|h| h.at <= at);
    match chord.and_then(|h| h.symbol) {
        Some(symbol @ Symbol::Chord(_)) => {
            spans.push(span(brush, Role::Quiet, "   over it: "));
            spans.push(span(brush, Role::Chord, symbol.to_string()));
        }
        Some(Symbol::NoChord) => spans.push(span(brush, Role::Quiet, "   over it: N.C.")),
        None => spans.push(span(brush, Role::Quiet, "   no chord yet: ⟨h⟩ writes one")),
    }
    Line::from(spans)
}

/// What was last said, on as many lines as it takes.
fn remark(writing: &Writing, brush: &Brush, width: u16) -> Vec<Line<'static>> {
    let Some((weight, text)) = &writing.said else {
        return Vec::new();
    };
    let width = usize::from(width.saturating_sub(2)).max(1);
    brush.lines(weighed(*weight), &plain_text(text), width, " ")
}

fn hint(writing: &Writing) -> &'static str {
    match (writing.neck, writing.draft.is_blank()) {
        (Some(_), _) => {
            " ⟨↑⟩⟨↓⟩ string   ⟨←⟩⟨→⟩ fret   ⟨Enter⟩ writes it   4 8 ⟨.⟩ length   ⟨n⟩ letters   ⟨?⟩ keys"
        }
        (None, true) => {
            " a–g notes   1 2 4 8 length   ⟨r⟩ rest   ⟨o⟩ key, meter …   ⟨Esc⟩ songs   ⟨?⟩ keys"
        }
        _ => {
            " a–g notes   1 2 4 8 ⟨.⟩ length   ⟨h⟩ chord   ⟨u⟩ undo   ⟨n⟩ neck   ⟨Esc⟩ Desk   ⟨?⟩ keys"
        }
    }
}

/// A box in the middle of the screen.
fn middle(area: Rect, width: u16, height: u16) -> Rect {
    let (width, height) = (width.min(area.width), height.min(area.height));
    Rect {
        x: area.x + (area.width - width) / 2,
        y: area.y + (area.height - height) / 3,
        width,
        height,
    }
}
