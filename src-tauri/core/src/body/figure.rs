//! The drawing's lines as SVG paths, both halves from the one that is written down, and the parts of the body.
//!
//! Not here: the coordinates (`artwork`) and the zones (`faces`).

use std::fmt::Write as _;

use super::artwork::{BACK, FRONT, INSIDE, OUTSIDE, Stroke, WIDTH};
use super::atlas::View;

/// Where the arm begins: from the shoulder down past the armpit, between arm and body, to below the hand.
const ARM_FROM: &[(f64, f64)] = &[
    (165.0, 94.0),
    (250.0, 84.0),
    (300.0, 88.0),
    (400.0, 99.0),
    (470.0, 107.0),
    (620.0, 107.0),
];

/// Parts of the arm by their lower ends.
const ARM_PARTS: &[(f64, &str)] = &[
    (196.0, "shoulder"),
    (336.0, "upper arm"),
    (370.0, "elbow"),
    (486.0, "forearm"),
    (620.0, "hand"),
];

/// The part of the body at a distance from the midline and from the top, and whether there are two of it.
pub(super) fn part(view: View, off: f64, y: f64) -> (&'static str, bool) {
    let below = |from: (f64, f64), to: (f64, f64)| {
        y > from.1 + (off - from.0) / (to.0 - from.0) * (to.1 - from.1)
    };
    if (165.0..620.0).contains(&y) && off > piecewise(ARM_FROM, y) {
        let name = ARM_PARTS.iter().find(|p| y < p.0).map_or("hand", |p| p.1);
        return (name, true);
    }
    let front = view == View::Front;
    // The fold of the groin in front, the fold under the buttock behind.
    let leg = if front {
        below((0.0, 500.0), (97.0, 425.0))
    } else {
        y > 516.0
    };
    match y {
        _ if leg && y > 706.0 => ("lower leg", true),
        _ if leg && y > 650.0 => (if front { "knee" } else { "back of the knee" }, true),
        _ if leg => ("thigh", true),
        _ if y < 124.0 => ("head", false),
        _ if y < 160.0 => ("neck", false),
        _ if front && y < 328.0 => ("chest", false),
        _ if front => ("abdomen", false),
        _ if y < 320.0 => ("upper back", false),
        _ if y < 390.0 => ("lower back", false),
        _ => ("buttock", true),
    }
}

fn piecewise(knots: &[(f64, f64)], at: f64) -> f64 {
    let after = knots
        .iter()
        .position(|k| k.0 >= at)
        .unwrap_or(knots.len() - 1)
        .max(1);
    let (a, b) = (knots[after - 1], knots[after]);
    a.1 + (at - a.0) / (b.0 - a.0) * (b.1 - a.1)
}

impl Stroke {
    /// Path data after the starting point, to one side (1 or -1) of the midline.
    fn along(&self, side: f64) -> String {
        self.curves.iter().fold(String::new(), |mut d, c| {
            let _ = write!(
                d,
                "C{} {} {} {} {} {}",
                at(c[0], side),
                c[1],
                at(c[2], side),
                c[3],
                at(c[4], side),
                c[5]
            );
            d
        })
    }

    /// The same, run from its end to its start.
    fn against(&self, side: f64) -> String {
        let starts = std::iter::once(self.from)
            .chain(self.curves.iter().map(|c| [c[4], c[5]]))
            .collect::<Vec<_>>();
        self.curves
            .iter()
            .zip(starts)
            .rev()
            .fold(String::new(), |mut d, (c, s)| {
                let _ = write!(
                    d,
                    "C{} {} {} {} {} {}",
                    at(c[2], side),
                    c[3],
                    at(c[0], side),
                    c[1],
                    at(s[0], side),
                    s[1]
                );
                d
            })
    }

    fn end(&self) -> [f64; 2] {
        self.curves.last().map_or(self.from, |c| [c[4], c[5]])
    }

    /// Straight pieces that follow the run closely, start and end included.
    fn points(&self) -> Vec<(f64, f64)> {
        const STEPS: u32 = 12;
        let mut out = vec![(self.from[0], self.from[1])];
        let mut s = self.from;
        for c in self.curves {
            for i in 1..=STEPS {
                let t = f64::from(i) / f64::from(STEPS);
                let u = 1.0 - t;
                let mix = |a: f64, b: f64, c: f64, d: f64| {
                    u * u * u * a + 3.0 * u * u * t * b + 3.0 * u * t * t * c + t * t * t * d
                };
                out.push((mix(s[0], c[0], c[2], c[4]), mix(s[1], c[1], c[3], c[5])));
            }
            s = [c[4], c[5]];
        }
        out
    }
}

fn at(off: f64, side: f64) -> f64 {
    WIDTH / 2.0 + side * off
}

fn point(p: [f64; 2], side: f64) -> String {
    format!("{} {}", at(p[0], side), p[1])
}

/// The whole outline, closed.
pub(super) fn silhouette() -> String {
    format!(
        "M{}{}L{}{}{}L{}{}Z",
        point(OUTSIDE.from, 1.0),
        OUTSIDE.along(1.0),
        point(INSIDE.from, 1.0),
        INSIDE.along(1.0),
        INSIDE.against(-1.0),
        point(OUTSIDE.end(), -1.0),
        OUTSIDE.against(-1.0),
    )
}

/// The outline without the straight cuts below the knees.
pub(super) fn contour() -> String {
    format!(
        "M{}{}{}M{}{}{}",
        point(OUTSIDE.end(), -1.0),
        OUTSIDE.against(-1.0),
        OUTSIDE.along(1.0),
        point(INSIDE.from, 1.0),
        INSIDE.along(1.0),
        INSIDE.against(-1.0),
    )
}

/// The outline as a ring of straight pieces.
pub(super) fn ring() -> Vec<(f64, f64)> {
    let half: Vec<_> = OUTSIDE
        .points()
        .into_iter()
        .chain(INSIDE.points())
        .collect();
    let right = half.iter().map(|&(d, y)| (at(d, 1.0), y));
    let left = half.iter().rev().map(|&(d, y)| (at(d, -1.0), y));
    right.chain(left).collect()
}

/// The quiet lines of one view.
pub(super) fn lines(view: View) -> Vec<(&'static str, String)> {
    let details = match view {
        View::Front => FRONT,
        View::Back => BACK,
    };
    details
        .iter()
        .map(|(name, both, stroke)| {
            let one = |side: f64| format!("M{}{}", point(stroke.from, side), stroke.along(side));
            (
                *name,
                if *both {
                    one(1.0) + &one(-1.0)
                } else {
                    one(1.0)
                },
            )
        })
        .collect()
}
