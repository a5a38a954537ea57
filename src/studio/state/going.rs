//! Leaving a screen, or the program, once everything is kept.

use super::{Screen, Studio};
use crate::studio::disk::Errand;
use crate::studio::message::Order;
use crate::studio::screens::{Leave, Shelf};

/// Where the player is going once everything is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Going {
    Back,
    Out,
}

impl Studio {
    /// Goes where the player wanted to once the disk has answered.
    pub(super) fn go_on(&mut self) -> Vec<Order> {
        let (saving, refused) = match &self.screen {
            Screen::Desk(desk) => (desk.is_saving(), desk.is_refused()),
            Screen::Writing(writing) => (writing.is_saving(), writing.is_refused()),
            _ => return Vec::new(),
        };
        match (self.going, saving, refused) {
            (None, ..) | (_, true, _) => Vec::new(),
            (_, _, true) => {
                self.going = None;
                Vec::new()
            }
            (Some(going), ..) => self.leave(going),
        }
    }

    /// Leaves the screen, or the program, when what was done is kept.
    pub(super) fn leave(&mut self, going: Going) -> Vec<Order> {
        let mut orders = self.put_away();
        let mut uncovered = false;
        // Leaving the program from the Stand or the Shed leaves the Desk behind it as well.
        if let (Going::Out, Screen::Stand(_) | Screen::Shed(_)) = (going, &self.screen)
            && let Some(screen) = self.behind.pop()
        {
            self.screen = screen;
            uncovered = true;
        }
        let leave = match &mut self.screen {
            Screen::Desk(desk) => Some(desk.leave()),
            Screen::Writing(writing) => Some(writing.leave()),
            _ => None,
        };
        if let Some(leave) = leave {
            if uncovered && leave != Leave::Now {
                // The player stays for now, and hears what lies there.
                orders.push(Order::Stop);
                orders.extend(self.begin_screen());
            }
            match leave {
                Leave::Now => {
                    let address = self.screen.address().cloned();
                    orders.extend(address.map(|a| Order::Disk(Errand::Release(a))));
                }
                Leave::Not => return orders,
                // Asked again while the disk stands still, the player does not wait for it here: what
                // was sent off is written before the program ends.
                Leave::After(order)
                    if self.stall.is_some() && going == Going::Out && self.is_leaving() =>
                {
                    orders.extend(order);
                }
                Leave::After(order) => {
                    self.going = Some(going);
                    orders.extend(order);
                    return orders;
                }
            }
        }
        self.going = None;
        orders.push(Order::Stop);
        match going {
            Going::Out => orders.push(Order::Quit),
            Going::Back => {
                let left = self.screen.address().map(|a| a.name.clone());
                let shelf = || Screen::Shelf(Box::new(Shelf::new(self.zone.clone())));
                self.screen = self.behind.pop().unwrap_or_else(shelf);
                if let (Screen::Shelf(shelf), Some(name)) = (&mut self.screen, left) {
                    shelf.come_back_from(&name);
                }
                orders.extend(self.begin_screen());
            }
        }
        orders
    }

    /// Whether the program ends once everything is on the disk.
    pub(in crate::studio) fn is_leaving(&self) -> bool {
        self.going == Some(Going::Out)
    }

    pub(super) fn back(&mut self) -> Vec<Order> {
        let going = match &mut self.screen {
            Screen::Shelf(shelf) => match shelf.back() {
                true => return Vec::new(),
                false => Going::Out,
            },
            Screen::Desk(desk) if desk.proposal.is_some() => return desk.leave_proposal(),
            Screen::Writing(writing) => {
                if writing.back() {
                    return Vec::new();
                }
                if !writing.leaves_for_good() {
                    return self.finish();
                }
                Going::Back
            }
            _ => Going::Back,
        };
        self.leave(going)
    }

    /// Ends a turn in the Shed, if there is one.
    fn put_away(&mut self) -> Vec<Order> {
        self.log.sounds(false);
        let Screen::Shed(shed) = &mut self.screen else {
            return Vec::new();
        };
        self.wishes = shed.wishes.clone();
        shed.leave(&mut self.log)
    }
}
