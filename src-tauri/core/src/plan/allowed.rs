//! Allowed skin: a zone's patch without its margins, the navel's circle and what is marked on the skin.
//!
//! Curves are drawn from outside, so that no point of the result is nearer to anything than its margin. Not here:
//! how many sites the skin holds (`capacity`).

use std::f64::consts::{PI, TAU};

use geo::algorithm::buffer::{BufferStyle, LineCap, LineJoin};
use geo::{Area, BooleanOps, Buffer, LineString, MultiPolygon, Polygon, unary_union};

use crate::body::{Body, Patch};
use crate::medicines::Medicine;
use crate::site::{Point, Quadrant, Zone};
use crate::skin::{Finding, Shape};

/// Sides of a circle: drawn around it, its corners are 0.2 % farther out than the circle.
const SIDES: u32 = 48;
/// Skin smaller than this is no skin; square centimetres. A needle's own mark is larger.
const CRUMB_CM2: f64 = 1e-3;
/// Corners closer than this to the line between their neighbours are left out; centimetres. Every margin is widened
/// by as much, so that none is given away.
const SLACK_CM: f64 = 1e-6;

/// The skin of one zone that a medicine may go into.
#[derive(Debug, Clone)]
pub struct AllowedSkin {
    /// The zone.
    pub zone: Zone,
    /// Where, on the zone's patch: `x` across, `y` up, centimetres. Empty where nothing is left.
    pub region: MultiPolygon<f64>,
    /// Its area in square centimetres.
    pub area_cm2: f64,
}

impl AllowedSkin {
    /// The part of it in one quadrant.
    pub fn quadrant(&self, patch: &Patch, quadrant: Quadrant) -> MultiPolygon<f64> {
        let (left, low, right, high) = patch.bounds();
        let (across, up) = (patch.cut_across_cm(), patch.cut_up_cm());
        let (x0, x1) = if quadrant.is_far() {
            (across, right + 1.0)
        } else {
            (left - 1.0, across)
        };
        let (y0, y1) = if quadrant.is_upper() {
            (up, high + 1.0)
        } else {
            (low - 1.0, up)
        };
        let ring = vec![(x0, y0), (x1, y0), (x1, y1), (x0, y1)];
        let quarter = Polygon::new(LineString::from(ring), Vec::new());
        if self.region.0.is_empty() || x1 <= x0 || y1 <= y0 {
            return MultiPolygon(Vec::new());
        }
        whole_pieces(self.region.intersection(&quarter))
    }
}

/// The skin a medicine may go into, for each of `zones` that it may go into at all, in the order given.
///
/// # Units
/// Centimetres on each zone's patch; `navel_margin_cm` is the practice's choice, and the medicine's own where wider.
/// # Returns
/// A zone the medicine may not go into is left out; one where nothing is left has an empty region and no area.
pub fn allowed(
    body: &Body,
    medicine: &Medicine,
    navel_margin_cm: f64,
    findings: &[Finding],
    zones: &[Zone],
) -> Vec<AllowedSkin> {
    let own = medicine.navel_margin_cm.as_ref().map_or(0.0, |m| m.value);
    zones
        .iter()
        .filter(|zone| medicine.zones.value.contains(zone))
        .map(|zone| allowed_in(body.patch(*zone), navel_margin_cm.max(own), findings))
        .collect()
}

/// The skin of one patch outside its margins, the navel's circle of this radius and the findings of its zone.
pub fn allowed_in(patch: &Patch, navel_cm: f64, findings: &[Finding]) -> AllowedSkin {
    let zone = patch.zone();
    let mut excluded: Vec<Polygon<f64>> = Vec::new();
    for margin in patch.margins() {
        excluded.extend(around(&margin.line, margin.radius_cm));
    }
    if zone == Zone::Abdomen {
        let navel = Point {
            across_cm: 0.0,
            up_cm: 0.0,
        };
        excluded.extend(ellipse(navel, navel_cm, navel_cm, 0.0));
    }
    for finding in findings.iter().filter(|f| f.zone == zone) {
        excluded.extend(covered(finding));
    }
    let whole = MultiPolygon::from(patch.outline().clone());
    let region = if excluded.is_empty() {
        whole
    } else {
        whole_pieces(whole.difference(&unary_union(&excluded)))
    };
    AllowedSkin {
        zone,
        area_cm2: region.unsigned_area(),
        region,
    }
}

/// A finding with its margin.
fn covered(finding: &Finding) -> Vec<Polygon<f64>> {
    // A micrometre where there is no margin: its own line is not skin.
    let margin = finding.margin_cm.value.max(1e-4);
    match finding.place.shape() {
        Shape::Ellipse {
            centre,
            half_across_cm,
            half_up_cm,
            turned_degrees,
        } => {
            let own = ellipse(*centre, *half_across_cm, *half_up_cm, *turned_degrees);
            let ring = own.first().map(|p| p.exterior().clone());
            own.into_iter()
                .chain(ring.into_iter().flat_map(|r| around(&r, margin)))
                .collect()
        }
        Shape::Outline(points) => {
            let mut ring = LineString::from(
                points
                    .iter()
                    .map(|p| (p.across_cm, p.up_cm))
                    .collect::<Vec<_>>(),
            );
            ring.close();
            let own = Polygon::new(ring.clone(), Vec::new());
            // The union cleans a line that crosses itself; one without an inside leaves only its margin.
            let mut parts = unary_union([&own]).0;
            parts.extend(around(&ring, margin));
            parts
        }
    }
}

/// Everything nearer than `radius` to a line; nothing where the radius is nothing.
fn around(line: &LineString<f64>, radius: f64) -> Vec<Polygon<f64>> {
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
fn ellipse(
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

/// The pieces large enough to hold a site, without corners that bend nothing.
fn whole_pieces(region: MultiPolygon<f64>) -> MultiPolygon<f64> {
    use geo::Simplify;
    let pieces = region
        .0
        .into_iter()
        .filter(|p| p.unsigned_area() > CRUMB_CM2);
    pieces
        .map(|p| p.simplify(SLACK_CM))
        .filter(|p| p.exterior().0.len() >= 4)
        .collect()
}
