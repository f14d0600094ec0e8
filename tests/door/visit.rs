//! The visit through the door: orders with terms, what is due, not given, the handover.

use serde_json::{Value, json};

use super::{Door, abdomen, id, injection, open, units};

pub const NOW: &str = "2026-06-03T09:30:00+01:00";

/// Of the first slot: standing, words, time.
fn slots(due: &Value) -> Vec<(String, String, String)> {
    let text = |v: &Value| v.as_str().unwrap().to_owned();
    due["slots"]
        .as_array()
        .unwrap()
        .iter()
        .map(|s| (text(&s["standing"]), text(&s["time"]), text(&s["words"])))
        .collect()
}

pub fn standings(door: &mut Door, person: &str) -> Vec<(String, String)> {
    let due = door.ok("due", json!({ "person": person }));
    slots(&due)
        .into_iter()
        .map(|(standing, time, _)| (standing, time))
        .collect()
}

pub fn pairs(list: &[(&str, &str)]) -> Vec<(String, String)> {
    list.iter()
        .map(|(a, b)| ((*a).to_owned(), (*b).to_owned()))
        .collect()
}

/// A person with insulin aspart four times a day.
pub fn meals(door: &mut Door) -> (String, String) {
    let person = door.person("Europe/London");
    let order = door.order(
        &person,
        "insulin-aspart-100",
        units("4"),
        &["08:00", "12:30", "18:00", "22:00"],
    );
    (person, order)
}

pub fn event(n: u64, person: &str, about: &str, more: Value) -> Value {
    let mut event = json!({ "id": id(n), "person": person, "about": about, "at": NOW, "recorder": "Nurse Imri Vane" });
    event
        .as_object_mut()
        .unwrap()
        .extend(more.as_object().unwrap().clone());
    event
}

pub fn glucose(n: u64, person: &str, at: &str, value: &str) -> Value {
    event(
        n,
        person,
        "glucose",
        json!({ "at": at, "value": value, "unit": "mmol/L" }),
    )
}

#[test]
fn a_day_is_late_due_upcoming_given_not_given_and_without_a_record() {
    let mut door = Door::at(NOW);
    let (person, order) = meals(&mut door);
    // The shortest gap is 4 h: 08:00 is late until 10:00.
    assert_eq!(
        standings(&mut door, &person),
        pairs(&[
            ("late", "08:00"),
            ("upcoming", "12:30"),
            ("upcoming", "18:00"),
            ("upcoming", "22:00")
        ])
    );
    door.now = "2026-06-03T12:00:00+01:00".to_owned();
    assert_eq!(
        standings(&mut door, &person)[0],
        ("due".to_owned(), "12:30".to_owned())
    );
    assert_eq!(
        standings(&mut door, &person)[3],
        ("no_record".to_owned(), "08:00".to_owned()),
        "never called missed"
    );
    let mut given = injection(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T11:55:00+01:00",
    );
    given["dose"] = units("4");
    door.ok("injection_record", given);
    let due = door.ok("due", json!({ "person": person }));
    let filled = due["slots"]
        .as_array()
        .unwrap()
        .iter()
        .find(|s| s["time"] == "12:30")
        .unwrap();
    assert_eq!(
        (&filled["standing"], &filled["injection"]["recorder"]),
        (&json!("given"), &json!("Jory Oakfell"))
    );
    assert!(
        filled["last_words"]
            .as_str()
            .unwrap()
            .contains("5 min ago: 4 units by Jory Oakfell"),
        "{filled}"
    );
    // Said beforehand that the evening will not be given.
    let not = event(
        2,
        &person,
        "not_given",
        json!({ "order": order, "at": "2026-06-03T18:00:00+01:00", "code": "held_by_prescriber" }),
    );
    let saved = door.ok("event_record", not.clone());
    assert_eq!(saved["words"], "Not given: held by the prescriber.");
    assert_eq!(
        door.ok("event_record", not)["id"],
        saved["id"],
        "the same press of the button"
    );
    assert_eq!(
        standings(&mut door, &person),
        pairs(&[
            ("upcoming", "22:00"),
            ("no_record", "08:00"),
            ("not_given", "18:00"),
            ("given", "12:30")
        ])
    );
    // It never happened: the slot is open again.
    door.ok("event_withdraw", json!({ "id": id(3), "replaces": id(2), "reason": "Wrong person.", "recorder": "Nurse Imri Vane" }));
    assert_eq!(
        standings(&mut door, &person)[1],
        ("upcoming".to_owned(), "22:00".to_owned())
    );
    assert_eq!(
        door.ok("event_list", json!({ "person": person }))["events"],
        json!([])
    );
}

#[test]
fn not_given_is_refused_for_what_was_given_and_for_times_nobody_asked_for() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    door.give(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:05:00+01:00",
    );
    let not = |n: u64, at: &str, code: &str| {
        event(
            n,
            &person,
            "not_given",
            json!({ "order": order, "at": at, "code": code }),
        )
    };
    let refused = door.refused(
        "event_record",
        not(2, "2026-06-03T08:00:00+01:00", "declined"),
    );
    assert_eq!(
        (&refused["code"], &refused["earlier"]["recorder"]),
        (&json!("already_given"), &json!("Jory Oakfell"))
    );
    assert_eq!(
        door.refused(
            "event_record",
            not(3, "2026-06-03T08:10:00+01:00", "declined")
        )["code"],
        "bad_time"
    );
    assert_eq!(
        door.refused("event_record", not(4, "2026-06-04T08:00:00+01:00", "bored"))["code"],
        "bad_code"
    );
    assert_eq!(
        door.refused("event_record", not(5, "2026-06-04T08:00:00+01:00", "other"))["code"],
        "bad_text"
    );
    let nobody = event(
        6,
        &person,
        "not_given",
        json!({ "at": "2026-06-04T08:00:00+01:00", "code": "declined" }),
    );
    assert_eq!(
        door.refused("event_record", nobody)["code"],
        "unknown_order"
    );
    let mut other = not(7, "2026-06-04T08:00:00+01:00", "other");
    other["note"] = json!("The pump is on.");
    assert_eq!(
        door.ok("event_record", other)["words"],
        "Not given: another reason: The pump is on."
    );
    assert_eq!(door.count(&person), 1, "not given is no injection");
}

#[test]
fn a_weekly_medicine_is_stopped_when_asked_for_more_often() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    let order = |every: u16, terms: Value, times: &[&str]| {
        json!({ "person": person, "medicine": "methotrexate", "dose": { "value": "15", "unit": "mg" }, "times": times,
                "every_days": every, "from": "2026-06-01", "prescriber": "Dr Halloran Vey", "terms": terms })
    };
    for (every, terms, times) in [
        (1, json!({}), vec!["18:00"]),
        (6, json!({}), vec!["18:00"]),
        (1, json!({ "weekdays": [1, 4] }), vec!["18:00"]),
        (7, json!({}), vec!["08:00", "18:00"]),
    ] {
        let refused = door.refused("order_add", order(every, terms, &times));
        assert_eq!(refused["code"], "weekly_medicine");
        assert!(
            refused["message"]
                .as_str()
                .unwrap()
                .contains("once a WEEK only"),
            "{refused}"
        );
    }
    let saved = door.ok(
        "order_add",
        order(1, json!({ "weekdays": [3] }), &["18:00"]),
    );
    assert_eq!(saved["order"]["times_words"], "on Wed at 18:00");
    let weekly = saved["id"].as_str().unwrap().to_owned();
    let dose = json!({ "value": "15", "unit": "mg" });
    let mut give = injection(
        1,
        &person,
        &weekly,
        abdomen("left_lower", 8.0, -4.0),
        "2026-05-28T18:00:00+01:00",
    );
    give["dose"] = dose.clone();
    give["reason"] = json!("Before the order was entered here.");
    door.ok("injection_record", give);
    // Five and a half days later: half a week has passed, a week has not.
    let mut again = injection(
        2,
        &person,
        &weekly,
        abdomen("right_lower", -8.0, -4.0),
        "2026-06-03T06:00:00+01:00",
    );
    again["dose"] = dose;
    let refused = door.refused("injection_record", again.clone());
    assert_eq!(refused["code"], "second_dose");
    assert!(
        refused["message"]
            .as_str()
            .unwrap()
            .starts_with("STOP: once a WEEK only."),
        "{refused}"
    );
    again["reason"] = json!("The prescriber moved the day.");
    door.ok("injection_record", again);
}

#[test]
fn an_order_has_terms_and_changing_it_leaves_old_injections_theirs() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    let order = json!({
        "person": person, "medicine": "insulin-glargine-100", "dose": units("12"), "times": ["08:00"], "from": "2026-01-01",
        "prescriber": "Dr Halloran Vey",
        "terms": { "window_before_min": 30, "window_after_min": 15, "device": "pen", "needle_mm": 4.0, "signed_on": "2026-01-01",
                   "review_by": "2026-06-01", "asks_glucose": true, "glucose_unit": "mmol/L", "glucose_low": "5.0",
                   "glucose_high": "15", "second_check": true, "may_give": "a registered nurse", "regions": [{ "time": "08:00", "zones": ["abdomen"] }] }
    });
    let saved = door.ok("order_add", order.clone());
    let id_of = saved["id"].as_str().unwrap().to_owned();
    for (key, value) in order["terms"].as_object().unwrap() {
        assert_eq!(&saved["order"]["terms"][key], value, "{key}");
    }
    assert!(
        saved["order"]["doubts"][0]
            .as_str()
            .unwrap()
            .contains("reviewed by 1 Jun 2026"),
        "{saved}"
    );
    door.give(
        1,
        &person,
        &id_of,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:10:00+01:00",
    );
    let mut changed = order.clone();
    changed["dose"] = units("14");
    let after = door.ok(
        "order_change",
        json!({ "order": id_of, "reason": "Dr Vey rang.", "to": changed }),
    );
    assert_eq!(
        (&after["id"], &after["order"]["dose"]),
        (&json!(id_of), &units("14"))
    );
    let list = door.ok("injection_list", json!({ "person": person }));
    assert_eq!(list["injections"][0]["dose"], units("12"));
    let mut other = order.clone();
    other["medicine"] = json!("insulin-detemir-100");
    assert_eq!(
        door.refused(
            "order_change",
            json!({ "order": id_of, "reason": "x", "to": other })
        )["code"],
        "order_of_another"
    );
    for (terms, code) in [
        (json!({ "weekdays": [8] }), "bad_count"),
        (json!({ "window_before_min": 30 }), "bad_count"),
        (json!({ "device": "spoon" }), "bad_code"),
        (json!({ "needle_mm": 0.4 }), "bad_size"),
        (json!({ "signed_on": "yesterday" }), "bad_date"),
        (json!({ "glucose_low": "4.0" }), "wrong_unit"),
        (
            json!({ "glucose_unit": "mmol/L", "glucose_low": "4,0" }),
            "bad_glucose",
        ),
        (
            json!({ "glucose_unit": "mmol/L", "glucose_low": "90" }),
            "bad_glucose",
        ),
        (
            json!({ "glucose_unit": "mmol/L", "glucose_low": "9", "glucose_high": "5" }),
            "bad_glucose",
        ),
        (
            json!({ "regions": [{ "time": "09:00", "zones": ["abdomen"] }] }),
            "bad_time",
        ),
        (
            json!({ "regions": [{ "time": "08:00", "zones": ["tail"] }] }),
            "unknown_zone",
        ),
    ] {
        let mut bad = order.clone();
        bad["terms"] = terms;
        let refused = door.refused(
            "order_change",
            json!({ "order": id_of, "reason": "x", "to": bad }),
        );
        assert_eq!(refused["code"], code, "{refused}");
    }
}

#[test]
fn the_next_injection_is_told_when_nothing_is_open() {
    let mut door = Door::at("2026-06-03T22:30:00+01:00");
    let (person, order) = door.glargine("Europe/London");
    door.give(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:05:00+01:00",
    );
    let due = door.ok("due", json!({ "person": person }));
    assert_eq!(due["next_words"], "Next tomorrow at 08:00");
    let all = door.ok("due", json!({}));
    assert_eq!((slots(&all).len(), &all["next_words"]), (1, &json!(null)));
    let other = door.person("Europe/London");
    door.order(&other, "insulin-aspart-100", units("4"), &[]);
    assert_eq!(
        door.ok("due", json!({}))["as_needed"][0]["person"],
        json!(other)
    );
    assert_eq!(
        door.refused("due", json!({ "at": "noon" }))["code"],
        "bad_time"
    );
}

#[test]
fn the_handover_says_what_was_done_what_was_not_and_what_to_look_after() {
    let mut door = Door::at("2026-06-03T15:00:00+01:00");
    let (person, order) = meals(&mut door);
    let mut given = injection(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:05:00+01:00",
    );
    given["dose"] = units("4");
    given["act"] = json!({ "outcomes": ["lump_felt"], "needle_disposed": true, "checks": ["identity", "allergies"] });
    let saved = door.ok("injection_record", given);
    assert_eq!(
        (
            &saved["act"]["outcome_words"],
            &saved["act"]["needle_disposed"]
        ),
        (&json!("a lump was felt"), &json!(true))
    );
    door.ok(
        "event_record",
        glucose(3, &person, "2026-06-03T12:00:00+01:00", "3.1"),
    );
    let shift = json!({ "from": "2026-06-03T07:00:00+01:00", "to": "2026-06-03T15:00:00+01:00" });
    let hand = door.ok("handover", shift.clone());
    assert_eq!(
        hand["summary"],
        "1 given, 0 not given, 1 without a record, 2 concerns."
    );
    assert!(
        hand["open"][0]["words"]
            .as_str()
            .unwrap()
            .starts_with("12:30 4 units"),
        "{hand}"
    );
    assert_eq!(
        (&hand["open"][0]["order"], &hand["open"][0]["at"]),
        (&json!(order), &json!("2026-06-03T12:30:00+01:00")),
        "an open line leads to its slot"
    );
    assert_eq!(hand["given"][0]["at"], Value::Null);
    let concerns = hand["concerns"].to_string();
    assert!(
        concerns.contains("a lump was felt") && concerns.contains("3.1 mmol/L"),
        "{hand}"
    );
    let not = event(
        4,
        &person,
        "not_given",
        json!({ "order": order, "at": "2026-06-03T12:30:00+01:00", "code": "low_glucose" }),
    );
    door.ok("event_record", not);
    let hand = door.ok("handover", shift);
    assert_eq!(
        hand["summary"],
        "1 given, 1 not given, 0 without a record, 2 concerns."
    );
    assert_eq!(
        door.refused(
            "handover",
            json!({ "from": "2026-06-03T15:00:00+01:00", "to": "2026-06-03T07:00:00+01:00" })
        )["code"],
        "dates_reversed"
    );
}

/// Two copies of the app on one store race for a hundred slots: never two undisputed doses in one.
#[test]
fn two_copies_race_for_a_hundred_slots() {
    let mut door = Door::at("2026-06-03T09:00:00+01:00");
    let (person, order) = door.glargine("Europe/London");
    let path = door.dir.path().to_owned();
    let days: Vec<String> = (0..100)
        .map(|n| {
            (chrono::NaiveDate::from_ymd_opt(2026, 2, 20).unwrap() + chrono::Days::new(n))
                .to_string()
        })
        .collect();
    let barrier = std::sync::Barrier::new(2);
    let run = |copy: u64| {
        let mut other = Door {
            app: open(&path, "2026-06-03T09:00:00+01:00"),
            dir: tempfile::tempdir().unwrap(),
            now: "2026-06-03T09:00:00+01:00".to_owned(),
        };
        let mut told = 0;
        for (n, day) in (1_u64..).zip(&days) {
            let offset = if day.as_str() < "2026-03-29" {
                "+00:00"
            } else {
                "+01:00"
            };
            let at = format!("{day}T08:{:02}:00{offset}", copy * 4);
            let site = abdomen("left_lower", 3.0 + (n % 9) as f64, -3.0 - (n % 5) as f64);
            let mut give = injection(copy * 1000 + n, &person, &order, site, &at);
            give["reason"] = json!("Test of two copies.");
            // The reason is for the place only, so it does not cover a second dose.
            give["acknowledges"] = json!(["avoid_needs_reason"]);
            barrier.wait();
            let mut reply = other.call("injection_record", give.clone());
            while reply["error"]["code"] == "busy" {
                reply = other.call("injection_record", give.clone());
            }
            if reply["error"]["code"] == "second_dose" {
                told += 1;
            } else {
                assert!(reply.get("ok").is_some(), "{reply}");
            }
        }
        told
    };
    let told: u64 = std::thread::scope(|scope| {
        let threads = [scope.spawn(|| run(1)), scope.spawn(|| run(2))];
        threads.into_iter().map(|t| t.join().unwrap()).sum()
    });
    assert_eq!(told, 100, "in every slot one copy is told");
    assert_eq!(door.count(&person), 100);
}
