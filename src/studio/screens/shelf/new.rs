//! A new song, asked for in small steps: title, key, meter, tempo.

use super::{Line, Next, Shelf, Want};
use crate::song::edit::Draft;
use crate::song::{GuitarWish, Song, abc};
use crate::studio::screens::home::Home;
use crate::studio::screens::writing::{KEYS, METERS, Writing, read_tempo};
use crate::theory::{Key, Meter};

/// What is known of a song that is to be written; what is missing is asked next.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct NewSong {
    title: Option<String>,
    key: Option<Key>,
    meter: Option<Meter>,
}

impl NewSong {
    /// The line that asks for the next thing.
    fn line(self) -> Line {
        let all = |texts: &[&str]| texts.iter().map(ToString::to_string).collect();
        let named = self.title.clone().unwrap_or_default();
        let (title, hint, text, choices): (_, _, String, Vec<String>) =
            match (&self.title, &self.key, &self.meter) {
                (None, ..) => (
                    "A new song: its title".into(),
                    "what it is called; it can be changed later, like all that follows",
                    String::new(),
                    Vec::new(),
                ),
                (_, None, _) => (
                    format!("{named}: its key"),
                    "↑↓ the usual keys, or a keynote and a mode: Em, D dorian",
                    "C".into(),
                    all(&KEYS),
                ),
                (_, _, None) => (
                    format!("{named}: its meter"),
                    "↑↓ the usual meters, or what you need: 7/8, 2+2+3/8",
                    "4/4".into(),
                    all(&METERS),
                ),
                (.., Some(meter)) => (
                    format!("{named}: its tempo"),
                    "beats a minute, or with the note that is counted: 1/4=96",
                    abc::usual_tempo(Some(meter)).to_string(),
                    Vec::new(),
                ),
            };
        Line::asking(Want::New(Box::new(self)), title, hint, text, choices)
    }
}

impl Shelf {
    /// Asks for the first thing.
    pub(super) fn begin_new(&mut self) {
        self.line = Some(NewSong::default().line());
    }

    /// Takes an answer and asks for the next thing; after the last one the song is written.
    pub(super) fn go_on_with(&mut self, mut song: NewSong, text: &str) -> Next {
        let taken = match (&song.title, &song.key, &song.meter) {
            (None, ..) if text.is_empty() => Err("a song needs a title to be found by".into()),
            (None, ..) => {
                song.title = Some(text.to_string());
                Ok(())
            }
            (_, None, _) => text
                .parse()
                .map(|key| song.key = Some(key))
                .map_err(|e: crate::theory::KeyError| e.to_string()),
            (_, _, None) => text
                .parse()
                .map(|meter| song.meter = Some(meter))
                .map_err(|e: crate::theory::MeterError| e.to_string()),
            (Some(title), Some(key), Some(meter)) => match read_tempo(text, meter) {
                Ok(tempo) => {
                    self.line = None;
                    let song = Song {
                        title: title.clone(),
                        composer: None,
                        tags: Vec::new(),
                        key: key.clone(),
                        tempo,
                        bars: Vec::new(),
                        guitar: GuitarWish::default(),
                        pins: Vec::new(),
                        ideas: Vec::new(),
                    };
                    let draft = Draft::new(song, meter);
                    let home = Home::nowhere(Vec::new());
                    return Next::Write(Box::new(Writing::new(draft.song().clone(), home)));
                }
                Err(why) => Err(why),
            },
        };
        match (taken, &mut self.line) {
            (Ok(()), _) => self.line = Some(song.line()),
            (Err(why), Some(line)) => line.complain(why),
            (Err(_), None) => {}
        }
        Next::nothing()
    }
}
