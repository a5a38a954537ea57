//! `DEVELOPERS.md` must say what the code says.

use thumbline::arrange::{Cost, Costs};

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

/// Every field of a bar, slice and pluck in the JSON stands in the page's table.
#[test]
fn the_table_of_json_names_every_field() {
    let text = include_str!("../DEVELOPERS.md");
    let (_, rest) = text.split_once("## JSON").expect("a part on JSON");
    let (part, _) = rest.split_once("## How to add").expect("a part after it");
    let shape = include_str!("../src/exchange/json/mod.rs");
    let documented = shape.lines().take_while(|l| l.starts_with("//!"));
    let names = documented
        .filter_map(|l| l.strip_prefix("//! | `")?.split_once(" | "))
        .flat_map(|(names, _)| names.split('`').map(|n| n.trim_matches([',', ' '])))
        .filter(|n| !n.is_empty())
        .collect::<Vec<_>>();
    assert!(names.len() > 12, "{names:?}");
    for name in names {
        assert!(
            part.contains(&format!("`{name}`")),
            "{name} is not in the table"
        );
    }
}
