//! Copies of a protected record, and what is put back when its file or its keys are gone.

use std::fs;

use serde_json::{Value, json};

use super::Door;
use super::guard::{PASSPHRASE, begun, guarded, reopened, unlock};

#[test]
fn a_copy_of_another_key_is_put_back_by_its_own_passphrase() {
    let (mut door, person, _) = begun();
    let name = door.ok("backup_make", json!({}))["name"].clone();
    let list = door.ok("backup_list", json!({}));
    let told = |list: &Value| {
        let b = &list["backups"][0];
        (
            b["protected"].clone(),
            b["locked"].clone(),
            b["entries"].clone(),
        )
    };
    assert_eq!(told(&list), (json!(true), json!(false), json!(2)));

    // Another device: its own record, and the folder of copies of the first.
    let folder = door.dir.path().join("backups");
    let mut other = guarded(tempfile::tempdir().unwrap());
    other.ok("begin", json!({ "passphrase": "otter beside the mill" }));
    fs::write(
        other.dir.path().join("fallow.backups"),
        folder.to_str().unwrap(),
    )
    .unwrap();
    let list = other.ok("backup_list", json!({}));
    assert_eq!(told(&list), (json!(true), json!(true), Value::Null));
    let refused = other.refused("backup_restore", json!({ "name": name }));
    assert_eq!(refused["code"], "locked");
    let wrong = json!({ "name": name, "passphrase": "otter beside the mill" });
    assert_eq!(
        other.refused("backup_restore", wrong)["code"],
        "wrong_secret"
    );
    other.ok("status", json!({}));
    let right = json!({ "name": name, "passphrase": PASSPHRASE });
    other.ok("backup_restore", right);
    other.ok("person_get", json!({ "person": person }));
    // From now on it opens by the passphrase of the copy.
    let mut other = reopened(other);
    assert_eq!(
        unlock(&mut other, "otter beside the mill")["error"]["code"],
        "wrong_secret"
    );
    assert_eq!(
        unlock(&mut other, PASSPHRASE)["ok"]["data"]["standing"],
        "open"
    );
}

#[test]
fn a_damaged_protected_record_is_unlocked_first_and_then_answered_by_its_copies() {
    let (mut door, person, _) = begun();
    let name = door.ok("backup_make", json!({}))["name"].clone();
    let Door { app, dir, .. } = door;
    drop(app);
    let file = dir.path().join("fallow.db");
    let mut bytes = fs::read(&file).unwrap();
    bytes[200] ^= 1;
    fs::write(&file, bytes).unwrap();
    let mut door = guarded(dir);
    assert_eq!(door.refused("status", json!({}))["code"], "locked");
    assert_eq!(
        unlock(&mut door, PASSPHRASE)["error"]["code"],
        "file_damaged"
    );
    assert_eq!(door.refused("status", json!({}))["code"], "file_damaged");
    assert_eq!(door.ok("protection", json!({}))["standing"], "closed");
    door.ok("backup_restore", json!({ "name": name }));
    door.ok("person_get", json!({ "person": person }));
}

#[test]
fn keys_that_are_gone_are_told_and_a_copy_brings_its_own() {
    for (what, code) in [("gone", "keys_missing"), ("damaged", "keys_damaged")] {
        let (mut door, person, _) = begun();
        let name = door.ok("backup_make", json!({}))["name"].clone();
        let Door { app, dir, .. } = door;
        drop(app);
        for file in ["fallow.keys", "fallow.keys.spare"] {
            let file = dir.path().join(file);
            match what {
                "gone" => fs::remove_file(file).unwrap(),
                _ => fs::write(file, "noise").unwrap(),
            }
        }
        let mut door = guarded(dir);
        let told = match what {
            "gone" => door.refused("status", json!({})),
            _ => door.refused("unlock", json!({ "passphrase": PASSPHRASE })),
        };
        assert_eq!(told["code"], code);
        let list = door.ok("backup_list", json!({}));
        assert_eq!(list["backups"][0]["locked"], true);
        door.ok(
            "backup_restore",
            json!({ "name": name, "passphrase": PASSPHRASE }),
        );
        door.ok("person_get", json!({ "person": person }));
        let mut door = reopened(door);
        assert_eq!(
            unlock(&mut door, PASSPHRASE)["ok"]["data"]["standing"],
            "open"
        );
    }
}

/// Cut short between the two steps of putting back a copy of another key: the record of before opens as before.
#[test]
fn keys_that_were_set_aside_open_the_file_they_belong_to() {
    let (door, ..) = begun();
    let Door { app, dir, .. } = door;
    drop(app);
    let mut other = guarded(tempfile::tempdir().unwrap());
    other.ok("begin", json!({ "passphrase": "otter beside the mill" }));
    let keys = |door: &std::path::Path| fs::read(door.join("fallow.keys")).unwrap();
    let (ours, theirs) = (keys(dir.path()), keys(other.dir.path()));
    fs::write(dir.path().join("fallow.keys.before-1"), &ours).unwrap();
    for name in ["fallow.keys", "fallow.keys.spare"] {
        fs::write(dir.path().join(name), &theirs).unwrap();
    }
    let mut door = guarded(dir);
    let wrong = door.refused("unlock", json!({ "passphrase": "neither of the two" }));
    assert_eq!(wrong["code"], "wrong_secret");
    let theirs_told = door.refused("unlock", json!({ "passphrase": "otter beside the mill" }));
    assert_eq!(theirs_told["code"], "file_damaged");
    let mut door = reopened(door);
    assert_eq!(
        unlock(&mut door, PASSPHRASE)["ok"]["data"]["standing"],
        "open"
    );
    door.ok("status", json!({}));
    assert!(
        keys(door.dir.path()) == ours,
        "and from now on without a search"
    );
    assert!(fs::read(door.dir.path().join("fallow.keys.before-2")).unwrap() == theirs);
}
