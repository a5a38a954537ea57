//! The title block of a song.

use super::face::{Face, cut, shown, wrapped};
use super::mark::{Canvas, at};
use super::signs;
use super::system::Block;
use crate::arrange::Arrangement;
use crate::exchange::tab::layers;
use crate::guitar::Instrument;

/// Sizes a title is tried at, and how many lines it may take at the last.
const TITLES: [f64; 3] = [22.0, 18.0, 15.0];
const TITLE_LINES: usize = 3;
const BYLINE: f64 = 10.0;
const FACTS: f64 = 8.8;

/// The title of a song as it is shown.
pub(super) fn title_of(arrangement: &Arrangement) -> String {
    let title = shown(arrangement.song.title.trim());
    if title.trim().is_empty() {
        "Without a title".into()
    } else {
        title
    }
}

/// Title, composer, what kind of sheet it is, and the facts a player needs before the first note.
pub(super) fn block(arrangement: &Arrangement, kind: &str, width: f64) -> Block {
    let mut canvas = Canvas::default();
    let title = title_of(arrangement);
    let fits = |&size: &f64| Face::Bold.width(&title, size) <= width;
    let size = TITLES.into_iter().find(|s| fits(s)).unwrap_or(TITLES[2]);
    let mut y = 0.0;
    let mut below = 0.0;
    for line in wrapped(Face::Bold, &title, size, width, TITLE_LINES) {
        y = under((y, below), (Face::Bold, size, &line));
        below = Face::Bold.reach(&line, size).1;
        canvas.text(0.0, y, Face::Bold, size, &line);
    }
    y += size * 0.3;
    below = (below - size * 0.3).max(0.0);
    let composer = shown(arrangement.song.composer.as_deref().unwrap_or("").trim());
    if !composer.is_empty() || !kind.is_empty() {
        y = under((y, below), (Face::Italic, BYLINE, &composer)).max(y + BYLINE * 1.15);
        below = Face::Italic.reach(&composer, BYLINE).1 - 2.0;
        let right = Face::Italic.width(kind, BYLINE);
        let room = width - right - 12.0;
        canvas.text(
            0.0,
            y,
            Face::Italic,
            BYLINE,
            &cut(Face::Italic, &composer, BYLINE, room),
        );
        canvas.ending(width, y, Face::Italic, BYLINE, kind);
        y += 2.0;
    }
    y += below.max(0.0) + 4.0;
    canvas.line(at(0.0, y), at(width, y), 1.2);
    y += 12.5;
    let tempo = arrangement.song.tempo;
    let from = signs::tempo(&mut canvas, 0.0, y, FACTS, tempo) + 12.0;
    for line in wrapped(Face::Regular, &facts(arrangement), FACTS, width - from, 4) {
        canvas.text(from, y, Face::Regular, FACTS, &line);
        y += FACTS * 1.3;
    }
    Block {
        height: y + 2.0,
        canvas,
    }
}

/// The baseline of a line under another one, of which the baseline and the reach below it are known.
/// Letters with several accents are higher than a line usually is.
fn under((y, below): (f64, f64), (face, size, text): (Face, f64, &str)) -> f64 {
    let (above, _) = face.reach(text, size);
    (y + size * 1.05).max(y + below + above + 1.0)
}

/// Key, meter, capo, tuning, layers.
fn facts(arrangement: &Arrangement) -> String {
    let instrument = &arrangement.instrument;
    let mut facts = vec![arrangement.song.key.to_string()];
    facts.extend(arrangement.song.bars.first().map(|b| b.meter.to_string()));
    if instrument.capo > 0 {
        facts.push(format!("capo at fret {}", instrument.capo));
    }
    let open = instrument.open.iter().rev();
    let names: Vec<String> = open.map(|p| p.name.to_string()).collect();
    let names = names.join(" ");
    let is_named = Instrument::tunings().any(|t| t == instrument.tuning);
    facts.push(if is_named {
        format!("{} tuning, {names}", instrument.tuning)
    } else {
        format!("tuning {names}")
    });
    facts.push(layers(arrangement.layer));
    facts.join("  ·  ")
}
