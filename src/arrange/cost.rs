//! The named costs.

/// Prices by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Price {}

impl Price {
    /// All of it added up, in thousandths of an effort.
    pub fn total(&self) -> i64 {
        0
    }
    /// What the hands pay, in thousandths.
    pub fn effort(&self) -> i64 {
        0
    }
    /// The names and amounts that are not zero, in the order of the table.
    pub fn items(&self) -> Vec<(&'static str, i64)> {
        Vec::new()
    }
}
