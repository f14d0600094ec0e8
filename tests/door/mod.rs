//! The door, in process: the contract of every operation, the acceptance cases, and what bad input gets.

mod backups;
mod bad_input;
mod before;
mod body;
mod chart;
mod chart_file;
mod contract;
mod demo;
mod display;
mod events;
mod file;
mod glucose;
mod guard;
mod guard_copies;
mod journal;
mod measures;
mod opening;
mod plan;
mod second_dose;
mod skin;
mod time_cases;
mod visit;

use std::path::Path;

use chrono::DateTime;
use fallow_api::{App, Now, Options, answer};
use serde_json::{Value, json};
use tempfile::TempDir;

/// An open store in a folder of its own, with a clock that the test sets.
pub struct Door {
    pub app: App,
    pub dir: TempDir,
    pub now: String,
}

/// A moment as a shell would read it.
pub fn now(text: &str) -> Now {
    Now {
        at: DateTime::parse_from_rfc3339(text).unwrap(),
        set_by_hand: false,
        clock: fallow_api::Clock::default(),
    }
}

pub fn open(dir: &Path, at: &str) -> App {
    let options = Options {
        unprotected: true,
        ..Options::default()
    };
    App::open(dir, options, now(at))
}

impl Door {
    pub fn at(time: &str) -> Self {
        let dir = tempfile::tempdir().unwrap();
        let app = open(dir.path(), time);
        Self {
            app,
            dir,
            now: time.to_owned(),
        }
    }

    /// Sends a line as it is and reads the reply.
    pub fn line(&mut self, line: &str) -> Value {
        serde_json::from_str(&answer(&mut self.app, line, now(&self.now))).unwrap()
    }

    pub fn call(&mut self, op: &str, args: Value) -> Value {
        self.line(&json!({ "op": op, "args": args }).to_string())
    }

    /// The data of a request that must be answered.
    #[track_caller]
    pub fn ok(&mut self, op: &str, args: Value) -> Value {
        let reply = self.call(op, args);
        assert_eq!(reply["ok"]["op"], op, "{reply}");
        reply["ok"]["data"].clone()
    }

    /// The error of a request that must be refused.
    #[track_caller]
    pub fn refused(&mut self, op: &str, args: Value) -> Value {
        let reply = self.call(op, args);
        assert!(
            reply.get("error").is_some(),
            "{op} was not refused: {reply}"
        );
        let error = reply["error"].clone();
        let words = error["message"].as_str().unwrap();
        assert!(
            words.len() > 12 && words.ends_with('.'),
            "not a sentence that helps: {words}"
        );
        error
    }

    /// An invented person who injects themself.
    pub fn person(&mut self, zone: &str) -> String {
        let person = json!({
            "name": "Marit Oakfell", "born": "1951-03-09", "zone": zone, "allergies": [], "self_injects": true,
            "sizes": { "height_cm": 168, "waist_cm": 92, "thigh_cm": 58, "upper_arm_cm": 31 }
        });
        self.ok("person_add", person)["id"]
            .as_str()
            .unwrap()
            .to_owned()
    }

    pub fn order(&mut self, person: &str, medicine: &str, dose: Value, times: &[&str]) -> String {
        let order = json!({
            "person": person, "medicine": medicine, "dose": dose, "times": times, "from": "2026-01-01",
            "prescriber": "Dr Halloran Vey"
        });
        self.ok("order_add", order)["id"]
            .as_str()
            .unwrap()
            .to_owned()
    }

    /// A person on 12 units of insulin glargine at 08:00.
    pub fn glargine(&mut self, zone: &str) -> (String, String) {
        let person = self.person(zone);
        let order = self.order(&person, "insulin-glargine-100", units("12"), &["08:00"]);
        (person, order)
    }

    /// Records an injection of the glargine order that must be taken.
    #[track_caller]
    pub fn give(&mut self, n: u64, person: &str, order: &str, site: Value, at: &str) -> Value {
        self.ok("injection_record", injection(n, person, order, site, at))
    }

    pub fn count(&mut self, person: &str) -> usize {
        let all = self.ok(
            "injection_list",
            json!({ "person": person, "superseded": true }),
        );
        all["injections"].as_array().unwrap().len()
    }
}

pub fn units(value: &str) -> Value {
    json!({ "value": value, "unit": "units" })
}

pub fn abdomen(quadrant: &str, across_cm: f64, up_cm: f64) -> Value {
    json!({ "zone": "abdomen", "quadrant": quadrant, "across_cm": across_cm, "up_cm": up_cm })
}

/// A fresh id, from a number so that a run repeats.
pub fn id(n: u64) -> String {
    format!("0197f3a0-0000-7000-8000-{n:012x}")
}

/// An injection of the glargine order.
pub fn injection(n: u64, person: &str, order: &str, site: Value, given_at: &str) -> Value {
    json!({
        "id": id(n), "person": person, "order": order, "site": site, "given_at": given_at, "dose": units("12"),
        "recorder": "Jory Oakfell", "reason": null
    })
}
