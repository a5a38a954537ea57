//! What the information fields say: key, meter, unit note length and tempo.

use crate::song::Tempo;
use crate::theory::{Key, Letter, Meter, Mode, Name, QUARTER, Ticks, length_named};

/// Reads the value of a `K:` field: `G`, `Em`, `D dorian`, `Bb mix`, `D =c`, `G exp ^f`, `none`,
/// `HP`. The second value tells what was left out (clefs and the like); `None` when it is no key of up
/// to seven sharps or flats.
pub fn read_key(text: &str) -> Option<(Key, Vec<String>)> {
    let text = text.trim();
    let mut words = text.split_whitespace();
    let plain = |key| Some((key, Vec::new()));
    match text {
        "" | "none" => return plain(Key::C_MAJOR),
        // The pipes' scale has F♯ and C♯ whether the signature is printed (Hp) or not (HP).
        "HP" | "Hp" => return plain(Key::new(Name::new(Letter::A, 0), Mode::Mixolydian)),
        _ => {}
    }
    let mut key = Key::C_MAJOR;
    let mut known = false;
    if text.starts_with(|c: char| ('A'..='G').contains(&c)) {
        let (tonic, rest) = tonic(words.next()?)?;
        key.tonic = tonic;
        known = true;
        if !rest.is_empty() {
            key = with_word(key, rest, &mut Vec::new())?;
        }
    }
    let mut passed = Vec::new();
    for word in words {
        if word == "none" {
            known = true;
        } else if let Some(changed) = with_word(key.clone(), word, &mut passed) {
            key = changed;
            known = true;
        } else {
            return None;
        }
    }
    let signed = key.fifths().abs() <= 7 && (known || !passed.is_empty());
    signed.then_some((key, passed))
}

/// The key as [`read_key`] reads it: `G`, `Em`, `D dorian`, with the accidentals of its own after it.
pub fn write_key(key: &Key) -> String {
    let mut text = key.tonic.ascii();
    match key.mode {
        Mode::Major => {}
        Mode::Minor => text.push('m'),
        mode => text = format!("{text} {}", mode.name()),
    }
    for letter in Letter::ALL {
        if let Some(alter) = key.explicit[letter as usize] {
            text = format!(
                "{text} {}{}",
                accidental(alter),
                letter.to_char().to_ascii_lowercase()
            );
        }
    }
    text
}

/// The sign before a note that alters it by so many semitones, two at most.
pub(super) fn accidental(alter: i8) -> &'static str {
    match alter {
        ..=-2 => "__",
        -1 => "_",
        0 => "=",
        1 => "^",
        2.. => "^^",
    }
}

/// The keynote at the start of a word, and what follows it in that word.
fn tonic(word: &str) -> Option<(Name, &str)> {
    let mut chars = word.chars();
    let letter = Letter::from_char(chars.next()?)?;
    let (alter, rest) = match chars.next() {
        Some('#' | '♯') => (1, chars.as_str()),
        Some('b' | '♭') => (-1, chars.as_str()),
        _ => (0, word.get(1..)?),
    };
    Some((Name::new(letter, alter), rest))
}

/// The key with one more word heeded: a mode, accidentals, or something that is no matter of
/// pitch and goes into `passed`.
fn with_word(mut key: Key, word: &str, passed: &mut Vec<String>) -> Option<Key> {
    if word.starts_with(['^', '_', '=']) {
        return accidentals(key, word);
    }
    if let Some(at) = word.find(['^', '_', '='])
        && let Some(mode) = Mode::named(&word[..at])
    {
        key.mode = mode;
        return accidentals(key, &word[at..]);
    }
    let lower = word.to_lowercase();
    let clefs = ["treble", "bass", "alto", "tenor", "perc"];
    if word.contains('=') || clefs.iter().any(|c| lower.starts_with(c)) {
        passed.push(word.to_string());
        return Some(key);
    }
    if lower.starts_with("exp") {
        key.explicit = [Some(0); 7];
        return Some(key);
    }
    key.mode = Mode::named(word)?;
    Some(key)
}

/// Signature accidentals: `^f`, `=c`, `__b`, also several in one word.
fn accidentals(mut key: Key, word: &str) -> Option<Key> {
    let mut alter: Option<i8> = None;
    for c in word.chars() {
        match c {
            '^' => alter = Some(alter.unwrap_or(0) + 1),
            '_' => alter = Some(alter.unwrap_or(0) - 1),
            '=' => alter = Some(0),
            _ => key.explicit[Letter::from_char(c)? as usize] = Some(alter.take()?),
        }
        if alter.is_some_and(|a| a.abs() > 2) {
            return None;
        }
    }
    alter.is_none().then_some(key)
}

/// Reads the value of an `M:` field: `Some(None)` is free meter, `None` is no meter at all.
pub fn read_meter(text: &str) -> Option<Option<Meter>> {
    let text = text.trim();
    if text.eq_ignore_ascii_case("none") || text.is_empty() {
        return Some(None);
    }
    text.parse().ok().map(Some)
}

/// Reads the value of an `L:` field, a fraction of a whole note, into ticks. At most a whole note, so
/// that every length can be written with it.
pub fn read_unit(text: &str) -> Option<Ticks> {
    length_named(text).filter(|&t| t <= 4 * QUARTER)
}

/// The unit note length where no `L:` stands: a sixteenth when the meter is less than 3/4, else an
/// eighth (abc 2.1, section 3.1.7).
pub fn usual_unit(meter: Option<&Meter>) -> Ticks {
    match meter {
        Some(m) if m.bar() < 3 * QUARTER => QUARTER / 4,
        _ => QUARTER / 2,
    }
}

/// The tempo where none is written: 100 beats a minute, the first beat of the meter being counted,
/// or quarters in free meter.
pub fn usual_tempo(meter: Option<&Meter>) -> Tempo {
    Tempo {
        beat: meter.map_or(QUARTER, |m| m.beat_at(0)),
        per_minute: 100,
    }
}

/// What a `Q:` field says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TempoField {
    /// A tempo.
    Exact(Tempo),
    /// A tempo, rounded to whole beats a minute.
    Rounded(Tempo),
    /// Only words.
    Words,
}

/// Reads the value of a `Q:` field in all its forms; `None` when it is none of them:
/// `1/4=120`, `"Lively" 3/8=96`, `1/4 3/8 1/4 3/8=40` (the lengths make one beat together), and
/// the outdated `120`, `C=120` and `C3=40`, which count notes of the `unit` length.
pub fn read_tempo(text: &str, unit: Ticks) -> Option<TempoField> {
    let mut outside = String::new();
    for (i, part) in text.split('"').enumerate() {
        if i % 2 == 0 {
            outside.push_str(part);
        }
    }
    let outside = outside.trim();
    if outside.is_empty() {
        return Some(TempoField::Words);
    }
    let (beat, rate) = match outside.split_once('=') {
        None => (unit, outside),
        Some((left, rate)) => (beat(left.trim(), unit)?, rate.trim()),
    };
    let (whole, part) = rate.split_once('.').unwrap_or((rate, "0"));
    let digits = |t: &str| !t.is_empty() && t.chars().all(|c| c.is_ascii_digit());
    if !digits(whole) || !digits(part) {
        return None;
    }
    let up = part.starts_with(|c: char| c >= '5');
    let per_minute = whole.parse::<u32>().ok()?.checked_add(u32::from(up))?;
    if !(1..=999).contains(&per_minute) || !(1..=16 * QUARTER).contains(&beat) {
        return None;
    }
    let tempo = Tempo { beat, per_minute };
    let exact = part.chars().all(|c| c == '0');
    Some(if exact {
        TempoField::Exact(tempo)
    } else {
        TempoField::Rounded(tempo)
    })
}

/// The left side of a tempo: lengths that make one beat, or the outdated `C`, `C3`.
fn beat(left: &str, unit: Ticks) -> Option<Ticks> {
    if let Some(count) = left.strip_prefix('C') {
        let n: Ticks = if count.is_empty() {
            1
        } else {
            count.parse().ok()?
        };
        return (1..=64).contains(&n).then_some(n * unit);
    }
    let lengths: Option<Vec<Ticks>> = left.split_whitespace().take(16).map(length_named).collect();
    lengths.map(|l| l.iter().sum())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(text: &str) -> Key {
        read_key(text).unwrap_or_else(|| panic!("{text}")).0
    }

    #[test]
    fn modes_have_their_signatures() {
        // abc 2.1, section 3.1.14: the table of modes, row by row.
        for (names, sharps) in [
            ("C#,A#m,G#Mix,D#Dor,E#Phr,F#Lyd,B#Loc", 7),
            ("D,Bm,AMix,EDor,F#Phr,GLyd,C#Loc", 2),
            ("C,Am,GMix,DDor,EPhr,FLyd,BLoc", 0),
            ("F,Dm,CMix,GDor,APhr,BbLyd,ELoc", -1),
            ("Cb,Abm,GbMix,DbDor,EbPhr,FbLyd,BbLoc", -7),
        ] {
            for name in names.split(',') {
                assert_eq!(key(name).fifths(), sharps, "{name}");
            }
        }
        // The same section: only the first three letters of a mode count, in any case.
        for text in ["D mixolydian", "DMIX", "D MixO", "Dmix clef=bass"] {
            assert_eq!(key(text), key("Dmix"), "{text}");
        }
    }

    #[test]
    fn accidentals_in_the_signature() {
        // abc 2.1, section 3.1.14: `K:D =c` is the signature of D mixolydian, `K:D exp ^c` has C♯ only.
        let altered = |text: &str| Letter::ALL.map(|l| key(text).alter(l));
        assert_eq!(altered("D =c"), altered("DMix"));
        assert_eq!(altered("D exp ^c"), [1, 0, 0, 0, 0, 0, 0]);
        assert_eq!(altered("Dmix=c"), [0, 0, 0, 1, 0, 0, 0]);
        assert_eq!(altered("D Phr ^f"), [0, 0, -1, 1, 0, 0, -1]);
        assert_eq!(altered("Hp"), [1, 0, 0, 1, 0, 0, 0]);
        assert_eq!(altered("none"), [0; 7]);
    }

    #[test]
    fn what_is_no_key() {
        for text in [
            "H", "G wrong", "g", "^", "C ^^^f", "C ^h", "Gm7", "A#", "Fb min",
        ] {
            assert_eq!(read_key(text), None, "{text}");
        }
        assert_eq!(read_key("G clef=bass octave=-1").unwrap().1.len(), 2);
    }

    #[test]
    fn tempo_in_all_its_forms() {
        // abc 2.1, section 3.1.8, and 10.1 for the outdated forms.
        let read = |text| match read_tempo(text, QUARTER / 2) {
            Some(TempoField::Exact(t) | TempoField::Rounded(t)) => Some((t.beat, t.per_minute)),
            _ => None,
        };
        let q = QUARTER;
        for (text, beat, rate) in [
            ("1/4=120", q, 120),
            ("\"Allegro\" 1/4=120", q, 120),
            ("3/8=50 \"Slowly\"", q * 3 / 2, 50),
            ("1/4 3/8 1/4 3/8=40", q * 5, 40),
            ("120", q / 2, 120),
            ("C=120", q / 2, 120),
            ("C3=40", q * 3 / 2, 40),
            ("1/4=92.5", q, 93),
        ] {
            assert_eq!(read(text), Some((beat, rate)), "{text}");
        }
        assert_eq!(read_tempo("\"Andante\"", q), Some(TempoField::Words));
        for text in [
            "1/4=", "=120", "1/0=120", "1/4=0", "1/4=1e9", "1/4=nan", "fast",
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn the_usual_tempo_counts_beats_of_the_meter() {
        for (meter, said) in [
            ("4/4", "1/4=100"),
            ("2/2", "1/2=100"),
            ("6/8", "3/8=100"),
            ("3/8", "1/8=100"),
            ("7/8", "1/4=100"),
        ] {
            let tempo = usual_tempo(meter.parse().ok().as_ref());
            assert_eq!(tempo.to_string(), said, "{meter}");
        }
    }

    #[test]
    fn unit_lengths() {
        assert_eq!(read_unit("1/8"), Some(QUARTER / 2));
        assert_eq!(read_unit("1"), Some(4 * QUARTER));
        for text in ["", "0/8", "1/0", "1/7.5", "8/1", "1/1000"] {
            assert_eq!(read_unit(text), None, "{text}");
        }
        // abc 2.1, section 3.1.7: below 0.75 a sixteenth.
        let usual = |m: &str| usual_unit(m.parse().ok().as_ref());
        assert_eq!(usual("2/4"), QUARTER / 4);
        assert_eq!(usual("3/4"), QUARTER / 2);
        assert_eq!(usual("6/8"), QUARTER / 2);
        assert_eq!(usual_unit(None), QUARTER / 2);
    }
}
