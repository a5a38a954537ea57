//! The lines of a body: comments, directives, fields and music told apart.

use super::body::Body;
use super::fields::{TempoField, read_key, read_meter, read_tempo, read_unit};
use super::rhythm::FINE;
use super::{Accidentals, Place};
use crate::song::{Notices, SongError, Tempo};
use crate::theory::{Key, Ticks};

/// What a line is.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Line<'a> {
    /// Nothing, or a comment.
    Empty,
    /// `%%name value`.
    Directive(&'a str, &'a str),
    /// `K:value`.
    Field(char, &'a str),
    /// Anything else.
    Music(&'a str),
}

/// Tells a line's kind and cuts its comment off. Leading blanks must be gone.
pub(super) fn line(text: &str) -> Line<'_> {
    // What starts with %% and no name is a comment that someone underlined.
    if let Some(directive) = text.strip_prefix("%%").map(str::trim)
        && directive.starts_with(|c: char| c.is_ascii_alphabetic())
    {
        let (name, value) = directive
            .split_once(char::is_whitespace)
            .unwrap_or((directive, ""));
        return Line::Directive(name, value.trim());
    }
    let text = uncommented(text).trim_end();
    if text.is_empty() {
        return Line::Empty;
    }
    let mut chars = text.chars();
    match (chars.next(), chars.next(), chars.next()) {
        // `c:|` is a note and a repeat sign, no field.
        (Some('A'..='G' | 'a'..='g' | 'x' | 'z'), Some(':'), Some('|' | ':')) => Line::Music(text),
        (Some(c), Some(':'), _) if c.is_ascii_alphabetic() || c == '+' => {
            Line::Field(c, text.get(2..).unwrap_or("").trim())
        }
        _ => Line::Music(text),
    }
}

/// The text before the first `%` that is not escaped as `\%`.
fn uncommented(text: &str) -> &str {
    let mut escaped = false;
    for (at, c) in text.char_indices() {
        if c == '%' && !escaped {
            return &text[..at];
        }
        escaped = c == '\\' && !escaped;
    }
    text
}

/// The directives of a header or a body.
#[derive(Debug, Default)]
pub(super) struct Directives {
    /// How far accidentals reach, where that was said.
    pub reach: Option<Accidentals>,
    /// Inside `%%begin…`: what ends the block.
    block: Option<String>,
}

impl Directives {
    /// Whether a line stands in a block of text, which is no music.
    pub(super) fn skip(&mut self, line: &str) -> bool {
        let Some(end) = &self.block else {
            return false;
        };
        if line.starts_with(end.as_str()) {
            self.block = None;
        }
        true
    }

    /// Heeds `%%name value`.
    pub(super) fn heed(&mut self, name: &str, value: &str, place: Place, notices: &mut Notices) {
        match accidentals(value) {
            Some(reach) if name == "propagate-accidentals" => self.reach = Some(reach),
            _ => {
                self.block = block_end(name);
                notices.pass(place, format!("directives %%{name}"));
            }
        }
    }

    /// Heeds an `I:` field, which says the same as a directive.
    pub(super) fn instruction(&mut self, text: &str, place: Place, notices: &mut Notices) {
        let (name, value) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
        self.heed(name, value.trim(), place, notices);
    }
}

/// How far accidentals reach, by the name `%%propagate-accidentals` gives it.
fn accidentals(value: &str) -> Option<Accidentals> {
    match value {
        "not" => Some(Accidentals::Note),
        "octave" => Some(Accidentals::Octave),
        "pitch" => Some(Accidentals::Pitch),
        _ => None,
    }
}

/// The line that ends a block of text opened by `%%begin…`.
fn block_end(name: &str) -> Option<String> {
    name.strip_prefix("begin")
        .map(|what| format!("%%end{what}"))
}

impl Body {
    /// Reads one line of the body. `place` is that of its first character.
    ///
    /// # Errors
    /// For numbers beyond all music, and for unreadable chords if the header says so.
    pub(super) fn line(&mut self, text: &str, place: Place) -> Result<(), SongError> {
        let blanks = text.chars().take_while(|c| c.is_whitespace()).count();
        let text = text.trim();
        let place = place.right(blanks);
        if self.directives.skip(text) {
            return Ok(());
        }
        match line(text) {
            Line::Empty => Ok(()),
            Line::Directive(name, value) => {
                let notices = &mut self.notices;
                self.directives.heed(name, value, place, notices);
                self.reach();
                Ok(())
            }
            Line::Field(letter, value) => self.field(letter, value, place),
            Line::Music(text) => self.music(text, place),
        }
    }

    /// Accidentals reach as far as a directive has said.
    fn reach(&mut self) {
        self.pitches.reach = self.directives.reach.unwrap_or(self.pitches.reach);
    }

    /// Heeds a field, inline or on its own line.
    pub(super) fn field(
        &mut self,
        letter: char,
        value: &str,
        place: Place,
    ) -> Result<(), SongError> {
        if letter == 'V' {
            if self.voices.speak(value) {
                self.notices.pass(place, "voices after the first");
            }
            return Ok(());
        }
        if self.voices.silent() {
            return Ok(());
        }
        match letter {
            'K' => self.key_field(value, place),
            'M' => match read_meter(value) {
                Some(meter) => self.meter = meter,
                None => self.notices.tell(
                    place,
                    format!("“{value}” is not a meter; the one before it stays"),
                ),
            },
            'L' => match read_unit(value) {
                Some(unit) => self.unit = unit * FINE,
                None => self.notices.tell(
                    place,
                    format!("“{value}” is not a unit length like 1/8; the one before it stays"),
                ),
            },
            'Q' => self.tempo_field(value, place),
            'I' => {
                let notices = &mut self.notices;
                self.directives.instruction(value, place, notices);
                self.reach();
            }
            'w' | 'W' => self.notices.pass(place, "lyrics"),
            's' => self.notices.pass(place, "symbol lines (s:)"),
            'P' => self.notices.pass(place, "names of parts (P:)"),
            'U' => self.notices.pass(place, "user symbols (U:)"),
            'm' => self.notices.pass(place, "macros (m:)"),
            // Remarks and notes speak to people; a + goes on with the field before it.
            'r' | 'N' | '+' => {}
            other => self
                .notices
                .pass(place, format!("fields {other}: amid the music")),
        }
        Ok(())
    }

    fn key_field(&mut self, value: &str, place: Place) {
        let (key, passed, text) = key_or_tonic(value);
        // `K:clef=bass` changes the clef, and no key.
        let clef_only = passed
            .first()
            .is_some_and(|p| value.starts_with(p.as_str()));
        if let Some(key) = key.filter(|_| !clef_only) {
            self.key = key;
        }
        for what in passed {
            self.notices.pass(place, format!("{what} in K:"));
        }
        if let Some(text) = text {
            self.notices.tell(place, text);
        }
    }

    fn tempo_field(&mut self, value: &str, place: Place) {
        let (tempo, text) = tempo(value, self.unit / FINE);
        if let Some(text) = text {
            self.notices.tell(place, text);
        }
        let Some(tempo) = tempo else { return };
        self.tempo = Some((place, tempo));
        if !self.open.is_empty() {
            let text = "a change of tempo amid a bar holds from the next bar on";
            self.notices.tell(place, text);
        }
    }
}

/// What a key field says: the key, what in it was left out, and what is worth telling. Of a field
/// that is no key its keynote is kept, where it has one.
pub(super) fn key_or_tonic(value: &str) -> (Option<Key>, Vec<String>, Option<String>) {
    if let Some((key, passed)) = read_key(value) {
        return (Some(key), passed, None);
    }
    let short = value.chars().take(2).collect::<String>();
    let tonic = [short.as_str(), value.get(..1).unwrap_or("")];
    match tonic.into_iter().find_map(read_key) {
        Some((key, _)) => {
            let text = format!("“{value}” is not a key; it is read as {key}");
            (Some(key), Vec::new(), Some(text))
        }
        None => {
            let text = format!("“{value}” is not a key; write it like G, Em or D dorian");
            (None, Vec::new(), Some(text))
        }
    }
}

/// What a tempo field says, and what is worth telling about it.
pub(super) fn tempo(value: &str, unit: Ticks) -> (Option<Tempo>, Option<String>) {
    match read_tempo(value, unit) {
        Some(TempoField::Exact(tempo)) => (Some(tempo), None),
        Some(TempoField::Rounded(tempo)) => {
            let text = format!("tempo “{value}” is rounded to {}", tempo.per_minute);
            (Some(tempo), Some(text))
        }
        Some(TempoField::Words) => (
            None,
            Some("the tempo is given in words only; write Q:1/4=96 to set it".into()),
        ),
        None => (
            None,
            Some(format!("“{value}” is not a tempo; write it like 1/4=96")),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_of_lines() {
        assert_eq!(line("% words"), Line::Empty);
        assert_eq!(line("%% :| ||"), Line::Empty);
        assert_eq!(
            line("%%MIDI program 24"),
            Line::Directive("MIDI", "program 24")
        );
        assert_eq!(line("K: G % the key"), Line::Field('K', "G"));
        assert_eq!(line("+:more"), Line::Field('+', "more"));
        assert_eq!(line("c:|"), Line::Music("c:|"));
        assert_eq!(line("A::B"), Line::Music("A::B"));
        assert_eq!(line("N::B"), Line::Field('N', ":B"));
        assert_eq!(line("|:CDE\\ % on"), Line::Music("|:CDE\\"));
        assert_eq!(line(r"T:90\% sure"), Line::Field('T', r"90\% sure"));
    }
}
