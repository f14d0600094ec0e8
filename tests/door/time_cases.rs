//! Acceptance cases S1 (a fold), S2 (a gap) and S3 (travel).

use serde_json::json;

use super::{Door, abdomen, injection, units};

#[test]
fn s1_two_doses_in_the_hour_that_happens_twice() {
    let mut door = Door::at("2026-10-25T09:00:00+01:00");
    let (person, order) = door.glargine("Europe/Paris");
    let mut p = injection(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-10-25T02:40:00+02:00",
    );
    p["dose"] = units("6");
    let mut q = injection(
        2,
        &person,
        &order,
        abdomen("left_upper", 5.5, 3.0),
        "2026-10-25T02:10:00+01:00",
    );
    q["dose"] = units("3");
    door.ok("injection_record", p);
    let second = door.refused("injection_record", q.clone());
    assert_eq!(
        (&second["code"], &second["ago"]),
        (&json!("second_dose"), &json!("30 min ago"))
    );
    q["reason"] = json!("The prescriber asked for a further dose.");
    door.ok("injection_record", q);
    let list = door.ok(
        "injection_list",
        json!({ "person": person, "from": "2026-10-25", "to": "2026-10-25" }),
    );
    let rows = list["injections"].as_array().unwrap();
    // Newest first: Q after P although its wall clock is earlier.
    assert_eq!(rows[0]["given_at"], "2026-10-25T02:10:00+01:00");
    assert_eq!(rows[1]["given_at"], "2026-10-25T02:40:00+02:00");
    assert_eq!(rows[0]["given_words"], "Sun 25 Oct 2026, 02:10 (+01:00)");
    assert_eq!(rows[1]["given_words"], "Sun 25 Oct 2026, 02:40 (+02:00)");

    let typed = door.ok(
        "time_resolve",
        json!({ "local": "2026-10-25T02:20", "zone": "Europe/Paris" }),
    );
    assert_eq!(typed["kind"], "twice");
    let offers: Vec<_> = typed["offers"]
        .as_array()
        .unwrap()
        .iter()
        .map(|o| o["at"].as_str().unwrap())
        .collect();
    assert_eq!(
        offers,
        ["2026-10-25T02:20:00+02:00", "2026-10-25T02:20:00+01:00"]
    );
    let by_hand = injection(
        3,
        &person,
        &order,
        abdomen("left_upper", 7.5, 3.0),
        "2026-10-25T02:20",
    );
    let asked = door.refused("injection_record", by_hand);
    assert_eq!(asked["code"], "time_ambiguous");
    assert_eq!(asked["offers"].as_array().unwrap().len(), 2);
    assert_eq!(door.count(&person), 2);
}

#[test]
fn s2_a_time_that_did_not_exist_is_not_saved_and_two_are_offered() {
    let mut door = Door::at("2026-03-29T09:00:00+02:00");
    let (person, order) = door.glargine("Europe/Paris");
    for typed in [
        "2026-03-29T02:30",
        "2026-03-29T02:30:00+01:00",
        "2026-03-29T02:30:00+02:00",
    ] {
        let refused = door.refused(
            "injection_record",
            injection(1, &person, &order, abdomen("left_lower", 5.5, -3.0), typed),
        );
        assert_eq!(refused["code"], "time_in_gap", "{typed}");
        let offers: Vec<_> = refused["offers"]
            .as_array()
            .unwrap()
            .iter()
            .map(|o| o["at"].as_str().unwrap())
            .collect();
        assert_eq!(
            offers,
            ["2026-03-29T01:30:00+01:00", "2026-03-29T03:30:00+02:00"]
        );
    }
    assert_eq!(door.count(&person), 0, "no row before the choice");
    let saved = door.give(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-03-29T03:30:00+02:00",
    );
    assert_eq!(saved["given_at"], "2026-03-29T03:30:00+02:00");
    // A traveller's own clock, six hours away, may well have read 02:30.
    let away = injection(
        2,
        &person,
        &order,
        abdomen("left_upper", 5.5, 3.0),
        "2026-03-28T02:30:00-05:00",
    );
    door.ok("injection_record", away);
}

#[test]
fn s3_too_soon_is_by_elapsed_hours_however_many_dates_passed() {
    let mut door = Door::at("2026-07-16T07:05:00+09:00");
    let person = door.person("America/Los_Angeles");
    let order = door.order(&person, "insulin-glargine-100", units("8"), &["21:30"]);
    let mut first = injection(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-07-14T21:30:00-07:00",
    );
    first["dose"] = units("8");
    door.ok("injection_record", first);
    let check = door.ok("site_check", json!({ "person": person, "order": order, "site": abdomen("left_upper", 5.5, 3.0), "at": "2026-07-16T07:00:00+09:00" }));
    assert_eq!(check["since_last"]["words"], "17 h 30 min");
    assert_eq!(
        (
            &check["since_last"]["early"],
            &check["since_last"]["needs_reason"]
        ),
        (&json!(true), &json!(false))
    );
    let mut second = injection(
        2,
        &person,
        &order,
        abdomen("left_upper", 5.5, 3.0),
        "2026-07-16T07:00:00+09:00",
    );
    second["dose"] = units("8");
    second["zone"] = json!("Asia/Tokyo");
    door.ok("injection_record", second);
    let list = door.ok("injection_list", json!({ "person": person }));
    let rows = list["injections"].as_array().unwrap();
    assert_eq!(
        (&rows[0]["given_at"], &rows[0]["day"]),
        (&json!("2026-07-16T07:00:00+09:00"), &json!("2026-07-16"))
    );
    assert_eq!(
        (&rows[1]["given_at"], &rows[1]["day"]),
        (&json!("2026-07-14T21:30:00-07:00"), &json!("2026-07-14"))
    );
    assert_eq!(rows[1]["given_words"], "Tue 14 Jul 2026, 21:30");
    assert!(!list.to_string().contains("missed"));
}

#[test]
fn half_hour_zones_and_skipped_midnights_have_days_too() {
    // Lord Howe 21:00 to 21:00 over its half-hour change is 23 h 30 min; Santiago has no 00:00 on 2026-09-06.
    let mut door = Door::at("2026-10-05T09:00:00+11:00");
    let (person, order) = door.glargine("Australia/Lord_Howe");
    door.give(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-10-03T21:00:00+10:30",
    );
    let check = door.ok("site_check", json!({ "person": person, "order": order, "site": abdomen("left_upper", 5.5, 3.0), "at": "2026-10-04T21:00:00+11:00" }));
    assert_eq!(check["since_last"]["words"], "23 h 30 min");
    assert_eq!(check["since_last"]["early"], false);
    let mut door = Door::at("2026-09-06T09:00:00-03:00");
    let (person, order) = door.glargine("America/Santiago");
    door.give(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-09-06T01:00:00-03:00",
    );
    let day = door.ok(
        "injection_list",
        json!({ "person": person, "from": "2026-09-06", "to": "2026-09-06" }),
    );
    assert_eq!(day["injections"].as_array().unwrap().len(), 1);
    let before = door.ok(
        "injection_list",
        json!({ "person": person, "from": "2026-09-05", "to": "2026-09-05" }),
    );
    assert_eq!(before["injections"], json!([]));
}
