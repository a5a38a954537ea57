//! The last step of drawing: what was drawn, in the letters that the terminal shows.

use super::brush::Spots;
use crate::exchange::letters::{Cell, Letters};
use ratatui::buffer::Buffer;

/// Puts a whole screen into these letters; clicks do what is under them then.
pub(super) fn fit(letters: Letters, buffer: &mut Buffer, spots: &mut Spots) {
    if letters == Letters::All {
        return;
    }
    let area = buffer.area;
    for y in area.top()..area.bottom() {
        let drawn: Vec<_> = (area.left()..area.right())
            .map(|x| buffer[(x, y)].clone())
            .collect();
        let signs: Vec<&str> = drawn.iter().map(|c| c.symbol()).collect();
        if signs.iter().all(|sign| letters.shows(sign)) {
            continue;
        }
        let row = letters.row(&signs);
        for (x, Cell { from, sign }) in (area.left()..).zip(&row) {
            let mut cell = drawn[*from].clone();
            if let Some(sign) = sign {
                cell.set_char(*sign);
            }
            buffer[(x, y)] = cell;
        }
        let place = |x: u16| row.partition_point(|c| c.from < usize::from(x - area.left()));
        spots.follow(y, |x| area.left() + place(x) as u16);
    }
}
