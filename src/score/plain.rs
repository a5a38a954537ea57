//! A song laid out in time without an arrangement, so that tune and chords can be heard as they are
//! written. Nobody has to play it: a note lies where the neck has it lowest, a chord on the strings
//! below the tune.

use super::layout::{by_bar, played_bars, run_ends, tempo_marks};
use super::{Event, PlayedBar, Score, TempoMark};
use crate::arrange::{Layer, Technique};
use crate::guitar::Instrument;
use crate::song::{Song, Tempo};
use crate::theory::{Chord, Meter, Pitch, Symbol, Ticks};

/// The highest strings are left to the tune.
const TUNE_STRINGS: usize = 2;
/// A chord is taken from the frets up to this one.
const CHORD_FRETS: u8 = 4;

/// What of a song is heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
#[allow(missing_docs)]
pub enum Part {
    #[default]
    Tune,
    Chords,
    Both,
}

/// One sound in written ticks.
struct Sound {
    bar: usize,
    at: Ticks,
    end: Ticks,
    string: u8,
    fret: u8,
    layer: Layer,
    technique: Technique,
}

impl Score {
    /// The song as it is written, in play order: the melody moved by `shift` semitones, the chords
    /// struck at each change and each bar line.
    pub fn plain(song: &Song, instrument: &Instrument, part: Part, shift: i32) -> Score {
        let order = song.play_order().into_iter().map(|played| played.bar);
        let bars = played_bars(song, order);
        let starts = song.starts();
        let mut sounds = match part {
            Part::Chords => Vec::new(),
            Part::Tune | Part::Both => tune(song, &starts, instrument, shift),
        };
        if part != Part::Tune {
            let strums = strums(song, &starts, instrument, &sounds);
            sounds.extend(strums);
        }
        let by_bar = by_bar(starts.len(), sounds.iter().map(|s| s.bar));
        let mut events = Vec::new();
        for (played, run_end) in bars.iter().zip(run_ends(&bars, &starts)) {
            let start = starts.get(played.bar).copied().unwrap_or(0);
            let moved = played.at - start;
            let mine = by_bar.get(played.bar).into_iter().flatten();
            let mine = mine.filter_map(|&i| sounds.get(i));
            events.extend(mine.map(|sound| sound.event(instrument, moved, run_end)));
        }
        // Of one onset the lowest string comes first, which has the highest number.
        events.sort_by_key(|e| (e.at, std::cmp::Reverse(e.string)));
        Score {
            tempo: tempo_marks(song, &bars),
            length: bars.last().map_or(0, |b| b.at + b.length),
            bars,
            events,
        }
    }

    /// A single note; silence where the neck does not have it in any octave.
    pub fn note(pitch: Pitch, length: Ticks, tempo: Tempo, instrument: &Instrument) -> Score {
        let place = place(instrument, pitch.midi());
        let sound = place.map(|(string, fret)| Sound {
            bar: 0,
            at: 0,
            end: length,
            string,
            fret,
            layer: Layer::Melody,
            technique: Technique::Plain,
        });
        Score::single(sound.into_iter(), length, tempo, instrument)
    }

    /// A single chord, struck once.
    pub fn chord(chord: &Chord, length: Ticks, tempo: Tempo, instrument: &Instrument) -> Score {
        let places = voiced(chord, instrument, &[]).into_iter();
        let sounds = places.map(|(string, fret)| Sound {
            bar: 0,
            at: 0,
            end: length,
            string,
            fret,
            layer: Layer::Fill,
            technique: Technique::Brush,
        });
        Score::single(sounds, length, tempo, instrument)
    }

    fn single(
        sounds: impl Iterator<Item = Sound>,
        length: Ticks,
        tempo: Tempo,
        instrument: &Instrument,
    ) -> Score {
        Score {
            bars: vec![PlayedBar {
                bar: 0,
                number: 1,
                at: 0,
                length,
                missing: 0,
                meter: Meter::common(),
            }],
            events: sounds.map(|s| s.event(instrument, 0, length)).collect(),
            tempo: vec![TempoMark { at: 0, tempo }],
            length,
        }
    }
}

impl Sound {
    fn event(&self, instrument: &Instrument, moved: Ticks, run_end: Ticks) -> Event {
        Event {
            at: self.at + moved,
            end: self.end.min(run_end) + moved,
            string: self.string,
            fret: self.fret,
            midi: instrument.sounding(self.string, self.fret),
            layer: self.layer,
            technique: self.technique,
            pluck: Event::NO_PLUCK,
        }
    }
}

/// The melody with its ties joined.
fn tune(song: &Song, starts: &[Ticks], instrument: &Instrument, shift: i32) -> Vec<Sound> {
    let mut sounds: Vec<Sound> = Vec::new();
    let mut tied = None;
    for ((index, bar), start) in song.bars.iter().enumerate().zip(starts) {
        for note in &bar.notes {
            let midi = note.pitch.midi() + shift;
            let (at, end) = (start + note.at, start + note.at + note.length);
            match sounds.last_mut() {
                Some(last) if tied == Some((at, midi)) => last.end = end,
                _ => {
                    if let Some((string, fret)) = place(instrument, midi) {
                        sounds.push(Sound {
                            bar: index,
                            at,
                            end,
                            string,
                            fret,
                            layer: Layer::Melody,
                            technique: Technique::Plain,
                        });
                    }
                }
            }
            tied = note.tied.then_some((end, midi));
        }
    }
    sounds
}

/// The lowest fret that gives a note; by octaves up or down where the neck does not have it.
fn place(instrument: &Instrument, midi: i32) -> Option<(u8, u8)> {
    let (low, high) = (instrument.lowest(), instrument.highest());
    let midi = match midi {
        m if m < low => m + (low - m + 11) / 12 * 12,
        m if m > high => m - (m - high + 11) / 12 * 12,
        m => m,
    };
    instrument.places(midi).min_by_key(|&(_, fret)| fret)
}

/// The chords, on strings that the tune does not need. The tune comes in order, one note at a time.
fn strums(song: &Song, starts: &[Ticks], instrument: &Instrument, tune: &[Sound]) -> Vec<Sound> {
    let harmony = song.harmony();
    let song_end = starts.last().copied().unwrap_or(0);
    let mut sounds = Vec::new();
    for (i, here) in harmony.iter().enumerate() {
        let Some(Symbol::Chord(chord)) = here.symbol else {
            continue;
        };
        let end = harmony.get(i + 1).map_or(song_end, |next| next.at);
        let first = tune.partition_point(|s| s.end <= here.at);
        let within = tune.iter().skip(first).take_while(|s| s.at < end);
        let busy: Vec<u8> = within.map(|s| s.string).collect();
        for (string, fret) in voiced(chord, instrument, &busy) {
            sounds.push(Sound {
                bar: here.bar,
                at: here.at,
                end,
                string,
                fret,
                layer: Layer::Fill,
                technique: Technique::Brush,
            });
        }
    }
    sounds
}

/// A chord for the ear: its bass on the lowest string that has it near the nut, a chord tone on each
/// string above it, those left out that the tune needs.
fn voiced(chord: &Chord, instrument: &Instrument, busy: &[u8]) -> Vec<(u8, u8)> {
    let fret_of = |string: u8, wanted: &dyn Fn(i32) -> bool| {
        let frets = 0..=CHORD_FRETS.min(instrument.top_fret());
        frets
            .into_iter()
            .find(|&f| wanted(instrument.sounding(string, f).rem_euclid(12)))
    };
    let lowest_of_tune = TUNE_STRINGS.min(instrument.strings()) as u8;
    let strings = (lowest_of_tune + 1..=instrument.strings() as u8).rev();
    let free = strings.filter(|s| !busy.contains(s));
    let mut places: Vec<(u8, u8)> = Vec::new();
    for string in free {
        let fret = match places.is_empty() {
            true => fret_of(string, &|class| class == chord.bass_name().class()),
            false => fret_of(string, &|class| chord.is_tone(class)),
        };
        places.extend(fret.map(|fret| (string, fret)));
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::song::abc;
    use crate::theory::QUARTER;

    fn song(body: &str) -> Song {
        let text = format!("X:1\nM:3/4\nL:1/4\nQ:1/4=90\nK:C\n{body}\n");
        abc::read_book(&text).remove(0).unwrap().song
    }

    fn heard(score: &Score) -> Vec<(Ticks, Ticks, i32)> {
        let q = QUARTER;
        score
            .events
            .iter()
            .map(|e| (e.at / q, e.end / q, e.midi))
            .collect()
    }

    #[test]
    fn the_tune_is_heard_as_written_with_its_ties_and_repeats() {
        let guitar = Instrument::standard();
        let score = Score::plain(&song("|: c2 d- | d3 :|"), &guitar, Part::Tune, -12);
        let once = [(0, 2, 60), (2, 6, 62)];
        let again = once.map(|(at, end, midi)| (at + 6, end + 6, midi));
        assert_eq!(heard(&score), [once, again].concat());
        assert_eq!(score.length, 12 * QUARTER);
        // What the neck does not have is heard an octave nearer.
        let low = Score::plain(&song("C,,3"), &guitar, Part::Tune, 0);
        assert_eq!(heard(&low), [(0, 3, 48)]);
    }

    #[test]
    fn chords_are_struck_at_each_change_and_bar_line_below_the_tune() {
        let guitar = Instrument::standard();
        let written = song("\"C\"c2 \"G7/B\"d | e3 | \"N.C.\"c3");
        let score = Score::plain(&written, &guitar, Part::Chords, 0);
        // C3 E3 G3; B2 D3 G3; and the same again, since the chord goes on.
        let wanted = [
            (0, 2, 48),
            (0, 2, 52),
            (0, 2, 55),
            (2, 3, 47),
            (2, 3, 50),
            (2, 3, 55),
            (3, 6, 47),
            (3, 6, 50),
            (3, 6, 55),
        ];
        assert_eq!(heard(&score), wanted);
        let both = Score::plain(&written, &guitar, Part::Both, 0);
        assert_eq!(both.events.len(), 9 + 4);
        for (i, event) in both.events.iter().enumerate() {
            let same = |e: &Event| e.string == event.string && e.at < event.end && e.end > event.at;
            assert_eq!(
                both.events.iter().filter(|e| same(e)).count(),
                1,
                "event {i}"
            );
        }
    }

    #[test]
    fn the_longest_song_is_laid_out_as_fast_as_others() {
        let mut long = song("\"C\"c/d/e/f/g/a/ |");
        let bar = long.bars.remove(0);
        long.bars = vec![bar; 20_000];
        let score = Score::plain(&long, &Instrument::standard(), Part::Both, 0);
        assert_eq!(score.bars.len(), 20_000);
        assert!(score.events.len() > 6 * 20_000);
    }

    #[test]
    fn one_note_and_one_chord() {
        let guitar = Instrument::standard();
        let tempo = Tempo {
            beat: QUARTER,
            per_minute: 120,
        };
        let note = Score::note("A4".parse().unwrap(), QUARTER, tempo, &guitar);
        assert_eq!(heard(&note), [(0, 1, 69)]);
        let Symbol::Chord(chord) = Symbol::parse("Am").unwrap() else {
            panic!("a chord")
        };
        let chord = Score::chord(&chord, QUARTER, tempo, &guitar);
        assert_eq!(heard(&chord), [(0, 1, 45), (0, 1, 52), (0, 1, 57)]);
    }
}
