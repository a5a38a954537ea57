//! Ways in and out: open formats only.

mod chord_line;
pub mod grips;
pub mod input;
pub mod json;
mod left_hand;
mod lengths;
pub mod letters;
pub mod midi;
pub mod musicxml;
#[cfg(feature = "sound")]
mod noise;
pub mod output;
mod plain;
mod repeats;
pub mod sheet;
pub mod spoken;
pub mod tab;
#[cfg(feature = "sound")]
pub mod wav;

pub use chord_line::ChordLine;
#[cfg(feature = "sound")]
pub(crate) use noise::Noise;
pub use plain::{ascii_text, how_many, plain_text};

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::Layer;
    use crate::score::fixture;
    use crate::song::{Figure, Idea};
    use crate::theory::Symbol;

    #[test]
    fn every_writer_names_the_chord_of_an_idea() {
        let mut waltz = fixture::waltz();
        waltz.layer = Layer::Colour;
        let symbol = Symbol::parse("Cm7").unwrap();
        waltz
            .song
            .ideas
            .push(Idea::new(1, 0, Figure::Chord(symbol)));
        let midi = String::from_utf8_lossy(&midi::write(&waltz)).into_owned();
        for (writer, text, name) in [
            ("tab", tab::write(&waltz, tab::Options::default()), "Cm7"),
            ("boxes", grips::text(&waltz, 80, false), "Cm7"),
            ("spoken tab", spoken::write(&waltz), "chord C minor 7;"),
            ("JSON", json::write(&waltz), "\"symbol\": \"Cm7\""),
            ("MIDI", midi, "Cm7"),
            ("MusicXML", musicxml::write(&waltz), "text=\"m7\""),
            ("sheet", sheet_text(&waltz), ">Cm7<"),
        ] {
            assert!(text.contains(name), "{writer}: {text}");
        }
    }

    fn sheet_text(arrangement: &crate::arrange::Arrangement) -> String {
        let booklet = sheet::Booklet::of(std::slice::from_ref(arrangement));
        booklet.lay_out(sheet::Options::default()).svg()
    }
}
