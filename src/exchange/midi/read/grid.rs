//! The grid that notes are put on: how many steps a quarter has.

use super::events::Played;
use crate::theory::QUARTER;

/// Steps of a quarter that are looked at, coarse ones first. All of them divide our own quarter.
const STEPS: [u64; 17] = [1, 2, 3, 4, 5, 6, 7, 8, 10, 12, 16, 20, 24, 28, 32, 48, 60];
/// Those that a player plays by hand.
const BY_HAND: [u64; 6] = [2, 3, 4, 6, 8, 12];

/// A grid and how well it fits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Grid {
    /// Steps of a quarter for the beginnings of notes.
    pub steps: u64,
    /// The same for their ends: as fine or finer.
    ends: u64,
    /// How far the farthest beginning lies off the grid, in hundredths of a quarter, rounded up.
    pub farthest: u64,
}

/// The coarsest grid on which every note begins; where there is none, the one that moves notes little
/// for how fine it is.
pub(super) fn found(notes: &[Played], division: u64) -> Grid {
    let onsets = || notes.iter().map(|n| n.on);
    let exact = |&steps: &u64| {
        // Where the steps are no whole ticks they are rounded; a grid must be far wider than that.
        let slack = u64::from(!division.is_multiple_of(steps));
        let wide = division >= 8 * steps * (2 * slack + 1);
        wide && onsets().all(|at| off(at, steps, division) <= slack)
    };
    let steps = STEPS
        .into_iter()
        .find(exact)
        .unwrap_or_else(|| by_hand(notes, division));
    // Ends may be a tick early, or anywhere at all where notes are played detached.
    let finer = STEPS.into_iter().filter(|s| s % steps == 0);
    let mut ends = finer.filter(|&s| notes.iter().all(|n| off(n.off, s, division) <= 1));
    let ends = ends.next().unwrap_or(steps);
    let farthest = onsets()
        .map(|at| off(at, steps, division))
        .max()
        .unwrap_or(0);
    Grid {
        steps,
        ends,
        farthest: (farthest * 100).div_ceil(division.max(1)),
    }
}

/// How far a place lies off a grid, in ticks of the file.
fn off(at: u64, steps: u64, division: u64) -> u64 {
    nearest(at, steps, division).abs_diff(at)
}

/// The place of the grid that is nearest, in ticks of the file.
fn nearest(at: u64, steps: u64, division: u64) -> u64 {
    let step = step(at, steps, division);
    (step * division + steps / 2) / steps
}

/// The number of the nearest step of the grid, from the start.
fn step(at: u64, steps: u64, division: u64) -> u64 {
    (at * steps + division / 2) / division.max(1)
}

/// The mean way that notes are moved, in thousandths of a quarter, and a price for fineness.
fn by_hand(notes: &[Played], division: u64) -> u64 {
    let price = |steps: u64| {
        let moved: u64 = notes.iter().map(|n| off(n.on, steps, division)).sum();
        moved * 1000 / (division * notes.len().max(1) as u64) + 4 * steps
    };
    BY_HAND.into_iter().min_by_key(|&s| price(s)).unwrap_or(4)
}

impl Grid {
    /// Steps for what stands beside the notes, chords: as fine as these or finer.
    pub(super) fn beside(&self) -> u64 {
        let finer = [24, 20, 28, 48, 32, 60];
        let fits = finer
            .into_iter()
            .find(|s: &u64| s.is_multiple_of(self.steps));
        fits.unwrap_or(self.steps)
    }

    /// Puts notes on the grid, in ticks of ours. Every note keeps at least one step.
    pub(super) fn settle(&self, notes: &mut [Played], division: u64) {
        let ours = |at, steps| step(at, steps, division) * (QUARTER as u64 / steps);
        for note in notes {
            let on = ours(note.on, self.steps);
            let least = QUARTER as u64 / self.steps.max(self.ends);
            note.off = ours(note.off, self.ends).max(on + least);
            note.on = on;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn notes(places: &[u64]) -> Vec<Played> {
        let note = |&on| Played {
            on,
            off: on + 60,
            key: 60,
            channel: 0,
        };
        places.iter().map(note).collect()
    }

    fn steps(places: &[u64]) -> u64 {
        found(&notes(places), 480).steps
    }

    #[test]
    fn the_coarsest_grid_that_fits_is_found() {
        assert_eq!(steps(&[0, 480, 1920]), 1);
        assert_eq!(steps(&[0, 240, 480]), 2);
        assert_eq!(steps(&[0, 160, 320, 480]), 3);
        assert_eq!(steps(&[0, 240, 480, 640, 800, 960]), 6);
        assert_eq!(steps(&[0, 96, 192]), 5);
        // One tick of rounding.
        assert_eq!(steps(&[1, 241, 479]), 2);
    }

    #[test]
    fn what_is_played_by_hand_goes_to_the_likely_grid() {
        assert_eq!(steps(&[7, 231, 489, 726, 955, 1190]), 2);
        assert_eq!(steps(&[7, 171, 310, 489, 635, 806]), 3);
        assert_eq!(steps(&[7, 129, 250, 351, 489, 606, 727, 833]), 4);
    }

    #[test]
    fn notes_are_settled_in_ticks_of_ours() {
        let mut notes = notes(&[7, 231, 489, 726]);
        notes[0].off = 200;
        let grid = found(&notes, 480);
        grid.settle(&mut notes, 480);
        let settled: Vec<_> = notes.iter().map(|n| (n.on, n.off)).collect();
        assert_eq!(settled[..2], [(0, 5040), (5040, 10_080)]);
    }
}
