//! The ranked list of a survey, and the same for other programs.

use super::{Cell, Field};
use crate::arrange::Figures;
use crate::exchange::plain_text;
use serde_json::{Value, json};
use std::fmt::Write as _;

/// What a list goes by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub(crate) enum By {
    /// What the hands pay and what the music loses.
    Price,
    /// What the hands pay.
    Effort,
    /// How long the bass rings.
    Ring,
    /// How many notes a chord has.
    Full,
}

impl By {
    /// The best first; where two are as good, the one of less price.
    pub(super) fn sort(self, cells: &mut [Cell]) {
        cells.sort_by_key(|c| {
            let rank = c.figures.as_ref().map(|f| (self.rank(f), f.price.total()));
            (rank.is_none(), rank)
        });
    }

    fn rank(self, figures: &Figures) -> i64 {
        match self {
            By::Price => figures.price.total(),
            By::Effort => figures.price.effort(),
            By::Ring => -figures.ring.unwrap_or(0),
            By::Full => -figures.full.unwrap_or(0),
        }
    }
}

/// The best of a survey, a row each.
pub(super) fn list(field: &Field, cells: &[Cell], rows: usize) -> String {
    let title = field.songs.first().map_or("", |s| &s.title);
    let mut text = format!("{}, best first\n\n", plain_text(title));
    text.push_str(
        "  no.  key  tuning         capo  price effort stretch  ring notes barres melody\n",
    );
    for (i, (cell, figures)) in playable(cells).take(rows).enumerate() {
        let guitar = &field.guitars[cell.guitar];
        let line = format!(
            "  {:>3}  {:<4} {:<14} {:>4} {:>6} {:>6} {:>5} % {:>5} {:>5} {:>6} {}–{}",
            i + 1,
            key(field, cell),
            plain_text(&guitar.tuning)
                .chars()
                .take(14)
                .collect::<String>(),
            guitar.capo,
            tenths(figures.price.total()),
            tenths(figures.price.effort()),
            figures.stretch,
            figures.ring.map_or("-".into(), |r| format!("{} %", r / 10)),
            figures
                .full
                .map_or("-".into(), |f| format!("{:.1}", f as f64 / 1000.0)),
            figures.barres,
            figures.range.0,
            figures.range.1,
        );
        let _ = writeln!(text, "{line}");
    }
    let count = playable(cells).count();
    let _ = writeln!(
        text,
        "\n{count} of {} can be played; the key is the one that sounds; ring: how long the bass rings\n\
         of the time it should; notes: how many a chord has",
        cells.len()
    );
    text
}

/// Thousandths as efforts, to a tenth.
fn tenths(thousandths: i64) -> String {
    format!("{:.1}", thousandths as f64 / 1000.0)
}

/// The sounding keynote, with an m where the key is minor.
pub(super) fn key(field: &Field, cell: &Cell) -> String {
    let Some(song) = field.songs.get(cell.key) else {
        return String::new();
    };
    let minor = matches!(song.key.mode, crate::theory::Mode::Minor);
    format!("{}{}", song.key.tonic, if minor { "m" } else { "" })
}

fn playable(cells: &[Cell]) -> impl Iterator<Item = (&Cell, &Figures)> {
    cells.iter().filter_map(|c| Some((c, c.figures.as_ref()?)))
}

/// Every cell, in the order of the list: prices and effort in efforts, shares from 0 to 1.
pub(super) fn json(field: &Field, cells: &[Cell]) -> Value {
    let rows: Vec<Value> = (cells.iter())
        .map(|cell| {
            let guitar = &field.guitars[cell.guitar];
            let place = json!({
                "key": key(field, cell),
                "tuning": guitar.tuning,
                "capo": guitar.capo,
                "playable": cell.figures.is_some(),
            });
            let mut row = place;
            if let (Some(f), Some(row)) = (&cell.figures, row.as_object_mut()) {
                let part = |n: Option<i64>| n.map(|n| n as f64 / 1000.0);
                row.insert("price".into(), json!(f.price.total() as f64 / 1000.0));
                row.insert("effort".into(), json!(f.price.effort() as f64 / 1000.0));
                row.insert("stretch_percent".into(), json!(f.stretch));
                row.insert("bass_ring_share".into(), json!(part(f.ring)));
                row.insert("notes_a_chord".into(), json!(part(f.full)));
                row.insert("barres".into(), json!(f.barres));
                let range = [f.range.0.to_string(), f.range.1.to_string()];
                row.insert("melody".into(), json!(range));
            }
            row
        })
        .collect();
    json!({
        "title": field.songs.first().map(|s| &s.title),
        "cells": rows,
    })
}
