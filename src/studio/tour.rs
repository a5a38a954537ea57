//! A look round in about two minutes: one sentence after the other, each gone on from by doing what
//! it says.

use super::keymap::Place;
use super::message::Message;
use super::state::{Screen, Studio};
use crate::arrange::Layer;

/// One sentence, where it is said, and what has to come for the next one.
struct Step {
    place: Place,
    text: &'static str,
    until: fn(&Message, &Studio) -> bool,
}

#[rustfmt::skip]
const STEPS: &[Step] = &[
    Step {
        place: Place::Shelf,
        text: "Your songs lie on the Shelf. Letters find one by its title, key or tags, ⟨↑⟩ and ⟨↓⟩ \
               choose. Take one that you like: ⟨Enter⟩ lays it on the Desk.",
        until: |_, studio| studio.place() == Place::Desk,
    },
    Step {
        place: Place::Desk,
        text: "This is its tab; on the right, the hand on the neck. ⟨→⟩ goes to the next notes, ⟨↓⟩ \
               from string to string, ⟨.⟩ to the next bar; ⟨←⟩, ⟨↑⟩ and ⟨,⟩ go back.",
        until: |message, _| matches!(message, Message::Onset(_) | Message::Bar(_) | Message::Point(..)),
    },
    Step {
        place: Place::Desk,
        text: "⟨Space⟩ plays from here, and stops; ⟨-⟩ and ⟨+⟩ make it slower and faster, ⟨c⟩ turns \
               the click on. Keep the volume low at first.",
        until: |message, _| *message == Message::Play,
    },
    Step {
        place: Place::Desk,
        text: "The arrangement grows in four layers. ⟨1⟩ is the tune alone, to be known first: ⟨h⟩ \
               lets its chords be heard as well.",
        until: |_, studio| layer(studio) == Some(Layer::Melody),
    },
    Step {
        place: Place::Desk,
        text: "Layer 2 puts a bass under it and keeps it ringing (═): press ⟨2⟩. It asks first \
               whether you know the tune; ⟨2⟩ again goes on.",
        until: |_, studio| layer(studio) >= Some(Layer::Bass),
    },
    Step {
        place: Place::Desk,
        text: "Layer 3 fills in chord tones, as many as the hand can hold without covering the \
               tune: press ⟨3⟩. The line of reasons says why each note is where it is.",
        until: |_, studio| layer(studio) >= Some(Layer::Fill),
    },
    Step {
        place: Place::Desk,
        text: "Too hard, or too thin? ⟨e⟩ finds an easier way for this bar, ⟨f⟩ a fuller one; the \
               ways are listed under the neck. Whatever you change, ⟨u⟩ takes back.",
        until: |message, _| matches!(message, Message::Lean(_)),
    },
    Step {
        place: Place::Desk,
        text: "What you like can be held fast: ⟨p⟩ pins the note under the cursor, of the fill \
               the whole grip, and the rest is arranged around it. ⟨p⟩ again lets it go.",
        until: |message, _| *message == Message::Pin,
    },
    Step {
        place: Place::Desk,
        text: "Layer 4 offers ideas: bass patterns, inversions, harmonics, taps. ⟨4⟩ goes there, ⟨i⟩ \
               looks through them, ⟨y⟩ takes one. Then ⟨w⟩ takes this bar to the Shed.",
        until: |_, studio| studio.place() == Place::Shed,
    },
    Step {
        place: Place::Shed,
        text: "Hard bars are looped here, slowly. ⟨Space⟩ begins; after each pass ⟨Enter⟩ says that \
               it was clean, ⟨Backspace⟩ that it was not. ⟨Esc⟩ goes back to the Desk.",
        until: |_, studio| studio.place() == Place::Desk,
    },
    Step {
        place: Place::Desk,
        text: "For a rehearsal, ⟨Ctrl-R⟩ puts the song on the Stand: large, and nothing on it can be \
               changed by mistake. ⟨PgDn⟩ turns the page there.",
        until: |_, studio| studio.place() == Place::Stand,
    },
    Step {
        place: Place::Stand,
        text: "That is the house. On the Shelf ⟨Ctrl-N⟩ writes a song of your own; ⟨?⟩ shows what \
               can be done, wherever you are. ⟨Esc⟩ goes back, and ⟨F2⟩ looks round again.",
        until: |message, _| *message == Message::Back,
    },
];

fn layer(studio: &Studio) -> Option<Layer> {
    match &studio.screen {
        Screen::Desk(desk) => Some(desk.options.layer),
        _ => None,
    }
}

/// How far the tour has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tour {
    /// It is only offered.
    Offered,
    /// This sentence is said.
    At(usize),
}

impl Tour {
    /// The tour from what it says about a place, or from its beginning.
    pub(super) fn begin(place: Place) -> Tour {
        Tour::At(STEPS.iter().position(|s| s.place == place).unwrap_or(0))
    }

    /// Where the tour is after a message that has come; nothing when it is over.
    pub(super) fn after(self, message: &Message, studio: &Studio) -> Option<Tour> {
        let Tour::At(at) = self else {
            return Some(self);
        };
        let step = STEPS.get(at)?;
        if !(step.until)(message, studio) {
            return Some(self);
        }
        (at + 1 < STEPS.len()).then_some(Tour::At(at + 1))
    }

    pub(super) fn title(self) -> String {
        match self {
            Tour::Offered => "Welcome".into(),
            Tour::At(at) => format!(
                "A look round · {} of {} · ⟨F2⟩ ends it",
                at + 1,
                STEPS.len()
            ),
        }
    }

    /// What is said, for one who is in this place.
    pub(super) fn text(self, place: Place) -> String {
        let Tour::At(at) = self else {
            return "Some songs are here to begin with. ⟨F2⟩ shows you round in two minutes; any \
                    other key goes on without."
                .into();
        };
        match STEPS.get(at) {
            Some(step) if step.place == place => step.text.into(),
            Some(step) => format!("This goes on at the {}. ⟨Esc⟩ goes back.", step.place),
            None => String::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_lines_of_80_columns_hold_every_sentence() {
        for step in STEPS {
            let said = step.text.replace(['⟨', '⟩'], "");
            let lines = textwrap::wrap(&said, 78);
            assert!(lines.len() <= 2, "{said}");
        }
        let offered = Tour::Offered.text(Place::Shelf);
        assert!(textwrap::wrap(&offered, 78).len() <= 2);
    }
}
