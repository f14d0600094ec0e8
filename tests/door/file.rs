//! What the door says of a store it cannot open or write, case S11 among them: never "a new store".

use std::fs;
use std::path::Path;

use serde_json::json;
use sha2::{Digest, Sha256};

use super::{Door, abdomen, open};

const NOW: &str = "2026-06-05T09:00:00+01:00";

fn digest(path: &Path) -> String {
    Sha256::digest(fs::read(path).unwrap())
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect()
}

/// A store with three injections, closed.
fn with_three() -> (tempfile::TempDir, String) {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    for n in 1..=3_u64 {
        let at = format!("2026-06-0{}T08:00:00+01:00", n + 1);
        door.give(
            n,
            &person,
            &order,
            abdomen("left_lower", 3.0 + n as f64 * 1.5, -3.0),
            &at,
        );
    }
    let Door { dir, app, .. } = door;
    drop(app);
    (dir, person)
}

fn reopened(dir: tempfile::TempDir) -> Door {
    let app = open(dir.path(), NOW);
    Door {
        app,
        dir,
        now: NOW.to_owned(),
    }
}

#[test]
fn s11_a_newer_file_is_read_not_written_and_left_as_it_was() {
    let (dir, person) = with_three();
    let file = dir.path().join("fallow.db");
    let newer = rusqlite::Connection::open(&file).unwrap();
    let version: i64 = newer
        .pragma_query_value(None, "user_version", |r| r.get(0))
        .unwrap();
    newer
        .pragma_update(None, "user_version", version + 1)
        .unwrap();
    newer
        .pragma_update(None, "wal_checkpoint", "TRUNCATE")
        .unwrap();
    drop(newer);
    let before = digest(&file);
    let mut door = reopened(dir);
    assert_eq!(door.ok("status", json!({}))["writable"], false);
    let list = door.ok("injection_list", json!({ "person": person }));
    assert_eq!(
        list["injections"].as_array().unwrap().len(),
        3,
        "it can be read"
    );
    let refused = door.refused("draft_save", json!({ "key": "x", "body": "y" }));
    assert_eq!(refused["code"], "file_too_new");
    assert!(
        refused["message"]
            .as_str()
            .unwrap()
            .contains("newer version")
    );
    let Door { app, dir, .. } = door;
    drop(app);
    assert_eq!(digest(&file), before);
    let left: Vec<_> = fs::read_dir(dir.path())
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .collect();
    assert!(
        !left
            .iter()
            .any(|name| name.ends_with("-wal") || name.ends_with("-shm")),
        "{left:?}"
    );
}

#[test]
fn an_empty_damaged_or_missing_file_is_never_a_new_store() {
    type Harm = fn(&Path);
    let harms: [(&str, Harm, &str); 4] = [
        ("emptied", |f| fs::write(f, b"").unwrap(), "file_damaged"),
        (
            "overwritten",
            |f| {
                fs::write(
                    f,
                    b"this is not a record of anything at all, but long enough",
                )
                .unwrap()
            },
            "file_damaged",
        ),
        (
            "cut short",
            |f| {
                let all = fs::read(f).unwrap();
                fs::write(f, &all[..all.len() / 2]).unwrap();
            },
            "file_damaged",
        ),
        ("gone", |f| fs::remove_file(f).unwrap(), "file_missing"),
    ];
    for (what, harm, code) in harms {
        let (dir, _) = with_three();
        let file = dir.path().join("fallow.db");
        let sound = digest(&file);
        harm(&file);
        let harmed = file.exists().then(|| digest(&file));
        assert_ne!(harmed.as_ref(), Some(&sound), "the file was not {what}");
        let mut door = reopened(dir);
        for op in ["status", "person_list"] {
            assert_eq!(door.refused(op, json!({}))["code"], code, "{what}, {op}");
        }
        drop(door.app);
        assert_eq!(
            file.exists().then(|| digest(&file)),
            harmed,
            "{what}: the bytes are as they were"
        );
    }
}

#[test]
fn a_folder_that_cannot_be_written_is_told_by_name() {
    let dir = tempfile::tempdir().unwrap();
    let in_the_way = dir.path().join("a file");
    fs::write(&in_the_way, b"x").unwrap();
    let mut door = Door {
        app: open(&in_the_way.join("store"), NOW),
        dir,
        now: NOW.to_owned(),
    };
    assert_eq!(door.refused("person_list", json!({}))["code"], "read_only");
}

#[test]
fn what_was_saved_is_there_after_closing() {
    let (dir, person) = with_three();
    let mut door = reopened(dir);
    assert_eq!(door.count(&person), 3);
}
