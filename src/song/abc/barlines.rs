//! Bar lines, repeat signs and ending brackets, in all the ways they are written.

use super::scan::Scan;
use crate::song::{Bar, Close};

/// What a sign between two bars says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct BarLine {
    /// How the bar before it ends; `None` for an ending bracket without a bar line.
    pub close: Option<Close>,
    /// A repeat starts after it, and how often the section is played by this sign alone.
    pub opens: Option<u8>,
    /// Passes named after it.
    pub ending: Vec<u8>,
    /// It asked for more passes than a song has, which are left out.
    pub beyond: bool,
}

/// Reads a bar line if one stands here; otherwise nothing is consumed.
///
/// Any run of `|`, `[`, `]` and `:` that draws a line is taken, as abc 2.1, section 4.8, advises
/// ("be quite liberal"): thick and thin strokes count as double, `|]` as final, and colons on
/// either side as repeats, one more pass for each.
pub(super) fn read(scan: &mut Scan) -> Option<BarLine> {
    let start = scan.mark();
    let mut before = scan.count(':');
    let (mut strokes, mut last) = (0, false);
    let hidden = scan.starts_with("[|]");
    loop {
        match (scan.peek(), scan.peek_at(1)) {
            (Some('|'), _) => strokes += 1,
            (Some('['), Some('|')) if !last => strokes += 1,
            (Some(']'), _) if strokes > 0 => {
                strokes += 1;
                last = true;
            }
            _ => break,
        }
        scan.skip(1);
    }
    let mut after = scan.count(':');
    if strokes == 0 {
        if before < 2 || after > 0 {
            scan.back_to(start);
            return bracket(scan);
        }
        // `::` ends one section and starts the next.
        after = before / 2;
        before -= after;
    }
    let close = match (before, strokes, last) {
        (1.., ..) => Close::Repeat(times(before)),
        _ if hidden => Close::Single,
        (0, _, true) => Close::Final,
        (0, 2.., false) => Close::Double,
        _ => Close::Single,
    };
    let (ending, beyond) = match (scan.peek(), scan.peek_at(1)) {
        (Some('0'..='9'), _) => passes(scan),
        (Some('['), Some('0'..='9')) => {
            scan.skip(1);
            passes(scan)
        }
        (Some('['), Some('"')) => {
            // A bracket with words instead of passes, `|["Coda"`: the words follow as a text.
            scan.skip(1);
            (Vec::new(), false)
        }
        _ => (Vec::new(), false),
    };
    let most = usize::from(Close::MOST_TIMES);
    Some(BarLine {
        close: Some(close),
        opens: (after > 0).then(|| times(after)),
        ending,
        beyond: beyond || before.max(after) >= most,
    })
}

/// How often so many colons play a section.
fn times(colons: usize) -> u8 {
    let more = u8::try_from(colons).unwrap_or(u8::MAX);
    more.saturating_add(1).min(Close::MOST_TIMES)
}

/// `[1`, `[1,3`, `[2-4`.
fn bracket(scan: &mut Scan) -> Option<BarLine> {
    if scan.peek() != Some('[') || !scan.peek_at(1).is_some_and(|c| c.is_ascii_digit()) {
        return None;
    }
    scan.skip(1);
    let (ending, beyond) = passes(scan);
    Some(BarLine {
        close: None,
        opens: None,
        ending,
        beyond,
    })
}

/// A list of passes and ranges of passes, and whether numbers above [`Bar::MOST_PASSES`] were left
/// out.
fn passes(scan: &mut Scan) -> (Vec<u8>, bool) {
    let most = u32::from(Bar::MOST_PASSES);
    let (mut list, mut beyond) = (Vec::new(), false);
    loop {
        let first = scan.number().unwrap_or(0);
        let mut last = first;
        if scan.peek() == Some('-') && scan.peek_at(1).is_some_and(|c| c.is_ascii_digit()) {
            scan.skip(1);
            last = scan.number().unwrap_or(0);
        }
        list.extend((first..=last.min(most)).filter_map(|n| u8::try_from(n).ok()));
        beyond |= first.max(last) > most;
        if scan.peek() == Some(',') && scan.peek_at(1).is_some_and(|c| c.is_ascii_digit()) {
            scan.skip(1);
        } else {
            break;
        }
    }
    list.retain(|&n| n > 0);
    list.sort_unstable();
    list.dedup();
    (list, beyond)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::song::Place;

    fn sign(text: &str) -> (Option<Close>, Option<u8>, Vec<u8>) {
        let mut scan = Scan::new(text, Place { line: 1, column: 1 });
        let line = read(&mut scan).unwrap_or_else(|| panic!("{text} is a bar line"));
        assert_eq!(scan.peek(), None, "{text} is read whole");
        (line.close, line.opens, line.ending)
    }

    #[test]
    fn every_way_of_writing_it() {
        // abc 2.1, sections 4.8 to 4.10.
        use Close::*;
        for (text, close, opens, ending) in [
            ("|", Some(Single), None, vec![]),
            ("||", Some(Double), None, vec![]),
            ("[|", Some(Double), None, vec![]),
            ("|]", Some(Final), None, vec![]),
            ("[|]", Some(Single), None, vec![]),
            ("|:", Some(Single), Some(2), vec![]),
            ("||:", Some(Double), Some(2), vec![]),
            ("[|:", Some(Double), Some(2), vec![]),
            ("|::", Some(Single), Some(3), vec![]),
            (":|", Some(Repeat(2)), None, vec![]),
            (":||", Some(Repeat(2)), None, vec![]),
            (":|]", Some(Repeat(2)), None, vec![]),
            ("::|", Some(Repeat(3)), None, vec![]),
            ("::", Some(Repeat(2)), Some(2), vec![]),
            (":|:", Some(Repeat(2)), Some(2), vec![]),
            (":||:", Some(Repeat(2)), Some(2), vec![]),
            ("|1", Some(Single), None, vec![1]),
            (":|2", Some(Repeat(2)), None, vec![2]),
            (":|[2", Some(Repeat(2)), None, vec![2]),
            ("[1", None, None, vec![1]),
            ("[1,3", None, None, vec![1, 3]),
            ("[1-3", None, None, vec![1, 2, 3]),
            ("[1,3-5", None, None, vec![1, 3, 4, 5]),
        ] {
            assert_eq!(sign(text), (close, opens, ending), "{text}");
        }
    }

    #[test]
    fn a_chord_of_notes_and_an_inline_field_are_none() {
        for text in ["[CEG]", "[K:G]", "[]", ":", "]"] {
            let mut scan = Scan::new(text, Place::default());
            assert_eq!(read(&mut scan), None, "{text}");
            assert_eq!(scan.peek(), text.chars().next(), "nothing is consumed");
        }
    }
}
