//! The shapes that scripts rely on, and the whole job once through.

use serde_json::json;

use super::{Door, abdomen, id, injection, units};

const NOW: &str = "2026-06-03T09:00:00+01:00";

#[test]
fn the_main_job_end_to_end() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let at = "2026-06-03T08:00:00+01:00";

    let check = door.ok("site_check", json!({ "person": person, "order": order, "site": abdomen("left_lower", 5.5, -3.0), "at": at }));
    assert_eq!(check["verdict"], "clear");
    assert_eq!(check["reasons"], json!([]));
    assert_eq!(
        check["words"],
        "Abdomen, left lower quadrant: 5.5 cm to the person's left of the navel, 3 cm below it"
    );
    assert!(
        check["words_patient"]
            .as_str()
            .unwrap()
            .contains("to your left of the navel")
    );

    let suggest = door.ok(
        "site_suggest",
        json!({ "person": person, "order": order, "at": at, "count": 5 }),
    );
    let sites = suggest["sites"].as_array().unwrap();
    assert_eq!(sites.len(), 5);
    for s in sites {
        let site = s["site"].as_object().unwrap();
        assert!(
            site["zone"].is_string()
                && site["quadrant"].is_string()
                && site["across_cm"].is_number()
                && site["up_cm"].is_number()
        );
        assert_eq!(s["verdict"], "clear");
        assert!(s["words"].is_string() && s["reasons"].is_array());
        let again = door.ok(
            "site_check",
            json!({ "person": person, "order": order, "site": s["site"], "at": at }),
        );
        assert_eq!(again["verdict"], "clear");
    }

    let first = sites[0]["site"].clone();
    let saved = door.give(1, &person, &order, first.clone(), at);
    assert_eq!(saved["id"], id(1));
    assert_eq!(saved["given_words"], "Wed 3 Jun 2026, 08:00");
    assert_eq!(saved["dose_words"], "12 units");
    assert_eq!(saved["recorder"], "Jory Oakfell");
    assert_eq!(saved["late"], false);

    let list = door.ok(
        "injection_list",
        json!({ "person": person, "from": "2026-06-03", "to": "2026-06-03" }),
    );
    assert_eq!(list["injections"].as_array().unwrap().len(), 1);
    assert_eq!(list["injections"][0]["site"], first);

    let map = door.ok("use_map", json!({ "person": person, "at": NOW }));
    let zones = map["zones"].as_array().unwrap();
    assert_eq!(zones.len(), 7);
    let used: Vec<_> = zones
        .iter()
        .flat_map(|z| z["quadrants"].as_array().unwrap())
        .filter(|q| q["days"] == 0)
        .collect();
    assert_eq!(used.len(), 1);
    assert_eq!(
        (&used[0]["step"], &used[0]["count_28_days"]),
        (&json!(0), &json!(1))
    );

    let again = door.ok(
        "site_check",
        json!({ "person": person, "order": order, "site": first, "at": NOW }),
    );
    assert_eq!(again["verdict"], "avoid");
    let rules: Vec<_> = again["reasons"]
        .as_array()
        .unwrap()
        .iter()
        .map(|r| r["rule"].as_str().unwrap())
        .collect();
    assert_eq!(rules, ["spacing", "point_rest"]);
    assert_eq!(again["reasons"][0]["injections"], json!([id(1)]));
    assert_eq!(again["reasons"][0]["unit"], "cm");
    assert!(
        again["reasons"][0]["source"]
            .as_str()
            .unwrap()
            .contains("Hirsch")
    );
}

#[test]
fn a_correction_is_a_new_entry_and_a_withdrawal_leaves_the_record() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let at = "2026-06-03T08:00:00+01:00";
    door.give(1, &person, &order, abdomen("left_lower", 5.5, -3.0), at);
    let fixed = door.ok("injection_correct", json!({
        "id": id(2), "replaces": id(1), "reason": "Wrong side tapped.", "site": abdomen("right_lower", -5.5, -3.0), "recorder": "Nurse Brannock"
    }));
    assert_eq!(fixed["replaces"], id(1));
    assert_eq!(fixed["recorder"], "Jory Oakfell", "who gave it stays");
    assert_eq!(fixed["corrected_by"], "Nurse Brannock");
    assert_eq!(fixed["given_at"], at);
    let list = door.ok("injection_list", json!({ "person": person }));
    assert_eq!(list["injections"].as_array().unwrap().len(), 1);
    assert_eq!(list["injections"][0]["site"]["quadrant"], "right_lower");
    let whole = door.ok(
        "injection_list",
        json!({ "person": person, "superseded": true }),
    );
    let old = whole["injections"]
        .as_array()
        .unwrap()
        .iter()
        .find(|i| i["id"] == json!(id(1)))
        .unwrap()
        .clone();
    assert_eq!(old["replaced_by"], id(2));

    let withdrawn = door.ok(
        "injection_correct",
        json!({ "id": id(3), "replaces": id(2), "reason": "Not given.", "entered_in_error": true }),
    );
    assert_eq!(withdrawn["status"], "entered_in_error");
    assert_eq!(
        door.ok("injection_list", json!({ "person": person }))["injections"],
        json!([])
    );
    assert_eq!(door.count(&person), 3);
    let check = door.ok("site_check", json!({ "person": person, "order": order, "site": abdomen("right_lower", -5.5, -3.0), "at": NOW }));
    assert_eq!(check["verdict"], "clear", "a withdrawn entry is no reason");
}

#[test]
fn doses_read_the_same_in_and_out() {
    // Case S7.
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    for (value, out, words) in [
        ("0.5", "0.5", "0.5 units"),
        ("5", "5", "5 units"),
        ("5.0", "5", "5 units"),
        ("5.25", "5.25", "5.25 units"),
        ("100", "100", "100 units"),
        ("1000", "1000", "1,000 units"),
    ] {
        let order = json!({ "person": person, "medicine": "insulin-aspart-100", "dose": units(value), "times": [], "from": "2026-06-01", "prescriber": "Dr Halloran Vey" });
        let mut order = door.ok("order_add", order)["order"].clone();
        assert_eq!(order["dose"]["value"], out);
        assert_eq!(order["dose_words"], words);
        // Ids are random, and may hold any letters.
        for id in ["id", "person"] {
            order.as_object_mut().unwrap().remove(id);
        }
        let text = order.to_string();
        assert!(
            !text.contains("IU") && !text.contains("1e3") && !text.contains("5.0"),
            "{text}"
        );
    }
}

#[test]
fn a_site_of_zone_and_quadrant_alone_is_accepted_and_counted() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let site = json!({ "zone": "abdomen", "quadrant": "left_lower" });
    let saved = door.give(
        1,
        &person,
        &order,
        site.clone(),
        "2026-06-01T08:00:00+01:00",
    );
    assert_eq!(
        saved["words"],
        "Abdomen, left lower quadrant (exact point not recorded)"
    );
    assert_eq!(saved["site"]["across_cm"], json!(null));
    assert_eq!(saved["late"], true);
    let check = door.ok("site_check", json!({ "person": person, "order": order, "site": abdomen("left_lower", 5.5, -3.0), "at": NOW }));
    assert_eq!(check["verdict"], "caution");
    let reason = &check["reasons"][0];
    assert_eq!(
        (&reason["rule"], &reason["measured"]),
        (&json!("spacing"), &json!(0.0))
    );
    assert!(reason["measured_high"].as_f64().unwrap() > 5.0);
    let suggest = door.ok(
        "site_suggest",
        json!({ "person": person, "order": order, "at": NOW, "count": 1 }),
    );
    assert_ne!(suggest["sites"][0]["site"]["quadrant"], "left_lower");
}

#[test]
fn people_change_without_losing_what_was_known() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let to = json!({ "name": "Marit Oakfell-Vane", "born": "1951-03-09", "zone": "Europe/London", "allergies": ["latex"], "self_injects": true });
    let changed = door.ok(
        "person_change",
        json!({ "person": person, "to": to, "reason": "Married." }),
    );
    assert_eq!(changed["id"], json!(person));
    assert_eq!(changed["person"]["allergies"], json!(["latex"]));
    let detail = door.ok("person_get", json!({ "person": person }));
    assert_eq!(detail["person"]["name"], "Marit Oakfell-Vane");
    assert_eq!(detail["orders"][0]["id"], json!(order));
    assert_eq!(
        detail["assumed"].as_array().unwrap().len(),
        4,
        "no measure is known now, and it says so"
    );
    let found = door.ok("person_list", json!({ "search": "vane" }));
    assert_eq!(found["people"].as_array().unwrap().len(), 1);
    assert_eq!(
        door.ok("person_list", json!({ "search": "nobody" }))["people"],
        json!([])
    );
}

#[test]
fn allergies_not_asked_none_known_and_known_are_three_things() {
    let mut door = Door::at(NOW);
    for allergies in [json!(null), json!([]), json!(["latex", "penicillin"])] {
        let person = json!({ "name": "Pell Harrowgate", "born": "1978-09-12", "zone": "Europe/London", "allergies": allergies });
        assert_eq!(
            door.ok("person_add", person)["person"]["allergies"],
            allergies
        );
    }
}

#[test]
fn an_order_ends_and_its_old_injections_keep_it() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let ended = door.ok(
        "order_end",
        json!({ "order": order, "to": "2026-06-02", "reason": "Changed to another medicine." }),
    );
    assert_eq!(
        (&ended["id"], &ended["order"]["state"]),
        (&json!(order), &json!("ended"))
    );
    let late = injection(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:00:00+01:00",
    );
    assert_eq!(
        door.refused("injection_record", late.clone())["code"],
        "order_not_in_force"
    );
    let mut with_reason = late;
    with_reason["reason"] = json!("Given before the message came.");
    door.ok("injection_record", with_reason);
    let before = injection(
        2,
        &person,
        &order,
        abdomen("left_upper", 5.5, 3.0),
        "2026-06-02T08:00:00+01:00",
    );
    door.ok("injection_record", before);
}

#[test]
fn the_navel_margin_is_chosen_among_published_values_only() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let check = |door: &mut Door| {
        let site = json!({ "zone": "abdomen", "across_cm": 3.0, "up_cm": 0.0 });
        door.ok(
            "site_check",
            json!({ "person": person, "order": order, "site": site, "at": NOW }),
        )["verdict"]
            .clone()
    };
    assert_eq!(check(&mut door), "clear");
    assert_eq!(
        door.refused("practice_set", json!({ "navel_margin_cm": 3.3 }))["code"],
        "not_published"
    );
    door.ok("practice_set", json!({ "navel_margin_cm": 5 }));
    assert_eq!(check(&mut door), "caution");
    assert_eq!(door.ok("practice_get", json!({}))["navel_margin_cm"], 5.0);
}

#[test]
fn a_draft_is_kept_with_the_time_it_was_opened() {
    let mut door = Door::at(NOW);
    door.ok("draft_save", json!({ "key": "give:x", "body": "one" }));
    door.now = "2026-06-03T09:10:00+01:00".into();
    door.ok("draft_save", json!({ "key": "give:x", "body": "two" }));
    let draft = door.ok("draft_get", json!({ "key": "give:x" }));
    assert_eq!(
        (&draft["body"], &draft["opened_at"]),
        (&json!("two"), &json!(NOW))
    );
    door.ok("draft_drop", json!({ "key": "give:x" }));
    assert_eq!(
        door.ok("draft_get", json!({ "key": "give:x" }))["body"],
        json!(null)
    );
}

#[test]
fn the_clock_of_an_entry_is_told() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let line = json!({ "op": "injection_record", "args": injection(1, &person, &order, abdomen("left_lower", 5.5, -3.0), "2026-06-03T08:00:00+01:00") });
    let by_hand = fallow_api::Now {
        set_by_hand: true,
        ..super::now(NOW)
    };
    let reply: serde_json::Value = serde_json::from_str(&fallow_api::answer(
        &mut door.app,
        &line.to_string(),
        by_hand,
    ))
    .unwrap();
    assert_eq!(reply["ok"]["data"]["clock_set"], true);
    assert_eq!(door.ok("status", json!({}))["clock_behind"], false);
    door.now = "2026-06-02T09:00:00+01:00".into();
    assert_eq!(
        door.ok("status", json!({}))["clock_behind"],
        true,
        "entries later than now: the clock may be wrong"
    );
}
