//! Which songs of an input are meant.

use super::Failure;
use crate::exchange::input::{Entry, Opened};

/// The songs asked for, each with the text it comes from.
pub(super) fn choose<'a>(
    opened: &'a [Opened],
    tune: Option<u32>,
    failures: &mut Vec<Failure>,
) -> Vec<(&'a Opened, &'a Entry)> {
    let mut chosen = Vec::new();
    for from in opened {
        let before = (chosen.len(), failures.len());
        for song in &from.songs {
            match song {
                Ok(entry) if tune.is_none_or(|n| n == entry.number) => chosen.push((from, entry)),
                Ok(_) => {}
                // With one tune asked for, another that can't be read is not in the way.
                Err(error) if tune.is_none() || from.songs.len() == 1 => {
                    failures.push(Failure::at(from, &[error.place], &error.text));
                }
                Err(_) => {}
            }
        }
        if let (Some(n), true) = (tune, before == (chosen.len(), failures.len())) {
            let text = format!("there is no tune {n} that can be read; {}", numbers(from));
            failures.push(Failure::at(from, &[], &text));
        }
    }
    chosen
}

/// The one song asked for.
pub(super) fn one(opened: &Opened, tune: Option<u32>) -> Result<&Entry, Vec<Failure>> {
    let mut failures = Vec::new();
    let chosen = choose(std::slice::from_ref(opened), tune, &mut failures);
    match (chosen.as_slice(), failures.is_empty()) {
        ([(_, entry)], true) => Ok(entry),
        ([_, _, ..], true) => {
            let text = format!("choose one tune with --tune; {}", numbers(opened));
            Err(vec![Failure::at(opened, &[], &text)])
        }
        _ => Err(failures),
    }
}

fn numbers(opened: &Opened) -> String {
    let all: Vec<String> = (opened.songs.iter())
        .filter_map(|s| Some(s.as_ref().ok()?.number.to_string()))
        .collect();
    match all.as_slice() {
        [] => "none of its tunes can".into(),
        few if few.len() <= 12 => format!("it has {}", few.join(", ")),
        [first, .., last] => format!("it has {} from {first} to {last}", all.len()),
        _ => String::new(),
    }
}
