//! What stands at the head of a bar: key, meter, clefs, tuning, capo, tempo.

use super::pen::Pen;
use super::values::Value;
use crate::guitar::Instrument;
use crate::song::{Bar, Tempo};
use crate::theory::{Key, Letter, Meter, QUARTER, Ticks};

/// What the last bar left in force.
#[derive(Default)]
pub(super) struct InForce {
    key: Option<Key>,
    meter: Option<Meter>,
}

/// The attributes that change with this bar; the first one has them all.
pub(super) fn attributes(
    pen: &mut Pen,
    bar: &Bar,
    now: &mut InForce,
    instrument: &Instrument,
    divisions: Ticks,
) {
    let first = now.key.is_none();
    let new_key = now.key.replace(bar.key.clone()).as_ref() != Some(&bar.key);
    let new_meter = now.meter.replace(bar.meter.clone()).as_ref() != Some(&bar.meter);
    if !new_key && !new_meter {
        return;
    }
    pen.open("attributes", &[]);
    if first {
        pen.text("divisions", divisions);
    }
    if new_key {
        key(pen, &bar.key);
    }
    if new_meter {
        let meter = bar.meter.to_string();
        let (top, unit) = meter.split_once('/').unwrap_or(("4", "4"));
        pen.open("time", &[]);
        pen.text("beats", top);
        pen.text("beat-type", unit);
        pen.close("time");
    }
    if first {
        pen.text("staves", 2);
        clef(pen, "1", "G", 2, Some(-1));
        clef(pen, "2", "TAB", 5, None);
        strings(pen, instrument);
    }
    pen.close("attributes");
}

/// A signature with its mode, or, where it has signs of its own, every sign by itself.
fn key(pen: &mut Pen, key: &Key) {
    pen.open("key", &[]);
    if key.explicit.iter().any(Option::is_some) {
        for letter in Letter::ALL {
            let alter = key.alter(letter);
            if alter != 0 {
                pen.text("key-step", letter.to_char());
                pen.text("key-alter", alter);
            }
        }
    } else {
        pen.text("fifths", key.fifths());
        pen.text("mode", key.mode.name());
    }
    pen.close("key");
}

fn clef(pen: &mut Pen, staff: &str, sign: &str, line: u8, octave: Option<i8>) {
    pen.open("clef", &[("number", staff)]);
    pen.text("sign", sign);
    pen.text("line", line);
    if let Some(octave) = octave {
        pen.text("clef-octave-change", octave);
    }
    pen.close("clef");
}

/// The tab's lines, the lowest string on line 1, and the capo.
fn strings(pen: &mut Pen, instrument: &Instrument) {
    pen.open(
        "staff-details",
        &[("number", "2"), ("show-frets", "numbers")],
    );
    pen.text("staff-lines", instrument.strings());
    for (i, open) in instrument.open.iter().rev().enumerate() {
        pen.open("staff-tuning", &[("line", &(i + 1).to_string())]);
        pen.text("tuning-step", open.name.letter.to_char());
        if open.name.alter != 0 {
            pen.text("tuning-alter", open.name.alter);
        }
        pen.text("tuning-octave", open.octave);
        pen.close("staff-tuning");
    }
    if instrument.capo > 0 {
        pen.text("capo", instrument.capo);
    }
    pen.close("staff-details");
}

/// A word above a staff, `offset` divisions after the place where it is written.
pub(super) fn word(pen: &mut Pen, text: &str, staff: u8, offset: Ticks) {
    pen.open("direction", &[("placement", "above")]);
    pen.open("direction-type", &[]);
    pen.text("words", text);
    pen.close("direction-type");
    if offset > 0 {
        pen.text("offset", offset);
    }
    pen.text("staff", staff);
    pen.close("direction");
}

/// A metronome mark where its beat is a note value, and the tempo in quarters a minute.
pub(super) fn tempo(pen: &mut Pen, tempo: Tempo) {
    pen.open("direction", &[("placement", "above")]);
    pen.open("direction-type", &[]);
    match Value::of(tempo.beat) {
        Some(value) => {
            pen.open("metronome", &[]);
            pen.text("beat-unit", value.name());
            if value.dotted {
                pen.empty("beat-unit-dot", &[]);
            }
            pen.text("per-minute", tempo.per_minute);
            pen.close("metronome");
        }
        None => pen.text("words", ""),
    }
    pen.close("direction-type");
    pen.text("staff", 1);
    let quarters = tempo.beat as f64 * f64::from(tempo.per_minute) / QUARTER as f64;
    pen.empty("sound", &[("tempo", &format!("{quarters}"))]);
    pen.close("direction");
}
