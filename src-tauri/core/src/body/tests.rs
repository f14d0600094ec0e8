//! Laws of the body: mirror images, quadrants that make up their zone, and the way to the drawing and back.

use geo::Area;
use proptest::prelude::*;

use super::atlas::{
    View, drawing, quadrant_label, quadrant_path, tap, to_atlas, to_patch, zone_path,
};
use super::*;
use crate::site::{Point, Quadrant, Side};

fn body(height: f64, waist: f64, thigh: f64, arm: f64) -> Body {
    Body::of(&Sizes {
        height_cm: Some(height),
        waist_cm: Some(waist),
        thigh_cm: Some(thigh),
        upper_arm_cm: Some(arm),
    })
}

fn reference() -> Body {
    Body::of(&Sizes::default())
}

/// A point of the patch at shares of its way up and across.
fn inside(patch: &Patch, across: f64, up: f64) -> Point {
    let (_, low, _, high) = patch.bounds();
    let up_cm = (low + up * (high - low)).clamp(low, high);
    let (inner, outer) = patch.span(up_cm).unwrap();
    Point {
        across_cm: inner + across * (outer - inner),
        up_cm,
    }
}

#[test]
fn a_measure_that_was_not_taken_is_named_where_it_matters() {
    let known = Sizes {
        height_cm: Some(168.0),
        waist_cm: Some(92.0),
        thigh_cm: None,
        upper_arm_cm: None,
    };
    let body = Body::of(&known);
    assert_eq!(body.assumed(), [Measure::Thigh, Measure::UpperArm]);
    assert_eq!(body.assumed_for(Zone::Abdomen), []);
    assert_eq!(body.assumed_for(Zone::RightThigh), [Measure::Thigh]);
    assert_eq!(body.assumed_for(Zone::LeftArm), [Measure::UpperArm]);
    assert_eq!(body.assumed_for(Zone::LeftButtock), [Measure::Thigh]);
    assert_eq!(reference().assumed(), Measure::ALL);
}

#[test]
fn each_patch_is_its_zones_and_left_is_the_mirror_of_right() {
    let body = reference();
    for zone in Zone::ALL {
        assert_eq!(body.patch(zone).zone(), zone);
        let (patch, other) = (body.patch(zone), body.patch(zone.mirrored()));
        assert_eq!(patch.outline(), other.outline(), "{zone:?}");
        assert_eq!(patch.landmark(), other.landmark());
        assert!(
            patch.outline().exterior().0.len() <= 61,
            "{zone:?} has {} corners",
            patch.outline().exterior().0.len() - 1
        );
    }
    let abdomen = body.patch(Zone::Abdomen);
    let (inner, _, outer, _) = abdomen.bounds();
    assert!((inner + outer).abs() < 1e-9);
}

#[test]
fn quadrants_make_up_their_zone_and_none_of_the_allowed_skin_is_lost() {
    for body in [
        reference(),
        body(150.0, 64.0, 46.0, 22.0),
        body(192.0, 135.0, 80.0, 44.0),
    ] {
        for zone in Zone::ALL {
            let patch = body.patch(zone);
            let sum: f64 = zone
                .quadrants()
                .iter()
                .map(|&q| patch.quadrant_outline(q).unsigned_area())
                .sum();
            assert!(
                (sum - patch.area_cm2()).abs() < 1e-6,
                "{zone:?}: {sum} of {}",
                patch.area_cm2()
            );
            for q in zone.quadrants() {
                let centre = geo::Centroid::centroid(patch.quadrant_outline(q)).unwrap();
                let centre = Point {
                    across_cm: centre.x(),
                    up_cm: centre.y(),
                };
                assert_eq!(patch.quadrant_of(centre), q, "{zone:?}");
            }
        }
    }
}

#[test]
fn the_thigh_leaves_ten_centimetres_at_each_end_and_the_arm_a_third() {
    // Diabetes Qualified glossary (thigh); Frid et al. 2016, from memory (arm).
    let body = reference();
    let thigh = body.patch(Zone::LeftThigh);
    let allowed = |p: Point| {
        thigh.contains(p)
            && thigh
                .margins()
                .iter()
                .all(|m| m.distance_cm(p) >= m.radius_cm)
    };
    let at = |up_cm: f64| Point {
        across_cm: 6.0,
        up_cm,
    };
    assert!(!allowed(at(9.9)) && allowed(at(10.1)));
    let top = thigh.bounds().3;
    assert!(allowed(at(18.0)) && !allowed(at(top - 9.9)));
    let arm = body.patch(Zone::RightArm);
    let third = arm.bounds().3 / 3.0;
    for margin in arm.margins() {
        assert!((margin.radius_cm - third).abs() < 1e-9, "{}", margin.name);
    }
}

#[test]
fn a_point_outside_is_as_far_as_its_distance_to_the_edge() {
    let body = reference();
    let patch = body.patch(Zone::Abdomen);
    let low = patch.bounds().1;
    let (inside, outside) = (
        Point {
            across_cm: 0.0,
            up_cm: low + 2.0,
        },
        Point {
            across_cm: 0.0,
            up_cm: low - 2.0,
        },
    );
    assert!(patch.contains(inside) && patch.outside_cm(inside).abs() < 1e-12);
    assert!((patch.border_cm(inside) - 2.0).abs() < 1e-9);
    assert!(!patch.contains(outside) && (patch.outside_cm(outside) - 2.0).abs() < 1e-9);
    assert!(!patch.contains(Point {
        across_cm: f64::NAN,
        up_cm: 0.0
    }));
}

#[test]
fn absurd_but_allowed_sizes_still_make_a_body() {
    for (h, w, t, a) in [
        (50.0, 30.0, 15.0, 8.0),
        (250.0, 250.0, 150.0, 90.0),
        (50.0, 250.0, 150.0, 90.0),
        (250.0, 30.0, 15.0, 8.0),
    ] {
        let body = body(h, w, t, a);
        for zone in Zone::ALL {
            assert!(body.patch(zone).area_cm2() > 0.0);
            for view in View::ALL {
                for q in zone.quadrants() {
                    assert!(quadrant_path(&body, zone, q, view).is_none_or(|d| !d.contains("NaN")));
                }
            }
        }
    }
}

#[test]
fn every_zone_is_on_one_view_and_its_quadrants_with_it() {
    let body = reference();
    for zone in Zone::ALL {
        for view in View::ALL {
            let shown = zone_path(zone, view).is_some();
            let front = matches!(zone, Zone::Abdomen | Zone::LeftThigh | Zone::RightThigh);
            assert_eq!(shown, front == (view == View::Front));
            for q in zone.quadrants() {
                assert_eq!(quadrant_path(&body, zone, q, view).is_some(), shown);
                let label = quadrant_label(&body, zone, q, view);
                let at = label.and_then(|(x, y)| to_patch(&body, view, x, y));
                assert_eq!(
                    at.map(|(z, p)| (z, body.patch(z).quadrant_of(p))),
                    shown.then_some((zone, q))
                );
            }
        }
    }
}

#[test]
fn a_zone_is_drawn_in_the_same_place_for_everybody() {
    let body = body(150.0, 130.0, 48.0, 40.0);
    for zone in Zone::ALL {
        let own = body.patch(zone);
        for i in 0..=10 {
            for j in 0..=10 {
                let (across, up) = (f64::from(i) / 10.0, f64::from(j) / 10.0);
                let (_, x, y) = to_atlas(own, inside(own, across, up)).unwrap();
                let mut shown = View::ALL
                    .into_iter()
                    .filter_map(|v| to_patch(&reference(), v, x, y));
                // The very edge may round to either side of it.
                let edge = [0, 10].contains(&i) || [0, 10].contains(&j);
                assert!(
                    edge || shown.any(|(z, _)| z == zone),
                    "{zone:?} {across} {up}"
                );
            }
        }
    }
}

#[test]
fn the_drawing_is_its_own_mirror_image_and_in_its_box() {
    for view in View::ALL {
        let drawing = drawing(view);
        let paths = [&drawing.silhouette, &drawing.contour]
            .into_iter()
            .chain(drawing.lines.iter().map(|l| &l.path));
        for path in paths {
            let numbers: Vec<f64> = path
                .split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
                .filter(|t| !t.is_empty())
                .map(|t| t.parse().unwrap())
                .collect();
            assert_eq!(numbers.len() % 2, 0, "{path}");
            let points: Vec<(f64, f64)> = numbers.chunks(2).map(|p| (p[0], p[1])).collect();
            for (x, y) in &points {
                assert!(
                    (0.0..=drawing.width).contains(x) && (0.0..=drawing.height).contains(y),
                    "{x} {y}"
                );
                let mirrored = drawing.width - x;
                assert!(
                    points
                        .iter()
                        .any(|p| (p.0 - mirrored).abs() < 1e-6 && (p.1 - y).abs() < 1e-6),
                    "{x} {y} has no mirror image"
                );
            }
        }
    }
}

#[test]
fn every_zone_lies_on_the_body_and_no_two_on_each_other() {
    let body = reference();
    for view in View::ALL {
        for zone in Zone::ALL {
            if zone_path(zone, view).is_none() {
                continue;
            }
            for i in 0..=20 {
                for j in 0..=20 {
                    let p = inside(body.patch(zone), f64::from(i) / 20.0, f64::from(j) / 20.0);
                    let (_, x, y) = to_atlas(body.patch(zone), p).unwrap();
                    assert!(
                        atlas::on_body(x, y),
                        "{zone:?} {p:?} is drawn off the body at {x} {y}"
                    );
                    assert_eq!(
                        to_patch(&body, view, x, y).map(|h| h.0),
                        Some(zone),
                        "{p:?}"
                    );
                }
            }
        }
    }
}

#[test]
fn a_quarter_of_the_way_across_is_the_persons_right_in_front_and_left_behind() {
    // Case S6, both for the width of the drawing and for that of the figure on it.
    let body = reference();
    let (left, right) = (0..360)
        .map(f64::from)
        .filter(|&x| atlas::on_body(x, 540.0))
        .fold((f64::MAX, f64::MIN), |b, x| (b.0.min(x), b.1.max(x)));
    for x in [90.0, left + (right - left) / 4.0] {
        for y in [530.0, 560.0, 590.0] {
            let front = tap(&body, View::Front, x, y).unwrap();
            assert_eq!(
                (front.part, front.side, front.words.as_str()),
                ("thigh", Some(Side::Right), "right thigh (person's right)")
            );
            let back = tap(&body, View::Back, x, y).unwrap();
            assert_eq!(
                (back.part, back.side, back.words.as_str()),
                ("thigh", Some(Side::Left), "left thigh (person's left)")
            );
        }
        let front = tap(&body, View::Front, x, 560.0).unwrap();
        assert_eq!(front.zone, Some(Zone::RightThigh));
    }
}

#[test]
fn left_is_on_the_viewers_right_in_front_and_on_the_left_behind() {
    let body = reference();
    for (view, zone, left_half) in [
        (View::Front, Zone::LeftThigh, false),
        (View::Front, Zone::RightThigh, true),
        (View::Back, Zone::LeftArm, true),
        (View::Back, Zone::RightArm, false),
        (View::Back, Zone::LeftButtock, true),
        (View::Back, Zone::RightButtock, false),
    ] {
        let (shown, x, _) = to_atlas(body.patch(zone), inside(body.patch(zone), 0.5, 0.5)).unwrap();
        assert_eq!((shown, x < 180.0), (view, left_half), "{zone:?}");
    }
    let (_, x, y) = to_atlas(
        body.patch(Zone::Abdomen),
        Point {
            across_cm: 5.0,
            up_cm: -3.0,
        },
    )
    .unwrap();
    assert!(x > 180.0);
    let tapped = tap(&body, View::Front, x, y).unwrap();
    assert_eq!(tapped.quadrant, Some(Quadrant::LeftLower));
    assert_eq!((tapped.part, tapped.side), ("abdomen", None));
}

#[test]
fn a_tap_beside_the_zones_names_part_and_side_and_one_off_the_body_nothing() {
    let body = reference();
    for (view, x, y, words) in [
        (View::Front, 180.0, 70.0, "head"),
        (View::Front, 180.0, 140.0, "neck"),
        (View::Front, 180.0, 260.0, "chest"),
        (View::Back, 180.0, 260.0, "upper back"),
        (View::Back, 180.0, 360.0, "lower back"),
        (View::Front, 70.0, 280.0, "right upper arm (person's right)"),
        (View::Front, 290.0, 280.0, "left upper arm (person's left)"),
        (View::Back, 46.0, 440.0, "left forearm (person's left)"),
        (View::Front, 42.0, 550.0, "right hand (person's right)"),
        (View::Front, 130.0, 690.0, "right knee (person's right)"),
        (
            View::Back,
            130.0,
            690.0,
            "left back of the knee (person's left)",
        ),
        (View::Back, 150.0, 500.0, "left buttock (person's left)"),
        (View::Back, 230.0, 580.0, "right thigh (person's right)"),
        (
            View::Front,
            130.0,
            722.0,
            "right lower leg (person's right)",
        ),
    ] {
        let tapped = tap(&body, view, x, y).unwrap_or_else(|| panic!("{words}: nothing there"));
        assert_eq!(tapped.words, words);
    }
    for (x, y) in [
        (5.0, 5.0),
        (180.0, 640.0),
        (355.0, 100.0),
        (-1.0, 70.0),
        (180.0, 4000.0),
        (f64::NAN, 70.0),
        (180.0, f64::INFINITY),
    ] {
        assert_eq!(tap(&body, View::Front, x, y), None, "{x} {y}");
    }
}

#[test]
fn a_tap_near_a_border_says_what_else_it_may_have_meant() {
    // Pitfall F10: 3.4 mm is 21 of the drawing's units.
    let body = reference();
    let patch = body.patch(Zone::RightThigh);
    let cut = Point {
        across_cm: patch.cut_across_cm() + 0.1,
        up_cm: patch.cut_up_cm() + 0.1,
    };
    let (_, x, y) = to_atlas(patch, cut).unwrap();
    let tapped = tap(&body, View::Front, x, y).unwrap();
    assert_eq!(tapped.quadrant, Some(Quadrant::UpperOuter));
    assert_eq!(tapped.near.len(), 3);
    assert!(
        !tapped
            .near
            .contains(&(Zone::RightThigh, Quadrant::UpperOuter))
    );
    assert!(
        tapped
            .near
            .contains(&(Zone::RightThigh, Quadrant::LowerInner))
    );
}

proptest! {
    #[test]
    fn from_the_patch_to_the_drawing_and_back_is_the_same_point(
        (height, waist, thigh, arm) in (120.0..210.0_f64, 50.0..180.0_f64, 35.0..100.0_f64, 18.0..60.0_f64),
        zone in 0..7_usize, across in 0.0..=1.0_f64, up in 0.0..=1.0_f64,
    ) {
        let body = body(height, waist, thigh, arm);
        let patch = body.patch(Zone::ALL[zone]);
        let point = inside(patch, across, up);
        let (view, x, y) = to_atlas(patch, point).expect("inside the zone");
        let (found, back) = to_patch(&body, view, x, y).expect("on the drawing");
        prop_assert_eq!(found, patch.zone());
        prop_assert!(back.distance_cm(point) < 1e-6, "{point:?} came back as {back:?}");
    }

    #[test]
    fn from_the_drawing_to_the_patch_and_back_is_the_same_place(
        (height, waist, thigh, arm) in (120.0..210.0_f64, 50.0..180.0_f64, 35.0..100.0_f64, 18.0..60.0_f64),
        back in any::<bool>(), x in 0.0..360.0_f64, y in 170.0..690.0_f64,
    ) {
        let body = body(height, waist, thigh, arm);
        let view = if back { View::Back } else { View::Front };
        if let Some((zone, point)) = to_patch(&body, view, x, y) {
            prop_assert!(body.patch(zone).outside_cm(point) < 1e-9);
            let (again, x2, y2) = to_atlas(body.patch(zone), point).expect("inside the zone");
            prop_assert_eq!(again, view);
            prop_assert!((x - x2).abs() < 1e-6 && (y - y2).abs() < 1e-6);
            // The other side of the body, on the other side of the drawing.
            let (mirror, across) = to_patch(&body, view, 360.0 - x, y).expect("the drawing is symmetrical");
            prop_assert_eq!(mirror, zone.mirrored());
            let expected = if zone == Zone::Abdomen { -point.across_cm } else { point.across_cm };
            prop_assert!((across.across_cm - expected).abs() < 1e-6);
        }
    }

    #[test]
    fn a_point_is_in_the_outline_of_its_own_quadrant(zone in 0..7_usize, across in 0.01..0.99_f64, up in 0.01..0.99_f64) {
        use geo::Intersects;
        let body = reference();
        let patch = body.patch(Zone::ALL[zone]);
        let p = inside(patch, across, up);
        prop_assert!(patch.contains(p));
        prop_assert!(patch.quadrant_outline(patch.quadrant_of(p)).intersects(&geo::Point::new(p.across_cm, p.up_cm)));
    }
}
