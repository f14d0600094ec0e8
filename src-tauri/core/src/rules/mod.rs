//! The check of a proposed site: one file a rule, each returning reasons.
//!
//! A verdict advises. It never blocks the recording of what happened, and it says what it cannot know.
//! Which part of the body the week's pattern is in matters to suggestions ([`crate::suggest`]), not to a verdict.

mod finding;
mod history;
mod interval;
mod navel_margin;
mod other_medicine;
mod outside;
mod point_rest;
mod reach;
mod running;
mod spacing;
mod zone_allowed;
mod zone_rest;

pub(crate) use history::day_number;
pub use history::{History, Past};
pub use interval::{Interval, SinceLast};
pub use running::side as side_of;

use chrono::{DateTime, FixedOffset};

use crate::body::Body;
use crate::medicines::{Book, Medicine};
use crate::site::{Point, Site};
use crate::skin::Finding;
use crate::words::{cm, days};

/// How much a reason weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Think, then decide.
    Caution,
    /// Another place is better; going on asks for a reason.
    Avoid,
}

impl Level {
    /// `caution` or `avoid`.
    pub fn code(self) -> &'static str {
        match self {
            Self::Caution => "caution",
            Self::Avoid => "avoid",
        }
    }
}

/// What a check says.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Verdict {
    /// No rule has anything against it.
    Clear,
    /// At least one caution.
    Caution,
    /// At least one avoid.
    Avoid,
}

impl Verdict {
    /// The worst level of the reasons; no reasons is clear.
    pub fn of(reasons: &[Reason]) -> Self {
        match reasons.iter().map(|r| r.level).max() {
            None => Self::Clear,
            Some(Level::Caution) => Self::Caution,
            Some(Level::Avoid) => Self::Avoid,
        }
    }

    /// `clear`, `caution` or `avoid`.
    pub fn code(self) -> &'static str {
        match self {
            Self::Clear => "clear",
            Self::Caution => "caution",
            Self::Avoid => "avoid",
        }
    }
}

/// What was measured: one value, or an interval where an entry is known only to the quadrant.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// The value, or the least it can be.
    pub low: f64,
    /// The most it can be, where it is an interval.
    pub high: Option<f64>,
}

impl Measured {
    /// One known value.
    pub fn exact(value: f64) -> Self {
        Self {
            low: value,
            high: None,
        }
    }
}

/// One reason of a verdict.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// The rule's name.
    pub rule: &'static str,
    /// How much it weighs.
    pub level: Level,
    /// The reason as one sentence.
    pub words: String,
    /// What was measured.
    pub measured: Option<Measured>,
    /// What it was held against.
    pub limit: Option<f64>,
    /// The unit of both: `cm` or `days`.
    pub unit: Option<&'static str>,
    /// Where the limit comes from.
    pub source: String,
    /// Ids of the earlier injections it is about.
    pub injections: Vec<String>,
    /// Ids of the findings it is about.
    pub findings: Vec<String>,
}

/// A proposed injection.
#[derive(Debug, Clone, Copy)]
pub struct Proposal<'a> {
    /// Where.
    pub site: Site,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Of what.
    pub medicine: &'a Medicine,
    /// Whether the person would give it themself.
    pub self_given: bool,
}

/// The skin it would go into.
#[derive(Debug, Clone, Copy)]
pub struct Skin<'a> {
    /// The person's body.
    pub body: &'a Body,
    /// What went into it before.
    pub history: &'a History,
    /// The medicines.
    pub book: &'a Book,
    /// The navel margin the practice chose, in centimetres.
    pub navel_margin_cm: f64,
    /// What is on the skin now.
    pub findings: &'a [Finding],
}

/// Checks a proposed site against every rule.
///
/// # Units
/// Distances in centimetres on the zone's patch; rest in days by the calendar of each entry's own offset.
/// # Returns
/// Reasons, the worst first; none means `clear`.
pub fn check(proposal: &Proposal<'_>, skin: &Skin<'_>) -> Vec<Reason> {
    let mut reasons = Vec::new();
    reasons.extend(zone_allowed::check(proposal));
    reasons.extend(outside::check(proposal, skin));
    reasons.extend(navel_margin::check(proposal, skin));
    reasons.extend(finding::check(proposal, skin));
    reasons.extend(spacing::check(proposal, skin));
    reasons.extend(point_rest::check(proposal, skin));
    reasons.extend(zone_rest::check(proposal, skin));
    reasons.extend(running::check(proposal, skin));
    reasons.extend(other_medicine::check(proposal, skin));
    reasons.extend(reach::check(proposal, skin));
    // A stable sort: within a level the order above, which is the order a person would ask in.
    reasons.sort_by_key(|r| std::cmp::Reverse(r.level));
    reasons
}

/// The navel margin in force for a medicine: the practice's choice, or the medicine's own where that is wider.
pub fn navel_margin(medicine: &Medicine, skin: &Skin<'_>) -> (f64, String) {
    match &medicine.navel_margin_cm {
        Some(own) if own.value > skin.navel_margin_cm => (own.value, own.source.clone()),
        _ => {
            let general = &skin.book.general;
            let source = general
                .navel_margins
                .iter()
                .find(|m| (m.value - skin.navel_margin_cm).abs() < 1e-9)
                .unwrap_or(&general.navel_margin_cm)
                .source
                .clone();
            (skin.navel_margin_cm, source)
        }
    }
}

/// Centimetres between two places of one zone: exact where both points are known, otherwise the least and the most
/// the distance can be. `None` for different zones, whose skin is not measured across.
#[inline]
pub fn distance(a: &Site, b: &Site, body: &Body) -> Option<Measured> {
    if a.zone != b.zone {
        return None;
    }
    Some(match (a.point, b.point) {
        (Some(p), Some(q)) => Measured::exact(p.distance_cm(q)),
        _ => between_quadrants(a, b, body),
    })
}

/// Centimetres between two points of one zone; `None` where it cannot be known.
#[inline]
pub(crate) fn exact_cm(a: &Site, b: &Site) -> Option<f64> {
    if a.zone != b.zone {
        return None;
    }
    Some(a.point?.distance_cm(b.point?))
}

/// The least and the most between two places of one zone of which one at least is known only to the quadrant.
fn between_quadrants(a: &Site, b: &Site, body: &Body) -> Measured {
    let patch = body.patch(a.zone);
    let (of_a, of_b) = (
        patch.quadrant_outline(a.quadrant),
        patch.quadrant_outline(b.quadrant),
    );
    match (a.point, b.point) {
        (Some(p), _) => from_point(p, of_b),
        (None, Some(q)) => from_point(q, of_a),
        (None, None) => {
            let corner = |c: &geo::Coord<f64>| Point {
                across_cm: c.x,
                up_cm: c.y,
            };
            let corners = of_a.exterior().coords();
            Measured {
                low: apart(of_a, of_b),
                high: Some(
                    corners
                        .map(|c| farthest_corner(corner(c), of_b))
                        .fold(0.0, f64::max),
                ),
            }
        }
    }
}

fn from_point(p: Point, quadrant: &geo::Polygon<f64>) -> Measured {
    use geo::{Distance, Euclidean};
    let low = Euclidean.distance(&geo::Point::new(p.across_cm, p.up_cm), quadrant);
    Measured {
        low,
        high: Some(farthest_corner(p, quadrant)),
    }
}

fn farthest_corner(p: Point, polygon: &geo::Polygon<f64>) -> f64 {
    polygon
        .exterior()
        .coords()
        .map(|c| (c.x - p.across_cm).hypot(c.y - p.up_cm))
        .fold(0.0, f64::max)
}

fn apart(a: &geo::Polygon<f64>, b: &geo::Polygon<f64>) -> f64 {
    use geo::{Distance, Euclidean};
    Euclidean.distance(a, b)
}

#[cfg(test)]
mod tests;
