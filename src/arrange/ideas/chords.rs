//! Ideas that change a chord: suspensions, added notes, sevenths, a diminished chord in passing.

use super::marks::beats;
use super::scene::{Draft, Played, Scene};
use crate::song::{Figure, Idea};
use crate::theory::{Chord, Symbol, Ticks};
use std::ops::Range;

/// What another colour of a chord is worth, in thousandths of an effort. A proposal.
const COLOUR: i64 = 500;
/// What a diminished chord between two others is worth. A proposal.
const PASSING: i64 = 900;

pub(super) fn drafts(scene: &Scene) -> Vec<Draft> {
    let mut found = Vec::new();
    for chord in scene.here() {
        found.extend(alterations(scene, chord));
    }
    found.extend(passing(scene));
    found
}

/// The suffixes tried on a plain triad or a dominant, with the semitones of what they add.
const ADDED: [(&str, i32, &str); 5] = [
    ("6", 9, "the sixth warms it"),
    ("add9", 14, "the ninth opens it"),
    ("maj7", 11, "the major seventh softens it"),
    ("7", 10, "the seventh leads on"),
    ("sus4", 5, "the fourth waits for the third"),
];

fn alterations(scene: &Scene, played: &Played) -> Vec<Draft> {
    let chord = &played.chord;
    let plain = chord.tones.len() == 3 && chord.bass.is_none();
    let Some(third) = chord.third().filter(|_| plain) else {
        return Vec::new();
    };
    if chord.fifth().is_none_or(|f| f.semitones != 7) {
        return Vec::new();
    }
    let is_minor = third.semitones == 3;
    let mut found = Vec::new();
    for (suffix, semitones, words) in ADDED {
        if is_minor && suffix == "maj7" {
            continue;
        }
        let class = (chord.root.class() + semitones).rem_euclid(12);
        let replaced = (suffix == "sus4").then(|| chord.class(third));
        let minor = if is_minor && suffix != "sus4" {
            "m"
        } else {
            ""
        };
        if !scene.in_key(class) || !agrees(scene, played.at..played.end, class, replaced) {
            continue;
        }
        let text = format!("{}{minor}{suffix}", chord.root);
        let Ok(symbol) = Symbol::parse(&text) else {
            continue;
        };
        found.push(Draft {
            idea: Idea::new(
                scene.bar,
                played.at - scene.span().start,
                Figure::Chord(symbol),
            ),
            reason: format!("{words}; tune and key agree"),
            worth: COLOUR,
        });
    }
    found
}

/// Whether an added pitch class lies no semitone from what the melody has meanwhile, and a tone that
/// goes is not in it.
fn agrees(scene: &Scene, stretch: Range<Ticks>, class: i32, replaced: Option<i32>) -> bool {
    scene.heard(stretch).all(|t| {
        let sung = t.pitch.midi().rem_euclid(12);
        let apart = (sung - class).rem_euclid(12);
        !matches!(apart, 1 | 11) && replaced != Some(sung)
    })
}

/// On the last beat, the diminished seventh chord a semitone below the next root, when that lies a
/// whole tone up.
fn passing(scene: &Scene) -> Option<Draft> {
    let (span, all) = (scene.span(), beats(scene.written()));
    let beat = *all.last().filter(|_| all.len() > 1)?;
    let at = span.start + beat;
    let from = scene.here().last().filter(|c| c.at < at)?;
    let to = scene.next(span.end)?;
    let up = (to.chord.root.class() - from.chord.root.class()).rem_euclid(12);
    if up != 2 || to.chord.bass.is_some() {
        return None;
    }
    let root = from.chord.root.up(0, 1);
    let root = if root.alter.abs() > 1 {
        root.plain()
    } else {
        root
    };
    let symbol = Symbol::parse(&format!("{root}dim7")).ok()?;
    let Symbol::Chord(dim) = &symbol else {
        return None;
    };
    let fits = |dim: &Chord| {
        scene
            .heard(at..span.end)
            .all(|t| dim.is_tone(t.pitch.midi().rem_euclid(12)))
    };
    fits(dim).then(|| Draft {
        reason: format!("passes from {} to {}", from.chord.root, to.chord.root),
        idea: Idea::new(scene.bar, beat, Figure::Chord(symbol.clone())),
        worth: PASSING,
    })
}
