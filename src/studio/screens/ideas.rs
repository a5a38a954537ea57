//! Ideas on the Desk: found for the bar under the cursor, taken, left.

use super::Desk;
use super::desk::Weight;
use crate::arrange::{Layer, Offer, Options, offers, why};
use crate::song::Idea;
use crate::studio::message::Order;

/// The ideas for one bar.
#[derive(Debug, Clone, PartialEq)]
pub struct Ideas {
    /// Index of the bar.
    pub bar: usize,
    /// Those taken there already, as indices into the song's ideas.
    pub taken: Vec<usize>,
    /// Those that may be taken, the best first.
    pub offers: Vec<Offer>,
    /// Which one is chosen: the taken ones come first.
    pub chosen: usize,
}

impl Ideas {
    /// How many there are in all.
    pub fn len(&self) -> usize {
        self.taken.len() + self.offers.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The chosen one of those that may be taken.
    pub fn offer(&self) -> Option<&Offer> {
        self.offers.get(self.chosen.checked_sub(self.taken.len())?)
    }
}

impl Desk {
    /// Works out the ideas for the bar under the cursor, in the fourth layer and when all is still.
    pub(super) fn work_out_ideas(&mut self) {
        let bar = self.bar();
        let known = self.ideas.as_ref().is_some_and(|i| i.bar == bar);
        if known || self.playing.is_some() || self.options.layer < Layer::Colour {
            return;
        }
        let now = &self.arrangement;
        let options = Options {
            // The octave is known.
            shift: Some(now.shift),
            ..self.options.clone()
        };
        let found = offers(&now.song, &now.instrument, &now.hand, &options, bar);
        let here = |i: &Idea| (i.bar..=i.to).contains(&bar);
        self.ideas = Some(Ideas {
            bar,
            taken: (now.song.taken())
                .filter(|(_, i)| here(i))
                .map(|(index, _)| index)
                .collect(),
            offers: found.unwrap_or_default(),
            chosen: 0,
        });
    }

    /// Chooses another idea of the list.
    pub(super) fn choose_idea(&mut self, by: isize) {
        if self.proposal.is_some() {
            self.choose_proposed(by);
            return;
        }
        self.work_out_ideas();
        if self.options.layer < Layer::Colour {
            self.say(Weight::News, self.why_no_idea().into());
            return;
        }
        if let Some(ideas) = &mut self.ideas {
            let last = ideas.len().saturating_sub(1);
            ideas.chosen = ideas.chosen.saturating_add_signed(by).min(last);
        }
    }

    /// Takes the chosen idea; one that is taken already is put back.
    pub(super) fn take_idea(&mut self) -> Vec<Order> {
        if self.proposal.is_some() {
            return self.take_proposal();
        }
        let Some(ideas) = self.ideas.clone().filter(|i| !i.is_empty()) else {
            self.say(Weight::News, self.why_no_idea().into());
            return Vec::new();
        };
        let mut list = self.arrangement.song.ideas.clone();
        let text = match (ideas.taken.get(ideas.chosen), ideas.offer()) {
            (Some(&index), _) if index < list.len() => {
                let idea = list.remove(index);
                format!("put back: {}", why(&idea.figure))
            }
            (_, Some(offer)) => {
                list.push(offer.idea.clone());
                format!("taken: {} ({} efforts)", offer.text, signed(offer.effort()))
            }
            _ => return Vec::new(),
        };
        self.take_ideas(list, text)
    }

    /// Leaves the chosen idea: it is not offered again.
    pub(super) fn leave_idea(&mut self) -> Vec<Order> {
        if self.proposal.is_some() {
            return self.leave_proposal();
        }
        let chosen = self.ideas.as_ref().and_then(Ideas::offer).cloned();
        let Some(offer) = chosen else {
            self.say(Weight::News, self.why_no_idea().into());
            return Vec::new();
        };
        let mut list = self.arrangement.song.ideas.clone();
        list.push(Idea {
            left: true,
            ..offer.idea
        });
        self.take_ideas(list, format!("left, and not offered again: {}", offer.text))
    }

    pub(super) fn why_no_idea(&self) -> &'static str {
        match self.options.layer {
            Layer::Colour => "no idea is chosen here",
            _ => "ideas belong to layer 4: press ⟨4⟩ first",
        }
    }
}

/// A change of effort with its sign, to a tenth: `+0.5`, `−1.2`.
pub(crate) fn signed(thousandths: i64) -> String {
    let text = tenths(thousandths.abs());
    match (text.as_str(), thousandths < 0) {
        ("0.0", _) => text,
        (_, true) => format!("−{text}"),
        (_, false) => format!("+{text}"),
    }
}

/// An effort to a tenth: `1.2`.
pub(in crate::studio) fn tenths(thousandths: i64) -> String {
    let tenths = (thousandths + 50) / 100;
    format!("{}.{}", tenths / 10, tenths % 10)
}
