//! How far a long command has got.

use std::io::{IsTerminal, Write};

/// How far a long list has got, told on a terminal only.
pub(super) struct Progress {
    what: &'static str,
    all: usize,
    done: usize,
    shown: bool,
}

impl Progress {
    /// Shorter lists are done before one could read it.
    const LONG: usize = 20;

    pub(super) fn new(what: &'static str, all: usize) -> Progress {
        Progress {
            what,
            all,
            done: 0,
            shown: all > Self::LONG && std::io::stderr().is_terminal(),
        }
    }

    pub(super) fn step(&mut self, err: &mut dyn Write) {
        self.done += 1;
        if self.shown {
            let _ = write!(err, "\r{} {} of {}", self.what, self.done, self.all);
            let _ = err.flush();
        }
    }

    pub(super) fn end(&self, err: &mut dyn Write) {
        if self.shown {
            let _ = write!(err, "\r{:40}\r", "");
        }
    }
}
