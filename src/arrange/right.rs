//! The right hand, chosen once the plucks are known: exact over all onsets, one state for each way
//! to pluck the strings of an onset.
//!
//! It comes after the left hand and never changes it: up to four strings can always be plucked one
//! finger a string, so a left-hand answer is never spoilt here.

use crate::guitar::RightFinger;
use crate::guitar::right::{repeat_load, ways};

/// The strings struck at one onset.
#[derive(Debug, Clone)]
pub(crate) struct Onset {
    /// Milliseconds since the onset before; 0 for a knock in between, which counts as none.
    pub millis: i64,
    /// Strings from 1, the lowest-sounding first.
    pub strings: Vec<u8>,
    /// The first of them is a bass note: the thumb's.
    pub bass: bool,
    /// The thumb knocks here, so that it plucks nothing.
    pub knock: bool,
    /// The strings are rolled, one after another from the lowest up.
    pub rolled: bool,
}

/// A finger striking again faster than it can.
const TOO_FAST: i64 = 4_000;
/// A finger striking again as fast as it can.
const FAST: i64 = 1_000;
/// A finger one string off its place.
const OFF_PLACE: i64 = 100;
/// A finger reaching over another from one note to the next.
const CROSSED: i64 = 300;

/// The best right-hand fingers for each onset, in the order of its strings. More than four strings
/// are brushed by the thumb alone; where they are rolled, the fingers take the three on top.
pub(crate) fn right_hand(onsets: &[Onset]) -> Vec<&'static [RightFinger]> {
    // What plucks nothing just takes its time between two onsets that do.
    let mut millis = 0i64;
    let mut plucked = Vec::with_capacity(onsets.len());
    for (index, onset) in onsets.iter().enumerate() {
        millis = millis.saturating_add(onset.millis);
        if !onset.strings.is_empty() {
            plucked.push((index, std::mem::take(&mut millis)));
        }
    }
    let choices: Vec<Ways> = plucked.iter().map(|&(i, _)| choices(&onsets[i])).collect();
    let mut table: Vec<Vec<(i64, usize)>> = Vec::with_capacity(plucked.len());
    for (i, &(index, millis)) in plucked.iter().enumerate() {
        let onset = &onsets[index];
        let best_to = |way: &&'static [RightFinger]| {
            let here = off_place(onset, way);
            let Some(j) = i.checked_sub(1) else {
                return (here, 0);
            };
            let last = &onsets[plucked[j].0];
            let ways = table[j].iter().zip(&choices[j]).enumerate();
            ways.map(|(k, ((cost, _), was))| {
                (cost + here + change(millis, (last, was), (onset, way)), k)
            })
            .min()
            .unwrap_or((here, 0))
        };
        let row = choices[i].iter().map(best_to).collect();
        table.push(row);
    }
    let mut out = vec![&[][..]; onsets.len()];
    let cheapest = |row: &Vec<(i64, usize)>| (0..row.len()).min_by_key(|&k| row[k].0);
    let mut at = table.last().and_then(cheapest).unwrap_or(0);
    for (i, &(index, _)) in plucked.iter().enumerate().rev() {
        out[index] = choices[i][at];
        at = table[i][at].1;
    }
    out
}

type Ways = Vec<&'static [RightFinger]>;

/// The ways to pluck an onset that has strings to pluck; there is always one.
fn choices(onset: &Onset) -> Ways {
    const BRUSH: &[RightFinger] = &[RightFinger::P; 8];
    let many = onset.strings.len();
    match many {
        ..=4 => {
            let ways = || ways(many).iter().copied();
            let by_thumb = |w: &&[RightFinger]| w[0] == RightFinger::P;
            let bass = |w: &&[RightFinger]| !onset.bass || by_thumb(w);
            let fit: Ways = ways()
                .filter(|w| bass(w) && !(onset.knock && by_thumb(w)))
                .collect();
            // Where no finger is left over for a knock, the thumb does both.
            match fit.is_empty() {
                true => ways().filter(bass).collect(),
                false => fit,
            }
        }
        _ if onset.rolled => vec![swept(many)],
        _ => vec![BRUSH],
    }
}

/// The thumb over all strings but the three on top.
fn swept(strings: usize) -> &'static [RightFinger] {
    use RightFinger::{A, I, M, P};
    const ALL: [RightFinger; 8] = [P, P, P, P, P, I, M, A];
    &ALL[ALL.len().saturating_sub(strings)..]
}

fn off_place(onset: &Onset, way: &[RightFinger]) -> i64 {
    let off = |(f, s): (&RightFinger, &u8)| i64::from(f.off_place(*s)) * OFF_PLACE;
    way.iter().zip(&onset.strings).map(off).sum()
}

fn change(
    millis: i64,
    (last, was): (&Onset, &[RightFinger]),
    (onset, way): (&Onset, &[RightFinger]),
) -> i64 {
    let mut cost = 0;
    let gap = u32::try_from(millis).unwrap_or(u32::MAX);
    for (finger, &string) in way.iter().zip(&onset.strings) {
        for (other, &before) in was.iter().zip(&last.strings) {
            if finger == other {
                cost += repeat_load(gap).map_or(TOO_FAST, |l| i64::from(l) * FAST / 1000);
            } else if (finger > other) != (string < before) && string != before {
                cost += CROSSED;
            }
        }
    }
    cost
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(onsets: &[(i64, &[u8], bool)]) -> String {
        let onsets: Vec<Onset> = onsets
            .iter()
            .map(|&(millis, strings, bass)| Onset {
                millis,
                strings: strings.to_vec(),
                bass,
                knock: false,
                rolled: false,
            })
            .collect();
        let way = |w: &[RightFinger]| w.iter().map(RightFinger::to_string).collect::<String>();
        right_hand(&onsets)
            .into_iter()
            .map(way)
            .collect::<Vec<_>>()
            .join(" ")
    }

    #[test]
    fn a_chord_takes_the_fingers_over_its_strings() {
        assert_eq!(
            written(&[(0, &[6, 3, 2, 1], true), (500, &[5, 3, 2], true)]),
            "pima pim"
        );
    }

    #[test]
    fn by_themselves_the_fingers_stay_over_their_strings() {
        for (strings, bass, wanted) in [
            (&[6, 3, 2, 1][..], true, "pima"),
            (&[5, 3, 2], true, "pim"),
            (&[6, 1], true, "pa"),
            (&[4, 2], true, "pm"),
            (&[3, 2], false, "im"),
            (&[3, 2], true, "pm"),
            (&[2], false, "m"),
            (&[5], false, "p"),
            (&[6, 5, 4, 3], true, "pima"),
            (&[8, 7], true, "pi"),
        ] {
            assert_eq!(written(&[(0, strings, bass)]), wanted, "{strings:?} {bass}");
        }
    }

    #[test]
    fn quick_notes_on_one_string_change_fingers() {
        let quick = written(&[(0, &[1], false), (120, &[1], false), (120, &[1], false)]);
        let fingers: Vec<&str> = quick.split(' ').collect();
        assert!(
            fingers[0] != fingers[1] && fingers[1] != fingers[2],
            "{quick}"
        );
    }

    #[test]
    fn slow_notes_keep_the_finger_over_the_string() {
        assert_eq!(
            written(&[(0, &[1], false), (600, &[2], false), (600, &[1], false)]),
            "a m a"
        );
    }

    #[test]
    fn a_wide_chord_is_brushed() {
        assert_eq!(written(&[(0, &[6, 5, 4, 3, 2], true)]), "pppppppp");
    }

    #[test]
    fn a_rolled_chord_ends_with_the_fingers_and_a_knock_takes_the_thumb() {
        let onset = |strings: &[u8], knock, rolled| Onset {
            millis: 0,
            strings: strings.to_vec(),
            bass: rolled,
            knock,
            rolled,
        };
        let fingers = |onset| {
            let ways = right_hand(&[onset]);
            ways[0]
                .iter()
                .map(RightFinger::to_string)
                .collect::<String>()
        };
        assert_eq!(fingers(onset(&[6, 5, 4, 3, 2], false, true)), "ppima");
        assert_eq!(fingers(onset(&[4], true, false)), "i");
        assert_eq!(fingers(onset(&[6, 4, 2, 1], true, false)), "pima");
    }

    #[test]
    fn nothing_struck_changes_nothing_around_it() {
        assert_eq!(written(&[]), "");
        assert_eq!(
            written(&[(0, &[1], false), (500, &[], false), (500, &[2], false)]),
            "a  m"
        );
        let quick = written(&[(0, &[1], false), (0, &[], false), (90, &[1], false)]);
        let fingers: Vec<&str> = quick.split("  ").collect();
        assert_ne!(fingers[0], fingers[1], "{quick}");
    }
}
