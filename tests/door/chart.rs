//! The clinic's chart through the door: periods, states, widths, and what cannot be a period.

use serde_json::{Value, json};

use super::{Door, abdomen};

const NOW: &str = "2026-11-20T08:00:00+00:00";

fn drawing<'a>(chart: &'a Value, key: &str) -> &'a Value {
    let all = chart["drawings"].as_array().unwrap();
    all.iter().find(|d| d["key"] == key).unwrap()
}

#[test]
fn a_chart_of_weeks_counts_what_was_given_beside_the_weeks_before() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    for (n, day) in [
        "2026-10-20",
        "2026-10-28",
        "2026-11-10",
        "2026-11-11",
        "2026-11-12",
    ]
    .iter()
    .enumerate()
    {
        let at = format!("{day}T08:00:00+00:00");
        let at = if *day < "2026-10-25" {
            format!("{day}T08:00:00+01:00")
        } else {
            at
        };
        let x = 4.0 + 1.5 * n as f64;
        door.give(
            n as u64,
            &person,
            &order,
            abdomen("left_lower", x, -3.0),
            &at,
        );
    }
    let ask =
        json!({ "person": person, "weeks": 4, "compare": true, "width": 720, "theme": "dark" });
    let chart = door.ok("chart", ask);
    assert_eq!(
        (&chart["from"], &chart["to"]),
        (&json!("2026-10-24"), &json!("2026-11-20"))
    );
    assert_eq!(chart["before_words"], "26 Sep 2026 to 23 Oct 2026");
    assert_eq!(chart["drawings"].as_array().unwrap().len(), 9);
    let weeks = drawing(&chart, "weeks");
    assert_eq!(
        weeks["table"]["rows"][0]
            .as_array()
            .unwrap()
            .last()
            .unwrap(),
        "4"
    );
    // Daily at 08:00 from 24 October to yesterday, and today's still open: 27 past slots, of which four were given.
    assert_eq!(
        drawing(&chart, "doses")["description"],
        "Of 27 that were due: 4 given, 0 not given, 23 without a record."
    );
    for d in chart["drawings"].as_array().unwrap() {
        let said = d["svg"].is_string() || !d["notes"].as_array().unwrap().is_empty();
        assert!(said, "{d}");
        if let Some(svg) = d["svg"].as_str() {
            assert!(svg.contains("role=\"img\"") && svg.contains("<desc"), "{d}");
        }
    }
    let same = json!({ "person": person, "from": "2026-10-24", "to": "2026-11-20", "width": 720, "theme": "dark", "compare": true });
    assert_eq!(
        door.ok("chart", same),
        chart,
        "the same days, however they are named"
    );
}

#[test]
fn an_empty_record_says_so_in_every_drawing() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    let chart = door.ok("chart", json!({ "person": person, "weeks": 52 }));
    for d in chart["drawings"].as_array().unwrap() {
        assert!(d["key"] == "body" || d["svg"].is_null(), "{}", d["key"]);
        assert!(!d["description"].as_str().unwrap().is_empty());
    }
    assert!(!chart["cautions"].as_array().unwrap().is_empty());
}

#[test]
fn what_is_no_period_is_refused_by_name() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    for (args, code) in [
        (
            json!({ "from": "2026-11-20", "to": "2026-11-19" }),
            "dates_reversed",
        ),
        (json!({}), "bad_request"),
        (json!({ "weeks": 4, "from": "2026-11-01" }), "bad_request"),
        (json!({ "weeks": 0 }), "bad_count"),
        (json!({ "weeks": 523 }), "bad_count"),
        (json!({ "from": "1990-01-01" }), "bad_count"),
        (json!({ "from": "yesterday" }), "bad_date"),
        (json!({ "weeks": 4, "theme": "sepia" }), "bad_code"),
    ] {
        let mut ask = args.clone();
        ask["person"] = json!(person);
        assert_eq!(door.refused("chart", ask)["code"], code, "{args}");
    }
}
