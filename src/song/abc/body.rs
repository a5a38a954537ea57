//! The body of a tune: words become bars.

use super::barlines::BarLine;
use super::bars::OpenBar;
use super::lexer::{self, Word};
use super::lines::Directives;
use super::pitch::{OpenTie, Pitches};
use super::rhythm::{FINE, Fine, Ratio, Tuplet};
use super::scan::Scan;
use super::sounding::Stack;
use super::voices::Voices;
use super::{Header, usual_tempo, usual_unit};
use crate::song::number;
use crate::song::{Bar, Close, GuitarWish, Notice, Notices, Place, Song, SongError, Tempo};
use crate::theory::{Key, Meter, Symbol};

/// More written bars than this are refused.
const MOST_BARS: usize = 20_000;

/// The reader of a body, fed line by line.
#[derive(Debug)]
pub(super) struct Body {
    header: Header,
    pub(super) key: Key,
    pub(super) meter: Option<Meter>,
    pub(super) unit: Fine,
    /// A change of tempo waiting for its bar.
    pub(super) tempo: Option<(Place, Tempo)>,
    pub(super) pitches: Pitches,
    pub(super) notices: Notices,
    pub(super) voices: Voices,
    pub(super) directives: Directives,
    pub(super) bars: Vec<Bar>,
    pub(super) open: OpenBar,
    /// How often the section is played, as its opening sign says.
    times: u8,
    /// Chords waiting for their note.
    pub(super) chords: Vec<(Place, Symbol)>,
    pub(super) stack: Option<Stack>,
    pub(super) tuplet: Option<Tuplet>,
    /// What a `>` before it does to the next note.
    pub(super) next: Option<Ratio>,
    pub(super) tie: Option<OpenTie>,
    /// Inside `&…`, to the bar line.
    overlay: bool,
}

impl Body {
    /// A reader that stands before the first line. `voice` is the first voice the header names.
    pub(super) fn new(header: Header, voice: Option<String>, notices: Notices) -> Body {
        let unit = header.unit.unwrap_or(usual_unit(header.meter.as_ref()));
        Body {
            key: header.key.clone(),
            meter: header.meter.clone(),
            unit: unit * FINE,
            tempo: None,
            pitches: Pitches::new(header.accidentals),
            notices,
            voices: Voices::new(voice),
            directives: Directives::default(),
            bars: Vec::new(),
            open: OpenBar::default(),
            times: 2,
            chords: Vec::new(),
            stack: None,
            tuplet: None,
            next: None,
            tie: None,
            overlay: false,
            header,
        }
    }

    /// Reads the words of a music line.
    pub(super) fn music(&mut self, text: &str, place: Place) -> Result<(), SongError> {
        let mut scan = Scan::new(text, place);
        while let Some((place, word)) = lexer::next(&mut scan)? {
            if let Word::Field(letter, value) = word {
                self.field(letter, value.trim(), place)?;
            } else if !self.voices.silent() {
                self.word(word, place)?;
            }
        }
        Ok(())
    }

    fn word(&mut self, word: Word, place: Place) -> Result<(), SongError> {
        if self.overlay && !matches!(word, Word::Bar(_)) {
            return Ok(());
        }
        match word {
            Word::Note(written) => {
                self.voices.music();
                let pitch = self.pitches.read(&written, &self.key, self.tie.as_ref());
                match &mut self.stack {
                    None => self.event(written.length, Some(pitch), place)?,
                    Some(stack) => {
                        stack.length.get_or_insert(written.length);
                        stack.on_top = (stack.top).is_none_or(|(top, _)| pitch.midi() > top.midi());
                        if stack.on_top {
                            stack.top = Some((pitch, false));
                        }
                    }
                }
            }
            Word::Rest(length) if self.stack.is_none() => self.event(length, None, place)?,
            Word::BarsOfRest(count) => self.rest_bars(count, place)?,
            Word::ChordStart => self.open_stack(place)?,
            Word::ChordEnd(length) => self.close_stack(length)?,
            Word::Tie => self.tie(place),
            Word::Broken { .. } if self.stack.is_some() => self
                .notices
                .pass(place, "broken-rhythm signs inside chords of notes"),
            Word::Broken {
                depth,
                longer_first,
            } => self.broken(depth, longer_first, place)?,
            Word::Tuplet { p, q, r } => {
                let compound = self.meter.as_ref().is_some_and(Meter::is_compound);
                self.tuplet = Some(Tuplet::new(p, q, r, compound, place)?);
            }
            Word::Quoted(text) => self.quoted(&text, place)?,
            Word::Bar(line) => self.bar_line(line, place)?,
            Word::Overlay => {
                self.overlay = true;
                self.notices.pass(place, "second parts written with &");
            }
            Word::Passed(what) => self.notices.pass(place, what),
            Word::Rest(_) => self.notices.pass(place, "rests inside chords of notes"),
            Word::Field(..) => {}
        }
        Ok(())
    }

    fn quoted(&mut self, text: &str, place: Place) -> Result<(), SongError> {
        let trimmed = text.trim();
        if trimmed.is_empty() {
            return Ok(());
        }
        if trimmed.starts_with(['^', '_', '<', '>', '@']) {
            self.notices.pass(place, "texts over and under the notes");
            return Ok(());
        }
        match Symbol::parse(trimmed) {
            Ok(symbol) => self.chords.push((place, symbol)),
            Err(error) => {
                let lead = text.chars().take_while(|c| c.is_whitespace()).count();
                let place = place.right(1 + lead + error.at);
                if self.header.strict_chords {
                    return Err(SongError::new(place, error.to_string()));
                }
                self.notices.pass(place, format!("unreadable {error}"));
            }
        }
        Ok(())
    }

    fn bar_line(&mut self, line: BarLine, place: Place) -> Result<(), SongError> {
        self.close_unclosed()?;
        if line.beyond {
            self.notices
                .pass(place, "passes beyond the most that a song has");
        }
        if let Some(close) = line.close {
            self.overlay = false;
            self.end_bar(close, place)?;
        } else {
            // An ending bracket without a bar line parts the bar in two.
            self.finish_open(Close::Single, place)?;
        }
        if let Some(times) = line.opens {
            self.open.opens_repeat = true;
            self.times = times;
        }
        if !line.ending.is_empty() {
            self.open.ending = line.ending;
        }
        Ok(())
    }

    pub(super) fn end_bar(&mut self, close: Close, place: Place) -> Result<(), SongError> {
        let close = match close {
            Close::Repeat(times) => Close::Repeat(times.max(std::mem::replace(&mut self.times, 2))),
            other => other,
        };
        if self.open.is_empty() {
            // Two bar lines in a row, at a line's end and the next one's start: the stronger counts.
            if let Some(last) = self.bars.last_mut() {
                last.close = stronger(last.close, close);
            }
        } else {
            self.finish_open(close, place)?;
        }
        self.pitches.bar_line();
        if let Some(tie) = &mut self.tie {
            tie.crossed = true;
        }
        Ok(())
    }

    fn finish_open(&mut self, close: Close, place: Place) -> Result<(), SongError> {
        if self.next.take().is_some() {
            self.notices
                .pass(place, "broken-rhythm signs with no note after them");
        }
        if let Some(bar) = self.open.finish(close) {
            self.bars.push(bar);
        }
        if self.bars.len() > MOST_BARS {
            let text = format!("there are more than {MOST_BARS} bars; part the tune in several");
            return Err(SongError::new(place, text));
        }
        Ok(())
    }

    /// The song and the notices. `first` is where to say that there is nothing in it.
    pub(super) fn finish(mut self, first: Place) -> Result<(Song, Vec<Notice>), SongError> {
        self.close_unclosed()?;
        self.finish_open(Close::Single, first)?;
        if let Some(tie) = self.tie.take() {
            self.settle(tie, None);
        }
        for (place, _) in self.chords.drain(..) {
            self.notices.tell(
                place,
                "this chord has no note or rest under it and is left out; write a rest: z4",
            );
        }
        if let Some((place, _)) = self.tempo {
            let text = "this change of tempo has no bar after it and is left out";
            self.notices.tell(place, text);
        }
        number::number(&mut self.bars);
        let Some(start) = self.bars.first_mut() else {
            let text = "there is no note here; write at least one bar, such as z4 |";
            return Err(SongError::new(first, text));
        };
        let tempo = start.tempo.take().or(self.header.tempo);
        let song = Song {
            title: self.header.title,
            composer: self.header.composer,
            tags: self.header.tags,
            key: start.key.clone(),
            tempo: tempo.unwrap_or(usual_tempo(self.header.meter.as_ref())),
            bars: self.bars,
            guitar: GuitarWish::default(),
            pins: Vec::new(),
            ideas: Vec::new(),
        };
        Ok((song, self.notices.finish()))
    }
}

/// Of two bar lines at one place the one that says more.
fn stronger(a: Close, b: Close) -> Close {
    let rank = |c| match c {
        Close::Single => 0,
        Close::Double => 1,
        Close::Final => 2,
        Close::Repeat(times) => 1 + times,
    };
    if rank(b) > rank(a) { b } else { a }
}
