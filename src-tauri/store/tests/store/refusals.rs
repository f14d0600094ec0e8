//! What the database itself refuses, whoever asks: a table of bad inserts, and the triggers.
//!
//! Everything here goes through a plain connection, past the store's own checks.

use rusqlite::{Connection, Error, ErrorCode};

use crate::{begun, give, id};

/// A good row of each table as columns and SQL values, with the entry it needs beneath.
fn good(table: &str) -> (&'static str, Vec<(&'static str, String)>) {
    let text = |s: &str| format!("'{s}'");
    let (kind, columns): (_, Vec<(_, String)>) = match table {
        "entry" => return ("", entry("person")),
        "person_entry" => (
            "person",
            vec![
                ("name", text("Ada Bramble")),
                ("born", text("1951-03-09")),
                ("zone", text("Europe/London")),
                ("allergies_asked", text("known")),
                ("allergies", text("[\"latex\"]")),
                ("self_injects", "1".into()),
                ("height_cm", "168".into()),
                ("waist_cm", "92.5".into()),
                ("thigh_cm", "58".into()),
                ("upper_arm_cm", "31".into()),
                ("zones", text("[\"abdomen\"]")),
                ("identifier", text("17")),
                ("note", text("bell")),
            ],
        ),
        "order_entry" => (
            "order",
            vec![
                ("person", text(&id(1))),
                ("medicine", text("enoxaparin")),
                ("dose_thousandths", "40000".into()),
                ("dose_unit", text("mg")),
                ("times", text("[\"08:00:00\"]")),
                ("every_days", "1".into()),
                ("first_day", text("2026-06-01")),
                ("last_day", text("2026-06-30")),
                ("prescriber", text("Dr Teasel")),
                ("note", "NULL".into()),
            ],
        ),
        "injection_entry" => (
            "injection",
            vec![
                ("person", text(&id(1))),
                ("order_id", text(&id(2))),
                ("medicine", text("enoxaparin")),
                ("zone", text("abdomen")),
                ("quadrant", text("left_lower")),
                ("across_cm", "5.5".into()),
                ("up_cm", "-3".into()),
                ("given_utc_ms", "1780000000000".into()),
                ("given_offset_min", "60".into()),
                ("given_zone", text("Europe/London")),
                ("dose_thousandths", "40000".into()),
                ("dose_unit", text("mg")),
                ("given_by", text("Carer Sorrel")),
                ("note", "NULL".into()),
                ("status", text("given")),
            ],
        ),
        "practice_entry" => ("practice", vec![("navel_margin_cm", "5".into())]),
        "draft" => {
            return (
                "",
                vec![
                    ("key", text("give")),
                    ("body", text("{}")),
                    ("opened_utc_ms", "1780000000000".into()),
                    ("opened_offset_min", "60".into()),
                ],
            );
        }
        other => panic!("no good row of {other}"),
    };
    (kind, columns)
}

fn entry(kind: &str) -> Vec<(&'static str, String)> {
    vec![
        ("id", format!("'{}'", id(100))),
        ("root", format!("'{}'", id(100))),
        ("kind", format!("'{kind}'")),
        ("recorded_utc_ms", "1780000000000".into()),
        ("recorded_offset_min", "60".into()),
        ("clock_set", "0".into()),
        ("recorder", "'Nurse Larkspur'".into()),
        ("supersedes", "NULL".into()),
        ("reason", "NULL".into()),
    ]
}

fn insert(table: &str, row: &[(&str, String)]) -> String {
    let (columns, values): (Vec<_>, Vec<_>) = row.iter().map(|(c, v)| (*c, v.as_str())).unzip();
    format!(
        "INSERT INTO {table} ({}) VALUES ({});",
        columns.join(", "),
        values.join(", ")
    )
}

/// Inserts a good row with `changes` made to it, inside a transaction that is rolled back.
fn try_insert(conn: &Connection, table: &str, changes: &[(&str, &str)]) -> Result<(), Error> {
    let (kind, mut row) = good(table);
    let mut sql = String::new();
    if !kind.is_empty() {
        sql += &insert("entry", &entry(kind));
        row.push((
            "seq",
            format!("(SELECT seq FROM entry WHERE id = '{}')", id(100)),
        ));
    }
    for (column, value) in changes {
        let cell = row
            .iter_mut()
            .find(|(c, _)| c == column)
            .unwrap_or_else(|| panic!("no column {column}"));
        (*value).clone_into(&mut cell.1);
    }
    sql += &insert(table, &row);
    conn.execute_batch("BEGIN")?;
    let done = conn.execute_batch(&sql);
    conn.execute_batch("ROLLBACK")?;
    done
}

#[test]
fn bad_rows_are_refused_column_by_column() {
    let (dir, mut store) = begun();
    give(&mut store, 3, "2026-06-03T08:00:00+01:00").unwrap();
    let conn = Connection::open(dir.path().join("fallow.db")).unwrap();
    let check = |table: &str, changes: &[(&str, &str)]| {
        try_insert(&conn, table, &[])
            .unwrap_or_else(|e| panic!("a good row of {table} was refused: {e}"));
        match try_insert(&conn, table, changes) {
            Err(e) if e.sqlite_error_code() == Some(ErrorCode::ConstraintViolation) => {}
            other => panic!("{table} {changes:?}: {other:?}"),
        }
    };
    let check_each = |table: &str, column: &str, bad: &[&str]| {
        for value in bad {
            check(table, &[(column, value)]);
        }
    };
    let (one, two, three, long) = (
        format!("'{}'", id(1)),
        format!("'{}'", id(2)),
        format!("'{}'", id(3)),
        "printf('%.*c', 501, 'x')",
    );
    let (one, two, three) = (one.as_str(), two.as_str(), three.as_str());
    let very_long = "printf('%.*c', 10001, 'x')";
    let instants = ["NULL", "'abc'", "4.5", "-2208988800001", "7258118400001"];
    let offsets = ["NULL", "'abc'", "0.5", "-1440", "1440"];
    let dates = [
        "''",
        "'2026-6-1'",
        "'2026-02-30'",
        "'01.06.2026'",
        "'2026-06-01T00:00:00'",
        "'+12026-06-01'",
    ];
    let sites_cm = ["'abc'", "-150.5", "150.5", "9e999", "-9e999"];

    let ids = [
        "NULL",
        "''",
        "'1'",
        "'01900000-0000-7000-8000-00000000000G'",
        "'01900000-0000-7000-8000-00000000000A'",
        "'{01900000-0000-7000-8000-0000000064}'",
        "'01900000-0000-7000-8000--00000000064'",
    ];
    for bad in ids {
        check("entry", &[("id", bad), ("root", bad)]);
    }
    check("entry", &[("id", one), ("root", one)]);
    check_each("entry", "root", &["NULL", one]);
    check_each("entry", "kind", &["NULL", "''", "'Person'", "'finding'"]);
    check_each("entry", "recorded_utc_ms", &instants);
    check_each("entry", "recorded_offset_min", &offsets);
    check_each("entry", "clock_set", &["NULL", "2", "-1", "'yes'"]);
    check_each("entry", "recorder", &["''", long]);
    check_each("entry", "reason", &["''", very_long]);
    check(
        "entry",
        &[
            ("supersedes", "'01900000-0000-7000-8000-0000000000ff'"),
            ("root", one),
        ],
    );
    check("entry", &[("supersedes", one)]);
    check("entry", &[("supersedes", two), ("root", two)]);
    check(
        "entry",
        &[
            ("supersedes", three),
            ("root", three),
            ("kind", "'injection'"),
        ],
    );
    check(
        "entry",
        &[
            ("supersedes", three),
            ("root", three),
            ("kind", "'injection'"),
            ("reason", "'  '"),
        ],
    );

    check_each("person_entry", "seq", &["NULL", "1", "2", "9999"]);
    check_each("person_entry", "name", &["NULL", "''", "'   '", long]);
    check_each("person_entry", "born", &dates);
    check_each("person_entry", "zone", &["NULL", "''"]);
    check_each(
        "person_entry",
        "allergies_asked",
        &["NULL", "'yes'", "'not_asked'", "'none_known'"],
    );
    check_each(
        "person_entry",
        "allergies",
        &["NULL", "''", "'latex'", "'[]'", "'{}'", "'[1]'", "'[\"\"]'"],
    );
    check_each("person_entry", "self_injects", &["NULL", "2", "'no'"]);
    check_each(
        "person_entry",
        "height_cm",
        &["'tall'", "49.9", "250.1", "0", "9e999"],
    );
    check_each(
        "person_entry",
        "waist_cm",
        &["'wide'", "29.9", "250.1", "0"],
    );
    check_each("person_entry", "thigh_cm", &["'x'", "14.9", "150.1", "0"]);
    check_each("person_entry", "upper_arm_cm", &["'x'", "7.9", "90.1", "0"]);
    check_each(
        "person_entry",
        "zones",
        &[
            "NULL",
            "''",
            "'abdomen'",
            "'{}'",
            "'[\"stomach\"]'",
            "'[3]'",
        ],
    );
    check_each("person_entry", "identifier", &["''", long]);
    check_each("person_entry", "note", &["''", very_long]);

    check_each("order_entry", "seq", &["NULL", "1", "2", "9999"]);
    check_each(
        "order_entry",
        "person",
        &["NULL", "''", two, "'01900000-0000-7000-8000-0000000000ff'"],
    );
    check_each(
        "order_entry",
        "medicine",
        &["NULL", "''", "'Enoxaparin'", "'a b'"],
    );
    check_each(
        "order_entry",
        "dose_thousandths",
        &["NULL", "0", "-1", "100000001", "0.5", "'abc'"],
    );
    check_each(
        "order_entry",
        "dose_unit",
        &["NULL", "''", "'U'", "'IU'", "'ml'", "'MG'"],
    );
    check_each(
        "order_entry",
        "times",
        &[
            "NULL",
            "''",
            "'08:00'",
            "'{}'",
            "'[\"08:00\"]'",
            "'[\"24:00:00\"]'",
            "'[\"08:60:00\"]'",
            "'[8]'",
        ],
    );
    check_each(
        "order_entry",
        "every_days",
        &["NULL", "0", "-1", "65536", "'weekly'"],
    );
    check_each("order_entry", "first_day", &dates);
    check_each("order_entry", "last_day", &dates);
    check_each("order_entry", "last_day", &["'2026-05-31'"]);
    check_each("order_entry", "prescriber", &["NULL", long]);
    check_each("order_entry", "note", &["''", very_long]);

    check_each("injection_entry", "seq", &["NULL", "1", "3", "9999"]);
    check_each(
        "injection_entry",
        "person",
        &["NULL", "''", two, "'01900000-0000-7000-8000-0000000000ff'"],
    );
    check_each(
        "injection_entry",
        "order_id",
        &[
            "NULL",
            "''",
            one,
            three,
            "'01900000-0000-7000-8000-0000000000ff'",
        ],
    );
    check_each(
        "injection_entry",
        "medicine",
        &["NULL", "''", "'Enoxaparin'"],
    );
    check_each(
        "injection_entry",
        "zone",
        &["NULL", "''", "'stomach'", "'left_thigh'"],
    );
    check_each(
        "injection_entry",
        "quadrant",
        &["NULL", "''", "'middle'", "'upper_inner'"],
    );
    check(
        "injection_entry",
        &[("zone", "'left_thigh'"), ("quadrant", "'left_upper'")],
    );
    check_each("injection_entry", "across_cm", &sites_cm);
    check_each("injection_entry", "across_cm", &["NULL"]);
    check_each("injection_entry", "up_cm", &sites_cm);
    check_each("injection_entry", "up_cm", &["NULL"]);
    check_each("injection_entry", "given_utc_ms", &instants);
    check_each("injection_entry", "given_offset_min", &offsets);
    check_each("injection_entry", "given_zone", &["NULL", "''"]);
    check_each(
        "injection_entry",
        "dose_thousandths",
        &["NULL", "0", "-1", "100000001", "0.5", "'abc'"],
    );
    check_each("injection_entry", "dose_unit", &["NULL", "'U'", "'ml'"]);
    check_each("injection_entry", "given_by", &["NULL", long]);
    check_each("injection_entry", "note", &["''", very_long]);
    check_each(
        "injection_entry",
        "status",
        &["NULL", "'refused'", "'entered_in_error'"],
    );

    check_each("practice_entry", "seq", &["NULL", "1", "9999"]);
    check_each(
        "practice_entry",
        "navel_margin_cm",
        &["NULL", "0", "-1", "20.5", "'wide'"],
    );

    check_each("draft", "key", &["NULL", "''", long]);
    check_each("draft", "body", &["NULL", "printf('%.*c', 1000001, 'x')"]);
    check_each("draft", "opened_utc_ms", &instants);
    check_each("draft", "opened_offset_min", &offsets);
}

#[test]
fn entries_are_never_changed_removed_or_replaced() {
    let (dir, mut store) = begun();
    give(&mut store, 3, "2026-06-03T08:00:00+01:00").unwrap();
    store
        .transact(|tx| tx.add_practice(&crate::head(4), 5.0))
        .unwrap();
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
        ("practice_entry", "navel_margin_cm"),
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
