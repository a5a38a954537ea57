//! The Desk: ways to play a bar, its title, its last bar.

use super::*;

/// A demo song in whose third bar there are several ways, with the cursor there.
fn chair() -> Studio {
    let text = include_str!("../../../songs/a-chair-by-the-stove.toml");
    let (_, song, _) = SongFile::parse(text).unwrap();
    let mut studio = opened(song);
    tell(&mut studio, &[Message::Bar(2), Message::Idle]);
    studio
}

fn opened(song: crate::song::Song) -> Studio {
    let desk = Desk::open(song, Home::nowhere(Vec::new())).unwrap();
    Studio::at_desk(desk, Theme::named("none").unwrap(), TimeZone::UTC)
}

#[test]
fn fuller_goes_back_where_easier_came_from_and_keeps_the_players_own_pins() {
    let level = |studio: &Studio| {
        let (_, front) = on_desk(studio).front.clone().unwrap();
        let way = front.variants[front.stands.unwrap()].clone();
        (front.variants.len(), way.fullness, way.effort)
    };
    let mut studio = chair();
    tell(
        &mut studio,
        &[Message::Onset(1), Message::Pin, Message::Idle],
    );
    let own = on_desk(&studio).arrangement.song.pins.clone();
    let (ways, full, effort) = level(&studio);
    tell(&mut studio, &[Message::Lean(-1), Message::Idle]);
    let easier = level(&studio);
    assert!(
        easier.0 == ways && easier.1 < full && easier.2 < effort,
        "{easier:?}"
    );
    tell(&mut studio, &[Message::Lean(1), Message::Idle]);
    assert_eq!(level(&studio), (ways, full, effort));
    assert!(on_desk(&studio).arrangement.song.pins.starts_with(&own));
}

#[test]
fn pins_that_leave_nothing_fuller_are_named_as_the_reason() {
    let mut studio = chair();
    studio.update(Message::Lean(-1));
    // In another session they are the player's own.
    let mut studio = opened(on_desk(&studio).arrangement.song.clone());
    tell(&mut studio, &[Message::Bar(2), Message::Lean(1)]);
    let said = on_desk(&studio).said.clone().unwrap().1;
    assert!(said.contains("with your pins here"), "{said}");
}

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
