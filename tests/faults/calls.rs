//! The n-th call of the system fails, for every n until the deed gets by: told by name or done whole, nothing lost.
//!
//! `shim.c` makes it fail and keeps a log, by which each round proves that its fault happened.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::LazyLock;

use fallow_store::open::{Standing, standing};
use fallow_store::{StoreError, backup};

use crate::child::{Deed, Ready, Running, passphrase};
use crate::dial::{figure, rounds};
use crate::record::{self, FIRST};

/// The system's numbers, the same on every Linux.
const EIO: &str = "5";
const ENOSPC: &str = "28";

/// How a call fails.
#[derive(Debug, Clone, Copy)]
struct Fault {
    name: &'static str,
    errno: &'static str,
    stays: bool,
}

const FAULTS: [Fault; 3] = [
    Fault {
        name: "eio",
        errno: EIO,
        stays: false,
    },
    Fault {
        name: "enospc_once",
        errno: ENOSPC,
        stays: false,
    },
    Fault {
        name: "enospc",
        errno: ENOSPC,
        stays: true,
    },
];

/// The shim, compiled once for all tests of this process.
static SHIM: LazyLock<(tempfile::TempDir, PathBuf)> = LazyLock::new(|| {
    let dir = tempfile::tempdir().unwrap();
    let made = dir.path().join("shim.so");
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("faults/shim.c");
    let done = Command::new("cc")
        .args(["-shared", "-fPIC", "-O1", "-o"])
        .args([&made, &source])
        .arg("-ldl")
        .status();
    assert!(done.unwrap().success(), "the shim did not compile");
    (dir, made)
});

/// What one round came to.
struct Round {
    said: Result<(), String>,
    /// The call that failed first and the file, as the shim noted them; `None` where fewer calls were made.
    failed: Option<String>,
    calls: u64,
}

fn round(deed: Deed, dir: &Path, fault: Fault, nth: u64) -> Round {
    let notes = tempfile::NamedTempFile::new().unwrap();
    let at = nth.to_string();
    let vars = [
        ("LD_PRELOAD", SHIM.1.to_str().unwrap()),
        ("FALLOW_SHIM_DIR", dir.to_str().unwrap()),
        ("FALLOW_SHIM_AT", at.as_str()),
        ("FALLOW_SHIM_ERRNO", fault.errno),
        ("FALLOW_SHIM_STAYS", if fault.stays { "1" } else { "0" }),
        ("FALLOW_SHIM_LOG", notes.path().to_str().unwrap()),
    ];
    let mut child = Running::start(deed, dir, &vars);
    let said = child.once(1_000);
    child.close();
    let text = std::fs::read_to_string(notes.path()).unwrap();
    let calls = text.lines().find_map(|line| line.strip_prefix("calls "));
    Round {
        said,
        failed: text
            .lines()
            .find_map(|line| line.strip_prefix("failed "))
            .map(str::to_owned),
        calls: calls.expect("the shim was there").parse().unwrap(),
    }
}

/// What a deed is done to, made once and copied for each round.
fn template(deed: Deed) -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    match deed {
        Deed::FirstStart => {}
        Deed::Protect => drop(record::made(dir.path(), false, FIRST..FIRST + 8)),
        _ => record::with_copies(dir.path(), true, FIRST + 7),
    }
    dir
}

fn before() -> Vec<u64> {
    (FIRST..FIRST + 8).collect()
}

/// Looks at what a deed left and goes on with it; whether what was asked for is there.
fn looked_after(deed: Deed, dir: &Path) -> Result<bool, StoreError> {
    let is_new = match deed {
        Deed::Save => {
            let found = record::numbers(&record::open(dir)?);
            let saved = found.contains(&1_000);
            let kept: Vec<u64> = found.into_iter().filter(|n| *n != 1_000).collect();
            assert_eq!(kept, before());
            saved
        }
        Deed::FirstStart => {
            if standing(dir)? == Standing::Nothing {
                // A second try, with room, and with a key of its own.
                Ready::new(deed, dir)?.act(1)?;
                record::begin(&mut record::open(dir)?);
                assert_eq!(record::numbers(&record::open(dir)?), [0; 0]);
                return Ok(false);
            }
            record::begin(&mut record::open(dir)?);
            true
        }
        Deed::Copy => {
            let store = record::open(dir)?;
            assert_eq!(record::numbers(&store), before());
            let copies = backup::list(&dir.join("backups"), store.key())?;
            for copy in &copies {
                assert!(copy.entries.is_some() && copy.protected, "{copy:?}");
            }
            assert!(copies.len() >= 2, "the earlier ones are there");
            copies.len() == 3
        }
        Deed::Passphrase => {
            let ring = fallow_store::Keyring::read(dir)?.unwrap();
            let by = |n| ring.unwrap(fallow_store::By::Passphrase, &passphrase(n));
            let key = by(1_000).or_else(|_| by(0))?;
            let mut store = fallow_store::Store::open_with(dir, Some(&key))?;
            assert_eq!(record::numbers(&store), before());
            record::save(&mut store, 2_000)?;
            return Ok(by(1_000).is_ok());
        }
        Deed::Protect => {
            let encrypted = standing(dir)? == Standing::Protected;
            assert_eq!(record::numbers(&record::open(dir)?), before());
            if !encrypted {
                Ready::new(deed, dir)?.act(1)?;
                assert_eq!(record::numbers(&record::open(dir)?), before());
            }
            encrypted
        }
        Deed::Restore => {
            let found = record::numbers(&record::open(dir)?);
            let restored = found.len() == 5;
            assert!(restored || found == before(), "{found:?}");
            restored
        }
    };
    let mut store = record::open(dir)?;
    record::save(&mut store, 2_000)?;
    drop(store);
    assert!(record::numbers(&record::open(dir)?).contains(&2_000));
    Ok(is_new)
}

/// The names by which this fault may be told. `SQLite` says of a sync, a cut or a removal that failed no more than that it
/// did, and of a file that could not be made that it could not be opened; everything else on a disk that stays full is told
/// as a full disk.
fn may_be_told(fault: Fault, call: &str, name: &str) -> bool {
    let hidden = ["fsync", "truncate", "unlink"]
        .iter()
        .any(|kind| call.starts_with(kind));
    let not_made = call.starts_with("create");
    match (fault.errno, name) {
        (ENOSPC, "DiskFull") => true,
        (ENOSPC, "Sql") => hidden || not_made,
        (ENOSPC, "ReadOnly") => not_made,
        (ENOSPC, _) => false,
        // Its memory beside the log that cannot grow is nearly always a full disk.
        (_, "DiskFull") => call.ends_with("-shm"),
        (_, name) => ["Io", "Sql", "ReadOnly"].contains(&name),
    }
}

fn every_call_fails_once(deed: Deed) {
    // In a short run the first calls one by one, then in strides.
    let one_by_one = rounds(30, u64::MAX);
    let stride = rounds(if deed == Deed::Protect { 60 } else { 3 }, 1);
    let template = template(deed);
    let (mut failed, mut told, mut went_on, mut wrong) = (0, 0, 0, Vec::new());
    let mut names: BTreeMap<String, u64> = BTreeMap::new();
    for fault in FAULTS {
        let mut nth = 1;
        loop {
            let dir = tempfile::tempdir().unwrap();
            record::copied(template.path(), dir.path());
            let round = round(deed, dir.path(), fault, nth);
            let Some(call) = round.failed else {
                // It got by, so there were not so many calls.
                assert!(
                    round.calls < nth && round.said.is_ok(),
                    "{deed:?} {fault:?} {nth}"
                );
                break;
            };
            failed += 1;
            let here = format!("{} {} {nth} ({call})", deed.name(), fault.name);
            let is_new = looked_after(deed, dir.path());
            match (&round.said, is_new) {
                (Ok(()), Ok(true)) => went_on += 1,
                (Err(_), Ok(_)) => told += 1,
                (said, is_new) => wrong.push(format!("{here}: said {said:?}, left {is_new:?}")),
            }
            if let Err(said) = &round.said {
                let name = said.split(' ').next().unwrap();
                let kind = call.split(' ').next().unwrap();
                *names
                    .entry(format!("{} {kind}: {name}", fault.name))
                    .or_default() += 1;
                if !may_be_told(fault, &call, name) {
                    wrong.push(format!("{here}: told as {said}"));
                }
            }
            nth += if nth < one_by_one { 1 } else { stride };
        }
    }
    println!("{}: {names:?}", deed.name());
    figure(
        &format!("failed_calls_{}", deed.name()),
        &[
            ("failed", failed),
            ("told", told),
            ("went_on", went_on),
            ("losses", wrong.len() as u64),
        ],
    );
    assert!(told > 0, "no fault was told");
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn of_a_save() {
    every_call_fails_once(Deed::Save);
}

#[test]
fn of_a_first_start() {
    every_call_fails_once(Deed::FirstStart);
}

#[test]
fn of_a_copy() {
    every_call_fails_once(Deed::Copy);
}

#[test]
fn of_a_change_of_passphrase() {
    every_call_fails_once(Deed::Passphrase);
}

#[test]
fn of_an_encryption() {
    every_call_fails_once(Deed::Protect);
}

#[test]
fn of_a_restore() {
    every_call_fails_once(Deed::Restore);
}
