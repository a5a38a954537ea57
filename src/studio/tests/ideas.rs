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
fn proposals_are_looked_at_one_after_another_and_taken_in_one_step() {
    let mut studio = in_colour();
    let mut names = Vec::new();
    for _ in 0..4 {
        studio.update(Message::Propose);
        let shown = on_desk(&studio).proposal.clone().unwrap();
        names.push(shown.proposed.proposal.name());
    }
    assert_eq!(names, ["plain", "walking", "lively", "sparse"]);
    assert_eq!(ideas(&studio), [], "none is taken yet");
    tell(&mut studio, &[Message::Propose]);
    assert!(on_desk(&studio).proposal.is_none(), "after the last, none");
    tell(
        &mut studio,
        &[Message::Propose, Message::Propose, Message::TakeIdea],
    );
    assert!(on_desk(&studio).proposal.is_none());
    assert!(ideas(&studio).len() > 1);
    tell(&mut studio, &[Message::Undo]);
    assert_eq!(ideas(&studio), []);
    tell(&mut studio, &[Message::Propose, Message::LeaveIdea]);
    assert!(on_desk(&studio).proposal.is_none());
    // Going back leaves the proposal first, and not the Desk.
    tell(&mut studio, &[Message::Propose, Message::Back]);
    assert!(on_desk(&studio).proposal.is_none());
    assert_eq!(ideas(&studio), []);
}

/// What a proposal does is heard by itself, while the song stays what it was.
#[test]
fn a_proposal_is_heard_with_and_without() {
    let heard = |orders: Vec<Order>| match orders.into_iter().next() {
        Some(Order::Load(score)) => *score,
        other => panic!("{other:?}"),
    };
    let mut studio = in_colour();
    let plain = on_desk(&studio).score.clone();
    tell(&mut studio, &[Message::Propose]);
    let with = heard(studio.update(Message::Propose));
    assert_ne!(with, plain);
    assert_eq!(heard(studio.update(Message::Hear)), plain);
    assert_eq!(heard(studio.update(Message::Hear)), with);
    assert_eq!(heard(studio.update(Message::LeaveIdea)), plain);
}

#[test]
fn a_proposal_bar_by_bar() {
    for (width, height) in [(80, 24), (120, 40)] {
        let mut studio = in_colour();
        tell(
            &mut studio,
            &[Message::Propose, Message::Propose, Message::Idea(1)],
        );
        insta::assert_snapshot!(format!("proposal_{width}"), shown(&studio, width, height));
    }
}

#[test]
fn a_proposal_goes_along_with_the_cursor() {
    let mut studio = in_colour();
    tell(
        &mut studio,
        &[Message::First, Message::Propose, Message::Propose],
    );
    let shown = |studio: &Studio| on_desk(studio).proposal.clone().unwrap();
    let offers = shown(&studio).proposed.offers;
    let last = offers.last().unwrap().idea.bar;
    assert!(offers.len() > 1 && last > 0, "{offers:?}");
    tell(&mut studio, &[Message::Bar(last as isize)]);
    let chosen = shown(&studio).chosen;
    assert_eq!(offers[chosen].idea.bar, last);
}

/// The song with an idea in its first bar that its player took.
const COLOURED: &str = "[[idea]]\nbar = 1\nfigure = \"root and fifth\"\n";

/// The song with another text behind it, on the Desk.
fn opened(more: &str) -> Desk {
    let (_, song, _) = SongFile::parse(&format!("{SONG}{more}")).unwrap();
    Desk::open(song, Home::nowhere(Vec::new())).unwrap()
}

#[test]
fn a_song_with_ideas_that_were_taken_is_opened_with_them() {
    assert_eq!(opened(COLOURED).options.layer, Layer::Colour);
    let left = format!("{COLOURED}left = true\n");
    assert_eq!(opened(&left).options.layer, Layer::Fill);
    assert_eq!(opened("").options.layer, Layer::Fill);
}

#[test]
fn ideas_that_can_not_be_kept_are_left_out_and_named() {
    let pin = "[[pin]]\nbar = 3\nbeat = 1\ngrip = \"3x000x\"\n";
    let idea = "[[idea]]\nbar = 3\nfigure = \"bass note\"\nbass = \"B\"\n";
    let desk = opened(&format!("{pin}{idea}"));
    assert_eq!(desk.options.layer, Layer::Fill);
    let (weight, text) = desk.said.clone().unwrap();
    assert_eq!(weight, Weight::Trouble);
    assert!(text.contains("without its ideas"), "{text}");
}
