//! Which of an area's points is next: the clear one that has rested longest.

use super::points;
use crate::rules::{Proposal, Skin, check};
use crate::site::{Site, Zone};
use crate::suggest::{Area, Wish};

/// How much nearer than its spacing an injection must be to count as one at a point: recorded places are rounded.
const HERE: f64 = 0.9;

/// Where a wish stands in the pattern.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Turn {
    /// How many areas the pattern goes through.
    pub areas: usize,
    /// How many of them a week.
    pub a_week: usize,
    /// How often it has gone through all of them before.
    pub cycle: i64,
}

/// Up to `count` clear points of an area that also keep the spacing from those `taken`: the longest rested first, of
/// equals the first of the area's order, which begins one need later each time round so that spare points are used too.
pub(crate) fn clear(
    area: &Area,
    turn: Turn,
    wish: &Wish<'_>,
    skin: &Skin<'_>,
    taken: &[Site],
    count: usize,
) -> Vec<Site> {
    let points = points::of(area, (turn.areas, turn.a_week), wish, skin);
    if points.points.is_empty() || count == 0 {
        return Vec::new();
    }
    let patch = skin.body.patch(area.zone);
    // Both far below 2^32, whatever the order asks for.
    let whole = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
    let long = whole(points.points.len());
    let start = (turn.cycle.wrapping_mul(whole(points.need))).rem_euclid(long) as usize;
    let resting = resting(area.zone, wish, skin);
    let spacing = wish.medicine.spacing_cm.value - 1e-9;
    let mut waiting: Vec<(i64, Site)> = (0..points.points.len())
        .map(|n| points.points[(start + n) % points.points.len()])
        // Most points that are not clear are so for this, which is quicker seen than said in words.
        .filter(|point| resting.iter().all(|p| p.0.distance_cm(*point) >= spacing))
        .map(|point| {
            let near =
                |p: &&(crate::site::Point, i64)| p.0.distance_cm(point) < points.spacing_cm * HERE;
            let last = resting.iter().filter(near).map(|p| p.1).max();
            let site = Site {
                zone: area.zone,
                quadrant: patch.quadrant_of(point),
                point: Some(point),
            };
            (last.unwrap_or(i64::MIN), site)
        })
        .collect();
    // A stable sort: of equals the first of the order stays first.
    waiting.sort_by_key(|(last, _)| *last);
    let mut found: Vec<Site> = Vec::new();
    for (_, site) in waiting {
        let apart = |other: &Site| match (other.point, site.point) {
            (Some(a), Some(b)) if other.zone == site.zone => a.distance_cm(b) >= spacing,
            _ => true,
        };
        if !taken.iter().chain(&found).all(apart) {
            continue;
        }
        let proposal = Proposal {
            site,
            at: wish.at,
            medicine: wish.medicine,
            self_given: wish.self_given,
        };
        if check(&proposal, skin).is_empty() {
            found.push(site);
            if found.len() == count {
                break;
            }
        }
    }
    found
}

/// Points of one zone that still rest, each with the second it was used. No farther back than the medicine's rest: the
/// same answer from a month's record as from ten years'.
fn resting(zone: Zone, wish: &Wish<'_>, skin: &Skin<'_>) -> Vec<(crate::site::Point, i64)> {
    skin.history
        .resting(wish.at, wish.medicine.point_rest_days.value)
        .filter(|p| p.site.zone == zone)
        .filter_map(|p| Some((p.site.point?, p.given_at.timestamp())))
        .collect()
}
