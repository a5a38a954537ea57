//! Ideas: what the player took (or left) of the colours that a bar may have.

use super::{Bar, ChordChange, Place, Song};
use crate::theory::{Key, Name, Pitch, PitchError, QUARTER, Symbol, Ticks};

/// One idea of a song, taken or left.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Idea {
    /// Index of the written bar in which it begins, from 0.
    pub bar: usize,
    /// Index of the last written bar that it reaches.
    pub to: usize,
    /// Ticks from the first bar's line; 0 for what concerns whole bars.
    pub at: Ticks,
    /// What is done.
    pub figure: Figure,
    /// It was left: the player has seen it and does not want it.
    pub left: bool,
    /// Where it stands in the song file.
    pub place: Place,
}

/// The notes of a broken chord come no quicker than 32nds.
pub const SHORTEST_BROKEN: Ticks = QUARTER / 8;

/// What an idea does to its bar, its bars or its onset.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Figure {
    /// The bass again on every beat.
    Beats,
    /// The bass again on the beats on which the melody strikes nothing.
    Between,
    /// Root and fifth in turn on the beats.
    Fifths,
    /// The bass goes with the melody, so far below it, where no chord starts.
    Doubled(Doubling),
    /// No bass: a breath.
    Breath,
    /// One bass note: another chord tone, a passing or an approach note.
    Bass(Note),
    /// A bass line over the bars, one note after another.
    Walk {
        /// Where its notes fall.
        step: Step,
        /// The notes in order.
        notes: Vec<Note>,
    },
    /// The chord is rolled, low string first, over as many as this many strings.
    Roll(u8),
    /// The chord's notes one after another, so far apart, instead of together. Less than
    /// [`SHORTEST_BROKEN`] counts as that.
    Broken(Ticks),
    /// The melody note sounds as a natural harmonic.
    Harmonic {
        /// String, 1 is the highest.
        string: u8,
        /// The fret over which it is touched, above the capo.
        fret: u8,
    },
    /// A knock on the beats on which no bass is struck.
    Hits,
    /// The melody note is sounded by the left hand from the note before it, on one string.
    Slur {
        /// String, 1 is the highest.
        string: u8,
        /// Left fingers of the note before and of the note slurred to, 0 for the open string.
        fingers: (u8, u8),
    },
    /// The melody notes from here on lie on these strings, neighbours on different ones, and ring over
    /// each other: a campanella. String 1 is the highest.
    Campanella(Vec<u8>),
    /// Another chord from here to the next change or bar line.
    Chord(Symbol),
}

/// Where the notes of a bass line fall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Step {
    /// On each beat.
    Beat,
    /// Where each chord starts, and where it goes on at a bar line.
    Chord,
}

/// How far below the melody the bass goes along with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Doubling {
    /// Eight steps of the scale: twelve semitones.
    Octave,
    /// Ten steps of the key's scale: an octave and a third, 14 to 17 semitones.
    Tenth,
}

impl Doubling {
    /// The semitones below a melody note.
    pub fn semitones(self, key: &Key, note: Pitch) -> i32 {
        match self {
            Doubling::Octave => 12,
            Doubling::Tenth => {
                let letter = note.name.letter.step(-2);
                let third = Name::new(letter, key.alter(letter));
                12 + (note.name.class() - third.class()).rem_euclid(12)
            }
        }
    }

    /// `octave` or `tenth`.
    pub fn name(self) -> &'static str {
        match self {
            Doubling::Octave => "octave",
            Doubling::Tenth => "tenth",
        }
    }
}

/// A bass note, in its octave or in any.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Note {
    /// Its name.
    pub name: Name,
    /// Its octave, if fixed.
    pub octave: Option<i8>,
}

impl Note {
    /// A note in its octave.
    pub fn of(pitch: Pitch) -> Note {
        Note {
            name: pitch.name,
            octave: Some(pitch.octave),
        }
    }

    /// Its MIDI number, where the octave is fixed.
    pub fn midi(self) -> Option<i32> {
        self.octave.map(|o| Pitch::new(self.name, o).midi())
    }

    /// The note with signs that every keyboard has: `F#2`, or `F#` in any octave.
    pub fn ascii(self) -> String {
        let octave = self.octave.map_or(String::new(), |o| o.to_string());
        self.name.ascii() + &octave
    }
}

impl std::str::FromStr for Note {
    type Err = PitchError;

    /// Reads `F#2`, or `F#` in any octave.
    fn from_str(text: &str) -> Result<Note, PitchError> {
        match text.parse() {
            Ok(pitch) => Ok(Note::of(pitch)),
            Err(_) => text.parse().map(|name| Note { name, octave: None }),
        }
    }
}

impl std::fmt::Display for Note {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        self.name.fmt(f)?;
        self.octave.map_or(Ok(()), |o| o.fmt(f))
    }
}

impl Idea {
    /// An idea that is taken.
    pub fn new(bar: usize, at: Ticks, figure: Figure) -> Idea {
        Idea {
            bar,
            to: bar,
            at,
            figure,
            left: false,
            place: Place::default(),
        }
    }

    /// Whether it concerns whole bars and not an onset.
    pub fn is_whole_bar(&self) -> bool {
        matches!(
            self.figure,
            Figure::Beats
                | Figure::Between
                | Figure::Fifths
                | Figure::Doubled(_)
                | Figure::Breath
                | Figure::Walk { .. }
                | Figure::Hits
        )
    }

    /// Whether both say the same thing about the same place, taken or left.
    pub fn is_like(&self, other: &Idea) -> bool {
        (self.bar, self.to, self.at) == (other.bar, other.to, other.at)
            && self.figure == other.figure
    }
}

impl Song {
    /// The ideas that are taken, with their indices; those of bars that are not there left out.
    pub fn taken(&self) -> impl Iterator<Item = (usize, &Idea)> {
        let here = |i: &Idea| !i.left && i.bar <= i.to && i.to < self.bars.len();
        self.ideas.iter().enumerate().filter(move |(_, i)| here(i))
    }

    /// The song with the chords that taken ideas put in place of its own.
    ///
    /// Such a chord holds until the next change or bar line, where the chord goes on that would be
    /// there without it.
    pub fn recoloured(&self) -> Song {
        let mut song = self.clone();
        for (_, idea) in self.taken() {
            if let Figure::Chord(symbol) = &idea.figure {
                song.bars[idea.bar].put_chord(idea.at, symbol);
            }
        }
        song.keep_chords(self.at_bar_lines());
        song
    }

    /// Whether a taken idea changes a chord.
    pub fn is_recoloured(&self) -> bool {
        self.taken()
            .any(|(_, i)| matches!(i.figure, Figure::Chord(_)))
    }
}

impl Bar {
    fn put_chord(&mut self, at: Ticks, symbol: &Symbol) {
        let symbol = symbol.clone();
        match self.chords.binary_search_by_key(&at, |c| c.at) {
            Ok(i) => self.chords[i].symbol = symbol,
            Err(i) => {
                let place = Place::default();
                self.chords.insert(i, ChordChange { at, symbol, place });
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::song::abc;
    use crate::theory::QUARTER;

    /// An octave and a third of the scale, major or minor as the key has it (common practice, no
    /// source).
    #[test]
    fn tenths_follow_the_key() {
        let text = "X:1\nK:C\nCDEFGAB|]\nX:2\nK:D\nF|]\n";
        for (i, wanted) in [&[15, 15, 16, 15, 15, 16, 16][..], &[16]]
            .iter()
            .enumerate()
        {
            let song = abc::read_book(text).remove(i).unwrap().song;
            let bar = &song.bars[0];
            let tenths = (bar.notes.iter()).map(|n| Doubling::Tenth.semitones(&bar.key, n.pitch));
            assert_eq!(&tenths.collect::<Vec<_>>(), wanted);
        }
    }

    /// Onset in quarters and symbol of each chord that is heard once `chord` is taken at `at`.
    fn heard(body: &str, at: Ticks, chord: &str) -> Vec<String> {
        let text = format!("X:1\nM:2/4\nL:1/4\nK:C\n{body}\n");
        let mut song = abc::read_book(&text).remove(0).unwrap().song;
        let chord = Symbol::parse(chord).unwrap();
        song.ideas.push(Idea::new(0, at, Figure::Chord(chord)));
        let told = song.recoloured();
        song.ideas[0].left = true;
        assert_eq!(song.recoloured(), song);
        let told = told.harmony().into_iter().map(|h| {
            let symbol = h.symbol.map(ToString::to_string).unwrap_or_default();
            format!("{} {symbol}", h.at / QUARTER)
        });
        told.collect()
    }

    #[test]
    fn a_chord_put_in_holds_to_the_bar_line_only() {
        let told = heard("\"C\"CE|GG|\"F\"FF|]", QUARTER, "Csus4");
        assert_eq!(told, ["0 C", "1 Csus4", "2 C", "4 F"]);
        let told = heard("CE|GG|EC|]", 0, "C");
        assert_eq!(told, ["0 C", "2 N.C.", "4 N.C."], "no chord goes on");
    }

    #[test]
    fn a_chord_put_in_does_not_reach_the_second_ending() {
        let told = heard("\"C\"CE|[1\"G\"GG:|[2EC|]", 0, "Csus4");
        assert_eq!(told, ["0 Csus4", "2 G", "4 C"]);
    }
}
