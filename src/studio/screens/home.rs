//! Where the song on the Desk is kept: jotted down with each change, saved when it is asked for and
//! when the Desk is left.

use super::desk::{Desk, Weight, arranged_at_least};
use crate::arrange::{Layer, Options};
use crate::shelf::{Progress, Seal};
use crate::song::{Notice, Song, SongError, SongFile};
use crate::studio::disk::{Address, Errand, News};
use crate::studio::message::Order;
use crate::theory::Meter;

/// A song and its ticks, as they go into a file.
type Work = (Song, Progress);

const CHANGED: &str =
    "changed by another program: ⟨s⟩ saves yours over it, the same key again leaves it";

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

/// What came of news from the disk.
#[derive(Debug, Default)]
pub(super) struct Learned {
    /// What is worth saying about it.
    pub said: Option<(Weight, String)>,
    /// What a crash left of the song, where that is not what lies here.
    pub jotted: Option<Jotted>,
}

/// A song that was jotted down and never saved.
#[derive(Debug, Clone)]
pub(super) struct Jotted {
    pub file: SongFile,
    pub song: Song,
    pub progress: Progress,
}

/// What is said once work that was jotted down is back.
pub(super) const BACK: &str =
    "what was not saved last time is back; the text before it stays in ⟨Ctrl-P⟩";

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
    /// The last save was sent because the screen was to be left.
    parting: bool,
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

    /// Where the song lies, if it has a file of its own.
    pub fn address(&self) -> Option<&Address> {
        self.address.as_ref()
    }

    /// The meter that the song's file names, also where no bar is written.
    pub fn meter(&self) -> Meter {
        (self.file.as_ref()).map_or(Meter::common(), |file| file.meter().clone())
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

    /// Whether something is not saved yet. (It is jotted down all the same.)
    pub fn is_changed(&self, song: &Song) -> bool {
        !self.is(&self.saved, song)
    }

    /// What keeps a change from being lost, if there was one since the last time.
    pub(super) fn keep(&mut self, song: &Song) -> Result<Option<Order>, SongError> {
        if self.adding || self.is(&self.jotted, song) {
            return Ok(None);
        }
        self.jotted = Some((song.clone(), self.progress.clone()));
        let Some(address) = self.address.clone() else {
            return self.put(song);
        };
        let text = self.text(song)?;
        Ok(Some(Order::Disk(Errand::Jot {
            address,
            text,
            seal: self.seal.clone(),
        })))
    }

    /// Saves, over what another program left there if that is known; a song without a file is put
    /// on the shelf.
    pub(super) fn put(&mut self, song: &Song) -> Result<Option<Order>, SongError> {
        if self.is_saving() {
            return Ok(None);
        }
        self.parting = false;
        let text = self.text(song)?;
        self.sent = Some((song.clone(), self.progress.clone()));
        self.sent_file = self.file.clone();
        let errand = match self.address.clone() {
            None => {
                self.adding = true;
                let title = song.title.clone();
                Errand::Add { title, text }
            }
            Some(address) => Errand::Save {
                address,
                text,
                seal: self.seal.clone(),
            },
        };
        Ok(Some(Order::Disk(errand)))
    }

    /// Saves before the screen is left. After a save that failed it may be left all the same: what
    /// was jotted down comes back when the song is opened again. A song that lies nowhere is thrown
    /// away by that, so only after a save that was to let it be left. The text is what is in the way.
    pub(super) fn leave(&mut self, song: &Song) -> (Leave, Option<String>) {
        if self.is_saving() {
            return (Leave::After(None), None);
        }
        let refused = std::mem::take(&mut self.refused);
        let decides = refused && (self.address.is_some() || self.parting);
        if decides || !self.is_changed(song) {
            return (Leave::Now, None);
        }
        if self.address.is_some() && self.seal.is_none() {
            self.refused = true;
            return (Leave::Not, Some(CHANGED.into()));
        }
        let put = self.put(song);
        self.parting = true;
        match put {
            Ok(Some(order)) => (Leave::After(Some(order)), None),
            Ok(None) => (Leave::Not, None),
            Err(error) => {
                self.refused = true;
                (Leave::Not, Some(self.warned(error.text)))
            }
        }
    }

    /// Why a save failed, with what leaving does now where that throws the song away.
    fn warned(&self, why: String) -> String {
        match self.address.is_none() && self.parting {
            true => format!("{why}; it lies nowhere, and the same key again throws it away"),
            false => why,
        }
    }

    /// Whether something was sent off that the disk has not answered yet.
    pub fn is_saving(&self) -> bool {
        self.sent.is_some()
    }

    /// Whether the last save failed.
    pub fn is_refused(&self) -> bool {
        self.refused
    }

    /// Takes in what the disk says about this song.
    pub(super) fn learn(&mut self, news: News, song: &Song) -> Learned {
        let here = |address: &Address| self.address.as_ref() == Some(address);
        let said = match news {
            News::Saved { address, seal } if here(&address) => {
                self.keeps(seal);
                (Weight::News, "saved".into())
            }
            News::Added { address, seal } if self.adding => {
                let text = format!("kept on your shelf as “{}”", address.name);
                self.address = Some(address);
                self.adding = false;
                self.keeps(seal);
                (Weight::News, text)
            }
            News::Unjotted {
                address,
                why,
                changed,
            } if here(&address) => {
                if changed {
                    self.seal = None;
                }
                (Weight::Trouble, self.warned(why))
            }
            News::Unsaved {
                address,
                why,
                changed,
            } if address.as_ref() == self.address.as_ref() => {
                self.refused = self.sent.take().is_some();
                self.adding = false;
                if changed {
                    self.seal = None;
                }
                (Weight::Trouble, self.warned(why))
            }
            News::Held {
                address,
                refused: Some(text),
                ..
            } if here(&address) => {
                self.address = None;
                self.seal = None;
                // What was sent there since is not kept for this song.
                self.sent = None;
                self.sent_file = None;
                self.jotted = self.saved.clone();
                (Weight::Trouble, text)
            }
            News::Held {
                address,
                jotted: Some(text),
                ..
            } if here(&address) => {
                return Learned {
                    said: None,
                    jotted: self.left_over(&text, song),
                };
            }
            News::Printed(path) => (Weight::News, format!("sheets written: {path}")),
            News::Trouble(text) => (Weight::Trouble, text),
            _ => return Learned::default(),
        };
        Learned {
            said: Some(said),
            jotted: None,
        }
    }

    fn left_over(&self, text: &str, now: &Song) -> Option<Jotted> {
        let (file, song, _) = SongFile::parse(text).ok()?;
        let progress = Progress::read(&file.to_string());
        let same = song.same_as(now) && progress == self.progress;
        (!same).then_some(Jotted {
            file,
            song,
            progress,
        })
    }

    /// Goes on with work that was jotted down.
    pub(super) fn go_on_with(&mut self, jotted: Jotted) {
        self.file = Some(jotted.file);
        self.progress = jotted.progress;
        self.jotted = Some((jotted.song, self.progress.clone()));
    }
}

impl Desk {
    /// Where the song lies, if it has a file of its own.
    pub fn address(&self) -> Option<&Address> {
        self.home.address()
    }

    /// Whether something is not saved yet. (It is jotted down all the same.)
    pub fn is_changed(&self) -> bool {
        self.home.is_changed(&self.arrangement.song)
    }

    /// Whether something was sent off that the disk has not answered yet.
    pub fn is_saving(&self) -> bool {
        self.home.is_saving()
    }

    /// Whether the last save failed.
    pub fn is_refused(&self) -> bool {
        self.home.is_refused()
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
            1 => "one thing is worth knowing about this text: ⟨Ctrl-W⟩ tells it".into(),
            n => format!("{n} things are worth knowing about this text: ⟨Ctrl-W⟩ tells them"),
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
        let number = self.arrangement.song.number(bar);
        let name = layer.name();
        let word = if done { "done" } else { "not done" };
        self.say(Weight::News, format!("bar {number}: {name} {word}"));
    }

    /// Ticks all bars in the layer shown, or takes the ticks away when all have one.
    pub(super) fn tick_all(&mut self) {
        let (layer, bars) = (self.options.layer, self.arrangement.song.bars.len());
        let done = self.done() < bars;
        for bar in 0..bars {
            self.home.progress.tick(layer, bar, done);
        }
        let text = match (done, layer) {
            (true, Layer::Melody) => "you know it: ⟨2⟩ adds the bass",
            (true, _) => "all bars are done in this layer",
            (false, _) => "no bar is done in this layer",
        };
        self.say(Weight::News, text.into());
    }

    /// Saves because it was asked for.
    pub(super) fn save(&mut self) -> Vec<Order> {
        let put = self.home.put(&self.arrangement.song);
        self.ordered(put).into_iter().collect()
    }

    /// What keeps a change from being lost, if there was one since the last time.
    pub(super) fn keep(&mut self) -> Option<Order> {
        let kept = self.home.keep(&self.arrangement.song);
        self.ordered(kept)
    }

    fn ordered(&mut self, order: Result<Option<Order>, SongError>) -> Option<Order> {
        order.unwrap_or_else(|error| {
            self.say(Weight::Trouble, error.text);
            None
        })
    }

    /// Saves before the Desk is left; see `Home::leave`.
    pub fn leave(&mut self) -> Leave {
        let (leave, said) = self.home.leave(&self.arrangement.song);
        if let Some(text) = said {
            self.say(Weight::Trouble, text);
        }
        leave
    }

    /// Takes in what the disk says about this song.
    pub(super) fn learn(&mut self, news: News) -> Vec<Order> {
        let learned = self.home.learn(news, &self.arrangement.song);
        if let Some((weight, text)) = learned.said {
            self.say(weight, text);
        }
        let Some(jotted) = learned.jotted else {
            return Vec::new();
        };
        // It may ask for another guitar, or another hand, and have other ideas.
        let mut options = Options::usual(&jotted.song);
        match arranged_at_least(&jotted.song, &mut options) {
            Ok((arrangement, without)) => {
                self.options = options;
                let order = self.show(arrangement);
                self.home.go_on_with(jotted);
                match without {
                    None => self.say(Weight::News, BACK.into()),
                    Some(why) => self.say(Weight::Trouble, why),
                }
                vec![order]
            }
            // It can still be written on.
            Err(_) => {
                self.unfit = Some(Box::new(jotted));
                Vec::new()
            }
        }
    }
}
