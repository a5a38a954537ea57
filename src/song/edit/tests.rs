//! Edits one by one, told as abc.

use super::*;
use crate::song::{SongFile, abc};
use crate::theory::{Letter, Pitch, QUARTER, Symbol};

const E: Ticks = QUARTER / 2;

fn draft(header: &str, tune: &str) -> Draft {
    let text = format!("{header}\ntune = \"\"\"\n{tune}\n\"\"\"\n");
    let (file, song, _) = SongFile::parse(&text).unwrap();
    Draft::new(song, file.meter())
}

fn waltz(tune: &str) -> Draft {
    draft("meter = \"3/4\"", tune)
}

fn at(mut draft: Draft, bar: usize, at: Ticks) -> Draft {
    draft.go_to(Caret { bar, at });
    draft
}

fn pitch(text: &str) -> Option<Pitch> {
    Some(text.parse().unwrap())
}

/// The tune in eighths, and the caret.
fn told(draft: &Draft) -> String {
    let body = abc::write_body(draft.song(), E);
    let Caret { bar, at } = draft.caret();
    format!("{} ({bar}, {})", body.trim(), crate::theory::beats(at))
}

fn typed(mut draft: Draft, notes: &str) -> Draft {
    for word in notes.split(' ') {
        let (letter, length) = word.split_at(1);
        let length = E * length.parse::<Ticks>().unwrap_or(1);
        let letter = letter.chars().next().and_then(Letter::from_char);
        let pitch = letter.map(|l| draft.pitch_of(l));
        draft = draft.insert(pitch, length).unwrap();
    }
    draft
}

#[test]
fn a_tune_is_written_from_nothing_and_goes_on_over_the_bar_line() {
    let blank = waltz("");
    assert!(blank.is_blank());
    assert_eq!(told(&blank), "z6 | (0, 0)");
    assert_eq!(blank.count().to_string(), "bar 1: 0 of 3 beats");
    let one = typed(blank, "g2 a3");
    assert_eq!(told(&one), "G2 A3 | (0, 2½)");
    assert_eq!(one.count().to_string(), "bar 1: 2½ of 3 beats");
    let two = typed(one, "b4");
    assert_eq!(told(&two), "G2 A3 B- | B3 | (1, 1½)");
    assert_eq!(two.count().to_string(), "bar 2: 1½ of 3 beats");
    assert_eq!(two.heard(), Some((pitch("B4").unwrap(), 4 * E)));
    // A whole bar, and what comes next is the next one.
    let three = typed(two, "z3 c6 d6");
    assert_eq!(told(&three), "G2 A3 B- | B3 z3 | c6 | d6 | (3, 3)");
    assert_eq!(
        told(&typed(three, "e14")),
        "G2 A3 B- | B3 z3 | c6 | d6 |\ne6- | e6- | e2 | (6, 1)"
    );
}

#[test]
fn letters_go_to_the_nearest_octave_of_the_key() {
    let d = draft("key = \"D\"\nmeter = \"4/4\"", "");
    let d = typed(d, "f c b c d a g d");
    let names: Vec<String> = d.song().bars[0]
        .notes
        .iter()
        .map(|n| n.pitch.to_string())
        .collect();
    assert_eq!(names.join(" "), "F♯4 C♯4 B3 C♯4 D4 A3 G3 D3");
}

#[test]
fn what_is_written_is_what_the_abc_standard_says() {
    // abc 2.1, section 4.1: C is middle C (MIDI 60, MIDI 1.0), c the octave above it, C, below it;
    // section 4.3: a length behind its note counts units of L; section 4.13: (3 is three notes in
    // the time of two.
    let d = draft("meter = \"4/4\"", "");
    let d = d.insert(pitch("C4"), 2 * E).unwrap();
    assert_eq!(d.song().bars[0].notes[0].pitch.midi(), 60);
    let d = d.insert(pitch("C5"), 3 * E).unwrap();
    let d = d.insert(pitch("C3"), E).unwrap();
    let d = (0..3).fold(d, |d, _| d.insert(pitch("G4"), E * 2 / 3).unwrap());
    assert_eq!(told(&d), "C2 c3 C, (3GGG | (0, 4)");
}

#[test]
fn a_pickup_is_closed_with_a_bar_line() {
    let d = typed(waltz(""), "d2").bar_line().unwrap();
    assert_eq!(d.count().to_string(), "bar 2: 0 of 3 beats");
    let d = typed(d, "g6");
    assert_eq!(told(&d), "D2 | G6 | (1, 3)");
    assert_eq!(d.song().bars[1].number, 1);
    assert!(d.song().odd_bars().is_empty());
    let start = at(d.clone(), 0, 2 * E);
    assert_eq!(start.count().to_string(), "pickup: 1 of 3 beats");
    assert_eq!(at(d, 1, 0).bar_line(), Err(EditError::BarLine));
}

#[test]
fn what_is_put_in_moves_the_rest_of_the_bar_but_takes_its_time_from_a_rest() {
    let d = at(waltz("\"C\"c2 \"G\"d2 e2 | f6 |]"), 0, 2 * E);
    let more = typed(d.clone(), "g");
    assert_eq!(told(&more), "\"C\"c2 G \"G\"d2 e2 | f6 |] (0, 1½)");
    assert_eq!(more.count().to_string(), "bar 1: 3½ of 3 beats");
    assert_eq!(more.song().odd_bars(), [1]);
    let rest = at(waltz("c2 z4 | f6 |]"), 0, 2 * E);
    assert_eq!(told(&typed(rest.clone(), "d")), "c2 d z3 | f6 |] (0, 1½)");
    assert_eq!(told(&typed(rest, "d5")), "c2 d4- d | f6 |] (0, 3½)");
    // A full bar is left for the next one.
    let full = at(waltz("c6 | z6 | e6 |]"), 0, 6 * E);
    assert_eq!(told(&typed(full, "d2")), "c6 | d2 z4 | e6 |] (1, 1)");
}

#[test]
fn notes_are_taken_out_with_their_time() {
    let d = waltz("\"C\"c2 \"G\"d2 e2 | \"F\"f6 |]");
    let d = at(d, 0, 4 * E).erase().unwrap();
    assert_eq!(told(&d), "\"C\"c2 \"G\"e2 | \"F\"f6 |] (0, 1)");
    let d = d.erase_behind().unwrap();
    assert_eq!(told(&d), "\"C\"c2 | \"F\"f6 |] (0, 1)");
    // The only note of a bar leaves a rest, which can be taken out as well.
    let d = d.erase().unwrap();
    assert_eq!(told(&d), "\"C\"z2 | \"F\"f6 |] (0, 0)");
    assert_eq!(told(&typed(d.clone(), "d")), "\"C\"dz | \"F\"f6 |] (0, ½)");
    assert_eq!(d.erase(), Err(EditError::NothingBefore));
    let d = d.erase_behind().unwrap();
    assert_eq!(told(&d), "\"F\"f6 |] (0, 0)");
    let d = d.erase_behind().unwrap();
    assert!(d.is_blank());
    assert_eq!(d.erase_behind(), Err(EditError::NothingBehind));
    // The bar line moves to what is last then.
    let d = waltz("c6 | d6 |]").erase().unwrap();
    assert_eq!(told(&d), "c6 |] (1, 0)");
    assert_eq!(told(&typed(d, "e6")), "c6 | e6 |] (1, 3)");
}

#[test]
fn another_note_in_the_same_place_gets_the_chord() {
    // In the middle, where the chord goes on over what follows meanwhile.
    let d = at(waltz("\"C\"c2 \"G\"d2 e2 | f6 |]"), 0, 4 * E)
        .erase()
        .unwrap();
    assert_eq!(told(&d), "\"C\"c2 \"G\"e2 | f6 |] (0, 1)");
    assert_eq!(told(&typed(d, "b2")), "\"C\"c2 \"G\"B2 e2 | f6 |] (0, 2)");
    // Where what follows has its own, and at the end of the tune.
    let d = at(waltz("\"C\"c2 \"G\"d2 e2 | f6 |]"), 0, 2 * E)
        .erase()
        .unwrap();
    assert_eq!(told(&typed(d, "e2")), "\"C\"e2 \"G\"d2 e2 | f6 |] (0, 1)");
    let d = waltz("\"C\"c2 \"G\"d4 | \"F\"f6 |]").erase().unwrap();
    assert_eq!(told(&typed(d, "e4")), "\"C\"c2 \"G\"d4 | \"F\"e4 |] (1, 2)");
    // A note that only comes before another one leaves it its chord, but for the start of a bar.
    let d = waltz("\"C\"c2 \"G\"d2 e2 | f6 |]");
    assert_eq!(
        told(&typed(at(d.clone(), 0, 2 * E), "d")),
        "\"C\"c2 d \"G\"d2 e2 | f6 |] (0, 1½)"
    );
    assert_eq!(
        told(&typed(at(d, 0, 0), "d")),
        "\"C\"d c2 \"G\"d2 e2 | f6 |] (0, ½)"
    );
}

#[test]
fn lengths_change_and_ties_join() {
    let d = at(waltz("c2 z2 e2 | f6 |]"), 0, 2 * E);
    assert_eq!(told(&d.lengthen(3 * E).unwrap()), "c3 z e2 | f6 |] (0, 1½)");
    assert_eq!(told(&d.lengthen(E).unwrap()), "c z2 e2 | f6 |] (0, ½)");
    let last = waltz("c4 d2 |]");
    let longer = last.lengthen(4 * E).unwrap();
    assert_eq!(told(&longer), "c4 d2- | d2 |] (1, 1)");
    assert_eq!(
        told(&last.lengthen(8 * E).unwrap()),
        "c4 d2- | d6 |] (1, 3)"
    );
    let held = at(waltz("c2- c2 z2 | f6 |]"), 0, 2 * E);
    let longer = held.lengthen(3 * E).unwrap();
    assert_eq!(told(&longer), "c3- c2 z2 | f6 |] (0, 1½)");
    // A tie is put in where the note does not follow, else it is switched.
    let tied = last.tie_on(2 * E).unwrap();
    assert_eq!(told(&tied), "c4 d2- | d2 |] (1, 1)");
    let between = at(tied, 0, 6 * E);
    let apart = between.tie_on(2 * E).unwrap();
    assert_eq!(told(&apart), "c4 d2 | d2 |] (0, 3)");
    assert_eq!(told(&apart.tie_on(E).unwrap()), "c4 d2- | d2 |] (0, 3)");
    assert_eq!(waltz("z6 |]").tie_on(E), Err(EditError::NoNote));
}

#[test]
fn a_note_moves_with_all_that_it_is_tied_to() {
    let d = draft("key = \"G\"\nmeter = \"3/4\"", "\"G\"E6- | E6- | E4 G2 |]");
    let d = at(d, 1, 6 * E);
    assert_eq!(
        told(&d.step_note(1).unwrap()),
        "\"G\"F6- | F6- | F4 G2 |] (1, 3)"
    );
    assert_eq!(
        d.step_note(1).unwrap().heard().unwrap().0.to_string(),
        "F♯4"
    );
    let octave = d.shift_octave(-1).unwrap();
    assert_eq!(told(&octave), "\"G\"E,6- | E,6- | E,4 G2 |] (1, 3)");
    let flat = d.sharpen(-1).unwrap();
    assert_eq!(told(&flat), "\"G\"_E6- | E6- | E4 G2 |] (1, 3)");
    assert_eq!(
        told(&flat.sharpen(-1).unwrap()),
        "\"G\"D6- | D6- | D4 G2 |] (1, 3)"
    );
    // Over a change of key it stays one note.
    let held = at(draft("", "B8- | [K:D] B8 |]"), 0, 8 * E);
    let up = held.step_note(1).unwrap();
    assert_eq!(up.heard(), Some((pitch("C5").unwrap(), 16 * E)));
    // Nobody can hear or write it.
    let high = (0..9).try_fold(d, |d, _| d.shift_octave(1));
    assert_eq!(high.unwrap_err(), EditError::Unwritable);
}

#[test]
fn chords_stand_over_beats_and_part_the_note_under_them() {
    let d = typed(waltz(""), "g6 a6");
    let start = Caret::default();
    let set = |d: &Draft, place, text| {
        d.set_chord(place, Some(Symbol::parse(text).unwrap()))
            .unwrap()
    };
    let d = set(&d, start, "G");
    let second = d.beat_from(start, 1).unwrap();
    let d = set(&d, second, "D7");
    assert_eq!(told(&d), "\"G\"G2- \"D7\"G4 | A6 | (1, 3)");
    let beats: Vec<_> = std::iter::successors(Some(start), |&c| d.beat_from(c, 1)).collect();
    assert_eq!(beats.len(), 6);
    assert_eq!(d.beat_from(beats[3], -1), Some(beats[2]));
    assert_eq!(d.chord_at(second).unwrap().to_string(), "D7");
    let d = d.set_chord(second, None).unwrap();
    assert_eq!(told(&d), "\"G\"G2- G4 | A6 | (1, 3)");
    assert_eq!(d.chord_place(), Ok(Caret { bar: 1, at: 0 }));
    assert_eq!(waltz("").chord_place(), Err(EditError::NoPlace));
    let behind = Caret { bar: 0, at: 6 * E };
    assert_eq!(d.set_chord(behind, None), Err(EditError::NoPlace));
}

#[test]
fn repeats_endings_and_bar_lines() {
    let d = at(waltz("c6 | d6 | e6 | f6 |]"), 0, 0)
        .open_repeat()
        .unwrap();
    let d = at(d, 1, 0).next_ending().unwrap().close_repeat().unwrap();
    let d = at(d, 2, 0)
        .next_ending()
        .unwrap()
        .next_ending()
        .unwrap()
        .next_line()
        .unwrap();
    assert_eq!(told(&d), "|: c6 | [1 d6 :| [2 e6 || f6 |] (2, 0)");
    let order: Vec<usize> = d.song().play_order().iter().map(|p| p.bar).collect();
    assert_eq!(order, [0, 1, 0, 2, 3]);
    let mut behind = d;
    behind.go_to(Caret { bar: 4, at: 0 });
    assert_eq!(behind.open_repeat(), Err(EditError::NoBar));
}

const PINNED: &str = "c2 d2 e2 | \"G\"d6 | e6 | f6 |]\n\"\"\"\n[[pin]]\nbar = 3\nnote = \"melody\"\nstring = 1\n[[pin]]\nbar = 1\nbeat = 3\nnote = \"melody\"\nstring = 2\n#";

#[test]
fn bars_are_cut_and_put_in_again_with_their_pins() {
    let pins = |d: &Draft| -> Vec<(usize, Ticks)> {
        d.song().pins.iter().map(|p| (p.bar, p.at)).collect()
    };
    let text = format!("meter = \"3/4\"\ntune = \"\"\"\n{PINNED}\n");
    let (file, song, _) = SongFile::parse(&text).unwrap();
    let d = Draft::new(song, file.meter());
    let (cut, clip) = d.cut(1..3).unwrap();
    assert_eq!(told(&cut), "c2 d2 e2 | f6 |] (1, 0)");
    assert_eq!((cut.from(), clip.count()), (&[Some(0), Some(3)][..], 2));
    assert_eq!(pins(&cut), [(0, 4 * E)]);
    let back = cut.paste(&clip).unwrap();
    assert_eq!(told(&back), "c2 d2 e2 | \"G\"d6 | e6 | f6 |] (3, 0)");
    assert_eq!(back.from(), [Some(0), None, None, Some(1)]);
    assert_eq!(pins(&back), [(0, 4 * E), (2, 0)]);
    let end = at(cut, 1, 6 * E).paste(&clip).unwrap();
    assert_eq!(told(&end), "c2 d2 e2 | f6 | \"G\"d6 | e6 |] (4, 0)");
    // What is put in before a pinned note takes the pin along, what is taken out takes it away.
    let moved = typed(at(d.clone(), 0, 2 * E), "g");
    assert_eq!(pins(&moved), [(2, 0), (0, 5 * E)]);
    assert_eq!(pins(&at(d.clone(), 0, 6 * E).erase().unwrap()), [(2, 0)]);
    assert_eq!(
        pins(&at(d.clone(), 0, 6 * E).step_note(1).unwrap()),
        [(2, 0)]
    );
    let (nothing, all) = d.cut(0..9).unwrap();
    assert!(nothing.is_blank());
    assert_eq!(
        told(&nothing.paste(&all).unwrap()),
        "c2 d2 e2 | \"G\"d6 | e6 | f6 |] (4, 0)"
    );
}

#[test]
fn bars_behind_a_cut_or_a_clip_stay_in_their_tempo() {
    let d = at(waltz("c6 | [Q:1/4=60] d6 | e6 |]"), 0, 0);
    let (cut, clip) = d.cut(1..2).unwrap();
    assert_eq!(told(&cut), "c6 | [Q:1/4=60]e6 |] (1, 0)");
    let first = at(cut, 0, 0).paste(&clip).unwrap();
    assert_eq!(told(&first), "d6 | [Q:1/4=100]c6 | [Q:1/4=60]e6 |] (1, 0)");
    assert_eq!(first.song().tempo.per_minute, 60);
}

#[test]
fn ideas_go_along_with_the_bars_that_they_colour() {
    use crate::song::{Figure, Idea};
    let mut song = waltz("\"C\"c6 | d6 | e2 f4 | \"G\"g6 |]").song().clone();
    let mut hits = Idea::new(1, 0, Figure::Hits);
    hits.to = 2;
    let sus = Figure::Chord(Symbol::parse("Gsus4").unwrap());
    let touch = Figure::Harmonic {
        string: 1,
        fret: 12,
    };
    song.ideas = vec![hits, Idea::new(2, 2 * E, touch), Idea::new(3, 2 * E, sus)];
    let d = Draft::new(song, &Meter::common());
    let ideas = |d: &Draft| -> Vec<(usize, usize, Ticks)> {
        d.song().ideas.iter().map(|i| (i.bar, i.to, i.at)).collect()
    };
    let was = [(1, 2, 0), (2, 2, 2 * E), (3, 3, 2 * E)];
    assert_eq!(ideas(&d), was);
    let (cut, clip) = d.cut(0..1).unwrap();
    assert_eq!(ideas(&cut), [(0, 1, 0), (1, 1, 2 * E), (2, 2, 2 * E)]);
    assert_eq!(ideas(&at(cut, 0, 0).paste(&clip).unwrap()), was);
    // A bar out of the midst of an idea takes it along; both go in again together only.
    let (cut, _) = d.cut(2..3).unwrap();
    assert_eq!(ideas(&cut), [(2, 2, 2 * E)]);
    // An idea of whole bars colours both halves of one that is parted.
    let parted = at(d.clone(), 2, 2 * E).bar_line().unwrap();
    assert_eq!(ideas(&parted), [(1, 3, 0), (3, 3, 0), (4, 4, 2 * E)]);
    // What is put in before the note moves the harmonic; another pitch has none.
    let moved = at(d.clone(), 2, 0).insert(pitch("C4"), E).unwrap();
    assert_eq!(ideas(&moved)[1], (2, 2, 3 * E));
    let higher = at(d.clone(), 2, 6 * E).step_note(1).unwrap();
    assert_eq!(ideas(&higher), [(1, 2, 0), (3, 3, 2 * E)]);
    // Another chord in the place of one that an idea put there.
    let place = Caret { bar: 3, at: 2 * E };
    let other = d.set_chord(place, Symbol::parse("D7").ok()).unwrap();
    assert_eq!(ideas(&other).len(), 2);
}

#[test]
fn a_meter_draws_the_bar_lines_anew() {
    let d = draft("", "G2 | \"C\"c4 d4- | d2 e2 \"G\"f4 |: g8 | a6 :|");
    let three = at(d.clone(), 1, 0)
        .set_meter(&"3/4".parse().unwrap())
        .unwrap();
    assert_eq!(
        told(&three),
        "G2 | [M:3/4]\"C\"c4 d2- | d4 e2 | \"G\"f4 |\n|: g6- | g2 a4- | a2 :| (1, 0)"
    );
    let back = at(three, 1, 0).set_meter(&"4/4".parse().unwrap()).unwrap();
    assert_eq!(told(&back), told(&at(d.clone(), 1, 0)));
    assert_eq!(back.from().len(), d.song().bars.len());
    // Over-full and short bars are mended by drawing their lines anew.
    let odd = waltz("c2 d2 e2 f2 | g2 a2 | b4 |]");
    let mended = at(odd, 0, 0).redraw_bar_lines().unwrap();
    assert_eq!(told(&mended), "c2 d2 e2 | f2 g2 a2 | b4 |] (0, 0)");
    let blank = waltz("").set_meter(&"6/8".parse().unwrap()).unwrap();
    assert!(blank.is_blank());
    assert_eq!(blank.count().to_string(), "bar 1: 0 of 6 eighths");
}

#[test]
fn a_longer_meter_makes_a_pickup_of_no_full_bar() {
    let four = |tune| {
        let longer = at(waltz(tune), 0, 0).set_meter(&"4/4".parse().unwrap());
        told(&longer.unwrap())
    };
    assert_eq!(four("c6 | d6 | e6 |]"), "c6 d2- | d4 e4- | e2 |] (0, 0)");
    assert_eq!(four("c2 | d6 | e6 |]"), "c2 | d6 e2- | e4 |] (0, 0)");
}

#[test]
fn keys_and_tempo_hold_from_their_bar_on() {
    let d = draft("key = \"G\"\nmeter = \"3/4\"", "F6 | [K:D] F6 | c6 |]");
    let d = at(d, 0, 0).set_key(&"C".parse().unwrap()).unwrap();
    assert_eq!(told(&d), "^F6 | [K:D]F6 | c6 |] (0, 0)");
    assert_eq!(d.song().key.to_string(), "C major");
    let up = d.transposed(2).unwrap();
    assert_eq!(told(&up), "^G6 | [K:E]G6 | d6 |] (0, 0)");
    let tempo = crate::song::Tempo {
        beat: QUARTER,
        per_minute: 60,
    };
    let slow = at(up, 2, 0).set_tempo(tempo).unwrap();
    assert_eq!((slow.tempo(), slow.song().tempo.per_minute), (tempo, 100));
}

#[test]
fn the_caret_goes_over_bar_lines_in_two_steps() {
    let mut d = at(waltz("c2 d4 | e6 |]"), 0, 2 * E);
    let mut seen = Vec::new();
    for by in [1, 1, 1, 1, -1, -4, -1] {
        d.step(by);
        seen.push((d.caret().bar, d.caret().at / E));
    }
    assert_eq!(
        seen,
        [(0, 6), (1, 0), (1, 6), (2, 0), (1, 6), (0, 0), (0, 0)]
    );
    d.step_bars(1);
    assert_eq!(d.caret(), Caret { bar: 1, at: 0 });
    d.step_bars(1);
    assert_eq!(d.caret(), Caret { bar: 1, at: 6 * E });
    d.step_bars(-1);
    assert_eq!(d.caret(), Caret { bar: 1, at: 0 });
}
