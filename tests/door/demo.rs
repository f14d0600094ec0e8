//! The made-up caseload shows what it is meant to show, and one seed gives one record.

use fallow_api::{App, Options, fill_demo};
use serde_json::json;

use super::{Door, now};

const NOW: &str = "2026-11-25T10:00:00+00:00";

fn demo(seed: u64) -> Door {
    let dir = tempfile::tempdir().unwrap();
    let mut app = App::open(
        dir.path(),
        Options {
            demo: true,
            unprotected: true,
            ..Options::default()
        },
        now(NOW),
    );
    fill_demo(&mut app, seed, now(NOW)).unwrap();
    Door {
        app,
        dir,
        now: NOW.to_owned(),
    }
}

#[test]
fn six_invented_people_each_with_a_habit_of_their_own() {
    let mut door = demo(7);
    assert_eq!(door.ok("status", json!({}))["demo"], true);
    let people = door.ok("person_list", json!({}))["people"]
        .as_array()
        .unwrap()
        .clone();
    assert_eq!(people.len(), 6);
    let id = |name: &str| {
        people.iter().find(|p| p["person"]["name"] == name).unwrap()["person"]["id"].clone()
    };
    let list = |door: &mut Door, name: &str| {
        door.ok("injection_list", json!({ "person": id(name) }))["injections"]
            .as_array()
            .unwrap()
            .clone()
    };
    let quadrants = |rows: &[serde_json::Value]| {
        let mut all: Vec<_> = rows
            .iter()
            .map(|r| format!("{} {}", r["site"]["zone"], r["site"]["quadrant"]))
            .collect();
        all.sort();
        all.dedup();
        all.len()
    };
    let rotator = list(&mut door, "Marit Oakfell");
    assert!(
        rotator.len() > 80
            && quadrants(&rotator) == 4
            && rotator.iter().all(|r| r["reason"].is_null())
    );
    let one_side = list(&mut door, "Tobias Wrenfield");
    assert!(one_side.len() > 90 && quadrants(&one_side) == 1);
    let paper = list(&mut door, "Ines Calloway");
    assert!(
        paper
            .iter()
            .filter(|r| r["site"]["across_cm"].is_null())
            .count()
            > 30
    );
    assert!(paper.iter().any(|r| r["site"]["across_cm"].is_number()));
    let weekly = list(&mut door, "Gwenda Tarrow");
    assert!((18..=21).contains(&weekly.len()));
    let four = list(&mut door, "Ruben Ashgrove");
    assert_eq!(four.len(), 4 * 42);
    assert!(list(&mut door, "Pell Harrowgate").is_empty());
}

#[test]
fn one_seed_gives_one_record() {
    let names = |door: &mut Door| {
        let all = door.ok("person_list", json!({}));
        let id = all["people"][0]["person"]["id"].clone();
        door.ok("injection_list", json!({ "person": id }))
            .to_string()
    };
    assert_eq!(names(&mut demo(3)), names(&mut demo(3)));
}
