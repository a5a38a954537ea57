//! The practice log's own thread: the screen never waits for the disk, and every line is on it
//! before the program ends.

use super::message::{Message, Order};
use crate::shelf::Folders;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread::JoinHandle;

/// Reads and writes the practice log, one order after another.
pub(super) struct Keeper {
    orders: Option<Sender<Order>>,
    answers: Receiver<Message>,
    thread: Option<JoinHandle<()>>,
}

impl Keeper {
    /// Starts with the user's log, or with none where the system names no home folder.
    pub fn new(folders: Result<Folders, String>) -> Keeper {
        let (orders, inbox) = channel::<Order>();
        let (outbox, answers) = channel();
        let work = move || {
            for order in inbox {
                // The studio may have ended; what is to be written is written nevertheless.
                let _ = answer(&folders, order).map(|message| outbox.send(message));
            }
        };
        let thread = std::thread::Builder::new().name("log".into()).spawn(work);
        Keeper {
            orders: Some(orders),
            answers,
            thread: thread.ok(),
        }
    }

    /// Takes an order that is about the log.
    pub fn obey(&self, order: &Order) {
        if let (Order::ReadLog | Order::Log(_), Some(orders)) = (order, &self.orders) {
            // The thread ends only with this.
            let _ = orders.send(order.clone());
        }
    }

    /// What has been done since the last time.
    pub fn tick(&self) -> Vec<Message> {
        self.answers.try_iter().collect()
    }
}

impl Drop for Keeper {
    fn drop(&mut self) {
        self.orders = None;
        if let Some(thread) = self.thread.take() {
            // A panic there has been reported already.
            let _ = thread.join();
        }
    }
}

fn answer(folders: &Result<Folders, String>, order: Order) -> Option<Message> {
    match order {
        Order::ReadLog => {
            let read = |f: &Folders| f.read_log().map_err(|e| e.to_string());
            Some(Message::LogRead(
                folders.as_ref().map_err(Clone::clone).and_then(read),
            ))
        }
        Order::Log(line) => {
            let add = |f: &Folders| f.add_to_log(&line).map_err(|e| e.to_string());
            let result = folders.as_ref().map_err(Clone::clone).and_then(add);
            Some(Message::Logged(line, result))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn all_lines_are_on_disk_when_it_ends() {
        let folder = tempfile::tempdir().unwrap();
        let folders = Folders::under(folder.path());
        let keeper = Keeper::new(Ok(folders.clone()));
        let lines: Vec<String> = (0..20).map(|i| format!("line {i}")).collect();
        for line in &lines {
            keeper.obey(&Order::Log(line.clone()));
        }
        drop(keeper);
        let text = folders.read_log().unwrap();
        assert_eq!(text.lines().collect::<Vec<_>>(), lines);
    }

    #[test]
    fn without_a_home_every_order_is_answered() {
        let keeper = Keeper::new(Err("no home".into()));
        keeper.obey(&Order::ReadLog);
        keeper.obey(&Order::Log("x".into()));
        let none = || Err("no home".to_string());
        let said = [
            Message::LogRead(none().map(|()| String::new())),
            Message::Logged("x".into(), none()),
        ];
        assert_eq!(keeper.answers.recv(), Ok(said[0].clone()));
        assert_eq!(keeper.answers.recv(), Ok(said[1].clone()));
    }
}
