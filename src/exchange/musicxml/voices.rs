//! The layers of an arrangement as voices: for each bar a row of notes, rests and ties.

use super::values::{Frame, Piece, pieces};
use crate::arrange::{Arrangement, Layer, Pluck};
use crate::theory::Ticks;

/// One voice of one bar.
pub(super) struct Voice<'a> {
    pub layer: Layer,
    pub notes: Vec<Written<'a>>,
}

/// A pluck with its index and its end as it is written.
type Sounding<'a> = (usize, &'a Pluck, Ticks);

/// What is written in one place of a voice: notes that begin and end together, or a rest.
pub(super) struct Written<'a> {
    pub piece: Piece,
    pub notes: Vec<Part<'a>>,
}

/// A written note: a pluck, or a part of one that is tied to the next.
#[derive(Clone, Copy)]
pub(super) struct Part<'a> {
    pub pluck: &'a Pluck,
    /// Index into the arrangement's plucks.
    pub index: usize,
    /// Goes on from the part before.
    pub tied_from: bool,
    /// Goes on in the part after.
    pub tied_to: bool,
}

/// The voices of a bar that have anything to say in it. `start` is where the bar begins in the
/// song laid out as written; `near` are the indices of all plucks that sound in the bar, `ends` until
/// when each pluck is written.
pub(super) fn voices<'a>(
    arrangement: &'a Arrangement,
    frame: &Frame,
    start: Ticks,
    near: &[usize],
    ends: &[Ticks],
) -> Vec<Voice<'a>> {
    let sounding = |layer: Layer| -> Vec<Sounding<'a>> {
        let mine = near.iter().copied();
        mine.filter_map(|i| Some((i, arrangement.plucks.get(i)?, *ends.get(i)?)))
            .filter(|(_, p, _)| p.layer == layer)
            .collect()
    };
    Layer::ALL
        .into_iter()
        .map(|layer| (layer, sounding(layer)))
        .filter(|(_, plucks)| !plucks.is_empty())
        .map(|(layer, plucks)| Voice {
            layer,
            notes: row(frame, start, &plucks),
        })
        .collect()
}

fn row<'a>(frame: &Frame, start: Ticks, plucks: &[Sounding<'a>]) -> Vec<Written<'a>> {
    let mut edges = vec![0, frame.length];
    edges.extend(
        plucks
            .iter()
            .flat_map(|(_, p, end)| [p.at - start, end - start]),
    );
    edges.retain(|e| (0..=frame.length).contains(e));
    edges.sort_unstable();
    edges.dedup();
    let parts = |piece: &Piece| {
        let (from, to) = (start + piece.at, start + piece.at + piece.length);
        let sounding = (plucks.iter()).filter(|(_, p, end)| p.at <= from && *end >= to);
        let mut parts: Vec<Part> = sounding
            .map(|&(index, pluck, end)| Part {
                pluck,
                index,
                tied_from: pluck.at < from,
                tied_to: end > to,
            })
            .collect();
        // From the lowest up, as chords are written.
        parts.sort_by_key(|p| p.pluck.pitch.midi());
        parts
    };
    (pieces(frame, &edges).into_iter())
        .map(|piece| Written {
            notes: parts(&piece),
            piece,
        })
        .collect()
}

/// For each written bar the indices of the plucks that sound in it; `ends` is until when each is
/// written.
pub(super) fn sounding(plucks: &[Pluck], ends: &[Ticks], starts: &[Ticks]) -> Vec<Vec<usize>> {
    let mut bars = vec![Vec::new(); starts.len().saturating_sub(1)];
    for (i, (pluck, &end)) in plucks.iter().zip(ends).enumerate() {
        let first = starts.partition_point(|&s| s <= pluck.at).saturating_sub(1);
        for (bar, list) in bars.iter_mut().enumerate().skip(first) {
            if starts.get(bar).is_none_or(|&s| s >= end) {
                break;
            }
            list.push(i);
        }
    }
    bars
}
