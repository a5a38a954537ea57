//! Field texts: accented letters and reserved signs as abc 2.1, section 8.2, spells them.

/// Accent signs, each with pairs of a plain and an accented letter.
const ACCENTS: [(char, &str); 7] = [
    ('`', "AÀEÈIÌOÒUÙaàeèiìoòuù"),
    ('\'', "AÁEÉIÍOÓUÚYÝaáeéiíoóuúyý"),
    ('^', "AÂEÊIÎOÔUÛaâeêiîoôuûYŶyŷ"),
    ('~', "AÃNÑOÕaãnñoõ"),
    ('"', "AÄEËIÏOÖUÜYŸaäeëiïoöuüyÿ"),
    ('c', "CÇcç"),
    ('v', "CČSŠZŽcčsšzž"),
];

/// Two-letter spellings of other letters.
const LETTERS: [(&str, char); 7] = [
    ("AA", 'Å'),
    ("aa", 'å'),
    ("AE", 'Æ'),
    ("ae", 'æ'),
    ("/O", 'Ø'),
    ("/o", 'ø'),
    ("ss", 'ß'),
];

/// The text with its spellings resolved; what is none stays as it is.
pub(super) fn decoded(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find('\\') {
        out.push_str(&rest[..at]);
        rest = &rest[at + 1..];
        match spelled(rest) {
            Some((c, length)) => {
                out.push(c);
                rest = rest.get(length..).unwrap_or("");
            }
            None => out.push('\\'),
        }
    }
    out + rest
}

/// What the signs after a backslash spell, and how many bytes they take.
fn spelled(rest: &str) -> Option<(char, usize)> {
    let mut chars = rest.chars();
    let (first, second) = (chars.next()?, chars.next());
    if matches!(first, '%' | '&' | '\\') {
        return Some((first, 1));
    }
    if let Some(&(_, c)) = LETTERS.iter().find(|(s, _)| rest.starts_with(s)) {
        return Some((c, 2));
    }
    if first == 'u' {
        let code = rest.get(1..5).and_then(|h| u32::from_str_radix(h, 16).ok());
        if let Some(c) = code.and_then(char::from_u32) {
            return Some((c, 5));
        }
    }
    let (_, pairs) = ACCENTS.iter().find(|(sign, _)| *sign == first)?;
    let mut letters = pairs.chars();
    while let (Some(plain), Some(accented)) = (letters.next(), letters.next()) {
        if Some(plain) == second {
            return Some((accented, 2));
        }
    }
    None
}

/// Text fit for a field: on one line, and nothing in it is taken for a comment or a spelling.
pub(super) fn encoded(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    words.join(" ").replace('\\', "\\\\").replace('%', "\\%")
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn spellings_of_the_standard() {
        // abc 2.1, section 8.2.
        for (text, read) in [
            (r"Caf\'e", "Café"),
            (r"\`a \^o \~n \'U \cC \vs", "à ô ñ Ú Ç š"),
            ("\\\"o", "ö"),
            (r"\AA \aa \AE \/o \ss", "Å å Æ ø ß"),
            (r"100\% \& more", "100% & more"),
            (r"\u266f", "♯"),
            (r"\x \", r"\x \"),
        ] {
            assert_eq!(decoded(text), read);
        }
    }

    proptest! {
        #![proptest_config(crate::properties::cases(256))]

        #[test]
        fn encoded_text_reads_back(words in prop::collection::vec("[^\\s]{1,6}", 0..4)) {
            let text = words.join(" ");
            prop_assert_eq!(decoded(&encoded(&text)), text.split_whitespace().collect::<Vec<_>>().join(" "));
        }
    }
}
