//! Arranges open tunes in number, and has each arrangement looked over by the checker that shares
//! no code with the arranger.

mod checker;
mod support;

use checker::broken_rules;
use support::read_corpus;
use thumbline::arrange::{ArrangeError, Layer, Options, Proposal, arrange, propose};
use thumbline::exchange::json;
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::Song;

/// How many tunes are taken, and how many must at least be arranged.
const TUNES: usize = 1200;
const AT_LEAST: usize = 1000;

/// What came of some tunes.
#[derive(Default)]
struct Outcome {
    arranged: usize,
    off_the_neck: usize,
    faults: Vec<String>,
    figures: Vec<(Layer, [Option<f64>; 3])>,
}

/// The totals of an arrangement that are worth reading over many.
const FIGURES: [&str; 3] = ["bass_ring_share", "notes_a_chord", "worst_stretch_mm"];

#[test]
#[ignore = "needs the tunes that tests/outside/corpus.py copies; run with --run-ignored or --ignored"]
fn no_arrangement_of_the_corpus_breaks_a_hard_rule() {
    let tunes = read_corpus(TUNES);
    assert!(
        tunes.len() >= AT_LEAST,
        "only {} tunes in {}; run tests/outside/corpus.py first",
        tunes.len(),
        support::corpus_folder().display()
    );
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let parts: Vec<Outcome> = std::thread::scope(|scope| {
        let chunks = tunes.chunks(tunes.len().div_ceil(threads));
        let started: Vec<_> = chunks.map(|part| scope.spawn(|| outcome(part))).collect();
        started.into_iter().map(|t| t.join().unwrap()).collect()
    });
    let arranged: usize = parts.iter().map(|p| p.arranged).sum();
    let off: usize = parts.iter().map(|p| p.off_the_neck).sum();
    let faults: Vec<&String> = parts.iter().flat_map(|p| &p.faults).collect();
    println!("{arranged} tunes arranged in three layers each, {off} do not fit the neck");
    print_figures(&parts);
    assert!(
        faults.is_empty(),
        "{} rules broken, the first of them: {:#?}",
        faults.len(),
        &faults[..faults.len().min(20)]
    );
    assert!(arranged >= AT_LEAST, "only {arranged} tunes were arranged");
}

/// The mean and the greatest of each figure, by layer.
fn print_figures(parts: &[Outcome]) {
    for layer in [Layer::Bass, Layer::Fill] {
        for (i, name) in FIGURES.iter().enumerate() {
            let all: Vec<f64> = (parts.iter().flat_map(|p| &p.figures))
                .filter(|(of, _)| *of == layer)
                .filter_map(|(_, figures)| figures[i])
                .collect();
            let mean = all.iter().sum::<f64>() / all.len().max(1) as f64;
            let most = all.iter().copied().fold(0.0, f64::max);
            println!("{layer:?}: {name} mean {mean:.3}, most {most:.3}");
        }
    }
}

fn outcome(tunes: &[(String, Song)]) -> Outcome {
    let hands = ["small", "medium", "large"].map(|name| Hand::named(name).expect("it is built in"));
    let instrument = Instrument::standard();
    let mut outcome = Outcome::default();
    for (i, (name, song)) in tunes.iter().enumerate() {
        let hand = &hands[i % hands.len()];
        let mut fits = true;
        for layer in [Layer::Melody, Layer::Bass, Layer::Fill] {
            let options = Options {
                layer,
                ..Options::default()
            };
            match arrange(song, &instrument, hand, &options) {
                Ok(arrangement) => {
                    let text = json::write(&arrangement);
                    let value: serde_json::Value =
                        serde_json::from_str(&text).expect("what is written is JSON");
                    let figures = FIGURES.map(|name| value["totals"][name].as_f64());
                    outcome.figures.push((layer, figures));
                    let place = |fault| format!("{name}, {layer:?}, {} hand: {fault}", hand.name);
                    outcome
                        .faults
                        .extend(broken_rules(&value).into_iter().map(place));
                }
                // A tune of rests, or one wider than the neck, is rightly refused.
                Err(ArrangeError::Empty | ArrangeError::OutOfRange { .. }) => fits = false,
                Err(error) => outcome.faults.push(format!("{name}, {layer:?}: {error}")),
            }
        }
        if fits {
            outcome.arranged += 1;
        } else {
            outcome.off_the_neck += 1;
        }
    }
    outcome
}

/// How many tunes have every proposal made, which is by far the longest part: as many as
/// `THUMBLINE_PROPOSED` says, 240 without it.
fn proposed_tunes() -> usize {
    let asked = std::env::var("THUMBLINE_PROPOSED");
    asked.map_or(240, |n| n.parse().expect("THUMBLINE_PROPOSED is a number"))
}

/// Thousandths of an effort that a proposal may cost in these tests.
const BUDGET: i64 = 8_000;

#[test]
#[ignore = "needs the tunes that tests/outside/corpus.py copies; run with --run-ignored or --ignored"]
fn no_proposal_for_the_corpus_breaks_a_hard_rule() {
    let tunes = read_corpus(proposed_tunes());
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let parts: Vec<(usize, Vec<String>)> = std::thread::scope(|scope| {
        let chunks = tunes.chunks(tunes.len().div_ceil(threads).max(1));
        let started: Vec<_> = chunks.map(|part| scope.spawn(|| proposed(part))).collect();
        started.into_iter().map(|t| t.join().unwrap()).collect()
    });
    let ideas: usize = parts.iter().map(|p| p.0).sum();
    let faults: Vec<&String> = parts.iter().flat_map(|p| &p.1).collect();
    println!("{} tunes, every proposal, {ideas} ideas taken", tunes.len());
    assert!(
        faults.is_empty(),
        "{} rules broken, the first of them: {:#?}",
        faults.len(),
        &faults[..faults.len().min(20)]
    );
    assert!(ideas > 10 * tunes.len(), "hardly an idea was taken");
}

/// How many ideas every proposal takes in some tunes, and what is wrong with what comes out.
fn proposed(tunes: &[(String, Song)]) -> (usize, Vec<String>) {
    let hands = ["small", "medium", "large"].map(|name| Hand::named(name).expect("it is built in"));
    let instrument = Instrument::standard();
    let (mut ideas, mut faults) = (0, Vec::new());
    for (i, (name, song)) in tunes.iter().enumerate() {
        let hand = &hands[i % hands.len()];
        for proposal in Proposal::ALL {
            let wanted = (proposal, BUDGET);
            let place = |fault: String| format!("{name}, {}: {fault}", proposal.name());
            match propose(song, &instrument, hand, &Options::default(), wanted) {
                Ok(done) => {
                    ideas += done.offers.len();
                    let text = json::write(&done.arrangement);
                    let value = serde_json::from_str(&text).expect("what is written is JSON");
                    faults.extend(broken_rules(&value).into_iter().map(place));
                    if done.more() > BUDGET {
                        faults.push(place(format!("{} is over the budget", done.more())));
                    }
                }
                Err(ArrangeError::Empty | ArrangeError::OutOfRange { .. }) => {}
                Err(error) => faults.push(place(error.to_string())),
            }
        }
    }
    (ideas, faults)
}
