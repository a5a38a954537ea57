//! Elements one after another, indented.

use crate::exchange::plain_text;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// Writes XML into memory, which does not fail; so its results are not looked at.
pub(super) struct Pen {
    writer: Writer<Vec<u8>>,
}

/// Attributes of an element: names and values.
pub(super) type Attributes<'a> = &'a [(&'a str, &'a str)];

impl Pen {
    /// A new document with its declaration.
    pub(super) fn new() -> Pen {
        let mut pen = Pen {
            writer: Writer::new_with_indent(Vec::new(), b' ', 1),
        };
        pen.event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)));
        pen
    }

    pub(super) fn open(&mut self, name: &str, attributes: Attributes) {
        self.event(Event::Start(start(name, attributes)));
    }

    pub(super) fn close(&mut self, name: &str) {
        self.event(Event::End(BytesEnd::new(name)));
    }

    /// An element without content.
    pub(super) fn empty(&mut self, name: &str, attributes: Attributes) {
        self.event(Event::Empty(start(name, attributes)));
    }

    /// An element that holds a text.
    pub(super) fn text(&mut self, name: &str, text: impl ToString) {
        self.text_with(name, &[], text);
    }

    pub(super) fn text_with(&mut self, name: &str, attributes: Attributes, text: impl ToString) {
        self.event(Event::Start(start(name, attributes)));
        // XML has no way to write control characters.
        let text = plain_text(&text.to_string());
        self.event(Event::Text(BytesText::new(&text)));
        self.event(Event::End(BytesEnd::new(name)));
    }

    pub(super) fn finish(self) -> String {
        let mut text = String::from_utf8(self.writer.into_inner()).unwrap_or_default();
        text.push('\n');
        text
    }

    fn event(&mut self, event: Event) {
        let _ = self.writer.write_event(event);
    }
}

fn start<'a>(name: &'a str, attributes: Attributes<'a>) -> BytesStart<'a> {
    BytesStart::new(name).with_attributes(attributes.iter().copied())
}
