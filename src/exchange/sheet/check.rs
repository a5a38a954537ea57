//! Whether a document is in order: what no sheet may do, whatever the song.

use super::mark::{Area, Ink, Mark};
use super::{Document, MARGIN};

impl Document {
    /// What is wrong with the pages, a sentence each: marks outside the margins, texts that touch texts
    /// or lines. Nothing, in all that is laid out here; tests ask.
    pub fn faults(&self) -> Vec<String> {
        let pages = (1..).zip(&self.pages);
        let faults = pages.flat_map(|(number, page)| {
            let areas: Vec<(&Mark, Area)> = page.iter().map(|m| (m, m.area())).collect();
            let faults = [outside(&areas, self.size), touching(&areas)].concat();
            faults
                .into_iter()
                .map(move |f| format!("page {number}: {f}"))
        });
        faults.collect()
    }
}

fn outside(areas: &[(&Mark, Area)], (width, height): (f64, f64)) -> Vec<String> {
    // Sums of lengths are not exact.
    const SLACK: f64 = 0.01;
    let out = areas.iter().filter(|(_, a)| {
        a.left < MARGIN.0 - SLACK
            || a.top < MARGIN.1 - SLACK
            || a.right > width - MARGIN.0 + SLACK
            || a.bottom > height - MARGIN.1 + SLACK
    });
    out.map(|(mark, _)| format!("outside: {mark:?}")).collect()
}

fn touching(areas: &[(&Mark, Area)]) -> Vec<String> {
    let mut faults = Vec::new();
    for (i, (mark, a)) in areas.iter().enumerate() {
        let Mark::Text { ink, .. } = mark else {
            continue;
        };
        for (j, (other, b)) in areas.iter().enumerate() {
            let counts = match other {
                Mark::Text { .. } => j > i,
                // A finger's white figure stands on its black dot.
                Mark::Line { .. } => *ink != Ink::White,
                Mark::Shape { .. } => false,
            };
            if counts && a.overlaps(b) {
                faults.push(format!("{mark:?} on {other:?}"));
            }
        }
    }
    faults
}
