//! Allowed skin keeps every margin: sampled points of it are measured one by one, without polygons.
#![allow(clippy::unwrap_used, clippy::pedantic, missing_docs)]

use fallow_core::body::Body;
use fallow_core::medicines::{Book, Medicine};
use fallow_core::person::Sizes;
use fallow_core::plan::allowed::{AllowedSkin, allowed};
use fallow_core::site::{Point, Zone};
use fallow_core::skin::{Finding, FindingKind, Noticed, Place, Shape};
use geo::{Contains, Distance, Euclidean, LineString, Polygon};
use proptest::prelude::*;

fn at(across_cm: f64, up_cm: f64) -> Point {
    Point { across_cm, up_cm }
}

fn insulin() -> &'static Medicine {
    Book::shipped().medicine("insulin-glargine-100").unwrap()
}

fn finding(kind: FindingKind, zone: Zone, place: Place) -> Finding {
    Finding {
        id: "f".into(),
        kind,
        zone,
        place,
        margin_cm: kind.usual_margin().clone(),
        noticed: Noticed::Seen,
        feel: None,
        found_on: chrono::NaiveDate::default(),
    }
}

/// Whether a point is at least the margin from a finding, by sampling its edge.
fn keeps(finding: &Finding, p: Point) -> bool {
    let ring: Vec<(f64, f64)> = match finding.place.shape() {
        Shape::Ellipse {
            centre,
            half_across_cm,
            half_up_cm,
            turned_degrees,
        } => {
            let (sin, cos) = turned_degrees.to_radians().sin_cos();
            let edge = (0..720).map(|n| {
                let (s, c) = f64::from(n).to_radians().mul_add(0.5, 0.0).sin_cos();
                let (x, y) = (half_across_cm * c, half_up_cm * s);
                (
                    centre.across_cm + x * cos - y * sin,
                    centre.up_cm + x * sin + y * cos,
                )
            });
            edge.collect()
        }
        Shape::Outline(points) => points.iter().map(|p| (p.across_cm, p.up_cm)).collect(),
    };
    let polygon = Polygon::new(LineString::from(ring), Vec::new());
    let here = geo::Point::new(p.across_cm, p.up_cm);
    // The sampled edge may lie a little inside the true one.
    Euclidean.distance(&here, polygon.exterior()) >= finding.margin_cm.value - 1e-6
        && !polygon.contains(&here)
}

/// Points of a grid that are in the skin.
fn sampled(skin: &AllowedSkin, body: &Body) -> Vec<Point> {
    let (x0, y0, x1, y1) = body.patch(skin.zone).bounds();
    let grid =
        (0..=40).flat_map(|i| (0..=40).map(move |j| (f64::from(i) / 40.0, f64::from(j) / 40.0)));
    let points = grid.map(|(i, j)| at(x0 + i * (x1 - x0), y0 + j * (y1 - y0)));
    let inside = points.filter(|p| skin.region.contains(&geo::Point::new(p.across_cm, p.up_cm)));
    let corners = skin
        .region
        .0
        .iter()
        .flat_map(|p| p.exterior().0.iter().map(|c| at(c.x, c.y)));
    inside.chain(corners).collect()
}

fn check(body: &Body, navel_cm: f64, findings: &[Finding]) -> f64 {
    let mut total = 0.0;
    for skin in allowed(body, insulin(), navel_cm, findings, &Zone::ALL) {
        let patch = body.patch(skin.zone);
        assert!(skin.area_cm2 <= patch.area_cm2() + 1e-6, "{:?}", skin.zone);
        let quarters: f64 = skin
            .zone
            .quadrants()
            .iter()
            .map(|q| geo::Area::unsigned_area(&skin.quadrant(patch, *q)))
            .sum();
        assert!(
            (quarters - skin.area_cm2).abs() < 0.01,
            "{:?}: {quarters} of {}",
            skin.zone,
            skin.area_cm2
        );
        for p in sampled(&skin, body) {
            assert!(
                patch.outside_cm(p) < 1e-5,
                "{:?} {p:?} is off the patch",
                skin.zone
            );
            for margin in patch.margins() {
                assert!(
                    margin.distance_cm(p) >= margin.radius_cm - 1e-6,
                    "{:?} {p:?} {}",
                    skin.zone,
                    margin.name
                );
            }
            assert!(
                skin.zone != Zone::Abdomen || p.distance_cm(at(0.0, 0.0)) >= navel_cm - 1e-6,
                "{p:?} navel"
            );
            for f in findings.iter().filter(|f| f.zone == skin.zone) {
                assert!(keeps(f, p), "{:?} {p:?} {:?}", skin.zone, f.kind);
            }
        }
        total += skin.area_cm2;
    }
    total
}

#[test]
fn the_reference_adult_has_the_skin_the_margins_leave() {
    let body = Body::of(&Sizes::default());
    let skins = allowed(&body, insulin(), 2.5, &[], &Zone::ALL);
    assert_eq!(skins.iter().map(|s| s.zone).collect::<Vec<_>>(), Zone::ALL);
    for skin in &skins {
        println!("{}: {:.1} cm²", skin.zone.code(), skin.area_cm2);
    }
    // The navel's circle is pi r², a little more for being drawn from outside.
    let without = allowed(&body, insulin(), 0.0, &[], &[Zone::Abdomen]);
    let circle = without[0].area_cm2 - skins[0].area_cm2;
    assert!(
        (circle / (std::f64::consts::PI * 6.25) - 1.0).abs() < 0.005,
        "{circle}"
    );
    assert!(check(&body, 2.5, &[]) > 1000.0);
}

#[test]
fn a_medicine_keeps_its_own_zones_and_its_own_wider_navel_margin() {
    let body = Body::of(&Sizes::default());
    let enoxaparin = Book::shipped().medicine("enoxaparin").unwrap();
    let skins = allowed(&body, enoxaparin, 2.5, &[], &Zone::ALL);
    assert_eq!(
        skins.iter().map(|s| s.zone).collect::<Vec<_>>(),
        [Zone::Abdomen]
    );
    let five = allowed(&body, insulin(), 5.0, &[], &[Zone::Abdomen]);
    assert!((skins[0].area_cm2 - five[0].area_cm2).abs() < 1e-9);
}

#[test]
fn a_finding_over_everything_leaves_nothing() {
    let body = Body::of(&Sizes::default());
    let all = finding(
        FindingKind::Redness,
        Zone::Abdomen,
        Place::ellipse(at(0.0, 0.0), 100.0, 100.0, 0.0).unwrap(),
    );
    let skins = allowed(&body, insulin(), 2.5, &[all], &[Zone::Abdomen]);
    assert!(skins[0].region.0.is_empty() && skins[0].area_cm2 == 0.0);
}

#[test]
fn outlines_that_cross_themselves_or_have_no_inside_are_kept_away_from() {
    let body = Body::of(&Sizes::default());
    let bow = [(3.0, 0.0), (7.0, 4.0), (7.0, 0.0), (3.0, 4.0)];
    let line = [(-9.0, -2.0), (-6.0, -2.0), (-3.0, -2.0)];
    let spot = [(9.0, -1.0), (9.0, -1.0), (9.0, -1.0)];
    for drawn in [&bow[..], &line[..], &spot[..]] {
        for kind in [FindingKind::Lump, FindingKind::Sensor] {
            let points = drawn.iter().map(|(x, y)| at(*x, *y)).collect();
            let found = finding(kind, Zone::Abdomen, Place::outline(points).unwrap());
            let clean = allowed(&body, insulin(), 2.5, &[], &[Zone::Abdomen])[0].area_cm2;
            let left = allowed(
                &body,
                insulin(),
                2.5,
                std::slice::from_ref(&found),
                &[Zone::Abdomen],
            )[0]
            .area_cm2;
            assert!(left <= clean + 0.01);
            if found.margin_cm.value > 0.0 {
                check(&body, 2.5, &[found]);
            }
        }
    }
}

fn findings() -> impl Strategy<Value = Vec<Finding>> {
    let one = (
        0..10_usize,
        0..7_usize,
        -15.0..15.0_f64,
        -15.0..25.0_f64,
        0.1..4.0_f64,
        0.1..4.0_f64,
        0.0..180.0_f64,
    );
    let one = one.prop_map(|(kind, zone, x, y, a, b, turn)| {
        finding(
            FindingKind::ALL[kind],
            Zone::ALL[zone],
            Place::ellipse(at(x, y), a, b, turn).unwrap(),
        )
    });
    let drawn = (
        0..7_usize,
        prop::collection::vec((-12.0..12.0_f64, -12.0..25.0_f64), 3..4),
    )
        .prop_map(|(zone, points)| {
            let points = points.into_iter().map(|(x, y)| at(x, y)).collect();
            finding(
                FindingKind::Lump,
                Zone::ALL[zone],
                Place::outline(points).unwrap(),
            )
        });
    prop::collection::vec(prop_oneof![one, drawn], 0..7)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn every_point_keeps_every_margin(
        found in findings(),
        height in 90.0..210.0_f64,
        waist in 50.0..160.0_f64,
        thigh in 30.0..90.0_f64,
        arm in 15.0..55.0_f64,
        navel in prop::sample::select(vec![1.0, 2.0, 2.5, 5.0]),
    ) {
        let sizes = Sizes { height_cm: Some(height), waist_cm: Some(waist), thigh_cm: Some(thigh), upper_arm_cm: Some(arm) };
        let body = Body::of(&sizes);
        let with = check(&body, navel, &found);
        let without = check(&body, navel, &[]);
        // Corners are rounded to a share of the whole drawing's size.
        prop_assert!(with <= without + 0.01, "a finding added skin: {with} after {without}");
    }
}
