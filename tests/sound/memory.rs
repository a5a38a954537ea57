//! The audio thread takes and gives back no memory.

use super::bench::{BAR, click_on, note, score};
use assert_no_alloc::{AllocDisabler, assert_no_alloc, reset_violation_count, violation_count};
use thumbline::sound::{Bench, Command, LayerSet, Passage, Program};

#[global_allocator]
static GUARD: AllocDisabler = AllocDisabler;

#[test]
fn the_callback_allocates_nothing() {
    let events = (0..64)
        .map(|i| note(i * BAR / 16, BAR / 16, (i % 6) as u8 + 1, (i % 13) as u8))
        .collect();
    let score = score(4, events);
    let mut bench = Bench::new(&score, 48_000.0);
    let range = Passage {
        from: 0,
        to: BAR,
        repeat: true,
        count_in: 1,
    };
    reset_violation_count();
    let mut out = [[0.0; 2]; 256];
    for turn in 0..4_000u32 {
        // Commands are made on the player's side, where memory may be taken.
        let command = match turn % 40 {
            0 => Some(Command::Load(Box::new(Program::new(&score)))),
            7 => Some(Command::Speed(f64::from(turn % 200) / 100.0)),
            13 => Some(Command::Click(click_on())),
            17 if turn % 400 == 17 => Some(Command::Play(range)),
            23 if turn % 400 == 223 => Some(Command::Last),
            29 => Some(Command::Layers(LayerSet::ALL)),
            31 if turn % 400 == 391 => Some(Command::Stop),
            37 => Some(Command::Gain(0.5)),
            _ => None,
        };
        if let Some(command) = command {
            assert!(bench.send(command));
        }
        assert_no_alloc(|| bench.fill(&mut out));
        if turn % 3 == 0 {
            bench.drain();
        }
    }
    assert_eq!(violation_count(), 0);
    assert!(
        bench.swaps() > 20,
        "programs were swapped: {}",
        bench.swaps()
    );
}
