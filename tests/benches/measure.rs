//! How long room on the skin, saving and opening take, each beside a plain way of doing the same in the same run.
//!
//! `cargo xtask bench measure`. Timings are benchmarks, never tests; read them as ratios.
#![allow(missing_docs, clippy::unwrap_used, clippy::pedantic)]

mod record;

use std::hint::black_box;

use divan::Bencher;
use fallow_core::act::Act;
use fallow_core::body::Body;
use fallow_core::medicines::Book;
use fallow_core::orders::Terms;
use fallow_core::person::{Injection, Order, Person, Sizes};
use fallow_core::site::Zone;
use fallow_core::units::{Dose, DoseUnit};
use fallow_store::{NewHead, Status, Store};

use record::{adult, given_at, now, site};

fn main() {
    divan::main();
}

/// How many sites the reference adult's seven zones hold, and the plain lattice alone in the same run.
mod capacity_of_seven_zones {
    use super::*;
    use fallow_core::plan::allowed::{AllowedSkin, allowed};
    use fallow_core::plan::capacity::{capacities, plain_lattice};
    use fallow_core::plan::need::{Need, Treatment};
    use fallow_core::plan::room;

    const SPACINGS: [f64; 2] = [1.0, 2.0];

    fn skins() -> Vec<AllowedSkin> {
        let medicine = Book::shipped().medicine("insulin-glargine-100").unwrap();
        allowed(&adult(), medicine, 2.5, &[], &Zone::ALL)
    }

    #[divan::bench]
    fn allowed_skin(bencher: Bencher<'_, '_>) {
        bencher.bench_local(|| black_box(skins()));
    }

    #[divan::bench(args = SPACINGS)]
    fn found_and_proven(bencher: Bencher<'_, '_>, spacing: f64) {
        let skins = skins();
        bencher.bench_local(|| capacities(black_box(&skins), spacing));
    }

    #[divan::bench(args = SPACINGS)]
    fn plain(bencher: Bencher<'_, '_>, spacing: f64) {
        let skins = skins();
        bencher.bench_local(|| {
            let each = skins
                .iter()
                .map(|s| plain_lattice(black_box(&s.region), spacing));
            each.sum::<usize>()
        });
    }

    /// Working spacing, reserve and every remedy, for this many injections a day.
    #[divan::bench(args = [4, 48])]
    fn room_on_this_skin(bencher: Bencher<'_, '_>, per_day: u32) {
        let (body, book) = (adult(), Book::shipped());
        let medicine = book.medicine("insulin-glargine-100").unwrap();
        let need = Need {
            per_day: f64::from(per_day),
            rest_days: 28.0,
        };
        let person = room::Person {
            body: &body,
            book,
            navel_margin_cm: 2.5,
            findings: &[],
            zones: &[],
            self_given: true,
        };
        bencher.bench_local(|| room::sustain(black_box(&[Treatment { medicine, need }]), &person));
    }
}

fn head(n: usize) -> NewHead {
    NewHead {
        id: format!("0197f3a0-0000-7000-8000-{n:012x}"),
        recorded_at: now(),
        clock_set: false,
        recorder: None,
        supersedes: None,
        reason: None,
    }
}

/// A store with one person, one order and this many injections.
fn filled(dir: &std::path::Path, count: usize) -> Store {
    let (mut store, body) = (Store::open(dir).unwrap(), adult());
    let person = Person {
        name: "Marit Oakfell".into(),
        born: "1951-03-09".parse().unwrap(),
        zone: chrono_tz::Europe::London,
        allergies: Default::default(),
        self_injects: true,
        sizes: Sizes::default(),
        zones: Vec::new(),
        identifier: None,
        note: None,
        weight_kg: None,
    };
    let order = Order {
        medicine: "insulin-glargine-100".into(),
        dose: Dose::parse("12", DoseUnit::Units).unwrap(),
        times: Vec::new(),
        every_days: 1,
        from: "1951-03-09".parse().unwrap(),
        to: None,
        prescriber: "Dr Halloran Vey".into(),
        note: None,
        terms: Terms::default(),
    };
    store
        .transact(|tx| {
            tx.add_person(&head(900_000), &person)?;
            tx.add_order(&head(900_001), &head(900_000).id, &order)?;
            for n in 0..count {
                add(tx, n, &body)?;
            }
            Ok::<_, fallow_store::StoreError>(())
        })
        .unwrap();
    store
}

fn add(tx: &fallow_store::Tx<'_>, n: usize, body: &Body) -> Result<(), fallow_store::StoreError> {
    let injection = Injection {
        id: head(n).id,
        order: head(900_001).id,
        medicine: "insulin-glargine-100".into(),
        site: site(n % 1000, body),
        given_at: given_at(n),
        dose: Dose::parse("12", DoseUnit::Units).unwrap(),
        recorder: "Marit Oakfell".into(),
    };
    tx.add_injection(
        &head(n),
        &head(900_000).id,
        &injection,
        chrono_tz::Europe::London,
        &Act::default(),
        Status::Given,
    )?;
    Ok(())
}

mod save_durably {
    use super::*;

    #[divan::bench(sample_count = 200)]
    fn one_injection(bencher: Bencher<'_, '_>) {
        let dir = tempfile::tempdir().unwrap();
        let (mut store, body) = (filled(dir.path(), 0), adult());
        let mut n = 0;
        bencher.bench_local(|| {
            n += 1;
            store.transact(|tx| add(tx, n, &body)).unwrap();
        });
    }

    /// The same figures into one plain table at the same settings (WAL, `synchronous=FULL`).
    #[divan::bench(sample_count = 200)]
    fn plain_insert(bencher: Bencher<'_, '_>) {
        let dir = tempfile::tempdir().unwrap();
        let db = rusqlite::Connection::open(dir.path().join("plain.db")).unwrap();
        db.pragma_update(None, "journal_mode", "WAL").unwrap();
        db.pragma_update(None, "synchronous", "FULL").unwrap();
        db.execute_batch("CREATE TABLE injection (id TEXT PRIMARY KEY, across_cm REAL, up_cm REAL, given_utc_ms INTEGER, dose INTEGER) STRICT").unwrap();
        let mut n = 0_i64;
        bencher.bench_local(|| {
            n += 1;
            db.execute(
                "INSERT INTO injection VALUES (?1, 5.5, -3.0, ?2, 12000)",
                rusqlite::params![format!("0197f3a0-0000-7000-8000-{n:012x}"), n],
            )
            .unwrap();
        });
    }
}

#[divan::bench(args = [1_000, 100_000], sample_count = 30)]
fn open_a_store(bencher: Bencher<'_, '_>, count: usize) {
    let dir = tempfile::tempdir().unwrap();
    drop(filled(dir.path(), count));
    bencher.bench_local(|| Store::open(dir.path()).unwrap());
}

/// The whole way of a check: request, 28 days read by index, rules, reply.
#[divan::bench(args = [1_000, 100_000], sample_count = 100)]
fn check_through_the_door(bencher: Bencher<'_, '_>, count: usize) {
    let dir = tempfile::tempdir().unwrap();
    drop(filled(dir.path(), count));
    let now = fallow_api::Now {
        at: now(),
        set_by_hand: false,
        clock: fallow_api::Clock::default(),
    };
    let mut app = fallow_api::App::open(
        dir.path(),
        fallow_api::Options {
            unprotected: true,
            ..Default::default()
        },
        now,
    );
    let line = serde_json::json!({ "op": "site_check", "args": {
        "person": head(900_000).id, "order": head(900_001).id, "at": now.at.to_rfc3339(),
        "site": { "zone": "abdomen", "across_cm": 5.5, "up_cm": -3.0 } } })
    .to_string();
    assert!(fallow_api::answer(&mut app, &line, now).starts_with(r#"{"ok""#));
    bencher.bench_local(|| fallow_api::answer(&mut app, black_box(&line), now));
}
