//! `DEVELOPERS.md` must say what the code says.

use serde_json::Value;
use std::collections::BTreeSet;
use thumbline::arrange::{Arrangement, Cost, Costs, Layer, Options, arrange};
use thumbline::exchange::json;
use thumbline::guitar::{Hand, Instrument};
use thumbline::song::SongFile;

#[test]
fn the_table_of_costs_is_the_one_in_force() {
    let text = include_str!("../DEVELOPERS.md");
    let rows: Vec<Vec<&str>> = text
        .lines()
        .filter(|l| l.starts_with("| ") && l.matches('|').count() == 5)
        .map(|l| l.trim_matches('|').split('|').map(str::trim).collect())
        .collect();
    let cell = |row: &[&str], i: usize| {
        row.get(i)
            .copied()
            .unwrap_or_default()
            .trim_matches('`')
            .to_string()
    };
    for cost in Cost::ALL {
        assert!(
            rows.iter().any(|r| cell(r, 0) == cost.name()),
            "{} is not in the table",
            cost.name()
        );
    }
    // The fields and their amounts, as the derived text of the table shows them.
    let shown = format!("{:?}", Costs::default());
    let fields = shown.trim_start_matches("Costs { ").trim_end_matches(" }");
    for field in fields.split(", ") {
        let (name, amount) = field.split_once(": ").expect("a field and its amount");
        assert!(
            rows.iter()
                .any(|r| cell(r, 1) == name && cell(r, 2) == amount),
            "the table does not say {name} is {amount}"
        );
    }
}

/// Every field that the JSON of an arrangement has stands in the page's table.
#[test]
fn the_table_of_json_names_every_field() {
    let text = include_str!("../DEVELOPERS.md");
    let (_, rest) = text.split_once("## JSON").expect("a part on JSON");
    let (part, _) = rest.split_once("\n## ").expect("a part after it");
    let mut names = BTreeSet::new();
    fields(
        &serde_json::from_str(&json::write(&arrangement())).expect("JSON"),
        &mut names,
    );
    // Some that only a barre, a pin and an idea have.
    for name in ["finger", "target", "figure"] {
        assert!(names.contains(name), "no {name} in the song");
    }
    for name in names {
        assert!(
            part.contains(&format!("`{name}`")),
            "{name} is not in the table"
        );
    }
}

/// A song with a barre, a pin and an idea, in four layers.
fn arrangement() -> Arrangement {
    let text = "key = \"F\"\nmeter = \"4/4\"\ntune = \"\"\"\n\"F\"F4 F4 | \"Bb\"D4 F4 |]\n\"\"\"\n\
        [[pin]]\nbar = 1\nbeat = 1\ngrip = \"133211\"\n\
        [[pin]]\nbar = 2\nbeat = 1\nnote = \"melody\"\nstring = 2\n\
        [[idea]]\nbar = 2\nfigure = \"root and fifth\"\n";
    let (_, song, _) = SongFile::parse(text).expect("a song");
    let hand = Hand::named("medium").expect("a hand");
    let options = Options {
        layer: Layer::Colour,
        ..Options::default()
    };
    arrange(&song, &Instrument::standard(), &hand, &options).expect("it can be played")
}

/// The names of all fields below a value; those of a price's items are costs.
fn fields(value: &Value, names: &mut BTreeSet<String>) {
    match value {
        Value::Object(object) => {
            for (name, value) in object {
                names.insert(name.clone());
                if name != "items" {
                    fields(value, names);
                }
            }
        }
        Value::Array(values) => values.iter().for_each(|v| fields(v, names)),
        _ => {}
    }
}
