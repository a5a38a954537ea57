//! The errands that wait. While the disk is slow, what a song said for a moment is not written any
//! more once it says something else.

use super::Errand;
use std::collections::VecDeque;
use std::sync::mpsc::{Receiver, TryRecvError};

/// Errands in order.
pub(super) struct Inbox<'a> {
    errands: &'a Receiver<Errand>,
    waiting: VecDeque<Errand>,
}

impl Inbox<'_> {
    pub fn new(errands: &Receiver<Errand>) -> Inbox<'_> {
        Inbox {
            errands,
            waiting: VecDeque::new(),
        }
    }

    /// Whether nothing waits.
    pub fn is_empty(&mut self) -> bool {
        self.waiting.extend(self.errands.try_iter());
        self.waiting.is_empty()
    }

    /// The next errand, and how many are done with it.
    ///
    /// # Errors
    /// When there is none just now, or there will be none any more.
    pub fn try_next(&mut self) -> Result<(Errand, usize), TryRecvError> {
        if self.is_empty() {
            self.waiting.push_back(self.errands.try_recv()?);
        }
        self.take()
    }

    /// The same, waiting for it.
    ///
    /// # Errors
    /// When there will be none any more.
    pub fn next(&mut self) -> Result<(Errand, usize), TryRecvError> {
        if self.is_empty() {
            let errand = self.errands.recv();
            (self.waiting).push_back(errand.map_err(|_| TryRecvError::Disconnected)?);
        }
        self.take()
    }

    fn take(&mut self) -> Result<(Errand, usize), TryRecvError> {
        let mut errand = self.waiting.pop_front().ok_or(TryRecvError::Empty)?;
        let mut count = 1;
        while let Some(next) = self.waiting.front()
            && replaces(next, &errand)
        {
            errand = self.waiting.pop_front().ok_or(TryRecvError::Empty)?;
            count += 1;
        }
        Ok((errand, count))
    }
}

/// Whether one errand makes the one just before it needless.
fn replaces(next: &Errand, before: &Errand) -> bool {
    match (next, before) {
        (Errand::Jot { address, .. }, Errand::Jot { address: same, .. }) => address == same,
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::super::Address;
    use super::*;
    use crate::shelf::Name;
    use std::sync::mpsc::channel;

    fn jot(name: &str, text: &str) -> Errand {
        Errand::Jot {
            address: Address {
                folder: "songs".into(),
                name: Name::new(name).unwrap(),
            },
            text: text.into(),
            seal: None,
        }
    }

    #[test]
    fn only_the_newest_of_what_was_jotted_down_in_a_row_is_written() {
        let (errands, inbox) = channel();
        let sent = [
            jot("weir", "1"),
            jot("weir", "2"),
            jot("weir", "3"),
            jot("quay", "1"),
            Errand::List,
            jot("quay", "2"),
        ];
        sent.iter().for_each(|e| errands.send(e.clone()).unwrap());
        let mut inbox = Inbox::new(&inbox);
        assert_eq!(inbox.try_next(), Ok((jot("weir", "3"), 3)));
        assert_eq!(inbox.next(), Ok((jot("quay", "1"), 1)));
        assert_eq!(inbox.try_next(), Ok((Errand::List, 1)));
        drop(errands);
        assert_eq!(inbox.next(), Ok((jot("quay", "2"), 1)));
        assert_eq!(inbox.next(), Err(TryRecvError::Disconnected));
        assert_eq!(inbox.try_next(), Err(TryRecvError::Disconnected));
    }

    #[test]
    fn with_nothing_to_do_it_says_so() {
        let (errands, inbox) = channel();
        let mut inbox = Inbox::new(&inbox);
        assert_eq!(inbox.try_next(), Err(TryRecvError::Empty));
        errands.send(Errand::Bin).unwrap();
        assert!(!inbox.is_empty());
        assert_eq!(inbox.try_next(), Ok((Errand::Bin, 1)));
    }
}
