//! The Shelf: the songs, found as you type, and the setlists.

mod ask;
mod book;
mod lists;
mod new;
mod pile;

pub use ask::{Line, Want};
pub use new::NewSong;
pub use pile::Pile;

use super::desk::Weight;
use super::{Stand, Writing};
use crate::exchange::input::Opened;
use crate::shelf::{Entry, Name, Sort, found, sort};
use crate::studio::disk::{Errand, Kind, List, News};
use crate::studio::keymap::Place;
use crate::studio::message::{Ask, Message, Order};
use book::Book;
use jiff::tz::TimeZone;
use std::collections::{HashMap, HashSet};

/// Which of the two lists is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[allow(missing_docs)]
pub enum Side {
    #[default]
    Songs,
    Setlists,
}

/// The state of the Shelf.
#[derive(Debug)]
pub struct Shelf {
    /// Which list is shown.
    pub side: Side,
    /// All songs, in the order chosen.
    pub entries: Vec<Entry>,
    /// How many of them are still to be read.
    pub unread: usize,
    /// Whether the list has come yet.
    pub listed: bool,
    /// What was typed to find a song.
    pub typed: String,
    /// The order of the songs.
    pub sort: Sort,
    /// The setlists.
    pub lists: Vec<List>,
    /// The setlist chosen, and the song in it once the cursor is among its songs.
    pub list: usize,
    /// See `list`.
    pub song: Option<usize>,
    /// A line that is being typed.
    pub line: Option<Line>,
    /// What is shown over the list.
    pub pile: Option<Pile>,
    /// The last thing worth saying.
    pub said: Option<(Weight, String)>,
    /// Where the songs lie.
    pub folder: String,
    /// In whose time things are told.
    pub zone: TimeZone,
    /// The songs of one file, when these are shown and not the user's.
    book: Option<Book>,
    chosen: Option<Name>,
    shown: Vec<usize>,
    /// Where each song stands among the entries, and how many were read since they were put in order.
    places: HashMap<Name, usize>,
    loose: usize,
    opening: bool,
    /// Going back once more leaves the program.
    leaving: bool,
}

/// What becomes of a message beyond the Shelf.
#[derive(Debug)]
pub enum Next {
    /// Orders to the world.
    Do(Vec<Order>),
    /// A song goes to the Desk.
    Desk(Box<super::Desk>),
    /// Songs go to the Stand.
    Stand(Box<Stand>),
    /// A song goes to the writing screen.
    Write(Box<Writing>),
}

impl Next {
    pub(super) fn errand(errand: Errand) -> Next {
        Next::Do(vec![Order::Disk(errand)])
    }

    pub(super) fn nothing() -> Next {
        Next::Do(Vec::new())
    }
}

/// While songs are read, the list is put in order so many times at most.
const ARRANGED: usize = 32;

impl Shelf {
    /// The user's songs, not yet listed; times are told in `zone`.
    pub fn new(zone: TimeZone) -> Shelf {
        Shelf {
            side: Side::default(),
            entries: Vec::new(),
            unread: 0,
            listed: false,
            typed: String::new(),
            sort: Sort::default(),
            lists: Vec::new(),
            list: 0,
            song: None,
            line: None,
            pile: None,
            said: None,
            folder: String::new(),
            zone,
            book: None,
            chosen: None,
            shown: Vec::new(),
            places: HashMap::new(),
            loose: 0,
            opening: false,
            leaving: false,
        }
    }

    /// The tunes of one file; those that can't be read are listed with what is wrong with them.
    pub fn book(opened: Opened, zone: TimeZone) -> Shelf {
        let (book, entries) = Book::new(opened);
        let mut shelf = Shelf {
            entries,
            listed: true,
            book: Some(book),
            ..Shelf::new(zone)
        };
        shelf.arrange();
        shelf
    }

    /// Where keys are pressed.
    pub fn place(&self) -> Place {
        match (&self.line, &self.pile, self.side) {
            (Some(_), ..) => Place::Line,
            (_, Some(_), _) => Place::Pile,
            (_, _, Side::Songs) => Place::Shelf,
            (_, _, Side::Setlists) => Place::Setlists,
        }
    }

    /// What has to be done when the Shelf comes into view.
    pub fn begin(&self) -> Vec<Order> {
        match self.book {
            Some(_) => Vec::new(),
            None => vec![Order::Disk(Errand::List)],
        }
    }

    /// What the list is called.
    pub fn heading(&self) -> &str {
        self.book.as_ref().map_or("Shelf", |b| &b.name)
    }

    /// Whether these are the tunes of one file.
    pub fn is_book(&self) -> bool {
        self.book.is_some()
    }

    /// The songs that match what was typed.
    pub fn found(&self) -> impl Iterator<Item = &Entry> {
        self.shown.iter().filter_map(|&i| self.entries.get(i))
    }

    /// How many they are.
    pub fn count(&self) -> usize {
        self.shown.len()
    }

    /// The place of the chosen song among those found.
    pub fn at(&self) -> usize {
        let chosen = self.chosen.as_ref();
        chosen.map_or(0, |name| {
            self.found().position(|e| e.name == *name).unwrap_or(0)
        })
    }

    /// The chosen song.
    pub fn entry(&self) -> Option<&Entry> {
        self.found().nth(self.at())
    }

    /// A song by its name.
    pub fn named(&self, name: &Name) -> Option<&Entry> {
        self.entries.iter().find(|e| e.name == *name)
    }

    pub(super) fn say(&mut self, text: impl Into<String>) {
        self.said = Some((Weight::News, text.into()));
    }

    pub(super) fn complain(&mut self, text: impl Into<String>) {
        self.said = Some((Weight::Trouble, text.into()));
    }

    /// Sorts and finds anew.
    fn arrange(&mut self) {
        if self.book.is_none() {
            sort(&mut self.entries, self.sort);
            let names = self.entries.iter().map(|e| e.name.clone());
            self.places = names.zip(0..).collect();
        }
        self.loose = 0;
        if self.typed.trim().is_empty() {
            self.shown = (0..self.entries.len()).collect();
            return;
        }
        let names: HashSet<&Name> = found(&self.entries, &self.typed)
            .into_iter()
            .map(|e| &e.name)
            .collect();
        let all = self.entries.iter().enumerate();
        self.shown = all
            .filter(|(_, e)| names.contains(&e.name))
            .map(|(i, _)| i)
            .collect();
    }

    /// Finds anew by what is typed.
    fn find(&mut self) {
        self.chosen = None;
        self.arrange();
    }

    /// Finds more, by less than was typed; the chosen song stays so.
    fn find_more(&mut self, typed: String) {
        self.chosen = self.entry().map(|e| e.name.clone());
        self.typed = typed;
        self.arrange();
    }

    /// The player comes back from this song: it is chosen, even if it is not among those that were looked
    /// for.
    pub(in crate::studio) fn come_back_from(&mut self, name: &Name) {
        if self.book.is_none() && self.entry().is_none_or(|e| e.name != *name) {
            self.typed.clear();
            self.chosen = Some(name.clone());
            self.arrange();
        }
    }

    fn choose(&mut self, to: usize) {
        let last = self.shown.len().saturating_sub(1);
        let chosen = self.found().nth(to.min(last)).map(|e| e.name.clone());
        self.chosen = chosen;
    }

    /// Goes back one step inside the Shelf; false when there is none.
    pub fn back(&mut self) -> bool {
        self.said = None;
        if self.line.take().is_some() || self.pile.take().is_some() {
            return true;
        }
        if self.side == Side::Setlists {
            if self.song.take().is_none() {
                self.side = Side::Songs;
            }
            return true;
        }
        let had = !self.typed.is_empty();
        self.find_more(String::new());
        // Whoever goes back step by step may take one too many.
        let stays = had || !std::mem::replace(&mut self.leaving, true);
        if stays && !had {
            self.say("⟨Esc⟩ again leaves Thumbline");
        }
        stays
    }

    /// Changes the state by a message.
    pub fn update(&mut self, message: Message) -> Next {
        if let Message::News(news) = message {
            return self.learn(news);
        }
        if message.comes_by_itself() {
            return Next::nothing();
        }
        self.said = None;
        self.leaving = false;
        if self.line.is_some() {
            return self.type_line(message);
        }
        if self.pile.is_some() {
            return self.turn_pile(message);
        }
        if let Message::Shelf(Ask::Turn) = message {
            self.turn();
            return Next::nothing();
        }
        match self.side {
            Side::Songs => self.songs(message),
            Side::Setlists => self.setlists(message),
        }
    }

    fn turn(&mut self) {
        if self.book.is_some() {
            self.complain(book::HINT);
            return;
        }
        self.side = match self.side {
            Side::Songs => Side::Setlists,
            Side::Setlists => Side::Songs,
        };
        self.song = None;
    }

    fn songs(&mut self, message: Message) -> Next {
        match message {
            Message::Type(c) => {
                self.typed.push(c);
                self.find();
            }
            Message::Erase => {
                let mut less = self.typed.clone();
                less.pop();
                self.find_more(less);
            }
            Message::Choose(by) => self.choose(self.at().saturating_add_signed(by)),
            Message::Page(by) => self.choose(self.at().saturating_add_signed(by * 10)),
            Message::First => self.choose(0),
            Message::Last => self.choose(usize::MAX),
            Message::Shelf(Ask::Sort) => self.sort_on(),
            Message::Shelf(Ask::New) => self.begin_new(),
            Message::Shelf(Ask::Import) => self.line = Some(Line::import(self.book.as_ref())),
            Message::Shelf(Ask::Bin) => return Next::errand(Errand::Bin),
            Message::Open | Message::Stand | Message::Shelf(_) => return self.with_song(message),
            _ => {}
        }
        Next::nothing()
    }

    /// What is done with the chosen song.
    fn with_song(&mut self, message: Message) -> Next {
        let Some(entry) = self.entry().cloned() else {
            self.complain("no song is chosen");
            return Next::nothing();
        };
        let name = entry.name.clone();
        if self.book.is_some() {
            return self.with_tune(&entry, &message);
        }
        match message {
            Message::Shelf(Ask::Notices) => return Next::errand(Errand::Notices(name)),
            Message::Shelf(Ask::Versions) => return Next::errand(Errand::Versions(name)),
            Message::Shelf(Ask::ThrowAway) => {
                return Next::errand(Errand::ThrowAway(Kind::Song, name));
            }
            _ if entry.problem.is_some() => {
                self.complain(entry.problem.unwrap_or_default());
            }
            Message::Open => return self.open(name),
            Message::Stand => return Next::Stand(Box::new(Stand::song(name, entry.title))),
            Message::Shelf(Ask::Tags) => self.line = Some(Line::tags(&entry)),
            Message::Shelf(Ask::Enlist) => {
                self.line = Some(Line::enlist(&entry, &self.lists, self.list));
            }
            Message::Shelf(Ask::Export) => self.line = Some(Line::export(&entry)),
            _ => {}
        }
        Next::nothing()
    }

    pub(super) fn open(&mut self, name: Name) -> Next {
        if std::mem::replace(&mut self.opening, true) {
            return Next::nothing();
        }
        Next::errand(Errand::Open(name))
    }

    fn sort_on(&mut self) {
        if self.book.is_some() {
            return;
        }
        self.sort = match self.sort {
            Sort::Title => Sort::Key,
            Sort::Key => Sort::Changed,
            Sort::Changed => Sort::Progress,
            Sort::Progress => Sort::Title,
        };
        self.arrange();
    }

    fn learn(&mut self, news: News) -> Next {
        match news {
            News::Listed {
                entries,
                unread,
                lists,
                folder,
            } => {
                self.book = None;
                self.listed = true;
                self.entries = entries;
                self.unread = unread;
                self.lists = lists;
                self.folder = crate::exchange::plain_text(&folder.display().to_string());
                self.arrange();
                self.hold_lists();
            }
            News::Entries(read) => self.take_read(read),
            News::Opened {
                address,
                text,
                seal,
            } if std::mem::take(&mut self.opening) => {
                return self.lay_out(address, &text, seal);
            }
            News::Binned(all) => self.pile = Some(Pile::bin(all, self.pile.take())),
            News::Versions(name, all) => {
                self.pile = Some(Pile::versions(name, all, self.pile.take()));
            }
            News::Notices(about, lines) => self.pile = Some(Pile::notices(about, lines)),
            News::NewSetlist(name) => self.choose_list(&name),
            News::Exists(path) => match self.waiting() {
                Some(line) => line.exists(&path),
                None => self.complain(format!("this file is there already: {path}")),
            },
            News::Done(text) => {
                self.line.take_if(|line| line.waits());
                self.say(text);
            }
            News::Trouble(text) => {
                self.opens_nothing();
                self.listed = true;
                match self.waiting() {
                    Some(line) => line.complain(text),
                    None => self.complain(text),
                }
            }
            _ => {}
        }
        Next::nothing()
    }

    /// Takes in songs that were read.
    fn take_read(&mut self, read: Vec<Entry>) {
        self.unread = self.unread.saturating_sub(read.len());
        self.loose += read.len();
        for entry in read {
            let place = self.places.get(&entry.name);
            if let Some(old) = place.and_then(|&i| self.entries.get_mut(i)) {
                *old = entry;
            }
        }
        // Of many songs a few may wait for their place in the list.
        if self.unread == 0 || self.loose * ARRANGED >= self.entries.len() {
            self.arrange();
        }
    }

    /// The line that an answer from the disk belongs to: the one that waits for it.
    fn waiting(&mut self) -> Option<&mut Line> {
        self.line.as_mut().filter(|line| line.waits())
    }

    /// A song that was to be opened does not come.
    pub(in crate::studio) fn opens_nothing(&mut self) {
        self.opening = false;
    }
}
