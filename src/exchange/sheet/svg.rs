//! Pages as an SVG image (SVG 1.1), one below the other.
//!
//! Texts stay texts. Each carries the length it was set to, so that it keeps its room where the
//! typeface is not at hand and another one stands in.

use super::Document;
use super::face::Face;
use super::mark::{Ink, Mark, Step};
use std::fmt::Write;

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
        "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"{w}pt\" height=\"{h}pt\" \
         viewBox=\"0 0 {w} {h}\" font-family=\"Andika, sans-serif\">"
    );
    let _ = writeln!(out, "<title>{}</title>", escaped(&document.title));
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
            let style = match face {
                Face::Regular => "",
                Face::Bold => " font-weight=\"bold\"",
                Face::Italic => " font-style=\"italic\"",
            };
            let _ = writeln!(
                out,
                "<text x=\"{}\" y=\"{}\" font-size=\"{}\" textLength=\"{}\" \
                 lengthAdjust=\"spacingAndGlyphs\"{style}{} xml:space=\"preserve\">{}</text>",
                number(from.x),
                number(from.y),
                number(*size),
                number(face.width(text, *size)),
                colour("fill", *ink),
                escaped(text)
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

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            c => out.push(c),
        }
    }
    out
}
