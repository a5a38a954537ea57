//! The sums over a whole arrangement.

use super::shape::Totals;
use super::{efforts, mm, price};
use crate::arrange::{Arrangement, Layer};
use crate::theory::{Symbol, Ticks};

pub(super) fn totals(arrangement: &Arrangement) -> Totals {
    Totals {
        effort: efforts(arrangement.price.effort()),
        price: price(&arrangement.price),
        bass_ring_share: bass_ring_share(arrangement),
        notes_a_chord: notes_a_chord(arrangement),
        worst_stretch_mm: (arrangement.slices.iter())
            .filter_map(|s| s.stretch)
            .map(|s| s.distance)
            .max()
            .map(mm),
    }
}

fn bass_ring_share(arrangement: &Arrangement) -> Option<f64> {
    let starts = arrangement.song.starts();
    let mut turns: Vec<Ticks> = starts.clone();
    for (bar, start) in arrangement.heard().bars.iter().zip(&starts) {
        turns.extend(bar.chords.iter().map(|c| start + c.at));
    }
    turns.sort_unstable();
    let (mut rings, mut should) = (0, 0);
    for bass in arrangement.plucks.iter().filter(|p| p.layer == Layer::Bass) {
        let due = turns.get(turns.partition_point(|&t| t <= bass.at));
        let due = due.copied().unwrap_or(bass.end);
        rings += bass.end.min(due) - bass.at;
        should += due - bass.at;
    }
    share(rings, should)
}

fn notes_a_chord(arrangement: &Arrangement) -> Option<f64> {
    let starts = arrangement.song.starts();
    let (mut notes, mut chords) = (0, 0);
    for (bar, start) in arrangement.heard().bars.iter().zip(&starts) {
        for change in bar.chords.iter().filter(|c| c.symbol != Symbol::NoChord) {
            let at = start + change.at;
            let index = arrangement.slices.partition_point(|s| s.end <= at);
            if let Some(slice) = arrangement.slices.get(index) {
                notes += slice.grip.frets.iter().filter(|&&f| f >= 0).count() as i64;
                chords += 1;
            }
        }
    }
    share(notes, chords)
}

/// A share rounded to four places, none of nothing.
fn share(part: i64, whole: i64) -> Option<f64> {
    (whole > 0).then(|| (part as f64 / whole as f64 * 1e4).round() / 1e4)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::fixture;

    #[test]
    fn measures_of_the_whole() {
        let arrangement = fixture::waltz();
        // Bass C rings 3 of 3 beats, B 2 of 3.
        assert_eq!(bass_ring_share(&arrangement), Some(0.8333));
        assert_eq!(notes_a_chord(&arrangement), Some(3.0));
        assert_eq!(totals(&arrangement).worst_stretch_mm, Some(52.8));
    }
}
