//! Keys, chords, lengths and fingers in words that a speech program reads as a player says them.

use crate::arrange::RightFinger;
use crate::song::Tempo;
use crate::theory::{Key, Meter, Name, QUARTER, Symbol, Ticks, gcd};

/// A note's name: `F sharp`, `B flat`.
pub(super) fn name(name: Name) -> String {
    let sign = if name.alter > 0 { " sharp" } else { " flat" };
    let signs = sign.repeat(usize::from(name.alter.unsigned_abs()));
    format!("{}{signs}", name.letter.to_char())
}

pub(super) fn key(key: &Key) -> String {
    let said = key.to_string();
    let mode = said.rsplit(' ').next().unwrap_or("major");
    format!("{} {mode}", name(key.tonic))
}

/// `3 4 time`; groups of an odd meter are said one after another.
pub(super) fn meter(meter: &Meter) -> String {
    let text = meter.to_string().replace('+', " plus ").replace('/', " ");
    format!("{text} time")
}

pub(super) fn tempo(tempo: Tempo) -> String {
    format!("{} {} a minute", tempo.per_minute, note_value(tempo.beat))
}

/// Notes of a length, in the plural.
pub(super) fn note_value(length: Ticks) -> String {
    let plain = [
        (4 * QUARTER, "whole notes"),
        (2 * QUARTER, "half notes"),
        (QUARTER, "quarter notes"),
        (QUARTER / 2, "eighth notes"),
        (QUARTER / 4, "sixteenth notes"),
    ];
    let found = plain.iter().find_map(|(value, name)| match length {
        l if l == *value => Some((*name).to_string()),
        l if l == value * 3 / 2 => Some(format!("dotted {name}")),
        _ => None,
    });
    found.unwrap_or_else(|| format!("times {}", beats(length, QUARTER)))
}

/// The right finger; the ring finger by its whole name, since a note rings too.
pub(super) fn right(finger: RightFinger) -> &'static str {
    match finger {
        RightFinger::P => "thumb",
        RightFinger::I => "index",
        RightFinger::M => "middle",
        RightFinger::A => "ring finger",
    }
}

/// `twice`, `3 times`.
pub(super) fn times(count: u8) -> String {
    match count {
        2 => "twice".into(),
        count => format!("{count} times"),
    }
}

/// `one`, `one and two`, `one, two and three`.
pub(super) fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_string(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars
        .next()
        .map_or(String::new(), |c| c.to_uppercase().chain(chars).collect())
}

/// A part of a beat: `half`, `a third`, `2 thirds`, `5 twelfths`.
pub(super) fn fraction(part: Ticks, whole: Ticks) -> String {
    let shared = gcd(part, whole).max(1);
    let (n, d) = (part / shared, whole / shared);
    let name = match d {
        2 => "half".into(),
        3 => "third".into(),
        4 => "quarter".into(),
        5 => "fifth".into(),
        6 => "sixth".into(),
        7 => "seventh".into(),
        8 => "eighth".into(),
        9 => "ninth".into(),
        10 => "tenth".into(),
        12 => "twelfth".into(),
        16 => "sixteenth".into(),
        d => return format!("{n} of {d} parts"),
    };
    match (n, d) {
        (1, 2) => name,
        (1, 8) => format!("an {name}"),
        (1, _) => format!("a {name}"),
        (n, _) => format!("{n} {name}s"),
    }
}

/// A length in beats: `half a beat`, `2 beats`, `2 and a half beats`, `1 and 2 thirds beats`.
pub(super) fn beats(length: Ticks, beat: Ticks) -> String {
    let beat = beat.max(1);
    let (whole, rest) = (length / beat, length % beat);
    let part = (rest > 0).then(|| fraction(rest, beat));
    match (whole, part.as_deref()) {
        (0, Some("half")) => "half a beat".into(),
        (0, Some(part)) => format!("{part} of a beat"),
        (1, None) => "1 beat".into(),
        (whole, None) => format!("{whole} beats"),
        (whole, Some("half")) => format!("{whole} and a half beats"),
        (whole, Some(part)) => format!("{whole} and {part} beats"),
    }
}

/// A chord as it is called: `chord F sharp minor 7 flat 5`, `chord D over F sharp`.
pub(super) fn chord(symbol: &Symbol) -> String {
    let Symbol::Chord(chord) = symbol else {
        return "no chord".into();
    };
    let text = chord.to_string();
    let suffix = text.strip_prefix(&chord.root.to_string()).unwrap_or("");
    let bass = chord.bass.map(|bass| (format!("/{bass}"), name(bass)));
    let suffix = match &bass {
        Some((written, _)) => suffix.strip_suffix(written.as_str()).unwrap_or(suffix),
        None => suffix,
    };
    let words = suffix_words(suffix);
    let over = bass.map_or(String::new(), |(_, bass)| format!(" over {bass}"));
    format!("chord {}{words}{over}", name(chord.root))
}

/// The words of a suffix in its fixed spelling, each with a blank before it.
fn suffix_words(suffix: &str) -> String {
    const WORDS: [(&str, &str); 11] = [
        ("maj", "major"),
        ("dim", "diminished"),
        ("sus", "suspended"),
        ("add", "add"),
        ("no", "without"),
        ("m", "minor"),
        ("+", "augmented"),
        ("♯", "sharp"),
        ("♭", "flat"),
        ("/", ""),
        (",", ""),
    ];
    let mut out = String::new();
    let mut rest = suffix;
    while let Some(c) = rest.chars().next() {
        if let Some((sign, word)) = WORDS.iter().find(|(sign, _)| rest.starts_with(sign)) {
            if !word.is_empty() {
                out += &format!(" {word}");
            }
            rest = &rest[sign.len()..];
            continue;
        }
        let digits = rest.chars().take_while(char::is_ascii_digit).count();
        if digits > 0 {
            out += &format!(" {}", &rest[..digits]);
            rest = &rest[digits..];
        } else {
            rest = &rest[c.len_utf8()..];
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chords_are_called_by_their_names() {
        for (symbol, said) in [
            ("G", "chord G"),
            ("F#m7b5", "chord F sharp minor 7 flat 5"),
            ("D/F#", "chord D over F sharp"),
            ("Bbmaj7", "chord B flat major 7"),
            ("C6/9", "chord C 6 9"),
            ("A7sus4/E", "chord A 7 suspended 4 over E"),
            ("C7(b9,#11)", "chord C 7 flat 9 sharp 11"),
            ("Ebm(maj7)", "chord E flat minor major 7"),
            ("Bdim7", "chord B diminished 7"),
            ("N.C.", "no chord"),
        ] {
            assert_eq!(chord(&Symbol::parse(symbol).unwrap()), said, "{symbol}");
        }
    }

    #[test]
    fn lengths_are_said_in_beats() {
        let q = QUARTER;
        for (length, said) in [
            (q / 2, "half a beat"),
            (q / 4, "a quarter of a beat"),
            (q * 2 / 3, "2 thirds of a beat"),
            (q, "1 beat"),
            (3 * q, "3 beats"),
            (5 * q / 2, "2 and a half beats"),
            (5 * q / 3, "1 and 2 thirds beats"),
        ] {
            assert_eq!(beats(length, q), said);
        }
        assert_eq!(note_value(q * 3 / 2), "dotted quarter notes");
        assert_eq!(listed(&["a", "b", "c"]), "a, b and c");
    }
}
