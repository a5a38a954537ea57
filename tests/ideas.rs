//! The fourth layer from outside: what is offered can be played, costs no more than was said, and is
//! what the trade would expect.

// A test that can't read its song should stop right there, in helpers as well.
#![allow(clippy::unwrap_used)]

mod checker;

use checker::broken_rules;
use thumbline::arrange::{
    ArrangeError, Arrangement, Layer, Lean, NODES, Options, Pluck, Proposal, Technique, arrange,
    offers, propose,
};
use thumbline::exchange::json;
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::{
    BassNote, Doubling, Figure, Idea, Pin, Place, Song, SongFile, Step, Target, Wish,
};
use thumbline::theory::Symbol;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/songs");

fn demo(name: &str) -> Song {
    let text = std::fs::read_to_string(format!("{FOLDER}/{name}.toml")).unwrap();
    SongFile::parse(&text).unwrap().1
}

fn song(text: &str) -> Song {
    SongFile::parse(text).unwrap().1
}

fn guitar() -> (Instrument, Hand) {
    (Instrument::standard(), Hand::named("medium").unwrap())
}

fn in_colour() -> Options {
    Options {
        layer: Layer::Colour,
        ..Options::default()
    }
}

fn faults(arrangement: &Arrangement) -> Vec<String> {
    broken_rules(&serde_json::from_str(&json::write(arrangement)).unwrap())
}

fn solved(song: &Song) -> Arrangement {
    let (instrument, hand) = guitar();
    arrange(song, &instrument, &hand, &in_colour()).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn ideas_are_offered_whatever_layer_is_looked_at() {
    let (instrument, hand) = guitar();
    let mut song = song(RISING);
    song.ideas = vec![Idea::new(0, 0, Figure::Fifths)];
    let below = offers(&song, &instrument, &hand, &Options::default(), 1).unwrap();
    assert!(!below.is_empty());
    assert_eq!(
        below,
        offers(&song, &instrument, &hand, &in_colour(), 1).unwrap()
    );
}

/// Every idea offered for some bars of a song, taken by itself, can be played and costs no more in
/// all than the bar solved anew with the rest left as it is.
fn offers_hold(song: &Song, bars: impl Iterator<Item = usize>, most: usize) {
    let (instrument, hand) = guitar();
    let base = solved(song).price.total();
    for bar in bars {
        let found = offers(song, &instrument, &hand, &in_colour(), bar).unwrap();
        for offer in found.iter().take(most) {
            let mut with = song.clone();
            with.ideas.push(offer.idea.clone());
            let arrangement = solved(&with);
            assert_eq!(
                faults(&arrangement),
                Vec::<String>::new(),
                "{:?}",
                offer.idea
            );
            let more = arrangement.price.total() - base;
            assert!(more <= offer.more.total(), "{:?}: {more}", offer.idea);
        }
    }
}

#[test]
fn what_is_offered_can_be_played_for_its_price() {
    let song = demo("the-ferry-holds-for-snow");
    offers_hold(&song, (0..song.bars.len()).step_by(9), 5);
    let song = demo("lamps-along-the-quay");
    offers_hold(&song, (2..song.bars.len()).step_by(13), 5);
}

/// Another name for the same notes is no colour.
#[test]
fn a_chord_that_is_offered_brings_a_note_that_was_not_there() {
    let (instrument, hand) = guitar();
    let song = demo("nets-drying-indoors");
    let mut seen = 0;
    for bar in 0..song.bars.len() {
        for offer in offers(&song, &instrument, &hand, &in_colour(), bar).unwrap() {
            let Figure::Chord(Symbol::Chord(chord)) = &offer.idea.figure else {
                continue;
            };
            let at = song.starts()[bar] + offer.idea.at;
            let written = song.harmony().into_iter().rfind(|h| h.at <= at).unwrap();
            let Some(Symbol::Chord(was)) = written.symbol else {
                panic!("a chord is changed");
            };
            let mut with = song.clone();
            with.ideas.push(offer.idea.clone());
            let arrangement = solved(&with);
            let is_new = |p: &&Pluck| {
                let class = p.pitch.midi().rem_euclid(12);
                p.layer != Layer::Melody && chord.is_tone(class) && !was.is_tone(class)
            };
            let here = |p: &&Pluck| p.at <= at && p.end > at;
            assert!(
                arrangement.plucks.iter().filter(here).any(|p| is_new(&p)),
                "bar {bar}: {}",
                offer.text
            );
            seen += 1;
        }
    }
    assert!(seen > 3, "{seen}");
}

#[test]
fn below_the_fourth_layer_ideas_say_nothing() {
    let (instrument, hand) = guitar();
    let plain = demo("nets-drying-indoors");
    let mut coloured = plain.clone();
    let chord = Symbol::parse("Dmaj9").unwrap();
    coloured.ideas = vec![
        Idea::new(1, 0, Figure::Beats),
        Idea::new(2, 0, Figure::Breath),
        Idea::new(3, 0, Figure::Chord(chord)),
    ];
    for layer in [Layer::Melody, Layer::Bass, Layer::Fill] {
        let options = Options {
            layer,
            ..Options::default()
        };
        let without = arrange(&plain, &instrument, &hand, &options).unwrap();
        let with = arrange(&coloured, &instrument, &hand, &options).unwrap();
        assert_eq!(with.plucks, without.plucks, "{layer:?}");
        assert_eq!(with.heard().bars, plain.bars, "{layer:?}");
    }
    assert_ne!(solved(&coloured).heard().bars, plain.bars);
}

/// What there is to hear over a melody without chords makes it more than a melody.
#[test]
fn a_melody_without_chords_stays_one_but_for_its_ideas() {
    let plain = song(
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/8\"\ntune = \"\"\"\nedBe d4 | c8 |]\n\"\"\"\n",
    );
    assert_eq!(solved(&plain).layer, Layer::Melody);
    let slur = Figure::Slur {
        string: 2,
        fingers: (0, 4),
    };
    for idea in [
        Idea::new(0, 0, Figure::Campanella(vec![1, 2, 3])),
        Idea::new(0, 3 * 5040, slur),
        Idea::new(1, 0, Figure::Hits),
    ] {
        let mut with = plain.clone();
        with.ideas = vec![idea];
        assert_eq!(solved(&with).layer, Layer::Colour, "{:?}", with.ideas[0]);
    }
}

#[test]
fn a_pin_behind_the_last_bar_says_nothing() {
    let plain = song(RISING);
    let mut pinned = plain.clone();
    pinned.pins = vec![Pin {
        bar: plain.bars.len(),
        at: 0,
        wish: Wish::Place {
            target: Target::Melody,
            string: Some(1),
            fret: None,
            finger: None,
        },
        place: Place::default(),
    }];
    assert_eq!(solved(&pinned).plucks, solved(&plain).plucks);
}

#[test]
#[ignore = "takes minutes; run with --ignored in a release build"]
fn everything_offered_in_the_demo_songs_can_be_played() {
    let files = std::fs::read_dir(FOLDER).unwrap().flatten();
    let names =
        files.filter_map(|f| Some(f.file_name().to_str()?.strip_suffix(".toml")?.to_string()));
    for name in names {
        let song = demo(&name);
        offers_hold(&song, 0..song.bars.len(), usize::MAX);
        for proposal in Proposal::ALL {
            proposal_holds(&song, proposal, 6_000);
        }
    }
}

fn proposal_holds(song: &Song, proposal: Proposal, budget: i64) -> usize {
    let (instrument, hand) = guitar();
    let wanted = (proposal, budget);
    let proposed = propose(song, &instrument, &hand, &in_colour(), wanted).unwrap();
    assert_eq!(faults(&proposed.arrangement), Vec::<String>::new());
    assert!(proposed.more() <= budget, "{}", proposed.more());
    // Taken from the list, the same ideas make the same arrangement.
    let mut with = song.clone();
    let ideas = proposed.offers.iter().map(|o| o.idea.clone());
    with.ideas.extend(ideas);
    assert_eq!(solved(&with), proposed.arrangement);
    proposed.offers.len()
}

#[test]
fn proposals_keep_their_budget_and_the_rules() {
    let song = demo("the-ropewalk-at-closing");
    for proposal in Proposal::ALL {
        let wide = proposal_holds(&song, proposal, 4_000);
        let narrow = proposal_holds(&song, proposal, 0);
        assert!(narrow <= wide || wide > 0, "{proposal:?}");
    }
}

/// IV – II – V – III – vi in C with II and III major.
const RISING: &str = "key = \"C\"\nmeter = \"4/4\"\ntune = \"\"\"\n\
    \"F\"A4 c4 | \"D\"A4 ^f4 | \"G\"d4 B4 | \"E\"e4 B4 | \"Am\"a8 |]\n\"\"\"\n";

/// Common practice, no source: root, third, root, third, root make a bass that rises by semitones.
#[test]
fn the_rising_chromatic_bass_is_offered() {
    let song = song(RISING);
    let (instrument, hand) = guitar();
    let found = offers(&song, &instrument, &hand, &in_colour(), 2).unwrap();
    let is_line = |i: &&Idea| {
        matches!(
            i.figure,
            Figure::Walk {
                step: Step::Chord,
                ..
            }
        )
    };
    let line = found.iter().map(|o| &o.idea).find(is_line).unwrap();
    let Figure::Walk { notes, .. } = &line.figure else {
        panic!("it is a line");
    };
    let midis: Vec<_> = notes.iter().filter_map(|n| n.midi()).collect();
    assert_eq!(midis, [41, 42, 43, 44, 45], "F2 F♯2 G2 G♯2 A2");
    assert_eq!((line.bar, line.to), (0, 4));
}

/// Common practice, no source: the major III with its third in the bass is a shape that moves, the
/// first finger across, the fifth string left out. With fuller chords asked for, the chord
/// rolled over five strings and the melody fingered at the fourth fret, the search finds it.
#[test]
fn the_third_in_the_bass_is_a_movable_shape_with_a_barre() {
    let mut song = song(&RISING.replace("e4 B4", "^g4 B4"));
    let bass = |n: &str| thumbline::song::BassNote::of(n.parse().unwrap());
    song.ideas.push(Idea::new(3, 0, Figure::Bass(bass("G#2"))));
    song.ideas.push(Idea::new(3, 0, Figure::Roll(5)));
    song.pins.push(Pin {
        bar: 3,
        at: 0,
        wish: Wish::Place {
            target: Target::Melody,
            string: Some(1),
            fret: Some(4),
            finger: None,
        },
        place: Place::default(),
    });
    let (instrument, hand) = guitar();
    let options = Options {
        lean: Lean::Full,
        ..in_colour()
    };
    let arrangement = arrange(&song, &instrument, &hand, &options).unwrap();
    assert_eq!(faults(&arrangement), Vec::<String>::new());
    let slice = arrangement.slices.iter().find(|s| s.bar == 3).unwrap();
    assert_eq!(slice.grip.line(6), "4x6454");
    let barre = slice.grip.barres().next().unwrap();
    assert_eq!((barre.finger, barre.fret, barre.to), (1, 4, 6));
    let here = arrangement
        .plucks
        .iter()
        .filter(|p| p.bar == 3 && p.at == slice.at);
    for pluck in here {
        assert_eq!(pluck.barre, pluck.left == 1, "{pluck:?}");
    }
}

/// Harmonic series: the k-th partial has k times the frequency, 1200·log2(k) cents above the open
/// string; equal temperament has 100 cents a semitone.
#[test]
fn the_nodes_are_where_the_harmonic_series_has_them() {
    for (fret, semitones, thousandths) in NODES {
        // The fret divides the string at 2^(−fret/12); the nearest k-th part of it is the node.
        let along = 1.0 - 2f64.powf(-f64::from(fret) / 12.0);
        let k = (2..=5).min_by(|a, b| {
            let off = |k: &i32| {
                let parts = along * f64::from(*k);
                (parts - parts.round().max(1.0)).abs() / f64::from(*k)
            };
            off(a).total_cmp(&off(b))
        });
        let cents = 1200.0 * f64::from(k.unwrap()).log2();
        let error = cents - 100.0 * f64::from(semitones);
        assert!(
            (error - f64::from(thousandths) / 1000.0).abs() < 0.001,
            "fret {fret}: {error}"
        );
    }
}

/// Common practice, no source: a campanella sets neighbouring notes of a run on different strings,
/// open ones among them, so that they ring over each other as a harp's do.
#[test]
fn a_quick_run_is_offered_as_a_campanella() {
    let song = song(
        "key = \"Em\"\nmeter = \"4/4\"\nunit = \"1/8\"\ntempo = \"1/4=80\"\ntune = \"\"\"\n\
         \"Em\"e4 B4 | \"Em\"edBe d4 | \"Em\"E8 |]\n\"\"\"\n",
    );
    let (instrument, hand) = guitar();
    let found = offers(&song, &instrument, &hand, &in_colour(), 1).unwrap();
    let is_run = |i: &&Idea| matches!(i.figure, Figure::Campanella(_));
    let idea = found.iter().map(|o| &o.idea).find(is_run).unwrap();
    let mut with = song.clone();
    with.ideas.push(idea.clone());
    let arrangement = solved(&with);
    assert_eq!(faults(&arrangement), Vec::<String>::new());
    let run: Vec<_> = (arrangement.plucks.iter())
        .filter(|p| p.bar == 1 && p.layer == Layer::Melody)
        .collect();
    for pair in run.windows(2) {
        assert!(pair[0].string != pair[1].string, "{pair:?}");
        assert!(pair[0].end > pair[1].at, "{pair:?}");
    }
    // Without it no melody note rings over the next.
    let plain = solved(&song);
    let tune = plain.plucks.iter().filter(|p| p.layer == Layer::Melody);
    let tune: Vec<_> = tune.collect();
    assert!(tune.windows(2).all(|pair| pair[0].end <= pair[1].at));
}

/// An octave is 12 semitones, a tenth of a major scale 15 or 16 (common practice, no source).
#[test]
fn the_bass_may_go_with_the_tune() {
    let song = song(
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntempo = \"1/4=80\"\ntune = \"\"\"\n\
         \"C\"c e g e | \"F\"a3 g | \"C\"e4 |]\n\"\"\"\n",
    );
    let (instrument, hand) = guitar();
    let found = offers(&song, &instrument, &hand, &in_colour(), 0).unwrap();
    for (by, apart) in [(Doubling::Octave, 12..=12), (Doubling::Tenth, 15..=16)] {
        let is_it = |i: &&Idea| i.figure == Figure::Doubled(by);
        let idea = found.iter().map(|o| &o.idea).find(is_it).unwrap();
        let mut with = song.clone();
        with.ideas.push(idea.clone());
        let arrangement = solved(&with);
        assert_eq!(faults(&arrangement), Vec::<String>::new());
        let bass = (arrangement.plucks.iter()).filter(|p| p.bar == 0 && p.layer == Layer::Bass);
        let mut doubled = 0;
        for bass in bass.filter(|p| p.at > 0) {
            let tune = (arrangement.plucks.iter())
                .find(|p| p.at == bass.at && p.layer == Layer::Melody)
                .unwrap();
            assert!(apart.contains(&(tune.pitch.midi() - bass.pitch.midi())));
            doubled += 1;
        }
        assert_eq!(doubled, 3, "{by:?}");
    }
}

#[test]
fn a_song_shows_its_ideas_in_every_form() {
    let mut song = song(
        "title = \"Kiln\"\nkey = \"C\"\nmeter = \"4/4\"\ntune = \"\"\"\n\
         \"C\"e8 | \"F\"A2 c2 A4 | \"G7\"B4 d2 B2 | \"C\"c8 |]\n\"\"\"\n",
    );
    song.ideas = vec![
        Idea::new(0, 0, Figure::Broken(5040)),
        Idea::new(1, 0, Figure::Fifths),
        Idea::new(2, 0, Figure::Hits),
        Idea::new(3, 0, Figure::Roll(5)),
    ];
    let arrangement = solved(&song);
    assert_eq!(faults(&arrangement), Vec::<String>::new());
    let has = |t: Technique| arrangement.plucks.iter().any(|p| p.technique == t);
    assert!(has(Technique::Roll) && has(Technique::Hit));
    let options = thumbline::exchange::tab::Options {
        width: 80,
        ascii: false,
        boxes: false,
        reasons: true,
    };
    insta::assert_snapshot!(thumbline::exchange::tab::write(&arrangement, options));
}

/// Alternating between root and fifth is what an alternating bass is; over a fifth in the bass the root
/// answers (common practice, no source).
#[test]
fn over_a_fifth_in_the_bass_the_root_takes_turns_with_it() {
    let mut song = song(
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\
         \"C/G\"e4 | \"C\"g4 | \"C/E\"c4 |]\n\"\"\"\n",
    );
    song.ideas = (0..3)
        .map(|bar| Idea::new(bar, 0, Figure::Fifths))
        .collect();
    let arrangement = solved(&song);
    assert_eq!(faults(&arrangement), Vec::<String>::new());
    let basses = |bar: usize| -> String {
        let here = (arrangement.plucks.iter()).filter(|p| p.bar == bar && p.layer == Layer::Bass);
        here.map(|p| p.pitch.name.to_string()).collect()
    };
    assert_eq!([0, 1, 2].map(basses), ["GCGC", "CGCG", "EGEG"]);
}

#[test]
fn the_end_rings_though_a_bar_like_it_moves_on() {
    let song = song(
        "key = \"Am\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntempo = \"1/4=90\"\ntune = \"\"\"\n\
         \"Am\"a e c e | \"E7\"e d B d | \"Am\"c e a e | \"E7\"d B \"Am\"A2 |\n\
         \"Am\"a e c e | \"E7\"e d B d | \"Am\"a4 |]\n\"\"\"\n",
    );
    let (instrument, hand) = guitar();
    let wish = (Proposal::Lively, 10_000);
    let proposed = propose(&song, &instrument, &hand, &in_colour(), wish).unwrap();
    let ideas: Vec<Idea> = proposed.arrangement.song.ideas;
    assert!(ideas.len() > 3, "{ideas:?}");
    let moves = |i: &&Idea| {
        matches!(
            i.figure,
            Figure::Fifths | Figure::Beats | Figure::Between | Figure::Hits
        )
    };
    let last = song.bars.len() - 1;
    assert_eq!(ideas.iter().filter(moves).find(|i| i.to == last), None);
}

#[test]
fn a_pinned_grip_and_an_idea_for_another_bass_are_named_and_not_offered() {
    let mut song = song(
        "key = \"C\"\nmeter = \"4/4\"\nunit = \"1/4\"\ntune = \"\"\"\n\
         \"C\"c4 | \"G\"B4 | \"C\"c4 |]\n\"\"\"\n",
    );
    let (instrument, hand) = guitar();
    let grip = [None, Some(0), Some(0), Some(0), None, Some(3)];
    song.pins = vec![Pin {
        bar: 1,
        at: 0,
        wish: Wish::Grip(grip.to_vec()),
        place: Place::default(),
    }];
    let bass = |arrangement: &Arrangement| {
        let mut here = arrangement.plucks.iter().filter(|p| p.bar == 1);
        here.find(|p| p.layer == Layer::Bass)
            .map(|p| p.pitch.name.to_string())
    };
    assert_eq!(bass(&solved(&song)).as_deref(), Some("G"));
    let found = offers(&song, &instrument, &hand, &in_colour(), 1).unwrap();
    let at_once = |i: &Idea| i.at == 0 && matches!(i.figure, Figure::Bass(_));
    assert!(!found.iter().any(|o| at_once(&o.idea)));
    let bass = BassNote {
        name: "B".parse().unwrap(),
        octave: None,
    };
    song.ideas = vec![Idea::new(1, 0, Figure::Bass(bass))];
    let clash = arrange(&song, &instrument, &hand, &in_colour());
    let both = ArrangeError::Ideas {
        ideas: vec![0],
        pins: vec![0],
    };
    assert_eq!(clash.err(), Some(both));
}
