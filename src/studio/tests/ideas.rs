//! The fourth layer on the Desk.

use super::*;

fn ideas(studio: &Studio) -> Vec<(String, bool)> {
    let song = &on_desk(studio).arrangement.song;
    let say = |i: &crate::song::Idea| (crate::arrange::why(&i.figure), i.left);
    song.ideas.iter().map(say).collect()
}

pub(super) fn in_colour() -> Studio {
    let mut studio = studio();
    tell(
        &mut studio,
        &[
            Message::Layer(Layer::Colour),
            Message::Bar(1),
            Message::Idle,
        ],
    );
    studio
}

#[test]
fn ideas_are_taken_put_back_left_and_undone() {
    let mut studio = in_colour();
    let found = on_desk(&studio).ideas.clone().unwrap();
    assert!(found.offers.len() > 3, "{found:?}");
    tell(
        &mut studio,
        &[Message::Idea(1), Message::TakeIdea, Message::Idle],
    );
    assert_eq!(ideas(&studio), [(found.offers[1].text.clone(), false)]);
    assert_eq!(on_desk(&studio).ideas.as_ref().unwrap().taken, [0]);
    // Taken ideas come first in the list, so the same key puts this one back.
    tell(&mut studio, &[Message::TakeIdea, Message::Idle]);
    assert_eq!(ideas(&studio), []);
    tell(&mut studio, &[Message::LeaveIdea, Message::Idle]);
    assert_eq!(ideas(&studio), [(found.offers[0].text.clone(), true)]);
    let again = on_desk(&studio).ideas.clone().unwrap();
    assert!(again.offers.iter().all(|o| o.idea != found.offers[0].idea));
    tell(&mut studio, &[Message::Undo, Message::Undo, Message::Idle]);
    assert_eq!(ideas(&studio), [(found.offers[1].text.clone(), false)]);
    tell(&mut studio, &[Message::Undo]);
    assert_eq!(ideas(&studio), []);
    tell(&mut studio, &[Message::Redo]);
    assert_eq!(ideas(&studio).len(), 1);
}

#[test]
fn below_the_fourth_layer_the_keys_say_where_ideas_are() {
    let mut studio = studio();
    for message in [Message::Idea(1), Message::TakeIdea, Message::LeaveIdea] {
        studio.update(message);
        let said = on_desk(&studio).said.clone().unwrap().1;
        assert!(said.contains("press ⟨4⟩"), "{said}");
    }
    assert_eq!(ideas(&studio), []);
}

#[test]
fn the_ideas_at_80_by_24() {
    let mut studio = in_colour();
    tell(
        &mut studio,
        &[Message::TakeIdea, Message::Idle, Message::Idea(2)],
    );
    insta::assert_snapshot!(shown(&studio, 80, 24));
}

#[test]
fn the_ideas_at_120_by_40() {
    insta::assert_snapshot!(shown(&in_colour(), 120, 40));
}

#[test]
fn proposals_come_one_after_another_and_go_in_one_step() {
    let mut studio = in_colour();
    let mut names = Vec::new();
    for _ in 0..4 {
        studio.update(Message::Propose);
        let said = on_desk(&studio).said.clone().unwrap().1;
        names.push(said.split(':').next().unwrap().to_string());
    }
    assert_eq!(names, ["plain", "walking", "lively", "sparse"]);
    tell(&mut studio, &[Message::Undo]);
    assert!(!ideas(&studio).is_empty(), "the lively one again");
    tell(&mut studio, &[Message::Redo, Message::Propose]);
    assert_eq!(ideas(&studio), []);
}
