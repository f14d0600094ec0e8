//! Who may open the record: begun, locked, unlocked, by time and from elsewhere; wrong tries; PINs.

use std::fs;

use fallow_api::{App, Cost, Options};
use serde_json::{Value, json};

use super::{Door, abdomen, injection, now};

const NOW: &str = "2026-06-03T09:00:00+01:00";
pub(super) const PASSPHRASE: &str = "heron under the bridge";
const CHEAP: Cost = Cost {
    memory_kib: 64,
    passes: 1,
    lanes: 1,
};

/// A door as people have it: a new record waits for its passphrase.
pub(super) fn guarded(dir: tempfile::TempDir) -> Door {
    let options = Options {
        cost: Some(CHEAP),
        ..Options::default()
    };
    Door {
        app: App::open(dir.path(), options, now(NOW)),
        dir,
        now: NOW.to_owned(),
    }
}

/// A protected record, open, with somebody on glargine.
pub(super) fn begun() -> (Door, String, String) {
    let mut door = guarded(tempfile::tempdir().unwrap());
    door.ok("begin", json!({ "passphrase": PASSPHRASE }));
    let (person, order) = door.glargine("Europe/London");
    (door, person, order)
}

pub(super) fn reopened(door: Door) -> Door {
    let Door { app, dir, .. } = door;
    drop(app);
    guarded(dir)
}

pub(super) fn unlock(door: &mut Door, passphrase: &str) -> Value {
    door.call("unlock", json!({ "passphrase": passphrase }))
}

fn later(door: &mut Door, seconds: i64) {
    let at = now(&door.now).at + chrono::Duration::seconds(seconds);
    door.now = at.to_rfc3339();
}

/// Operations that are answered whatever state the record is in: they read nothing of it.
const ALWAYS: [&str; 6] = [
    "protection",
    "medicine_list",
    "time_resolve",
    "begin",
    "unlock",
    "lock",
];

// ---------------------------------------------------------------- begun

#[test]
fn a_new_record_waits_for_its_passphrase_and_nothing_is_written_before() {
    let mut door = guarded(tempfile::tempdir().unwrap());
    let found = door.ok("protection", json!({}));
    assert_eq!(
        (&found["standing"], &found["protected"]),
        (&json!("not_begun"), &json!(false))
    );
    assert_eq!(door.refused("status", json!({}))["code"], "not_begun");
    for weak in ["", "short", "aaaaaaaaaaaaaaaa", "  123456789  "] {
        let refused = door.refused("begin", json!({ "passphrase": weak }));
        assert_eq!(refused["code"], "weak_secret", "{weak}");
    }
    assert_eq!(fs::read_dir(door.dir.path()).unwrap().count(), 0);
    let begun = door.ok("begin", json!({ "passphrase": PASSPHRASE }));
    assert_eq!(
        (
            &begun["standing"],
            &begun["protected"],
            &begun["locks_in_s"]
        ),
        (&json!("open"), &json!(true), &json!(300))
    );
    assert_eq!(door.ok("status", json!({}))["protected"], true);
    let again = door.refused("begin", json!({ "passphrase": PASSPHRASE }));
    assert_eq!(again["code"], "already_begun");
}

#[test]
fn two_that_begin_at_once_make_one_record() {
    let dir = tempfile::tempdir().unwrap();
    let open = || {
        let options = Options {
            cost: Some(CHEAP),
            ..Options::default()
        };
        App::open(dir.path(), options, now(NOW))
    };
    let begin = |mut app: App| {
        let line = json!({ "op": "begin", "args": { "passphrase": PASSPHRASE } }).to_string();
        let reply = fallow_api::answer(&mut app, &line, now(NOW));
        let reply: Value = serde_json::from_str(&reply).unwrap();
        reply["error"]["code"]
            .as_str()
            .unwrap_or("begun")
            .to_owned()
    };
    let (one, two) = (open(), open());
    let told = std::thread::scope(|scope| {
        let other = scope.spawn(|| begin(two));
        [begin(one), other.join().unwrap()]
    });
    assert_eq!(told.iter().filter(|code| *code == "begun").count(), 1);
    let slower = told
        .iter()
        .any(|code| ["locked", "already_begun"].contains(&code.as_str()));
    assert!(slower, "{told:?}");
    let mut door = guarded(dir);
    assert_eq!(
        unlock(&mut door, PASSPHRASE)["ok"]["data"]["standing"],
        "open"
    );
}

#[test]
fn the_made_up_caseload_is_not_protected_and_says_so() {
    let mut door = Door::at(NOW);
    let found = door.ok("protection", json!({}));
    assert_eq!(found["protected"], false);
    assert_eq!(door.refused("lock", json!({}))["code"], "not_protected");
    assert_eq!(door.ok("status", json!({}))["protected"], false);
}

// ---------------------------------------------------------------- locked

#[test]
fn a_locked_record_answers_nothing_that_is_in_it() {
    let (door, person, order) = begun();
    let mut door = reopened(door);
    let mut refused = 0;
    for line in fallow_api::operations() {
        let line = line.replace("\"ID\"", &json!(person).to_string());
        let request: Value = serde_json::from_str(&line).unwrap();
        let op = request["op"].as_str().unwrap();
        if ALWAYS.contains(&op) {
            continue;
        }
        let reply = door.line(&line).to_string();
        assert!(
            !reply.contains("Oakfell") && !reply.contains(&order),
            "{op}: {reply}"
        );
        let reply: Value = serde_json::from_str(&reply).unwrap();
        assert_eq!(reply["error"]["code"], "locked", "{op}: {reply}");
        refused += 1;
    }
    println!("{refused} operations refused while locked");
    assert!(refused > 50);
    assert_eq!(
        unlock(&mut door, PASSPHRASE)["ok"]["data"]["standing"],
        "open"
    );
    assert_eq!(
        door.ok("person_list", json!({}))["people"][0]["person"]["name"],
        "Marit Oakfell"
    );
}

#[test]
fn it_is_locked_by_hand_and_the_unfinished_form_is_still_there() {
    let (mut door, ..) = begun();
    door.ok("draft_save", json!({ "key": "give:1", "body": "half" }));
    let locked = door.ok("lock", json!({}));
    assert_eq!(
        (&locked["standing"], &locked["locks_in_s"]),
        (&json!("locked"), &Value::Null)
    );
    let told = door.refused("draft_get", json!({ "key": "give:1" }));
    assert_eq!(told["code"], "locked");
    door.ok("lock", json!({}));
    unlock(&mut door, PASSPHRASE);
    assert_eq!(
        door.ok("draft_get", json!({ "key": "give:1" }))["body"],
        "half"
    );
}

#[test]
fn it_is_locked_when_nobody_was_there_for_as_long_as_was_chosen() {
    let (mut door, ..) = begun();
    let asked = |door: &mut Door, unattended: bool| {
        let line = json!({ "op": "status", "args": {}, "unattended": unattended });
        let reply = door.line(&line.to_string());
        reply["error"]["code"].as_str().unwrap_or("open").to_owned()
    };
    // Somebody there keeps it open; a program that asks of itself does not.
    for _ in 0..4 {
        later(&mut door, 299);
        assert_eq!(asked(&mut door, false), "open");
    }
    later(&mut door, 200);
    assert_eq!(asked(&mut door, true), "open");
    assert_eq!(
        door.line(r#"{"op":"protection","unattended":true}"#)["ok"]["data"]["locks_in_s"],
        100
    );
    later(&mut door, 100);
    assert_eq!(asked(&mut door, true), "locked");
    unlock(&mut door, PASSPHRASE);

    // Chosen, kept, and the same after a restart.
    let refused = door.refused("idle_set", json!({ "minutes": 7 }));
    assert_eq!(refused["code"], "bad_count");
    assert_eq!(
        door.ok("idle_set", json!({ "minutes": 30 }))["idle_minutes"],
        30
    );
    later(&mut door, 29 * 60);
    assert_eq!(asked(&mut door, false), "open");
    let mut door = reopened(door);
    unlock(&mut door, PASSPHRASE);
    later(&mut door, 29 * 60);
    assert_eq!(asked(&mut door, false), "open");
    // A clock that goes back does not keep it open for longer than what was chosen.
    later(&mut door, -100_000);
    assert_eq!(asked(&mut door, true), "open");
    later(&mut door, 30 * 60);
    assert_eq!(asked(&mut door, true), "locked");
    // Without a request too, so that the key does not lie in memory.
    unlock(&mut door, PASSPHRASE);
    later(&mut door, 30 * 60);
    let at = now(&door.now);
    door.app.watch(at);
    assert_eq!(
        door.line(r#"{"op":"protection","unattended":true}"#)["ok"]["data"]["standing"],
        "locked"
    );
    let refused = door.line(r#"{"op":"status","unattended":1}"#);
    assert_eq!(refused["error"]["code"], "bad_request");
}

#[test]
fn locking_it_in_one_program_locks_it_in_the_other() {
    let (mut door, ..) = begun();
    let options = Options {
        cost: Some(CHEAP),
        stays_open: true,
        ..Options::default()
    };
    let mut other = Door {
        app: App::open(door.dir.path(), options, now(NOW)),
        dir: tempfile::tempdir().unwrap(),
        now: NOW.to_owned(),
    };
    other
        .app
        .open_with(PASSPHRASE.to_owned(), now(NOW))
        .unwrap();
    other.ok("status", json!({}));
    door.ok("lock", json!({}));
    assert_eq!(other.refused("status", json!({}))["code"], "locked");
    // Being there in one keeps only that one open.
    unlock(&mut door, PASSPHRASE);
    unlock(&mut other, PASSPHRASE);
    later(&mut other, 3600);
    other.ok("status", json!({}));
    later(&mut door, 3600);
    assert_eq!(door.refused("status", json!({}))["code"], "locked");
    other.ok("status", json!({}));
}

#[test]
fn a_locked_device_still_reminds_and_knows_ids_and_times_alone() {
    use fallow_api::reminders::Stage;
    let (mut door, person, order) = begun();
    door.give(
        1,
        &person,
        &order,
        abdomen("left_lower", 5.5, -3.0),
        "2026-06-03T08:00:00+01:00",
    );
    door.ok("lock", json!({}));
    let open = |door: &Door, at: &str| -> Vec<(String, Stage)> {
        let found = door.app.open_ahead(now(at));
        let of = |o: fallow_api::reminders::Open| (o.injection.at.to_rfc3339(), o.stage);
        found.into_iter().map(of).collect()
    };
    assert_eq!(open(&door, "2026-06-03T22:00:00+01:00"), []);
    let tomorrow = "2026-06-04T08:00:00+01:00";
    assert_eq!(open(&door, tomorrow), [(tomorrow.to_owned(), Stage::Due)]);
    let late = open(&door, "2026-06-04T13:00:00+01:00");
    assert_eq!(late, [(tomorrow.to_owned(), Stage::Late)]);
    unlock(&mut door, PASSPHRASE);
    assert_eq!(open(&door, tomorrow), [], "the record itself tells then");
}

// ---------------------------------------------------------------- secrets

#[test]
fn wrong_tries_wait_longer_and_longer_and_a_restart_does_not_forget_them() {
    let (door, ..) = begun();
    let mut door = reopened(door);
    let told = |door: &mut Door, passphrase: &str| {
        let reply = unlock(door, passphrase);
        (
            reply["error"]["code"].as_str().unwrap_or("open").to_owned(),
            reply["error"]["message"]
                .as_str()
                .unwrap_or_default()
                .to_owned(),
        )
    };
    for _ in 0..2 {
        let (code, words) = told(&mut door, "not the passphrase");
        assert_eq!(code, "wrong_secret");
        assert!(!words.contains("seconds"), "{words}");
    }
    let (code, words) = told(&mut door, "not the passphrase");
    assert_eq!(code, "wrong_secret");
    assert!(
        words.ends_with("The next can be tried in 5 seconds."),
        "{words}"
    );
    // The right one waits as well: otherwise the wait would tell which is right.
    assert_eq!(told(&mut door, PASSPHRASE).0, "try_later");
    let mut door = reopened(door);
    assert_eq!(door.ok("protection", json!({}))["wait_s"], 5);
    later(&mut door, 3);
    let (code, words) = told(&mut door, PASSPHRASE);
    assert_eq!(code, "try_later");
    assert_eq!(
        words,
        "That was wrong 3 times. The next can be tried in 2 seconds."
    );
    later(&mut door, 2);
    assert_eq!(told(&mut door, "not the passphrase").0, "wrong_secret");
    assert_eq!(door.ok("protection", json!({}))["wait_s"], 10);
    // A clock set back waits no longer than that.
    later(&mut door, -1_000_000);
    assert_eq!(door.ok("protection", json!({}))["wait_s"], 10);
    later(&mut door, 1_000_010);
    assert_eq!(told(&mut door, PASSPHRASE).0, "open");
    assert_eq!(door.ok("protection", json!({}))["wait_s"], 0);
    assert!(!door.dir.path().join("fallow.tries").exists());
}

#[test]
fn a_passphrase_is_changed_and_a_recovery_code_opens_what_was_forgotten() {
    let (mut door, ..) = begun();
    let wrong = json!({ "passphrase": "not the passphrase", "new": "otter beside the mill" });
    assert_eq!(
        door.refused("passphrase_change", wrong)["code"],
        "wrong_secret"
    );
    let weak = json!({ "passphrase": PASSPHRASE, "new": "otter" });
    assert_eq!(
        door.refused("passphrase_change", weak)["code"],
        "weak_secret"
    );
    let no_code = door.call("unlock", json!({ "recovery_code": "0000" }));
    assert_eq!(
        no_code["ok"]["data"]["recovery_code"], false,
        "it is open already"
    );

    let code = door.ok("recovery_make", json!({ "passphrase": PASSPHRASE }));
    let code = code["code"].as_str().unwrap().to_owned();
    let to = json!({ "passphrase": PASSPHRASE, "new": "otter beside the mill" });
    assert_eq!(
        door.ok("passphrase_change", to)["words"],
        "The passphrase is changed, for the copies in their folder too. A copy that was taken elsewhere still opens by the one before."
    );
    door.ok("lock", json!({}));
    assert_eq!(
        unlock(&mut door, PASSPHRASE)["error"]["code"],
        "wrong_secret"
    );
    for (args, expected) in [
        (json!({}), "bad_request"),
        (
            json!({ "passphrase": "x", "recovery_code": "y" }),
            "bad_request",
        ),
        (json!({ "recovery_code": "0000" }), "wrong_secret"),
        (json!({ "recovery_code": "0".repeat(32) }), "wrong_secret"),
    ] {
        assert_eq!(
            door.refused("unlock", args.clone())["code"],
            expected,
            "{args}"
        );
    }
    let typed = code.to_lowercase().replace(' ', "-");
    door.ok("unlock", json!({ "recovery_code": typed }));
    let forgotten = json!({ "recovery_code": code, "new": "marten over the wall" });
    door.ok("passphrase_change", forgotten);
    door.ok("lock", json!({}));
    door.ok("unlock", json!({ "passphrase": "marten over the wall" }));
    // A new code takes the place of the one before.
    door.ok(
        "recovery_make",
        json!({ "passphrase": "marten over the wall" }),
    );
    door.ok("lock", json!({}));
    let old = door.refused("unlock", json!({ "recovery_code": code }));
    assert_eq!(old["code"], "wrong_secret");
}

#[test]
fn a_record_found_plain_is_encrypted_and_says_which_copies_are_not() {
    let mut plain = Door::at(NOW);
    let (person, _) = plain.glargine("Europe/London");
    plain.ok("backup_make", json!({}));
    let mut door = reopened(plain);
    assert_eq!(door.ok("protection", json!({}))["protected"], false);
    let weak = door.refused("protect", json!({ "passphrase": "short" }));
    assert_eq!(weak["code"], "weak_secret");
    let done = door.ok("protect", json!({ "passphrase": PASSPHRASE }));
    let words = done["words"].as_str().unwrap();
    assert!(words.contains("made before are not"), "{words}");
    assert_eq!(door.ok("status", json!({}))["protected"], true);
    let mut door = reopened(door);
    assert_eq!(door.refused("status", json!({}))["code"], "locked");
    unlock(&mut door, PASSPHRASE);
    door.ok("person_get", json!({ "person": person }));
    assert_eq!(door.ok("journal_verify", json!({}))["broken"], Value::Null);
    let again = door.refused("protect", json!({ "passphrase": PASSPHRASE }));
    assert_eq!(again["code"], "already_begun");
}

// ---------------------------------------------------------------- who writes

#[test]
fn a_pin_says_who_writes_and_keeps_nothing_from_being_recorded() {
    let (mut door, person, order) = begun();
    let site = abdomen("left_lower", 5.5, -3.0);
    let confirmed = |door: &mut Door, n: u64, day: &str| {
        let at = format!("2026-05-{day}T08:00:00+01:00");
        let site = abdomen("left_lower", 2.0 + n as f64, -3.0);
        door.ok("injection_record", injection(n, &person, &order, site, &at))["recorder_confirmed"]
            .clone()
    };
    assert_eq!(confirmed(&mut door, 1, "01"), Value::Null, "no PIN");
    let name = "Jory Oakfell";
    for weak in ["", "123", "12a4", "1234567890123"] {
        let refused = door.refused("recorder_set", json!({ "name": name, "new": weak }));
        assert_eq!(refused["code"], "weak_secret", "{weak}");
    }
    let set = door.ok("recorder_set", json!({ "name": name, "new": "4711" }));
    assert_eq!(
        set["recorders"],
        json!([{ "name": name, "confirmed": true }])
    );
    assert_eq!(confirmed(&mut door, 2, "02"), true);
    door.ok("lock", json!({}));
    unlock(&mut door, PASSPHRASE);
    assert_eq!(confirmed(&mut door, 3, "03"), false, "locking forgets it");
    let wrong = door.refused("recorder_confirm", json!({ "name": name, "pin": "4712" }));
    assert_eq!(wrong["code"], "wrong_secret");
    door.ok("recorder_confirm", json!({ "name": name, "pin": "4711" }));
    assert_eq!(confirmed(&mut door, 4, "04"), true);
    // What was written stays as it was written.
    let list = door.ok("injection_list", json!({ "person": person }));
    let told: Vec<&Value> = list["injections"]
        .as_array()
        .unwrap()
        .iter()
        .map(|i| &i["recorder_confirmed"])
        .collect();
    assert_eq!(
        told,
        [&json!(true), &json!(false), &json!(true), &Value::Null]
    );
    // Changed and taken away only by whoever knows it.
    let refused = door.refused("recorder_set", json!({ "name": name, "new": "1111" }));
    assert_eq!(refused["code"], "wrong_secret");
    let gone = door.ok("recorder_set", json!({ "name": name, "pin": "4711" }));
    assert_eq!(gone["recorders"], json!([]));
    let none = door.refused("recorder_confirm", json!({ "name": name, "pin": "4711" }));
    assert_eq!(none["code"], "wrong_secret");
    let fault = door.ok(
        "site_check",
        json!({ "person": person, "order": order, "site": site, "at": NOW }),
    );
    assert!(fault["verdict"].is_string());
    assert_eq!(door.ok("journal_verify", json!({}))["broken"], Value::Null);
}
