//! What can happen, and what is to be done outside.

use super::config::Look;
use super::disk::{Errand, News};
use super::screens::Pen;
use crate::arrange::Layer;
use crate::score::Score;
use crate::theory::Ticks;
use jiff::civil::DateTime;

/// Everything that can happen to the studio.
#[derive(Debug, Clone, PartialEq)]
pub enum Message {
    /// Go so many onsets on (or back).
    Onset(isize),
    /// Go so many notes down (or up) within the onset.
    Note(isize),
    /// Go so many bars on (or back).
    Bar(isize),
    /// Go to the note at this time of the song as written, on this string.
    Point(Ticks, u8),
    /// Go to the first onset.
    First,
    /// Go to the last onset.
    Last,
    /// Arrange up to this layer.
    Layer(Layer),
    /// Play from the cursor, or stop.
    Play,
    /// Play the bar under the cursor over and over, or stop.
    Loop,
    /// Change the tempo by so many per cent of the written one.
    Tempo(i16),
    /// Click on or off.
    Click,
    /// Pin the note under the cursor, or take its pin out.
    Pin,
    /// Take the next easier (−1) or fuller (1) way to play the bar.
    Lean(isize),
    /// Choose the next idea for the bar (1), or the one before (−1).
    Idea(isize),
    /// Take the chosen idea, or put a taken one back.
    TakeIdea,
    /// Leave the chosen idea: it is not offered again.
    LeaveIdea,
    /// Show the next proposal of ideas for the whole song.
    Propose,
    /// Take the last change of pins and ideas back.
    Undo,
    /// Do it again.
    Redo,
    /// Save the song.
    Save,
    /// Show or hide the keys.
    Help,
    /// Look round, or end it.
    Tour,
    /// Go so many songs down (or up) the list.
    Choose(isize),
    /// Open the chosen song.
    Open,
    /// A letter typed to find a song.
    Type(char),
    /// The last letter typed is taken back.
    Erase,
    /// The whole line that was typed is taken back.
    Clear,
    /// Leave this screen.
    Back,
    /// End the program.
    Quit,
    /// Hand the terminal back for a while.
    Suspend,
    /// Practise the bar under the cursor.
    Practise,
    /// Change the setting under the cursor by so many steps.
    Change(isize),
    /// Let a layer be heard, or not.
    Mute(Layer),
    /// Hear how it goes.
    Model,
    /// The pass was clean, or was not.
    Pass(bool),
    /// Take the next turn of the plan.
    Turn,
    /// Show the next of several panes.
    Pane,
    /// The time: the player's wall clock, and seconds since the program began by a clock that
    /// nobody sets. The first message of all, then one a second.
    Clock(DateTime, u64),
    /// Nothing can be heard, so that no music ever ends.
    Unheard,
    /// Where the music is, in played ticks; nothing when it does not play.
    Heard(Option<Ticks>),
    /// Where the sound goes, as a sentence when something is worth saying.
    Sound(String),
    /// Tick the bar as done in the layer shown, or take the tick away.
    Tick,
    /// Tick all bars in the layer shown, or take the ticks away.
    TickAll,
    /// Let the tune alone be heard, the chords alone, or both.
    Hear,
    /// Show the song, or the setlist, on the Stand.
    Stand,
    /// What is asked on the Shelf.
    Shelf(Ask),
    /// Go so many pages on (or back).
    Page(isize),
    /// Go so many songs on (or back) in the setlist.
    Song(isize),
    /// The terminal has so many columns and rows.
    Size(u16, u16),
    /// Something about the songs, or the practice log, on disk.
    News(News),
    /// Write on the song.
    Write,
    /// What is asked at the writing screen.
    Pen(Pen),
    /// Wear this from now on.
    Dress(Box<Look>),
    /// Something is worth saying on any screen.
    Notice(String),
    /// The disk has not answered for so many seconds; nothing once it does.
    Stall(Option<u64>),
    /// Nothing else is to be done just now.
    Idle,
}

impl Message {
    /// Whether no key and no click means it: what was said stays to be read.
    pub fn comes_by_itself(&self) -> bool {
        matches!(
            self,
            Message::Clock(..)
                | Message::Unheard
                | Message::Heard(_)
                | Message::Sound(_)
                | Message::Size(..)
                | Message::News(_)
                | Message::Dress(_)
                | Message::Notice(_)
                | Message::Stall(_)
                | Message::Idle
        )
    }
}

/// What is asked on the Shelf.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ask {
    /// Turn from the songs to the setlists, or back.
    Turn,
    /// Put the songs in another order.
    Sort,
    /// Change the tags of the song.
    Tags,
    /// Put the song into a setlist.
    Enlist,
    /// Put the songs of a file on the shelf.
    Import,
    /// Write the song, or the setlist, to a file.
    Export,
    /// Throw the song, or the setlist, away; take a song off a setlist.
    ThrowAway,
    /// Show the bin.
    Bin,
    /// Show the earlier versions of the song.
    Versions,
    /// Show what is worth knowing about the song's text.
    Notices,
    /// Make a setlist.
    NewSetlist,
    /// Write a new song.
    New,
    /// Move the song to an earlier (−1) or later (1) place in the setlist.
    Shift(isize),
    /// Go from the setlists to the songs in one (1), or back (−1).
    Side(isize),
}

/// What the studio asks of the world around it.
#[derive(Debug, Clone, PartialEq)]
pub enum Order {
    /// Play from this score from now on.
    Load(Box<Score>),
    /// Play a passage in played ticks, once or over and over.
    Play {
        /// Where it starts.
        from: Ticks,
        /// Where it ends.
        to: Ticks,
        /// Over and over.
        repeat: bool,
        /// Bars counted in.
        count_in: u8,
    },
    /// Stop playing.
    Stop,
    /// Part of the written tempo in per cent, 20 to 200.
    Speed(u16),
    /// Click on or off.
    Click(bool),
    /// These layers are not heard.
    Silence(Vec<Layer>),
    /// Do something with the songs, or the practice log, on disk.
    Disk(Errand),
    /// Hand the terminal back until the program is woken.
    Suspend,
    /// End.
    Quit,
}
