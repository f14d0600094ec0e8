//! The schema and the ladder of migrations that leads to it.
//!
//! The SQL is in `migrations/` at the root of the repository; a released file is never edited.

use rusqlite_migration::{M, Migrations};

/// The first migration, word for word.
pub const JOURNAL_SQL: &str = include_str!("../../../migrations/0001_journal.sql");

/// Newest schema version this program knows: the number of migrations.
pub const KNOWN: i64 = 1;

/// The application id in the header of every store, the bytes `FALW`.
pub const APPLICATION_ID: u32 = 0x4641_4C57;

/// The ladder, oldest first.
pub(crate) fn migrations() -> Migrations<'static> {
    Migrations::new(vec![M::up(JOURNAL_SQL).foreign_key_check()])
}
