//! What the left hand does over several notes, as the writers show it: barres and slurs.

use crate::arrange::{Arrangement, Pluck, Technique};
use crate::guitar::Barre;
use crate::theory::Ticks;

/// A barre from where it is laid to where it is lifted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Held {
    /// Index of the written bar in which it is laid, from 0.
    pub bar: usize,
    /// Where it is laid, in ticks from the start of the song laid out as written.
    pub at: Ticks,
    pub end: Ticks,
    /// All strings that it lies over while it lasts.
    pub barre: Barre,
}

impl Held {
    /// `B5:1-4`: at fret 5 over strings 1 to 4.
    pub fn sign(&self) -> String {
        let Barre { fret, from, to, .. } = self.barre;
        format!("B{fret}:{from}-{to}")
    }

    /// The sign and its words: `B5:1-4 barre at fret 5 over strings 1 to 4`.
    pub fn meaning(&self) -> String {
        let Barre { fret, from, to, .. } = self.barre;
        let sign = self.sign();
        format!("{sign} barre at fret {fret} over strings {from} to {to}")
    }
}

/// The barres of an arrangement in the order they are laid.
///
/// A slice knows only the strings that sound in it, so the finger may reach further in a later one.
pub(super) fn barres(arrangement: &Arrangement) -> Vec<Held> {
    let mut barres: Vec<Held> = Vec::new();
    for slice in &arrangement.slices {
        for barre in slice.grip.barres() {
            let same = |h: &Barre| (h.finger, h.fret) == (barre.finger, barre.fret);
            let mut last = barres.iter_mut().rev().take(4);
            match last.find(|h| h.end == slice.at && same(&h.barre)) {
                Some(held) => {
                    held.end = slice.end;
                    held.barre.from = held.barre.from.min(barre.from);
                    held.barre.to = held.barre.to.max(barre.to);
                }
                None => barres.push(Held {
                    bar: slice.bar,
                    at: slice.at,
                    end: slice.end,
                    barre,
                }),
            }
        }
    }
    barres
}

/// A note that the left hand brings out of the one before it on its string.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Slur {
    /// The index of the pluck that it comes out of.
    pub before: usize,
    /// What the hand does.
    pub way: Way,
}

/// How a note is slurred.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Way {
    /// Another finger comes down on a higher fret.
    HammerOn,
    /// The finger leaves a lower one, or an open string.
    PullOff,
    /// The same finger moves to a higher fret.
    SlideUp,
    /// The same finger moves to a lower fret.
    SlideDown,
}

impl Way {
    pub fn is_slide(self) -> bool {
        matches!(self, Way::SlideUp | Way::SlideDown)
    }
}

/// For each pluck how it is slurred, if it is and something was struck on its string before.
pub(super) fn slurs(plucks: &[Pluck]) -> Vec<Option<Slur>> {
    let mut last: [Option<usize>; 256] = [None; 256];
    let slurs = plucks.iter().enumerate().map(|(i, pluck)| {
        // A knock leaves the string as it is.
        if pluck.technique == Technique::Hit {
            return None;
        }
        let before = last[usize::from(pluck.string)].replace(i)?;
        let from = plucks.get(before)?;
        let slides = pluck.left > 0 && pluck.left == from.left;
        let way = match (slides, pluck.fret < from.fret) {
            (true, false) => Way::SlideUp,
            (true, true) => Way::SlideDown,
            (false, false) => Way::HammerOn,
            (false, true) => Way::PullOff,
        };
        (pluck.technique == Technique::Slur).then_some(Slur { before, way })
    });
    slurs.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::{musicxml, sheet, spoken, tab};
    use crate::score::fixture;

    /// A bar of two halves: first strings 2 and 6 under the barre, then string 1 as well.
    fn growing() -> Arrangement {
        use crate::arrange::{Layer, RightFinger};
        let attacks = [
            (0, 32, 6, 1, 1, RightFinger::P, Layer::Bass),
            (0, 32, 2, 1, 1, RightFinger::M, Layer::Fill),
            (16, 32, 1, 1, 1, RightFinger::A, Layer::Melody),
        ];
        fixture::arranged("Growing", vec![fixture::bar(1, "4/4")], &attacks)
    }

    #[test]
    fn a_barre_reaches_as_far_as_it_ever_lies() {
        let arrangement = growing();
        let signs: Vec<String> = barres(&arrangement).iter().map(Held::sign).collect();
        assert_eq!(signs, ["B1:1-6"]);
        let sheet = sheet::Booklet::of(std::slice::from_ref(&arrangement));
        let sheet = sheet.lay_out(sheet::Options::default()).svg();
        assert!(sheet.contains(">B1:1-6<"));
        assert!(tab::write(&arrangement, tab::Options::default()).contains("B1:1-6"));
        let spoken = spoken::write(&arrangement);
        assert!(
            spoken.contains("barre at fret 1, strings 6 to 1;"),
            "{spoken}"
        );
    }

    #[test]
    fn the_same_finger_slides_and_another_one_hammers_on_or_pulls_off() {
        let ways = |arrangement: &Arrangement| -> Vec<Way> {
            let slurs = slurs(&arrangement.plucks).into_iter();
            slurs.flatten().map(|s| s.way).collect()
        };
        let mut arrangement = fixture::round();
        assert_eq!(ways(&arrangement), [Way::SlideDown, Way::HammerOn]);
        let last = (arrangement.plucks.iter()).rposition(|p| p.technique == Technique::Slur);
        arrangement.plucks[last.unwrap()].left = 1;
        assert_eq!(ways(&arrangement), [Way::SlideDown, Way::SlideUp]);
        let score = musicxml::write(&arrangement);
        assert_eq!(score.matches("<slide type=\"start\"").count(), 4);
        assert!(!score.contains("hammer-on") && !score.contains("pull-off"));
        let sheet = sheet::Booklet::of(std::slice::from_ref(&arrangement));
        let sheet = sheet.lay_out(sheet::Options::default()).svg();
        assert!(sheet.contains("a slanted") && !sheet.contains("hammered"));
    }
}
