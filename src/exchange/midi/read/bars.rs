//! Bars from meters, and in them the melody, chords, keys and tempos.

use super::events::{File, Played, wrong};
use crate::song::{Bar, ChordChange, Close, Note, Notices, Place, SongError, Tempo};
use crate::theory::{Key, Meter, Mode, QUARTER, Ticks};

/// The most bars that are read.
const MOST: usize = 20_000;

/// Where a bar lies, and its meter.
struct Span {
    at: Ticks,
    length: Ticks,
    meter: Meter,
}

/// The bars that the melody needs. `steps` is the grid that chords are put on.
pub(super) fn bars(
    file: &File,
    line: &[Played],
    steps: u64,
    notices: &mut Notices,
) -> Result<Vec<Bar>, SongError> {
    let chord = file
        .chords
        .last()
        .map(|c| on_grid(c.0, file.division, steps) + 1);
    let end = line
        .last()
        .map_or(0, |n| n.off as Ticks)
        .max(chord.unwrap_or(0));
    let begin = line.first().map_or(0, |n| n.on as Ticks);
    let spans = spans(file, end, notices)?;
    let from = first(file, &spans, begin, steps);
    if from > 0 {
        notices.tell(
            Place::default(),
            format!("silent bars at the start are left out: {from}"),
        );
    }
    let mut spans: Vec<Span> = spans.into_iter().skip(from).collect();
    pickup(&mut spans);
    let mut bars: Vec<Bar> = Vec::with_capacity(spans.len());
    let mut chords = file
        .chords
        .iter()
        .map(|(at, s)| (on_grid(*at, file.division, steps), s))
        .peekable();
    let mut before = None;
    for span in &spans {
        let mut bar = empty(span, key_at(file, span.at));
        // What was said before the first bar holds in it.
        while let Some((at, symbol)) = chords.next_if(|(at, _)| *at < span.at + span.length) {
            bar.chords.retain(|c| c.at < at - span.at);
            bar.chords.push(ChordChange {
                at: (at - span.at).max(0),
                symbol: symbol.clone(),
                place: Place::default(),
            });
        }
        bar.chords.dedup_by_key(|c| c.at);
        let tempo = tempo_at(file, span.at, &span.meter);
        bar.tempo = tempo.filter(|t| before.is_some_and(|b| b != speed(*t)));
        before = tempo.map(speed).or(before);
        bars.push(bar);
    }
    put_notes(&mut bars, &spans, line);
    let inside = file.tempos.iter().filter(|(at, _)| {
        let at = ours(*at, file.division);
        spans.iter().all(|s| s.at != at) && at > spans.first().map_or(0, |s| s.at)
    });
    for _ in inside {
        notices.pass(Place::default(), "changes of tempo inside a bar");
    }
    Ok(bars)
}

/// The tempo at the start.
pub(super) fn first_tempo(file: &File, meter: &Meter) -> Option<Tempo> {
    let micros = file.tempos.first().filter(|(at, _)| *at == 0)?.1;
    tempo(micros, meter)
}

fn ours(at: u64, division: u64) -> Ticks {
    ((at * QUARTER as u64 + division / 2) / division.max(1)) as Ticks
}

fn on_grid(at: u64, division: u64, steps: u64) -> Ticks {
    let step = (at * steps + division / 2) / division.max(1);
    (step * (QUARTER as u64 / steps)) as Ticks
}

/// Bars from the start to the end of the melody. A change of meter inside a bar cuts it short.
fn spans(file: &File, end: Ticks, notices: &mut Notices) -> Result<Vec<Span>, SongError> {
    let mut changes: Vec<(Ticks, Meter)> = vec![(0, Meter::common())];
    for (at, (top, power)) in &file.meters {
        let unit = 1u8
            .checked_shl(u32::from(*power))
            .filter(|u| *u <= 64 && *power < 7);
        match unit.and_then(|unit| Meter::new(*top, unit)) {
            Some(meter) => changes.push((ours(*at, file.division), meter)),
            None => notices.pass(Place::default(), "meters that are none"),
        }
    }
    let mut spans: Vec<Span> = Vec::new();
    let mut at = 0;
    while at < end || spans.is_empty() {
        if spans.len() >= MOST {
            return Err(wrong("this MIDI file has more bars than any music"));
        }
        let now = changes.partition_point(|c| c.0 <= at);
        let meter = now
            .checked_sub(1)
            .and_then(|i| changes.get(i))
            .map_or(Meter::common(), |c| c.1.clone());
        let next = changes.get(now).map_or(Ticks::MAX, |c| c.0);
        let length = meter.bar().min(next - at);
        spans.push(Span { at, length, meter });
        at += length;
    }
    Ok(spans)
}

/// The first bar with a note or a chord in it or before it.
fn first(file: &File, spans: &[Span], begin: Ticks, steps: u64) -> usize {
    let chord = file
        .chords
        .first()
        .map(|c| on_grid(c.0, file.division, steps));
    let begin = begin.min(chord.unwrap_or(begin));
    spans.partition_point(|s| s.at + s.length <= begin)
}

/// A short first bar that says its own length as a meter is a pickup of the next one's.
fn pickup(spans: &mut [Span]) {
    if let [first, second, ..] = spans
        && first.length < second.length
        && first.meter.bar() == first.length
    {
        first.meter = second.meter.clone();
    }
}

fn empty(span: &Span, key: Key) -> Bar {
    Bar {
        number: 0,
        meter: span.meter.clone(),
        key,
        tempo: None,
        length: span.length,
        notes: Vec::new(),
        chords: Vec::new(),
        opens_repeat: false,
        close: Close::Single,
        ending: Vec::new(),
        place: Place::default(),
    }
}

fn key_at(file: &File, at: Ticks) -> Key {
    let before = file
        .keys
        .iter()
        .take_while(|k| ours(k.0, file.division) <= at);
    let Some((_, (fifths, minor))) = before.last().or(file.keys.first()) else {
        return Key::C_MAJOR;
    };
    let mode = if *minor { Mode::Minor } else { Mode::Major };
    Key::signed(i32::from(*fifths).clamp(-7, 7), mode)
}

fn tempo_at(file: &File, at: Ticks, meter: &Meter) -> Option<Tempo> {
    let before = file
        .tempos
        .iter()
        .take_while(|t| ours(t.0, file.division) <= at);
    tempo(before.last()?.1, meter)
}

/// Beats of the meter a minute; a compound meter beats in dotted notes.
fn tempo(micros: u32, meter: &Meter) -> Option<Tempo> {
    let beat = if meter.is_compound() {
        3 * meter.unit_ticks()
    } else {
        QUARTER
    };
    let length = i64::from(micros) * beat / QUARTER;
    let per_minute = (60_000_000 + length / 2) / length.max(1);
    let per_minute = u32::try_from(per_minute)
        .ok()
        .filter(|n| (1..=999).contains(n))?;
    Some(Tempo { beat, per_minute })
}

/// A tempo as it is heard, whatever note is counted.
fn speed(tempo: Tempo) -> i64 {
    tempo.beat * i64::from(tempo.per_minute)
}

/// Lays the melody into the bars, tied over their lines.
fn put_notes(bars: &mut [Bar], spans: &[Span], line: &[Played]) {
    for note in line {
        let (on, off) = (note.on as Ticks, note.off as Ticks);
        let first = spans.partition_point(|s| s.at + s.length <= on);
        for (bar, span) in bars.iter_mut().zip(spans).skip(first) {
            if span.at >= off {
                break;
            }
            let from = on.max(span.at);
            let to = off.min(span.at + span.length);
            bar.notes.push(Note {
                at: from - span.at,
                length: to - from,
                pitch: bar.key.spell(i32::from(note.key)),
                tied: to < off,
                place: Place::default(),
            });
        }
    }
}
