//! Glucose through the door: questioned and judged as it was read, and the steps for a low one.

use serde_json::json;

use super::visit::{NOW, event, glucose};
use super::{Door, open};

#[test]
fn a_glucose_is_questioned_judged_and_never_changed() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let check = |door: &mut Door, value: &str, unit: &str| {
        door.ok(
            "glucose_check",
            json!({ "person": person, "order": order, "value": value, "unit": unit }),
        )
    };
    // JBDS 01: low below 4.0 mmol/L.
    for (value, unit, standing, question) in [
        ("5.4", "mmol/L", "in_range", false),
        ("3.9", "mmol/L", "low", false),
        ("4.0", "mmol/L", "in_range", false),
        ("2.9", "mmol/L", "very_low", false),
        ("LO", "mmol/L", "very_low", false),
        ("70", "mg/dL", "low", false),
        ("90", "mmol/L", "check_ketones", true),
        ("5", "mg/dL", "very_low", true),
    ] {
        let said = check(&mut door, value, unit);
        assert_eq!(
            (&said["standing"], said["question"].is_string()),
            (&json!(standing), question),
            "{value} {unit}: {said}"
        );
    }
    // 18.0156 mg/dL are one mmol/L.
    assert_eq!(
        check(&mut door, "5.5", "mmol/L")["shown"],
        "5.5 mmol/L (99 mg/dL)"
    );
    for bad in ["4,5", "1.000", "-4", "1e1", "12 U", "", "five", "0"] {
        let refused = door.refused(
            "glucose_check",
            json!({ "person": person, "value": bad, "unit": "mmol/L" }),
        );
        assert_eq!(refused["code"], "bad_glucose", "{bad}");
        assert!(
            refused["message"].as_str().unwrap().contains(bad),
            "what was typed is told: {refused}"
        );
    }
    assert_eq!(
        door.refused(
            "glucose_check",
            json!({ "person": person, "value": "5", "unit": "mg" })
        )["code"],
        "bad_glucose"
    );
    assert_eq!(
        door.refused("event_record", event(1, &person, "glucose", json!({})))["code"],
        "bad_glucose"
    );
    assert_eq!(
        door.refused(
            "event_record",
            event(
                1,
                &person,
                "ketones",
                json!({ "value": "1.6", "unit": "mg/dL" })
            )
        )["code"],
        "wrong_unit"
    );
    let saved = door.ok(
        "event_record",
        event(
            1,
            &person,
            "ketones",
            json!({ "value": "1.6", "unit": "mmol/L" }),
        ),
    );
    assert_eq!(saved["words"], "Ketones 1.6 mmol/L.");
}

/// The countdown is an instant on record: closing the app, or killing it, does not stop it.
#[test]
fn the_steps_for_a_low_value_outlive_the_app() {
    let mut door = Door::at("2026-06-03T08:00:00+01:00");
    let (person, _) = door.glargine("Europe/London");
    let state = |door: &mut Door| door.ok("glucose_state", json!({ "person": person }));
    assert_eq!(state(&mut door)["steps"]["step"], "not_low");
    door.ok(
        "event_record",
        glucose(1, &person, "2026-06-03T08:00:00+01:00", "3.2"),
    );
    let low = state(&mut door);
    assert_eq!(
        (&low["steps"]["step"], &low["judged"]["low"]),
        (&json!("take_carbohydrate"), &json!(true))
    );
    assert!(low["steps"]["source"].as_str().unwrap().contains("JBDS 01"));
    let took = |n: u64, at: &str| {
        event(
            n,
            &person,
            "carbohydrate",
            json!({ "at": at, "value": "15", "unit": "g" }),
        )
    };
    door.ok("event_record", took(2, "2026-06-03T08:00:00+01:00"));
    // Closed and opened again, seven minutes later.
    door.now = "2026-06-03T08:07:00+01:00".to_owned();
    drop(std::mem::replace(
        &mut door.app,
        open(std::path::Path::new("/nonexistent"), NOW),
    ));
    door.app = open(door.dir.path(), "2026-06-03T08:07:00+01:00");
    let waiting = state(&mut door);
    assert_eq!(
        (
            &waiting["steps"]["step"],
            &waiting["steps"]["seconds_left"],
            &waiting["steps"]["until"]
        ),
        (
            &json!("wait"),
            &json!(480),
            &json!("2026-06-03T08:15:00+01:00")
        )
    );
    door.now = "2026-06-03T08:16:00+01:00".to_owned();
    assert_eq!(state(&mut door)["steps"]["step"], "check_again");
    for (round, minute) in [(2_u64, 16), (3, 32)] {
        let at = format!("2026-06-03T08:{minute}:00+01:00");
        door.now.clone_from(&at);
        door.ok("event_record", glucose(round * 10, &person, &at, "3.4"));
        door.ok("event_record", took(round * 10 + 1, &at));
        assert_eq!(state(&mut door)["steps"]["rounds"], round);
    }
    door.now = "2026-06-03T08:48:00+01:00".to_owned();
    door.ok(
        "event_record",
        glucose(40, &person, "2026-06-03T08:48:00+01:00", "3.5"),
    );
    assert_eq!(state(&mut door)["steps"]["step"], "call_for_help");
    door.now = "2026-06-03T08:55:00+01:00".to_owned();
    door.ok(
        "event_record",
        glucose(41, &person, "2026-06-03T08:55:00+01:00", "5.1"),
    );
    assert_eq!(state(&mut door)["steps"]["step"], "finished");
    // Another low value later begins anew, and drowsiness outranks everything.
    door.now = "2026-06-03T11:00:00+01:00".to_owned();
    door.ok(
        "event_record",
        glucose(42, &person, "2026-06-03T11:00:00+01:00", "3.0"),
    );
    let again = state(&mut door);
    assert_eq!(
        (&again["steps"]["step"], &again["steps"]["rounds"]),
        (&json!("take_carbohydrate"), &json!(0))
    );
    door.ok(
        "event_record",
        event(
            43,
            &person,
            "alarm",
            json!({ "at": "2026-06-03T11:00:00+01:00", "code": "drowsy" }),
        ),
    );
    assert_eq!(state(&mut door)["steps"]["step"], "call_emergency_services");
    door.now = "2026-06-03T11:40:00+01:00".to_owned();
    door.ok(
        "event_record",
        glucose(44, &person, "2026-06-03T11:30:00+01:00", "6.0"),
    );
    assert_eq!(
        state(&mut door)["steps"]["step"],
        "call_emergency_services",
        "a value alone does not end it"
    );
    door.ok(
        "event_record",
        event(
            45,
            &person,
            "alarm",
            json!({ "at": "2026-06-03T11:40:00+01:00", "code": "over" }),
        ),
    );
    assert_eq!(state(&mut door)["steps"]["step"], "not_low");
    let words = state(&mut door).to_string().to_lowercase();
    assert!(!words.contains("units"), "never a dose: {words}");
}
