//! Ids are used once, entries superseded once, and an act is written whole or not at all.

use std::collections::BTreeMap;

use chrono_tz::Tz;
use fallow_core::act::Act;
use fallow_core::person::Order;
use fallow_store::{InjectionQuery, Kind, NewHead, Status, Store, StoreError};

use crate::{all, at, begun, give, head, id, injection, numbers, order, person, superseding};

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
                        &Act::default(),
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
            tx.add_injection(
                &bad,
                &id(1),
                &gone,
                Tz::UTC,
                &Act::default(),
                Status::EnteredInError,
            )
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
