//! Several songs, or one in several grades, bound together with a page of contents.

use super::face::{Face, cut, shown};
use super::head::title_of;
use super::mark::{Canvas, Mark, at};
use super::song;
use super::{Area, Document, Link, MARGIN, Options};
use crate::arrange::Arrangement;

/// A song of a booklet.
#[derive(Debug, Clone, Copy)]
pub struct Part<'a> {
    /// The song, arranged.
    pub arrangement: &'a Arrangement,
    /// What kind of sheet it is (`easy`, `full`), or nothing.
    pub kind: &'a str,
}

/// What is bound together.
#[derive(Debug, Clone)]
pub struct Booklet<'a> {
    /// What the whole is called; when empty, the first song's title is taken.
    pub title: &'a str,
    /// The songs in order. Several of them get a page of contents.
    pub parts: Vec<Part<'a>>,
}

/// Room at the foot of a page for its number.
const FOOTER: f64 = 13.0;
const FOOTER_SIZE: f64 = 7.5;
/// Sizes of the contents.
const TITLE: f64 = 24.0;
const LINE: f64 = 11.0;
const LINE_STEP: f64 = 19.0;
const DOT_STEP: f64 = 5.0;
const HEAD: f64 = 62.0;

impl<'a> Booklet<'a> {
    /// Songs one after another.
    pub fn of(arrangements: &'a [Arrangement]) -> Booklet<'a> {
        let part = |arrangement| Part {
            arrangement,
            kind: "",
        };
        Booklet {
            title: "",
            parts: arrangements.iter().map(part).collect(),
        }
    }

    /// Sets everything on pages.
    pub fn lay_out(&self, options: Options) -> Document {
        let (scale, size) = (options.scale(), options.paper.size());
        let room = (
            (size.0 - 2.0 * MARGIN.0) / scale,
            (size.1 - 2.0 * MARGIN.1) / scale,
        );
        let inner = (room.0, room.1 - FOOTER);
        let songs: Vec<(String, Vec<Canvas>)> = (self.parts.iter())
            .map(|p| {
                (
                    title_of(p.arrangement),
                    song::pages(p.arrangement, p.kind, inner),
                )
            })
            .collect();
        let before = self.contents_pages(inner);
        let mut first = before;
        let mut starts = Vec::new();
        for (_, pages) in &songs {
            starts.push(first);
            first += pages.len();
        }
        let mut sheets: Vec<(String, Canvas)> = (self.contents(&starts, before, inner))
            .into_iter()
            .map(|c| (String::new(), c))
            .collect();
        for (title, pages) in songs {
            sheets.extend(pages.into_iter().map(|p| (title.clone(), p)));
        }
        let all = sheets.len();
        let finished = sheets
            .into_iter()
            .enumerate()
            .map(|(i, (title, mut canvas))| {
                footer(&mut canvas, &title, (i + 1, all), room);
                let place = |m: &Mark| m.placed(scale, at(MARGIN.0, MARGIN.1));
                canvas.marks.iter().map(place).collect()
            });
        Document {
            pages: finished.collect(),
            title: self.name(),
            author: self.author(),
            size,
            links: links(&starts, before, inner, scale),
            parts: (self.parts.iter().map(Part::name).zip(starts)).collect(),
        }
    }

    fn name(&self) -> String {
        let own = shown(self.title.trim());
        match self.parts.first() {
            Some(part) if own.is_empty() => title_of(part.arrangement),
            _ => own,
        }
    }

    /// The composer, where the whole is by one.
    fn author(&self) -> Option<String> {
        let mut composers = self.parts.iter().map(|p| &p.arrangement.song.composer);
        let first = composers.next()?.as_deref()?;
        composers
            .all(|c| c.as_deref() == Some(first))
            .then(|| shown(first))
    }

    /// How many lines of contents a page holds.
    fn lines(room: (f64, f64)) -> usize {
        (((room.1 - HEAD) / LINE_STEP) as usize).max(1)
    }

    fn contents_pages(&self, room: (f64, f64)) -> usize {
        if self.parts.len() < 2 {
            return 0;
        }
        self.parts.len().div_ceil(Self::lines(room))
    }

    fn contents(&self, starts: &[usize], pages: usize, room: (f64, f64)) -> Vec<Canvas> {
        if pages == 0 {
            return Vec::new();
        }
        let entries: Vec<(&Part, usize)> = self.parts.iter().zip(starts.iter().copied()).collect();
        let title = match shown(self.title.trim()) {
            own if own.is_empty() => "Contents".into(),
            own => own,
        };
        (entries.chunks(Self::lines(room)))
            .map(|chunk| {
                let mut canvas = Canvas::default();
                let head = cut(Face::Bold, &title, TITLE, room.0);
                canvas.text(0.0, TITLE, Face::Bold, TITLE, &head);
                canvas.line(at(0.0, TITLE + 12.0), at(room.0, TITLE + 12.0), 1.2);
                for (i, (part, start)) in chunk.iter().enumerate() {
                    let y = HEAD + LINE_STEP * i as f64;
                    entry(&mut canvas, part, start + 1, y, room.0);
                }
                canvas
            })
            .collect()
    }
}

/// Each line of the contents leads to its song.
fn links(starts: &[usize], contents: usize, room: (f64, f64), scale: f64) -> Vec<Link> {
    let lines = Booklet::lines(room);
    let listed = starts.iter().take(contents * lines).enumerate();
    listed
        .map(|(i, &to)| {
            let y = MARGIN.1 + scale * (HEAD + LINE_STEP * (i % lines) as f64);
            Link {
                page: i / lines,
                area: Area {
                    left: MARGIN.0,
                    top: y - scale * LINE,
                    right: MARGIN.0 + scale * room.0,
                    bottom: y + scale * (LINE_STEP - LINE) / 2.0,
                },
                to,
            }
        })
        .collect()
}

impl Part<'_> {
    fn name(&self) -> String {
        let title = title_of(self.arrangement);
        if self.kind.is_empty() {
            title
        } else {
            format!("{title}, {}", self.kind)
        }
    }
}

/// A line of the contents: title, kind, key, and the page at its end.
fn entry(canvas: &mut Canvas, part: &Part, page: usize, y: f64, width: f64) {
    let page = page.to_string();
    let key = part.arrangement.song.key.to_string();
    let number = width - Face::Regular.width(&page, LINE);
    let key_from = width - 110.0;
    let kind_room = Face::Italic.width(part.kind, LINE) + 8.0;
    let title = title_of(part.arrangement);
    let title = cut(Face::Regular, &title, LINE, key_from - 12.0 - kind_room);
    let end = canvas.text(0.0, y, Face::Regular, LINE, &title);
    let end = canvas.text(end + 8.0, y, Face::Italic, LINE, part.kind);
    // Dots in one grid on all lines, where there is room for a few.
    let dots = ((key_from - 8.0 - end) / DOT_STEP) as usize;
    for i in 1..=(if dots > 3 { dots } else { 0 }) {
        canvas.disc(key_from - 4.0 - DOT_STEP * i as f64, y - 1.0, 0.45);
    }
    let key = cut(Face::Regular, &key, LINE - 2.0, number - 8.0 - key_from);
    canvas.text(key_from, y, Face::Regular, LINE - 2.0, &key);
    canvas.text(number, y, Face::Regular, LINE, &page);
}

/// The song's title and the page's number.
fn footer(canvas: &mut Canvas, title: &str, (page, all): (usize, usize), room: (f64, f64)) {
    let y = room.1 - 3.2;
    let number = format!("{page} / {all}");
    let wide = Face::Regular.width(&number, FOOTER_SIZE);
    let title = cut(Face::Regular, title, FOOTER_SIZE, room.0 - wide - 20.0);
    canvas.text(0.0, y, Face::Regular, FOOTER_SIZE, &title);
    canvas.ending(room.0, y, Face::Regular, FOOTER_SIZE, &number);
}
