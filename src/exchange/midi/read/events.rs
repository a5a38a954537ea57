//! The events of a file that a song is made of.

use crate::exchange::plain::one_line;
use crate::song::{Notices, Place, SongError};
use crate::theory::Symbol;
use midly::{EventIter, Format, MetaMessage, MidiMessage, Timing, TrackEventKind, TrackIter};

/// The most notes that are read; an evening of music has some ten thousand.
const MOST_NOTES: usize = 200_000;
/// The most tempos, meters, keys and chords that are read, all together.
const MOST_MARKS: usize = 200_000;
/// The most tracks that are read; an orchestra has about forty.
const MOST_TRACKS: usize = 1000;
/// The longest that a file may last, in quarters.
const LONGEST: u64 = 200_000;
/// The General MIDI percussion channel, from 0.
const PERCUSSION: u8 = 9;
/// The most of a text that is kept, in characters.
const LONGEST_TEXT: usize = 200;

/// What a file holds. All places are in ticks of the file.
pub(super) struct File {
    /// Ticks of a quarter.
    pub division: u64,
    pub title: String,
    pub tracks: Vec<Track>,
    /// Microseconds of a quarter, from each place on.
    pub tempos: Vec<(u64, u32)>,
    /// Top and power of two of the bottom number.
    pub meters: Vec<(u64, (u8, u8))>,
    /// Sharps or flats, and whether the key is minor.
    pub keys: Vec<(u64, (i8, bool))>,
    pub chords: Vec<(u64, Symbol)>,
}

pub(super) struct Track {
    pub name: String,
    pub notes: Vec<Played>,
}

/// A note as it was played.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Played {
    pub on: u64,
    pub off: u64,
    pub key: u8,
    /// From 0.
    pub channel: u8,
}

pub(super) fn wrong(text: impl Into<String>) -> SongError {
    SongError::new(Place::default(), text)
}

/// Reads all events, within bounds.
pub(super) fn events(bytes: &[u8], notices: &mut Notices) -> Result<File, SongError> {
    let (division, tracks) = opened(bytes)?;
    let mut file = File {
        division,
        title: String::new(),
        tracks: Vec::new(),
        tempos: Vec::new(),
        meters: Vec::new(),
        keys: Vec::new(),
        chords: Vec::new(),
    };
    let mut left = MOST_NOTES;
    for (index, events) in tracks.enumerate() {
        if index >= MOST_TRACKS {
            return Err(wrong("this MIDI file has more tracks than any song"));
        }
        let Ok(events) = events else {
            notices.pass(Place::default(), "tracks that are broken");
            continue;
        };
        let track = track(events, left, &mut file, notices)?;
        left = left.saturating_sub(track.notes.len());
        if index == 0 {
            file.title = track.name.clone();
        }
        file.tracks.push(track);
    }
    file.tempos.sort_by_key(|t| t.0);
    file.meters.sort_by_key(|m| m.0);
    file.keys.sort_by_key(|k| k.0);
    file.chords.sort_by_key(|c| c.0);
    Ok(file)
}

/// The division, in ticks of a quarter, and the tracks as they lie in the file.
fn opened(bytes: &[u8]) -> Result<(u64, TrackIter<'_>), SongError> {
    let broken = "this is no MIDI file, or its beginning is broken";
    // The division of a file stands at a fixed place; its highest bit says that seconds are counted.
    let counts_seconds = match (bytes.starts_with(b"MThd"), bytes.get(12)) {
        (true, Some(high)) => high & 0x80 != 0,
        _ => return Err(wrong(broken)),
    };
    if counts_seconds {
        return Err(wrong(
            "this MIDI file counts seconds and not beats; write it with ticks of a quarter",
        ));
    }
    let (header, tracks) = midly::parse(bytes).map_err(|_| wrong(broken))?;
    if header.format == Format::Sequential {
        return Err(wrong(
            "this MIDI file is of format 2, a box of patterns without an order; formats 0 and 1 are read",
        ));
    }
    match header.timing {
        Timing::Metrical(division) if division.as_int() > 0 => {
            Ok((u64::from(division.as_int()), tracks))
        }
        _ => Err(wrong("this MIDI file says that a quarter has no ticks")),
    }
}

/// A track with its notes, `most` of them; what else it says goes into the file.
fn track(
    events: EventIter,
    most: usize,
    file: &mut File,
    notices: &mut Notices,
) -> Result<Track, SongError> {
    let longest = LONGEST * file.division;
    let mut reader = Reader {
        file,
        notices,
        now: 0,
        name: String::new(),
        notes: Vec::new(),
        open: [[None; 128]; 16],
    };
    for event in events {
        let Ok(event) = event else {
            let what = "ends of tracks that are broken";
            reader.notices.pass(Place::default(), what);
            break;
        };
        reader.now += u64::from(event.delta.as_int());
        if reader.now > longest {
            return Err(wrong("this MIDI file waits longer than any music"));
        }
        reader.event(event.kind);
        if reader.notes.len() > most {
            return Err(wrong("this MIDI file has more notes than any song"));
        }
        if reader.file.marks() > MOST_MARKS {
            return Err(wrong(
                "this MIDI file has more tempos, meters, keys and chords than any song",
            ));
        }
    }
    Ok(reader.finished())
}

impl File {
    fn marks(&self) -> usize {
        self.tempos.len() + self.meters.len() + self.keys.len() + self.chords.len()
    }
}

struct Reader<'a> {
    file: &'a mut File,
    notices: &'a mut Notices,
    now: u64,
    name: String,
    notes: Vec<Played>,
    /// Where a sounding key of a channel was struck.
    open: [[Option<u64>; 128]; 16],
}

impl Reader<'_> {
    fn event(&mut self, kind: TrackEventKind) {
        match kind {
            TrackEventKind::Midi { channel, message } => {
                let channel = channel.as_int();
                match message {
                    MidiMessage::NoteOn { key, vel } if vel.as_int() > 0 => {
                        let now = self.now;
                        // A key struck twice at once is one note.
                        if self.key(channel, key.as_int()) == Some(&mut Some(now)) {
                            return;
                        }
                        self.off(channel, key.as_int());
                        if channel == PERCUSSION {
                            self.notices.pass(Place::default(), "drums");
                        } else if let Some(open) = self.key(channel, key.as_int()) {
                            *open = Some(now);
                        }
                    }
                    MidiMessage::NoteOn { key, .. } | MidiMessage::NoteOff { key, .. } => {
                        self.off(channel, key.as_int());
                    }
                    MidiMessage::PitchBend { bend } if bend.as_int() != 0 => {
                        self.notices.pass(Place::default(), "bends");
                    }
                    _ => {}
                }
            }
            TrackEventKind::Meta(message) => self.meta(message),
            _ => {}
        }
    }

    fn key(&mut self, channel: u8, key: u8) -> Option<&mut Option<u64>> {
        self.open
            .get_mut(usize::from(channel))?
            .get_mut(usize::from(key))
    }

    fn off(&mut self, channel: u8, key: u8) {
        let off = self.now;
        match self.key(channel, key).and_then(Option::take) {
            Some(on) if on < off => self.notes.push(Played {
                on,
                off,
                key,
                channel,
            }),
            Some(_) => self
                .notices
                .pass(Place::default(), "notes that end where they begin"),
            None => {}
        }
    }

    fn meta(&mut self, message: MetaMessage) {
        let now = self.now;
        match message {
            MetaMessage::TrackName(name) if self.name.is_empty() => self.name = text(name),
            MetaMessage::Tempo(micros) if micros.as_int() > 0 => {
                self.file.tempos.push((now, micros.as_int()));
            }
            MetaMessage::TimeSignature(top, power, _, _) => {
                self.file.meters.push((now, (top, power)));
            }
            MetaMessage::KeySignature(fifths, minor) => self.file.keys.push((now, (fifths, minor))),
            MetaMessage::Text(written) => {
                let written = text(written);
                match Symbol::parse(&written) {
                    Ok(symbol) => self.file.chords.push((now, symbol)),
                    Err(_) if written.is_empty() => {}
                    Err(_) => self
                        .notices
                        .pass(Place::default(), "texts that are no chords"),
                }
            }
            MetaMessage::Lyric(_) => self.notices.pass(Place::default(), "lyrics"),
            MetaMessage::Marker(_) => self.notices.pass(Place::default(), "markers"),
            _ => {}
        }
    }

    /// The track; keys that were never let go end with it.
    fn finished(mut self) -> Track {
        for channel in 0..16 {
            for key in 0..128 {
                if self.key(channel, key).is_some_and(|k| k.is_some()) {
                    self.notices
                        .pass(Place::default(), "ends of notes that are missing");
                    self.off(channel, key);
                }
            }
        }
        self.notes.sort_by_key(|n| (n.on, n.key));
        Track {
            name: self.name,
            notes: self.notes,
        }
    }
}

/// A text in UTF-8 or else in Latin-1, on one line.
fn text(bytes: &[u8]) -> String {
    let text: String = match std::str::from_utf8(bytes) {
        Ok(text) => text.chars().take(LONGEST_TEXT).collect(),
        Err(_) => {
            let latin = bytes.iter().map(|&b| char::from(b));
            latin.take(LONGEST_TEXT).collect()
        }
    };
    one_line(&text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_text_is_cut_between_its_letters() {
        let long = format!("a{}", "é".repeat(300));
        assert_eq!(text(long.as_bytes()), format!("a{}", "é".repeat(199)));
        assert_eq!(text(b"caf\xe9"), "café");
    }
}
