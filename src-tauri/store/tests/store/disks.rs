//! A disk that is full or cannot be written: told by name, with nothing acknowledged lost.

use std::fs;
use std::path::PathBuf;
use std::process::Command;

use fallow_store::{Store, StoreError};

use crate::files::{check_newer, contents, error, listed, make_newer, names};
use crate::{begin, give};

/// A small disk in memory, where this process may mount one.
struct Disk {
    dir: tempfile::TempDir,
}

impl Disk {
    fn of_kib(size: u32) -> Option<Self> {
        let dir = tempfile::tempdir().unwrap();
        let mounted = Command::new("mount")
            .args(["-t", "tmpfs", "-o", &format!("size={size}k"), "none"])
            .arg(dir.path())
            .output()
            .is_ok_and(|done| done.status.success());
        if !mounted {
            eprintln!(
                "not run: mounting is not allowed here (the unit tests of `open` fill a store without a mount)"
            );
        }
        mounted.then_some(Self { dir })
    }

    fn remount(&self, how: &str) {
        let done = Command::new("mount")
            .args(["-o", &format!("remount,{how}")])
            .arg(self.dir.path())
            .status()
            .unwrap();
        assert!(done.success());
    }

    fn folder(&self) -> PathBuf {
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

#[test]
fn a_full_disk_is_told_and_nothing_acknowledged_is_lost() {
    let Some(disk) = Disk::of_kib(1024) else {
        return;
    };
    let ballast = disk.dir.path().join("ballast");
    fs::write(&ballast, vec![1; 300 * 1024]).unwrap();
    let mut store = Store::open(&disk.folder()).unwrap();
    begin(&mut store);
    let mut saved = 0;
    let told = loop {
        match give(&mut store, 3 + saved, "2026-06-03T08:00:00+01:00") {
            Ok(()) => saved += 1,
            Err(told) => break told,
        }
        assert!(saved < 10_000, "the disk never filled up");
    };
    assert!(matches!(told, StoreError::DiskFull), "{told:?}");
    assert!(saved > 0, "something was saved before");
    assert_eq!(
        listed(&store) as u64,
        saved,
        "all that was acknowledged, nothing half-written"
    );
    // Room again, and the same store goes on.
    fs::remove_file(&ballast).unwrap();
    give(&mut store, 3 + saved, "2026-06-03T08:00:00+01:00").unwrap();
    drop(store);
    assert_eq!(
        listed(&Store::open(&disk.folder()).unwrap()) as u64,
        saved + 1
    );
}

#[test]
fn a_first_start_on_a_full_disk_leaves_nothing_and_can_be_begun_again() {
    let Some(disk) = Disk::of_kib(256) else {
        return;
    };
    let ballast = disk.dir.path().join("ballast");
    fs::write(&ballast, vec![1; 220 * 1024]).unwrap();
    assert!(matches!(error(&disk.folder()), StoreError::DiskFull));
    assert!(
        contents(&disk.folder())
            .iter()
            .all(|(name, bytes)| name == "fallow.marker" && bytes.is_empty())
    );
    fs::remove_file(&ballast).unwrap();
    Store::open(&disk.folder()).unwrap();
}

#[test]
fn a_disk_that_cannot_be_written_is_told() {
    let Some(disk) = Disk::of_kib(4096) else {
        return;
    };
    let mut store = Store::open(&disk.folder()).unwrap();
    begin(&mut store);
    for n in 3..=5 {
        give(&mut store, n, "2026-06-03T08:00:00+01:00").unwrap();
    }
    drop(store);
    disk.remount("ro");
    assert!(
        fs::write(disk.folder().join("x"), "x").is_err(),
        "the disk cannot be written"
    );
    assert!(matches!(error(&disk.folder()), StoreError::ReadOnly));
    assert!(matches!(
        error(&disk.dir.path().join("new")),
        StoreError::ReadOnly
    ));
    assert_eq!(names(&disk.folder()), ["fallow.db", "fallow.marker"]);

    disk.remount("rw");
    make_newer(&disk.folder().join("fallow.db"), false);
    disk.remount("ro");
    check_newer(&disk.folder());
}
