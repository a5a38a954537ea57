//! What can happen, and what is to be done outside.

use crate::arrange::Layer;
use crate::score::Score;
use crate::theory::Ticks;
use jiff::civil::DateTime;
use std::path::PathBuf;

/// Everything that can happen to the studio.
#[derive(Debug, Clone, PartialEq)]
pub enum Message {
    /// Go so many onsets on (or back).
    Onset(isize),
    /// Go so many notes down (or up) within the onset.
    Note(isize),
    /// Go so many bars on (or back).
    Bar(isize),
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
    /// Take the last change of pins back.
    Undo,
    /// Do it again.
    Redo,
    /// Save the song.
    Save,
    /// Show or hide the keys.
    Help,
    /// Go so many songs down (or up) the list.
    Choose(isize),
    /// Open the chosen song.
    Open,
    /// A letter typed to find a song.
    Type(char),
    /// The last letter typed is taken back.
    Erase,
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
    /// The practice log as it lies on disk, or why it can't be read.
    LogRead(Result<String, String>),
    /// This line of the practice log was written, or why not.
    Logged(String, Result<(), String>),
    /// Nothing can be heard, so that no music ever ends.
    Unheard,
    /// Where the music is, in played ticks; nothing when it does not play.
    Heard(Option<Ticks>),
    /// Where the sound goes, as a sentence when something is worth saying.
    Sound(String),
    /// The song file was written, or why not.
    Written(Result<(), String>),
    /// Nothing else is to be done just now.
    Idle,
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
    /// Read the practice log.
    ReadLog,
    /// Add a line to the practice log.
    Log(String),
    /// Write a text to a file, whole or not at all.
    Write {
        /// The file.
        path: PathBuf,
        /// The text.
        text: String,
    },
    /// Hand the terminal back until the program is woken.
    Suspend,
    /// End.
    Quit,
}
