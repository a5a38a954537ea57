//! The state drawn. Nothing here changes anything.

use super::brush::{Brush, Spots};
use super::letters;
use super::panes;
use super::screens::Desk;
use super::state::{Screen, Studio};
use super::theme::Role;
use crate::arrange::Layer;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::widgets::Paragraph;
use std::cell::RefCell;

/// The smallest terminal that everything fits.
const SMALLEST: (u16, u16) = (80, 24);
/// The smallest one on which anything but a sentence is drawn.
const LEAST: (u16, u16) = (60, 18);
/// Columns of the pane beside the tab.
const BESIDE: u16 = 18;
/// Rows of the Desk that are always there: title, reason, what was said, keys.
const ALWAYS: u16 = 4;
/// Rows that the ideas need, a heading and one of them, and those that let some be compared.
const IDEAS: u16 = 2;
const FEW: u16 = 4;

/// Draws the studio, and tells what a click on it does.
pub fn view(studio: &Studio, frame: &mut Frame) -> Spots {
    let spots = RefCell::default();
    draw(studio, &spots, frame);
    let mut spots = spots.into_inner();
    letters::fit(studio.letters, frame.buffer_mut(), &mut spots);
    spots
}

fn draw(studio: &Studio, spots: &RefCell<Spots>, frame: &mut Frame) {
    let whole = frame.area();
    let guided = match &studio.tour {
        Some(_) => panes::TOUR.min(whole.height),
        None => 0,
    };
    let [area, below] =
        Layout::vertical([Constraint::Min(0), Constraint::Length(guided)]).areas(whole);
    let brush = &Brush {
        theme: &studio.look.theme,
        keys: &studio.look.keys,
        place: studio.place(),
        letters: studio.letters,
        area,
        spots,
    };
    brush.wipe(frame, whole);
    if whole.width < LEAST.0 || whole.height < LEAST.1 {
        frame.render_widget(too_small(whole, brush), whole);
        return;
    }
    match &studio.screen {
        Screen::Shelf(shelf) => panes::shelf(shelf, brush, frame),
        Screen::Desk(desk) => draw_desk(desk, brush, frame),
        Screen::Writing(writing) => panes::writing(writing, brush, frame),
        Screen::Shed(shed) => panes::shed(shed, &studio.log, brush, frame),
        Screen::Stand(stand) => panes::stand(stand, brush, frame),
    }
    if let Some(tour) = &studio.tour {
        panes::tour(tour, brush, below, frame);
    }
    let waiting = (studio.stall).map(|seconds| stalled(seconds, studio.is_leaving()));
    if let Some(notice) = studio.notice.as_ref().or(waiting.as_ref()) {
        say(notice, brush, frame);
    }
    if let Some(chosen) = studio.help {
        let brush = &Brush {
            area: whole,
            ..*brush
        };
        panes::help(frame, brush, chosen);
    }
}

/// What is said where hardly anything fits.
fn too_small(area: Rect, brush: &Brush) -> Paragraph<'static> {
    let text = format!(
        "This terminal is {}×{}. Thumbline needs 80×24: make the window larger or its letters \
         smaller. Nothing is lost meanwhile.",
        area.width, area.height
    );
    Paragraph::new(brush.lines(Role::Text, &text, area.width.into(), ""))
}

/// What is said while the disk does not answer.
fn stalled(seconds: u64, leaving: bool) -> String {
    let more = match leaving {
        true => "⟨Ctrl-C⟩ once again leaves now, and it is written before the program ends",
        false => "what you change is kept here and written once it answers",
    };
    format!("waiting for the disk, {seconds} s so far: {more}")
}

/// Says a sentence at the bottom of any screen, in as many lines as it needs.
fn say(text: &str, brush: &Brush, frame: &mut Frame) {
    let area = frame.area();
    let width = usize::from(area.width.saturating_sub(2));
    let lines = brush.lines(Role::Warning, text, width, " ");
    let high = (lines.len() as u16).min(area.height);
    let bottom = Rect {
        y: area.height - high,
        height: high,
        ..area
    };
    brush.wipe(frame, bottom);
    frame.render_widget(Paragraph::new(lines), bottom);
}

fn draw_desk(desk: &Desk, brush: &Brush, frame: &mut Frame) {
    let area = brush.area;
    let (ideas_high, about) = below_tab(desk, area.height);
    let [title, middle, ideas, chord, stretch, reason, said, keys] = Layout::vertical([
        Constraint::Length(1),
        Constraint::Min(1),
        Constraint::Length(ideas_high),
        Constraint::Length(about),
        Constraint::Length(about),
        Constraint::Length(1),
        Constraint::Length(1),
        Constraint::Length(1),
    ])
    .areas(area);
    frame.render_widget(panes::title(desk, brush, title.width), title);
    let [tab, beside] =
        Layout::horizontal([Constraint::Min(1), Constraint::Length(BESIDE)]).areas(middle);
    panes::tab(desk, brush, tab, frame.buffer_mut());
    draw_beside(desk, brush, beside, frame);
    if ideas_high > 0 {
        let room = (ideas.width.into(), ideas.height.into());
        frame.render_widget(Paragraph::new(panes::ideas(desk, brush, room)), ideas);
        panes::idea_spots(desk, brush, ideas);
    }
    frame.render_widget(panes::legend(desk, brush), chord);
    frame.render_widget(panes::stretch(desk, brush), stretch);
    frame.render_widget(panes::reason(desk, brush), reason);
    frame.render_widget(panes::footer(desk, brush), said);
    let whole = frame.area();
    let small = whole.width < SMALLEST.0 || whole.height < SMALLEST.1;
    let hint = match (&desk.proposal, small) {
        (Some(_), _) => " ⟨i⟩ ⟨I⟩ on and back  ⟨Space⟩ hear  ⟨h⟩ with or without  ⟨y⟩ take all  ⟨P⟩ next  ⟨x⟩ none".into(),
        (None, true) => format!(
            " {}×{} is small: 80×24 shows it all   ⟨?⟩ keys",
            whole.width, whole.height
        ),
        (None, false) => " ⟨?⟩ keys  ⟨Space⟩ play  ⟨h⟩ hear  ⟨n⟩ write  ⟨p⟩ pin  ⟨e⟩ easier  ⟨f⟩ fuller  ⟨w⟩ Shed  ⟨q⟩ leave".into(),
    };
    brush.hint(&hint, keys, frame);
}

/// How many rows the ideas of the fourth layer have under the tab, and each of chord and stretch. The
/// tab comes first and is shown whole; where there is room it keeps at least two thirds, and the ideas
/// leave a hand's fingers the few rows that these lack.
fn below_tab(desk: &Desk, height: u16) -> (u16, u16) {
    let (wanted, needed) = match desk.options.layer {
        Layer::Colour => ((height / 4).clamp(4, 14), IDEAS),
        _ => (0, 0),
    };
    let [least, left, both] = panes::tab_heights(desk);
    let spare = height.saturating_sub(ALWAYS + least);
    let about = u16::from(spare >= 2 + needed);
    let spare = spare - 2 * about;
    let ideas = wanted.min(spare);
    let fits = |tab: &u16| (*tab - least + ideas.min(FEW)) <= spare;
    let tab = [both, left].into_iter().find(fits).unwrap_or(least);
    (ideas.min(spare - (tab - least)), about)
}

/// The neck, and below it the ways to play the bar.
fn draw_beside(desk: &Desk, brush: &Brush, area: Rect, frame: &mut Frame) {
    let area = Rect {
        x: area.x + 1,
        width: area.width.saturating_sub(1),
        ..area
    };
    let neck = panes::neck(desk, brush);
    let [top, bottom] = Layout::vertical([
        Constraint::Length(neck.len() as u16 + 1),
        Constraint::Min(0),
    ])
    .areas(area);
    frame.render_widget(Paragraph::new(neck), top);
    let ways = panes::ways(desk, brush, usize::from(bottom.height));
    frame.render_widget(Paragraph::new(ways), bottom);
}
