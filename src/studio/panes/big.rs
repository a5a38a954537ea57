//! Large letters out of half blocks: three rows high, to be read from afar. Only what bar numbers and
//! chord symbols are made of.

/// The shapes, five dots high, row by row; `#` is a dot.
const SHAPES: [(char, [&str; 5]); 42] = [
    ('0', ["###", "# #", "# #", "# #", "###"]),
    ('1', [" # ", "## ", " # ", " # ", "###"]),
    ('2', ["###", "  #", "###", "#  ", "###"]),
    ('3', ["###", "  #", " ##", "  #", "###"]),
    ('4', ["# #", "# #", "###", "  #", "  #"]),
    ('5', ["###", "#  ", "###", "  #", "###"]),
    ('6', ["###", "#  ", "###", "# #", "###"]),
    ('7', ["###", "  #", "  #", " # ", " # "]),
    ('8', ["###", "# #", "###", "# #", "###"]),
    ('9', ["###", "# #", "###", "  #", "###"]),
    ('A', [" ## ", "#  #", "####", "#  #", "#  #"]),
    ('B', ["### ", "#  #", "### ", "#  #", "### "]),
    ('C', [" ###", "#   ", "#   ", "#   ", " ###"]),
    ('D', ["### ", "#  #", "#  #", "#  #", "### "]),
    ('E', ["####", "#   ", "### ", "#   ", "####"]),
    ('F', ["####", "#   ", "### ", "#   ", "#   "]),
    ('G', [" ###", "#   ", "# ##", "#  #", " ###"]),
    ('N', ["#  #", "## #", "# ##", "#  #", "#  #"]),
    ('a', ["   ", " ##", "# #", "# #", " ##"]),
    ('b', ["#  ", "#  ", "## ", "# #", "## "]),
    ('d', ["  #", "  #", " ##", "# #", " ##"]),
    ('g', ["   ", " ##", "# #", " ##", "## "]),
    ('i', ["#", " ", "#", "#", "#"]),
    ('j', [" #", "  ", " #", " #", "# "]),
    ('l', ["#", "#", "#", "#", "#"]),
    ('m', ["     ", "#### ", "# # #", "# # #", "# # #"]),
    ('n', ["   ", "## ", "# #", "# #", "# #"]),
    ('o', ["   ", " # ", "# #", "# #", " # "]),
    ('s', ["   ", " ##", "#  ", " ##", "## "]),
    ('t', ["# ", "##", "# ", "# ", "##"]),
    ('u', ["   ", "# #", "# #", "# #", " ##"]),
    ('x', ["   ", "# #", " # ", " # ", "# #"]),
    ('♯', [" # # ", "#####", " # # ", "#####", " # # "]),
    ('♭', ["#  ", "#  ", "## ", "# #", "## "]),
    ('/', ["  #", "  #", " # ", "#  ", "#  "]),
    ('+', ["   ", " # ", "###", " # ", "   "]),
    ('-', ["  ", "  ", "##", "  ", "  "]),
    ('(', [" #", "# ", "# ", "# ", " #"]),
    (')', ["# ", " #", " #", " #", "# "]),
    (',', ["  ", "  ", "  ", " #", "# "]),
    ('.', [" ", " ", " ", " ", "#"]),
    (' ', ["  ", "  ", "  ", "  ", "  "]),
];

/// Rows of a large text.
pub const ROWS: usize = 3;

/// A text in large letters, or nothing when one of them has no shape or it is wider than `room`.
pub fn big(text: &str, room: usize) -> Option<[String; ROWS]> {
    let mut dots: [Vec<bool>; 2 * ROWS] = Default::default();
    for c in text.chars() {
        let (_, shape) = SHAPES.iter().find(|s| s.0 == c)?;
        for (row, shape) in dots.iter_mut().zip(shape) {
            if !row.is_empty() {
                row.push(false);
            }
            row.extend(shape.chars().map(|d| d == '#'));
        }
    }
    let width = dots[0].len();
    if width > room {
        return None;
    }
    let dot = |row: usize, x: usize| dots[row].get(x).copied().unwrap_or(false);
    Some(std::array::from_fn(|row| {
        let cell = |x| match (dot(2 * row, x), dot(2 * row + 1, x)) {
            (true, true) => '█',
            (true, false) => '▀',
            (false, true) => '▄',
            (false, false) => ' ',
        };
        (0..width).map(cell).collect()
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_are_read_from_afar() {
        let rows = big("16 F♯m7", 80).unwrap();
        let rows = rows.map(|r| r.trim_end().to_string());
        assert_eq!(
            rows,
            [
                "▄█  █▀▀    █▀▀▀ ▄█▄█▄ ▄▄▄▄  ▀▀█",
                " █  █▀█    █▀▀  ▄█▄█▄ █ █ █  ▄▀",
                "▀▀▀ ▀▀▀    ▀     ▀ ▀  ▀ ▀ ▀  ▀",
            ]
        );
    }

    #[test]
    fn every_shape_is_even_and_every_row_as_long() {
        for (c, shape) in SHAPES {
            let width = shape[0].chars().count();
            assert!(shape.iter().all(|r| r.chars().count() == width), "{c}");
            let rows = big(&c.to_string(), 9).unwrap();
            assert!(rows.iter().all(|r| r.chars().count() == width), "{c}");
        }
        assert_eq!(big("港", 80), None);
        assert_eq!(big("16", 6), None);
    }

    #[test]
    fn every_chord_that_is_written_has_its_letters() {
        for text in [
            "C",
            "D♭",
            "F♯m7♭5",
            "Gsus4",
            "Am(maj7)",
            "B♭maj9(♯11)",
            "E7(add11,no5)",
            "Cdim7/G",
            "A+",
            "D6/9",
            "N.C.",
        ] {
            assert!(big(text, 200).is_some(), "{text}");
        }
    }
}
