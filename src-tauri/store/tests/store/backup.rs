//! Copies of the store: whole, checked, thinned, put back.

use std::fs;
use std::path::Path;

use chrono::{DateTime, Days, NaiveDate, Utc};
use fallow_store::{Backup, Store, StoreError, backup};
use rusqlite::Connection;

use crate::{all, begun, give, numbers};

fn utc(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// Case S12.
#[test]
fn a_copy_of_an_open_store_is_whole_by_itself() {
    let (dir, mut store) = begun();
    for n in 3..8 {
        give(&mut store, n, "2026-06-03T08:00:00+01:00").unwrap();
    }
    let folder = dir.path().join("backups");
    let made = backup::make(&store, &folder, utc("2026-06-03T08:30:05Z")).unwrap();
    let end = store.reader().journal_end().unwrap().unwrap();
    assert_eq!(
        made,
        Backup {
            name: "fallow-2026-06-03T08-30-05Z.db".into(),
            made_at: utc("2026-06-03T08:30:05Z"),
            bytes: fs::metadata(folder.join(&made.name)).unwrap().len(),
            protected: false,
            entries: Some(7),
            last_hash: Some(end.1),
        }
    );
    assert_eq!(names(&folder).join(" "), made.name, "no file beside it");
    // Alone in another folder it is a store like any other.
    let alone = tempfile::tempdir().unwrap();
    fs::copy(folder.join(&made.name), alone.path().join("fallow.db")).unwrap();
    let read = Store::open(alone.path()).unwrap();
    let found = read.reader().injections(&all(1)).unwrap();
    assert_eq!(numbers(&found), [7, 6, 5, 4, 3]);
    assert!(
        read.reader()
            .verify(&mut |_, _| true)
            .unwrap()
            .unwrap()
            .broken
            .is_none()
    );
    // The same second again: replaced, whole.
    give(&mut store, 8, "2026-06-03T08:00:00+01:00").unwrap();
    for left in [".db.new", ".db.new-journal", ".keys.new"] {
        let left = format!("fallow-2026-01-01T00-00-00Z{left}");
        fs::write(folder.join(left), "cut short").unwrap();
    }
    let again = backup::make(&store, &folder, utc("2026-06-03T08:30:05Z")).unwrap();
    assert_eq!(again.entries, Some(8));
    assert_eq!(
        names(&folder),
        [made.name],
        "what was cut short is cleared away"
    );
    assert_eq!(backup::list(&folder, None).unwrap(), [again]);
}

#[cfg(unix)]
#[test]
fn copies_are_for_their_owner_only() {
    use std::os::unix::fs::PermissionsExt as _;
    let (dir, store) = begun();
    let folder = dir.path().join("somewhere/else");
    let made = backup::make(&store, &folder, utc("2026-06-03T08:30:05Z")).unwrap();
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(&folder), 0o700);
    assert_eq!(mode(&folder.join(made.name)), 0o600);
}

#[test]
fn a_copy_that_cannot_be_made_leaves_the_earlier_ones_and_nothing_half_made() {
    let (dir, store) = begun();
    let folder = dir.path().join("backups");
    let first = backup::make(&store, &folder, utc("2026-06-03T08:30:05Z")).unwrap();
    let file = dir.path().join("a file");
    fs::write(&file, "in the way").unwrap();
    assert!(matches!(
        backup::make(&store, &file, utc("2026-06-04T08:30:05Z")),
        Err(StoreError::NotAFolder)
    ));
    // A file that is in the way of the name cannot be replaced by one.
    fs::create_dir(folder.join("fallow-2026-06-05T08-30-05Z.db")).unwrap();
    assert!(backup::make(&store, &folder, utc("2026-06-05T08:30:05Z")).is_err());
    assert_eq!(
        names(&folder),
        [first.name.as_str(), "fallow-2026-06-05T08-30-05Z.db"]
    );
}

#[test]
fn copies_made_while_others_write_hold_what_was_there() {
    let (dir, store) = begun();
    let folder = dir.path().join("backups");
    let path = dir.path().to_owned();
    let writer = std::thread::spawn(move || {
        let mut other = Store::open(&path).unwrap();
        for n in 100..160 {
            give(&mut other, n, "2026-06-03T08:00:00+01:00").unwrap();
        }
    });
    let mut counts = Vec::new();
    let mut second = 0;
    while !writer.is_finished() && second < 60 {
        let made = backup::make(
            &store,
            &folder,
            utc("2026-06-03T08:30:00Z") + chrono::Duration::seconds(second),
        );
        counts.push(made.unwrap().entries.unwrap());
        second += 1;
    }
    writer.join().unwrap();
    assert!(!counts.is_empty());
    assert!(counts.is_sorted(), "{counts:?}");
    assert_eq!(store.reader().journal_end().unwrap().unwrap().0, 62);
}

#[test]
fn two_that_copy_at_once_do_not_take_each_others_file_away() {
    let (dir, _store) = begun();
    let folder = dir.path().join("backups");
    let copy = |path: std::path::PathBuf, folder: std::path::PathBuf| {
        std::thread::spawn(move || {
            let store = Store::open(&path).unwrap();
            for _ in 0..20 {
                let made = backup::make(&store, &folder, utc("2026-06-03T08:30:05Z")).unwrap();
                assert_eq!(made.entries, Some(2));
            }
        })
    };
    let both = [0, 1].map(|_| copy(dir.path().to_owned(), folder.clone()));
    for thread in both {
        thread.join().unwrap();
    }
    assert_eq!(names(&folder).join(" "), "fallow-2026-06-03T08-30-05Z.db");
}

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

#[test]
fn what_is_kept_is_the_newest_of_each_day_week_and_month() {
    // A copy a day for two years, thinned each day as it is made.
    let start = day("2024-12-01");
    let mut there: Vec<NaiveDate> = Vec::new();
    for n in 0..730 {
        let today = start + Days::new(n);
        there.insert(0, today);
        let keep = backup::kept(&there, today);
        let mut each = keep.iter();
        there.retain(|_| *each.next().unwrap());
    }
    let last = start + Days::new(729);
    assert_eq!(last, day("2026-11-30"), "a Monday");
    let told: Vec<String> = there.iter().map(ToString::to_string).collect();
    assert_eq!(
        told,
        [
            // Seven days; the first of them is also the newest of its week.
            "2026-11-30",
            "2026-11-29",
            "2026-11-28",
            "2026-11-27",
            "2026-11-26",
            "2026-11-25",
            "2026-11-24",
            // The Sundays of the weeks before, and the last days of the months before.
            "2026-11-22",
            "2026-11-15",
            "2026-11-08",
            "2026-10-31",
            "2026-09-30",
            "2026-08-31",
            "2026-07-31",
            "2026-06-30",
            "2026-05-31",
            "2026-04-30",
            "2026-03-31",
            "2026-02-28",
            "2026-01-31",
            "2025-12-31",
        ]
    );
}

#[test]
fn what_is_kept_case_by_case() {
    for (today, there, keep) in [
        ("2026-06-03", "", ""),
        // Two of one day: the newer.
        ("2026-06-03", "2026-06-03 2026-06-03", "10"),
        // The only one there is, however old.
        ("2026-06-03", "2019-01-01", "1"),
        ("2026-06-03", "2019-01-02 2019-01-01", "10"),
        // The clock was wrong: kept, and it does not count for other days.
        ("2026-06-03", "2031-01-01 2026-06-03 2026-06-02", "111"),
        // Over the turn of a year, and of a week: 1 January 2026 was a Thursday.
        (
            "2026-01-01",
            "2026-01-01 2025-12-29 2025-12-28 2025-12-01 2025-01-31 2024-12-31",
            "111100",
        ),
    ] {
        let there: Vec<NaiveDate> = there.split_whitespace().map(day).collect();
        let found: String = backup::kept(&there, day(today))
            .into_iter()
            .map(|k| if k { '1' } else { '0' })
            .collect();
        assert_eq!(found, keep, "{today}: {there:?}");
    }
}

#[test]
fn thinning_removes_copies_and_nothing_else() {
    let (dir, store) = begun();
    let folder = dir.path().join("backups");
    for n in 0..40 {
        backup::make(&store, &folder, utc("2026-05-01T22:00:00Z") + Days::new(n)).unwrap();
    }
    fs::write(folder.join("letter.txt"), "not ours").unwrap();
    let now = DateTime::parse_from_rfc3339("2026-06-09T23:00:00+01:00").unwrap();
    let removed = backup::thin(&folder, now).unwrap();
    let left = backup::list(&folder, None).unwrap();
    assert_eq!(removed.len() + left.len(), 40);
    assert!(left.len() < 14, "{}", left.len());
    assert_eq!(left[0].name, "fallow-2026-06-09T22-00-00Z.db");
    assert!(folder.join("letter.txt").exists());
    assert_eq!(
        backup::thin(&folder, now).unwrap(),
        [""; 0],
        "once is enough"
    );
}

/// A store with a copy of three entries, gone on to five.
fn gone_on() -> (tempfile::TempDir, std::path::PathBuf) {
    let (dir, mut store) = begun();
    give(&mut store, 3, "2026-06-03T08:00:00+01:00").unwrap();
    let folder = dir.path().join("backups");
    let made = backup::make(&store, &folder, utc("2026-06-03T08:30:05Z")).unwrap();
    give(&mut store, 4, "2026-06-03T08:00:00+01:00").unwrap();
    give(&mut store, 5, "2026-06-03T08:00:00+01:00").unwrap();
    (dir, folder.join(made.name))
}

fn given(dir: &Path) -> Vec<u64> {
    let store = Store::open(dir).unwrap();
    numbers(&store.reader().injections(&all(1)).unwrap())
}

#[test]
fn a_copy_is_put_back_and_what_was_there_is_kept() {
    let (dir, copy) = gone_on();
    let aside = backup::restore(dir.path(), &copy, None, utc("2026-06-09T10:00:00Z")).unwrap();
    assert_eq!(
        aside.as_deref(),
        Some("fallow-set-aside-2026-06-09T10-00-00Z.db")
    );
    assert_eq!(given(dir.path()), [3]);
    let other = tempfile::tempdir().unwrap();
    fs::copy(
        dir.path().join(aside.unwrap()),
        other.path().join("fallow.db"),
    )
    .unwrap();
    assert_eq!(given(other.path()), [5, 4, 3]);
    assert!(copy.exists(), "the copy itself stays");
}

#[test]
fn two_put_back_within_one_second_keep_both_that_were_there() {
    let (dir, copy) = gone_on();
    let again = || backup::restore(dir.path(), &copy, None, utc("2026-06-09T10:00:00Z")).unwrap();
    let (one, two) = (again().unwrap(), again().unwrap());
    assert_ne!(one, two);
    let other = tempfile::tempdir().unwrap();
    for (name, held) in [(one, vec![5, 4, 3]), (two, vec![3])] {
        fs::copy(dir.path().join(name), other.path().join("fallow.db")).unwrap();
        assert_eq!(given(other.path()), held);
    }
}

/// What `SQLite` leaves beside a file when a change of it is cut short, and rolls back into whatever lies there next.
fn a_rollback_journal() -> Vec<u8> {
    let dir = tempfile::tempdir().unwrap();
    let file = dir.path().join("other.db");
    let conn = rusqlite::Connection::open(&file).unwrap();
    conn.execute_batch(
        "CREATE TABLE t (x BLOB); INSERT INTO t SELECT zeroblob(3000) FROM json_each('[1,2,3,4,5,6,7,8]'); \
         PRAGMA cache_size = 1; PRAGMA cache_spill = 1; BEGIN; UPDATE t SET x = randomblob(3000)",
    )
    .unwrap();
    let journal = fs::read(dir.path().join("other.db-journal")).unwrap();
    assert!(
        journal.starts_with(&[0xd9, 0xd5, 0x05, 0xf9]),
        "it would be rolled back"
    );
    journal
}

#[test]
fn a_journal_left_by_another_file_harms_neither_a_first_start_nor_a_copy() {
    let dir = tempfile::tempdir().unwrap();
    fs::write(dir.path().join("fallow.db-journal"), a_rollback_journal()).unwrap();
    let mut store = Store::open(dir.path()).unwrap();
    crate::begin(&mut store);
    drop(store);
    assert_eq!(given(dir.path()), [0; 0]);

    let (dir, copy) = gone_on();
    fs::write(dir.path().join("fallow.db"), vec![7; 8192]).unwrap();
    fs::write(dir.path().join("fallow.db-journal"), a_rollback_journal()).unwrap();
    backup::restore(dir.path(), &copy, None, utc("2026-06-09T10:00:00Z")).unwrap();
    assert_eq!(given(dir.path()), [3]);
}

#[test]
fn a_damaged_or_missing_store_is_replaced_by_a_copy() {
    let (dir, copy) = gone_on();
    let file = dir.path().join("fallow.db");
    fs::write(&file, "damaged").unwrap();
    assert!(matches!(
        Store::open(dir.path()),
        Err(StoreError::Damaged { .. })
    ));
    let aside = backup::restore(dir.path(), &copy, None, utc("2026-06-09T10:00:00Z")).unwrap();
    assert_eq!(
        fs::read(dir.path().join(aside.unwrap())).unwrap(),
        b"damaged"
    );
    assert_eq!(given(dir.path()), [3]);
    fs::remove_file(&file).unwrap();
    assert!(matches!(Store::open(dir.path()), Err(StoreError::Missing)));
    let aside = backup::restore(dir.path(), &copy, None, utc("2026-06-09T11:00:00Z")).unwrap();
    assert_eq!(aside, None);
    assert_eq!(given(dir.path()), [3]);
}

#[test]
fn a_copy_that_is_damaged_cut_short_or_foreign_is_not_put_back() {
    let (dir, copy) = gone_on();
    let whole = fs::read(&copy).unwrap();
    let present = fs::read(dir.path().join("fallow.db")).unwrap();
    let mut torn = whole.clone();
    let middle = torn.len() / 2;
    torn[middle..middle + 4096].fill(0xff);
    let mut newer = whole.clone();
    newer[60..64].copy_from_slice(&99_u32.to_be_bytes());
    for (what, bytes) in [
        ("empty", Vec::new()),
        ("cut short", whole[..whole.len() / 2].to_vec()),
        ("torn", torn),
        ("foreign", vec![7; 8192]),
        ("newer", newer),
    ] {
        fs::write(&copy, bytes).unwrap();
        let refused =
            backup::restore(dir.path(), &copy, None, utc("2026-06-09T10:00:00Z")).unwrap_err();
        let expected = match what {
            "newer" => matches!(refused, StoreError::TooNew { .. }),
            _ => matches!(refused, StoreError::Damaged { .. }),
        };
        assert!(expected, "{what}: {refused:?}");
        assert_eq!(
            fs::read(dir.path().join("fallow.db")).unwrap(),
            present,
            "{what}"
        );
        let listed = backup::list(copy.parent().unwrap(), None).unwrap();
        assert_eq!(listed[0].entries, None, "{what} is told as unreadable");
    }
    assert_eq!(given(dir.path()), [5, 4, 3]);
}

#[test]
fn a_store_that_somebody_has_open_is_not_replaced() {
    let (dir, copy) = gone_on();
    let open = Store::open(dir.path()).unwrap();
    open.reader().journal_end().unwrap();
    let refused = backup::restore(dir.path(), &copy, None, utc("2026-06-09T10:00:00Z"));
    assert!(matches!(refused, Err(StoreError::Busy)), "{refused:?}");
    drop(open);
    backup::restore(dir.path(), &copy, None, utc("2026-06-09T10:00:00Z")).unwrap();
    assert_eq!(given(dir.path()), [3]);
    let conn = Connection::open(dir.path().join("fallow.db")).unwrap();
    let mode: String = conn
        .query_row("PRAGMA journal_mode", [], |r| r.get(0))
        .unwrap();
    assert_eq!(mode, "wal");
}
