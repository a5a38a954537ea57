//! What must be kept is kept: songs through song files, abc, MusicXML and MIDI and back.

#![allow(clippy::unwrap_used)] // a song that can't be read back has failed

use proptest::prelude::*;
use thumbline::arrange::{Arrangement, Layer, Options, arrange};
use thumbline::exchange::input::Choice;
use thumbline::exchange::{midi, musicxml};
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::{Bar, Note, Song, SongFile, abc};
use thumbline::theory::{Key, Meter, Pitch, Ticks};

/// A bar of a tune: half-beat words that fill a meter of quarters, and what stands at its start.
fn bar(quarters: usize) -> impl Strategy<Value = String> {
    let letter = prop::sample::select(vec![
        "G", "A", "B", "c", "d", "e", "f", "^f", "_B", "=c", "g", "a",
    ]);
    let letters = prop::collection::vec(letter, 4);
    let beat = (letters, 0..9u8).prop_map(|(l, kind)| match kind {
        0 => format!("{}2 ", l[0]),
        1 => format!("{}{} ", l[0], l[1]),
        2 => format!("(3{}{}{} ", l[0], l[1], l[2]),
        3 => format!("{}3/2{}/ ", l[0], l[1]),
        4 => format!("{}/{}/{}/{}/ ", l[0], l[1], l[2], l[3]),
        5 => format!("z{} ", l[1]),
        6 => format!("{}2- ", l[0]),
        7 => format!("(3:2:2{}2{} ", l[0], l[1]),
        _ => format!("{}{}- ", l[0], l[1]),
    });
    let chord = prop::sample::select(vec![
        "G", "Am7", "D7/F#", "Cmaj7", "Em", "Bm7b5", "E7sus4", "F#dim7", "C6/9", "A13", "N.C.",
    ]);
    let change = prop::sample::select(vec![
        "",
        "",
        "",
        "",
        "[K:D]",
        "[K:Gm]",
        "[K:Ador]",
        "[Q:1/4=132]",
    ]);
    (
        prop::collection::vec(beat, quarters),
        chord,
        prop::bool::weighted(0.7),
        change,
    )
        .prop_map(|(beats, chord, has_chord, change)| {
            let chord = if has_chord {
                format!("\"{chord}\"")
            } else {
                String::new()
            };
            format!("{change}{chord}{}", beats.concat())
        })
}

/// A whole tune with a pickup or none, repeats or none.
fn tune() -> impl Strategy<Value = String> {
    let head = (
        2..=4usize,
        prop::sample::select(vec!["C", "G", "Em", "Bb", "Ddor"]),
        any::<bool>(),
    );
    head.prop_flat_map(|(quarters, key, pickup)| {
        let bars = prop::collection::vec(bar(quarters), 2..6);
        (bars, 0..6u8).prop_map(move |(bars, form)| {
            let (first, rest) = (&bars[0], bars[1..].join("| "));
            let last = &bars[bars.len() - 1];
            let body = match form {
                0 => format!("{first}| {rest}|]"),
                1 => format!("|: {first}| {rest}:|"),
                2 => format!("|: {first}| {rest}|[1 {last}:|[2 {first}|]"),
                3 => format!("{first}|| {rest}:| {last}|]"),
                4 => format!("|:: {first}::| {rest}|]"),
                _ => format!("|: {first}|[1,2 {last}:|[3 {first}|| {rest}|]"),
            };
            let pickup = if pickup { "d2 | " } else { "" };
            format!(
                "X:1\nT:Salt & <Rope> Walk\nC:the harbour evening\nM:{quarters}/4\nL:1/8\n\
                 Q:1/4=96\nK:{key}\n{pickup}{body}\n"
            )
        })
    })
}

fn read(text: &str) -> Song {
    let tune = abc::read_book(text).remove(0);
    tune.unwrap_or_else(|e| panic!("{e} in {text}")).song
}

fn alone(song: &Song) -> Arrangement {
    let options = Options {
        layer: Layer::Melody,
        ..Options::default()
    };
    let hand = Hand::named("large").unwrap();
    arrange(song, &Instrument::standard(), &hand, &options).unwrap()
}

/// A bar as it must come back: a tie inside it is one note, a tie that leads nowhere is none.
#[derive(Debug, PartialEq)]
struct Kept {
    number: u32,
    meter: Meter,
    key: Key,
    length: Ticks,
    notes: Vec<(Ticks, Ticks, Pitch, bool)>,
    chords: Vec<(Ticks, String)>,
    /// Quarters a minute, in ticks.
    speed: i64,
}

fn kept(song: &Song, octaves: i32) -> Vec<Kept> {
    let mut tempo = song.tempo;
    let bars = song.bars.iter().enumerate().map(|(i, bar)| {
        tempo = bar.tempo.unwrap_or(tempo);
        Kept {
            number: bar.number,
            meter: bar.meter.clone(),
            key: bar.key.clone(),
            length: bar.length,
            notes: joined(bar, straight(song, i), octaves),
            chords: bar
                .chords
                .iter()
                .map(|c| (c.at, c.symbol.to_string()))
                .collect(),
            speed: tempo.beat * i64::from(tempo.per_minute),
        }
    });
    bars.collect()
}

/// The bar that always follows bar `i`. Nothing is held over a bar line that is ever jumped.
fn straight(song: &Song, i: usize) -> Option<&Bar> {
    let runs = song.runs_on().get(i + 1).copied().unwrap_or(false);
    song.bars.get(i + 1).filter(|_| runs)
}

fn joined(bar: &Bar, next: Option<&Bar>, octaves: i32) -> Vec<(Ticks, Ticks, Pitch, bool)> {
    let mut notes: Vec<(Ticks, Ticks, Pitch, bool)> = Vec::new();
    let follows = |note: &Note, i: usize| {
        let end = note.at + note.length;
        let inside = bar.notes.get(i + 1).filter(|n| n.at == end);
        let over = next
            .filter(|_| end == bar.length)
            .and_then(|b| b.notes.first())
            .filter(|n| n.at == 0);
        let next = inside.or(over);
        note.tied && next.is_some_and(|n| n.pitch.midi() == note.pitch.midi())
    };
    let mut open = false;
    for (i, note) in bar.notes.iter().enumerate() {
        let goes_on = follows(note, i);
        let pitch = note.pitch.octaves_up(octaves);
        match notes.last_mut().filter(|_| open) {
            Some(last) => {
                last.1 += note.length;
                last.3 = goes_on;
            }
            None => notes.push((note.at, note.length, pitch, goes_on)),
        }
        open = goes_on;
    }
    notes
}

fn order(song: &Song) -> Vec<usize> {
    song.play_order().iter().map(|p| p.bar).collect()
}

/// A sounding note or chord: its onset as played, its name, its length.
type Sound = (Ticks, String, Ticks);

/// The melody and the chords as they are played.
fn played(song: &Song) -> (Vec<Sound>, Vec<Sound>) {
    let mut at = 0;
    let (mut notes, mut chords): (Vec<Sound>, Vec<Sound>) = Default::default();
    let mut open = None;
    let order = order(song);
    for (i, &index) in order.iter().enumerate() {
        let bar = &song.bars[index];
        let next = straight(song, index).filter(|_| order.get(i + 1) == Some(&(index + 1)));
        for (on, length, pitch, tied) in joined(bar, next, 0) {
            let midi = pitch.midi().to_string();
            match notes.last_mut().filter(|_| open == Some(at + on)) {
                Some(last) => last.2 += length,
                None => notes.push((at + on, midi, length)),
            }
            open = tied.then_some(at + on + length);
        }
        chords.extend(
            bar.chords
                .iter()
                .map(|c| (at + c.at, c.symbol.to_string(), 0)),
        );
        at += bar.length;
    }
    (notes, chords)
}

/// Where the tempo changes as it is played, in quarters a minute.
fn tempos(song: &Song) -> Vec<(Ticks, i64)> {
    let speed = |bar: Kept| (bar.length, bar.speed);
    let written: Vec<(Ticks, i64)> = kept(song, 0).into_iter().map(speed).collect();
    let mut at = 0;
    let mut tempos: Vec<(Ticks, i64)> = Vec::new();
    for index in order(song) {
        let (length, speed) = written[index];
        if tempos.last().is_none_or(|t| t.1 != speed) {
            tempos.push((at, speed));
        }
        at += length;
    }
    tempos
}

/// The notes with short gaps closed, as they are heard: a gap of a quarter of the way to the next note
/// or less is how a note was played, not a rest.
fn joined_up(mut notes: Vec<Sound>) -> Vec<Sound> {
    let begins: Vec<Ticks> = notes.iter().skip(1).map(|n| n.0).collect();
    for (note, next) in notes.iter_mut().zip(begins) {
        let way = next - note.0;
        if (way - note.2) * 4 <= way {
            note.2 = way;
        }
    }
    notes
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn from_abc_to_song_file_to_musicxml_and_back(text in tune()) {
        let song = read(&text);
        let file = SongFile::new(&song).unwrap().to_string();
        let from_file = SongFile::parse(&file).unwrap().1;
        prop_assert!(from_file.same_as(&song), "{}", file);
        let arrangement = alone(&from_file);
        let score = musicxml::write(&arrangement);
        let (from_score, notices) = musicxml::read(&score, &Choice::default()).unwrap();
        prop_assert_eq!(notices, vec![]);
        let octaves = arrangement.shift / 12 + 1;
        prop_assert_eq!(kept(&from_score, 0), kept(&song, octaves), "{}", score);
        prop_assert_eq!(order(&from_score), order(&song));
        prop_assert_eq!(&from_score.title, &song.title);
        prop_assert_eq!(&from_score.composer, &song.composer);
        let file = SongFile::new(&from_score).unwrap().to_string();
        let again = SongFile::parse(&file).unwrap().1;
        let text = abc::write_tune(&again, 1);
        let back = read(&text);
        prop_assert!(back.same_as(&from_score), "{}", text);
        prop_assert_eq!(kept(&back, 0), kept(&song, octaves));
    }

    #[test]
    fn through_midi_as_it_is_played(text in tune()) {
        let song = read(&text);
        let arrangement = alone(&song);
        let bytes = midi::write(&arrangement);
        let (heard, _) = midi::read(&bytes, &Choice::default()).unwrap();
        let mut lower = song.clone();
        for note in lower.bars.iter_mut().flat_map(|b| &mut b.notes) {
            note.pitch = note.pitch.octaves_up(arrangement.shift / 12);
        }
        let (notes, chords) = played(&lower);
        prop_assert_eq!(played(&heard).0, joined_up(notes));
        prop_assert_eq!(played(&heard).1, chords);
        prop_assert_eq!(tempos(&heard), tempos(&song));
        // A second time nothing changes any more.
        let (again, _) = midi::read(&midi::write(&alone(&heard)), &Choice::default()).unwrap();
        prop_assert_eq!(played(&again).1, played(&heard).1);
    }
}
