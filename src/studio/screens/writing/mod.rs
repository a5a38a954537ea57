//! The writing screen: a tune entered from nothing, or changed. What the Desk arranges comes from
//! here and goes back there.

mod chord;
mod desk;
mod past;
mod pen;
mod settings;
mod touch;

pub use chord::ChordLine;
pub use past::Past;
pub use pen::{Length, Pen, sign, words};
pub use settings::{Fact, KEYS, List, METERS, read_tempo};

use super::Line;
use super::desk::Weight;
use super::home::{BACK, Home, Leave};
use crate::guitar::Instrument;
use crate::score::{Part, Score};
use crate::shelf::Progress;
use crate::song::Song;
use crate::song::edit::{Clip, Draft, EditError};
use crate::studio::disk::{Address, News};
use crate::studio::keymap::Place;
use crate::studio::message::{Message, Order};
use crate::theory::Ticks;
use desk::Aside;

/// The state of the writing screen.
#[derive(Debug)]
pub struct Writing {
    /// The song and the caret in it.
    pub draft: Draft,
    /// The length that the next note gets.
    pub length: Length,
    /// The first or last of the marked bars.
    pub mark: Option<usize>,
    /// String and fret of the hand, while notes are written on the neck.
    pub neck: Option<(u8, u8)>,
    /// A chord that is being typed.
    pub chord: Option<ChordLine>,
    /// What holds for the whole song or from the caret on, while it is shown.
    pub list: Option<List>,
    /// A line that is being typed.
    pub line: Option<Line>,
    /// The neck that notes are heard on.
    pub instrument: Instrument,
    /// Where the music is, in played ticks, while the tune is played.
    pub playing: Option<Ticks>,
    /// The last thing worth saying.
    pub said: Option<(Weight, String)>,
    /// The tune in play order, while it is played.
    score: Option<Score>,
    clip: Option<Cut>,
    past: Past,
    home: Home,
    aside: Aside,
    /// It can't be arranged as it is, which was said.
    stuck: bool,
}

/// Bars that were copied or cut, with the ticks of those that were cut and not put in again.
#[derive(Debug)]
struct Cut {
    clip: Clip,
    ticks: Option<Progress>,
}

impl Writing {
    /// A song to be written on; `home` is where it is kept.
    pub fn new(song: Song, mut home: Home) -> Writing {
        let is_kept = !home.is_changed(&song);
        let draft = Draft::new(song, &home.meter());
        // The bar that there is to write in is no change of the player's.
        if is_kept {
            home.settle(draft.song());
        }
        let aside = Aside::of(draft.song());
        Writing::on(draft, home, Past::default(), aside)
    }

    fn on(draft: Draft, home: Home, past: Past, aside: Aside) -> Writing {
        let wish = &draft.song().guitar;
        Writing {
            instrument: Instrument::wished(wish).unwrap_or_else(|_| Instrument::standard()),
            draft,
            length: Length::default(),
            mark: None,
            neck: None,
            chord: None,
            list: None,
            line: None,
            playing: None,
            said: None,
            score: None,
            clip: None,
            past,
            home,
            aside,
            stuck: false,
        }
    }

    /// The song.
    pub fn song(&self) -> &Song {
        self.draft.song()
    }

    /// Where keys are pressed.
    pub fn place(&self) -> Place {
        match (&self.chord, &self.line, &self.list, self.neck) {
            (Some(_), ..) => Place::Chord,
            (_, Some(_), ..) => Place::Line,
            (_, _, Some(_), _) => Place::Pile,
            (.., Some(_)) => Place::Neck,
            _ => Place::Writing,
        }
    }

    /// What has to be done when the screen comes into view.
    pub fn begin(&self) -> Vec<Order> {
        vec![Order::Speed(100), Order::Click(false)]
    }

    /// Changes the state by a message. What was changed in the song is kept at once.
    pub fn update(&mut self, message: Message) -> Vec<Order> {
        let mut orders = self.happen(message);
        let kept = self.home.keep(self.draft.song());
        match kept {
            Ok(order) => orders.extend(order),
            Err(error) => self.complain(error.text),
        }
        orders
    }

    fn happen(&mut self, message: Message) -> Vec<Order> {
        match message {
            Message::Heard(at) => {
                self.playing = at.filter(|_| self.score.is_some());
                Vec::new()
            }
            Message::Sound(text) => {
                // Where nothing can be heard, it is said once the tune is asked for.
                if self.score.is_some() {
                    self.say(text);
                }
                Vec::new()
            }
            Message::News(news) => self.learn(news),
            message if message.comes_by_itself() => Vec::new(),
            message => self.press(message),
        }
    }

    fn press(&mut self, message: Message) -> Vec<Order> {
        self.said = None;
        self.stuck = false;
        if self.chord.is_some() {
            return self.type_chord(message);
        }
        if self.line.is_some() {
            return self.type_line(message);
        }
        if self.list.is_some() {
            return self.turn_list(message);
        }
        match message {
            Message::Save => self.save(),
            Message::Play => self.play(),
            message => self.touch(message),
        }
    }

    /// Goes back one step inside the screen; false when there is none.
    pub fn back(&mut self) -> bool {
        self.said = None;
        if self.chord.take().is_some() || self.line.take().is_some() || self.list.take().is_some() {
            return true;
        }
        self.neck.take().is_some() || self.mark.take().is_some()
    }

    fn say(&mut self, text: impl Into<String>) {
        self.said = Some((Weight::News, text.into()));
    }

    fn complain(&mut self, text: impl Into<String>) {
        self.said = Some((Weight::Trouble, text.into()));
    }

    /// Takes an edit, or says why it was not made; true when it was.
    fn take(&mut self, made: Result<Draft, EditError>) -> bool {
        let draft = match made {
            Ok(draft) => draft,
            Err(error) => {
                self.complain(error.to_string());
                return false;
            }
        };
        let ticks = self.home.progress.moved(draft.from());
        self.take_with(draft, ticks);
        true
    }

    fn take_with(&mut self, draft: Draft, ticks: Progress) {
        let before = (&self.draft, &self.home.progress);
        self.past.record(before, (&draft, &ticks));
        self.home.progress = ticks;
        self.put(draft);
    }

    fn put(&mut self, draft: Draft) {
        if draft.song().guitar != self.draft.song().guitar {
            let wish = &draft.song().guitar;
            self.instrument = Instrument::wished(wish).unwrap_or_else(|_| Instrument::standard());
        }
        let last = draft.song().bars.len().saturating_sub(1);
        self.mark = self.mark.map(|bar| bar.min(last));
        self.draft = draft;
    }

    fn undo(&mut self, back: bool) {
        let found = match back {
            true => self.past.undo(&self.draft),
            false => self.past.redo(&self.draft),
        };
        let Some((draft, ticks)) = found else {
            let word = if back { "undo" } else { "do again" };
            self.say(format!("nothing to {word}"));
            return;
        };
        if let Some(ticks) = ticks {
            self.home.progress = ticks;
        }
        self.put(draft);
        self.say(if back { "undone" } else { "done again" });
    }

    /// Lets the note before the caret be heard, or the chord that was written.
    fn hear(&mut self, score: Score) -> Vec<Order> {
        self.score = None;
        self.playing = None;
        let to = score.length;
        vec![
            Order::Load(Box::new(score)),
            Order::Play {
                from: 0,
                to,
                repeat: false,
                count_in: 0,
            },
        ]
    }

    fn hear_note(&mut self) -> Vec<Order> {
        let Some((pitch, length)) = self.draft.heard() else {
            return Vec::new();
        };
        let pitch = pitch.octaves_up(self.aside.shift / 12);
        let score = Score::note(pitch, length, self.draft.tempo(), &self.instrument);
        self.hear(score)
    }

    /// Plays tune and chords from the bar of the caret, or from the start at the end of the tune;
    /// stops what plays.
    fn play(&mut self) -> Vec<Order> {
        if self.playing.take().is_some() {
            self.score = None;
            return vec![Order::Stop];
        }
        if self.draft.is_blank() {
            self.complain("there is nothing to hear yet: a to g write notes");
            return Vec::new();
        }
        let score = Score::plain(self.song(), &self.instrument, Part::Both, self.aside.shift);
        let caret = self.draft.caret();
        let bars = &self.song().bars;
        let at_end = match bars.get(caret.bar) {
            Some(bar) => caret.bar + 1 == bars.len() && caret.at >= bar.length,
            None => true,
        };
        let here = score.bars.iter().find(|b| b.bar == caret.bar);
        let from = here.filter(|_| !at_end).map_or(0, |b| b.at);
        let mut orders = self.hear(score.clone());
        for order in &mut orders {
            if let Order::Play { from: start, .. } = order {
                *start = from;
            }
        }
        self.score = Some(score);
        orders
    }

    /// Index of the written bar that is heard.
    pub fn heard(&self) -> Option<usize> {
        let place = self.score.as_ref()?.place(self.playing?)?;
        Some(place.0)
    }

    /// The bars that are ticked.
    pub fn progress(&self) -> &Progress {
        &self.home.progress
    }

    /// Where the song lies, if it has a file of its own.
    pub fn address(&self) -> Option<&Address> {
        self.home.address()
    }

    /// Whether something is not saved yet. (It is jotted down all the same.)
    pub fn is_changed(&self) -> bool {
        self.home.is_changed(self.draft.song())
    }

    /// Whether something was sent off that the disk has not answered yet.
    pub fn is_saving(&self) -> bool {
        self.home.is_saving()
    }

    /// Whether the last save failed.
    pub fn is_refused(&self) -> bool {
        self.home.is_refused()
    }

    fn save(&mut self) -> Vec<Order> {
        match self.home.put(self.draft.song()) {
            Ok(order) => order.into_iter().collect(),
            Err(error) => {
                self.complain(error.text);
                Vec::new()
            }
        }
    }

    /// Saves before the screen is left; see `Home::leave`.
    pub fn leave(&mut self) -> Leave {
        let (leave, said) = self.home.leave(self.draft.song());
        if let Some(text) = said {
            self.complain(text);
        }
        leave
    }

    fn learn(&mut self, news: News) -> Vec<Order> {
        let learned = self.home.learn(news, self.draft.song());
        if learned.said.is_some() {
            self.said = learned.said;
        }
        if let Some(jotted) = learned.jotted {
            let draft = Draft::new(jotted.song.clone(), jotted.file.meter());
            let before = (&self.draft, &self.home.progress);
            self.past.record(before, (&draft, &jotted.progress));
            self.home.go_on_with(jotted);
            self.put(draft);
            self.say(BACK);
        }
        Vec::new()
    }
}
