//! The music lines cut into words: notes, rests, bar lines, quoted texts, fields and the marks
//! around them.

use super::Place;
use super::barlines::{self, BarLine};
use super::rhythm::Ratio;
use super::scan::Scan;
use crate::song::SongError;
use crate::theory::Letter;

/// The largest number in a length: the ticks of a whole note, so that any length can be written, and
/// the product of two still fits.
pub(super) const LARGEST: u32 = 40_320;

/// A note as written, before key and bar have their say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Written {
    pub letter: Letter,
    /// Scientific octave: `C` is 4, `c` is 5.
    pub octave: i8,
    /// The accidental before it, in semitones.
    pub accidental: Option<i8>,
    pub length: Ratio,
}

/// One word of the music.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Word {
    Note(Written),
    Rest(Ratio),
    BarsOfRest(u32),
    ChordStart,
    ChordEnd(Ratio),
    Tie,
    /// `>` (longer first) or `<`, so many times.
    Broken {
        depth: u32,
        longer_first: bool,
    },
    Tuplet {
        p: u32,
        q: Option<u32>,
        r: Option<u32>,
    },
    /// A text in quotes, without them.
    Quoted(String),
    Bar(BarLine),
    Field(char, String),
    Overlay,
    /// Something that is read and left out; what it is called in the plural.
    Passed(String),
}

/// Reads the next word; `None` at the line's end.
///
/// # Errors
/// For numbers and octaves beyond all music.
pub(super) fn next(scan: &mut Scan) -> Result<Option<(Place, Word)>, SongError> {
    loop {
        let place = scan.place();
        let Some(c) = scan.peek() else {
            return Ok(None);
        };
        if let Some(line) = barlines::read(scan) {
            return Ok(Some((place, Word::Bar(line))));
        }
        if let Some(word) = word(c, scan)? {
            return Ok(Some((place, word)));
        }
    }
}

/// Reads what begins with `c`; `None` when that means nothing to the music.
fn word(c: char, scan: &mut Scan) -> Result<Option<Word>, SongError> {
    if matches!(c, 'A'..='G' | 'a'..='g' | '^' | '_' | '=') {
        return note(scan).map(Some);
    }
    if matches!(c, '>' | '<') {
        return Ok(Some(Word::Broken {
            depth: u32::try_from(scan.count(c)).unwrap_or(u32::MAX),
            longer_first: c == '>',
        }));
    }
    scan.skip(1);
    Ok(Some(match c {
        // A backquote only parts beamed notes; a closed slur was named where it opened; a line
        // that ends in a backslash goes on in the next one, which bars do anyway.
        '`' | ')' => return Ok(None),
        '\\' if scan.peek().is_none() => return Ok(None),
        c if c.is_whitespace() => return Ok(None),
        '.' if matches!(scan.peek(), Some('(' | '-' | '|' | ':' | '[')) => return Ok(None),
        'y' => {
            length(scan)?;
            return Ok(None);
        }
        'z' | 'x' => Word::Rest(length(scan)?),
        'Z' | 'X' => Word::BarsOfRest(scan.number().unwrap_or(1)),
        '[' => bracket(scan),
        ']' => Word::ChordEnd(length(scan)?),
        '(' => paren(scan),
        '"' => quoted(scan),
        '-' => Word::Tie,
        '&' => Word::Overlay,
        '{' => grace(scan),
        '!' | '+' => decoration(c, scan),
        '*' | '$' => Word::Passed("line-break marks".into()),
        _ => Word::Passed(mark(c)),
    }))
}

/// What a single-letter mark is called.
fn mark(c: char) -> String {
    let name = match c {
        '.' => "staccato dots",
        '~' => "ornaments (~)",
        'H' => "fermatas",
        'L' => "accents",
        'M' => "lower mordents",
        'P' => "upper mordents",
        'O' => "codas",
        'S' => "segnos",
        'T' => "trills",
        'u' | 'v' => "bow marks",
        'I'..='Y' | 'h'..='w' => return format!("marks “{c}”"),
        _ => return format!("signs “{}” that mean nothing here", c.escape_debug()),
    };
    name.into()
}

fn note(scan: &mut Scan) -> Result<Word, SongError> {
    let place = scan.place();
    let sharps = scan.count('^');
    let flats = scan.count('_');
    let naturals = scan.count('=');
    let microtone = sharps + flats > 0 && (scan.number().is_some() | (scan.count('/') > 0));
    if microtone {
        scan.number();
    }
    let Some(letter) = scan.peek().and_then(Letter::from_char) else {
        return Ok(Word::Passed("accidentals without a note".into()));
    };
    let accidental = match (sharps, flats, naturals) {
        (0, 0, 0) => None,
        (1..=2, 0, 0) => Some(sharps as i8),
        (0, 1..=2, 0) => Some(-(flats as i8)),
        (0, 0, 1) => Some(0),
        _ => {
            return Err(SongError::new(
                place,
                "too many accidentals on one note; write ^ ^^ = _ or __",
            ));
        }
    };
    if microtone {
        // The note follows as its own word, without the accidental.
        return Ok(Word::Passed("quarter-tone accidentals".into()));
    }
    let mut octave = if scan.take().is_some_and(|c| c.is_lowercase()) {
        5i32
    } else {
        4
    };
    while let Some(c @ ('\'' | ',')) = scan.peek() {
        let marks = i32::try_from(scan.count(c)).unwrap_or(i32::MAX);
        octave = octave.saturating_add(if c == ',' { -marks } else { marks });
    }
    let octave = i8::try_from(octave).ok().filter(|o| (0..=8).contains(o));
    Ok(Word::Note(Written {
        letter,
        octave: octave.ok_or_else(|| {
            SongError::new(
                place,
                "this note lies beyond every instrument; leave out some , or '",
            )
        })?,
        accidental,
        length: length(scan)?,
    }))
}

/// A length after a note: `2`, `/`, `//`, `3/2`, `/4`.
fn length(scan: &mut Scan) -> Result<Ratio, SongError> {
    let place = scan.place();
    let n = scan.number().unwrap_or(1);
    let mut d = 1u32;
    while scan.peek() == Some('/') {
        scan.skip(1);
        d = d.saturating_mul(scan.number().unwrap_or(2));
    }
    let fine = n <= LARGEST && (1..=LARGEST).contains(&d);
    let ratio = fine.then_some(Ratio { n, d });
    ratio
        .ok_or_else(|| SongError::new(place, "this length is no music; write it like 2, 3/2 or /4"))
}

/// `[`: a chord of notes or an inline field. (Ending brackets are bar lines.)
fn bracket(scan: &mut Scan) -> Word {
    match (scan.peek(), scan.peek_at(1)) {
        (Some(c), Some(':')) if c.is_ascii_alphabetic() => {
            scan.skip(2);
            let text = scan.until(']', usize::MAX).unwrap_or_else(|| scan.rest());
            Word::Field(c, text)
        }
        _ => Word::ChordStart,
    }
}

/// `(`: a tuplet or the start of a slur.
fn paren(scan: &mut Scan) -> Word {
    let Some(p) = scan.number() else {
        return Word::Passed("slurs".into());
    };
    let mut part = || {
        if scan.peek() == Some(':') {
            scan.skip(1);
            return scan.number();
        }
        None
    };
    Word::Tuplet {
        p,
        q: part(),
        r: part(),
    }
}

fn quoted(scan: &mut Scan) -> Word {
    match scan.until('"', usize::MAX) {
        Some(text) => Word::Quoted(text),
        None => {
            scan.rest();
            Word::Passed("texts without a closing quote, and the rest of their line".into())
        }
    }
}

fn grace(scan: &mut Scan) -> Word {
    let name = if scan.until('}', usize::MAX).is_some() {
        "grace notes"
    } else {
        scan.rest();
        "grace notes without a closing brace, and the rest of their line"
    };
    Word::Passed(name.into())
}

/// `!trill!` or `+trill+`. A lone `!` is how older files broke lines.
fn decoration(sign: char, scan: &mut Scan) -> Word {
    let start = scan.mark();
    match scan.until(sign, 40) {
        Some(name) if !name.contains([' ', '|', '"']) => Word::Passed(format!("marks !{name}!")),
        _ => {
            scan.back_to(start);
            Word::Passed(if sign == '!' {
                "line-break marks".into()
            } else {
                mark(sign)
            })
        }
    }
}
