//! The notices of one reading, what is passed over counted by kind.

use crate::song::{Notice, Place};
use std::collections::BTreeMap;

/// Collects notices.
#[derive(Debug, Clone, Default)]
pub(crate) struct Notices {
    list: Vec<Notice>,
    passed: BTreeMap<String, (Place, usize)>,
}

impl Notices {
    /// Adds a notice.
    pub(crate) fn tell(&mut self, place: Place, text: impl Into<String>) {
        self.list.push(Notice::new(place, text));
    }

    /// Counts something that is read and left out, by its name in the plural. It becomes one
    /// notice at the first place.
    pub(crate) fn pass(&mut self, place: Place, what: impl Into<String>) {
        self.passed.entry(what.into()).or_insert((place, 0)).1 += 1;
    }

    /// Everything in order of place.
    pub(crate) fn finish(mut self) -> Vec<Notice> {
        for (what, (place, times)) in self.passed {
            let text = match times {
                1 => format!("passed over: {what}"),
                _ => format!("passed over: {what} ({times} times, first here)"),
            };
            self.list.push(Notice::new(place, text));
        }
        self.list.sort_by_key(|n| n.place);
        self.list
    }
}
