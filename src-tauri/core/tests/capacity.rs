//! Capacity held against shapely, scipy and the published bound.
//!
//! `reference/hexpack.json` and `reference/polygons.json`: computed with shapely 2.2.0 (GEOS 3.14.1) and scipy 1.17.1;
//! how, is in `tests/fixtures/README.md`. Oler N 1961, Acta Mathematica 105:19-48: tight on equilateral triangles.
#![allow(clippy::unwrap_used, clippy::pedantic, missing_docs)]

use std::path::Path;

use fallow_core::body::Body;
use fallow_core::medicines::Book;
use fallow_core::person::Sizes;
use fallow_core::plan::allowed::allowed;
use fallow_core::plan::capacity::{Capacity, capacities, capacity, capacity_beside, plain_lattice};
use fallow_core::site::{Point, Zone};
use geo::{
    Area, Contains, ConvexHull, Distance, Euclidean, Intersects, Length, LineString, MultiPolygon,
    Polygon, Validation,
};
use proptest::prelude::*;
use serde_json::Value;

fn reference(name: &str) -> Value {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../tests/fixtures/reference")
        .join(name);
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn corners(value: &Value) -> Vec<(f64, f64)> {
    let points = value.as_array().unwrap().iter();
    points
        .map(|p| (p[0].as_f64().unwrap(), p[1].as_f64().unwrap()))
        .collect()
}

fn region(corners: Vec<(f64, f64)>) -> MultiPolygon<f64> {
    MultiPolygon::from(Polygon::new(LineString::from(corners), Vec::new()))
}

/// Every site inside and at least the spacing from every other; never more than the ceiling.
fn sound(found: &Capacity, region: &MultiPolygon<f64>, spacing: f64) {
    assert_eq!(found.sites.len(), found.count);
    assert!(
        found.count <= found.ceiling,
        "{} above {}",
        found.count,
        found.ceiling
    );
    for (n, site) in found.sites.iter().enumerate() {
        let outside = Euclidean.distance(&geo::Point::new(site.across_cm, site.up_cm), region);
        assert!(outside <= 1e-6, "{site:?} is {outside} outside");
        for other in &found.sites[n + 1..] {
            let apart = site.distance_cm(*other);
            assert!(
                apart >= spacing - 1e-6,
                "{site:?} and {other:?} are {apart} apart, not {spacing}"
            );
        }
    }
}

#[test]
fn no_fewer_sites_than_the_lattices_of_the_reference_and_no_more_than_its_bound() {
    let cases = reference("hexpack.json")["cases"]
        .as_array()
        .unwrap()
        .clone();
    assert_eq!(cases.len(), 13);
    for case in cases {
        let spacing = case["d"].as_f64().unwrap();
        let region = region(corners(&case["vertices"]));
        let found = capacity(&region, spacing);
        sound(&found, &region, spacing);
        let (least, most) = (
            case["hex_lattice_lower"].as_u64().unwrap(),
            case["oler_upper_floor"].as_u64().unwrap(),
        );
        println!(
            "{}: {} (lattice {least}, bound {most})",
            case["window"], found.count
        );
        assert!(
            found.count as u64 >= least,
            "{}: {} of {least}",
            case["window"],
            found.count
        );
        assert_eq!(found.ceiling as u64, most, "{}", case["window"]);
    }
}

#[test]
fn the_bound_is_met_on_equilateral_triangles() {
    // Oler 1961: m spacings a side hold (m + 1)(m + 2) / 2.
    for (side, sites) in [(1, 3), (2, 6), (3, 10), (5, 21)] {
        for spacing in [1.0, 2.5] {
            let side = f64::from(side) * spacing;
            let triangle = region(vec![
                (0.0, 0.0),
                (side, 0.0),
                (side / 2.0, side * 3.0_f64.sqrt() / 2.0),
            ]);
            let found = capacity(&triangle, spacing);
            sound(&found, &triangle, spacing);
            assert_eq!((found.count, found.ceiling), (sites, sites));
        }
    }
}

#[test]
fn areas_and_distances_are_those_of_shapely() {
    let polygons = reference("polygons.json");
    let mut probes = 0;
    for (name, case) in polygons["polygons"].as_object().unwrap() {
        if !case["valid"].as_bool().unwrap() {
            continue;
        }
        let close = |ours: f64, theirs: &Value, what: &str| {
            let theirs = theirs.as_f64().unwrap();
            assert!(
                (ours - theirs).abs() < 1e-8 * theirs.abs().max(1.0),
                "{name} {what}: {ours} {theirs}"
            );
        };
        let polygon = Polygon::new(LineString::from(corners(&case["vertices"])), Vec::new());
        close(polygon.unsigned_area(), &case["shapely_area"], "area");
        close(
            Euclidean.length(polygon.exterior()),
            &case["perimeter"],
            "perimeter",
        );
        for probe in case["probes"].as_array().unwrap() {
            let at = geo::Point::new(
                probe["p"][0].as_f64().unwrap(),
                probe["p"][1].as_f64().unwrap(),
            );
            assert_eq!(
                polygon.contains(&at),
                probe["contains"].as_bool().unwrap(),
                "{name} {at:?}"
            );
            assert_eq!(
                polygon.intersects(&at),
                probe["covers"].as_bool().unwrap(),
                "{name} {at:?}"
            );
            close(
                Euclidean.distance(&at, &polygon),
                &probe["dist_to_polygon"],
                "distance",
            );
            close(
                Euclidean.distance(&at, polygon.exterior()),
                &probe["dist_to_boundary"],
                "border",
            );
            probes += 1;
        }
    }
    assert!(probes > 90, "only {probes} probes");
}

#[test]
fn the_reference_abdomen_is_filled_to_within_six_and_eleven_percent_of_what_can_be_proven() {
    let body = Body::of(&Sizes::default());
    let insulin = Book::shipped().medicine("insulin-glargine-100").unwrap();
    let skins = allowed(&body, insulin, 2.5, &[], &Zone::ALL);
    for spacing in [1.0, 2.0] {
        for (skin, found) in skins.iter().zip(capacities(&skins, spacing)) {
            sound(&found, &skin.region, spacing);
            let plain = plain_lattice(&skin.region, spacing);
            println!(
                "{spacing} cm {}: {:.0} cm², {} sites (plain lattice {plain}), ceiling {}",
                skin.zone.code(),
                skin.area_cm2,
                found.count,
                found.ceiling
            );
            assert!(found.count >= plain);
            let least = if spacing < 1.5 { 0.94 } else { 0.89 };
            if skin.zone == Zone::Abdomen {
                assert!(found.count > plain, "nothing gained over the plain lattice");
                assert!(found.count as f64 >= least * found.ceiling as f64);
            }
        }
    }
}

#[test]
fn the_published_arithmetic() {
    // Computed from 4 a day for 28 days: 112 sites; on a square grid of 1 cm 112 cm², hexagonal 97 cm².
    let hexagonal = 112.0 * 3.0_f64.sqrt() / 2.0;
    assert!((hexagonal - 97.0).abs() < 0.05, "{hexagonal}");
    let square = region(vec![
        (0.0, 0.0),
        (112.0_f64.sqrt(), 0.0),
        (112.0_f64.sqrt(), 112.0_f64.sqrt()),
        (0.0, 112.0_f64.sqrt()),
    ]);
    assert!(capacity(&square, 1.0).count >= 112);
    // At the edge a lattice has more than its share of the area, never less than the share of what is a spacing inside.
    let side = 97.0_f64.sqrt();
    let small = region(vec![(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)]);
    assert!(capacity(&small, 1.0).count >= 112);
}

#[test]
fn odd_regions_and_spacings_are_answered() {
    let nothing = MultiPolygon::new(Vec::new());
    let crumb = region(vec![(0.0, 0.0), (0.01, 0.0), (0.0, 0.01)]);
    let flat = region(vec![(0.0, 0.0), (5.0, 0.0), (9.0, 0.0)]);
    for spacing in [f64::NAN, f64::INFINITY, -1.0, 0.0, 1e-9, 1.0, 60.0, 1e9] {
        assert_eq!(capacity(&nothing, spacing).count, 0);
        assert_eq!(capacity(&nothing, spacing).ceiling, 0);
        assert_eq!(capacity(&crumb, spacing).count, 1);
        assert_eq!(capacity(&flat, spacing).count, 0);
    }
    // A spacing wider than the zone: one place, or the two ends of its diagonal.
    let square = region(vec![(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)]);
    assert_eq!(capacity(&square, 6.0).count, 1);
    assert!(capacity(&square, 5.0).count <= 2);
}

/// A star-shaped outline, convex or not, sometimes with a hole.
fn shapes() -> impl Strategy<Value = MultiPolygon<f64>> {
    (
        prop::collection::vec(1.0..9.0_f64, 3..14),
        -20.0..20.0_f64,
        0.3..2.0_f64,
        any::<bool>(),
    )
        .prop_map(|(spokes, across, flat, hole)| {
            let count = spokes.len() as f64;
            let ring = |share: f64| {
                let at = |n: usize, r: f64| {
                    let angle = std::f64::consts::TAU * n as f64 / count;
                    (
                        across + share * r * angle.cos(),
                        share * flat * r * angle.sin(),
                    )
                };
                LineString::from(
                    spokes
                        .iter()
                        .enumerate()
                        .map(|(n, r)| at(n, *r))
                        .collect::<Vec<_>>(),
                )
            };
            let holes = if hole { vec![ring(0.5)] } else { Vec::new() };
            MultiPolygon::from(Polygon::new(ring(1.0), holes))
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn sites_are_inside_and_apart_and_never_above_the_ceiling(shape in shapes(), spacing in 0.6..7.0_f64) {
        prop_assume!(shape.is_valid());
        let found = capacity(&shape, spacing);
        sound(&found, &shape, spacing);
        prop_assert_eq!(&found, &capacity(&shape, spacing), "not the same twice");
    }

    #[test]
    fn a_wider_spacing_never_holds_more(shape in shapes(), spacing in 0.8..5.0_f64, more in 0.0..1.5_f64) {
        prop_assume!(shape.is_valid());
        prop_assert!(capacity(&shape, spacing).count >= capacity(&shape, spacing + more).count);
    }

    #[test]
    fn more_skin_never_holds_less(shape in shapes(), spacing in 0.8..5.0_f64) {
        prop_assume!(shape.is_valid());
        let part = capacity(&shape, spacing);
        let whole = MultiPolygon::from(shape.convex_hull());
        let found = capacity_beside(&whole, spacing, &part.sites);
        sound(&found, &whole, spacing);
        prop_assert!(found.count >= part.count);
    }
}

#[test]
fn known_sites_that_break_the_spacing_or_lie_outside_are_not_kept() {
    let square = region(vec![(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]);
    let known: Vec<Point> = (0..40)
        .map(|n| Point {
            across_cm: f64::from(n) * 0.1,
            up_cm: 1.0,
        })
        .collect();
    let found = capacity_beside(&square, 1.0, &known);
    sound(&found, &square, 1.0);
}
