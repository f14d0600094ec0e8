//! Acceptance case S6 through the door: sides are the person's on both views, and a tap near a border asks.

use serde_json::json;

use super::Door;

#[test]
fn s6_the_same_tap_is_the_other_side_on_the_back() {
    let mut door = Door::at("2026-06-03T09:00:00+01:00");
    let person = door.person("Europe/London");
    let drawing = door.ok("body_drawing", json!({ "person": person }));
    let front = &drawing["views"][0];
    assert_eq!(
        (&front["view"], &front["viewer_left"]),
        (&json!("front"), &json!("person's right"))
    );
    assert_eq!(drawing["views"][1]["viewer_left"], "person's left");
    // Thigh height: the middle of the thigh's own label on the front view.
    let y = front["quadrants"]
        .as_array()
        .unwrap()
        .iter()
        .find(|q| q["zone"] == "right_thigh")
        .unwrap()["label_y"]
        .as_f64()
        .unwrap();
    let x = silhouette_quarter(front["silhouette"][0]["d"].as_str().unwrap());
    let tap = |door: &mut Door, view: &str| {
        door.ok(
            "site_at",
            json!({ "person": person, "view": view, "x": x, "y": y }),
        )["words"]
            .clone()
    };
    assert_eq!(tap(&mut door, "front"), "right thigh (person's right)");
    assert_eq!(tap(&mut door, "back"), "left thigh (person's left)");
}

/// The x at a quarter of the figure's width, from the least and greatest number in x places of its path.
fn silhouette_quarter(d: &str) -> f64 {
    let numbers: Vec<f64> = d
        .split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .filter_map(|t| t.parse().ok())
        .collect();
    let xs = numbers.iter().step_by(2);
    let (low, high) = xs.fold((f64::MAX, f64::MIN), |(l, h), x| (l.min(*x), h.max(*x)));
    low + (high - low) * 0.25
}

#[test]
fn every_quadrant_is_drawn_on_one_view_and_a_tap_on_its_label_finds_it() {
    let mut door = Door::at("2026-06-03T09:00:00+01:00");
    let person = door.person("Europe/London");
    let drawing = door.ok("body_drawing", json!({ "person": person }));
    let mut drawn = 0;
    for view in drawing["views"].as_array().unwrap() {
        for q in view["quadrants"].as_array().unwrap() {
            drawn += 1;
            let at = door.ok("site_at", json!({ "person": person, "view": view["view"], "x": q["label_x"], "y": q["label_y"] }));
            assert_eq!(
                (&at["zone"], &at["place"]["site"]["quadrant"]),
                (&q["zone"], &q["quadrant"])
            );
        }
    }
    assert_eq!(drawn, 28);
    let off = door.ok(
        "site_at",
        json!({ "person": person, "view": "front", "x": 0.5, "y": 0.5 }),
    );
    assert_eq!(off["words"], json!(null));
}

#[test]
fn a_patch_is_in_centimetres_with_its_landmark_margins_and_earlier_sites() {
    let mut door = Door::at("2026-06-03T09:00:00+01:00");
    let (person, order) = door.glargine("Europe/London");
    door.give(
        1,
        &person,
        &order,
        super::abdomen("left_lower", 5.5, -3.0),
        "2026-06-01T08:00:00+01:00",
    );
    let patch = door.ok(
        "patch",
        json!({ "person": person, "zone": "abdomen", "order": order }),
    );
    assert_eq!(patch["landmark"], "navel");
    assert_eq!(patch["grows_to_viewer_left"], false);
    assert_eq!(patch["sites"][0]["days"], 2);
    assert_eq!(patch["sites"][0]["resting"], true);
    assert_eq!(patch["margins"][0]["name"], "navel");
    assert_eq!(patch["quadrants"].as_array().unwrap().len(), 4);
    assert!(patch["area_cm2"].as_f64().unwrap() > 100.0);
    assert_eq!(patch["assumed"], json!([]));
    for (zone, flipped) in [
        ("right_thigh", true),
        ("left_thigh", false),
        ("left_arm", true),
        ("right_arm", false),
    ] {
        assert_eq!(
            door.ok("patch", json!({ "person": person, "zone": zone }))["grows_to_viewer_left"],
            flipped,
            "{zone}"
        );
    }
}
