//! The triggers: nothing that was written is changed, removed or replaced, whoever asks.

use rusqlite::{Connection, ErrorCode};

use crate::{begun, give, id};

#[test]
fn entries_are_never_changed_removed_or_replaced() {
    let (dir, mut store) = begun();
    give(&mut store, 3, "2026-06-03T08:00:00+01:00").unwrap();
    store
        .transact(|tx| tx.add_practice(&crate::head(4), 5.0))
        .unwrap();
    crate::skin::find(&mut store, 5, "2026-06-03T08:00:00+01:00").unwrap();
    crate::skin::look_over(&mut store, 6).unwrap();
    // A connection without the store's settings: the triggers hold by themselves.
    let conn = Connection::open(dir.path().join("fallow.db")).unwrap();
    conn.execute_batch("PRAGMA recursive_triggers = OFF; PRAGMA foreign_keys = OFF")
        .unwrap();
    let contents = |table: &str| -> Vec<String> {
        let columns: Vec<String> = conn
            .prepare(&format!("SELECT name FROM pragma_table_info('{table}')"))
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        let sql = format!(
            "SELECT json_array({}) FROM {table} ORDER BY seq",
            columns.join(", ")
        );
        conn.prepare(&sql)
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap()
    };
    for (table, column) in [
        ("entry", "recorder"),
        ("person_entry", "name"),
        ("order_entry", "prescriber"),
        ("injection_entry", "given_by"),
        ("finding_entry", "note"),
        ("skin_check_entry", "note"),
        ("practice_entry", "navel_margin_cm"),
        ("journal_link", "hash"),
    ] {
        let before = contents(table);
        assert!(!before.is_empty(), "{table} has something to lose");
        for sql in [
            format!("UPDATE {table} SET {column} = 7"),
            format!("UPDATE {table} SET seq = seq + 1000"),
            format!("UPDATE OR REPLACE {table} SET {column} = 7"),
            format!("DELETE FROM {table}"),
            format!("INSERT OR REPLACE INTO {table} SELECT * FROM {table}"),
            format!("REPLACE INTO {table} SELECT * FROM {table} ORDER BY seq DESC"),
        ] {
            match conn.execute_batch(&sql) {
                Err(e) if e.sqlite_error_code() == Some(ErrorCode::ConstraintViolation) => {}
                other => panic!("{sql}: {other:?}"),
            }
            assert_eq!(contents(table), before, "{sql}");
        }
    }
    // A replacement that only collides on what it supersedes would remove the first correction.
    conn.execute_batch("BEGIN").unwrap();
    let correction = |n: u64| {
        format!(
            "INSERT OR REPLACE INTO entry (id, root, kind, recorded_utc_ms, recorded_offset_min, clock_set, supersedes, reason) \
             VALUES ('{}', '{}', 'injection', 0, 0, 0, '{}', 'why')",
            id(n),
            id(3),
            id(3)
        )
    };
    conn.execute_batch(&correction(50)).unwrap();
    assert!(conn.execute_batch(&correction(51)).is_err());
}
