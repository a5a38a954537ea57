//! How long notes are written: one answer for every writer that shows note values.

use crate::arrange::{Layer, Pluck};
use crate::theory::Ticks;

/// Until when each pluck is written, in ticks from the song's start: as long as its string rings. The
/// melody is one note after another, even where one rings over the next.
pub(super) fn ends(plucks: &[Pluck]) -> Vec<Ticks> {
    let mut next = Ticks::MAX;
    let mut ends: Vec<Ticks> = plucks.iter().map(|p| p.end).collect();
    for (pluck, end) in plucks.iter().zip(&mut ends).rev() {
        if pluck.layer == Layer::Melody && pluck.at < next {
            *end = next.min(*end);
            next = pluck.at;
        }
    }
    ends
}

/// What is struck besides the melody, each onset with the end it is written with: that of its bass, or
/// without one that of what rings longest, but never beyond the next onset.
pub(super) fn strokes(plucks: &[Pluck]) -> Vec<(Ticks, Ticks)> {
    let ends = ends(plucks);
    let below = plucks.iter().zip(ends);
    let below: Vec<_> = below.filter(|(p, _)| p.layer != Layer::Melody).collect();
    let mut next = Ticks::MAX;
    let onsets = below.chunk_by(|a, b| a.0.at == b.0.at).rev();
    let mut strokes: Vec<(Ticks, Ticks)> = onsets
        .filter_map(|onset| {
            let leads = |(pluck, end): &&(&Pluck, Ticks)| (pluck.layer == Layer::Bass, *end);
            let &(pluck, end) = onset.iter().max_by_key(leads)?;
            let stroke = (pluck.at, end.min(next));
            next = pluck.at;
            Some(stroke)
        })
        .collect();
    strokes.reverse();
    strokes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::RightFinger;
    use crate::score::fixture;

    /// Onset, end, string and layer, in eighths of a quarter.
    fn plucks(list: &[(Ticks, Ticks, u8, Layer)]) -> Vec<Pluck> {
        let attacks: Vec<fixture::Attack> = (list.iter())
            .map(|&(at, end, string, layer)| (at, end, string, 0, 0, RightFinger::P, layer))
            .collect();
        fixture::arranged("", vec![fixture::bar(1, "4/4")], &attacks).plucks
    }

    /// In eighths of a quarter, too.
    fn in_eighths(list: Vec<(Ticks, Ticks)>) -> Vec<(Ticks, Ticks)> {
        let unit = crate::theory::QUARTER / 8;
        list.into_iter()
            .map(|(a, b)| (a / unit, b / unit))
            .collect()
    }

    #[test]
    fn a_stroke_lasts_as_long_as_its_bass_rings() {
        use Layer::{Bass, Fill, Melody};
        let list = plucks(&[
            (0, 16, 5, Bass),
            (0, 24, 4, Fill),
            (0, 24, 3, Melody),
            (16, 24, 5, Melody),
            (24, 28, 4, Fill),
            (24, 32, 3, Fill),
        ]);
        assert_eq!(in_eighths(strokes(&list)), [(0, 16), (24, 32)]);
        let list = plucks(&[(0, 32, 6, Bass), (8, 16, 4, Fill), (16, 32, 3, Fill)]);
        assert_eq!(in_eighths(strokes(&list)), [(0, 8), (8, 16), (16, 32)]);
    }

    #[test]
    fn a_melody_note_ends_where_the_next_one_begins() {
        let list = plucks(&[
            (0, 32, 1, Layer::Melody),
            (0, 32, 6, Layer::Bass),
            (8, 16, 2, Layer::Melody),
        ]);
        let unit = crate::theory::QUARTER / 8;
        let ends: Vec<Ticks> = ends(&list).iter().map(|e| e / unit).collect();
        assert_eq!(ends, [8, 32, 16]);
    }
}
