//! The songs and the practice log on disk, read and written on a thread of its own, so that the screen
//! never waits: only the next key does, and not for long, until what the last one changed is on the
//! disk.

mod clerk;
mod errand;
mod inbox;
mod papers;
#[cfg(test)]
mod tests;

pub use errand::{Address, Errand, Kind, List, News, Paper};

pub(super) use clerk::Clerk;

use crate::shelf::Folders;
use inbox::Inbox;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, TryRecvError, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

/// How many songs are read before the next errand gets its turn.
const AT_ONCE: usize = 16;

/// What comes back from the thread.
enum Report {
    /// What there is to tell once so many errands are done.
    News(Vec<News>, usize),
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
    /// How many errands are done, though songs may be left to read.
    written: usize,
    /// How many errands there were with the last change to be jotted down.
    changed: usize,
    /// Such a change took too long once, so that no key waits until it is done.
    late: bool,
    /// What was heard while a key waited.
    heard: Vec<News>,
    /// When anything was heard last, or asked for after everything was done.
    last: Instant,
}

/// The longest that a key waits for the disk.
const PATIENCE: Duration = Duration::from_secs(1);

/// How long the disk may be silent before it is said.
const SILENCE: Duration = Duration::from_secs(2);

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
            written: 0,
            changed: 0,
            late: false,
            heard: Vec::new(),
            last: Instant::now(),
        }
    }

    /// Sends an errand off.
    pub fn send(&mut self, errand: Errand) {
        if !self.is_busy() {
            self.last = Instant::now();
        }
        self.sent += 1;
        if matches!(errand, Errand::Jot { .. }) {
            self.changed = self.sent;
        }
        if let Some(errands) = &self.errands {
            // Without the thread there is no answer, and the screen goes on.
            let _ = errands.send(errand);
        }
    }

    /// What was heard since the last time.
    pub fn news(&mut self) -> Vec<News> {
        loop {
            match self.reports.try_recv() {
                Ok(report) => self.hear(report),
                Err(TryRecvError::Empty) => break,
                Err(TryRecvError::Disconnected) => {
                    self.done = self.sent;
                    self.written = self.sent;
                    break;
                }
            }
        }
        std::mem::take(&mut self.heard)
    }

    fn hear(&mut self, report: Report) {
        self.last = Instant::now();
        match report {
            Report::News(news, done) => {
                self.heard.extend(news);
                self.written = done;
            }
            Report::Still(done) => (self.done, self.written) = (done, done),
        }
    }

    /// Waits until the last change is on the disk, so that a crash at the next key loses no more than
    /// that. A disk that keeps it waiting too long is not waited for again until it has caught up.
    pub fn settle(&mut self) {
        let until = Instant::now() + PATIENCE;
        while self.written < self.changed {
            let left = until.saturating_duration_since(Instant::now());
            let left = if self.late { Duration::ZERO } else { left };
            match self.reports.recv_timeout(left) {
                Ok(report) => self.hear(report),
                Err(RecvTimeoutError::Timeout) => {
                    self.late = true;
                    return;
                }
                Err(RecvTimeoutError::Disconnected) => return,
            }
        }
        self.late = false;
    }

    /// Whether something is under way, so that news will come soon.
    pub fn is_busy(&self) -> bool {
        self.done < self.sent
    }

    /// For how many seconds the disk has not answered, once that is worth saying.
    pub fn stall(&self) -> Option<u64> {
        let silent = self.last.elapsed();
        (self.is_busy() && silent >= SILENCE).then_some(silent.as_secs())
    }

    /// Waits a while for everything asked for to be on the disk. False when it is not.
    pub fn finish(&mut self) -> bool {
        let until = Instant::now() + PATIENCE;
        while self.is_busy() {
            let left = until.saturating_duration_since(Instant::now());
            match self.reports.recv_timeout(left) {
                Ok(report) => self.hear(report),
                Err(RecvTimeoutError::Timeout) => return false,
                Err(RecvTimeoutError::Disconnected) => break,
            }
        }
        true
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
    let mut inbox = Inbox::new(errands);
    let mut done = 0;
    loop {
        let errand = if clerk.has_unread() {
            inbox.try_next()
        } else {
            // Nobody listens any more once the program ends; the errands are done all the same.
            if inbox.is_empty() {
                let _ = reports.send(Report::Still(done));
            }
            inbox.next()
        };
        let news = match errand {
            Ok((errand, count)) => {
                done += count;
                clerk.run(errand)
            }
            Err(TryRecvError::Empty) => clerk.read_on(AT_ONCE),
            Err(TryRecvError::Disconnected) => return,
        };
        let _ = reports.send(Report::News(news, done));
    }
}
