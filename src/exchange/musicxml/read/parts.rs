//! The parts of a score, and which part and voice of it is the melody.

use super::START;
use super::fields::{octave_change, tab_staves, tuning};
use super::tree::Element;
use crate::exchange::input::Choice;
use crate::song::{Notices, Place, SongError};
use crate::theory::Pitch;
use std::collections::HashMap;

/// One part with its measures in order.
pub(super) struct Part<'t> {
    pub id: String,
    pub name: String,
    pub place: Place,
    /// Each measure, and what this part has in it; one element in a partwise document.
    pub measures: Vec<(Element<'t>, Element<'t>)>,
}

impl<'t> Part<'t> {
    fn items(&self) -> impl Iterator<Item = Element<'t>> {
        self.measures
            .iter()
            .flat_map(|(_, content)| content.children())
    }

    pub(super) fn has_chords(&self) -> bool {
        self.items().any(|i| i.name() == "harmony")
    }
}

/// The melody's part and voice, and what its staff says.
pub(super) struct Chosen<'p, 't> {
    pub part: &'p Part<'t>,
    pub voice: String,
    /// Octaves from what sounds to what is written, by the clef.
    pub octaves: i32,
    /// Semitones from what is written to what sounds, octaves apart.
    pub transpose: i32,
    /// Open strings, lowest first; empty where none are said.
    pub tuning: Vec<Pitch>,
    /// As it is said, which may be beyond all necks.
    pub capo: Option<i64>,
    /// Staves of tab, in order.
    pub tab: Vec<i64>,
}

/// The parts of a document, in the order of its list of parts.
pub(super) fn parts<'t>(root: Element<'t>) -> Result<Vec<Part<'t>>, SongError> {
    let timewise = match root.name() {
        "score-partwise" => false,
        "score-timewise" => true,
        other => {
            let text = format!(
                "this is no score: its outermost element is “{}”, not score-partwise or score-timewise",
                other.chars().take(30).collect::<String>()
            );
            return Err(SongError::new(root.place(), text));
        }
    };
    let mut parts: Vec<Part> = Vec::new();
    let mut by_id: HashMap<String, usize> = HashMap::new();
    let names = names(root);
    let mut part = |element: Element<'t>, parts: &mut Vec<Part<'t>>| {
        let id = element.attribute("id").unwrap_or_default().into_owned();
        *by_id.entry(id.clone()).or_insert_with(|| {
            let name = names
                .get(&id)
                .filter(|n| !n.is_empty())
                .unwrap_or(&id)
                .clone();
            let place = element.place();
            let measures = Vec::new();
            parts.push(Part {
                id,
                name,
                place,
                measures,
            });
            parts.len() - 1
        })
    };
    if timewise {
        for measure in root.all("measure") {
            for content in measure.all("part") {
                let index = part(content, &mut parts);
                parts[index].measures.push((measure, content));
            }
        }
    } else {
        for element in root.all("part") {
            let index = part(element, &mut parts);
            parts[index]
                .measures
                .extend(element.all("measure").map(|m| (m, m)));
        }
    }
    match parts.is_empty() {
        true => Err(SongError::new(START, "there is no part in this score")),
        false => Ok(parts),
    }
}

/// The names in the list of parts, by the parts' ids.
fn names(root: Element) -> HashMap<String, String> {
    let list = root.child("part-list").into_iter();
    let named = list.flat_map(|l| l.all("score-part")).filter_map(|part| {
        let id = part.attribute("id")?.into_owned();
        Some((id, part.text_of("part-name")?.into()))
    });
    named.collect()
}

/// The part and voice asked for, or the likeliest.
pub(super) fn choose<'p, 't>(
    parts: &'p [Part<'t>],
    choice: &Choice,
    notices: &mut Notices,
) -> Result<Chosen<'p, 't>, SongError> {
    let part = match &choice.part {
        Some(wanted) => named(parts, wanted)?,
        None => {
            let sung = |p: &&Part| !voices(p).is_empty();
            let first = parts.iter().find(sung).or(parts.first());
            let part =
                first.ok_or_else(|| SongError::new(START, "there is no part in this score"))?;
            if parts.len() > 1 {
                let text = format!(
                    "of {} parts the melody is read from “{}”; another is chosen with --part: {}",
                    parts.len(),
                    part.name,
                    listed(parts)
                );
                notices.tell(part.place, text);
            }
            part
        }
    };
    let voices = voices(part);
    let (voice, staff) = match &choice.voice {
        Some(wanted) => match voices.iter().find(|v| v.0 == wanted.trim()) {
            Some(found) => found.clone(),
            None => {
                let names: Vec<&str> = voices.iter().map(|v| v.0.as_str()).collect();
                let text = format!(
                    "the part “{}” has no voice “{wanted}”; it has {}",
                    part.name,
                    names.join(", ")
                );
                return Err(SongError::new(part.place, text));
            }
        },
        None => likeliest(&voices).unwrap_or(("1".into(), 1)),
    };
    let attributes = part.items().filter(|i| i.name() == "attributes");
    let details: Vec<Element> = attributes.flat_map(|a| a.all("staff-details")).collect();
    Ok(Chosen {
        part,
        octaves: octave_change(part.items(), staff),
        transpose: transposed(part),
        tuning: details
            .iter()
            .map(|d| tuning(*d))
            .find(|t| !t.is_empty())
            .unwrap_or_default(),
        capo: details.iter().find_map(|d| d.number_of("capo")),
        tab: tab_staves(part.items()),
        voice,
    })
}

/// Semitones that a part sounds above what is written, octaves apart.
pub(super) fn transposed(part: &Part) -> i32 {
    let attributes = part.items().filter(|i| i.name() == "attributes");
    let found = attributes.filter_map(|a| a.child("transpose")).next();
    let chromatic = found.and_then(|t| t.number_of("chromatic")).unwrap_or(0);
    (chromatic.clamp(-127, 127) % 12) as i32
}

fn named<'p, 't>(parts: &'p [Part<'t>], wanted: &str) -> Result<&'p Part<'t>, SongError> {
    let wanted = wanted.trim();
    let same = |text: &str| text.to_lowercase() == wanted.to_lowercase();
    let number = wanted.parse::<usize>().ok();
    (parts.iter().find(|p| same(&p.name) || p.id == wanted))
        .or_else(|| parts.get(number?.checked_sub(1)?))
        .ok_or_else(|| {
            let text = format!("there is no part “{wanted}”; there is {}", listed(parts));
            SongError::new(START, text)
        })
}

/// The first parts by number and name.
fn listed(parts: &[Part]) -> String {
    let named = (1..).zip(parts).take(12);
    let names: Vec<String> = named.map(|(i, p)| format!("{i} {}", p.name)).collect();
    let more = if parts.len() > 12 { ", …" } else { "" };
    names.join(", ") + more
}

/// The voices that have pitched notes, in order of appearance, each with its first staff.
fn voices(part: &Part) -> Vec<(String, i64)> {
    let mut found: Vec<(String, i64)> = Vec::new();
    for note in part
        .items()
        .filter(|i| i.name() == "note" && i.has("pitch"))
    {
        let voice = note.text_of("voice").unwrap_or("1");
        if !found.iter().any(|v| v.0 == voice) && found.len() < 64 {
            found.push((voice.into(), note.number_of("staff").unwrap_or(1)));
        }
    }
    found
}

/// Voice 1, else the first one on the uppermost staff.
fn likeliest(voices: &[(String, i64)]) -> Option<(String, i64)> {
    let first = voices.iter().find(|v| v.0 == "1");
    first.or(voices.iter().min_by_key(|v| v.1)).cloned()
}
