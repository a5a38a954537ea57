//! The fourth layer held against trying everything.

use super::*;
use crate::song::{BassNote, Doubling, Figure, Idea};

impl Everything<'_> {
    /// The strings held from `before` for each way in which `shape` may follow it. Where something is
    /// struck over what rings, a string may be held or struck again.
    pub(super) fn follows_in_every_way(
        &self,
        index: usize,
        before: &Shape,
        shape: &Shape,
    ) -> Vec<u8> {
        let stroke = self.plan.slices[index].stroke;
        let Some(stroke) = stroke.map(|i| &self.plan.strokes[i]).filter(|s| s.over) else {
            return Vec::from_iter(self.follows(index, before, shape));
        };
        let at = self.plan.slices[index].at;
        let rings = |s: usize| {
            index > 0
                && before.grip.frets[s] == shape.grip.frets[s]
                && before.grip.fingers[s] == shape.grip.fingers[s]
                && (before.melody == s as u8) == (shape.melody == s as u8)
                && (before.bass == s as u8) == (shape.bass == s as u8)
                && wanted_until(self.plan, index - 1, before, s) > at
        };
        let tune = shape.tune();
        let tune_struck = self.plan.slices[index].melody.is_some();
        let others = shape.sounding & !tune;
        // One note of a broken chord, or the bass.
        let choices: Vec<u8> = match stroke.bassless {
            true => (0..STRINGS).map(|s| 1 << s).collect(),
            false => vec![if shape.bass == NONE {
                0
            } else {
                1 << shape.bass
            }],
        };
        (choices.into_iter())
            .filter(|struck| struck & !others == 0)
            .map(|struck| {
                (
                    shape.sounding & !struck & !(if tune_struck { tune } else { 0 }),
                    struck,
                )
            })
            .filter(|&(held, struck)| {
                (0..STRINGS).filter(|s| held >> s & 1 == 1).all(rings)
                    && self.strikes(stroke, shape, (held, struck))
            })
            .map(|(held, _)| held)
            .collect()
    }

    /// Whether a stroke over what rings may strike the strings of `struck` and hold those of `held`.
    fn strikes(
        &self,
        stroke: &super::super::strokes::Stroke,
        shape: &Shape,
        (held, struck): (u8, u8),
    ) -> bool {
        let strings = || (0..STRINGS).filter(|s| struck >> s & 1 == 1);
        let under_tune = |s: usize| shape.melody == NONE || s > usize::from(shape.melody);
        let bass = usize::from(shape.bass);
        if stroke.bassless {
            let tone = |s: usize| {
                let class = shape.midi(s).rem_euclid(12);
                stroke.chord.is_tone(class) && stroke.only.is_none_or(|c| c == class)
            };
            let good = |s: usize| {
                let over_bass =
                    shape.bass == NONE || (s < bass && shape.midi(s) > shape.midi(bass));
                tone(s) && over_bass && under_tune(s) && shape.midi(s) < stroke.ceiling
            };
            let bass_held = shape.bass == NONE || held >> bass & 1 == 1;
            return struck.count_ones() == 1 && strings().all(good) && bass_held;
        }
        if shape.bass == NONE {
            return struck == 0;
        }
        let midi = shape.midi(bass);
        let lowest = self.shapes.instrument.lowest();
        let lowest = lowest + (stroke.bass - lowest).rem_euclid(12);
        let right = match stroke.bass_midi {
            Some(wanted) => midi == wanted,
            None => midi == lowest || midi == lowest + 12,
        };
        let fills = |s: usize| shape.fills >> s & 1 == 0 || (s < bass && shape.midi(s) > midi);
        struck == 1 << bass
            && right
            && midi < stroke.ceiling
            && under_tune(bass)
            && (0..STRINGS).all(fills)
    }
}

pub(super) fn ideas() -> impl Strategy<Value = Vec<Idea>> {
    let figure = prop_oneof![
        Just(Figure::Beats),
        Just(Figure::Between),
        Just(Figure::Fifths),
        Just(Figure::Breath),
        Just(Figure::Doubled(Doubling::Octave)),
        Just(Figure::Broken(QUARTER / 2)),
        Just(Figure::Hits),
        Just(Figure::Roll(4)),
        (0..7usize).prop_map(|l| Figure::Bass(BassNote {
            name: Name::new(Letter::ALL[l], 0),
            octave: None,
        })),
    ];
    let idea = (0..2usize, 0..3i64, figure).prop_map(|(bar, at, figure)| {
        let at = if matches!(figure, Figure::Bass(_)) {
            at * QUARTER / 2
        } else {
            0
        };
        Idea::new(bar, at, figure)
    });
    prop::collection::vec(idea, 1..=3)
}

pub(super) fn coloured(
    bars: &[Vec<(i32, i64)>],
    chords: &[Chord],
    tempo: u32,
    ideas: Vec<Idea>,
) -> Song {
    let mut song = song(bars, chords, tempo);
    song.ideas = ideas;
    song.ideas
        .retain(|i| i.bar < song.bars.len() && i.at < song.bars[i.bar].length);
    song
}

proptest! {
    #![proptest_config(crate::properties::cases(50))]

    #[test]
    fn colour_is_optimal(bars in bars(), chords in chords(), ideas in ideas(), tempo in 40..200u32) {
        let song = coloured(&bars, &chords, tempo, ideas);
        compare(&song, Layer::Colour, Measure::Sum { cap: NEVER });
    }
}

proptest! {
    #![proptest_config(crate::properties::cases(60))]

    #[test]
    fn dropping_outdone_states_changes_nothing_in_colour(
        bars in tunes(48..=76, 1..=6, 1..=4),
        chords in chords(),
        ideas in ideas(),
        tempo in 40..240u32,
    ) {
        prop_assume!(bars.iter().flatten().any(|n| n.0 > 0));
        let song = coloured(&bars, &chords, tempo, ideas);
        let (with, without) = with_and_without(&song, Layer::Colour);
        prop_assert_eq!(with, without);
    }
}
