//! Acceptance case S5: one press twice is one dose; a second dose in a slot is caught, told and allowed with a reason.

use serde_json::json;

use super::{Door, abdomen, id, injection};

const NOW: &str = "2026-06-03T08:10:00+01:00";

#[test]
fn s5_the_same_id_twice_saves_once_and_a_further_dose_asks_why() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let thigh = json!({ "zone": "left_thigh", "quadrant": "upper_outer" });
    let first = injection(1, &person, &order, thigh, "2026-06-03T08:00:00+01:00");
    let one = door.ok("injection_record", first.clone());
    let two = door.ok("injection_record", first.clone());
    assert_eq!(one, two);
    assert_eq!(door.count(&person), 1);

    let further = injection(
        2,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:04:00+01:00",
    );
    let caught = door.refused("injection_record", further.clone());
    assert_eq!(caught["code"], "second_dose");
    assert_eq!(caught["ago"], "4 min ago");
    assert_eq!(caught["earlier"]["id"], id(1));
    assert_eq!(caught["earlier"]["recorder"], "Jory Oakfell");
    let words = caught["message"].as_str().unwrap();
    assert!(
        words.contains("12 units") && words.contains("4 min ago") && words.contains("Left thigh"),
        "{words}"
    );
    assert_eq!(door.count(&person), 1, "cancelling leaves one");

    let mut with_reason = further;
    with_reason["reason"] = json!("First dose leaked out; the prescriber said to repeat.");
    door.ok("injection_record", with_reason);
    assert_eq!(door.count(&person), 2);
}

#[test]
fn a_reason_for_one_thing_does_not_silence_another() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    door.give(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:00:00+01:00",
    );
    let mut again = injection(
        2,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:05:00+01:00",
    );
    again["reason"] = json!("Only place in reach.");
    again["acknowledges"] = json!(["avoid_needs_reason"]);
    assert_eq!(
        door.refused("injection_record", again.clone())["code"],
        "second_dose"
    );
    again["acknowledges"] = json!(["avoid_needs_reason", "second_dose"]);
    door.ok("injection_record", again);
}

#[test]
fn a_dose_recorded_late_is_held_against_the_ones_after_it_too() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    door.give(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:00:00+01:00",
    );
    let late = injection(
        2,
        &person,
        &order,
        abdomen("left_upper", 5.5, 3.0),
        "2026-06-03T07:30:00+01:00",
    );
    let caught = door.refused("injection_record", late);
    assert_eq!(
        (&caught["code"], &caught["ago"]),
        (&json!("second_dose"), &json!("30 min later"))
    );
}

#[test]
fn avoid_asks_for_a_reason_and_records_it() {
    let mut door = Door::at("2026-06-05T08:10:00+01:00");
    let (person, order) = door.glargine("Europe/London");
    door.give(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:00:00+01:00",
    );
    let near = injection(
        2,
        &person,
        &order,
        abdomen("left_lower", 5.9, -3.0),
        "2026-06-05T08:00:00+01:00",
    );
    let asked = door.refused("injection_record", near.clone());
    assert_eq!(asked["code"], "avoid_needs_reason");
    assert_eq!(asked["reasons"][0]["rule"], "spacing");
    let mut told = near;
    told["reason"] = json!("Dressing over the rest.");
    assert_eq!(
        door.ok("injection_record", told)["reason"],
        "Dressing over the rest."
    );
}

#[test]
fn one_slot_raced_for_by_two_copies_goes_to_one() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let dir = door.dir.path().to_owned();
    for round in 0..20_u64 {
        let at = chrono::DateTime::parse_from_rfc3339(NOW).unwrap()
            - chrono::Duration::days(300 - round as i64 * 2);
        let give = |n: u64| {
            let mut site = abdomen("left_lower", 4.0, -3.0);
            site["across_cm"] = json!(4.0 + round as f64 * 0.3);
            let mut args = injection(
                1000 + round * 2 + n,
                &person,
                &order,
                site,
                &at.to_rfc3339(),
            );
            args["reason"] = json!("Only place in reach.");
            args["acknowledges"] = json!(["avoid_needs_reason", "order_not_in_force"]);
            json!({ "op": "injection_record", "args": args }).to_string()
        };
        let copies: Vec<_> = (0..2)
            .map(|n| {
                let (dir, line) = (dir.clone(), give(n));
                std::thread::spawn(move || {
                    let mut app = super::open(&dir, NOW);
                    fallow_api::answer(&mut app, &line, super::now(NOW))
                })
            })
            .collect();
        let replies: Vec<String> = copies.into_iter().map(|c| c.join().unwrap()).collect();
        let saved = replies.iter().filter(|r| r.starts_with(r#"{"ok""#)).count();
        let told = replies.iter().filter(|r| r.contains("second_dose")).count();
        assert_eq!((saved, told), (1, 1), "round {round}: {replies:?}");
    }
}
