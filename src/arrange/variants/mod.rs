//! Other ways to play: the k best arrangements of a song, and for one bar the front from easier to
//! fuller. Both come out of the search that finds the best arrangement.

mod best;
mod edges;
mod front;
mod tie;
mod variant;

pub use best::best;
pub use front::variants;
pub use variant::{Front, Variant};

#[cfg(test)]
pub(super) use {best::from_slack, front::with_slack};
