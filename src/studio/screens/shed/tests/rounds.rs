//! Passes that go round without a stop.

use super::*;

/// In the Shed, with the first pass begun, and the music going round.
fn round() -> Studio {
    let mut studio = studio(2, "");
    set(&mut studio, "Then");
    typed(&mut studio, " ");
    let orders = play_out(&mut studio);
    assert!(matches!(
        orders.last(),
        Some(Order::Play { repeat: true, .. })
    ));
    for at in [-QUARTER, 0, LENGTH - 1] {
        studio.update(Message::Heard(Some(at)));
    }
    studio
}

#[test]
fn a_loop_that_goes_round_asks_without_stopping() {
    let mut studio = round();
    assert!(lines(&press(&mut studio, KeyCode::Enter)).is_empty());
    assert!(shown(&studio, 80, 24).contains("not over yet"));
    studio.update(Message::Heard(Some(10)));
    assert!(shed(&studio).owes);
    let orders = press(&mut studio, KeyCode::PageDown);
    assert_eq!((lines(&orders).len(), orders.len()), (1, 1));
    assert_eq!(shed(&studio).run, Run::Pass);
}

#[test]
fn a_pass_is_logged_at_the_tempo_it_was_played_at() {
    let mut studio = round();
    studio.update(Message::Heard(Some(10)));
    typed(&mut studio, "+");
    let orders = press(&mut studio, KeyCode::Enter);
    assert!(lines(&orders)[0].contains("at 60%"), "{orders:?}");
    studio.update(Message::Heard(Some(LENGTH - 1)));
    studio.update(Message::Heard(Some(10)));
    let orders = press(&mut studio, KeyCode::Enter);
    assert!(lines(&orders)[0].contains("at 65%"), "{orders:?}");
}
