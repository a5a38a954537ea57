//! One song on its pages.

use super::boxes;
use super::cell::Cell;
use super::head;
use super::legend;
use super::lines::{self, Weight};
use super::mark::Canvas;
use super::measure::*;
use super::pages::Pages;
use super::parts;
use super::system::{Block, Set, System};
use super::written::{self, Written};
use crate::arrange::Arrangement;
use crate::exchange::grips::grips;
use crate::song::Close;
use std::ops::Range;

/// Room left of a system for the strings' names.
const NAMES_ROOM: f64 = 13.0;

/// A bar that fills a line when it is set as tight as this is cut.
const TIGHT: f64 = 0.4;
/// What a line break costs: after a section, after four bars, after two, elsewhere.
const BREAKS: [f64; 4] = [-0.1, 0.0, 0.15, 0.2];

/// Sets a song on pages of so much room; each is a page's canvas.
pub(super) fn pages(arrangement: &Arrangement, kind: &str, room: (f64, f64)) -> Vec<Canvas> {
    let (width, height) = room;
    let mut pages = Pages::new(height);
    let bars = written::bars(arrangement);
    let grips = grips(arrangement);
    let legend = legend::block(arrangement, &bars, &grips, width);
    let boxes = boxes::rows(&grips, arrangement.instrument.strings(), width);
    pages.put(head::block(arrangement, kind, width), 0.0, false);
    for (i, row) in boxes.into_iter().enumerate() {
        pages.put(row, if i == 0 { 6.0 } else { 2.0 }, false);
    }
    let systems = systems(arrangement, bars, width);
    for (i, system) in systems.into_iter().enumerate() {
        pages.put(system, if i == 0 { 8.0 } else { SYSTEM_GAP }, i > 0);
    }
    pages.put_where_room_is(legend, LEGEND_GAP);
    pages.finish()
}

/// The music in lines.
fn systems(arrangement: &Arrangement, bars: Vec<Written>, width: f64) -> Vec<Block> {
    let strings: Vec<String> = (arrangement.instrument.open.iter())
        .map(|p| p.name.to_string())
        .collect();
    // The last bar line keeps its whole thickness inside.
    let room = width - NAMES_ROOM - THIN / 2.0;
    let fits = |w: &Written| Cell::new(w, strings.len()).place(TIGHT).width <= room;
    let bars = bars.into_iter().flat_map(|b| parts::parts(b, &fits));
    let bars: Vec<Written> = bars.collect();
    let cells: Vec<Cell> = bars.iter().map(|b| Cell::new(b, strings.len())).collect();
    let weights: Vec<Weight> = (bars.iter().zip(&cells))
        .map(|(written, cell)| Weight {
            best: cell.place(1.0).width,
            least: cell.place(0.0).width,
            after: break_after(written),
        })
        .collect();
    let in_ending = in_endings(&bars);
    let lines = lines::cut(&weights, room);
    let count = lines.len();
    (lines.into_iter().enumerate())
        .map(|(i, line)| {
            let last = i + 1 == count;
            line_of(&bars, &cells, &in_ending, line, &strings, room, last)
        })
        .collect()
}

fn line_of(
    bars: &[Written],
    cells: &[Cell],
    in_ending: &[bool],
    line: Range<usize>,
    strings: &[String],
    room: f64,
    last: bool,
) -> Block {
    let cells = cells.get(line.clone()).unwrap_or(&[]);
    let (placed, scale) = lines::stretched(cells, room, last);
    // A line made smaller keeps its names' room, so that all systems start at one edge.
    let left = NAMES_ROOM / scale;
    let mut x = left;
    let sets = (line.zip(placed).zip(cells)).filter_map(|((index, placed), cell)| {
        let set = Set {
            written: bars.get(index)?,
            lead: cell.lead,
            x,
            in_ending: in_ending.get(index).copied().unwrap_or(false),
            placed,
        };
        x = set.right();
        Some(set)
    });
    let system = System {
        bars: sets.collect(),
        strings,
        left,
    };
    let block = system.draw();
    if scale < 1.0 {
        block.scaled(scale)
    } else {
        block
    }
}

/// What a line break after a bar costs.
fn break_after(written: &Written) -> f64 {
    let [section, four, two, odd] = BREAKS;
    let last_of = written.number.map(|n| n % 4);
    match (written.close, last_of) {
        (None, _) => 10.0 * odd,
        (Some(Close::Double | Close::Repeat(_) | Close::Final), _) => section,
        (Some(Close::Single), Some(0)) => four,
        (Some(Close::Single), Some(2)) => two,
        (Some(Close::Single), _) => odd,
    }
}

/// Whether each bar goes on with an ending that began in an earlier one.
fn in_endings(bars: &[Written]) -> Vec<bool> {
    let mut open = false;
    (bars.iter())
        .map(|b| {
            let starts = b.passes.is_some();
            let goes_on = open && !starts;
            open = (open || starts) && matches!(b.close, None | Some(Close::Single));
            goes_on
        })
        .collect()
}
