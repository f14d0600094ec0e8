//! A site in words, so that a finger can find it, and the lengths and days that sentences hold.
//!
//! Left and right are the person's. Not here: doses, times and verdicts in words.

use crate::body::Patch;
use crate::site::{Point, Quadrant, Side, Site, Zone};
use crate::skin::Place;

/// A length in centimetres for a sentence: `0.6 cm`, to a tenth, no trailing zero.
pub fn cm(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0;
    format!("{rounded} cm")
}

/// Days for a sentence: `1 day`, `3 days`.
pub fn days(n: i64) -> String {
    if n == 1 {
        "1 day".to_owned()
    } else {
        format!("{n} days")
    }
}

/// A quadrant of a zone: `Abdomen, left lower quadrant`.
pub fn quadrant(zone: Zone, quadrant: Quadrant) -> String {
    format!("{}, {}", zone.words(), quadrant.words())
}

/// Whom the words are for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Listener {
    /// The record and other people: `to the person's left`.
    Record,
    /// The person: `to your left`.
    Patient,
}

/// A site in words: where it is, and how far from the landmark in centimetres to a tenth.
///
/// # Examples
/// `Abdomen, left lower quadrant: 5.5 cm to the person's left of the navel, 3 cm below it`;
/// `Left thigh, upper outer quadrant: 22 cm above the upper edge of the kneecap, 4 cm outwards from the front midline`;
/// `Abdomen, left lower quadrant (exact point not recorded)`.
pub fn site(site: &Site, spoken_to: Listener) -> String {
    let place = quadrant(site.zone, site.quadrant);
    let Some(point) = site.point else {
        return format!("{place} (exact point not recorded)");
    };
    let offsets = match site.zone {
        Zone::Abdomen => from_navel(point, spoken_to),
        Zone::LeftThigh | Zone::RightThigh => {
            on_limb(point, "the upper edge of the kneecap", "the front midline")
        }
        Zone::LeftArm | Zone::RightArm => {
            on_limb(point, "the tip of the elbow", "the back midline")
        }
        Zone::LeftButtock | Zone::RightButtock => from_hip_bone(point),
    };
    format!("{place}: {offsets}")
}

/// Where a finding lies and how large it is: the words of its middle, then `24 mm by 18 mm`.
pub fn finding_place(patch: &Patch, place: &Place) -> String {
    let centre = place.centre();
    let middle = Site {
        zone: patch.zone(),
        quadrant: patch.quadrant_of(centre),
        point: Some(centre),
    };
    let (long, short) = place.axes_mm();
    format!(
        "{}; {}",
        site(&middle, Listener::Record),
        millimetres(long, short)
    )
}

/// `24 mm by 18 mm`; one number where both round to the same.
pub fn millimetres(long: f64, short: f64) -> String {
    let (long, short) = (format!("{long:.0} mm"), format!("{short:.0} mm"));
    if long == short {
        long
    } else {
        format!("{long} by {short}")
    }
}

fn from_navel(p: Point, spoken_to: Listener) -> String {
    let whose = match spoken_to {
        Listener::Record => "the person's",
        Listener::Patient => "your",
    };
    let side = if p.across_cm > 0.0 {
        Side::Left
    } else {
        Side::Right
    };
    match (length(p.across_cm), length(p.up_cm)) {
        (None, None) => "at the navel".to_owned(),
        (None, Some(up)) => format!("{up} straight {} the navel", level(p)),
        (Some(across), None) => format!(
            "{across} to {whose} {} of the navel, level with it",
            side.word()
        ),
        (Some(across), Some(up)) => format!(
            "{across} to {whose} {} of the navel, {up} {} it",
            side.word(),
            level(p)
        ),
    }
}

/// On a limb the landmark gives the height and a midline the way round.
fn on_limb(p: Point, landmark: &str, midline: &str) -> String {
    let height = length(p.up_cm).map_or_else(
        || format!("level with {landmark}"),
        |up| format!("{up} {} {landmark}", level(p)),
    );
    match length(p.across_cm) {
        None => format!("{height}, on {midline}"),
        Some(across) => format!("{height}, {across} {} from {midline}", way(p)),
    }
}

fn from_hip_bone(p: Point) -> String {
    let landmark = "the top of the hip bone at the side";
    match (length(p.across_cm), length(p.up_cm)) {
        (None, None) => format!("at {landmark}"),
        (None, Some(up)) => format!("{up} straight {} {landmark}", level(p)),
        (Some(across), None) => format!("level with {landmark}, {across} {} from it", way(p)),
        (Some(across), Some(up)) => {
            format!("{up} {} {landmark}, {across} {} from it", level(p), way(p))
        }
    }
}

fn level(p: Point) -> &'static str {
    if p.up_cm > 0.0 { "above" } else { "below" }
}

fn way(p: Point) -> &'static str {
    if p.across_cm > 0.0 {
        "outwards"
    } else {
        "inwards"
    }
}

/// A distance without its sign, to a tenth, with no trailing zero: `5.5 cm`, `3 cm`; `None` where it rounds to
/// nothing.
fn length(value: f64) -> Option<String> {
    // Less than half a millimetre is level.
    ((value.abs() * 10.0).round() > 0.0).then(|| cm(value.abs()))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(zone: Zone, quadrant: Quadrant, at: Option<(f64, f64)>, expected: &str) {
        let point = at.map(|(across_cm, up_cm)| Point { across_cm, up_cm });
        assert_eq!(
            site(
                &Site {
                    zone,
                    quadrant,
                    point
                },
                Listener::Record
            ),
            expected
        );
    }

    #[test]
    fn a_site_is_told_from_its_landmark() {
        use Quadrant::{
            LeftLower, LeftUpper, LowerInner, LowerOuter, RightUpper, UpperInner, UpperOuter,
        };
        for (zone, quadrant, at, expected) in [
            (
                Zone::Abdomen,
                LeftLower,
                Some((5.5, -3.0)),
                "Abdomen, left lower quadrant: 5.5 cm to the person's left of the navel, 3 cm below it",
            ),
            (
                Zone::Abdomen,
                RightUpper,
                Some((-4.04, 2.96)),
                "Abdomen, right upper quadrant: 4 cm to the person's right of the navel, 3 cm above it",
            ),
            (
                Zone::Abdomen,
                LeftLower,
                None,
                "Abdomen, left lower quadrant (exact point not recorded)",
            ),
            (
                Zone::Abdomen,
                LeftUpper,
                Some((6.0, 0.04)),
                "Abdomen, left upper quadrant: 6 cm to the person's left of the navel, level with it",
            ),
            (
                Zone::Abdomen,
                LeftLower,
                Some((0.0, -7.25)),
                "Abdomen, left lower quadrant: 7.3 cm straight below the navel",
            ),
            (
                Zone::Abdomen,
                LeftUpper,
                Some((0.0, -0.0)),
                "Abdomen, left upper quadrant: at the navel",
            ),
            (
                Zone::LeftThigh,
                UpperOuter,
                Some((4.0, 22.0)),
                "Left thigh, upper outer quadrant: 22 cm above the upper edge of the kneecap, 4 cm outwards from the front midline",
            ),
            (
                Zone::RightThigh,
                LowerInner,
                Some((0.0, 15.5)),
                "Right thigh, lower inner quadrant: 15.5 cm above the upper edge of the kneecap, on the front midline",
            ),
            (
                Zone::RightArm,
                LowerInner,
                Some((-1.5, 12.0)),
                "Right upper arm, lower inner quadrant: 12 cm above the tip of the elbow, 1.5 cm inwards from the back midline",
            ),
            (
                Zone::LeftButtock,
                LowerOuter,
                Some((-2.5, -7.0)),
                "Left buttock, lower outer quadrant: 7 cm below the top of the hip bone at the side, 2.5 cm inwards from it",
            ),
            (
                Zone::LeftButtock,
                UpperInner,
                Some((0.0, -4.0)),
                "Left buttock, upper inner quadrant: 4 cm straight below the top of the hip bone at the side",
            ),
        ] {
            check(zone, quadrant, at, expected);
        }
    }

    #[test]
    fn the_person_is_spoken_to_as_you() {
        let at = Site {
            zone: Zone::Abdomen,
            quadrant: Quadrant::LeftLower,
            point: Some(Point {
                across_cm: 5.5,
                up_cm: -3.0,
            }),
        };
        assert_eq!(
            site(&at, Listener::Patient),
            "Abdomen, left lower quadrant: 5.5 cm to your left of the navel, 3 cm below it"
        );
    }
}
