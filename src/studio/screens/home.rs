//! Where the song on the Desk is kept: jotted down with each change, saved when it is asked for and
//! when the Desk is left.

use super::desk::{Desk, Weight};
use crate::arrange::Layer;
use crate::shelf::{Progress, Seal};
use crate::song::{Notice, Song, SongError, SongFile};
use crate::studio::disk::{Address, Errand, News};
use crate::studio::message::Order;

/// A song and its ticks, as they go into a file.
type Work = (Song, Progress);

const CHANGED: &str =
    "changed by another program: s saves yours over it, the same key again leaves it";

/// Whether the Desk can be left.
#[derive(Debug, PartialEq)]
pub enum Leave {
    /// Everything is kept.
    Now,
    /// When the disk has done this, and answered.
    After(Option<Order>),
    /// Something is in the way, and was said.
    Not,
}

/// Where a song is kept, and what is there already.
#[derive(Debug, Default)]
pub struct Home {
    /// What is worth knowing about the text that the song was read from.
    pub notices: Vec<Notice>,
    /// How far the layers have got.
    pub progress: Progress,
    /// How many of the notices were told.
    told: usize,
    /// Where it lies; nowhere before the first change of a song out of a book.
    address: Option<Address>,
    /// Its text, with comments and unknown fields; as it is worked on, and as it was saved.
    file: Option<SongFile>,
    saved_file: Option<SongFile>,
    /// What lies on disk; nothing when another program changed it and saving has to be wanted.
    seal: Option<Seal>,
    /// What was last sent off to be saved, and what is known to be saved.
    sent: Option<Work>,
    sent_file: Option<SongFile>,
    saved: Option<Work>,
    jotted: Option<Work>,
    /// The song is being put on the shelf, and has no address yet.
    adding: bool,
    /// The last save failed, so that leaving is the player's own decision.
    refused: bool,
}

impl Home {
    /// A song without a file of its own: with its first change it gets one on the shelf.
    pub fn nowhere(notices: Vec<Notice>) -> Home {
        Home {
            notices,
            ..Home::default()
        }
    }

    /// A song in a file.
    pub fn at(address: Address, file: SongFile, seal: Seal, notices: Vec<Notice>) -> Home {
        Home {
            notices,
            progress: Progress::read(&file.to_string()),
            address: Some(address),
            saved_file: Some(file.clone()),
            file: Some(file),
            seal: Some(seal),
            ..Home::default()
        }
    }

    /// The song as it is now is the one that is kept.
    pub(super) fn settle(&mut self, song: &Song) {
        let work = (song.clone(), self.progress.clone());
        self.saved = Some(work.clone());
        self.jotted = Some(work);
    }

    /// What was sent off is kept.
    fn keeps(&mut self, seal: Seal) {
        self.seal = Some(seal);
        self.saved = self.sent.take();
        self.saved_file = self.sent_file.take();
        self.refused = false;
    }

    fn is(&self, work: &Option<Work>, song: &Song) -> bool {
        (work.as_ref()).is_some_and(|(s, p)| *p == self.progress && s == song)
    }

    /// What the file is to say.
    fn text(&mut self, song: &Song) -> Result<String, SongError> {
        if self.is(&self.saved, song) && self.saved_file.is_some() {
            self.file = self.saved_file.clone();
        }
        let mut file = match &self.file {
            Some(file) => file.clone(),
            None => SongFile::new(song)?,
        };
        file.update(song)?;
        self.progress.write(&mut file)?;
        let text = file.to_string();
        self.file = Some(file);
        Ok(text)
    }
}

impl Desk {
    /// Where the song lies, if it has a file of its own.
    pub fn address(&self) -> Option<&Address> {
        self.home.address.as_ref()
    }

    /// Whether something is not saved yet. (It is jotted down all the same.)
    pub fn is_changed(&self) -> bool {
        !self.home.is(&self.home.saved, &self.arrangement.song)
    }

    /// Tells the next thing worth knowing about the text of the song, one after another.
    pub(super) fn tell(&mut self) {
        let all = self.home.notices.len();
        let Some(notice) = self.home.notices.get(self.home.told % all.max(1)) else {
            self.say(
                Weight::News,
                "every line of this song was understood".into(),
            );
            return;
        };
        let text = format!("{}/{all}  {notice}", self.home.told % all + 1);
        self.home.told += 1;
        self.say(Weight::News, text);
    }

    /// Says that there is something worth knowing, if there is.
    pub(super) fn announce(&mut self) {
        let text = match self.home.notices.len() {
            0 => return,
            1 => "one thing is worth knowing about this text: Ctrl-W tells it".into(),
            n => format!("{n} things are worth knowing about this text: Ctrl-W tells them"),
        };
        self.say(Weight::News, text);
    }

    /// How many bars are ticked in the layer shown.
    pub fn done(&self) -> usize {
        let bars = self.arrangement.song.bars.len();
        self.home.progress.count(self.options.layer, bars)
    }

    /// Whether the bar under the cursor is ticked in the layer shown.
    pub fn is_done(&self) -> bool {
        (self.home.progress).is_done(self.options.layer, self.bar())
    }

    /// Ticks the bar in the layer shown, or takes the tick away.
    pub(super) fn tick(&mut self) {
        let (layer, bar, done) = (self.options.layer, self.bar(), !self.is_done());
        self.home.progress.tick(layer, bar, done);
        let number = self.arrangement.song.bars.get(bar).map_or(0, |b| b.number);
        let name = match layer {
            Layer::Melody => "melody",
            Layer::Bass => "bass",
            Layer::Fill => "fill",
            Layer::Colour => "colour",
        };
        let word = if done { "done" } else { "not done" };
        self.say(Weight::News, format!("bar {number}: {name} {word}"));
    }

    /// Saves because it was asked for.
    pub(super) fn save(&mut self) -> Vec<Order> {
        self.put().into_iter().collect()
    }

    /// What keeps a change from being lost, if there was one since the last time.
    pub(super) fn keep(&mut self) -> Option<Order> {
        let song = &self.arrangement.song;
        if self.home.adding || self.home.is(&self.home.jotted, song) {
            return None;
        }
        let work = (song.clone(), self.home.progress.clone());
        self.home.jotted = Some(work);
        match self.home.address.clone() {
            None => self.put(),
            Some(address) => {
                let text = self.text()?;
                let seal = self.home.seal.clone().unwrap_or(Seal::ABSENT);
                Some(Order::Disk(Errand::Jot {
                    address,
                    text,
                    seal,
                }))
            }
        }
    }

    /// Saves, over what another program left there if that is known; a song without a file is put
    /// on the shelf.
    pub(super) fn put(&mut self) -> Option<Order> {
        if self.is_saving() {
            return None;
        }
        let text = self.text()?;
        let song = self.arrangement.song.clone();
        let title = song.title.clone();
        self.home.sent = Some((song, self.home.progress.clone()));
        self.home.sent_file = self.home.file.clone();
        let errand = match self.home.address.clone() {
            None => {
                self.home.adding = true;
                Errand::Add { title, text }
            }
            Some(address) => Errand::Save {
                address,
                text,
                seal: self.home.seal.clone(),
            },
        };
        Some(Order::Disk(errand))
    }

    fn text(&mut self) -> Option<String> {
        match self.home.text(&self.arrangement.song) {
            Ok(text) => Some(text),
            Err(error) => {
                self.say(Weight::Trouble, error.text);
                None
            }
        }
    }

    /// Saves before the Desk is left. After a save that failed it may be left all the same: what was
    /// jotted down comes back when the song is opened again.
    pub fn leave(&mut self) -> Leave {
        if self.is_saving() {
            return Leave::After(None);
        }
        if !self.is_changed() || std::mem::take(&mut self.home.refused) {
            return Leave::Now;
        }
        if self.home.address.is_some() && self.home.seal.is_none() {
            self.home.refused = true;
            self.say(Weight::Trouble, CHANGED.into());
            return Leave::Not;
        }
        match self.put() {
            Some(order) => Leave::After(Some(order)),
            None => {
                self.home.refused = true;
                Leave::Not
            }
        }
    }

    /// Whether something was sent off that the disk has not answered yet.
    pub fn is_saving(&self) -> bool {
        self.home.sent.is_some()
    }

    /// Whether the last save failed.
    pub fn is_refused(&self) -> bool {
        self.home.refused
    }

    /// Takes in what the disk says about this song.
    pub(super) fn learn(&mut self, news: News) -> Vec<Order> {
        let here = |address: &Address| self.home.address.as_ref() == Some(address);
        match news {
            News::Saved { address, seal } if here(&address) => {
                self.home.keeps(seal);
                self.say(Weight::News, "saved".into());
            }
            News::Added { address, seal } if self.home.adding => {
                let text = format!("kept on your shelf as “{}”", address.name);
                self.say(Weight::News, text);
                self.home.address = Some(address);
                self.home.adding = false;
                self.home.keeps(seal);
            }
            News::Unsaved {
                address,
                why,
                changed,
            } if address.as_ref() == self.home.address.as_ref() => {
                self.home.refused = self.home.sent.take().is_some();
                self.home.adding = false;
                if changed {
                    self.home.seal = None;
                }
                self.say(Weight::Trouble, why);
            }
            News::Held {
                address,
                refused,
                jotted,
            } if here(&address) => return self.held(refused, jotted),
            News::Printed(path) => self.say(Weight::News, format!("sheets written: {path}")),
            News::Trouble(text) => self.say(Weight::Trouble, text),
            _ => {}
        }
        Vec::new()
    }

    fn held(&mut self, refused: Option<String>, jotted: Option<String>) -> Vec<Order> {
        if let Some(text) = refused {
            self.home.address = None;
            self.home.seal = None;
            self.say(Weight::Trouble, text);
            return Vec::new();
        }
        let Some((file, song, _)) = jotted.and_then(|text| SongFile::parse(&text).ok()) else {
            return Vec::new();
        };
        let progress = Progress::read(&file.to_string());
        if song.same_as(&self.arrangement.song) && progress == self.home.progress {
            return Vec::new();
        }
        match self.solve(&song) {
            Ok(order) => {
                self.home.file = Some(file);
                self.home.progress = progress;
                self.home.jotted = Some((song, self.home.progress.clone()));
                let text =
                    "what was not saved last time is back; the text before it stays in Ctrl-P";
                self.say(Weight::News, text.into());
                vec![order]
            }
            Err(error) => {
                self.say(Weight::Trouble, format!("{error}; all stays as it was"));
                Vec::new()
            }
        }
    }
}
