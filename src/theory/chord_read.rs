//! Reading chord symbols. The decided readings stand at [`Symbol::parse`].
//!
//! A symbol is root, quality (`m`, `maj`, `°` …), number (`7`, `6/9` …), then in any order what
//! changes it (`sus4`, `b9`, `add11`, `no3`, `maj7`), then a slash bass. What changes a chord is
//! first gathered in [`Parts`] and then applied in one fixed order, so that the order of writing
//! never matters.

use super::chord::{Chord, ChordError, Symbol, Tone};
use super::{Letter, Name};

/// What the pieces of a symbol ask for, before they become tones.
#[derive(Default)]
struct Parts {
    quality: Quality,
    /// Degree up to which thirds are stacked: 7, 9, 11 or 13.
    stack: Option<u8>,
    /// A major seventh whatever the quality says: `Cm(maj7)`.
    major_seventh: bool,
    /// `C5`: root and fifth alone.
    power: bool,
    suspended: Vec<Tone>,
    altered: Vec<Tone>,
    added: Vec<Tone>,
    omitted: Vec<u8>,
}

#[derive(Default, Clone, Copy, PartialEq, Eq)]
enum Quality {
    /// Nothing written: a major triad, a minor seventh.
    #[default]
    Plain,
    Major,
    /// `Δ`: major, with a seventh where no number says otherwise.
    Triangle,
    Dominant,
    Minor,
    Diminished,
    HalfDiminished,
    Augmented,
}

impl Parts {
    fn minor_third(&self) -> bool {
        matches!(
            self.quality,
            Quality::Minor | Quality::Diminished | Quality::HalfDiminished
        )
    }

    fn tones(&self) -> Vec<Tone> {
        let mut tones = vec![Tone::ROOT];
        if self.suspended.is_empty() {
            tones.extend(self.third());
        }
        tones.extend(&self.suspended);
        if !self.altered.iter().any(|t| t.degree == 5) || self.fifth() != 7 {
            tones.push(Tone::new(5, self.fifth()));
        }
        tones.extend(self.seventh());
        let altered = |degree| self.altered.iter().any(|t| t.degree == degree);
        tones.extend(self.stacked().into_iter().filter(|t| !altered(t.degree)));
        tones.extend(&self.altered);
        tones.extend(&self.added);
        tones.retain(|t| !self.omitted.contains(&t.degree));
        settle(tones)
    }

    fn third(&self) -> Option<Tone> {
        let clash = self.stack == Some(11) && !self.minor_third();
        let semitones = if self.minor_third() { 3 } else { 4 };
        (!self.power && !clash).then_some(Tone::new(3, semitones))
    }

    fn fifth(&self) -> u8 {
        match self.quality {
            Quality::Diminished | Quality::HalfDiminished => 6,
            Quality::Augmented => 8,
            _ => 7,
        }
    }

    fn seventh(&self) -> Option<Tone> {
        self.stack?;
        let semitones = match self.quality {
            _ if self.major_seventh => 11,
            Quality::Major | Quality::Triangle => 11,
            Quality::Diminished => 9,
            _ => 10,
        };
        Some(Tone::new(7, semitones))
    }

    /// What stands above the seventh.
    fn stacked(&self) -> Vec<Tone> {
        let top = self.stack.unwrap_or(0);
        let mut tones = Vec::new();
        if top >= 9 {
            tones.push(Tone::new(9, 14));
        }
        if top == 11 || (top == 13 && self.minor_third()) {
            tones.push(Tone::new(11, 17));
        }
        if top == 13 {
            tones.push(Tone::new(13, 21));
        }
        tones
    }
}

/// Brings tones to their one form: 6 or 13 by the seventh, no tone both suspended and stacked,
/// sorted by degree.
fn settle(mut tones: Vec<Tone>) -> Vec<Tone> {
    let seventh = tones.iter().any(|t| t.degree == 7);
    for tone in &mut tones {
        if tone.degree == 13 && !seventh {
            *tone = Tone::new(6, tone.semitones - 12);
        }
    }
    for (low, high) in [(Tone::new(2, 2), 9), (Tone::new(4, 5), 11)] {
        if tones.contains(&low) {
            let octave = Tone::new(high, low.semitones + 12);
            tones.retain(|&t| t != octave);
        }
    }
    tones.sort_unstable();
    tones.dedup();
    tones
}

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
const QUALITY_MARKS: [(&str, &str, Quality); 25] = [
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
    ("+", "", Quality::Augmented),
];

struct Reader<'a> {
    text: &'a str,
    chars: Vec<char>,
    at: usize,
    /// Where an open bracket stands.
    open: Option<usize>,
    /// A blank, comma, bracket or slash has just been passed, so that a bare number is an addition.
    parted: bool,
    /// Bare numbers are omissions: `(no3,5)`.
    omitting: bool,
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
            omitting: false,
        }
    }

    fn error<T>(&self, at: usize, problem: impl Into<String>) -> Result<T, ChordError> {
        Err(ChordError {
            text: self.text.to_string(),
            at,
            problem: problem.into(),
        })
    }

    fn peek(&self) -> Option<char> {
        self.chars.get(self.at).copied()
    }

    fn eat(&mut self, mark: &str) -> bool {
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
    fn eat_word(&mut self, word: &str) -> bool {
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

    fn blanks(&mut self) {
        while self.peek().is_some_and(char::is_whitespace) {
            self.at += 1;
        }
    }

    /// A number of one or two digits; longer ones are not chord numbers.
    fn digits(&mut self) -> Option<u8> {
        let start = self.at;
        let mut number = 0u8;
        while let Some(d) = self.peek().and_then(|c| c.to_digit(10)) {
            number = number.saturating_mul(10).saturating_add(d as u8);
            self.at += 1;
        }
        (self.at > start).then_some(number)
    }

    /// Sharps less flats at this place, at most two.
    fn accidentals(&mut self) -> i8 {
        let mut alter = 0;
        for _ in 0..2 {
            alter += match self.peek() {
                Some('#' | '♯') => 1,
                Some('b' | '♭') => -1,
                Some('x' | '𝄪') => 2,
                Some('𝄫') => -2,
                _ => break,
            };
            self.at += 1;
            if alter.abs() == 2 {
                break;
            }
        }
        alter
    }

    fn root(&mut self) -> Result<Name, ChordError> {
        let start = self.at;
        let Some(c) = self.peek() else {
            return self.error(start, "nothing is written; write a chord such as Am7, or N.C.");
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
                let problem = "a chord starts with a capital A to G; write Am7, D/F#, or N.C. for none";
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

    fn quality_mark(&mut self) -> Option<Quality> {
        if let Some((_, quality)) = QUALITY_WORDS.iter().find(|(w, _)| self.eat_word(w)) {
            return Some(*quality);
        }
        for (mark, barred, quality) in QUALITY_MARKS {
            let start = self.at;
            if self.eat(mark) {
                let after = self.at;
                if barred.is_empty() || !self.eat(barred) {
                    return Some(quality);
                }
                self.at = after.min(start);
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
                return self.error(start, "a dominant chord needs its number; write C7 or Cdom7");
            }
            return Ok(());
        };
        let plain = parts.quality == Quality::Plain;
        match number {
            7 | 9 | 11 | 13 => parts.stack = Some(number),
            6 | 69 if !matches!(parts.quality, Quality::Diminished | Quality::HalfDiminished) => {
                parts.added.push(Tone::new(13, 21));
                if number == 69 || self.nine_after_slash() {
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
            2 if matches!(parts.quality, Quality::Plain | Quality::Major | Quality::Minor) => {
                parts.added.push(Tone::new(9, 14));
            }
            _ => {
                let problem = format!(
                    "no such chord as this with a {number}; the numbers are 5, 6, 7, 9, 11, 13 and 6/9"
                );
                return self.error(start, problem);
            }
        }
        Ok(())
    }

    /// The second half of `6/9`.
    fn nine_after_slash(&mut self) -> bool {
        self.eat("/9") || self.eat("\\9")
    }

    /// Everything between the number and the slash bass.
    fn changes(&mut self, parts: &mut Parts) -> Result<(), ChordError> {
        while let Some(c) = self.peek() {
            let start = self.at;
            if self.separator(c)? {
                self.parted = true;
                continue;
            }
            if c == '/' {
                if self.bass_follows() {
                    break;
                }
                self.at += 1;
                self.parted = true;
                continue;
            }
            if !self.change(parts)? {
                let rest: String = self.chars[start..].iter().take(12).collect();
                let problem = format!(
                    "“{rest}” is not understood; write m, maj7, dim, aug, sus4, add9, b5, #11, no3 …, \
                     and a slash before another bass"
                );
                return self.error(start, problem);
            }
            self.parted = false;
        }
        match self.open {
            Some(at) => self.error(at, "the bracket is not closed; write a ) after what it holds"),
            None => Ok(()),
        }
    }

    fn separator(&mut self, c: char) -> Result<bool, ChordError> {
        match c {
            '(' if self.open.is_none() => {
                self.open = Some(self.at);
                self.omitting = false;
            }
            ')' if self.open.is_some() => {
                self.open = None;
                self.omitting = false;
            }
            '(' => return self.error(self.at, "brackets within brackets; write one pair: C7(b9,#11)"),
            ')' => return self.error(self.at, "a closing bracket without an opening one; write ( before it"),
            ',' => {}
            c if c.is_whitespace() => {}
            _ => return Ok(false),
        }
        self.at += 1;
        Ok(true)
    }

    /// Whether the slash here begins a bass, and not another alteration as in `C7b9/b13`.
    fn bass_follows(&self) -> bool {
        let after: String = self.chars[self.at + 1..]
            .iter()
            .filter(|c| !c.is_whitespace())
            .take(3)
            .collect();
        let mut signs = after.chars();
        match (signs.next(), signs.next()) {
            (Some('b'), Some(d)) if d.is_ascii_digit() => false,
            (Some(c), _) if "#♯♭+-".contains(c) || c.is_ascii_digit() => false,
            _ => !["add", "maj", "Maj", "sus", "no3", "no5", "omi"].contains(&after.as_str()),
        }
    }

    /// One change to the chord. False when nothing is understood.
    fn change(&mut self, parts: &mut Parts) -> Result<bool, ChordError> {
        let start = self.at;
        if self.eat_word("sus") {
            self.suspension(parts)?;
        } else if self.eat_word("add") {
            self.omitting = false;
            self.addition(parts)?;
        } else if self.eat_word("no") || self.eat_word("omit") {
            self.omitting = true;
            self.omission(parts)?;
        } else if self.eat_word("alt") {
            if parts.stack.is_none() {
                parts.stack = Some(7);
            }
            parts.altered.extend([Tone::new(5, 8), Tone::new(9, 15)]);
        } else if self.eat_word("aug") || self.eat("+") {
            self.sharp_or_flat(start, 1, parts)?;
        } else if self.eat_word("dim") || self.eat("-") || self.eat("−") || self.eat("–") {
            self.sharp_or_flat(start, -1, parts)?;
        } else if self.parted && self.peek().is_some_and(|c| c.is_ascii_digit()) {
            if self.omitting {
                self.omission(parts)?;
            } else {
                self.addition(parts)?;
            }
        } else if matches!(self.accidentals(), 1 | -1) {
            let sharp = "#♯".contains(self.chars[start]);
            self.sharp_or_flat(start, if sharp { 1 } else { -1 }, parts)?;
        } else {
            self.at = start;
            return self.late_major(parts);
        }
        Ok(true)
    }

    /// `maj7` after the quality: `Cm(maj7)`, `C+M7`, and the `M` of `C7M`.
    fn late_major(&mut self, parts: &mut Parts) -> Result<bool, ChordError> {
        let start = self.at;
        let triangle = match self.quality_mark() {
            Some(Quality::Triangle) => true,
            Some(Quality::Major) => false,
            _ => {
                self.at = start;
                return Ok(false);
            }
        };
        match (self.digits(), parts.stack) {
            (Some(n @ (7 | 9 | 11 | 13)), None) => parts.stack = Some(n),
            (None, None) if triangle => parts.stack = Some(7),
            (None, Some(_)) if parts.quality == Quality::Plain => {}
            (_, Some(_)) => {
                return self.error(start, "the chord has a seventh already; write one of the two");
            }
            _ => return self.error(start, "a late maj needs its number; write Cm(maj7)"),
        }
        parts.major_seventh = true;
        Ok(true)
    }

    /// What follows `sus`: nothing (4), 2, 4, both, a sharp 4 or flat 2, or the seventh of `sus7`.
    fn suspension(&mut self, parts: &mut Parts) -> Result<(), ChordError> {
        let before = parts.suspended.len();
        loop {
            let start = self.at;
            let alter = self.accidentals();
            let tone = match (alter, self.peek()) {
                (0 | -1, Some('2')) => Tone::new(2, if alter == 0 { 2 } else { 1 }),
                (0 | 1, Some('4')) => Tone::new(4, if alter == 0 { 5 } else { 6 }),
                _ => {
                    self.at = start;
                    break;
                }
            };
            self.at += 1;
            parts.suspended.push(tone);
        }
        if parts.suspended.len() > before {
            return Ok(());
        }
        parts.suspended.push(Tone::new(4, 5));
        let start = self.at;
        match self.digits() {
            None => Ok(()),
            Some(n @ (7 | 9 | 13)) if parts.stack.is_none() => {
                parts.stack = Some(n);
                Ok(())
            }
            Some(_) => self.error(start, "sus goes with 2 or 4; write Gsus4 or G7sus4"),
        }
    }

    /// What follows `add`, or a number that stands alone in brackets.
    fn addition(&mut self, parts: &mut Parts) -> Result<(), ChordError> {
        self.blanks();
        let start = self.at;
        let alter = self.accidentals();
        let tone = match (self.digits(), alter) {
            (Some(69), 0) => {
                parts.added.push(Tone::new(13, 21));
                Some(Tone::new(9, 14))
            }
            (Some(n), 0) => match n {
                2 | 9 => Some(Tone::new(9, 14)),
                4 | 11 => Some(Tone::new(11, 17)),
                6 | 13 => Some(Tone::new(13, 21)),
                _ => None,
            },
            (Some(n), _) => altered_tone(n, alter).filter(|t| t.degree > 7),
            (None, _) => None,
        };
        match tone {
            Some(tone) => parts.added.push(tone),
            None => {
                let problem = "only 2, 4, 6, 9, 11 and 13 can be added; write Cadd9 or C7(add13)";
                return self.error(start, problem);
            }
        }
        Ok(())
    }

    /// What follows `no` or `omit`.
    fn omission(&mut self, parts: &mut Parts) -> Result<(), ChordError> {
        self.blanks();
        let start = self.at;
        match self.digits() {
            Some(n @ (3 | 5 | 9 | 11)) => parts.omitted.push(n),
            _ => {
                return self.error(start, "only 3, 5, 9 and 11 can be left out; write C7(no3)");
            }
        }
        let _ordinal = self.eat("rd") || self.eat("th");
        Ok(())
    }

    /// The number after a sharp or flat, or none after a plus, which then means the fifth.
    fn sharp_or_flat(&mut self, start: usize, alter: i8, parts: &mut Parts) -> Result<(), ChordError> {
        self.omitting = false;
        let bare = !"#♯b♭-−–".contains(self.chars[start]);
        let hash = "#♯".contains(self.chars[start]);
        match self.digits() {
            None if bare => parts.altered.push(Tone::new(5, if alter > 0 { 8 } else { 6 })),
            Some(7) if hash && parts.stack.is_none() => {
                parts.stack = Some(7);
                parts.major_seventh = true;
            }
            Some(n) if altered_tone(n, alter).is_some() => {
                parts.altered.extend(altered_tone(n, alter));
            }
            _ => {
                let problem = "only b5, #5, b9, #9, #11 and b13 are alterations; write C7(b9,#11)";
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
            Some((c, Some(letter))) if c.is_ascii_uppercase() => letter,
            _ => return self.error(start, "after the slash comes a capital A to G: D/F#"),
        };
        self.at += 1;
        let alter = self.accidentals();
        self.blanks();
        if self.at < self.chars.len() {
            return self.error(self.at, "after the slash stands one bass note and nothing more: D/F#");
        }
        Ok(Some(Name::new(letter, alter)))
    }
}

/// The tone that a sharp or flat number names, if the trade has it.
fn altered_tone(number: u8, alter: i8) -> Option<Tone> {
    Some(match (number, alter) {
        (5, -1) => Tone::new(5, 6),
        (5, 1) => Tone::new(5, 8),
        (2 | 9, -1) => Tone::new(9, 13),
        (2 | 9, 1) => Tone::new(9, 15),
        (4 | 11, 1) => Tone::new(11, 18),
        (6 | 13, -1) => Tone::new(13, 20),
        _ => return None,
    })
}
