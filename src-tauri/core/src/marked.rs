//! The skin a finding takes: its own, and what lies within its margin.
//!
//! Curves are drawn from outside, so that no point beyond a drawn edge is nearer than it seems. Not here: what a rule
//! makes of it ([`crate::rules`]), or what is left of a zone ([`crate::plan::allowed`]).

use std::f64::consts::{PI, TAU};

use geo::algorithm::buffer::{BufferStyle, LineCap, LineJoin};
use geo::bool_ops::FillRule;
use geo::{
    BooleanOps, Buffer, Contains, Distance, Euclidean, Intersects, LineString, MultiPolygon,
    Polygon, unary_union,
};

use crate::body::Patch;
use crate::site::{Point, Quadrant};
use crate::skin::{Finding, Place, Shape};

/// Sides of a circle: drawn around it, its corners are 0.2 % farther out than the circle.
pub(crate) const SIDES: u32 = 48;
/// Corners closer than this to the line between their neighbours are left out of a border; centimetres. Every margin is
/// widened by as much, so that none is given away.
pub(crate) const SLACK_CM: f64 = 1e-6;
/// A micrometre where there is no margin: a finding's own line is not skin.
const LEAST_MARGIN_CM: f64 = 1e-4;

/// The skin a place covers; nothing where a drawn line has no inside.
///
/// A line that crosses itself covers every part it goes round, whichever way round.
pub fn covered(place: &Place) -> MultiPolygon<f64> {
    match place.shape() {
        Shape::Ellipse {
            centre,
            half_across_cm,
            half_up_cm,
            turned_degrees,
        } => MultiPolygon(ellipse(
            *centre,
            *half_across_cm,
            *half_up_cm,
            *turned_degrees,
        )),
        Shape::Outline(points) => {
            let own = MultiPolygon::from(Polygon::new(closed(points), Vec::new()));
            own.union_with_fill_rule(&MultiPolygon::empty(), FillRule::NonZero)
        }
    }
}

/// The skin to stay off around a finding: its own and its margin. Pieces may overlap.
pub fn keep_off(finding: &Finding) -> Vec<Polygon<f64>> {
    let margin = finding.margin_cm.value.max(LEAST_MARGIN_CM);
    let own = covered(&finding.place);
    let rings: Vec<LineString<f64>> = match finding.place.shape() {
        Shape::Ellipse { .. } => own.iter().map(|p| p.exterior().clone()).collect(),
        Shape::Outline(points) => vec![closed(points)],
    };
    own.into_iter()
        .chain(rings.iter().flat_map(|r| around(r, margin)))
        .collect()
}

/// [`keep_off`] as one region, for drawing.
pub fn keep_off_region(finding: &Finding) -> MultiPolygon<f64> {
    unary_union(&keep_off(finding))
}

/// Centimetres from a point to a finding's edge; 0 inside it.
pub fn distance_cm(finding: &Finding, p: Point) -> f64 {
    let here = geo::Point::new(p.across_cm, p.up_cm);
    let own = covered(&finding.place);
    if own.contains(&here) {
        return 0.0;
    }
    match finding.place.shape() {
        Shape::Ellipse { .. } => own
            .iter()
            .map(|piece| Euclidean.distance(&here, piece))
            .fold(f64::INFINITY, f64::min),
        // Its line counts even where it goes round nothing.
        Shape::Outline(points) => Euclidean.distance(&here, &closed(points)),
    }
}

/// Whether a finding with its margin reaches into a quadrant, and whether it leaves nothing of it.
pub(crate) fn reaches(finding: &Finding, patch: &Patch, quadrant: Quadrant) -> Reach {
    use geo::Area;
    let outline = patch.quadrant_outline(quadrant);
    let off = keep_off_region(finding);
    if !off.intersects(outline) {
        return Reach::Not;
    }
    let left = MultiPolygon::from(outline.clone()).difference(&off);
    if left.unsigned_area() < 1e-3 {
        Reach::All
    } else {
        Reach::Part
    }
}

/// How much of a quadrant a finding takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Reach {
    /// None.
    Not,
    /// Some.
    Part,
    /// All.
    All,
}

/// A drawn line, closed from the last point to the first.
pub(crate) fn closed(points: &[Point]) -> LineString<f64> {
    let mut ring = LineString::from(
        points
            .iter()
            .map(|p| (p.across_cm, p.up_cm))
            .collect::<Vec<_>>(),
    );
    ring.close();
    ring
}

/// Everything nearer than `radius` to a line; nothing where the radius is nothing.
pub(crate) fn around(line: &LineString<f64>, radius: f64) -> Vec<Polygon<f64>> {
    let corners = line.0.windows(2).any(|w| w[0] != w[1]);
    if radius <= 0.0 || !radius.is_finite() {
        return Vec::new();
    }
    let Some(first) = line.0.first() else {
        return Vec::new();
    };
    if !corners {
        return ellipse(
            Point {
                across_cm: first.x,
                up_cm: first.y,
            },
            radius,
            radius,
            0.0,
        );
    }
    let step = TAU / f64::from(SIDES);
    // An arc's sides may turn out up to twice as long as asked for.
    let style = BufferStyle::new(radius / (step / 2.0).cos() + 2.0 * SLACK_CM)
        .line_join(LineJoin::Round(step / 2.0))
        .line_cap(LineCap::Round(step / 2.0));
    line.buffer_with_style(style).0
}

/// An ellipse drawn from outside; nothing where it has no size.
pub(crate) fn ellipse(
    centre: Point,
    half_across: f64,
    half_up: f64,
    turned_degrees: f64,
) -> Vec<Polygon<f64>> {
    let sized = |half: f64| half > 0.0 && half.is_finite();
    if !sized(half_across) || !sized(half_up) {
        return Vec::new();
    }
    let out = 1.0 / (PI / f64::from(SIDES)).cos();
    let (sin, cos) = turned_degrees.to_radians().sin_cos();
    let ring: Vec<_> = (0..SIDES)
        .map(|n| {
            let angle = TAU * f64::from(n) / f64::from(SIDES);
            let x = (half_across * out + 2.0 * SLACK_CM) * angle.cos();
            let y = (half_up * out + 2.0 * SLACK_CM) * angle.sin();
            (
                centre.across_cm + x * cos - y * sin,
                centre.up_cm + x * sin + y * cos,
            )
        })
        .collect();
    vec![Polygon::new(LineString::from(ring), Vec::new())]
}

#[cfg(test)]
mod tests {
    use geo::Area;

    use super::*;
    use crate::site::Zone;
    use crate::skin::{FindingKind, Noticed};

    fn at(across_cm: f64, up_cm: f64) -> Point {
        Point { across_cm, up_cm }
    }

    fn finding(kind: FindingKind, place: Place) -> Finding {
        Finding {
            id: "f".into(),
            kind,
            zone: Zone::Abdomen,
            place,
            margin_cm: kind.usual_margin().clone(),
            noticed: Noticed::Felt,
            feel: None,
            found_on: chrono::NaiveDate::default(),
        }
    }

    /// Distances to an ellipse of half axes 3 and 1 at (1, 2), turned by 30 degrees: made with shapely 2.2.0 as
    /// `rotate(scale(Point(0, 0).buffer(1, quad_segs=4096), 3, 1), 30)` moved there, `Point(x, y).distance(…)`; area
    /// `.area`.
    #[test]
    fn distances_to_an_ellipse_are_those_of_a_reference_library() {
        let place = Place::ellipse(at(1.0, 2.0), 3.0, 1.0, 30.0).unwrap();
        let area = covered(&place).unsigned_area();
        assert!((place.area_cm2() - 9.424_777).abs() < 1e-5);
        assert!(area > 9.424_777 && area < 9.424_777 * 1.005, "{area}");
        let lump = finding(FindingKind::Lump, place);
        for ((x, y), distance) in SHAPELY {
            let found = distance_cm(&lump, at(*x, *y));
            // Drawn from outside: at most as far as it is, and by no more than a hundredth of a centimetre less.
            assert!(
                found <= distance + 1e-6 && found > distance - 0.01,
                "({x}, {y}): {found}, not {distance}"
            );
        }
    }

    const SHAPELY: &[((f64, f64), f64)] = &[
        ((0.0, 0.0), 0.435_314),
        ((1.0, 2.0), 0.000_000),
        ((4.0, 4.0), 0.626_416),
        ((5.0, 1.0), 2.315_789),
        ((-3.0, -1.0), 2.040_515),
        ((1.0, 4.0), 0.784_316),
        ((2.5, 0.5), 1.064_106),
        ((10.0, 10.0), 9.111_523),
        ((-1.6, 0.5), 0.001_667),
        ((3.7, 3.4), 0.062_361),
    ];

    #[test]
    fn a_line_that_crosses_itself_covers_both_of_its_loops() {
        // A figure of eight: two triangles of 4 square centimetres that are gone round in opposite directions.
        let eight = [(-2.0, -2.0), (2.0, 2.0), (2.0, -2.0), (-2.0, 2.0)];
        for points in [
            eight.to_vec(),
            eight.iter().rev().copied().collect::<Vec<_>>(),
        ] {
            let place =
                Place::outline(points.into_iter().map(|(x, y)| at(x, y)).collect()).unwrap();
            assert!((covered(&place).unsigned_area() - 8.0).abs() < 1e-6);
            let lump = finding(FindingKind::Lump, place);
            assert!(distance_cm(&lump, at(1.5, 0.0)) < 1e-9);
            assert!(distance_cm(&lump, at(-1.5, 0.0)) < 1e-9);
            let above = distance_cm(&lump, at(0.0, 1.0));
            assert!((above - 0.5_f64.sqrt()).abs() < 1e-9, "{above}");
        }
    }

    #[test]
    fn the_margin_is_part_of_what_to_stay_off() {
        let sensor = finding(
            FindingKind::Sensor,
            Place::ellipse(at(6.0, 0.0), 1.5, 1.5, 0.0).unwrap(),
        );
        let off = keep_off_region(&sensor).unsigned_area();
        // A circle of 1.5 + 2.5 cm.
        let circle = PI * 16.0;
        assert!(off >= circle && off < circle * 1.01, "{off}");
        let flat = Place::outline(vec![at(0.0, 0.0), at(1.0, 0.0), at(2.0, 0.0)]).unwrap();
        assert!(!keep_off(&finding(FindingKind::Scar, flat)).is_empty());
    }
}
