//! The one fixed spelling of a chord, made from its tones.

use super::chord::Tone;

/// A chord that has a spelling of its own: suffix and tones above the root, as (degree, semitones).
type Base = (&'static str, &'static [(u8, u8)]);

/// Where two spellings need equally many changes the earlier one is taken.
const BASES: [Base; 33] = [
    ("", &[(3, 4), (5, 7)]),
    ("m", &[(3, 3), (5, 7)]),
    ("5", &[(5, 7)]),
    ("dim", &[(3, 3), (5, 6)]),
    ("+", &[(3, 4), (5, 8)]),
    ("6", &[(3, 4), (5, 7), (6, 9)]),
    ("m6", &[(3, 3), (5, 7), (6, 9)]),
    ("6/9", &[(3, 4), (5, 7), (6, 9), (9, 14)]),
    ("m6/9", &[(3, 3), (5, 7), (6, 9), (9, 14)]),
    ("7", &[(3, 4), (5, 7), (7, 10)]),
    ("maj7", &[(3, 4), (5, 7), (7, 11)]),
    ("m7", &[(3, 3), (5, 7), (7, 10)]),
    ("m7♭5", &[(3, 3), (5, 6), (7, 10)]),
    ("dim7", &[(3, 3), (5, 6), (7, 9)]),
    ("m(maj7)", &[(3, 3), (5, 7), (7, 11)]),
    ("dim(maj7)", &[(3, 3), (5, 6), (7, 11)]),
    ("9", &[(3, 4), (5, 7), (7, 10), (9, 14)]),
    ("maj9", &[(3, 4), (5, 7), (7, 11), (9, 14)]),
    ("m9", &[(3, 3), (5, 7), (7, 10), (9, 14)]),
    ("m9♭5", &[(3, 3), (5, 6), (7, 10), (9, 14)]),
    ("dim9", &[(3, 3), (5, 6), (7, 9), (9, 14)]),
    ("m(maj9)", &[(3, 3), (5, 7), (7, 11), (9, 14)]),
    ("11", &[(5, 7), (7, 10), (9, 14), (11, 17)]),
    ("maj11", &[(5, 7), (7, 11), (9, 14), (11, 17)]),
    ("m11", &[(3, 3), (5, 7), (7, 10), (9, 14), (11, 17)]),
    ("m11♭5", &[(3, 3), (5, 6), (7, 10), (9, 14), (11, 17)]),
    ("dim11", &[(3, 3), (5, 6), (7, 9), (9, 14), (11, 17)]),
    ("m(maj11)", &[(3, 3), (5, 7), (7, 11), (9, 14), (11, 17)]),
    ("13", &[(3, 4), (5, 7), (7, 10), (9, 14), (13, 21)]),
    ("maj13", &[(3, 4), (5, 7), (7, 11), (9, 14), (13, 21)]),
    ("m13", &[(3, 3), (5, 7), (7, 10), (9, 14), (11, 17), (13, 21)]),
    ("m13♭5", &[(3, 3), (5, 6), (7, 10), (9, 14), (11, 17), (13, 21)]),
    ("m(maj13)", &[(3, 3), (5, 7), (7, 11), (9, 14), (11, 17), (13, 21)]),
];

/// What is written after the root: the spelling with the fewest changes to a base.
pub(super) fn suffix(tones: &[Tone]) -> String {
    BASES
        .iter()
        .filter_map(|base| Some((base.0, changes(base.1, tones)?)))
        .min_by_key(|(_, changes)| changes.cost())
        .map(|(base, changes)| changes.write(base))
        .unwrap_or_default()
}

#[derive(Default)]
struct Changes {
    suspended: Vec<String>,
    altered: Vec<String>,
    added: Vec<String>,
    omitted: Vec<String>,
}

impl Changes {
    fn cost(&self) -> usize {
        self.suspended.len() + self.altered.len() + self.added.len() + self.omitted.len()
    }

    /// Suspensions follow the base, one addition too; anything else stands in brackets.
    fn write(self, base: &str) -> String {
        let mut text = format!("{base}{}", self.suspended.concat());
        if let (1, [only]) = (self.cost(), self.added.as_slice()) {
            return text + only;
        }
        let list = [self.altered, self.added, self.omitted].concat();
        if !list.is_empty() {
            text += &format!("({})", list.join(","));
        }
        text
    }
}

/// What turns a base into `tones`; None when it can't be written so.
fn changes(base: &[(u8, u8)], tones: &[Tone]) -> Option<Changes> {
    let base: Vec<Tone> = base.iter().map(|&(d, s)| Tone::new(d, s)).collect();
    let wanted = |degree| tones.iter().filter(move |t| t.degree == degree);
    let in_base = |degree| base.iter().find(|t| t.degree == degree);
    let mut changes = Changes::default();

    changes.suspended = tones
        .iter()
        .filter(|t| matches!(t.degree, 2 | 4))
        .map(|t| format!("sus{t}"))
        .collect();

    for tone in &base {
        if tones.contains(tone) {
            continue;
        }
        let replaced = wanted(tone.degree).next().is_some();
        match tone.degree {
            3 if replaced => return None,
            3 if !changes.suspended.is_empty() => {}
            5 if replaced && tone.semitones != 7 => return None,
            9 | 11 | 13 | 5 if replaced => {}
            3 | 5 => changes.omitted.push(format!("no{}", tone.degree)),
            _ => return None,
        }
    }
    for tone in tones {
        if base.contains(tone) || matches!(tone.degree, 1 | 2 | 4) {
            continue;
        }
        let natural = tone.semitones == Tone::natural(tone.degree);
        match tone.degree {
            3 | 7 => return None,
            5 if natural => return None,
            _ if natural => changes.added.push(format!("add{tone}")),
            // An alteration takes the place of a stacked natural; beside one it is an addition.
            degree if in_base(degree).is_some_and(|t| tones.contains(t)) && degree != 5 => {
                changes.added.push(format!("add{tone}"));
            }
            _ => changes.altered.push(tone.to_string()),
        }
    }
    Some(changes)
}
