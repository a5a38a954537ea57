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
