//! Every screen with something on it, for the tests that look at all of them.

use super::{ideas, shelf, stand, studio, tell, writing};
use crate::arrange::Layer;
use crate::shelf::{Binned, Name, Version};
use crate::studio::*;
use jiff::Timestamp;
use jiff::civil::date;

type Make = fn() -> Studio;

/// A name for each screen, and how it comes about.
pub(super) const ALL: [(&str, Make); 21] = [
    ("shelf", || told(shelf::studio(), &[Message::Choose(1)])),
    ("setlists", || {
        let side = Message::Shelf(Ask::Side(1));
        told(shelf::studio(), &[Message::Shelf(Ask::Turn), side])
    }),
    ("line", || {
        told(shelf::studio(), &[Message::Shelf(Ask::Tags)])
    }),
    ("export", || {
        told(shelf::studio(), &[Message::Shelf(Ask::Export)])
    }),
    ("bin", || told(shelf::studio(), &[Message::News(bin())])),
    ("versions", || {
        told(shelf::studio(), &[Message::News(versions())])
    }),
    ("notices", || {
        let lines = vec!["4:7: this bar has 2½ beats, the meter says 4".to_string(); 3];
        told(
            shelf::studio(),
            &[Message::News(News::Notices("Zoë’s Réel".into(), lines))],
        )
    }),
    ("layer", || told(studio(), &[Message::Layer(Layer::Melody)])),
    ("desk", desk),
    ("ideas", ideas::in_colour),
    ("taken", || {
        let taken = [Message::TakeIdea, Message::Idle, Message::Idea(2)];
        told(ideas::in_colour(), &taken)
    }),
    ("writing", writing::eight),
    ("neck", || pressed("n")),
    ("chord", || pressed("h")),
    ("settings", || pressed("o")),
    ("shed", shed),
    ("charts", || {
        told(
            shed(),
            &[Message::Pane, Message::Play, Message::Heard(Some(0))],
        )
    }),
    ("stand", stand::studio),
    ("keys", || told(studio(), &[Message::Help])),
    ("tour", || told(studio(), &[Message::Tour])),
    ("notice", || {
        let text = "config.toml, line 3: there is no theme “dusk”";
        told(studio(), &[Message::Notice(text.into())])
    }),
];

/// The screen of a name.
pub(super) fn of(name: &str) -> Studio {
    let (_, make) = ALL.iter().find(|(n, _)| *n == name).unwrap();
    make()
}

fn told(mut studio: Studio, messages: &[Message]) -> Studio {
    tell(&mut studio, messages);
    studio
}

fn pressed(keys: &str) -> Studio {
    let mut studio = writing::eight();
    writing::press(&mut studio, keys);
    studio
}

fn at() -> Timestamp {
    Timestamp::from_second(1_767_000_000).unwrap()
}

fn bin() -> News {
    let name = |text| Name::from_title(text);
    let binned = |text| Binned {
        number: 1,
        at: at(),
        name: name(text),
    };
    News::Binned(vec![
        (Kind::Song, binned("Herring Boats")),
        (Kind::Setlist, binned("Spare")),
    ])
}

fn versions() -> News {
    News::Versions(
        Name::from_title("Herring Boats"),
        vec![Version {
            number: 1,
            until: at(),
        }],
    )
}

fn desk() -> Studio {
    let messages = [
        Message::Bar(1),
        Message::Pin,
        Message::Idle,
        Message::Heard(Some(0)),
    ];
    told(studio(), &messages)
}

fn shed() -> Studio {
    let noon = date(2026, 1, 6).at(12, 0, 0, 0);
    let log = "2026-01-05T19:00:00 buoys bars 2-2 fill at 60% 3 of 4 clean in 40 s\n";
    let messages = [
        Message::Clock(noon, 0),
        Message::Bar(1),
        Message::Practise,
        Message::News(News::LogRead(Ok(log.into()))),
    ];
    told(studio(), &messages)
}
