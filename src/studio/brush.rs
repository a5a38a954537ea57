//! What a pane is painted with.

use super::keymap::{Keymap, Place};
use super::theme::{Role, Theme};
use ratatui::Frame;
use ratatui::layout::Rect;
use ratatui::style::Style;
use ratatui::widgets::Clear;
use std::borrow::Cow;

/// The paint of a screen and the names of its keys.
#[derive(Debug)]
pub(super) struct Brush<'a> {
    /// What meanings are painted with.
    pub theme: &'a Theme,
    /// What keys are called.
    pub keys: &'a Keymap,
    /// Where keys are pressed.
    pub place: Place,
}

impl Brush<'_> {
    /// What a role is painted with.
    pub fn style(&self, role: Role) -> Style {
        self.theme.style(role)
    }

    /// A sentence with the keys that this player has. Sentences name a key as `⟨p⟩`, by the name
    /// that it has when the program comes.
    pub fn says<'t>(&self, text: &'t str) -> Cow<'t, str> {
        if !text.contains('⟨') {
            return Cow::Borrowed(text);
        }
        let mut said = String::with_capacity(text.len());
        let mut rest = text;
        while let Some((before, after)) = rest.split_once('⟨') {
            said += before;
            let Some((usual, behind)) = after.split_once('⟩') else {
                said.push('⟨');
                rest = after;
                continue;
            };
            said += self.keys.shown(self.place, usual).unwrap_or(usual);
            rest = behind;
        }
        Cow::Owned(said + rest)
    }

    /// Wipes an area: nothing but the ground is left.
    pub fn wipe(&self, frame: &mut Frame, area: Rect) {
        frame.render_widget(Clear, area);
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
        };
        assert_eq!(brush.says("⟨p⟩ pins, ⟨e⟩ eases"), "F5 pins, e eases");
        assert_eq!(
            brush.says("a ⟨strange⟩ word, 2 ⟨ 3"),
            "a strange word, 2 ⟨ 3"
        );
        // Of another place, where this one has no such key.
        assert_eq!(brush.says("⟨Ctrl-U⟩"), "Ctrl-U");
    }
}
