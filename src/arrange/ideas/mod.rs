//! The fourth layer: ideas that colour a bar, a run of bars or an onset.
//!
//! A taken idea becomes marks on the plan (`marks`): more strokes, another bass, a rolled chord, a
//! touched string, a knock. What is struck for it is found by the same search as everything else.

mod marks;

pub(crate) use marks::{Asked, Mark, Marks, at as mark_at};
