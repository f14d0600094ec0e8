//! What protecting a record costs: deriving the key, opening, saving, reading a person's list and locking, protected
//! beside plain, one after the other in the same run.
//!
//! `cargo xtask bench guarded`. Timings are benchmarks, never tests. Each line is the median of many rounds, taken in
//! turns so that both sides see the same machine.
#![allow(missing_docs, clippy::unwrap_used, clippy::pedantic)]

use std::time::{Duration, Instant};

use chrono::DateTime;
use fallow_api::{App, Clock, Now, Options, answer};
use fallow_store::{Cost, Keyring, Secret};
use serde_json::{Value, json};

const NOW: &str = "2026-06-03T09:00:00+01:00";
const PASSPHRASE: &str = "heron under the bridge";
/// The record that is opened: one injection a day for two years.
const INJECTIONS: u64 = 730;
const ROUNDS: usize = 41;

fn now() -> Now {
    Now {
        at: DateTime::parse_from_rfc3339(NOW).unwrap(),
        set_by_hand: true,
        clock: Clock::default(),
    }
}

fn ok(app: &mut App, op: &str, args: Value) -> Value {
    let line = json!({ "op": op, "args": args }).to_string();
    let reply: Value = serde_json::from_str(&answer(app, &line, now())).unwrap();
    assert!(reply["ok"].is_object(), "{op}: {reply}");
    reply["ok"]["data"].clone()
}

/// One of the two records, open.
struct Side {
    dir: tempfile::TempDir,
    app: App,
    options: Options,
    person: String,
    order: String,
    saved: u64,
}

impl Side {
    fn new(protected: bool) -> Self {
        let dir = tempfile::tempdir().unwrap();
        let options = Options {
            unprotected: !protected,
            // The cheapest there is, so that `open` is about the file; deriving a key has a line of its own.
            cost: Some(Cost {
                memory_kib: 8,
                passes: 1,
                lanes: 1,
            }),
            ..Options::default()
        };
        let mut app = App::open(dir.path(), options, now());
        if protected {
            ok(&mut app, "begin", json!({ "passphrase": PASSPHRASE }));
        }
        let person =
            json!({ "name": "Marit Oakfell", "born": "1951-03-09", "zone": "Europe/London" });
        let person = ok(&mut app, "person_add", person)["id"]
            .as_str()
            .unwrap()
            .to_owned();
        let order = json!({ "person": person, "medicine": "insulin-glargine-100",
            "dose": { "value": "12", "unit": "units" }, "times": ["08:00"], "from": "2020-01-01",
            "prescriber": "Dr Halloran Vey" });
        let order = ok(&mut app, "order_add", order)["id"]
            .as_str()
            .unwrap()
            .to_owned();
        let mut side = Self {
            dir,
            app,
            options,
            person,
            order,
            saved: 0,
        };
        for _ in 0..INJECTIONS {
            side.save();
        }
        side
    }

    fn save(&mut self) {
        self.saved += 1;
        let at = now().at - chrono::Duration::days(self.saved as i64);
        let args = json!({ "id": format!("0197f3a0-0000-7000-8000-{:012x}", self.saved), "person": self.person,
            "order": self.order, "site": { "zone": "abdomen", "quadrant": "left_lower" }, "given_at": at.to_rfc3339(),
            "dose": { "value": "12", "unit": "units" }, "recorder": "Jory Oakfell", "reason": "Measured." });
        ok(&mut self.app, "injection_record", args);
    }

    fn open(&mut self) {
        self.app = App::open(self.dir.path(), self.options, now());
        if !self.options.unprotected {
            ok(&mut self.app, "unlock", json!({ "passphrase": PASSPHRASE }));
        }
        ok(&mut self.app, "status", json!({}));
    }

    fn close(&mut self) {
        if self.options.unprotected {
            // A plain one cannot be locked; closing it is what locking does beside forgetting the key.
            let nowhere = self.dir.path().join("nowhere");
            let shut = Options {
                unprotected: false,
                ..self.options
            };
            self.app = App::open(&nowhere, shut, now());
        } else {
            ok(&mut self.app, "lock", json!({}));
        }
    }

    fn list(&mut self) {
        ok(
            &mut self.app,
            "injection_list",
            json!({ "person": self.person }),
        );
    }
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort_unstable();
    times[times.len() / 2]
}

fn timed(act: impl FnOnce()) -> Duration {
    let began = Instant::now();
    act();
    began.elapsed()
}

fn main() {
    let mut plain = Side::new(false);
    let mut protected = Side::new(true);
    println!(
        "{:<34} {:>12} {:>12} {:>7}",
        "", "plain", "protected", "ratio"
    );
    let mut line = |what: &str, act: &mut dyn FnMut(&mut Side) -> Duration| {
        let (mut a, mut b) = (Vec::new(), Vec::new());
        for _ in 0..ROUNDS {
            a.push(act(&mut plain));
            b.push(act(&mut protected));
        }
        let (a, b) = (median(a), median(b));
        let ratio = b.as_secs_f64() / a.as_secs_f64();
        println!("{what:<34} {a:>12.1?} {b:>12.1?} {ratio:>7.2}");
    };
    line("save an injection", &mut |side| timed(|| side.save()));
    line("list two years", &mut |side| timed(|| side.list()));
    line("close (protected: lock)", &mut |side| {
        let took = timed(|| side.close());
        side.open();
        took
    });
    line("open (protected: unlock, cheap key)", &mut |side| {
        side.close();
        timed(|| side.open())
    });
    line("copy of the day", &mut |side| {
        timed(|| drop(ok(&mut side.app, "backup_make", json!({}))))
    });
    let (ring, _) = Keyring::new(&Secret::passphrase(PASSPHRASE), Cost::USUAL, 5).unwrap();
    let derive = (0..7)
        .map(|_| {
            timed(|| {
                ring.unwrap(
                    fallow_store::By::Passphrase,
                    &Secret::passphrase(PASSPHRASE),
                )
                .unwrap();
            })
        })
        .collect();
    println!(
        "deriving the key from a passphrase (64 MiB, {} passes): {:.2?}",
        Cost::USUAL.passes,
        median(derive)
    );
}
