//! Ideas for the bass of a bar: patterns, other chord tones, notes that lead on, and none.

use super::marks::{beats, doubled_places, free_places};
use super::scene::{Draft, Played, Scene, is_parallel};
use crate::song::{BassNote, Doubling, Figure, Idea};
use crate::theory::{Pitch, Tone};

/// What a figure is worth before its surroundings count, in thousandths of an effort. Proposals.
const PATTERN: i64 = 700;
/// A bass on the halves of all beats hurries a tune that is on each of them.
const OFF_BEAT: i64 = 200;
const STEP: i64 = 1_500;
const FULLER: i64 = 700;
const LEADS: i64 = 900;
/// From above and foreign to the key, a leading note is the more often a clash.
const FOREIGN: i64 = 300;
const BREATH: i64 = 200;
/// Where a phrase begins, the bass says where one is.
const STANDS: i64 = 800;
const DOUBLED: i64 = 500;

pub(super) fn drafts(scene: &Scene) -> Vec<Draft> {
    let mut found = patterns(scene);
    found.extend(tones(scene));
    found.extend(leading(scene));
    found.extend(breath(scene));
    found.extend(doubled(scene));
    found
}

/// The bass on the beats, between the melody notes, or root and fifth in turn.
fn patterns(scene: &Scene) -> Vec<Draft> {
    let bar = scene.written();
    let strokes = scene.here().count();
    let (beats, free) = (beats(bar), free_places(bar));
    let mut found = Vec::new();
    if strokes == 0 || strokes >= beats.len() {
        return found;
    }
    let busy = match (scene.is_busy(), scene.is_quiet()) {
        (true, _) => -600,
        (_, true) => 500,
        _ => 0,
    };
    let mut add = |figure: Figure, reason: &str, worth: i64| {
        found.push(Draft {
            idea: Idea::new(scene.bar, 0, figure),
            reason: reason.into(),
            worth: worth + busy,
        });
    };
    if scene.here().any(|c| c.chord.fifth().is_some()) {
        let reason = "keeps the pulse and turns round the chord";
        add(Figure::Fifths, reason, PATTERN + 200);
    }
    add(Figure::Beats, "keeps the pulse under the tune", PATTERN);
    if !free.is_empty() {
        let reason = "answers the tune where it holds or rests";
        let on_beats = free.iter().all(|f| beats.contains(f));
        let worth = if on_beats { PATTERN + 100 } else { OFF_BEAT };
        add(Figure::Between, reason, worth);
    }
    found
}

/// Another chord tone in the bass of each chord.
fn tones(scene: &Scene) -> Vec<Draft> {
    let mut found = Vec::new();
    for chord in scene.here() {
        for tone in chord
            .chord
            .tones
            .iter()
            .copied()
            .filter(|t| [3, 5, 7].contains(&t.degree))
        {
            found.extend(tone_in_bass(scene, chord, tone));
        }
    }
    found
}

fn tone_in_bass(scene: &Scene, chord: &Played, tone: Tone) -> Option<Draft> {
    let name = chord.chord.name(tone);
    let class = name.class();
    if chord.bass.is_some_and(|b| b.rem_euclid(12) == class) {
        return None;
    }
    let before = scene.before(chord.at).and_then(|c| c.bass);
    let after = scene.next(chord.at + 1).and_then(|c| c.bass);
    let octaves = low_notes(scene, class, chord.ceiling);
    let near = |m: &i32| {
        let way = |b: Option<i32>| b.map_or(5, |b| (b - m).abs());
        (way(before) + way(after), *m)
    };
    let midi = octaves.into_iter().min_by_key(near)?;
    let steps = |b: Option<i32>| b.is_some_and(|b| (1..=2).contains(&(b - midi).abs()));
    let degree = match tone.degree {
        3 => "third",
        5 => "fifth",
        _ => "seventh",
    };
    let is_thin = chord.notes < 4 || chord.bass.is_none();
    let (why, worth) = match (steps(before), steps(after)) {
        (true, true) => (
            format!("{degree} in the bass: steps in and steps out"),
            2 * STEP,
        ),
        (true, false) => (
            format!("{degree} in the bass: a step from the bass before"),
            STEP,
        ),
        (false, true) => (
            format!("{degree} in the bass: a step to the next bass"),
            STEP,
        ),
        _ if is_thin => (
            format!("{degree} low down, where the chord is thin"),
            FULLER,
        ),
        _ => (format!("{degree} in the bass"), 200),
    };
    let note = BassNote::of(name.at_or_above(midi));
    Some(Draft {
        idea: Idea::new(scene.bar, chord.at - scene.span().start, Figure::Bass(note)),
        reason: why,
        worth,
    })
}

/// The two lowest notes of a pitch class on the instrument that lie below a ceiling.
pub(super) fn low_notes(scene: &Scene, class: i32, ceiling: i32) -> Vec<i32> {
    let lowest = scene.instrument.lowest();
    let first = lowest + (class - lowest).rem_euclid(12);
    [first, first + 12]
        .into_iter()
        .filter(|&m| m < ceiling)
        .collect()
}

/// On the last beat, a note that leads to the next bar's bass: between the two, or a semitone away.
fn leading(scene: &Scene) -> Vec<Draft> {
    let (span, bar) = (scene.span(), scene.written());
    let all = beats(bar);
    let (Some(&beat), true) = (all.last(), all.len() > 1) else {
        return Vec::new();
    };
    let at = span.start + beat;
    let from = scene.here().last().filter(|c| c.at < at);
    let (Some(from), Some(to)) = (from, scene.next(span.end)) else {
        return Vec::new();
    };
    let (Some(low), Some(goal)) = (from.bass, to.bass) else {
        return Vec::new();
    };
    let is_open = |m: &i32| *m >= scene.instrument.lowest() && *m < from.ceiling && *m != low;
    let mut found: Vec<(i32, String, i64)> = Vec::new();
    let name = |m: i32| to.chord.bass_name().at_or_above(m);
    let goal_name = name(goal).name;
    if (3..=4).contains(&(goal - low).abs()) {
        let up = (goal - low).signum();
        let between = [low + 2 * up, low + up];
        let passing = between
            .into_iter()
            .find(|&m| scene.in_key(m) && (goal - m).abs() <= 2);
        found.extend(passing.map(|m| (m, format!("passes on to {goal_name}"), LEADS + 300)));
    }
    for near in [goal - 1, goal + 1] {
        if (low - near).abs() <= 7 && found.iter().all(|f| f.0 != near) {
            let text = format!("a semitone from {goal_name}, to which it leads");
            let foreign = near > goal && !scene.in_key(near);
            found.push((near, text, if foreign { FOREIGN } else { LEADS }));
        }
    }
    (found.into_iter().filter(|f| is_open(&f.0)))
        .map(|(midi, reason, worth)| Draft {
            idea: Idea::new(
                scene.bar,
                beat,
                Figure::Bass(BassNote::of(spelled(scene, midi))),
            ),
            reason,
            worth,
        })
        .collect()
}

fn spelled(scene: &Scene, midi: i32) -> Pitch {
    scene.key().spell(midi)
}

/// No bass for a bar, where the tune is busy or the phrase ends.
fn breath(scene: &Scene) -> Option<Draft> {
    let bass = scene.here().any(|c| c.bass.is_some());
    let more = if scene.is_busy() { 500 } else { 0 };
    let less = if scene.begins_phrase() { STANDS } else { 0 };
    bass.then(|| Draft {
        idea: Idea::new(scene.bar, 0, Figure::Breath),
        reason: match scene.is_busy() {
            true => "leaves the quick tune to itself".into(),
            false => "lets the tune stand alone for a bar".into(),
        },
        worth: BREATH + more - less,
    })
}

/// The bass with the tune, where that has at least two notes to go with and is not quick. Tenths have
/// to agree with the chord wherever the tune itself does.
fn doubled(scene: &Scene) -> Vec<Draft> {
    let bar = scene.written();
    let places: Vec<_> = doubled_places(bar).collect();
    if places.len() < 2 || scene.is_busy() {
        return Vec::new();
    }
    let agrees = |by: Doubling| {
        places.iter().all(|&at| {
            let note = bar.notes.iter().find(|n| n.at == at);
            let chord = (scene.chords.iter().rev()).find(|c| c.at <= scene.span().start + at);
            let (Some(note), Some(chord)) = (note, chord.map(|c| &c.chord)) else {
                return false;
            };
            let under = note.pitch.midi() - by.semitones(&bar.key, note.pitch);
            chord.is_tone(under.rem_euclid(12)) || !chord.is_tone(note.pitch.name.class())
        })
    };
    let again = (0..scene.bar).any(|b| is_parallel(scene.song, b, scene.bar));
    [Doubling::Octave, Doubling::Tenth]
        .into_iter()
        .filter(|&by| agrees(by))
        .map(|by| Draft {
            idea: Idea::new(scene.bar, 0, Figure::Doubled(by)),
            reason: match (again, by) {
                (true, _) => "makes more of the tune where it comes again".into(),
                (_, Doubling::Octave) => "gives the tune more weight".into(),
                (_, Doubling::Tenth) => "a second voice that goes with the tune".into(),
            },
            worth: DOUBLED + if again { 400 } else { 0 },
        })
        .collect()
}
