use super::*;

fn key(c: char) -> KeyEvent {
    KeyEvent::new(KeyCode::Char(c), KeyModifiers::NONE)
}

fn changed(place: &str, usual: &str, to: &[&str]) -> Result<Keymap, KeymapError> {
    let mut keys = Keymap::default();
    let to: Vec<String> = to.iter().map(|t| t.to_string()).collect();
    keys.change(place, usual, &to)?;
    keys.check().map(|()| keys)
}

#[test]
fn the_table_as_it_comes_is_well() {
    assert_eq!(Keymap::default().check(), Ok(()));
}

#[test]
fn letters_are_typed_on_the_shelf_and_commands_on_the_desk() {
    let keys = Keymap::default();
    let on = |place, c| keys.message(place, key(c));
    assert_eq!(on(Place::Shelf, 'q'), Some(Message::Type('q')));
    assert_eq!(on(Place::Desk, 'q'), Some(Message::Quit));
    assert_eq!(on(Place::Desk, 'z'), None);
    assert_eq!(on(Place::Shelf, '?'), Some(Message::Help));
    assert_eq!(on(Place::Line, '?'), Some(Message::Type('?')));
    assert_eq!(on(Place::Writing, 'g'), Some(Message::Type('g')));
    assert_eq!(on(Place::Writing, 'z'), None);
    let shifted = KeyEvent::new(KeyCode::Char('+'), KeyModifiers::SHIFT);
    assert_eq!(keys.message(Place::Desk, shifted), Some(Message::Tempo(5)));
}

#[test]
fn every_key_of_the_table_is_read_as_it_is_shown() {
    for row in Keymap::default().rows {
        for key in row.keys {
            let text = spell::shown(key);
            assert_eq!(spell::read(&text), Some(key), "{text}");
        }
        let first = first(row.usual);
        // Several letters stand in one row.
        if row.usual.message != Message::Type(first.chars().next().unwrap()) {
            let key = spell::read(first).unwrap();
            assert!(
                row.usual.keys.contains(&key) || first == "1",
                "{first} is not the row's key"
            );
        }
    }
}

#[test]
fn a_named_key_is_read_as_it_is_shown_whatever_is_held_with_it() {
    for row in Keymap::default().rows {
        let signs = |key: &Key| matches!(key.0, KeyCode::Char(c) if c != ' ');
        for (code, _) in row.keys.into_iter().filter(|key| !signs(key)) {
            for held in [KeyModifiers::CONTROL, KeyModifiers::ALT] {
                let text = spell::shown((code, held));
                assert_eq!(spell::read(&text), Some((code, held)), "{text}");
            }
        }
    }
}

#[test]
fn keys_have_several_names() {
    for (one, other) in [
        ("ctrl-p", "Ctrl-P"),
        ("Return", "Enter"),
        ("pagedown", "PgDn"),
        ("Up", "↑"),
        ("f5", "F5"),
        ("alt-x", "Alt-x"),
        ("-", "-"),
    ] {
        assert!(spell::read(one).is_some(), "{one}");
        assert_eq!(spell::read(one), spell::read(other), "{one}");
    }
    for wrong in ["", "pp", "Ctrl-", "F13", "F0", "Fx", "Hyper-p", "\t"] {
        let read = spell::read(wrong);
        assert!(read.is_none(), "{wrong} was read as {read:?}");
    }
}

#[test]
fn a_key_that_is_given_away_does_nothing_more() {
    let keys = changed("desk", "p", &["b", "F5"]).unwrap();
    assert_eq!(keys.message(Place::Desk, key('p')), None);
    assert_eq!(keys.message(Place::Desk, key('b')), Some(Message::Pin));
    let five = KeyEvent::new(KeyCode::F(5), KeyModifiers::NONE);
    assert_eq!(keys.message(Place::Desk, five), Some(Message::Pin));
    assert_eq!(keys.shown(Place::Desk, "p"), Some("b"));
    assert_eq!(keys.shown(Place::Desk, "e"), Some("e"));
    assert!(keys.rows(Place::Desk).any(|r| r.shown == "b F5"));
    // Said twice, it is one key.
    let keys = changed("desk", "p", &["b", "b"]).unwrap();
    assert_eq!(keys.shown(Place::Desk, "p"), Some("b"));
}

#[test]
fn two_keys_can_change_places() {
    let mut keys = Keymap::default();
    keys.change("desk", "e", &["f".into()]).unwrap();
    assert!(keys.check().is_err());
    keys.change("desk", "f", &["e".into()]).unwrap();
    assert_eq!(keys.check(), Ok(()));
    assert_eq!(keys.message(Place::Desk, key('f')), Some(Message::Lean(-1)));
}

#[test]
fn what_can_not_be_is_said() {
    let said = |place, usual, to: &[&str]| changed(place, usual, to).unwrap_err().to_string();
    assert!(said("kitchen", "p", &["b"]).contains("kitchen"));
    assert!(said("desk", "pp", &["b"]).contains("pp"));
    assert!(said("desk", "p", &["Hyper-b"]).contains("Hyper-b"));
    assert!(said("desk", "z", &["b"]).contains("z does nothing at the Desk"));
    assert!(said("desk", "p", &[]).contains("no key left"));
    assert!(said("shelf", "Ctrl-N", &["n"]).contains("typed"));
    assert!(said("writing", "a", &["z"]).contains("several"));
    let clash = said("desk", "p", &["e"]);
    assert!(clash.contains("pin it") && clash.contains("easier"));
    let over = said("desk", "p", &["?"]);
    assert!(over.contains("show or hide"), "{over}");
}
