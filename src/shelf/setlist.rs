//! Setlists: songs in the order of the evening.
//!
//! ```toml
//! title = "Harbour evening"
//! songs = ["lamps-along-the-quay", "a-chair-by-the-stove"]
//! ```

use super::{Entry, Name, Seal, Shelf, ShelfError};
use crate::exchange::plain_text;
use jiff::Timestamp;
use toml_edit::{Array, DocumentMut, Item, value};

/// A setlist. Fields of its file that are not known here are kept.
#[derive(Debug, Clone)]
pub struct Setlist {
    /// What the evening is called.
    pub title: String,
    /// The songs in order; one may come twice.
    pub songs: Vec<Name>,
    document: DocumentMut,
}

impl Setlist {
    /// An empty setlist.
    pub fn new(title: &str) -> Setlist {
        Setlist {
            title: title.to_owned(),
            songs: Vec::new(),
            document: DocumentMut::new(),
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
            document,
        })
    }

    /// The text of its file: what is known is written anew, the rest as it was.
    pub fn text(&self) -> String {
        let mut document = self.document.clone();
        let same = Setlist::parse(&document.to_string());
        let same = same.ok();
        if same.as_ref().map(|s| &s.title) != Some(&self.title) {
            document["title"] = value(self.title.as_str());
        }
        if same.as_ref().map(|s| &s.songs) != Some(&self.songs) {
            let songs: Array = self.songs.iter().map(Name::as_str).collect();
            document["songs"] = value(songs);
        }
        document.to_string()
    }

    /// Moves the song at one place (from 0) to another; places past the end are the last.
    pub fn shift(&mut self, from: usize, to: usize) {
        if from < self.songs.len() {
            let song = self.songs.remove(from);
            self.songs.insert(to.min(self.songs.len()), song);
        }
    }

    /// Takes the song at a place (from 0) off the list.
    pub fn remove(&mut self, at: usize) {
        if at < self.songs.len() {
            self.songs.remove(at);
        }
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
        let mut setlist = Setlist::new(title);
        setlist.document["title"] = value(title);
        setlist.document["songs"] = value(Array::new());
        self.setlists.add(title, &setlist.text(), now)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(setlist: &Setlist) -> Vec<&str> {
        setlist.songs.iter().map(Name::as_str).collect()
    }

    #[test]
    fn order_changes_and_the_rest_of_the_file_stays() {
        let text =
            "# for the choir\ntitle = \"Evening\"\nsongs = [\"a\", \"b\", \"c\"]\nhall = 2\n";
        let mut setlist = Setlist::parse(text).unwrap();
        assert_eq!(setlist.text(), text);
        setlist.shift(0, 9);
        setlist.shift(7, 0);
        assert_eq!(names(&setlist), ["b", "c", "a"]);
        setlist.remove(1);
        setlist.remove(5);
        insta::assert_snapshot!(setlist.text(), @r#"
        # for the choir
        title = "Evening"
        songs = ["b", "a"]
        hall = 2
        "#);
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
