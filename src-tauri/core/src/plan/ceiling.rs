//! The proven ceiling: no arrangement, however clever, holds more sites than this.
//!
//! Oler's bound holds for a convex piece: at most 2A/(√3 s²) + P/(2s) + 1 points with at least `s` between any two. A
//! region that is not convex is covered by convex pieces, and the smallest of these is taken:
//! - its convex hull, less the sites that fit into its holes farther than `s` from the region: those can be added to
//!   any arrangement in the region, and all of them together are still under the hull's bound;
//! - the sum over the region's separate pieces;
//! - the sum over the two sides of a cut through its deepest dent or through a hole, each side taken the same way.
//!
//! # Source
//! Oler N 1961, An inequality in the geometry of numbers, Acta Mathematica 105:19-48.

use geo::algorithm::winding_order::Winding;
use geo::{
    Area, BooleanOps, BoundingRect, ConvexHull, Coord, Distance, Euclidean, Length, LineString,
    MultiPolygon, Point, Polygon,
};

use super::capacity::found;
use super::field::TOUCH_CM;

/// How often a piece is cut again.
const DEPTH: u32 = 4;
/// Added before rounding down: sites touch edges within a ten-millionth of a centimetre.
const ROUNDING: f64 = 1e-6;

/// The most sites that any arrangement at this spacing can have.
pub(super) fn ceiling(region: &MultiPolygon<f64>, spacing: f64) -> usize {
    let pieces: Vec<&Polygon<f64>> = region
        .0
        .iter()
        .filter(|p| p.unsigned_area() > 0.0)
        .collect();
    let apart: usize = pieces.iter().map(|p| of_piece(p, spacing, DEPTH)).sum();
    if pieces.len() < 2 {
        return apart;
    }
    apart.min(of_hull(region, &region.convex_hull(), spacing))
}

/// The same from hulls alone: cruder, quick, and never more at a wider spacing.
pub(super) fn crude(region: &MultiPolygon<f64>, spacing: f64) -> usize {
    let pieces = region.0.iter().filter(|p| p.unsigned_area() > 0.0);
    let apart: usize = pieces.map(|p| oler(&p.convex_hull(), spacing)).sum();
    if region.0.len() < 2 {
        apart
    } else {
        apart.min(oler(&region.convex_hull(), spacing))
    }
}

/// Oler's bound on one convex polygon.
pub(super) fn oler(convex: &Polygon<f64>, spacing: f64) -> usize {
    let (area, around) = (convex.unsigned_area(), Euclidean.length(convex.exterior()));
    let bound = 2.0 * area / (3.0_f64.sqrt() * spacing * spacing) + around / (2.0 * spacing) + 1.0;
    (bound + ROUNDING).floor() as usize
}

fn of_piece(piece: &Polygon<f64>, spacing: f64, depth: u32) -> usize {
    let hull = piece.convex_hull();
    let lacking = hull.unsigned_area() - piece.unsigned_area();
    let whole = MultiPolygon::from(piece.clone());
    let bound = of_hull(&whole, &hull, spacing);
    // What the hull's bound counts too much is the most that can be gained; a cut costs at least one.
    if depth == 0 || lacking * 2.0 / 3.0_f64.sqrt() < spacing * spacing {
        return bound;
    }
    let crude = |sides: &[Polygon<f64>]| {
        sides
            .iter()
            .map(|p| oler(&p.convex_hull(), spacing))
            .sum::<usize>()
    };
    let best = cuts(piece, &hull)
        .into_iter()
        .map(|(through, along)| sides(&whole, through, along))
        .filter(|sides| sides.len() > 1)
        .min_by_key(|sides| crude(sides));
    match best {
        // A cut costs its own length; where that is more than the hull lacks, nothing is gained.
        Some(best) if crude(&best) <= bound => {
            bound.min(best.iter().map(|p| of_piece(p, spacing, depth - 1)).sum())
        }
        _ => bound,
    }
}

/// The hull's bound, less what fits into the region's holes out of its reach.
fn of_hull(region: &MultiPolygon<f64>, hull: &Polygon<f64>, spacing: f64) -> usize {
    let holes = region.0.iter().flat_map(Polygon::interiors);
    // Two holes may lie closer together than the spacing, and so may their sites: only one of each such pair counts.
    let mut counted: Vec<Polygon<f64>> = Vec::new();
    let mut added = 0;
    for hole in holes {
        let Some(rest) = out_of_reach(hole, spacing) else {
            continue;
        };
        if counted
            .iter()
            .all(|c| Euclidean.distance(c, &rest) >= spacing)
        {
            added += found(&MultiPolygon::from(rest.clone()), spacing).len();
            counted.push(rest);
        }
    }
    let bound = oler(hull, spacing);
    bound - added.min(bound)
}

/// A part of a hole no point of which is nearer than `reach` to its edge; `None` where there is none.
///
/// What lies so far on the inner side of every edge's line. For a convex hole that is all there is.
fn out_of_reach(hole: &LineString<f64>, reach: f64) -> Option<Polygon<f64>> {
    let rect = hole.bounding_rect()?;
    if rect.width().min(rect.height()) < 2.0 * reach {
        return None;
    }
    // Wide enough that rounding brings nothing into reach.
    let reach = reach + 4.0 * TOUCH_CM;
    let inner = if hole.is_ccw() { 1.0 } else { -1.0 };
    let mut ring: Vec<Coord<f64>> = rect.to_polygon().exterior().0[..4].to_vec();
    for edge in hole.lines().filter(|l| l.start != l.end) {
        let length = edge.dx().hypot(edge.dy());
        let into = |c: &Coord<f64>| {
            let away = edge.dx() * (c.y - edge.start.y) - edge.dy() * (c.x - edge.start.x);
            inner * away / length - reach
        };
        let mut cut = Vec::with_capacity(ring.len() + 1);
        for (n, here) in ring.iter().enumerate() {
            let next = &ring[(n + 1) % ring.len()];
            let (a, b) = (into(here), into(next));
            if a >= 0.0 {
                cut.push(*here);
            }
            if (a < 0.0) != (b < 0.0) {
                cut.push(*here + (*next - *here) * (a / (a - b)));
            }
        }
        ring = cut;
        if ring.len() < 3 {
            return None;
        }
    }
    let rest = Polygon::new(LineString(ring), Vec::new());
    (rest.unsigned_area() > 1e-9).then_some(rest)
}

/// Lines worth cutting along: a point and a direction each.
fn cuts(piece: &Polygon<f64>, hull: &Polygon<f64>) -> Vec<(Coord<f64>, Coord<f64>)> {
    let mut found = Vec::new();
    let ring = &piece.exterior().0;
    let depth = |c: &Coord<f64>| Euclidean.distance(&Point::from(*c), hull.exterior());
    let deepest = ring
        .iter()
        .enumerate()
        .max_by(|a, b| depth(a.1).total_cmp(&depth(b.1)));
    if let Some((at, corner)) = deepest.filter(|(_, c)| depth(c) > 1e-3) {
        let last = ring.len() - 1;
        let neighbours = [
            ring[if at == 0 { last - 1 } else { at - 1 }],
            ring[if at == last { 1 } else { at + 1 }],
        ];
        found.extend(neighbours.map(|n| (*corner, n - *corner)));
        let bridge = hull.exterior().lines().min_by(|a, b| {
            let away = |l: &geo::Line<f64>| Euclidean.distance(&Point::from(*corner), l);
            away(a).total_cmp(&away(b))
        });
        found.extend(bridge.map(|b| {
            (
                *corner,
                Coord {
                    x: -b.dy(),
                    y: b.dx(),
                },
            )
        }));
    }
    for hole in piece.interiors() {
        if let Some(rect) = hole.bounding_rect() {
            found.push((rect.center(), Coord { x: 1.0, y: 0.0 }));
            found.push((rect.center(), Coord { x: 0.0, y: 1.0 }));
        }
    }
    found
}

/// The pieces of a region on either side of a line.
fn sides(region: &MultiPolygon<f64>, through: Coord<f64>, along: Coord<f64>) -> Vec<Polygon<f64>> {
    let length = along.x.hypot(along.y);
    let Some(rect) = region.bounding_rect().filter(|_| length > 1e-9) else {
        return Vec::new();
    };
    let far = 2.0 * (rect.width() + rect.height());
    let (along, up) = (
        along * (far / length),
        Coord {
            x: -along.y,
            y: along.x,
        } * (far / length),
    );
    let half = |up: Coord<f64>| {
        let ring = vec![
            through - along,
            through + along,
            through + along + up,
            through - along + up,
        ];
        region.intersection(&Polygon::new(LineString(ring), Vec::new()))
    };
    let both = [half(up), half(up * -1.0)];
    let kept: f64 = both.iter().map(Area::unsigned_area).sum();
    // A cut that lost skin proves nothing.
    if (kept - region.unsigned_area()).abs() > 1e-6 * region.unsigned_area() {
        return Vec::new();
    }
    both.into_iter()
        .flat_map(|h| h.0)
        .filter(|p| p.unsigned_area() > 0.0)
        .collect()
}
