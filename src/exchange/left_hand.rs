//! What the left hand does over several notes, as the writers show it: barres and slurs.

use crate::arrange::Arrangement;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::{sheet, spoken, tab};
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
}
