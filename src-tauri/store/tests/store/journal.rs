//! What goes in comes out: every kind of entry, chains, ids, drafts and the questions asked of them.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveTime, TimeZone};
use chrono_tz::{TZ_VARIANTS, Tz};
use fallow_core::person::{Allergies, Injection, Order, Person, Sizes};
use fallow_core::site::{Point, Site, Zone};
use fallow_core::units::{Dose, DoseUnit};
use fallow_store::{InjectionQuery, Kind, NewHead, Status, Store, StoreError};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;

use crate::{at, begun, give, head, id, injection, order, person, superseding};

fn all(person: u64) -> InjectionQuery {
    InjectionQuery {
        person: id(person),
        ..InjectionQuery::default()
    }
}

fn numbers(entries: &[fallow_store::InjectionEntry]) -> Vec<u64> {
    entries
        .iter()
        .map(|e| u64::from_str_radix(&e.head.id[24..], 16).unwrap())
        .collect()
}

// ---------------------------------------------------------------- round trips

fn instants() -> impl Strategy<Value = DateTime<FixedOffset>> {
    (-2_208_988_800_000_i64..=7_258_118_400_000, -1439_i32..=1439).prop_map(
        |(utc_ms, offset_min)| {
            FixedOffset::east_opt(offset_min * 60)
                .unwrap()
                .timestamp_millis_opt(utc_ms)
                .unwrap()
        },
    )
}

fn days() -> impl Strategy<Value = NaiveDate> {
    (-30_000_i32..=80_000).prop_map(|n| NaiveDate::from_epoch_days(n).unwrap())
}

/// Any text with something in it, quotes, commas and other scripts included.
fn text() -> impl Strategy<Value = String> {
    "[^\\pC ]\\PC{0,30}"
}

fn doses() -> impl Strategy<Value = Dose> {
    (1_i64..=100_000_000, select(&DoseUnit::ALL[..]))
        .prop_map(|(n, unit)| Dose::from_thousandths(n, unit).unwrap())
}

fn sites() -> impl Strategy<Value = Site> {
    (
        select(&Zone::ALL[..]),
        0_usize..4,
        option::of((-150.0..=150.0, -150.0..=150.0)),
    )
        .prop_map(|(zone, q, point)| Site {
            zone,
            quadrant: zone.quadrants()[q],
            point: point.map(|(across_cm, up_cm)| Point { across_cm, up_cm }),
        })
}

fn people() -> impl Strategy<Value = Person> {
    let allergies = prop_oneof![
        Just(Allergies::NotAsked),
        Just(Allergies::NoneKnown),
        vec(text(), 1..4).prop_map(Allergies::Known)
    ];
    let sizes = (
        option::of(50.0..=250.0),
        option::of(30.0..=250.0),
        option::of(15.0..=150.0),
        option::of(8.0..=90.0),
    )
        .prop_map(|(height_cm, waist_cm, thigh_cm, upper_arm_cm)| Sizes {
            height_cm,
            waist_cm,
            thigh_cm,
            upper_arm_cm,
        });
    (
        (
            text(),
            days(),
            select(&TZ_VARIANTS[..]),
            allergies,
            any::<bool>(),
        ),
        (
            sizes,
            vec(select(&Zone::ALL[..]), 0..5),
            option::of(text()),
            option::of(text()),
        ),
    )
        .prop_map(
            |((name, born, zone, allergies, self_injects), (sizes, zones, identifier, note))| {
                Person {
                    name,
                    born,
                    zone,
                    allergies,
                    self_injects,
                    sizes,
                    zones,
                    identifier,
                    note,
                }
            },
        )
}

fn orders() -> impl Strategy<Value = Order> {
    let time =
        (0_u32..86_400).prop_map(|s| NaiveTime::from_num_seconds_from_midnight_opt(s, 0).unwrap());
    (
        ("[a-z0-9][a-z0-9-]{0,30}", doses(), vec(time, 0..5), 1_u16..),
        (days(), option::of(0_u64..4000), text(), option::of(text())),
    )
        .prop_map(
            |((medicine, dose, times, every_days), (from, length, prescriber, note))| Order {
                medicine,
                dose,
                times,
                every_days,
                from,
                to: length.map(|days| from + chrono::Days::new(days)),
                prescriber,
                note,
            },
        )
}

fn heads(n: u64) -> impl Strategy<Value = NewHead> {
    (
        instants(),
        any::<bool>(),
        option::of(text()),
        option::of(text()),
    )
        .prop_map(move |(recorded_at, clock_set, recorder, reason)| NewHead {
            id: id(n),
            recorded_at,
            clock_set,
            recorder,
            supersedes: None,
            reason,
        })
}

fn same_head(written: &NewHead, read: &fallow_store::Head) {
    assert_eq!(
        (
            &written.id,
            written.recorded_at,
            written.clock_set,
            &written.recorder,
            &written.supersedes,
            &written.reason
        ),
        (
            &read.id,
            read.recorded_at,
            read.clock_set,
            &read.recorder,
            &read.supersedes,
            &read.reason
        ),
    );
    assert_eq!(
        written.recorded_at.offset(),
        read.recorded_at.offset(),
        "instants are equal across offsets"
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn every_kind_of_entry_reads_back_as_it_was_written(
        heads in (heads(1), heads(2), heads(3), heads(4)),
        someone in people(),
        what in orders(),
        (site, dose, given_at) in (sites(), doses(), instants()),
        (zone, note, recorder) in (select(&TZ_VARIANTS[..]), option::of(text()), text()),
        margin in 0.1..=20.0,
        body in "\\PC{0,60}",
    ) {
        let dir = tempfile::tempdir().unwrap();
        let mut store = Store::open(dir.path()).unwrap();
        let given = Injection {
            id: id(3), order: id(2), medicine: what.medicine.clone(), site, given_at, dose, recorder,
        };
        store.transact(|tx| {
            tx.add_person(&heads.0, &someone)?;
            tx.add_order(&heads.1, &id(1), &what)?;
            tx.add_injection(&heads.2, &id(1), &given, zone, note.as_deref(), Status::Given)?;
            tx.add_practice(&heads.3, margin)?;
            tx.save_draft("give", &body, given_at)
        }).unwrap();
        drop(store);

        let store = Store::open(dir.path()).unwrap();
        let reader = store.reader();
        let entry = reader.person(&id(1)).unwrap().unwrap();
        same_head(&heads.0, &entry.head);
        prop_assert_eq!(&entry.person, &someone);
        let entry = reader.order(&id(2)).unwrap().unwrap();
        same_head(&heads.1, &entry.head);
        prop_assert_eq!((&entry.person, &entry.order), (&id(1), &what));
        let entry = reader.injection(&id(3)).unwrap().unwrap();
        same_head(&heads.2, &entry.head);
        prop_assert_eq!(entry.injection.given_at.offset(), given.given_at.offset());
        prop_assert_eq!((&entry.person, &entry.injection, entry.zone, &entry.note, entry.status),
            (&id(1), &given, zone, &note, Status::Given));
        let entry = reader.practice().unwrap().unwrap();
        same_head(&heads.3, &entry.head);
        prop_assert_eq!(entry.navel_margin_cm.to_bits(), margin.to_bits());
        let draft = reader.draft("give").unwrap().unwrap();
        prop_assert_eq!((&draft.body, draft.opened_at), (&body, given_at));
    }
}

#[test]
fn what_no_column_can_hold_is_refused_before_it_is_written() {
    let (_dir, mut store) = begun();
    let mut tall = person("Tall");
    tall.sizes.height_cm = Some(f64::NAN);
    let mut nowhere = injection(3, 2, "2026-06-03T08:00:00+01:00");
    nowhere.site.point = Some(Point {
        across_cm: f64::NAN,
        up_cm: f64::NAN,
    });
    let mut between = injection(3, 2, "2026-06-03T08:00:00+01:00");
    between.given_at = between
        .given_at
        .with_timezone(&FixedOffset::east_opt(-2670).unwrap());
    let bad = |result: Result<fallow_store::Head, StoreError>| {
        matches!(result, Err(StoreError::BadValue { .. }))
    };
    assert!(bad(store.transact(|tx| tx.add_person(&head(3), &tall))));
    assert!(bad(
        store.transact(|tx| tx.add_practice(&head(3), f64::INFINITY))
    ));
    for wrong in [
        &nowhere,
        &between,
        &injection(4, 2, "2026-06-03T08:00:00+01:00"),
    ] {
        let add = store
            .transact(|tx| tx.add_injection(&head(3), &id(1), wrong, Tz::UTC, None, Status::Given));
        assert!(bad(add), "{wrong:?}");
    }
    assert_eq!(
        store.reader().entry_kind(&id(3)).unwrap(),
        None,
        "a refusal leaves no head behind"
    );
}

#[test]
fn instants_are_kept_to_the_millisecond_and_empty_texts_are_no_texts() {
    let (_dir, mut store) = begun();
    let given = injection(3, 2, "2026-06-03T08:00:00.123456+01:00");
    let new = NewHead {
        recorder: Some(String::new()),
        reason: Some(String::new()),
        ..head(3)
    };
    store
        .transact(|tx| tx.add_injection(&new, &id(1), &given, Tz::UTC, Some(""), Status::Given))
        .unwrap();
    let entry = store.reader().injection(&id(3)).unwrap().unwrap();
    assert_eq!(
        entry.injection.given_at,
        at("2026-06-03T08:00:00.123+01:00")
    );
    assert_eq!(
        (entry.note, entry.head.recorder, entry.head.reason),
        (None, None, None)
    );
}

// ---------------------------------------------------------------- ids and chains

#[test]
fn an_id_is_used_once() {
    let (_dir, mut store) = begun();
    give(&mut store, 3, "2026-06-03T08:00:00+01:00").unwrap();
    let reader = store.reader();
    let kinds: Vec<_> = [1, 2, 3, 4]
        .map(|n| reader.entry_kind(&id(n)).unwrap())
        .into();
    assert_eq!(
        kinds,
        [
            Some(Kind::Person),
            Some(Kind::Order),
            Some(Kind::Injection),
            None
        ]
    );

    let first = reader.injection(&id(3)).unwrap().unwrap();
    assert!(matches!(
        give(&mut store, 3, "2026-06-04T08:00:00+01:00"),
        Err(StoreError::IdReused)
    ));
    assert!(matches!(
        store.transact(|tx| tx.add_person(&head(2), &person("Another"))),
        Err(StoreError::IdReused)
    ));
    assert_eq!(
        store.reader().injection(&id(3)).unwrap().unwrap(),
        first,
        "the first stays as it was"
    );
    assert_eq!(store.reader().people_count().unwrap(), 1);
}

#[test]
fn an_entry_is_superseded_once_and_by_its_own_kind_and_person() {
    let (_dir, mut store) = begun();
    give(&mut store, 3, "2026-06-03T08:00:00+01:00").unwrap();
    store
        .transact(|tx| tx.add_person(&head(10), &person("Somebody Else")))
        .unwrap();
    store
        .transact(|tx| tx.add_order(&head(11), &id(10), &order()))
        .unwrap();

    let correct =
        |store: &mut Store, n: u64, before: u64, person: u64, order: u64, status: Status| {
            let again = injection(n, order, "2026-06-03T07:00:00+01:00");
            store
                .transact(|tx| {
                    tx.add_injection(
                        &superseding(n, before),
                        &id(person),
                        &again,
                        Tz::UTC,
                        None,
                        status,
                    )
                })
                .map(|head| head.root)
        };
    assert_eq!(
        correct(&mut store, 4, 3, 1, 2, Status::Given).unwrap(),
        id(3)
    );
    assert!(matches!(
        correct(&mut store, 5, 3, 1, 2, Status::Given),
        Err(StoreError::AlreadySuperseded)
    ));
    assert!(matches!(
        correct(&mut store, 5, 99, 1, 2, Status::Given),
        Err(StoreError::UnknownEntry { .. })
    ));
    assert!(
        matches!(
            correct(&mut store, 5, 2, 1, 2, Status::Given),
            Err(StoreError::WrongEntry { .. })
        ),
        "an order"
    );
    assert!(
        matches!(
            correct(&mut store, 5, 4, 10, 11, Status::Given),
            Err(StoreError::WrongEntry { .. })
        ),
        "hers"
    );
    assert!(
        matches!(
            correct(&mut store, 5, 4, 1, 11, Status::Given),
            Err(StoreError::WrongEntry { .. })
        ),
        "not her order"
    );
    assert_eq!(
        correct(&mut store, 5, 4, 1, 2, Status::EnteredInError).unwrap(),
        id(3),
        "the chain keeps its first id"
    );

    let chain: Vec<_> = [3, 4, 5]
        .map(|n| store.reader().injection(&id(n)).unwrap().unwrap().head)
        .into();
    assert_eq!(
        chain
            .iter()
            .map(|h| h.superseded_by.clone())
            .collect::<Vec<_>>(),
        [Some(id(4)), Some(id(5)), None]
    );
    assert_eq!(
        chain
            .iter()
            .map(|h| h.supersedes.clone())
            .collect::<Vec<_>>(),
        [None, Some(id(3)), Some(id(4))]
    );
    assert_eq!(
        store.reader().injections(&all(1)).unwrap(),
        [],
        "withdrawn and corrected ones are not listed"
    );
    let every = store
        .reader()
        .injections(&InjectionQuery {
            superseded: true,
            ..all(1)
        })
        .unwrap();
    assert_eq!(numbers(&every), [3, 5, 4]);
}

#[test]
fn a_withdrawal_withdraws_something_and_says_why() {
    let (_dir, mut store) = begun();
    give(&mut store, 3, "2026-06-03T08:00:00+01:00").unwrap();
    let gone = injection(4, 2, "2026-06-03T08:00:00+01:00");
    for bad in [
        head(4),
        NewHead {
            reason: None,
            ..superseding(4, 3)
        },
        NewHead {
            reason: Some("  ".into()),
            ..superseding(4, 3)
        },
    ] {
        let add = store.transact(|tx| {
            tx.add_injection(&bad, &id(1), &gone, Tz::UTC, None, Status::EnteredInError)
        });
        assert!(matches!(add, Err(StoreError::Refused { .. })), "{bad:?}");
    }
    let ended = Order {
        to: Some(order().from),
        ..order()
    };
    let unexplained = NewHead {
        reason: None,
        ..superseding(4, 2)
    };
    assert!(matches!(
        store.transact(|tx| tx.add_order(&unexplained, &id(1), &ended)),
        Err(StoreError::Refused { .. })
    ));
}

#[test]
fn people_and_orders_are_read_as_they_stand_now() {
    let (_dir, mut store) = begun();
    let ended = Order {
        to: Some(order().from),
        ..order()
    };
    store
        .transact(|tx| {
            tx.add_person(
                &NewHead {
                    reason: None,
                    ..superseding(3, 1)
                },
                &person("Ada Bramble-Reed"),
            )?;
            tx.add_order(&head(4), &id(1), &order())?;
            tx.add_order(&superseding(5, 2), &id(1), &ended)?;
            tx.add_person(&head(6), &person("Émile Teasel"))?;
            tx.add_person(&head(7), &person("burdock, Tom"))
        })
        .unwrap();
    let reader = store.reader();
    let now = reader.person(&id(1)).unwrap().unwrap();
    assert_eq!(
        (now.head.id, now.head.root, now.person.name.as_str()),
        (id(3), id(1), "Ada Bramble-Reed")
    );
    assert_eq!(
        reader.person(&id(3)).unwrap(),
        None,
        "a later version's id is not the person's"
    );
    assert_eq!(
        reader.person(&id(2)).unwrap(),
        None,
        "an order is not a person"
    );
    let names: Vec<_> = reader
        .people()
        .unwrap()
        .into_iter()
        .map(|p| p.person.name)
        .collect();
    assert_eq!(names, ["Ada Bramble-Reed", "burdock, Tom", "Émile Teasel"]);
    assert_eq!(reader.people_count().unwrap(), 3);

    let orders = reader.orders_of(&id(1)).unwrap();
    assert_eq!(
        orders
            .iter()
            .map(|o| (o.head.root.clone(), o.order.to))
            .collect::<Vec<_>>(),
        [(id(2), ended.to), (id(4), None)]
    );
    assert_eq!(reader.order(&id(2)).unwrap().unwrap().order, ended);
    assert_eq!(
        reader.orders_by_person().unwrap(),
        BTreeMap::from([(id(1), orders)])
    );

    assert!(matches!(
        store.transact(|tx| tx.add_order(&head(8), &id(3), &order())),
        Err(StoreError::UnknownEntry { .. })
    ));
    assert!(matches!(
        store.transact(|tx| tx.add_order(&head(8), &id(99), &order())),
        Err(StoreError::UnknownEntry { .. })
    ));
}

#[test]
fn practice_is_the_latest_choice() {
    let (_dir, mut store) = begun();
    assert_eq!(store.reader().practice().unwrap(), None);
    store.transact(|tx| tx.add_practice(&head(3), 5.0)).unwrap();
    store
        .transact(|tx| tx.add_practice(&superseding(4, 3), 2.5))
        .unwrap();
    let now = store.reader().practice().unwrap().unwrap();
    assert_eq!(
        (now.head.id, now.head.root, now.navel_margin_cm.to_bits()),
        (id(4), id(3), 2.5_f64.to_bits())
    );
}

// ---------------------------------------------------------------- questions

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
            None,
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
        .transact(|tx| tx.add_injection(&head(4), &id(1), &other, Tz::UTC, None, Status::Given))
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
            .transact(|tx| tx.add_injection(&new, &id(1), &given, Tz::UTC, None, Status::Given))
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

#[test]
fn a_draft_is_replaced_and_forgotten() {
    let (_dir, mut store) = begun();
    let opened = at("2026-06-03T08:00:00+01:00");
    store
        .transact(|tx| tx.save_draft("give", "{}", opened))
        .unwrap();
    store
        .transact(|tx| tx.save_draft("give", "{\"dose\":\"12\"}", opened))
        .unwrap();
    assert_eq!(
        store.reader().draft("give").unwrap().unwrap().body,
        "{\"dose\":\"12\"}"
    );
    store.transact(|tx| tx.drop_draft("give")).unwrap();
    store.transact(|tx| tx.drop_draft("give")).unwrap();
    assert_eq!(store.reader().draft("give").unwrap(), None);
}

#[test]
fn an_act_that_fails_leaves_nothing() {
    #[derive(Debug)]
    enum Mine {
        Store,
        ChangedMyMind,
    }
    impl From<StoreError> for Mine {
        fn from(_: StoreError) -> Self {
            Self::Store
        }
    }
    let (_dir, mut store) = begun();
    let act = store.transact(|tx| -> Result<(), Mine> {
        tx.add_person(&head(3), &person("Half Written"))?;
        tx.save_draft("give", "{}", at("2026-06-03T08:00:00Z"))?;
        assert_eq!(tx.people_count()?, 2, "the act sees its own writing");
        Err(Mine::ChangedMyMind)
    });
    assert!(matches!(act, Err(Mine::ChangedMyMind)));
    let panicked = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
        store.transact(|tx| -> Result<(), StoreError> {
            tx.add_person(&head(3), &person("Half Written"))?;
            panic!("a fault inside the act");
        })
    }));
    assert!(panicked.is_err());
    assert_eq!(store.reader().people_count().unwrap(), 1);
    assert_eq!(store.reader().draft("give").unwrap(), None);
    give(&mut store, 3, "2026-06-03T08:00:00+01:00").expect("the store stays usable");
}
