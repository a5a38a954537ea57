//! Arranges open tunes in number, and has each arrangement looked over by the checker that shares
//! no code with the arranger.

mod checker;
mod support;

use checker::broken_rules;
use support::{plain_chords, read_corpus};
use thumbline::arrange::{ArrangeError, Layer, Options, arrange};
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
        let mut song = song.clone();
        if song.bars.iter().all(|b| b.chords.is_empty()) {
            plain_chords(&mut song);
        }
        let hand = &hands[i % hands.len()];
        let mut fits = true;
        for layer in [Layer::Melody, Layer::Bass, Layer::Fill] {
            let options = Options {
                layer,
                ..Options::default()
            };
            match arrange(&song, &instrument, hand, &options) {
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
