//! Reading chord symbols. The decided readings stand at [`Symbol::parse`].
//!
//! A symbol is root, quality (`m`, `maj`, `°` …), number (`7`, `6/9` …), then in any order what
//! changes it (`sus4`, `b9`, `add11`, `no3`, `maj7`), then a slash bass. What changes a chord is
//! first gathered in [`Parts`] and then applied in one fixed order, so that the order of writing
//! never matters.

use super::parts::{Parts, Quality};
use super::{Chord, ChordError, Symbol, Tone};
use crate::theory::{Letter, Name};

/// Reads a symbol.
pub(super) fn read(text: &str) -> Result<Symbol, ChordError> {
    let silent: String = text
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '.')
        .collect();
    if silent.eq_ignore_ascii_case("nc") {
        return Ok(Symbol::NoChord);
    }
    let mut reader = Reader::new(text);
    let root = reader.root()?;
    let mut parts = Parts::default();
    reader.quality(&mut parts);
    reader.number(&mut parts)?;
    reader.changes(&mut parts)?;
    let bass = reader.bass()?.filter(|&bass| bass != root);
    Ok(Symbol::Chord(Chord {
        root,
        tones: parts.tones(),
        bass,
        text: text.trim().to_string(),
    }))
}

/// Words of quality. Those of three letters and more are read in any case.
const QUALITY_WORDS: [(&str, Quality); 12] = [
    ("major", Quality::Major),
    ("maj", Quality::Major),
    ("minor", Quality::Minor),
    ("min", Quality::Minor),
    ("halfdim", Quality::HalfDiminished),
    ("half-dim", Quality::HalfDiminished),
    ("diminished", Quality::Diminished),
    ("dim", Quality::Diminished),
    ("augmented", Quality::Augmented),
    ("aug", Quality::Augmented),
    ("dominant", Quality::Dominant),
    ("dom", Quality::Dominant),
];

/// Shorter marks of quality, where `M` is major and `m` is minor, with what may not follow them
/// (`Cmadd9` is m + add9, `Comit5` is no diminished chord).
const QUALITY_MARKS: [(&str, &str, Quality); 26] = [
    ("ma", "d", Quality::Major),
    ("Ma", "d", Quality::Major),
    ("MA", "D", Quality::Major),
    ("mi", "", Quality::Minor),
    ("Mi", "", Quality::Minor),
    ("MI", "", Quality::Minor),
    ("M", "", Quality::Major),
    ("m", "", Quality::Minor),
    ("-", "", Quality::Minor),
    ("−", "", Quality::Minor),
    ("–", "", Quality::Minor),
    ("Δ", "", Quality::Triangle),
    ("△", "", Quality::Triangle),
    ("∆", "", Quality::Triangle),
    ("^", "", Quality::Triangle),
    ("°", "", Quality::Diminished),
    ("º", "", Quality::Diminished),
    ("˚", "", Quality::Diminished),
    ("o", "mit", Quality::Diminished),
    ("O", "MIT", Quality::Diminished),
    ("ø", "", Quality::HalfDiminished),
    ("Ø", "", Quality::HalfDiminished),
    ("∅", "", Quality::HalfDiminished),
    ("⌀", "", Quality::HalfDiminished),
    ("h7", "", Quality::HalfDiminished),
    ("+", "", Quality::Augmented),
];

/// What a bare number goes on with.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum List {
    /// Nothing: `C(9)`, an addition.
    Bare,
    /// `(add9,11)`.
    Add,
    /// `(no3,5)`.
    Omit,
}

pub(super) struct Reader<'a> {
    pub(super) text: &'a str,
    pub(super) chars: Vec<char>,
    pub(super) at: usize,
    /// Where an open bracket stands.
    pub(super) open: Option<usize>,
    /// A blank, comma, bracket or slash has just been passed, so that a bare number is an addition.
    pub(super) parted: bool,
    pub(super) list: List,
}

impl<'a> Reader<'a> {
    /// A reader at the first sign, past blanks and past a bracket round the whole symbol.
    fn new(text: &'a str) -> Reader<'a> {
        let mut chars: Vec<char> = text.trim_end().chars().collect();
        let mut at = chars.iter().take_while(|c| c.is_whitespace()).count();
        if chars.get(at) == Some(&'(') && chars.last() == Some(&')') {
            at += 1;
            chars.pop();
        }
        Reader {
            text,
            chars,
            at,
            open: None,
            parted: false,
            list: List::Bare,
        }
    }

    pub(super) fn error<T>(&self, at: usize, problem: impl Into<String>) -> Result<T, ChordError> {
        Err(ChordError {
            text: self.text.to_string(),
            at,
            problem: problem.into(),
        })
    }

    pub(super) fn peek(&self) -> Option<char> {
        self.chars.get(self.at).copied()
    }

    pub(super) fn eat(&mut self, mark: &str) -> bool {
        let found = mark
            .chars()
            .enumerate()
            .all(|(i, c)| self.chars.get(self.at + i) == Some(&c));
        if found {
            self.at += mark.chars().count();
        }
        found
    }

    /// As [`Reader::eat`], in any case.
    pub(super) fn eat_word(&mut self, word: &str) -> bool {
        let found = word.chars().enumerate().all(|(i, c)| {
            self.chars
                .get(self.at + i)
                .is_some_and(|x| x.eq_ignore_ascii_case(&c))
        });
        if found {
            self.at += word.chars().count();
        }
        found
    }

    pub(super) fn blanks(&mut self) {
        while self.peek().is_some_and(char::is_whitespace) {
            self.at += 1;
        }
    }

    /// A number of one or two digits; longer ones are not chord numbers.
    pub(super) fn digits(&mut self) -> Option<u8> {
        let start = self.at;
        let mut number = 0u8;
        while let Some(d) = self.peek().and_then(|c| c.to_digit(10)) {
            number = number.saturating_mul(10).saturating_add(d as u8);
            self.at += 1;
        }
        (self.at > start).then_some(number)
    }

    /// Sharps (positive) or flats (negative) at this place, at most two of one kind.
    pub(super) fn accidentals(&mut self) -> i8 {
        let sign = |c: Option<&char>| match c {
            Some('#' | '♯') => 1,
            Some('b' | '♭') => -1,
            Some('x' | '𝄪') => 2,
            Some('𝄫') => -2,
            _ => 0,
        };
        let first: i8 = sign(self.chars.get(self.at));
        let second = sign(self.chars.get(self.at + 1));
        let double = first.abs() == 1 && first == second;
        self.at += usize::from(first != 0) + usize::from(double);
        if double { 2 * first } else { first }
    }

    fn root(&mut self) -> Result<Name, ChordError> {
        let start = self.at;
        let Some(c) = self.peek() else {
            return self.error(
                start,
                "nothing is written; write a chord such as Am7, or N.C.",
            );
        };
        let letter = match Letter::from_char(c) {
            Some(letter) if c.is_ascii_uppercase() => letter,
            Some(letter) => {
                let rest: String = self.chars[start + 1..].iter().collect();
                let remedy = format!("write the root as a capital: {}{rest}", letter.to_char());
                return self.error(start, remedy);
            }
            None if c == 'H' => {
                return self.error(start, "H is written B here, and the German B is written Bb");
            }
            None => {
                let problem =
                    "a chord starts with a capital A to G; write Am7, D/F#, or N.C. for none";
                return self.error(start, problem);
            }
        };
        self.at += 1;
        let sign = self.at;
        let alter = self.accidentals();
        if alter.abs() > 1 {
            let problem = "no chord has a double sign on its root; write the plain root, \
                           or brackets for an altered tone: Bb(b5)";
            return self.error(sign, problem);
        }
        Ok(Name::new(letter, alter))
    }

    fn quality(&mut self, parts: &mut Parts) {
        self.blanks();
        if let Some(quality) = self.quality_mark() {
            parts.quality = quality;
        }
    }

    pub(super) fn quality_mark(&mut self) -> Option<Quality> {
        if let Some((_, quality)) = QUALITY_WORDS.iter().find(|(w, _)| self.eat_word(w)) {
            return Some(*quality);
        }
        for (mark, barred, quality) in QUALITY_MARKS {
            let start = self.at;
            if self.eat(mark) {
                if barred.is_empty() || !self.eat(barred) {
                    return Some(quality);
                }
                self.at = start;
            }
        }
        None
    }

    /// The number right after the quality.
    fn number(&mut self, parts: &mut Parts) -> Result<(), ChordError> {
        self.blanks();
        let start = self.at;
        let Some(number) = self.digits() else {
            if parts.quality == Quality::Triangle || parts.quality == Quality::HalfDiminished {
                parts.stack = Some(7);
            }
            if parts.quality == Quality::Dominant {
                return self.error(
                    start,
                    "a dominant chord needs its number; write C7 or Cdom7",
                );
            }
            return Ok(());
        };
        let plain = parts.quality == Quality::Plain;
        match number {
            7 | 9 | 11 | 13 => parts.stack = Some(number),
            6 | 69 if !matches!(parts.quality, Quality::Diminished | Quality::HalfDiminished) => {
                parts.added.push(Tone::new(13, 21));
                if number == 69 || self.eat("/9") {
                    parts.added.push(Tone::new(9, 14));
                }
            }
            5 if plain => parts.power = true,
            5 if parts.quality == Quality::Augmented => {}
            5 if parts.quality == Quality::Minor && "-−–".contains(self.chars[start - 1]) => {
                parts.quality = Quality::Plain;
                parts.altered.push(Tone::new(5, 6));
            }
            4 if plain => parts.suspended.push(Tone::new(4, 5)),
            2 if matches!(
                parts.quality,
                Quality::Plain | Quality::Major | Quality::Minor
            ) =>
            {
                parts.added.push(Tone::new(9, 14));
            }
            _ => {
                let problem = format!(
                    "{number} does not go with this chord; write C5, C6, C7, C9, C11, C13 or C6/9, Cm6, Cdim7 and the like"
                );
                return self.error(start, problem);
            }
        }
        Ok(())
    }

    /// The slash bass, if the symbol has one, and then its end.
    fn bass(&mut self) -> Result<Option<Name>, ChordError> {
        if !self.eat("/") {
            return Ok(None);
        }
        self.blanks();
        let start = self.at;
        let letter = match self.peek().map(|c| (c, Letter::from_char(c))) {
            // Tune books write the bass in either case: Am/C, Am/c.
            Some((_, Some(letter))) => letter,
            _ => return self.error(start, "after the slash comes a note A to G: D/F#"),
        };
        self.at += 1;
        let alter = self.accidentals();
        self.blanks();
        if self.at < self.chars.len() {
            return self.error(
                self.at,
                "after the slash stands one bass note and nothing more: D/F#, not a second chord",
            );
        }
        Ok(Some(Name::new(letter, alter)))
    }
}
