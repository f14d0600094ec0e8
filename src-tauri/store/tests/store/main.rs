//! The store from outside, by subject:
//!
//! - [`round_trips`]: what goes in comes out, for every kind of entry
//! - [`skin`]: findings and skin checks, there and back, and who may withdraw what
//! - [`backup`]: copies of the store, made, thinned, put back
//! - [`chains`]: ids, corrections, drafts, acts that fail
//! - [`questions`]: what is asked of a record
//! - [`refusals`]: what the database itself refuses, column by column ([`good_rows`] are what it takes)
//! - [`kept`]: nothing is changed, removed or replaced
//! - [`journal`]: what is done behind the program's back is found at its place
//! - [`schema`]: the frozen migration and what it makes
//! - [`files`]: first start, damage, newer files (case S11)
//! - [`protected`], [`protected_copies`]: encrypted stores, their secrets and their copies
//! - [`disks`]: disks that are full or cannot be written
//! - [`together`]: several connections at once

#![allow(
    clippy::unwrap_used,
    reason = "the lint spares test functions, not what they share"
)]

mod backup;
mod chains;
mod disks;
mod files;
mod good_rows;
mod journal;
mod kept;
mod protected;
mod protected_copies;
mod questions;
mod refusals;
mod round_trips;
mod schema;
mod skin;
mod together;

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveTime};
use chrono_tz::Tz;
use fallow_core::act::Act;
use fallow_core::orders::Terms;
use fallow_core::person::{Allergies, Injection, Order, Person, Sizes};
use fallow_core::site::{Point, Quadrant, Site, Zone};
use fallow_core::units::{Dose, DoseUnit};
use fallow_store::{InjectionEntry, InjectionQuery, NewHead, Status, Store, StoreError};

/// The n-th id: a UUID of version 7.
fn id(n: u64) -> String {
    format!("01900000-0000-7000-8000-{n:012x}")
}

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

fn head(n: u64) -> NewHead {
    NewHead {
        id: id(n),
        recorded_at: at("2026-06-03T08:01:02.345+01:00"),
        clock_set: false,
        recorder: Some("Nurse Larkspur".into()),
        supersedes: None,
        reason: None,
    }
}

fn superseding(n: u64, before: u64) -> NewHead {
    NewHead {
        supersedes: Some(id(before)),
        reason: Some("wrong side".into()),
        ..head(n)
    }
}

fn person(name: &str) -> Person {
    Person {
        name: name.into(),
        born: NaiveDate::from_ymd_opt(1951, 3, 9).unwrap(),
        zone: Tz::Europe__London,
        allergies: Allergies::Known(vec!["latex".into()]),
        self_injects: true,
        sizes: Sizes {
            height_cm: Some(168.0),
            waist_cm: Some(92.5),
            ..Sizes::default()
        },
        zones: vec![Zone::LeftThigh, Zone::Abdomen],
        identifier: None,
        note: Some("the bell does not ring".into()),
        weight_kg: Some(70.5),
    }
}

fn order() -> Order {
    Order {
        medicine: "insulin-glargine-100".into(),
        dose: Dose::parse("12", DoseUnit::Units).unwrap(),
        times: vec![NaiveTime::from_hms_opt(8, 0, 0).unwrap()],
        every_days: 1,
        from: NaiveDate::from_ymd_opt(2026, 6, 1).unwrap(),
        to: None,
        prescriber: "Dr Teasel".into(),
        note: None,
        terms: Terms::default(),
    }
}

fn injection(n: u64, order: u64, given: &str) -> Injection {
    Injection {
        id: id(n),
        order: id(order),
        medicine: "insulin-glargine-100".into(),
        site: Site {
            zone: Zone::Abdomen,
            quadrant: Quadrant::LeftLower,
            point: Some(Point {
                across_cm: 5.5,
                up_cm: -3.0,
            }),
        },
        given_at: at(given),
        dose: Dose::parse("12", DoseUnit::Units).unwrap(),
        recorder: "Carer Sorrel".into(),
    }
}

/// A store in a folder of its own, with person 1 and their order 2.
fn begun() -> (tempfile::TempDir, Store) {
    let dir = tempfile::tempdir().unwrap();
    let mut store = Store::open(dir.path()).unwrap();
    begin(&mut store);
    (dir, store)
}

fn begin(store: &mut Store) {
    store
        .transact(|tx| {
            tx.add_person(&head(1), &person("Ada Bramble"))?;
            tx.add_order(&head(2), &id(1), &order())
        })
        .unwrap();
}

/// Records injection `n` of order 2 of person 1.
fn give(store: &mut Store, n: u64, given: &str) -> Result<(), StoreError> {
    store.transact(|tx| {
        tx.add_injection(
            &head(n),
            &id(1),
            &injection(n, 2, given),
            Tz::Europe__London,
            &Act::default(),
            Status::Given,
        )?;
        Ok(())
    })
}

/// All current injections of this person.
fn all(person: u64) -> InjectionQuery {
    InjectionQuery {
        person: id(person),
        ..InjectionQuery::default()
    }
}

/// Which injections these are.
fn numbers(entries: &[InjectionEntry]) -> Vec<u64> {
    entries
        .iter()
        .map(|e| u64::from_str_radix(&e.head.id[24..], 16).unwrap())
        .collect()
}
