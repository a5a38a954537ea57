//! The typeface: Andika, made by SIL International to be read with ease by learners.
//!
//! The three files in `face/` are those of the Debian package `fonts-sil-andika` 6.101-2, unchanged;
//! their licence, the SIL Open Font License 1.1, lies beside them.

use crate::exchange::plain_text;
use std::sync::OnceLock;

/// One of the three cuts in use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Face {
    /// Upright.
    Regular,
    /// Upright and heavy.
    Bold,
    /// Sloped.
    Italic,
}

static REGULAR: &[u8] = include_bytes!("face/Andika-Regular.ttf");
static BOLD: &[u8] = include_bytes!("face/Andika-Bold.ttf");
static ITALIC: &[u8] = include_bytes!("face/Andika-Italic.ttf");

impl Face {
    /// All cuts, in the order of their index.
    pub const ALL: [Face; 3] = [Face::Regular, Face::Bold, Face::Italic];

    /// The font file.
    pub fn data(self) -> &'static [u8] {
        match self {
            Face::Regular => REGULAR,
            Face::Bold => BOLD,
            Face::Italic => ITALIC,
        }
    }

    /// Its PostScript name.
    pub fn name(self) -> &'static str {
        match self {
            Face::Regular => "Andika",
            Face::Bold => "Andika-Bold",
            Face::Italic => "Andika-Italic",
        }
    }

    /// The font as it is read; none would mean that the file built in is broken, which a test
    /// rules out.
    pub(super) fn parsed(self) -> Option<&'static ttf_parser::Face<'static>> {
        static PARSED: [OnceLock<Option<ttf_parser::Face<'static>>>; 3] =
            [const { OnceLock::new() }; 3];
        let slot = PARSED.get(self as usize)?;
        slot.get_or_init(|| ttf_parser::Face::parse(self.data(), 0).ok())
            .as_ref()
    }

    /// The glyph of a character, if the font has one.
    pub(super) fn glyph(self, c: char) -> Option<ttf_parser::GlyphId> {
        self.parsed()?.glyph_index(c)
    }

    /// Whether a character can be set in a line: the font has it, and it is no higher or deeper
    /// than lines are.
    fn has(self, c: char) -> bool {
        let Some((face, glyph)) = self.parsed().zip(self.glyph(c)) else {
            return false;
        };
        let line = face.descender()..=face.ascender();
        face.glyph_bounding_box(glyph)
            .is_none_or(|b| line.contains(&b.y_min) && line.contains(&b.y_max))
    }

    /// How wide a text is, in the unit of `size`.
    pub fn width(self, text: &str, size: f64) -> f64 {
        let units = text.chars().map(|c| self.advance(c)).sum();
        self.points(units, size)
    }

    /// How wide a character is, in units of the font.
    fn advance(self, c: char) -> u64 {
        let known = self.parsed().zip(self.glyph(c));
        let advance = known.and_then(|(face, glyph)| face.glyph_hor_advance(glyph));
        advance.map_or(0, u64::from)
    }

    /// Units of the font in the unit of `size`.
    fn points(self, units: u64, size: f64) -> f64 {
        let em = self.parsed().map(|face| face.units_per_em());
        em.map_or(0.0, |em| units as f64 * size / f64::from(em))
    }

    /// How far the ink of a text reaches above and below its baseline, in the unit of `size`. A
    /// text that shows nothing reaches nowhere.
    pub fn reach(self, text: &str, size: f64) -> (f64, f64) {
        let Some(face) = self.parsed() else {
            return (0.0, 0.0);
        };
        let boxes = (text.chars()).filter_map(|c| face.glyph_bounding_box(self.glyph(c)?));
        let (above, below) = boxes.fold((i16::MIN, i16::MAX), |(above, below), b| {
            (above.max(b.y_max), below.min(b.y_min))
        });
        if above < below {
            return (0.0, 0.0);
        }
        let scale = size / f64::from(face.units_per_em());
        (f64::from(above) * scale, -f64::from(below) * scale)
    }
}

/// A text as the typeface can show it: control characters made harmless, what it has no fit glyph
/// for spelled out in plain letters.
pub fn shown(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in plain_text(text).chars() {
        if Face::ALL.iter().all(|f| f.has(c)) {
            out.push(c);
        } else {
            out.push_str(&deunicode::deunicode_with_tofu(
                c.encode_utf8(&mut [0; 4]),
                "?",
            ));
        }
    }
    out
}

/// A text cut so that it is no wider than `room`, with `…` at its end if anything is lost.
pub fn cut(face: Face, text: &str, size: f64, room: f64) -> String {
    let dots = face.advance('…');
    // The end of the longest part after which `…` fits.
    let mut fits = None;
    let mut units = 0;
    for (i, c) in text.char_indices() {
        if face.points(units + dots, size) <= room {
            fits = Some(i);
        }
        units += face.advance(c);
        if face.points(units, size) > room {
            let kept = fits.and_then(|end| text.get(..end));
            return kept.map_or(String::new(), |kept| format!("{}…", kept.trim_end()));
        }
    }
    text.to_owned()
}

/// A text in lines no wider than `room`, broken at spaces where there are any; at most `most`
/// lines, the last one cut.
pub fn wrapped(face: Face, text: &str, size: f64, room: f64, most: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        if lines.len() + 1 == most {
            lines.push(cut(face, rest, size, room));
            break;
        }
        let end = line_end(face, rest, size, room);
        let (line, after) = rest.split_at(end);
        lines.push(line.trim_end().to_owned());
        rest = after.trim_start();
    }
    lines
}

/// Where a line of `text` ends: after the last word that fits, or inside a word that is too long.
fn line_end(face: Face, text: &str, size: f64, room: f64) -> usize {
    let mut last_space = None;
    let mut width = 0.0;
    for (i, c) in text.char_indices() {
        if c == ' ' {
            last_space = Some(i);
        }
        width += face.width(c.encode_utf8(&mut [0; 4]), size);
        if width > room && c != ' ' {
            // At least one character a line, or it would never end.
            let inside = if i == 0 { c.len_utf8() } else { i };
            return last_space.filter(|&s| s > 0).unwrap_or(inside);
        }
    }
    text.len()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_faces_have_what_music_needs() {
        for face in Face::ALL {
            let parsed = face.parsed().expect("the font can be read");
            assert!(!parsed.is_italic() || face == Face::Italic);
            for c in "0123456789♯♭Δø°½⅓⅔¼¾–…×·<>()/…éŁžΩЖ".chars() {
                assert!(face.glyph(c).is_some(), "{face:?} lacks {c}");
            }
        }
    }

    #[test]
    fn what_can_not_be_shown_is_spelled() {
        assert_eq!(shown("Sea\u{1b}[2J\nsong"), "Sea\u{fffd}[2J song");
        assert_eq!(shown("Größe F♯ 港"), "Größe F♯ Gang");
        assert!(shown("🎸").is_ascii());
    }

    #[test]
    fn digits_are_as_high_as_capitals() {
        let (above, below) = Face::Bold.reach("7", 100.0);
        assert!((65.0..80.0).contains(&above), "{above}");
        assert!(below.abs() < 2.0, "{below}");
        assert_eq!(Face::Bold.reach(" ", 100.0), (0.0, 0.0));
    }

    #[test]
    fn a_text_is_cut_where_the_dots_fit() {
        let face = Face::Bold;
        let room = face.width("Lamps on…", 10.0);
        assert_eq!(cut(face, "Lamps on", 10.0, room), "Lamps on");
        assert_eq!(cut(face, "Lamps on the Quay", 10.0, room), "Lamps on…");
        assert_eq!(cut(face, "Lamps             ", 10.0, room), "Lamps…");
        assert_eq!(cut(face, "Lamps", 10.0, 1.0), "");
    }

    #[test]
    fn a_text_of_any_length_is_measured_and_cut() {
        let long = "W".repeat(2_500_000);
        let wanted = 2_500_000.0 * Face::Bold.width("W", 1.0);
        assert!((Face::Bold.width(&long, 1.0) - wanted).abs() < 1.0);
        assert!(cut(Face::Bold, &long, 10.0, 40.0).ends_with("W…"));
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn lines_are_never_wider_than_the_room(text in "[a-z ]{0,120}", most in 1usize..5) {
            let lines = wrapped(Face::Bold, &text, 15.0, 90.0, most);
            prop_assert!(lines.len() <= most);
            for line in &lines {
                prop_assert!(Face::Bold.width(line, 15.0) <= 90.0);
            }
            if lines.len() < most {
                let joined: String = lines.concat().replace(' ', "");
                prop_assert_eq!(joined, text.replace(' ', ""));
            }
        }
    }
}
