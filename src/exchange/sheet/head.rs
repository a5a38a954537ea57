//! What stands around the music of a song: its title block and the meaning of the signs.

use super::face::{Face, cut, shown, wrapped};
use super::mark::{Canvas, at};
use super::signs;
use super::system::Block;
use crate::arrange::{Arrangement, Technique};
use crate::exchange::left_hand::{Way, slurs};
use crate::exchange::tab::layers;
use crate::guitar::Instrument;

/// Sizes a title is tried at, and how many lines it may take at the last.
const TITLES: [f64; 3] = [22.0, 18.0, 15.0];
const TITLE_LINES: usize = 3;
const BYLINE: f64 = 10.0;
const FACTS: f64 = 8.8;
const LEGEND: f64 = 7.2;

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

/// What the signs used in this song mean, for who reads such a sheet for the first time.
pub(super) fn legend(arrangement: &Arrangement, width: f64) -> Block {
    let text = legend_text(arrangement);
    let mut canvas = Canvas::default();
    canvas.line(at(0.0, 0.2), at(width, 0.2), 0.4);
    let mut y = 3.0;
    for line in wrapped(Face::Regular, &text, LEGEND, width, 6) {
        y += LEGEND * 1.3;
        canvas.text(0.0, y, Face::Regular, LEGEND, &line);
    }
    Block {
        height: y + 2.0,
        canvas,
    }
}

fn legend_text(arrangement: &Arrangement) -> String {
    let plucks = &arrangement.plucks;
    let way = |technique| plucks.iter().any(|p| p.technique == technique);
    let barre = (arrangement.slices.iter()).any(|s| s.grip.barres().next().is_some());
    let mut signs = vec!["numbers are frets, 0 is open"];
    if plucks.iter().any(|p| p.left > 0) {
        signs.push("small figures before them the left fingers, 1 index to 4 little finger");
    }
    if plucks.iter().any(|p| p.plucked_by().is_some()) {
        signs.push(
            "below the right hand, the highest string on top: p thumb, i index, m middle, a ring",
        );
    }
    if !plucks.is_empty() {
        signs.push("a thick line: let the string ring to its end");
    }
    signs.push("stems above the tune, below what goes with it; a half note has a short stem, a whole note none");
    if barre {
        signs.push("B5:1-4 barre at fret 5 over strings 1 to 4");
    }
    if arrangement.instrument.capo > 0 {
        signs.push("frets and names in brackets count from the capo");
    }
    for (technique, text) in [
        (
            Technique::Roll,
            "a wave: one after another from the lowest string",
        ),
        (Technique::Brush, "an arrow: brush with the thumb"),
        (Technique::Harmonic, "<12> natural harmonic over that fret"),
        (Technique::Hit, "× hit"),
    ] {
        if way(technique) {
            signs.push(text);
        }
    }
    let slurs: Vec<Way> = slurs(plucks).iter().flatten().map(|s| s.way).collect();
    if slurs.iter().any(|w| !w.is_slide()) {
        signs.push("a bow: hammered on or pulled off");
    }
    if slurs.iter().any(|w| w.is_slide()) {
        signs.push("a slanted stroke: slide with the same finger");
    }
    let mut text = signs.join("; ");
    text.push('.');
    format!("Signs: {text}")
}
