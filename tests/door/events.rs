//! Events put right and taken back, through the door.

use serde_json::{Value, json};

use super::visit::{NOW, event, glucose, meals, pairs, standings};
use super::{Door, id};

#[test]
fn an_event_is_put_right_by_a_new_one_and_both_can_be_seen() {
    let mut door = Door::at(NOW);
    let (person, order) = meals(&mut door);
    door.ok("event_record", glucose(1, &person, NOW, "3.4"));
    let right = json!({
        "id": id(2), "replaces": id(1), "reason": "Read from the wrong line.", "value": "8.4",
        "at": "2026-06-03T09:10:00+01:00", "note": "Before the walk", "recorder": "Jory Oakfell",
    });
    let saved = door.ok("event_correct", right.clone());
    assert_eq!(saved["words"], "Glucose 8.4 mmol/L: Before the walk.");
    assert_eq!(saved["at"], "2026-06-03T09:10:00+01:00");
    assert_eq!(door.ok("event_correct", right), saved, "the same press");
    let only = door.ok("event_list", json!({ "person": person }));
    assert_eq!(only["events"], json!([saved]));
    // A note can be taken off again; the value stays.
    let bare = json!({ "id": id(3), "replaces": id(2), "reason": "No walk.", "note": "", "recorder": "Jory Oakfell" });
    assert_eq!(
        door.ok("event_correct", bare)["words"],
        "Glucose 8.4 mmol/L."
    );
    let gone = json!({ "id": id(4), "replaces": id(3), "reason": "Another person's meter.", "recorder": "Jory Oakfell" });
    assert_eq!(
        door.ok("event_withdraw", gone)["status"],
        "entered_in_error"
    );
    assert_eq!(
        door.ok("event_list", json!({ "person": person }))["events"],
        json!([])
    );
    let all = door.ok(
        "event_list",
        json!({ "person": person, "superseded": true }),
    );
    let told: Vec<_> = all["events"]
        .as_array()
        .unwrap()
        .iter()
        .map(|e| {
            let text = |key: &str| e[key].as_str().unwrap_or("").to_owned();
            (
                text("id"),
                text("status"),
                text("replaced_by"),
                text("reason"),
            )
        })
        .collect();
    let line = |n: u64, status: &str, by: Option<u64>, reason: &str| {
        let by = by.map_or_else(String::new, id);
        (id(n), status.to_owned(), by, reason.to_owned())
    };
    assert_eq!(
        told,
        [
            line(1, "final", Some(2), ""),
            line(4, "entered_in_error", None, "Another person's meter."),
            line(3, "final", Some(4), "No walk."),
            line(2, "final", Some(3), "Read from the wrong line."),
        ]
    );
    // What cannot be put right says so and leaves nothing behind.
    let change = |n: u64, of: u64, more: Value| {
        let mut args = json!({ "id": id(n), "replaces": id(of), "reason": "Wrong.", "recorder": "Jory Oakfell" });
        args.as_object_mut()
            .unwrap()
            .extend(more.as_object().unwrap().clone());
        args
    };
    door.ok("event_record", glucose(10, &person, NOW, "6.1"));
    let not = json!({ "order": order, "at": "2026-06-03T18:00:00+01:00", "code": "declined" });
    door.ok("event_record", event(11, &person, "not_given", not));
    for (args, code) in [
        (
            change(20, 3, json!({ "value": "9.0" })),
            "already_corrected",
        ),
        (
            change(20, 4, json!({ "value": "9.0" })),
            "already_corrected",
        ),
        (change(20, 9, json!({ "value": "9.0" })), "unknown_event"),
        (change(1, 10, json!({ "value": "9.0" })), "id_reused"),
        (change(20, 10, json!({})), "bad_request"),
        (change(20, 10, json!({ "value": "6.1" })), "bad_request"),
        (change(20, 10, json!({ "value": "sixty" })), "bad_glucose"),
        (
            change(20, 10, json!({ "value": "9.0", "reason": " " })),
            "bad_text",
        ),
        (
            change(20, 10, json!({ "at": "2026-06-04T09:00:00+01:00" })),
            "time_in_future",
        ),
        (
            change(20, 11, json!({ "at": "2026-06-03T17:00:00+01:00" })),
            "bad_time",
        ),
        (change(20, 11, json!({ "code": "bored" })), "bad_code"),
        (change(20, 11, json!({ "code": "other" })), "bad_text"),
    ] {
        assert_eq!(
            door.refused("event_correct", args.clone())["code"],
            code,
            "{args}"
        );
    }
    assert_eq!(
        door.ok("event_list", json!({ "person": person }))["events"][0]["id"],
        id(11)
    );
    // Its slot moves with it.
    let later = json!({ "at": "2026-06-03T22:00:00+01:00", "code": "away" });
    door.ok("event_correct", change(21, 11, later));
    assert_eq!(
        standings(&mut door, &person),
        pairs(&[
            ("late", "08:00"),
            ("upcoming", "12:30"),
            ("upcoming", "18:00"),
            ("not_given", "22:00")
        ])
    );
}
