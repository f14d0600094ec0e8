//! Allowed skin: a zone's patch without its margins, the navel's circle and what is marked on the skin.
//!
//! Curves are drawn from outside, so that no point of the result is nearer to anything than its margin. Not here:
//! how many sites the skin holds (`capacity`).

use geo::{Area, BooleanOps, LineString, MultiPolygon, Polygon, unary_union};

use crate::body::{Body, Patch};
use crate::marked::{SLACK_CM, around, ellipse, keep_off};
use crate::medicines::Medicine;
use crate::site::{Point, Quadrant, Zone};
use crate::skin::Finding;

/// Skin smaller than this is no skin; square centimetres. A needle's own mark is larger.
const CRUMB_CM2: f64 = 1e-3;

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
        excluded.extend(keep_off(finding));
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
