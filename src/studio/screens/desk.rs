//! The Desk: one song, read and arranged.

use super::home::{Home, Jotted};
use super::ideas::Ideas;
use super::pins::History;
use super::proposal::Shown;
use super::writing::Past;
use crate::arrange::{ArrangeError, Arrangement, Front, Layer, Options, Pluck, Slice, arrange};
use crate::exchange::tab::Strip;
use crate::guitar::{GuitarError, Hand, Instrument};
use crate::score::{Part, Score, held_tempo};
use crate::shelf::Name;
use crate::song::Song;
use crate::studio::disk::Errand;
use crate::studio::message::{Ask, Message, Order};
use crate::theory::{Symbol, Ticks};

/// Why a song can't be laid on the Desk.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs)]
pub enum DeskError {
    #[error(transparent)]
    Guitar(#[from] GuitarError),
    #[error(transparent)]
    Arrange(ArrangeError),
    #[error("no note is written in this song yet: open it with ⟨Enter⟩ and write its tune")]
    Empty,
}

impl From<ArrangeError> for DeskError {
    fn from(error: ArrangeError) -> DeskError {
        match error {
            ArrangeError::Empty => DeskError::Empty,
            error => DeskError::Arrange(error),
        }
    }
}

/// Arranges a song for the instrument and the hand that it asks for.
///
/// # Errors
/// When there are none such, or the song can't be arranged.
pub(in crate::studio) fn arranged(
    song: &Song,
    options: &Options,
) -> Result<Arrangement, DeskError> {
    let instrument = Instrument::wished(&song.guitar)?;
    let hand = Hand::wished(&song.guitar)?;
    Ok(arrange(song, &instrument, &hand, options)?)
}

/// Arranges a song as `options` ask, or without its ideas where these can't be kept; then the options
/// ask for no more than that, and why comes as well.
pub(super) fn arranged_at_least(
    song: &Song,
    options: &mut Options,
) -> Result<(Arrangement, Option<String>), DeskError> {
    match arranged(song, options) {
        Err(DeskError::Arrange(error @ ArrangeError::Ideas { .. })) => {
            options.layer = Layer::Fill;
            let why = format!("{error}; without its ideas the song is as it is here");
            Ok((arranged(song, options)?, Some(why)))
        }
        result => Ok((result?, None)),
    }
}

/// A song that can't be laid on the Desk.
#[derive(Debug)]
pub struct Unlaid {
    /// Why.
    pub error: DeskError,
    /// The song.
    pub song: Song,
    /// Where it is kept.
    pub home: Home,
}

/// How much what is said matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Weight {
    News,
    Trouble,
}

/// The state of the Desk.
#[derive(Debug)]
pub struct Desk {
    /// The last good arrangement.
    pub arrangement: Arrangement,
    /// It in play order.
    pub score: Score,
    /// It drawn.
    pub strip: Strip,
    /// What the arranger is asked for.
    pub options: Options,
    /// Place of the cursor in ticks from the start of the song as written.
    pub at: Ticks,
    /// String of the note under the cursor, if one is struck there on it.
    pub string: u8,
    /// The ways to play the bar under the cursor, once they are worked out.
    pub front: Option<(usize, Front)>,
    /// The ideas for the bar under the cursor, once they are worked out.
    pub ideas: Option<Ideas>,
    /// The proposal for the whole song that is looked at.
    pub proposal: Option<Shown>,
    /// Where the music is, in played ticks.
    pub playing: Option<Ticks>,
    /// What is heard in layer 1.
    pub hears: Part,
    /// It was asked whether the tune is known; the same layer again goes on all the same.
    pub(super) asked: Option<Layer>,
    /// Tempo in per cent of the written one.
    pub speed: u16,
    /// The click is on.
    pub click: bool,
    /// The last thing worth saying.
    pub said: Option<(Weight, String)>,
    /// Changes of pins and ideas.
    pub(super) history: History,
    /// Where the song is kept.
    pub(super) home: Home,
    /// What a crash left, where it can be written on but not be arranged.
    pub(super) unfit: Option<Box<Jotted>>,
    /// What was written before, to be undone when writing goes on.
    pub(super) past: Past,
}

impl Desk {
    /// Lays a song that was just read on the Desk; `home` is where it is kept.
    ///
    /// # Errors
    /// When the song can't be arranged; song and home come back.
    pub fn open(song: Song, mut home: Home) -> Result<Desk, Box<Unlaid>> {
        home.settle(&song);
        let options = Options::usual(&song);
        let mut desk = Desk::lay(song, home, options)?;
        if desk.said.is_none() {
            desk.announce();
        }
        Ok(desk)
    }

    /// Lays a song on the Desk, arranged as `options` ask; without its ideas where these can't be kept,
    /// which is said.
    ///
    /// # Errors
    /// When the song can't be arranged; song and home come back.
    pub fn lay(song: Song, home: Home, mut options: Options) -> Result<Desk, Box<Unlaid>> {
        let (arrangement, without) = match arranged_at_least(&song, &mut options) {
            Ok(arranged) => arranged,
            Err(error) => return Err(Box::new(Unlaid { error, song, home })),
        };
        let mut desk = Desk {
            score: Score::new(&arrangement),
            strip: Strip::new(&arrangement),
            at: 0,
            string: 1,
            arrangement,
            options,
            front: None,
            ideas: None,
            proposal: None,
            playing: None,
            hears: Part::default(),
            asked: None,
            speed: 100,
            click: false,
            said: without.map(|why| (Weight::Trouble, why)),
            history: History::default(),
            home,
            unfit: None,
            past: Past::default(),
        };
        desk.go_to(0);
        Ok(desk)
    }

    /// The song's name in the practice log: its file's, or one made from its title.
    pub fn name(&self) -> String {
        let title = || Name::from_title(&self.arrangement.song.title);
        let name = self.address().map(|address| address.name.clone());
        name.unwrap_or_else(title).to_string()
    }

    /// The order that lets the present arrangement be heard, or the proposal that is shown; in layer 1,
    /// what is chosen of the song.
    pub fn load(&self) -> Order {
        if let Some(score) = self.heard_proposal() {
            return Order::Load(Box::new(score));
        }
        Order::Load(Box::new(match (self.options.layer, self.hears) {
            (Layer::Melody, part @ (Part::Chords | Part::Both)) => self.plain(part),
            _ => self.score.clone(),
        }))
    }

    /// Changes the state by a message. What was changed in the song is kept at once.
    pub fn update(&mut self, message: Message) -> Vec<Order> {
        let mut orders = self.happen(message);
        orders.extend(self.keep());
        orders
    }

    fn happen(&mut self, message: Message) -> Vec<Order> {
        if !message.comes_by_itself() {
            self.said = None;
            if !matches!(message, Message::Layer(_)) {
                self.asked = None;
            }
        }
        match message {
            Message::Onset(by) => self.step(by),
            Message::Note(by) => self.note(by),
            Message::Bar(by) => self.go_bar(by),
            Message::Point(at, string) => {
                self.string = string;
                self.go_to(at);
            }
            Message::First => self.go_to(0),
            Message::Last => self.go_to(Ticks::MAX),
            Message::Layer(layer) => return self.choose_layer(layer),
            Message::Play => return vec![self.play(None)],
            Message::Loop => return vec![self.play(Some(self.bar()))],
            Message::Tempo(by) => {
                self.speed = held_tempo(self.speed.saturating_add_signed(by));
                return vec![Order::Speed(self.speed)];
            }
            Message::Click => {
                self.click = !self.click;
                return vec![Order::Click(self.click)];
            }
            Message::Pin => return self.toggle_pin(),
            Message::Lean(by) => return self.lean(by),
            Message::Idea(by) => self.choose_idea(by),
            Message::TakeIdea => return self.take_idea(),
            Message::LeaveIdea => return self.leave_idea(),
            Message::Propose => return self.propose(),
            Message::Undo => return self.travel(true),
            Message::Redo => return self.travel(false),
            Message::Save => return self.save(),
            Message::Heard(at) => self.playing = at,
            Message::Sound(text) => self.say(Weight::News, text),
            Message::Tick => self.tick(),
            Message::TickAll => self.tick_all(),
            Message::Hear => return self.hear_other(),
            Message::Shelf(Ask::Notices) => self.tell(),
            Message::Shelf(Ask::Export) => return self.print(),
            Message::News(news) => return self.learn(news),
            Message::Idle => {
                self.work_out_variants();
                self.work_out_ideas();
            }
            _ => {}
        }
        Vec::new()
    }

    pub(super) fn say(&mut self, weight: Weight, text: String) {
        self.said = Some((weight, text));
    }

    /// The note under the cursor; nothing in a song at rest.
    pub fn pluck(&self) -> Option<&Pluck> {
        let here = self.onset();
        (here.iter().find(|p| p.string == self.string)).or(here.last())
    }

    /// The notes struck at the cursor, from the lowest string up.
    pub fn onset(&self) -> &[Pluck] {
        let plucks = &self.arrangement.plucks;
        let from = plucks.partition_point(|p| p.at < self.at);
        let to = plucks.partition_point(|p| p.at <= self.at);
        plucks.get(from..to).unwrap_or_default()
    }

    /// The slice under the cursor.
    pub fn slice(&self) -> Option<&Slice> {
        let slices = &self.arrangement.slices;
        let after = slices.partition_point(|s| s.at <= self.at);
        slices.get(after.checked_sub(1)?)
    }

    /// Index of the written bar under the cursor.
    pub fn bar(&self) -> usize {
        let starts = self.arrangement.song.starts();
        let last = self.arrangement.song.bars.len().saturating_sub(1);
        starts
            .partition_point(|&s| s <= self.at)
            .saturating_sub(1)
            .min(last)
    }

    /// The chord under the cursor.
    pub fn symbol(&self) -> Option<Symbol> {
        let heard = self.arrangement.heard();
        let harmony = heard.harmony();
        let here = harmony.iter().rev().find(|h| h.at <= self.at)?;
        here.symbol.cloned()
    }

    /// Where the music is, in ticks from the start of the song as written, with the bar's index.
    pub fn heard(&self) -> Option<(usize, Ticks)> {
        let (bar, inside) = self.score.place(self.playing?)?;
        let start = *self.arrangement.song.starts().get(bar)?;
        Some((bar, start + inside))
    }

    /// Puts the cursor on the last onset not after `at`, or the first one.
    pub(super) fn go_to(&mut self, at: Ticks) {
        let plucks = &self.arrangement.plucks;
        let after = plucks.partition_point(|p| p.at <= at);
        let found = plucks.get(after.saturating_sub(1));
        self.at = found.map_or(0, |p| p.at);
        if !self.onset().iter().any(|p| p.string == self.string) {
            self.string = self.onset().last().map_or(self.string, |p| p.string);
        }
        if self.front.as_ref().is_some_and(|f| f.0 != self.bar()) {
            self.front = None;
        }
        if self.ideas.as_ref().is_some_and(|i| i.bar != self.bar()) {
            self.ideas = None;
        }
        self.follow();
    }

    fn step(&mut self, by: isize) {
        let plucks = &self.arrangement.plucks;
        let mut onsets: Vec<Ticks> = plucks.iter().map(|p| p.at).collect();
        onsets.dedup();
        let here = onsets.partition_point(|&o| o < self.at);
        let there = here
            .saturating_add_signed(by)
            .min(onsets.len().saturating_sub(1));
        if let Some(&at) = onsets.get(there) {
            self.go_to(at);
        }
    }

    fn note(&mut self, by: isize) {
        let mut strings: Vec<u8> = self.onset().iter().map(|p| p.string).collect();
        strings.sort_unstable();
        let here = strings.iter().position(|&s| s == self.string).unwrap_or(0);
        let there = here
            .saturating_add_signed(by)
            .min(strings.len().saturating_sub(1));
        if let Some(&string) = strings.get(there) {
            self.string = string;
        }
    }

    /// To the first onset of another bar; over bars in which nothing is struck.
    fn go_bar(&mut self, by: isize) {
        let last = self.arrangement.song.bars.len().saturating_sub(1);
        let bar = self.bar().saturating_add_signed(by).min(last);
        let plucks = &self.arrangement.plucks;
        let found = match by < 0 {
            true => (plucks.iter().rfind(|p| p.bar <= bar)).or(plucks.first()),
            false => (plucks.iter().find(|p| p.bar >= bar)).or(plucks.last()),
        };
        if let Some(at) = found.and_then(|p| self.first_onset(p.bar)) {
            self.go_to(at);
        }
    }

    /// Where the first note of a bar is struck; the bar's start where none is. Nothing beyond the
    /// song.
    pub fn first_onset(&self, bar: usize) -> Option<Ticks> {
        let first = (self.arrangement.plucks.iter()).find(|p| p.bar == bar);
        let start = || self.arrangement.song.starts().get(bar).copied();
        first.map(|p| p.at).or_else(start)
    }

    fn choose_layer(&mut self, layer: Layer) -> Vec<Order> {
        if self.asks_first(layer) {
            return Vec::new();
        }
        let before = std::mem::replace(&mut self.options.layer, layer);
        let song = self.arrangement.song.clone();
        match self.solve(&song) {
            Ok(order) => vec![order],
            Err(error) => {
                self.options.layer = before;
                self.say(Weight::Trouble, format!("{error}; the layer stays"));
                Vec::new()
            }
        }
    }

    /// Arranges again; without success everything stays.
    pub(super) fn solve(&mut self, song: &Song) -> Result<Order, ArrangeError> {
        let now = &self.arrangement;
        let arrangement = arrange(song, &now.instrument, &now.hand, &self.options)?;
        Ok(self.show(arrangement))
    }

    /// Shows another arrangement, with the cursor where it was; the order lets it be heard.
    pub(super) fn show(&mut self, arrangement: Arrangement) -> Order {
        self.arrangement = arrangement;
        self.score = Score::new(&self.arrangement);
        self.strip = Strip::new(&self.arrangement);
        self.front = None;
        self.ideas = None;
        self.proposal = None;
        self.go_to(self.at);
        self.load()
    }

    /// Plays from the cursor to the end, or one bar over and over; stops what plays.
    fn play(&mut self, bar: Option<usize>) -> Order {
        if self.playing.take().is_some() {
            return Order::Stop;
        }
        let here = self.bar();
        let start = self.arrangement.song.starts().get(here).copied();
        let inside = self.at - start.unwrap_or(0);
        let played = self.score.bars.iter().find(|b| b.bar == here);
        let (from, to) = match (played, bar) {
            (Some(played), Some(_)) => (played.at, played.at + played.length),
            (Some(played), None) => (played.at + inside, self.score.length),
            (None, _) => (0, self.score.length),
        };
        Order::Play {
            from,
            to,
            repeat: bar.is_some(),
            count_in: 0,
        }
    }

    /// Has the arrangement written as it lies here, its layer and pins included.
    fn print(&mut self) -> Vec<Order> {
        self.say(Weight::News, "writing the sheets …".into());
        let sheets = Errand::Print(Box::new(self.arrangement.clone()), self.name());
        vec![Order::Disk(sheets)]
    }

    /// Works out the ways to play the bar under the cursor, when all is still.
    pub(super) fn work_out_variants(&mut self) {
        let bar = self.bar();
        if self.front.is_some() || self.playing.is_some() {
            return;
        }
        self.front = self.ways(bar).ok().map(|f| (bar, f));
    }
}
