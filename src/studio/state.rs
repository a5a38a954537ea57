//! The state of the studio and how messages change it.

use super::keymap::Place;
use super::log::Log;
use super::message::{Message, Order};
use super::screens::{Desk, Shed, Start, Weight, Wishes};
use super::theme::Theme;

/// The screen that is shown.
#[derive(Debug)]
#[allow(missing_docs)]
pub enum Screen {
    Start(Start),
    Desk(Box<Desk>),
    Shed(Box<Shed>),
}

/// Everything that the studio knows.
#[derive(Debug)]
pub struct Studio {
    /// The screen that is shown.
    pub screen: Screen,
    /// The songs to choose from while the Desk is shown.
    shelved: Option<Start>,
    /// The Desk while the Shed is shown.
    resting: Option<Box<Desk>>,
    /// What was practised.
    pub log: Log,
    /// How it was practised last.
    wishes: Wishes,
    /// How it is painted.
    pub theme: Theme,
    /// The keys are shown.
    pub help: bool,
}

impl Studio {
    /// A studio that begins with a list of songs.
    pub fn choosing(start: Start, theme: Theme) -> Studio {
        Studio {
            screen: Screen::Start(start),
            shelved: None,
            resting: None,
            log: Log::default(),
            wishes: Wishes::default(),
            theme,
            help: false,
        }
    }

    /// A studio that begins with a song on the Desk.
    pub fn at_desk(desk: Desk, theme: Theme) -> Studio {
        Studio {
            screen: Screen::Desk(Box::new(desk)),
            shelved: None,
            resting: None,
            log: Log::default(),
            wishes: Wishes::default(),
            theme,
            help: false,
        }
    }

    /// Where keys are pressed now.
    pub fn place(&self) -> Place {
        match self.screen {
            Screen::Start(_) => Place::Start,
            Screen::Desk(_) => Place::Desk,
            Screen::Shed(_) => Place::Shed,
        }
    }

    /// What has to be done first, before any message.
    pub fn begin(&self) -> Vec<Order> {
        match &self.screen {
            Screen::Desk(desk) => vec![desk.load()],
            Screen::Start(_) | Screen::Shed(_) => Vec::new(),
        }
    }

    /// Changes the state by a message; what is to be done outside comes back.
    pub fn update(&mut self, message: Message) -> Vec<Order> {
        match message {
            Message::Help => {
                self.help = !self.help;
                return Vec::new();
            }
            Message::Suspend => return self.suspend(),
            Message::Quit => return self.quit(),
            // While the keys are shown, leaving means leaving them.
            Message::Back if self.help => {
                self.help = false;
                return Vec::new();
            }
            Message::Back => return self.back(),
            Message::Practise => return self.practise(),
            Message::Clock(..) | Message::LogRead(_) | Message::Logged(..) => {
                self.tell_log(message);
                return Vec::new();
            }
            Message::Heard(at) => self.log.sounds(at.is_some()),
            _ => {}
        }
        match &mut self.screen {
            Screen::Desk(desk) => desk.update(message),
            Screen::Shed(shed) => shed.update(message, &mut self.log),
            Screen::Start(start) => {
                let Some(desk) = start.update(message) else {
                    return Vec::new();
                };
                let load = desk.load();
                let before = std::mem::replace(&mut self.screen, Screen::Desk(Box::new(desk)));
                if let Screen::Start(start) = before {
                    self.shelved = Some(start);
                }
                vec![load]
            }
        }
    }

    fn quit(&mut self) -> Vec<Order> {
        let free = match &mut self.screen {
            Screen::Desk(desk) => desk.may_leave(),
            Screen::Start(_) => true,
            // What is not saved is asked about on the Desk.
            Screen::Shed(_) if self.resting.as_ref().is_some_and(|d| d.is_changed()) => {
                let mut orders = self.back();
                orders.extend(self.quit());
                return orders;
            }
            Screen::Shed(_) => true,
        };
        if free {
            let mut orders = match &mut self.screen {
                Screen::Shed(shed) => shed.leave(&mut self.log),
                _ => Vec::new(),
            };
            orders.extend([Order::Stop, Order::Quit]);
            orders
        } else {
            Vec::new()
        }
    }

    fn back(&mut self) -> Vec<Order> {
        match &mut self.screen {
            Screen::Start(start) => {
                if start.forget() {
                    Vec::new()
                } else {
                    vec![Order::Quit]
                }
            }
            Screen::Desk(desk) => {
                if !desk.may_leave() {
                    return Vec::new();
                }
                self.log.sounds(false);
                self.screen = Screen::Start(self.shelved.take().unwrap_or_else(Start::demos));
                vec![Order::Stop]
            }
            Screen::Shed(shed) => {
                let mut orders = shed.leave(&mut self.log);
                self.wishes = shed.wishes.clone();
                self.log.sounds(false);
                if let Some(desk) = self.resting.take() {
                    orders.extend([
                        desk.load(),
                        Order::Speed(desk.speed),
                        Order::Click(desk.click),
                    ]);
                    self.screen = Screen::Desk(desk);
                }
                orders
            }
        }
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
        let before = std::mem::replace(&mut self.screen, Screen::Shed(Box::new(shed)));
        if let Screen::Desk(desk) = before {
            self.resting = Some(desk);
        }
        orders
    }

    fn suspend(&mut self) -> Vec<Order> {
        if let Screen::Shed(shed) = &mut self.screen {
            shed.halt();
        }
        self.log.sounds(false);
        vec![Order::Stop, Order::Suspend]
    }

    /// What concerns time and log, whatever screen is shown.
    fn tell_log(&mut self, message: Message) {
        let day = self.log.today();
        let said = match message {
            Message::Clock(now, seconds) => {
                let playing = matches!(&self.screen, Screen::Shed(s) if s.is_playing());
                let played = self.log.clock(now, seconds, playing);
                if let Screen::Shed(shed) = &mut self.screen {
                    shed.played(played);
                    if self.log.today() != day {
                        shed.make_plan(&self.log);
                    }
                }
                None
            }
            Message::LogRead(text) => {
                let said = self.log.take(text);
                if let Screen::Shed(shed) = &mut self.screen {
                    shed.make_plan(&self.log);
                }
                said
            }
            Message::Logged(line, result) => self.log.written(line, result),
            _ => None,
        };
        if let (Some(text), Screen::Shed(shed)) = (said, &mut self.screen) {
            shed.say(Weight::Trouble, text);
        }
    }
}
