//! Ideas for how notes are brought out: rolled, broken, touched, knocked, slurred.

use super::NODES;
use super::harmonic;
use super::marks::{beats, free_places};
use super::scene::{Draft, Scene};
use crate::arrange::arrangement::Tune;
use crate::song::{Figure, Idea};
use crate::theory::{QUARTER, Ticks};

/// What a figure is worth before its surroundings count, in thousandths of an effort. Proposals.
const ROLL: i64 = 200;
const BROKEN: i64 = 900;
const HARMONIC: i64 = 500;
const KNOCK: i64 = 400;
const SLUR: i64 = 500;
/// Something is fitting at a phrase's end.
const CLOSES: i64 = 500;

/// A slur is between notes no longer than this.
const QUICK: Ticks = QUARTER;

/// Semitones that the left hand sounds by itself.
const REACH: i32 = 4;

pub(super) fn drafts(scene: &Scene) -> Vec<Draft> {
    let mut found = rolls(scene);
    found.extend(broken(scene));
    found.extend(harmonics(scene));
    found.extend(knocks(scene));
    found.extend(slurs(scene));
    found
}

fn rolls(scene: &Scene) -> Vec<Draft> {
    let start = scene.span().start;
    let ends = scene.ends_phrase();
    (scene.here().filter(|c| c.notes >= 3))
        .map(|c| Draft {
            idea: Idea::new(scene.bar, c.at - start, Figure::Roll(5)),
            reason: match ends {
                true => "opens the chord out at the end of the phrase".into(),
                false => "opens the chord out, and leaves room for a fifth string".into(),
            },
            worth: ROLL + if ends { CLOSES } else { 0 },
        })
        .collect()
}

/// Broken chords under melody notes of two beats or more.
fn broken(scene: &Scene) -> Vec<Draft> {
    let span = scene.span();
    let mut found = Vec::new();
    for chord in scene.here() {
        let beat = scene.written().meter.beat_at(chord.at - span.start);
        let turn = scene.tune(chord.at + 1..chord.end.min(span.end)).first();
        let free = turn.map_or(chord.end.min(span.end), |t| t.at) - chord.at;
        // Halves of a beat, or thirds where the beat has three.
        let every = if beat % 3 == 0 && beat > QUARTER {
            beat / 3
        } else {
            beat / 2
        };
        if chord.notes >= 3 && free >= 2 * beat.min(QUARTER) && every >= QUARTER / 4 {
            found.push(Draft {
                idea: Idea::new(scene.bar, chord.at - span.start, Figure::Broken(every)),
                reason: "moves on while the tune holds".into(),
                worth: BROKEN,
            });
        }
    }
    found
}

/// Melody notes that a node of an open string gives.
fn harmonics(scene: &Scene) -> Vec<Draft> {
    let start = scene.span().start;
    let mut found = Vec::new();
    let tune = scene.tune(scene.span());
    for note in tune {
        let closes = scene.ends_phrase() && tune.last().is_some_and(|l| l.at == note.at);
        for string in 1..=scene.instrument.strings() as u8 {
            for (fret, _, cents) in NODES {
                if harmonic(scene.instrument, string, fret) != Some(note.pitch.midi()) {
                    continue;
                }
                found.push(Draft {
                    idea: Idea::new(
                        scene.bar,
                        note.at - start,
                        Figure::Harmonic { string, fret },
                    ),
                    reason: match closes {
                        true => format!("{} as a bell to close on", note.pitch),
                        false => format!("{} as a bell", note.pitch),
                    },
                    worth: HARMONIC - i64::from(cents.abs()) / 50 + if closes { CLOSES } else { 0 },
                });
            }
        }
    }
    found
}

fn knocks(scene: &Scene) -> Option<Draft> {
    let bar = scene.written();
    let start = scene.span().start;
    let struck = |b: &Ticks| scene.here().any(|c| c.at == start + b);
    let free = beats(bar).iter().filter(|b| !struck(b)).count();
    let rests = free_places(bar).len();
    (free > 0 && !scene.is_pickup()).then(|| Draft {
        idea: Idea::new(scene.bar, 0, Figure::Hits),
        reason: "marks the beats that have no bass".into(),
        worth: KNOCK + if rests > 0 { 200 } else { 0 },
    })
}

/// Quick neighbouring melody notes that one string has both of.
fn slurs(scene: &Scene) -> Vec<Draft> {
    let mut found = Vec::new();
    for note in scene.tune(scene.span()) {
        let i = scene.melody.partition_point(|t| t.at < note.at);
        let Some(before) = i.checked_sub(1).map(|i| &scene.melody[i]) else {
            continue;
        };
        let step = note.pitch.midi() - before.pitch.midi();
        let quick = before.end == note.at && before.end - before.at <= QUICK;
        if !quick || step == 0 || step.abs() > REACH {
            continue;
        }
        for string in 1..=scene.instrument.strings() as u8 {
            found.extend(on_string(scene, string, before, note));
        }
    }
    found
}

/// The slur on one string by the fingers that lie over its frets.
fn on_string(scene: &Scene, string: u8, before: &Tune, note: &Tune) -> Option<Draft> {
    let open = scene.instrument.sounding(string, 0);
    let (from, to) = (before.pitch.midi() - open, note.pitch.midi() - open);
    let top = i32::from(scene.instrument.top_fret().min(12));
    if !(0..=top).contains(&from) || !(0..=top).contains(&to) {
        return None;
    }
    let apart = (to - from).abs();
    let fingers = match (from, to) {
        (0, to) => (0, to.min(3)),
        (from, 0) => (from.min(3), 0),
        _ if apart > 3 => return None,
        _ if to > from => (1, 1 + apart),
        _ => (1 + apart, 1),
    };
    let word = if to > from {
        "hammered on"
    } else {
        "pulled off"
    };
    Some(Draft {
        idea: Idea::new(
            scene.bar,
            note.at - scene.span().start,
            Figure::Slur {
                string,
                fingers: (fingers.0 as u8, fingers.1 as u8),
            },
        ),
        reason: format!(
            "{} {word} from {}: one pluck for two notes",
            note.pitch, before.pitch
        ),
        worth: SLUR,
    })
}
