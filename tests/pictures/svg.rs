//! A screen in memory as an SVG: paint under the cells, lines and blocks as shapes, the rest as text.
//!
//! Lines and blocks are drawn, not set, so that they join in any typeface; each piece of text is told
//! how long it is, so that it keeps to its columns.

use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};
use std::collections::BTreeMap;
use std::fmt::Write;
use unicode_width::UnicodeWidthStr;

/// Width and height of a cell, size of the letters, and where they stand in it.
const WIDE: f64 = 8.4;
const HIGH: f64 = 17.0;
const SIZE: f64 = 14.0;
const BASE: f64 = 12.8;
/// The rim around the screen, and how round its corners are.
const RIM: f64 = 12.0;
const ROUND: f64 = 8.0;

const FACES: &str = "ui-monospace, 'DejaVu Sans Mono', Menlo, Consolas, monospace";

/// Colours of what is not painted: ink and ground.
pub struct Bare {
    pub ink: Color,
    pub ground: Color,
}

/// The screen as an SVG of this title.
pub fn svg(buffer: &Buffer, title: &str, bare: &Bare) -> String {
    let (columns, rows) = (buffer.area.width, buffer.area.height);
    let width = f64::from(columns) * WIDE + 2.0 * RIM;
    let height = f64::from(rows) * HIGH + 2.0 * RIM;
    let mut layers = Layers::default();
    for y in 0..rows {
        layers.row(buffer, y, bare);
    }
    let title = escaped(title);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{0}\" height=\"{1}\" \
         viewBox=\"0 0 {0} {1}\" role=\"img\" xml:space=\"preserve\" font-family=\"{FACES}\" \
         font-size=\"{SIZE}\">\n<title>{title}</title>\n\
         <rect width=\"{0}\" height=\"{1}\" rx=\"{ROUND}\" fill=\"{2}\"/>\n",
        short(width),
        short(height),
        hex(bare.ground)
    );
    for shapes in [&layers.grounds, &layers.signs] {
        for (colour, path) in shapes {
            let _ = writeln!(svg, "<path fill=\"{colour}\" d=\"{path}\"/>");
        }
    }
    for (paint, texts) in &layers.texts {
        let _ = write!(svg, "<g {paint}>\n{texts}</g>\n");
    }
    svg + "</svg>\n"
}

/// What is drawn, by its paint.
#[derive(Default)]
struct Layers {
    grounds: BTreeMap<String, String>,
    signs: BTreeMap<String, String>,
    texts: BTreeMap<String, String>,
}

impl Layers {
    fn row(&mut self, buffer: &Buffer, y: u16, bare: &Bare) {
        let cells: Vec<&Cell> = (0..buffer.area.width).map(|x| &buffer[(x, y)]).collect();
        let paints: Vec<Paint> = cells.iter().map(|c| Paint::of(c, bare)).collect();
        let mut x = 0;
        while x < cells.len() {
            let same = |p: &Paint| p.ground == paints[x].ground;
            let long = paints[x..].iter().take_while(|p| same(p)).count();
            if paints[x].ground != hex(bare.ground) {
                let path = self.grounds.entry(paints[x].ground.clone()).or_default();
                add(path, (x, y), [0.0, 0.0, long as f64, 1.0]);
            }
            x += long;
        }
        let mut x = 0;
        while x < cells.len() {
            let (sign, paint) = (cells[x].symbol(), &paints[x]);
            let same = |i: usize| paints[i] == *paint;
            if let Some(boxes) = shape(sign) {
                let long = (x..cells.len()).take_while(|i| same(*i) && cells[*i].symbol() == sign);
                let long = if boxes.iter().all(|b| b[0] == 0.0 && b[2] == 1.0) {
                    long.count()
                } else {
                    1
                };
                let path = self.signs.entry(paint.ink.clone()).or_default();
                for [left, top, wide, high] in boxes {
                    let wide = wide + (long - 1) as f64;
                    add(path, (x, y), [left, top, wide, high]);
                }
                x += long;
            } else if sign == " " {
                x += 1;
            } else {
                let end = (x..cells.len())
                    .find(|i| !same(*i) || is_end(&cells, *i))
                    .unwrap_or(cells.len());
                self.text(&cells[x..end], paint, (x, y));
                x = end;
            }
        }
    }

    fn text(&mut self, cells: &[&Cell], paint: &Paint, (x, y): (usize, u16)) {
        let mut text = String::new();
        let mut skip = 0;
        for cell in cells {
            // The cell behind a wide sign holds nothing of its own.
            if skip == 0 {
                text += cell.symbol();
                skip = cell.symbol().width().saturating_sub(1);
            } else {
                skip -= 1;
            }
        }
        let long = match cells.len() {
            1 => String::new(),
            n => format!(" textLength=\"{}\"", short(n as f64 * WIDE)),
        };
        let _ = writeln!(
            self.texts.entry(paint.text()).or_default(),
            "<text x=\"{}\" y=\"{}\"{long}>{}</text>",
            short(RIM + x as f64 * WIDE),
            short(RIM + f64::from(y) * HIGH + BASE),
            escaped(&text)
        );
    }
}

/// A piece of text ends before two spaces, at a space that ends the row, and before a drawn sign.
fn is_end(cells: &[&Cell], i: usize) -> bool {
    let ends =
        |c: Option<&&Cell>| c.is_none_or(|c| c.symbol() == " " || shape(c.symbol()).is_some());
    match cells[i].symbol() {
        " " => ends(cells.get(i + 1)),
        sign => shape(sign).is_some(),
    }
}

#[derive(PartialEq)]
struct Paint {
    ink: String,
    ground: String,
    bold: bool,
    underlined: bool,
    dim: bool,
}

impl Paint {
    fn of(cell: &Cell, bare: &Bare) -> Paint {
        let or = |colour, otherwise| {
            hex(if colour == Color::Reset {
                otherwise
            } else {
                colour
            })
        };
        let (mut ink, mut ground) = (or(cell.fg, bare.ink), or(cell.bg, bare.ground));
        if cell.modifier.contains(Modifier::REVERSED) {
            std::mem::swap(&mut ink, &mut ground);
        }
        Paint {
            ink,
            ground,
            bold: cell.modifier.contains(Modifier::BOLD),
            underlined: cell.modifier.contains(Modifier::UNDERLINED),
            dim: cell.modifier.contains(Modifier::DIM),
        }
    }

    fn text(&self) -> String {
        let mut words = format!("fill=\"{}\"", self.ink);
        for (is_so, word) in [
            (self.bold, " font-weight=\"700\""),
            (self.underlined, " text-decoration=\"underline\""),
            (self.dim, " opacity=\"0.6\""),
        ] {
            if is_so {
                words += word;
            }
        }
        words
    }
}

/// The boxes (left, top, width, height, in parts of a cell) of a sign that is drawn.
fn shape(sign: &str) -> Option<Vec<[f64; 4]>> {
    /// Half and whole strokes: across the cell, and up and down.
    const ACROSS: f64 = 1.2 / HIGH;
    const DOWN: f64 = 1.2 / WIDE;
    let level = |top: f64| [0.0, top - ACROSS / 2.0, 1.0, ACROSS];
    let upright = |left: f64, times: f64| [left - times * DOWN / 2.0, 0.0, times * DOWN, 1.0];
    let right = [
        0.5 - DOWN / 2.0,
        0.5 - ACROSS / 2.0,
        0.5 + DOWN / 2.0,
        ACROSS,
    ];
    let left = [0.0, 0.5 - ACROSS / 2.0, 0.5 + DOWN / 2.0, ACROSS];
    let up = [0.5 - DOWN / 2.0, 0.0, DOWN, 0.5 + ACROSS / 2.0];
    let down = [
        0.5 - DOWN / 2.0,
        0.5 - ACROSS / 2.0,
        DOWN,
        0.5 + ACROSS / 2.0,
    ];
    let filled = |eighths: f64| vec![[0.0, 1.0 - eighths / 8.0, 1.0, eighths / 8.0]];
    Some(match sign {
        "─" => vec![level(0.5)],
        "═" => vec![level(0.42), level(0.58)],
        "│" => vec![upright(0.5, 1.0)],
        "┃" => vec![upright(0.5, 2.5)],
        "║" => vec![upright(0.3, 1.0), upright(0.7, 1.0)],
        "┼" => vec![level(0.5), upright(0.5, 1.0)],
        "┌" => vec![right, down],
        "┐" => vec![left, down],
        "└" => vec![right, up],
        "┘" => vec![left, up],
        "▬" => vec![[0.0, 0.36, 1.0, 0.28]],
        "▀" => vec![[0.0, 0.0, 1.0, 0.5]],
        "▏" => vec![[0.0, 0.0, 0.125, 1.0]],
        "▁" => filled(1.0),
        "▂" => filled(2.0),
        "▃" => filled(3.0),
        "▄" => filled(4.0),
        "▅" => filled(5.0),
        "▆" => filled(6.0),
        "▇" => filled(7.0),
        "█" => filled(8.0),
        _ => return None,
    })
}

/// Adds a box to a path.
fn add(path: &mut String, (x, y): (usize, u16), [left, top, wide, high]: [f64; 4]) {
    let _ = write!(
        path,
        "M{} {}h{}v{}h-{}z",
        short(RIM + (x as f64 + left) * WIDE),
        short(RIM + (f64::from(y) + top) * HIGH),
        short(wide * WIDE),
        short(high * HIGH),
        short(wide * WIDE)
    );
}

/// A number with no more than two places.
fn short(number: f64) -> String {
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

fn hex(colour: Color) -> String {
    match colour {
        Color::Rgb(r, g, b) => format!("#{r:02x}{g:02x}{b:02x}"),
        other => panic!("{other} is not a colour of a theme for full colour"),
    }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}
