//! What goes in comes out, for every kind of entry and every value its types allow.

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveTime, TimeZone};
use chrono_tz::{TZ_VARIANTS, Tz};
use fallow_core::act::{About, Act, Event, InUse, Outcome};
use fallow_core::before::{self, Container, Expiry, NeedleCover};
use fallow_core::orders::{Device, GlucoseTerms, Region, Terms, Window, weekday_of};
use fallow_core::person::{Allergies, Injection, Order, Person, Sizes};
use fallow_core::site::{Point, Site, Zone};
use fallow_core::units::{Dose, DoseUnit};
use fallow_store::{NewHead, Status, Store, StoreError};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;

use crate::{at, begun, head, id, injection, person};

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
            option::of(1.0_f64..=400.0),
        ),
    )
        .prop_map(
            |(
                (name, born, zone, allergies, self_injects),
                (sizes, zones, identifier, note, weight_kg),
            )| {
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
                    weight_kg,
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
        terms(),
    )
        .prop_map(
            |((medicine, dose, times, every_days), (from, length, prescriber, note), terms)| {
                Order {
                    medicine,
                    dose,
                    times,
                    every_days,
                    from,
                    to: length.map(|days| from + chrono::Days::new(days)),
                    prescriber,
                    note,
                    terms,
                }
            },
        )
}

fn terms() -> impl Strategy<Value = Terms> {
    let time =
        (0_u32..86_400).prop_map(|s| NaiveTime::from_num_seconds_from_midnight_opt(s, 0).unwrap());
    let window = (0_u16..=1440, 0_u16..=1440).prop_map(|(before_min, after_min)| Window {
        before_min,
        after_min,
    });
    let glucose = (
        select(vec!["mmol/L", "mg/dL"]),
        option::of("[0-9]{1,3}"),
        option::of("[0-9]{1,3}"),
    );
    let glucose = glucose.prop_map(|(unit, low, high)| GlucoseTerms {
        unit: unit.to_owned(),
        low,
        high,
    });
    let region = (time, vec(select(Zone::ALL.to_vec()), 0..4))
        .prop_map(|(time, zones)| Region { time, zones });
    (
        (
            vec((1_u8..=7).prop_map(|n| weekday_of(n).unwrap()), 0..4),
            option::of(window),
            option::of(select(Device::ALL.to_vec())),
        ),
        (
            option::of(3.0..=40.0),
            option::of(days()),
            option::of(days()),
            any::<bool>(),
        ),
        (
            option::of(glucose),
            (any::<bool>(), option::of(text())),
            vec(region, 0..3),
        ),
    )
        .prop_map(
            |(
                (weekdays, window, device),
                (needle_mm, signed_on, review_by, asks_glucose),
                (glucose, (second_check, may_give), regions),
            )| Terms {
                weekdays,
                window,
                device,
                needle_mm,
                signed_on,
                review_by,
                asks_glucose,
                glucose,
                second_check,
                may_give,
                regions,
            },
        )
}

fn acts() -> impl Strategy<Value = Act> {
    (
        (
            option::of(any::<bool>()),
            vec(select(Outcome::ALL.to_vec()), 0..4),
            vec("[a-z_]{1,20}", 0..5),
        ),
        (
            option::of(text()),
            option::of(text()),
            option::of(any::<bool>()),
            option::of(text()),
        ),
    )
        .prop_map(
            |(
                (self_given, outcomes, checks),
                (dose_reason, second_checker, needle_disposed, note),
            )| Act {
                self_given,
                outcomes,
                checks,
                dose_reason,
                second_checker,
                needle_disposed,
                container: None,
                note,
            },
        )
}

fn events() -> impl Strategy<Value = Event> {
    let about = select(vec![
        (About::NotGiven, None, Some("declined")),
        (About::Glucose, Some(("5.4", "mmol/L")), None),
        (About::Glucose, Some(("LO", "mg/dL")), None),
        (About::Ketones, Some(("0.6", "mmol/L")), None),
        (About::Carbohydrate, Some(("15", "g")), None),
        (About::Carbohydrate, None, None),
        (About::Alarm, None, Some("help_called")),
    ]);
    (about, instants(), option::of(text())).prop_map(|((about, value, code), at, note)| Event {
        order: Some(id(2)),
        about,
        at,
        value: value.map(|(value, unit): (&str, &str)| (value.to_owned(), unit.to_owned())),
        code: code.map(|code: &str| code.to_owned()),
        note,
        withdrawn: false,
    })
}

fn containers() -> impl Strategy<Value = InUse> {
    let expiry = prop_oneof![
        days().prop_map(Expiry::day),
        (1990_i32..2100, 1_u32..=12).prop_map(|(y, m)| Expiry::month(y, m).unwrap())
    ];
    let label = || "[a-z0-9 /]{1,30}";
    (
        (
            label(),
            option::of(label()),
            option::of(label()),
            option::of(expiry),
        ),
        (
            option::of(days()),
            select(before::Device::ALL.to_vec()),
            select(NeedleCover::ALL.to_vec()),
            option::of(text()),
        ),
    )
        .prop_map(
            |((medicine, strength, batch, expires), (opened, device, needle_cover, note))| InUse {
                order: id(2),
                label: Container {
                    medicine,
                    strength,
                    batch,
                    expires,
                    opened,
                    device,
                    needle_cover,
                },
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
        heads in (heads(1), heads(2), heads(3), heads(4), heads(5), heads(6)),
        someone in people(),
        what in orders(),
        (site, dose, given_at) in (sites(), doses(), instants()),
        (zone, act, recorder) in (select(&TZ_VARIANTS[..]), acts(), text()),
        (happened, in_use) in (events(), containers()),
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
            tx.add_injection(&heads.2, &id(1), &given, zone, &act, Status::Given)?;
            tx.add_event(&heads.4, &id(1), &happened, zone)?;
            tx.add_container(&heads.5, &id(1), &in_use)?;
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
        prop_assert_eq!((&entry.person, &entry.injection, entry.zone, &entry.act, entry.status),
            (&id(1), &given, zone, &act, Status::Given));
        let entry = reader.event(&id(5)).unwrap().unwrap();
        same_head(&heads.4, &entry.head);
        prop_assert_eq!(entry.event.at.offset(), happened.at.offset());
        prop_assert_eq!((&entry.person, &entry.event, entry.zone), (&id(1), &happened, zone));
        prop_assert_eq!(reader.events(&id(1), i64::MIN, i64::MAX).unwrap().len(), 1);
        let entry = reader.container(&id(6)).unwrap().unwrap();
        same_head(&heads.5, &entry.head);
        prop_assert_eq!((&entry.person, &entry.container), (&id(1), &in_use));
        prop_assert_eq!(reader.containers(&id(2)).unwrap(), [entry]);
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
        let add = store.transact(|tx| {
            tx.add_injection(
                &head(3),
                &id(1),
                wrong,
                Tz::UTC,
                &Act::default(),
                Status::Given,
            )
        });
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
        .transact(|tx| {
            tx.add_injection(
                &new,
                &id(1),
                &given,
                Tz::UTC,
                &Act {
                    note: Some(String::new()),
                    ..Act::default()
                },
                Status::Given,
            )
        })
        .unwrap();
    let entry = store.reader().injection(&id(3)).unwrap().unwrap();
    assert_eq!(
        entry.injection.given_at,
        at("2026-06-03T08:00:00.123+01:00")
    );
    assert_eq!(
        (entry.act.note, entry.head.recorder, entry.head.reason),
        (None, None, None)
    );
}
