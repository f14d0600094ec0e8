//! The fixed points of one area of the pattern, and the order they are used in.
//!
//! They lie as far apart as the treatment's demand lets them, so that a hand that misses still keeps the spacing.
//! Not here: which of them is next ([`super::next`]).

use geo::algorithm::buffer::{BufferStyle, LineJoin};
use geo::{
    Area as _, BooleanOps, Buffer, Euclidean, Length, LineString, LinesIter, MapCoords,
    MultiPolygon, Orient, Polygon, orient::Direction,
};

use super::kept::{Figures, Kept};
use crate::body::Patch;
use crate::plan::allowed::allowed_in;
use crate::plan::capacity::{STEPS_PER_CM, found};
use crate::plan::hand::COMFORT_CM;
use crate::rules::{Skin, navel_margin};
use crate::site::{Point, Quadrant, Zone};
use crate::suggest::{Area, Wish};

/// How far inside every border and margin a point stays, so that rounding never puts it outside; centimetres.
const INSET_CM: f64 = 0.02;
/// Spacings tried, in steps of a fifth of a millimetre; of a millimetre where few sites leave them far apart anyway.
const STEP_CM: f64 = 0.02;
const FEW_STEP_CM: f64 = 0.1;
const FEW: usize = 20;
/// Where the upper or the lower part of a zone is smaller than this share of the other, it keeps its skin up to the cut
/// between them and the other stays a whole spacing away: the smaller one is what limits the treatment.
const UNEVEN: f64 = 0.85;
/// No wider than this, where a few injections a week would spread over a whole zone; centimetres. Points farther
/// apart gain nothing and leave skin unused.
const WIDEST_CM: f64 = 4.0;
/// What is found of the spacing that [`packed_cm`] tells, about; measured on the zones of the reference adult.
const FOUND_OF_PACKED: f64 = 0.9;
/// Coordinates are rounded to this part of a centimetre, so that a body and its mirror image give the same figures.
const ROUND: f64 = 1e6;

/// The points of one area.
#[derive(Debug, Clone, PartialEq)]
pub struct AreaPoints {
    /// Centimetres between any two of them, and between them and those of a neighbouring area.
    pub spacing_cm: f64,
    /// The points in the order they are used: neighbours in time are not neighbours in space.
    pub points: Vec<Point>,
    /// How many the treatment needs here.
    pub need: usize,
}

impl AreaPoints {
    /// Whether there are as many as the treatment needs.
    pub fn is_enough(&self) -> bool {
        self.points.len() >= self.need
    }
}

/// Sites one area must hold, of how many and how many a week: its share of all that rest at once, and no fewer than its
/// share of one week's.
pub(super) fn need(per_day: f64, rest_days: f64, (areas, a_week): (usize, usize)) -> usize {
    let per_day = if per_day.is_finite() {
        per_day.clamp(0.0, 1e4)
    } else {
        1.0
    };
    let share = per_day * rest_days.max(0.0) / areas.max(1) as f64;
    let of_week = per_day * 7.0 / a_week.max(1) as f64;
    ((share.max(of_week) - 1e-9).ceil() as usize).max(1)
}

/// The points of an area for a wish, in a pattern of so many areas, so many a week.
pub(super) fn of(
    area: &Area,
    areas: (usize, usize),
    wish: &Wish<'_>,
    skin: &Skin<'_>,
) -> std::sync::Arc<AreaPoints> {
    static KEPT: Kept<AreaPoints> = Kept::new();
    let patch = skin.body.patch(area.zone);
    let (navel_cm, _) = navel_margin(wish.medicine, skin);
    let least_cm = wish.medicine.spacing_cm.value;
    let need = need(wish.per_day, wish.medicine.point_rest_days.value, areas);
    let mut figures = Figures::patch(patch);
    figures.quadrants(&area.quadrants);
    figures.findings(skin.findings, area.zone);
    for figure in [navel_cm, least_cm, need as f64] {
        figures.add(figure);
    }
    KEPT.of(figures, || {
        let allowed = inset(&allowed_in(patch, navel_cm, skin.findings).region);
        work_out(area, patch, &allowed, least_cm, need)
    })
}

fn work_out(
    area: &Area,
    patch: &Patch,
    allowed: &MultiPolygon<f64>,
    least_cm: f64,
    need: usize,
) -> AreaPoints {
    static KEPT: Kept<(f64, Vec<Point>)> = Kept::new();
    // The right side of the abdomen is the mirror image of the left where their skin is, so that both come out alike.
    let right = area.zone == Zone::Abdomen && area.quadrants.iter().all(|q| !q.is_far());
    let mirrored = right && patch.cut_across_cm().abs() < 1e-9 && is_its_mirror(allowed);
    let quadrants = area
        .quadrants
        .iter()
        .map(|q| area.zone.quadrant_at(q.is_upper(), true));
    let left = Area {
        zone: area.zone,
        quadrants: quadrants.collect(),
    };
    let area = if mirrored { &left } else { area };
    let part = |spacing: f64| part(allowed, area, patch, spacing);
    let sites = |spacing: f64| sites(&tidied(&part(spacing)), spacing);
    let whole = tidied(&part(least_cm));
    let hint_cm = packed_cm(&whole, need);
    // Both sides have the same skin unless something sets them apart, and one of them is enough work.
    let mut figures = Figures::default();
    for line in whole.lines_iter() {
        for figure in [line.start.x, line.start.y, line.end.x, line.end.y] {
            figures.add(figure);
        }
    }
    for figure in [least_cm, need as f64, patch.cut_up_cm()] {
        figures.add(figure);
    }
    let found = KEPT.of(figures, || {
        let (spacing_cm, points) = widest(least_cm, hint_cm, need, sites);
        (spacing_cm, in_turn(points))
    });
    let (spacing_cm, points) = (found.0, found.1.clone());
    let back = |p: Point| {
        if mirrored {
            Point {
                across_cm: -p.across_cm,
                ..p
            }
        } else {
            p
        }
    };
    AreaPoints {
        spacing_cm,
        points: points.into_iter().map(back).collect(),
        need,
    }
}

/// How many areas a week has: one, or the fewest that leave [`COMFORT_CM`] between points, or as many as make it widest;
/// never so many that an area comes up again before its points have rested.
pub(crate) fn areas_a_week(areas: &[Area], wish: &Wish<'_>, skin: &Skin<'_>) -> usize {
    let rest_weeks = (wish.medicine.point_rest_days.value / 7.0).ceil().max(1.0);
    let most = (areas.len() / rest_weeks as usize).max(1);
    let enough_cm = wish.medicine.spacing_cm.value + COMFORT_CM;
    let mut best = (1, 0.0);
    for a_week in 1..=most {
        let need = need(
            wish.per_day,
            wish.medicine.point_rest_days.value,
            (areas.len(), a_week),
        );
        let narrowest = areas
            .iter()
            .map(|area| expected_cm(area, need, wish, skin))
            .fold(f64::INFINITY, f64::min);
        if narrowest > best.1 + STEP_CM {
            best = (a_week, narrowest);
        }
        if narrowest >= enough_cm {
            break;
        }
    }
    best.0
}

/// About the spacing this many points will have in an area: looked up, because it is asked of every area each time.
fn expected_cm(area: &Area, need: usize, wish: &Wish<'_>, skin: &Skin<'_>) -> f64 {
    static KEPT: Kept<MultiPolygon<f64>> = Kept::new();
    let patch = skin.body.patch(area.zone);
    let (navel_cm, _) = navel_margin(wish.medicine, skin);
    let least_cm = wish.medicine.spacing_cm.value;
    let mut figures = Figures::patch(patch);
    figures.quadrants(&area.quadrants);
    figures.findings(skin.findings, area.zone);
    figures.add(navel_cm);
    figures.add(least_cm);
    let left = KEPT.of(figures, || {
        part(
            &allowed_in(patch, navel_cm, skin.findings).region,
            area,
            patch,
            least_cm,
        )
    });
    FOUND_OF_PACKED * packed_cm(&left, need)
}

/// About the widest spacing this many sites could have on skin of one piece (Oler 1961); where to look first.
fn packed_cm(region: &MultiPolygon<f64>, need: usize) -> f64 {
    let edge: f64 = region
        .0
        .iter()
        .map(|p| Euclidean.length(p.exterior()))
        .sum();
    let area = region.unsigned_area();
    // 2A/(sqrt(3) s^2) + P/(2s) + 1 = need, solved for 1/s.
    let (a, b, c) = (2.0 * area / 3.0_f64.sqrt(), edge / 2.0, 1.0 - need as f64);
    let inverse = (-b + (b * b - 4.0 * a * c).max(0.0).sqrt()) / (2.0 * a);
    if inverse > 0.0 && inverse.is_finite() {
        1.0 / inverse
    } else {
        WIDEST_CM
    }
}

/// The widest spacing at which there are as many sites as needed, or the least one; and the sites. Looked for below
/// `hint_cm`, which no spacing exceeds by much.
fn widest(
    least_cm: f64,
    hint_cm: f64,
    need: usize,
    sites: impl Fn(f64) -> Vec<Point>,
) -> (f64, Vec<Point>) {
    let size = if need <= FEW { FEW_STEP_CM } else { STEP_CM };
    let at = |step: usize| least_cm + size * step as f64;
    let step = |cm: f64| ((cm.min(WIDEST_CM) - least_cm) / size).floor().max(0.0) as usize;
    let mut too_wide = step(hint_cm) + 1;
    // Three first looks, each well below the one before, then halving between.
    let (mut fits, mut best) = (0, None);
    for share in [0.88, 0.75, 0.6] {
        let tried = step(hint_cm * share);
        if tried == 0 || tried >= too_wide {
            break;
        }
        let found = sites(at(tried));
        if found.len() >= need {
            (fits, best) = (tried, Some(found));
            break;
        }
        too_wide = tried;
    }
    let mut best = best.unwrap_or_else(|| sites(least_cm));
    if best.len() < need {
        return (least_cm, best);
    }
    while too_wide - fits > 1 {
        let middle = usize::midpoint(fits, too_wide);
        let found = sites(at(middle));
        if found.len() >= need {
            (fits, best) = (middle, found);
        } else {
            too_wide = middle;
        }
    }
    (at(fits), best)
}

/// Sites at exactly this spacing or a hair more. Capacity looks at whole millimetres, so the region is scaled to one.
fn sites(region: &MultiPolygon<f64>, spacing: f64) -> Vec<Point> {
    if region.0.is_empty() {
        return Vec::new();
    }
    let whole = (spacing * STEPS_PER_CM - 1e-9).ceil().max(10.0) / STEPS_PER_CM;
    // A hair less than the whole millimetre, because found sites may touch within a thousandth of that.
    let scale = (whole - 1e-5) / spacing;
    let scaled = region.map_coords(|c| geo::coord! { x: c.x * scale, y: c.y * scale });
    let mut sites: Vec<Point> = found(&scaled, whole)
        .into_iter()
        .map(|(x, y)| Point {
            across_cm: x / scale,
            up_cm: y / scale,
        })
        .collect();
    sites.sort_by(|a, b| {
        b.up_cm
            .total_cmp(&a.up_cm)
            .then(a.across_cm.total_cmp(&b.across_cm))
    });
    sites
}

/// The part of the skin in an area, so far from the cuts that sites beyond them keep the spacing.
fn part(region: &MultiPolygon<f64>, area: &Area, patch: &Patch, spacing: f64) -> MultiPolygon<f64> {
    let (across, up) = (patch.cut_across_cm(), patch.cut_up_cm());
    let any = |test: &dyn Fn(&Quadrant) -> bool| area.quadrants.iter().any(test);
    let (near, far) = (any(&|q| !q.is_far()), any(&|q| q.is_far()));
    let (lower, upper) = (any(&|q| !q.is_upper()), any(&|q| q.is_upper()));
    let (left, low, right, high) = patch.bounds();
    let all = (left - 1.0, low - 1.0, right + 1.0, high + 1.0);
    let above = boxed(region, (all.0, up, all.2, all.3)).unsigned_area();
    let below = boxed(region, (all.0, all.1, all.2, up)).unsigned_area();
    let from_below = match () {
        () if above < below * UNEVEN => 0.0,
        () if below < above * UNEVEN => spacing,
        () => spacing / 2.0,
    };
    let half = spacing / 2.0;
    let x0 = if near { all.0 } else { across + half };
    let x1 = if far { all.2 } else { across - half };
    let y0 = if lower { all.1 } else { up + from_below };
    let y1 = if upper {
        all.3
    } else {
        up - (spacing - from_below)
    };
    boxed(region, (x0, y0, x1, y1))
}

/// What of a region lies between two corners.
fn boxed(region: &MultiPolygon<f64>, (x0, y0, x1, y1): (f64, f64, f64, f64)) -> MultiPolygon<f64> {
    if region.0.is_empty() || x1 <= x0 || y1 <= y0 {
        return MultiPolygon(Vec::new());
    }
    let ring = vec![(x0, y0), (x1, y0), (x1, y1), (x0, y1)];
    region.intersection(&Polygon::new(LineString::from(ring), Vec::new()))
}

fn inset(region: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    if region.0.is_empty() {
        return MultiPolygon(Vec::new());
    }
    region.buffer_with_style(BufferStyle::new(-INSET_CM).line_join(LineJoin::Miter(1.5)))
}

/// Whether a region is its own mirror image, but for slivers thinner than the inset.
fn is_its_mirror(region: &MultiPolygon<f64>) -> bool {
    let mirror = region.map_coords(|c| geo::coord! { x: -c.x, y: c.y });
    region.xor(&mirror).unsigned_area() < INSET_CM / 10.0
}

/// The same region with its corners rounded and its rings beginning at the same corner whichever way it was made.
fn tidied(region: &MultiPolygon<f64>) -> MultiPolygon<f64> {
    let rounded = region.map_coords(|c| {
        geo::coord! {
            x: (c.x * ROUND).round() / ROUND + 0.0, y: (c.y * ROUND).round() / ROUND + 0.0
        }
    });
    let ring = |r: &LineString<f64>| {
        let mut corners: Vec<_> = r.0.iter().skip(1).copied().collect();
        corners.dedup();
        let key = |c: &geo::Coord<f64>| (c.x, c.y);
        let first = (0..corners.len()).min_by(|a, b| {
            let (a, b) = (key(&corners[*a]), key(&corners[*b]));
            a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
        });
        corners.rotate_left(first.unwrap_or(0));
        let mut line = LineString::from(corners);
        line.close();
        line
    };
    let mut pieces: Vec<Polygon<f64>> = rounded
        .orient(Direction::Default)
        .0
        .iter()
        .map(|p| Polygon::new(ring(p.exterior()), p.interiors().iter().map(ring).collect()))
        .collect();
    let corner = |p: &Polygon<f64>| p.exterior().0.first().map_or((0.0, 0.0), |c| (c.x, c.y));
    pieces.sort_by(|a, b| {
        let (a, b) = (corner(a), corner(b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    MultiPolygon(pieces)
}

/// An order in which each point is as far as can be from the last few.
fn in_turn(mut rest: Vec<Point>) -> Vec<Point> {
    let few = (rest.len() / 4).clamp(1, 8);
    let mut order: Vec<Point> = Vec::with_capacity(rest.len());
    while !rest.is_empty() {
        let last = &order[order.len().saturating_sub(few)..];
        // Rounded, so that equal distances are equal on every machine; of equals the first, which is the highest.
        let room = |p: &Point| {
            let nearest = last
                .iter()
                .map(|l| l.distance_cm(*p))
                .fold(f64::INFINITY, f64::min);
            (nearest * 1e6).round() as i64
        };
        let next = (0..rest.len()).min_by_key(|i| (std::cmp::Reverse(room(&rest[*i])), *i));
        order.push(rest.remove(next.unwrap_or(0)));
    }
    order
}
