//! The program is killed right after it said `ok`, two hundred times: every acknowledged injection is there afterwards; and
//! two programs race for one store.

use std::io::{BufRead as _, BufReader, Write as _};
use std::os::unix::process::ExitStatusExt as _;
use std::process::Stdio;

use serde_json::{Value, json};

use crate::door::{Door, abdomen, id, injection, open};
use crate::program::{call, fallow};

const KILLS: u64 = 200;
const NOW: &str = "2026-06-03T09:00:00+01:00";

#[test]
fn an_acknowledged_injection_outlives_a_kill() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let Door { dir, app, .. } = door;
    drop(app);
    let mut killed = 0;
    for n in 0..KILLS {
        let mut child = fallow(&["call", "--clock", NOW, "--data"])
            .arg(dir.path())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut args = injection(n, &person, &order, abdomen("left_lower", 5.5, -3.0), NOW);
        args["given_at"] = json!(day(n));
        args["reason"] = json!("The same place on purpose.");
        let line = json!({ "op": "injection_record", "args": args });
        let mut stdin = child.stdin.take().unwrap();
        writeln!(stdin, "{line}").unwrap();
        let mut reply = String::new();
        BufReader::new(child.stdout.take().unwrap())
            .read_line(&mut reply)
            .unwrap();
        child.kill().unwrap();
        let status = child.wait().unwrap();
        let reply: Value = serde_json::from_str(&reply).unwrap();
        assert_eq!(reply["ok"]["data"]["id"], id(n), "{reply}");
        // It still waited for a next line, so only the kill can have ended it.
        assert_eq!(
            status.signal(),
            Some(9),
            "run {n} ended by itself: {status}"
        );
        drop(stdin);
        killed += 1;
    }
    let mut door = Door {
        app: open(dir.path(), NOW),
        dir,
        now: NOW.to_owned(),
    };
    let list = door.ok("injection_list", json!({ "person": person }));
    let kept = list["injections"].as_array().unwrap();
    let lost: Vec<_> = (0..KILLS)
        .filter(|n| !kept.iter().any(|i| i["id"] == json!(id(*n))))
        .collect();
    println!(
        "{killed} killed after `ok`, {} acknowledged injections kept, {} lost",
        kept.len(),
        lost.len()
    );
    assert_eq!((killed, kept.len() as u64), (KILLS, KILLS));
    assert!(lost.is_empty(), "{lost:?}");
}

/// A day of its own for each, so that none is a second dose.
fn day(n: u64) -> String {
    let now = chrono::DateTime::parse_from_rfc3339(NOW).unwrap();
    (now - chrono::Duration::days(n as i64 + 1)).to_rfc3339()
}

/// Two programs on one store race for a hundred slots: never two undisputed doses in one of them.
#[test]
fn two_programs_race_for_a_hundred_slots() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let Door { dir, app, .. } = door;
    drop(app);
    let lines = |program: u64| -> String {
        (0..100)
            .map(|n| {
                let mut args = injection(
                    program * 1000 + n,
                    &person,
                    &order,
                    abdomen("left_lower", 5.5, -3.0),
                    NOW,
                );
                args["given_at"] = json!(day(n));
                args["reason"] = json!("The same place on purpose.");
                // The reason is for the place; it does not cover a second dose.
                args["acknowledges"] = json!(["avoid_needs_reason"]);
                format!("{}\n", json!({ "op": "injection_record", "args": args }))
            })
            .collect()
    };
    let run = |program: u64| {
        let output = call(dir.path(), &["--clock", NOW], lines(program).as_bytes());
        let replies = String::from_utf8(output.stdout).unwrap();
        let codes = replies.lines().map(|line| {
            let reply: Value = serde_json::from_str(line).unwrap();
            reply["error"]["code"]
                .as_str()
                .unwrap_or("given")
                .to_owned()
        });
        codes.collect::<Vec<_>>()
    };
    let (one, two) = std::thread::scope(|scope| {
        let other = scope.spawn(|| run(2));
        (run(1), other.join().unwrap())
    });
    assert_eq!((one.len(), two.len()), (100, 100));
    for (n, pair) in one.iter().zip(&two).enumerate() {
        let mut pair = [pair.0.as_str(), pair.1.as_str()];
        pair.sort_unstable();
        assert_eq!(pair, ["given", "second_dose"], "slot {n}");
    }
    let given = |codes: &[String]| codes.iter().filter(|c| *c == "given").count();
    println!(
        "the two programs gave {} and {} of 100 slots",
        given(&one),
        given(&two)
    );
    let mut door = Door {
        app: open(dir.path(), NOW),
        dir,
        now: NOW.to_owned(),
    };
    assert_eq!(door.count(&person), 100);
}
