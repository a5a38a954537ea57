//! The setlists on the Shelf.

use super::{Line, Next, Shelf, Side};
use crate::shelf::Name;
use crate::studio::disk::{Errand, Kind, List};
use crate::studio::message::{Ask, Message};
use crate::studio::screens::Stand;

impl Shelf {
    /// The setlist under the cursor.
    pub fn chosen_list(&self) -> Option<&List> {
        self.lists.get(self.list)
    }

    /// Keeps the cursor inside lists that have changed.
    pub(super) fn hold_lists(&mut self) {
        self.list = self.list.min(self.lists.len().saturating_sub(1));
        let count = self.chosen_list().map_or(0, |l| l.songs.len());
        self.song = self.song.filter(|_| count > 0).map(|s| s.min(count - 1));
    }

    pub(super) fn choose_list(&mut self, name: &Name) {
        if let Some(at) = self.lists.iter().position(|l| l.name == *name) {
            self.list = at;
            let title = self.lists[at].title.clone();
            let songs = self.lists[at].songs.len();
            self.say(match self.side {
                Side::Songs if songs > 1 => format!("put into {title} as number {songs}"),
                Side::Songs => format!("{title} is a setlist now, and this song begins it"),
                Side::Setlists => {
                    format!("{title} is a setlist now: ⟨Tab⟩ to the songs, ⟨Ctrl-L⟩ puts one in")
                }
            });
        }
    }

    /// Puts a song at the end of the setlist with this title, or makes one.
    pub(super) fn enlist(&mut self, song: Name, title: String) -> Next {
        let wanted = title.to_lowercase();
        let Some(at) = (self.lists.iter()).position(|l| l.title.to_lowercase() == wanted) else {
            return Next::errand(Errand::NewSetlist(title, vec![song]));
        };
        self.list = at;
        let list = self.lists[at].clone();
        let mut after = list.songs.clone();
        after.push(song);
        self.say(format!("put into {} as number {}", list.title, after.len()));
        self.set_songs(&list, after)
    }

    /// Shows a setlist as it will be, and has it kept.
    fn set_songs(&mut self, list: &List, after: Vec<Name>) -> Next {
        if let Some(problem) = &list.problem {
            self.complain(problem.clone());
            return Next::nothing();
        }
        if let Some(shown) = self.lists.iter_mut().find(|l| l.name == list.name) {
            shown.songs = after.clone();
        }
        self.hold_lists();
        Next::errand(Errand::SetSongs {
            name: list.name.clone(),
            before: list.songs.clone(),
            after,
        })
    }

    pub(super) fn setlists(&mut self, message: Message) -> Next {
        match message {
            Message::Choose(by) => self.step_lists(by),
            Message::Page(by) => self.step_lists(by * 10),
            Message::First => self.step_lists(isize::MIN),
            Message::Last => self.step_lists(isize::MAX),
            Message::Shelf(Ask::Side(by)) => self.step_side(by),
            Message::Shelf(Ask::NewSetlist) => self.line = Some(Line::new_setlist()),
            Message::Shelf(Ask::Bin) => return Next::errand(Errand::Bin),
            _ => return self.with_list(&message),
        }
        Next::nothing()
    }

    fn step_lists(&mut self, by: isize) {
        match self.song {
            Some(song) => self.song = Some(song.saturating_add_signed(by)),
            None => self.list = self.list.saturating_add_signed(by),
        }
        self.hold_lists();
    }

    fn step_side(&mut self, by: isize) {
        let empty = self.chosen_list().is_none_or(|l| l.songs.is_empty());
        self.song = match by < 0 || empty {
            true => None,
            false => self.song.or(Some(0)),
        };
    }

    /// What is done with the chosen setlist, or with a song in it.
    fn with_list(&mut self, message: &Message) -> Next {
        let Some(list) = self.chosen_list().cloned() else {
            return Next::nothing();
        };
        match (message, self.song) {
            (Message::Shelf(Ask::Export), _) => self.line = Some(Line::print(&list)),
            (Message::Stand, at) => return self.stand(&list, at.unwrap_or(0)),
            (Message::Open, None) => self.step_side(1),
            (Message::Open, Some(at)) => {
                if let Some(name) = list.songs.get(at).cloned() {
                    return self.open(name);
                }
            }
            (Message::Shelf(Ask::ThrowAway), None) => {
                return Next::errand(Errand::ThrowAway(Kind::Setlist, list.name));
            }
            (Message::Shelf(Ask::ThrowAway), Some(at)) => {
                let mut after = list.songs.clone();
                if at < after.len() {
                    after.remove(at);
                    self.say("taken off the list; the song itself stays on the shelf");
                    return self.set_songs(&list, after);
                }
            }
            (&Message::Shelf(Ask::Shift(by)), Some(at)) => {
                let to = at.saturating_add_signed(by);
                let mut after = list.songs.clone();
                if to < after.len() && to != at {
                    after.swap(at, to);
                    self.song = Some(to);
                    return self.set_songs(&list, after);
                }
            }
            _ => {}
        }
        Next::nothing()
    }

    fn stand(&mut self, list: &List, at: usize) -> Next {
        if list.songs.is_empty() {
            self.complain("no songs are in this setlist yet");
            return Next::nothing();
        }
        let title = |n: &Name| self.named(n).map_or(n.to_string(), |e| e.title.clone());
        let songs = list.songs.iter().map(|n| (n.clone(), title(n)));
        let stand = Stand::setlist(list.title.clone(), songs.collect(), at);
        Next::Stand(Box::new(stand))
    }
}
