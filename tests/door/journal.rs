//! The journal's chain through the door: untouched, touched behind the program's back, and noted on paper.

use serde_json::json;

use super::{Door, abdomen, id, injection, open};

#[test]
fn an_untouched_journal_says_so_and_each_entry_moves_its_last_hash() {
    let mut door = Door::at("2026-06-03T09:30:00+01:00");
    let none = door.ok("journal_verify", json!({}));
    assert_eq!(
        (&none["entries"], &none["last_hash"], &none["broken"]),
        (&json!(0), &json!(null), &json!(null))
    );
    let (person, order) = door.glargine("Europe/London");
    let two = door.ok("journal_verify", json!({}));
    assert_eq!(
        two["words"],
        "All 2 entries are as they were made, and in the order they were made in."
    );
    let site = abdomen("left_lower", 5.5, -3.0);
    let at = "2026-06-03T09:20:00+01:00";
    door.ok("injection_record", injection(1, &person, &order, site, at));
    let three = door.ok("journal_verify", json!({}));
    assert_eq!(three["entries"], 3);
    assert_eq!(three["last_hash"].as_str().unwrap().len(), 64);
    assert_ne!(three["last_hash"], two["last_hash"]);
}

#[test]
fn one_letter_changed_in_the_file_is_found_and_named() {
    let mut door = Door::at("2026-06-03T09:30:00+01:00");
    let (person, order) = door.glargine("Europe/London");
    for n in 1..=3 {
        let site = abdomen("left_lower", 3.0 + n as f64, -3.0);
        let at = format!("2026-06-0{n}T08:00:00+01:00");
        let mut args = injection(n, &person, &order, site, &at);
        args["note"] = json!(format!("note number {n}"));
        door.ok("injection_record", args);
    }
    // Closing the store moves everything from its log into the file.
    let Door { app, dir, now } = door;
    drop(app);
    let file = dir.path().join("fallow.db");
    let mut bytes = std::fs::read(&file).unwrap();
    let at = bytes
        .windows(13)
        .position(|w| w == b"note number 2")
        .expect("the note lies in the file as it was written");
    bytes[at..at + 13].copy_from_slice(b"note number 7");
    std::fs::write(&file, bytes).unwrap();
    let app = open(dir.path(), &now);
    let mut door = Door { app, dir, now };
    let found = door.ok("journal_verify", json!({}));
    assert_eq!(
        found["entries"], 3,
        "person, order and the first injection fit"
    );
    assert_eq!(
        found["broken"],
        json!({ "misfit": "changed", "seq": 4, "entry": id(2) })
    );
    let words = found["words"].as_str().unwrap();
    assert!(
        words.starts_with(
            "Entry 4, made 3 Jun 2026, 09:30 by Jory Oakfell, does not say what it said"
        ),
        "{words}"
    );
}
