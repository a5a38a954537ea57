//! Tunings by name and by notes.

use super::{GuitarError, MAX_STRINGS};
use crate::theory::{Letter, Name, Pitch};

/// The named tunings, lowest string first (common practice, no source).
pub(super) const NAMED: [(&str, &str); 8] = [
    ("standard", STANDARD),
    ("drop D", "D2 A2 D3 G3 B3 E4"),
    ("double drop D", "D2 A2 D3 G3 B3 D4"),
    ("DADGAD", "D2 A2 D3 G3 A3 D4"),
    ("open G", "D2 G2 D3 G3 B3 D4"),
    ("open D", "D2 A2 D3 F#3 A3 D4"),
    ("CGDGCD", "C2 G2 D3 G3 C4 D4"),
    ("half-step down", "Eb2 Ab2 Db3 Gb3 Bb3 Eb4"),
];

const STANDARD: &str = "E2 A2 D3 G3 B3 E4";

/// MIDI numbers of the strings that notes without octaves are put nearest to: standard tuning with
/// the usual lower strings of seven- and eight-string guitars, F♯1 and B1, below it.
const NEAREST_TO: [i32; MAX_STRINGS] = [30, 35, 40, 45, 50, 55, 59, 64];

/// MIDI numbers that an open string may have: C0 to C7.
const OPEN: std::ops::RangeInclusive<i32> = 12..=96;

/// The standard tuning: its name and its notes, lowest first.
pub(super) fn standard() -> (String, Vec<Pitch>) {
    ("standard".into(), notes(STANDARD).unwrap_or_default())
}

/// Reads a tuning: its name, or its notes as written; and its notes, lowest first.
pub(super) fn read(text: &str) -> Result<(String, Vec<Pitch>), GuitarError> {
    let wanted = plain(text);
    let named = NAMED.iter().find(|(name, _)| plain(name) == wanted);
    let (name, written) = named.map_or((text.trim(), text), |&(name, written)| (name, written));
    match notes(written) {
        Some(notes) => Ok((name.into(), notes)),
        None => Err(GuitarError::Tuning {
            text: text.into(),
            known: NAMED.map(|(name, _)| name).join(", "),
        }),
    }
}

/// A name without case, spaces, marks and the word “tuning”.
fn plain(text: &str) -> String {
    let letters = text
        .chars()
        .filter(|c| c.is_alphanumeric() || "#♯♭".contains(*c));
    let lower = letters.flat_map(char::to_lowercase).collect::<String>();
    lower.trim_end_matches("tuning").into()
}

/// Four to eight notes, lowest first, with octaves or all without.
fn notes(text: &str) -> Option<Vec<Pitch>> {
    let parts: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || ",;-–".contains(c))
        .filter(|part| !part.is_empty())
        .collect();
    match parts[..] {
        [glued] => {
            // In small letters a `b` may be the note or a flat: first take it for the note.
            let small = glued.chars().all(|c| !c.is_uppercase());
            (small.then(|| pitches(&cut(glued, false))).flatten())
                .or_else(|| pitches(&cut(glued, true)))
        }
        _ => pitches(&parts.iter().map(|&part| part.into()).collect::<Vec<_>>()),
    }
}

/// Cuts notes that are written without spaces: `DADF#AD`.
fn cut(glued: &str, flats: bool) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for c in glued.chars() {
        let flat = flats && c == 'b' && !found.is_empty();
        match found.last_mut() {
            Some(note) if flat && note.len() == 1 => note.push(c),
            Some(note) if Letter::from_char(c).is_none() => note.push(c),
            _ => found.push(c.into()),
        }
    }
    found
}

fn pitches(parts: &[String]) -> Option<Vec<Pitch>> {
    if !(4..=MAX_STRINGS).contains(&parts.len()) {
        return None;
    }
    let near = &NEAREST_TO[MAX_STRINGS - parts.len()..];
    let with_octaves: Result<Vec<Pitch>, _> = parts.iter().map(|part| part.parse()).collect();
    let found = with_octaves.ok().or_else(|| {
        let names = parts.iter().map(|part| part.parse::<Name>());
        // At or above six semitones below: of two octaves as near, the lower, which strains
        // the string less.
        (names.zip(near))
            .map(|(name, &midi)| Some(name.ok()?.at_or_above(midi - 6)))
            .collect()
    })?;
    found
        .iter()
        .all(|p| OPEN.contains(&p.midi()))
        .then_some(found)
}
