//! The arranger: from a song, an instrument, a hand and the player's pins to the best arrangement
//! under the stated costs. Pure: the same values in give the same arrangement out.
//!
//! A song becomes a `plan`: slices that say what is wanted at each onset. `candidates` lists the
//! shapes that satisfy a slice, `step` prices going from one shape to the next, `search` finds
//! the cheapest way through, and `answer` reads plucks and reasons off it.

mod answer;
mod arrangement;
mod candidates;
mod clock;
mod cost;
mod echo;
#[cfg(test)]
mod exhaustive;
mod fingering;
mod frontier;
mod grade;
mod groups;
mod ideas;
mod keep;
mod measure;
mod outdone;
mod pins;
mod plan;
mod pool;
mod reasons;
mod right;
mod search;
mod shape;
mod solve;
mod step;
mod strokes;
mod survey;
mod variants;
mod worth;

pub use arrangement::{Arrangement, Layer, Pluck, Remark, Slice, Technique, Tune};
pub use cost::{Cost, Costs, Price};
pub use grade::Grade;
pub use ideas::{NODES, Offer, Proposal, Proposed, offers, propose, why};
pub use measure::Goal;
pub use reasons::{Placed, Reason};
pub use solve::{ArrangeError, Lean, Options, arrange};
pub use survey::{Figures, survey, unbound};
pub use variants::{Front, Variant, best, variants};

pub use crate::guitar::RightFinger;
