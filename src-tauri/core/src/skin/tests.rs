//! Findings: kinds, margins, places.

use super::*;
use crate::site::Point;

fn at(across_cm: f64, up_cm: f64) -> Point {
    Point { across_cm, up_cm }
}

#[test]
fn every_kind_has_a_margin_with_a_source_and_no_other_is_in_the_file() {
    let file: File = toml::from_str(include_str!("../../data/skin.toml")).unwrap();
    assert_eq!(file.margin.len(), FindingKind::ALL.len());
    for kind in FindingKind::ALL {
        assert_eq!(FindingKind::from_code(kind.code()), Some(kind));
        let margin = kind.usual_margin();
        assert!(margin.value >= 0.0 && !margin.source.is_empty(), "{kind:?}");
    }
    // Manual of a sensor: 2.5 cm. Maker of infusion sets: 5 cm.
    assert!((FindingKind::Sensor.usual_margin().value - 2.5).abs() < 1e-9);
    assert!((FindingKind::InfusionSet.usual_margin().value - 5.0).abs() < 1e-9);
}

#[test]
fn a_place_off_the_body_or_without_a_size_is_refused() {
    assert!(Place::ellipse(at(1.0, 2.0), 0.5, 0.3, 20.0).is_ok());
    for (place, error) in [
        (
            Place::ellipse(at(f64::NAN, 0.0), 1.0, 1.0, 0.0),
            PlaceError::OffTheBody,
        ),
        (
            Place::ellipse(at(0.0, 0.0), f64::INFINITY, 1.0, 0.0),
            PlaceError::OffTheBody,
        ),
        (
            Place::ellipse(at(0.0, 0.0), 0.0, 1.0, 0.0),
            PlaceError::NoSize,
        ),
        (
            Place::ellipse(at(0.0, 0.0), 1.0, -1.0, 0.0),
            PlaceError::NoSize,
        ),
        (
            Place::outline(vec![at(0.0, 0.0), at(1.0, 0.0)]),
            PlaceError::Points,
        ),
        (Place::outline(vec![at(0.0, 0.0); 501]), PlaceError::Points),
        (
            Place::outline(vec![at(0.0, 0.0), at(1.0, 0.0), at(0.0, 201.0)]),
            PlaceError::OffTheBody,
        ),
    ] {
        assert_eq!(place, Err(error));
    }
    for noticed in [Noticed::Seen, Noticed::Felt, Noticed::SeenAndFelt] {
        assert_eq!(Noticed::from_code(noticed.code()), Some(noticed));
    }
}
