//! Pins on the Desk: set, taken out, undone; and the undoing of ideas.

use super::Desk;
use super::desk::Weight;
use crate::arrange::{ArrangeError, Front, Layer, Pluck, variants};
use crate::score::{counted, missing};
use crate::song::{Idea, Pin, Place, Song, Target, Wish};
use crate::studio::message::Order;

/// What the player decided.
type Decided = (Vec<Pin>, Vec<Idea>);

/// The pins and ideas as they were, for undo and redo without limit.
#[derive(Debug, Default)]
pub struct History {
    before: Vec<Decided>,
    after: Vec<Decided>,
    /// Pins that took a way to play a bar: the next way for it takes their place.
    ways: Vec<Pin>,
}

impl History {
    fn record(&mut self, decided: Decided) {
        self.before.push(decided);
        self.after.clear();
    }
}

impl Desk {
    /// The pin that holds a note, if there is one.
    pub fn pin_of(&self, pluck: &Pluck) -> Option<usize> {
        let start = *self.arrangement.song.starts().get(pluck.bar)?;
        let holds = |pin: &Pin| {
            (pin.bar, pin.at) == (pluck.bar, pluck.at - start)
                && match (&pin.wish, pluck.layer) {
                    (Wish::Place { target, .. }, Layer::Melody) => *target == Target::Melody,
                    (Wish::Place { target, .. }, Layer::Bass) => *target == Target::Bass,
                    (Wish::Bass { .. }, layer) => layer == Layer::Bass,
                    (Wish::Grip(_) | Wish::Fill(_), _) => true,
                    (Wish::Place { .. } | Wish::Nothing, _) => false,
                }
        };
        self.arrangement.song.pins.iter().position(holds)
    }

    pub(super) fn toggle_pin(&mut self) -> Vec<Order> {
        let Some(pluck) = self.pluck().cloned() else {
            self.say(
                Weight::Trouble,
                "no note is struck here to be pinned".into(),
            );
            return Vec::new();
        };
        let mut pins = self.arrangement.song.pins.clone();
        let text = match self.pin_of(&pluck) {
            Some(index) => {
                let pin = pins.remove(index);
                format!("pin out: {}", described(&self.arrangement.song, &pin))
            }
            None => {
                let Some(pin) = self.pin_for(&pluck) else {
                    return Vec::new();
                };
                let text = format!("pinned: {}", described(&self.arrangement.song, &pin));
                self.history.ways.retain(|p| *p != pin);
                pins.push(pin);
                text
            }
        };
        self.take(pins, text)
    }

    /// A pin that keeps a note where it is: string and fret of melody or bass, the whole grip for a
    /// note of the fill.
    fn pin_for(&self, pluck: &Pluck) -> Option<Pin> {
        let start = *self.arrangement.song.starts().get(pluck.bar)?;
        let place = |target| Wish::Place {
            target,
            string: Some(pluck.string),
            fret: Some(pluck.fret),
            finger: None,
        };
        let wish = match pluck.layer {
            Layer::Melody => place(Target::Melody),
            Layer::Bass => place(Target::Bass),
            Layer::Fill | Layer::Colour => {
                let strings = self.arrangement.instrument.strings();
                let frets = self.slice()?.grip.frets.iter().take(strings);
                Wish::Grip(frets.map(|&f| u8::try_from(f).ok()).collect())
            }
        };
        Some(Pin {
            bar: pluck.bar,
            at: pluck.at - start,
            wish,
            place: Place::default(),
        })
    }

    /// The ways to play a bar that the player's own pins allow: those that took a way before are left out,
    /// so that there is a way back from it.
    pub(super) fn ways(&self, bar: usize) -> Result<Front, ArrangeError> {
        let now = &self.arrangement;
        let found = |song| variants(song, &now.instrument, &now.hand, &self.options, bar);
        let is_way = |p: &Pin| p.bar == bar && self.history.ways.contains(p);
        let (taken, own): (Vec<Pin>, Vec<Pin>) = now.song.pins.iter().cloned().partition(is_way);
        if taken.is_empty() {
            return found(&now.song);
        }
        let free = Song {
            pins: own,
            ..now.song.clone()
        };
        let mut front = found(&free)?;
        let is_taken = |pins: Vec<Pin>| {
            let ours = |p: &Pin| taken.contains(p) || free.pins.contains(p);
            pins.iter().all(ours) && taken.iter().all(|p| pins.contains(p))
        };
        front.stands = front.variants.iter().position(|v| is_taken(v.pins()));
        if front.stands.is_none() {
            // What else was decided since has changed it.
            front.current = found(&now.song)?.current;
        }
        Ok(front)
    }

    /// Takes the neighbouring way to play the bar, as pins. The player's own pins stay.
    pub(super) fn lean(&mut self, by: isize) -> Vec<Order> {
        self.work_out_variants();
        let Some((bar, front)) = &self.front else {
            self.say(
                Weight::Trouble,
                "stop the music first; then the ways are worked out".into(),
            );
            return Vec::new();
        };
        let effort = front.current.effort;
        let next = match (front.stands, by < 0) {
            (Some(at), _) => at
                .checked_add_signed(by)
                .and_then(|i| front.variants.get(i)),
            (None, true) => front.variants.iter().rev().find(|v| v.effort <= effort),
            (None, false) => front
                .variants
                .iter()
                .find(|v| v.fullness > front.current.fullness),
        };
        let bar = *bar;
        let mut pins = self.arrangement.song.pins.clone();
        pins.retain(|p| p.bar != bar || !self.history.ways.contains(p));
        let Some(variant) = next else {
            let word = if by < 0 { "easier" } else { "fuller" };
            let text = match pins.iter().any(|p| p.bar == bar) {
                true => {
                    format!("nothing {word} is to be had with your pins here; ⟨p⟩ takes one out")
                }
                false => format!("nothing {word} is to be had in this bar"),
            };
            self.say(Weight::News, text);
            return Vec::new();
        };
        let text = format!("taken: fullness {}; its grips are pinned", variant.fullness);
        let mut way = variant.pins();
        way.retain(|p| !pins.contains(p));
        pins.extend(way.iter().cloned());
        self.history.ways.extend(way);
        self.take(pins, text)
    }

    /// Tries other pins; a clash is named and everything stays as it was.
    fn take(&mut self, pins: Vec<Pin>, text: String) -> Vec<Order> {
        let ideas = self.arrangement.song.ideas.clone();
        self.decide((pins, ideas), text)
    }

    /// Tries other ideas, in the same way.
    pub(super) fn take_ideas(&mut self, ideas: Vec<Idea>, text: String) -> Vec<Order> {
        let pins = self.arrangement.song.pins.clone();
        self.decide((pins, ideas), text)
    }

    fn decide(&mut self, (pins, ideas): Decided, text: String) -> Vec<Order> {
        let before = self.decided();
        let song = Song {
            pins,
            ideas,
            ..self.arrangement.song.clone()
        };
        match self.solve(&song) {
            Ok(order) => {
                self.history.record(before);
                self.say(Weight::News, text);
                vec![order]
            }
            Err(error) => {
                let text = self.refused(&song, &error);
                self.say(Weight::Trouble, text);
                Vec::new()
            }
        }
    }

    /// Takes pins as if they had been set here, and gives what is said about it.
    #[cfg(test)]
    pub(crate) fn take_for_test(&mut self, pins: Vec<Pin>) -> String {
        self.take(pins, String::new());
        self.said.clone().map(|s| s.1).unwrap_or_default()
    }

    pub(super) fn travel(&mut self, back: bool) -> Vec<Order> {
        let list = if back {
            &mut self.history.before
        } else {
            &mut self.history.after
        };
        let Some(decided) = list.pop() else {
            let word = if back { "undo" } else { "do again" };
            self.say(Weight::News, format!("nothing to {word}"));
            return Vec::new();
        };
        let now = self.decided();
        let (pins, ideas) = decided.clone();
        let song = Song {
            pins,
            ideas,
            ..self.arrangement.song.clone()
        };
        match self.solve(&song) {
            Ok(order) => {
                if back {
                    self.history.after.push(now);
                } else {
                    self.history.before.push(now);
                }
                self.say(
                    Weight::News,
                    if back { "undone" } else { "done again" }.into(),
                );
                vec![order]
            }
            Err(error) => {
                if back {
                    self.history.before.push(decided);
                } else {
                    self.history.after.push(decided);
                }
                let text = self.refused(&song, &error);
                self.say(Weight::Trouble, text);
                Vec::new()
            }
        }
    }

    fn decided(&self) -> Decided {
        let song = &self.arrangement.song;
        (song.pins.clone(), song.ideas.clone())
    }

    fn refused(&self, song: &Song, error: &ArrangeError) -> String {
        let ArrangeError::Clash { pins } = error else {
            return format!("{error}; all stays as it was");
        };
        let named: Vec<String> = (pins.iter())
            .filter_map(|&i| Some(described(song, song.pins.get(i)?)))
            .collect();
        match named.as_slice() {
            [one] => format!("can't be kept by this hand: {one}; all stays as it was"),
            all => format!(
                "can't be kept together: {}; all stays as it was",
                all.join(" and ")
            ),
        }
    }
}

/// A pin in words: `bar 3 beat 1, melody on string 2, fret 5`.
pub(super) fn described(song: &Song, pin: &Pin) -> String {
    let Some(bar) = song.bars.get(pin.bar) else {
        return String::new();
    };
    let lacks = missing(&song.bars).get(pin.bar).copied().unwrap_or(0);
    let what = match &pin.wish {
        Wish::Place {
            target,
            string,
            fret,
            ..
        } => {
            let mut words = match target {
                Target::Melody => "melody".to_string(),
                Target::Bass => "bass".to_string(),
            };
            if let Some(string) = string {
                words += &format!(" on string {string}");
            }
            if let Some(fret) = fret {
                words += &format!(", fret {fret}");
            }
            words
        }
        Wish::Grip(_) => "the grip".into(),
        Wish::Bass(note) => format!("bass {}", note.name),
        Wish::Fill(n) => format!("{n} fill notes"),
        Wish::Nothing => "nothing but the melody".into(),
    };
    format!(
        "bar {} beat {}, {what}",
        bar.number,
        counted(bar, lacks, pin.at)
    )
}
