//! From the Desk to the writing screen and back.

use super::{Past, Writing};
use crate::arrange::{ArrangeError, Layer, Options};
use crate::song::Song;
use crate::song::edit::{Caret, Draft};
use crate::studio::message::Order;
use crate::studio::screens::desk::{Desk, DeskError, Unlaid, Weight};
use crate::studio::screens::home::Home;
use crate::studio::screens::pins::{History, described};

/// What the Desk was like, for the way back.
#[derive(Debug)]
pub(super) struct Aside {
    /// Semitones that the arrangement moved the melody by.
    pub shift: i32,
    options: Options,
    speed: u16,
    click: bool,
    /// Changes of pins and ideas, which hold as long as the bars do.
    history: Option<(History, Song)>,
}

impl Aside {
    /// A song that was never on the Desk is to be known first; one with ideas that were taken was there.
    pub(super) fn of(song: &Song) -> Aside {
        let mut options = Options::usual(song);
        if options.layer < Layer::Colour {
            options.layer = Layer::Melody;
        }
        Aside {
            shift: 0,
            options,
            speed: 100,
            click: false,
            history: None,
        }
    }
}

impl Writing {
    /// A song that can't be laid on the Desk as it is; why, is said.
    pub fn unlaid(unlaid: Unlaid) -> Writing {
        let mut writing = Writing::new(unlaid.song, unlaid.home);
        match unlaid.error {
            DeskError::Empty => {
                writing.say("nothing is written yet: a to g write notes, ⟨?⟩ shows the keys");
            }
            error => writing.complain(error.to_string()),
        }
        writing
    }

    /// Lays the song on the Desk. Pins that can't be kept any more are taken out, which is said.
    /// Where there is nothing to arrange, or no way to, that is said and the song stays here.
    pub fn finish(&mut self) -> Option<(Desk, Vec<Order>)> {
        let mut song = self.song().clone();
        let mut home = std::mem::take(&mut self.home);
        let mut lost = Vec::new();
        let mut desk = loop {
            let unlaid = match Desk::lay(song, home, self.aside.options.clone()) {
                Ok(desk) => break desk,
                Err(unlaid) => *unlaid,
            };
            (song, home) = (unlaid.song, unlaid.home);
            match unlaid.error {
                DeskError::Arrange(ArrangeError::Clash { pins })
                    if pins.iter().any(|&i| i < song.pins.len()) =>
                {
                    let named = pins.iter().filter_map(|&i| song.pins.get(i));
                    lost.extend(named.map(|pin| described(&song, pin)));
                    let mut index = 0..;
                    (song.pins).retain(|_| index.next().is_none_or(|i| !pins.contains(&i)));
                }
                error => {
                    self.home = home;
                    self.remain(&error);
                    return None;
                }
            }
        };
        desk.speed = self.aside.speed;
        desk.click = self.aside.click;
        let here = self.draft.caret();
        let (bar, at) = match self.draft.before() {
            Some((bar, item)) if here.at > 0 => (bar, item.at),
            _ => (self.draft.bar(), here.at),
        };
        let start = desk.arrangement.song.starts().get(bar).copied();
        desk.go_to(start.unwrap_or(0) + at);
        if let Some((history, before)) = self.aside.history.take()
            && before.bars == desk.arrangement.song.bars
        {
            desk.history = history;
        }
        desk.past = std::mem::take(&mut self.past);
        desk.past.leave(self.draft.clone());
        if !lost.is_empty() {
            let text = format!(
                "pins that can't be kept any more are out: {}",
                lost.join("; ")
            );
            desk.say(Weight::Trouble, text);
        }
        let orders = desk.keep().into_iter().collect();
        Some((desk, orders))
    }

    fn remain(&mut self, error: &DeskError) {
        let text = match error {
            DeskError::Empty => {
                "only rests are written, so there is nothing to arrange: a to g write notes".into()
            }
            error => error.to_string(),
        };
        self.complain(format!("{text} (⟨Esc⟩ again goes to the songs)"));
        self.stuck = true;
    }

    /// Whether leaving leads to the songs, as there is nothing for the Desk.
    pub fn leaves_for_good(&self) -> bool {
        self.stuck || self.draft.is_blank()
    }
}

impl Desk {
    /// The song goes to the writing screen, with all that is known of where it is kept.
    pub fn write(&mut self) -> Writing {
        let song = self.arrangement.song.clone();
        let home = std::mem::take(&mut self.home);
        let mut past = std::mem::take(&mut self.past);
        let mut draft = Draft::new(song.clone(), &home.meter());
        // Behind the note under the cursor, so that it is the one that keys change.
        let start = song.starts().get(self.bar()).copied();
        draft.go_to(Caret {
            bar: self.bar(),
            at: self.at - start.unwrap_or(0),
        });
        draft.step(1);
        past.resume(&draft, &home.progress);
        let aside = Aside {
            shift: self.arrangement.shift,
            options: self.options.clone(),
            speed: self.speed,
            click: self.click,
            history: Some((std::mem::take(&mut self.history), song)),
        };
        Writing::on(draft, home, past, aside)
    }

    /// What a crash left and can't be arranged, to be written on; nothing in the usual case.
    pub fn unfit(&mut self) -> Option<Writing> {
        let jotted = *self.unfit.take()?;
        let mut home: Home = std::mem::take(&mut self.home);
        let song = jotted.song.clone();
        home.go_on_with(jotted);
        let aside = Aside::of(&song);
        let draft = Draft::new(song, &home.meter());
        let mut writing = Writing::on(draft, home, Past::default(), aside);
        writing.say(crate::studio::screens::home::BACK);
        Some(writing)
    }
}
