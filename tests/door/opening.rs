//! Every way to open what cannot be opened: its own code, its bytes left as they are, and never a first start. And the
//! record that every released version left behind.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use fallow_api::{App, Cost, Options};
use serde_json::{Value, json};

use super::{Door, id, now};

const NOW: &str = "2026-06-05T09:00:00+01:00";
const PASSPHRASE: &str = "heron under the bridge";
const CHEAP: Cost = Cost {
    memory_kib: 64,
    passes: 1,
    lanes: 1,
};

fn door(dir: &Path) -> Door {
    let options = Options {
        cost: Some(CHEAP),
        ..Options::default()
    };
    Door {
        app: App::open(dir, options, now(NOW)),
        dir: tempfile::tempdir().unwrap(),
        now: NOW.to_owned(),
    }
}

/// A protected record with three injections, closed, and a copy of it among its copies.
fn sound() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let mut door = door(dir.path());
    door.ok("begin", json!({ "passphrase": PASSPHRASE }));
    let (person, order) = door.glargine("Europe/London");
    for n in 1..=3_u64 {
        let at = format!("2026-06-0{}T08:00:00+01:00", n + 1);
        let site = super::abdomen("left_lower", 3.0 + n as f64 * 1.5, -3.0);
        door.give(n, &person, &order, site, &at);
    }
    door.ok("backup_make", json!({}));
    dir
}

/// Everything below a folder, by name.
fn contents(dir: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut found = Vec::new();
    let Ok(entries) = fs::read_dir(dir) else {
        return found;
    };
    for entry in entries {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(contents(&path));
        } else {
            let bytes = fs::read(&path).unwrap();
            found.push((path, bytes));
        }
    }
    found.sort();
    found
}

/// What is told before and after the right passphrase is given.
fn told(dir: &Path) -> [String; 2] {
    let mut door = door(dir);
    let code = |reply: &Value| reply["error"]["code"].as_str().unwrap_or("open").to_owned();
    let before = code(&door.call("status", json!({})));
    let unlocked = door.call("unlock", json!({ "passphrase": PASSPHRASE }));
    [before, code(&unlocked)]
}

#[test]
fn every_file_that_cannot_be_opened_has_its_own_code_and_is_left_as_it_is() {
    type Harm = fn(&Path);
    fn file(dir: &Path) -> PathBuf {
        dir.join("fallow.db")
    }
    fn without(dir: &Path, names: &[&str]) {
        for name in names {
            fs::remove_file(dir.join(name)).unwrap();
        }
    }
    // (what happened, what to do to a sound record, what is told locked, what after the passphrase)
    let cases: [(&str, Harm, [&str; 2]); 15] = [
        ("nothing", |_| {}, ["locked", "open"]),
        (
            "emptied",
            |dir| fs::write(file(dir), "").unwrap(),
            ["file_damaged"; 2],
        ),
        (
            "emptied, and its marker lost",
            |dir| {
                fs::write(file(dir), "").unwrap();
                without(dir, &["fallow.marker"]);
            },
            ["file_damaged"; 2],
        ),
        (
            "cut to half",
            |dir| {
                let all = fs::read(file(dir)).unwrap();
                fs::write(file(dir), &all[..all.len() / 2 / 4096 * 4096]).unwrap();
            },
            ["locked", "file_damaged"],
        ),
        (
            "cut within a page",
            |dir| {
                let all = fs::read(file(dir)).unwrap();
                fs::write(file(dir), &all[..all.len() - 100]).unwrap();
            },
            ["file_damaged"; 2],
        ),
        (
            "a bit of its first page flipped",
            |dir| {
                let mut all = fs::read(file(dir)).unwrap();
                all[2000] ^= 4;
                fs::write(file(dir), all).unwrap();
            },
            ["locked", "file_damaged"],
        ),
        (
            "the file of another record",
            |dir| {
                fs::copy(file(sound().path()), file(dir)).unwrap();
            },
            ["locked", "file_damaged"],
        ),
        (
            "the keys of another record",
            |dir| {
                let other = sound();
                for name in ["fallow.keys", "fallow.keys.spare"] {
                    fs::copy(other.path().join(name), dir.join(name)).unwrap();
                }
            },
            ["locked", "file_damaged"],
        ),
        (
            "another program's database",
            |dir| {
                fs::remove_file(file(dir)).unwrap();
                rusqlite::Connection::open(file(dir))
                    .unwrap()
                    .execute_batch("CREATE TABLE t (x); PRAGMA user_version = 1")
                    .unwrap();
            },
            ["file_damaged"; 2],
        ),
        (
            "a picture",
            |dir| fs::write(file(dir), b"\x89PNG\r\n\x1a\n".repeat(1024)).unwrap(),
            ["locked", "file_damaged"],
        ),
        (
            "its file gone",
            |dir| without(dir, &["fallow.db"]),
            ["file_missing"; 2],
        ),
        (
            "a folder in its place",
            |dir| {
                without(dir, &["fallow.db"]);
                fs::create_dir(file(dir)).unwrap();
            },
            ["file_damaged"; 2],
        ),
        (
            "its keys gone",
            |dir| without(dir, &["fallow.keys", "fallow.keys.spare"]),
            ["keys_missing"; 2],
        ),
        (
            "its keys damaged",
            |dir| {
                for name in ["fallow.keys", "fallow.keys.spare"] {
                    fs::write(dir.join(name), "noise").unwrap();
                }
            },
            ["locked", "keys_damaged"],
        ),
        (
            "one file of keys damaged",
            |dir| fs::write(dir.join("fallow.keys"), "noise").unwrap(),
            ["locked", "open"],
        ),
    ];
    for (what, harm, expected) in cases {
        let dir = sound();
        harm(dir.path());
        let before = contents(dir.path());
        assert_eq!(told(dir.path()), expected, "{what}");
        if expected[1] != "open" {
            let after = contents(dir.path());
            assert!(after == before, "{what}: the folder was changed");
            // And nothing new can be begun in its place.
            let mut door = door(dir.path());
            let refused = door.refused("begin", json!({ "passphrase": PASSPHRASE }));
            assert_ne!(refused["code"], "weak_secret", "{what}");
            assert!(contents(dir.path()) == before, "{what}: begun anew");
            // What can be done is offered: the copies are listed, and one can be put back.
            door.refused("unlock", json!({ "passphrase": PASSPHRASE }));
            let list = door.ok("backup_list", json!({}));
            let name = list["backups"][0]["name"].clone();
            assert!(name.is_string(), "{what}");
            let put = json!({ "name": name, "passphrase": PASSPHRASE });
            let put = door.call("backup_restore", put);
            if file(dir.path()).is_dir() {
                // What is no file is not moved away for anybody.
                assert!(put["error"].is_object(), "{what}: {put}");
                continue;
            }
            assert!(put["ok"].is_object(), "{what}: {put}");
            let walk = door.ok("journal_verify", json!({}));
            assert_eq!(walk["broken"], Value::Null, "{what}");
        }
    }
}

/// The key of a record as whoever has its passphrase and the documents gets it, without the program.
fn raw_key(dir: &Path) -> String {
    use chacha20poly1305::aead::{Aead as _, Payload};
    use chacha20poly1305::{ChaCha20Poly1305, KeyInit as _};
    let text = fs::read_to_string(dir.join("fallow.keys")).unwrap();
    let ring: Value = serde_json::from_str(text.lines().next().unwrap()).unwrap();
    let wrapping = &ring["wrappings"][0];
    let bytes = |name: &str| hex::decode(wrapping[name].as_str().unwrap()).unwrap();
    let cost = |name: &str| u32::try_from(wrapping["cost"][name].as_u64().unwrap()).unwrap();
    let [memory, passes, lanes] = ["memory_kib", "passes", "lanes"].map(cost);
    let params = argon2::Params::new(memory, passes, lanes, Some(32)).unwrap();
    let mut derived = [0; 32];
    argon2::Argon2::new(argon2::Algorithm::Argon2id, argon2::Version::V0x13, params)
        .hash_password_into(PASSPHRASE.as_bytes(), &bytes("salt"), &mut derived)
        .unwrap();
    let store = ring["store"].as_str().unwrap();
    let aad = format!("fallow-keys-1 {store} passphrase {memory} {passes} {lanes}");
    let sealed = bytes("sealed");
    let payload = Payload {
        msg: &sealed,
        aad: aad.as_bytes(),
    };
    let nonce: [u8; 12] = bytes("nonce").try_into().unwrap();
    let key = ChaCha20Poly1305::new(&derived.into())
        .decrypt(&nonce.into(), payload)
        .unwrap();
    format!("x'{}'", hex::encode(key))
}

/// A newer file under a passphrase: read, listed, taken away as a file, and left byte for byte (case S11).
#[test]
fn a_newer_protected_file_is_read_and_taken_away_and_never_written() {
    let dir = sound();
    {
        let conn = rusqlite::Connection::open(dir.path().join("fallow.db")).unwrap();
        conn.pragma_update(None, "key", raw_key(dir.path()))
            .unwrap();
        conn.pragma_update(None, "user_version", 99).unwrap();
    }
    let before = contents(dir.path());
    let mut newer = door(dir.path());
    newer.ok("unlock", json!({ "passphrase": PASSPHRASE }));
    assert_eq!(newer.ok("status", json!({}))["writable"], false);
    let people = newer.ok("person_list", json!({}));
    let person = people["people"][0]["person"]["id"].clone();
    let list = newer.ok("injection_list", json!({ "person": person }));
    assert_eq!(list["injections"].as_array().unwrap().len(), 3);
    let file = json!({ "person": person, "weeks": 4, "format": "pdf", "paper": "a4" });
    assert!(
        newer.ok("chart_file", file)["base64"].is_string(),
        "it can be taken away"
    );
    for (op, args) in [
        ("draft_save", json!({ "key": "x", "body": "y" })),
        ("practice_set", json!({ "navel_margin_cm": 2.0 })),
        ("recorder_set", json!({ "name": "x", "new": "1234" })),
    ] {
        assert_eq!(newer.refused(op, args)["code"], "file_too_new", "{op}");
    }
    newer.ok("lock", json!({}));
    drop(newer);
    let mut after = contents(dir.path());
    after.retain(|(path, _)| !path.ends_with("fallow.locks"));
    assert!(after == before, "the folder was changed");
}

/// A small disk, where this process may mount one.
struct Disk(tempfile::TempDir);

impl Disk {
    fn new() -> Option<Self> {
        let dir = tempfile::tempdir().unwrap();
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", "size=2m", "none"])
            .arg(dir.path())
            .output()
            .is_ok_and(|done| done.status.success());
        if !mounted {
            eprintln!(
                "not run: mounting is not allowed here (the store's own tests fail such calls without a mount)"
            );
        }
        mounted.then(|| Self(dir))
    }

    fn remount(&self, how: &str) {
        let done = Command::new("mount")
            .args(["-o", &format!("remount,{how}")])
            .arg(self.0.path())
            .status();
        assert!(done.unwrap().success());
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(self.0.path()).status();
    }
}

#[test]
fn a_disk_that_is_full_read_only_or_gone_is_told_and_can_be_tried_again() {
    let Some(disk) = Disk::new() else { return };
    let folder = disk.0.path().join("record");
    let ballast = disk.0.path().join("ballast");
    // Full before the first start: nothing half-made stays, and it is still a first start.
    fs::write(&ballast, vec![1; 1900 * 1024]).unwrap();
    let mut door = door(&folder);
    let refused = door.refused("begin", json!({ "passphrase": PASSPHRASE }));
    assert_eq!(refused["code"], "disk_full");
    let left: Vec<_> = contents(&folder)
        .into_iter()
        .filter(|(_, bytes)| !bytes.is_empty())
        .collect();
    let names: Vec<_> = left.iter().map(|(path, _)| path).collect();
    assert!(left.is_empty(), "{names:?}");
    assert_eq!(door.ok("protection", json!({}))["standing"], "not_begun");
    fs::remove_file(&ballast).unwrap();
    door.ok("begin", json!({ "passphrase": PASSPHRASE }));
    door.glargine("Europe/London");
    door.ok("lock", json!({}));

    disk.remount("ro");
    let before = contents(&folder);
    let refused = door.refused("unlock", json!({ "passphrase": PASSPHRASE }));
    assert_eq!(refused["code"], "read_only");
    assert_eq!(door.ok("protection", json!({}))["standing"], "locked");
    assert!(contents(&folder) == before);
    disk.remount("rw");
    door.ok("unlock", json!({ "passphrase": PASSPHRASE }));

    // The folder is taken away while it is open: nothing is acknowledged that nobody would find again.
    fs::rename(&folder, disk.0.path().join("elsewhere")).unwrap();
    let refused = door.refused("draft_save", json!({ "key": "x", "body": "y" }));
    assert_eq!(refused["code"], "file_missing");
    fs::rename(disk.0.path().join("elsewhere"), &folder).unwrap();
    door.ok("draft_save", json!({ "key": "x", "body": "y" }));
}

#[test]
fn two_copies_of_the_program_on_one_record_both_work() {
    let dir = sound();
    let mut one = door(dir.path());
    let mut two = door(dir.path());
    one.ok("unlock", json!({ "passphrase": PASSPHRASE }));
    two.ok("unlock", json!({ "passphrase": PASSPHRASE }));
    for n in 0..10 {
        let writer = if n % 2 == 0 { &mut one } else { &mut two };
        let name = format!("Person {n}");
        writer.ok(
            "person_add",
            json!({ "name": name, "born": "1951-03-09", "zone": "Europe/London" }),
        );
    }
    for door in [&mut one, &mut two] {
        let list = door.ok("person_list", json!({}));
        assert_eq!(list["people"].as_array().unwrap().len(), 11);
        assert_eq!(door.ok("journal_verify", json!({}))["broken"], Value::Null);
    }
}

// ---------------------------------------------------------------- what earlier versions left

/// The record of schema version 1, as `tests/fixtures/README.md` tells it was made; frozen with it.
#[test]
fn the_record_of_version_1_is_read_verified_and_goes_on() {
    let fixture = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/stores/version-1");
    let dir = tempfile::tempdir().unwrap();
    for name in ["fallow.db", "fallow.keys"] {
        fs::copy(fixture.join(name), dir.path().join(name)).unwrap();
    }
    let mut door = door(dir.path());
    door.ok("unlock", json!({ "passphrase": PASSPHRASE }));
    let walk = door.ok("journal_verify", json!({}));
    assert_eq!(
        (&walk["entries"], &walk["last_hash"], &walk["broken"]),
        (
            &json!(10),
            &json!("3a2e0f4eb43e981e35ead00d3c39c9d90942b2155300257aafd266efd3f88917"),
            &Value::Null
        )
    );
    let person = json!({ "person": id(1) });
    let found = door.ok("person_get", person.clone());
    assert_eq!(found["person"]["name"], "Marit Oakfell");
    assert_eq!(found["orders"][0]["dose_words"], "12 units");
    let list = door.ok(
        "injection_list",
        json!({ "person": id(1), "superseded": true }),
    );
    let told: Vec<_> = list["injections"]
        .as_array()
        .unwrap()
        .iter()
        .map(|i| {
            (
                i["site"]["zone"].as_str().unwrap(),
                i["recorder_confirmed"].clone(),
            )
        })
        .collect();
    assert_eq!(
        told,
        [
            ("right_thigh", Value::Null),
            ("left_thigh", Value::Null),
            ("abdomen", json!(true))
        ]
    );
    let events = door.ok("event_list", json!({ "person": id(1) }));
    assert_eq!(events["events"][0]["about"], "not_given");
    let findings = door.ok("finding_list", person.clone());
    assert_eq!(findings["findings"][0]["kind"], "lump");
    assert!(
        door.ok("skin_state", person)["checks"]
            .as_array()
            .is_some_and(|c| c.len() == 1)
    );
    assert_eq!(door.ok("practice_get", json!({}))["navel_margin_cm"], 2.5);
    let pins = door.ok("recorder_list", json!({}));
    assert_eq!(pins["recorders"][0]["name"], "Jory Oakfell");
    let site = super::abdomen("right_upper", -5.5, 4.0);
    door.give(99, &id(1), &id(2), site, "2026-06-05T08:00:00+01:00");
    assert_eq!(door.ok("journal_verify", json!({}))["entries"], 11);
}
