//! What stands on a page, whatever the page is written as: texts, lines, filled shapes.
//!
//! Lengths are points (1/72 inch), x to the right, y downwards.

use super::face::{Face, shown};

/// A place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

/// A place, shortly.
pub(super) fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// How dark something is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ink {
    /// Black.
    Black,
    /// Dark grey, for what stands behind.
    Grey,
    /// White, on black.
    White,
}

/// One step of an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Step {
    /// Start here.
    Move(Point),
    /// Straight to here.
    Line(Point),
    /// In a cubic curve by two control points to here.
    Curve(Point, Point, Point),
    /// Back to the start.
    Close,
}

/// One thing on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A line of text: its left end and baseline.
    Text {
        /// Left end on the baseline.
        from: Point,
        /// Size in points.
        size: f64,
        /// The cut.
        face: Face,
        /// The text, as the typeface can show it.
        text: String,
        /// How dark.
        ink: Ink,
    },
    /// A straight line.
    Line {
        /// One end.
        from: Point,
        /// The other.
        to: Point,
        /// How thick.
        weight: f64,
        /// How dark.
        ink: Ink,
    },
    /// A filled outline.
    Shape {
        /// The outline.
        steps: Vec<Step>,
        /// How dark.
        ink: Ink,
    },
}

/// A rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Area {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Area {
    /// Whether two rectangles have more than an edge in common.
    pub(super) fn overlaps(&self, other: &Area) -> bool {
        const TOUCH: f64 = 1e-6;
        self.left + TOUCH < other.right
            && other.left + TOUCH < self.right
            && self.top + TOUCH < other.bottom
            && other.top + TOUCH < self.bottom
    }

    fn around(points: impl Iterator<Item = Point>) -> Area {
        let none = Area {
            left: f64::MAX,
            top: f64::MAX,
            right: f64::MIN,
            bottom: f64::MIN,
        };
        points.fold(none, |a, p| Area {
            left: a.left.min(p.x),
            top: a.top.min(p.y),
            right: a.right.max(p.x),
            bottom: a.bottom.max(p.y),
        })
    }
}

impl Mark {
    /// The rectangle that its ink lies in; of a curve, that of its control points.
    pub(super) fn area(&self) -> Area {
        match self {
            Mark::Text {
                from,
                size,
                face,
                text,
                ..
            } => {
                let (above, below) = face.reach(text, *size);
                Area {
                    left: from.x,
                    top: from.y - above,
                    right: from.x + face.width(text, *size),
                    bottom: from.y + below,
                }
            }
            Mark::Line {
                from, to, weight, ..
            } => {
                // Butt ends: the thickness counts across the line only.
                let upright = from.x == to.x;
                let half = weight / 2.0;
                let mut area = Area::around([*from, *to].into_iter());
                if upright {
                    area.left -= half;
                    area.right += half;
                } else {
                    area.top -= half;
                    area.bottom += half;
                }
                area
            }
            Mark::Shape { steps, .. } => {
                let points = steps.iter().flat_map(|s| match *s {
                    Step::Move(p) | Step::Line(p) => vec![p],
                    Step::Curve(a, b, c) => vec![a, b, c],
                    Step::Close => Vec::new(),
                });
                Area::around(points)
            }
        }
    }

    /// The same mark with every place sent through `scale` and then moved.
    pub(super) fn placed(&self, scale: f64, by: Point) -> Mark {
        let go = |p: Point| at(p.x * scale + by.x, p.y * scale + by.y);
        match self {
            Mark::Text {
                from,
                size,
                face,
                text,
                ink,
            } => Mark::Text {
                from: go(*from),
                size: size * scale,
                face: *face,
                text: text.clone(),
                ink: *ink,
            },
            Mark::Line {
                from,
                to,
                weight,
                ink,
            } => Mark::Line {
                from: go(*from),
                to: go(*to),
                weight: weight * scale,
                ink: *ink,
            },
            Mark::Shape { steps, ink } => Mark::Shape {
                steps: (steps.iter())
                    .map(|s| match *s {
                        Step::Move(p) => Step::Move(go(p)),
                        Step::Line(p) => Step::Line(go(p)),
                        Step::Curve(a, b, c) => Step::Curve(go(a), go(b), go(c)),
                        Step::Close => Step::Close,
                    })
                    .collect(),
                ink: *ink,
            },
        }
    }
}

/// Marks while they are gathered.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Canvas {
    pub marks: Vec<Mark>,
}

impl Canvas {
    /// A text that starts at `x`; gives back where it ends.
    pub fn text(&mut self, x: f64, y: f64, face: Face, size: f64, text: &str) -> f64 {
        self.inked(x, y, face, size, text, Ink::Black)
    }

    /// The same in another ink.
    pub fn inked(&mut self, x: f64, y: f64, face: Face, size: f64, text: &str, ink: Ink) -> f64 {
        let text = shown(text);
        let end = x + face.width(&text, size);
        if !text.trim().is_empty() {
            self.marks.push(Mark::Text {
                from: at(x, y),
                size,
                face,
                text,
                ink,
            });
        }
        end
    }

    /// A text with its middle at `x`.
    pub fn centred(&mut self, x: f64, y: f64, face: Face, size: f64, text: &str) {
        let wide = face.width(&shown(text), size);
        self.text(x - wide / 2.0, y, face, size, text);
    }

    /// A text that ends at `x`.
    pub fn ending(&mut self, x: f64, y: f64, face: Face, size: f64, text: &str) {
        let wide = face.width(&shown(text), size);
        self.text(x - wide, y, face, size, text);
    }

    /// A black line.
    pub fn line(&mut self, from: Point, to: Point, weight: f64) {
        self.ruled(from, to, weight, Ink::Black);
    }

    /// The same in another ink.
    pub fn ruled(&mut self, from: Point, to: Point, weight: f64, ink: Ink) {
        self.marks.push(Mark::Line {
            from,
            to,
            weight,
            ink,
        });
    }

    /// A black shape.
    pub fn fill(&mut self, steps: Vec<Step>) {
        self.marks.push(Mark::Shape {
            steps,
            ink: Ink::Black,
        });
    }

    /// A black polygon.
    pub fn polygon(&mut self, points: &[Point]) {
        let mut steps: Vec<Step> = points.iter().copied().map(Step::Line).collect();
        if let Some(first) = points.first() {
            steps[0] = Step::Move(*first);
            steps.push(Step::Close);
            self.fill(steps);
        }
    }

    /// A black rectangle.
    pub fn block(&mut self, left: f64, top: f64, right: f64, bottom: f64) {
        let corners = [(left, top), (right, top), (right, bottom), (left, bottom)];
        self.polygon(&corners.map(|(x, y)| at(x, y)));
    }

    /// A black disc.
    pub fn disc(&mut self, x: f64, y: f64, radius: f64) {
        self.fill(oval(x, y, radius, radius));
    }

    /// A hollow circle.
    pub fn circle(&mut self, x: f64, y: f64, radius: f64, weight: f64) {
        let mut steps = oval(x, y, radius, radius);
        // The inner edge runs the other way round, which leaves it unfilled by the rule of winding.
        steps.extend(oval(x, y, -(radius - weight), radius - weight));
        self.fill(steps);
    }

    /// All marks of another canvas, moved.
    pub fn take(&mut self, other: &Canvas, by: Point) {
        self.marks
            .extend(other.marks.iter().map(|m| m.placed(1.0, by)));
    }
}

/// An oval in four cubic curves (the usual factor 0.5523 for a quarter of a circle).
pub(super) fn oval(x: f64, y: f64, rx: f64, ry: f64) -> Vec<Step> {
    const BOW: f64 = 0.552_284_75;
    let (bx, by) = (rx * BOW, ry * BOW);
    vec![
        Step::Move(at(x + rx, y)),
        Step::Curve(at(x + rx, y + by), at(x + bx, y + ry), at(x, y + ry)),
        Step::Curve(at(x - bx, y + ry), at(x - rx, y + by), at(x - rx, y)),
        Step::Curve(at(x - rx, y - by), at(x - bx, y - ry), at(x, y - ry)),
        Step::Curve(at(x + bx, y - ry), at(x + rx, y - by), at(x + rx, y)),
        Step::Close,
    ]
}
