//! The looks: what each meaning is painted with.
//!
//! A theme is a TOML file that gives each [`Role`] a few words: a colour (a name of the sixteen or
//! `#rrggbb`), `on` and a colour for the ground, and `bold`, `dim`, `underlined`, `reversed`.

use ratatui::style::{Modifier, Style};

/// What a piece of the screen means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Role {
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
const ROLES: [(Role, &str); 15] = [
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
const BUILT_IN: [(&str, &str); 3] = [
    ("harbour", include_str!("../../themes/harbour.toml")),
    ("plain", include_str!("../../themes/plain.toml")),
    ("none", include_str!("../../themes/none.toml")),
];

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
    #[error("“{0}” is nothing that a theme paints")]
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
        let table: std::collections::BTreeMap<String, String> =
            toml::from_str(text).map_err(|e| ThemeError::NotToml(e.message().into()))?;
        let mut theme = Theme::bare();
        for (role, words) in &table {
            let Some(index) = ROLES.iter().position(|r| r.1 == role) else {
                return Err(ThemeError::Role(role.clone()));
            };
            theme.styles[index] = style(role, words)?;
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

fn style(role: &str, words: &str) -> Result<Style, ThemeError> {
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
            colour => {
                let colour = colour.parse().map_err(|_| ThemeError::Word {
                    role: role.into(),
                    word: word.into(),
                })?;
                style = match std::mem::take(&mut ground) {
                    true => style.bg(colour),
                    false => style.fg(colour),
                };
                continue;
            }
        };
        style = style.add_modifier(modifier);
    }
    Ok(style)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn built_in_themes_paint_every_role() {
        for (name, text) in BUILT_IN {
            let theme = Theme::parse(text).unwrap();
            assert_eq!(Theme::named(name), Ok(theme));
            for (i, (role, word)) in ROLES.iter().enumerate() {
                assert_eq!(*role as usize, i);
                assert!(text.contains(&format!("\n{word} = ")), "{name}: {word}");
            }
        }
    }

    #[test]
    fn no_colour_means_none() {
        let theme = Theme::fitting(true, true);
        for (role, _) in ROLES {
            assert_eq!((theme.style(role).fg, theme.style(role).bg), (None, None));
        }
        assert_eq!(
            Theme::fitting(false, true),
            Theme::named("harbour").unwrap()
        );
        assert_eq!(Theme::fitting(false, false), Theme::named("plain").unwrap());
    }

    #[test]
    fn mistakes_are_named() {
        let said = |text: &str| Theme::parse(text).unwrap_err().to_string();
        assert!(said("cursor = \"mauvish\"").contains("mauvish"));
        assert!(said("cursors = \"red\"").contains("cursors"));
        assert!(
            Theme::named("x")
                .unwrap_err()
                .to_string()
                .contains("harbour, plain, none")
        );
    }
}
