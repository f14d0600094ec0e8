//! A good row of every table as SQL, to be spoilt one cell at a time.

use rusqlite::{Connection, Error};

use crate::id;

/// A good row of each table as columns and SQL values, with the entry it needs beneath.
#[expect(clippy::too_many_lines, reason = "a table of rows")]
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
                ("weight_kg", "70.5".into()),
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
                ("weekdays", text("[1, 4]")),
                ("window_before_min", "30".into()),
                ("window_after_min", "60".into()),
                ("device", text("pen")),
                ("needle_mm", "4".into()),
                ("signed_on", text("2026-06-01")),
                ("review_by", text("2026-12-01")),
                ("asks_glucose", "1".into()),
                ("glucose_unit", text("mmol/L")),
                ("glucose_low", text("4.0")),
                ("glucose_high", text("14.0")),
                ("second_check", "0".into()),
                ("may_give", text("a registered nurse")),
                (
                    "regions",
                    text("[{\"time\":\"08:00:00\",\"zones\":[\"abdomen\"]}]"),
                ),
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
                ("self_given", "1".into()),
                ("outcomes", text("[\"fine\"]")),
                ("checks", text("[\"identity\"]")),
                ("dose_reason", "NULL".into()),
                ("second_checker", "NULL".into()),
                ("needle_disposed", "1".into()),
                ("container", "NULL".into()),
            ],
        ),
        "event_entry" => (
            "event",
            vec![
                ("person", text(&id(1))),
                ("order_id", text(&id(2))),
                ("about", text("glucose")),
                ("at_utc_ms", "1780000000000".into()),
                ("at_offset_min", "60".into()),
                ("at_zone", text("Europe/London")),
                ("value", text("5.4")),
                ("unit", text("mmol/L")),
                ("code", "NULL".into()),
                ("note", "NULL".into()),
                ("status", text("final")),
            ],
        ),
        "container_entry" => (
            "container",
            vec![
                ("person", text(&id(1))),
                ("order_id", text(&id(2))),
                ("medicine", text("enoxaparin")),
                ("strength", text("100 mg/mL")),
                ("batch", text("B17")),
                ("expires", text("2027-03")),
                ("opened", text("2026-06-01")),
                ("device", text("prefilled_syringe")),
                ("needle_cover", text("latex")),
                ("note", "NULL".into()),
            ],
        ),
        "finding_entry" => (
            "finding",
            vec![
                ("person", text(&id(1))),
                ("found_by", "NULL".into()),
                ("finding_kind", text("sensor")),
                ("zone", text("left_arm")),
                ("margin_cm", "2.5".into()),
                ("margin_source", text("a manual")),
                ("wear_days", "14".into()),
                ("state", text("there")),
                ("centre_across_cm", "1".into()),
                ("centre_up_cm", "12".into()),
                ("half_across_cm", "1.5".into()),
                ("half_up_cm", "1".into()),
                ("turned_degrees", "0".into()),
                ("outline", "NULL".into()),
                ("noticed", text("seen")),
                ("feel", "NULL".into()),
                ("at_utc_ms", "1780000000000".into()),
                ("at_offset_min", "60".into()),
                ("at_zone", text("Europe/London")),
                ("looked_by", text("Nurse Larkspur")),
                ("note", "NULL".into()),
                ("status", text("final")),
            ],
        ),
        "skin_check_entry" => (
            "skin_check",
            vec![
                ("person", text(&id(1))),
                ("at_utc_ms", "1780000000000".into()),
                ("at_offset_min", "60".into()),
                ("at_zone", text("Europe/London")),
                ("looked_by", text("Nurse Larkspur")),
                ("zones", text("[{\"zone\":\"abdomen\",\"seen\":\"clear\"}]")),
                ("needle_uses", "2".into()),
                ("insulin_since", "2019".into()),
                ("unexplained_lows", "0".into()),
                ("note", "NULL".into()),
                ("status", text("final")),
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
pub(crate) fn try_insert(
    conn: &Connection,
    table: &str,
    changes: &[(&str, &str)],
) -> Result<(), Error> {
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
