//! What can be wrong with a guitar as it is described.

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
    #[error("a neck of {frets} frets can't be built here; 5 to 36 are possible")]
    Frets { frets: u8 },
    #[error("“{name}” is not a hand; choose {known}")]
    Hand { name: String, known: String },
}
