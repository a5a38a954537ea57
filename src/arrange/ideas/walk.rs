//! Bass lines as ideas: the best line over all chords of the song, and a line over the beats of a bar.

use super::line::{Spot, best_line};
use super::marks::places;
use super::scene::{Draft, Played, Scene};
use crate::song::{BassNote, Close, Figure, Idea, Step};
use crate::theory::Ticks;
use std::ops::Range;

/// What each step of a line is worth, in thousandths of an effort. A proposal.
const STEP: i64 = 600;
/// What a walk over the beats of a bar is worth. A proposal.
const WALK: i64 = 1_200;
/// A line has at least so many notes.
const SHORTEST: usize = 3;

/// A bass line over some bars.
#[derive(Clone)]
pub(crate) struct Found {
    pub bars: Range<usize>,
    pub step: Step,
    pub notes: Vec<i32>,
    pub names: Vec<BassNote>,
}

/// A line over all chords of a song, and where its notes fall.
pub(crate) type Line = (Found, Vec<Ticks>);

impl Found {
    /// The idea that takes it.
    pub fn idea(&self) -> Idea {
        let figure = Figure::Walk {
            step: self.step,
            notes: self.names.clone(),
        };
        Idea {
            to: self.bars.end - 1,
            ..Idea::new(self.bars.start, 0, figure)
        }
    }

    /// How many of its notes are a step from the one before.
    pub fn steps(&self) -> usize {
        let step = |w: &[i32]| (1..=2).contains(&(w[1] - w[0]).abs());
        self.notes.windows(2).filter(|w| step(w)).count()
    }
}

/// The best line over the bars of `bars`, one note a chord or a beat; `None` where nothing falls.
pub(crate) fn line(scene: &Scene, bars: Range<usize>, step: Step) -> Option<Found> {
    let at = places(scene.song, &scene.starts, bars.clone(), step);
    let mut spots = Vec::with_capacity(at.len());
    for &at in &at {
        let chord = scene.before(at + 1).filter(|c| at < c.end)?;
        spots.push(spot(scene, chord, at));
    }
    stand_firm(scene, &mut spots, &at, step);
    let before = scene.before(*at.first()?).and_then(|c| c.bass);
    let after = scene.next(scene.starts[bars.end]).and_then(|c| c.bass);
    let lowest = scene.instrument.lowest();
    let (_, notes) = best_line(&spots, lowest, (before, after))?;
    let names = (spots.iter().zip(&notes))
        .map(|(s, &m)| named(s, m))
        .collect();
    Some(Found {
        bars,
        step,
        notes,
        names,
    })
}

/// The song begins and ends on its chords' own bass, and so does each part; a walk over the beats
/// of a bar begins on it, since the bar before counts on that.
fn stand_firm(scene: &Scene, spots: &mut [Spot], at: &[Ticks], step: Step) {
    let all = spots.len();
    for (i, (spot, at)) in spots.iter_mut().zip(at).enumerate() {
        let bar = scene
            .starts
            .partition_point(|&s| s <= *at)
            .saturating_sub(1);
        let is_line = scene.starts.get(bar) == Some(at);
        let opens = bar
            .checked_sub(1)
            .is_none_or(|b| scene.song.bars[b].close != Close::Single);
        let closes = scene
            .song
            .bars
            .get(bar)
            .is_some_and(|b| b.close != Close::Single);
        spot.firm = match step {
            Step::Beat => spot.starts,
            Step::Chord => i == 0 || i + 1 == all || (is_line && (opens || closes)),
        };
    }
}

fn spot<'a>(scene: &'a Scene, chord: &'a Played, at: Ticks) -> Spot<'a> {
    let bar = scene.starts.partition_point(|&s| s <= at).saturating_sub(1);
    let sounding = scene.heard(at..at + 1).next().map(|t| t.pitch.midi());
    Spot {
        chord: &chord.chord,
        key: &scene.song.bars[bar.min(scene.song.bars.len() - 1)].key,
        starts: chord.at == at,
        firm: false,
        ceiling: sounding.unwrap_or(chord.ceiling),
        melody: sounding,
    }
}

fn named(spot: &Spot, midi: i32) -> BassNote {
    let chord = spot.chord;
    let class = midi.rem_euclid(12);
    let own = (chord.bass_name().class() == class).then(|| chord.bass_name());
    let tone = chord.tone_of(class).map(|t| chord.name(t));
    match own.or(tone) {
        Some(name) => BassNote::of(name.at_or_above(midi)),
        None => BassNote::of(spot.key.spell(midi)),
    }
}

/// The part of the song's best line that goes through the bar by step, and a walk over its beats.
pub(super) fn drafts(scene: &Scene) -> Vec<Draft> {
    let mut found = Vec::new();
    found.extend(through(scene));
    // After the last bar there is nowhere to walk to.
    if scene.here().next().is_some() && !scene.is_busy() && !scene.is_last() {
        found.extend(line(scene, scene.bar..scene.bar + 1, Step::Beat).and_then(over_beats));
    }
    found
}

fn over_beats(found: Found) -> Option<Draft> {
    let enough = found.notes.len() >= SHORTEST && found.steps() + 1 >= SHORTEST;
    enough.then(|| Draft {
        reason: "walks to the next bar".into(),
        idea: found.idea(),
        worth: WALK,
    })
}

/// The part of the song's best line around the bar in which every note is a step from the one before,
/// if other notes than those struck now are among them.
fn through(scene: &Scene) -> Option<Draft> {
    let (line, at) = scene.line.get_or_init(|| whole(scene)).as_ref()?;
    let span = scene.span();
    let parts = stretches(&line.notes).into_iter();
    parts
        .filter(|s| at[s.clone()].iter().any(|a| span.contains(a)))
        .find_map(|stretch| part(scene, line, at, stretch))
}

/// A part of the line as an idea over its bars.
fn part(scene: &Scene, line: &Found, at: &[Ticks], stretch: Range<usize>) -> Option<Draft> {
    let bar_of = |at: Ticks| scene.starts.partition_point(|&s| s <= at) - 1;
    let (first, last) = (bar_of(at[stretch.start]), bar_of(at[stretch.end - 1]));
    let inside = |a: &Ticks| (first..=last).contains(&bar_of(*a));
    let taken: Vec<usize> = (0..at.len()).filter(|&i| inside(&at[i])).collect();
    let own = |i: usize| {
        let chord = scene.next(at[i]).filter(|c| c.at == at[i]);
        chord.is_some_and(|c| c.chord.bass_name().class() == line.notes[i].rem_euclid(12))
    };
    if taken.iter().all(|&i| own(i)) {
        return None;
    }
    let found = Found {
        bars: first..last + 1,
        step: Step::Chord,
        notes: taken.iter().map(|&i| line.notes[i]).collect(),
        names: taken.iter().map(|&i| line.names[i]).collect(),
    };
    let notes = &line.notes[stretch];
    let way = match (notes.is_sorted(), notes.iter().rev().is_sorted()) {
        (true, _) => "rises",
        (_, true) => "falls",
        _ => "moves",
    };
    Some(Draft {
        reason: format!(
            "{way} by step over {} chords: part of the song's best line",
            notes.len()
        ),
        idea: found.idea(),
        worth: STEP * found.steps() as i64,
    })
}

/// Puts the notes of the line's parts in the place of the bass that is struck, so that what leads
/// into them or out of them counts on them.
pub(super) fn follow(scene: &mut Scene) {
    let Some((line, at)) = scene.line.get_or_init(|| whole(scene)).clone() else {
        return;
    };
    let parts = stretches(&line.notes);
    let ideas = parts.into_iter().filter_map(|s| part(scene, &line, &at, s));
    let bars: Vec<Range<usize>> = ideas.map(|d| d.idea.bar..d.idea.to + 1).collect();
    for (at, note) in at.iter().zip(&line.notes) {
        let bar = scene.starts.partition_point(|s| s <= at) - 1;
        let chord = scene.chords.iter_mut().find(|c| c.at == *at);
        if let (Some(chord), true) = (chord, bars.iter().any(|b| b.contains(&bar))) {
            chord.bass = Some(*note);
        }
    }
}

/// The best line over all chords of the song, and where its notes fall.
pub(crate) fn whole(scene: &Scene) -> Option<Line> {
    let bars = 0..scene.song.bars.len();
    let has_chord = |at: &Ticks| scene.next(*at).is_some_and(|c| c.at == *at);
    let at = places(scene.song, &scene.starts, bars.clone(), Step::Chord);
    let skipped = at.iter().position(has_chord)?;
    // What stands before the first chord that is played (a pickup's) is no part of the line.
    let first = scene.starts.partition_point(|&s| s <= at[skipped]) - 1;
    let found = line(scene, first..bars.end, Step::Chord)?;
    Some((found, at[skipped..].to_vec()))
}

/// The stretches in which each note is a step from the one before, those long enough.
fn stretches(notes: &[i32]) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut start = 0;
    for i in 1..=notes.len() {
        let goes_on = notes
            .get(i)
            .is_some_and(|n| (1..=2).contains(&(n - notes[i - 1]).abs()));
        if !goes_on {
            if i - start >= SHORTEST {
                found.push(start..i);
            }
            start = i;
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::search::Bench;
    use crate::arrange::solve::Case;
    use crate::arrange::{Layer, Options};
    use crate::guitar::{Hand, Instrument};
    use crate::song::abc;

    /// The best line over a tune in C.
    fn line_of(tune: &str) -> Vec<i32> {
        let text = format!("X:1\nM:4/4\nL:1/4\nK:C\n{tune}\n");
        let song = abc::read_book(&text).remove(0).unwrap().song;
        let (instrument, hand) = (Instrument::standard(), Hand::named("medium").unwrap());
        let options = Options {
            layer: Layer::Colour,
            ..Options::default()
        };
        let costs = options.leaning();
        let mut bench = Bench::new(&instrument, &hand, &costs);
        let case = Case {
            song: &song,
            options: &options,
        };
        let solved = case.settle(&mut bench).unwrap();
        let scene = Scene::new(&song, &solved, &bench.shapes, 0);
        whole(&scene).unwrap().0.notes
    }

    /// By step it would end on E, the third.
    #[test]
    fn a_line_begins_and_ends_on_the_roots_whatever_bar_line_is_last() {
        assert_eq!(line_of("\"C\"e4|\"F\"a4|\"C\"g4|"), [48, 45, 48], "C A C");
        assert_eq!(line_of("\"C\"e4|\"F\"a4|\"C\"g4|]"), [48, 45, 48], "C A C");
    }
}
