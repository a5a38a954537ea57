//! How a song file names bars, beats and tempos.

use crate::song::{Bar, Tempo};
use crate::theory::{Meter, Ticks, gcd, length_named};

/// A bar's name: its printed number, with a letter from the second bar of that number on.
pub(super) fn bar_name(bars: &[Bar], index: usize) -> Option<String> {
    let number = bars.get(index)?.number;
    let before = bars[..index].iter().filter(|b| b.number == number).count();
    Some(format!("{number}{}", letters(before)))
}

/// The bar of a name.
pub(super) fn bar_named(bars: &[Bar], name: &str) -> Option<usize> {
    let name = name.trim();
    let split = name.find(|c: char| !c.is_ascii_digit());
    let (number, letter) = name.split_at(split.unwrap_or(name.len()));
    let number: u32 = number.parse().ok()?;
    let mut same = (0..bars.len()).filter(|&i| bars[i].number == number);
    same.nth(ordinal(letter.trim())?)
}

/// Nothing, `b`, `c` … `z`, `ba`, `bb` …: counting in twenty-six letters, `a` left out at the front.
fn letters(mut n: usize) -> String {
    let mut text = Vec::new();
    while n > 0 {
        text.push(b'a' + (n % 26) as u8);
        n /= 26;
    }
    text.iter().rev().map(|&b| char::from(b)).collect()
}

fn ordinal(letters: &str) -> Option<usize> {
    letters.chars().try_fold(0usize, |n, c| {
        let digit = u32::from(c.to_ascii_lowercase())
            .checked_sub(u32::from('a'))
            .filter(|&d| d < 26)?;
        n.checked_mul(26)?.checked_add(digit as usize)
    })
}

/// A beat as a song file writes it.
#[derive(Debug, PartialEq)]
pub(super) enum Beat {
    Whole(i64),
    Decimal(f64),
    Text(String),
}

/// Start and length of a beat, counted from 0; beats go on as the meter's last one after its end.
fn beat_span(meter: &Meter, beat: i64) -> (Ticks, Ticks) {
    let beats = meter.beats();
    let last = beats.len() as i64 - 1;
    let start = |i: i64| usize::try_from(i).ok().and_then(|i| beats.get(i)).copied();
    let length = meter.beat_at(start(beat.min(last)).unwrap_or(0));
    let over = (beat - last).max(0);
    (start(beat.min(last)).unwrap_or(0) + over * length, length)
}

/// The beat at `at` ticks from the bar line, exactly.
pub(super) fn beat_name(meter: &Meter, at: Ticks) -> Beat {
    let beats = meter.beats();
    let last = beats.len() as i64 - 1;
    let (start, length) = beat_span(meter, last);
    let beat = if at >= start {
        last + (at - start) / length.max(1)
    } else {
        beats.partition_point(|&b| b <= at).max(1) as i64 - 1
    };
    let (start, length) = beat_span(meter, beat);
    let (rest, whole) = (at - start, beat + 1);
    if rest == 0 {
        return Beat::Whole(whole);
    }
    if rest * 8 % length.max(1) == 0 {
        return Beat::Decimal(whole as f64 + (rest * 8 / length.max(1)) as f64 / 8.0);
    }
    let g = gcd(rest, length);
    Beat::Text(format!("{whole} {}/{}", rest / g, length / g))
}

/// Ticks from the bar line of a beat written as a number; the nearest tick.
pub(super) fn beat_number(meter: &Meter, beat: f64) -> Option<Ticks> {
    if !(1.0..10_000.0).contains(&beat) {
        return None;
    }
    let (start, length) = beat_span(meter, beat.floor() as i64 - 1);
    Some(start + (beat.fract() * length as f64).round() as Ticks)
}

/// Ticks from the bar line of a beat written as text: `3`, `2.5`, `2 1/3`.
pub(super) fn beat_text(meter: &Meter, text: &str) -> Option<Ticks> {
    let Some((whole, part)) = text.trim().split_once(char::is_whitespace) else {
        return beat_number(meter, text.trim().parse().ok()?);
    };
    let whole: i64 = whole.parse().ok().filter(|w| (1..10_000).contains(w))?;
    let (top, bottom) = part.split_once('/')?;
    let (top, bottom): (i64, i64) = (top.trim().parse().ok()?, bottom.trim().parse().ok()?);
    if !(0..bottom).contains(&top) || bottom > 1_000_000 {
        return None;
    }
    let (start, length) = beat_span(meter, whole - 1);
    Some(start + (top * length + bottom / 2) / bottom)
}

/// The tempo written as `1/4=96`.
pub(super) fn tempo_named(text: &str) -> Option<Tempo> {
    let (beat, count) = text.split_once('=')?;
    let per_minute = count.trim().parse().ok();
    Some(Tempo {
        beat: length_named(beat)?,
        per_minute: per_minute.filter(|n| (1..=999).contains(n))?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::QUARTER;
    use proptest::prelude::*;

    fn meter(text: &str) -> Meter {
        text.parse().unwrap()
    }

    #[test]
    fn beats_are_those_of_the_meter() {
        let eighth = QUARTER / 2;
        assert_eq!(beat_text(&meter("4/4"), "2 1/3"), Some(QUARTER * 4 / 3));
        assert_eq!(beat_text(&meter("4/4"), "2.5"), Some(3 * eighth));
        assert_eq!(beat_number(&meter("6/8"), 2.0), Some(3 * eighth));
        assert_eq!(beat_text(&meter("6/8"), "1 1/3"), Some(eighth));
        assert_eq!(beat_number(&meter("7/8"), 3.0), Some(4 * eighth));
        for wrong in ["", "0", "x", "1 3/3", "1 1/0", "NaN", "inf", "-1", "1 1"] {
            assert_eq!(beat_text(&meter("4/4"), wrong), None, "{wrong}");
        }
    }

    #[test]
    fn tempos_read_what_they_write() {
        let tempo = tempo_named(" 3/8 = 84").unwrap();
        assert_eq!(tempo.to_string(), "3/8=84");
        assert_eq!(tempo_named("1/4=1000"), None);
    }

    #[test]
    fn letters_count_on_without_end() {
        assert_eq!([0, 1, 2, 25, 26].map(letters), ["", "b", "c", "z", "ba"]);
        assert_eq!(ordinal("a"), Some(0));
        assert_eq!(ordinal("é"), None);
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn every_tick_has_a_beat(at in 0..200_000i64, which in 0..5usize) {
            let meter = meter(["4/4", "6/8", "7/8", "3+2/8", "3/2"][which]);
            let back = match beat_name(&meter, at) {
                Beat::Whole(n) => beat_number(&meter, n as f64),
                Beat::Decimal(n) => beat_number(&meter, n),
                Beat::Text(text) => beat_text(&meter, &text),
            };
            prop_assert_eq!(back, Some(at));
        }

        #[test]
        fn every_ordinal_has_letters(n in 0..100_000usize) {
            prop_assert_eq!(ordinal(&letters(n)), Some(n));
        }
    }
}
