//! Pages as a PDF file (ISO 32000): texts as texts, the glyphs used of each face embedded.

use super::Document;
use super::face::Face;
use super::mark::{Ink, Mark, Point, Step};
use pdf_writer::types::{
    ActionType, AnnotationType, CidFontType, FontFlags, SystemInfo, UnicodeCmap,
};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use std::collections::BTreeMap;
use subsetter::GlyphRemapper;
use ttf_parser::GlyphId;

pub(super) fn write(document: &Document) -> Vec<u8> {
    let mut file = File {
        pdf: Pdf::new(),
        next: Ref::new(1),
    };
    let (catalog, tree) = (file.id(), file.id());
    let fonts: Vec<Font> = (Face::ALL.into_iter())
        .map(|face| Font::new(face, document, file.id()))
        .filter(|f| !f.glyphs.is_empty())
        .collect();
    let pages: Vec<(Ref, Ref)> = document
        .pages
        .iter()
        .map(|_| (file.id(), file.id()))
        .collect();
    let outline = file.outline(document, &pages);
    let mut root = file.pdf.catalog(catalog);
    root.pages(tree);
    root.lang(TextStr("en"));
    if let Some(outline) = outline {
        root.outlines(outline);
    }
    root.viewer_preferences().display_doc_title(true);
    root.finish();
    let kids = pages.iter().map(|p| p.0);
    (file.pdf.pages(tree)).kids(kids).count(pages.len() as i32);
    for (i, (marks, (page, content))) in document.pages.iter().zip(&pages).enumerate() {
        let links = file.links(document, i, &pages);
        file.page(marks, document.size, (*page, *content, tree), &fonts, links);
    }
    for font in &fonts {
        file.font(font);
    }
    let info = file.id();
    let mut facts = file.pdf.document_info(info);
    facts.title(TextStr(&document.title));
    if let Some(author) = &document.author {
        facts.author(TextStr(author));
    }
    facts.creator(TextStr(concat!("Thumbline ", env!("CARGO_PKG_VERSION"))));
    facts.finish();
    file.pdf.finish()
}

/// A file while it is written.
struct File {
    pdf: Pdf,
    next: Ref,
}

/// A face as far as it is used.
struct Font {
    face: Face,
    id: Ref,
    /// The glyphs used, each with the character it shows.
    glyphs: BTreeMap<u16, char>,
    remapper: GlyphRemapper,
}

impl Font {
    fn new(face: Face, document: &Document, id: Ref) -> Font {
        let mut glyphs = BTreeMap::new();
        for mark in document.pages.iter().flatten() {
            if let Mark::Text { face: of, text, .. } = mark
                && *of == face
            {
                let all = text.chars().filter_map(|c| Some((face.glyph(c)?.0, c)));
                glyphs.extend(all);
            }
        }
        let mut remapper = GlyphRemapper::new();
        for &glyph in glyphs.keys() {
            remapper.remap(glyph);
        }
        Font {
            face,
            id,
            glyphs,
            remapper,
        }
    }

    /// The name of the font within a page.
    fn key(&self) -> &'static [u8] {
        match self.face {
            Face::Regular => b"F0",
            Face::Bold => b"F1",
            Face::Italic => b"F2",
        }
    }

    /// The name of a part of a font: six capitals, then the font's own.
    fn name(&self) -> String {
        let tag = match self.face {
            Face::Regular => "SHEETA",
            Face::Bold => "SHEETB",
            Face::Italic => "SHEETC",
        };
        format!("{tag}+{}", self.face.name())
    }

    fn encoded(&self, text: &str) -> Vec<u8> {
        let glyphs = text.chars().filter_map(|c| self.face.glyph(c));
        let new = glyphs.filter_map(|g| self.remapper.get(g.0));
        new.flat_map(u16::to_be_bytes).collect()
    }
}

impl File {
    fn id(&mut self) -> Ref {
        self.next.bump()
    }

    fn stream(&mut self, id: Ref, data: &[u8]) {
        let packed = miniz_oxide::deflate::compress_to_vec_zlib(data, 6);
        self.pdf.stream(id, &packed).filter(Filter::FlateDecode);
    }

    /// The list of parts that a reader shows beside the pages, where there are several.
    fn outline(&mut self, document: &Document, pages: &[(Ref, Ref)]) -> Option<Ref> {
        if document.parts.len() < 2 {
            return None;
        }
        let root = self.id();
        let items: Vec<Ref> = document.parts.iter().map(|_| self.id()).collect();
        for (i, (title, page)) in document.parts.iter().enumerate() {
            let id = items[i];
            let mut item = self.pdf.outline_item(id);
            item.title(TextStr(title)).parent(root);
            if let Some(&before) = i.checked_sub(1).and_then(|b| items.get(b)) {
                item.prev(before);
            }
            if let Some(&after) = items.get(i + 1) {
                item.next(after);
            }
            if let Some(&(page, _)) = pages.get(*page) {
                item.dest().page(page).fit();
            }
        }
        let mut outline = self.pdf.outline(root);
        if let (Some(&first), Some(&last)) = (items.first(), items.last()) {
            outline.first(first).last(last).count(items.len() as i32);
        }
        Some(root)
    }

    /// What leads from one page to others.
    fn links(&mut self, document: &Document, page: usize, pages: &[(Ref, Ref)]) -> Vec<Ref> {
        let mut ids = Vec::new();
        for link in document.links.iter().filter(|l| l.page == page) {
            let Some(&(to, _)) = pages.get(link.to) else {
                continue;
            };
            let id = self.id();
            let (a, height) = (link.area, document.size.1);
            let mut note = self.pdf.annotation(id);
            note.subtype(AnnotationType::Link)
                .border(0.0, 0.0, 0.0, None);
            note.rect(Rect::new(
                rounded(a.left),
                rounded(height - a.bottom),
                rounded(a.right),
                rounded(height - a.top),
            ));
            let mut action = note.action();
            action.action_type(ActionType::GoTo);
            action.destination().page(to).fit();
            ids.push(id);
        }
        ids
    }

    fn page(
        &mut self,
        marks: &[Mark],
        (width, height): (f64, f64),
        (page, content, tree): (Ref, Ref, Ref),
        fonts: &[Font],
        links: Vec<Ref>,
    ) {
        let mut head = self.pdf.page(page);
        head.media_box(Rect::new(0.0, 0.0, width as f32, height as f32));
        head.parent(tree).contents(content);
        if !links.is_empty() {
            head.annotations(links);
        }
        let mut resources = head.resources();
        let mut list = resources.fonts();
        for font in fonts {
            list.pair(Name(font.key()), font.id);
        }
        list.finish();
        resources.finish();
        head.finish();
        let mut sheet = Sheet {
            content: Content::new(),
            height,
            fonts,
            fill: Ink::Black,
            stroke: Ink::Black,
            weight: 1.0,
        };
        marks.iter().for_each(|m| sheet.mark(m));
        let data = sheet.content.finish();
        self.stream(content, &data);
    }

    fn font(&mut self, font: &Font) {
        let Some(face) = font.face.parsed() else {
            return;
        };
        let (cid, descriptor, cmap, data) = (self.id(), self.id(), self.id(), self.id());
        let name = font.name();
        let base = Name(name.as_bytes());
        let system = SystemInfo {
            registry: Str(b"Adobe"),
            ordering: Str(b"Identity"),
            supplement: 0,
        };
        (self.pdf.type0_font(font.id))
            .base_font(base)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(cid)
            .to_unicode(cmap);
        let scale = 1000.0 / f32::from(face.units_per_em());
        let mut descendant = self.pdf.cid_font(cid);
        descendant.subtype(CidFontType::Type2).base_font(base);
        descendant.system_info(system).font_descriptor(descriptor);
        descendant.cid_to_gid_map_predefined(Name(b"Identity"));
        let widths = font.remapper.remapped_gids().map(|old| {
            let advance = face.glyph_hor_advance(GlyphId(old)).unwrap_or(0);
            f32::from(advance) * scale
        });
        descendant.widths().consecutive(0, widths);
        descendant.finish();
        let bounds = face.global_bounding_box();
        let edge = |v: i16| f32::from(v) * scale;
        let italic = font.face == Face::Italic;
        let mut flags = FontFlags::SYMBOLIC;
        flags.set(FontFlags::ITALIC, italic);
        (self.pdf.font_descriptor(descriptor))
            .name(base)
            .flags(flags)
            .bbox(Rect::new(
                edge(bounds.x_min),
                edge(bounds.y_min),
                edge(bounds.x_max),
                edge(bounds.y_max),
            ))
            .italic_angle(face.italic_angle())
            .ascent(edge(face.ascender()))
            .descent(edge(face.descender()))
            .cap_height(edge(face.capital_height().unwrap_or(0)))
            .stem_v(if font.face == Face::Bold { 140.0 } else { 80.0 })
            .font_file2(data);
        let mut map = UnicodeCmap::new(Name(b"Custom"), system);
        for (&glyph, &c) in &font.glyphs {
            if let Some(new) = font.remapper.get(glyph) {
                map.pair(new, c);
            }
        }
        let map = map.finish();
        self.stream(cmap, map.as_slice());
        // The whole font when no part of it can be made: a larger file, the same page.
        let part = subsetter::subset(font.face.data(), 0, &font.remapper);
        self.stream(data, part.as_deref().unwrap_or(font.face.data()));
    }
}

/// A page while it is written. PDF counts upwards from the foot of the page.
struct Sheet<'a> {
    content: Content,
    height: f64,
    fonts: &'a [Font],
    fill: Ink,
    stroke: Ink,
    weight: f64,
}

impl Sheet<'_> {
    fn mark(&mut self, mark: &Mark) {
        match mark {
            Mark::Text {
                from,
                size,
                face,
                text,
                ink,
            } => {
                let Some(font) = self.fonts.iter().find(|f| f.face == *face) else {
                    return;
                };
                self.fill(*ink);
                let (x, y) = self.place(*from);
                self.content.begin_text();
                self.content.set_font(Name(font.key()), rounded(*size));
                self.content.next_line(x, y);
                self.content.show(Str(&font.encoded(text)));
                self.content.end_text();
            }
            Mark::Line {
                from,
                to,
                weight,
                ink,
            } => {
                if self.stroke != *ink {
                    self.stroke = *ink;
                    self.content.set_stroke_gray(grey(*ink));
                }
                if self.weight != *weight {
                    self.weight = *weight;
                    self.content.set_line_width(rounded(*weight));
                }
                let (x, y) = self.place(*from);
                self.content.move_to(x, y);
                let (x, y) = self.place(*to);
                self.content.line_to(x, y);
                self.content.stroke();
            }
            Mark::Shape { steps, ink } => {
                self.fill(*ink);
                for step in steps {
                    self.step(step);
                }
                self.content.fill_nonzero();
            }
        }
    }

    fn step(&mut self, step: &Step) {
        match *step {
            Step::Move(p) => {
                let (x, y) = self.place(p);
                self.content.move_to(x, y);
            }
            Step::Line(p) => {
                let (x, y) = self.place(p);
                self.content.line_to(x, y);
            }
            Step::Curve(a, b, c) => {
                let ((ax, ay), (bx, by), (cx, cy)) = (self.place(a), self.place(b), self.place(c));
                self.content.cubic_to(ax, ay, bx, by, cx, cy);
            }
            Step::Close => {
                self.content.close_path();
            }
        }
    }

    fn fill(&mut self, ink: Ink) {
        if self.fill != ink {
            self.fill = ink;
            self.content.set_fill_gray(grey(ink));
        }
    }

    fn place(&self, p: Point) -> (f32, f32) {
        (rounded(p.x), rounded(self.height - p.y))
    }
}

fn grey(ink: Ink) -> f32 {
    match ink {
        Ink::Black => 0.0,
        Ink::Grey => 0.35,
        Ink::White => 1.0,
    }
}

/// To a hundredth of a point, which keeps files small.
fn rounded(value: f64) -> f32 {
    ((value * 100.0).round() / 100.0) as f32
}
