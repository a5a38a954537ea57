//! Bars from meters, and in them the melody, chords, keys and tempos.

use super::events::{File, Played, wrong};
use crate::song::{Bar, ChordChange, Close, Note, Notices, Place, SongError, Tempo};
use crate::theory::{Key, Meter, Mode, QUARTER, Ticks};

/// The most bars that are read.
const MOST: usize = 20_000;
/// Microseconds of a quarter before the first tempo that a file says (Standard MIDI Files 1.0).
const UNSAID: u32 = 500_000;

/// Where a bar lies, and its meter.
struct Span {
    at: Ticks,
    length: Ticks,
    meter: Meter,
}

/// The bars that the melody needs. `steps` is the grid that chords are put on. The first bar has the
/// tempo at the start; none where the file says no tempo at all.
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
            let at = (at - span.at).max(0);
            bar.chords.pop_if(|last| last.at == at);
            bar.chords.push(ChordChange {
                at,
                symbol: symbol.clone(),
                place: Place::default(),
            });
        }
        // Compared as this bar counts: another meter alone is no other tempo.
        let counted = |micros: Option<u32>| tempo(micros?, &span.meter);
        let micros = micros_at(file, span.at);
        bar.tempo = counted(micros).filter(|_| counted(micros) != counted(before));
        if bar.tempo.is_some() {
            before = micros;
        }
        bars.push(bar);
    }
    put_notes(&mut bars, &spans, line);
    tempos_inside(file, &spans, end, notices);
    Ok(bars)
}

/// Tells of tempos that no bar begins with.
fn tempos_inside(file: &File, spans: &[Span], end: Ticks, notices: &mut Notices) {
    let start = spans.first().map_or(0, |s| s.at);
    let tempos = file.tempos.iter().map(|t| ours(t.0, file.division));
    for at in tempos.filter(|at| (start..end).contains(at)) {
        if spans.binary_search_by_key(&at, |s| s.at).is_err() {
            notices.pass(Place::default(), "changes of tempo inside a bar");
        }
    }
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

/// What was said last up to a place.
fn latest<T: Copy>(list: &[(u64, T)], at: Ticks, division: u64) -> Option<T> {
    let said = list.partition_point(|(place, _)| ours(*place, division) <= at);
    list.get(said.checked_sub(1)?).map(|&(_, what)| what)
}

fn key_at(file: &File, at: Ticks) -> Key {
    let said = latest(&file.keys, at, file.division);
    let Some((fifths, minor)) = said.or(file.keys.first().map(|k| k.1)) else {
        return Key::C_MAJOR;
    };
    let mode = if minor { Mode::Minor } else { Mode::Major };
    Key::signed(i32::from(fifths).clamp(-7, 7), mode)
}

/// Microseconds of a quarter at a place; nothing where the file says no tempo at all.
fn micros_at(file: &File, at: Ticks) -> Option<u32> {
    let unsaid = file.tempos.first().map(|_| UNSAID);
    latest(&file.tempos, at, file.division).or(unsaid)
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
