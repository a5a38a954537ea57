//! Proposals on the Desk: ideas for the whole song, shown bar by bar and heard before they are taken.

use super::Desk;
use super::desk::Weight;
use super::ideas::signed;
use crate::arrange::{Layer, Proposal, Proposed, propose};
use crate::exchange::how_many;
use crate::score::Score;
use crate::studio::message::Order;

/// A proposal that is looked at. The song is as it was until it is taken.
#[derive(Debug, Clone, PartialEq)]
pub struct Shown {
    /// The ideas, and the song arranged with them.
    pub proposed: Proposed,
    /// Which of its ideas is chosen.
    pub chosen: usize,
    /// The song is heard with it; else as it is.
    pub with: bool,
}

impl Shown {
    /// How many ideas it has.
    pub fn size(&self) -> String {
        how_many(self.proposed.offers.len(), "idea")
    }
}

/// How many thousandths of an effort a proposal may cost for each bar.
const BUDGET: i64 = 250;

impl Desk {
    /// Shows the next proposal for the whole song; after the last one, none.
    pub(super) fn propose(&mut self) -> Vec<Order> {
        if self.options.layer < Layer::Colour {
            self.say(Weight::News, self.why_no_idea().into());
            return Vec::new();
        }
        let next = match &self.proposal {
            None => Proposal::ALL.first(),
            Some(shown) => {
                let at = Proposal::ALL
                    .iter()
                    .position(|p| *p == shown.proposed.proposal);
                at.and_then(|i| Proposal::ALL.get(i + 1))
            }
        };
        let Some(&proposal) = next else {
            return self.leave_proposal();
        };
        let now = &self.arrangement;
        let wanted = (proposal, BUDGET * now.song.bars.len() as i64);
        let found = propose(&now.song, &now.instrument, &now.hand, &self.options, wanted);
        match found {
            Ok(proposed) => {
                self.proposal = Some(Shown {
                    proposed,
                    chosen: 0,
                    with: true,
                });
                vec![self.load()]
            }
            Err(error) => {
                self.say(Weight::Trouble, error.to_string());
                Vec::new()
            }
        }
    }

    /// What is heard: the song as it is, or with the proposal that is shown.
    pub(super) fn heard_proposal(&self) -> Option<Score> {
        let shown = self.proposal.as_ref().filter(|s| s.with)?;
        Some(Score::new(&shown.proposed.arrangement))
    }

    /// The other one of the two is heard, from where the music is.
    pub(super) fn compare(&mut self) -> Vec<Order> {
        let Some(shown) = &mut self.proposal else {
            return Vec::new();
        };
        shown.with = !shown.with;
        vec![self.load()]
    }

    /// Chooses another one of its ideas, and goes to its bar.
    pub(super) fn choose_proposed(&mut self, by: isize) {
        let Some(shown) = &self.proposal else {
            return;
        };
        let offers = &shown.proposed.offers;
        let chosen = (shown.chosen.saturating_add_signed(by)).min(offers.len().saturating_sub(1));
        let bar = offers.get(chosen).map(|o| o.idea.bar);
        if let Some(at) = bar.and_then(|bar| self.first_onset(bar)) {
            self.go_to(at);
        }
        // Also where nothing is struck in its bar, and the cursor stays before it.
        if let Some(shown) = &mut self.proposal {
            shown.chosen = chosen;
        }
    }

    /// Chooses an idea of the bar under the cursor, where there is one.
    pub(super) fn follow(&mut self) {
        let bar = self.bar();
        let Some(shown) = &mut self.proposal else {
            return;
        };
        let here: Vec<usize> = (shown.proposed.offers.iter().enumerate())
            .filter(|(_, o)| (o.idea.bar..=o.idea.to).contains(&bar))
            .map(|(at, _)| at)
            .collect();
        if let (Some(&first), false) = (here.first(), here.contains(&shown.chosen)) {
            shown.chosen = first;
        }
    }

    /// Takes all of its ideas; one step back undoes it.
    pub(super) fn take_proposal(&mut self) -> Vec<Order> {
        let Some(shown) = self.proposal.take() else {
            return Vec::new();
        };
        let size = shown.size();
        let proposed = shown.proposed;
        let text = format!(
            "taken: {}, {size}, {} efforts in all; ⟨u⟩ takes them back",
            proposed.proposal.name(),
            signed(proposed.more())
        );
        self.take_ideas(proposed.arrangement.song.ideas, text)
    }

    /// Goes on without it.
    pub(in crate::studio) fn leave_proposal(&mut self) -> Vec<Order> {
        if self.proposal.take().is_none() {
            return Vec::new();
        }
        self.say(Weight::News, "no proposal: the song stays as it is".into());
        vec![self.load()]
    }
}
