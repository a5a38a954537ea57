//! The arrangement as JSON, for other programs.
//!
//! One object, `"format": "thumbline-arrangement", "version": 1`. Readers pass over fields they
//! don't know; a change that would mislead an old reader raises the version.
//!
//! | field | what it holds |
//! | --- | --- |
//! | `generator`, `title` | who wrote the file; the song's title |
//! | `ticks_per_quarter` | 10080; all `at`, `end`, `length` and `…_ticks` count these |
//! | `layer`, `shift` | highest layer 1–4; semitones the melody was moved against the tune |
//! | `instrument` | `tuning`, `capo`, `frets` from the nut, measures in mm, `strings` from the highest: open note and MIDI number without capo |
//! | `hand` | `name`, and for each pair of fingers the comfortable and the largest distance in mm |
//! | `tempo` | the note that is counted, and how many a minute |
//! | `melody` | the tune as played, ties joined: `bar` index, `at`, `end`, `midi`, `pitch` |
//! | `chords` | each change: `symbol`, pitch `classes` 0–11 from the root up, class of the `bass`; `N.C.` has no classes and a null bass |
//! | `bars` | `index` from 0, `number` as printed, `at`, `length`, `meter`, `remarks`, `slices`, `plucks` |
//! | `play_order` | indices of the written bars in the order they are played, repeats and endings followed |
//! | `bars[].slices` | from one onset to the next: `grip` (`frets` above the capo, null is silent, and `fingers`, 0 is none; string 1 first), `barre`, the worst `stretch`, `effort` in efforts, `price` in thousandths |
//! | `bars[].plucks` | each attack: `string`, `fret`, `midi`, `left` finger, `barre`, `right` finger, `layer`, `technique`, `reason` |
//! | `pins` | what the player fixed |
//! | `ideas` | the ideas of layer 4 that are taken: `bar` and last bar `to` as indices, `at` from the first one's line, `figure`, its details by name, and `text` in words |
//! | `totals` | the sums, and three measures of the whole |
//!
//! `at` and `end` count from the start of the song with its bars laid end to end as written; the
//! `…_beats` beside them count quarter notes from the bar line, for people.
//!
//! Of the totals, `bass_ring_share` is the part of the time in which a bass note should ring (from
//! its attack to the next chord or bar line) that it does, null without bass; `notes_a_chord` is
//! the mean number of strings sounding where a chord starts.

mod ideas;
mod shape;
mod totals;

use crate::arrange::{Arrangement, Pluck, Price, Slice, Technique};
use crate::guitar::Barre;
use crate::song::{Harmony, Pin, Target, Wish};
use crate::theory::{QUARTER, Symbol, Ticks};
use serde::Serialize;
use shape::*;

/// The value of the `format` field.
const FORMAT: &str = "thumbline-arrangement";
/// The value of the `version` field.
const VERSION: u32 = 1;

/// Writes an arrangement as one JSON object on several lines, ending in a line end.
pub fn write(arrangement: &Arrangement) -> String {
    pretty(&document(arrangement))
}

/// Writes several arrangements as one JSON array.
pub fn write_all(arrangements: &[Arrangement]) -> String {
    pretty(&arrangements.iter().map(document).collect::<Vec<_>>())
}

fn pretty(value: &impl Serialize) -> String {
    // Every key is a string and every number is finite, so that nothing can fail here.
    serde_json::to_string_pretty(value).unwrap_or_default() + "\n"
}

fn document(arrangement: &Arrangement) -> Document<'_> {
    let song = &arrangement.song;
    Document {
        format: FORMAT,
        version: VERSION,
        generator: concat!("thumbline ", env!("CARGO_PKG_VERSION")),
        title: &song.title,
        ticks_per_quarter: QUARTER,
        layer: arrangement.layer as u8,
        shift: arrangement.shift,
        instrument: instrument(arrangement),
        hand: hand(arrangement),
        tempo: TempoOut {
            beat_ticks: song.tempo.beat,
            per_minute: song.tempo.per_minute,
        },
        melody: (arrangement.melody.iter())
            .map(|t| TuneOut {
                bar: t.bar,
                at: t.at,
                end: t.end,
                midi: t.pitch.midi(),
                pitch: t.pitch.to_string(),
            })
            .collect(),
        chords: chords(arrangement),
        bars: bars(arrangement),
        play_order: song.play_order().iter().map(|p| p.bar).collect(),
        pins: song.pins.iter().map(pin).collect(),
        ideas: ideas::taken(arrangement),
        totals: totals::totals(arrangement),
    }
}

fn instrument(arrangement: &Arrangement) -> InstrumentOut<'_> {
    let instrument = &arrangement.instrument;
    InstrumentOut {
        tuning: &instrument.tuning,
        capo: instrument.capo,
        frets: instrument.frets,
        scale_mm: instrument.scale_mm,
        nut_spacing_mm: instrument.nut_spacing_mm,
        bridge_spacing_mm: instrument.bridge_spacing_mm,
        strings: (instrument.open.iter().enumerate())
            .map(|(i, pitch)| StringOut {
                string: i + 1,
                open: pitch.to_string(),
                midi: pitch.midi(),
            })
            .collect(),
    }
}

fn hand(arrangement: &Arrangement) -> HandOut<'_> {
    let pairs = [(1, 2), (2, 3), (3, 4), (1, 3), (2, 4), (1, 4)];
    HandOut {
        name: &arrangement.hand.name,
        spans: (pairs.into_iter())
            .map(|(f, g)| {
                let span = arrangement.hand.span(f, g);
                SpanOut {
                    fingers: [f, g],
                    comfortable_mm: mm(span.comfortable),
                    largest_mm: mm(span.largest),
                }
            })
            .collect(),
    }
}

fn chords(arrangement: &Arrangement) -> Vec<ChordOut> {
    let heard = arrangement.heard();
    let starts = heard.starts();
    let mut harmony = heard.harmony();
    // A chord that only goes on at a bar line is the same chord; one that is written again is not.
    let is_written = |h: &Harmony| {
        let mut chords = heard.bars[h.bar].chords.iter();
        chords.any(|c| starts[h.bar] + c.at == h.at)
    };
    harmony.dedup_by(|h, before| h.symbol == before.symbol && !is_written(h));
    (harmony.iter())
        .filter_map(|h| Some((h, h.symbol?)))
        .map(|(h, symbol)| {
            let (classes, bass) = match symbol {
                Symbol::NoChord => (Vec::new(), None),
                Symbol::Chord(chord) => {
                    (chord.classes().collect(), Some(chord.bass_name().class()))
                }
            };
            ChordOut {
                bar: h.bar,
                at: h.at,
                symbol: symbol.to_string(),
                classes,
                bass,
            }
        })
        .collect()
}

fn bars(arrangement: &Arrangement) -> Vec<BarOut<'_>> {
    let starts = arrangement.song.starts();
    let mut bars: Vec<BarOut<'_>> = (arrangement.song.bars.iter().zip(&starts).enumerate())
        .map(|(index, (bar, &at))| BarOut {
            index,
            number: bar.number,
            at,
            length: bar.length,
            meter: bar.meter.to_string(),
            remarks: Vec::new(),
            slices: Vec::new(),
            plucks: Vec::new(),
        })
        .collect();
    for remark in &arrangement.remarks {
        if let Some(bar) = bars.get_mut(remark.bar) {
            bar.remarks.push(RemarkOut {
                at: remark.at,
                text: &remark.text,
            });
        }
    }
    let strings = arrangement.instrument.strings();
    for it in &arrangement.slices {
        if let Some(bar) = bars.get_mut(it.bar) {
            bar.slices.push(slice(it, bar.at, strings));
        }
    }
    for it in &arrangement.plucks {
        if let Some(bar) = bars.get_mut(it.bar) {
            bar.plucks.push(pluck(it, bar.at));
        }
    }
    bars
}

fn slice(slice: &Slice, start: Ticks, strings: usize) -> SliceOut {
    let grip = &slice.grip;
    SliceOut {
        at: slice.at,
        end: slice.end,
        at_beats: in_beats(slice.at - start),
        grip: GripOut {
            frets: (grip.frets.iter().take(strings))
                .map(|&f| u8::try_from(f).ok())
                .collect(),
            fingers: grip.fingers.iter().take(strings).copied().collect(),
        },
        barre: (grip.barres())
            .map(
                |Barre {
                     finger,
                     fret,
                     from,
                     to,
                 }| BarreOut {
                    finger,
                    fret,
                    from,
                    to,
                },
            )
            .collect(),
        stretch: slice.stretch.map(|s| StretchOut {
            fingers: [s.fingers.0, s.fingers.1],
            mm: mm(s.distance),
            percent: s.percent,
        }),
        effort: efforts(slice.price.effort()),
        price: price(&slice.price),
    }
}

fn pluck(pluck: &Pluck, start: Ticks) -> PluckOut {
    PluckOut {
        at: pluck.at,
        end: pluck.end,
        at_beats: in_beats(pluck.at - start),
        end_beats: in_beats(pluck.end - start),
        string: pluck.string,
        fret: pluck.fret,
        midi: pluck.pitch.midi(),
        pitch: pluck.pitch.to_string(),
        left: pluck.left,
        barre: pluck.barre,
        right: pluck.right.letter(),
        layer: pluck.layer.name(),
        technique: match pluck.technique {
            Technique::Plain => "plain",
            Technique::Roll => "roll",
            Technique::Brush => "brush",
            Technique::Harmonic => "harmonic",
            Technique::Hit => "hit",
            Technique::Slur => "slur",
        },
        reason: pluck.reason.to_string(),
    }
}

fn pin(pin: &Pin) -> PinOut {
    PinOut {
        bar: pin.bar,
        at: pin.at,
        wish: match &pin.wish {
            Wish::Place {
                target,
                string,
                fret,
                finger,
            } => WishOut::Place {
                target: match target {
                    Target::Melody => "melody",
                    Target::Bass => "bass",
                },
                string: *string,
                fret: *fret,
                finger: *finger,
            },
            Wish::Grip(frets) => WishOut::Grip {
                frets: frets.clone(),
            },
            Wish::Bass(note) => WishOut::Bass {
                name: note.name.to_string(),
                octave: note.octave,
            },
            Wish::Fill(notes) => WishOut::Fill { notes: *notes },
            Wish::Nothing => WishOut::Nothing,
        },
    }
}

fn price(price: &Price) -> PriceOut {
    PriceOut {
        total: price.total(),
        items: price.items().map(|(c, n)| (c.name(), n)).collect(),
    }
}

fn mm(tenths: i32) -> f64 {
    f64::from(tenths) / 10.0
}

fn efforts(thousandths: i64) -> f64 {
    thousandths as f64 / 1000.0
}

fn in_beats(ticks: Ticks) -> f64 {
    ticks as f64 / QUARTER as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::fixture;
    use serde_json::{Value, json};

    fn value() -> Value {
        serde_json::from_str(&write(&fixture::waltz())).unwrap()
    }

    #[test]
    fn the_frame_names_format_instrument_and_hand() {
        let value = value();
        assert_eq!(value["format"], FORMAT);
        assert_eq!(value["version"], VERSION);
        assert_eq!(
            value["instrument"]["strings"][5],
            json!({"string": 6, "open": "E2", "midi": 40})
        );
        assert_eq!(
            value["hand"]["spans"][3],
            json!({"fingers": [1, 3], "comfortable_mm": 60.0, "largest_mm": 90.0})
        );
        assert_eq!(
            value["tempo"],
            json!({"beat_ticks": 10080, "per_minute": 96})
        );
    }

    #[test]
    fn a_chord_written_again_is_listed_again() {
        let mut arrangement = fixture::waltz();
        let chord = arrangement.song.bars[1].chords[0].clone();
        arrangement.song.bars[2].chords[0] = chord;
        let value: Value = serde_json::from_str(&write(&arrangement)).unwrap();
        let symbols: Vec<_> = (0..2)
            .map(|i| value["chords"][i]["symbol"].clone())
            .collect();
        assert_eq!(symbols, ["C", "C"]);
    }

    #[test]
    fn chords_have_their_classes_and_bass() {
        assert_eq!(
            value()["chords"],
            json!([
                {"bar": 1, "at": 10080, "symbol": "C", "classes": [0, 4, 7], "bass": 0},
                {"bar": 2, "at": 40320, "symbol": "G/B", "classes": [7, 11, 2], "bass": 11},
            ])
        );
        let mut arrangement = fixture::waltz();
        arrangement.song.bars[1].chords[0].symbol = Symbol::NoChord;
        let value: Value = serde_json::from_str(&write(&arrangement)).unwrap();
        assert_eq!(
            value["chords"][0],
            json!({"bar": 1, "at": 10080, "symbol": "N.C.", "classes": [], "bass": null})
        );
    }

    #[test]
    fn bars_hold_slices_and_plucks() {
        let bar = &value()["bars"][2];
        assert_eq!(bar["number"], 2);
        assert_eq!(bar["remarks"][0]["at"], 60480);
        let pluck = &bar["plucks"][0];
        assert_eq!(pluck["string"], 5);
        assert_eq!(pluck["end_beats"], 2.0);
        assert_eq!(pluck["right"], "p");
        assert_eq!(pluck["layer"], "bass");
        let grip = &bar["slices"][0]["grip"];
        assert_eq!(grip["frets"], json!([null, 3, 0, null, 2, null]));
        assert_eq!(grip["fingers"], json!([0, 4, 0, 0, 2, 0]));
    }

    #[test]
    fn several_make_an_array() {
        let two = [fixture::waltz(), fixture::round()];
        let value: Value = serde_json::from_str(&write_all(&two)).unwrap();
        assert_eq!(value.as_array().map(Vec::len), Some(2));
    }
}
