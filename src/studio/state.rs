//! The state of the studio and how messages change it.

use super::keymap::Place;
use super::message::{Message, Order};
use super::screens::{Desk, Start};
use super::theme::Theme;

/// The screen that is shown.
#[derive(Debug)]
#[allow(missing_docs)]
pub enum Screen {
    Start(Start),
    Desk(Box<Desk>),
}

/// Everything that the studio knows.
#[derive(Debug)]
pub struct Studio {
    /// The screen that is shown.
    pub screen: Screen,
    /// The songs to choose from while the Desk is shown.
    shelved: Option<Start>,
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
            theme,
            help: false,
        }
    }

    /// A studio that begins with a song on the Desk.
    pub fn at_desk(desk: Desk, theme: Theme) -> Studio {
        Studio {
            screen: Screen::Desk(Box::new(desk)),
            shelved: None,
            theme,
            help: false,
        }
    }

    /// Where keys are pressed now.
    pub fn place(&self) -> Place {
        match self.screen {
            Screen::Start(_) => Place::Start,
            Screen::Desk(_) => Place::Desk,
        }
    }

    /// What has to be done first, before any message.
    pub fn begin(&self) -> Vec<Order> {
        match &self.screen {
            Screen::Desk(desk) => vec![desk.load()],
            Screen::Start(_) => Vec::new(),
        }
    }

    /// Changes the state by a message; what is to be done outside comes back.
    pub fn update(&mut self, message: Message) -> Vec<Order> {
        match message {
            Message::Help => {
                self.help = !self.help;
                return Vec::new();
            }
            Message::Suspend => return vec![Order::Stop, Order::Suspend],
            Message::Quit => return self.quit(),
            // While the keys are shown, leaving means leaving them.
            Message::Back if self.help => {
                self.help = false;
                return Vec::new();
            }
            Message::Back => return self.back(),
            _ => {}
        }
        match &mut self.screen {
            Screen::Desk(desk) => desk.update(message),
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
        };
        if free {
            vec![Order::Stop, Order::Quit]
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
                self.screen = Screen::Start(self.shelved.take().unwrap_or_else(Start::demos));
                vec![Order::Stop]
            }
        }
    }
}
