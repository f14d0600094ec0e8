//! Where there is room in an area: the point farthest from recent use, again and again.

use rstar::RTree;

use super::{Area, Suggested, Wish, judged};
use crate::body::Patch;
use crate::marked::distance_cm;
use crate::plan::weeks::kept::{Figures, Kept};
use crate::rules::{Skin, navel_margin};
use crate::site::{Point, Site, Zone};
use crate::skin::Finding;

/// The grid of candidate points, in centimetres.
const STEP_CM: f64 = 0.5;
/// How far inside a border a candidate stays.
const INSET_CM: f64 = 0.5;

/// A point that could be used, and how much room it has.
struct Candidate {
    site: Site,
    /// Centimetres to the zone's border or a margin.
    border_cm: f64,
    /// Centimetres to the nearest injection still resting.
    recent_cm: f64,
}

/// Up to `count` clear sites in an area, each as far as can be from recent use, from those `taken` and from the ones
/// before it.
pub(super) fn clear_sites(
    area: &Area,
    wish: &Wish<'_>,
    skin: &Skin<'_>,
    count: usize,
    taken: &[Site],
) -> Vec<Suggested> {
    if count == 0 {
        return Vec::new();
    }
    let mut candidates = candidates(area, wish, skin);
    for site in taken.iter().filter(|s| s.zone == area.zone) {
        keep_away(&mut candidates, *site, wish.medicine.spacing_cm.value);
    }
    candidates.retain(|c| c.recent_cm >= wish.medicine.spacing_cm.value - 1e-9);
    let mut found = Vec::new();
    while found.len() < count {
        let Some(site) = roomiest(&candidates, wish) else {
            break;
        };
        let suggested = judged(site, wish, skin);
        if !suggested.reasons.is_empty() {
            // Spacing and margins hold by construction, so what is left is about the whole area.
            break;
        }
        found.push(suggested);
        keep_away(&mut candidates, site, wish.medicine.spacing_cm.value);
    }
    found
}

/// The least bad sites where none is clear: fewest and lightest reasons first, then the most room.
pub(super) fn least_bad(areas: &[Area], wish: &Wish<'_>, skin: &Skin<'_>) -> Vec<Suggested> {
    let mut found = Vec::new();
    for area in areas {
        let mut candidates = candidates(area, wish, skin);
        for _ in 0..wish.count {
            let Some(site) = roomiest(&candidates, wish) else {
                break;
            };
            found.push(judged(site, wish, skin));
            keep_away(&mut candidates, site, wish.medicine.spacing_cm.value);
        }
    }
    found.sort_by(|a, b| {
        let room = |s: &Suggested| s.nearest_cm.unwrap_or(f64::INFINITY);
        (a.verdict(), a.reasons.len())
            .cmp(&(b.verdict(), b.reasons.len()))
            .then(room(b).total_cmp(&room(a)))
    });
    found.truncate(wish.count);
    found
}

/// The candidate with the most room; of equals the one nearest the head, then nearest the midline's right.
fn roomiest(candidates: &[Candidate], wish: &Wish<'_>) -> Option<Site> {
    // Room near a border counts up to one spacing more than the border is away, so that a first site goes into open
    // skin rather than a corner. Rounded, so that equal room is equal on every machine.
    let spacing = wish.medicine.spacing_cm.value;
    let room = |c: &Candidate| (c.recent_cm.min(c.border_cm + spacing) * 1e6).round() as i64;
    candidates
        .iter()
        .min_by(|a, b| {
            let place = |c: &Candidate| {
                c.site.point.unwrap_or(Point {
                    across_cm: 0.0,
                    up_cm: 0.0,
                })
            };
            room(b)
                .cmp(&room(a))
                .then(place(b).up_cm.total_cmp(&place(a).up_cm))
                .then(place(a).across_cm.total_cmp(&place(b).across_cm))
        })
        .map(|c| c.site)
}

/// Takes a site: its neighbours are no longer candidates, and the others have less room.
fn keep_away(candidates: &mut Vec<Candidate>, site: Site, spacing_cm: f64) {
    let Some(taken) = site.point else { return };
    let apart = |c: &Candidate| c.site.point.map_or(0.0, |p| p.distance_cm(taken));
    candidates.retain(|c| apart(c) >= spacing_cm.max(STEP_CM) - 1e-9);
    for c in candidates.iter_mut() {
        c.recent_cm = c.recent_cm.min(apart(c));
    }
}

/// Every grid point of the area inside its borders and margins, with its distance to what still rests.
fn candidates(area: &Area, wish: &Wish<'_>, skin: &Skin<'_>) -> Vec<Candidate> {
    static KEPT: Kept<Vec<(Site, f64)>> = Kept::new();
    let patch = skin.body.patch(area.zone);
    let (navel_cm, _) = navel_margin(wish.medicine, skin);
    let mut figures = Figures::patch(patch);
    figures.quadrants(&area.quadrants);
    figures.findings(skin.findings, area.zone);
    figures.add(navel_cm);
    let grid = KEPT.of(figures, || grid(area, patch, navel_cm, skin.findings));
    let resting = Resting::of(area.zone, wish, skin);
    grid.iter()
        .filter_map(|(site, border_cm)| {
            Some(Candidate {
                site: *site,
                border_cm: *border_cm,
                recent_cm: resting.nearest(site.point?),
            })
        })
        .collect()
}

/// The grid points of an area, each with its distance to the nearest border, margin or finding.
fn grid(area: &Area, patch: &Patch, navel_cm: f64, findings: &[Finding]) -> Vec<(Site, f64)> {
    let marked: Vec<&Finding> = findings.iter().filter(|f| f.zone == area.zone).collect();
    let (min_across, min_up, max_across, max_up) = patch.bounds();
    let steps =
        |low: f64, high: f64| (low / STEP_CM).ceil() as i32..=(high / STEP_CM).floor() as i32;
    let mut found = Vec::new();
    for up in steps(min_up, max_up) {
        for across in steps(min_across, max_across) {
            let point = Point {
                across_cm: f64::from(across) * STEP_CM,
                up_cm: f64::from(up) * STEP_CM,
            };
            let quadrant = patch.quadrant_of(point);
            if !area.quadrants.contains(&quadrant) {
                continue;
            }
            let border_cm = marked
                .iter()
                .map(|f| distance_cm(f, point) - f.margin_cm.value)
                .fold(border(point, patch, navel_cm), f64::min);
            if border_cm < INSET_CM {
                continue;
            }
            let site = Site {
                zone: area.zone,
                quadrant,
                point: Some(point),
            };
            found.push((site, border_cm));
        }
    }
    found
}

/// Centimetres from a point to the nearest border or margin; negative outside.
fn border(point: Point, patch: &Patch, navel_cm: f64) -> f64 {
    if !patch.contains(point) {
        return -1.0;
    }
    let mut least = patch.border_cm(point);
    if patch.zone() == Zone::Abdomen {
        least = least.min(
            point.distance_cm(Point {
                across_cm: 0.0,
                up_cm: 0.0,
            }) - navel_cm,
        );
    }
    patch
        .margins()
        .iter()
        .fold(least, |l, m| l.min(m.distance_cm(point) - m.radius_cm))
}

/// What still rests in one zone.
struct Resting<'a> {
    points: RTree<[f64; 2]>,
    quadrants: Vec<&'a geo::Polygon<f64>>,
    others: Vec<Point>,
    other_cm: f64,
    spacing_cm: f64,
}

impl<'a> Resting<'a> {
    fn of(zone: Zone, wish: &Wish<'_>, skin: &Skin<'a>) -> Self {
        let general = &skin.book.general;
        let patch = skin.body.patch(zone);
        let mut this = Self {
            points: RTree::new(),
            quadrants: Vec::new(),
            others: Vec::new(),
            other_cm: general.other_medicine_cm.value,
            spacing_cm: wish.medicine.spacing_cm.value,
        };
        let mut placed = Vec::new();
        let mut unplaced = Vec::new();
        for past in skin
            .history
            .resting(wish.at, wish.medicine.point_rest_days.value)
        {
            if past.site.zone != zone {
                continue;
            }
            match past.site.point {
                Some(point) => placed.push([point.across_cm, point.up_cm]),
                None if !unplaced.contains(&past.site.quadrant) => {
                    unplaced.push(past.site.quadrant);
                }
                None => {}
            }
        }
        this.points = RTree::bulk_load(placed);
        this.quadrants = unplaced
            .into_iter()
            .map(|q| patch.quadrant_outline(q))
            .collect();
        for past in skin
            .history
            .resting(wish.at, general.other_medicine_days.value)
        {
            if past.site.zone == zone && past.class != wish.medicine.class {
                this.others.extend(past.site.point);
            }
        }
        this
    }

    /// Centimetres to the nearest of them; one known only to its quadrant counts from the quadrant's edge, and
    /// another medicine's counts as too close until its own distance is kept.
    fn nearest(&self, point: Point) -> f64 {
        use geo::{Distance, Euclidean};
        let here = geo::Point::new(point.across_cm, point.up_cm);
        let at = [point.across_cm, point.up_cm];
        let placed = self.points.nearest_neighbor(&at).map(|[x, y]| {
            let (across, up) = (x - at[0], y - at[1]);
            (across * across + up * up).sqrt()
        });
        let unplaced = self.quadrants.iter().map(|q| Euclidean.distance(&here, *q));
        let others = self.others.iter().map(|p| {
            let apart = p.distance_cm(point);
            if apart < self.other_cm {
                apart.min(self.spacing_cm * 0.5)
            } else {
                apart
            }
        });
        placed
            .into_iter()
            .chain(unplaced)
            .chain(others)
            .fold(f64::INFINITY, f64::min)
    }
}
