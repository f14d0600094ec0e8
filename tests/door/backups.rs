//! Copies of the record through the door: one a day, thinned, put back, and where there is no room for them.

use std::fs;

use serde_json::{Value, json};

use super::{Door, abdomen, id, injection, open};

fn give(door: &mut Door, person: &str, order: &str, n: u64, at: &str) {
    let site = abdomen("left_lower", 2.0 + n as f64, -3.0);
    door.ok("injection_record", injection(n, person, order, site, at));
}

fn copies(door: &mut Door) -> Vec<(String, Value)> {
    let list = door.ok("backup_list", json!({}));
    let told = |b: &Value| {
        (
            b["made_words"].as_str().unwrap().to_owned(),
            b["entries"].clone(),
        )
    };
    list["backups"]
        .as_array()
        .unwrap()
        .iter()
        .map(told)
        .collect()
}

#[test]
fn a_copy_is_made_on_each_day_of_use() {
    let mut door = Door::at("2026-06-01T09:30:00+01:00");
    assert_eq!(copies(&mut door), []);
    let (person, order) = door.glargine("Europe/London");
    let line = |words: &str, entries: u64| (words.to_owned(), json!(entries));
    // The first request after the first entry.
    assert_eq!(copies(&mut door), [line("1 Jun 2026, 09:30", 1)]);
    give(&mut door, &person, &order, 1, "2026-06-01T09:20:00+01:00");
    assert_eq!(copies(&mut door).len(), 1);
    for day in ["2026-06-02", "2026-06-03"] {
        door.now = format!("{day}T21:05:00+01:00");
        door.ok("status", json!({}));
        door.now = format!("{day}T22:05:00+01:00");
        door.ok("status", json!({}));
    }
    assert_eq!(
        copies(&mut door),
        [
            line("3 Jun 2026, 21:05", 3),
            line("2 Jun 2026, 21:05", 3),
            line("1 Jun 2026, 09:30", 1)
        ]
    );
    let made = door.ok("backup_make", json!({}));
    assert_eq!(made["entries"], 3);
    // Today's newest stays, today's earlier one goes.
    assert_eq!(copies(&mut door)[0], line("3 Jun 2026, 22:05", 3));
    assert_eq!(copies(&mut door).len(), 3);
}

#[test]
fn a_copy_is_put_back_and_the_present_record_is_kept() {
    let mut door = Door::at("2026-06-01T09:30:00+01:00");
    let (person, order) = door.glargine("Europe/London");
    give(&mut door, &person, &order, 1, "2026-05-30T09:20:00+01:00");
    let made = door.ok("backup_make", json!({}));
    give(&mut door, &person, &order, 2, "2026-05-31T09:25:00+01:00");
    door.now = "2026-06-01T10:00:00+01:00".to_owned();
    let done = door.ok("backup_restore", json!({ "name": made["name"] }));
    assert_eq!(done["kept"], "fallow-set-aside-2026-06-01T09-00-00Z.db");
    assert_eq!(
        done["words"],
        "The copy of 1 Jun 2026, 09:30 is the record now. What was there before is kept as \
         fallow-set-aside-2026-06-01T09-00-00Z.db."
    );
    assert!(
        door.dir
            .path()
            .join(done["kept"].as_str().unwrap())
            .exists()
    );
    let list = door.ok("injection_list", json!({ "person": person }));
    assert_eq!(list["injections"][0]["id"], id(1));
    assert_eq!(list["injections"].as_array().unwrap().len(), 1);
    // It goes on from there, in one chain.
    give(&mut door, &person, &order, 3, "2026-06-01T09:40:00+01:00");
    assert_eq!(door.ok("journal_verify", json!({}))["broken"], Value::Null);
    for name in ["fallow-2020-01-01T00-00-00Z.db", "../fallow.db", ""] {
        let refused = door.refused("backup_restore", json!({ "name": name }));
        assert_eq!(refused["code"], "unknown_backup", "{name}");
    }
}

#[test]
fn a_damaged_record_is_answered_by_its_copies() {
    let mut door = Door::at("2026-06-01T09:30:00+01:00");
    let (person, order) = door.glargine("Europe/London");
    give(&mut door, &person, &order, 1, "2026-06-01T09:20:00+01:00");
    door.ok("backup_make", json!({}));
    let Door { app, dir, now } = door;
    drop(app);
    fs::write(dir.path().join("fallow.db"), "").unwrap();
    let app = open(dir.path(), &now);
    let mut door = Door { app, dir, now };
    assert_eq!(door.refused("status", json!({}))["code"], "file_damaged");
    assert_eq!(
        door.refused("backup_make", json!({}))["code"],
        "file_damaged"
    );
    let list = door.ok("backup_list", json!({}));
    let name = list["backups"][0]["name"].clone();
    door.ok("backup_restore", json!({ "name": name }));
    let found = door.ok("injection_list", json!({ "person": person }));
    assert_eq!(found["injections"][0]["id"], id(1));
}

#[test]
fn another_folder_is_taken_once_a_copy_lies_there() {
    let mut door = Door::at("2026-06-01T09:30:00+01:00");
    door.glargine("Europe/London");
    let elsewhere = tempfile::tempdir().unwrap();
    let folder = elsewhere.path().join("copies");
    let chosen = door.ok("backup_folder", json!({ "folder": folder.to_str() }));
    assert_eq!(chosen["usual"], false);
    assert_eq!(chosen["folder"], folder.to_str().unwrap());
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 1);
    door.now = "2026-06-02T09:30:00+01:00".to_owned();
    door.ok("status", json!({}));
    assert_eq!(fs::read_dir(&folder).unwrap().count(), 2);
    let file = elsewhere.path().join("a file");
    fs::write(&file, "").unwrap();
    for (path, code) in [
        ("copies", "bad_text"),
        (file.to_str().unwrap(), "read_only"),
    ] {
        let refused = door.refused("backup_folder", json!({ "folder": path }));
        assert_eq!(refused["code"], code, "{path}");
    }
    assert_eq!(
        door.ok("backup_list", json!({}))["folder"],
        chosen["folder"]
    );
    assert_eq!(door.ok("backup_folder", json!({}))["usual"], true);
}

#[test]
fn a_copy_that_fails_is_told_and_hinders_nothing() {
    let mut door = Door::at("2026-06-01T09:30:00+01:00");
    let (person, order) = door.glargine("Europe/London");
    let folder = door.dir.path().join("backups");
    fs::remove_dir_all(&folder).ok();
    fs::write(&folder, "a file in the way").unwrap();
    door.now = "2026-06-02T09:30:00+01:00".to_owned();
    give(&mut door, &person, &order, 1, "2026-06-02T09:20:00+01:00");
    let status = door.ok("status", json!({}));
    let told = status["backup_fault"].as_str().unwrap();
    assert!(told.contains("read only"), "{told}");
    fs::remove_file(&folder).unwrap();
    door.ok("backup_make", json!({}));
    assert_eq!(door.ok("status", json!({}))["backup_fault"], Value::Null);
}

/// Waits for the copy that was begun; what became of it.
fn waited(door: &mut Door) -> Value {
    let began = std::time::Instant::now();
    loop {
        let state = door.ok("backup_state", json!({}));
        match state["percent"].as_u64() {
            None => return state,
            Some(percent) => assert!(percent < 100),
        }
        assert!(began.elapsed().as_secs() < 30, "it never ends");
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
}

#[test]
fn a_copy_is_begun_watched_and_stopped_and_nothing_half_made_is_left() {
    let mut door = Door::at("2026-06-01T09:30:00+01:00");
    let (person, order) = door.glargine("Europe/London");
    give(&mut door, &person, &order, 1, "2026-06-01T09:20:00+01:00");
    // Long enough to be caught at it.
    for n in 0..40 {
        let body = "a half-filled form ".repeat(3000);
        door.ok(
            "draft_save",
            json!({ "key": format!("give:{n}"), "body": body }),
        );
    }
    let names = |door: &Door| -> Vec<String> {
        let folder = door.dir.path().join("backups");
        let mut names: Vec<String> = fs::read_dir(folder)
            .unwrap()
            .map(|e| e.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        names
    };
    let none = json!({ "percent": null, "made": null, "fault": null, "stopped": false });
    assert_eq!(door.ok("backup_state", json!({})), none);
    let (mut stopped, mut made) = (0, 0);
    for n in 0..60 {
        door.now = format!("2026-06-01T10:{n:02}:00+01:00");
        door.ok("backup_start", json!({}));
        // What is saved meanwhile is saved.
        door.ok("draft_save", json!({ "key": "give:0", "body": "short" }));
        std::thread::sleep(std::time::Duration::from_micros(n * 200));
        let told = door.ok("backup_stop", json!({}));
        assert_eq!(told["fault"], Value::Null);
        if told["stopped"] == true {
            stopped += 1;
            assert!(
                names(&door).iter().all(|name| name.ends_with(".db")),
                "{:?}",
                names(&door)
            );
        } else {
            assert!(told["made"]["name"].is_string(), "{told}");
            made += 1;
        }
        assert_eq!(door.ok("backup_state", json!({})), none, "told once");
    }
    println!("{stopped} copies stopped, {made} made before that");
    assert!(stopped > 5, "{stopped} of 60 were caught at it");
    door.ok("backup_start", json!({}));
    let told = waited(&mut door);
    assert_eq!(told["made"]["entries"], 3, "{told}");
    let name = told["made"]["name"].as_str().unwrap().to_owned();
    assert!(names(&door).contains(&name), "{:?}", names(&door));
    // A lock, and putting one back, end it.
    door.ok("backup_start", json!({}));
    door.ok("backup_restore", json!({ "name": name }));
    assert_eq!(door.ok("backup_state", json!({})), none);
    assert_eq!(door.ok("journal_verify", json!({}))["broken"], Value::Null);
}
