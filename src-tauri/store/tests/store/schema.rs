//! The frozen migration and what it makes.

use std::fmt::Write as _;

use fallow_store::schema::{APPLICATION_ID, JOURNAL_SQL, KNOWN};
use rusqlite::Connection;
use sha2::{Digest, Sha256};

use crate::begun;

/// Frozen from the first release on: then a change of schema is a new numbered migration, and these lines stay.
const FROZEN: [(&str, &str); 1] = [(
    JOURNAL_SQL,
    "2ee34c0aa73601d7a9d54e091945d4a64fbb3becc28cab8cc9fdeda93548020e",
)];

#[test]
fn migrations_are_not_edited() {
    assert_eq!(FROZEN.len(), usize::try_from(KNOWN).unwrap());
    for (sql, hash) in FROZEN {
        let mut found = String::new();
        for byte in Sha256::digest(sql) {
            write!(found, "{byte:02x}").unwrap();
        }
        assert_eq!(found, hash, "a released migration was edited");
    }
}

#[test]
fn a_new_store_has_this_schema() {
    let (dir, _store) = begun();
    let conn = Connection::open(dir.path().join("fallow.db")).unwrap();
    let number = |sql: &str| conn.query_row(sql, [], |row| row.get::<_, i64>(0)).unwrap();
    assert_eq!(number("PRAGMA user_version"), KNOWN);
    assert_eq!(number("PRAGMA application_id"), i64::from(APPLICATION_ID));
    let loose =
        "SELECT count(*) FROM pragma_table_list WHERE NOT strict AND name NOT LIKE 'sqlite_%'";
    assert_eq!(number(loose), 0, "every table is STRICT");

    let list = |sql: &str| -> Vec<String> {
        conn.prepare(sql)
            .unwrap()
            .query_map([], |row| row.get(0))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap()
    };
    let columns = list(
        "SELECT t.name || ': ' || group_concat(c.name || ' ' || c.type || iif(c.\"notnull\", '', '?'), ', ' ORDER BY c.cid) \
         FROM pragma_table_list t, pragma_table_info(t.name) c WHERE t.name NOT LIKE 'sqlite_%' GROUP BY t.name ORDER BY 1",
    );
    assert_eq!(
        columns,
        [
            "container_entry: seq INTEGER?, person TEXT, order_id TEXT, medicine TEXT, strength TEXT?, batch TEXT?, \
             expires TEXT?, opened TEXT?, device TEXT, needle_cover TEXT, note TEXT?",
            "draft: key TEXT, body TEXT, opened_utc_ms INTEGER, opened_offset_min INTEGER",
            "entry: seq INTEGER?, id TEXT, root TEXT, kind TEXT, recorded_utc_ms INTEGER, recorded_offset_min INTEGER, \
             clock_set INTEGER, recorder TEXT?, recorder_pin INTEGER?, supersedes TEXT?, reason TEXT?",
            "event_entry: seq INTEGER?, person TEXT, order_id TEXT?, about TEXT, at_utc_ms INTEGER, \
             at_offset_min INTEGER, at_zone TEXT, value TEXT?, unit TEXT?, code TEXT?, note TEXT?, status TEXT",
            "finding_entry: seq INTEGER?, person TEXT, found_by TEXT?, finding_kind TEXT?, zone TEXT?, margin_cm REAL?, \
             margin_source TEXT?, wear_days INTEGER?, state TEXT, centre_across_cm REAL?, centre_up_cm REAL?, \
             half_across_cm REAL?, half_up_cm REAL?, turned_degrees REAL?, outline TEXT?, noticed TEXT?, feel TEXT?, \
             at_utc_ms INTEGER, at_offset_min INTEGER, at_zone TEXT, looked_by TEXT, note TEXT?, status TEXT",
            "injection_entry: seq INTEGER?, person TEXT, order_id TEXT, medicine TEXT, zone TEXT, quadrant TEXT, \
             across_cm REAL?, up_cm REAL?, given_utc_ms INTEGER, given_offset_min INTEGER, given_zone TEXT, \
             dose_thousandths INTEGER, dose_unit TEXT, given_by TEXT, note TEXT?, status TEXT, self_given INTEGER?, \
             outcomes TEXT, checks TEXT, dose_reason TEXT?, second_checker TEXT?, needle_disposed INTEGER?, \
             container TEXT?",
            "journal_link: seq INTEGER?, hash TEXT",
            "order_entry: seq INTEGER?, person TEXT, medicine TEXT, dose_thousandths INTEGER, dose_unit TEXT, \
             times TEXT, every_days INTEGER, first_day TEXT, last_day TEXT?, prescriber TEXT, note TEXT?, \
             weekdays TEXT, window_before_min INTEGER?, window_after_min INTEGER?, device TEXT?, needle_mm REAL?, \
             signed_on TEXT?, review_by TEXT?, asks_glucose INTEGER, glucose_unit TEXT?, glucose_low TEXT?, \
             glucose_high TEXT?, second_check INTEGER, may_give TEXT?, regions TEXT",
            "person_entry: seq INTEGER?, name TEXT, born TEXT, zone TEXT, allergies_asked TEXT, allergies TEXT?, \
             self_injects INTEGER, height_cm REAL?, waist_cm REAL?, thigh_cm REAL?, upper_arm_cm REAL?, zones TEXT, \
             identifier TEXT?, note TEXT?, weight_kg REAL?",
            "practice_entry: seq INTEGER?, navel_margin_cm REAL",
            "recorder: name TEXT, pin TEXT",
            "skin_check_entry: seq INTEGER?, person TEXT, at_utc_ms INTEGER, at_offset_min INTEGER, at_zone TEXT, \
             looked_by TEXT, zones TEXT, needle_uses INTEGER?, insulin_since INTEGER?, unexplained_lows INTEGER?, \
             note TEXT?, status TEXT",
        ]
    );
    let others = list(
        "SELECT group_concat(name, ' ' ORDER BY name) FROM sqlite_schema \
         WHERE type IN ('index', 'trigger') AND sql IS NOT NULL GROUP BY type ORDER BY type",
    );
    assert_eq!(
        others,
        [
            "container_of_order entry_chain entry_superseded event_of_person finding_of_person \
             injection_of_person order_of_person skin_check_of_person",
            "container_entry_fits container_entry_is_kept container_entry_is_new container_entry_stays \
             entry_fits_its_chain entry_is_kept entry_is_new entry_stays event_entry_fits event_entry_is_kept \
             event_entry_is_new event_entry_stays finding_entry_fits finding_entry_is_kept finding_entry_is_new \
             finding_entry_stays injection_entry_fits injection_entry_is_kept \
             injection_entry_is_new injection_entry_stays journal_link_is_kept journal_link_is_last \
             journal_link_stays order_entry_fits order_entry_is_kept order_entry_is_new \
             order_entry_stays order_times_fit person_entry_fits person_entry_is_kept person_entry_is_new \
             person_entry_stays person_lists_fit practice_entry_fits practice_entry_is_kept practice_entry_is_new \
             practice_entry_stays skin_check_entry_fits skin_check_entry_is_kept skin_check_entry_is_new \
             skin_check_entry_stays",
        ]
    );
}
