//! Findings and skin checks: there and back, withdrawn, and what is refused by name.

use chrono_tz::Tz;
use fallow_core::medicines::Sourced;
use fallow_core::site::{Point, Zone};
use fallow_core::skin::{
    Feel, FindingKind, Look, NeedleUses, Noticed, Place, Seen, SkinCheck, ZoneSeen,
};
use fallow_store::{Found, LookOf, NewHead, Store, StoreError};
use proptest::prelude::*;

use crate::{at, begun, head, id, person, superseding};

fn there(place: Place) -> Seen {
    Seen::There {
        place,
        noticed: Noticed::Felt,
        feel: Some(Feel::Firm),
    }
}

fn round() -> Place {
    let centre = Point {
        across_cm: 5.5,
        up_cm: -3.0,
    };
    Place::ellipse(centre, 1.2, 0.9, 30.0).unwrap()
}

fn look(n: u64, when: &str, seen: Seen) -> Look {
    Look {
        id: id(n),
        at: at(when),
        by: "Nurse Larkspur".into(),
        seen,
        note: None,
    }
}

fn found() -> LookOf {
    LookOf::Found(Found {
        kind: FindingKind::Lump,
        zone: Zone::Abdomen,
        margin_cm: FindingKind::Lump.usual_margin().clone(),
        wear_days: None,
    })
}

/// Marks lump `n` of person 1.
pub(crate) fn find(store: &mut Store, n: u64, when: &str) -> Result<(), StoreError> {
    add(
        store,
        &head(n),
        &found(),
        &look(n, when, there(round())),
        false,
    )
}

/// Records skin check `n` of person 1.
pub(crate) fn look_over(store: &mut Store, n: u64) -> Result<(), StoreError> {
    store.transact(|tx| {
        tx.add_skin_check(&head(n), &id(1), &check(n), Tz::Europe__London, false)?;
        Ok(())
    })
}

fn add(
    store: &mut Store,
    head: &NewHead,
    of: &LookOf,
    look: &Look,
    withdrawn: bool,
) -> Result<(), StoreError> {
    store.transact(|tx| {
        tx.add_look(head, &id(1), (of, look), Tz::Europe__London, withdrawn)?;
        Ok(())
    })
}

fn check(n: u64) -> SkinCheck {
    SkinCheck {
        id: id(n),
        at: at("2026-06-03T08:00:00+01:00"),
        by: "Nurse Larkspur".into(),
        zones: vec![
            (Zone::Abdomen, ZoneSeen::Finding),
            (Zone::LeftThigh, ZoneSeen::NotLookedAt),
        ],
        needle_uses: NeedleUses::new(3),
        insulin_since: Some(2019),
        unexplained_lows: Some(false),
        note: Some("in daylight".into()),
    }
}

#[test]
fn a_course_of_looks_is_read_in_the_order_they_were_made_at() {
    let (_dir, mut store) = begun();
    find(&mut store, 5, "2026-06-03T08:00:00+01:00").unwrap();
    let again = || LookOf::Again(id(5));
    add(
        &mut store,
        &head(7),
        &again(),
        &look(7, "2026-09-03T08:00:00+01:00", Seen::Healed),
        false,
    )
    .unwrap();
    add(
        &mut store,
        &head(6),
        &again(),
        &look(6, "2026-07-03T08:00:00+01:00", there(round())),
        false,
    )
    .unwrap();
    let looks = store.reader().findings(&id(1)).unwrap();
    let ids: Vec<_> = looks.iter().map(|l| l.look.id.clone()).collect();
    assert_eq!(ids, [id(5), id(6), id(7)]);
    assert!(looks.iter().all(|l| l.finding() == id(5) && !l.withdrawn));
    assert_eq!(looks[0].of, found());
    assert_eq!(looks[0].look.seen, there(round()));
    assert_eq!(looks[2].look.seen, Seen::Healed);

    let gone = look(8, "2026-09-03T08:00:00+01:00", Seen::Healed);
    add(&mut store, &superseding(8, 7), &again(), &gone, true).unwrap();
    let looks = store.reader().findings(&id(1)).unwrap();
    assert!(looks[2].withdrawn);
    assert_eq!(looks[2].head.reason.as_deref(), Some("wrong side"));
    assert_eq!(looks[2].head.supersedes, Some(id(7)));
    assert!(
        store
            .reader()
            .look(&id(7))
            .unwrap()
            .unwrap()
            .head
            .superseded_by
            .is_some()
    );
}

#[test]
fn a_look_belongs_to_a_finding_of_the_same_person() {
    let (_dir, mut store) = begun();
    store
        .transact(|tx| tx.add_person(&head(20), &person("Bo Fennel")))
        .unwrap();
    find(&mut store, 5, "2026-06-03T08:00:00+01:00").unwrap();
    let later = "2026-07-03T08:00:00+01:00";
    let unknown = add(
        &mut store,
        &head(6),
        &LookOf::Again(id(1)),
        &look(6, later, Seen::Healed),
        false,
    );
    assert!(matches!(unknown, Err(StoreError::UnknownEntry { .. })));
    let of_another = store.transact(|tx| {
        let (of, look) = (LookOf::Again(id(5)), look(6, later, Seen::Healed));
        tx.add_look(&head(6), &id(20), (&of, &look), Tz::UTC, false)
    });
    assert!(matches!(of_another, Err(StoreError::WrongEntry { .. })));
    let other_id = add(
        &mut store,
        &head(6),
        &found(),
        &look(7, later, there(round())),
        false,
    );
    assert!(matches!(other_id, Err(StoreError::BadValue { .. })));
    assert_eq!(store.reader().findings(&id(1)).unwrap().len(), 1);
    assert!(store.reader().findings(&id(20)).unwrap().is_empty());
}

#[test]
fn skin_checks_come_newest_first_and_a_withdrawn_one_says_why() {
    let (_dir, mut store) = begun();
    look_over(&mut store, 5).unwrap();
    let later = SkinCheck {
        at: at("2026-07-03T08:00:00+01:00"),
        needle_uses: None,
        insulin_since: None,
        unexplained_lows: None,
        ..check(6)
    };
    store
        .transact(|tx| tx.add_skin_check(&head(6), &id(1), &later, Tz::UTC, false))
        .unwrap();
    let checks = store.reader().skin_checks(&id(1)).unwrap();
    assert_eq!(
        checks.iter().map(|c| &c.check).collect::<Vec<_>>(),
        [&later, &check(5)]
    );
    let withdrawn = SkinCheck {
        id: id(7),
        ..check(5)
    };
    store
        .transact(|tx| tx.add_skin_check(&superseding(7, 5), &id(1), &withdrawn, Tz::UTC, true))
        .unwrap();
    let checks = store.reader().skin_checks(&id(1)).unwrap();
    assert!(checks[1].withdrawn && !checks[0].withdrawn);
    assert_eq!(
        store.reader().skin_check(&id(5)).unwrap().unwrap().check,
        check(5)
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn every_place_reads_back_to_the_bit(
        (across, up, half, other, turned) in (-150.0..150.0_f64, -150.0..150.0_f64, 0.05..20.0_f64, 0.05..20.0_f64, -180.0..180.0_f64),
        outline in proptest::collection::vec((-150.0..150.0_f64, -150.0..150.0_f64), 3..40),
        wear in 1_u16..=366,
    ) {
        let point = |(across_cm, up_cm): (f64, f64)| Point { across_cm, up_cm };
        let places = [
            Place::ellipse(point((across, up)), half, other, turned).unwrap(),
            Place::outline(outline.into_iter().map(point).collect()).unwrap(),
        ];
        let (_dir, mut store) = begun();
        for (n, place) in (5..).zip(&places) {
            let of = LookOf::Found(Found {
                kind: FindingKind::Sensor,
                zone: Zone::LeftArm,
                margin_cm: Sourced { value: half.min(20.0), source: "a manual".into() },
                wear_days: Some(wear),
            });
            let seen = Seen::There { place: place.clone(), noticed: Noticed::SeenAndFelt, feel: None };
            let look = look(n, "2026-06-03T08:00:00+01:00", seen);
            add(&mut store, &head(n), &of, &look, false).unwrap();
            let read = store.reader().look(&id(n)).unwrap().unwrap();
            prop_assert_eq!((read.of, read.look), (of, look));
        }
    }
}
