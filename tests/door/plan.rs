//! The plan of the coming weeks and the room on this skin, through the door.

use std::collections::HashSet;
use std::time::Instant;

use serde_json::{Value, json};

use super::{Door, abdomen, id, injection, units};

const NOW: &str = "2026-06-03T09:00:00+01:00";

fn entries(plan: &Value) -> Vec<Value> {
    let weeks = plan["weeks"].as_array().unwrap();
    weeks
        .iter()
        .flat_map(|w| w["entries"].as_array().unwrap().clone())
        .collect()
}

fn texts<'a>(list: &'a [Value], key: &str) -> Vec<&'a str> {
    list.iter().map(|e| e[key].as_str().unwrap()).collect()
}

#[test]
fn four_weeks_of_one_a_day_are_planned_at_rested_points() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let plan = door.ok("plan", json!({ "person": person }));
    assert_eq!(
        (&plan["from"], &plan["to"]),
        (&json!("2026-06-03"), &json!("2026-06-30"))
    );
    let all = entries(&plan);
    // 08:00 today has passed with nothing on record: it is still to give, and said so.
    assert_eq!(all.len(), 28, "{plan}");
    assert_eq!(
        (&all[0]["overdue"], &all[0]["at"]),
        (&json!(true), &json!("2026-06-03T08:00:00+01:00"))
    );
    assert_eq!(all[1]["at"], "2026-06-04T08:00:00+01:00");
    assert!(
        all.iter()
            .all(|e| e["verdict"] == "clear" && e["order"] == json!(order)),
        "{plan}"
    );
    // One a day for 28 days of rest: 28 different points, each with a number of its own, each on the sheet.
    let points: HashSet<String> = all.iter().map(|e| e["place"]["site"].to_string()).collect();
    assert_eq!(points.len(), 28);
    let numbers: Vec<u64> = all.iter().map(|e| e["number"].as_u64().unwrap()).collect();
    assert_eq!(numbers, (1..=28).collect::<Vec<u64>>());
    for entry in &all {
        let zone = plan["zones"]
            .as_array()
            .unwrap()
            .iter()
            .find(|z| z["zone"] == entry["place"]["site"]["zone"])
            .unwrap();
        let point = zone["points"]
            .as_array()
            .unwrap()
            .iter()
            .find(|p| p["number"] == entry["number"])
            .unwrap();
        assert_eq!(point["place"], entry["place"]);
        assert!(point["times"].as_array().unwrap().iter().any(|t| {
            t.as_str()
                .unwrap()
                .contains(entry["day_words"].as_str().unwrap())
        }));
    }
    // The order began on a Thursday, so the pattern changes on Thursdays.
    let firsts = texts(plan["weeks"].as_array().unwrap(), "first");
    assert_eq!(
        firsts,
        [
            "2026-06-03",
            "2026-06-04",
            "2026-06-11",
            "2026-06-18",
            "2026-06-25"
        ]
    );
    // One quadrant a week.
    for week in plan["weeks"].as_array().unwrap() {
        assert_eq!(week["places"].as_array().unwrap().len(), 1, "{week}");
    }
    assert!(
        plan["spacing"][0]["spacing_cm"].as_f64().unwrap() > 2.5,
        "{}",
        plan["spacing"]
    );
    assert_eq!(
        (&plan["note"], &plan["unplanned"]),
        (&json!(null), &json!([]))
    );
}

#[test]
fn the_suggestion_is_the_head_of_the_plan_and_following_it_leaves_the_rest() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let before = entries(&door.ok("plan", json!({ "person": person })));
    let asked = door.ok(
        "site_suggest",
        json!({ "person": person, "order": order, "at": NOW, "count": 1 }),
    );
    assert_eq!(asked["sites"][0]["site"], before[0]["place"]["site"]);
    let site = before[0]["place"]["site"].clone();
    door.give(1, &person, &order, site, NOW);
    let after = entries(&door.ok("plan", json!({ "person": person })));
    assert_eq!(after.len(), 27, "what was given is no longer due");
    let places = |list: &[Value]| {
        list.iter()
            .map(|e| (e["at"].clone(), e["place"].clone()))
            .collect::<Vec<_>>()
    };
    assert_eq!(places(&after), places(&before[1..]));
    door.now = "2026-06-03T09:30:00+01:00".to_owned();
    // Given elsewhere: the plan goes on around it, still clear.
    let mut other = injection(
        2,
        &person,
        &order,
        abdomen("right_upper", -6.0, 5.0),
        "2026-06-03T09:30:00+01:00",
    );
    other["reason"] = json!("Test of an injection off the plan.");
    door.ok("injection_record", other);
    let around = entries(&door.ok("plan", json!({ "person": person })));
    assert!(around.iter().all(|e| e["verdict"] == "clear"));
}

#[test]
fn what_cannot_be_planned_is_named_with_its_reason() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    let empty = door.ok("plan", json!({ "person": person }));
    assert_eq!(
        (entries(&empty).len(), &empty["unplanned"]),
        (0, &json!([]))
    );
    door.order(&person, "insulin-aspart-100", units("4"), &[]);
    let plan = door.ok("plan", json!({ "person": person }));
    assert_eq!(entries(&plan).len(), 0);
    let words = plan["unplanned"][0]["words"].as_str().unwrap();
    assert!(
        words.contains("no times of day") && words.ends_with('.'),
        "{words}"
    );
    let ended = json!({
        "person": person, "medicine": "insulin-glargine-100", "dose": units("12"), "times": ["08:00"],
        "from": "2026-01-01", "to": "2026-06-03", "prescriber": "Dr Halloran Vey"
    });
    door.ok("order_add", ended);
    door.now = "2026-06-03T22:00:00+01:00".to_owned();
    let plan = door.ok("plan", json!({ "person": person }));
    let words = plan["unplanned"]
        .as_array()
        .unwrap()
        .iter()
        .map(|u| u["words"].as_str().unwrap())
        .collect::<Vec<_>>();
    assert!(
        words.iter().any(|w| w.contains("it ends on 3 Jun 2026")),
        "{words:?}"
    );
}

#[test]
fn several_orders_share_the_plan_in_the_order_of_time() {
    let mut door = Door::at(NOW);
    let (person, basal) = door.glargine("Europe/London");
    let bolus = door.order(
        &person,
        "insulin-aspart-100",
        units("4"),
        &["12:30", "18:00"],
    );
    let plan = door.ok("plan", json!({ "person": person, "weeks": 1 }));
    let all = entries(&plan);
    assert_eq!(all.len(), 7 * 3);
    let at = texts(&all[1..], "at");
    assert!(at.is_sorted(), "{at:?}");
    for order in [&basal, &bolus] {
        assert!(all.iter().any(|e| e["order"] == json!(order)));
    }
    // 3 a day share the skin, so their points lie closer than for one alone.
    assert_eq!(plan["spacing"].as_array().unwrap().len(), 2);
    assert!(entries(&plan).iter().all(|e| e["verdict"] == "clear"));
}

/// The same region for the same time of day (Leicestershire Diabetes, patient page), where the order asks for it.
#[test]
fn zones_kept_for_a_time_of_day_are_kept_in_plan_and_suggestion() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    let order = json!({
        "person": person, "medicine": "insulin-human-nph-100", "dose": units("18"), "times": ["07:30", "22:00"],
        "from": "2026-01-01", "prescriber": "Dr Halloran Vey",
        "terms": { "regions": [{ "time": "07:30", "zones": ["abdomen"] },
                               { "time": "22:00", "zones": ["left_thigh", "right_thigh"] }] }
    });
    let order = door.ok("order_add", order)["id"]
        .as_str()
        .unwrap()
        .to_owned();
    let plan = door.ok("plan", json!({ "person": person }));
    let all = entries(&plan);
    assert!(all.len() > 50, "{}", all.len());
    for entry in &all {
        let zone = entry["place"]["site"]["zone"].as_str().unwrap();
        assert_eq!(entry["time"] == "07:30", zone == "abdomen", "{entry}");
        assert_eq!(
            (&entry["verdict"], &entry["order"]),
            (&json!("clear"), &json!(order))
        );
    }
    for (at, thigh) in [
        ("2026-06-03T07:40:00+01:00", false),
        ("2026-06-03T23:10:00+01:00", true),
    ] {
        let asked = door.ok(
            "site_suggest",
            json!({ "person": person, "order": order, "at": at, "count": 1 }),
        );
        let zone = asked["sites"][0]["site"]["zone"].as_str().unwrap();
        assert_eq!(zone.ends_with("thigh"), thigh, "{at}: {zone}");
    }
}

#[test]
fn a_plan_is_asked_for_in_weeks_from_one_to_twelve() {
    let mut door = Door::at(NOW);
    let (person, _) = door.glargine("Europe/London");
    for weeks in [0, 13, 255] {
        assert_eq!(
            door.refused("plan", json!({ "person": person, "weeks": weeks }))["code"],
            "bad_count"
        );
    }
    assert_eq!(
        door.refused("plan", json!({ "person": id(9) }))["code"],
        "unknown_person"
    );
    assert_eq!(
        door.refused("plan", json!({ "person": person, "at": "soon" }))["code"],
        "bad_time"
    );
    let twelve = door.ok("plan", json!({ "person": person, "weeks": 12 }));
    assert_eq!(entries(&twelve).len(), 84);
    // After 28 days of rest the points come again under the same numbers.
    let twice: Vec<usize> = twelve["zones"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|z| z["points"].as_array().unwrap())
        .map(|p| p["times"].as_array().unwrap().len())
        .collect();
    assert_eq!(twice.iter().sum::<usize>(), 84);
    assert!(twice.len() < 84);
}

/// What no skin could carry is answered in words, and within a second.
#[test]
fn the_hardest_treatments_are_answered_in_words() {
    let times: Vec<String> = (0..48)
        .map(|n| format!("{:02}:{:02}", n / 2, n % 2 * 30))
        .collect();
    let times: Vec<&str> = times.iter().map(String::as_str).collect();
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    door.order(&person, "insulin-aspart-100", units("4"), &times);
    let before = Instant::now();
    let room = door.ok("room", json!({ "person": person }));
    assert_eq!(room["enough"], false);
    assert!(
        room["words"]
            .as_str()
            .unwrap()
            .contains("cannot carry 48 a day"),
        "{room}"
    );
    assert!(room["short_sites"].as_u64().unwrap() > 500);
    assert!(room["capacity_sites"].as_u64().unwrap() <= room["ceiling_sites"].as_u64().unwrap());
    let plan = door.ok("plan", json!({ "person": person, "weeks": 12 }));
    let note = plan["note"].as_str().unwrap();
    assert!(
        note.contains("there is room for") && note.contains("first 420 of"),
        "{note}"
    );
    // It says where it ends, and no week after that looks as if nothing were due in it.
    let all = entries(&plan);
    assert_eq!((all.len(), &plan["to"]), (420, &all[419]["day"]));
    let weeks = plan["weeks"].as_array().unwrap();
    assert!(
        weeks
            .iter()
            .all(|w| !w["entries"].as_array().unwrap().is_empty())
    );
    // A wide bound that only a hang or a blow-up would break; how fast it is, the measurements say.
    assert!(before.elapsed().as_secs() < 60);
}

/// Methotrexate is given once a week; given daily it kills. Nothing beside it may speak of a number a day.
#[test]
fn a_weekly_medicine_is_never_spoken_of_by_the_day() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    let order = json!({
        "person": person, "medicine": "methotrexate", "dose": { "value": "15", "unit": "mg" }, "times": ["18:00"],
        "every_days": 7, "from": "2026-06-03", "prescriber": "Dr Halloran Vey"
    });
    door.ok("order_add", order);
    let room = door.ok("room", json!({ "person": person }));
    assert!(
        room["words"].as_str().unwrap().contains("1 every 7 days"),
        "{room}"
    );
    let all = format!("{} {}", room, door.ok("plan", json!({ "person": person })));
    assert!(!all.contains(" a day"), "{all}");
}

#[test]
fn no_zone_to_use_is_an_answer() {
    let mut door = Door::at(NOW);
    let person = json!({
        "name": "Marit Oakfell", "born": "1951-03-09", "zone": "Europe/London", "allergies": [], "self_injects": true,
        "zones": ["left_buttock"]
    });
    let person = door.ok("person_add", person)["id"]
        .as_str()
        .unwrap()
        .to_owned();
    door.order(&person, "insulin-glargine-100", units("12"), &["08:00"]);
    for op in ["plan", "room"] {
        let data = door.ok(op, json!({ "person": person }));
        let words = if op == "plan" {
            &data["note"]
        } else {
            &data["words"]
        };
        assert!(
            words.is_null() || words.as_str().unwrap().ends_with('.'),
            "{op}: {words}"
        );
    }
}

#[test]
fn the_room_says_need_capacity_and_what_a_hand_may_miss() {
    let mut door = Door::at(NOW);
    let (person, _) = door.glargine("Europe/London");
    let room = door.ok("room", json!({ "person": person }));
    // 1 a day times 28 days of rest.
    assert_eq!(
        (&room["need_sites"], &room["enough"], &room["short_sites"]),
        (&json!(28), &json!(true), &json!(0))
    );
    let (found, ceiling) = (
        room["capacity_sites"].as_u64().unwrap(),
        room["ceiling_sites"].as_u64().unwrap(),
    );
    assert!(found >= 28 && found <= ceiling, "{found} of {ceiling}");
    assert!(room["working_spacing_cm"].as_f64().unwrap() > 1.0);
    assert!(
        room["margin_words"].as_str().unwrap().contains("keeps it"),
        "{room}"
    );
    assert!(
        room["words"].as_str().unwrap().contains("1 a day"),
        "{room}"
    );
    assert_eq!(
        room["orders"][0],
        "insulin glargine 100 units/mL, daily at 08:00"
    );
    let sum: u64 = room["zones"]
        .as_array()
        .unwrap()
        .iter()
        .map(|z| z["sites"].as_u64().unwrap())
        .sum();
    assert_eq!(sum, found);
    assert!(
        room["help"]
            .as_array()
            .unwrap()
            .iter()
            .all(|h| h["words"].as_str().unwrap().ends_with('.'))
    );
    // Nothing is known of somebody without orders, and that is said, not called enough.
    let nobody = door.person("Europe/London");
    let room = door.ok("room", json!({ "person": nobody }));
    assert_eq!(
        (&room["enough"], &room["margin_words"]),
        (&json!(null), &json!(null))
    );
    assert!(
        room["words"]
            .as_str()
            .unwrap()
            .contains("No order says how often")
    );
}
