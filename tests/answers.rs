//! What the arranger answers for the demo songs, kept as text, so that whoever changes an answer sees it
//! and can judge it with the guitar in hand. The other tests say what an answer must be like; only this
//! one says which it is. After a change that is meant, the new text is read and accepted.

// A test that can't read its song should stop right there, in helpers as well.
#![allow(clippy::unwrap_used)]

mod small;

use small::{DECIDED, SMALL};
use std::fmt::Write;
use thumbline::arrange::{
    Arrangement, Cost, Goal, Grade, Layer, Lean, Offer, Options, Price, Proposal, Proposed,
    arrange, best, offers, propose, survey, unbound, variants,
};
use thumbline::exchange::tab;
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::{Song, SongFile};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/songs");

const DEMOS: [&str; 8] = [
    "a-chair-by-the-stove",
    "lamps-along-the-quay",
    "nets-drying-indoors",
    "salt-on-the-window",
    "the-ferry-holds-for-snow",
    "the-ropewalk-at-closing",
    "the-scarf-on-the-piano",
    "tide-table-dance",
];

/// A budget for a whole song, in thousandths of an effort.
const BUDGET: i64 = 6_000;

fn demo(name: &str) -> Song {
    let text = std::fs::read_to_string(format!("{FOLDER}/{name}.toml")).unwrap();
    SongFile::parse(&text).unwrap().1
}

fn guitar() -> (Instrument, Hand) {
    (Instrument::standard(), Hand::named("medium").unwrap())
}

fn up_to(layer: Layer) -> Options {
    Options {
        layer,
        ..Options::default()
    }
}

/// The total of a price and what it is made of, in thousandths of an effort.
fn price(price: &Price) -> String {
    let mut text = format!("{}:", price.total());
    for cost in Cost::ALL.into_iter().filter(|&c| price[c] != 0) {
        write!(text, " {cost:?} {}", price[cost]).unwrap();
    }
    text
}

fn solved(song: &Song, options: &Options) -> Arrangement {
    let (instrument, hand) = guitar();
    arrange(song, &instrument, &hand, options).unwrap()
}

fn proposed(song: &Song, proposal: Proposal) -> Proposed {
    let (instrument, hand) = guitar();
    let options = up_to(Layer::Colour);
    propose(song, &instrument, &hand, &options, (proposal, BUDGET)).unwrap()
}

/// Its tab with the reason for every note.
fn page(arrangement: &Arrangement) -> String {
    let options = tab::Options {
        width: 100,
        ascii: false,
        boxes: false,
        reasons: true,
    };
    tab::write(arrangement, options)
}

#[test]
fn prices_of_the_demo_songs() {
    let (instrument, hand) = guitar();
    let mut text = String::new();
    for name in DEMOS {
        let song = demo(name);
        writeln!(text, "{name}").unwrap();
        for layer in [Layer::Melody, Layer::Bass, Layer::Fill] {
            let answer = solved(&song, &up_to(layer));
            writeln!(text, "  {layer:?} {}", price(&answer.price)).unwrap();
        }
        for grade in Grade::ALL {
            let options = grade.options(&up_to(Layer::Fill));
            let answer = arrange(&song, &instrument, &grade.hand(&hand), &options);
            let answer = answer.map_or_else(|e| e.to_string(), |a| price(&a.price));
            writeln!(text, "  {grade:?} {answer}").unwrap();
        }
        for lean in [Lean::Easy, Lean::Full] {
            let options = Options {
                lean,
                ..up_to(Layer::Fill)
            };
            writeln!(text, "  {lean:?} {}", price(&solved(&song, &options).price)).unwrap();
        }
        let options = Options {
            goal: Goal::HardestStep,
            ..up_to(Layer::Fill)
        };
        let answer = solved(&song, &options);
        writeln!(text, "  HardestStep {}", price(&answer.price)).unwrap();
        for proposal in Proposal::ALL {
            let proposed = proposed(&song, proposal);
            let total = price(&proposed.arrangement.price);
            let ideas = proposed.offers.len();
            writeln!(text, "  {proposal:?} with {ideas} ideas {total}").unwrap();
        }
    }
    insta::assert_snapshot!(text);
}

#[test]
fn a_song_in_three_layers_with_its_reasons() {
    let song = demo("the-ropewalk-at-closing");
    let pages = [Layer::Melody, Layer::Bass, Layer::Fill].map(|l| page(&solved(&song, &up_to(l))));
    insta::assert_snapshot!(pages.join("\n"));
}

#[test]
fn a_song_in_every_proposal_with_its_reasons() {
    let song = demo("the-scarf-on-the-piano");
    let pages = Proposal::ALL.map(|proposal| page(&proposed(&song, proposal).arrangement));
    insta::assert_snapshot!(pages.join("\n"));
}

#[test]
fn ideas_ways_and_the_best_of_a_song() {
    let (instrument, hand) = guitar();
    let song = demo("salt-on-the-window");
    let options = up_to(Layer::Colour);
    let mut text = String::new();
    for bar in (0..song.bars.len()).step_by(2) {
        writeln!(text, "bar {}", bar + 1).unwrap();
        for offer in offers(&song, &instrument, &hand, &options, bar).unwrap() {
            let more = price(&offer.more);
            let (at, idea, why) = (offer.idea.at, &offer.text, &offer.reason);
            writeln!(text, "  {at} {idea}: {why}; worth {}; {more}", offer.worth).unwrap();
        }
    }
    for bar in (0..song.bars.len()).step_by(5) {
        let front = variants(&song, &instrument, &hand, &up_to(Layer::Fill), bar).unwrap();
        writeln!(text, "ways for bar {}", bar + 1).unwrap();
        for way in front.variants.iter().chain([&front.current]) {
            let grips: Vec<String> = way
                .slices()
                .map(|s| format!("{:?}", s.grip.frets))
                .collect();
            let grips = grips.join(" ");
            writeln!(text, "  {} {} {grips}", way.effort, way.fullness).unwrap();
        }
    }
    for answer in best(&song, &instrument, &hand, &up_to(Layer::Fill), 5).unwrap() {
        writeln!(text, "among the best {}", price(&answer.price)).unwrap();
    }
    insta::assert_snapshot!(text);
}

#[test]
fn a_song_in_every_key_under_a_small_hand_with_a_low_d() {
    let hand = Hand::named("small").unwrap();
    let instrument = Instrument::new("D2 A2 D3 G3 B3 E4", 0, 19).unwrap();
    let song = unbound(&demo("tide-table-dance"));
    let songs: Vec<Song> = (-5..=6).map(|by| song.transposed(by)).collect();
    let mut text = String::new();
    survey(
        &songs,
        &instrument,
        &hand,
        &up_to(Layer::Fill),
        &mut |index, figures| {
            match figures {
                Ok(f) => {
                    let rest = (
                        f.stretch,
                        f.ring,
                        f.full,
                        f.barres,
                        f.range.0.midi(),
                        f.range.1.midi(),
                    );
                    writeln!(text, "key {index}: {rest:?} {}", price(&f.price)).unwrap();
                }
                Err(error) => writeln!(text, "key {index}: {error}").unwrap(),
            }
            true
        },
    );
    insta::assert_snapshot!(text);
}

/// An idea, what it is worth and what it costs more.
fn line(offer: &Offer) -> String {
    let (at, idea, more) = (offer.idea.at, &offer.text, offer.more.total());
    format!("{at} {idea}; worth {}; {more}", offer.worth)
}

/// The small songs to find ideas in, by their titles.
fn small() -> impl Iterator<Item = (&'static str, Instrument, Song)> {
    SMALL.into_iter().map(|(title, tuning, file)| {
        let song = SongFile::parse(file).unwrap_or_else(|e| panic!("{title}: {e}"));
        (title, Instrument::new(tuning, 0, 19).unwrap(), song.1)
    })
}

#[test]
fn what_is_offered_for_small_tunes() {
    let hand = Hand::named("medium").unwrap();
    let mut text = String::new();
    for (title, instrument, song) in small() {
        writeln!(text, "{title}").unwrap();
        for bar in 0..song.bars.len() {
            writeln!(text, "  bar {}", bar + 1).unwrap();
            let found = offers(&song, &instrument, &hand, &up_to(Layer::Colour), bar).unwrap();
            found
                .iter()
                .for_each(|o| writeln!(text, "    {}", line(o)).unwrap());
        }
    }
    insta::assert_snapshot!(text);
}

#[test]
fn proposals_for_small_tunes() {
    let hand = Hand::named("medium").unwrap();
    let mut text = String::new();
    for (title, instrument, song) in small() {
        writeln!(text, "{title}").unwrap();
        for proposal in Proposal::ALL {
            for budget in [-500, 0, 700, 2_500] {
                let options = up_to(Layer::Colour);
                let wish = (proposal, budget);
                let proposed = propose(&song, &instrument, &hand, &options, wish).unwrap();
                let total = proposed.arrangement.price.total();
                writeln!(
                    text,
                    "  {} for {budget}: {} more, {total}",
                    proposal.name(),
                    proposed.more()
                )
                .unwrap();
                for offer in &proposed.offers {
                    writeln!(text, "    {}: {}", offer.idea.bar + 1, line(offer)).unwrap();
                }
            }
        }
    }
    insta::assert_snapshot!(text);
}

#[test]
fn ideas_and_ways_of_the_demo_songs() {
    let (instrument, hand) = guitar();
    let mut text = String::new();
    for name in DEMOS {
        let song = demo(name);
        writeln!(text, "{name}").unwrap();
        for bar in (0..song.bars.len()).step_by(3) {
            let found = offers(&song, &instrument, &hand, &up_to(Layer::Colour), bar).unwrap();
            let (worth, more) = (found.iter()).fold((0, 0), |(worth, more), o| {
                (worth + o.worth, more + o.more.total())
            });
            let front = variants(&song, &instrument, &hand, &up_to(Layer::Fill), bar).unwrap();
            let ways = front.variants.iter().chain([&front.current]);
            let ways: Vec<_> = ways
                .map(|w| format!("{}/{}", w.effort, w.fullness))
                .collect();
            let (bar, ideas, ways) = (bar + 1, found.len(), ways.join(" "));
            writeln!(
                text,
                "  bar {bar}: {ideas} ideas worth {worth} for {more}; ways {ways}"
            )
            .unwrap();
        }
    }
    insta::assert_snapshot!(text);
}

#[test]
fn decisions_of_the_player_are_kept_or_named() {
    let hand = Hand::named("medium").unwrap();
    let mut text = String::new();
    for (title, capo, layer, file) in DECIDED {
        let instrument = Instrument::new("E2 A2 D3 G3 B3 E4", capo, 19).unwrap();
        let song = SongFile::parse(file)
            .unwrap_or_else(|e| panic!("{title}: {e}"))
            .1;
        let answer = arrange(&song, &instrument, &hand, &up_to(layer));
        let answer = answer.map_or_else(|e| e.to_string(), |a| page(&a) + &price(&a.price));
        writeln!(text, "{title}\n{answer}\n").unwrap();
    }
    insta::assert_snapshot!(text);
}
