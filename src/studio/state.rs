//! The state of the studio and how messages change it.

use super::disk::{Errand, News};
use super::keymap::Place;
use super::message::{Message, Order};
use super::screens::{Desk, Leave, Next, Shelf, Stand};
use super::theme::Theme;
use jiff::tz::TimeZone;

/// The screen that is shown.
#[derive(Debug)]
#[allow(missing_docs)]
pub enum Screen {
    Shelf(Box<Shelf>),
    Desk(Box<Desk>),
    Stand(Box<Stand>),
}

/// Where the player is going once everything is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Going {
    Back,
    Out,
}

/// Everything that the studio knows.
#[derive(Debug)]
pub struct Studio {
    /// The screen that is shown.
    pub screen: Screen,
    /// The screens it was reached from; the last one is gone back to first.
    behind: Vec<Screen>,
    /// How it is painted.
    pub theme: Theme,
    /// The keys are shown.
    pub help: bool,
    going: Option<Going>,
    size: (u16, u16),
    zone: TimeZone,
}

impl Studio {
    /// A studio that begins with the Shelf.
    pub fn choosing(shelf: Shelf, theme: Theme) -> Studio {
        let zone = shelf.zone.clone();
        Studio::new(Screen::Shelf(Box::new(shelf)), theme, zone)
    }

    /// A studio that begins with a song on the Desk; times are told in `zone`.
    pub fn at_desk(desk: Desk, theme: Theme, zone: TimeZone) -> Studio {
        Studio::new(Screen::Desk(Box::new(desk)), theme, zone)
    }

    fn new(screen: Screen, theme: Theme, zone: TimeZone) -> Studio {
        Studio {
            screen,
            behind: Vec::new(),
            theme,
            help: false,
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
            Screen::Stand(_) => Place::Stand,
        }
    }

    /// What has to be done first, before any message.
    pub fn begin(&self) -> Vec<Order> {
        let mut orders = self.begin_screen();
        if let Screen::Desk(desk) = &self.screen {
            let address = desk.address().cloned();
            orders.extend(address.map(|a| Order::Disk(Errand::Hold(a))));
        }
        orders
    }

    /// What has to be done when a screen comes into view.
    fn begin_screen(&self) -> Vec<Order> {
        match &self.screen {
            Screen::Shelf(shelf) => shelf.begin(),
            Screen::Stand(stand) => stand.begin(),
            Screen::Desk(desk) => vec![
                desk.load(),
                Order::Speed(desk.speed),
                Order::Click(desk.click),
            ],
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
            Message::Quit => return self.leave(Going::Out),
            // While the keys are shown, leaving means leaving them.
            Message::Back if self.help => {
                self.help = false;
                return Vec::new();
            }
            Message::Back => return self.back(),
            Message::News(news) => return self.learn(news),
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
            Screen::Stand(stand) => stand.update(message),
            Screen::Shelf(shelf) => {
                let next = shelf.update(message);
                self.follow(next)
            }
        }
    }

    fn follow(&mut self, next: Next) -> Vec<Order> {
        match next {
            Next::Do(orders) => orders,
            Next::Desk(desk) => self.show(Screen::Desk(desk)),
            Next::Stand(stand) => self.show(Screen::Stand(stand)),
        }
    }

    /// Shows another screen; the present one is gone back to.
    fn show(&mut self, screen: Screen) -> Vec<Order> {
        let before = std::mem::replace(&mut self.screen, screen);
        self.behind.push(before);
        if let Screen::Stand(stand) = &mut self.screen {
            stand.update(Message::Size(self.size.0, self.size.1));
        }
        self.begin_screen()
    }

    /// News go to the screen that they are about, also when it is not in view.
    fn learn(&mut self, news: News) -> Vec<Order> {
        let wanted = |screen: &Screen| match news {
            News::Saved { .. } | News::Unsaved { .. } | News::Added { .. } | News::Held { .. } => {
                matches!(screen, Screen::Desk(_))
            }
            News::Read(..) => matches!(screen, Screen::Stand(_)),
            News::Trouble(_) => true,
            _ => matches!(screen, Screen::Shelf(_)),
        };
        let behind = self.behind.iter_mut().rev();
        let Some(screen) = std::iter::once(&mut self.screen)
            .chain(behind)
            .find(|s| wanted(s))
        else {
            return Vec::new();
        };
        let message = Message::News(news);
        let mut orders = match screen {
            Screen::Desk(desk) => desk.update(message),
            Screen::Stand(stand) => stand.update(message),
            Screen::Shelf(shelf) => {
                let next = shelf.update(message);
                self.follow(next)
            }
        };
        orders.extend(self.go_on());
        orders
    }

    /// Goes where the player wanted to once the disk has answered.
    fn go_on(&mut self) -> Vec<Order> {
        let (Some(going), Screen::Desk(desk)) = (self.going, &self.screen) else {
            return Vec::new();
        };
        if desk.is_saving() {
            return Vec::new();
        }
        if desk.is_refused() {
            self.going = None;
            return Vec::new();
        }
        self.leave(going)
    }

    /// Leaves the screen, or the program, when what was done is kept.
    fn leave(&mut self, going: Going) -> Vec<Order> {
        // Leaving the program from the Stand leaves the Desk behind it as well.
        if let (Going::Out, Screen::Stand(_)) = (going, &self.screen)
            && let Some(screen) = self.behind.pop()
        {
            self.screen = screen;
        }
        let mut orders = Vec::new();
        if let Screen::Desk(desk) = &mut self.screen {
            match desk.leave() {
                Leave::Now => {
                    let address = desk.address().cloned();
                    orders.extend(address.map(|a| Order::Disk(Errand::Release(a))));
                }
                Leave::Not => return Vec::new(),
                Leave::After(order) => {
                    self.going = Some(going);
                    return order.into_iter().collect();
                }
            }
        }
        self.going = None;
        orders.push(Order::Stop);
        match going {
            Going::Out => orders.push(Order::Quit),
            Going::Back => {
                let shelf = || Screen::Shelf(Box::new(Shelf::new(self.zone.clone())));
                self.screen = self.behind.pop().unwrap_or_else(shelf);
                orders.extend(self.begin_screen());
            }
        }
        orders
    }

    fn back(&mut self) -> Vec<Order> {
        let going = match &mut self.screen {
            Screen::Shelf(shelf) => match shelf.back() {
                true => return Vec::new(),
                false => Going::Out,
            },
            _ => Going::Back,
        };
        self.leave(going)
    }
}
