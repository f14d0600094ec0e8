//! Interrupted at any point of a save, a copy or a walk along the journal: refused or done, never half. Not here: kills,
//! full disks and failing calls; those are done to the program from outside (`tests/faults.rs`).

use std::hint::spin_loop;
use std::path::Path;
use std::time::{Duration, Instant};

use chrono::{DateTime, FixedOffset, NaiveDate, Utc};
use chrono_tz::Tz;
use fallow_core::person::{Allergies, Person, Sizes};

use crate::{Cost, Keyring, NewHead, Secret, Store, StoreError, backup};

/// Few rounds, or as many as a long run makes.
fn rounds(short: u32, long: u32) -> u32 {
    if std::env::var_os("FALLOW_SOAK").is_some() {
        long
    } else {
        short
    }
}

fn moment(n: u32) -> DateTime<FixedOffset> {
    (DateTime::UNIX_EPOCH + Duration::from_secs(1_780_000_000 + u64::from(n))).fixed_offset()
}

/// In memory where there is such a place: on a disk most of a save is waiting for it, where nothing can be interrupted.
fn folder() -> tempfile::TempDir {
    let memory = Path::new("/dev/shm");
    if memory.is_dir() {
        tempfile::tempdir_in(memory).expect("a folder in memory")
    } else {
        tempfile::tempdir().expect("a folder")
    }
}

fn protected(dir: &Path) -> Store {
    let cost = Cost {
        memory_kib: 64,
        passes: 1,
        lanes: 1,
    };
    let (ring, key) =
        Keyring::new(&Secret::passphrase("heron under the bridge"), cost, 5).expect("a ring");
    Store::make(dir, &ring, &key).expect("a store")
}

/// Saves person `n` and ends the half-filled form, in one.
fn save(store: &mut Store, n: u32) -> Result<(), StoreError> {
    let head = NewHead {
        id: format!("01900000-0000-7000-8000-{n:012x}"),
        recorded_at: moment(n),
        clock_set: false,
        recorder: Some("Nurse Larkspur".into()),
        supersedes: None,
        reason: None,
    };
    let person = Person {
        name: format!("Ada Bramble the {n}th"),
        born: NaiveDate::from_ymd_opt(1951, 3, 9).expect("a day"),
        zone: Tz::Europe__London,
        allergies: Allergies::NoneKnown,
        self_injects: true,
        sizes: Sizes::default(),
        zones: Vec::new(),
        identifier: None,
        note: Some("a quiet morning ".repeat(40)),
        weight_kg: None,
    };
    store.transact(|tx| {
        tx.add_person(&head, &person)?;
        tx.drop_draft("person")
    })
}

/// Does `act` while another thread interrupts it after `delay`.
fn interrupted<T>(
    store: &mut Store,
    delay: Duration,
    act: impl FnOnce(&mut Store) -> Result<T, StoreError>,
) -> Result<T, StoreError> {
    let handle = store.conn().get_interrupt_handle();
    let start = std::sync::Barrier::new(2);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            start.wait();
            let until = Instant::now() + delay;
            while Instant::now() < until {
                spin_loop();
            }
            // Between two statements an interruption is nothing, so there are many, one right after the other.
            for _ in 0..40 {
                handle.interrupt();
                spin_loop();
            }
        });
        start.wait();
        act(store)
    })
}

/// Whether it was told to be interrupted; any other refusal is a fault.
fn was_interrupted<T>(done: &Result<T, StoreError>) -> bool {
    match done {
        Ok(_) => false,
        Err(StoreError::Stopped) => true,
        Err(other) => panic!("an interruption is told as {other:?}"),
    }
}

fn walked(store: &Store) -> u64 {
    let walk = store.reader().verify(&mut |_, _| true).expect("it reads");
    let walk = walk.expect("nobody ended it");
    assert_eq!(walk.broken, None);
    walk.entries
}

/// The usual time of an act, to spread the interruptions over.
fn usual_time(act: impl FnOnce()) -> Duration {
    let began = Instant::now();
    act();
    began.elapsed()
}

#[test]
fn a_save_is_refused_or_done() {
    let dir = folder();
    let mut store = protected(dir.path());
    save(&mut store, 0).unwrap();
    // The first ones prepare their statements and take longer than all later ones.
    let usual = (1..20).map(|n| usual_time(|| save(&mut store, n).unwrap()));
    let usual = usual.min().unwrap();
    let all = rounds(1_500, 20_000);
    let (mut saved, mut interrupts) = (20, 0);
    for round in 0..all {
        store
            .transact(|tx| tx.save_draft("person", "half", moment(0)))
            .unwrap();
        let delay = usual * (round % 200) / 200;
        let done = interrupted(&mut store, delay, |store| save(store, round + 20));
        let refused = was_interrupted(&done);
        interrupts += u64::from(refused);
        saved += u64::from(!refused);
        assert_eq!(
            store.reader().people_count().unwrap(),
            saved,
            "round {round}"
        );
        let draft = store.reader().draft("person").unwrap();
        assert_eq!(draft.is_some(), refused, "the form ends with its entry");
        if round % 100 == 0 {
            assert_eq!(walked(&store), saved);
        }
        if saved > 400 {
            // Another one, for a long record is read for long.
            drop(store);
            std::fs::remove_dir_all(dir.path()).unwrap();
            store = protected(dir.path());
            saved = 0;
        }
    }
    assert_eq!(walked(&store), saved);
    println!("figure: interrupted_save rounds={all} interrupts={interrupts} losses=0");
    // Its statements are so short that most are over before they look for an interruption.
    assert!(interrupts > 0, "none of {all}");
}

#[test]
fn a_copy_is_refused_or_whole() {
    let dir = folder();
    let mut store = protected(dir.path());
    for n in 0..60 {
        save(&mut store, n).unwrap();
    }
    let folder = dir.path().join("backups");
    let at = |n: u32| moment(n).with_timezone(&Utc);
    let usual = usual_time(|| drop(backup::make(&store, &folder, at(0)).unwrap()));
    let all = rounds(60, 1_500);
    let mut interrupts = 0;
    for round in 1..=all {
        let delay = usual * (round % 50) / 50;
        let done = interrupted(&mut store, delay, |store| {
            backup::make(store, &folder, at(round))
        });
        let refused = was_interrupted(&done);
        interrupts += u64::from(refused);
        let named = backup::named(&folder).unwrap();
        assert_eq!(named.len(), if refused { 1 } else { 2 }, "round {round}");
        let unfinished = std::fs::read_dir(&folder).unwrap();
        let unfinished = unfinished.filter(|f| {
            f.as_ref()
                .is_ok_and(|f| f.path().extension().is_some_and(|end| end == "new"))
        });
        assert_eq!(unfinished.count(), 0, "round {round}");
        if let Ok(copy) = done {
            let newest = backup::list(&folder, store.key()).unwrap().remove(0);
            assert_eq!((newest.name, newest.entries), (copy.name, Some(60)));
            std::fs::remove_file(folder.join(&named[0].1)).unwrap();
        }
    }
    assert_eq!(walked(&store), 60);
    println!("figure: interrupted_copy rounds={all} interrupts={interrupts} losses=0");
    assert!(interrupts > u64::from(all) / 10, "{interrupts} of {all}");
}

#[test]
fn a_walk_is_refused_or_says_all() {
    let dir = folder();
    let mut store = protected(dir.path());
    for n in 0..100 {
        save(&mut store, n).unwrap();
    }
    let usual = usual_time(|| assert_eq!(walked(&store), 100));
    let all = rounds(200, 5_000);
    let mut interrupts = 0;
    for round in 0..all {
        let delay = usual * (round % 100) / 100;
        let done = interrupted(&mut store, delay, |store| {
            store.reader().verify(&mut |_, _| true)
        });
        if was_interrupted(&done) {
            interrupts += 1;
        } else {
            let walk = done.unwrap().unwrap();
            assert_eq!((walk.entries, walk.broken), (100, None), "round {round}");
        }
    }
    // And ended by whoever asked for it, after each of its entries.
    for end in 1..=100 {
        let mut seen = 0;
        let mut progress = |n, _| {
            seen = n;
            n < end
        };
        assert_eq!(store.reader().verify(&mut progress).unwrap(), None);
        assert_eq!(seen, end);
    }
    println!("figure: interrupted_walk rounds={all} interrupts={interrupts} ended=100 losses=0");
    assert!(interrupts > u64::from(all) / 10, "{interrupts} of {all}");
    assert_eq!(walked(&store), 100);
}
