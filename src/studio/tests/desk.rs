//! The Desk: ways to play a bar, its title, its last bar.

use super::*;

#[test]
fn the_last_bar_is_shown_with_those_before_it() {
    let bars = "\"C\"E G c | ".repeat(8);
    let mut studio = melody(&format!("{bars}\"C\"E3 |]"));
    let alone = |text: &str| {
        text.lines()
            .filter(|l| l.starts_with("E │"))
            .all(|l| l.matches('│').count() < 3)
    };
    let fill = Message::Layer(Layer::Fill);
    tell(&mut studio, &[fill.clone(), fill, Message::Last]);
    let text = shown(&studio, 80, 24);
    assert!(text.contains("▸9") && !alone(&text), "{text}");
}

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
