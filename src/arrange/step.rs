//! The price of one step: from what sounds in one slice to what sounds in the next.
//!
//! The search adds these up; the answer shows them by name. Both go through the same functions.

use super::cost::{Cost, Costs, Tally, is_muddy};
use super::plan::Plan;
use super::shape::{NONE, Shape, Shapes, bits, count};
use super::strokes::Stroke;
use crate::theory::{QUARTER, Ticks};

/// Below this MIDI number (G3) a melody leaves little room for a bass.
const ROOM: i32 = 55;

/// Half a second in milliseconds: the time for which the table's moves are priced.
const HALF_SECOND: i64 = 500;

/// With all the time in the world, moves still cost this many thousandths of what the table says.
pub(crate) const LEAST_HASTE: i64 = 400;

/// A chord that an idea brings, without the note that makes it another one: so many sevenths missing.
const IN_NAME_ONLY: i64 = 3;

/// How much harder moves are with so little time, in thousandths: between 400 and 3 000.
pub(crate) fn haste(millis: i64) -> i64 {
    (HALF_SECOND * 1000 / millis.max(1)).clamp(LEAST_HASTE, 3_000)
}

/// Until when the note on string index `string` of `shape` should sound, where `shape` belongs to
/// the slice `index`.
pub(crate) fn wanted_until(plan: &Plan, index: usize, shape: &Shape, string: usize) -> Ticks {
    let slice = &plan.slices[index];
    if shape.melody == string as u8 {
        slice.sung.map_or(slice.at, |i| plan.melody[i].end)
    } else {
        let (midi, is_bass) = (shape.midi(string), shape.bass == string as u8);
        slice
            .under
            .map_or(slice.at, |i| plan.strokes[i].ring(midi, is_bass))
    }
}

/// What letting go costs: `shape` of slice `index − 1` keeps only the strings of `held` in `index`.
pub(crate) fn price_release(
    plan: &Plan,
    shapes: &Shapes,
    index: usize,
    shape: &Shape,
    held: u8,
    tally: &mut impl Tally,
) {
    let at = plan.slices[index].at;
    for string in shape.strings().filter(|s| held >> s & 1 == 0) {
        let lost = wanted_until(plan, index - 1, shape, string) - at;
        if lost > 0 {
            price_string(shapes.costs, shape, string, lost, tally);
        }
    }
}

/// What cutting the note on string index `string` by `lost` ticks costs.
pub(crate) fn price_string(
    costs: &Costs,
    shape: &Shape,
    string: usize,
    lost: Ticks,
    tally: &mut impl Tally,
) {
    let (cost, a_quarter) = if shape.melody == string as u8 {
        (Cost::MelodyCut, costs.melody_cut)
    } else if shape.bass == string as u8 {
        (Cost::BassCut, costs.bass_cut)
    } else {
        (Cost::FillCut, costs.fill_cut)
    };
    tally.add(cost, a_quarter * lost / QUARTER);
}

/// What leaving one string for another costs a finger.
pub(crate) fn jump(costs: &Costs, haste: i64) -> i64 {
    costs.jump * haste / 1000
}

/// What the fingers pay to come from one shape to the next, where the strings of `struck` are struck
/// and a jump costs `jump`. A note that goes over to another finger costs that one a jump.
#[inline]
pub(crate) fn price_fingers(
    costs: &Costs,
    jump: i64,
    from: &Shape,
    (to, struck): (&Shape, u8),
    tally: &mut impl Tally,
) {
    let (was, now) = (from.spots, to.spots);
    let set_down = now.on(struck);
    let lay = was.on(u8::MAX);
    let same_string = was.on_strings_of(now);
    let busy = lay | now.on(struck & from.by_other_fingers(to));
    tally.add(Cost::Place, costs.place * count(set_down & !busy));
    tally.add(Cost::Jump, jump * count(set_down & busy & !same_string));
    let moved = set_down & same_string & was.elsewhere_than(now);
    tally.add(Cost::Guide, costs.guide * count(moved));
}

/// What the music loses in how a stroke is voiced, apart from what came before.
pub(crate) fn price_voicing(
    shapes: &Shapes,
    stroke: &Stroke,
    shape: &Shape,
    tally: &mut impl Tally,
) {
    if stroke.silent {
        return;
    }
    let costs = shapes.costs;
    let mut midis = [0i32; crate::guitar::MAX_STRINGS];
    let mut count = 0;
    for string in shape.strings() {
        midis[count] = stroke.sounding(shape, string);
        count += 1;
    }
    let midis = &mut midis[..count];
    let has = |class: i32| midis.iter().filter(|m| m.rem_euclid(12) == class).count();
    if stroke.bassless {
        // Nothing is missing.
    } else if shape.bass == NONE {
        let missing = match stroke.is_bass_sung(shape) {
            true => costs.bass_sung,
            false => costs.bass_missing,
        };
        tally.add(Cost::BassMissing, missing);
    } else {
        price_bass(shapes, stroke, shape, tally);
    }
    // What rings on under a stroke may not count: a state without it must never pay more.
    if stroke.fill.1 == 0 || stroke.over {
        return;
    }
    let full = i64::from(stroke.notes);
    tally.add(Cost::Thin, costs.thin * (full - count as i64).max(0));
    if let Some(third) = stroke.third {
        match has(third) {
            0 => tally.add(Cost::NoThird, costs.no_third),
            1 => {}
            _ => tally.add(Cost::TwoThirds, costs.two_thirds),
        }
    }
    if let Some(seventh) = stroke.seventh
        && has(seventh) == 0
    {
        tally.add(Cost::NoSeventh, costs.no_seventh);
    }
    if stroke.brought != 0 && !midis.iter().any(|&m| stroke.brings(m)) {
        tally.add(Cost::NoSeventh, IN_NAME_ONLY * costs.no_seventh);
    }
    midis.sort_unstable();
    let muddy = midis
        .windows(2)
        .filter(|w| is_muddy(w[0], w[1] - w[0]))
        .count();
    tally.add(Cost::Mud, costs.mud * muddy as i64);
}

/// Where on the instrument a stroke's bass is struck.
fn price_bass(shapes: &Shapes, stroke: &Stroke, shape: &Shape, tally: &mut impl Tally) {
    let (costs, instrument) = (shapes.costs, shapes.instrument);
    let midi = shape.midi(shape.bass.into());
    if stroke.bass_midi.is_none() {
        let octaves = (midi - lowest_of_class(shapes, stroke.bass)) / 12;
        tally.add(Cost::BassHigh, costs.bass_high * i64::from(octaves));
    }
    let stopped = shape.grip.frets[usize::from(shape.bass)] > 0;
    if stopped && (1..=instrument.strings() as u8).any(|s| instrument.sounding(s, 0) == midi) {
        tally.add(Cost::BassStopped, costs.bass_stopped);
    }
}

/// How the fill notes struck follow from what rang before on their strings.
#[inline]
pub(crate) fn price_leading(costs: &Costs, from: &Shape, to: &Shape, tally: &mut impl Tally) {
    let rang = from.fills;
    for string in bits(to.fills) {
        let moved = if rang >> string & 1 == 1 {
            let frets = to.grip.frets[string] - from.grip.frets[string];
            (costs.lead * i64::from(frets.abs())).min(costs.leap)
        } else {
            costs.leap
        };
        tally.add(Cost::Leap, moved);
    }
}

/// What a low melody note costs wherever it is played.
pub(crate) fn price_depth(plan: &Plan, costs: &Costs, index: usize, tally: &mut impl Tally) {
    if let Some(i) = plan.slices[index].melody {
        let under = ROOM - plan.melody[i].pitch.midi();
        tally.add(Cost::Low, costs.low * i64::from(under.max(0)));
    }
}

/// The lowest MIDI number of a pitch class on the instrument.
pub(crate) fn lowest_of_class(shapes: &Shapes, class: i32) -> i32 {
    let lowest = shapes.instrument.lowest();
    lowest + (class - lowest).rem_euclid(12)
}

#[cfg(test)]
mod tests {
    use super::super::cost::Price;
    use super::*;
    use crate::guitar::{Grip, Hand, Instrument};

    /// What the fingers pay from one grip to the next, where the strings of `struck` are struck.
    fn price(from: &[(usize, i8, u8)], to: &[(usize, i8, u8)], struck: u8) -> Price {
        let (instrument, hand) = (Instrument::standard(), Hand::named("medium").unwrap());
        let costs = Costs::default();
        let mut shapes = Shapes::new(&instrument, &hand, &costs);
        let mut shape = |notes: &[(usize, i8, u8)]| {
            let mut grip = Grip::EMPTY;
            for &(string, fret, finger) in notes {
                (grip.frets[string], grip.fingers[string]) = (fret, finger);
            }
            let id = shapes.shape(grip, NONE, NONE).expect("a hand can hold it");
            *shapes.get(id)
        };
        let (from, to) = (shape(from), shape(to));
        let mut price = Price::default();
        price_fingers(&costs, 350, &from, (&to, struck), &mut price);
        price
    }

    #[test]
    fn a_note_struck_again_wants_the_finger_that_lies_there() {
        let by_first = [(1, 1, 1)];
        assert_eq!(price(&by_first, &by_first, 0b10).total(), 0);
        let by_second = price(&by_first, &[(1, 1, 2)], 0b10);
        assert_eq!((by_second[Cost::Jump], by_second.total()), (350, 350));
        let at_another_fret = price(&by_first, &[(1, 2, 2)], 0b10);
        assert_eq!(
            (at_another_fret[Cost::Place], at_another_fret.total()),
            (100, 100)
        );
    }

    #[test]
    fn a_finger_under_a_barre_is_not_taken_over_but_its_own() {
        let barre = [(0, 1, 1), (1, 1, 1), (2, 2, 2)];
        let taken = [(0, 1, 1), (1, 1, 1), (2, 2, 3)];
        assert_eq!(price(&barre, &barre, 0b111).total(), 0);
        assert_eq!(price(&barre, &taken, 0b111)[Cost::Jump], 350);
        // What only rings on has no new finger to pay for.
        assert_eq!(price(&barre, &taken, 0b011).total(), 0);
    }
}
