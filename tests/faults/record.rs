//! The record that is harmed: one invented person, one order, injections by number, and what must be left of it. Not
//! here: any harm.

use std::fs;
use std::path::Path;

use chrono::{DateTime, Duration, FixedOffset, NaiveDate, NaiveTime, Utc};
use chrono_tz::Tz;
use fallow_core::act::Act;
use fallow_core::orders::Terms;
use fallow_core::person::{Allergies, Injection, Order, Person, Sizes};
use fallow_core::site::{Point, Quadrant, Site, Zone};
use fallow_core::units::{Dose, DoseUnit};
use fallow_store::open::{Standing, standing};
use fallow_store::{
    By, Cost, InjectionEntry, InjectionQuery, Key, Keyring, NewHead, Secret, Status, Store,
    StoreError, backup,
};

/// Derives a key in no time; nobody's record rests on it.
pub const CHEAP: Cost = Cost {
    memory_kib: 64,
    passes: 1,
    lanes: 1,
};
pub const PASSPHRASE: &str = "heron under the bridge";
/// The number of the first injection; the person is 1 and the order 2.
pub const FIRST: u64 = 3;

pub fn secret() -> Secret {
    Secret::passphrase(PASSPHRASE)
}

/// The n-th id.
pub fn id(n: u64) -> String {
    format!("01900000-0000-7000-8000-{n:012x}")
}

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

/// The n-th second of a day on which copies are made and put back.
pub fn second(n: u64) -> DateTime<Utc> {
    at("2026-06-03T09:00:00Z").to_utc() + Duration::seconds(n as i64)
}

fn head(n: u64) -> NewHead {
    NewHead {
        id: id(n),
        recorded_at: at("2026-06-03T08:01:02.345+01:00") + Duration::minutes(n as i64),
        clock_set: false,
        recorder: Some("Nurse Larkspur".into()),
        supersedes: None,
        reason: None,
    }
}

fn person() -> Person {
    Person {
        name: "Ada Bramble".into(),
        born: NaiveDate::from_ymd_opt(1951, 3, 9).unwrap(),
        zone: Tz::Europe__London,
        allergies: Allergies::Known(vec!["latex".into()]),
        self_injects: true,
        sizes: Sizes {
            height_cm: Some(168.0),
            waist_cm: Some(92.5),
            ..Sizes::default()
        },
        zones: vec![Zone::Abdomen, Zone::LeftThigh],
        identifier: None,
        note: None,
        weight_kg: Some(70.5),
    }
}

fn order() -> Order {
    Order {
        medicine: "insulin-glargine-100".into(),
        dose: dose(0),
        times: vec![NaiveTime::from_hms_opt(8, 0, 0).unwrap()],
        every_days: 1,
        from: NaiveDate::from_ymd_opt(2026, 6, 1).unwrap(),
        to: None,
        prescriber: "Dr Teasel".into(),
        note: None,
        terms: Terms::default(),
    }
}

fn dose(n: u64) -> Dose {
    Dose::from_thousandths(12_000 + (n % 500) as i64, DoseUnit::Units).unwrap()
}

/// What the n-th injection says; every number says something of its own.
pub fn injection(n: u64) -> Injection {
    Injection {
        id: id(n),
        order: id(2),
        medicine: "insulin-glargine-100".into(),
        site: Site {
            zone: Zone::Abdomen,
            quadrant: Quadrant::LeftLower,
            point: Some(Point {
                across_cm: 5.5 + (n % 7) as f64 / 10.0,
                up_cm: -3.0,
            }),
        },
        given_at: at("2026-06-03T08:00:00+01:00") + Duration::minutes(n as i64),
        dose: dose(n),
        recorder: "Carer Sorrel".into(),
    }
}

fn act(n: u64) -> Act {
    Act {
        note: Some(format!("entry {n}: {}", "a quiet morning, ".repeat(12))),
        ..Act::default()
    }
}

/// Saves person and order.
pub fn begin(store: &mut Store) {
    let begun = store.transact(|tx| {
        tx.add_person(&head(1), &person())?;
        tx.add_order(&head(2), &id(1), &order())
    });
    begun.unwrap();
}

/// Saves injection `n` as the door does: the half-filled form first, then the entry and the form's end in one.
pub fn save(store: &mut Store, n: u64) -> Result<(), StoreError> {
    store.transact(|tx| tx.save_draft("give", &n.to_string(), second(0).fixed_offset()))?;
    store.transact(|tx| {
        tx.add_injection(
            &head(n),
            &id(1),
            &injection(n),
            Tz::Europe__London,
            &act(n),
            Status::Given,
        )?;
        tx.drop_draft("give")
    })
}

/// A store in `dir`, protected or plain, with these injections, open.
pub fn made(dir: &Path, protected: bool, numbers: std::ops::Range<u64>) -> Store {
    let mut store = if protected {
        let (ring, key) = Keyring::new(&secret(), CHEAP, 5).unwrap();
        Store::make(dir, &ring, &key).unwrap()
    } else {
        Store::open(dir).unwrap()
    };
    begin(&mut store);
    for n in numbers {
        save(&mut store, n).unwrap();
    }
    store
}

/// The key, by whichever of these passphrases opens the ring.
pub fn key(dir: &Path) -> Result<Key, StoreError> {
    let ring = Keyring::read(dir)?.ok_or(StoreError::KeysMissing)?;
    ring.unwrap(By::Passphrase, &secret())
}

/// Opens whatever stands there, as the program does.
pub fn open(dir: &Path) -> Result<Store, StoreError> {
    match standing(dir)? {
        Standing::Protected => Store::open_with(dir, Some(&key(dir)?)),
        Standing::Plain => Store::open(dir),
        Standing::Nothing => Err(StoreError::Missing),
    }
}

/// Every current injection.
pub fn entries(store: &Store) -> Result<Vec<InjectionEntry>, StoreError> {
    store.reader().injections(&InjectionQuery {
        person: id(1),
        ..InjectionQuery::default()
    })
}

/// The number of an entry.
pub fn number(entry: &InjectionEntry) -> u64 {
    u64::from_str_radix(&entry.head.id[24..], 16).unwrap()
}

/// Reads everything, demands that the journal verifies and that each injection says what it said; their numbers, in order.
pub fn numbers(store: &Store) -> Vec<u64> {
    let walk = store.reader().verify(&mut |_, _| true).unwrap().unwrap();
    assert_eq!(walk.broken, None);
    let all = entries(store).unwrap();
    for entry in &all {
        let n = number(entry);
        assert_eq!(entry.injection, injection(n));
        assert_eq!(entry.act, act(n));
    }
    // Person and order are entries too.
    assert_eq!(walk.entries, all.len() as u64 + 2);
    assert_eq!(store.reader().people().unwrap()[0].person, person());
    assert_eq!(store.reader().orders_of(&id(1)).unwrap()[0].order, order());
    let mut numbers: Vec<u64> = all.iter().map(number).collect();
    numbers.sort_unstable();
    numbers
}

/// What the draft says, if there is one.
pub fn draft(store: &Store) -> Option<u64> {
    let draft = store.reader().draft("give").unwrap()?;
    Some(draft.body.parse().unwrap())
}

/// A protected store with injections up to `last`, closed, and two copies in its folder: of the first five injections and
/// of all.
pub fn with_copies(dir: &Path, protected: bool, last: u64) {
    let mut store = made(dir, protected, FIRST..FIRST + 5);
    let folder = dir.join("backups");
    backup::make(&store, &folder, second(0)).unwrap();
    for n in FIRST + 5..=last {
        save(&mut store, n).unwrap();
    }
    backup::make(&store, &folder, second(1)).unwrap();
}

/// The copy of the first five injections.
pub const COPY: &str = "fallow-2026-06-03T09-00-00Z.db";

/// Copies a folder and all below it.
pub fn copied(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            copied(&path, &target);
        } else {
            fs::copy(&path, &target).unwrap();
        }
    }
}

/// What kind of refusal it is, in one word.
pub fn name(error: &StoreError) -> String {
    let text = format!("{error:?}");
    text.split([' ', '(']).next().unwrap().to_owned()
}
