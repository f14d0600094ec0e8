//! Several connections at once: the check and the insert are one act, and a first start happens once.

use std::sync::Barrier;
use std::thread;
use std::time::{Duration, Instant};

use chrono_tz::Tz;
use fallow_core::act::Act;
use fallow_store::{Status, Store, StoreError};

use crate::{begun, head, id, injection, person};

#[test]
fn two_connections_that_look_and_then_write_give_one_dose() {
    let (dir, store) = begun();
    drop(store);
    let start = Barrier::new(2);
    // Each looks whether the dose was given, thinks for 300 ms, and gives it if not.
    let give_if_not_given = |n: u64| {
        let mut store = Store::open(dir.path()).unwrap();
        start.wait();
        let began = Instant::now();
        let gave = store.transact(|tx| {
            if tx.last_injection(&id(1))?.is_some() {
                return Ok(false);
            }
            thread::sleep(Duration::from_millis(300));
            let dose = injection(n, 2, "2026-06-03T08:00:00+01:00");
            tx.add_injection(
                &head(n),
                &id(1),
                &dose,
                Tz::Europe__London,
                &Act::default(),
                Status::Given,
            )?;
            Ok::<_, StoreError>(true)
        });
        (
            gave.expect("waiting for the other is no error"),
            began.elapsed(),
        )
    };
    let (one, other) = thread::scope(|scope| {
        let one = scope.spawn(|| give_if_not_given(3));
        let other = scope.spawn(|| give_if_not_given(4));
        (one.join().unwrap(), other.join().unwrap())
    });
    assert!(one.0 != other.0, "one gave and one saw that it was given");
    let waited = if one.0 { other.1 } else { one.1 };
    assert!(
        waited > Duration::from_millis(200),
        "the race happened: the second waited {waited:?}"
    );
}

#[test]
fn a_store_sees_what_another_connection_saved() {
    let (dir, mut store) = begun();
    let other = Store::open(dir.path()).unwrap();
    store
        .transact(|tx| tx.add_person(&head(3), &person("New Today")))
        .unwrap();
    assert_eq!(other.reader().people_count().unwrap(), 2);
}

#[test]
fn many_first_starts_at_once_make_one_store() {
    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("new");
    let start = Barrier::new(8);
    thread::scope(|scope| {
        for n in 0..8 {
            let (folder, start) = (&folder, &start);
            scope.spawn(move || {
                start.wait();
                let mut store = Store::open(folder).unwrap();
                store
                    .transact(|tx| tx.add_person(&head(n), &person("Ada Bramble")))
                    .unwrap();
            });
        }
    });
    assert_eq!(
        Store::open(&folder)
            .unwrap()
            .reader()
            .people_count()
            .unwrap(),
        8
    );
}
