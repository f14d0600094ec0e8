//! One bit turned over in each page of a copy, and in each page of the store itself. An encrypted page is told as damaged;
//! a plain one is, or nothing that can be read differs.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use fallow_store::{InjectionEntry, Key, StoreError, backup};

use crate::dial::{Chance, figure, rounds};
use crate::record::{self, COPY, FIRST};

const PAGE: usize = 4096;
const LAST: u64 = FIRST + 199;

/// Reads all there is, and walks the journal: what it says, or how the damage was told.
fn all_of(dir: &Path) -> Result<Vec<InjectionEntry>, StoreError> {
    let store = record::open(dir)?;
    let all = record::entries(&store)?;
    let reader = store.reader();
    reader.people()?;
    reader.orders_of(&record::id(1))?;
    let walk = reader.verify(&mut |_, _| true)?.unwrap();
    match walk.broken {
        None => Ok(all),
        Some(broken) => Err(StoreError::Damaged {
            detail: format!("{broken:?}"),
        }),
    }
}

/// Turns bits over one by one, `times` in each page, and puts each back.
fn each_page(file: &Path, chance: &mut Chance, times: u64, mut look: impl FnMut(usize)) -> u64 {
    let whole = fs::read(file).unwrap();
    assert_eq!(whole.len() % PAGE, 0);
    for page in 0..whole.len() / PAGE {
        for _ in 0..times {
            let mut bytes = whole.clone();
            let at = page * PAGE + chance.below(PAGE as u64) as usize;
            bytes[at] ^= 1 << chance.below(8);
            assert!(bytes != whole);
            fs::write(file, bytes).unwrap();
            look(page);
        }
    }
    fs::write(file, &whole).unwrap();
    (whole.len() / PAGE) as u64
}

/// A record with copies, the copy's file and its key.
fn record_of(protected: bool) -> (tempfile::TempDir, Option<Key>) {
    let dir = tempfile::tempdir().unwrap();
    record::with_copies(dir.path(), protected, LAST);
    let key = protected.then(|| record::key(dir.path()).unwrap());
    (dir, key)
}

#[test]
fn in_an_encrypted_copy_every_one_is_told() {
    let mut chance = Chance::new("bits of an encrypted copy");
    let (dir, key) = record_of(true);
    let folder = dir.path().join("backups");
    let newest = || backup::list(&folder, key.as_ref()).unwrap().remove(0);
    let whole = newest();
    assert_eq!(whole.entries, Some(LAST));
    let (mut flips, mut told) = (0, 0);
    let pages = each_page(
        &folder.join(&whole.name),
        &mut chance,
        rounds(1, 25),
        |_| {
            flips += 1;
            told += u64::from(newest().entries.is_none());
        },
    );
    figure(
        "flipped_encrypted_copy",
        &[
            ("pages", pages),
            ("flips", flips),
            ("told", told),
            ("losses", flips - told),
        ],
    );
    assert_eq!(newest(), whole);
    assert!(pages > 40 && flips >= pages);
    assert_eq!(told, flips);
    // Nor is it put back.
    let file = folder.join(COPY);
    let mut bytes = fs::read(&file).unwrap();
    let last = bytes.len() - 1;
    bytes[last] ^= 1;
    fs::write(&file, bytes).unwrap();
    let put_back = backup::restore(dir.path(), &file, key.as_ref(), record::second(9));
    assert!(
        matches!(put_back, Err(StoreError::Damaged { .. })),
        "{put_back:?}"
    );
}

#[test]
fn in_a_plain_copy_every_one_is_told_or_changes_nothing() {
    let mut chance = Chance::new("bits of a plain copy");
    let (dir, _) = record_of(false);
    let folder = dir.path().join("backups");
    let whole = backup::list(&folder, None).unwrap().remove(0);
    let (mut flips, mut told, mut by_the_journal, mut unseen) = (0, 0, 0, 0);
    let expected = all_of(dir.path()).unwrap();
    // Where a copy passes, it is put in a place of its own and read through.
    let place = tempfile::tempdir().unwrap();
    let file = folder.join(&whole.name);
    let pages = each_page(&file, &mut chance, rounds(1, 25), |page| {
        flips += 1;
        let found = backup::list(&folder, None).unwrap().remove(0);
        if found.entries.is_none() {
            told += 1;
            return;
        }
        for name in ["fallow.db-wal", "fallow.db-shm"] {
            let _ = fs::remove_file(place.path().join(name));
        }
        fs::copy(&file, place.path().join("fallow.db")).unwrap();
        match all_of(place.path()) {
            Err(_) => by_the_journal += 1,
            Ok(all) => {
                unseen += 1;
                assert!(
                    all == expected,
                    "page {page}: it reads otherwise and nobody says so"
                );
            }
        }
    });
    figure(
        "flipped_plain_copy",
        &[
            ("pages", pages),
            ("flips", flips),
            ("told", told),
            ("told_when_read", by_the_journal),
            ("unseen_nothing_changed", unseen),
            ("losses", 0),
        ],
    );
    assert!(
        told > 0 && by_the_journal > 0,
        "both ways of telling happened"
    );
}

fn in_the_store(protected: bool) {
    let what = if protected { "encrypted" } else { "plain" };
    let mut chance = Chance::new(what);
    let (dir, _) = record_of(protected);
    let expected = all_of(dir.path()).unwrap();
    let (mut flips, mut told, mut unseen) = (0, 0, 0);
    let mut names: BTreeMap<String, u64> = BTreeMap::new();
    let file = dir.path().join("fallow.db");
    let pages = each_page(&file, &mut chance, rounds(1, 25), |page| {
        flips += 1;
        for name in ["fallow.db-wal", "fallow.db-shm"] {
            let _ = fs::remove_file(dir.path().join(name));
        }
        match all_of(dir.path()) {
            Err(told_as) => {
                told += 1;
                *names.entry(record::name(&told_as)).or_default() += 1;
            }
            Ok(all) => {
                unseen += 1;
                assert!(
                    all == expected,
                    "page {page}: it reads otherwise and nobody says so"
                );
            }
        }
    });
    println!("{what}: told as {names:?}");
    figure(
        &format!("flipped_{what}_store"),
        &[
            ("pages", pages),
            ("flips", flips),
            ("told", told),
            ("unseen_nothing_changed", unseen),
            ("losses", 0),
        ],
    );
    assert!(told > 0);
    assert!(all_of(dir.path()).unwrap() == expected);
}

#[test]
fn in_the_encrypted_store_every_one_that_is_read_is_told() {
    in_the_store(true);
}

#[test]
fn in_the_plain_store_every_one_is_told_or_changes_nothing() {
    in_the_store(false);
}
