//! The endless strip cut into lines.

use super::strip::{Block, Rows, Strip};

/// A part of one block: columns `from..to` of the block of bar `block`.
#[derive(Clone, Copy)]
struct Piece {
    block: usize,
    from: usize,
    to: usize,
}

/// The lines of tab, each a text of several rows, none wider than `width`.
pub(super) fn wrap(strip: &Strip, width: usize) -> Vec<String> {
    let names = strip.names.iter().map(|n| n.chars().count()).max();
    let prefix = names.unwrap_or(0) + 1;
    let room = width.saturating_sub(prefix).max(1);
    fill(strip, room)
        .iter()
        .map(|pieces| text(strip, pieces, prefix))
        .collect()
}

/// As many whole bars to a line as fit; a bar wider than a line is cut, best at a beat.
fn fill(strip: &Strip, room: usize) -> Vec<Vec<Piece>> {
    let mut lines: Vec<Vec<Piece>> = Vec::new();
    let mut used = room;
    for (index, block) in strip.blocks.iter().enumerate() {
        let whole = block.width();
        let mut from = 0;
        while from < whole {
            let to = if whole - from <= room {
                whole
            } else {
                cut(strip, block, from, from + room)
            };
            let piece = Piece {
                block: index,
                from,
                to,
            };
            match lines.last_mut() {
                Some(line) if used + to - from <= room => {
                    line.push(piece);
                    used += to - from;
                }
                _ => {
                    lines.push(vec![piece]);
                    used = to - from;
                }
            }
            from = to;
        }
    }
    lines
}

/// Where to cut a block after column `from` and not after `most`: at the last beat that leaves the
/// line at least half full, else at the last place where no text is torn, else at `most`.
fn cut(strip: &Strip, block: &Block, from: usize, most: usize) -> usize {
    let clean = |column: &usize| {
        block.cells.iter().enumerate().all(|(row, cells)| {
            let before = column.checked_sub(1).and_then(|c| cells.get(c));
            let ground = if strip.rows.is_string(row) {
                [strip.signs.idle, strip.signs.ring]
            } else {
                [' ', strip.signs.held]
            };
            before.is_none_or(|c| ground.contains(c))
        })
    };
    let beats = block.beats.iter().copied().rev();
    beats
        .filter(|&b| b <= most && 2 * b > from + most)
        .chain((from + 1..=most).rev())
        .find(clean)
        .unwrap_or(most)
}

fn text(strip: &Strip, pieces: &[Piece], prefix: usize) -> String {
    let rows = strip.rows;
    let mid_bar = pieces.first().is_some_and(|p| p.from > 0);
    let mut lines = Vec::new();
    for row in 0..rows.count() {
        let name = if rows.is_string(row) {
            strip.names[row - Rows::FIRST_STRING].as_str()
        } else if row == rows.left() {
            "L"
        } else if row == rows.right() {
            "R"
        } else {
            ""
        };
        let bar = if rows.is_string(row) && !mid_bar {
            strip.signs.bar
        } else {
            ' '
        };
        let cells: String = pieces
            .iter()
            .filter_map(|p| strip.blocks.get(p.block)?.cells.get(row)?.get(p.from..p.to))
            .flatten()
            .collect();
        if cells.trim().is_empty() && row != Rows::NUMBERS {
            continue;
        }
        let line = format!("{name:<width$}{bar}{cells}", width = prefix - 1);
        lines.push(line.trim_end().to_string());
    }
    lines.join("\n")
}
