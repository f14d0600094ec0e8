//! Before giving, through the door: the page of checks, dose to volume, technique.

use serde_json::{Value, json};

use super::visit::{NOW, glucose};
use super::{Door, id, units};

fn before(door: &mut Door, person: &str, order: &str, said: Value) -> Value {
    door.ok("before", json!({ "person": person, "order": order, "recorder": "Nurse Imri Vane", "giver": "other", "said": said }))
}

fn of<'a>(page: &'a Value, what: &str) -> &'a Value {
    page["checks"]
        .as_array()
        .unwrap()
        .iter()
        .find(|c| c["what"] == what)
        .unwrap_or(&Value::Null)
}

#[test]
fn the_page_before_giving_ticks_nothing_by_itself_and_every_check_can_be_done() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let page = before(&mut door, &person, &order, json!({}));
    let what: Vec<&str> = page["checks"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| c["what"].as_str().unwrap())
        .collect();
    assert_eq!(
        what,
        [
            "identity",
            "allergies",
            "order",
            "container",
            "consent",
            "skin"
        ],
        "glucose and meal only where asked"
    );
    assert_eq!(page["open"], 6);
    assert!(
        page["checks"]
            .as_array()
            .unwrap()
            .iter()
            .all(|c| c["open"] == true)
    );
    assert!(page["words"].as_str().unwrap().contains("policy"));
    let add = json!({ "id": id(1), "person": person, "order": order, "medicine": "insulin glargine", "strength": "100 units/mL",
                      "batch": "B17", "expires": "2027-03", "opened": "2026-05-20", "device": "pen" });
    let pen = door.ok("container_add", add);
    assert_eq!(
        pen["words"],
        "insulin glargine, 100 units/mL, batch B17, use by 03/2027, opened 20 May 2026"
    );
    let page = before(&mut door, &person, &order, json!({}));
    assert_eq!(
        of(&page, "container")["as_last_time"]["id"],
        pen["id"],
        "offered, and not taken by itself"
    );
    assert_eq!(of(&page, "container")["state"], "not_yet");
    let said = json!({
        "identity": [{ "identifier": "name", "matches": true }, { "identifier": "born", "matches": true }],
        "allergies": true, "order": true, "container": pen["id"], "consent": "given", "skin": "clear"
    });
    let page = before(&mut door, &person, &order, said.clone());
    // An order without a signature date stays a question until somebody says why they go on.
    let open: Vec<&str> = page["checks"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|c| c["open"] == true)
        .map(|c| c["what"].as_str().unwrap())
        .collect();
    assert!(open.is_empty() || open == ["order"], "{page}");
    for (mut changed, what) in [
        (said.clone(), "identity"),
        (said.clone(), "consent"),
        (said, "skin"),
    ] {
        match what {
            "identity" => changed["identity"][1]["matches"] = json!(false),
            "consent" => changed["consent"] = json!("refused"),
            _ => {
                changed["skin"] = json!("found");
                changed["skin_words"] = json!("A lump left of the navel.");
            }
        }
        let page = before(&mut door, &person, &order, changed.clone());
        assert_eq!(of(&page, what)["state"], "problem", "{page}");
        assert_eq!(of(&page, what)["open"], true);
        changed["reasons"] = json!([{ "what": what, "text": "Talked about with the prescriber." }]);
        let page = before(&mut door, &person, &order, changed);
        assert_eq!(
            (&of(&page, what)["open"], &of(&page, what)["reason"]),
            (&json!(false), &json!("Talked about with the prescriber."))
        );
    }
}

#[test]
fn a_wrong_expired_or_long_open_container_and_an_allergy_are_told() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let mut n = 0;
    let mut told = |door: &mut Door, change: Value| {
        n += 1;
        let mut add = json!({ "id": id(n), "person": person, "order": order, "medicine": "insulin glargine", "strength": "100 units/mL",
                              "expires": "2027-03", "opened": "2026-05-20", "device": "pen" });
        add.as_object_mut()
            .unwrap()
            .extend(change.as_object().unwrap().clone());
        let made = door.ok("container_add", add);
        of(
            &before(door, &person, &order, json!({ "container": made["id"] })),
            "container",
        )
        .clone()
    };
    assert_eq!(told(&mut door, json!({}))["state"], "done");
    for (change, loud) in [
        (json!({ "medicine": "insulin detemir" }), true),
        (json!({ "strength": "300 units/mL" }), true),
        (json!({ "expires": "2026-05-31" }), true),
        // Heinemann 2020, Table 1: glargine 100 units/mL 28 days in use.
        (json!({ "opened": "2026-05-01" }), false),
    ] {
        let check = told(&mut door, change.clone());
        assert_eq!(check["state"], "problem", "{change}: {check}");
        let any_loud = check["problems"]
            .as_array()
            .unwrap()
            .iter()
            .any(|p| p["loud"] == true);
        assert!(any_loud || !loud, "{change}: {check}");
        assert!(
            check["problems"]
                .as_array()
                .unwrap()
                .iter()
                .all(|p| !p["source"].as_str().unwrap().is_empty())
        );
    }
    assert_eq!(
        told(&mut door, json!({ "expires": "2026-06" }))["state"],
        "done",
        "good to the month's last day"
    );
    let latex = json!({ "name": "Ines Calloway", "born": "1942-07-30", "zone": "Europe/London", "allergies": ["latex"], "self_injects": false });
    let other = door.ok("person_add", latex)["id"]
        .as_str()
        .unwrap()
        .to_owned();
    let etanercept = door.order(
        &other,
        "etanercept",
        json!({ "value": "25", "unit": "mg" }),
        &["09:00"],
    );
    let add = json!({ "id": id(90), "person": other, "order": etanercept, "medicine": "etanercept", "device": "prefilled_syringe", "needle_cover": "latex" });
    let syringe = door.ok("container_add", add);
    let page = before(
        &mut door,
        &other,
        &etanercept,
        json!({ "container": syringe["id"], "allergies": true }),
    );
    assert!(
        of(&page, "allergies")["problems"]
            .as_array()
            .unwrap()
            .iter()
            .any(|p| p["loud"] == true),
        "{page}"
    );
    assert_eq!(
        door.refused(
            "before",
            json!({ "person": person, "order": order, "said": { "container": syringe["id"] } })
        )["code"],
        "unknown_container"
    );
}

#[test]
fn glucose_is_asked_for_where_the_order_asks_and_counts_for_an_hour() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    let order = json!({ "person": person, "medicine": "insulin-aspart-100", "dose": units("4"), "times": ["09:30"], "from": "2026-01-01",
                        "prescriber": "Dr Halloran Vey", "note": "with breakfast",
                        "terms": { "asks_glucose": true, "glucose_unit": "mmol/L", "glucose_low": "5.0", "signed_on": "2026-01-01" } });
    let order = door.ok("order_add", order)["id"]
        .as_str()
        .unwrap()
        .to_owned();
    let page = before(&mut door, &person, &order, json!({}));
    assert_eq!(
        (&of(&page, "glucose")["state"], &of(&page, "meal")["state"]),
        (&json!("not_yet"), &json!("not_yet"))
    );
    door.ok(
        "event_record",
        glucose(1, &person, "2026-06-03T08:00:00+01:00", "7.0"),
    );
    assert_eq!(
        of(&before(&mut door, &person, &order, json!({})), "glucose")["state"],
        "not_yet",
        "an hour and a half old"
    );
    door.ok(
        "event_record",
        glucose(2, &person, "2026-06-03T09:25:00+01:00", "7.0"),
    );
    assert_eq!(
        of(&before(&mut door, &person, &order, json!({})), "glucose")["state"],
        "done"
    );
    // Below the prescriber's own limit, and who set it is named.
    door.ok(
        "event_record",
        glucose(3, &person, "2026-06-03T09:28:00+01:00", "4.6"),
    );
    let low = of(
        &before(&mut door, &person, &order, json!({ "meal": "not_eating" })),
        "glucose",
    )
    .clone();
    assert_eq!(low["state"], "problem");
    assert!(
        low["problems"][0]["words"]
            .as_str()
            .unwrap()
            .contains("Dr Halloran Vey"),
        "{low}"
    );
}

#[test]
fn a_dose_becomes_a_volume_only_where_a_syringe_measures_it() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    let glargine = door.order(&person, "insulin-glargine-100", units("16"), &["08:00"]);
    let ask = |door: &mut Door, order: &str, more: Value| {
        let mut args = json!({ "order": order });
        args.as_object_mut()
            .unwrap()
            .extend(more.as_object().unwrap().clone());
        door.ok("dose_volume", args)
    };
    // US Army MD0904: 16 units of 100 units/mL are 0.16 mL.
    let drawn = ask(
        &mut door,
        &glargine,
        json!({ "device": "vial", "syringe": "u100_0_5" }),
    );
    assert_eq!(
        (&drawn["answer"], &drawn["volume"]),
        (&json!("draw"), &json!("0.16 mL"))
    );
    assert!(
        drawn["syringes"]
            .as_array()
            .unwrap()
            .iter()
            .any(|s| s["code"] == "u100_0_5" && s["fits"] == true && s["shows"] == true)
    );
    // EU package leaflet: 7.5 mg of 50 mg/mL are 0.15 mL.
    let weekly = json!({ "person": person, "medicine": "methotrexate", "dose": { "value": "7.5", "unit": "mg" }, "times": ["18:00"],
                         "every_days": 7, "from": "2026-06-01", "prescriber": "Dr Halloran Vey" });
    let weekly = door.ok("order_add", weekly)["id"]
        .as_str()
        .unwrap()
        .to_owned();
    assert_eq!(
        ask(
            &mut door,
            &weekly,
            json!({ "device": "vial", "syringe": "ml_1" })
        )["volume"],
        "0.15 mL"
    );
    // NPSA RRR013, NHS/PSA/W/2016/011: never drawn from a pen or cartridge.
    for device in ["pen", "cartridge"] {
        let refused = ask(&mut door, &glargine, json!({ "device": device }));
        assert_eq!(refused["answer"], "refused");
        assert!(
            refused["words"]
                .as_str()
                .unwrap()
                .to_lowercase()
                .contains("never"),
            "{refused}"
        );
    }
    assert_eq!(
        ask(
            &mut door,
            &glargine,
            json!({ "device": "vial", "syringe": "ml_1" })
        )["answer"],
        "refused",
        "insulin only in its own syringe"
    );
    assert_eq!(
        ask(
            &mut door,
            &glargine,
            json!({ "device": "prefilled_syringe" })
        )["answer"],
        "give_all"
    );
    let strong = ask(
        &mut door,
        &glargine,
        json!({ "device": "vial", "syringe": "u100_1", "strength": { "value": "500", "unit": "units" } }),
    );
    assert!(
        strong["cautions"]
            .as_array()
            .unwrap()
            .iter()
            .any(|c| c["loud"] == true),
        "{strong}"
    );
    assert_eq!(
        door.refused(
            "dose_volume",
            json!({ "order": glargine, "device": "vial", "syringe": "spoon" })
        )["code"],
        "bad_code"
    );
    assert_eq!(door.refused("dose_volume", json!({ "order": glargine, "device": "vial", "strength": { "value": "1e3", "unit": "units" } }))["code"], "bad_dose");
}

#[test]
fn technique_asks_for_what_it_does_not_know() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let ask = |door: &mut Door, more: Value| {
        let mut args = json!({ "person": person, "order": order, "zone": "abdomen" });
        args.as_object_mut()
            .unwrap()
            .extend(more.as_object().unwrap().clone());
        door.ok("technique", args)
    };
    let unknown = ask(&mut door, json!({}));
    assert_eq!(
        (
            unknown["asks"].as_array().unwrap().len(),
            &unknown["words"],
            &unknown["steps"]
        ),
        (2, &json!(null), &json!([]))
    );
    let known = ask(&mut door, json!({ "device": "pen", "needle_mm": 4.0 }));
    assert!(known["steps"].as_array().unwrap().len() > 3);
    assert!(
        known["steps"]
            .as_array()
            .unwrap()
            .iter()
            .all(|s| !s["source"].as_str().unwrap().is_empty())
    );
    assert!(
        !known["unknown"].as_array().unwrap().is_empty(),
        "weight is not known and said so"
    );
    let fold = |d: &Value| d["fold"]["words"].as_str().unwrap().to_owned();
    let says_unknown = |d: &Value| d["unknown"].to_string().contains("body mass index");
    assert!(says_unknown(&known), "{}", known["unknown"]);
    // 168 cm and 50 kg are a body mass index of 17.7, 70 kg one of 24.8: the fold of the book's index of 19.
    let six = json!({ "device": "pen", "needle_mm": 6.0 });
    let mut weighed = |kg: Value| {
        let mut to = json!({ "name": "Marit Oakfell", "born": "1951-03-09", "zone": "Europe/London", "self_injects": true,
            "sizes": { "height_cm": 168 } });
        to["weight_kg"] = kg;
        let changed = door.ok("person_change", json!({ "person": person, "to": to }));
        assert_eq!(changed["person"]["weight_kg"], to["weight_kg"]);
        assert_eq!(
            door.ok("person_get", json!({ "person": person }))["person"]["weight_kg"],
            to["weight_kg"]
        );
        ask(&mut door, six.clone())
    };
    let (thin, usual, not_weighed) = (
        weighed(json!(50.0)),
        weighed(json!(70.25)),
        weighed(json!(null)),
    );
    assert!(!says_unknown(&thin) && !says_unknown(&usual));
    assert!(says_unknown(&not_weighed), "what is not known stays so");
    assert_ne!(fold(&thin), fold(&usual), "{thin}");
    assert_eq!(
        fold(&ask(
            &mut door,
            json!({ "device": "pen", "needle_mm": 6.0, "weight_kg": 50.0 })
        )),
        fold(&thin),
        "what the request says goes before the record"
    );
    // Hirsch & Strauss 2019 items 4 and 5: 12.7 mm is for nobody.
    let long = ask(
        &mut door,
        json!({ "device": "vial_and_syringe", "needle_mm": 12.7 }),
    );
    assert!(
        long["cautions"]
            .as_array()
            .unwrap()
            .iter()
            .any(|c| c["loud"] == true),
        "{long}"
    );
    assert_eq!(door.refused("technique", json!({ "person": person, "order": order, "zone": "abdomen", "needle_mm": 400.0, "device": "pen" }))["code"], "bad_size");
}
