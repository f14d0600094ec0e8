//! Capacity: how many separate sites a region holds at a spacing, found and proven.
//!
//! The found number comes with its sites: the best lattice (`lattice`), its rows slid to fit (`rows`), and more sites
//! pressed in along the edge (`press`). The ceiling is what no arrangement can exceed (`ceiling`). Deterministic. Not
//! here: which skin is allowed (`allowed`), or whether the capacity is enough (`room`).

use geo::{Distance, Euclidean, MultiPolygon};

use super::allowed::AllowedSkin;
use super::{ceiling, lattice, press, rows};
use crate::site::Point;

/// Sites are found for spacings in steps of a millimetre, the next one up: a hand does not place them finer, and
/// it makes a wider spacing never hold more than a narrower one.
pub const STEPS_PER_CM: f64 = 10.0;
/// Wider than any zone: no spacing beyond it is asked or said; centimetres.
pub const WIDEST_CM: f64 = 60.0;
/// Narrower spacings are taken as this; centimetres.
pub const NARROWEST_CM: f64 = 0.5;

/// How many sites a region holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Capacity {
    /// Where: all inside the region or on its edge, and at least the spacing apart.
    pub sites: Vec<Point>,
    /// How many they are.
    pub count: usize,
    /// More than this is impossible, proven.
    pub ceiling: usize,
}

/// The sites a region holds at a spacing.
///
/// # Units
/// Centimetres; the spacing is taken within [`NARROWEST_CM`] and [`WIDEST_CM`], and up to the next millimetre.
/// # Laws
/// `count <= ceiling`; never more at a wider spacing. Sites touch an edge or each other within 1e-6 cm.
pub fn capacity(region: &MultiPolygon<f64>, spacing_cm: f64) -> Capacity {
    capacity_beside(region, spacing_cm, &[])
}

/// The same where sites of a part of the region are known: never fewer than those of them that are at least the
/// spacing apart and inside, so that more skin never holds less.
pub fn capacity_beside(region: &MultiPolygon<f64>, spacing_cm: f64, known: &[Point]) -> Capacity {
    let mut step = (clamped(spacing_cm) * STEPS_PER_CM - 1e-9).ceil();
    let mut sites = found(region, step / STEPS_PER_CM);
    // Sites found at a wider spacing are sites at this one; look no further than the ceiling allows more of them.
    loop {
        step += 1.0;
        let wider = step / STEPS_PER_CM;
        if wider > WIDEST_CM || ceiling::crude(region, wider) <= sites.len() {
            break;
        }
        let more = found(region, wider);
        if more.len() > sites.len() {
            sites = more;
        }
    }
    let mut sites: Vec<Point> = sites
        .into_iter()
        .map(|(across_cm, up_cm)| Point { across_cm, up_cm })
        .collect();
    let keep = known_sites(region, clamped(spacing_cm), known);
    if keep.len() > sites.len() {
        sites = keep;
    }
    sites.sort_by(|a, b| {
        b.up_cm
            .total_cmp(&a.up_cm)
            .then(a.across_cm.total_cmp(&b.across_cm))
    });
    let count = sites.len();
    Capacity {
        sites,
        count,
        ceiling: ceiling::ceiling(region, clamped(spacing_cm)),
    }
}

/// The capacity of each of several skins; equal skins, such as a left and a right thigh without findings, are worked
/// out once.
pub fn capacities(skins: &[AllowedSkin], spacing_cm: f64) -> Vec<Capacity> {
    let mut found: Vec<Capacity> = Vec::with_capacity(skins.len());
    for (n, skin) in skins.iter().enumerate() {
        let same = skins[..n].iter().position(|s| s.region == skin.region);
        found.push(same.map_or_else(
            || capacity(&skin.region, spacing_cm),
            |at| found[at].clone(),
        ));
    }
    found
}

/// The plain hexagonal lattice alone, for comparison: how many sites its best turn and shift has inside.
pub fn plain_lattice(region: &MultiPolygon<f64>, spacing_cm: f64) -> usize {
    lattice::plain(region, clamped(spacing_cm)).map_or(0, |l| l.count)
}

fn clamped(spacing_cm: f64) -> f64 {
    if spacing_cm.is_nan() {
        WIDEST_CM
    } else {
        spacing_cm.clamp(NARROWEST_CM, WIDEST_CM)
    }
}

/// The best of the most promising turns, each in the three directions its rows can be seen in.
pub(super) fn found(region: &MultiPolygon<f64>, spacing: f64) -> Vec<(f64, f64)> {
    let turns = lattice::by_turn(region, spacing);
    let Some(most) = turns.first().map(|l| l.count) else {
        return Vec::new();
    };
    let effort = Effort::for_sites(most);
    let slid = |l: &lattice::Lattice| rows::slid(region, spacing, l);
    let seen_at = |l: &lattice::Lattice, more| {
        lattice::at_turn(region, spacing, l.degrees + more, l.pitch / spacing)
    };
    let mut arrangements: Vec<Vec<(f64, f64)>> = Vec::new();
    for turn in turns.iter().take(effort.turns) {
        let others = [60.0, 120.0]
            .into_iter()
            .filter_map(|more| seen_at(turn, more));
        let mut seen: Vec<_> = std::iter::once(*turn)
            .chain(others)
            .map(|l| (slid(&l), l))
            .collect();
        // A stable sort, here and below: of equals the first stays first, the same every time.
        seen.sort_by_key(|(sites, _)| std::cmp::Reverse(sites.len()));
        let beside = [-NUDGE, NUDGE]
            .into_iter()
            .filter_map(|more| seen_at(&seen[0].1, more));
        arrangements.extend(beside.map(|l| slid(&l)));
        arrangements.extend(seen.into_iter().map(|(sites, _)| sites));
    }
    arrangements.sort_by_key(|sites| std::cmp::Reverse(sites.len()));
    let best = arrangements.into_iter().take(effort.arrangements);
    let pressed = best.map(|sites| press::pressed(region, spacing, sites, effort.tries));
    pressed
        .reduce(|best, next| if next.len() > best.len() { next } else { best })
        .unwrap_or_default()
}

/// How far the best turns are turned once more; degrees.
const NUDGE: f64 = 1.0 / 3.0;

/// How much is tried: many sites take longer each time and gain less.
struct Effort {
    turns: usize,
    arrangements: usize,
    tries: usize,
}

impl Effort {
    fn for_sites(count: usize) -> Self {
        match count {
            0..=20 => Self {
                turns: 2,
                arrangements: 2,
                tries: 40,
            },
            21..=60 => Self {
                turns: 3,
                arrangements: 3,
                tries: 16,
            },
            61..=220 => Self {
                turns: 2,
                arrangements: 2,
                tries: 8,
            },
            _ => Self {
                turns: 2,
                arrangements: 1,
                tries: 4,
            },
        }
    }
}

/// Those that lie inside and keep the spacing to the ones before them.
fn known_sites(region: &MultiPolygon<f64>, spacing: f64, known: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    if region.0.is_empty() {
        return kept;
    }
    for site in known {
        let outside = Euclidean.distance(&geo::Point::new(site.across_cm, site.up_cm), region);
        if outside <= 1e-6 && kept.iter().all(|k| k.distance_cm(*site) >= spacing - 1e-6) {
            kept.push(*site);
        }
    }
    kept
}
