//! Rotation measures and use of the skin cell by cell, through the door.

use serde_json::{Value, json};

use super::{Door, abdomen, id, injection};

const NOW: &str = "2026-06-03T09:00:00+01:00";

/// Every measure that comes with a sentence.
const TOLD: [&str; 7] = [
    "spacing",
    "rest",
    "skin_used",
    "sides",
    "quadrants",
    "longest_run",
    "busiest",
];

fn give(door: &mut Door, n: u64, person: &str, order: &str, site: Value, day: u64) {
    let mut entry = injection(
        n,
        person,
        order,
        site,
        &format!("2026-05-{day:02}T08:00:00+01:00"),
    );
    entry["reason"] = json!("Test of the measures.");
    door.ok("injection_record", entry);
}

#[test]
fn a_period_is_measured_with_counts_intervals_and_sentences() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    // The third lies half a centimetre from the first, two days after it.
    for (n, day, across, up) in [(1, 10, 5.0, -3.0), (2, 11, 7.0, -3.0), (3, 12, 5.5, -3.0)] {
        give(
            &mut door,
            n,
            &person,
            &order,
            abdomen("left_lower", across, up),
            day,
        );
    }
    let data = door.ok("measures", json!({ "person": person }));
    assert_eq!(
        (&data["from"], &data["to"]),
        (&json!("2026-05-07"), &json!("2026-06-03"))
    );
    assert_eq!(
        (&data["injections"], &data["quadrant_only"]),
        (&json!(3), &json!(0))
    );
    assert_eq!(data["rules"]["medicine"], "insulin-glargine-100");
    assert!(
        data["rules"]["words"]
            .as_str()
            .unwrap()
            .contains("the order in force")
    );
    let spacing = &data["spacing"]["value"];
    assert_eq!((&spacing["kept"], &spacing["of"]), (&json!(2), &json!(3)));
    // Wilson 1927 for 2 of 3 at 95 %: 0.2077 to 0.9385 (statsmodels proportion_confint, from memory).
    assert!(
        (spacing["low"].as_f64().unwrap() - 0.2077).abs() < 1e-3,
        "{spacing}"
    );
    assert!(
        (spacing["high"].as_f64().unwrap() - 0.9385).abs() < 1e-3,
        "{spacing}"
    );
    assert!((spacing["worst"].as_f64().unwrap() - 0.5).abs() < 1e-6);
    assert_eq!(data["rest"]["value"]["worst"], json!(2.0));
    for name in TOLD {
        assert!(
            data[name]["words"].as_str().unwrap().ends_with('.'),
            "{name}: {data}"
        );
    }
    let area = data["allowed"][0]["area_cm2"].as_f64().unwrap();
    let whole = door.ok("patch", json!({ "person": person, "zone": "abdomen" }));
    assert!(
        area > 50.0 && area < whole["area_cm2"].as_f64().unwrap(),
        "margins are taken off"
    );
    assert_eq!(data["longest_run"]["value"]["count"], 3);
    assert_eq!(data["neighbours"][0]["spread"]["value"]["count"], 3);
    assert_eq!(
        data["sides"]["value"]["counts"],
        json!([
            { "part": "left", "words": "left", "count": 3 }, { "part": "right", "words": "right", "count": 0 }
        ])
    );
    let again = door.ok("measures", json!({ "person": person }));
    assert_eq!(data, again, "the same question has the same answer");
    let narrow = door.ok(
        "measures",
        json!({ "person": person, "from": "2026-05-12", "to": "2026-05-12" }),
    );
    assert_eq!(narrow["injections"], 1);
    assert_eq!(
        narrow["spacing"]["value"]["kept"], 0,
        "held against what came before the period"
    );
}

#[test]
fn an_empty_record_has_sentences_and_no_figures() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    let data = door.ok("measures", json!({ "person": person }));
    assert_eq!(
        (&data["injections"], &data["rules"]),
        (&json!(0), &json!(null))
    );
    for name in TOLD {
        assert_eq!(data[name]["value"], json!(null), "{name}");
        assert!(
            data[name]["words"].as_str().unwrap().ends_with('.'),
            "{name}"
        );
    }
    let grid = door.ok("use_grid", json!({ "person": person }));
    let zones = grid["zones"].as_array().unwrap();
    assert_eq!(zones.len(), 7);
    for zone in zones {
        assert_eq!(zone["rows"], json!([]));
        assert!(zone["cells"].as_u64().unwrap() > 100);
    }
}

#[test]
fn entries_known_only_to_the_quadrant_get_no_point_and_no_distance() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    for n in 1..=4 {
        let quadrant = if n % 2 == 0 {
            "left_lower"
        } else {
            "right_lower"
        };
        let site = json!({ "zone": "abdomen", "quadrant": quadrant });
        give(&mut door, n, &person, &order, site, 10 + n);
    }
    let data = door.ok("measures", json!({ "person": person }));
    assert_eq!(
        (&data["injections"], &data["quadrant_only"]),
        (&json!(4), &json!(4))
    );
    for name in ["spacing", "rest", "skin_used", "busiest"] {
        assert_eq!(data[name]["value"], json!(null), "{name}");
        assert!(
            data[name]["words"]
                .as_str()
                .unwrap()
                .contains("only to the quadrant"),
            "{name}"
        );
    }
    assert_eq!(data["neighbours"], json!([]));
    assert!((data["sides"]["value"]["evenness"].as_f64().unwrap() - 1.0).abs() < 1e-9);
    let grid = door.ok(
        "use_grid",
        json!({ "person": person, "zone": "abdomen", "at": NOW }),
    );
    let zone = &grid["zones"][0];
    assert_eq!(zone["rows"], json!([]));
    assert_eq!(zone["unplaced"].as_array().unwrap().len(), 2);
    assert_eq!(zone["unplaced"][0]["count"], 2);
}

#[test]
fn cells_are_coloured_around_each_point_as_of_the_day_asked() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    give(
        &mut door,
        1,
        &person,
        &order,
        abdomen("left_lower", 5.0, -3.0),
        10,
    );
    let on = |door: &mut Door, at: &str| {
        let grid = door.ok(
            "use_grid",
            json!({ "person": person, "zone": "abdomen", "at": at }),
        );
        assert_eq!(grid["rules"]["medicine"], "insulin-glargine-100");
        assert_eq!(grid["cell_cm"], json!(0.5));
        grid["zones"][0]["rows"].as_array().unwrap().clone()
    };
    let rows = on(&mut door, "2026-05-12T09:00:00+01:00");
    // Centres within 1 cm of a corner of the half-centimetre grid: 12, in four rows of 2, 4, 4 and 2.
    let lengths: Vec<usize> = rows
        .iter()
        .map(|r| r["days"].as_array().unwrap().len())
        .collect();
    assert_eq!(lengths, [2, 4, 4, 2]);
    assert_eq!(
        rows[0]["first"],
        json!({ "across_cm": 4.75, "up_cm": -3.75 })
    );
    for row in &rows {
        for (days, step) in row["days"]
            .as_array()
            .unwrap()
            .iter()
            .zip(row["step"].as_array().unwrap())
        {
            assert_eq!((days, step), (&json!(2), &json!(1)));
        }
        assert_eq!(
            row["load"].as_array().unwrap().len(),
            row["days"].as_array().unwrap().len()
        );
    }
    assert!(
        on(&mut door, "2026-05-09T09:00:00+01:00").is_empty(),
        "not given yet"
    );
}

#[test]
fn a_well_used_body_fits_a_short_reply() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let mut n = 0;
    for across in -12..=12 {
        for up in [-8, -6, -4, 3, 5, 7] {
            n += 1;
            let quadrant = match (across < 0, up > 0) {
                (true, true) => "right_upper",
                (true, false) => "right_lower",
                (false, true) => "left_upper",
                (false, false) => "left_lower",
            };
            let site = abdomen(quadrant, f64::from(across), f64::from(up));
            let mut entry = injection(
                n,
                &person,
                &order,
                site,
                &format!(
                    "2026-05-{:02}T{:02}:{:02}:00+01:00",
                    1 + n % 28,
                    n % 24,
                    n % 60
                ),
            );
            entry["reason"] = json!("Test of the measures.");
            let _ = door.call("injection_record", entry);
        }
    }
    let grid = door.ok("use_grid", json!({ "person": person }));
    let used: usize = grid["zones"][0]["rows"]
        .as_array()
        .unwrap()
        .iter()
        .map(|r| r["days"].as_array().unwrap().len())
        .sum();
    assert!(used > 500, "{used} cells");
    assert!(
        grid.to_string().len() < 200_000,
        "{} bytes",
        grid.to_string().len()
    );
}

#[test]
fn what_cannot_be_asked_is_refused_by_code() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    for (op, args, code) in [
        (
            "measures",
            json!({ "person": person, "from": "2026-06-01", "to": "2026-05-01" }),
            "dates_reversed",
        ),
        (
            "measures",
            json!({ "person": person, "from": "yesterday" }),
            "bad_date",
        ),
        ("measures", json!({ "person": id(99) }), "unknown_person"),
        (
            "measures",
            json!({ "person": person, "days": 3 }),
            "bad_request",
        ),
        ("use_grid", json!({ "person": id(99) }), "unknown_person"),
        (
            "use_grid",
            json!({ "person": person, "zone": "elbow" }),
            "unknown_zone",
        ),
        (
            "use_grid",
            json!({ "person": person, "at": "soon" }),
            "bad_time",
        ),
    ] {
        assert_eq!(door.refused(op, args)["code"], code, "{op}");
    }
    // Ends of what a date can be: an answer, and no panic.
    let all = json!({ "person": person, "from": "1890-01-01", "to": "2200-12-31" });
    assert_eq!(door.ok("measures", all)["injections"], 0);
}
