//! The state of the studio and how messages change it.

mod going;

use super::brush::Spots;
use super::config::Look;
use super::disk::{Address, Errand, News};
use super::keymap::Place;
use super::log::Log;
use super::message::{Message, Order};
use super::panes::TOUR;
use super::screens::{Desk, Next, Shed, Shelf, Stand, Weight, Wishes, Writing};
use super::tour::Tour;
use crate::exchange::letters::Letters;
use crossterm::event::KeyEvent;
use going::Going;
use jiff::civil::DateTime;
use jiff::tz::TimeZone;

/// The screen that is shown.
#[derive(Debug)]
#[allow(missing_docs)]
pub enum Screen {
    Shelf(Box<Shelf>),
    Desk(Box<Desk>),
    Writing(Box<Writing>),
    Shed(Box<Shed>),
    Stand(Box<Stand>),
}

impl Screen {
    /// Where the song on it lies, if it is one that is worked on.
    fn address(&self) -> Option<&Address> {
        match self {
            Screen::Desk(desk) => desk.address(),
            Screen::Writing(writing) => writing.address(),
            _ => None,
        }
    }
}

/// Everything that the studio knows.
#[derive(Debug)]
pub struct Studio {
    /// The screen that is shown.
    pub screen: Screen,
    /// The screens it was reached from; the last one is gone back to first.
    behind: Vec<Screen>,
    /// What was practised.
    pub log: Log,
    /// How it was practised last.
    wishes: Wishes,
    /// How it is painted, and what its keys are.
    pub look: Look,
    /// What the terminal can show.
    pub letters: Letters,
    /// How far a look round has come, if there is one.
    pub tour: Option<Tour>,
    /// What is worth saying on any screen, until a key is pressed.
    pub notice: Option<String>,
    /// For how many seconds the disk has not answered, where that is worth saying.
    pub stall: Option<u64>,
    /// The keys are shown; the cursor is on this row of them.
    pub help: Option<usize>,
    going: Option<Going>,
    size: (u16, u16),
    zone: TimeZone,
}

impl Studio {
    /// A studio that begins with the Shelf.
    pub fn choosing(shelf: Shelf, look: impl Into<Look>) -> Studio {
        let zone = shelf.zone.clone();
        Studio::new(Screen::Shelf(Box::new(shelf)), look, zone)
    }

    /// A studio that begins with a song on the Desk; times are told in `zone`.
    pub fn at_desk(desk: Desk, look: impl Into<Look>, zone: TimeZone) -> Studio {
        Studio::new(Screen::Desk(Box::new(desk)), look, zone)
    }

    /// A studio that begins with a song that is to be written on; times are told in `zone`.
    pub fn at_writing(writing: Writing, look: impl Into<Look>, zone: TimeZone) -> Studio {
        Studio::new(Screen::Writing(Box::new(writing)), look, zone)
    }

    fn new(screen: Screen, look: impl Into<Look>, zone: TimeZone) -> Studio {
        Studio {
            screen,
            behind: Vec::new(),
            log: Log::default(),
            wishes: Wishes::default(),
            look: look.into(),
            letters: Letters::All,
            tour: None,
            notice: None,
            stall: None,
            help: None,
            going: None,
            size: (80, 24),
            zone,
        }
    }

    /// Where keys are pressed now.
    pub fn place(&self) -> Place {
        match &self.screen {
            Screen::Shelf(shelf) => shelf.place(),
            Screen::Desk(_) => Place::Desk,
            Screen::Writing(writing) => writing.place(),
            Screen::Shed(_) => Place::Shed,
            Screen::Stand(_) => Place::Stand,
        }
    }

    /// What has to be done first, before any message.
    pub fn begin(&self) -> Vec<Order> {
        let mut orders = self.begin_screen();
        let address = self.screen.address().cloned();
        orders.extend(address.map(|a| Order::Disk(Errand::Hold(a))));
        orders
    }

    /// What has to be done when a screen comes into view.
    fn begin_screen(&self) -> Vec<Order> {
        match &self.screen {
            Screen::Shelf(shelf) => shelf.begin(),
            Screen::Stand(stand) => stand.begin(),
            Screen::Shed(_) => Vec::new(),
            Screen::Writing(writing) => writing.begin(),
            Screen::Desk(desk) => vec![
                desk.load(),
                Order::Speed(desk.speed),
                Order::Click(desk.click),
            ],
        }
    }

    /// What a key that is pressed means.
    pub fn press(&mut self, key: KeyEvent) -> Option<Message> {
        self.notice = None;
        if self.help.is_some()
            && let Some(message) = self.look.keys.menu(key)
        {
            return self.choose_key(message);
        }
        let message = self.look.keys.message(self.place(), key);
        if self.tour == Some(Tour::Offered) && message != Some(Message::Tour) {
            self.tour = None;
        }
        if message.as_ref().is_some_and(|m| *m != Message::Help) {
            self.help = None;
        }
        message
    }

    /// What a click means where `spots` are as they were drawn last.
    pub fn click(&mut self, spots: &Spots, x: u16, y: u16) -> Option<Message> {
        self.notice = None;
        let message = spots.at(x, y).cloned()?;
        if message != Message::Help {
            self.help = None;
        }
        Some(message)
    }

    /// What a turn of the wheel down (1) or up (−1) means.
    pub fn wheel(&mut self, by: isize) -> Option<Message> {
        self.notice = None;
        if self.help.is_some() {
            return self.choose_key(Message::Choose(by));
        }
        Some(match self.place() {
            Place::Desk | Place::Writing => Message::Bar(by),
            Place::Stand => Message::Page(by),
            _ => Message::Choose(by),
        })
    }

    /// Moves in the list of keys; what comes of it is the message of the row that is chosen.
    fn choose_key(&mut self, message: Message) -> Option<Message> {
        let at = self.help.take()?;
        let mut rows = self.look.keys.rows(self.place());
        let last = self.look.keys.rows(self.place()).count().saturating_sub(1);
        self.help = Some(match message {
            Message::Choose(step) => at.saturating_add_signed(step).min(last),
            Message::First => 0,
            Message::Last => last,
            Message::Open => return rows.nth(at).and_then(|r| r.message()),
            _ => return None,
        });
        None
    }

    /// Changes the state by a message; what is to be done outside comes back.
    pub fn update(&mut self, message: Message) -> Vec<Order> {
        let tour = self.tour;
        let orders = self.change(message.clone());
        // The message may have ended it.
        if let (Some(tour), true) = (tour, self.tour == tour) {
            self.tour = tour.after(&message, self);
        }
        let room = self.room();
        if let Screen::Stand(stand) = &mut self.screen {
            stand.fit(room);
        }
        orders
    }

    fn change(&mut self, message: Message) -> Vec<Order> {
        match message {
            Message::Tour => {
                self.tour = match self.tour {
                    Some(Tour::At(_)) => None,
                    _ => Some(Tour::begin(self.place())),
                };
                return Vec::new();
            }
            Message::Dress(look) => {
                self.look = *look;
                self.notice = None;
                return Vec::new();
            }
            Message::Notice(text) => {
                self.notice = Some(text);
                return Vec::new();
            }
            Message::Stall(seconds) => {
                self.stall = seconds;
                return Vec::new();
            }
            Message::Help => {
                self.help = match self.help {
                    None => Some(0),
                    Some(_) => None,
                };
                return Vec::new();
            }
            Message::Suspend => return self.suspend(),
            Message::Quit => return self.leave(Going::Out),
            Message::Back => return self.back(),
            Message::News(news) => return self.learn(news),
            Message::Practise => return self.practise(),
            Message::Write => return self.write(),
            Message::Clock(now, seconds) => {
                self.tell_time(now, seconds);
                return Vec::new();
            }
            Message::Heard(at) => self.log.sounds(at.is_some()),
            Message::Size(width, height) => self.size = (width, height),
            _ => {}
        }
        match &mut self.screen {
            Screen::Desk(desk) if message == Message::Stand => {
                desk.update(Message::Heard(None));
                let stand = Stand::of(desk);
                self.show(Screen::Stand(Box::new(stand)))
            }
            Screen::Desk(desk) => desk.update(message),
            Screen::Writing(writing) => writing.update(message),
            Screen::Shed(shed) => shed.update(message, &mut self.log),
            Screen::Stand(stand) => stand.update(message),
            Screen::Shelf(shelf) => {
                let next = shelf.update(message);
                self.follow(next)
            }
        }
    }

    /// The columns and rows that a screen has: those of the terminal, less what the tour says.
    fn room(&self) -> (u16, u16) {
        let (width, height) = self.size;
        let said = self.tour.map_or(0, |_| TOUR);
        (width, height.saturating_sub(said))
    }

    fn follow(&mut self, next: Next) -> Vec<Order> {
        match next {
            Next::Do(orders) => orders,
            Next::Desk(desk) => self.show(Screen::Desk(desk)),
            Next::Stand(stand) => self.show(Screen::Stand(stand)),
            Next::Write(writing) => {
                let mut orders = self.show(Screen::Writing(writing));
                // A new song lies on the shelf before its first note.
                orders.extend(self.update(Message::Idle));
                orders
            }
        }
    }

    /// Shows another screen; the present one is gone back to.
    fn show(&mut self, screen: Screen) -> Vec<Order> {
        let before = std::mem::replace(&mut self.screen, screen);
        self.behind.push(before);
        self.begin_screen()
    }

    /// News go to the screen that they are about, also when it is not in view.
    fn learn(&mut self, news: News) -> Vec<Order> {
        match news {
            News::Welcome => {
                self.tour = Some(Tour::Offered);
                return Vec::new();
            }
            News::LogRead(_) | News::Logged(..) => {
                self.learn_log(news);
                return Vec::new();
            }
            _ => {}
        }
        // Whichever screen says it.
        if let (News::Trouble(_), Some(Screen::Shelf(shelf))) = (&news, self.behind.first_mut()) {
            shelf.opens_nothing();
        }
        let wanted = |screen: &Screen| match news {
            News::Saved { .. }
            | News::Unsaved { .. }
            | News::Unjotted { .. }
            | News::Added { .. }
            | News::Held { .. }
            | News::Printed(_) => {
                matches!(screen, Screen::Desk(_) | Screen::Writing(_))
            }
            News::Read(..) => matches!(screen, Screen::Stand(_)),
            News::Trouble(_) => !matches!(screen, Screen::Shed(_)),
            _ => matches!(screen, Screen::Shelf(_)),
        };
        let in_view = wanted(&self.screen);
        let screen = match in_view {
            true => Some(&mut self.screen),
            false => self.behind.iter_mut().rev().find(|s| wanted(s)),
        };
        let Some(screen) = screen else {
            return Vec::new();
        };
        let message = Message::News(news);
        let mut orders = match screen {
            Screen::Desk(desk) => {
                let mut orders = desk.update(message);
                if let Some(writing) = desk.unfit() {
                    orders.extend(writing.begin());
                    *screen = Screen::Writing(Box::new(writing));
                }
                orders
            }
            Screen::Writing(writing) => writing.update(message),
            Screen::Stand(stand) => stand.update(message),
            Screen::Shed(_) => Vec::new(),
            Screen::Shelf(shelf) => match (shelf.update(message), in_view) {
                (next, true) => self.follow(next),
                (next, false) => pass_by(next),
            },
        };
        if !in_view {
            // What is heard is the business of the screen in view.
            orders.retain(|o| matches!(o, Order::Disk(_)));
        }
        orders.extend(self.go_on());
        orders
    }

    /// Takes the song on the Desk to the writing screen.
    fn write(&mut self) -> Vec<Order> {
        let Screen::Desk(desk) = &mut self.screen else {
            return Vec::new();
        };
        let writing = desk.write();
        let mut orders = vec![Order::Stop];
        orders.extend(writing.begin());
        self.screen = Screen::Writing(Box::new(writing));
        orders
    }

    /// Takes the song from the writing screen to the Desk.
    fn finish(&mut self) -> Vec<Order> {
        let Screen::Writing(writing) = &mut self.screen else {
            return Vec::new();
        };
        let Some((desk, kept)) = writing.finish() else {
            return Vec::new();
        };
        self.screen = Screen::Desk(Box::new(desk));
        let mut orders = vec![Order::Stop];
        orders.extend(kept);
        orders.extend(self.begin_screen());
        orders
    }

    /// Takes the bar under the cursor to the Shed.
    fn practise(&mut self) -> Vec<Order> {
        let Screen::Desk(desk) = &mut self.screen else {
            return Vec::new();
        };
        let (layer, bar) = (desk.options.layer, desk.bar());
        let arrangement = desk.arrangement.clone();
        let wishes = self.wishes.clone();
        let Some(mut shed) = Shed::new(arrangement, layer, &desk.name(), bar, wishes) else {
            return Vec::new();
        };
        desk.playing = None;
        let mut orders = vec![Order::Stop];
        orders.extend(shed.enter(&mut self.log));
        orders.extend(self.show(Screen::Shed(Box::new(shed))));
        orders
    }

    fn suspend(&mut self) -> Vec<Order> {
        if let Screen::Shed(shed) = &mut self.screen {
            shed.halt();
        }
        self.log.sounds(false);
        vec![Order::Stop, Order::Suspend]
    }

    /// Tells log and Shed the time, whatever screen is shown.
    fn tell_time(&mut self, now: DateTime, seconds: u64) {
        let day = self.log.today();
        let playing = matches!(&self.screen, Screen::Shed(s) if s.is_playing());
        let played = self.log.clock(now, seconds, playing);
        if let Screen::Shed(shed) = &mut self.screen {
            shed.played(played);
            if self.log.today() != day {
                shed.make_plan(&self.log);
            }
        }
    }

    /// What the disk says of the log, whatever screen is shown.
    fn learn_log(&mut self, news: News) {
        let said = match news {
            News::LogRead(text) => {
                let said = self.log.take(text);
                if let Screen::Shed(shed) = &mut self.screen {
                    shed.make_plan(&self.log);
                }
                said
            }
            News::Logged(line, result) => self.log.written(line, result),
            _ => None,
        };
        if let (Some(text), Screen::Shed(shed)) = (said, &mut self.screen) {
            shed.say(Weight::Trouble, text);
        }
    }
}

/// A song that comes once the player has gone on to another screen is let go: it may not take the
/// place of what is worked on there.
fn pass_by(next: Next) -> Vec<Order> {
    let address = match next {
        Next::Do(orders) => return orders,
        Next::Desk(desk) => desk.address().cloned(),
        Next::Write(writing) => writing.address().cloned(),
        Next::Stand(_) => None,
    };
    let release = address.map(|a| Order::Disk(Errand::Release(a)));
    release.into_iter().collect()
}
