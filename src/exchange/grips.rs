//! The grips of an arrangement, one for each chord, as chord boxes are made from them: here as text,
//! on paper in `sheet`.

use super::tab::shape;
use super::{ascii_text, plain_text};
use crate::arrange::Arrangement;
use crate::guitar::{Grip, Instrument};
use crate::theory::{Symbol, Ticks};
use std::cmp::Reverse;

/// What the hand holds where a chord starts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gripped {
    /// The chord that sounds.
    pub chord: String,
    /// Behind a capo the chord that is gripped, in brackets.
    pub shape: Option<String>,
    /// The grip used most for it.
    pub grip: Grip,
}

/// A chord while its grips are counted.
struct Counted<'a> {
    symbol: &'a Symbol,
    shape: Option<String>,
    grips: Vec<(Grip, usize)>,
}

/// The chords in the order they come, each with the grip that is used most where it starts; of
/// grips used as often the earliest one. Only grips that are true to the chord's name count: on two
/// strings at least, the chord's root, or the bass it names, as the lowest note. A chord that is never
/// gripped so (under a melody alone, over a bass line of other notes) is left out.
pub fn grips(arrangement: &Arrangement) -> Vec<Gripped> {
    let mut found: Vec<Counted> = Vec::new();
    let heard = arrangement.heard();
    for (bar, start) in heard.bars.iter().zip(heard.starts()) {
        let chords = bar.chords.iter().filter(|c| c.symbol != Symbol::NoChord);
        for change in chords {
            let symbol = &change.symbol;
            let grip = grip_at(arrangement, start + change.at);
            let instrument = &arrangement.instrument;
            let Some(grip) = grip.filter(|g| is_true(g, symbol, instrument)) else {
                continue;
            };
            match found.iter_mut().find(|f| f.symbol == symbol) {
                Some(known) => known.count(grip),
                None => found.push(Counted {
                    symbol,
                    shape: shape(symbol, &bar.key, instrument.capo),
                    grips: vec![(grip, 1)],
                }),
            }
        }
    }
    found.into_iter().filter_map(Counted::most).collect()
}

impl Counted<'_> {
    fn count(&mut self, grip: Grip) {
        match self.grips.iter_mut().find(|g| g.0 == grip) {
            Some(known) => known.1 += 1,
            None => self.grips.push((grip, 1)),
        }
    }

    fn most(self) -> Option<Gripped> {
        let ranked = self.grips.into_iter().enumerate();
        let rank = |(i, (_, times)): &(usize, (Grip, usize))| (*times, Reverse(*i));
        let (_, (grip, _)) = ranked.max_by_key(rank)?;
        Some(Gripped {
            chord: self.symbol.to_string(),
            shape: self.shape,
            grip,
        })
    }
}

fn grip_at(arrangement: &Arrangement, at: Ticks) -> Option<Grip> {
    let index = arrangement.slices.partition_point(|s| s.end <= at);
    Some(arrangement.slices.get(index)?.grip)
}

/// Whether a grip sounds as a chord with the bass that the chord's name asks for.
fn is_true(grip: &Grip, symbol: &Symbol, instrument: &Instrument) -> bool {
    let Symbol::Chord(chord) = symbol else {
        return false;
    };
    let stops = (1u8..).zip(&grip.frets).filter(|s| *s.1 >= 0);
    let notes = stops.map(|(string, fret)| instrument.sounding(string, fret.unsigned_abs()));
    let lowest = notes.clone().min();
    notes.count() > 1 && lowest.is_some_and(|n| n.rem_euclid(12) == chord.bass_name().class())
}

/// The frets that a box of a grip shows: the first one and how many. A box that starts at fret 1
/// has the nut on top.
pub fn window(grip: &Grip) -> (u8, u8) {
    let stopped = grip.frets.iter().filter(|&&f| f > 0);
    let high = stopped.clone().max().copied().unwrap_or(0).unsigned_abs();
    let low = stopped.min().copied().unwrap_or(1).unsigned_abs();
    let first = if high <= 4 { 1 } else { low };
    (first, (high + 1).saturating_sub(first).max(4))
}

/// Chord boxes as text, as many side by side as `width` holds. Strings stand upright, the lowest on
/// the left; `×` or `x` is a string that is silent, `○` or `o` an open one; the figures are the left
/// fingers.
pub fn text(arrangement: &Arrangement, width: usize, ascii: bool) -> String {
    let strings = arrangement.instrument.strings();
    let boxes: Vec<Vec<String>> = (grips(arrangement).iter())
        .map(|g| text_box(g, strings, ascii))
        .collect();
    let wide = |lines: &Vec<String>| lines.iter().map(|l| l.chars().count()).max();
    let slot = boxes.iter().filter_map(wide).max().unwrap_or(0) + 2;
    let rows = boxes.chunks((width / slot).max(1));
    let rows = rows.map(|row| {
        let height = row.iter().map(Vec::len).max().unwrap_or(0);
        let line = |i: usize| {
            let cells = row.iter().map(|lines| {
                let text = lines.get(i).map_or("", String::as_str);
                format!("{text:<slot$}")
            });
            cells.collect::<String>().trim_end().to_owned()
        };
        (0..height).map(line).collect::<Vec<_>>().join("\n")
    });
    rows.collect::<Vec<_>>().join("\n\n")
}

fn text_box(gripped: &Gripped, strings: usize, ascii: bool) -> Vec<String> {
    let pick = |unicode: &'static str, plain: &'static str| if ascii { plain } else { unicode };
    let grip = &gripped.grip;
    let (first, count) = window(grip);
    let fret_of = |s: usize| grip.frets.get(s).copied().unwrap_or(-1);
    let row = |sign: &dyn Fn(usize) -> String| {
        let low_first = (0..strings).rev();
        low_first.map(sign).collect::<Vec<_>>().join(" ")
    };
    let top = row(&|s| match fret_of(s) {
        ..0 => pick("×", "x").into(),
        0 => pick("○", "o").into(),
        _ => " ".into(),
    });
    let (above, below) = edges(first == 1, strings, ascii);
    let mut lines = vec![
        format!("   {}", box_name(gripped, ascii)),
        format!("   {top}"),
        format!("   {above}"),
    ];
    for fret in first..first + count {
        let label = if fret == first && first > 1 {
            format!("{fret:>2} ")
        } else {
            "   ".into()
        };
        let line = row(&|s| match (fret_of(s), grip.fingers.get(s)) {
            (f, Some(finger)) if f == fret as i8 => finger.to_string(),
            _ => pick("│", "|").into(),
        });
        lines.push(format!("{label}{line}"));
    }
    lines.push(format!("   {below}"));
    lines
}

/// What stands over a box: the chord, and what is gripped for it behind a capo.
fn box_name(gripped: &Gripped, ascii: bool) -> String {
    let name = match &gripped.shape {
        Some(shape) => format!("{} {shape}", gripped.chord),
        None => gripped.chord.clone(),
    };
    if ascii {
        ascii_text(&name)
    } else {
        plain_text(&name)
    }
}

/// The upper and the lower edge of a box; the nut is drawn stronger than a fret.
fn edges(nut: bool, strings: usize, ascii: bool) -> (String, String) {
    let edge = |[left, middle, right, line]: [&str; 4]| {
        let inner = vec![middle; strings.saturating_sub(2)];
        let all: Vec<&str> = [left].into_iter().chain(inner).chain([right]).collect();
        all.join(line)
    };
    let above = match (nut, ascii) {
        (true, false) => ["╒", "╤", "╕", "═"],
        (false, false) => ["┌", "┬", "┐", "─"],
        (true, true) => ["="; 4],
        (false, true) => ["+", "+", "+", "-"],
    };
    let below = if ascii {
        ["+", "+", "+", "-"]
    } else {
        ["└", "┴", "┘", "─"]
    };
    (edge(above), edge(below))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::fixture;

    #[test]
    fn a_chord_is_shown_by_what_the_hand_holds() {
        let list = grips(&fixture::waltz());
        let names: Vec<&str> = list.iter().map(|g| g.chord.as_str()).collect();
        assert_eq!(names, ["C", "G/B"]);
        assert_eq!(list[0].grip.to_string(), "x3x01x");
        assert_eq!(list[1].grip.to_string(), "x2x03x");
    }

    #[test]
    fn a_box_is_true_to_its_name_or_is_not_there() {
        let chord = |symbol: &str| {
            let mut waltz = fixture::waltz();
            waltz.song.bars[1].chords[0].symbol = Symbol::parse(symbol).unwrap();
            let list = grips(&waltz);
            list.into_iter().map(|g| g.chord).collect::<Vec<_>>()
        };
        // The grip is x3x01x, with C as its lowest note.
        assert_eq!(chord("Am/C"), ["Am/C", "G/B"]);
        assert_eq!(chord("Am"), ["G/B"]);
        assert_eq!(chord("C/E"), ["G/B"]);
    }

    #[test]
    fn a_box_shows_the_grip_used_most_and_then_the_first() {
        let counted = |grips: &[&[i8]]| {
            let mut counted = Counted {
                symbol: &Symbol::NoChord,
                shape: None,
                grips: Vec::new(),
            };
            for frets in grips {
                counted.count(Grip::from_low(frets, &[0; 6]));
            }
            counted.most().map(|g| g.grip.to_string())
        };
        let (lean, full): (&[i8], &[i8]) = (&[0, 2, 2, -1, -1, -1], &[0, 2, 2, 0, 0, 0]);
        assert_eq!(counted(&[lean, full]).as_deref(), Some("022xxx"));
        assert_eq!(counted(&[lean, full, full]).as_deref(), Some("022000"));
    }

    #[test]
    fn a_box_starts_at_the_nut_or_at_the_lowest_finger() {
        assert_eq!(
            window(&Grip::from_low(&[3, 2, 0, 0, 0, 3], &[2, 1, 0, 0, 0, 3])),
            (1, 4)
        );
        assert_eq!(
            window(&Grip::from_low(&[-1, 7, 9, 9, 9, 7], &[0, 1, 2, 3, 4, 1])),
            (7, 4)
        );
        assert_eq!(window(&Grip::from_low(&[2, 6], &[1, 4])), (2, 5));
        assert_eq!(window(&Grip::EMPTY), (1, 4));
    }

    #[test]
    fn boxes_stand_side_by_side() {
        insta::assert_snapshot!(text(&fixture::waltz(), 40, false));
        let plain = text(&fixture::waltz(), 20, true);
        assert!(plain.is_ascii());
        assert_eq!(plain.lines().count(), 17);
        let mut capo = fixture::waltz();
        capo.instrument.capo = 2;
        capo.song.bars[2].chords[0].symbol = Symbol::parse("A/C#").unwrap();
        assert!(text(&capo, 40, false).contains("A/C♯ (G/B)"));
    }
}
