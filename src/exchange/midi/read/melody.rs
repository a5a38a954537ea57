//! Which notes are the melody: a track, a channel of it, and of what sounds together the top.

use super::events::{File, Played, wrong};
use crate::exchange::input::Choice;
use crate::song::{Notices, Place, SongError};

/// Words in the name of a track that is a melody.
const NAMES: [&str; 6] = ["melody", "melodie", "tune", "lead", "vocal", "voice"];

/// The notes of the track asked for, else of the one named as a melody, else of all tracks.
pub(super) fn chosen(
    file: &File,
    choice: &Choice,
    notices: &mut Notices,
) -> Result<Vec<Played>, SongError> {
    let sounding: Vec<usize> = (0..file.tracks.len())
        .filter(|&i| file.tracks.get(i).is_some_and(|t| !t.notes.is_empty()))
        .collect();
    let name = |i: usize| file.tracks.get(i).map_or("", |t| t.name.as_str());
    let tracks = match &choice.part {
        Some(wanted) => vec![track(file, &sounding, wanted)?],
        None => {
            let is_melody = |i: &&usize| {
                let name = name(**i).to_lowercase();
                NAMES.iter().any(|n| name.contains(n))
            };
            let tracks = match sounding.iter().find(is_melody) {
                Some(&one) => vec![one],
                None => sounding.clone(),
            };
            if sounding.len() > 1 {
                let from = match tracks.as_slice() {
                    [one] => format!("the track “{}”", name(*one)),
                    _ => "the top notes of all".into(),
                };
                let text = format!(
                    "of {} tracks the melody is {from}; another is chosen with --part: {}",
                    sounding.len(),
                    listed(file, &sounding)
                );
                notices.tell(Place::default(), text);
            }
            tracks
        }
    };
    let tracks = tracks.into_iter().filter_map(|i| file.tracks.get(i));
    let mut notes: Vec<Played> = tracks.flat_map(|t| t.notes.iter().copied()).collect();
    if let Some(wanted) = &choice.voice {
        let channel: Option<u8> = wanted.trim().parse().ok().filter(|c| (1..=16).contains(c));
        notes.retain(|n| Some(n.channel + 1) == channel);
        if notes.is_empty() {
            let text =
                format!("there is no note on channel {wanted}; --voice is a channel, 1 to 16");
            return Err(wrong(text));
        }
    }
    if notes.is_empty() {
        return Err(wrong("there is no note in this file"));
    }
    notes.sort_by_key(|n| (n.on, n.key));
    Ok(notes)
}

fn track(file: &File, sounding: &[usize], wanted: &str) -> Result<usize, SongError> {
    let wanted = wanted.trim();
    let same = |i: &&usize| {
        let track = file.tracks.get(**i);
        track.is_some_and(|t| t.name.to_lowercase() == wanted.to_lowercase())
    };
    let number = wanted.parse::<usize>().ok().and_then(|n| n.checked_sub(1));
    (sounding.iter().find(same).copied())
        .or_else(|| sounding.get(number?).copied())
        .ok_or_else(|| {
            let text = format!(
                "there is no track “{wanted}”; there is {}",
                listed(file, sounding)
            );
            wrong(text)
        })
}

/// The tracks with notes, by number and name.
fn listed(file: &File, sounding: &[usize]) -> String {
    let named = (1..).zip(sounding).take(16).map(|(number, &i)| {
        match file.tracks.get(i).map(|t| t.name.as_str()) {
            None | Some("") => number.to_string(),
            Some(name) => format!("{number} {name}"),
        }
    });
    named.collect::<Vec<_>>().join(", ")
}

/// The top line of notes on a grid, each ending where the next begins at the latest. A note that
/// begins under a higher one belongs to the line only if it outlasts it by half its length, as where
/// a key was let go late.
pub(super) fn top_line(mut notes: Vec<Played>) -> Vec<Played> {
    // The highest first where several begin together.
    notes.sort_by_key(|n| (n.on, std::cmp::Reverse(n.key), n.off));
    let mut line: Vec<Played> = Vec::new();
    for note in notes {
        if let Some(last) = line.last_mut() {
            let covered = last.off.saturating_sub(note.on);
            let under = last.key >= note.key && 2 * covered >= note.off - note.on;
            if last.on == note.on || under && covered > 0 {
                continue;
            }
            last.off = last.off.min(note.on);
        }
        line.push(note);
    }
    // A short gap is how a note was played, not a rest.
    let begins: Vec<u64> = line.iter().skip(1).map(|n| n.on).collect();
    for (note, next) in line.iter_mut().zip(begins) {
        if (next - note.off) * 4 <= next - note.on {
            note.off = next;
        }
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(notes: &[(u64, u64, u8)]) -> Vec<(u64, u64, u8)> {
        let notes = notes.iter().map(|&(on, off, key)| Played {
            on,
            off,
            key,
            channel: 0,
        });
        let line = top_line(notes.collect());
        line.iter().map(|n| (n.on, n.off, n.key)).collect()
    }

    #[test]
    fn the_top_line_is_followed() {
        // Melody over held chords and a bass that moves below it.
        let played = [
            (0, 8, 72),
            (0, 8, 60),
            (0, 4, 48),
            (4, 8, 52),
            (8, 12, 69),
            (8, 16, 57),
        ];
        assert_eq!(line(&played), [(0, 8, 72), (8, 12, 69)]);
        // A higher note takes over from a held one.
        assert_eq!(line(&[(0, 16, 60), (4, 8, 64)]), [(0, 4, 60), (4, 8, 64)]);
        // A key let go late hides nothing.
        assert_eq!(line(&[(0, 9, 64), (8, 16, 62)]), [(0, 8, 64), (8, 16, 62)]);
        // Short gaps close, long ones are rests.
        assert_eq!(
            line(&[(0, 7, 64), (8, 10, 62), (16, 20, 60)]),
            [(0, 8, 64), (8, 10, 62), (16, 20, 60)]
        );
    }
}
