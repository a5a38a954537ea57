//! The best bass line over many chords at once: dynamic programming over the notes that each place
//! may have, with the direction of the line in the state. Exact for the costs below, and held against
//! trying every line.

use super::super::cost::is_muddy;
use crate::theory::{Chord, Key, Letter, Name};

/// A place where a bass note falls.
#[derive(Debug, Clone)]
pub(crate) struct Spot<'a> {
    pub chord: &'a Chord,
    pub key: &'a Key,
    /// A chord starts here, so that a chord tone is asked for.
    pub starts: bool,
    /// The song or a part of it starts or ends here, or what comes counts on it: the chord's own bass.
    pub firm: bool,
    /// The bass lies below this MIDI number.
    pub ceiling: i32,
    /// The melody note that sounds, if one does.
    pub melody: Option<i32>,
}

/// What a line costs, in thousandths of an effort. Proposals, common practice without a source: the
/// root is safest where a chord starts, a bass moves by step, and goes on as it began.
const TONES: [(u8, i64); 4] = [(1, 0), (3, 350), (5, 900), (7, 800)];
/// Another note than the chord's own where it should stand firm.
const LOOSE: i64 = 2_500;
/// A tone of the key that is not in the chord, between two chords.
const IN_KEY: i64 = 150;
/// A tone outside the key, between two chords; it must move on by a semitone.
const CHROMATIC: i64 = 350;
const STRAY: i64 = 2_500;
const STAYS: i64 = 1_300;
const LEAPS: i64 = 400;
const LEAP: i64 = 90;
const TURNS: i64 = 250;
/// Each semitone above the lowest octave.
const HIGH: i64 = 60;
const MUD: i64 = 300;

/// How far above the instrument's lowest note a bass line goes: an octave and a fifth.
const RANGE: i32 = 19;

/// Which way a line moves: down, nowhere yet, up.
const WAYS: [i32; 3] = [-1, 0, 1];

/// A note of a line with the way it was come to.
type State = (i32, i32);

/// The notes that a place may have, with what each costs there. A place that has none, since the
/// melody lies too low, has the instrument's lowest note of the chord's bass.
pub(crate) fn choices(spot: &Spot, lowest: i32) -> Vec<(i32, i64)> {
    let top = (lowest + RANGE).min(spot.ceiling - 1);
    let cost = |midi: i32| {
        let high = HIGH * i64::from((midi - lowest - 11).max(0));
        let mud = spot.melody.is_some_and(|m| is_muddy(midi, m - midi));
        let own = own_cost(spot, midi)?;
        let loose = spot.firm && midi.rem_euclid(12) != spot.chord.bass_name().class();
        Some(own + high + MUD * i64::from(mud) + LOOSE * i64::from(loose))
    };
    let mut all: Vec<(i32, i64)> = (lowest..=top).filter_map(|m| Some((m, cost(m)?))).collect();
    if all.is_empty() {
        let class = spot.chord.bass_name().class();
        all.push((lowest + (class - lowest).rem_euclid(12), 0));
    }
    all
}

/// What a note costs by its place in chord and key; `None` where it may not be.
fn own_cost(spot: &Spot, midi: i32) -> Option<i64> {
    let class = midi.rem_euclid(12);
    let chord = spot.chord;
    if chord.bass_name().class() == class {
        return Some(0);
    }
    // A written slash bass is part of the song.
    if spot.starts && chord.bass.is_some() {
        return None;
    }
    let tone = chord.tone_of(class);
    let known = tone.and_then(|t| TONES.iter().find(|(d, _)| *d == t.degree));
    match (known, spot.starts) {
        (Some(&(_, cost)), true) => Some(cost),
        (Some(&(_, cost)), false) => Some(cost / 3),
        (None, true) => None,
        (None, false) if in_key(spot.key, class) => Some(IN_KEY),
        (None, false) => Some(CHROMATIC),
    }
}

fn in_key(key: &Key, class: i32) -> bool {
    let own = |l: Letter| Name::new(l, key.alter(l)).class();
    Letter::ALL.into_iter().any(|l| own(l) == class)
}

/// Whether a note at a place is there only to lead on: neither chord nor key has it.
fn leads(spot: &Spot, midi: i32) -> bool {
    let class = midi.rem_euclid(12);
    !spot.chord.is_tone(class)
        && spot.chord.bass_name().class() != class
        && !in_key(spot.key, class)
}

/// What it costs to move from one note to the next, the line having come to the first by `way`.
pub(crate) fn moving(from: (&Spot, State), to: i32) -> i64 {
    let (spot, (midi, way)) = from;
    let by = to - midi;
    let step = match by.abs() {
        0 => STAYS,
        1 | 2 => 0,
        n => LEAPS + LEAP * i64::from(n),
    };
    let stray = leads(spot, midi) && by.abs() != 1;
    let turn = way != 0 && by != 0 && by.signum() != way && by.abs() <= 2;
    step + STRAY * i64::from(stray) + TURNS * i64::from(turn)
}

/// The best line over some places, from the bass before them and on to the one after, with its cost.
/// Of lines that cost the same, the lower one.
pub(crate) fn best_line(
    spots: &[Spot],
    lowest: i32,
    (before, after): (Option<i32>, Option<i32>),
) -> Option<(i64, Vec<i32>)> {
    let first = spots.first()?;
    let choices: Vec<Vec<(i32, i64)>> = spots.iter().map(|s| choices(s, lowest)).collect();
    // For each place: note, way, cost so far, and the state it comes from.
    let mut table: Vec<Vec<(State, i64, usize)>> = Vec::with_capacity(spots.len());
    let start = |&(midi, own): &(i32, i64)| {
        let way = before.map_or(0, |b| (midi - b).signum());
        let step = before.map_or(0, |b| moving((first, (b, 0)), midi).min(LEAPS + 12 * LEAP));
        ((midi, way), own + step, 0)
    };
    table.push(choices[0].iter().map(start).collect());
    for (i, list) in choices.iter().enumerate().skip(1) {
        let mut row: Vec<(State, i64, usize)> = Vec::new();
        for &(midi, own) in list {
            for way in WAYS {
                let come = (table[i - 1].iter().enumerate())
                    .filter(|(_, (state, ..))| (midi - state.0).signum() == way)
                    .map(|(k, (state, so_far, _))| {
                        (so_far + own + moving((&spots[i - 1], *state), midi), k)
                    })
                    .min();
                row.extend(come.map(|(cost, k)| ((midi, way), cost, k)));
            }
        }
        table.push(row);
    }
    let last = spots.last()?;
    let end = |state: State| after.map_or(0, |a| moving((last, state), a));
    let row = table.last()?;
    let best = (0..row.len()).min_by_key(|&k| (row[k].1 + end(row[k].0), row[k].0))?;
    let total = row[best].1 + end(row[best].0);
    let (mut k, mut notes) = (best, Vec::with_capacity(spots.len()));
    for row in table.iter().rev() {
        let (state, _, back) = row.get(k)?;
        notes.push(state.0);
        k = *back;
    }
    notes.reverse();
    Some((total, notes))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::{Mode, Symbol};
    use proptest::prelude::*;

    const LOWEST: i32 = 40;

    fn chord(text: &str) -> Chord {
        match Symbol::parse(text) {
            Ok(Symbol::Chord(chord)) => chord,
            other => panic!("{other:?}"),
        }
    }

    fn spots<'a>(chords: &'a [Chord], key: &'a Key, starts: bool) -> Vec<Spot<'a>> {
        (chords.iter())
            .map(|chord| Spot {
                chord,
                key,
                starts,
                firm: false,
                ceiling: 64,
                melody: None,
            })
            .collect()
    }

    fn c_major() -> Key {
        Key::new(Name::new(Letter::C, 0), Mode::Major)
    }

    /// IV, II, V, III, vi with major II and III: the bass rises by semitones through root, third,
    /// root, third, root (common practice, no source).
    #[test]
    fn the_rising_chromatic_line_is_found() {
        let chords = ["F", "D", "G", "E", "Am"].map(chord);
        let key = c_major();
        let line = best_line(&spots(&chords, &key, true), LOWEST, (None, None));
        assert_eq!(line.unwrap().1, [41, 42, 43, 44, 45], "F F♯ G G♯ A");
    }

    #[test]
    fn a_falling_line_goes_down_the_scale() {
        let chords = ["C", "G", "Am", "Em", "F", "C"].map(chord);
        let key = c_major();
        let line = best_line(&spots(&chords, &key, true), LOWEST, (None, None))
            .unwrap()
            .1;
        assert_eq!(line, [48, 47, 45, 43, 41, 40], "C B A G F E");
    }

    #[test]
    fn a_place_prices_its_notes_by_chord_octave_and_mud() {
        let (chord, key) = (chord("C"), c_major());
        let spot = Spot {
            firm: true,
            melody: Some(43),
            ..spots(std::slice::from_ref(&chord), &key, true)[0].clone()
        };
        let [third, fifth] = [350, 900].map(|own| own + LOOSE);
        let wanted = [
            (40, third + MUD),
            (43, fifth),
            (48, 0),
            (52, third + HIGH),
            (55, fifth + 4 * HIGH),
        ];
        assert_eq!(choices(&spot, LOWEST), wanted, "E2 G2 C3 E3 G3");
    }

    #[test]
    fn a_place_under_the_lowest_melody_has_the_chords_own_bass() {
        let (chord, key) = (chord("D/A"), c_major());
        let spot = Spot {
            ceiling: LOWEST,
            ..spots(std::slice::from_ref(&chord), &key, true)[0].clone()
        };
        assert_eq!(choices(&spot, LOWEST), [(45, 0)]);
    }

    #[test]
    fn a_note_of_neither_chord_nor_key_moves_on_by_a_semitone() {
        let key = c_major();
        for (name, midi, strays) in [
            ("C", 42, true),
            ("C", 41, false),
            ("C", 43, false),
            ("D7", 42, false),
            ("C/F#", 42, false),
        ] {
            let chord = chord(name);
            let spot = &spots(std::slice::from_ref(&chord), &key, false)[0];
            let stray = if strays { STRAY } else { 0 };
            assert_eq!(
                moving((spot, (midi, 0)), midi + 2),
                stray,
                "{midi} over {name}"
            );
            assert_eq!(moving((spot, (midi, 0)), midi + 1), 0, "{midi} over {name}");
        }
    }

    /// Every line, one note of each place after another.
    fn least_of_all(spots: &[Spot], ends: (Option<i32>, Option<i32>)) -> i64 {
        fn go(spots: &[Spot], i: usize, state: State, so_far: i64, after: Option<i32>) -> i64 {
            if i == spots.len() {
                return so_far + after.map_or(0, |a| moving((&spots[i - 1], state), a));
            }
            (choices(&spots[i], LOWEST).into_iter())
                .map(|(midi, own)| {
                    let step = moving((&spots[i - 1], state), midi);
                    let next = (midi, (midi - state.0).signum());
                    go(spots, i + 1, next, so_far + own + step, after)
                })
                .min()
                .unwrap()
        }
        (choices(&spots[0], LOWEST).into_iter())
            .map(|(midi, own)| {
                let step = ends.0.map_or(0, |b| {
                    moving((&spots[0], (b, 0)), midi).min(LEAPS + 12 * LEAP)
                });
                let way = ends.0.map_or(0, |b| (midi - b).signum());
                go(spots, 1, (midi, way), own + step, ends.1)
            })
            .min()
            .unwrap()
    }

    proptest! {
        #![proptest_config(crate::properties::cases(60))]

        #[test]
        fn no_line_costs_less(
            names in prop::collection::vec(
                prop::sample::select(vec!["C", "G7", "Am", "F", "D/F#", "Bdim", "E7"]), 1..=4),
            starts in prop::collection::vec(any::<bool>(), 4),
            ceiling in 44..70i32,
            before in prop::option::of(40..55i32),
            after in prop::option::of(40..55i32),
        ) {
            let chords: Vec<Chord> = names.iter().map(|n| chord(n)).collect();
            let key = c_major();
            let mut spots = spots(&chords, &key, true);
            for (spot, starts) in spots.iter_mut().zip(starts) {
                spot.starts = starts;
                spot.firm = !starts && ceiling % 2 == 0;
                spot.ceiling = ceiling;
                spot.melody = Some(ceiling);
            }
            let found = best_line(&spots, LOWEST, (before, after)).unwrap();
            prop_assert_eq!(found.0, least_of_all(&spots, (before, after)));
        }
    }
}
