//! The looks: what each meaning is painted with.
//!
//! A theme is a TOML file that gives each [`Role`] a few words: a colour, `on` and a colour for the
//! ground, and `bold`, `dim`, `underlined`, `reversed`. A colour is one of the theme's own palette, a
//! name of the sixteen that terminals have, or `#rrggbb`. `ground` is painted under everything.

#[cfg(test)]
mod tests;

use ratatui::style::{Color, Modifier, Style};
use std::collections::BTreeMap;

/// What a piece of the screen means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Role {
    Ground,
    Text,
    Quiet,
    Title,
    Chord,
    Ring,
    Melody,
    Bass,
    Fill,
    Finger,
    Bar,
    Cursor,
    Playing,
    Warning,
    Danger,
    Key,
}

/// The roles with their names in a theme file, in the order of the enum.
const ROLES: [(Role, &str); 16] = [
    (Role::Ground, "ground"),
    (Role::Text, "text"),
    (Role::Quiet, "quiet"),
    (Role::Title, "title"),
    (Role::Chord, "chord"),
    (Role::Ring, "ring"),
    (Role::Melody, "melody"),
    (Role::Bass, "bass"),
    (Role::Fill, "fill"),
    (Role::Finger, "finger"),
    (Role::Bar, "bar"),
    (Role::Cursor, "cursor"),
    (Role::Playing, "playing"),
    (Role::Warning, "warning"),
    (Role::Danger, "danger"),
    (Role::Key, "key"),
];

/// The built-in themes; the first is the default.
const BUILT_IN: [(&str, &str); 6] = [
    ("harbour", include_str!("../../../themes/harbour.toml")),
    ("daylight", include_str!("../../../themes/daylight.toml")),
    (
        "lighthouse",
        include_str!("../../../themes/lighthouse.toml"),
    ),
    ("flags", include_str!("../../../themes/flags.toml")),
    ("plain", include_str!("../../../themes/plain.toml")),
    ("none", include_str!("../../../themes/none.toml")),
];

/// A theme file: words by role, and colours by name.
#[derive(serde::Deserialize)]
struct Sheet {
    #[serde(default)]
    palette: BTreeMap<String, String>,
    #[serde(flatten)]
    roles: BTreeMap<String, toml::Value>,
}

/// A style for each role.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Theme {
    styles: [Style; ROLES.len()],
}

/// Why a theme can't be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs)]
pub enum ThemeError {
    #[error("there is no theme “{0}”; there are {names}", names = Theme::names().collect::<Vec<_>>().join(", "))]
    Unknown(String),
    #[error("the theme is not TOML: {0}")]
    NotToml(String),
    #[error("the theme's “{role}” says “{word}”, which is neither a colour nor a weight")]
    Word { role: String, word: String },
    #[error(
        "the palette's “{name}” says “{word}”, which is neither #rrggbb nor one of the sixteen"
    )]
    Colour { name: String, word: String },
    #[error("“{0}” is to be words in quotes")]
    Words(String),
    #[error("“{0}” is nothing that a theme paints; it paints {all}", all = ROLES.map(|r| r.1).join(", "))]
    Role(String),
}

impl Theme {
    /// The names of the built-in themes.
    pub fn names() -> impl Iterator<Item = &'static str> {
        BUILT_IN.iter().map(|t| t.0)
    }

    /// A built-in theme.
    ///
    /// # Errors
    /// When there is none of this name.
    pub fn named(name: &str) -> Result<Theme, ThemeError> {
        let found = BUILT_IN.iter().find(|t| t.0 == name);
        found.map_or_else(
            || Err(ThemeError::Unknown(name.into())),
            |t| Theme::parse(t.1),
        )
    }

    /// Reads a theme; a role that it leaves out is painted plainly.
    ///
    /// # Errors
    /// When it is not TOML, or a role or a word is unknown.
    pub fn parse(text: &str) -> Result<Theme, ThemeError> {
        let sheet: Sheet =
            toml::from_str(text).map_err(|e| ThemeError::NotToml(e.message().into()))?;
        let mut palette = BTreeMap::new();
        for (name, word) in &sheet.palette {
            let colour = colour(word).ok_or_else(|| ThemeError::Colour {
                name: name.clone(),
                word: word.clone(),
            })?;
            palette.insert(name.as_str(), colour);
        }
        let mut theme = Theme::bare();
        for (role, words) in &sheet.roles {
            let Some(index) = ROLES.iter().position(|r| r.1 == role) else {
                return Err(ThemeError::Role(role.clone()));
            };
            let words = words
                .as_str()
                .ok_or_else(|| ThemeError::Words(role.clone()))?;
            theme.styles[index] = style(role, words, &palette)?;
        }
        Ok(theme)
    }

    /// The theme for what the surroundings say: without colour where `NO_COLOR` is set and not
    /// empty (no-color.org), sixteen colours where the terminal does not promise more.
    pub fn fitting(no_color: bool, full_colour: bool) -> Theme {
        let name = match (no_color, full_colour) {
            (true, _) => "none",
            (_, true) => "harbour",
            _ => "plain",
        };
        Theme::named(name).unwrap_or_else(|_| Theme::bare())
    }

    fn bare() -> Theme {
        Theme {
            styles: [Style::new(); ROLES.len()],
        }
    }

    /// What a role is painted with.
    pub fn style(&self, role: Role) -> Style {
        self.styles.get(role as usize).copied().unwrap_or_default()
    }
}

/// One of the sixteen that terminals have, or `#rrggbb`.
fn colour(word: &str) -> Option<Color> {
    let colour = word.parse().ok();
    colour.filter(|c| !matches!(c, Color::Reset | Color::Indexed(_)))
}

fn style(role: &str, words: &str, palette: &BTreeMap<&str, Color>) -> Result<Style, ThemeError> {
    let wrong = |word: &str| ThemeError::Word {
        role: role.into(),
        word: word.into(),
    };
    let mut style = Style::new();
    let mut ground = false;
    for word in words.split_whitespace() {
        let modifier = match word {
            "on" => {
                ground = true;
                continue;
            }
            "bold" => Modifier::BOLD,
            "dim" => Modifier::DIM,
            "underlined" => Modifier::UNDERLINED,
            "reversed" => Modifier::REVERSED,
            word => {
                let named = palette.get(word).copied();
                let colour = named.or_else(|| colour(word)).ok_or_else(|| wrong(word))?;
                style = match std::mem::take(&mut ground) {
                    true => style.bg(colour),
                    false => style.fg(colour),
                };
                continue;
            }
        };
        style = style.add_modifier(modifier);
    }
    match ground {
        // Nothing stands behind it.
        true => Err(wrong("on")),
        false => Ok(style),
    }
}
