//! Disks with room for so many pages and no more, one page more each round until the deed gets by: told as a full disk,
//! nothing acknowledged lost, and with room again it goes on.
//!
//! Where no disk may be mounted these are not run, and say so; `calls` fails the same calls without one.

use std::fs::{self, File};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use fallow_store::open::{Standing, standing};
use fallow_store::{By, Keyring, Store, StoreError, backup};

use crate::child::{Deed, Ready, passphrase};
use crate::dial::{figure, rounds};
use crate::record::{self, FIRST};

const PAGE: u64 = 4096;

/// A small disk in memory, where this process may mount one.
struct Disk {
    dir: tempfile::TempDir,
    ballast: File,
}

impl Disk {
    fn mounted() -> Option<Self> {
        let dir = tempfile::tempdir().unwrap();
        let done = Command::new("mount")
            .args(["-t", "tmpfs", "-o", "size=24m", "none"])
            .arg(dir.path())
            .output();
        if !done.is_ok_and(|done| done.status.success()) {
            println!("not run: mounting is not allowed here");
            return None;
        }
        let ballast = File::create(dir.path().join("ballast")).unwrap();
        Some(Self { dir, ballast })
    }

    /// Leaves room for so many pages.
    fn leave(&mut self, pages: u64) {
        while self.ballast.write_all(&[1; PAGE as usize]).is_ok() {}
        let length = self.ballast.metadata().unwrap().len() / PAGE * PAGE;
        let length = length.saturating_sub(pages * PAGE);
        self.ballast.set_len(length).unwrap();
        std::io::Seek::seek(&mut self.ballast, std::io::SeekFrom::End(0)).unwrap();
    }

    fn make_room(&mut self) {
        self.ballast.set_len(0).unwrap();
        std::io::Seek::rewind(&mut self.ballast).unwrap();
    }

    fn store(&self) -> PathBuf {
        self.dir.path().join("store")
    }
}

impl Drop for Disk {
    fn drop(&mut self) {
        let _ = Command::new("umount")
            .arg("-l")
            .arg(self.dir.path())
            .status();
    }
}

/// Refuses any other refusal.
fn full(done: Result<(), StoreError>) -> bool {
    match done {
        Ok(()) => false,
        Err(StoreError::DiskFull) => true,
        Err(other) => panic!("a full disk is told as {other:?}"),
    }
}

/// A store held open, saved to with a page more of room each time, from so many entries in its log on.
#[test]
fn a_save_into_an_open_store() {
    let Some(mut disk) = Disk::mounted() else {
        return;
    };
    let mut store = record::made(&disk.store(), true, FIRST..FIRST + 3);
    let mut present: Vec<u64> = (FIRST..FIRST + 3).collect();
    let mut refused = 0;
    let saves = rounds(40, 120);
    for _ in 0..saves {
        let n = present.last().unwrap() + 1;
        for pages in 0.. {
            disk.leave(pages);
            if !full(record::save(&mut store, n)) {
                break;
            }
            refused += 1;
            assert_eq!(record::numbers(&store), present, "{pages} pages");
            assert!(pages < 300, "it never gets by");
        }
        present.push(n);
    }
    let most = store_size(&disk.store());
    disk.make_room();
    record::save(&mut store, 9_000).unwrap();
    present.push(9_000);
    drop(store);
    assert_eq!(
        record::numbers(&record::open(&disk.store()).unwrap()),
        present
    );
    figure(
        "full_save",
        &[
            ("rounds", refused),
            ("saved", saves),
            ("kib", most / 1024),
            ("losses", 0),
        ],
    );
    assert!(refused >= saves / 8, "the disk was full {refused} times");
}

fn store_size(dir: &Path) -> u64 {
    let files = fs::read_dir(dir).unwrap();
    files.map(|f| f.unwrap().metadata().unwrap().len()).sum()
}

/// A store opened anew each time: opening takes room too.
#[test]
fn an_opening_and_a_save() {
    let Some(mut disk) = Disk::mounted() else {
        return;
    };
    drop(record::made(&disk.store(), true, FIRST..FIRST + 3));
    let mut present: Vec<u64> = (FIRST..FIRST + 3).collect();
    let (mut not_opened, mut not_saved) = (0, 0);
    for _ in 0..rounds(3, 30) {
        let n = present.last().unwrap() + 1;
        for pages in 0.. {
            disk.leave(pages);
            let mut store = match record::open(&disk.store()) {
                Err(StoreError::DiskFull) => {
                    not_opened += 1;
                    continue;
                }
                opened => opened.unwrap(),
            };
            if !full(record::save(&mut store, n)) {
                break;
            }
            not_saved += 1;
            assert_eq!(record::numbers(&store), present, "{pages} pages");
            drop(store);
            assert!(pages < 300, "it never gets by");
        }
        present.push(n);
        disk.make_room();
        assert_eq!(
            record::numbers(&record::open(&disk.store()).unwrap()),
            present
        );
    }
    figure(
        "full_open",
        &[
            ("rounds", not_opened + not_saved),
            ("not_opened", not_opened),
            ("not_saved", not_saved),
            ("losses", 0),
        ],
    );
    assert!(not_opened > 0 && not_saved > 0);
}

/// Does a deed on the small disk with a page more of room each time; `after` looks at what each refusal leaves
/// and says whether the deed is still to be done.
fn until_it_gets_by(deed: Deed, after: impl Fn(&Path) -> bool) {
    let Some(mut disk) = Disk::mounted() else {
        return;
    };
    let dir = disk.store();
    let template = tempfile::tempdir().unwrap();
    match deed {
        Deed::FirstStart => {}
        Deed::Protect => drop(record::made(template.path(), false, FIRST..FIRST + 8)),
        _ => record::with_copies(template.path(), true, FIRST + 7),
    }
    let (mut refused, mut to_do) = (0, 0);
    for pages in 0..1_000 {
        disk.make_room();
        let _ = fs::remove_dir_all(&dir);
        record::copied(template.path(), &dir);
        let mut ready = Ready::new(deed, &dir).unwrap();
        disk.leave(pages);
        let done = ready.act(1_000);
        let was_full = full(done);
        if was_full && deed == Deed::Copy {
            // The store is open and goes on while its disk is full.
            assert_eq!(record::numbers(ready.store()).len(), 8);
        }
        drop(ready);
        disk.make_room();
        if !was_full {
            break;
        }
        refused += 1;
        if after(&dir) {
            // With room it gets by.
            to_do += 1;
            Ready::new(deed, &dir).unwrap().act(1_001).unwrap();
        }
    }
    figure(
        &format!("full_{}", deed.name()),
        &[("rounds", refused), ("left_to_do", to_do), ("losses", 0)],
    );
    assert!(
        refused > 0 && to_do > 0 && refused < 900,
        "it was full {refused} times"
    );
}

fn all() -> Vec<u64> {
    (FIRST..FIRST + 8).collect()
}

#[test]
fn a_first_start() {
    until_it_gets_by(Deed::FirstStart, |dir| match standing(dir).unwrap() {
        Standing::Nothing => {
            assert!(
                !dir.join("fallow.keys").exists(),
                "no keys of a store that is not there"
            );
            true
        }
        _ => {
            record::begin(&mut record::open(dir).unwrap());
            false
        }
    });
}

#[test]
fn a_copy() {
    until_it_gets_by(Deed::Copy, |dir| {
        let store = record::open(dir).unwrap();
        assert_eq!(record::numbers(&store), all());
        let copies = backup::list(&dir.join("backups"), store.key()).unwrap();
        assert_eq!(copies.len(), 2);
        assert!(copies.iter().all(|copy| copy.entries.is_some()));
        true
    });
}

#[test]
fn a_change_of_passphrase() {
    until_it_gets_by(Deed::Passphrase, |dir| {
        let ring = Keyring::read(dir).unwrap().unwrap();
        let by = |n| ring.unwrap(By::Passphrase, &passphrase(n));
        let (old, new) = (by(0), by(1_000));
        let to_do = old.is_ok();
        let store = Store::open_with(dir, Some(&old.or(new).unwrap())).unwrap();
        assert_eq!(record::numbers(&store), all());
        to_do
    });
}

#[test]
fn an_encryption() {
    until_it_gets_by(Deed::Protect, |dir| {
        assert_eq!(record::numbers(&record::open(dir).unwrap()), all());
        standing(dir).unwrap() == Standing::Plain
    });
}

#[test]
fn a_restore() {
    until_it_gets_by(Deed::Restore, |dir| {
        let found = record::numbers(&record::open(dir).unwrap());
        assert!(found.len() == 5 || found == all(), "{found:?}");
        found == all()
    });
}
