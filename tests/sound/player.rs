//! The player on the silent clock: commands arrive, the position moves, programs come and go.

use super::bench::{BAR, note, score};
use std::time::{Duration, Instant};
use thumbline::sound::{Output, Passage, Player, Position};
use thumbline::theory::QUARTER;

/// Waits until the position is as wished, which comes whenever the machine finds time for it.
fn wait(player: &mut Player, wished: impl Fn(&Position) -> bool) -> Position {
    let end = Instant::now() + Duration::from_secs(20);
    loop {
        player.tick();
        let position = player.position();
        if wished(&position) {
            return position;
        }
        assert!(Instant::now() < end, "never: {position:?}");
        std::thread::sleep(Duration::from_millis(2));
    }
}

#[test]
fn the_silent_clock_plays_loops_and_stops() {
    let mut player = Player::open(Some("no device is called that"));
    let output = player.settle(Duration::from_secs(20));
    assert!(matches!(output, Output::Silent { .. }), "{output:?}");
    let music = score(2, vec![note(0, QUARTER, 1, 0)]);
    player.load(&music);
    player.set_speed(2.0);
    let passage = Passage {
        from: BAR,
        to: BAR + QUARTER,
        repeat: true,
        count_in: 0,
    };
    player.play(passage);
    let position = wait(&mut player, |p| p.pass >= 2);
    assert!((BAR..BAR + QUARTER).contains(&position.ticks));
    // More than the ring holds at once: nothing may be lost.
    for i in 0..300 {
        player.set_speed(0.2 + f64::from(i) / 200.0);
        player.load(&music);
    }
    player.play(Passage {
        repeat: false,
        ..passage
    });
    wait(&mut player, |p| !p.playing);
    player.play(passage);
    wait(&mut player, |p| p.playing);
    player.stop();
    wait(&mut player, |p| !p.playing);
    let end = Instant::now() + Duration::from_secs(20);
    while !player.idle() && Instant::now() < end {
        player.tick();
    }
    assert!(player.idle());
}
