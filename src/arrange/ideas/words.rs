//! Ideas in the trade's words.

use super::NODES;
use crate::song::{Figure, Step};
use crate::theory::{QUARTER, Ticks, beats};

/// So many cents are hardly heard.
const A_HAIR: i32 = 5;

/// What an idea does, in a few words: `root and fifth in turn`.
pub fn why(figure: &Figure) -> String {
    match figure {
        Figure::Beats => "the bass on every beat".into(),
        Figure::Between => "the bass between the melody notes".into(),
        Figure::Fifths => "root and fifth in turn".into(),
        Figure::Doubled(by) => format!("the bass with the tune, {} below", a(by.name())),
        Figure::Breath => "no bass, for a breath".into(),
        Figure::Bass(note) => format!("{note} in the bass"),
        Figure::Walk { step, notes } => {
            let names: Vec<String> = notes.iter().map(|n| n.name.to_string()).collect();
            let each = match step {
                Step::Chord => "chord",
                Step::Beat => "beat",
            };
            format!("the bass walks, one note a {each}: {}", names.join(" "))
        }
        Figure::Roll(strings) => format!("rolled over up to {strings} strings"),
        Figure::Broken(every) => format!("broken, a note every {}", length(*every)),
        Figure::Harmonic { string, fret } => {
            let cents = NODES.iter().find(|n| n.0 == *fret).map_or(0, |n| n.2);
            format!(
                "natural harmonic on string {string} over fret {fret}{}",
                off(cents)
            )
        }
        Figure::Hits => "a knock where no bass is struck".into(),
        Figure::Slur { string, fingers } => format!(
            "slurred on string {string}, finger {} to {}",
            fingers.0, fingers.1
        ),
        Figure::Campanella(strings) => {
            let strings: Vec<String> = strings.iter().map(u8::to_string).collect();
            format!("campanella over strings {}", strings.join(" "))
        }
        Figure::Chord(symbol) => format!("{symbol} instead"),
    }
}

/// Thousandths of a cent against equal temperament, in words and whole cents.
fn off(thousandths: i32) -> String {
    let cents = (f64::from(thousandths) / 1000.0).round() as i32;
    let way = if cents < 0 { "flat" } else { "sharp" };
    match cents.abs() {
        0 => ", in tune".into(),
        1..=A_HAIR => format!(", a hair {way} ({cents:+} cents)"),
        _ => format!(", {way} ({cents:+} cents)"),
    }
}

fn a(interval: &str) -> String {
    let article = if interval.starts_with('o') { "an" } else { "a" };
    format!("{article} {interval}")
}

fn length(ticks: Ticks) -> String {
    match ticks {
        QUARTER => "beat".into(),
        _ => format!("{} beat", beats(ticks)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_harmonic_is_called_flat_or_sharp_in_whole_cents() {
        let said = NODES.map(|(fret, _, off_by)| (fret, off(off_by)));
        let wanted = [
            (12, ", in tune"),
            (7, ", a hair sharp (+2 cents)"),
            (5, ", in tune"),
            (4, ", flat (-14 cents)"),
        ];
        assert_eq!(said, wanted.map(|(fret, text)| (fret, text.to_string())));
    }
}
