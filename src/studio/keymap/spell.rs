//! Keys in writing, as the table shows them and the config file names them.

use super::Key;
use crossterm::event::{KeyCode, KeyModifiers};

/// Keys that are not a sign, each with its names; the first is the one shown.
const NAMED: [(KeyCode, &[&str]); 16] = [
    (KeyCode::Up, &["↑", "Up"]),
    (KeyCode::Down, &["↓", "Down"]),
    (KeyCode::Left, &["←", "Left"]),
    (KeyCode::Right, &["→", "Right"]),
    (KeyCode::PageUp, &["PgUp", "PageUp"]),
    (KeyCode::PageDown, &["PgDn", "PageDown"]),
    (KeyCode::Home, &["Home"]),
    (KeyCode::End, &["End"]),
    (KeyCode::Enter, &["Enter", "Return"]),
    (KeyCode::Esc, &["Esc", "Escape"]),
    (KeyCode::Tab, &["Tab"]),
    (KeyCode::BackTab, &["Shift-Tab"]),
    (KeyCode::Backspace, &["Backspace"]),
    (KeyCode::Delete, &["Del", "Delete"]),
    (KeyCode::Insert, &["Ins", "Insert"]),
    (KeyCode::Char(' '), &["Space"]),
];

/// What is held down with a key.
const HELD: [(KeyModifiers, &str); 2] = [
    (KeyModifiers::CONTROL, "Ctrl-"),
    (KeyModifiers::ALT, "Alt-"),
];

/// Reads a key: a sign, a name, `F1` to `F12`, each also behind `Ctrl-` or `Alt-`.
pub(super) fn read(text: &str) -> Option<Key> {
    let mut rest = text.trim();
    let mut modifiers = KeyModifiers::NONE;
    while let Some((held, after)) = (HELD.iter())
        .find_map(|(held, name)| Some((*held, strip(rest, name)?)))
        .filter(|(_, after)| !after.is_empty())
    {
        modifiers |= held;
        rest = after;
    }
    // An arrow is a sign, too.
    if let Some(code) = named(rest) {
        return Some((code, modifiers));
    }
    let mut signs = rest.chars();
    let code = match (signs.next()?, signs.next()) {
        // A terminal sends one code for both cases with Ctrl.
        (c, None) if modifiers.contains(KeyModifiers::CONTROL) => {
            KeyCode::Char(c.to_ascii_lowercase())
        }
        (c, None) if !c.is_whitespace() && !c.is_control() => KeyCode::Char(c),
        _ => function(rest)?,
    };
    Some((code, modifiers))
}

/// A key as it is shown.
pub(super) fn shown((code, modifiers): Key) -> String {
    let mut text = String::new();
    for (held, name) in HELD {
        if modifiers.contains(held) {
            text += name;
        }
    }
    let named = NAMED.iter().find(|n| n.0 == code);
    match (named, code) {
        (Some((_, names)), _) => text + names.first().unwrap_or(&""),
        (_, KeyCode::Char(c)) if modifiers.contains(KeyModifiers::CONTROL) => {
            text + &c.to_uppercase().to_string()
        }
        (_, KeyCode::Char(c)) => text + &c.to_string(),
        (_, KeyCode::F(n)) => format!("{text}F{n}"),
        _ => text,
    }
}

fn strip<'a>(text: &'a str, prefix: &str) -> Option<&'a str> {
    let head = text.get(..prefix.len())?;
    (head.eq_ignore_ascii_case(prefix)).then(|| &text[prefix.len()..])
}

fn named(text: &str) -> Option<KeyCode> {
    let called = |names: &[&str]| names.iter().any(|n| n.eq_ignore_ascii_case(text));
    NAMED.iter().find(|n| called(n.1)).map(|n| n.0)
}

fn function(text: &str) -> Option<KeyCode> {
    let number: u8 = text.strip_prefix(['F', 'f'])?.parse().ok()?;
    (1..=12).contains(&number).then_some(KeyCode::F(number))
}
