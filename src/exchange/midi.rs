//! The arrangement as a Standard MIDI File (Standard MIDI Files 1.0, format 1), in play order; and
//! songs out of such files.
//!
//! A conductor track holds tempo, meter, key and the chords as text; each layer has a track; each
//! string has a channel, string 1 on the first, so that a note never cuts another string's. The strings
//! play program 25 (General MIDI's steel-string guitar); hits go to the percussion channel. The
//! division is 10 080 ticks a quarter note, our own, so that nothing is rounded.

mod read;

pub use read::read;

use super::ascii_text;
use crate::arrange::{Arrangement, Layer, Technique};
use crate::score::{Event, PlayedBar, Score};
use crate::song::Tempo;
use crate::theory::{Key, Mode, QUARTER, Ticks};
use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};

/// General MIDI, counted from 0: acoustic guitar with steel strings.
const PROGRAM: u8 = 25;
/// The General MIDI percussion channel and its side stick, for hits.
const PERCUSSION: u8 = 9;
const SIDE_STICK: i32 = 37;
/// The longest wait that one event of a MIDI file can say.
const LONGEST: Ticks = (1 << 28) - 1;

/// Writes an arrangement as the bytes of a MIDI file.
pub fn write(arrangement: &Arrangement) -> Vec<u8> {
    let score = Score::new(arrangement);
    let texts = Texts::new(arrangement, &score);
    let header = Header::new(
        Format::Parallel,
        Timing::Metrical(u15::from_int_lossy(QUARTER as u16)),
    );
    let mut smf = Smf::new(header);
    smf.tracks.push(conductor(arrangement, &score, &texts));
    let ends = free_ends(&score.events);
    for (layer, name) in LAYERS {
        if layer <= arrangement.layer {
            smf.tracks.push(part(&score, &ends, layer, name));
        }
    }
    let mut bytes = Vec::new();
    // Writing into memory does not fail.
    let _ = smf.write_std(&mut bytes);
    bytes
}

const LAYERS: [(Layer, &str); 4] = [
    (Layer::Melody, "Melody"),
    (Layer::Bass, "Bass"),
    (Layer::Fill, "Fill"),
    (Layer::Colour, "Colour"),
];

/// How hard each layer is struck: the melody sings over the rest (our proposal).
fn velocity(layer: Layer) -> u8 {
    match layer {
        Layer::Melody => 100,
        Layer::Bass => 80,
        Layer::Fill => 60,
        Layer::Colour => 64,
    }
}

/// The texts of the conductor track, made first because the file's events borrow them.
struct Texts {
    title: String,
    /// Played place and chord symbol.
    chords: Vec<(Ticks, String)>,
}

impl Texts {
    fn new(arrangement: &Arrangement, score: &Score) -> Texts {
        let bars = &arrangement.heard().bars;
        Texts {
            title: ascii_text(&arrangement.song.title),
            chords: (score.bars.iter())
                .flat_map(|played| {
                    let changes = bars.get(played.bar).map_or(&[][..], |b| &b.chords);
                    changes
                        .iter()
                        .map(|c| (played.at + c.at, ascii_text(&c.symbol.to_string())))
                })
                .collect(),
        }
    }
}

fn conductor<'a>(
    arrangement: &'a Arrangement,
    score: &Score,
    texts: &'a Texts,
) -> Vec<TrackEvent<'a>> {
    let meta = TrackEventKind::Meta;
    let mut events: Vec<(Ticks, TrackEventKind<'a>)> =
        vec![(0, meta(MetaMessage::TrackName(texts.title.as_bytes())))];
    let (mut last_meter, mut last_key) = (None, None);
    for played in &score.bars {
        let signature = time_signature(played);
        if last_meter.replace(signature) != Some(signature) {
            events.push((played.at, meta(signature)));
        }
        let key = arrangement.song.bars.get(played.bar).map(|b| &b.key);
        if key.is_some() && last_key != key {
            events.extend(key.and_then(key_signature).map(|k| (played.at, meta(k))));
            last_key = key;
        }
    }
    for mark in &score.tempo {
        events.push((
            mark.at,
            meta(MetaMessage::Tempo(quarter_length(mark.tempo))),
        ));
    }
    for (at, symbol) in &texts.chords {
        events.push((*at, meta(MetaMessage::Text(symbol.as_bytes()))));
    }
    track(events, score.length)
}

/// Meter of a played bar. A bar shorter or longer than its meter (a pickup) says its own length, so
/// that bar lines fall right in other programs.
fn time_signature(bar: &PlayedBar) -> MetaMessage<'static> {
    let sixty_fourth = QUARTER / 16;
    let mut unit = Ticks::from(bar.meter.unit());
    let mut top = Ticks::from(bar.meter.top());
    if bar.length != bar.meter.bar() && bar.length % sixty_fourth == 0 {
        let fits = |unit: Ticks| (bar.length * unit) % (4 * QUARTER) == 0;
        while unit < 64 && !fits(unit) {
            unit *= 2;
        }
        top = bar.length * unit / (4 * QUARTER);
    }
    let beat = bar.meter.beat_at(0);
    MetaMessage::TimeSignature(
        top.clamp(1, 255) as u8,
        unit.max(1).ilog2() as u8,
        // MIDI clocks in a beat of the metronome: 24 to the quarter.
        (24 * beat / QUARTER).clamp(1, 255) as u8,
        8,
    )
}

/// Sharps or flats of a key, where seven are enough. MIDI knows major and minor only; the other
/// modes keep their true signature and are called major.
fn key_signature(key: &Key) -> Option<MetaMessage<'static>> {
    let fifths = i8::try_from(key.fifths()).ok()?;
    (-7..=7)
        .contains(&fifths)
        .then_some(MetaMessage::KeySignature(fifths, key.mode == Mode::Minor))
}

/// Microseconds a quarter note, as near as MIDI can say.
fn quarter_length(tempo: Tempo) -> u24 {
    let per = tempo.beat.max(1) * i64::from(tempo.per_minute.max(1));
    let micros = (60_000_000 * QUARTER + per / 2) / per;
    u24::from_int_lossy(micros.clamp(1, (1 << 24) - 1) as u32)
}

/// Where each note is switched off. A key that is struck again on its string at the very moment it
/// ends is switched off one tick early: the two events may stand in different tracks, and in which
/// order a player sends them is open.
fn free_ends(events: &[Event]) -> Vec<Ticks> {
    let mut ends: Vec<Ticks> = events.iter().map(|e| e.end).collect();
    let mut last: [Option<usize>; 256] = [None; 256];
    for (i, event) in events.iter().enumerate() {
        if let Some(before) = last[usize::from(event.string)].replace(i) {
            let again = events[before].midi == event.midi && ends[before] >= event.at;
            if again && events[before].at < event.at - 1 {
                ends[before] = event.at - 1;
            }
        }
    }
    ends
}

fn part<'a>(score: &Score, ends: &[Ticks], layer: Layer, name: &'a str) -> Vec<TrackEvent<'a>> {
    let midi = |channel: u8, message| TrackEventKind::Midi {
        channel: u4::from_int_lossy(channel),
        message,
    };
    let mut events = vec![(
        0,
        TrackEventKind::Meta(MetaMessage::TrackName(name.as_bytes())),
    )];
    let mine: Vec<_> = (score.events.iter().zip(ends))
        .filter(|(e, _)| e.layer == layer)
        .collect();
    let mut channels: Vec<u8> = mine.iter().map(|(e, _)| channel(e)).collect();
    channels.sort_unstable();
    channels.dedup();
    for &channel in channels.iter().filter(|&&c| c != PERCUSSION) {
        let program = u7::from_int_lossy(PROGRAM);
        events.push((0, midi(channel, MidiMessage::ProgramChange { program })));
    }
    // Notes off before notes on where both fall on one tick.
    let mut notes: Vec<(Ticks, u8, TrackEventKind<'a>)> = Vec::new();
    for (event, &end) in mine {
        let number = if event.technique == Technique::Hit {
            SIDE_STICK
        } else {
            event.midi
        };
        let key = u7::from_int_lossy(number.clamp(0, 127) as u8);
        let vel = u7::from_int_lossy(velocity(layer));
        let channel = channel(event);
        notes.push((event.at, 1, midi(channel, MidiMessage::NoteOn { key, vel })));
        let vel = u7::from_int_lossy(0);
        notes.push((end, 0, midi(channel, MidiMessage::NoteOff { key, vel })));
    }
    notes.sort_by_key(|n| (n.0, n.1));
    events.extend(notes.into_iter().map(|(at, _, kind)| (at, kind)));
    track(events, score.length)
}

fn channel(event: &Event) -> u8 {
    if event.technique == Technique::Hit {
        PERCUSSION
    } else {
        event.string.saturating_sub(1).min(15)
    }
}

/// Turns events with their places into a track that ends at `length` or with its last event.
fn track(mut events: Vec<(Ticks, TrackEventKind<'_>)>, length: Ticks) -> Vec<TrackEvent<'_>> {
    events.sort_by_key(|e| e.0);
    let last = events.last().map_or(0, |e| e.0).max(length);
    events.push((last, TrackEventKind::Meta(MetaMessage::EndOfTrack)));
    let mut now = 0;
    let mut track = Vec::with_capacity(events.len());
    for (at, kind) in events {
        // A wait too long for one event is filled with empty texts.
        while at - now > LONGEST {
            track.push(TrackEvent {
                delta: u28::from_int_lossy(LONGEST as u32),
                kind: TrackEventKind::Meta(MetaMessage::Text(b"")),
            });
            now += LONGEST;
        }
        track.push(TrackEvent {
            delta: u28::from_int_lossy((at - now).max(0) as u32),
            kind,
        });
        now = now.max(at);
    }
    track
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::fixture;

    #[test]
    fn every_note_comes_back_on_its_string_and_tick() {
        let arrangement = fixture::waltz();
        let bytes = write(&arrangement);
        // Standard MIDI Files 1.0: "MThd", length 6, format 1, tracks, division.
        assert_eq!(&bytes[..10], b"MThd\0\0\0\x06\0\x01");
        assert_eq!(bytes[10..14], [0, 4, 0x27, 0x60]);
        let smf = Smf::parse(&bytes).unwrap();
        let mut notes = Vec::new();
        for track in &smf.tracks[1..] {
            let mut at = 0;
            for event in track {
                at += Ticks::from(event.delta.as_int());
                if let TrackEventKind::Midi {
                    channel,
                    message: MidiMessage::NoteOn { key, .. },
                } = event.kind
                {
                    notes.push((at, channel.as_int() + 1, i32::from(key.as_int())));
                }
            }
            assert_eq!(at, 7 * QUARTER);
        }
        notes.sort_unstable();
        let mut wanted: Vec<_> = (arrangement.plucks.iter())
            .map(|p| (p.at, p.string, p.pitch.midi()))
            .collect();
        wanted.sort_unstable();
        assert_eq!(notes, wanted);
    }

    #[test]
    fn the_conductor_says_meter_tempo_key_and_chords() {
        let arrangement = fixture::waltz();
        let bytes = write(&arrangement);
        let smf = Smf::parse(&bytes).unwrap();
        let metas: Vec<MetaMessage<'_>> = (smf.tracks[0].iter())
            .filter_map(|e| match e.kind {
                TrackEventKind::Meta(m) => Some(m),
                _ => None,
            })
            .collect();
        assert_eq!(
            metas,
            [
                MetaMessage::TrackName(b"Lamps on the Quay"),
                MetaMessage::TimeSignature(1, 2, 24, 8),
                MetaMessage::KeySignature(0, false),
                MetaMessage::Tempo(u24::from_int_lossy(625_000)),
                MetaMessage::TimeSignature(3, 2, 24, 8),
                MetaMessage::Text(b"C"),
                MetaMessage::Text(b"G/B"),
                MetaMessage::EndOfTrack,
            ]
        );
    }

    #[test]
    fn a_note_struck_again_is_let_go_first() {
        let mut arrangement = fixture::waltz();
        // The fill G of bar 1 rings until the same G is struck again in bar 2.
        arrangement.plucks[2].end = 4 * QUARTER;
        let score = Score::new(&arrangement);
        assert_eq!(free_ends(&score.events)[2], 4 * QUARTER - 1);
    }
}
