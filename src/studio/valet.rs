//! The config and the themes on a thread of their own: they may lie on a disk that does not answer,
//! and the screen never waits for one.

use super::config::Wardrobe;
use super::message::Message;
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::time::Duration;

/// The longest that the first frame waits for the player's wishes.
const PATIENCE: Duration = Duration::from_secs(1);

/// Looks after the wardrobe.
pub(super) struct Valet {
    asks: Sender<()>,
    answers: Receiver<Option<Message>>,
    /// There is no answer yet.
    looks: bool,
}

impl Valet {
    pub fn new(mut wardrobe: Wardrobe) -> Valet {
        let (asks, inbox) = channel::<()>();
        let (outbox, answers) = channel();
        let work = move || {
            for () in inbox {
                if outbox.send(wardrobe.tick()).is_err() {
                    return; // the studio has ended
                }
            }
        };
        // Nothing is written there, so nobody waits for it in the end. Without it the look stays.
        let _ = std::thread::Builder::new().name("look".into()).spawn(work);
        Valet {
            asks,
            answers,
            looks: false,
        }
    }

    /// Asks whether anything has changed, unless that is being found out already.
    pub fn look(&mut self) {
        if !self.looks {
            self.looks = self.asks.send(()).is_ok();
        }
    }

    /// The look to begin with, or what is wrong with it; waits for it a while.
    pub fn first(&mut self) -> Option<Message> {
        self.look();
        let answer = self.answers.recv_timeout(PATIENCE).ok();
        self.looks &= answer.is_none();
        answer.flatten()
    }

    /// What has changed since the last time: the look, or why it stays as it is.
    pub fn tick(&mut self) -> Option<Message> {
        match self.answers.try_recv() {
            Ok(answer) => {
                self.looks = false;
                answer
            }
            Err(TryRecvError::Empty | TryRecvError::Disconnected) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::theme::Theme;
    use super::*;
    use crate::shelf::Folders;

    #[test]
    fn what_is_worn_first_is_known_at_once_and_asked_for_again() {
        let folder = tempfile::tempdir().unwrap();
        let folders = Folders::under(folder.path());
        let usual = Theme::named("plain").unwrap();
        let mut valet = Valet::new(Wardrobe::new(Some(folders), usual));
        assert!(matches!(valet.first(), Some(Message::Dress(_))));
        std::fs::write(folder.path().join("config.toml"), "theme = \"daylight\"").unwrap();
        // The answer that was asked for before the change may come first.
        let changed = (0..2).find_map(|_| {
            valet.look();
            let answer = valet.answers.recv_timeout(Duration::from_secs(60));
            valet.looks = false;
            answer.unwrap()
        });
        let Some(Message::Dress(look)) = changed else {
            panic!("{changed:?}");
        };
        assert_eq!(look.theme, Theme::named("daylight").unwrap());
    }
}
