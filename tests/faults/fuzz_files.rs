//! Random damage to the files of a record, and files of versions there never were: refused, or read as what was saved, or
//! the journal names the break. Never a panic, never a hang.

use std::collections::BTreeMap;
use std::fs;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, Instant};

use fallow_store::{Store, StoreError, backup};

use crate::child::{Deed, Running};
use crate::dial::{Chance, figure, until};
use crate::record::{self, FIRST};

const LAST: u64 = FIRST + 60;
const FILES: [&str; 6] = [
    "fallow.db",
    "fallow.db-wal",
    "fallow.db-shm",
    "fallow.keys",
    "fallow.keys.spare",
    "fallow.marker",
];

/// A record as it lies while nobody has it open, and one whose program was killed, so that its log is full.
fn templates(protected: bool) -> [tempfile::TempDir; 2] {
    let [closed, live] = [(); 2].map(|()| tempfile::tempdir().unwrap());
    drop(record::made(closed.path(), protected, FIRST..LAST + 1));
    drop(record::made(live.path(), protected, FIRST..FIRST + 30));
    let mut child = Running::start(Deed::Save, live.path(), &[]);
    for n in FIRST + 30..=LAST {
        child.once(n).unwrap();
    }
    child.kill_after(Duration::ZERO);
    assert!(
        fs::metadata(live.path().join("fallow.db-wal"))
            .unwrap()
            .len()
            > 0
    );
    [closed, live]
}

/// Harms one file; what was done, in words.
fn harm(dir: &Path, chance: &mut Chance) -> String {
    let there: Vec<&str> = FILES
        .into_iter()
        .filter(|name| dir.join(name).exists())
        .collect();
    if there.is_empty() {
        return "nothing left to harm".to_owned();
    }
    // The file itself as often as all others together.
    let name = if dir.join("fallow.db").exists() && chance.below(2) == 0 {
        "fallow.db"
    } else {
        *chance.pick(&there)
    };
    let file = dir.join(name);
    let mut bytes = fs::read(&file).unwrap();
    let length = bytes.len() as u64;
    let at = chance.below(length + 1) as usize;
    let run = match chance.below(3) {
        0 => 1 + chance.below(8),
        1 => 1 + chance.below(300),
        _ => 1 + chance.below(3 * 4096),
    };
    let end = (at + run as usize).min(bytes.len());
    let what = match chance.below(9) {
        0 => {
            bytes.truncate(at);
            "cut off"
        }
        1 => {
            // Whole pages are what a cut leaves on a real disk.
            bytes.truncate(at / 4096 * 4096);
            "cut at a page"
        }
        2 => {
            let mut noise = vec![0; run as usize];
            chance.fill(&mut noise);
            bytes.extend(noise);
            "noise behind"
        }
        3 => {
            bytes[at..end].fill(0);
            "zeros"
        }
        4 => {
            bytes.drain(at..end);
            "taken out"
        }
        5 if bytes.len() > 8192 => {
            let (a, b) = (
                chance.below(length / 4096) as usize,
                chance.below(length / 4096) as usize,
            );
            let page = bytes[a * 4096..(a + 1) * 4096].to_vec();
            bytes[b * 4096..(b + 1) * 4096].copy_from_slice(&page);
            "a page over another"
        }
        6 => {
            fs::remove_file(&file).unwrap();
            return format!("{name} removed");
        }
        _ => {
            chance.fill(&mut bytes[at..end]);
            "noise"
        }
    };
    fs::write(&file, bytes).unwrap();
    format!("{name}: {what}, {run} bytes at {at}")
}

/// What a harmed record turned out to be.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord, Clone, Copy)]
enum Found {
    /// All that was saved.
    Whole,
    /// Fewer entries, each as it was saved; the last ones are gone with the log that held them.
    Fewer,
    /// The journal names the place.
    Named,
    /// It was refused.
    Refused,
}

fn look(dir: &Path) -> Result<Found, StoreError> {
    let store = record::open(dir)?;
    let all = record::entries(&store)?;
    store.reader().people()?;
    store.reader().orders_of(&record::id(1))?;
    let walk = store.reader().verify(&mut |_, _| true)?.unwrap();
    if walk.broken.is_some() {
        return Ok(Found::Named);
    }
    let mut numbers = record::numbers(&store);
    numbers.dedup();
    let expected: Vec<u64> = (FIRST..=LAST).collect();
    assert_eq!(all.len(), numbers.len());
    if numbers == expected {
        return Ok(Found::Whole);
    }
    assert!(
        expected.starts_with(&numbers),
        "not the first ones: {numbers:?}"
    );
    Ok(Found::Fewer)
}

fn harmed_at_random(protected: bool, percent: u32) {
    let what = if protected { "protected" } else { "plain" };
    let mut chance = Chance::new(what);
    let templates = templates(protected);
    let mut counts: BTreeMap<Found, u64> = BTreeMap::new();
    let mut refusals: BTreeMap<String, u64> = BTreeMap::new();
    let (mut slowest, mut executions) = (Duration::ZERO, 0);
    let end = until(percent);
    while Instant::now() < end {
        let dir = tempfile::tempdir().unwrap();
        record::copied(chance.pick(&templates).path(), dir.path());
        let mut done = Vec::new();
        for _ in 0..=chance.below(3) {
            done.push(harm(dir.path(), &mut chance));
        }
        let began = Instant::now();
        let found = catch_unwind(AssertUnwindSafe(|| look(dir.path())));
        let took = began.elapsed();
        slowest = slowest.max(took);
        executions += 1;
        let found = found.unwrap_or_else(|_| panic!("it panicked after {done:?}"));
        assert!(took < Duration::from_secs(10), "{took:?} after {done:?}");
        let found = found.unwrap_or_else(|told| {
            *refusals.entry(record::name(&told)).or_default() += 1;
            Found::Refused
        });
        // Without its log a record is as it was when that was last emptied; nothing else loses an entry in silence.
        let log = done
            .iter()
            .any(|harm| harm.contains("-wal") || harm.contains("-shm"));
        assert!(
            found != Found::Fewer || log,
            "entries are gone in silence after {done:?}"
        );
        // A copy can always be looked for beside it, and what is refused now is refused again.
        if found == Found::Refused {
            assert!(
                look(dir.path()).is_err(),
                "refused once and then not, after {done:?}"
            );
            let _ = backup::list(&dir.path().join("backups"), None).unwrap();
        }
        *counts.entry(found).or_default() += 1;
    }
    println!("{what}: refusals {refusals:?}, the slowest {slowest:?}");
    let count = |found| counts.get(&found).copied().unwrap_or(0);
    figure(
        &format!("fuzz_files_{what}"),
        &[
            ("executions", executions),
            ("refused", count(Found::Refused)),
            ("named", count(Found::Named)),
            ("fewer_with_the_log", count(Found::Fewer)),
            ("whole", count(Found::Whole)),
            ("losses", 0),
        ],
    );
    assert!(count(Found::Refused) > 0 && count(Found::Whole) > 0);
}

#[test]
fn a_plain_record_harmed_at_random() {
    harmed_at_random(false, 15);
}

#[test]
fn a_protected_record_harmed_at_random() {
    harmed_at_random(true, 15);
}

/// Versions and tables that no program of ours has made: there is one version so far.
#[test]
fn a_file_of_any_version_is_refused_or_read() {
    let mut chance = Chance::new("versions");
    let template = tempfile::tempdir().unwrap();
    drop(record::made(template.path(), false, FIRST..LAST + 1));
    let end = until(10);
    let (mut executions, mut refused, mut read_only, mut read) = (0, 0, 0, 0);
    while Instant::now() < end {
        let dir = tempfile::tempdir().unwrap();
        record::copied(template.path(), dir.path());
        let file = dir.path().join("fallow.db");
        let version = match chance.below(8) {
            n @ 0..=3 => n as i64,
            4 | 5 => 1,
            6 => chance.below(1 << 31) as i64,
            _ => -(chance.below(1 << 31) as i64),
        };
        let mut done = vec![format!("PRAGMA user_version = {version}")];
        for n in 0..chance.below(3) {
            done.push(format!("CREATE TABLE extra_{n} (a TEXT, b INTEGER) STRICT"));
            done.push(format!("INSERT INTO extra_{n} VALUES ('x', {n})"));
        }
        if chance.below(3) == 0 {
            let table = chance.pick(&[
                "draft",
                "recorder",
                "journal_link",
                "finding_entry",
                "entry",
            ]);
            done.push(format!("PRAGMA foreign_keys = OFF; DROP TABLE {table}"));
        }
        if chance.below(4) == 0 {
            done.push("ALTER TABLE injection_entry ADD COLUMN later TEXT".to_owned());
        }
        if chance.below(6) == 0 {
            done.push(format!("PRAGMA application_id = {}", chance.below(1 << 31)));
        }
        let conn = rusqlite::Connection::open(&file).unwrap();
        // Some of it is refused, such as removing what a trigger names; the rest is done.
        done.retain(|sql| conn.execute_batch(sql).is_ok());
        drop(conn);
        let found = catch_unwind(AssertUnwindSafe(|| {
            let store = Store::open(dir.path())?;
            let _ = store.reader().verify(&mut |_, _| true)?;
            let all = record::entries(&store)?;
            Ok::<_, StoreError>((store.writable(), all.len() as u64))
        }));
        executions += 1;
        match found.unwrap_or_else(|_| panic!("it panicked after {done:?}")) {
            Err(_) => refused += 1,
            Ok((writable, entries)) => {
                assert_eq!(entries, LAST - FIRST + 1, "after {done:?}");
                assert_eq!(writable, version == 1, "after {done:?}");
                if writable { read += 1 } else { read_only += 1 }
            }
        }
    }
    figure(
        "fuzz_versions",
        &[
            ("executions", executions),
            ("refused", refused),
            ("read_only", read_only),
            ("read", read),
            ("losses", 0),
        ],
    );
    assert!(refused > 0 && read_only > 0 && read > 0);
}
