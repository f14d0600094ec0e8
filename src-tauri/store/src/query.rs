//! How entries come out: the questions the door asks, each answered with domain values.
//!
//! *Current* means not superseded. Not here: judging what is found.

use std::collections::BTreeMap;

use rusqlite::{Connection, OptionalExtension, Params, Row, params};

use crate::entries::{
    ContainerEntry, Draft, EventEntry, Head, InjectionEntry, InjectionQuery, Kind, OrderEntry,
    PersonEntry, PracticeEntry,
};
use crate::error::StoreError;
use crate::rows::{self, CONTAINER, EVENT, HEAD, INJECTION, ORDER, PERSON};

type Result<T> = std::result::Result<T, StoreError>;

/// Of an entry `e`: it is current.
pub(crate) const CURRENT: &str = "NOT EXISTS (SELECT 1 FROM entry n WHERE n.supersedes = e.id)";
/// Of an entry `e`: it is the current one of the chain whose root is `?1`. Chains are lines, and an entry comes after
/// the one it supersedes, so the current one is the last.
const NOW_OF_ROOT: &str = "e.seq = (SELECT max(seq) FROM (\
    SELECT seq FROM entry WHERE id = ?1 AND supersedes IS NULL \
    UNION ALL SELECT seq FROM entry WHERE root = ?1 AND supersedes IS NOT NULL))";
/// How many of a person's latest injections are looked at for names.
const RECORDERS_FROM: u32 = 500;

/// Questions to a store. Every answer is read from the file as it is now.
#[derive(Clone, Copy)]
pub struct Reader<'c> {
    conn: &'c Connection,
}

impl<'c> Reader<'c> {
    pub(crate) fn new(conn: &'c Connection) -> Self {
        Self { conn }
    }

    pub(crate) fn conn(self) -> &'c Connection {
        self.conn
    }

    pub(crate) fn one<T>(
        self,
        sql: &str,
        params: impl Params,
        read: fn(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Option<T>> {
        Ok(self
            .conn
            .prepare_cached(sql)?
            .query_row(params, read)
            .optional()?)
    }

    pub(crate) fn all<T>(
        self,
        sql: &str,
        params: impl Params,
        read: fn(&Row<'_>) -> rusqlite::Result<T>,
    ) -> Result<Vec<T>> {
        let mut statement = self.conn.prepare_cached(sql)?;
        let rows = statement.query_map(params, read)?;
        Ok(rows.collect::<rusqlite::Result<_>>()?)
    }

    pub(crate) fn head_at(self, seq: i64) -> Result<Head> {
        let sql = format!("SELECT {HEAD} FROM entry e WHERE e.seq = ?1");
        self.one(&sql, [seq], rows::head)?
            .ok_or_else(|| StoreError::unreadable("an entry just written"))
    }

    /// What is known now of the person with this id (the root); `None` when there is no such person.
    pub fn person(&self, id: &str) -> Result<Option<PersonEntry>> {
        let sql = format!(
            "SELECT {HEAD}, {PERSON} FROM entry e JOIN person_entry p ON p.seq = e.seq WHERE {NOW_OF_ROOT}"
        );
        self.one(&sql, [id], rows::person)
    }

    /// Everybody, as known now, by name without regard to case.
    pub fn people(&self) -> Result<Vec<PersonEntry>> {
        let sql = format!(
            "SELECT {HEAD}, {PERSON} FROM person_entry p CROSS JOIN entry e ON e.seq = p.seq WHERE {CURRENT}"
        );
        let mut people = self.all(&sql, [], rows::person)?;
        // Not in SQL: SQLite's own lower() knows the letters of English only.
        people.sort_by_cached_key(|p| (p.person.name.to_lowercase(), p.head.root.clone()));
        Ok(people)
    }

    /// How many people there are.
    pub fn people_count(&self) -> Result<u64> {
        let sql = "SELECT count(*) FROM person_entry p CROSS JOIN entry e ON e.seq = p.seq WHERE e.supersedes IS NULL";
        let count: Option<i64> = self.one(sql, [], |row| row.get(0))?;
        Ok(count.map_or(0, i64::cast_unsigned))
    }

    /// The order with this id (the root) as it stands now.
    pub fn order(&self, id: &str) -> Result<Option<OrderEntry>> {
        let sql = format!(
            "SELECT {HEAD}, {ORDER} FROM entry e JOIN order_entry o ON o.seq = e.seq WHERE {NOW_OF_ROOT}"
        );
        self.one(&sql, [id], rows::order)
    }

    /// A person's orders as they stand now, in the order they were first added; ended ones included.
    pub fn orders_of(&self, person: &str) -> Result<Vec<OrderEntry>> {
        self.all(&orders_sql("o.person = ?1"), [person], rows::order)
    }

    /// [`Reader::orders_of`] for everybody at once, by the person's id. A person without orders is not in it.
    pub fn orders_by_person(&self) -> Result<BTreeMap<String, Vec<OrderEntry>>> {
        let mut by_person: BTreeMap<String, Vec<OrderEntry>> = BTreeMap::new();
        for order in self.all(&orders_sql("true"), [], rows::order)? {
            by_person
                .entry(order.person.clone())
                .or_default()
                .push(order);
        }
        Ok(by_person)
    }

    /// The injection entry with exactly this id, superseded or not.
    pub fn injection(&self, id: &str) -> Result<Option<InjectionEntry>> {
        let sql = format!(
            "SELECT {HEAD}, {INJECTION} FROM entry e JOIN injection_entry i ON i.seq = e.seq WHERE e.id = ?1"
        );
        self.one(&sql, [id], rows::injection)
    }

    /// A person's injections, the newest first by the instant given, then the last recorded first.
    pub fn injections(&self, query: &InjectionQuery) -> Result<Vec<InjectionEntry>> {
        let which = if query.superseded {
            "true"
        } else {
            &given_and_current()
        };
        let limit = query.limit.map_or(-1, i64::from);
        let (from_ms, to_ms) = (
            query.from_ms.unwrap_or(i64::MIN),
            query.to_ms.unwrap_or(i64::MAX),
        );
        self.all(
            &injections_sql(which),
            params![query.person, from_ms, to_ms, limit],
            rows::injection,
        )
    }

    /// A person's current injections of one medicine given from `from_ms` (included) to `to_ms` (not included), in
    /// milliseconds since 1970 UTC; the newest first.
    pub fn injections_of_medicine(
        &self,
        person: &str,
        medicine: &str,
        from_ms: i64,
        to_ms: i64,
    ) -> Result<Vec<InjectionEntry>> {
        let sql = injections_sql(&format!("i.medicine = ?5 AND {}", given_and_current()));
        self.all(
            &sql,
            params![person, from_ms, to_ms, -1, medicine],
            rows::injection,
        )
    }

    /// A person's latest current injection of any medicine, by the instant given.
    pub fn last_injection(&self, person: &str) -> Result<Option<InjectionEntry>> {
        let query = InjectionQuery {
            person: person.to_owned(),
            limit: Some(1),
            ..InjectionQuery::default()
        };
        Ok(self.injections(&query)?.pop())
    }

    /// [`Reader::last_injection`] for everybody at once, by the person's id.
    pub fn last_injections(&self) -> Result<BTreeMap<String, InjectionEntry>> {
        let last = self.all(&last_injections_sql(), [], rows::injection)?;
        Ok(last
            .into_iter()
            .map(|entry| (entry.person.clone(), entry))
            .collect())
    }

    /// A person's current events from `from_ms` (included) to `to_ms` (not included), in milliseconds since 1970 UTC; the
    /// newest first, then the last recorded first. Withdrawn ones are left out.
    pub fn events(&self, person: &str, from_ms: i64, to_ms: i64) -> Result<Vec<EventEntry>> {
        let which = format!("v.status = 'final' AND {CURRENT}");
        let sql = events_sql(&which);
        self.all(&sql, params![person, from_ms, to_ms], rows::event)
    }

    /// [`Reader::events`], with those that were corrected or withdrawn and with the entries that withdrew them.
    pub fn events_with_superseded(
        &self,
        person: &str,
        from_ms: i64,
        to_ms: i64,
    ) -> Result<Vec<EventEntry>> {
        let sql = events_sql("true");
        self.all(&sql, params![person, from_ms, to_ms], rows::event)
    }

    /// The event entry with exactly this id, superseded or not.
    pub fn event(&self, id: &str) -> Result<Option<EventEntry>> {
        let sql = format!(
            "SELECT {HEAD}, {EVENT} FROM entry e JOIN event_entry v ON v.seq = e.seq WHERE e.id = ?1"
        );
        self.one(&sql, [id], rows::event)
    }

    /// The containers of an order as they stand now, the last recorded first.
    pub fn containers(&self, order: &str) -> Result<Vec<ContainerEntry>> {
        let sql = format!(
            "SELECT {HEAD}, {CONTAINER} FROM container_entry c CROSS JOIN entry e ON e.seq = c.seq \
             WHERE c.order_id = ?1 AND {CURRENT} ORDER BY c.seq DESC"
        );
        self.all(&sql, [order], rows::container)
    }

    /// The container with this id (the root) as it stands now.
    pub fn container(&self, id: &str) -> Result<Option<ContainerEntry>> {
        let sql = format!(
            "SELECT {HEAD}, {CONTAINER} FROM entry e JOIN container_entry c ON c.seq = e.seq WHERE {NOW_OF_ROOT}"
        );
        self.one(&sql, [id], rows::container)
    }

    /// The names that have a PIN on this device, in order.
    pub fn recorders_with_pin(&self) -> Result<Vec<String>> {
        let mut select = self
            .conn()
            .prepare_cached("SELECT name FROM recorder ORDER BY name")?;
        let names = select.query_map([], |row| row.get(0))?;
        Ok(names.collect::<rusqlite::Result<_>>()?)
    }

    /// What was kept of the PIN of this name.
    pub fn pin(&self, name: &str) -> Result<Option<String>> {
        self.one("SELECT pin FROM recorder WHERE name = ?1", [name], |row| {
            row.get(0)
        })
    }

    /// Names seen in the person's own entries, their orders and their latest 500 injections; the name seen in the
    /// latest entry first, each once.
    pub fn recorders(&self, person: &str) -> Result<Vec<String>> {
        let sql = format!(
            "WITH latest AS (SELECT i.seq, i.given_by FROM injection_entry i WHERE i.person = ?1 \
               ORDER BY i.given_utc_ms DESC, i.seq DESC LIMIT {RECORDERS_FROM}), \
             seen AS (SELECT seq, given_by AS name FROM latest \
               UNION ALL SELECT e.seq, e.recorder FROM latest l CROSS JOIN entry e ON e.seq = l.seq \
               UNION ALL SELECT e.seq, e.recorder FROM order_entry o CROSS JOIN entry e ON e.seq = o.seq \
                 WHERE o.person = ?1 \
               UNION ALL SELECT e.seq, e.recorder FROM entry e WHERE e.id = ?1 \
               UNION ALL SELECT e.seq, e.recorder FROM entry e WHERE e.root = ?1 AND e.supersedes IS NOT NULL) \
             SELECT name FROM seen WHERE length(name) > 0 GROUP BY name ORDER BY max(seq) DESC, name"
        );
        self.all(&sql, [person], |row| row.get(0))
    }

    /// What the entry with this id is about; `None` when the id is free.
    pub fn entry_kind(&self, id: &str) -> Result<Option<Kind>> {
        let code: Option<String> =
            self.one("SELECT kind FROM entry WHERE id = ?1", [id], |row| {
                row.get(0)
            })?;
        code.map(|code| {
            Kind::from_code(&code).ok_or_else(|| StoreError::unreadable("a kind of entry"))
        })
        .transpose()
    }

    /// The clinic's choices now; `None` when it never made any.
    pub fn practice(&self) -> Result<Option<PracticeEntry>> {
        let sql = format!(
            "SELECT {HEAD}, c.navel_margin_cm FROM practice_entry c CROSS JOIN entry e ON e.seq = c.seq \
             WHERE {CURRENT} ORDER BY c.seq DESC LIMIT 1"
        );
        self.one(&sql, [], rows::practice)
    }

    /// The draft with this key.
    pub fn draft(&self, key: &str) -> Result<Option<Draft>> {
        let sql = "SELECT key, body, opened_utc_ms, opened_offset_min FROM draft WHERE key = ?1";
        self.one(sql, [key], rows::draft)
    }

    /// When the entry inserted last was recorded, in milliseconds since 1970 UTC. Not the greatest such instant: one
    /// entry made under a clock that ran ahead must not put every later one in doubt.
    pub fn latest_recorded_ms(&self) -> Result<Option<i64>> {
        self.one(
            "SELECT recorded_utc_ms FROM entry ORDER BY seq DESC LIMIT 1",
            [],
            |row| row.get(0),
        )
    }
}

/// Of an injection `i` with its entry `e`: it was given and is current.
fn given_and_current() -> String {
    format!("i.status = 'given' AND {CURRENT}")
}

// CROSS JOIN holds SQLite to the order written: first the few rows the index gives, then their heads.

/// `?1` person, `?2` from, `?3` up to, `?4` at most.
pub(crate) fn injections_sql(which: &str) -> String {
    format!(
        "SELECT {HEAD}, {INJECTION} FROM injection_entry i CROSS JOIN entry e ON e.seq = i.seq \
         WHERE i.person = ?1 AND i.given_utc_ms >= ?2 AND i.given_utc_ms < ?3 AND {which} \
         ORDER BY i.given_utc_ms DESC, i.seq DESC LIMIT ?4"
    )
}

/// `?1` person, `?2` from, `?3` up to.
fn events_sql(which: &str) -> String {
    format!(
        "SELECT {HEAD}, {EVENT} FROM event_entry v CROSS JOIN entry e ON e.seq = v.seq \
         WHERE v.person = ?1 AND v.at_utc_ms >= ?2 AND v.at_utc_ms < ?3 AND {which} \
         ORDER BY v.at_utc_ms DESC, v.seq DESC"
    )
}

fn orders_sql(whose: &str) -> String {
    format!(
        "SELECT {HEAD}, {ORDER} FROM order_entry o CROSS JOIN entry e ON e.seq = o.seq \
         WHERE {whose} AND {CURRENT} ORDER BY (SELECT r.seq FROM entry r WHERE r.id = e.root)"
    )
}

fn last_injections_sql() -> String {
    format!(
        "SELECT {HEAD}, {INJECTION} FROM person_entry p CROSS JOIN entry first ON first.seq = p.seq \
         CROSS JOIN injection_entry i ON i.seq = (\
           SELECT i.seq FROM injection_entry i CROSS JOIN entry e ON e.seq = i.seq \
           WHERE i.person = first.id AND {} ORDER BY i.given_utc_ms DESC, i.seq DESC LIMIT 1) \
         CROSS JOIN entry e ON e.seq = i.seq WHERE first.supersedes IS NULL",
        given_and_current()
    )
}

#[cfg(test)]
mod tests {
    use rusqlite::StatementStatus;

    use super::*;
    use crate::Store;

    const DAY_MS: i64 = 86_400_000;

    /// A store in which two people had `each` injections, one a day, turn about; straight past the store's own checks.
    fn with_injections(each: i64) -> (tempfile::TempDir, Store) {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let uuid = "printf('01900000-0000-7000-8000-%012x', n)";
        let entry = |kind: &str| {
            format!(
                "INSERT INTO entry (id, root, kind, recorded_utc_ms, recorded_offset_min, clock_set) \
                 SELECT {uuid}, {uuid}, '{kind}', 0, 0, 0 FROM number ORDER BY n;"
            )
        };
        store
            .conn()
            .execute_batch(&format!(
                "BEGIN; CREATE TEMP TABLE number AS SELECT 1 AS n UNION SELECT 2; {};
                 INSERT INTO person_entry SELECT n, 'Ada', '1951-03-09', 'UTC', 'not_asked', NULL, 0, NULL, NULL, NULL, \
                   NULL, '[]', NULL, NULL, NULL FROM number;
                 UPDATE number SET n = n + 2; {};
                 INSERT INTO order_entry SELECT seq, printf('01900000-0000-7000-8000-%012x', seq - 2), 'enoxaparin', 1, \
                   'mg', '[]', 1, '2026-06-01', NULL, '', NULL, '[]', NULL, NULL, NULL, NULL, NULL, NULL, 0, NULL, NULL, \
                   NULL, 0, NULL, '[]' FROM entry WHERE kind = 'order';
                 DELETE FROM number;
                 WITH RECURSIVE up (n) AS (SELECT 5 UNION ALL SELECT n + 1 FROM up WHERE n < 4 + 2 * {each})
                 INSERT INTO number SELECT n FROM up; {};
                 INSERT INTO injection_entry SELECT n, printf('01900000-0000-7000-8000-%012x', 1 + n % 2), \
                   printf('01900000-0000-7000-8000-%012x', 3 + n % 2), 'enoxaparin', 'abdomen', 'left_lower', 1, 1, \
                   n / 2 * {DAY_MS}, 0, 'UTC', 1, 'mg', '', NULL, 'given', NULL, '[]', '[]', NULL, NULL, NULL, NULL FROM number ORDER BY n;
                 DROP TABLE number; COMMIT",
                entry("person"),
                entry("order"),
                entry("injection"),
            ))
            .unwrap();
        (dir, store)
    }

    const FIRST: &str = "01900000-0000-7000-8000-000000000001";

    fn plan(store: &Store, sql: &str) -> String {
        let mut statement = store
            .conn()
            .prepare(&format!("EXPLAIN QUERY PLAN {sql}"))
            .unwrap();
        let places = statement.parameter_count();
        let rows = statement
            .query_map(
                rusqlite::params_from_iter(std::iter::repeat_n(0, places)),
                |row| row.get::<_, String>(3),
            )
            .unwrap();
        rows.collect::<rusqlite::Result<Vec<_>>>()
            .unwrap()
            .join("\n")
    }

    #[test]
    fn a_window_is_read_by_index_and_needs_no_sorting() {
        let (_dir, store) = with_injections(10);
        for which in ["true", &given_and_current()] {
            let plan = plan(&store, &injections_sql(which));
            let by_index = "SEARCH i USING INDEX injection_of_person (person=? AND given_utc_ms>? AND given_utc_ms<?)";
            assert!(plan.starts_with(by_index), "{plan}");
            assert!(
                !plan.contains("SCAN") && !plan.contains("TEMP B-TREE"),
                "{plan}"
            );
        }
    }

    #[test]
    fn the_caseload_does_not_read_every_entry() {
        let (_dir, store) = with_injections(10);
        let plan = plan(&store, &last_injections_sql());
        // Only the people are gone through one by one.
        assert_eq!(
            plan.matches("SCAN").count(),
            plan.matches("SCAN p").count(),
            "{plan}"
        );
        assert!(!plan.contains("TEMP B-TREE"), "{plan}");
    }

    #[test]
    fn a_current_version_is_found_by_index() {
        let (_dir, store) = with_injections(10);
        for (table, columns) in [("person_entry p", PERSON), ("order_entry o", ORDER)] {
            let name = &table[table.len() - 1..];
            let sql = format!(
                "SELECT {HEAD}, {columns} FROM entry e JOIN {table} ON {name}.seq = e.seq WHERE {NOW_OF_ROOT}"
            );
            let plan = plan(&store, &sql);
            assert!(
                !plan.contains("SCAN e") && !plan.contains(&format!("SCAN {name}")),
                "{plan}"
            );
            assert!(plan.contains("entry_chain"), "{plan}");
        }
    }

    /// The work of reading the last 28 days, in steps of `SQLite`'s virtual machine.
    fn steps_for_28_days(each: i64) -> i32 {
        let (_dir, store) = with_injections(each);
        let last = (2 + each) * DAY_MS;
        let mut statement = store
            .conn()
            .prepare(&injections_sql(&given_and_current()))
            .unwrap();
        let rows = statement
            .query_map(
                params![FIRST, last - 28 * DAY_MS, last, -1],
                rows::injection,
            )
            .unwrap()
            .collect::<rusqlite::Result<Vec<_>>>()
            .unwrap();
        assert!((27..=28).contains(&rows.len()), "{}", rows.len());
        statement.get_status(StatementStatus::VmStep)
    }

    #[test]
    fn the_work_of_28_days_does_not_grow_with_the_record() {
        let (short, long) = (steps_for_28_days(100), steps_for_28_days(50_000));
        assert!(
            short > 0 && long < short * 11 / 10,
            "{short} steps became {long}"
        );
    }
}
