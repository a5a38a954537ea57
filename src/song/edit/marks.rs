//! What the player decided about places of the tune: pins and ideas go along when it is edited.

use super::Caret;
use crate::song::{Figure, Idea, Song, Target, Wish};
use crate::theory::Ticks;
use std::ops::Range;

impl Song {
    /// Moves everything to where `place` says that its bar and ticks are now. An idea of whole bars
    /// reaches as far as the music that it was taken for; `lengths` are those of the bars before.
    pub(super) fn move_marks(&mut self, lengths: &[Ticks], place: impl Fn(usize, Ticks) -> Caret) {
        for pin in &mut self.pins {
            let moved = place(pin.bar, pin.at);
            (pin.bar, pin.at) = (moved.bar, moved.at);
        }
        for idea in &mut self.ideas {
            let moved = place(idea.bar, idea.at);
            let last = lengths.get(idea.to).map_or(0, |l| (l - 1).max(0));
            let to = place(idea.to, last).bar;
            (idea.bar, idea.to, idea.at) = match idea.is_whole_bar() {
                true => (moved.bar, to.max(moved.bar), 0),
                false => (moved.bar, moved.bar, moved.at),
            };
        }
    }

    /// Takes out what is said about some bars, an idea also if it only reaches into them.
    pub(super) fn drop_marks(&mut self, bars: &Range<usize>) {
        self.pins.retain(|p| !bars.contains(&p.bar));
        (self.ideas).retain(|i| i.to < bars.start || i.bar >= bars.end);
    }

    /// Takes out what is said about onsets of a bar within some ticks.
    pub(super) fn drop_onsets(&mut self, bar: usize, ticks: &Range<Ticks>) {
        let mine = |b: usize, at: Ticks| b == bar && ticks.contains(&at);
        self.pins.retain(|p| !mine(p.bar, p.at));
        (self.ideas).retain(|i| i.is_whole_bar() || !mine(i.bar, i.at));
    }

    /// The ticks of everything that is said about onsets of a bar.
    pub(super) fn onsets_mut(&mut self, bar: usize) -> impl Iterator<Item = &mut Ticks> {
        let pins = self.pins.iter_mut().filter(move |p| p.bar == bar);
        let ideas = (self.ideas.iter_mut()).filter(move |i| i.bar == bar && !i.is_whole_bar());
        pins.map(|p| &mut p.at).chain(ideas.map(|i| &mut i.at))
    }

    /// Takes out what holds under one chord only, where another one is put.
    pub(super) fn forget_chord(&mut self, bar: usize, at: Ticks) {
        self.pins.retain(|pin| {
            let fixed = match pin.wish {
                Wish::Place { target, .. } => target == Target::Bass,
                Wish::Grip(_) | Wish::Bass { .. } => true,
                Wish::Fill(_) | Wish::Nothing => false,
            };
            !(fixed && (pin.bar, pin.at) == (bar, at))
        });
        self.ideas.retain(|idea| match idea.figure {
            Figure::Chord(_) | Figure::Bass(_) => (idea.bar, idea.at) != (bar, at),
            Figure::Walk { .. } => !(idea.bar..=idea.to).contains(&bar),
            _ => true,
        });
    }

    /// Takes out what holds for one melody note only, where it becomes another one.
    pub(super) fn forget_note(&mut self, bar: usize, at: Ticks) {
        self.pins.retain(|pin| {
            let fixed = match pin.wish {
                Wish::Place { target, .. } => target == Target::Melody,
                Wish::Grip(_) => true,
                Wish::Bass { .. } | Wish::Fill(_) | Wish::Nothing => false,
            };
            !(fixed && (pin.bar, pin.at) == (bar, at))
        });
        (self.ideas).retain(|i| !(is_touched(i) && (i.bar, i.at) == (bar, at)));
    }

    /// Whether an idea speaks of nothing that is there.
    pub(super) fn is_idea_astray(&self, idea: &Idea) -> bool {
        let Some(bar) = self.bars.get(idea.bar).filter(|_| idea.bar <= idea.to) else {
            return true;
        };
        let struck = || bar.notes.iter().any(|n| n.at == idea.at);
        idea.to >= self.bars.len()
            || !(0..bar.length).contains(&idea.at)
            || is_touched(idea) && !struck()
    }
}

/// Whether an idea is about how a melody note is played.
fn is_touched(idea: &Idea) -> bool {
    matches!(
        idea.figure,
        Figure::Harmonic { .. } | Figure::Slur { .. } | Figure::Campanella(_)
    )
}
