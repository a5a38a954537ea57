//! What the ideas of the fourth layer promise is kept, and nothing of theirs is there without one.

use super::Faults;
use super::sheet::{Chord, Figure, Idea, Layer, Note, Pluck, QUARTER, Right, Sheet, Technique};

pub fn check(sheet: &Sheet, faults: &mut Faults) {
    for pluck in sheet.plucks() {
        match pluck.technique {
            Technique::Harmonic => harmonic(pluck, sheet, faults),
            Technique::Slur => slur(pluck, sheet, faults),
            Technique::Hit => knock(pluck, sheet, faults),
            Technique::Roll => roll(pluck, sheet, faults),
            Technique::Plain | Technique::Brush => {}
        }
        if pluck.layer == Layer::Bass && sheet.ideas.iter().any(|i| breathes(i, sheet, pluck.at)) {
            faults.add(
                pluck.at,
                "a bass is struck where there should be none".into(),
            );
        }
    }
    for idea in &sheet.ideas {
        kept(idea, sheet, faults);
    }
}

/// Whether an idea allows this bass note at this place over this chord.
pub fn allows_bass(sheet: &Sheet, pluck: &Pluck, chord: &Chord) -> bool {
    sheet.ideas.iter().any(|idea| {
        let inside = reaches(idea, sheet, pluck.at);
        match &idea.figure {
            Figure::Fifths => inside && is_fifth(chord, pluck.midi),
            Figure::Bass { note } => start(idea, sheet) == pluck.at && is_note(note, pluck.midi),
            Figure::Doubled { by } => inside && is_doubled(by, sheet, pluck),
            Figure::Line { notes, .. } => inside && notes.iter().any(|n| is_note(n, pluck.midi)),
            _ => false,
        }
    })
}

/// Whether an idea may put a bass where no chord starts.
pub fn allows_stroke(sheet: &Sheet, at: i64) -> bool {
    sheet.ideas.iter().any(|idea| match &idea.figure {
        Figure::Beats | Figure::Between | Figure::Fifths | Figure::Doubled { .. } => {
            reaches(idea, sheet, at)
        }
        Figure::Line { each, .. } => each == "beat" && reaches(idea, sheet, at),
        Figure::Bass { .. } => start(idea, sheet) == at,
        _ => false,
    })
}

/// Until when a campanella lets a melody note ring: to the end of its last note, within the bar.
pub fn rings_to(sheet: &Sheet, pluck: &Pluck) -> i64 {
    let covers =
        |i: &'_ &Idea| run(i, sheet).is_some_and(|run| run.iter().any(|p| p.at == pluck.at));
    let idea = sheet.ideas.iter().find(covers);
    let last = idea.and_then(|i| Some((run(i, sheet)?.last()?.at, sheet.bars.get(i.bar)?)));
    last.map_or(0, |(at, bar)| {
        let end = sheet.tune_at(at).map_or(at, |t| t.end);
        end.min(bar.at + bar.length)
    })
}

/// The melody notes of a campanella.
fn run<'a>(idea: &Idea, sheet: &'a Sheet) -> Option<Vec<&'a Pluck>> {
    let Figure::Campanella { strings } = &idea.figure else {
        return None;
    };
    let bar = sheet.bars.get(idea.bar)?;
    let from = bar.at + idea.at;
    let tune = sheet.plucks().filter(|p| p.layer == Layer::Melody);
    let here = tune.filter(|p| p.at >= from && p.at < bar.at + bar.length);
    Some(here.take(strings.len()).collect())
}

fn start(idea: &Idea, sheet: &Sheet) -> i64 {
    sheet.bars.get(idea.bar).map_or(-1, |bar| bar.at + idea.at)
}

fn reaches(idea: &Idea, sheet: &Sheet, at: i64) -> bool {
    let (first, last) = (sheet.bars.get(idea.bar), sheet.bars.get(idea.to));
    let ends = first.zip(last);
    ends.is_some_and(|(first, last)| (first.at..last.at + last.length).contains(&at))
}

fn breathes(idea: &Idea, sheet: &Sheet, at: i64) -> bool {
    let pinned = sheet.pins().any(|(pin, _)| pin == at);
    matches!(idea.figure, Figure::Breath) && reaches(idea, sheet, at) && !pinned
}

/// The root comes first among a chord's classes; a fifth lies six to eight semitones above it. Where
/// the fifth is the chord's bass, the root answers it.
fn is_fifth(chord: &Chord, midi: i32) -> bool {
    let class = midi.rem_euclid(12);
    let root = chord.classes.first().copied().unwrap_or(class);
    let is_fifth = |class: i32| (6..=8).contains(&(class - root).rem_euclid(12));
    let answers = class == root && chord.bass.is_some_and(is_fifth);
    answers || (chord.classes.contains(&class) && is_fifth(class))
}

/// An octave is twelve semitones; a tenth of any scale here, an octave and a third, is two to five more.
fn is_doubled(by: &str, sheet: &Sheet, pluck: &Pluck) -> bool {
    let tune = sheet.melody.iter().find(|t| t.at == pluck.at);
    tune.is_some_and(|t| match by {
        "octave" => t.midi - pluck.midi == 12,
        _ => (14..=17).contains(&(t.midi - pluck.midi)),
    })
}

fn is_note(note: &Note, midi: i32) -> bool {
    let Some(class) = super::pins::class_of(&note.name) else {
        return false;
    };
    match note.octave {
        Some(octave) => midi == 12 * (octave + 1) + class,
        None => (midi - class).rem_euclid(12) == 0,
    }
}

fn harmonic(pluck: &Pluck, sheet: &Sheet, faults: &mut Faults) {
    let asked = sheet.ideas.iter().any(|idea| {
        let (string, fret) = match idea.figure {
            Figure::Harmonic { string, fret } => (string, fret),
            _ => return false,
        };
        start(idea, sheet) == pluck.at && (string, fret) == (pluck.string, pluck.fret)
    });
    if !asked || pluck.layer != Layer::Melody {
        faults.add(pluck.at, "a harmonic that no idea asks for".into());
    }
}

/// A slurred note follows a melody note on its string that sounds until then: a higher finger
/// hammers on, a lower one or the open string is pulled off to, the same one slides.
fn slur(pluck: &Pluck, sheet: &Sheet, faults: &mut Faults) {
    let melody = sheet.plucks().filter(|p| p.layer == Layer::Melody);
    let before = melody.filter(|p| p.at < pluck.at).last();
    let good = before.is_some_and(|b| {
        let fingers = match pluck.fret - b.fret {
            0 => false,
            1.. => pluck.left >= b.left && pluck.left > 0,
            _ => pluck.left <= b.left,
        };
        b.string == pluck.string && b.end == pluck.at && fingers
    });
    if !good || pluck.layer != Layer::Melody {
        faults.add(pluck.at, "a slur that no left hand can sound".into());
    }
}

/// A knock takes the thumb and a string on which nothing sounds.
fn knock(pluck: &Pluck, sheet: &Sheet, faults: &mut Faults) {
    let with = |p: &&Pluck| p.at == pluck.at && p.technique != Technique::Hit;
    let plucked = |p: &&Pluck| p.technique != Technique::Slur;
    if sheet
        .plucks()
        .filter(with)
        .filter(plucked)
        .any(|p| p.right == Right::P)
    {
        faults.add(pluck.at, "the thumb knocks and plucks at once".into());
    }
    let sounds = |p: &Pluck| {
        p.technique != Technique::Hit && p.string == pluck.string && p.sounds_at(pluck.at)
    };
    if sheet.plucks().any(sounds) {
        faults.add(pluck.at, "a knock on a string that sounds".into());
    }
    let asked = |i: &Idea| matches!(i.figure, Figure::Hits) && reaches(i, sheet, pluck.at);
    if pluck.layer != Layer::Colour || !sheet.ideas.iter().any(asked) {
        faults.add(pluck.at, "a knock that no idea asks for".into());
    }
}

fn roll(pluck: &Pluck, sheet: &Sheet, faults: &mut Faults) {
    let together = sheet.plucks().filter(|p| p.at == pluck.at);
    let struck = together.filter(|p| p.technique != Technique::Hit).count();
    let asked = |i: &Idea| match i.figure {
        Figure::Roll { strings } => start(i, sheet) == pluck.at && struck <= strings,
        _ => false,
    };
    if !sheet.ideas.iter().any(asked) {
        faults.add(pluck.at, "a roll wider than any idea asks for".into());
    }
}

/// What an idea promises beyond what it allows.
fn kept(idea: &Idea, sheet: &Sheet, faults: &mut Faults) {
    let at = start(idea, sheet);
    let struck = |at: i64, layer: Layer| -> Vec<&Pluck> {
        sheet
            .plucks()
            .filter(|p| p.at == at && p.layer == layer)
            .collect()
    };
    match &idea.figure {
        Figure::Harmonic { .. } => {
            let touched = |p: &&Pluck| p.technique == Technique::Harmonic;
            if !struck(at, Layer::Melody).iter().any(touched) {
                faults.add(at, "the harmonic asked for is not played".into());
            }
        }
        Figure::Bass { note } => {
            let other = |p: &&Pluck| !is_note(note, p.midi);
            let pinned = sheet.pins().any(|(pin, _)| pin == at);
            let again = sheet
                .ideas
                .iter()
                .filter(|i| allows_at(i, sheet, at))
                .count()
                > 1;
            if !pinned && !again && struck(at, Layer::Bass).iter().any(other) {
                faults.add(at, "another bass than the idea's is struck".into());
            }
        }
        Figure::Campanella { strings } => {
            let run = run(idea, sheet).unwrap_or_default();
            let lies = |(p, &s): (&&Pluck, &usize)| p.string == s;
            if !run.iter().zip(strings).all(lies) {
                faults.add(at, "a campanella lies on other strings".into());
            }
        }
        Figure::Broken { every } => broken(idea, *every, sheet, faults),
        _ => {}
    }
}

fn allows_at(idea: &Idea, sheet: &Sheet, at: i64) -> bool {
    match idea.figure {
        Figure::Bass { .. } => start(idea, sheet) == at,
        Figure::Beats
        | Figure::Between
        | Figure::Fifths
        | Figure::Doubled { .. }
        | Figure::Line { .. } => reaches(idea, sheet, at),
        _ => false,
    }
}

/// One note after another from the chord on, until the melody moves or the chord or the bar ends.
fn broken(idea: &Idea, every: i64, sheet: &Sheet, faults: &mut Faults) {
    let from = start(idea, sheet);
    let Some(bar) = sheet.bars.get(idea.bar) else {
        return;
    };
    let pinned = |at: i64| sheet.pins().any(|(pin, _)| pin == at);
    let chord_here = |at: i64| {
        sheet
            .chord_at(at)
            .is_some_and(|(c, _)| !c.classes.is_empty())
    };
    let turns = (sheet.melody.iter().map(|t| t.at)).chain(sheet.chords.iter().map(|c| c.at));
    let end = turns.filter(|&t| t > from).min().unwrap_or(sheet.end());
    let end = end.min(bar.at + bar.length);
    let fills = |at: i64| {
        sheet
            .plucks()
            .filter(|p| p.at == at && p.layer == Layer::Fill)
            .count()
    };
    let mut at = from + every.max(1);
    while at < end && chord_here(from) && every >= QUARTER / 8 {
        let taken = sheet
            .ideas
            .iter()
            .any(|i| allows_at(i, sheet, at) || is_broken_twice(i, idea));
        if fills(at) != 1 && !pinned(at) && !taken {
            faults.add(at, format!("{} notes of a broken chord at once", fills(at)));
        }
        at += every;
    }
}

fn is_broken_twice(one: &Idea, idea: &Idea) -> bool {
    matches!(one.figure, Figure::Broken { .. }) && !std::ptr::eq(one, idea) && one.bar == idea.bar
}
