//! Where each zone's patch lies on the drawing, and the way there and back.
//!
//! A level of the patch goes to a level of the drawing, and the patch's frame at that level is spread evenly
//! between the face's two edges. So every point of the one has exactly one point of the other, and a zone is
//! drawn in the shape its skin has. Not here: what was tapped beside the zones (`atlas`).

use std::sync::LazyLock;

use geo::{Densify, Euclidean, LineString};

use super::artwork::WIDTH;
use super::atlas::View;
use super::curve::smooth;
use super::patch::Patch;
use crate::site::{Point, Side, Zone};

/// A zone's frame on the drawing; rows from the top downwards as (down, inner edge, outer edge), both edges as
/// distance from the midline.
#[derive(Debug)]
pub(super) struct Face {
    pub(super) view: View,
    /// Levels of the drawing that the patch's levels go to, from the top downwards.
    levels: &'static [f64],
    rows: Vec<(f64, f64, f64)>,
}

/// Longest straight piece of a patch's ring on its way to the drawing; centimetres.
const FINE_CM: f64 = 0.7;
/// Steps between two rows of a face's edge.
const STEP: f64 = 4.0;

static ABDOMEN: LazyLock<Face> = LazyLock::new(|| Face {
    view: View::Front,
    levels: &[341.0, 382.0, 462.0],
    rows: rows(&[
        (341.0, -69.0, 69.0),
        (358.0, -70.0, 70.0),
        (382.0, -73.0, 73.0),
        (410.0, -80.0, 80.0),
        (462.0, -84.0, 84.0),
    ]),
});
static THIGH: LazyLock<Face> = LazyLock::new(|| Face {
    view: View::Front,
    levels: &[457.0, 667.0],
    rows: rows(&[
        (457.0, 34.0, 94.0),
        (489.0, 33.0, 95.0),
        (530.0, 32.0, 94.0),
        (575.0, 33.0, 90.0),
        (620.0, 35.0, 83.0),
        (650.0, 37.0, 75.0),
        (667.0, 38.0, 71.0),
    ]),
});
static ARM: LazyLock<Face> = LazyLock::new(|| Face {
    view: View::Back,
    levels: &[184.0, 358.0],
    rows: rows(&[
        (184.0, 92.0, 108.0),
        (196.0, 90.0, 118.0),
        (220.0, 91.0, 124.0),
        (258.0, 94.0, 128.0),
        (300.0, 101.0, 132.0),
        (340.0, 108.0, 135.0),
        (358.0, 111.0, 134.0),
    ]),
});
static BUTTOCK: LazyLock<Face> = LazyLock::new(|| Face {
    view: View::Back,
    levels: &[377.0, 453.0],
    rows: rows(&[
        (377.0, 28.0, 74.0),
        (400.0, 28.0, 82.0),
        (430.0, 28.0, 90.0),
        (453.0, 28.0, 94.0),
    ]),
});

/// The face of a zone on the half that is written down.
pub(super) fn face(zone: Zone) -> &'static Face {
    match zone {
        Zone::Abdomen => &ABDOMEN,
        Zone::LeftThigh | Zone::RightThigh => &THIGH,
        Zone::LeftArm | Zone::RightArm => &ARM,
        Zone::LeftButtock | Zone::RightButtock => &BUTTOCK,
    }
}

/// Which way `across` grows on the drawing: 1 to the viewer's right, -1 to the left. From the front the
/// person's left is on the viewer's right; from behind it is on the left.
pub(super) fn direction(view: View, side: Side) -> f64 {
    match (view, side) {
        (View::Front, Side::Left) | (View::Back, Side::Right) => 1.0,
        (View::Front, Side::Right) | (View::Back, Side::Left) => -1.0,
    }
}

impl Face {
    /// From the patch to the drawing; `None` outside the zone.
    pub(super) fn place(&self, patch: &Patch, p: Point) -> Option<(f64, f64)> {
        let up = within(p.up_cm, ends(patch.levels()))?;
        let across = within(p.across_cm, patch.span(up)?)?;
        let (inner, outer) = patch.frame(up)?;
        let y = relevel(patch.levels(), self.levels, up);
        let (from, to) = self.edges(y)?;
        Some((
            self.x(
                patch.zone(),
                from + (across - inner) / (outer - inner) * (to - from),
            ),
            y,
        ))
    }

    /// From the drawing to the patch; `None` outside the zone.
    pub(super) fn find(&self, patch: &Patch, x: f64, y: f64) -> Option<Point> {
        let y = within(y, ends(self.levels))?;
        let (from, to) = self.edges(y)?;
        let off = (x - WIDTH / 2.0) * direction(self.view, patch.zone().across_grows());
        let up_cm = within(
            relevel(self.levels, patch.levels(), y),
            ends(patch.levels()),
        )?;
        let (inner, outer) = patch.frame(up_cm)?;
        let across_cm = within(
            inner + (off - from) / (to - from) * (outer - inner),
            patch.span(up_cm)?,
        )?;
        Some(Point { across_cm, up_cm })
    }

    /// A ring of the patch on the drawing, with as many corners as it takes to follow the face's curves.
    pub(super) fn ring(&self, patch: &Patch, ring: &LineString<f64>) -> Vec<(f64, f64)> {
        let fine = Euclidean.densify(ring, FINE_CM);
        // The last corner repeats the first.
        let corners = fine.coords().skip(1);
        corners
            .filter_map(|c| {
                self.place(
                    patch,
                    Point {
                        across_cm: c.x,
                        up_cm: c.y,
                    },
                )
            })
            .collect()
    }

    fn x(&self, zone: Zone, off: f64) -> f64 {
        WIDTH / 2.0 + direction(self.view, zone.across_grows()) * off
    }

    /// The two edges at a level of the drawing.
    fn edges(&self, y: f64) -> Option<(f64, f64)> {
        let after = self.rows.iter().position(|r| r.0 >= y)?;
        let low = self.rows[after];
        if after == 0 {
            return (low.0 <= y).then_some((low.1, low.2));
        }
        let high = self.rows[after - 1];
        let t = (y - high.0) / (low.0 - high.0);
        Some((high.1 + t * (low.1 - high.1), high.2 + t * (low.2 - high.2)))
    }
}

/// The value if it lies within a stretch, forgiving the rounding of a way there and back.
fn within(value: f64, (low, high): (f64, f64)) -> Option<f64> {
    const ROUNDING: f64 = 1e-6;
    (value >= low - ROUNDING && value <= high + ROUNDING).then(|| value.clamp(low, high))
}

/// The least and the greatest rung.
fn ends(ladder: &[f64]) -> (f64, f64) {
    let (a, b) = (ladder[0], ladder[ladder.len() - 1]);
    (a.min(b), a.max(b))
}

/// Takes a level from one ladder to the other, straight between rungs. The ends go to the ends exactly.
fn relevel(from: &[f64], to: &[f64], level: f64) -> f64 {
    let descending = from[0] > from[from.len() - 1];
    let beyond = |rung: f64| {
        if descending {
            level >= rung
        } else {
            level <= rung
        }
    };
    let next = (1..from.len() - 1)
        .find(|&i| beyond(from[i]))
        .unwrap_or(from.len() - 1);
    let t = (level - from[next - 1]) / (from[next] - from[next - 1]);
    if t >= 1.0 {
        to[next]
    } else {
        to[next - 1] + t * (to[next] - to[next - 1])
    }
}

/// Rows every [`STEP`] or so through the knots, along a smooth curve that never overshoots them.
fn rows(knots: &[(f64, f64, f64)]) -> Vec<(f64, f64, f64)> {
    let inner: Vec<_> = knots.iter().map(|k| (k.0, k.1)).collect();
    let outer: Vec<_> = knots.iter().map(|k| (k.0, k.2)).collect();
    let (top, bottom) = (knots[0].0, knots[knots.len() - 1].0);
    let count = ((bottom - top) / STEP).ceil();
    let mut levels: Vec<f64> = (0..=count as usize)
        .map(|i| top + (bottom - top) * i as f64 / count)
        .collect();
    levels.extend(knots.iter().map(|k| k.0));
    levels.sort_by(f64::total_cmp);
    levels.dedup_by(|a, b| (*a - *b).abs() < 0.5);
    let last = levels.len() - 1;
    levels[last] = bottom;
    levels
        .into_iter()
        .map(|y| (y, smooth(&inner, y), smooth(&outer, y)))
        .collect()
}
