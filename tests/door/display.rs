//! How a reply tells times of day: with 24 hours or with 12, in every sentence, and nothing else of it changes.

use regex::Regex;
use serde_json::{Value, json};

use super::visit::{NOW, event, glucose};
use super::{Door, abdomen, id, injection, units};

fn told(door: &mut Door, op: &str, args: Value, display: Value) -> Value {
    door.line(&json!({ "op": op, "args": args, "display": display }).to_string())
}

/// Every text of a reply with the member it stands in.
fn texts<'a>(value: &'a Value, member: &'a str, into: &mut Vec<(&'a str, &'a str)>) {
    match value {
        Value::String(text) => into.push((member, text)),
        Value::Array(list) => list.iter().for_each(|v| texts(v, member, into)),
        Value::Object(map) => map.iter().for_each(|(k, v)| texts(v, k, into)),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

/// Times of day in the sentences of a reply: those with and those without am or pm. Instants, offsets and the codes
/// of an order's times are none.
fn times(reply: &Value) -> (usize, usize) {
    let time = Regex::new(r"([+T-])?\b\d{1,2}:\d{2}\b( [ap]m)?").unwrap();
    let instant = Regex::new(r"^\d{4}-\d\d-\d\dT").unwrap();
    let mut all = Vec::new();
    texts(reply, "", &mut all);
    let (mut with, mut without) = (0, 0);
    for (member, text) in all {
        let code = member == "times" && text.len() == 5 || instant.is_match(text);
        for found in time
            .captures_iter(text)
            .filter(|c| !code && c.get(1).is_none())
        {
            *(if found.get(2).is_some() {
                &mut with
            } else {
                &mut without
            }) += 1;
        }
    }
    (with, without)
}

/// A visit with a bit of everything: given, late, not given, low glucose.
fn visit(door: &mut Door) -> (String, String) {
    let person = door.person("Europe/London");
    let order = door.order(
        &person,
        "insulin-aspart-100",
        units("4"),
        &["08:00", "12:30", "18:00", "22:00"],
    );
    let mut given = injection(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:05:00+01:00",
    );
    given["dose"] = units("4");
    door.ok("injection_record", given);
    let no = json!({ "order": order, "at": "2026-06-03T12:30:00+01:00", "code": "declined" });
    door.ok("event_record", event(2, &person, "not_given", no));
    door.ok(
        "event_record",
        glucose(3, &person, "2026-06-03T09:20:00+01:00", "3.1"),
    );
    let sugar = json!({ "at": "2026-06-03T09:25:00+01:00", "value": "15", "unit": "g" });
    door.ok("event_record", event(4, &person, "carbohydrate", sugar));
    (person, order)
}

#[test]
fn every_sentence_is_told_by_the_clock_asked_for() {
    let mut door = Door::at(NOW);
    let (person, order) = visit(&mut door);
    let one = json!({ "person": person });
    let site = abdomen("left_lower", 5.5, -3.0);
    let mut second = injection(9, &person, &order, site.clone(), NOW);
    second["dose"] = units("4");
    let zone = "Europe/Paris";
    for (op, args) in [
        ("due", one.clone()),
        ("due", json!({})),
        ("handover", json!({})),
        ("person_get", one.clone()),
        ("person_list", json!({})),
        ("event_list", one.clone()),
        ("injection_list", one.clone()),
        ("glucose_state", one.clone()),
        ("plan", one.clone()),
        ("room", one.clone()),
        ("patch", json!({ "person": person, "zone": "abdomen" })),
        ("before", json!({ "person": person, "order": order })),
        (
            "site_check",
            json!({ "person": person, "order": order, "at": NOW, "site": site }),
        ),
        // Refusals too: a second dose, later than now, an hour that came twice.
        ("injection_record", second),
        (
            "injection_record",
            injection(
                10,
                &person,
                &order,
                abdomen("left_upper", 5.5, 3.0),
                "2026-06-03T19:30:00+01:00",
            ),
        ),
        (
            "time_resolve",
            json!({ "local": "2026-10-25T02:20", "zone": zone }),
        ),
        (
            "time_resolve",
            json!({ "local": "2026-03-29T02:30", "zone": zone }),
        ),
        (
            "time_resolve",
            json!({ "local": "2026-06-03T20:05", "zone": zone }),
        ),
    ] {
        let by = |door: &mut Door, display: Value| told(door, op, args.clone(), display);
        let plain = door.call(op, args.clone());
        let of_day = by(&mut door, json!({ "clock": "24" }));
        assert_eq!(of_day, plain, "24 hours where nothing is said: {op}");
        let of_halves = by(&mut door, json!({ "clock": "12" }));
        let ((none, some), (all, left)) = (times(&of_day), times(&of_halves));
        assert!(some > 0, "{op} tells no time");
        assert_eq!((none, left), (0, 0), "{op}");
        assert_eq!(all, some, "{op}");
    }
}

#[test]
fn codes_and_the_record_keep_twenty_four_hours() {
    let mut door = Door::at(NOW);
    let (person, order) = visit(&mut door);
    let got = told(
        &mut door,
        "person_get",
        json!({ "person": person }),
        json!({ "clock": "12" }),
    );
    let data = &got["ok"]["data"]["orders"][0];
    assert_eq!(data["times"], json!(["08:00", "12:30", "18:00", "22:00"]));
    assert_eq!(
        data["times_words"],
        "daily at 8:00 am, 12:30 pm, 6:00 pm, 10:00 pm"
    );
    let mut given = injection(
        5,
        &person,
        &order,
        abdomen("left_upper", 5.5, 3.0),
        "2026-06-03T09:29:00+01:00",
    );
    given["dose"] = units("4");
    given["reason"] = json!("a snack");
    let saved = told(
        &mut door,
        "injection_record",
        given,
        json!({ "clock": "12" }),
    );
    assert_eq!(
        saved["ok"]["data"]["given_words"],
        "Wed 3 Jun 2026, 9:29 am"
    );
    let listed = door.ok("injection_list", json!({ "person": person }));
    assert_eq!(
        listed["injections"][0]["given_words"],
        "Wed 3 Jun 2026, 09:29"
    );
    assert_eq!(listed["injections"][0]["id"], id(5));
}

#[test]
fn a_clock_nobody_knows_is_refused_and_changes_nothing() {
    let mut door = Door::at(NOW);
    let add = json!({ "name": "Wren Ashdown", "born": "1951-03-09", "zone": "Europe/London" });
    for display in [
        json!({ "clock": "13" }),
        json!({ "clock": 12 }),
        json!({ "clock": "" }),
        json!({ "glucose": "mg/dL" }),
        json!("12"),
        json!(null),
        json!([]),
    ] {
        let reply = told(&mut door, "person_add", add.clone(), display.clone());
        assert_eq!(reply["error"]["code"], "bad_request", "{display}");
    }
    let people = door.ok("person_list", json!({}));
    assert_eq!(people["people"], json!([]));
    let plain = told(&mut door, "person_list", json!({}), json!({}));
    assert_eq!(plain["ok"]["data"], people, "{plain}");
}

#[test]
fn a_shell_can_ask_how_the_screen_tells_the_time() {
    use fallow_api::Clock;
    let mut door = Door::at(NOW);
    assert_eq!(door.app.clock(), None);
    told(&mut door, "status", json!({}), json!({ "clock": "12" }));
    door.ok("status", json!({}));
    assert_eq!(
        door.app.clock(),
        Some(Clock::Hours12),
        "a request that does not say leaves it"
    );
    told(&mut door, "status", json!({}), json!({ "clock": "24" }));
    assert_eq!(door.app.clock(), Some(Clock::Hours24));
}
