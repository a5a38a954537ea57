//! The songs on disk, read and written on a thread of its own, so that the screen never waits.

mod clerk;
mod errand;
mod papers;
#[cfg(test)]
mod tests;

pub use errand::{Address, Errand, Kind, List, News, Paper};

pub(super) use clerk::Clerk;

use crate::shelf::Folders;
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::thread::JoinHandle;

/// How many songs are read before the next errand gets its turn.
const AT_ONCE: usize = 16;

/// What comes back from the thread.
enum Report {
    News(Vec<News>),
    /// So many errands are done, and nothing is left to read.
    Still(usize),
}

/// The thread that does the errands, in order.
pub(super) struct Files {
    errands: Option<Sender<Errand>>,
    reports: Receiver<Report>,
    thread: Option<JoinHandle<()>>,
    sent: usize,
    done: usize,
}

impl Files {
    /// Starts the thread; nothing is read yet. Without `folders` only single files can be reached.
    pub fn start(folders: Option<Folders>) -> Files {
        let (errands, inbox) = channel();
        let (outbox, reports) = channel();
        let thread = std::thread::Builder::new().name("songs".into());
        let thread = thread.spawn(move || work(Clerk::new(folders), &inbox, &outbox));
        Files {
            errands: Some(errands),
            reports,
            thread: thread.ok(),
            sent: 0,
            done: 0,
        }
    }

    /// Sends an errand off.
    pub fn send(&mut self, errand: Errand) {
        self.sent += 1;
        if let Some(errands) = &self.errands {
            // Without the thread there is no answer, and the screen goes on.
            let _ = errands.send(errand);
        }
    }

    /// What was heard since the last time.
    pub fn news(&mut self) -> Vec<News> {
        let mut all = Vec::new();
        loop {
            match self.reports.try_recv() {
                Ok(Report::News(news)) => all.extend(news),
                Ok(Report::Still(done)) => self.done = done,
                Err(TryRecvError::Empty) => return all,
                Err(TryRecvError::Disconnected) => {
                    self.done = self.sent;
                    return all;
                }
            }
        }
    }

    /// Whether something is under way, so that news will come soon.
    pub fn is_busy(&self) -> bool {
        self.done < self.sent
    }
}

impl Drop for Files {
    /// Waits until everything asked for is on the disk.
    fn drop(&mut self) {
        self.errands = None;
        if let Some(thread) = self.thread.take() {
            // A panic there has been reported already.
            let _ = thread.join();
        }
    }
}

fn work(mut clerk: Clerk, errands: &Receiver<Errand>, reports: &Sender<Report>) {
    let mut done = 0;
    loop {
        let errand = if clerk.has_unread() {
            errands.try_recv()
        } else {
            // Nobody listens any more once the program ends; the errands are done all the same.
            let _ = reports.send(Report::Still(done));
            errands.recv().map_err(|_| TryRecvError::Disconnected)
        };
        let news = match errand {
            Ok(errand) => {
                done += 1;
                clerk.run(errand)
            }
            Err(TryRecvError::Empty) => clerk.read_on(AT_ONCE),
            Err(TryRecvError::Disconnected) => return,
        };
        let _ = reports.send(Report::News(news));
    }
}
