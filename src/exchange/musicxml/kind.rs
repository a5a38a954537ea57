//! Chords as MusicXML says them: a root, one of its kinds, and the degrees that differ from it.

use crate::theory::{Chord, Name, Symbol, Tone};

/// A kind of chord: its name, how the trade writes it after the root, and the tones above the root
/// that the standard gives it (MusicXML 4.0, `kind-value`), as (degree, semitones).
struct Kind {
    name: &'static str,
    suffix: &'static str,
    tones: &'static [(u8, u8)],
}

const fn kind(name: &'static str, suffix: &'static str, tones: &'static [(u8, u8)]) -> Kind {
    Kind {
        name,
        suffix,
        tones,
    }
}

/// Of kinds that need equally many other degrees, the earlier one is written.
const KINDS: [Kind; 26] = [
    kind("major", "", &[(3, 4), (5, 7)]),
    kind("minor", "m", &[(3, 3), (5, 7)]),
    kind("dominant", "7", &[(3, 4), (5, 7), (7, 10)]),
    kind("minor-seventh", "m7", &[(3, 3), (5, 7), (7, 10)]),
    kind("major-seventh", "maj7", &[(3, 4), (5, 7), (7, 11)]),
    kind("major-sixth", "6", &[(3, 4), (5, 7), (6, 9)]),
    kind("minor-sixth", "m6", &[(3, 3), (5, 7), (6, 9)]),
    kind("suspended-fourth", "sus4", &[(4, 5), (5, 7)]),
    kind("suspended-second", "sus2", &[(2, 2), (5, 7)]),
    kind("diminished", "dim", &[(3, 3), (5, 6)]),
    kind("augmented", "+", &[(3, 4), (5, 8)]),
    kind("diminished-seventh", "dim7", &[(3, 3), (5, 6), (7, 9)]),
    kind("half-diminished", "m7b5", &[(3, 3), (5, 6), (7, 10)]),
    kind("augmented-seventh", "7(#5)", &[(3, 4), (5, 8), (7, 10)]),
    kind("major-minor", "m(maj7)", &[(3, 3), (5, 7), (7, 11)]),
    kind("power", "5", &[(5, 7)]),
    kind("dominant-ninth", "9", &[(3, 4), (5, 7), (7, 10), (9, 14)]),
    kind("major-ninth", "maj9", &[(3, 4), (5, 7), (7, 11), (9, 14)]),
    kind("minor-ninth", "m9", &[(3, 3), (5, 7), (7, 10), (9, 14)]),
    kind(
        "dominant-11th",
        "11",
        &[(3, 4), (5, 7), (7, 10), (9, 14), (11, 17)],
    ),
    kind(
        "major-11th",
        "maj11",
        &[(3, 4), (5, 7), (7, 11), (9, 14), (11, 17)],
    ),
    kind(
        "minor-11th",
        "m11",
        &[(3, 3), (5, 7), (7, 10), (9, 14), (11, 17)],
    ),
    kind(
        "dominant-13th",
        "13",
        &[(3, 4), (5, 7), (7, 10), (9, 14), (11, 17), (13, 21)],
    ),
    kind(
        "major-13th",
        "maj13",
        &[(3, 4), (5, 7), (7, 11), (9, 14), (11, 17), (13, 21)],
    ),
    kind(
        "minor-13th",
        "m13",
        &[(3, 3), (5, 7), (7, 10), (9, 14), (11, 17), (13, 21)],
    ),
    // For reading only; nothing needs it for writing.
    kind("none", "N.C.", &[]),
];

/// A degree that differs from the chord's kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Degree {
    /// 1 to 13.
    pub value: u8,
    /// Semitones up or down from what the degree would be.
    pub alter: i8,
    pub how: How,
}

/// What a degree does to the chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum How {
    Add,
    Alter,
    Subtract,
}

impl How {
    pub(super) fn name(self) -> &'static str {
        match self {
            How::Add => "add",
            How::Alter => "alter",
            How::Subtract => "subtract",
        }
    }

    pub(super) fn named(name: &str) -> Option<How> {
        [How::Add, How::Alter, How::Subtract]
            .into_iter()
            .find(|how| how.name() == name)
    }
}

/// The kind nearest to a chord, and the degrees that make it exact.
pub(super) fn said(chord: &Chord) -> (&'static str, Vec<Degree>) {
    let ways = KINDS.iter().filter(|k| k.name != "none");
    ways.map(|k| (k.name, degrees(k, &chord.tones)))
        .min_by_key(|(_, degrees)| degrees.len())
        .unwrap_or(("other", Vec::new()))
}

fn degrees(kind: &Kind, wanted: &[Tone]) -> Vec<Degree> {
    let own = kind.tones.iter().map(|&(d, s)| Tone::new(d, s));
    let mut own: Vec<Tone> = own.chain([Tone::ROOT]).collect();
    let mut more: Vec<Tone> = Vec::new();
    for &tone in wanted {
        match own.iter().position(|&t| t == tone) {
            Some(i) => {
                own.remove(i);
            }
            None => more.push(tone),
        }
    }
    let mut degrees = Vec::new();
    for tone in more {
        let by = |natural: u8| tone.semitones as i8 - natural as i8;
        degrees.push(match own.iter().position(|t| t.degree == tone.degree) {
            Some(i) => Degree {
                value: tone.degree,
                alter: by(own.remove(i).semitones),
                how: How::Alter,
            },
            None => Degree {
                value: tone.degree,
                alter: by(natural(tone.degree)),
                how: How::Add,
            },
        });
    }
    degrees.extend(own.iter().map(|t| Degree {
        value: t.degree,
        alter: 0,
        how: How::Subtract,
    }));
    degrees.sort_by_key(|d| d.value);
    degrees
}

/// Semitones of a degree in a dominant chord, from which added degrees are counted.
fn natural(degree: u8) -> u8 {
    let octaves = (degree.max(1) - 1) / 7;
    let within = [0, 2, 4, 5, 7, 9, 10][usize::from((degree.max(1) - 1) % 7)];
    // A seventh is minor, but a fourteenth would not be a chord's degree.
    within + 12 * octaves
}

/// The chord that root, kind and degrees say. Nothing where the kind is none of the trade's.
pub(super) fn heard(
    root: Name,
    kind: &str,
    degrees: &[Degree],
    bass: Option<Name>,
) -> Option<Symbol> {
    if kind == "none" {
        return Some(Symbol::NoChord);
    }
    let kind = KINDS.iter().find(|k| k.name == kind)?;
    let Ok(Symbol::Chord(mut chord)) = Symbol::parse(&format!("{root}{}", kind.suffix)) else {
        return None;
    };
    for degree in degrees {
        change(&mut chord.tones, *degree);
    }
    chord.tones.sort_unstable();
    chord.tones.dedup();
    chord.bass = bass.filter(|&bass| bass != root);
    // What is spelled is read again, so that one chord has one value.
    Symbol::parse(&chord.to_string()).ok()
}

fn change(tones: &mut Vec<Tone>, degree: Degree) {
    let value = degree.value.clamp(1, 13);
    let by = |natural: u8| (natural as i8).saturating_add(degree.alter).clamp(0, 21) as u8;
    match degree.how {
        How::Subtract => tones.retain(|t| t.degree != value),
        How::Alter => {
            let old = tones.iter().find(|t| t.degree == value).copied();
            tones.retain(|t| t.degree != value);
            let natural = old.map_or(natural(value), |t| t.semitones);
            tones.push(Tone::new(value, by(natural)));
        }
        How::Add => tones.push(Tone::new(value, by(natural(value)))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn chord(text: &str) -> Chord {
        match Symbol::parse(text).unwrap() {
            Symbol::Chord(chord) => chord,
            Symbol::NoChord => panic!("{text}"),
        }
    }

    fn shown(text: &str) -> String {
        let (kind, degrees) = said(&chord(text));
        let degrees = degrees
            .iter()
            .map(|d| format!(" {} {}{:+}", d.how.name(), d.value, d.alter));
        kind.to_string() + &degrees.collect::<String>()
    }

    #[test]
    fn chords_are_said_by_kind_and_degrees() {
        for (text, said) in [
            ("C", "major"),
            ("Am7", "minor-seventh"),
            ("Bø", "half-diminished"),
            ("G7sus4", "suspended-fourth add 7+0"),
            ("C7b9", "dominant add 9-1"),
            ("Cadd9", "major add 9+0"),
            ("C9#5", "augmented-seventh add 9+0"),
            // The standard's thirteenth has an eleventh, its eleventh a third; ours have not.
            ("C13", "dominant-ninth add 13+0"),
            ("C11", "dominant-11th subtract 3+0"),
            ("C(no3)", "power"),
        ] {
            assert_eq!(shown(text), said, "{text}");
        }
    }

    #[test]
    fn what_is_said_is_heard_again() {
        for text in [
            "C",
            "F#m7b5",
            "Bb6/9",
            "D/F#",
            "Ebm(maj7)",
            "C7(b9,#11)",
            "C7alt",
            "Gsus2",
            "A7sus4",
            "C13",
            "Cm11",
            "Cmaj9",
            "Bdim7",
            "Cdim9",
            "C5",
            "Cadd9",
            "Cmadd9",
            "E+",
            "E+7",
            "C9#11",
            "C7(#9,b13)",
            "Am7/G",
            "C(no5)",
            "Dm13",
            "Cmaj7#11",
            "G9sus4",
            "C69",
        ] {
            let chord = chord(text);
            let (kind, degrees) = said(&chord);
            let heard = heard(chord.root, kind, &degrees, chord.bass);
            assert_eq!(heard, Some(Symbol::Chord(chord)), "{text}");
        }
    }

    #[test]
    fn strange_degrees_are_harmless() {
        let c = chord("C").root;
        for (value, alter) in [(0, 0), (255, 127), (13, -128), (1, -1)] {
            for how in [How::Add, How::Alter, How::Subtract] {
                let degree = Degree { value, alter, how };
                let _ = heard(c, "dominant", &[degree], None);
            }
        }
        assert_eq!(heard(c, "Neapolitan", &[], None), None);
        assert_eq!(heard(c, "none", &[], None), Some(Symbol::NoChord));
    }
}
