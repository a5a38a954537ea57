//! What can be wrong with a guitar or a hand as it is described.

/// Why an instrument or a hand could not be made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[allow(missing_docs)]
pub enum GuitarError {
    #[error(
        "“{text}” is not a tuning; name one ({known}) or write 4 to 8 notes, lowest first: D2 A2 D3 G3 B3 E4"
    )]
    Tuning { text: String, known: String },
    #[error("a capo at fret {capo} leaves no fret on a neck of {frets}; put it lower")]
    Capo { capo: u8, frets: u8 },
    #[error("a neck of {frets} frets can't be built here; 5 to 30 are possible")]
    Frets { frets: u8 },
    #[error("{what} of {value} mm can't be right; {low} to {high} mm are possible")]
    Measure {
        what: &'static str,
        value: String,
        low: u16,
        high: u16,
    },
    #[error("“{name}” is not a hand; choose {known}")]
    Hand { name: String, known: String },
    #[error(
        "fingers {0} and {1}: the comfortable span must be above 0, and below the largest, which ends at 300 mm"
    )]
    Span(u8, u8),
}

impl GuitarError {
    /// The field of a song's `[guitar]` that is at fault, by its name there.
    pub fn field(&self) -> Option<&'static str> {
        match self {
            GuitarError::Tuning { .. } => Some("tuning"),
            GuitarError::Capo { .. } => Some("capo"),
            GuitarError::Frets { .. } => Some("frets"),
            GuitarError::Measure { .. } => Some("scale_mm"),
            GuitarError::Hand { .. } => Some("hand"),
            GuitarError::Span(..) => None,
        }
    }
}
