//! Copies of a protected store, and a plain store that is encrypted.

use fallow_store::{By, Keyring, Secret, Store, StoreError, backup, protect};

use crate::files::{listed, names};
use crate::protected::{CHEAP, guarded, readable_in, secret};
use crate::{all, at, begun, give, numbers};

#[test]
fn a_copy_is_encrypted_and_comes_back_with_its_keys_alone() {
    let (dir, store, key) = guarded(6);
    let folder = dir.path().join("backups");
    let made = backup::make(&store, &folder, at("2026-06-03T09:00:00Z").to_utc()).unwrap();
    assert!(made.protected);
    assert_eq!(made.entries, Some(6));
    assert_eq!(
        names(&folder),
        [
            "fallow-2026-06-03T09-00-00Z.db",
            "fallow-2026-06-03T09-00-00Z.keys"
        ]
    );
    assert_eq!(
        backup::list(&folder, Some(&key)).unwrap(),
        std::slice::from_ref(&made)
    );
    let locked = backup::list(&folder, None).unwrap();
    assert_eq!((locked[0].protected, locked[0].entries), (true, None));

    // Another device, where nothing is but the copies.
    let elsewhere = tempfile::tempdir().unwrap();
    let ring = backup::ring_of(&folder, &made.name).unwrap().unwrap();
    let key = ring.unwrap(By::Passphrase, &secret()).unwrap();
    let now = at("2026-06-04T09:00:00Z").to_utc();
    let from = folder.join(&made.name);
    assert!(matches!(
        backup::restore(elsewhere.path(), &from, None, now),
        Err(StoreError::Locked)
    ));
    assert_eq!(names(elsewhere.path()), [""; 0]);
    backup::restore(elsewhere.path(), &from, Some(&key), now).unwrap();
    let ring = Keyring::read(elsewhere.path()).unwrap().unwrap();
    let key = ring.unwrap(By::Passphrase, &secret()).unwrap();
    let read = Store::open_with(elsewhere.path(), Some(&key)).unwrap();
    assert_eq!(
        numbers(&read.reader().injections(&all(1)).unwrap()),
        [6, 5, 4, 3]
    );
}

#[test]
fn copies_of_before_open_by_the_passphrase_of_today() {
    let (dir, store, key) = guarded(6);
    let folder = dir.path().join("backups");
    backup::make(&store, &folder, at("2026-06-03T09:00:00Z").to_utc()).unwrap();
    let mut ring = Keyring::read(dir.path()).unwrap().unwrap();
    let new = Secret::passphrase("otter beside the mill");
    ring.wrap(By::Passphrase, &new, &key, CHEAP).unwrap();
    ring.keep(dir.path()).unwrap();
    // One of another store lies among them and is left alone.
    let (other_dir, other, _) = guarded(3);
    backup::make(&other, &folder, at("2026-06-02T09:00:00Z").to_utc()).unwrap();
    assert_eq!(backup::rewrap(&folder, &ring).unwrap(), 1);
    let opens = |name: &str, secret: &Secret| {
        let ring = backup::ring_of(&folder, name).unwrap().unwrap();
        ring.unwrap(By::Passphrase, secret).is_ok()
    };
    assert!(opens("fallow-2026-06-03T09-00-00Z.db", &new));
    assert!(!opens("fallow-2026-06-03T09-00-00Z.db", &secret()));
    assert!(opens("fallow-2026-06-02T09-00-00Z.db", &secret()));
    drop(other_dir);
}

#[test]
fn thinning_takes_the_keys_of_a_copy_with_it() {
    let (dir, store, _) = guarded(3);
    let folder = dir.path().join("backups");
    for day in ["2024-01-01", "2024-01-02", "2026-06-03"] {
        let when = at(&format!("{day}T09:00:00Z")).to_utc();
        backup::make(&store, &folder, when).unwrap();
    }
    backup::thin(&folder, at("2026-06-03T10:00:00Z")).unwrap();
    assert_eq!(
        names(&folder),
        [
            "fallow-2026-06-03T09-00-00Z.db",
            "fallow-2026-06-03T09-00-00Z.keys"
        ]
    );
}

// ---------------------------------------------------------------- a plain store is encrypted

#[test]
fn a_plain_store_is_encrypted_whole() {
    let (dir, mut store) = begun();
    for n in 3..40 {
        give(&mut store, n, "2026-06-03T08:00:00+01:00").unwrap();
    }
    let end = store.reader().journal_end().unwrap();
    let (ring, key) = Keyring::new(&secret(), CHEAP, 5).unwrap();
    let told = protect::protect(dir.path(), &ring, &key);
    assert!(
        matches!(told, Err(StoreError::Busy)),
        "while open: {told:?}"
    );
    assert!(!names(dir.path()).contains(&"fallow.keys".to_owned()));
    drop(store);
    protect::protect(dir.path(), &ring, &key).unwrap();
    assert_eq!(
        names(dir.path()),
        [
            "fallow.db",
            "fallow.keys",
            "fallow.keys.spare",
            "fallow.marker"
        ]
    );
    assert_eq!(readable_in(dir.path(), &["Ada Bramble"]), [""; 0]);
    assert!(matches!(Store::open(dir.path()), Err(StoreError::Locked)));
    let mut store = Store::open_with(dir.path(), Some(&key)).unwrap();
    assert_eq!(store.reader().journal_end().unwrap(), end);
    assert!(
        store
            .reader()
            .verify(&mut |_, _| true)
            .unwrap()
            .unwrap()
            .broken
            .is_none()
    );
    give(&mut store, 40, "2026-06-03T08:00:00+01:00").unwrap();
    assert_eq!(listed(&store), 38);
    drop(store);
    let again = protect::protect(dir.path(), &ring, &key);
    assert!(matches!(again, Err(StoreError::Locked)), "{again:?}");
}
