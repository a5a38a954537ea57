//! The one table of keys: what a key does, what the help pane says about it, and what the README
//! says, all come from here.

use super::Key;
use crate::arrange::Layer;
use crate::studio::message::{Ask, Message};
use crate::studio::screens::Pen;
use crossterm::event::{KeyCode, KeyModifiers};

/// Where a key holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
pub enum Place {
    Shelf,
    Setlists,
    /// A line is typed on the Shelf.
    Line,
    /// The bin, earlier versions or notices are shown on the Shelf.
    Pile,
    Desk,
    Writing,
    /// Notes are written by string and fret.
    Neck,
    /// A chord is typed over a beat.
    Chord,
    Shed,
    Stand,
    /// The list of keys is shown.
    Keys,
    Everywhere,
}

impl Place {
    /// All of them.
    pub const ALL: [Place; 12] = [
        Place::Shelf,
        Place::Setlists,
        Place::Line,
        Place::Pile,
        Place::Desk,
        Place::Writing,
        Place::Neck,
        Place::Chord,
        Place::Shed,
        Place::Stand,
        Place::Keys,
        Place::Everywhere,
    ];

    /// Letters are typed here as they are.
    pub fn is_typed_in(self) -> bool {
        matches!(self, Place::Shelf | Place::Line | Place::Chord)
    }
}

impl std::fmt::Display for Place {
    /// As the player knows it.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Place::Shelf => "Shelf",
            Place::Setlists => "Setlists",
            Place::Line => "Typing",
            Place::Pile => "Lists",
            Place::Desk => "Desk",
            Place::Writing => "Writing",
            Place::Neck => "Neck",
            Place::Chord => "Chords",
            Place::Shed => "Shed",
            Place::Stand => "Stand",
            Place::Keys => "Keys",
            Place::Everywhere => "Everywhere",
        })
    }
}

/// One row of the table.
#[derive(Debug, PartialEq)]
pub struct Binding {
    /// Where it holds.
    pub place: Place,
    /// The keys that do it.
    pub keys: &'static [Key],
    /// The keys as they are shown; the first is also the row's name in the config file.
    pub shown: &'static str,
    /// What they do, for the machine.
    pub message: Message,
    /// What they do, for the player.
    pub does: &'static str,
}

const fn row(
    place: Place,
    keys: &'static [Key],
    shown: &'static str,
    message: Message,
    does: &'static str,
) -> Binding {
    Binding {
        place,
        keys,
        shown,
        message,
        does,
    }
}

const fn plain(code: KeyCode) -> Key {
    (code, KeyModifiers::NONE)
}

const fn letter(c: char) -> Key {
    plain(KeyCode::Char(c))
}

const fn ctrl(c: char) -> Key {
    (KeyCode::Char(c), KeyModifiers::CONTROL)
}

use Place::{
    Chord, Desk, Everywhere, Keys, Line, Neck, Pile, Setlists, Shed, Shelf, Stand, Writing,
};

/// The letters that write notes.
const LETTERS: &[Key] = &[
    letter('a'),
    letter('b'),
    letter('c'),
    letter('d'),
    letter('e'),
    letter('f'),
    letter('g'),
    letter('A'),
    letter('B'),
    letter('C'),
    letter('D'),
    letter('E'),
    letter('F'),
    letter('G'),
];

/// The figures that choose a length.
const LENGTHS: &[Key] = &[
    letter('1'),
    letter('2'),
    letter('4'),
    letter('8'),
    letter('6'),
    letter('5'),
];

/// Every key there is.
#[rustfmt::skip]
pub static BINDINGS: &[Binding] = &[
    row(Shelf, &[plain(KeyCode::Up)], "↑", Message::Choose(-1), "the song above"),
    row(Shelf, &[plain(KeyCode::Down)], "↓", Message::Choose(1), "the song below"),
    row(Shelf, &[plain(KeyCode::PageUp)], "PgUp", Message::Page(-1), "ten songs up"),
    row(Shelf, &[plain(KeyCode::PageDown)], "PgDn", Message::Page(1), "ten songs down"),
    row(Shelf, &[plain(KeyCode::Home)], "Home", Message::First, "the first song"),
    row(Shelf, &[plain(KeyCode::End)], "End", Message::Last, "the last song"),
    row(Shelf, &[plain(KeyCode::Backspace)], "Backspace", Message::Erase, "take a letter back"),
    row(Shelf, &[plain(KeyCode::Enter)], "Enter", Message::Open, "to the Desk, to arrange it"),
    row(Shelf, &[ctrl('n')], "Ctrl-N", Message::Shelf(Ask::New), "write a new song"),
    row(Shelf, &[ctrl('r')], "Ctrl-R", Message::Stand, "to the Stand, to rehearse it"),
    row(Shelf, &[plain(KeyCode::Tab)], "Tab", Message::Shelf(Ask::Turn), "to the setlists"),
    row(Shelf, &[ctrl('l')], "Ctrl-L", Message::Shelf(Ask::Enlist), "put it into a setlist"),
    row(Shelf, &[ctrl('t')], "Ctrl-T", Message::Shelf(Ask::Tags), "change its tags"),
    row(Shelf, &[ctrl('o')], "Ctrl-O", Message::Shelf(Ask::Sort), "another order of the songs"),
    row(Shelf, &[ctrl('g')], "Ctrl-G", Message::Shelf(Ask::Import), "get songs from a file"),
    row(Shelf, &[ctrl('e')], "Ctrl-E", Message::Shelf(Ask::Export), "write it to a file"),
    row(Shelf, &[ctrl('w')], "Ctrl-W", Message::Shelf(Ask::Notices), "what is worth knowing"),
    row(Shelf, &[ctrl('p')], "Ctrl-P", Message::Shelf(Ask::Versions), "its earlier versions"),
    row(Shelf, &[plain(KeyCode::Delete)], "Del", Message::Shelf(Ask::ThrowAway), "throw it into the bin"),
    row(Shelf, &[ctrl('u')], "Ctrl-U", Message::Shelf(Ask::Bin), "what lies in the bin"),
    row(Shelf, &[plain(KeyCode::Esc)], "Esc", Message::Back, "find anew; twice, leave"),
    row(Setlists, &[plain(KeyCode::Up)], "↑", Message::Choose(-1), "the one above"),
    row(Setlists, &[plain(KeyCode::Down)], "↓", Message::Choose(1), "the one below"),
    row(Setlists, &[plain(KeyCode::PageUp)], "PgUp", Message::Page(-1), "ten up"),
    row(Setlists, &[plain(KeyCode::PageDown)], "PgDn", Message::Page(1), "ten down"),
    row(Setlists, &[plain(KeyCode::Home)], "Home", Message::First, "the first one"),
    row(Setlists, &[plain(KeyCode::End)], "End", Message::Last, "the last one"),
    row(Setlists, &[plain(KeyCode::Left)], "←", Message::Shelf(Ask::Side(-1)), "to the setlists"),
    row(Setlists, &[plain(KeyCode::Right)], "→", Message::Shelf(Ask::Side(1)), "to the songs in it"),
    row(Setlists, &[plain(KeyCode::Enter)], "Enter", Message::Open, "open the list, or the song"),
    row(Setlists, &[ctrl('r')], "Ctrl-R", Message::Stand, "to the Stand, from here on"),
    row(Setlists, &[letter('n')], "n", Message::Shelf(Ask::NewSetlist), "a new setlist"),
    row(Setlists, &[letter('<'), letter(',')], "<", Message::Shelf(Ask::Shift(-1)), "this song earlier"),
    row(Setlists, &[letter('>'), letter('.')], ">", Message::Shelf(Ask::Shift(1)), "this song later"),
    row(Setlists, &[ctrl('e')], "Ctrl-E", Message::Shelf(Ask::Export), "write the list to a file"),
    row(Setlists, &[plain(KeyCode::Delete)], "Del", Message::Shelf(Ask::ThrowAway), "song off; list to the bin"),
    row(Setlists, &[ctrl('u')], "Ctrl-U", Message::Shelf(Ask::Bin), "what lies in the bin"),
    row(Setlists, &[plain(KeyCode::Tab)], "Tab", Message::Shelf(Ask::Turn), "to the songs"),
    row(Setlists, &[plain(KeyCode::Esc)], "Esc", Message::Back, "back"),
    row(Line, &[plain(KeyCode::Enter)], "Enter", Message::Open, "that is it"),
    row(Line, &[plain(KeyCode::Up)], "↑", Message::Choose(-1), "the choice before"),
    row(Line, &[plain(KeyCode::Down)], "↓", Message::Choose(1), "the next choice"),
    row(Line, &[plain(KeyCode::Backspace)], "Backspace", Message::Erase, "take a letter back"),
    row(Line, &[plain(KeyCode::Delete), ctrl('u')], "Del", Message::Clear, "take all letters back"),
    row(Line, &[plain(KeyCode::Esc)], "Esc", Message::Back, "leave it"),
    row(Pile, &[plain(KeyCode::Up)], "↑", Message::Choose(-1), "the line above"),
    row(Pile, &[plain(KeyCode::Down)], "↓", Message::Choose(1), "the line below"),
    row(Pile, &[plain(KeyCode::PageUp)], "PgUp", Message::Page(-1), "ten lines up"),
    row(Pile, &[plain(KeyCode::PageDown)], "PgDn", Message::Page(1), "ten lines down"),
    row(Pile, &[plain(KeyCode::Home)], "Home", Message::First, "the first line"),
    row(Pile, &[plain(KeyCode::End)], "End", Message::Last, "the last line"),
    row(Pile, &[plain(KeyCode::Enter)], "Enter", Message::Open, "take it, or go back to it"),
    row(Pile, &[plain(KeyCode::Esc)], "Esc", Message::Back, "to the list behind"),
    row(Stand, &[plain(KeyCode::PageDown), plain(KeyCode::Right), plain(KeyCode::Down)], "PgDn → ↓", Message::Page(1), "on, then the next song"),
    row(Stand, &[plain(KeyCode::PageUp), plain(KeyCode::Left), plain(KeyCode::Up)], "PgUp ← ↑", Message::Page(-1), "back"),
    row(Stand, &[plain(KeyCode::Home)], "Home", Message::First, "the start of the song"),
    row(Stand, &[plain(KeyCode::End)], "End", Message::Last, "the end of the song"),
    row(Stand, &[letter('n')], "n", Message::Song(1), "the next song of the list"),
    row(Stand, &[letter('p')], "p", Message::Song(-1), "the song before"),
    row(Stand, &[letter(' ')], "Space", Message::Play, "count in and play, or stop"),
    row(Stand, &[letter('-')], "-", Message::Tempo(-5), "slower by 5 %"),
    row(Stand, &[letter('+'), letter('=')], "+", Message::Tempo(5), "faster by 5 %"),
    row(Stand, &[letter('c')], "c", Message::Click, "click on or off"),
    row(Stand, &[plain(KeyCode::Esc)], "Esc", Message::Back, "back"),
    row(Desk, &[plain(KeyCode::Left)], "←", Message::Onset(-1), "the onset before"),
    row(Desk, &[plain(KeyCode::Right)], "→", Message::Onset(1), "the next onset"),
    row(Desk, &[plain(KeyCode::Up)], "↑", Message::Note(-1), "the note above"),
    row(Desk, &[plain(KeyCode::Down)], "↓", Message::Note(1), "the note below"),
    row(Desk, &[letter(','), plain(KeyCode::PageUp)], ", PgUp", Message::Bar(-1), "the bar before"),
    row(Desk, &[letter('.'), plain(KeyCode::PageDown)], ". PgDn", Message::Bar(1), "the next bar"),
    row(Desk, &[plain(KeyCode::Home)], "Home", Message::First, "the start of the song"),
    row(Desk, &[plain(KeyCode::End)], "End", Message::Last, "the end of the song"),
    row(Desk, &[letter('1')], "1", Message::Layer(Layer::Melody), "melody alone"),
    row(Desk, &[letter('2')], "2", Message::Layer(Layer::Bass), "melody and bass"),
    row(Desk, &[letter('3')], "3", Message::Layer(Layer::Fill), "melody, bass and fill"),
    row(Desk, &[letter('4')], "4", Message::Layer(Layer::Colour), "the ideas taken as well"),
    row(Desk, &[letter('i')], "i", Message::Idea(1), "the next idea for this bar"),
    row(Desk, &[letter('I')], "I", Message::Idea(-1), "the idea before"),
    row(Desk, &[letter('y')], "y", Message::TakeIdea, "take it, or put it back"),
    row(Desk, &[letter('x')], "x", Message::LeaveIdea, "not this one, not again"),
    row(Desk, &[letter('P')], "P", Message::Propose, "ideas for the whole song"),
    row(Desk, &[letter(' ')], "Space", Message::Play, "play from here, or stop"),
    row(Desk, &[letter('o')], "o", Message::Loop, "loop this bar, or stop"),
    row(Desk, &[letter('-')], "-", Message::Tempo(-5), "slower by 5 %"),
    row(Desk, &[letter('+'), letter('=')], "+", Message::Tempo(5), "faster by 5 %"),
    row(Desk, &[letter('c')], "c", Message::Click, "click on or off"),
    row(Desk, &[letter('p')], "p", Message::Pin, "pin it (fill: grip), or not"),
    row(Desk, &[letter('e')], "e", Message::Lean(-1), "an easier way for this bar"),
    row(Desk, &[letter('f')], "f", Message::Lean(1), "a fuller way for this bar"),
    row(Desk, &[letter('u')], "u", Message::Undo, "undo a pin or an idea"),
    row(Desk, &[letter('r')], "r", Message::Redo, "do it again"),
    row(Desk, &[letter('t')], "t", Message::Tick, "tick the bar in this layer"),
    row(Desk, &[letter('T')], "T", Message::TickAll, "tick the whole song in it"),
    row(Desk, &[letter('h')], "h", Message::Hear, "hear tune, chords or both"),
    row(Desk, &[letter('s')], "s", Message::Save, "save the song"),
    row(Desk, &[ctrl('e')], "Ctrl-E", Message::Shelf(Ask::Export), "print it as PDF"),
    row(Desk, &[ctrl('w')], "Ctrl-W", Message::Shelf(Ask::Notices), "what is worth knowing"),
    row(Desk, &[ctrl('r')], "Ctrl-R", Message::Stand, "to the Stand, to rehearse it"),
    row(Desk, &[letter('n')], "n", Message::Write, "write on: notes and chords"),
    row(Desk, &[letter('w')], "w", Message::Practise, "work on this bar in the Shed"),
    row(Desk, &[plain(KeyCode::Esc)], "Esc", Message::Back, "back to the songs"),
    row(Desk, &[letter('q')], "q", Message::Quit, "leave"),
    row(Writing, LETTERS, "a … g", Message::Type('a'), "a note, near the one before"),
    row(Writing, &[letter('r')], "r", Message::Pen(Pen::Rest), "a rest"),
    row(Writing, LENGTHS, "1 … 8", Message::Type('4'), "1 2 4 8, 6 is 16th, 5 32nd"),
    row(Writing, &[letter('.')], ".", Message::Pen(Pen::Dot), "dotted, twice, plain"),
    row(Writing, &[letter('3')], "3", Message::Pen(Pen::Triplet), "in triplets, or not"),
    row(Writing, &[plain(KeyCode::Enter)], "Enter", Message::Open, "last note gets this length"),
    row(Writing, &[letter('t')], "t", Message::Pen(Pen::Tie), "tie on, or untie"),
    row(Writing, &[plain(KeyCode::Up)], "↑", Message::Choose(-1), "last note a step up"),
    row(Writing, &[plain(KeyCode::Down)], "↓", Message::Choose(1), "last note a step down"),
    row(Writing, &[letter('#'), letter('+')], "# +", Message::Pen(Pen::Sharpen(1)), "last note a half step up"),
    row(Writing, &[letter('-')], "-", Message::Pen(Pen::Sharpen(-1)), "last note a half step down"),
    row(Writing, &[letter('\'')], "'", Message::Pen(Pen::Octave(1)), "last note an octave up"),
    row(Writing, &[letter(',')], ",", Message::Pen(Pen::Octave(-1)), "last note an octave down"),
    row(Writing, &[letter('h'), letter('"')], "h \"", Message::Pen(Pen::Chord), "a chord over the last note"),
    row(Writing, &[plain(KeyCode::Left)], "←", Message::Onset(-1), "a note back"),
    row(Writing, &[plain(KeyCode::Right)], "→", Message::Onset(1), "a note on"),
    row(Writing, &[plain(KeyCode::PageUp)], "PgUp", Message::Bar(-1), "a bar back"),
    row(Writing, &[plain(KeyCode::PageDown)], "PgDn", Message::Bar(1), "a bar on"),
    row(Writing, &[plain(KeyCode::Home)], "Home", Message::First, "the start of the song"),
    row(Writing, &[plain(KeyCode::End)], "End", Message::Last, "the end of the song"),
    row(Writing, &[plain(KeyCode::Backspace)], "Backspace", Message::Erase, "take out the last note"),
    row(Writing, &[plain(KeyCode::Delete)], "Del", Message::Pen(Pen::EraseBehind), "take out the next note"),
    row(Writing, &[letter('|'), letter('/')], "| /", Message::Pen(Pen::BarLine), "bar line, as after a pickup"),
    row(Writing, &[letter('(')], "(", Message::Pen(Pen::OpenRepeat), "a repeat begins here, or not"),
    row(Writing, &[letter(')')], ")", Message::Pen(Pen::CloseRepeat), "a repeat ends: ×2 ×3 ×4, not"),
    row(Writing, &[letter('[')], "[", Message::Pen(Pen::Ending), "ending: 1, 2, 3, 1+2, none"),
    row(Writing, &[letter(']')], "]", Message::Pen(Pen::Line), "line: double, final, plain"),
    row(Writing, &[letter('w')], "w", Message::Pen(Pen::WriteOut), "write the repeats out"),
    row(Writing, &[letter('=')], "=", Message::Pen(Pen::Redraw), "draw the bar lines anew"),
    row(Writing, &[letter('m')], "m", Message::Pen(Pen::Mark), "mark bars from here, or not"),
    row(Writing, &[letter('k')], "k", Message::Pen(Pen::Copy), "copy the bar or marked bars"),
    row(Writing, &[letter('x')], "x", Message::Pen(Pen::Cut), "cut the bar or marked bars"),
    row(Writing, &[letter('v')], "v", Message::Pen(Pen::Paste), "put copied bars in here"),
    row(Writing, &[letter('u')], "u", Message::Undo, "undo"),
    row(Writing, &[letter('y')], "y", Message::Redo, "do it again"),
    row(Writing, &[letter(' ')], "Space", Message::Play, "hear tune and chords; stop"),
    row(Writing, &[letter('n')], "n", Message::Pen(Pen::Neck), "write on the neck"),
    row(Writing, &[letter('o')], "o", Message::Pen(Pen::Settings), "title, key, meter, guitar …"),
    row(Writing, &[letter('s')], "s", Message::Save, "save the song"),
    row(Writing, &[plain(KeyCode::Esc)], "Esc", Message::Back, "to the Desk"),
    row(Neck, &[plain(KeyCode::Up)], "↑", Message::Choose(-1), "the string above"),
    row(Neck, &[plain(KeyCode::Down)], "↓", Message::Choose(1), "the string below"),
    row(Neck, &[plain(KeyCode::Left)], "←", Message::Onset(-1), "a fret towards the nut"),
    row(Neck, &[plain(KeyCode::Right)], "→", Message::Onset(1), "a fret towards the body"),
    row(Neck, &[plain(KeyCode::Enter)], "Enter", Message::Open, "write the note there"),
    row(Neck, &[letter('r')], "r", Message::Pen(Pen::Rest), "a rest"),
    row(Neck, LENGTHS, "1 … 8", Message::Type('4'), "1 2 4 8, 6 is 16th, 5 32nd"),
    row(Neck, &[letter('.')], ".", Message::Pen(Pen::Dot), "dotted, twice, plain"),
    row(Neck, &[letter('3')], "3", Message::Pen(Pen::Triplet), "in triplets, or not"),
    row(Neck, &[letter('t')], "t", Message::Pen(Pen::Tie), "tie on, or untie"),
    row(Neck, &[letter('h'), letter('"')], "h \"", Message::Pen(Pen::Chord), "a chord over the last note"),
    row(Neck, &[plain(KeyCode::Backspace)], "Backspace", Message::Erase, "take out the last note"),
    row(Neck, &[letter('|'), letter('/')], "| /", Message::Pen(Pen::BarLine), "bar line, as after a pickup"),
    row(Neck, &[letter('u')], "u", Message::Undo, "undo"),
    row(Neck, &[letter('y')], "y", Message::Redo, "do it again"),
    row(Neck, &[letter(' ')], "Space", Message::Play, "hear tune and chords; stop"),
    row(Neck, &[letter('n')], "n", Message::Pen(Pen::Neck), "by letters again"),
    row(Neck, &[plain(KeyCode::Esc)], "Esc", Message::Back, "by letters again"),
    row(Chord, &[plain(KeyCode::Tab)], "Tab", Message::Pen(Pen::Beat(1)), "keep it, a beat on"),
    row(Chord, &[plain(KeyCode::BackTab)], "Shift-Tab", Message::Pen(Pen::Beat(-1)), "keep it, a beat back"),
    row(Chord, &[plain(KeyCode::Enter)], "Enter", Message::Open, "keep it; empty takes it away"),
    row(Chord, &[plain(KeyCode::Backspace)], "Backspace", Message::Erase, "take a letter back"),
    row(Chord, &[plain(KeyCode::Delete), ctrl('u')], "Del", Message::Clear, "take all letters back"),
    row(Chord, &[plain(KeyCode::Esc)], "Esc", Message::Back, "leave it as it was"),
    row(Shed, &[letter(' ')], "Space", Message::Play, "begin, or stop"),
    row(Shed, &[plain(KeyCode::Enter), plain(KeyCode::PageDown)], "Enter", Message::Pass(true), "that pass was clean (PgDn)"),
    row(Shed, &[plain(KeyCode::Backspace), plain(KeyCode::PageUp)], "Backspace", Message::Pass(false), "it was not (PgUp)"),
    row(Shed, &[letter('m')], "m", Message::Model, "hear how it goes"),
    row(Shed, &[letter('t')], "t", Message::Turn, "the next turn of the plan"),
    row(Shed, &[plain(KeyCode::Up)], "↑", Message::Choose(-1), "the setting above"),
    row(Shed, &[plain(KeyCode::Down)], "↓", Message::Choose(1), "the setting below"),
    row(Shed, &[plain(KeyCode::Left)], "←", Message::Change(-1), "change it, back or less"),
    row(Shed, &[plain(KeyCode::Right)], "→", Message::Change(1), "change it, on or more"),
    row(Shed, &[letter(',')], ",", Message::Bar(-1), "the bar before"),
    row(Shed, &[letter('.')], ".", Message::Bar(1), "the next bar"),
    row(Shed, &[letter('-')], "-", Message::Tempo(-5), "slower by 5 %"),
    row(Shed, &[letter('+'), letter('=')], "+", Message::Tempo(5), "faster by 5 %"),
    row(Shed, &[letter('c')], "c", Message::Click, "click on or off"),
    row(Shed, &[letter('1')], "1", Message::Mute(Layer::Melody), "hear the melody, or not"),
    row(Shed, &[letter('2')], "2", Message::Mute(Layer::Bass), "hear the bass, or not"),
    row(Shed, &[letter('3')], "3", Message::Mute(Layer::Fill), "hear the fill, or not"),
    row(Shed, &[letter('4')], "4", Message::Mute(Layer::Colour), "hear the colour, or not"),
    row(Shed, &[plain(KeyCode::Tab)], "Tab", Message::Pane, "plan, tempo, effort"),
    row(Shed, &[plain(KeyCode::Esc)], "Esc", Message::Back, "back to the Desk"),
    row(Shed, &[letter('q')], "q", Message::Quit, "leave"),
    row(Keys, &[plain(KeyCode::Up)], "↑", Message::Choose(-1), "the line above"),
    row(Keys, &[plain(KeyCode::Down)], "↓", Message::Choose(1), "the line below"),
    row(Keys, &[plain(KeyCode::Home)], "Home", Message::First, "the first line"),
    row(Keys, &[plain(KeyCode::End)], "End", Message::Last, "the last line"),
    row(Keys, &[plain(KeyCode::Enter)], "Enter", Message::Open, "do what the line says"),
    row(Keys, &[plain(KeyCode::Esc)], "Esc", Message::Back, "back to the screen"),
    row(Everywhere, &[letter('?'), plain(KeyCode::F(1))], "?", Message::Help, "show or hide the keys"),
    row(Everywhere, &[plain(KeyCode::F(2))], "F2", Message::Tour, "look round, or end it"),
    row(Everywhere, &[ctrl('z')], "Ctrl-Z", Message::Suspend, "to the shell for a while"),
    row(Everywhere, &[ctrl('c')], "Ctrl-C", Message::Quit, "leave at once"),
];
