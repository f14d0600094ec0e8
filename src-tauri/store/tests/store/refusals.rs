//! What the database itself refuses, whoever asks: every column of every table, with values just outside its range.
//!
//! Everything here goes through a plain connection, past the store's own checks.

use rusqlite::{Connection, ErrorCode};

use crate::good_rows::try_insert;
use crate::{begun, give};

const PERSON: &str = "'01900000-0000-7000-8000-000000000001'";
const ORDER: &str = "'01900000-0000-7000-8000-000000000002'";
const INJECTION: &str = "'01900000-0000-7000-8000-000000000003'";
const NOBODY: &str = "'01900000-0000-7000-8000-0000000000ff'";
const LONG: &str = "printf('%.*c', 501, 'x')";
const VERY_LONG: &str = "printf('%.*c', 10001, 'x')";
const INSTANTS: &[&str] = &["NULL", "'abc'", "4.5", "-2208988800001", "7258118400001"];
const OFFSETS: &[&str] = &["NULL", "'abc'", "0.5", "-1440", "1440"];
const DAYS: &[&str] = &[
    "''",
    "'2026-6-1'",
    "'2026-02-30'",
    "'01.06.2026'",
    "'2026-06-01T00:00:00'",
    "'+12026-06-01'",
];
const DOSES: &[&str] = &["NULL", "0", "-1", "100000001", "0.5", "'abc'"];
const UNITS: &[&str] = &["NULL", "''", "'U'", "'IU'", "'ml'", "'MG'"];
const MEDICINES: &[&str] = &["NULL", "''", "'Enoxaparin'", "'a b'"];
const POINTS: &[&str] = &["NULL", "'abc'", "-150.5", "150.5", "9e999", "-9e999"];

/// One table of a store that has person 1, their order 2 and injection 3.
struct Table {
    _dir: tempfile::TempDir,
    conn: Connection,
    name: &'static str,
}

impl Table {
    fn new(name: &'static str) -> Self {
        let (dir, mut store) = begun();
        give(&mut store, 3, "2026-06-03T08:00:00+01:00").unwrap();
        let conn = Connection::open(dir.path().join("fallow.db")).unwrap();
        try_insert(&conn, name, &[]).expect("a good row is taken");
        Self {
            _dir: dir,
            conn,
            name,
        }
    }

    /// A good row with these cells is refused by a constraint.
    fn refuses(&self, cells: &[(&str, &str)]) {
        match try_insert(&self.conn, self.name, cells) {
            Err(e) if e.sqlite_error_code() == Some(ErrorCode::ConstraintViolation) => {}
            other => panic!("{} {cells:?}: {other:?}", self.name),
        }
    }

    /// A good row with any of these values in one column is refused.
    fn refuses_each(&self, column: &str, values: &[&str]) {
        for value in values {
            self.refuses(&[(column, value)]);
        }
    }
}

#[test]
fn heads() {
    let table = Table::new("entry");
    for bad in [
        "NULL",
        "''",
        "'1'",
        "'01900000-0000-7000-8000-00000000000G'",
        "'01900000-0000-7000-8000-00000000000A'",
        "'{01900000-0000-7000-8000-0000000064}'",
        "'01900000-0000-7000-8000--00000000064'",
        PERSON,
    ] {
        table.refuses(&[("id", bad), ("root", bad)]);
    }
    table.refuses_each("root", &["NULL", PERSON]);
    table.refuses_each("kind", &["NULL", "''", "'Person'", "'skin'"]);
    table.refuses_each("recorded_utc_ms", INSTANTS);
    table.refuses_each("recorded_offset_min", OFFSETS);
    table.refuses_each("clock_set", &["NULL", "2", "-1", "'yes'"]);
    table.refuses_each("recorder", &["''", LONG]);
    table.refuses_each("reason", &["''", VERY_LONG]);
    // What is superseded exists, is of the same chain and kind, and a correction gives a reason.
    table.refuses(&[("supersedes", NOBODY), ("root", NOBODY)]);
    table.refuses(&[("supersedes", PERSON)]);
    table.refuses(&[("supersedes", ORDER), ("root", ORDER)]);
    let correction = [
        ("supersedes", INJECTION),
        ("root", INJECTION),
        ("kind", "'injection'"),
    ];
    for reason in ["NULL", "'  '"] {
        table.refuses(&[correction.as_slice(), &[("reason", reason)]].concat());
    }
}

#[test]
fn people() {
    let table = Table::new("person_entry");
    table.refuses_each("seq", &["NULL", "1", "2", "9999"]);
    table.refuses_each("name", &["NULL", "''", "'   '", LONG]);
    table.refuses_each("born", DAYS);
    table.refuses_each("born", &["NULL"]);
    table.refuses_each("zone", &["NULL", "''"]);
    table.refuses_each(
        "allergies_asked",
        &["NULL", "'yes'", "'not_asked'", "'none_known'"],
    );
    table.refuses_each(
        "allergies",
        &["NULL", "''", "'latex'", "'[]'", "'{}'", "'[1]'", "'[\"\"]'"],
    );
    table.refuses_each("self_injects", &["NULL", "2", "'no'"]);
    table.refuses_each("height_cm", &["'tall'", "49.9", "250.1", "0", "9e999"]);
    table.refuses_each("waist_cm", &["'wide'", "29.9", "250.1", "0"]);
    table.refuses_each("thigh_cm", &["'x'", "14.9", "150.1", "0"]);
    table.refuses_each("upper_arm_cm", &["'x'", "7.9", "90.1", "0"]);
    table.refuses_each("weight_kg", &["'x'", "0.9", "400.1", "0"]);
    table.refuses_each(
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
    table.refuses_each("identifier", &["''", LONG]);
    table.refuses_each("note", &["''", VERY_LONG]);
}

#[test]
fn orders() {
    let table = Table::new("order_entry");
    table.refuses_each("seq", &["NULL", "1", "2", "9999"]);
    table.refuses_each("person", &["NULL", "''", ORDER, NOBODY]);
    table.refuses_each("medicine", MEDICINES);
    table.refuses_each("dose_thousandths", DOSES);
    table.refuses_each("dose_unit", UNITS);
    let times = [
        "'[\"08:00\"]'",
        "'[\"24:00:00\"]'",
        "'[\"08:60:00\"]'",
        "'[\"08:00:60\"]'",
        "'[8]'",
    ];
    table.refuses_each("times", &times);
    table.refuses_each("times", &["NULL", "''", "'08:00'", "'{}'"]);
    table.refuses_each("every_days", &["NULL", "0", "-1", "65536", "'weekly'"]);
    table.refuses_each("first_day", DAYS);
    table.refuses_each("first_day", &["NULL"]);
    table.refuses_each("last_day", DAYS);
    table.refuses_each("last_day", &["'2026-05-31'"]);
    table.refuses_each("prescriber", &["NULL", LONG]);
    table.refuses_each("note", &["''", VERY_LONG]);
}

#[test]
fn injections() {
    let table = Table::new("injection_entry");
    table.refuses_each("seq", &["NULL", "1", "3", "9999"]);
    table.refuses_each("person", &["NULL", "''", ORDER, NOBODY]);
    table.refuses_each("order_id", &["NULL", "''", PERSON, INJECTION, NOBODY]);
    table.refuses_each("medicine", MEDICINES);
    table.refuses_each("zone", &["NULL", "''", "'stomach'", "'left_thigh'"]);
    table.refuses_each("quadrant", &["NULL", "''", "'middle'", "'upper_inner'"]);
    table.refuses(&[("zone", "'left_thigh'"), ("quadrant", "'left_upper'")]);
    table.refuses_each("across_cm", POINTS);
    table.refuses_each("up_cm", POINTS);
    table.refuses_each("given_utc_ms", INSTANTS);
    table.refuses_each("given_offset_min", OFFSETS);
    table.refuses_each("given_zone", &["NULL", "''"]);
    table.refuses_each("dose_thousandths", DOSES);
    table.refuses_each("dose_unit", UNITS);
    table.refuses_each("given_by", &["NULL", LONG]);
    table.refuses_each("note", &["''", VERY_LONG]);
    table.refuses_each("status", &["NULL", "'refused'", "'entered_in_error'"]);
}

#[test]
fn findings() {
    let table = Table::new("finding_entry");
    table.refuses_each("seq", &["NULL", "1", "9999"]);
    table.refuses_each("person", &["NULL", "''", ORDER, NOBODY]);
    table.refuses_each("found_by", &[PERSON, NOBODY]);
    table.refuses_each("finding_kind", &["NULL", "''", "'lipo'", "'lump'"]);
    table.refuses_each("zone", &["NULL", "''", "'stomach'"]);
    table.refuses_each("margin_cm", &["NULL", "-0.1", "20.5", "9e999"]);
    table.refuses_each("margin_source", &["NULL", "''", LONG]);
    table.refuses_each("wear_days", &["0", "367", "1.5"]);
    table.refuses_each("state", &["NULL", "'gone'", "'healed'", "'removed'"]);
    for (column, far) in [
        ("centre_across_cm", "200.5"),
        ("centre_up_cm", "-200.5"),
        ("half_across_cm", "0"),
        ("half_up_cm", "-1"),
        ("turned_degrees", "361"),
    ] {
        table.refuses_each(column, &["NULL", "9e999", far]);
    }
    table.refuses_each("outline", &["'x'", "'[]'", "'[[0,0],[1,0],[0,1]]'"]);
    table.refuses_each("noticed", &["NULL", "'guessed'"]);
    table.refuses_each("feel", &["'hard'"]);
    table.refuses_each("at_utc_ms", INSTANTS);
    table.refuses_each("at_offset_min", OFFSETS);
    table.refuses_each("at_zone", &["NULL", "''"]);
    table.refuses_each("looked_by", &["NULL", "''", LONG]);
    table.refuses_each("note", &["''", VERY_LONG]);
    table.refuses_each("status", &["NULL", "'given'", "'entered_in_error'"]);
    // A later look says nothing of kind, zone or margin.
    table.refuses(&[("found_by", NOBODY), ("finding_kind", "NULL")]);
}

#[test]
fn skin_checks() {
    let table = Table::new("skin_check_entry");
    table.refuses_each("seq", &["NULL", "1", "9999"]);
    table.refuses_each("person", &["NULL", "''", ORDER, NOBODY]);
    table.refuses_each("at_utc_ms", INSTANTS);
    table.refuses_each("at_offset_min", OFFSETS);
    table.refuses_each("at_zone", &["NULL", "''"]);
    table.refuses_each("looked_by", &["NULL", "''", LONG]);
    table.refuses_each("zones", &["NULL", "'x'", "'[]'", "'{}'"]);
    table.refuses_each("needle_uses", &["0", "101", "'often'"]);
    table.refuses_each("insulin_since", &["1921", "2201"]);
    table.refuses_each("unexplained_lows", &["2", "'yes'"]);
    table.refuses_each("note", &["''", VERY_LONG]);
    table.refuses_each("status", &["NULL", "'given'", "'entered_in_error'"]);
}

#[test]
fn practice() {
    let table = Table::new("practice_entry");
    table.refuses_each("seq", &["NULL", "1", "9999"]);
    table.refuses_each("navel_margin_cm", &["NULL", "0", "-1", "20.5", "'wide'"]);
}

#[test]
fn drafts() {
    let table = Table::new("draft");
    table.refuses_each("key", &["NULL", "''", LONG]);
    table.refuses_each("body", &["NULL", "printf('%.*c', 1000001, 'x')"]);
    table.refuses_each("opened_utc_ms", INSTANTS);
    table.refuses_each("opened_offset_min", OFFSETS);
}
