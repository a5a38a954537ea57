//! The taken ideas of an arrangement.

use crate::arrange::{Arrangement, Layer, why};
use crate::song::{BassNote, Figure, Idea, Step};
use crate::theory::Ticks;
use serde::Serialize;

/// An idea that is taken.
#[derive(Serialize)]
pub(super) struct IdeaOut {
    bar: usize,
    to: usize,
    at: Ticks,
    #[serde(flatten)]
    figure: FigureOut,
    text: String,
}

#[derive(Serialize)]
#[serde(tag = "figure", rename_all = "snake_case")]
enum FigureOut {
    Beats,
    Between,
    Fifths,
    Doubled {
        by: &'static str,
    },
    Breath,
    Bass {
        note: NoteOut,
    },
    Line {
        each: &'static str,
        notes: Vec<NoteOut>,
    },
    Roll {
        strings: u8,
    },
    Broken {
        every: Ticks,
    },
    Harmonic {
        string: u8,
        fret: u8,
    },
    Hits,
    Slur {
        string: u8,
        fingers: [u8; 2],
    },
    Campanella {
        strings: Vec<u8>,
    },
    Chord {
        symbol: String,
    },
}

#[derive(Serialize)]
struct NoteOut {
    name: String,
    octave: Option<i8>,
}

/// The ideas that the arrangement is made with.
pub(super) fn taken(arrangement: &Arrangement) -> Vec<IdeaOut> {
    if arrangement.layer < Layer::Colour {
        return Vec::new();
    }
    arrangement
        .song
        .taken()
        .map(|(_, idea)| out(idea))
        .collect()
}

fn out(idea: &Idea) -> IdeaOut {
    IdeaOut {
        bar: idea.bar,
        to: idea.to,
        at: idea.at,
        figure: figure(&idea.figure),
        text: why(&idea.figure),
    }
}

fn figure(figure: &Figure) -> FigureOut {
    match figure {
        Figure::Beats => FigureOut::Beats,
        Figure::Between => FigureOut::Between,
        Figure::Fifths => FigureOut::Fifths,
        Figure::Doubled(by) => FigureOut::Doubled { by: by.name() },
        Figure::Breath => FigureOut::Breath,
        Figure::Bass(bass) => FigureOut::Bass { note: note(bass) },
        Figure::Walk { step, notes } => FigureOut::Line {
            each: match step {
                Step::Beat => "beat",
                Step::Chord => "chord",
            },
            notes: notes.iter().map(note).collect(),
        },
        Figure::Roll(strings) => FigureOut::Roll { strings: *strings },
        Figure::Broken(every) => FigureOut::Broken { every: *every },
        Figure::Harmonic { string, fret } => FigureOut::Harmonic {
            string: *string,
            fret: *fret,
        },
        Figure::Hits => FigureOut::Hits,
        Figure::Slur { string, fingers } => FigureOut::Slur {
            string: *string,
            fingers: [fingers.0, fingers.1],
        },
        Figure::Campanella(strings) => FigureOut::Campanella {
            strings: strings.clone(),
        },
        Figure::Chord(symbol) => FigureOut::Chord {
            symbol: symbol.to_string(),
        },
    }
}

fn note(note: &BassNote) -> NoteOut {
    NoteOut {
        name: note.name.to_string(),
        octave: note.octave,
    }
}
