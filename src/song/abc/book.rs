//! A file of tunes: the file header, and each tune's header before its body.

use super::body::Body;
use super::fields::{read_meter, read_unit, usual_unit};
use super::lines::{self, Directives, Line};
use super::text::decoded;
use super::{AbcTune, Header};
use crate::song::{Notices, Place, SongError};
use crate::theory::{Key, Meter, Ticks};

/// More tunes than this are not read.
const MOST_TUNES: usize = 50_000;

/// The longest title, composer or tag, in characters.
const LONGEST_TEXT: usize = 200;

/// More tags than this are not taken.
const MOST_TAGS: usize = 16;

/// Reads every tune of an abc file; each tune fails or succeeds on its own.
///
/// A tune starts with `X:` and ends at an empty line or the next `X:` (abc 2.1, section 2.2).
/// Fields before the first tune are defaults for all: they hold where a tune does not say otherwise.
/// A text without any `X:` that has a `K:` is read as one tune. Behind 50 000 tunes the rest is
/// refused as one.
pub fn read_book(text: &str) -> Vec<Result<AbcTune, SongError>> {
    let text = text
        .trim_start_matches('\u{feff}')
        .replace("\r\n", "\n")
        .replace('\r', "\n");
    let lines: Vec<&str> = text.split('\n').collect();
    let mut starts: Vec<usize> = (0..lines.len()).filter(|&i| is_start(lines[i])).collect();
    let mut defaults = Head::default();
    match starts.first() {
        None if lines.iter().any(|l| l.trim_start().starts_with("K:")) => {
            let first = lines.iter().position(|l| !l.trim().is_empty()).unwrap_or(0);
            starts.push(first);
        }
        None => {
            let text = "there is no abc tune here; a tune starts with X:1 and has a K: field";
            return vec![Err(SongError::new(at(0), text))];
        }
        Some(&first) => {
            for (i, text) in lines[..first].iter().enumerate() {
                defaults.line(text, at(i));
            }
        }
    }
    let more = starts.get(MOST_TUNES).copied();
    starts.push(lines.len());
    let spans = starts.windows(2).take(MOST_TUNES);
    let mut tunes: Vec<_> = spans
        .map(|span| tune(&lines[span[0]..span[1]], span[0], &defaults))
        .collect();
    if let Some(more) = more {
        let text = format!("there are more than {MOST_TUNES} tunes; part the file in several");
        tunes.push(Err(SongError::new(at(more), text)));
    }
    tunes
}

fn is_start(line: &str) -> bool {
    line.trim_start().starts_with("X:")
}

fn at(line: usize) -> Place {
    Place {
        line: u32::try_from(line + 1).unwrap_or(u32::MAX),
        column: 1,
    }
}

/// Reads the lines from one `X:` to before the next; `first` counts lines before them.
fn tune(lines: &[&str], first: usize, defaults: &Head) -> Result<AbcTune, SongError> {
    let mut head = Head::default();
    let end = lines
        .iter()
        .position(|l| l.trim().is_empty())
        .unwrap_or(lines.len());
    if let Some(stray) = (end..lines.len()).find(|&i| is_stray(lines[i])) {
        head.notices.tell(
            at(first + stray),
            "an empty line ended the tune; what follows it is not read",
        );
    }
    head.key_follows = lines[..end]
        .iter()
        .any(|l| l.trim_start().starts_with("K:"));
    let mut body_start = end;
    for (i, text) in lines[..end].iter().enumerate() {
        if head.line(text, at(first + i)) {
            body_start = i + usize::from(head.key.is_some());
            break;
        }
    }
    let place = at(first + body_start.min(end.saturating_sub(1)));
    let (number, voice, header, notices) = head.finish(place, defaults);
    let mut body = Body::new(header, voice, notices);
    for (i, text) in lines[..end].iter().enumerate().skip(body_start) {
        body.line(text, at(first + i))?;
    }
    let (song, notices) = body.finish(place)?;
    Ok(AbcTune {
        number,
        song,
        notices,
    })
}

/// Text between tunes that looks like music or fields, and not like a comment.
fn is_stray(line: &str) -> bool {
    let line = line.trim();
    !line.is_empty() && !line.starts_with('%')
}

/// What a header has said so far.
#[derive(Debug, Default)]
struct Head {
    number: Option<u32>,
    title: Option<String>,
    composer: Option<String>,
    tags: Vec<String>,
    key: Option<Key>,
    meter: Option<Option<Meter>>,
    unit: Option<Ticks>,
    tempo: Option<(String, Place)>,
    voice: Option<String>,
    directives: Directives,
    /// A `K:` is still to come, so that whatever stands here is no music.
    key_follows: bool,
    /// The field before is one whose text a `+:` would go on with.
    goes_on: bool,
    notices: Notices,
}

impl Head {
    /// Heeds a header line. `true` when the header ends: with the key, or before music.
    fn line(&mut self, text: &str, place: Place) -> bool {
        let text = text.trim();
        if self.directives.skip(text) {
            return false;
        }
        match lines::line(text) {
            Line::Empty => false,
            Line::Music(_) if !self.key_follows => true,
            Line::Music(_) => {
                self.notices
                    .pass(place, "lines of the header that are no fields");
                false
            }
            Line::Directive(name, value) => {
                let notices = &mut self.notices;
                self.directives.heed(name, value, place, notices);
                false
            }
            Line::Field('K', value) => {
                self.key_field(value, place);
                true
            }
            Line::Field(letter, value) => {
                self.field(letter, value, place);
                false
            }
        }
    }

    fn key_field(&mut self, value: &str, place: Place) {
        let (key, passed, text) = lines::key_or_tonic(value);
        if let Some(text) = text {
            self.notices.tell(place, text);
        }
        self.key = Some(key.unwrap_or(Key::C_MAJOR));
        for what in passed {
            self.notices.pass(place, format!("{what} in K:"));
        }
    }

    fn field(&mut self, letter: char, value: &str, place: Place) {
        self.said(letter, value, place);
        if letter != '+' {
            self.goes_on = matches!(letter, 'T' | 'C' | 'R');
        }
    }

    fn said(&mut self, letter: char, value: &str, place: Place) {
        match letter {
            'X' => match value.parse() {
                Ok(number) => self.number = Some(number),
                Err(_) => self.notices.tell(
                    place,
                    format!("“{value}” is not a tune's number; it counts as 0"),
                ),
            },
            'T' if self.title.is_none() => self.title = Some(self.short(decoded(value), place)),
            'T' => self.notices.pass(place, "titles after the first"),
            'C' if self.composer.is_none() => {
                self.composer = Some(self.short(decoded(value), place));
            }
            'R' if self.tags.len() == MOST_TAGS => {
                let text = format!("rhythms (R:) after the first {MOST_TAGS}");
                self.notices.pass(place, text);
            }
            'R' if !value.is_empty() => {
                let tag = self.short(decoded(value), place);
                self.tags.push(tag);
            }
            'M' => {
                self.meter = Some(read_meter(value).unwrap_or_else(|| {
                    let text = format!("“{value}” is not a meter; bars are as long as their notes");
                    self.notices.tell(place, text);
                    None
                }));
            }
            'L' => {
                self.unit = read_unit(value).or_else(|| {
                    let text = format!("“{value}” is not a unit length like 1/8; it is left out");
                    self.notices.tell(place, text);
                    None
                });
            }
            'Q' => self.tempo = Some((self.short(value.to_string(), place), place)),
            'V' => {
                let name = value.split_whitespace().next().unwrap_or("");
                self.voice.get_or_insert_with(|| name.to_string());
            }
            'I' => {
                let notices = &mut self.notices;
                self.directives.instruction(value, place, notices);
            }
            'P' => self.notices.tell(
                place,
                "the order of parts is passed over; the tune is read as it is written",
            ),
            'U' => self.notices.pass(place, "user symbols (U:)"),
            'm' => self.notices.pass(place, "macros (m:)"),
            '+' if self.goes_on => {
                let what = "lines +: that go on with a title, a composer or a rhythm";
                self.notices.pass(place, what);
            }
            'r' | '+' => {}
            other => self.notices.pass(place, format!("what {other}: says")),
        }
    }

    /// A text, cut where it is longer than any title.
    fn short(&mut self, text: String, place: Place) -> String {
        let Some((end, _)) = text.char_indices().nth(LONGEST_TEXT) else {
            return text;
        };
        let what = format!("ends of texts longer than {LONGEST_TEXT} characters");
        self.notices.pass(place, what);
        text[..end].to_owned()
    }

    /// Number, first voice, header and notices; `place` is where the body starts. What was not said
    /// is as the file header has it.
    fn finish(self, place: Place, file: &Head) -> (u32, Option<String>, Header, Notices) {
        let mut notices = self.notices;
        let key = self.key.or_else(|| file.key.clone());
        if key.is_none() {
            notices.tell(
                place,
                "there is no K: field; the tune is read without a signature",
            );
        }
        let meter = self.meter.or_else(|| file.meter.clone()).flatten();
        let mut header = Header::new(key.unwrap_or(Key::C_MAJOR), meter);
        header.unit = self.unit.or(file.unit);
        if let Some((value, place)) = self.tempo.or_else(|| file.tempo.clone()) {
            let unit = header.unit.unwrap_or(usual_unit(header.meter.as_ref()));
            let (tempo, text) = lines::tempo(&value, unit);
            header.tempo = tempo;
            if let Some(text) = text {
                notices.tell(place, text);
            }
        }
        let title = self.title.or_else(|| file.title.clone());
        header.title = title.unwrap_or_default();
        header.composer = self.composer.or_else(|| file.composer.clone());
        header.tags = [&file.tags[..], &self.tags].concat();
        let reach = self.directives.reach.or(file.directives.reach);
        header.accidentals = reach.unwrap_or_default();
        (self.number.unwrap_or(0), self.voice, header, notices)
    }
}
