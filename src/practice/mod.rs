//! Practice: which bars to loop and how fast, what was played clean, what to take up today, and when
//! to rest.
//!
//! This room is pure: times come in as the player's own wall clock, and the log is a text.
//! Findings that the room stands on:
//!
//! - how well a passage goes the next day follows the share of complete passes without a slip, not
//!   the hours or the repetitions (Duke, Simmons and Cash, Journal of Research in Music Education,
//!   2009), so the log counts clean passes out of all;
//! - skill grows from one session to the next when a day lies between (Simmons, same journal, 2011),
//!   so the plan spaces a bar over days;
//! - short turns in mixed order (the design of Carter and Grahn, 2016), so a turn lasts three minutes
//!   at most and comes back after others.

mod chart;
mod climb;
mod clock;
mod error;
mod log;
mod passage;
mod plan;
mod rest;

pub use chart::{by_day, effort_over_bars, practised, tempo_over_days};
pub use climb::{Climb, Step, Way};
pub use clock::{believed, settled};
pub use error::PracticeError;
pub use log::{Record, read};
pub use passage::Passage;
pub use plan::{LONGEST_TURN, Piece, Turn, plan};
pub use rest::{Prompt, Sitting};
