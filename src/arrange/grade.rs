//! One dial from beginner to concert: the same song at three grades.
//!
//! A grade caps what a hand may be asked for; within that, the arrangement is the best there is, by
//! the same exact search.

use super::solve::{Lean, Options};
use crate::guitar::{Hand, Span};

/// How much a player is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Grade {
    /// No stretch beyond comfort, a barre only where nothing else gives the tune, small chords, few
    /// quick changes.
    First,
    /// Half of the reserve of a stretch, barres at thrice their price.
    Middle,
    /// All that the hand can do, fuller chords.
    Concert,
}

impl Grade {
    /// All of them, the easiest first.
    pub const ALL: [Grade; 3] = [Grade::First, Grade::Middle, Grade::Concert];

    /// The hand with its reserve capped: no grip needs more than this.
    pub fn hand(self, hand: &Hand) -> Hand {
        let mut capped = hand.clone();
        for span in capped.spans.iter_mut().flatten() {
            *span = self.span(*span);
        }
        capped
    }

    fn span(self, span: Span) -> Span {
        let reserve = span.largest - span.comfortable;
        let kept = match self {
            Grade::First => 0,
            Grade::Middle => reserve / 2,
            Grade::Concert => reserve,
        };
        // The largest span stays above the comfortable one, by a tenth of a millimetre if need be.
        let least = i32::from(reserve > 0);
        Span {
            largest: span.comfortable + kept.max(least),
            ..span
        }
    }

    /// The options with the prices of the grade.
    pub fn options(self, options: &Options) -> Options {
        let mut options = options.clone();
        let costs = &mut options.costs;
        match self {
            Grade::First => {
                options.lean = Lean::Easy;
                // More than all a chord could lose: laid only where no other grip has the tune.
                costs.barre = costs.barre.max(1) * 40;
                costs.jump *= 3;
                costs.place *= 3;
            }
            Grade::Middle => {
                options.lean = Lean::Even;
                costs.barre *= 3;
            }
            Grade::Concert => options.lean = Lean::Full,
        }
        options
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::arrange::{Arrangement, arrange};
    use crate::guitar::Instrument;
    use crate::song::{Song, SongFile};

    fn song() -> Song {
        let text = include_str!("../../songs/lamps-along-the-quay.toml");
        SongFile::parse(text).unwrap().1
    }

    fn at(grade: Grade) -> Arrangement {
        let hand = grade.hand(&Hand::named("medium").unwrap());
        let options = grade.options(&Options::default());
        arrange(&song(), &Instrument::standard(), &hand, &options).unwrap()
    }

    #[test]
    fn a_grade_keeps_a_part_of_the_reserve_and_the_span_stays_one() {
        let span = |comfortable, largest| Span {
            comfortable,
            largest,
        };
        let capped = |s: Span| Grade::ALL.map(|g| g.span(s).largest);
        assert_eq!(capped(span(600, 900)), [601, 750, 900]);
        assert_eq!(capped(span(600, 601)), [601, 601, 601]);
        assert_eq!(capped(span(600, 600)), [600, 600, 600]);
    }

    #[test]
    fn a_grade_multiplies_what_a_hand_is_spared() {
        let own = Options::default();
        let [first, middle, concert] = Grade::ALL.map(|g| g.options(&own));
        let of = |o: &Options| (o.lean, o.costs.barre, o.costs.jump, o.costs.place);
        let (_, barre, jump, place) = of(&own);
        assert_eq!(of(&first), (Lean::Easy, 40 * barre, 3 * jump, 3 * place));
        assert_eq!(of(&middle), (Lean::Even, 3 * barre, jump, place));
        assert_eq!(of(&concert), (Lean::Full, barre, jump, place));
    }

    #[test]
    fn each_grade_keeps_its_caps_and_asks_for_more_than_the_one_before() {
        let hand = Hand::named("medium").unwrap();
        let made = Grade::ALL.map(at);
        for slice in &made[0].slices {
            let Some(stretch) = slice.stretch else {
                continue;
            };
            let span = hand.span(stretch.fingers.0, stretch.fingers.1);
            assert!(stretch.distance <= span.comfortable + 1, "{stretch:?}");
        }
        let barres = |a: &Arrangement| {
            a.slices
                .iter()
                .filter(|s| s.grip.barres().next().is_some())
                .count()
        };
        assert_eq!(barres(&made[0]), 0);
        let notes = made.each_ref().map(|a| a.plucks.len());
        assert!(notes[0] < notes[1] && notes[1] <= notes[2], "{notes:?}");
        let worst = made.each_ref().map(|a| {
            a.slices
                .iter()
                .filter_map(|s| s.stretch)
                .map(|s| s.percent)
                .max()
        });
        assert!(worst[0] < worst[2], "{worst:?}");
    }
}
