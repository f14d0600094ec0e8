//! The file and its folder: first start, damage, a newer version.

use std::fs;
use std::path::Path;

use fallow_store::{InjectionQuery, Store, StoreError};
use rusqlite::Connection;
use rusqlite::config::DbConfig;

use crate::{begin, begun, give, head, id, person};

/// The name and content of every file in a folder.
pub(crate) fn contents(dir: &Path) -> Vec<(String, Vec<u8>)> {
    let mut files: Vec<_> = fs::read_dir(dir)
        .unwrap()
        .map(Result::unwrap)
        .filter(|found| found.file_type().unwrap().is_file())
        .map(|found| {
            (
                found.file_name().into_string().unwrap(),
                fs::read(found.path()).unwrap(),
            )
        })
        .collect();
    files.sort();
    files
}

pub(crate) fn names(dir: &Path) -> Vec<String> {
    contents(dir).into_iter().map(|(name, _)| name).collect()
}

pub(crate) fn error(dir: &Path) -> StoreError {
    Store::open(dir).err().expect("it was opened")
}

/// A closed store with person 1, order 2 and injections 3 to `last`.
fn closed(last: u64) -> tempfile::TempDir {
    let (dir, mut store) = begun();
    for n in 3..=last {
        give(&mut store, n, "2026-06-03T08:00:00+01:00").unwrap();
    }
    drop(store);
    assert_eq!(
        names(dir.path()),
        ["fallow.db", "fallow.marker"],
        "a closed store leaves no log"
    );
    dir
}

/// What a power cut would have left: the file and its log, copied from under an open store.
fn unclean(last: u64) -> tempfile::TempDir {
    let (dir, mut store) = begun();
    for n in 3..=last {
        give(&mut store, n, "2026-06-03T08:00:00+01:00").unwrap();
    }
    let copy = tempfile::tempdir().unwrap();
    for name in ["fallow.db", "fallow.db-wal", "fallow.marker"] {
        fs::copy(dir.path().join(name), copy.path().join(name)).unwrap();
    }
    assert!(
        fs::metadata(copy.path().join("fallow.db-wal"))
            .unwrap()
            .len()
            > 0
    );
    copy
}

pub(crate) fn listed(store: &Store) -> usize {
    store
        .reader()
        .injections(&InjectionQuery {
            person: id(1),
            ..InjectionQuery::default()
        })
        .unwrap()
        .len()
}

// ---------------------------------------------------------------- first start

#[test]
#[cfg(unix)]
fn a_first_start_makes_a_private_folder_and_file() {
    use std::os::unix::fs::PermissionsExt;

    let dir = tempfile::tempdir().unwrap();
    let folder = dir.path().join("deep/er");
    let mut store = Store::open(&folder).unwrap();
    begin(&mut store);
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(&folder), 0o700);
    for name in names(&folder) {
        assert_eq!(mode(&folder.join(&name)), 0o600, "{name}");
    }
    assert_eq!(
        names(&folder),
        [
            "fallow.db",
            "fallow.db-shm",
            "fallow.db-wal",
            "fallow.marker"
        ]
    );
}

#[test]
fn a_first_start_that_was_cut_short_is_begun_again() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("fallow.marker"), "").unwrap();
    fs::write(dir.path().join("fallow.db.new"), "half").unwrap();
    fs::write(dir.path().join("fallow.db.new-journal"), "half").unwrap();
    assert_eq!(
        Store::open(dir.path())
            .unwrap()
            .reader()
            .people_count()
            .unwrap(),
        0
    );
    assert_eq!(names(dir.path()), ["fallow.db", "fallow.marker"]);
}

#[test]
fn a_marker_that_was_lost_is_made_again() {
    let dir = closed(3);
    fs::remove_file(dir.path().join("fallow.marker")).unwrap();
    assert_eq!(listed(&Store::open(dir.path()).unwrap()), 1);
    fs::remove_file(dir.path().join("fallow.db")).unwrap();
    assert!(matches!(error(dir.path()), StoreError::Missing));
}

// ---------------------------------------------------------------- damage

#[test]
fn an_unclean_stop_loses_nothing() {
    let dir = unclean(40);
    assert_eq!(listed(&Store::open(dir.path()).unwrap()), 38);
}

#[test]
fn a_damaged_file_is_told_and_left_as_it_was() {
    // (what happened, what to do to a sound store in this folder)
    type Harm = fn(&Path);
    let file = |dir: &Path| dir.join("fallow.db");
    let cases: [(&str, Harm); 11] = [
        ("emptied", |db| fs::write(db, "").unwrap()),
        ("emptied, and the marker lost", |db| {
            fs::write(db, "").unwrap();
            fs::remove_file(db.with_file_name("fallow.marker")).unwrap();
        }),
        ("overwritten", |db| {
            fs::write(db, "not a database at all. ".repeat(1000)).unwrap();
        }),
        ("overwritten, and the marker lost", |db| {
            fs::write(db, [0x5a; 8192]).unwrap();
            fs::remove_file(db.with_file_name("fallow.marker")).unwrap();
        }),
        ("cut to 50 bytes", |db| cut(db, |_| 50)),
        ("cut to its header", |db| cut(db, |_| 100)),
        ("cut to half its pages", |db| {
            cut(db, |length| length / 8192 * 4096);
        }),
        ("its last byte lost", |db| cut(db, |length| length - 1)),
        ("another program's database", |db| {
            fs::remove_file(db).unwrap();
            Connection::open(db)
                .unwrap()
                .execute_batch("CREATE TABLE t (x); PRAGMA user_version = 1")
                .unwrap();
        }),
        ("its version lost", |db| {
            Connection::open(db)
                .unwrap()
                .execute_batch("PRAGMA user_version = 0")
                .unwrap();
        }),
        ("its first table page zeroed", |db| {
            let mut bytes = fs::read(db).unwrap();
            bytes[100..4096].fill(0);
            fs::write(db, bytes).unwrap();
        }),
    ];
    for (what, harm) in cases {
        // Long enough for the last page to be one of entries, which nothing reads at the start.
        let dir = closed(120);
        harm(&file(dir.path()));
        let before = contents(dir.path());
        let told = error(dir.path());
        assert!(
            matches!(told, StoreError::Damaged { .. }),
            "{what}: {told:?}"
        );
        assert!(
            contents(dir.path()) == before,
            "{what}: the folder was changed: {:?}",
            names(dir.path())
        );
        assert!(
            matches!(error(dir.path()), StoreError::Damaged { .. }),
            "{what}: the second time too"
        );
    }
}

fn cut(file: &Path, to: fn(u64) -> u64) {
    let length = fs::metadata(file).unwrap().len();
    fs::OpenOptions::new()
        .write(true)
        .open(file)
        .unwrap()
        .set_len(to(length))
        .unwrap();
}

#[test]
fn damage_inside_is_found_after_an_unclean_stop() {
    let dir = closed(200);
    // Leave a log behind, as an unclean stop does, and a page in the middle of nothing.
    {
        let conn = Connection::open(dir.path().join("fallow.db")).unwrap();
        conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)
            .unwrap();
        conn.execute("INSERT INTO draft VALUES ('give', '{}', 0, 0)", [])
            .unwrap();
    }
    fs::remove_file(dir.path().join("fallow.db-shm")).unwrap();
    let db = dir.path().join("fallow.db");
    let root = {
        let conn =
            Connection::open_with_flags(&db, rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY).unwrap();
        conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)
            .unwrap();
        conn.query_row(
            "SELECT rootpage FROM sqlite_schema WHERE name = 'injection_of_person'",
            [],
            |row| row.get::<_, u32>(0),
        )
        .unwrap() as usize
    };
    fs::remove_file(dir.path().join("fallow.db-shm")).ok();
    let mut bytes = fs::read(&db).unwrap();
    bytes[(root - 1) * 4096..root * 4096].fill(0xa5);
    fs::write(&db, bytes).unwrap();

    let before = contents(dir.path());
    let told = error(dir.path());
    assert!(matches!(told, StoreError::Damaged { .. }), "{told:?}");
    let mut after = contents(dir.path());
    after.retain(|(name, _)| name != "fallow.db-shm");
    assert!(after == before, "neither the file nor its log was touched");
}

#[test]
fn a_missing_file_is_not_a_first_start() {
    let dir = closed(3);
    fs::remove_file(dir.path().join("fallow.db")).unwrap();
    let before = contents(dir.path());
    assert!(matches!(error(dir.path()), StoreError::Missing));
    assert!(contents(dir.path()) == before);

    let dir = unclean(3);
    fs::remove_file(dir.path().join("fallow.db")).unwrap();
    fs::remove_file(dir.path().join("fallow.marker")).unwrap();
    let before = contents(dir.path());
    assert!(
        matches!(error(dir.path()), StoreError::Missing),
        "a log alone says that there was a store"
    );
    assert!(contents(dir.path()) == before);
}

#[test]
fn what_is_not_a_folder_or_a_file_is_told() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("a-file"), "mine").unwrap();
    assert!(matches!(
        error(&dir.path().join("a-file")),
        StoreError::NotAFolder
    ));
    assert!(matches!(
        error(&dir.path().join("a-file/below")),
        StoreError::NotAFolder
    ));
    fs::create_dir(dir.path().join("fallow.db")).unwrap();
    assert!(matches!(error(dir.path()), StoreError::Damaged { .. }));
    assert_eq!(
        contents(dir.path()),
        [("a-file".to_owned(), b"mine".to_vec())]
    );
}

// ---------------------------------------------------------------- a newer version (case S11)

pub(crate) fn check_newer(dir: &Path) {
    let before = contents(dir);
    let mut store = Store::open(dir).unwrap();
    assert!(!store.writable());
    assert_eq!(listed(&store), 3, "listing works");
    assert_eq!(store.reader().people().unwrap().len(), 1);
    let refused = store.transact(|tx| tx.add_person(&head(9), &person("Too Late")));
    assert!(
        matches!(refused, Err(StoreError::TooNew { found: 2, known: 1 })),
        "{refused:?}"
    );
    drop(store);
    let mut after = contents(dir);
    if before.iter().any(|(name, _)| name == "fallow.db-wal") {
        after.retain(|(name, _)| name != "fallow.db-shm");
    }
    assert!(after == before, "the folder was changed: {:?}", names(dir));
}

pub(crate) fn make_newer(db: &Path, leave_log: bool) {
    let conn = Connection::open(db).unwrap();
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, leave_log)
        .unwrap();
    conn.execute_batch("PRAGMA user_version = 2").unwrap();
    drop(conn);
    let _ = fs::remove_file(db.with_file_name("fallow.db-shm"));
}

#[test]
fn a_newer_file_is_read_and_left_byte_for_byte() {
    let dir = closed(5);
    make_newer(&dir.path().join("fallow.db"), false);
    check_newer(dir.path());
    assert_eq!(
        names(dir.path()),
        ["fallow.db", "fallow.marker"],
        "no log, no index of a log"
    );

    // The path goes into an address: nothing in it may be taken for a part of one.
    let odd = dir.path().join("100% #1? é &immutable=0");
    fs::create_dir(&odd).unwrap();
    fs::copy(dir.path().join("fallow.db"), odd.join("fallow.db")).unwrap();
    check_newer(&odd);
    assert_eq!(names(&odd), ["fallow.db"]);
}

#[test]
fn a_newer_file_with_its_log_is_read_with_it_and_left_byte_for_byte() {
    let dir = closed(5);
    make_newer(&dir.path().join("fallow.db"), true);
    assert_eq!(
        names(dir.path()),
        ["fallow.db", "fallow.db-wal", "fallow.marker"],
        "the new version is in the log"
    );
    check_newer(dir.path());
}
