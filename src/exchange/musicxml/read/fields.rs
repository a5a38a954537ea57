//! Single fields of a measure: key, meter, tempo, chord, strings.

use super::tree::Element;
use crate::exchange::musicxml::kind::{Degree, How, heard};
use crate::song::Tempo;
use crate::theory::{Key, Letter, Meter, Mode, Name, Pitch, QUARTER, Symbol, Ticks};

/// A note name out of `step` and `alter` with a lead: `root-step`.
pub(super) fn name(element: Element, lead: &str) -> Option<Name> {
    let step = element.text_of(&format!("{lead}step"))?;
    let letter = step.chars().next().and_then(Letter::from_char)?;
    // Quarter tones are rounded towards the plain note; [`quarter_tones`] finds them.
    let alter: f32 = element
        .text_of(&format!("{lead}alter"))
        .unwrap_or("0")
        .parse()
        .ok()?;
    (alter.abs() <= 3.0).then(|| Name::new(letter, alter as i8))
}

/// Whether a name in an element is altered by less than whole semitones.
pub(super) fn quarter_tones(element: Element) -> bool {
    element.children().any(|child| {
        let alter = child.name().ends_with("alter");
        let alter = alter.then(|| child.text().parse::<f32>().ok()).flatten();
        alter.is_some_and(|a| a.fract() != 0.0) || quarter_tones(child)
    })
}

pub(super) fn pitch(element: Element) -> Option<Pitch> {
    let octave = element
        .number_of("octave")
        .filter(|o| (-1..=10).contains(o))?;
    Some(Pitch::new(name(element, "")?, octave as i8))
}

/// A signature with its mode, or of single signs.
pub(super) fn key(element: Element) -> Option<Key> {
    let Some(fifths) = element.number_of("fifths") else {
        return single_signs(element);
    };
    let fifths = i32::try_from(fifths).ok().filter(|f| f.abs() <= 7)?;
    let mode = element.text_of("mode").and_then(Mode::named);
    Some(Key::signed(fifths, mode.unwrap_or(Mode::Major)))
}

fn single_signs(element: Element) -> Option<Key> {
    let mut key = Key::C_MAJOR;
    let mut letter = None;
    for child in element.children() {
        match child.name() {
            "key-step" => letter = child.text().chars().next().and_then(Letter::from_char),
            "key-alter" => {
                let alter: f32 = child.text().parse().ok()?;
                let place = key.explicit.get_mut(letter? as usize)?;
                *place = Some(alter.clamp(-2.0, 2.0) as i8);
            }
            _ => {}
        }
    }
    Some(key)
}

/// A meter; several fractions are added up. Nothing for what is without measure or beyond all music.
pub(super) fn meter(element: Element) -> Option<Meter> {
    let tops = element.all("beats").map(|b| b.text().replace(' ', ""));
    let units = element.all("beat-type").map(Element::text);
    let pairs: Vec<(String, u8)> = tops
        .zip(units)
        .filter_map(|(top, unit)| Some((top, unit.parse().ok()?)))
        .collect();
    let unit = pairs.iter().map(|p| p.1).max()?;
    let mut groups = Vec::new();
    for (top, own) in &pairs {
        for group in top.split('+') {
            let group: u8 = group.parse().ok()?;
            groups.push(group.checked_mul(unit.checked_div(*own)?)?);
        }
    }
    Meter::grouped(groups, unit)
}

/// A metronome mark that counts a note value.
pub(super) fn metronome(element: Element) -> Option<Tempo> {
    let value = element.text_of("beat-unit").and_then(length_named)?;
    let dots = element.all("beat-unit-dot").count().min(3) as u32;
    let beat = value * 2 - value / (1 << dots);
    let digits = |c: char| !c.is_ascii_digit();
    let count = element.text_of("per-minute")?.trim_start_matches(digits);
    let count: u32 = count.split(digits).next()?.parse().ok()?;
    (1..=999).contains(&count).then_some(Tempo {
        beat,
        per_minute: count,
    })
}

/// A tempo in quarters a minute, to the nearest whole one.
pub(super) fn quarters(text: &str) -> Option<Tempo> {
    let quarters: f64 = text.trim().parse().ok()?;
    let per_minute = quarters.round();
    (1.0..=999.0).contains(&per_minute).then_some(Tempo {
        beat: QUARTER,
        per_minute: per_minute as u32,
    })
}

/// The length of a note value by its name.
pub(super) fn length_named(name: &str) -> Option<Ticks> {
    let names = [
        "long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th",
    ];
    let power = names.iter().position(|n| *n == name)?;
    Some((16 * QUARTER) >> power)
}

/// A chord, or nothing where it is none that the trade writes.
pub(super) fn harmony(element: Element) -> Option<Symbol> {
    let kind = element.child("kind")?;
    if kind.text() == "none" {
        return Some(Symbol::NoChord);
    }
    let root = name(element.child("root")?, "root-")?;
    let bass = element.child("bass").and_then(|b| name(b, "bass-"));
    let degrees: Vec<Degree> = element.all("degree").filter_map(degree).collect();
    heard(root, kind.text(), &degrees, bass).or_else(|| {
        // A kind that has no name of its own may be written out.
        let text = kind.attribute("text")?;
        let bass = bass.map_or(String::new(), |b| format!("/{b}"));
        Symbol::parse(&format!("{root}{text}{bass}")).ok()
    })
}

fn degree(element: Element) -> Option<Degree> {
    let alter: f32 = element
        .text_of("degree-alter")
        .unwrap_or("0")
        .parse()
        .ok()?;
    Some(Degree {
        value: u8::try_from(element.number_of("degree-value")?).ok()?,
        alter: alter.clamp(-12.0, 12.0) as i8,
        how: How::named(element.text_of("degree-type")?)?,
    })
}

/// Open strings, lowest first.
pub(super) fn tuning(details: Element) -> Vec<Pitch> {
    let mut strings: Vec<(i64, Pitch)> = details
        .all("staff-tuning")
        .filter_map(|t| {
            let line = t.attribute("line")?.parse().ok()?;
            let octave = t
                .number_of("tuning-octave")
                .filter(|o| (-1..=9).contains(o))?;
            Some((line, Pitch::new(name(t, "tuning-")?, octave as i8)))
        })
        .collect();
    strings.sort_by_key(|s| s.0);
    strings.into_iter().map(|s| s.1).collect()
}

/// The clefs among some items, each with the number of its staff.
fn clefs<'t>(items: impl Iterator<Item = Element<'t>>) -> impl Iterator<Item = (i64, Element<'t>)> {
    let attributes = items.filter(|i| i.name() == "attributes");
    attributes.flat_map(|a| a.all("clef")).map(|clef| {
        let staff = clef.attribute("number").and_then(|n| n.parse().ok());
        (staff.unwrap_or(1), clef)
    })
}

/// Octaves from what sounds to what is written on a staff, by its first clef.
pub(super) fn octave_change<'t>(items: impl Iterator<Item = Element<'t>>, staff: i64) -> i32 {
    let clef = clefs(items).find(|c| c.0 == staff);
    let change = clef.and_then(|(_, c)| c.number_of("clef-octave-change"));
    -(change.unwrap_or(0).clamp(-3, 3) as i32)
}

/// The numbers of the staves that are tab, in order.
pub(super) fn tab_staves<'t>(items: impl Iterator<Item = Element<'t>>) -> Vec<i64> {
    let tab = clefs(items).filter(|(_, clef)| clef.text_of("sign") == Some("TAB"));
    let mut staves: Vec<i64> = tab.map(|(staff, _)| staff).collect();
    staves.sort_unstable();
    staves.dedup();
    staves
}
