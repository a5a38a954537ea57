//! What holds for any row of edits: the song stays one that can be written down and read again, and
//! undo gives back what was before to the last bit.

use super::*;
use crate::song::{GuitarWish, SongFile, Tempo};
use crate::theory::{Letter, QUARTER, Symbol};
use proptest::prelude::*;

/// One edit, or a move of the caret.
#[derive(Debug, Clone)]
enum Edit {
    Step(isize),
    Bars(isize),
    End,
    Note(usize, Ticks),
    Rest(Ticks),
    Erase,
    EraseBehind,
    Lengthen(Ticks),
    Tie(Ticks),
    StepNote(i32),
    Sharpen(i8),
    Octave(i32),
    BarLine,
    Open,
    Close,
    Line,
    Ending,
    WriteOut,
    Chord(isize, &'static str),
    NoChord,
    Copy(usize),
    Cut(usize),
    Paste,
    Meter(&'static str),
    Redraw,
    Key(&'static str),
    Move(&'static str),
    Transpose(i32),
    Tempo(u32),
    NoTempo,
    Capo(u8),
}

fn length() -> impl Strategy<Value = Ticks> {
    // Whole to thirty-second, plain, dotted and in triplets.
    let plain = (0..6u32).prop_map(|i| (4 * QUARTER) >> i);
    prop_oneof![
        4 => plain.clone(),
        1 => plain.clone().prop_map(|l| l * 3 / 2),
        1 => plain.prop_map(|l| l * 2 / 3),
    ]
}

fn edit() -> impl Strategy<Value = Edit> {
    let meters = prop::sample::select(vec!["4/4", "3/4", "6/8", "2+2+3/8", "2/2", "5/4"]);
    let keys = || prop::sample::select(vec!["C", "G", "Bb", "F#m", "D dor", "Eb", "A mix"]);
    let chords = prop::sample::select(vec!["C", "Am7", "D7/F#", "N.C.", "Bbmaj7", "F#m7b5"]);
    prop_oneof![
        6 => (-3..=3isize).prop_map(Edit::Step),
        2 => (-2..=2isize).prop_map(Edit::Bars),
        4 => Just(Edit::End),
        20 => (0..7usize, length()).prop_map(|(l, t)| Edit::Note(l, t)),
        3 => length().prop_map(Edit::Rest),
        2 => Just(Edit::Erase),
        1 => Just(Edit::EraseBehind),
        2 => length().prop_map(Edit::Lengthen),
        3 => length().prop_map(Edit::Tie),
        2 => (-2..=2).prop_map(Edit::StepNote),
        2 => (-1..=1i8).prop_map(Edit::Sharpen),
        1 => (-1..=1).prop_map(Edit::Octave),
        2 => Just(Edit::BarLine),
        1 => Just(Edit::Open),
        1 => Just(Edit::Close),
        1 => Just(Edit::Line),
        1 => Just(Edit::Ending),
        1 => Just(Edit::WriteOut),
        3 => (-1..3isize, chords).prop_map(|(b, c)| Edit::Chord(b, c)),
        1 => Just(Edit::NoChord),
        1 => (1..3usize).prop_map(Edit::Copy),
        1 => (1..3usize).prop_map(Edit::Cut),
        2 => Just(Edit::Paste),
        1 => meters.prop_map(Edit::Meter),
        1 => Just(Edit::Redraw),
        1 => keys().prop_map(Edit::Key),
        1 => keys().prop_map(Edit::Move),
        1 => (-5..=5).prop_map(Edit::Transpose),
        1 => (20..300u32).prop_map(Edit::Tempo),
        1 => Just(Edit::NoTempo),
        1 => (0..5u8).prop_map(Edit::Capo),
    ]
}

fn make(draft: &Draft, clip: &mut Option<Clip>, edit: &Edit) -> Result<Draft, EditError> {
    let here = draft.bar();
    match *edit {
        Edit::Step(by) => {
            let mut moved = draft.clone();
            moved.step(by);
            Ok(moved)
        }
        Edit::Bars(by) => {
            let mut moved = draft.clone();
            moved.step_bars(by);
            Ok(moved)
        }
        Edit::End => {
            let mut moved = draft.clone();
            moved.go_to_end();
            Ok(moved)
        }
        Edit::Note(letter, length) => {
            let pitch = draft.pitch_of(Letter::ALL[letter]);
            draft.insert(Some(pitch), length)
        }
        Edit::Rest(length) => draft.insert(None, length),
        Edit::Erase => draft.erase(),
        Edit::EraseBehind => draft.erase_behind(),
        Edit::Lengthen(length) => draft.lengthen(length),
        Edit::Tie(length) => draft.tie_on(length),
        Edit::StepNote(by) => draft.step_note(by),
        Edit::Sharpen(by) => draft.sharpen(by),
        Edit::Octave(by) => draft.shift_octave(by),
        Edit::BarLine => draft.bar_line(),
        Edit::Open => draft.open_repeat(),
        Edit::Close => draft.close_repeat(),
        Edit::Line => draft.next_line(),
        Edit::Ending => draft.next_ending(),
        Edit::WriteOut => draft.write_out(),
        Edit::Chord(beats, text) => {
            let mut place = draft.chord_place()?;
            for _ in 0..beats.unsigned_abs() {
                place = draft.beat_from(place, beats.signum()).unwrap_or(place);
            }
            draft.set_chord(place, Some(Symbol::parse(text).unwrap()))
        }
        Edit::NoChord => draft.set_chord(draft.chord_place()?, None),
        Edit::Copy(count) => {
            *clip = Some(draft.copied(here..here + count)?);
            Ok(draft.clone())
        }
        Edit::Cut(count) => {
            let (cut, bars) = draft.cut(here..here + count)?;
            *clip = Some(bars);
            Ok(cut)
        }
        Edit::Paste => draft.paste(clip.as_ref().ok_or(EditError::NoClip)?),
        Edit::Meter(text) => draft.set_meter(&text.parse().unwrap()),
        Edit::Redraw => draft.redraw_bar_lines(),
        Edit::Key(text) => draft.set_key(&text.parse().unwrap()),
        Edit::Move(text) => draft.moved_to(&text.parse().unwrap()),
        Edit::Transpose(by) => draft.transposed(by),
        Edit::Tempo(per_minute) => draft.set_tempo(Tempo {
            beat: QUARTER,
            per_minute,
        }),
        Edit::NoTempo => draft.clear_tempo(),
        Edit::Capo(fret) => draft.set_guitar(GuitarWish {
            capo: Some(fret),
            ..GuitarWish::default()
        }),
    }
}

const PINNED: &str = "key = \"G\"\nmeter = \"3/4\"\ntune = \"\"\"
D2 | \"G\"B4 A2 | \"D7\"A3 B c2 | \"G\"B6- | B4 |]
\"\"\"
[[pin]]\nbar = 1\nnote = \"melody\"\nstring = 2\n
[[pin]]\nbar = 2\nbeat = 3\ngrip = \"xx0212\"\n
[[pin]]\nbar = 3\nbass = \"G2\"\n";

fn start(blank: bool) -> Draft {
    let text = if blank { "meter = \"3/4\"\n" } else { PINNED };
    let (file, song, _) = SongFile::parse(text).unwrap();
    Draft::new(song, file.meter())
}

/// Everything that a song must hold to be arranged, drawn and saved.
fn is_sound(draft: &Draft) -> Result<(), TestCaseError> {
    let song = draft.song();
    prop_assert!(!song.bars.is_empty());
    prop_assert_eq!(&song.key, &song.bars[0].key);
    for bar in &song.bars {
        prop_assert!(bar.length > 0);
        let mut at = 0;
        for note in &bar.notes {
            prop_assert!(note.at >= at && note.length > 0);
            at = note.at + note.length;
        }
        prop_assert!(at <= bar.length);
        prop_assert!(bar.chords.windows(2).all(|w| w[0].at < w[1].at));
        prop_assert!(bar.chords.iter().all(|c| (0..bar.length).contains(&c.at)));
    }
    let told = song.check();
    let wrong = |t: &str| t.contains("tie of") || t.contains("pin") || t.contains("sounds when");
    prop_assert!(!told.iter().any(|n| wrong(&n.text)), "{:?}", told);
    let mut numbered = song.clone();
    numbered.number_bars();
    prop_assert_eq!(&numbered.bars, &song.bars);
    let (places, caret) = (draft.places(draft.caret.bar), draft.caret.at);
    prop_assert!(places.contains(&caret), "{:?} in {:?}", caret, places);
    Ok(())
}

proptest! {
    #![proptest_config(crate::properties::cases(150))]

    #[test]
    fn any_edits_leave_a_song_and_can_be_undone(
        blank in any::<bool>(),
        edits in prop::collection::vec(edit(), 1..50),
    ) {
        let mut drafts = vec![start(blank)];
        let mut clip = None;
        for edit in &edits {
            let now = drafts.last().unwrap();
            let made = make(now, &mut clip, edit);
            // Only what leaves the octaves that can be written is refused for that.
            let far = matches!(
                edit,
                Edit::Octave(_) | Edit::StepNote(_) | Edit::Sharpen(_) | Edit::Transpose(_) | Edit::Move(_)
            );
            prop_assert!(far || made != Err(EditError::Unwritable), "{edit:?} in {now:?}");
            if let Ok(next) = made {
                is_sound(&next)?;
                prop_assert_eq!(next.from().len(), next.song().bars.len());
                drafts.push(next);
            }
        }
        // A file made at once, and one changed step by step, both say the song.
        let (mut file, ..) = SongFile::parse(if blank { "meter = \"3/4\"\n" } else { PINNED }).unwrap();
        for draft in drafts.iter().step_by(7).chain(drafts.last()) {
            let fresh = SongFile::new(draft.song()).unwrap();
            file.update(draft.song()).unwrap();
            for text in [fresh.to_string(), file.to_string()] {
                let (_, read, _) = SongFile::parse(&text).unwrap();
                prop_assert!(read.same_as(draft.song()), "{}", text);
            }
        }
        let steps: Vec<Step> = drafts.windows(2).map(|w| Step::between(&w[0], &w[1])).collect();
        let mut now = drafts.last().unwrap().clone();
        for (step, before) in steps.iter().zip(&drafts).rev() {
            now = step.undo(&now);
            prop_assert_eq!((now.song(), now.caret()), (before.song(), before.caret()));
        }
        for (step, after) in steps.iter().zip(&drafts[1..]) {
            now = step.redo(&now);
            prop_assert_eq!((now.song(), now.caret()), (after.song(), after.caret()));
        }
    }

    /// Writing may be refused only where it leaves the range of octaves.
    #[test]
    fn plain_writing_is_never_refused(
        edits in prop::collection::vec((0..7usize, length(), any::<bool>()), 1..60),
    ) {
        let mut draft = start(true);
        let mut put_in = 0;
        for (letter, length, rest) in edits {
            put_in += length;
            let pitch = draft.pitch_of(Letter::ALL[letter]);
            draft = draft.insert((!rest).then_some(pitch), length).unwrap();
            let song = draft.song();
            let short = song.bars.iter().filter(|b| b.length < b.meter.bar()).count();
            prop_assert!(short <= 1 && song.odd_bars().len() <= 1);
        }
        let written: Ticks = draft.song().bars.iter().map(|b| b.length).sum();
        prop_assert_eq!(written, put_in);
    }
}
