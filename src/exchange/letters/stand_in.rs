//! The one table of what stands for a sign.

use super::Room;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// What stands for a sign, or for some in a row: where there is room, and in as many cells as it had.
/// Signs that mean different things on one screen stay different.
const SIGNS: &[(&str, &str, &str)] = &[
    // Keys. One sign would be taken for another key.
    ("↑↓←→", "arrows", "^v<>"),
    ("↑↓", "Up/Down", "^v"),
    ("←→", "Left/Right", "<>"),
    ("↑", "Up", "^"),
    ("↓", "Down", "v"),
    ("←", "Left", "<"),
    ("→", "Right", ">"),
    // Lines.
    ("─", "-", "-"),
    ("━", "=", "="),
    ("═", "=", "="),
    ("│", "|", "|"),
    ("┃", "|", "|"),
    ("║", "|", "|"),
    ("┼", "+", "+"),
    // Blocks.
    ("█", "#", "#"),
    ("▀", "\"", "\""),
    ("▄", "_", "_"),
    ("▬", "=", "="),
    ("▏", "_", "_"),
    // Marks.
    ("▸", ">", ">"),
    ("›", "-", "-"),
    ("▾", "v", "v"),
    ("▲", "^", "^"),
    ("◆", "#", "#"),
    ("●", "*", "*"),
    ("○", "o", "o"),
    ("✓", "+", "+"),
    ("√", "+", "+"),
    ("·", "-", "-"),
    // Music.
    ("♩", "1/4", "q"),
    ("♯", "#", "#"),
    ("♭", "b", "b"),
    ("³", "t", "t"),
    ("‿", "~", "~"),
    // Writing.
    ("…", "...", "."),
    ("–", "-", "-"),
    ("−", "-", "-"),
    ("“", "\"", "\""),
    ("”", "\"", "\""),
    ("×", "x", "x"),
    ("½", " 1/2", "+"),
    ("⅓", " 1/3", "+"),
    ("⅔", " 2/3", "+"),
    ("¼", " 1/4", "+"),
    ("¾", " 3/4", "+"),
    ("⅛", " 1/8", "+"),
    ("⅜", " 3/8", "+"),
    ("⅝", " 5/8", "+"),
    ("⅞", " 7/8", "+"),
    ("\u{fffd}", "?", "?"),
];

/// The signs beside letters that the Linux console shows: all its fonts have them, see
/// `tests/outside/console`.
pub(super) const FEW: &str = "─│┌┐└┘├┤┬┴┼═║█▲←↑→↓";

/// Whether the Linux console shows a sign. Which letters it has depends on the player's language, and
/// so do the songs' titles; it has none that are two columns wide.
pub(super) fn is_few(sign: char) -> bool {
    sign.is_ascii() || FEW.contains(sign) || (sign.is_alphabetic() && sign.width() == Some(1))
}

/// Whether a cell belongs to something that goes on in the rows above and below.
pub(super) fn is_upright(cell: &str) -> bool {
    "│┃║┼┌┐└┘├┤┬┴".contains(cell) && !cell.is_empty()
}

/// What stands for the first cell, or the first few, and how many those are.
pub(super) fn stand_in(cells: &[&str], room: Room, after_blank: bool) -> (String, usize) {
    let begins = |signs: &str| {
        let mut rest = cells.iter();
        (signs.chars()).all(|sign| rest.next().is_some_and(|c| c.chars().eq([sign])))
    };
    if let Some((signs, wanted, kept)) = SIGNS.iter().find(|(signs, ..)| begins(signs)) {
        let text = match room {
            Room::Kept => kept,
            _ if after_blank => wanted.trim_start(),
            _ => wanted,
        };
        return (text.to_string(), signs.chars().count());
    }
    let cell = cells.first().copied().unwrap_or_default();
    let taken = UnicodeWidthStr::width(cell).clamp(1, cells.len().max(1));
    let letters = deunicode::deunicode_with_tofu(cell, "?");
    let text = match room {
        Room::Kept => format!("{letters:<taken$.taken$}"),
        _ => format!("{letters:<taken$}"),
    };
    (text, taken)
}
