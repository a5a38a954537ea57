//! Names that are safe as file names on every system.

use super::ShelfError;
use crate::exchange::{ascii_text, plain_text};
use std::fmt;

/// The longest name in bytes. File systems allow 255; the rest is for times and endings.
const LONGEST: usize = 100;

/// Names that Windows keeps for devices, with any ending (Microsoft, “Naming Files, Paths, and
/// Namespaces”).
const DEVICES: [&str; 22] = [
    "con", "prn", "aux", "nul", "com1", "com2", "com3", "com4", "com5", "com6", "com7", "com8",
    "com9", "lpt1", "lpt2", "lpt3", "lpt4", "lpt5", "lpt6", "lpt7", "lpt8", "lpt9",
];

/// The name of a song or setlist: its file's name without `.toml`. It names a file in one folder
/// and never a path: no separators, no leading dot, nothing that a system reads as a device.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Name(String);

impl Name {
    /// Takes a name as it is.
    ///
    /// # Errors
    /// When it could not be a file's name everywhere.
    pub fn new(text: &str) -> Result<Name, ShelfError> {
        if is_safe(text) {
            Ok(Name(text.to_owned()))
        } else {
            Err(ShelfError::BadName {
                text: plain_text(&text.chars().take(LONGEST).collect::<String>()),
            })
        }
    }

    /// Makes a name from a title: `Grüße, Zoë!` becomes `grusse-zoe`, and what has no letters
    /// `song`.
    pub fn from_title(title: &str) -> Name {
        // A long title is cut before it is spelled out, since one sign may become many.
        let start: String = title.chars().take(LONGEST).collect();
        let words: Vec<String> = ascii_text(&start)
            .to_ascii_lowercase()
            .replace('\'', "")
            .split(|c: char| !c.is_ascii_alphanumeric())
            .filter(|w| !w.is_empty())
            .map(str::to_owned)
            .collect();
        let mut name = words.join("-");
        // Room is left for the number that tells it from another.
        name.truncate(LONGEST - 20);
        let name = name.trim_end_matches('-');
        match name {
            "" => Name("song".into()),
            _ if is_safe(name) => Name(name.to_owned()),
            _ => Name(format!("song-{name}")),
        }
    }

    /// This name with a number behind it, to tell it from another; a long one is cut for it.
    pub(super) fn numbered(&self, number: usize) -> Name {
        let number = format!("-{number}");
        let mut name = self.0.clone();
        while name.len() + number.len() > LONGEST && name.pop().is_some() {}
        Name(name + &number)
    }

    /// The text of it.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

fn is_safe(text: &str) -> bool {
    let starts = text.chars().next().is_some_and(char::is_alphanumeric);
    let each = |c: char| c.is_alphanumeric() || " -_.,'()&+!".contains(c);
    let stem = text.split('.').next().unwrap_or_default().trim_end();
    starts
        && text.len() <= LONGEST
        && text.chars().all(each)
        && !text.ends_with(['.', ' '])
        && !DEVICES.contains(&stem.to_ascii_lowercase().as_str())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::path::{Component, Path};

    #[test]
    fn names_that_lead_elsewhere_are_refused() {
        for text in [
            "",
            ".",
            "..",
            "../a",
            "a/b",
            "a\\b",
            "C:x",
            ".hidden",
            "nul",
            "Con.x",
            "a\n",
            "a.",
            "a ",
            "-a",
            "a\u{202e}b",
            "a*",
        ] {
            assert!(Name::new(text).is_err(), "{text:?}");
        }
        for text in ["lamps", "Zoë's song (2)", "港の歌", "7 bells", "a.b"] {
            assert_eq!(Name::new(text).unwrap().as_str(), text);
        }
    }

    #[test]
    fn a_number_fits_behind_the_longest_name() {
        let name = Name::new(&"é".repeat(LONGEST / 2)).unwrap();
        let numbered = name.numbered(2);
        assert_eq!(numbered.as_str(), "é".repeat(LONGEST / 2 - 1) + "-2");
    }

    #[test]
    fn titles_become_names() {
        for (title, name) in [
            ("Lamps Along the Quay", "lamps-along-the-quay"),
            ("Zoë's  Réel!", "zoes-reel"),
            ("…", "song"),
            ("Aux", "song-aux"),
        ] {
            assert_eq!(Name::from_title(title).as_str(), name);
        }
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn every_name_is_one_plain_part_of_a_path(text in "\\PC{0,130}|[./\\\\a:]{0,6}") {
            let mut names = vec![Name::from_title(&text)];
            names.extend(Name::new(&text));
            for name in names {
                let parts: Vec<_> = Path::new(name.as_str()).components().collect();
                prop_assert_eq!(parts.len(), 1);
                prop_assert!(matches!(parts[0], Component::Normal(_)));
                prop_assert!(Name::new(name.as_str()).is_ok());
                let numbered = name.numbered(12);
                prop_assert!(Name::new(numbered.as_str()).is_ok());
            }
        }
    }
}
