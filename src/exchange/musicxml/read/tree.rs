//! The document as a tree of elements that know their place, read within bounds.
//!
//! Only the five entities of XML itself and characters by number are resolved. What a document type
//! declares is never read, let alone fetched.

use crate::song::{Place, Places, SongError};
use quick_xml::events::{BytesRef, BytesStart, Event};
use quick_xml::{Reader, XmlVersion};
use std::borrow::Cow;

/// The most elements that a document may have; a score of 10 megabytes has about half a million.
const MOST_ELEMENTS: usize = 1_500_000;
/// The deepest that elements may lie in each other; MusicXML needs about ten levels.
const DEEPEST: usize = 64;

/// No element.
const NONE: u32 = u32::MAX;

/// A document.
pub(super) struct Tree<'a> {
    text: &'a str,
    nodes: Vec<Node<'a>>,
    places: Places<'a>,
}

struct Node<'a> {
    name: &'a str,
    attributes: &'a str,
    text: Cow<'a, str>,
    at: u32,
    first: u32,
    next: u32,
}

/// An element of a document.
#[derive(Clone, Copy)]
pub(super) struct Element<'t> {
    tree: &'t Tree<'t>,
    index: u32,
}

impl<'a> Tree<'a> {
    pub(super) fn read(text: &'a str) -> Result<Tree<'a>, SongError> {
        let mut tree = Tree {
            text,
            nodes: Vec::new(),
            places: Places::new(text),
        };
        tree.fill()?;
        if tree.nodes.is_empty() {
            return Err(tree.error(0, "there is no element in this document"));
        }
        Ok(tree)
    }

    pub(super) fn root(&self) -> Element<'_> {
        Element {
            tree: self,
            index: 0,
        }
    }

    fn fill(&mut self) -> Result<(), SongError> {
        let mut reader = Reader::from_str(self.text);
        // The element that is open at each depth, and the last one that was closed in it.
        let mut open: Vec<(u32, u32)> = Vec::new();
        loop {
            let at = reader.buffer_position() as usize;
            let event = reader
                .read_event()
                .map_err(|e| self.error(reader.error_position() as usize, &broken(&e)))?;
            match event {
                Event::Start(start) => self.start(at, &start, &mut open, false)?,
                Event::Empty(start) => self.start(at, &start, &mut open, true)?,
                Event::End(_) => {
                    open.pop();
                }
                Event::Text(text) => self.add(&open, text.into_inner()),
                Event::CData(data) => self.add(&open, data.into_inner()),
                Event::GeneralRef(name) => {
                    let text = self.reference(at, &name)?;
                    self.add(&open, Cow::Owned(text));
                }
                Event::Decl(_) | Event::PI(_) | Event::DocType(_) | Event::Comment(_) => {}
                Event::Eof => break,
            }
        }
        match open.last() {
            Some(_) => Err(self.error(
                self.text.len(),
                "the document ends before its last element does",
            )),
            None => Ok(()),
        }
    }

    fn start(
        &mut self,
        at: usize,
        start: &BytesStart,
        open: &mut Vec<(u32, u32)>,
        empty: bool,
    ) -> Result<(), SongError> {
        if self.nodes.len() >= MOST_ELEMENTS {
            return Err(self.error(at, "this document has more elements than any song"));
        }
        if open.len() >= DEEPEST {
            return Err(self.error(at, "elements lie in each other deeper than any score needs"));
        }
        if open.is_empty() && !self.nodes.is_empty() {
            return Err(self.error(
                at,
                "a document has one outermost element, and here is another",
            ));
        }
        for attribute in start.attributes() {
            if attribute.is_err() {
                return Err(self.error(at, "an attribute of this element is not well formed"));
            }
        }
        let index = self.nodes.len() as u32;
        // The name and the attributes as they lie in the text, right after the bracket.
        let (name, attributes) = (start.name().as_ref().len(), start.attributes_raw().len());
        let from = at + 1;
        let slice = |from: usize, length: usize| self.text.get(from..from + length).unwrap_or("");
        let node = Node {
            name: slice(from, name),
            attributes: slice(from + name, attributes),
            text: Cow::Borrowed(""),
            at: at as u32,
            first: NONE,
            next: NONE,
        };
        self.nodes.push(node);
        if let Some((parent, last)) = open.last_mut() {
            let before = std::mem::replace(last, index);
            let (link, first) = if before == NONE {
                (*parent, true)
            } else {
                (before, false)
            };
            if let Some(node) = self.nodes.get_mut(link as usize) {
                *(if first {
                    &mut node.first
                } else {
                    &mut node.next
                }) = index;
            }
        }
        if !empty {
            open.push((index, NONE));
        }
        Ok(())
    }

    /// Adds text to the innermost element. White space between elements is nothing.
    fn add(&mut self, open: &[(u32, u32)], text: Cow<'a, str>) {
        let node = open
            .last()
            .and_then(|(index, _)| self.nodes.get_mut(*index as usize));
        let Some(node) = node else { return };
        if node.first != NONE {
            return;
        }
        if node.text.is_empty() {
            node.text = text;
        } else {
            node.text.to_mut().push_str(&text);
        }
    }

    fn reference(&self, at: usize, name: &BytesRef) -> Result<String, SongError> {
        if let Ok(Some(c)) = name.resolve_char_ref() {
            return Ok(c.into());
        }
        let known = [
            ("lt", "<"),
            ("gt", ">"),
            ("amp", "&"),
            ("apos", "'"),
            ("quot", "\""),
        ];
        let name = name.xml10_content();
        match known.iter().find(|(n, _)| *n == name) {
            Some((_, text)) => Ok((*text).into()),
            None => Err(self.error(
                at,
                "only the entities lt, gt, amp, apos and quot are read; write the character itself",
            )),
        }
    }

    fn error(&self, at: usize, text: &str) -> SongError {
        SongError::new(self.place(at as u32), text)
    }

    /// Line and column of a byte.
    fn place(&self, at: u32) -> Place {
        self.places.at(at as usize)
    }
}

/// What is broken, in a sentence of ours.
fn broken(error: &quick_xml::Error) -> String {
    match error {
        quick_xml::Error::IllFormed(_) => {
            "this is not well formed: an element is closed that is not open, or the other way round"
        }
        quick_xml::Error::Syntax(_) => "a bracket, comment or quote that begins here never ends",
        _ => "this is not well-formed XML",
    }
    .into()
}

impl<'t> Element<'t> {
    fn node(self) -> Option<&'t Node<'t>> {
        self.tree.nodes.get(self.index as usize)
    }

    pub(super) fn name(self) -> &'t str {
        self.node().map_or("", |n| n.name)
    }

    /// Its text without the white space around it.
    pub(super) fn text(self) -> &'t str {
        self.node().map_or("", |n| n.text.trim())
    }

    pub(super) fn place(self) -> Place {
        self.tree.place(self.node().map_or(0, |n| n.at))
    }

    pub(super) fn attribute(self, name: &str) -> Option<Cow<'t, str>> {
        let raw = self.node()?.attributes;
        let found = BytesStart::from_content(raw, 0);
        let mut all = found.attributes();
        let value = all.find_map(|a| a.ok().filter(|a| a.key.as_ref() == name))?;
        let text = value.normalized_value(XmlVersion::Implicit1_0).ok()?;
        Some(Cow::Owned(text.into_owned()))
    }

    pub(super) fn children(self) -> impl Iterator<Item = Element<'t>> {
        let tree = self.tree;
        let at = move |index: u32| (index != NONE).then_some(Element { tree, index });
        let first = self.node().and_then(|n| at(n.first));
        std::iter::successors(first, move |e| e.node().and_then(|n| at(n.next)))
    }

    pub(super) fn all(self, name: &'t str) -> impl Iterator<Item = Element<'t>> {
        self.children().filter(move |c| c.name() == name)
    }

    pub(super) fn child(self, name: &str) -> Option<Element<'t>> {
        self.children().find(|c| c.name() == name)
    }

    pub(super) fn has(self, name: &str) -> bool {
        self.child(name).is_some()
    }

    /// The text of a child.
    pub(super) fn text_of(self, name: &str) -> Option<&'t str> {
        self.child(name).map(Element::text)
    }

    /// A whole number in a child.
    pub(super) fn number_of(self, name: &str) -> Option<i64> {
        self.text_of(name)?.parse().ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn refused(text: &str) -> String {
        match Tree::read(text) {
            Err(error) => error.to_string(),
            Ok(_) => panic!("{text} was read"),
        }
    }

    #[test]
    fn elements_texts_attributes_and_places() {
        let text = "<?xml version='1.0'?>\n<!DOCTYPE a>\n<a>\n <é b='1 &amp; 2'>x &lt;&#233;<!-- - --></é>\n <c/>\n</a>";
        let tree = Tree::read(text).unwrap();
        let root = tree.root();
        let first = root.child("é").unwrap();
        assert_eq!(first.text(), "x <é");
        assert_eq!(first.attribute("b").unwrap(), "1 & 2");
        assert_eq!(first.place(), Place { line: 4, column: 2 });
        assert_eq!(
            root.children().map(Element::name).collect::<Vec<_>>(),
            ["é", "c"]
        );
        assert_eq!(root.place(), Place { line: 3, column: 1 });
    }

    #[test]
    fn what_is_broken_or_without_bounds_is_refused_at_its_place() {
        for (text, said) in [
            ("", "no element"),
            ("<a><b></a>", "1:7: this is not well formed"),
            ("<a>\n<b", "2:1: a bracket"),
            ("<a><b>", "ends before"),
            ("<a/><b/>", "1:5: a document has one"),
            ("<a b=1/>", "an attribute"),
            // Nothing that a document type declares is resolved.
            (
                "<!DOCTYPE a [<!ENTITY x \"yy\"><!ENTITY z SYSTEM \"file:///etc/passwd\">]><a>&z;</a>",
                "only the entities",
            ),
        ] {
            let error = refused(text);
            assert!(error.contains(said), "{text}: {error}");
        }
        let deep = "<a>".repeat(100);
        assert!(refused(&deep).contains("deeper"));
        let many = format!("<a>{}</a>", "<b/>".repeat(MOST_ELEMENTS + 1));
        assert!(refused(&many).contains("more elements"));
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn no_text_is_too_strange(text in "[<>/&;!\\[\\]a-c =\"'?\\-é\n]{0,60}", any in "\\PC{0,60}") {
            for text in [&text, &any] {
                if let Ok(tree) = Tree::read(text) {
                    for child in tree.root().children() {
                        prop_assert!(child.place().line > 0 && child.text().len() <= text.len());
                    }
                }
            }
        }
    }
}
