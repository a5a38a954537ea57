//! Setlists: songs in the order of the evening.
//!
//! ```toml
//! title = "Harbour evening"
//! songs = ["lamps-along-the-quay", "a-chair-by-the-stove"]
//! ```

use super::{Entry, Name, Seal, Shelf, ShelfError};
use crate::exchange::plain_text;
use crate::song::{line_ends, set_field};
use jiff::Timestamp;
use toml_edit::{Array, DocumentMut, Item, RawString, Value};

/// What the file of an empty setlist says.
const EMPTY: &str = "title = \"\"\nsongs = []\n";

/// A setlist. Comments and fields of its file that are not known here are kept.
#[derive(Debug, Clone)]
pub struct Setlist {
    /// What the evening is called.
    pub title: String,
    /// The songs in order; one may come twice.
    pub songs: Vec<Name>,
    /// The text that it was read from.
    read: String,
}

impl Setlist {
    /// An empty setlist.
    pub fn new(title: &str) -> Setlist {
        Setlist {
            title: title.to_owned(),
            songs: Vec::new(),
            read: EMPTY.to_owned(),
        }
    }

    /// Reads the text of a setlist's file.
    ///
    /// # Errors
    /// A sentence that says what is wrong with it.
    pub fn parse(text: &str) -> Result<Setlist, String> {
        let document: DocumentMut = text.parse().map_err(|e: toml_edit::TomlError| {
            format!("it is not TOML ({})", plain_text(e.message()))
        })?;
        let title = document.get("title").map(Item::as_str);
        let title = title
            .unwrap_or(Some(""))
            .ok_or("title must be a text in quotes")?;
        let wrong = "songs must be a list of song names: songs = [\"the-late-ferry\"]";
        let mut songs = Vec::new();
        if let Some(item) = document.get("songs") {
            for song in item.as_array().ok_or(wrong)? {
                let name = Name::new(song.as_str().ok_or(wrong)?);
                songs.push(name.map_err(|e| e.to_string())?);
            }
        }
        Ok(Setlist {
            title: title.to_owned(),
            songs,
            read: text.to_owned(),
        })
    }

    /// The text of its file: what changed is written anew, the rest stays as it was.
    pub fn text(&self) -> String {
        let (Ok(before), Ok(mut document)) =
            (Setlist::parse(&self.read), self.read.parse::<DocumentMut>())
        else {
            return self.read.clone();
        };
        let root = document.as_table_mut();
        if before.title != self.title {
            set_field(root, "title", Some(self.title.as_str().into()));
        }
        if before.songs != self.songs {
            let old = root.get("songs").and_then(Item::as_array);
            let songs = old.map_or_else(|| row(&self.songs), |old| relisted(old, &self.songs));
            set_field(root, "songs", Some(Value::Array(songs)));
        }
        line_ends(&self.read, document.to_string())
    }

    /// The list as plain text to print or send: titles and keys where `entries` know the song.
    pub fn listed(&self, entries: &[Entry]) -> String {
        let mut text = format!("{}\n\n", plain_text(&self.title));
        let width = self.songs.len().to_string().len();
        for (i, name) in self.songs.iter().enumerate() {
            let entry = entries.iter().find(|e| e.name == *name);
            let song = match entry {
                Some(e) if e.key.is_empty() => e.title.clone(),
                Some(e) => format!("{} ({})", e.title, e.key),
                None => format!("{name} (not on the shelf)"),
            };
            text.push_str(&format!("{:>width$}. {song}\n", i + 1));
        }
        text
    }
}

impl Shelf {
    /// Takes a setlist.
    ///
    /// # Errors
    /// When it is not there or not a setlist.
    pub fn take_setlist(&self, name: &Name) -> Result<(Setlist, Seal), ShelfError> {
        let (text, seal) = self.setlists.read(name)?;
        let setlist = Setlist::parse(&text).map_err(|text| ShelfError::NotASetlist {
            name: name.clone(),
            text,
        })?;
        Ok((setlist, seal))
    }

    /// Makes an empty setlist, under a name made from its title that no other one has.
    ///
    /// # Errors
    /// When the disk refuses.
    pub fn add_setlist(&self, title: &str, now: Timestamp) -> Result<Name, ShelfError> {
        self.setlists.add(title, &Setlist::new(title).text(), now)
    }
}

/// Songs on one line.
fn row(songs: &[Name]) -> Array {
    songs.iter().map(Name::as_str).collect()
}

/// A list with other songs in it. Where it has several lines, each song keeps the comments above and
/// beside it.
fn relisted(old: &Array, songs: &[Name]) -> Array {
    let blank = |raw: Option<&RawString>| {
        let text = raw.and_then(RawString::as_str).unwrap_or("");
        text.replace('\r', "")
    };
    // What stands before each song and behind the last; up to the end of the line it belongs to the
    // song before.
    let mut gaps = vec![String::new()];
    for value in old {
        if let Some(gap) = gaps.last_mut() {
            gap.push_str(&blank(value.decor().prefix()));
        }
        gaps.push(blank(value.decor().suffix()));
    }
    if let Some(gap) = gaps.last_mut() {
        gap.push_str(&blank(Some(old.trailing())));
    }
    if old.is_empty() || !gaps.iter().any(|gap| gap.contains('\n')) {
        return row(songs);
    }
    let parted = |gap: &String| {
        let (beside, above) = gap.split_at(gap.find('\n').unwrap_or(0));
        (beside.to_owned(), above.to_owned())
    };
    let first = gaps.first().cloned().unwrap_or_default();
    let (beside, mut above): (Vec<_>, Vec<_>) = gaps.iter().skip(1).map(parted).unzip();
    let end = above.pop().unwrap_or_default();
    above.insert(0, first);
    // A new song gets a line like that of the last one.
    let last = above.last().map_or("", String::as_str);
    let line = last
        .rfind('\n')
        .and_then(|at| last.get(at..))
        .unwrap_or("\n  ");
    let mut had: Vec<Option<(&str, String, String)>> = (old.iter().zip(above.iter()).zip(beside))
        .map(|((value, above), beside)| Some((value.as_str()?, above.clone(), beside)))
        .collect();
    let mut list = Array::new();
    let mut behind = String::new();
    for song in songs {
        let same = |had: &&mut Option<(&str, String, String)>| {
            had.as_ref()
                .is_some_and(|(name, ..)| *name == song.as_str())
        };
        let found = had.iter_mut().find(same).and_then(Option::take);
        let (_, above, beside) = found.unwrap_or(("", line.to_owned(), String::new()));
        let above = match above.starts_with('\n') {
            true => above,
            false => line.to_owned(),
        };
        let value = Value::from(song.as_str()).decorated(behind + &above, "");
        list.push_formatted(value);
        behind = beside;
    }
    list.set_trailing_comma(true);
    list.set_trailing(behind + &end);
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn order_changes_and_the_rest_of_the_file_stays() {
        let text =
            "# for the choir\ntitle = \"Evening\"\nsongs = [\"a\", \"b\", \"c\"]\nhall = 2\n";
        let mut setlist = Setlist::parse(text).unwrap();
        assert_eq!(setlist.text(), text);
        setlist.songs = ["b", "a"].map(|name| Name::new(name).unwrap()).into();
        insta::assert_snapshot!(setlist.text(), @r#"
        # for the choir
        title = "Evening"
        songs = ["b", "a"]
        hall = 2
        "#);
    }

    #[test]
    fn comments_go_along_with_their_songs() {
        let before = "title = \"Evening\"  # or so\nsongs = [\n  # first\n  \"a\",  # in G\n  \
                      \"b\", # slow\n  \"c\"\n]  # all\n";
        let after = "title = \"Night\"  # or so\nsongs = [\n  \"c\",\n  \"d\",\n  # first\n  \
                     \"a\",  # in G\n]  # all\n";
        for line_end in ["\n", "\r\n"] {
            let mut setlist = Setlist::parse(&before.replace('\n', line_end)).unwrap();
            setlist.title = "Night".into();
            setlist.songs = ["c", "d", "a"].map(|name| Name::new(name).unwrap()).into();
            assert_eq!(setlist.text(), after.replace('\n', line_end));
        }
    }

    #[test]
    fn a_song_that_would_lead_elsewhere_is_refused() {
        let error = Setlist::parse("songs = [\"../../secret\"]").unwrap_err();
        assert!(error.contains("../../secret"), "{error}");
        for text in ["songs = 3", "songs = [3]", "title = 3", "songs = ["] {
            assert!(Setlist::parse(text).is_err(), "{text}");
        }
    }
}
