//! The named costs: what the hands pay and what the music loses, in one table.
//!
//! All amounts are whole thousandths of an **effort**; one effort is about what it costs to move the
//! hand by one fret in the first position within half a second. Nothing here is negative: what is
//! good (an open string, a finger that stays) is a cost not paid. Whole numbers keep the optimum
//! exact, so that another solver can be held against it to the last digit.
//!
//! The amounts are our own proposal, set by reading arrangements as a teacher would; the literature
//! (sources in `DEVELOPERS.md`) gives the list of difficulties, not their weights.

use std::ops::{AddAssign, Index};

/// A named cost. The first ones are paid by the hands, the others by the music.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cost {
    /// A finger is set down on a string.
    Place,
    /// A finger slides along the string it was on.
    Guide,
    /// A finger leaves one string for another at once, or takes a note over from another finger.
    Jump,
    /// The whole hand moves along the neck.
    Travel,
    /// The grip reaches beyond what is comfortable.
    Stretch,
    /// One finger lies over several strings.
    Barre,
    /// The hand lies above the fifth fret.
    High,
    /// The hand lies above the first position.
    Position,
    /// Fingers are bunched up, or the hand is bent back below the first fret.
    Cramp,
    /// A melody note is let go early.
    MelodyCut,
    /// The melody lies so low that nothing fits below.
    Low,
    /// A bass note is let go early.
    BassCut,
    /// A chord starts without its bass.
    BassMissing,
    /// The bass is not in the lowest octave.
    BassHigh,
    /// The bass is stopped where an open string gives the same note.
    BassStopped,
    /// A fill note is let go early.
    FillCut,
    /// Fewer notes than a full chord.
    Thin,
    /// The chord's third is not heard.
    NoThird,
    /// The chord's seventh is not heard.
    NoSeventh,
    /// The third is heard twice.
    TwoThirds,
    /// Two notes too close together for their depth.
    Mud,
    /// A fill note that does not follow from the chord before.
    Leap,
}

impl Cost {
    /// Every cost in the order of the table.
    pub const ALL: [Cost; 22] = [
        Cost::Place,
        Cost::Guide,
        Cost::Jump,
        Cost::Travel,
        Cost::Stretch,
        Cost::Barre,
        Cost::High,
        Cost::Position,
        Cost::Cramp,
        Cost::MelodyCut,
        Cost::Low,
        Cost::BassCut,
        Cost::BassMissing,
        Cost::BassHigh,
        Cost::BassStopped,
        Cost::FillCut,
        Cost::Thin,
        Cost::NoThird,
        Cost::NoSeventh,
        Cost::TwoThirds,
        Cost::Mud,
        Cost::Leap,
    ];

    /// Whether the hands pay it; otherwise it is a loss to the music.
    pub fn is_effort(self) -> bool {
        (self as usize) < Cost::MelodyCut as usize
    }

    /// Its name, as it stands in JSON.
    pub fn name(self) -> &'static str {
        match self {
            Cost::Place => "place",
            Cost::Guide => "guide",
            Cost::Jump => "jump",
            Cost::Travel => "travel",
            Cost::Stretch => "stretch",
            Cost::Barre => "barre",
            Cost::High => "high",
            Cost::Position => "position",
            Cost::Cramp => "cramp",
            Cost::MelodyCut => "melody_cut",
            Cost::Low => "low",
            Cost::BassCut => "bass_cut",
            Cost::BassMissing => "bass_missing",
            Cost::BassHigh => "bass_high",
            Cost::BassStopped => "bass_stopped",
            Cost::FillCut => "fill_cut",
            Cost::Thin => "thin",
            Cost::NoThird => "no_third",
            Cost::NoSeventh => "no_seventh",
            Cost::TwoThirds => "two_thirds",
            Cost::Mud => "mud",
            Cost::Leap => "leap",
        }
    }
}

/// What each thing costs, in thousandths of an effort.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Costs {
    /// Setting one finger down.
    pub place: i64,
    /// Sliding a finger along its string (the way itself is travel).
    pub guide: i64,
    /// A finger changing strings, with half a second of time for it.
    pub jump: i64,
    /// Moving the hand by a millimetre, with half a second of time for it.
    pub travel: i64,
    /// A stretch at the very limit of the hand; grows with the square of the reserve used.
    pub stretch: i64,
    /// Laying a barre.
    pub barre: i64,
    /// Each further string under a barre beyond two.
    pub barre_string: i64,
    /// Each fret that the hand lies above the fifth.
    pub high: i64,
    /// Each fret that the hand lies above the first position, counted from the capo: of two places
    /// that are as good, the one nearer the nut.
    pub position: i64,
    /// Each fret that a finger is bunched up, or the hand bent back below the first fret.
    pub cramp: i64,
    /// A melody note cut by a quarter note.
    pub melody_cut: i64,
    /// Each semitone of a melody note below G3.
    pub low: i64,
    /// A bass note cut by a quarter note.
    pub bass_cut: i64,
    /// A chord without its bass.
    pub bass_missing: i64,
    /// The same where the melody itself sounds the bass note, with nothing under it.
    pub bass_sung: i64,
    /// Each octave of the bass above the lowest one on the instrument.
    pub bass_high: i64,
    /// A stopped bass note that an open string would give: open, it rings longer and leaves the
    /// hand free.
    pub bass_stopped: i64,
    /// A fill note cut by a quarter note.
    pub fill_cut: i64,
    /// Each note missing to a chord of four.
    pub thin: i64,
    /// No third.
    pub no_third: i64,
    /// No seventh; thrice that where a chord that an idea brings has no note of its own.
    pub no_seventh: i64,
    /// A doubled third.
    pub two_thirds: i64,
    /// Two neighbouring notes too close together for their depth.
    pub mud: i64,
    /// A fill note on a string where none rang before.
    pub leap: i64,
    /// Each semitone that a fill note moves on its string (up to `leap`).
    pub lead: i64,
}

impl Default for Costs {
    fn default() -> Costs {
        Costs {
            place: 100,
            guide: 110,
            jump: 350,
            travel: 25,
            stretch: 3_000,
            barre: 900,
            barre_string: 100,
            high: 150,
            position: 15,
            cramp: 400,
            melody_cut: 4_000,
            low: 60,
            bass_cut: 1_500,
            bass_missing: 8_000,
            bass_sung: 2_000,
            bass_high: 900,
            bass_stopped: 300,
            fill_cut: 120,
            thin: 600,
            no_third: 600,
            no_seventh: 500,
            two_thirds: 250,
            mud: 300,
            leap: 80,
            lead: 20,
        }
    }
}

/// The bass's low-interval limits: the lowest MIDI number of the lower note at which an interval of
/// so many semitones (index) still sounds clear. Common practice, from memory of arranging
/// handbooks, which differ by a few semitones among themselves.
const CLEAR_ABOVE: [i32; 12] = [0, 52, 51, 48, 46, 46, 46, 34, 43, 41, 41, 41];

/// Whether an interval of `semitones` over `lower` (MIDI) is muddy.
pub(crate) fn is_muddy(lower: i32, semitones: i32) -> bool {
    usize::try_from(semitones)
        .ok()
        .and_then(|i| CLEAR_ABOVE.get(i))
        .is_some_and(|&limit| lower < limit)
}

/// Something that takes up named amounts: their sum alone for the search, or each by name.
pub(crate) trait Tally {
    /// Takes up `amount` thousandths under `cost`.
    fn add(&mut self, cost: Cost, amount: i64);
}

impl Tally for i64 {
    #[inline]
    fn add(&mut self, _: Cost, amount: i64) {
        *self += amount;
    }
}

/// Amounts by name, in thousandths of an effort.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Price([i64; Cost::ALL.len()]);

impl Price {
    /// All of it added up.
    pub fn total(&self) -> i64 {
        self.0.iter().sum()
    }

    /// What the hands pay.
    pub fn effort(&self) -> i64 {
        self.items()
            .filter(|(c, _)| c.is_effort())
            .map(|(_, a)| a)
            .sum()
    }

    /// The amounts that are not zero, in the order of the table.
    pub fn items(&self) -> impl Iterator<Item = (Cost, i64)> + '_ {
        Cost::ALL
            .into_iter()
            .map(|c| (c, self[c]))
            .filter(|&(_, amount)| amount != 0)
    }
}

impl Price {
    /// What is paid here beyond `other`, by name.
    pub(crate) fn less(&self, other: &Price) -> Price {
        let mut price = *self;
        price.0.iter_mut().zip(other.0).for_each(|(a, b)| *a -= b);
        price
    }
}

impl Tally for Price {
    fn add(&mut self, cost: Cost, amount: i64) {
        self.0[cost as usize] += amount;
    }
}

impl Index<Cost> for Price {
    type Output = i64;

    fn index(&self, cost: Cost) -> &i64 {
        &self.0[cost as usize]
    }
}

impl AddAssign for Price {
    fn add_assign(&mut self, other: Price) {
        for (mine, theirs) in self.0.iter_mut().zip(other.0) {
            *mine += theirs;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_their_own_and_in_order() {
        for (i, cost) in Cost::ALL.into_iter().enumerate() {
            assert_eq!(cost as usize, i);
        }
        let mut names: Vec<_> = Cost::ALL.iter().map(|c| c.name()).collect();
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), Cost::ALL.len());
    }

    #[test]
    fn a_price_adds_up() {
        let mut price = Price::default();
        price.add(Cost::Jump, 300);
        price.add(Cost::BassCut, 200);
        let mut twice = price;
        twice += price;
        assert_eq!((twice.total(), twice.effort()), (1000, 600));
        assert_eq!(twice.items().count(), 2);
    }

    #[test]
    fn close_notes_are_muddy_only_low_down() {
        assert!(is_muddy(40, 4), "E2 with G sharp 2");
        assert!(!is_muddy(40, 7), "E2 with B2");
        assert!(!is_muddy(52, 4), "E3 with G sharp 3");
        assert!(!is_muddy(40, 15));
    }
}
