//! Know it first: in layer 1 tune and chords are heard alone and together, and before the next layer
//! it is asked whether they are known.

use super::desk::{Desk, Weight};
use crate::arrange::Layer;
use crate::score::{Part, Score};
use crate::studio::message::Order;

impl Desk {
    /// Tune, chords or both as they are written.
    pub(super) fn plain(&self, part: Part) -> Score {
        let now = &self.arrangement;
        Score::plain(&now.song, &now.instrument, part, now.shift)
    }

    /// The next of tune alone, chords alone and both.
    pub(super) fn hear_other(&mut self) -> Vec<Order> {
        if self.proposal.is_some() {
            return self.compare();
        }
        if self.options.layer != Layer::Melody {
            let text = "tune and chords are heard alone in layer 1: press ⟨1⟩ first";
            self.say(Weight::News, text.into());
            return Vec::new();
        }
        if self
            .arrangement
            .song
            .bars
            .iter()
            .all(|b| b.chords.is_empty())
        {
            self.say(
                Weight::News,
                "no chords are written yet: ⟨n⟩ goes where they are written".into(),
            );
            return Vec::new();
        }
        let (next, text) = match self.hears {
            Part::Tune => (Part::Chords, "the chords alone are heard now"),
            Part::Chords => (Part::Both, "tune and chords are heard now"),
            Part::Both => (Part::Tune, "the tune alone is heard now"),
        };
        self.hears = next;
        self.say(Weight::News, format!("{text}: ⟨Space⟩ plays"));
        let mut orders = Vec::new();
        if self.playing.take().is_some() {
            orders.push(Order::Stop);
        }
        orders.push(self.load());
        orders
    }

    /// Before layer 1 is left, asks once whether the song is known, unless it is ticked.
    pub(super) fn asks_first(&mut self, layer: Layer) -> bool {
        let known = self.done() >= self.arrangement.song.bars.len();
        if self.options.layer != Layer::Melody || layer == Layer::Melody || known {
            return false;
        }
        if self.asked.replace(layer) == Some(layer) {
            self.asked = None;
            return false;
        }
        let text = format!(
            "do you know it? ⟨h⟩ hears tune and chords, ⟨T⟩ ticks it; ⟨{}⟩ again goes on",
            layer as u8
        );
        self.say(Weight::News, text);
        true
    }
}
