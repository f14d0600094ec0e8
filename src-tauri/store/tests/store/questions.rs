//! The questions asked of a record, and what order the answers come in.

use std::collections::BTreeMap;

use chrono_tz::Tz;
use fallow_core::act::Act;
use fallow_core::person::Injection;
use fallow_store::{InjectionQuery, NewHead, Status, Store};

use crate::{all, at, begun, give, head, id, injection, numbers, person, superseding};

#[test]
fn injections_come_newest_first_within_a_half_open_window() {
    let (_dir, mut store) = begun();
    // Recorded out of order; 5 and 6 at one instant under two offsets.
    for (n, given) in [
        (3, "2026-06-03T08:00:00+01:00"),
        (4, "2026-06-01T08:00:00+01:00"),
        (5, "2026-06-02T08:00:00+01:00"),
        (6, "2026-06-02T09:00:00+02:00"),
    ] {
        give(&mut store, n, given).unwrap();
    }
    let ms = |text| Some(at(text).timestamp_millis());
    let (first, last) = (
        ms("2026-06-01T08:00:00+01:00"),
        ms("2026-06-03T08:00:00+01:00"),
    );
    let listed = |query| numbers(&store.reader().injections(&query).unwrap());
    assert_eq!(listed(all(1)), [3, 6, 5, 4]);
    assert_eq!(
        listed(InjectionQuery {
            from_ms: first,
            to_ms: last,
            ..all(1)
        }),
        [6, 5, 4]
    );
    assert_eq!(
        listed(InjectionQuery {
            from_ms: first.map(|f| f + 1),
            ..all(1)
        }),
        [3, 6, 5]
    );
    assert_eq!(
        listed(InjectionQuery {
            limit: Some(2),
            ..all(1)
        }),
        [3, 6]
    );
    assert_eq!(
        listed(InjectionQuery {
            limit: Some(0),
            ..all(1)
        }),
        [0; 0]
    );
    assert_eq!(listed(all(99)), [0; 0]);
}

#[test]
fn the_last_injection_is_the_last_given_not_the_last_recorded() {
    let (_dir, mut store) = begun();
    store
        .transact(|tx| tx.add_person(&head(20), &person("New Today")))
        .unwrap();
    give(&mut store, 3, "2026-06-03T08:00:00+01:00").unwrap();
    give(&mut store, 4, "2026-06-01T08:00:00+01:00").unwrap();
    assert_eq!(
        store
            .reader()
            .last_injection(&id(1))
            .unwrap()
            .unwrap()
            .head
            .id,
        id(3)
    );

    // Withdrawing the last one uncovers the one before.
    let gone = injection(5, 2, "2026-06-03T08:00:00+01:00");
    let withdraw = |tx: &fallow_store::Tx<'_>| {
        tx.add_injection(
            &superseding(5, 3),
            &id(1),
            &gone,
            Tz::UTC,
            &Act::default(),
            Status::EnteredInError,
        )
    };
    store.transact(withdraw).unwrap();
    let last = store.reader().last_injection(&id(1)).unwrap().unwrap();
    assert_eq!(last.head.id, id(4));
    assert_eq!(
        store.reader().last_injections().unwrap(),
        BTreeMap::from([(id(1), last)])
    );
    assert_eq!(store.reader().last_injection(&id(20)).unwrap(), None);
}

#[test]
fn injections_of_one_medicine_leave_the_others_out() {
    let (_dir, mut store) = begun();
    give(&mut store, 3, "2026-06-03T08:00:00+01:00").unwrap();
    let other = Injection {
        medicine: "enoxaparin".into(),
        ..injection(4, 2, "2026-06-03T09:00:00+01:00")
    };
    store
        .transact(|tx| {
            tx.add_injection(
                &head(4),
                &id(1),
                &other,
                Tz::UTC,
                &Act::default(),
                Status::Given,
            )
        })
        .unwrap();
    let of = |medicine, from, to| {
        numbers(
            &store
                .reader()
                .injections_of_medicine(&id(1), medicine, from, to)
                .unwrap(),
        )
    };
    let given = at("2026-06-03T09:00:00+01:00").timestamp_millis();
    assert_eq!(of("enoxaparin", given, given + 1), [4]);
    assert_eq!(of("enoxaparin", 0, given), [0; 0]);
    assert_eq!(of("insulin-glargine-100", 0, i64::MAX), [3]);
}

#[test]
fn names_are_offered_latest_first() {
    let (_dir, mut store) = begun();
    let mut by = |n: u64, name: &str, recorder: Option<&str>| {
        let given = Injection {
            recorder: name.into(),
            ..injection(n, 2, "2026-06-03T08:00:00+01:00")
        };
        let new = NewHead {
            recorder: recorder.map(str::to_owned),
            ..head(n)
        };
        store
            .transact(|tx| {
                tx.add_injection(
                    &new,
                    &id(1),
                    &given,
                    Tz::UTC,
                    &Act::default(),
                    Status::Given,
                )
            })
            .unwrap();
    };
    by(3, "Ada Bramble", None);
    by(4, "Carer Sorrel", None);
    by(5, "Ada Bramble", None);
    assert_eq!(
        store.reader().recorders(&id(1)).unwrap(),
        ["Ada Bramble", "Carer Sorrel", "Nurse Larkspur"]
    );
    assert_eq!(store.reader().recorders(&id(99)).unwrap(), [""; 0]);
}

#[test]
fn the_latest_recorded_is_the_last_inserted() {
    let dir = tempfile::tempdir().unwrap();
    let mut store = Store::open(dir.path()).unwrap();
    assert_eq!(store.reader().latest_recorded_ms().unwrap(), None);
    for (n, recorded) in [(1, "2031-01-01T00:00:00Z"), (2, "2026-06-03T08:00:00Z")] {
        let new = NewHead {
            recorded_at: at(recorded),
            ..head(n)
        };
        store
            .transact(|tx| tx.add_person(&new, &person("Ada Bramble")))
            .unwrap();
        assert_eq!(
            store.reader().latest_recorded_ms().unwrap(),
            Some(at(recorded).timestamp_millis())
        );
    }
}
