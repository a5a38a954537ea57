//! The plan for today, turn by turn.

use super::*;

#[test]
fn the_plan_brings_back_what_slipped_and_is_worked_off() {
    let mut studio = studio(0, LOG);
    let turns = &shed(&studio).turns;
    assert_eq!(turns.len(), 5);
    let first = turns[0].passage.first();
    typed(&mut studio, "t");
    assert_eq!(shed(&studio).passage.first(), first);
    assert_eq!(shed(&studio).turn, Some((0, 0)));
    typed(&mut studio, " ");
    play_out(&mut studio);
    for second in 1..=180 {
        studio.update(Message::Clock(noon(), second));
    }
    assert!(shown(&studio, 80, 24).contains("three minutes are over"));
    let orders = typed(&mut studio, "t");
    assert!(lines(&orders)[0].ends_with("0 of 0 clean in 180 s"));
    assert!(shed(&studio).is_done(0, &studio.log));
    assert_eq!(shed(&studio).turn, Some((1, 0)));
    assert_ne!(shed(&studio).passage.first(), first);
}

#[test]
fn a_turn_is_joined_on_only_where_that_is_wished() {
    let mut studio = studio(5, LOG);
    press(&mut studio, KeyCode::Down);
    press(&mut studio, KeyCode::Down);
    press(&mut studio, KeyCode::Right);
    typed(&mut studio, "t");
    let passage = shed(&studio).passage;
    assert_eq!(passage.bars().end, passage.last() + 1);
}

#[test]
fn a_turn_keeps_its_place_only_where_another_plan_has_it_there() {
    let kept = (1..=5).map(|turns| {
        let mut studio = studio(0, LOG);
        for _ in 0..shed(&studio).settings().len() {
            press(&mut studio, KeyCode::Down);
        }
        typed(&mut studio, &"t".repeat(turns));
        press(&mut studio, KeyCode::Right);
        let shed = shed(&studio);
        shed.turn.map(|(turn, _)| {
            let meant = shed.turns[turn].passage.first();
            assert_eq!(meant, shed.passage.first());
            turn
        })
    });
    let kept: Vec<Option<usize>> = kept.collect();
    assert_eq!(kept[..3], [Some(0), Some(1), Some(2)]);
    assert_eq!(kept[3], None);
}
