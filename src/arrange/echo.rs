//! Campanella: melody notes ring on over the next ones, as long as it costs the hand nothing.
//!
//! The search has placed them on different strings. Here a note is let ring while its string is free
//! and its finger can stay without the hand reaching farther than it does or is comfortable.

use super::answer::{Answer, Struck};
use super::arrangement::Layer;
use super::ideas::mark_at;
use crate::guitar::Grip;

impl Answer<'_> {
    /// Moves the ends of a campanella's notes, and says what sounds in each slice then.
    pub fn ring_over(&self, notes: &mut [Struck]) -> Vec<Grip> {
        let mut grips: Vec<Grip> = (0..self.path.len()).map(|i| self.shape(i).grip).collect();
        // The latest first: each should at least ring over the next one.
        for note in notes.iter_mut().rev().filter(|n| n.layer == Layer::Melody) {
            let at = self.plan.slices[note.index].at;
            let Some(mark) = mark_at(&self.plan.marks.bells, at) else {
                continue;
            };
            let until = mark.what.1;
            for (index, grip) in grips.iter_mut().enumerate().skip(note.index + 1) {
                let start = self.plan.slices[index].at;
                if start >= until {
                    break;
                }
                if start < note.end {
                    continue; // it is held there as written
                }
                let Some(with) = self.with(index, grip, note) else {
                    break;
                };
                *grip = with;
                note.end = self.plan.end(index, self.song_end).min(until);
                note.wanted = note.end;
            }
        }
        grips
    }

    /// A slice's grip with a note ringing on in it; none where it would be in the way of anything, or
    /// a new chord starts.
    fn with(&self, index: usize, grip: &Grip, note: &Struck) -> Option<Grip> {
        let is_over = self.plan.stroke(index).is_none_or(|s| s.over);
        let own = self.shape(note.index).grip;
        let (string, finger) = (note.string, own.fingers[note.string]);
        let is_free = grip.frets[string] < 0 && (finger == 0 || !grip.fingers.contains(&finger));
        if !is_over || !is_free {
            return None;
        }
        let mut with = *grip;
        with.frets[string] = own.frets[string];
        with.fingers[string] = finger;
        let (hand, neck) = (self.shapes.hand, &self.shapes.neck);
        let reserve = |grip: &Grip| hand.reserve(neck, grip).ok();
        (reserve(&with)? <= reserve(grip)?).then_some(with)
    }
}
