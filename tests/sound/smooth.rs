//! No clicks, no gaps, nothing above full scale.

use super::bench::{BAR, any_score, click_on, left, note, score};
use proptest::prelude::*;
use thumbline::arrange::Layer;
use thumbline::sound::{
    Bench, ClickSetting, Command, LayerSet, Passage, Program, Render, Settings,
};
use thumbline::theory::QUARTER;

/// What attacks reach at the level of these tests (0 dB), measured over every string and fret and
/// with thousands of random scores: steps from sample to sample up to 0.12, second differences
/// up to 0.06. A cut of a ringing string makes second differences as large as the string swings, 0.1
/// to 0.3.
const LARGEST_STEP: f32 = 0.15;
const LARGEST_BEND: f32 = 0.08;

/// Largest first and second difference.
fn steps(sound: &[f32]) -> (f32, f32) {
    let step = sound.windows(2).map(|w| (w[1] - w[0]).abs());
    let bend = sound.windows(3).map(|w| (w[2] - 2.0 * w[1] + w[0]).abs());
    (step.fold(0.0, f32::max), bend.fold(0.0, f32::max))
}

/// Something done while the music plays.
fn any_order() -> impl Strategy<Value = Command> {
    let place = 0..80_000i64;
    prop_oneof![
        (0.0..3.0f64).prop_map(Command::Speed),
        (0..4usize).prop_map(|i| {
            let layers = [Layer::Melody, Layer::Bass, Layer::Fill, Layer::Colour];
            Command::Layers(LayerSet::ALL.without(layers[i]))
        }),
        Just(Command::Layers(LayerSet::ALL)),
        Just(Command::Stop),
        (place.clone(), place, any::<bool>(), 0..2u8).prop_map(|(from, to, repeat, count_in)| {
            Command::Play(Passage {
                from,
                to,
                repeat,
                count_in,
            })
        }),
        Just(Command::Last),
        (0.0..1.0f32).prop_map(Command::Gain),
        any_score().prop_map(|score| Command::Load(Box::new(Program::new(&score)))),
    ]
}

#[test]
fn a_cut_would_be_found() {
    let mut sound = left(&score(1, vec![note(0, BAR, 4, 2)]), &loud(), 0.5);
    let (step, bend) = steps(&sound);
    assert!(step < LARGEST_STEP && bend < LARGEST_BEND, "{step} {bend}");
    let crest = (9_600..sound.len())
        .max_by(|&a, &b| sound[a].abs().total_cmp(&sound[b].abs()))
        .unwrap();
    sound[crest..].fill(0.0);
    assert!(steps(&sound).1 > 2.0 * LARGEST_BEND);
}

#[test]
fn a_string_plucked_again_and_again_does_not_click() {
    // Every 23rd of a beat the same string on another fret: 22 ms apart.
    let events = (0..60)
        .map(|i| note(i * QUARTER / 23, QUARTER / 23, 5, (i * 5 % 13) as u8))
        .collect();
    let (step, bend) = steps(&left(&score(1, events), &loud(), 2.0));
    assert!(step < LARGEST_STEP && bend < LARGEST_BEND, "{step} {bend}");
}

fn loud() -> Settings {
    Settings {
        level_db: 0.0,
        ..Settings::default()
    }
}

#[test]
fn every_sample_rate_sounds_and_has_numbers() {
    let music = score(1, vec![note(0, BAR, 6, 0), note(0, BAR, 1, 12)]);
    for rate in [
        8_000, 11_025, 12_000, 16_000, 22_050, 44_100, 96_000, 192_000,
    ] {
        let settings = Settings {
            rate,
            click: click_on(),
            ..Settings::default()
        };
        let sound = left(&music, &settings, 1.0);
        assert!(sound.iter().all(|x| x.is_finite()), "{rate} Hz");
        assert!(sound.iter().any(|x| x.abs() > 0.05), "{rate} Hz");
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 24,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn whatever_is_done_there_is_no_click(
        score in any_score(),
        orders in prop::collection::vec((any_order(), 64..20_000usize), 1..8),
    ) {
        let mut bench = Bench::new(&score, 48_000.0);
        bench.send(Command::Gain(1.0));
        bench.send(Command::Play(Passage { from: 0, to: 80_000, repeat: true, count_in: 0 }));
        let mut sound = Vec::new();
        for (order, frames) in orders {
            bench.run(frames, &mut sound);
            bench.send(order);
        }
        bench.run(20_000, &mut sound);
        bench.send(Command::Stop);
        bench.run(40_000, &mut sound);
        let (step, bend) = steps(&sound);
        prop_assert!(step < LARGEST_STEP && bend < LARGEST_BEND, "step {step} bend {bend}");
        // Stopped: the last half second falls silent.
        let rest = sound[sound.len() - 8_000..].iter().fold(0f32, |p, x| p.max(x.abs()));
        prop_assert!(rest < 1e-3, "still {rest}");
    }

    /// An arrangement solved again without a change must not be heard coming.
    #[test]
    fn loading_the_same_again_changes_nothing(
        score in any_score(),
        waits in prop::collection::vec(1..9_000usize, 1..12),
    ) {
        let play = |reload: bool| {
            let mut bench = Bench::new(&score, 48_000.0);
            bench.send(Command::Click(click_on()));
            bench.send(Command::Play(Passage { from: 0, to: BAR, repeat: true, count_in: 0 }));
            let mut sound = Vec::new();
            for &wait in &waits {
                bench.run(wait, &mut sound);
                if reload {
                    bench.send(Command::Load(Box::new(Program::new(&score))));
                }
            }
            bench.run(20_000, &mut sound);
            sound
        };
        prop_assert!(play(true) == play(false));
    }

    #[test]
    fn nothing_exceeds_full_scale(score in any_score()) {
        let settings = Settings {
            rate: 44_100,
            passes: 2,
            click: ClickSetting { level_db: 6.0, divisions: true, ..click_on() },
            level_db: 6.0,
            ..Settings::default()
        };
        for frame in Render::new(&score, &settings) {
            for x in frame {
                prop_assert!(x.abs() <= 1.0 && x.is_finite());
            }
        }
    }
}
