//! The player's wishes for looks and keys: the config file and what it names, read again when they
//! change.
//!
//! ```toml
//! theme = "daylight"      # a built-in one, or a file of the themes folder without .toml
//! mouse = true            # the studio takes clicks and the wheel
//!
//! [keys.desk]
//! "p" = "b"               # what p does at the Desk, b does
//! "e" = ["E", "F6"]
//! ```

use super::keymap::{Keymap, KeymapError};
use super::message::Message;
use super::theme::{Theme, ThemeError};
use crate::shelf::Folders;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::time::SystemTime;

/// How the studio looks and what its keys are.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// What meanings are painted with.
    pub theme: Theme,
    /// What keys do.
    pub keys: Keymap,
    /// Clicks and the wheel are taken.
    pub mouse: bool,
}

impl From<Theme> for Look {
    fn from(theme: Theme) -> Look {
        Look {
            theme,
            keys: Keymap::default(),
            mouse: false,
        }
    }
}

/// The config file as it is written.
#[derive(Debug, Default, Deserialize)]
#[serde(default, deny_unknown_fields)]
struct Config {
    theme: Option<String>,
    mouse: bool,
    keys: BTreeMap<String, BTreeMap<String, Keys>>,
}

/// One key or several.
#[derive(Debug, Deserialize)]
#[serde(untagged)]
enum Keys {
    One(String),
    Several(Vec<String>),
}

/// Why the config can't be gone by.
#[derive(Debug, thiserror::Error)]
enum ConfigError {
    #[error("{} can't be read: {error}", path.display())]
    Read { path: PathBuf, error: io::Error },
    #[error("{} is longer than a megabyte, so it is not read", path.display())]
    TooLong { path: PathBuf },
    #[error("config.toml, line {line}: {text}")]
    Toml { line: usize, text: String },
    #[error("config.toml: {0}")]
    Keys(#[from] KeymapError),
    #[error("config.toml: {0}")]
    NoTheme(ThemeError),
    #[error("{}: {error}", path.display())]
    Theme { path: PathBuf, error: ThemeError },
}

impl Config {
    fn parse(text: &str) -> Result<Config, ConfigError> {
        toml::from_str(text).map_err(|e| ConfigError::Toml {
            line: 1 + e.span().map_or(0, |s| {
                let before = text.bytes().take(s.start);
                before.filter(|b| *b == b'\n').count()
            }),
            text: e.message().trim().replace('\n', ", "),
        })
    }

    fn keymap(&self) -> Result<Keymap, KeymapError> {
        let mut keymap = Keymap::default();
        for (place, changes) in &self.keys {
            for (usual, keys) in changes {
                match keys {
                    Keys::One(key) => keymap.change(place, usual, std::slice::from_ref(key))?,
                    Keys::Several(keys) => keymap.change(place, usual, keys)?,
                }
            }
        }
        keymap.check()?;
        Ok(keymap)
    }
}

/// A file as it was when it was last looked at: when written and how long, if it was there.
type Stamp = Option<(SystemTime, u64)>;

/// The config file and the themes folder, watched.
#[derive(Debug)]
pub(super) struct Wardrobe {
    folders: Option<Folders>,
    /// What is worn where the config names no theme.
    usual: Theme,
    worn: Vec<(PathBuf, Stamp)>,
}

impl Wardrobe {
    pub fn new(folders: Option<Folders>, usual: Theme) -> Wardrobe {
        Wardrobe {
            folders,
            usual,
            worn: Vec::new(),
        }
    }

    /// What has changed since the last time: the look, or why it stays as it is.
    pub fn tick(&mut self) -> Option<Message> {
        let folders = self.folders.clone()?;
        let fresh = self.worn.iter().all(|(path, seen)| stamp(path) == *seen);
        if fresh && !self.worn.is_empty() {
            return None;
        }
        self.worn = vec![(folders.config.clone(), stamp(&folders.config))];
        Some(match self.read(&folders) {
            Ok(look) => Message::Dress(Box::new(look)),
            Err(error) => Message::Notice(error.to_string()),
        })
    }

    fn read(&mut self, folders: &Folders) -> Result<Look, ConfigError> {
        let config = match text(&folders.config)? {
            Some(text) => Config::parse(&text)?,
            None => Config::default(),
        };
        let theme = match &config.theme {
            None => self.usual.clone(),
            Some(name) => self.theme(&folders.themes, name)?,
        };
        Ok(Look {
            theme,
            keys: config.keymap()?,
            mouse: config.mouse,
        })
    }

    /// The player's own theme of that name, or the built-in one.
    fn theme(&mut self, folder: &Path, name: &str) -> Result<Theme, ConfigError> {
        let is_name = !name.is_empty() && !name.contains(['/', '\\', '\0']) && name != "..";
        let path = folder.join(format!("{name}.toml"));
        if is_name {
            self.worn.push((path.clone(), stamp(&path)));
            if let Some(text) = text(&path)? {
                return Theme::parse(&text).map_err(|error| ConfigError::Theme { path, error });
            }
        }
        Theme::named(name).map_err(ConfigError::NoTheme)
    }
}

/// The longest file that is read, in bytes.
const LONGEST: u64 = 1 << 20;

/// A file's text; nothing when there is no such file.
fn text(path: &Path) -> Result<Option<String>, ConfigError> {
    let failed = |error| ConfigError::Read {
        path: path.into(),
        error,
    };
    let file = match File::open(path) {
        Ok(file) => file,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(failed(error)),
    };
    let mut bytes = Vec::new();
    let read = file.take(LONGEST + 1).read_to_end(&mut bytes);
    if read.map_err(failed)? as u64 > LONGEST {
        return Err(ConfigError::TooLong { path: path.into() });
    }
    let text = String::from_utf8(bytes).map_err(|e| failed(io::Error::other(e.utf8_error())))?;
    Ok(Some(text))
}

fn stamp(path: &Path) -> Stamp {
    let meta = fs::metadata(path).ok()?;
    Some((meta.modified().ok()?, meta.len()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::studio::keymap::Place;
    use crate::studio::theme::Role;

    struct House {
        folder: tempfile::TempDir,
        wardrobe: Wardrobe,
    }

    impl House {
        fn new() -> House {
            let folder = tempfile::tempdir().unwrap();
            let folders = Folders::under(folder.path());
            fs::create_dir_all(&folders.themes).unwrap();
            let usual = Theme::named("plain").unwrap();
            let wardrobe = Wardrobe::new(Some(folders), usual);
            House { folder, wardrobe }
        }

        fn write(&self, name: &str, text: &str) {
            fs::write(self.folder.path().join(name), text).unwrap();
        }

        fn look(&mut self) -> Look {
            match self.wardrobe.tick() {
                Some(Message::Dress(look)) => *look,
                other => panic!("not dressed: {other:?}"),
            }
        }

        fn said(&mut self) -> String {
            match self.wardrobe.tick() {
                Some(Message::Notice(text)) => text,
                other => panic!("nothing said: {other:?}"),
            }
        }
    }

    #[test]
    fn without_a_config_all_is_as_usual() {
        let mut house = House::new();
        let look = house.look();
        assert_eq!(look.theme, Theme::named("plain").unwrap());
        assert!(!look.mouse);
        assert!(house.wardrobe.tick().is_none());
        assert!(Wardrobe::new(None, look.theme).tick().is_none());
    }

    #[test]
    fn the_config_names_theme_keys_and_mouse() {
        let mut house = House::new();
        house.write(
            "config.toml",
            "theme = \"daylight\"\nmouse = true\n[keys.desk]\n\"p\" = \"b\"\n\"e\" = [\"E\", \"F6\"]\n",
        );
        let look = house.look();
        assert_eq!(look.theme, Theme::named("daylight").unwrap());
        assert!(look.mouse);
        assert_eq!(look.keys.shown(Place::Desk, "p"), Some("b"));
        assert_eq!(look.keys.shown(Place::Desk, "e"), Some("E"));
    }

    #[test]
    fn the_readme_shows_a_config_that_is_well() {
        let readme = include_str!("../../README.md");
        let blocks = readme.split("```toml\n").skip(1);
        let mut texts = blocks.filter_map(|b| b.split("```").next());
        let text = texts.find(|t| t.contains("[keys.")).unwrap();
        let config = Config::parse(text).unwrap();
        assert!(config.keymap().is_ok());
        assert!(Theme::named(&config.theme.unwrap()).is_ok());
    }

    #[test]
    fn an_own_theme_is_worn_and_changes_when_its_file_does() {
        let mut house = House::new();
        house.write("config.toml", "theme = \"dusk\"");
        assert!(house.said().contains("there is no theme “dusk”"));
        house.write("themes/dusk.toml", "bass = \"red\"");
        let red = house.look().theme.style(Role::Bass);
        house.write("themes/dusk.toml", "bass = \"green\"");
        assert_ne!(house.look().theme.style(Role::Bass), red);
        house.write("themes/dusk.toml", "bass = \"greenish\"");
        let said = house.said();
        assert!(
            said.contains("greenish") && said.contains("dusk.toml"),
            "{said}"
        );
        assert!(house.wardrobe.tick().is_none());
        // One of the player's goes before a built-in one of the same name.
        house.write("themes/plain.toml", "bass = \"blue bold\"");
        house.write("config.toml", "theme = \"plain\"");
        assert_ne!(house.look().theme, Theme::named("plain").unwrap());
    }

    #[test]
    fn mistakes_are_told_with_their_place() {
        for (text, expected) in [
            ("\ntheme = 5", "line 2"),
            ("themes = \"plain\"", "themes"),
            ("theme = \"../../x\"", "there is no theme"),
            ("[keys.kitchen]\np = \"b\"", "kitchen"),
            ("[keys.desk]\np = \"e\"", "would both be"),
            ("[keys.desk]\np = 5", "line 2"),
            ("mouse", "line 1"),
        ] {
            let mut house = House::new();
            house.write("config.toml", text);
            let said = house.said();
            assert!(said.contains(expected), "{text}: {said}");
        }
        let mut house = House::new();
        house.write("config.toml", &"#".repeat(2 << 20));
        assert!(house.said().contains("longer than a megabyte"));
        let mut house = House::new();
        fs::create_dir(house.folder.path().join("config.toml")).unwrap();
        assert!(house.said().contains("can't be read"));
    }
}
