//! How a way is measured: how the prices of its steps are put together, and what of a step's price its
//! slice alone decides.

use super::outdone::NEVER;
use super::shape::{PLACES, slot};
use std::rc::Rc;

/// What the search makes least.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Goal {
    /// The whole price.
    #[default]
    Total,
    /// The price of the hardest single step, and among those answers the whole price.
    HardestStep,
}

/// How prices of steps are put together along a way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Measure {
    /// Added up; no single step may cost more than the cap.
    Sum { cap: i64 },
    /// The greatest of them.
    Greatest,
}

impl Measure {
    #[inline]
    pub fn join(self, so_far: i64, step: i64) -> i64 {
        match self {
            Measure::Sum { cap } if step > cap => NEVER,
            Measure::Sum { .. } => so_far.saturating_add(step),
            Measure::Greatest => so_far.max(step),
        }
    }

    /// What a step may cost at most if a way that has cost `so_far` is to cost no more than `most` with it;
    /// less than nothing where it already costs more.
    #[inline]
    pub fn left(self, so_far: i64, most: i64) -> i64 {
        match self {
            Measure::Sum { .. } => most - so_far,
            Measure::Greatest if so_far > most => -1,
            Measure::Greatest => most,
        }
    }

    /// What a way costs at least that has cost `so_far` and still has to pay `part` of a step.
    #[inline]
    pub fn at_least(self, so_far: i64, part: i64) -> i64 {
        match self {
            Measure::Sum { .. } => so_far + part,
            Measure::Greatest => so_far.max(part),
        }
    }
}

/// What depends on the slice alone of the price of a step into it.
pub(crate) struct Pace {
    /// What the step costs in any case.
    pub depth: i64,
    /// What leaving one string for another costs a finger.
    pub jump: i64,
    /// What the hand's way costs between two places, by their slots.
    pub travels: Rc<[i64]>,
}

impl Pace {
    /// What the hand's way costs from a slot to a place.
    #[inline]
    pub fn travel(&self, from: u8, to: i8) -> i64 {
        self.travels[slot(to) * PLACES + usize::from(from)]
    }
}
