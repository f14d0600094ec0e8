//! Real input: the dose times of real, messy logs (tests/fixtures/uci-diabetes) go through the door, dose by dose.
//!
//! Each dose asks for a suggestion, has it checked, and records it. What was kept and broken is counted by a loop of
//! this test's own over every earlier dose, not by the code under test.

mod log;

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset};
use serde_json::{Value, json};

use crate::door::Door;
use log::{Dose, Log};

/// What one person's log came to.
#[derive(Default)]
struct Outcome {
    name: String,
    doses: usize,
    days: i64,
    verdicts: BTreeMap<String, usize>,
    spacing_breaks: usize,
    rest_breaks: usize,
    second_doses: usize,
    off_pattern: usize,
    check: Vec<Duration>,
    suggest: Vec<Duration>,
    problems: Vec<String>,
}

/// A place already used: zone, point, when.
type Used = (String, f64, f64, DateTime<FixedOffset>);

#[test]
fn nobody_in_these_logs_needs_a_break_of_spacing_or_rest() {
    let logs = log::all(&Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/uci-diabetes"));
    assert_eq!(logs.len(), 39);
    let malformed: Vec<_> = logs.iter().flat_map(|l| l.malformed.iter()).collect();
    let doses: usize = logs.iter().map(|l| l.doses.len()).sum();
    assert!(
        malformed.len() > 90,
        "these logs have malformed lines, and each is reported: {}",
        malformed.len()
    );
    for line in &malformed {
        println!("not read: {line}");
    }
    let queue = Mutex::new(logs.iter().collect::<Vec<_>>());
    let outcomes = Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                while let Some(log) = { queue.lock().unwrap().pop() } {
                    let outcome = replay(log);
                    outcomes.lock().unwrap().push(outcome);
                }
            });
        }
    });
    let mut outcomes = outcomes.into_inner().unwrap();
    outcomes.sort_by(|a, b| a.name.cmp(&b.name));
    println!("{}", table(&outcomes));
    let problems: Vec<_> = outcomes.iter().flat_map(|o| &o.problems).collect();
    assert!(problems.is_empty(), "{problems:#?}");
    assert_eq!(
        outcomes.iter().map(|o| o.doses).sum::<usize>(),
        doses,
        "every readable dose was recorded"
    );
    assert_eq!(
        outcomes
            .iter()
            .map(|o| o.spacing_breaks + o.rest_breaks)
            .sum::<usize>(),
        0
    );
}

/// Feeds one log, in the order of its times, to a store of its own.
fn replay(log: &Log) -> Outcome {
    let mut outcome = Outcome {
        name: log.name.clone(),
        ..Outcome::default()
    };
    let (Some(first), Some(last)) = (log.doses.first(), log.doses.last()) else {
        return outcome;
    };
    outcome.days = (last.at.date_naive() - first.at.date_naive()).num_days() + 1;
    let mut door = Door::at(&(last.at + chrono::Duration::hours(1)).to_rfc3339());
    // These logs say nothing of the person's size: the reference adult is used.
    let person =
        json!({ "name": log.name, "born": "1950-01-01", "zone": "UTC", "self_injects": true });
    let person = door.ok("person_add", person)["id"]
        .as_str()
        .unwrap()
        .to_owned();
    let mut orders = BTreeMap::new();
    for medicine in log.medicines() {
        let order = json!({
            "person": person, "medicine": medicine, "dose": { "value": "1", "unit": "units" }, "times": [],
            "from": first.at.date_naive().to_string(), "prescriber": "not in the log"
        });
        orders.insert(
            medicine,
            door.ok("order_add", order)["id"]
                .as_str()
                .unwrap()
                .to_owned(),
        );
    }
    let mut used: Vec<Used> = Vec::new();
    for (n, dose) in log.doses.iter().enumerate() {
        give(
            &mut door,
            &mut outcome,
            &person,
            &orders[dose.medicine],
            dose,
            n as u64,
            &mut used,
        );
    }
    outcome
}

fn give(
    door: &mut Door,
    outcome: &mut Outcome,
    person: &str,
    order: &str,
    dose: &Dose,
    n: u64,
    used: &mut Vec<Used>,
) {
    let at = dose.at.to_rfc3339();
    let began = Instant::now();
    let answer = door.ok(
        "site_suggest",
        json!({ "person": person, "order": order, "at": at, "count": 1 }),
    );
    outcome.suggest.push(began.elapsed());
    outcome.off_pattern += usize::from(!answer["note"].is_null());
    let site = answer["sites"][0]["site"].clone();
    let began = Instant::now();
    let check = door.ok(
        "site_check",
        json!({ "person": person, "order": order, "site": site, "at": at }),
    );
    outcome.check.push(began.elapsed());
    *outcome
        .verdicts
        .entry(check["verdict"].as_str().unwrap().to_owned())
        .or_default() += 1;
    let mut args = json!({
        "id": crate::door::id(n), "person": person, "order": order, "site": site, "given_at": at,
        "dose": { "value": dose.value, "unit": "units" }, "recorder": "the log", "acknowledges": ["second_dose"]
    });
    let reply = door.call("injection_record", args.clone());
    let reply = if reply["error"]["code"] == "second_dose" {
        outcome.second_doses += 1;
        args["reason"] = json!("The log holds it.");
        door.call("injection_record", args)
    } else {
        reply
    };
    if reply["ok"].is_null() {
        outcome.problems.push(format!(
            "{}: {} was not recorded: {reply}",
            dose.line, dose.value
        ));
        return;
    }
    outcome.doses += 1;
    count_breaks(outcome, &site, dose, used);
    if n.is_multiple_of(50) {
        let again = door.ok(
            "site_check",
            json!({ "person": person, "order": order, "site": site, "at": at }),
        );
        if again["verdict"] != "avoid" {
            outcome.problems.push(format!(
                "{}: the place just used is not to be avoided: {again}",
                dose.line
            ));
        }
    }
}

/// Every earlier dose of this log, one after the other: closer than 1 cm within 28 days, or within 1 cm and rested
/// fewer than 28 days.
fn count_breaks(outcome: &mut Outcome, site: &Value, dose: &Dose, used: &mut Vec<Used>) {
    let zone = site["zone"].as_str().unwrap().to_owned();
    let (x, y) = (
        site["across_cm"].as_f64().unwrap(),
        site["up_cm"].as_f64().unwrap(),
    );
    let days = |t: &DateTime<FixedOffset>| (dose.at.date_naive() - t.date_naive()).num_days();
    let mut nearest = f64::INFINITY;
    let mut least_rest = i64::MAX;
    for (z, px, py, t) in used.iter() {
        if *z != zone {
            continue;
        }
        let apart = ((x - px).powi(2) + (y - py).powi(2)).sqrt();
        if days(t) < 28 {
            nearest = nearest.min(apart);
        }
        if apart < 1.0 - 1e-9 {
            least_rest = least_rest.min(days(t));
        }
    }
    if nearest < 1.0 - 1e-9 {
        outcome.spacing_breaks += 1;
        outcome.problems.push(format!(
            "{}: {nearest:.2} cm from a place still resting",
            dose.line
        ));
    }
    if least_rest < 28 {
        outcome.rest_breaks += 1;
        outcome
            .problems
            .push(format!("{}: skin rested {least_rest} days", dose.line));
    }
    used.push((zone, x, y, dose.at));
}

fn table(outcomes: &[Outcome]) -> String {
    let mut text = String::from(
        "log        doses  days  clear caution avoid  off-pattern  repeats  breaks<1cm  breaks<28d  check ms med/max  suggest ms med/max\n",
    );
    let mut total = Outcome {
        name: "all".into(),
        ..Outcome::default()
    };
    for o in outcomes {
        row(&mut text, o);
        total.doses += o.doses;
        total.days += o.days;
        total.spacing_breaks += o.spacing_breaks;
        total.rest_breaks += o.rest_breaks;
        total.second_doses += o.second_doses;
        total.off_pattern += o.off_pattern;
        total.check.extend(&o.check);
        total.suggest.extend(&o.suggest);
        for (verdict, n) in &o.verdicts {
            *total.verdicts.entry(verdict.clone()).or_default() += n;
        }
    }
    row(&mut text, &total);
    text
}

fn row(text: &mut String, o: &Outcome) {
    let verdict = |v: &str| o.verdicts.get(v).copied().unwrap_or(0);
    let times = |list: &[Duration]| {
        let mut sorted: Vec<_> = list.iter().map(|d| d.as_secs_f64() * 1e3).collect();
        sorted.sort_by(f64::total_cmp);
        let median = sorted.get(sorted.len() / 2).copied().unwrap_or(0.0);
        format!("{median:.1}/{:.1}", sorted.last().copied().unwrap_or(0.0))
    };
    writeln!(
        text,
        "{:<9} {:>6} {:>5} {:>6} {:>7} {:>5} {:>12} {:>8} {:>11} {:>11} {:>17} {:>19}",
        o.name,
        o.doses,
        o.days,
        verdict("clear"),
        verdict("caution"),
        verdict("avoid"),
        o.off_pattern,
        o.second_doses,
        o.spacing_breaks,
        o.rest_breaks,
        times(&o.check),
        times(&o.suggest)
    )
    .unwrap();
}
