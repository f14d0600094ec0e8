//! A clock set back between entries, and two programs at once on one protected record: both are told or borne, and nothing
//! is refused or lost.

use std::path::Path;

use chrono::{DateTime, Duration, FixedOffset};
use fallow_api::{App, Clock, Now, Options, answer};
use serde_json::{Value, json};

use crate::child::{Deed, Running};
use crate::dial::{Chance, figure, rounds};
use crate::record::{self, CHEAP, PASSPHRASE};

/// A protected record behind the door, in process, with a clock that the test sets.
pub struct Door {
    pub app: App,
    pub now: DateTime<FixedOffset>,
}

impl Door {
    pub fn begun(dir: &Path) -> Self {
        let now = DateTime::parse_from_rfc3339("2026-06-03T09:00:00+01:00").unwrap();
        let options = Options {
            cost: Some(CHEAP),
            ..Options::default()
        };
        let app = App::open(dir, options, at(now));
        let mut door = Self { app, now };
        door.ok("begin", json!({ "passphrase": PASSPHRASE }));
        door
    }

    /// The reply to a line, as it is.
    pub fn answer(&mut self, line: &str) -> String {
        answer(&mut self.app, line, at(self.now))
    }

    #[track_caller]
    pub fn ok(&mut self, op: &str, args: Value) -> Value {
        let reply = self.answer(&json!({ "op": op, "args": args }).to_string());
        let reply: Value = serde_json::from_str(&reply).unwrap();
        assert_eq!(reply["ok"]["op"], op, "{reply}");
        reply["ok"]["data"].clone()
    }

    /// Unlocks the record where it was locked meanwhile, by a line or because nobody was there.
    pub fn unlocked(&mut self) {
        if self.ok("protection", json!({}))["standing"] == "locked" {
            self.ok("unlock", json!({ "passphrase": PASSPHRASE }));
        }
    }

    /// An invented person with an order of insulin glargine at 08:00.
    pub fn person(&mut self, name: &str) -> (String, String) {
        let person = json!({
            "name": name, "born": "1951-03-09", "zone": "Europe/London", "allergies": [], "self_injects": true,
            "sizes": { "height_cm": 168, "waist_cm": 92, "thigh_cm": 58, "upper_arm_cm": 31 }
        });
        let person = self.ok("person_add", person)["id"]
            .as_str()
            .unwrap()
            .to_owned();
        let order = json!({
            "person": person, "medicine": "insulin-glargine-100", "dose": { "value": "12", "unit": "units" },
            "times": ["08:00"], "from": "2026-01-01", "prescriber": "Dr Halloran Vey"
        });
        let order = self.ok("order_add", order)["id"]
            .as_str()
            .unwrap()
            .to_owned();
        (person, order)
    }
}

fn at(now: DateTime<FixedOffset>) -> Now {
    Now {
        at: now,
        set_by_hand: false,
        clock: Clock::default(),
    }
}

/// The n-th injection of an order, given at that moment.
pub fn injection(n: u64, person: &str, order: &str, given_at: &str) -> Value {
    json!({
        "id": record::id(n), "person": person, "order": order, "given_at": given_at,
        "site": { "zone": "abdomen", "quadrant": "left_lower", "across_cm": 5.5, "up_cm": -3.0 },
        "dose": { "value": "12", "unit": "units" }, "recorder": "Jory Oakfell",
        "reason": "The same place on purpose."
    })
}

#[test]
fn a_clock_that_is_set_back_changes_no_order_and_refuses_nothing() {
    let mut chance = Chance::new("clock set back");
    let dir = tempfile::tempdir().unwrap();
    let mut door = Door::begun(dir.path());
    let (person, order) = door.person("Marit Oakfell");
    let entries = rounds(30, 300);
    let (mut behind, mut latest) = (0, door.now);
    for n in 0..entries {
        // A leap of up to two days, as often back as forward.
        let leap = chance.below(4 * 24 * 60) as i64 - 2 * 24 * 60;
        door.now += Duration::minutes(leap);
        door.unlocked();
        let told = door.ok("status", json!({}))["clock_behind"]
            .as_bool()
            .unwrap();
        let is_behind = latest - door.now > Duration::minutes(1);
        assert_eq!(told, is_behind, "{} after {latest}", door.now);
        behind += u64::from(told);
        // The entry made last counts: one made under a clock that ran ahead does not put all later ones in doubt.
        latest = door.now;
        let given = (door.now - Duration::hours(n as i64 % 24)).to_rfc3339();
        let mut args = injection(100 + n, &person, &order, &given);
        args["acknowledges"] = json!(["avoid_needs_reason", "second_dose", "order_not_in_force"]);
        let saved = door.ok("injection_record", args);
        assert_eq!(saved["id"], record::id(100 + n));
    }
    assert_eq!(door.ok("journal_verify", json!({}))["broken"], Value::Null);
    let Door { app, .. } = door;
    drop(app);
    let store = record::open(dir.path()).unwrap();
    let query = fallow_store::InjectionQuery {
        person,
        superseded: true,
        ..Default::default()
    };
    let mut found = store.reader().injections(&query).unwrap();
    found.sort_by_key(|entry| entry.head.seq);
    let found: Vec<u64> = found.iter().map(record::number).collect();
    let order: Vec<u64> = (100..100 + entries).collect();
    assert_eq!(found, order, "in the order of insertion");
    figure(
        "clock_set_back",
        &[("entries", entries), ("told_behind", behind), ("losses", 0)],
    );
    assert!(behind > entries / 4);
}

#[test]
fn two_programs_on_one_protected_record_both_work() {
    let dir = tempfile::tempdir().unwrap();
    drop(record::made(dir.path(), true, 0..0));
    let mut one = Running::start(Deed::Save, dir.path(), &[]);
    let mut two = Running::start(Deed::Save, dir.path(), &[]);
    let each = rounds(50, 1_000);
    for n in 0..each {
        one.once(1_000 + n).unwrap();
        two.once(10_000 + n).unwrap();
    }
    // And as they come, both at once, until it shows in the order of their entries that neither waited for the other's end.
    let (mut expected, mut turns, mut tries) = (vec![1_000, 10_000], 0, 0);
    while turns < 3 && tries < 30 {
        let (of_one, of_two) = (20_000 + 10_000 * tries, 1_000_000 + 10_000 * tries);
        tries += 1;
        one.tell(of_one, each);
        two.tell(of_two, each);
        for (program, from) in [(&one, of_one), (&two, of_two)] {
            for n in from..from + each {
                assert_eq!(program.hear(), format!("begin {n}"));
                assert_eq!(program.hear(), format!("done {n}"));
            }
        }
        expected.extend([of_one, of_two]);
        let store = record::open(dir.path()).unwrap();
        let mut all = record::entries(&store).unwrap();
        all.sort_by_key(|entry| entry.head.seq);
        let newest = &all[all.len() - 2 * each as usize..];
        let by_one = |entry| record::number(entry) < 1_000_000;
        turns += newest
            .windows(2)
            .filter(|p| by_one(&p[0]) != by_one(&p[1]))
            .count() as u64;
    }
    one.close();
    two.close();
    let mut expected: Vec<u64> = expected
        .into_iter()
        .flat_map(|from| from..from + each)
        .collect();
    expected.sort_unstable();
    assert_eq!(
        record::numbers(&record::open(dir.path()).unwrap()),
        expected
    );
    figure(
        "two_programs",
        &[
            ("saved", expected.len() as u64),
            ("in_turn", 2 * each),
            ("at_once", 2 * each * tries),
            ("changes_of_writer", turns),
            ("losses", 0),
        ],
    );
    assert!(turns >= 3, "one always waited until the other had done");
}
