//! Every kind of bad input gets a stable code, a sentence that says what to do, and leaves nothing half-written.

use serde_json::{Value, json};

use super::{Door, abdomen, id, injection, units};

const NOW: &str = "2026-06-03T09:00:00+01:00";
const AT: &str = "2026-06-03T08:00:00+01:00";

#[test]
fn lines_that_are_no_request() {
    let mut door = Door::at(NOW);
    for (line, code) in [
        ("", "bad_json"),
        ("{", "bad_json"),
        ("nonsense", "bad_json"),
        (
            r#"{"op":"person_list","args":{"search":1e999}}"#,
            "bad_json",
        ),
        ("[]", "bad_request"),
        ("{}", "bad_request"),
        (r#"{"op":5}"#, "bad_request"),
        (r#"{"op":"person_remove","args":{}}"#, "unknown_op"),
        (r#"{"op":"person_get"}"#, "bad_request"),
        (r#"{"op":"person_get","args":{"person":5}}"#, "bad_request"),
        (
            r#"{"op":"person_get","args":{"person":"x","perzon":"y"}}"#,
            "bad_request",
        ),
        (
            r#"{"op":"person_get","args":{"person":"x"}}"#,
            "unknown_person",
        ),
    ] {
        assert_eq!(door.line(line)["error"]["code"], code, "{line}");
    }
    assert!(
        door.line(r#"{"op":"person_list"}"#)["ok"].is_object(),
        "the door still answers"
    );
}

/// Changes one member of a good injection and says what the refusal's code is.
#[test]
fn injections() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let other = door.person("Europe/London");
    let others_order = door.order(&other, "insulin-glargine-100", units("4"), &["08:00"]);
    let good = injection(1, &person, &order, abdomen("left_lower", 5.5, -3.0), AT);
    let cases: Vec<(&str, Value, &str)> = vec![
        ("id", json!("7"), "bad_id"),
        ("id", json!(order), "id_reused"),
        ("person", json!(id(99)), "unknown_person"),
        ("order", json!(id(99)), "unknown_order"),
        ("order", json!(others_order), "order_of_another"),
        (
            "site",
            json!({ "zone": "stomach", "quadrant": "left_lower" }),
            "unknown_zone",
        ),
        (
            "site",
            json!({ "zone": "abdomen", "quadrant": "upper_outer" }),
            "unknown_quadrant",
        ),
        (
            "site",
            json!({ "zone": "abdomen", "quadrant": "middle" }),
            "unknown_quadrant",
        ),
        ("site", json!({ "zone": "abdomen" }), "site_incomplete"),
        (
            "site",
            json!({ "zone": "abdomen", "quadrant": "left_lower", "across_cm": 5 }),
            "site_incomplete",
        ),
        (
            "site",
            abdomen("left_lower", -5.5, -3.0),
            "site_outside_quadrant",
        ),
        (
            "site",
            abdomen("left_lower", 5.5, 3.0),
            "site_outside_quadrant",
        ),
        ("site", abdomen("left_lower", 80.0, -3.0), "site_off_zone"),
        ("site", abdomen("left_lower", 1e300, -3.0), "site_off_zone"),
        (
            "site",
            json!({ "zone": "abdomen", "quadrant": "left_lower", "x": 1 }),
            "bad_request",
        ),
        ("dose", units("0"), "bad_dose"),
        ("dose", units("-3"), "bad_dose"),
        ("dose", units("1e3"), "bad_dose"),
        ("dose", units("12,5"), "bad_dose"),
        ("dose", units("12U"), "bad_dose"),
        ("dose", units(""), "bad_dose"),
        ("dose", units("100001"), "bad_dose"),
        ("dose", json!({ "value": "12", "unit": "mg" }), "wrong_unit"),
        ("dose", json!({ "value": "12", "unit": "IU" }), "wrong_unit"),
        (
            "dose",
            json!({ "value": 12, "unit": "units" }),
            "bad_request",
        ),
        ("given_at", json!("yesterday"), "bad_time"),
        ("given_at", json!("2026-06-03"), "bad_time"),
        ("given_at", json!("2026-06-31T08:00:00+01:00"), "bad_time"),
        (
            "given_at",
            json!("2027-06-03T08:00:00+01:00"),
            "time_in_future",
        ),
        (
            "given_at",
            json!("2026-06-03T09:03:00+01:00"),
            "time_in_future",
        ),
        (
            "given_at",
            json!("1950-06-03T08:00:00+01:00"),
            "time_before_birth",
        ),
        ("given_at", json!("2026-03-29T01:30"), "time_in_gap"),
        ("zone", json!("Europe/Atlantis"), "unknown_time_zone"),
        ("recorder", json!(" "), "bad_text"),
        ("recorder", json!("x".repeat(201)), "bad_text"),
        ("note", json!("x".repeat(2001)), "bad_text"),
        ("giver", json!("robot"), "bad_request"),
    ];
    for (member, value, code) in cases {
        let mut bad = good.clone();
        bad[member] = value.clone();
        assert_eq!(
            door.refused("injection_record", bad)["code"],
            code,
            "{member} = {value}"
        );
        assert_eq!(
            door.count(&person),
            0,
            "{member} = {value} left something behind"
        );
    }
    door.ok("injection_record", good.clone());
    let mut reused = good.clone();
    reused["dose"] = units("13");
    assert_eq!(
        door.refused("injection_record", reused)["code"],
        "id_reused"
    );
    assert_eq!(door.count(&person), 1);
}

#[test]
fn corrections() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    door.give(1, &person, &order, abdomen("left_lower", 5.5, -3.0), AT);
    let fix = |n: u64, replaces: u64| json!({ "id": id(n), "replaces": id(replaces), "reason": "Wrong dose.", "dose": units("10") });
    assert_eq!(
        door.refused("injection_correct", fix(2, 77))["code"],
        "unknown_injection"
    );
    let mut no_reason = fix(2, 1);
    no_reason["reason"] = json!("  ");
    assert_eq!(
        door.refused("injection_correct", no_reason)["code"],
        "bad_text"
    );
    let mut bad_dose = fix(2, 1);
    bad_dose["dose"] = units("0");
    assert_eq!(
        door.refused("injection_correct", bad_dose)["code"],
        "bad_dose"
    );
    door.ok("injection_correct", fix(2, 1));
    assert_eq!(
        door.ok("injection_correct", fix(2, 1))["id"],
        id(2),
        "pressed twice, corrected once"
    );
    assert_eq!(
        door.refused("injection_correct", fix(3, 1))["code"],
        "already_corrected"
    );
    let mut withdraw = fix(4, 2);
    withdraw["entered_in_error"] = json!(true);
    withdraw["dose"] = json!(null);
    door.ok("injection_correct", withdraw);
    assert_eq!(
        door.refused("injection_correct", fix(5, 4))["code"],
        "already_corrected"
    );
    assert_eq!(door.count(&person), 3);
}

#[test]
fn people_and_orders() {
    let mut door = Door::at(NOW);
    let person = json!({ "name": "Marit Oakfell", "born": "1951-03-09", "zone": "Europe/London" });
    for (member, value, code) in [
        ("name", json!(""), "bad_text"),
        ("born", json!("9 March"), "bad_date"),
        ("born", json!("1951-02-30"), "bad_date"),
        ("born", json!("2030-01-01"), "bad_date"),
        ("born", json!("0051-03-09"), "bad_date"),
        ("zone", json!("London"), "unknown_time_zone"),
        ("sizes", json!({ "height_cm": 1.68 }), "bad_size"),
        ("sizes", json!({ "waist_cm": 0 }), "bad_size"),
        ("sizes", json!({ "waist_cm": -92 }), "bad_size"),
        ("sizes", json!({ "thigh_cm": 5000 }), "bad_size"),
        ("sizes", json!({ "upper_arm_cm": 1e300 }), "bad_size"),
        ("weight_kg", json!(0.5), "bad_size"),
        ("weight_kg", json!(401), "bad_size"),
        ("sizes", json!({ "head_cm": 50 }), "bad_request"),
        ("zones", json!(["knee"]), "unknown_zone"),
        ("allergies", json!([""]), "bad_text"),
    ] {
        let mut bad = person.clone();
        bad[member] = value.clone();
        assert_eq!(
            door.refused("person_add", bad)["code"],
            code,
            "{member} = {value}"
        );
    }
    assert_eq!(door.ok("person_list", json!({}))["people"], json!([]));
    let person = door.ok("person_add", person)["id"]
        .as_str()
        .unwrap()
        .to_owned();
    let order = json!({ "person": person, "medicine": "insulin-aspart-100", "dose": units("4"), "times": ["08:00"], "from": "2026-06-01", "prescriber": "Dr Halloran Vey" });
    for (member, value, code) in [
        ("person", json!(id(5)), "unknown_person"),
        ("medicine", json!("sugar"), "unknown_medicine"),
        ("dose", units("0"), "bad_dose"),
        ("dose", json!({ "value": "4", "unit": "mg" }), "wrong_unit"),
        ("times", json!(["8"]), "bad_time"),
        ("times", json!(["25:00"]), "bad_time"),
        ("every_days", json!(0), "bad_count"),
        ("from", json!("June"), "bad_date"),
        ("to", json!("2026-05-01"), "dates_reversed"),
        ("prescriber", json!(""), "bad_text"),
    ] {
        let mut bad = order.clone();
        bad[member] = value.clone();
        assert_eq!(
            door.refused("order_add", bad)["code"],
            code,
            "{member} = {value}"
        );
    }
    assert_eq!(
        door.ok("person_get", json!({ "person": person }))["orders"],
        json!([])
    );
}

#[test]
fn questions() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    for (op, args, code) in [
        (
            "site_suggest",
            json!({ "person": person, "order": order, "at": AT, "count": 0 }),
            "bad_count",
        ),
        (
            "site_suggest",
            json!({ "person": person, "order": order, "at": AT, "count": 6 }),
            "bad_count",
        ),
        (
            "site_suggest",
            json!({ "person": person, "order": order, "at": "2026-03-29T01:30" }),
            "time_in_gap",
        ),
        (
            "site_at",
            json!({ "person": person, "view": "side", "x": 1, "y": 1 }),
            "unknown_view",
        ),
        (
            "patch",
            json!({ "person": person, "zone": "head" }),
            "unknown_zone",
        ),
        (
            "injection_list",
            json!({ "person": person, "from": "2026-06-03", "to": "2026-06-01" }),
            "dates_reversed",
        ),
        (
            "injection_list",
            json!({ "person": person, "limit": 0 }),
            "bad_count",
        ),
        (
            "time_resolve",
            json!({ "local": "now", "zone": "Europe/Paris" }),
            "bad_time",
        ),
        (
            "draft_save",
            json!({ "key": "give:x", "body": "x".repeat(70_000) }),
            "bad_text",
        ),
        ("draft_get", json!({ "key": "" }), "bad_text"),
    ] {
        assert_eq!(door.refused(op, args.clone())["code"], code, "{op} {args}");
    }
    let last = door.ok(
        "injection_list",
        json!({ "person": person, "from": "0001-01-01" }),
    );
    assert_eq!(last["injections"], json!([]));
}

/// The database takes a text for ended at a NUL: such a text is refused by name, wherever one is written.
#[test]
fn a_text_with_a_nul_in_it_is_refused_by_name() {
    let mut door = Door::at("2026-06-03T09:00:00+01:00");
    let (person, order) = door.glargine("Europe/London");
    let site = json!({ "zone": "abdomen", "quadrant": "left_lower" });
    for bad in ["\0", "\0Wren", "Wren\0Ashdown", "Wren\0"] {
        let born = json!({ "name": bad, "born": "1951-03-09", "zone": "Europe/London" });
        let mut dose = injection(
            1,
            &person,
            &order,
            site.clone(),
            "2026-06-03T08:00:00+01:00",
        );
        let mut noted = dose.clone();
        dose["recorder"] = json!(bad);
        noted["note"] = json!(bad);
        for (op, args) in [
            ("person_add", born),
            ("injection_record", dose),
            ("injection_record", noted),
            ("draft_save", json!({ "key": bad, "body": "{}" })),
            ("recorder_set", json!({ "name": bad, "new": "4711" })),
        ] {
            assert_eq!(door.refused(op, args)["code"], "bad_text", "{op} {bad:?}");
        }
    }
    assert_eq!(door.count(&person), 0);
}
