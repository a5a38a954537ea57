use super::*;
use crate::song::{Bar, Close};
use crate::theory::{Letter, Mode, Name, QUARTER};

fn tune(body: &str) -> AbcTune {
    let text = format!("X:1\nT:Test\nM:4/4\nL:1/4\nK:C\n{body}\n");
    read_book(&text).remove(0).unwrap()
}

/// Each bar as `onset+length name`, in eighths of a quarter where whole.
fn notes(body: &str) -> Vec<String> {
    tune(body).song.bars.iter().map(bar).collect()
}

fn bar(bar: &Bar) -> String {
    let quarters = |t| crate::theory::beats(t);
    bar.notes
        .iter()
        .map(|n| {
            let tie = if n.tied { "-" } else { "" };
            format!("{} {}×{}{tie}", quarters(n.at), n.pitch, quarters(n.length))
        })
        .collect::<Vec<_>>()
        .join(", ")
}

#[test]
fn lengths_and_octaves() {
    assert_eq!(notes("C, C c c'|"), ["0 C3×1, 1 C4×1, 2 C5×1, 3 C6×1"]);
    assert_eq!(
        notes("C/ D// E3/2 F3/4 G/4|"),
        ["0 C4×½, ½ D4×¼, ¾ E4×1½, 2¼ F4×¾, 3 G4×¼"]
    );
}
