//! Errands done, one at a time.

use super::papers;
use super::{Address, Errand, Kind, List, News};
use crate::exchange::plain_text;
use crate::shelf::{Entry, Folders, Lock, Name, Seal, Setlist, Shelf, ShelfError, Store};
use crate::song::SongFile;
use jiff::Timestamp;
use std::collections::{HashMap, VecDeque};
use std::path::Path;

/// Does errands, and remembers which songs it holds and what it has read already.
pub(crate) struct Clerk {
    folders: Option<Folders>,
    shelf: Option<Shelf>,
    known: HashMap<Name, Entry>,
    unread: VecDeque<Name>,
    held: HashMap<Address, Lock>,
    now: fn() -> Timestamp,
}

impl Clerk {
    pub fn new(folders: Option<Folders>) -> Clerk {
        Clerk {
            folders,
            shelf: None,
            known: HashMap::new(),
            unread: VecDeque::new(),
            held: HashMap::new(),
            now: Timestamp::now,
        }
    }

    /// Whether there are songs in the list that are still to be read.
    pub fn has_unread(&self) -> bool {
        !self.unread.is_empty()
    }

    /// Reads some more songs of the list.
    pub fn read_on(&mut self, count: usize) -> Vec<News> {
        let Ok(shelf) = self.shelf() else {
            self.unread.clear();
            return Vec::new();
        };
        let names: Vec<Name> = self.unread.drain(..count.min(self.unread.len())).collect();
        let entries: Vec<Entry> = names.into_iter().map(|n| shelf.entry(n)).collect();
        for entry in &entries {
            self.known.insert(entry.name.clone(), entry.clone());
        }
        vec![News::Entries(entries)]
    }

    /// Does an errand and tells what came of it.
    pub fn run(&mut self, errand: Errand) -> Vec<News> {
        let result = match errand {
            Errand::List => self.list(),
            Errand::Open(name) => self.open(name),
            Errand::Hold(address) => Ok(vec![self.hold(address)]),
            Errand::Release(address) => {
                self.held.remove(&address);
                Ok(Vec::new())
            }
            Errand::Read(name) => Ok(vec![self.read(name)]),
            Errand::Jot {
                address,
                text,
                seal,
            } => Ok(jot(address, &text, seal.as_ref())),
            Errand::Save {
                address,
                text,
                seal,
            } => Ok(vec![self.save(address, &text, seal)]),
            Errand::Add { title, text } => Ok(self.add(&title, &text)),
            Errand::Tag(name, tags) => self.tag(name, tags),
            Errand::ThrowAway(kind, name) => self.throw_away(kind, name),
            Errand::Bin => self.bin().map(|news| vec![news]),
            Errand::TakeBack(kind, binned) => self.take_back(kind, &binned),
            Errand::Versions(name) => self.shelf().and_then(|s| {
                let versions = s.songs.versions(&name)?;
                Ok(vec![News::Versions(name, versions)])
            }),
            Errand::GoBack(name, version) => self.go_back(name, version),
            Errand::Notices(name) => self.notices(&name),
            Errand::NewSetlist(title, songs) => self.new_setlist(&title, songs),
            Errand::SetSongs {
                name,
                before,
                after,
            } => self.set_songs(&name, &before, after),
            Errand::Import(path) => self.shelf().map(|shelf| {
                let mut news = papers::import(&shelf, &path, (self.now)());
                news.extend(self.list().unwrap_or_default());
                news
            }),
            Errand::ReadLog => Ok(vec![News::LogRead(self.log(Folders::read_log))]),
            Errand::Log(line) => {
                let written = self.log(|folders| folders.add_to_log(&line));
                Ok(vec![News::Logged(line, written)])
            }
            Errand::Print(arrangement, name) => {
                Ok(vec![papers::print(Path::new("."), &arrangement, &name)])
            }
            Errand::Export {
                what,
                path,
                replace,
            } => self
                .shelf()
                .map(|shelf| vec![papers::export(&shelf, &what, &path, replace)]),
        };
        result.unwrap_or_else(|error| vec![News::trouble(&error)])
    }

    /// The user's shelf, opened when it is first needed.
    fn shelf(&mut self) -> Result<Shelf, ShelfError> {
        if let Some(shelf) = &self.shelf {
            return Ok(shelf.clone());
        }
        let folders = self.folders.clone().ok_or(ShelfError::NoHome)?;
        let shelf = Shelf::open(folders, (self.now)())?;
        self.shelf = Some(shelf.clone());
        Ok(shelf)
    }

    /// Does something with the practice log, or says why not.
    fn log<T>(&self, act: impl FnOnce(&Folders) -> Result<T, ShelfError>) -> Result<T, String> {
        let folders = self.folders.as_ref().ok_or(ShelfError::NoHome);
        folders
            .and_then(act)
            .map_err(|e| plain_text(&e.to_string()))
    }

    fn list(&mut self) -> Result<Vec<News>, ShelfError> {
        let shelf = self.shelf()?;
        let mut entries = shelf.unread()?;
        self.unread.clear();
        for entry in &mut entries {
            match self.known.get(&entry.name) {
                Some(known) if known.changed == entry.changed && known.changed.is_some() => {
                    *entry = known.clone();
                }
                _ => self.unread.push_back(entry.name.clone()),
            }
        }
        let lists = shelf.setlists.names()?.into_iter();
        let mut news = vec![News::Listed {
            entries,
            unread: self.unread.len(),
            lists: lists.map(|n| setlist(&shelf, n)).collect(),
            folder: shelf.songs.folder().to_path_buf(),
        }];
        if (self.shelf.as_mut()).is_some_and(|s| std::mem::take(&mut s.is_new)) {
            news.push(News::Welcome);
        }
        Ok(news)
    }

    fn open(&mut self, name: Name) -> Result<Vec<News>, ShelfError> {
        let shelf = self.shelf()?;
        let taken = shelf.take(&name)?;
        let address = Address {
            folder: shelf.songs.folder().to_path_buf(),
            name,
        };
        let opened = News::Opened {
            address: address.clone(),
            text: taken.file.to_string(),
            seal: taken.seal,
        };
        Ok(vec![opened, self.hold(address)])
    }

    fn hold(&mut self, address: Address) -> News {
        let mut held = || -> Result<Option<String>, ShelfError> {
            let store = Store::open(&address.folder)?;
            let text = store.read(&address.name)?.0;
            if SongFile::parse(&text).is_ok_and(|(file, ..)| file.is_newer()) {
                let name = address.name.clone();
                return Err(ShelfError::Newer { name });
            }
            if !self.held.contains_key(&address) {
                let lock = store.lock(&address.name)?;
                self.held.insert(address.clone(), lock);
            }
            store.jotted(&address.name)
        };
        let (refused, jotted) = match held() {
            Ok(jotted) => (None, jotted),
            Err(error) => {
                // Nobody lets a song go that is not worked on.
                self.held.remove(&address);
                let why = match error {
                    ShelfError::InUse { .. } => "open in another window".into(),
                    ShelfError::Newer { .. } => "written by a newer Thumbline".into(),
                    other => plain_text(&other.to_string()),
                };
                let text = format!("{why}: what you change here becomes a song of its own");
                (Some(text), None)
            }
        };
        News::Held {
            address,
            refused,
            jotted,
        }
    }

    fn read(&mut self, name: Name) -> News {
        let text = self.shelf().and_then(|s| s.songs.read(&name));
        News::Read(name, text.map(|t| t.0).map_err(|e| e.to_string()))
    }

    fn save(&mut self, address: Address, text: &str, seal: Option<Seal>) -> News {
        let saved = Store::open(&address.folder).and_then(|store| {
            let seal = match seal {
                Some(seal) => seal,
                None => store.seal(&address.name)?,
            };
            store.save(&address.name, text, &seal, (self.now)())
        });
        self.known.remove(&address.name);
        match saved {
            Ok(seal) => News::Saved { address, seal },
            Err(error) => unsaved(Some(address), &error),
        }
    }

    fn add(&mut self, title: &str, text: &str) -> Vec<News> {
        let added = self.shelf().and_then(|shelf| {
            let name = shelf.songs.add(title, text, (self.now)())?;
            let (_, seal) = shelf.songs.read(&name)?;
            let folder = shelf.songs.folder().to_path_buf();
            Ok((Address { folder, name }, seal))
        });
        match added {
            Ok((address, seal)) => {
                let held = self.hold(address.clone());
                vec![News::Added { address, seal }, held]
            }
            Err(error) => vec![unsaved(None, &error)],
        }
    }

    /// A song that no other window works on, and of which nothing waits to be saved.
    fn free(&mut self, name: &Name) -> Result<(Shelf, Lock), ShelfError> {
        let shelf = self.shelf()?;
        let lock = shelf.songs.lock(name)?;
        if shelf.songs.jotted(name)?.is_some() {
            return Err(ShelfError::Unsayable {
                text: format!("“{name}” holds work that was not saved; open it and leave it first"),
            });
        }
        Ok((shelf, lock))
    }

    fn tag(&mut self, name: Name, tags: Vec<String>) -> Result<Vec<News>, ShelfError> {
        let (shelf, _lock) = self.free(&name)?;
        let mut taken = shelf.take(&name)?;
        if taken.file.is_newer() {
            return Err(ShelfError::Newer { name });
        }
        taken.song.tags = tags;
        let said = taken.file.update(&taken.song);
        said.map_err(|error| ShelfError::Unsayable {
            text: plain_text(&error.text),
        })?;
        let text = taken.file.to_string();
        (shelf.songs).save(&name, &text, &taken.seal, (self.now)())?;
        let entry = shelf.entry(name.clone());
        let done = News::Done(format!("tags of {} are kept", entry.title));
        self.known.insert(name, entry.clone());
        Ok(vec![News::Entries(vec![entry]), done])
    }

    fn throw_away(&mut self, kind: Kind, name: Name) -> Result<Vec<News>, ShelfError> {
        let shelf = self.shelf()?;
        let store = store(&shelf, kind);
        let _lock = store.lock(&name)?;
        store.throw_away(&name, (self.now)())?;
        let mut news = self.list()?;
        news.push(News::Done(format!(
            "“{name}” lies in the bin: ⟨Ctrl-U⟩ shows it"
        )));
        Ok(news)
    }

    fn bin(&mut self) -> Result<News, ShelfError> {
        let shelf = self.shelf()?;
        let mut songs = shelf.songs.bin()?.into_iter().peekable();
        let mut lists = shelf.setlists.bin()?.into_iter().peekable();
        // Each has its order, which a clock set back does not change; their times say no more than
        // how they go together.
        let all = std::iter::from_fn(|| match (songs.peek(), lists.peek()) {
            (song, Some(list)) if song.is_none_or(|s| s.at < list.at) => {
                lists.next().map(|b| (Kind::Setlist, b))
            }
            _ => songs.next().map(|b| (Kind::Song, b)),
        });
        Ok(News::Binned(all.collect()))
    }

    fn take_back(
        &mut self,
        kind: Kind,
        binned: &crate::shelf::Binned,
    ) -> Result<Vec<News>, ShelfError> {
        let shelf = self.shelf()?;
        let name = store(&shelf, kind).take_back(binned)?;
        let mut news = self.list()?;
        news.push(self.bin()?);
        news.push(News::Done(format!("“{name}” is back")));
        Ok(news)
    }

    fn go_back(
        &mut self,
        name: Name,
        version: crate::shelf::Version,
    ) -> Result<Vec<News>, ShelfError> {
        let (shelf, _lock) = self.free(&name)?;
        let seal = shelf.songs.seal(&name)?;
        (shelf.songs).go_back(&name, version, &seal, (self.now)())?;
        self.known.remove(&name);
        let text = format!("“{name}” is as it was; what it said until now is the newest of these");
        let mut news = self.list()?;
        let versions = shelf.songs.versions(&name)?;
        news.push(News::Versions(name, versions));
        news.push(News::Done(text));
        Ok(news)
    }

    fn notices(&mut self, name: &Name) -> Result<Vec<News>, ShelfError> {
        let shelf = self.shelf()?;
        let (text, _) = shelf.songs.read(name)?;
        let (about, lines) = match SongFile::parse(&text) {
            Ok((_, song, mut notices)) => {
                notices.extend(song.check());
                notices.sort_by_key(|n| n.place);
                notices.dedup();
                let lines = notices.iter().map(|n| plain_text(&n.to_string()));
                (plain_text(&song.title), lines.collect())
            }
            Err(error) => (name.to_string(), vec![plain_text(&error.to_string())]),
        };
        Ok(vec![News::Notices(about, lines)])
    }

    /// Makes a setlist that begins with some songs. Where the one asked for just before has the same
    /// title, which the screen could not know yet, they are put at its end.
    fn new_setlist(&mut self, title: &str, songs: Vec<Name>) -> Result<Vec<News>, ShelfError> {
        let shelf = self.shelf()?;
        let same = |name: &Name| {
            let taken = shelf.take_setlist(name);
            taken.is_ok_and(|(list, _)| list.title.to_lowercase() == title.to_lowercase())
        };
        let names = shelf.setlists.names()?;
        let known = names.into_iter().find(|n| !songs.is_empty() && same(n));
        let name = match known {
            Some(name) => name,
            None => shelf.add_setlist(title, (self.now)())?,
        };
        if !songs.is_empty() {
            let (mut list, seal) = shelf.take_setlist(&name)?;
            list.songs.extend(songs);
            (shelf.setlists).save(&name, &list.text(), &seal, (self.now)())?;
        }
        let mut news = self.list()?;
        news.push(News::NewSetlist(name));
        Ok(news)
    }

    fn set_songs(
        &mut self,
        name: &Name,
        before: &[Name],
        after: Vec<Name>,
    ) -> Result<Vec<News>, ShelfError> {
        let shelf = self.shelf()?;
        let _lock = shelf.setlists.lock(name)?;
        let (mut list, seal) = shelf.take_setlist(name)?;
        if list.songs != before {
            let mut news = self.list()?;
            let text = format!("“{name}” was changed by another program; here it is as it is now");
            news.push(News::Trouble(text));
            return Ok(news);
        }
        list.songs = after;
        (shelf.setlists).save(name, &list.text(), &seal, (self.now)())?;
        self.list()
    }
}

fn store(shelf: &Shelf, kind: Kind) -> &Store {
    match kind {
        Kind::Song => &shelf.songs,
        Kind::Setlist => &shelf.setlists,
    }
}

/// Why a song was not written, and whether another program changed it.
fn refusal(error: &ShelfError) -> (String, bool) {
    match error {
        ShelfError::Changed { .. } => (
            "changed by another program: ⟨s⟩ saves yours over it, theirs stays in ⟨Ctrl-P⟩".into(),
            true,
        ),
        ShelfError::Gone { .. } => (
            "its file was moved or deleted by another program: ⟨s⟩ writes it anew".into(),
            true,
        ),
        error => (plain_text(&error.to_string()), false),
    }
}

fn unsaved(address: Option<Address>, error: &ShelfError) -> News {
    let (why, changed) = refusal(error);
    News::Unsaved {
        address,
        why,
        changed,
    }
}

fn jot(address: Address, text: &str, seal: Option<&Seal>) -> Vec<News> {
    let jotted = Store::open(&address.folder).and_then(|store| {
        match store.read(&address.name) {
            // Undone: nothing is left to be kept.
            Ok((there, _)) if there == text => store.drop_jotted(&address.name)?,
            _ => store.jot(&address.name, text)?,
        }
        match seal {
            Some(seal) => store.unchanged(&address.name, seal).map(drop),
            None => Ok(()),
        }
    });
    match jotted {
        Ok(()) => Vec::new(),
        Err(error) => {
            let (why, changed) = refusal(&error);
            vec![News::Unjotted {
                address,
                why,
                changed,
            }]
        }
    }
}

fn setlist(shelf: &Shelf, name: Name) -> List {
    let read = shelf.take_setlist(&name).map(|(list, _)| list);
    let problem = read.as_ref().err().map(|e| plain_text(&e.to_string()));
    let list = read.unwrap_or_else(|_| Setlist::new(name.as_str()));
    let title = match list.title.trim() {
        "" => name.to_string(),
        title => plain_text(title),
    };
    List {
        name,
        title,
        songs: list.songs,
        problem,
    }
}
