//! What the signs mean that are printed, for who reads such a sheet for the first time.

use super::face::{Face, wrapped};
use super::mark::{Canvas, at};
use super::rhythm::Sign;
use super::system::Block;
use super::written::{Note, Written};
use crate::arrange::{Arrangement, Technique};
use crate::exchange::grips::Gripped;
use crate::exchange::left_hand::barres;

const SIZE: f64 = 7.2;
/// More lines than all signs together take on the narrowest page in large print.
const LINES: usize = 16;

/// The meaning of the signs in these bars and boxes of an arrangement.
pub(super) fn block(
    arrangement: &Arrangement,
    bars: &[Written],
    boxes: &[Gripped],
    width: f64,
) -> Block {
    let signs = [
        numbers(bars),
        lengths(bars),
        left_hand(arrangement, bars, boxes),
        ways(bars),
    ];
    let text = format!("Signs: {}.", signs.concat().join("; "));
    let mut canvas = Canvas::default();
    canvas.line(at(0.0, 0.2), at(width, 0.2), 0.4);
    let mut y = 3.0;
    for line in wrapped(Face::Regular, &text, SIZE, width, LINES) {
        y += SIZE * 1.3;
        canvas.text(0.0, y, Face::Regular, SIZE, &line);
    }
    Block {
        height: y + 2.0,
        canvas,
    }
}

/// Those of the texts whose sign is printed.
fn printed(signs: &[(bool, &str)]) -> Vec<String> {
    let there = signs.iter().filter(|s| s.0);
    there.map(|s| s.1.to_owned()).collect()
}

fn any(bars: &[Written], test: impl Fn(&Note) -> bool) -> bool {
    bars.iter().flat_map(|b| &b.notes).any(test)
}

/// Numbers and letters.
fn numbers(bars: &[Written]) -> Vec<String> {
    printed(&[
        (true, "numbers are frets, 0 is open"),
        (any(bars, |n| n.face == Face::Bold), "bold is the tune"),
        (
            any(bars, |n| n.left.is_some()),
            "small figures before the numbers the left fingers, 1 index to 4 little finger",
        ),
        (
            any(bars, |n| n.right.is_some()),
            "below the right hand, the highest string on top: p thumb, i index, m middle, a ring",
        ),
    ])
}

/// Ringing and rhythm.
fn lengths(bars: &[Written]) -> Vec<String> {
    let voices = || bars.iter().flat_map(|b| [&b.upper, &b.lower]);
    let sign = |test: &dyn Fn(&Sign) -> bool| voices().flat_map(|v| &v.signs).any(test);
    let long = |head: u8| sign(&|s| !s.rest && s.value.head == head);
    let rings = any(bars, |n| n.rings.is_some()) || bars.iter().any(|b| !b.ringing.is_empty());
    let below = bars.iter().any(|b| !b.lower.signs.is_empty());
    let stems = match (long(1), long(0)) {
        (true, true) => "; a half note has a short stem, a whole note none",
        (true, false) => "; a half note has a short stem",
        (false, true) => "; a whole note has no stem",
        (false, false) => "",
    };
    let lower = if below { ", below the bass" } else { "" };
    let mut signs = printed(&[(rings, "a thick line: let the string ring to its end")]);
    signs.push(format!("stems above the tune{lower}{stems}"));
    signs.extend(printed(&[(
        sign(&|s| s.tied),
        "a bow from stem to stem: hold the note on",
    )]));
    signs
}

/// Boxes, barres and the capo.
fn left_hand(arrangement: &Arrangement, bars: &[Written], boxes: &[Gripped]) -> Vec<String> {
    let strings = 0..arrangement.instrument.strings();
    let tops = |of: fn(i8) -> bool| {
        let mut frets = boxes.iter().flat_map(|b| b.grip.frets.get(strings.clone()));
        frets.any(|f| f.iter().any(|&f| of(f)))
    };
    let mut inside = printed(&[
        (tops(|f| f < 0), "× a silent string"),
        (tops(|f| f == 0), "a circle an open one"),
        (tops(|f| f > 0), "the figures the left fingers"),
    ]);
    if let Some(first) = inside.first_mut() {
        first.insert_str(0, "in the boxes ");
    }
    let mut signs: Vec<String> = (!inside.is_empty())
        .then(|| inside.join(", "))
        .into_iter()
        .collect();
    if bars.iter().any(|b| !b.barres.is_empty()) {
        signs.extend(barres(arrangement).first().map(|held| held.meaning()));
    }
    signs.extend(printed(&[(
        arrangement.instrument.capo > 0,
        "frets and names in brackets count from the capo",
    )]));
    signs
}

/// Ways to bring notes out.
fn ways(bars: &[Written]) -> Vec<String> {
    let way = |technique| any(bars, |n| n.technique == technique);
    let slurred = |slides: bool| any(bars, |n| n.slur.is_some_and(|w| w.is_slide() == slides));
    printed(&[
        (
            way(Technique::Roll),
            "a wave: one after another from the lowest string",
        ),
        (way(Technique::Brush), "an arrow: brush with the thumb"),
        (
            way(Technique::Harmonic),
            "<12> natural harmonic over that fret",
        ),
        (way(Technique::Hit), "× hit"),
        (
            slurred(false),
            "a bow from number to number: hammered on or pulled off",
        ),
        (
            slurred(true),
            "a slanted stroke: slide with the same finger",
        ),
    ])
}
