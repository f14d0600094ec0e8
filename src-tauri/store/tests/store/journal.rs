//! The chain: what is done to the file behind the program's back is found, at its place.

use fallow_core::act::Act;
use fallow_store::{Misfit, Status, Store, StoreError, Walk};
use rusqlite::Connection;
use tempfile::TempDir;

use crate::{begun, give, head, id, injection, superseding};

fn walk(store: &Store) -> Walk {
    store.reader().verify(&mut |_, _| true).unwrap().unwrap()
}

/// Something of every kind; entries 1 to 8 have these numbers on the device too, 9 corrects 3.
fn filled() -> (TempDir, Store) {
    let (dir, mut store) = begun();
    give(&mut store, 3, "2026-06-03T08:00:00+01:00").unwrap();
    store.transact(|tx| tx.add_practice(&head(4), 5.0)).unwrap();
    crate::skin::find(&mut store, 5, "2026-06-03T08:00:00+01:00").unwrap();
    crate::skin::look_over(&mut store, 6).unwrap();
    give(&mut store, 7, "2026-06-04T08:00:00+01:00").unwrap();
    give(&mut store, 8, "2026-06-05T08:00:00+01:00").unwrap();
    store
        .transact(|tx| {
            let zone = chrono_tz::Tz::Europe__London;
            let wrong = injection(9, 2, "2026-06-03T08:00:00+01:00");
            let gone = Status::EnteredInError;
            tx.add_injection(
                &superseding(9, 3),
                &id(1),
                &wrong,
                zone,
                &Act::default(),
                gone,
            )
        })
        .unwrap();
    (dir, store)
}

/// An index that lacks an entry hides it from every list, while the chain over the entries themselves is whole.
#[test]
fn an_entry_missing_from_an_index_is_found() {
    let (dir, store) = filled();
    drop(store);
    behind(
        &dir,
        "DROP INDEX injection_of_person; \
         CREATE INDEX injection_of_person ON injection_entry (person, given_utc_ms) WHERE seq <> 7; \
         PRAGMA writable_schema = ON; \
         UPDATE sqlite_schema SET sql = replace(sql, ' WHERE seq <> 7', '') WHERE name = 'injection_of_person'",
    );
    let store = Store::open(dir.path()).unwrap();
    let all = store.reader().injections(&crate::all(1)).unwrap();
    assert_eq!(crate::numbers(&all), [8], "7 is hidden");
    let told = store.reader().verify(&mut |_, _| true);
    assert!(matches!(told, Err(StoreError::Damaged { .. })), "{told:?}");
}

/// Does this to the file with nothing of the schema in the way.
fn behind(dir: &TempDir, sql: &str) {
    let conn = Connection::open(dir.path().join("fallow.db")).unwrap();
    conn.execute_batch("PRAGMA foreign_keys = OFF; PRAGMA ignore_check_constraints = ON")
        .unwrap();
    let triggers: Vec<String> = conn
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'trigger'")
        .unwrap()
        .query_map([], |row| row.get(0))
        .unwrap()
        .collect::<Result<_, _>>()
        .unwrap();
    for trigger in triggers {
        conn.execute_batch(&format!("DROP TRIGGER {trigger}"))
            .unwrap();
    }
    let changed = conn.total_changes();
    conn.execute_batch(sql).unwrap();
    assert!(conn.total_changes() > changed, "nothing was done: {sql}");
}

#[test]
fn an_untouched_journal_fits_from_the_first_entry_to_the_last() {
    let dir = tempfile::tempdir().unwrap();
    let store = Store::open(dir.path()).unwrap();
    let empty = Walk {
        entries: 0,
        last: None,
        broken: None,
    };
    assert_eq!(walk(&store), empty);
    drop(store);
    let (_dir, mut store) = filled();
    let found = walk(&store);
    assert_eq!((found.entries, found.broken), (9, None));
    assert_eq!(
        found.last.clone().map(|hash| (9, hash)),
        store.reader().journal_end().unwrap()
    );
    // Another entry changes the last hash and nothing before it; an act that fails leaves no link.
    let failed: Result<(), StoreError> = store.transact(|tx| {
        tx.add_practice(&head(20), 2.0)?;
        Err(StoreError::Busy)
    });
    assert!(failed.is_err());
    assert_eq!(walk(&store).last, found.last);
    give(&mut store, 10, "2026-06-06T08:00:00+01:00").unwrap();
    let longer = walk(&store);
    assert_eq!((longer.entries, longer.broken.is_none()), (10, true));
    assert_ne!(longer.last, found.last);
}

#[test]
fn the_hashes_are_those_of_the_documented_form() {
    // Computed from the file with the sqlite3 and hashlib modules of Python 3.11, by the form in the docs of `journal`:
    // see tests/fixtures/journal/reference.py.
    let (_dir, store) = filled();
    assert_eq!(
        store.reader().journal_end().unwrap(),
        Some((
            9,
            "0f6dad9442dbf12448ed640f1a6ad787bc0504dc966faffb22e089a4a2d6f56e".to_owned()
        ))
    );
}

#[test]
fn a_change_of_any_column_of_any_entry_is_found_at_that_entry() {
    let (kept, store) = filled();
    drop(store);
    let conn = Connection::open(kept.path().join("fallow.db")).unwrap();
    let columns: Vec<(String, String)> = conn
        .prepare(
            "SELECT t.name, c.name FROM pragma_table_list t, pragma_table_info(t.name) c \
             WHERE t.name LIKE '%entry' AND c.name <> 'seq'",
        )
        .unwrap()
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .collect::<Result<_, _>>()
        .unwrap();
    drop(conn);
    let mut done = 0;
    for (table, column) in columns {
        let (dir, store) = copy(&kept);
        let last: Option<i64> = Connection::open(dir.path().join("fallow.db"))
            .unwrap()
            .query_row(&format!("SELECT max(seq) FROM {table}"), [], |r| r.get(0))
            .unwrap();
        let Some(last) = last else { continue };
        // A text gets a letter, a number grows, what was empty is filled; each as its column's type has it.
        let numbers = ["INTEGER", "REAL"];
        let sql = format!(
            "UPDATE {table} SET {column} = CASE \
             WHEN (SELECT type FROM pragma_table_info('{table}') WHERE name = '{column}') IN ('{}', '{}') \
             THEN coalesce({column}, 0) + 1 ELSE coalesce({column}, '') || 'x' END WHERE seq = {last}",
            numbers[0], numbers[1]
        );
        behind(&dir, &sql);
        let broken = walk(&store).broken.unwrap_or_else(|| panic!("{sql}"));
        assert_eq!(
            (broken.misfit, broken.seq),
            (Misfit::Changed, last),
            "{sql}"
        );
        done += 1;
    }
    assert!(done > 60, "{done} columns were changed");
}

#[test]
fn entries_swapped_dropped_slipped_in_or_unlinked_are_found() {
    let swap = |a: u64, b: u64| {
        format!(
            "UPDATE injection_entry SET seq = -1 WHERE seq = {a}; UPDATE injection_entry SET seq = {a} WHERE seq = {b}; \
             UPDATE injection_entry SET seq = {b} WHERE seq = -1; UPDATE entry SET seq = -1 WHERE seq = {a}; \
             UPDATE entry SET seq = {a} WHERE seq = {b}; UPDATE entry SET seq = {b} WHERE seq = -1"
        )
    };
    let drop_all = |n: u64| {
        format!(
            "DELETE FROM injection_entry WHERE seq = {n}; DELETE FROM journal_link WHERE seq = {n}; \
             DELETE FROM entry WHERE seq = {n}"
        )
    };
    let slipped = format!(
        "INSERT INTO entry SELECT 100, '{}', '{}', kind, recorded_utc_ms, recorded_offset_min, clock_set, recorder, NULL, \
         NULL, reason FROM entry WHERE seq = 8; \
         CREATE TEMP TABLE copied AS SELECT * FROM injection_entry WHERE seq = 8; UPDATE copied SET seq = 100; \
         INSERT INTO injection_entry SELECT * FROM copied",
        id(90),
        id(90)
    );
    for (what, sql, misfit, seq) in [
        ("two entries swapped", swap(7, 8), Misfit::Changed, 7),
        (
            "two links swapped",
            "UPDATE journal_link SET seq = -1 WHERE seq = 7; UPDATE journal_link SET seq = 7 WHERE seq = 8; \
             UPDATE journal_link SET seq = 8 WHERE seq = -1"
                .to_owned(),
            Misfit::Changed,
            7,
        ),
        ("one dropped with its link", drop_all(7), Misfit::Changed, 8),
        ("the last dropped with its link", drop_all(9), Misfit::CutShort, 9),
        (
            "one dropped, its link kept",
            "DELETE FROM injection_entry WHERE seq = 7; DELETE FROM entry WHERE seq = 7".to_owned(),
            Misfit::Gone,
            7,
        ),
        (
            "what one says dropped",
            "DELETE FROM injection_entry WHERE seq = 7".to_owned(),
            Misfit::Changed,
            7,
        ),
        (
            "a link dropped",
            "DELETE FROM journal_link WHERE seq = 8".to_owned(),
            Misfit::Unlinked,
            8,
        ),
        ("one slipped in at the end", slipped, Misfit::Unlinked, 100),
        (
            "one slipped in with a link made up",
            format!(
                "INSERT INTO entry SELECT 10, '{}', '{}', kind, recorded_utc_ms, recorded_offset_min, clock_set, \
                 recorder, NULL, NULL, reason FROM entry WHERE seq = 4; INSERT INTO practice_entry VALUES (10, 2.0); \
                 INSERT INTO journal_link VALUES (10, '{}')",
                id(91),
                id(91),
                "ab".repeat(32)
            ),
            Misfit::Changed,
            10,
        ),
    ] {
        let (dir, store) = filled();
        behind(&dir, &sql);
        let found = walk(&store);
        let broken = found.broken.unwrap_or_else(|| panic!("{what}"));
        assert_eq!((broken.misfit, broken.seq), (misfit, seq), "{what}");
        assert_eq!(
            broken.entry.is_some(),
            !matches!(misfit, Misfit::Gone | Misfit::CutShort),
            "{what}"
        );
        assert!(found.entries < 10, "{what}: {}", found.entries);
    }
}

#[test]
fn going_on_after_a_break_does_not_hide_it() {
    let (dir, mut store) = filled();
    behind(
        &dir,
        "UPDATE injection_entry SET dose_thousandths = 1 WHERE seq = 7",
    );
    give(&mut store, 30, "2026-06-07T08:00:00+01:00").unwrap();
    assert_eq!(walk(&store).broken.map(|b| b.seq), Some(7));
}

#[test]
fn a_walk_can_be_followed_and_ended() {
    let (_dir, store) = filled();
    let mut seen = Vec::new();
    let ended = store.reader().verify(&mut |done, of| {
        seen.push((done, of));
        done < 3
    });
    assert_eq!(ended.unwrap(), None);
    assert_eq!(seen, [(1, 9), (2, 9), (3, 9)]);
}

/// The same store in another folder.
fn copy(of: &TempDir) -> (TempDir, Store) {
    let dir = tempfile::tempdir().unwrap();
    for name in ["fallow.db", "fallow.marker"] {
        std::fs::copy(of.path().join(name), dir.path().join(name)).unwrap();
    }
    let store = Store::open(dir.path()).unwrap();
    (dir, store)
}

#[test]
fn several_connections_make_one_chain() {
    let (dir, mut first) = begun();
    let mut second = Store::open(dir.path()).unwrap();
    for n in 0..10 {
        let store = if n % 2 == 0 { &mut first } else { &mut second };
        give(store, 10 + n, "2026-06-03T08:00:00+01:00").unwrap();
    }
    assert_eq!(walk(&second).entries, 12);
    assert_eq!(walk(&first), walk(&second));
    assert!(walk(&first).broken.is_none());
}
