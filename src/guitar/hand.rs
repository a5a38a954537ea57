//! Hand profiles: how far each pair of left fingers may lie apart.

use super::GuitarError;

/// How far two fingers may lie apart, in tenths of a millimetre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Span {
    /// Without feeling it.
    pub comfortable: i32,
    /// At the very most; above `comfortable`.
    pub largest: i32,
}

/// A hand profile.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hand {
    /// Its name: `small`, `medium`, `large`, or the player's own.
    pub name: String,
    /// Span of each pair of fingers, `spans[f - 1][g - 1]` for fingers f < g (1 index, 4 little);
    /// the other places say nothing, and hold nothing greater.
    pub spans: [[Span; 4]; 4],
}

/// The pairs of fingers, in the order that [`Hand::custom`] takes their spans.
pub const PAIRS: [(u8, u8); 6] = [(1, 2), (2, 3), (3, 4), (1, 3), (2, 4), (1, 4)];

/// Comfortable and largest spans of the medium hand in mm, by [`PAIRS`]: the larger of two sources.
///
/// - A hand lying flat on a keyboard (Parncutt and others, Music Perception 1997, semitones turned
///   into mm; the method read, the values from memory): comfortable 41, 28, 41, 69, 69, 110, largest
///   69, 55, 69, 96, 96, 138.
/// - Published grips (`tests/outside/guitar`), since a hand at a neck may also turn: comfortable is
///   what nine in ten of them stay within, which is more for 1–2 and 2–3; largest is what the widest
///   ask for, which is more for 1–2, 2–3, 3–4 and 1–3, but for three that other fingers hold within
///   these spans. They use four frets at most and so can't show an upper limit for 1–4.
const MEDIUM_MM: [(i32, i32); 6] = [
    (43, 78),
    (39, 71),
    (41, 71),
    (69, 100),
    (69, 96),
    (110, 138),
];

/// Hand lengths in mm that the built-in profiles stand for. Small is the length that 5 % of women
/// fall below, large the one that 5 % of men exceed, medium midway between the two medians (the
/// ANSUR surveys: 165, 210, 181 and 193 mm, from memory, ±3). Spans are taken to grow with length.
const LENGTHS: [(&str, i32); 3] = [("small", 165), ("medium", MEDIUM), ("large", 210)];
const MEDIUM: i32 = 187;

const NOTHING: Span = Span {
    comfortable: 0,
    largest: 0,
};

impl Hand {
    /// The names of the built-in profiles.
    pub fn names() -> impl Iterator<Item = &'static str> {
        LENGTHS.iter().map(|hand| hand.0)
    }

    /// A built-in profile by name, in any case.
    ///
    /// # Errors
    /// When there is no profile of that name.
    pub fn named(name: &str) -> Result<Hand, GuitarError> {
        let wanted = name.trim();
        let found = LENGTHS
            .iter()
            .find(|hand| hand.0.eq_ignore_ascii_case(wanted));
        let Some(&(name, length)) = found else {
            return Err(GuitarError::Hand {
                name: name.into(),
                known: LENGTHS.map(|hand| hand.0).join(", "),
            });
        };
        let scaled = MEDIUM_MM.map(|(comfortable, largest)| Span {
            comfortable: comfortable * 10 * length / MEDIUM,
            largest: largest * 10 * length / MEDIUM,
        });
        Ok(Hand::of(name, scaled))
    }

    /// The hand that a song asks for: the medium one where nothing is said.
    ///
    /// # Errors
    /// As for [`Hand::named`].
    pub fn wished(wish: &crate::song::GuitarWish) -> Result<Hand, GuitarError> {
        Hand::named(wish.hand.as_deref().unwrap_or("medium"))
    }

    /// The player's own profile: spans of the pairs in the order of [`PAIRS`].
    ///
    /// # Errors
    /// When a span is not 0 < comfortable < largest ≤ 300 mm.
    pub fn custom(name: &str, spans: [Span; 6]) -> Result<Hand, GuitarError> {
        for (span, (f, g)) in spans.iter().zip(PAIRS) {
            let sound =
                0 < span.comfortable && span.comfortable < span.largest && span.largest <= 3000;
            if !sound {
                return Err(GuitarError::Span(f, g));
            }
        }
        Ok(Hand::of(name, spans))
    }

    fn of(name: &str, by_pair: [Span; 6]) -> Hand {
        let mut spans = [[NOTHING; 4]; 4];
        for (span, (f, g)) in by_pair.into_iter().zip(PAIRS) {
            spans[usize::from(f) - 1][usize::from(g) - 1] = span;
        }
        Hand {
            name: name.into(),
            spans,
        }
    }

    /// The span of fingers f < g, each 1–4; nothing for other fingers.
    pub fn span(&self, f: u8, g: u8) -> Span {
        let place = |finger: u8| usize::from(finger).wrapping_sub(1);
        let row = self.spans.get(place(f));
        row.and_then(|row| row.get(place(g)))
            .copied()
            .unwrap_or(NOTHING)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn profiles_are_found_by_name_and_grow() {
        assert_eq!(
            Hand::names().collect::<Vec<_>>(),
            ["small", "medium", "large"]
        );
        let hands: Vec<Hand> = Hand::names().map(|n| Hand::named(n).unwrap()).collect();
        for (f, g) in PAIRS {
            for pair in hands.windows(2) {
                assert!(pair[0].span(f, g).comfortable < pair[1].span(f, g).comfortable);
                assert!(pair[0].span(f, g).largest < pair[1].span(f, g).largest);
            }
        }
        assert_eq!(Hand::named(" Medium ").unwrap().span(1, 4).largest, 1380);
        let error = Hand::named("huge").unwrap_err().to_string();
        assert!(error.contains("small, medium, large"), "{error}");
    }

    #[test]
    fn the_medium_hand_reaches_at_least_what_the_keyboard_study_gives() {
        // Parncutt and others 1997, largest practical spans in mm, from memory.
        let hand = Hand::named("medium").unwrap();
        for ((f, g), published) in PAIRS.into_iter().zip([69, 55, 69, 96, 96, 138]) {
            assert!(hand.span(f, g).largest >= published * 10, "{f}–{g}");
        }
    }

    #[test]
    fn an_own_profile_is_checked() {
        let good = [Span {
            comfortable: 400,
            largest: 800,
        }; 6];
        assert_eq!(Hand::custom("mine", good).unwrap().span(2, 3), good[0]);
        for (comfortable, largest) in [
            (0, 800),
            (800, 800),
            (400, 3001),
            (-5, 10),
            (i32::MIN, i32::MAX),
        ] {
            let mut spans = good;
            spans[2] = Span {
                comfortable,
                largest,
            };
            assert_eq!(Hand::custom("mine", spans), Err(GuitarError::Span(3, 4)));
        }
    }
}
