//! Pages as an SVG image (SVG 1.1), one below the other.
//!
//! What is seen of a text are the outlines of its glyphs, so that it looks the same where the typeface
//! is not at hand; over them lies the text itself, unseen, to be searched, selected and read aloud.

use super::Document;
use super::face::Face;
use super::mark::{Ink, Mark, Step};
use quick_xml::escape::partial_escape;
use std::collections::BTreeSet;
use std::fmt::Write;
use ttf_parser::{GlyphId, OutlineBuilder};

/// Between two pages.
const BETWEEN: f64 = 24.0;

pub(super) fn write(document: &Document) -> String {
    let (width, height) = document.size;
    let count = document.pages.len();
    let whole = height * count as f64 + BETWEEN * count.saturating_sub(1) as f64;
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    let (w, h) = (number(width), number(whole));
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" \
         version=\"1.1\" width=\"{w}pt\" height=\"{h}pt\" viewBox=\"0 0 {w} {h}\" \
         font-family=\"Andika, sans-serif\">"
    );
    let _ = writeln!(out, "<title>{}</title>", partial_escape(&document.title));
    glyphs(&mut out, document);
    for (i, page) in document.pages.iter().enumerate() {
        let top = number((height + BETWEEN) * i as f64);
        let _ = writeln!(
            out,
            "<g id=\"page-{}\" transform=\"translate(0 {top})\">",
            i + 1
        );
        let _ = writeln!(
            out,
            "<rect width=\"{w}\" height=\"{}\" fill=\"#fff\"/>",
            number(height)
        );
        page.iter().for_each(|m| mark(&mut out, m));
        out.push_str("</g>\n");
    }
    out.push_str("</svg>\n");
    out
}

fn mark(out: &mut String, mark: &Mark) {
    match mark {
        Mark::Text {
            from,
            size,
            face,
            text,
            ink,
        } => {
            let (x, y) = (number(from.x), number(from.y));
            outlines(out, (&x, &y), (*face, *size), text, *ink);
            let _ = writeln!(
                out,
                "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" textLength=\"{}\" \
                 lengthAdjust=\"spacingAndGlyphs\" fill-opacity=\"0\" xml:space=\"preserve\">{}</text>",
                number(*size),
                number(face.width(text, *size)),
                partial_escape(text)
            );
        }
        Mark::Line {
            from,
            to,
            weight,
            ink,
        } => {
            let stroke = match ink {
                Ink::Black => " stroke=\"#000\"".into(),
                ink => colour("stroke", *ink),
            };
            let _ = writeln!(
                out,
                "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke-width=\"{}\"{stroke}/>",
                number(from.x),
                number(from.y),
                number(to.x),
                number(to.y),
                number(*weight)
            );
        }
        Mark::Shape { steps, ink } => {
            out.push_str("<path d=\"");
            for step in steps {
                let _ = match step {
                    Step::Move(p) => write!(out, "M{} {}", number(p.x), number(p.y)),
                    Step::Line(p) => write!(out, "L{} {}", number(p.x), number(p.y)),
                    Step::Curve(a, b, c) => {
                        let all = [a.x, a.y, b.x, b.y, c.x, c.y].map(number);
                        write!(out, "C{}", all.join(" "))
                    }
                    Step::Close => write!(out, "Z"),
                };
            }
            let _ = writeln!(out, "\"{}/>", colour("fill", *ink));
        }
    }
}

/// The outlines of all glyphs used, in the units of the font, upwards.
fn glyphs(out: &mut String, document: &Document) {
    let mut used: BTreeSet<(Face, u16)> = BTreeSet::new();
    for mark in document.pages.iter().flatten() {
        if let Mark::Text { face, text, .. } = mark {
            used.extend(text.chars().filter_map(|c| Some((*face, face.glyph(c)?.0))));
        }
    }
    out.push_str("<defs>\n");
    for (face, glyph) in used {
        let mut outline = Outline(String::new());
        let drawn = face
            .parsed()
            .and_then(|f| f.outline_glyph(GlyphId(glyph), &mut outline));
        if drawn.is_some() {
            let _ = writeln!(
                out,
                "<path id=\"{}\" d=\"{}\"/>",
                id(face, glyph),
                outline.0
            );
        }
    }
    out.push_str("</defs>\n");
}

fn id(face: Face, glyph: u16) -> String {
    let face = match face {
        Face::Regular => 'r',
        Face::Bold => 'b',
        Face::Italic => 'i',
    };
    format!("{face}{glyph}")
}

/// A text drawn glyph by glyph.
fn outlines(
    out: &mut String,
    (x, y): (&str, &str),
    (face, size): (Face, f64),
    text: &str,
    ink: Ink,
) {
    let Some(font) = face.parsed() else {
        return;
    };
    let scale = size / f64::from(font.units_per_em());
    let _ = write!(
        out,
        "<g transform=\"translate({x} {y}) scale({scale:.6} -{scale:.6})\"{}>",
        colour("fill", ink)
    );
    let mut along = 0u32;
    for glyph in text.chars().filter_map(|c| face.glyph(c)) {
        if font.glyph_bounding_box(glyph).is_some() {
            let _ = write!(out, "<use xlink:href=\"#{}\"", id(face, glyph.0));
            if along > 0 {
                let _ = write!(out, " x=\"{along}\"");
            }
            out.push_str("/>");
        }
        along += font.glyph_hor_advance(glyph).map_or(0, u32::from);
    }
    out.push_str("</g>\n");
}

/// An outline as the data of an SVG path.
struct Outline(String);

impl OutlineBuilder for Outline {
    fn move_to(&mut self, x: f32, y: f32) {
        let _ = write!(self.0, "M{x} {y}");
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let _ = write!(self.0, "L{x} {y}");
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let _ = write!(self.0, "Q{x1} {y1} {x} {y}");
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let _ = write!(self.0, "C{x1} {y1} {x2} {y2} {x} {y}");
    }

    fn close(&mut self) {
        self.0.push('Z');
    }
}

/// Black is what SVG fills with anyway.
fn colour(what: &str, ink: Ink) -> String {
    match ink {
        Ink::Black => String::new(),
        Ink::Grey => format!(" {what}=\"#595959\""),
        Ink::White => format!(" {what}=\"#fff\""),
    }
}

/// A length to a hundredth of a point, without needless noughts.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".into()
    } else {
        text.into()
    }
}
