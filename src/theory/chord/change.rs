//! What changes a chord after its quality and number: suspensions, alterations, additions, omissions.

use super::parts::{Parts, Quality};
use super::read::{List, Reader};
use super::{ChordError, Tone};

impl Reader<'_> {
    /// Everything between the number and the slash bass.
    pub(super) fn changes(&mut self, parts: &mut Parts) -> Result<(), ChordError> {
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
            Some(at) => self.error(
                at,
                "the bracket is not closed; write a ) after what it holds",
            ),
            None => Ok(()),
        }
    }

    fn separator(&mut self, c: char) -> Result<bool, ChordError> {
        match c {
            '(' if self.open.is_none() => {
                self.open = Some(self.at);
                self.list = List::Bare;
            }
            ')' if self.open.is_some() => {
                self.open = None;
                self.list = List::Bare;
            }
            '(' => {
                return self.error(
                    self.at,
                    "brackets within brackets; write one pair: C7(b9,#11)",
                );
            }
            ')' => {
                return self.error(
                    self.at,
                    "a closing bracket without an opening one; write ( before it",
                );
            }
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
            self.list = List::Add;
            self.addition(parts)?;
        } else if self.eat_word("no") || self.eat_word("omit") {
            self.list = List::Omit;
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
            if self.list == List::Omit {
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
                return self.error(
                    start,
                    "the chord has a seventh already; write one of the two",
                );
            }
            _ => return self.error(start, "maj needs its number here; write Cm(maj7)"),
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
        let number = self.digits();
        if self.list == List::Bare && matches!(number, Some(2 | 4)) {
            let problem = "the number may be meant in two ways; write sus2 or sus4, or with the third add9 or add11";
            return self.error(start, problem);
        }
        let tone = match (number, alter) {
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
    fn sharp_or_flat(
        &mut self,
        start: usize,
        alter: i8,
        parts: &mut Parts,
    ) -> Result<(), ChordError> {
        self.list = List::Bare;
        let bare = "+aA".contains(self.chars[start]);
        let hash = "#♯".contains(self.chars[start]);
        match self.digits() {
            None if bare => parts.altered.push(Tone::new(5, 8)),
            Some(7) if hash && parts.stack.is_none() => {
                parts.stack = Some(7);
                parts.major_seventh = true;
            }
            Some(7) if bare => {
                let problem = "+7 may be meant in two ways; write Cm(maj7) or C7(#5)";
                return self.error(start, problem);
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
