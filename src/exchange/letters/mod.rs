//! Which letters and signs a terminal can show, and what stands for those that it can't.
//!
//! [`found`] decides, once, from what the surroundings say. [`Letters::row`] puts a row of cells into
//! the letters that there are; screens and texts both go through it.

mod stand_in;
#[cfg(test)]
mod tests;

use super::plain::is_plain;
use stand_in::{is_few, is_upright, stand_in};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// The letters and signs that are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Letters {
    /// All that there are.
    #[default]
    All,
    /// Letters of all scripts, but few signs: the Linux console, whose fonts hold 256 or 512.
    Few,
    /// Those of ASCII.
    Ascii,
}

/// The environment variables that name the locale; the first that says something goes before the
/// others (POSIX.1-2017, Base Definitions, 8.2).
const LOCALE: [&str; 3] = ["LC_ALL", "LC_CTYPE", "LANG"];

/// Which letters a terminal in these surroundings shows, and why. `variable` looks a variable of the
/// environment up.
pub fn found(variable: impl Fn(&str) -> Option<String>) -> (Letters, String) {
    let said = |name: &'static str| Some((name, variable(name).filter(|v| !v.is_empty())?));
    let locale = LOCALE.into_iter().find_map(said);
    if !cfg!(windows) && !locale.as_ref().is_some_and(|(_, value)| is_utf8(value)) {
        let why = match locale {
            Some((name, value)) => format!("plain ASCII, as {name} says: {value}"),
            None => format!("plain ASCII: none of {} is set", LOCALE.join(", ")),
        };
        return (Letters::Ascii, why);
    }
    if variable("TERM").is_some_and(|term| term == "linux") {
        let why = "UTF-8 with few signs, as the console's fonts have no more (TERM is linux)";
        return (Letters::Few, why.into());
    }
    match locale {
        Some((name, value)) if is_utf8(&value) => {
            (Letters::All, format!("UTF-8, as {name} says: {value}"))
        }
        _ => (Letters::All, "UTF-8, as on every Windows".into()),
    }
}

/// Whether a locale such as `de_DE.UTF-8@euro` has the encoding UTF-8, written in any way that the
/// GNU C library reads: case, and signs that are neither letters nor digits, don't matter (its manual,
/// “Locale Names”). A locale that names no encoding has an older one.
fn is_utf8(locale: &str) -> bool {
    let name = locale.split('@').next().unwrap_or_default();
    // On some systems the encoding alone is a name.
    let encoding = name.split_once('.').map_or(name, |(_, encoding)| encoding);
    let letters = encoding.chars().filter(char::is_ascii_alphanumeric);
    letters.collect::<String>().eq_ignore_ascii_case("utf8")
}

/// A cell of a row: what it shows, and the cell of the row before that it comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cell {
    /// The cell that it comes from.
    pub from: usize,
    /// Another sign than that cell had.
    pub sign: Option<char>,
}

impl Letters {
    /// Whether this is shown as it is.
    pub fn shows(self, text: &str) -> bool {
        text.is_ascii()
            || match self {
                Letters::All => true,
                Letters::Few => text.chars().all(is_few),
                Letters::Ascii => false,
            }
    }

    /// A row of a screen in these letters, as long as it was. Where a sign needs more room, as `½`
    /// does, what follows moves on and the next gaps shrink; where there are none to spare, one sign
    /// has to do.
    pub fn row(self, cells: &[&str]) -> Vec<Cell> {
        let fitted = |room| {
            let mut row = self.laid(cells, room)?;
            let over = row.len().saturating_sub(cells.len());
            let blanks = row.iter().rev().take_while(|c| is_blank(cells, c)).count();
            row.truncate(cells.len());
            (over <= blanks).then_some(row)
        };
        let rooms = [Room::Gaps(3), Room::Gaps(1), Room::Kept];
        rooms.into_iter().find_map(fitted).unwrap_or_default()
    }

    /// A text in these letters; columns keep their places where gaps allow it.
    pub fn text(self, text: &str) -> String {
        let lines = text.split_inclusive('\n');
        lines.map(|line| self.line(line)).collect()
    }

    fn line(self, line: &str) -> String {
        if self.shows(line) {
            return line.to_string();
        }
        let cells = cells(line);
        let mut rooms = [Room::Endless, Room::Kept].into_iter();
        let row = rooms.find_map(|room| self.laid(&cells, room));
        let mut text = String::with_capacity(line.len());
        for cell in row.unwrap_or_default() {
            match cell.sign {
                Some(sign) => text.push(sign),
                None => text += cells.get(cell.from).unwrap_or(&""),
            }
        }
        text
    }

    /// The row, maybe longer than before; nothing where something upright, such as a bar line, would
    /// move.
    fn laid(self, cells: &[&str], room: Room) -> Option<Vec<Cell>> {
        let mut row: Vec<Cell> = Vec::with_capacity(cells.len());
        let mut at = 0;
        while let Some(cell) = cells.get(at) {
            let moved = row.len() > at;
            if moved && room.can_spare(cells, &row, cell) {
                at += 1;
                continue;
            }
            if moved && is_upright(cell) {
                return None;
            }
            if self.shows(cell) {
                row.push(Cell {
                    from: at,
                    sign: None,
                });
                at += 1;
                continue;
            }
            let after_blank = row.last().is_none_or(|c| is_blank(cells, c));
            let (sign, taken) = if *cell == "…" && room != Room::Endless && is_cut(cells, &row, at)
            {
                // What was cut is cut a little earlier.
                row.truncate(row.len() - 2);
                ("...".to_string(), 1)
            } else {
                stand_in(&cells[at..], room, after_blank)
            };
            let put = |sign| Cell {
                from: at,
                sign: Some(sign),
            };
            row.extend(sign.chars().map(put));
            at += taken;
        }
        Some(row)
    }
}

/// How much room a sign gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Room {
    /// What it had.
    Kept,
    /// What it needs, taken from the gaps behind it, of which so many cells stay.
    Gaps(usize),
    /// What it needs; the row may become longer.
    Endless,
}

impl Room {
    /// Whether a cell belongs to a gap of which enough is there already.
    fn can_spare(self, cells: &[&str], row: &[Cell], cell: &str) -> bool {
        let least = match self {
            Room::Kept => return false,
            Room::Gaps(least) => least,
            Room::Endless => 2,
        };
        let alike = |c: &&Cell| cells.get(c.from) == Some(&cell);
        matches!(cell, " " | "─") && row.iter().rev().take_while(alike).count() >= least
    }
}

/// Whether `…` stands at the end of its room, and two cells before it can be spared. Between two words,
/// as in `a … g`, nothing was cut.
fn is_cut(cells: &[&str], row: &[Cell], at: usize) -> bool {
    let after = cells.get(at + 1..).unwrap_or_default();
    let behind = after.iter().take_while(|c| **c == " ").count();
    let words = behind == 1 && after.get(behind).is_some_and(|c| !is_upright(c));
    if words && row.last().is_some_and(|c| is_blank(cells, c)) {
        return false;
    }
    let mut before = row.iter().rev();
    let movable = |c: Option<&Cell>| c.is_some_and(|c| !is_upright(cells[c.from]));
    behind < 3 && movable(before.next()) && movable(before.next())
}

fn is_blank(cells: &[&str], cell: &Cell) -> bool {
    match cell.sign {
        Some(sign) => sign == ' ',
        None => cells.get(cell.from) == Some(&" "),
    }
}

/// A line in cells. A sign that is two columns wide has an empty one behind it; one that takes no room
/// stands with the sign before it.
fn cells(line: &str) -> Vec<&str> {
    let mut cells = Vec::with_capacity(line.len());
    let mut starts = line.char_indices().peekable();
    while let Some((start, sign)) = starts.next() {
        let mut end = start + sign.len_utf8();
        while let Some((at, c)) = starts.next_if(|(_, c)| c.width() == Some(0)) {
            end = at + c.len_utf8();
        }
        let cell = &line[start..end];
        cells.push(cell);
        // A selector behind a sign may make it wider than it is by itself.
        cells.extend((1..UnicodeWidthStr::width(cell)).map(|_| ""));
    }
    cells
}

/// JSON in ASCII: everything else is escaped, which says the same (RFC 8259, section 7).
pub fn ascii_json(json: &str) -> String {
    json_of(json, |c| c.is_ascii())
}

/// JSON that is harmless to a terminal, which may heed control characters above ASCII and the signs
/// that turn the direction of writing: those are escaped.
pub fn plain_json(json: &str) -> String {
    json_of(json, |c| c == '\n' || is_plain(c))
}

/// JSON of these characters; all others are escaped.
fn json_of(json: &str, is_shown: impl Fn(char) -> bool) -> String {
    let mut text = String::with_capacity(json.len());
    for sign in json.chars() {
        match is_shown(sign) {
            true => text.push(sign),
            false => {
                for unit in sign.encode_utf16(&mut [0; 2]) {
                    text += &format!("\\u{unit:04x}");
                }
            }
        }
    }
    text
}
