//! The maps of a survey: keys down, capos across, one map a tuning.

use super::table::key;
use super::{Cell, Field};
use crate::exchange::plain_text;
use std::fmt::Write as _;

/// Marks from the best to the worst; they say the same without colour.
const MARKS: [char; 10] = ['0', '1', '2', '3', '4', '5', '6', '7', '8', '9'];

/// Background colours of the 256-colour table from green by yellow to red, for the same steps.
const COLOURS: [u8; 10] = [22, 28, 64, 100, 136, 130, 94, 130, 124, 88];

/// Maps that stand side by side.
const ABREAST: usize = 3;

/// A map of each tuning: 0 is as easy as the best cell, 9 as hard as the worst, by effort.
pub(super) fn maps(field: &Field, cells: &[Cell], colour: bool) -> String {
    let efforts = || {
        cells
            .iter()
            .filter_map(|c| Some(c.figures.as_ref()?.price.effort()))
    };
    let (Some(least), Some(most)) = (efforts().min(), efforts().max()) else {
        return String::new();
    };
    let mut tunings: Vec<&str> = field.guitars.iter().map(|g| g.tuning.as_str()).collect();
    tunings.dedup();
    let mut text = String::from("\neffort of every key (down) with every capo (across)\n");
    for row in tunings.chunks(ABREAST) {
        let blocks: Vec<Vec<String>> = (row.iter())
            .map(|tuning| block(field, cells, tuning, (least, most), colour))
            .collect();
        text.push('\n');
        let height = blocks.iter().map(Vec::len).max().unwrap_or(0);
        for line in 0..height {
            let parts: Vec<&str> = (blocks.iter())
                .map(|b| b.get(line).map_or("", String::as_str))
                .collect();
            let _ = writeln!(text, "  {}", parts.join("   ").trim_end());
        }
    }
    let _ = writeln!(
        text,
        "\n0 easiest ({:.1} efforts) to 9 hardest ({:.1}); · can't be played",
        least as f64 / 1000.0,
        most as f64 / 1000.0
    );
    text
}

/// One map in lines of one width.
fn block(
    field: &Field,
    cells: &[Cell],
    tuning: &str,
    (least, most): (i64, i64),
    colour: bool,
) -> Vec<String> {
    let guitars: Vec<usize> = (0..field.guitars.len())
        .filter(|&g| field.guitars[g].tuning == tuning)
        .collect();
    let width = 5 + 3 * guitars.len();
    let capos: String = guitars
        .iter()
        .map(|&g| format!("{:>3}", field.guitars[g].capo))
        .collect();
    let mut lines = vec![
        format!(
            "{:<width$}",
            plain_text(tuning).chars().take(width).collect::<String>()
        ),
        format!("{:<5}{capos}", "capo"),
    ];
    for (k, _) in field.songs.iter().enumerate() {
        let name = key(
            field,
            &Cell {
                key: k,
                guitar: 0,
                figures: None,
            },
        );
        let mut line = format!("{name:<5}");
        for &guitar in &guitars {
            let found = cells.iter().find(|c| (c.key, c.guitar) == (k, guitar));
            let effort = found.and_then(|c| Some(c.figures.as_ref()?.price.effort()));
            line += &mark(effort, (least, most), colour);
        }
        lines.push(line);
    }
    lines
}

fn mark(effort: Option<i64>, (least, most): (i64, i64), colour: bool) -> String {
    let Some(effort) = effort else {
        return "  ·".into();
    };
    let step = ((effort - least) * 10 / (most - least + 1).max(1)).clamp(0, 9) as usize;
    match colour {
        true => format!(
            " \u{1b}[38;5;231;48;5;{}m{} \u{1b}[0m",
            COLOURS[step], MARKS[step]
        ),
        false => format!("  {}", MARKS[step]),
    }
}
