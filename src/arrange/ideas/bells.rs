//! Campanellas: quick neighbouring melody notes on strings of their own, ringing over each other.

use super::scene::{Draft, Scene};
use crate::arrange::arrangement::Tune;
use crate::song::{Figure, Idea};
use crate::theory::QUARTER;

/// What one is worth before its surroundings count, and each open string in it, in thousandths of an
/// effort. Proposals.
const RUN: i64 = 500;
const OPEN: i64 = 150;

/// Notes of a run, at least and at most.
const NOTES: std::ops::RangeInclusive<usize> = 3..=8;

/// As many notes of a run are tried by themselves.
const CLOSE: usize = 4;

/// Stopped notes lie no higher than this, and no farther apart.
const TOP: i32 = 9;
const APART: i32 = 3;

/// What a stopped note counts against an open one, and each fret of it: only to choose the strings.
const STOPPED: i32 = 10;

/// Where a note may lie: string and fret.
type Spot = (u8, i32);

pub(super) fn drafts(scene: &Scene) -> Vec<Draft> {
    let tune = scene.tune(scene.span());
    let follows = |a: &Tune, b: &Tune| {
        let step = (b.pitch.midi() - a.pitch.midi()).abs();
        a.end == b.at && a.end - a.at <= QUARTER && (1..=7).contains(&step)
    };
    let mut found: Vec<Draft> = (tune.chunk_by(follows))
        // A long run may be too much for the hand where its last notes are not.
        .flat_map(|run| [run, &run[run.len().saturating_sub(CLOSE)..]])
        .filter(|run| NOTES.contains(&run.len()))
        .filter_map(|run| draft(scene, run))
        .collect();
    found.dedup_by(|a, b| a.idea.is_like(&b.idea));
    found
}

fn draft(scene: &Scene, run: &[Tune]) -> Option<Draft> {
    let spots = placed(scene, run)?;
    let open = spots.iter().filter(|s| s.1 == 0).count();
    let strings = spots.iter().map(|s| s.0).collect();
    let at = run.first()?.at - scene.span().start;
    (open > 0).then(|| Draft {
        idea: Idea::new(scene.bar, at, Figure::Campanella(strings)),
        reason: match open {
            1 => "the notes ring over each other like a harp's, one of them open".into(),
            n => format!("the notes ring over each other like a harp's, {n} of them open"),
        },
        worth: RUN + OPEN * open as i64,
    })
}

/// The easiest places for a run, neighbours on different strings and within one reach of the hand: the
/// least of all ways, found note by note.
fn placed(scene: &Scene, run: &[Tune]) -> Option<Vec<Spot>> {
    let choices = |note: &Tune| -> Vec<Spot> {
        let strings = 1..=scene.instrument.strings() as u8;
        let spot = |s| (s, note.pitch.midi() - scene.instrument.sounding(s, 0));
        strings
            .map(spot)
            .filter(|s| (0..=TOP).contains(&s.1))
            .collect()
    };
    let own = |spot: Spot| if spot.1 == 0 { 0 } else { STOPPED + spot.1 };
    let goes = |a: Spot, b: Spot| {
        let within = a.1 == 0 || b.1 == 0 || (a.1 - b.1).abs() <= APART;
        (a.0 != b.0 && within).then(|| (a.1.max(1) - b.1.max(1)).abs())
    };
    // For each note: its spots, what the way there counts, and where it comes from.
    let mut rows: Vec<Vec<(Spot, i32, usize)>> = Vec::with_capacity(run.len());
    for note in run {
        let row = match rows.last() {
            None => (choices(note).into_iter())
                .map(|s| (s, own(s), 0))
                .collect(),
            Some(before) => (choices(note).into_iter())
                .filter_map(|spot| {
                    let ways = before.iter().enumerate();
                    let (count, from) = ways
                        .filter_map(|(i, b)| Some((b.1 + goes(b.0, spot)?, i)))
                        .min()?;
                    Some((spot, count + own(spot), from))
                })
                .collect(),
        };
        rows.push(row);
    }
    let last = rows.last()?;
    let mut at = (0..last.len()).min_by_key(|&i| last[i].1)?;
    let mut spots = Vec::with_capacity(run.len());
    for row in rows.iter().rev() {
        let (spot, _, from) = *row.get(at)?;
        spots.push(spot);
        at = from;
    }
    spots.reverse();
    Some(spots)
}
