//! The Desk: ways to play a bar, its title, its last bar.

use super::*;

#[test]
fn what_is_not_saved_is_said_in_whole_words() {
    let mut studio = studio();
    tell(
        &mut studio,
        &[Message::Layer(Layer::Colour), Message::Tick, Message::Pin],
    );
    for width in 60..100 {
        let text = shown(&studio, width, 24);
        let title = text.lines().next().unwrap();
        assert!(
            title.contains(" 4 colour") && title.ends_with(" · not saved"),
            "{title}"
        );
        assert!(title.starts_with(" Two Buoys  "), "{title}");
    }
    studio.update(Message::Write);
    assert!(
        shown(&studio, 60, 24)
            .lines()
            .next()
            .unwrap()
            .ends_with("writing · not saved")
    );
}
