//! What a pane is painted with.

use super::keymap::{Keymap, Place};
use super::message::Message;
use super::theme::{Role, Theme};
use crate::exchange::letters::Letters;
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::text::{Line, Span};
use ratatui::widgets::Clear;
use std::borrow::Cow;
use std::cell::RefCell;
use unicode_width::UnicodeWidthStr;

/// What clicks do, by the part of the terminal they fall on; what was drawn last goes first.
#[derive(Debug, Default)]
pub struct Spots(Vec<(Rect, Option<Message>)>);

impl Spots {
    /// What a click on this cell does.
    pub fn at(&self, x: u16, y: u16) -> Option<&Message> {
        let here = |(area, _): &&(Rect, _)| area.contains((x, y).into());
        self.0.iter().rev().find(here)?.1.as_ref()
    }

    /// What lies on one row goes along when that row's cells move: `place` says where to.
    pub(super) fn follow(&mut self, y: u16, place: impl Fn(u16) -> u16) {
        for (area, _) in self.0.iter_mut().filter(|(a, _)| a.height == 1 && a.y == y) {
            let (left, right) = (place(area.left()), place(area.right()));
            *area = Rect {
                x: left,
                width: right - left,
                ..*area
            };
        }
    }
}

/// Stands around keys while a sentence is broken into lines; no sign, no width.
const MARK: &str = "\u{2060}";

/// The paint of a screen and the names of its keys.
#[derive(Debug)]
pub(super) struct Brush<'a> {
    /// What meanings are painted with.
    pub theme: &'a Theme,
    /// What keys are called.
    pub keys: &'a Keymap,
    /// Where keys are pressed.
    pub place: Place,
    /// What the terminal can show.
    pub letters: Letters,
    /// The part of the terminal that the screen is painted on.
    pub area: Rect,
    /// Where clicks do something.
    pub spots: &'a RefCell<Spots>,
}

impl Brush<'_> {
    /// What a role is painted with.
    pub fn style(&self, role: Role) -> Style {
        self.theme.style(role)
    }

    /// A sentence with the keys that this player has. Sentences name a key as `⟨p⟩`, by the name
    /// that it has when the program comes.
    pub fn says<'t>(&self, text: &'t str) -> Cow<'t, str> {
        match text.contains('⟨') {
            true => Cow::Owned(self.named(text, "")),
            false => Cow::Borrowed(text),
        }
    }

    /// The same with `mark` before and after each key.
    fn named(&self, text: &str, mark: &str) -> String {
        let mut said = String::with_capacity(text.len());
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('⟨') {
            said += before;
            let Some((usual, behind)) = after.split_once('⟩') else {
                said.push('⟨');
                rest = after;
                continue;
            };
            said += mark;
            said += self.keys.shown(self.place, usual).unwrap_or(usual);
            said += mark;
            rest = behind;
        }
        said + rest
    }

    /// A sentence on as many lines as it takes, `width` columns wide at most, each behind `indent`;
    /// the keys in it stand out.
    pub fn lines(&self, role: Role, text: &str, width: usize, indent: &str) -> Vec<Line<'static>> {
        let mut said = self.named(text, MARK);
        if width < usize::MAX && !self.letters.shows(&said.replace(MARK, "")) {
            // Before it is broken into lines there is room for all that stands for a sign.
            let pieces = said.split(MARK).map(|piece| self.letters.text(piece));
            said = pieces.collect::<Vec<_>>().join(MARK);
        }
        let mut is_key = false;
        let parts = textwrap::wrap(&said, width.max(1)).into_iter();
        parts
            .map(|part| {
                let mut spans = vec![Span::styled(indent.to_string(), self.style(role))];
                for (i, piece) in part.split(MARK).enumerate() {
                    is_key ^= i > 0;
                    let role = if is_key { Role::Key } else { role };
                    spans.push(Span::styled(piece.to_string(), self.style(role)));
                }
                Line::from(spans)
            })
            .collect()
    }

    /// The same on one line, however long.
    pub fn line(&self, role: Role, text: &str) -> Line<'static> {
        let lines = self.lines(role, text, usize::MAX, "");
        lines.into_iter().next().unwrap_or_default()
    }

    /// Draws a line of hints; a click on a key in it, or on what it says of it, is that key.
    pub fn hint(&self, text: &str, area: Rect, frame: &mut Frame) {
        frame.render_widget(self.line(Role::Quiet, text), area);
        let wide = |text: &str| UnicodeWidthStr::width(text) as u16;
        let (mut x, mut rest) = (area.x, text);
        while let Some((before, after)) = rest.split_once('⟨') {
            x += wide(before);
            let Some((usual, behind)) = after.split_once('⟩') else {
                return;
            };
            let shown = wide(self.keys.shown(self.place, usual).unwrap_or(usual));
            let says = behind.split(['⟨']).next().unwrap_or_default();
            let says = says.split("  ").next().unwrap_or_default();
            let spot = Rect {
                x,
                width: shown + wide(says),
                ..area
            };
            self.spot(spot.intersection(area), self.keys.meant(self.place, usual));
            x += shown;
            rest = behind;
        }
    }

    /// A click there does this.
    pub fn spot(&self, area: Rect, message: Option<Message>) {
        self.spots.borrow_mut().0.push((area, message));
    }

    /// Wipes an area: nothing but the ground is left, and clicks do nothing there.
    pub fn wipe(&self, frame: &mut Frame, area: Rect) {
        frame.render_widget(Clear, area);
        self.spot(area, None);
        let area = area.intersection(frame.area());
        frame.buffer_mut().set_style(area, self.style(Role::Ground));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_name_the_keys_that_the_player_has() {
        let mut keys = Keymap::default();
        keys.change("desk", "p", &["F5".into()]).unwrap();
        let theme = Theme::named("none").unwrap();
        let brush = Brush {
            theme: &theme,
            keys: &keys,
            place: Place::Desk,
            letters: Letters::All,
            area: Rect::new(0, 0, 80, 24),
            spots: &RefCell::default(),
        };
        assert_eq!(brush.says("⟨p⟩ pins, ⟨e⟩ eases"), "F5 pins, e eases");
        assert_eq!(
            brush.says("a ⟨strange⟩ word, 2 ⟨ 3"),
            "a strange word, 2 ⟨ 3"
        );
        let lines = brush.lines(Role::Text, "⟨p⟩ pins, ⟨e⟩ eases", 9, " ");
        let text: Vec<String> = lines.iter().map(ToString::to_string).collect();
        assert_eq!(text, [" F5 pins,", " e eases"]);
        assert_eq!(lines[1].spans[2].content, "e");
        // Of another place, where this one has no such key.
        assert_eq!(brush.says("⟨Ctrl-U⟩"), "Ctrl-U");
    }
}
