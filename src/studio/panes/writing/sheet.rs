//! The bars: numbers, chords, notes by letter, and under each its length.

use crate::exchange::tab::fill;
use crate::song::edit::{Caret, Count, items};
use crate::song::{Bar, Close, Song};
use crate::studio::brush::Brush;
use crate::studio::panes::lines::tempo_text;
use crate::studio::panes::staff::{Pen, pushed_out};
use crate::studio::screens::{Writing, sign};
use crate::studio::theme::Role;
use crate::theory::{Symbol, Ticks};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::ops::Range;

/// Rows of a line of bars: numbers, chords, notes, lengths; and a blank one between two lines.
pub(super) const ROWS: u16 = 4;
/// A note takes at least so many columns, and a blank one behind it.
const NARROWEST: usize = 3;
const NUMBERS: usize = 0;
const CHORDS: usize = 1;
const NOTES: usize = 2;
const LENGTHS: usize = 3;

/// A bar as it is drawn: in each row signs with what they mean.
struct Block {
    rows: [Vec<(char, Role)>; ROWS as usize],
    /// The column before each place of the caret.
    places: Vec<(Ticks, usize)>,
    width: usize,
}

/// Draws as many lines of bars as there is room for, the one of the caret among them.
pub(super) fn draw(writing: &Writing, brush: &Brush, area: Rect, buffer: &mut Buffer) {
    if area.height < ROWS {
        return;
    }
    let room = usize::from(area.width.saturating_sub(2)).max(1);
    let bars = writing.song().bars.len();
    let odd = writing.song().odd_bars();
    let mut blocks: Vec<Block> = (0..bars).map(|i| Block::of(writing, i, &odd)).collect();
    if writing.draft.caret().bar >= bars {
        blocks.push(Block::after(writing));
    }
    let focus = writing.heard().unwrap_or(shown_place(writing).bar);
    let lines = fill(blocks.iter().map(|b| b.width), room);
    let line = lines.iter().position(|l| l.contains(&focus)).unwrap_or(0);
    let each = ROWS + 1;
    let shown = usize::from(((area.height + 1) / each).max(1));
    // The line before the one in question stays in sight.
    let first = (line + 1).saturating_sub(shown).max(line.saturating_sub(1));
    let first = first.min(lines.len().saturating_sub(shown));
    for (i, bars) in lines.iter().skip(first).take(shown).enumerate() {
        let y = area.y + each * i as u16;
        let place = Rect {
            x: area.x + 1,
            y,
            width: area.width.saturating_sub(1),
            height: (area.bottom() - y).min(each),
        };
        draw_line(writing, &blocks, bars.clone(), brush, place, buffer);
    }
}

fn draw_line(
    writing: &Writing,
    blocks: &[Block],
    bars: Range<usize>,
    brush: &Brush,
    area: Rect,
    buffer: &mut Buffer,
) {
    let caret = shown_place(writing);
    let blocks = blocks.get(bars.clone()).unwrap_or_default();
    let shift = shift(blocks, &bars, caret, usize::from(area.width));
    let mut pen = Pen {
        left: i64::from(area.x) - shift as i64,
        from: i64::from(area.x),
        area,
        buffer,
    };
    for (bar, block) in bars.zip(blocks) {
        let marked = writing.mark.is_some() && writing.marked().contains(&bar);
        for (y, row) in block.rows.iter().enumerate() {
            for (x, &(c, role)) in row.iter().enumerate() {
                let mut style = brush.style(role);
                if marked && y != CHORDS {
                    style = style.patch(brush.style(Role::Bar));
                }
                pen.put(x, y, c, style);
            }
        }
        if bar == caret.bar {
            let place = block.places.iter().rev().find(|p| p.0 <= caret.at);
            let column = place.map_or(0, |p| p.1);
            let rows: &[usize] = match writing.chord {
                Some(_) => &[CHORDS],
                None => &[NOTES, LENGTHS],
            };
            for &y in rows {
                pen.put(column, y, '▏', brush.style(Role::Key));
            }
        }
        pen.left += block.width as i64;
    }
}

/// Where the next letter goes: the caret, or the place of the chord that is typed.
fn shown_place(writing: &Writing) -> Caret {
    let chord = writing.chord.as_ref();
    chord.map_or(writing.draft.caret(), |chord| chord.at)
}

/// How far a bar that is too wide for the line is pushed out to show the caret.
fn shift(blocks: &[Block], bars: &Range<usize>, caret: Caret, room: usize) -> usize {
    let whole: usize = blocks.iter().map(|b| b.width).sum();
    match blocks.first() {
        Some(block) if bars.contains(&caret.bar) => {
            let place = block.places.iter().rev().find(|p| p.0 <= caret.at);
            let column = place.map_or(0, |p| p.1);
            pushed_out(whole, room, column)
        }
        _ => 0,
    }
}

impl Block {
    /// A bar; `odd` are the numbers of those that don't add up.
    fn of(writing: &Writing, index: usize, odd: &[u32]) -> Block {
        let mut block = Block::empty();
        let Some(bar) = writing.song().bars.get(index) else {
            return block;
        };
        if bar.opens_repeat {
            block.column(["", "", "║:", "║:"].map(|t| (t.to_string(), Role::Text)), 0);
        }
        let before = writing.draft.before();
        let is_last = |at: Ticks| before.is_some_and(|(b, item)| (b, item.at) == (index, at));
        let head = block.width;
        block.blank();
        for item in items(bar) {
            block.places.push((item.at, block.width - 1));
            let note = match item.note {
                Some(note) if note.tied => format!("{}‿", note.pitch),
                Some(note) => note.pitch.to_string(),
                None => "–".into(),
            };
            let role = match (is_last(item.at), item.note) {
                (true, _) => Role::Cursor,
                (_, Some(_)) => Role::Melody,
                _ => Role::Quiet,
            };
            let cells = [
                (String::new(), Role::Quiet),
                (chord_text(bar, item.at), Role::Chord),
                (note, role),
                (sign(item.length), Role::Quiet),
            ];
            block.column(cells, NARROWEST);
            block.blank();
        }
        block.places.push((bar.length, block.width - 1));
        let line = ["", "", closing(bar), closing(bar)];
        block.column(line.map(|t| (t.to_string(), Role::Text)), 0);
        let odd = odd.contains(&bar.number);
        block.number(writing, index, bar, head, odd);
        block
    }

    /// The bar that is not there yet.
    fn after(writing: &Writing) -> Block {
        let mut block = Block::empty();
        block.blank();
        block.places.push((0, 0));
        let number = writing.draft.count().number.to_string();
        let cells = [number, String::new(), String::new(), String::new()];
        block.column(cells.map(|t| (t, Role::Quiet)), 0);
        block
    }

    fn empty() -> Block {
        Block {
            rows: Default::default(),
            places: Vec::new(),
            width: 0,
        }
    }

    fn blank(&mut self) {
        self.width += 1;
        self.pad();
    }

    /// A column of four texts, as wide as the widest and at least so wide.
    fn column(&mut self, cells: [(String, Role); ROWS as usize], least: usize) {
        let widths = cells.iter().map(|(text, _)| text.chars().count());
        let widest = widths.max().unwrap_or(0).max(least);
        for (row, (text, role)) in self.rows.iter_mut().zip(cells) {
            row.extend(text.chars().map(|c| (c, role)));
        }
        self.width += widest;
        self.pad();
    }

    fn pad(&mut self) {
        for row in &mut self.rows {
            row.resize(self.width.max(row.len()), (' ', Role::Quiet));
        }
    }

    /// The number over the bar, its ending, and its arithmetic where it does not add up.
    fn number(&mut self, writing: &Writing, index: usize, bar: &Bar, head: usize, odd: bool) {
        let here = index == shown_place(writing).bar;
        let playing = writing.heard() == Some(index);
        let lead = match (playing, here) {
            (true, _) => '▾',
            (_, true) => '▸',
            _ => ' ',
        };
        let mut text = match bar.number {
            0 => "pickup".to_string(),
            n => n.to_string(),
        };
        if !bar.ending.is_empty() {
            let passes: Vec<String> = bar.ending.iter().map(u8::to_string).collect();
            text = format!("{text} [{}.", passes.join(","));
        }
        if let Close::Repeat(times) = bar.close
            && times > 2
        {
            text = format!("{text} ×{times}");
        }
        text += &changes(writing.song(), index);
        let role = if here { Role::Title } else { Role::Quiet };
        let mut signs: Vec<(char, Role)> = vec![(' ', Role::Quiet); head];
        signs.push((lead, Role::Key));
        signs.extend(text.chars().map(|c| (c, role)));
        let count = Count::of(writing.song(), index);
        if let Some(count) = count.filter(|_| odd) {
            let sum = count.to_string();
            let sum = sum.split_once(": ").map_or("", |s| s.1);
            // The last bar is still being written.
            let (sign, role) = match index + 1 == writing.song().bars.len() {
                true => ("", Role::Quiet),
                false => ("!", Role::Warning),
            };
            signs.extend(format!("  {sign}{sum}").chars().map(|c| (c, role)));
        }
        // The number may make the bar wider, but the bar line stays at its end.
        let short = (signs.len() + 1).saturating_sub(self.width);
        if short > 0 {
            let line = closing(bar).chars().count();
            for row in &mut self.rows {
                let at = row.len().saturating_sub(line);
                row.splice(at..at, vec![(' ', Role::Quiet); short]);
            }
            self.width += short;
        }
        if let Some(row) = self.rows.get_mut(NUMBERS) {
            for (cell, sign) in row.iter_mut().zip(signs) {
                *cell = sign;
            }
        }
    }
}

/// What changes with a bar: meter, key, tempo.
fn changes(song: &Song, index: usize) -> String {
    let before = index.checked_sub(1).and_then(|i| song.bars.get(i));
    let (Some(before), Some(bar)) = (before, song.bars.get(index)) else {
        return String::new();
    };
    let mut text = String::new();
    if bar.meter != before.meter {
        text += &format!(" {}", bar.meter);
    }
    if bar.key != before.key {
        text += &format!(" {}", bar.key);
    }
    if let Some(tempo) = bar.tempo {
        text += &format!(" {}", tempo_text(tempo, 100));
    }
    text
}

fn chord_text(bar: &Bar, at: Ticks) -> String {
    let here = bar.chords.iter().find(|c| c.at == at);
    here.map_or_else(String::new, |c| match &c.symbol {
        Symbol::Chord(chord) => chord.to_string(),
        Symbol::NoChord => "N.C.".into(),
    })
}

/// The bar line at the end.
fn closing(bar: &Bar) -> &'static str {
    match bar.close {
        Close::Single => "│",
        Close::Double => "║",
        Close::Final => "│█",
        Close::Repeat(_) => ":║",
    }
}
