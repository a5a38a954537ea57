//! Repeats and endings as songs have them.

use crate::song::{Close, Song};

/// Makes sections and endings reach as far as the document says.
///
/// In MusicXML a repeat without a beginning goes back to the last repeat or to the start, whatever
/// bar lines lie between; in a song a double bar line begins a section as well.
pub(super) fn repeats(song: &mut Song) {
    let bars = &mut song.bars;
    let (mut start, mut opened, mut parted, mut in_ending) = (0, false, false, false);
    let mut openings = Vec::new();
    let last = bars.len().saturating_sub(1);
    for (i, bar) in bars.iter().enumerate() {
        if bar.opens_repeat {
            (start, opened, parted) = (i, true, false);
        }
        in_ending |= !bar.ending.is_empty();
        let ends = in_ending && bar.close != Close::Single;
        in_ending &= !ends;
        match bar.close {
            // The last ending leads on: what follows is a section of its own.
            Close::Double | Close::Final if ends => (start, opened, parted) = (i + 1, false, false),
            Close::Repeat(_) => {
                if parted && !opened {
                    openings.push(start);
                }
                (start, opened, parted) = (i + 1, false, false);
            }
            Close::Final if i < last => parted = true,
            Close::Double => parted = true,
            Close::Single | Close::Final => {}
        }
    }
    for bar in bars
        .iter_mut()
        .take(last)
        .filter(|b| b.close == Close::Final)
    {
        bar.close = Close::Double;
    }
    for start in openings {
        if let Some(bar) = bars.get_mut(start) {
            bar.opens_repeat = true;
        }
    }
}
