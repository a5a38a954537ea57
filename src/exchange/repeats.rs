//! Repeat signs and endings as the song is played.

use crate::song::{Close, Song};

/// The signs of one bar.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct BarSigns {
    /// A repeat goes back to this bar.
    pub forward: bool,
    /// A repeat goes back from the end of this bar: how often the section is played in all, where
    /// endings don't say, and the index of the bar that it goes back to.
    pub backward: Option<(u8, usize)>,
    /// An ending for these passes begins here.
    pub ending: Vec<u8>,
    /// An ending for these passes stops here.
    pub ending_stops: Vec<u8>,
}

/// The signs of all bars, made from the play order.
pub(super) fn signs(song: &Song) -> Vec<BarSigns> {
    let bars = &song.bars;
    let mut signs = vec![BarSigns::default(); bars.len()];
    let mut open: Vec<u8> = Vec::new();
    for (i, bar) in bars.iter().enumerate() {
        if !bar.ending.is_empty() {
            open = bar.ending.clone();
            signs[i].ending = open.clone();
        }
        let next = bars.get(i + 1);
        let stops = bar.close != Close::Single
            || next.is_none_or(|b| b.opens_repeat || !b.ending.is_empty());
        if stops {
            signs[i].ending_stops = std::mem::take(&mut open);
        }
        signs[i].forward = bar.opens_repeat;
    }
    let order = song.play_order();
    for pair in order.windows(2) {
        let (from, to) = (pair[0].bar, pair[1].bar);
        if to > from {
            continue;
        }
        let times = match bars.get(from).map(|b| b.close) {
            Some(Close::Repeat(times)) => times.max(2),
            _ => 2,
        };
        if let Some(sign) = signs.get_mut(from) {
            sign.backward.get_or_insert((times, to));
        }
        if let Some(sign) = signs.get_mut(to).filter(|_| to > 0) {
            sign.forward = true;
        }
    }
    signs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::song::abc;

    fn shown(body: &str) -> String {
        let text = format!("X:1\nM:1/4\nL:1/4\nK:C\n{body}\n");
        let song = abc::read_book(&text).remove(0).unwrap().song;
        let mut shown = String::new();
        for sign in signs(&song) {
            let passes = |list: &[u8]| list.iter().map(u8::to_string).collect::<Vec<_>>().join(",");
            shown += if sign.forward { "|:" } else { "" };
            if !sign.ending.is_empty() {
                shown += &format!("[{}", passes(&sign.ending));
            }
            shown += "o";
            if !sign.ending_stops.is_empty() {
                shown += "]";
            }
            shown += &sign
                .backward
                .map_or("|".into(), |(times, _)| format!(":|{times} "));
        }
        shown
    }

    #[test]
    fn signs_say_what_is_played() {
        for (body, wanted) in [
            ("A|B|C|]", "o|o|o|"),
            ("A|B:|C|", "o|o:|2 o|"),
            ("A|B:|C|D:|", "o|o:|2 |:o|o:|2 "),
            // A section that a double bar begins, and an ending that leads on.
            ("A|B||C|D:|E", "o|o||:o|o:|2 o|"),
            ("|:A|1B:|2C:|D", "|:o|[1o]:|2 [2o]|o|"),
            ("|:A|1B|2C||D", "|:o|[1o]:|2 [2o]|o|"),
            ("|::A::|", "|:o:|3 "),
            ("|:A|[1,2B:|[3C|]", "|:o|[1,2o]:|2 [3o]|"),
        ] {
            assert_eq!(shown(body), wanted, "{body}");
        }
    }
}
