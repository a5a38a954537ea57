//! Why each pluck is there, in one line of the trade's language.

/// Why a pluck is there; its text is made by `Display`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason(pub String);

impl std::fmt::Display for Reason {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}
