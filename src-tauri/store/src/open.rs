//! How a store is found, checked and opened, or refused without touching a byte of it.
//!
//! A folder holds `fallow.db` and `fallow.marker`. The marker tells an empty disk from a lost store: once it has its
//! text, a missing or empty file is never taken for a first start. Not here: what is in the store.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, OptionalExtension as _, TransactionBehavior};
use rusqlite_migration::Migrations;

use crate::backup;
use crate::error::StoreError;
use crate::folder::{self, Found, Marker};
use crate::journal;
use crate::keys::{Key, Keyring};
use crate::query::Reader;
use crate::schema;
use crate::write::Tx;

/// How long a connection waits for another to finish writing.
const WAIT: Duration = Duration::from_secs(5);
/// The first `SQLite` without the fault that loses a commit racing a checkpoint in WAL mode (fixed in 3.51.3).
const OLDEST_SQLITE: i32 = 3_051_003;

/// How many prepared statements a connection keeps: more than there are different ones in this crate.
const STATEMENTS: usize = 64;

/// What lies in a folder, as far as it can be told without a key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// No store, and no sign that there ever was one.
    Nothing,
    /// A plain store.
    Plain,
    /// A protected one.
    Protected,
}

/// Looks into a folder and changes nothing.
///
/// # Errors
/// As [`Store::open_with`] for what is not a store or is damaged.
pub fn standing(dir: &Path) -> Result<Standing, StoreError> {
    Ok(match folder::look(dir)? {
        Found::Nothing => Standing::Nothing,
        Found::File {
            user_version: Some(_),
            ..
        } => Standing::Plain,
        Found::File { .. } => Standing::Protected,
    })
}

/// One connection to the store in one folder.
pub struct Store {
    conn: Connection,
    dir: PathBuf,
    /// What it is encrypted with.
    key: Option<Key>,
    /// Whose PIN was given; entries under another name with a PIN say that it was not.
    confirmed: Vec<String>,
    /// The file that was opened, whatever lies under its name now.
    file: Option<FileId>,
    /// Schema version of a file that is newer than this program.
    newer: Option<i64>,
}

/// What tells one file from another under the same name: device and number, where the system has them.
type FileId = (u64, u64);

fn file_id(file: &Path) -> Result<Option<FileId>, StoreError> {
    match fs::metadata(file) {
        #[cfg(unix)]
        Ok(found) => {
            use std::os::unix::fs::MetadataExt as _;
            Ok(Some((found.dev(), found.ino())))
        }
        #[cfg(not(unix))]
        Ok(_) => Ok(None),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Err(StoreError::Missing),
        Err(e) => Err(StoreError::io("looking for the file", e)),
    }
}

impl Store {
    /// Opens the plain store in `dir`; makes one only where there has never been one.
    ///
    /// # Errors
    /// As [`Store::open_with`]; [`StoreError::Locked`] where the store is protected.
    pub fn open(dir: &Path) -> Result<Self, StoreError> {
        Self::open_with(dir, None)
    }

    /// Opens the store in `dir`, encrypted with `key` or plain; makes one only where there has never been one.
    ///
    /// A plain store is opened as it is, whatever the key.
    ///
    /// A new folder is readable by its owner only, and so is the file. A file of a newer version is opened for
    /// reading only ([`Store::writable`] is false) and left byte for byte as it was.
    ///
    /// # Errors
    /// [`StoreError::Damaged`] for an empty, cut or foreign file; [`StoreError::Missing`] where there was a store
    /// before; [`StoreError::Locked`] and [`StoreError::KeysMissing`] of a protected one; [`StoreError::NotAFolder`],
    /// [`StoreError::ReadOnly`], [`StoreError::DiskFull`], [`StoreError::Busy`]. A file that another key was meant for
    /// cannot be told from a damaged one.
    pub fn open_with(dir: &Path, key: Option<&Key>) -> Result<Self, StoreError> {
        Self::open_or_make(dir, key, None)
    }

    /// Makes the protected store of a folder where there has never been one: its keys first, then its file.
    ///
    /// # Errors
    /// As [`Store::open_with`]; [`StoreError::Locked`] where somebody made one first. Where no store was made, no keys
    /// stay behind.
    pub fn make(dir: &Path, ring: &Keyring, key: &Key) -> Result<Self, StoreError> {
        Self::open_or_make(dir, Some(key), Some(ring))
    }

    fn open_or_make(
        dir: &Path,
        key: Option<&Key>,
        ring: Option<&Keyring>,
    ) -> Result<Self, StoreError> {
        if rusqlite::version_number() < OLDEST_SQLITE {
            return Err(StoreError::Unsafe {
                what: "a commit that races a checkpoint (version too old)",
            });
        }
        folder::make(dir)?;
        if let Found::File {
            user_version,
            live_wal: false,
        } = folder::look(dir)?
        {
            let key = fitting(user_version, key)?;
            // A first look that makes nothing beside the file, so that a damaged one is refused as it lies.
            let conn = connect_to_read(dir, false, key)?;
            let found = match user_version {
                Some(version) => version,
                None => self::user_version(&conn)?,
            };
            if key.is_some() {
                whole_length(&conn, &dir.join(folder::FILE))?;
            }
            if found > schema::KNOWN {
                return Self::of(conn, dir, key, Some(found));
            }
        }
        // From here on the folder is written to. One at a time: two first starts must not make two files.
        let marker = Marker::lock(dir)?;
        let first = folder::look(dir)? == Found::Nothing;
        let opened = Self::open_held(dir, key, ring, marker);
        if first && opened.is_err() {
            // Nothing in it was ever told to be saved, and it is begun again whole.
            folder::remove_unbegun(dir);
            // Keys of a file that stands all the same are never removed.
            ring.filter(|_| !dir.join(folder::FILE).exists())
                .inspect(|ring| ring.remove(dir));
        }
        opened
    }

    /// The same with the marker held: nobody else makes or changes anything meanwhile.
    fn open_held(
        dir: &Path,
        key: Option<&Key>,
        ring: Option<&Keyring>,
        marker: Marker,
    ) -> Result<Self, StoreError> {
        let (live_wal, key) = match folder::look(dir)? {
            Found::Nothing => {
                ring.map_or(Ok(()), |ring| ring.keep(dir))?;
                make_file(dir, key)?;
                (false, key)
            }
            // Somebody was faster, with another key.
            Found::File { .. } if ring.is_some() => return Err(StoreError::Locked),
            Found::File {
                live_wal,
                user_version,
            } => (live_wal, fitting(user_version, key)?),
        };
        let mut conn = connect(&dir.join(folder::FILE), key)?;
        let found = user_version(&conn)?;
        if found > schema::KNOWN {
            drop(conn);
            let conn = connect_to_read(dir, live_wal, key)?;
            return Self::of(conn, dir, key, Some(found));
        }
        if live_wal {
            quick_check(&conn)?;
        }
        settle(&conn)?;
        climb(&mut conn, dir, key, (&schema::migrations(), schema::KNOWN))?;
        // Up to here a refusal leaves the file and its log as they were; from here on closing tidies them.
        conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false)?;
        marker.keep(dir, key.is_some())?;
        Self::of(conn, dir, key, None)
    }

    fn of(
        conn: Connection,
        dir: &Path,
        key: Option<&Key>,
        newer: Option<i64>,
    ) -> Result<Self, StoreError> {
        Ok(Self {
            file: file_id(&dir.join(folder::FILE))?,
            conn,
            dir: dir.to_owned(),
            key: key.cloned(),
            confirmed: Vec::new(),
            newer,
        })
    }

    /// Whose PIN was given, for the entries to come.
    pub fn set_confirmed(&mut self, names: Vec<String>) {
        self.confirmed = names;
    }

    /// Whether it is encrypted.
    pub fn is_protected(&self) -> bool {
        self.key.is_some()
    }

    /// What it is encrypted with.
    pub fn key(&self) -> Option<&Key> {
        self.key.as_ref()
    }

    /// The folder it lies in.
    pub(crate) fn dir(&self) -> &Path {
        &self.dir
    }

    /// Whether entries can be appended; false for a file of a newer version.
    pub fn writable(&self) -> bool {
        self.newer.is_none()
    }

    /// The refusal that [`Store::transact`] gives when the store is not writable.
    pub fn too_new(&self) -> Option<StoreError> {
        self.newer.map(|found| StoreError::TooNew {
            found,
            known: schema::KNOWN,
        })
    }

    /// Queries outside a transaction.
    pub fn reader(&self) -> Reader<'_> {
        Reader::new(&self.conn)
    }

    /// Runs `act` inside one immediate transaction: all of it is durable when this returns `Ok`, none of it otherwise.
    ///
    /// # Errors
    /// Whatever `act` returns; [`StoreError::TooNew`] on a file of a newer version; [`StoreError::Busy`] when another
    /// connection writes for longer than five seconds; [`StoreError::DiskFull`]; [`StoreError::Missing`] where the file
    /// was moved or removed since: the system would take what is written to it, and nobody would find it again.
    pub fn transact<T, E: From<StoreError>>(
        &mut self,
        act: impl FnOnce(&Tx<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        if let Some(refusal) = self.too_new() {
            return Err(refusal.into());
        }
        let transaction = self
            .conn
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(StoreError::from)?;
        // An early return or a panic drops the transaction, which rolls it back.
        let answer = act(&Tx::new(&transaction, &self.confirmed))?;
        journal::link(&transaction)?;
        if file_id(&self.dir.join(folder::FILE))? != self.file {
            return Err(StoreError::Missing.into());
        }
        transaction.commit().map_err(StoreError::from)?;
        Ok(answer)
    }

    /// The connection, for checks of what the database itself refuses.
    #[cfg(test)]
    pub(crate) fn conn(&self) -> &Connection {
        &self.conn
    }
}

/// The key for a file: none for a plain one, whose header tells its version.
fn fitting(user_version: Option<i64>, key: Option<&Key>) -> Result<Option<&Key>, StoreError> {
    match (user_version, key) {
        (Some(_), _) => Ok(None),
        (None, Some(key)) => Ok(Some(key)),
        (None, None) => Err(StoreError::Locked),
    }
}

/// Gives a new connection its key, before anything else is asked of it, and makes sure that it is used.
pub(crate) fn unlock(conn: &Connection, key: Option<&Key>) -> Result<(), StoreError> {
    let Some(key) = key else { return Ok(()) };
    // What it would write to standard error holds no key, but names pages where nobody asked.
    conn.execute_batch("PRAGMA cipher_log_level = NONE")?;
    conn.pragma_update(None, "key", &**key.raw())?;
    let cipher: Option<String> = conn
        .query_row("PRAGMA cipher_version", [], |row| row.get(0))
        .optional()?;
    if cipher.is_none_or(|version| version.is_empty()) {
        return Err(StoreError::Unsafe {
            what: "a store encrypted (no cipher)",
        });
    }
    Ok(())
}

/// Refuses an encrypted file that has fewer pages than it says. `SQLite` notices that only where it looks for one of them.
fn whole_length(conn: &Connection, file: &Path) -> Result<(), StoreError> {
    let pages: i64 = conn.query_row("PRAGMA page_count", [], |row| row.get(0))?;
    let found = fs::metadata(file).map_err(|e| StoreError::io("measuring the file", e))?;
    if found.len() < folder::PAGE * pages.unsigned_abs() {
        return Err(StoreError::Damaged {
            detail: "it is cut short".to_owned(),
        });
    }
    Ok(())
}

/// A connection for writing that leaves the log alone when it closes.
pub(crate) fn connect(file: &Path, key: Option<&Key>) -> Result<Connection, StoreError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut conn = Connection::open_with_flags(file, flags)?;
    unlock(&conn, key)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
    conn.busy_timeout(WAIT)?;
    conn.set_transaction_behavior(TransactionBehavior::Immediate);
    conn.set_prepared_statement_cache_capacity(STATEMENTS);
    // SQLite opens a file that cannot be written for reading, without a word.
    if conn.is_readonly(rusqlite::MAIN_DB)? {
        return Err(StoreError::ReadOnly);
    }
    Ok(conn)
}

/// A connection for reading that changes nothing: not the file, not its log.
fn connect_to_read(
    dir: &Path,
    live_wal: bool,
    key: Option<&Key>,
) -> Result<Connection, StoreError> {
    let file = dir.join(folder::FILE);
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = if live_wal {
        // What the log holds is part of the record, so the log must be read, and its index is made beside it.
        Connection::open_with_flags(&file, flags)?
    } else {
        open_immutable(&file)?
    };
    unlock(&conn, key)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
    conn.busy_timeout(WAIT)?;
    conn.set_prepared_statement_cache_capacity(STATEMENTS);
    user_version(&conn)?;
    Ok(conn)
}

fn open_immutable(file: &Path) -> Result<Connection, StoreError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
        | OpenFlags::SQLITE_OPEN_NO_MUTEX
        | OpenFlags::SQLITE_OPEN_URI;
    Ok(Connection::open_with_flags(
        folder::immutable_uri(file),
        flags,
    )?)
}

/// A connection to a file that nobody writes to; it makes nothing beside it.
pub(crate) fn immutable(file: &Path, key: Option<&Key>) -> Result<Connection, StoreError> {
    let conn = open_immutable(file)?;
    unlock(&conn, key)?;
    Ok(conn)
}

/// The schema version, which is also the first real look into the file.
pub(crate) fn user_version(conn: &Connection) -> Result<i64, StoreError> {
    Ok(conn.query_row(
        "SELECT user_version, (SELECT count(*) FROM sqlite_schema) FROM pragma_user_version",
        [],
        |row| row.get(0),
    )?)
}

fn quick_check(conn: &Connection) -> Result<(), StoreError> {
    let said: String = conn.query_row("PRAGMA quick_check(1)", [], |row| row.get(0))?;
    if said == "ok" {
        Ok(())
    } else {
        Err(StoreError::Damaged { detail: said })
    }
}

/// Sets what durability and integrity rest on, and reads it back.
fn settle(conn: &Connection) -> Result<(), StoreError> {
    // On Apple's systems a plain sync does not reach the disk; elsewhere the two `fullfsync` settings do nothing.
    conn.execute_batch(
        "PRAGMA foreign_keys = ON; PRAGMA recursive_triggers = ON; PRAGMA trusted_schema = OFF; \
         PRAGMA cell_size_check = ON; PRAGMA fullfsync = ON; PRAGMA checkpoint_fullfsync = ON; \
         PRAGMA synchronous = FULL; PRAGMA temp_store = MEMORY;",
    )?;
    let mode: String = conn.query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))?;
    if mode != "wal" {
        return Err(StoreError::Unsafe {
            what: "its log ahead of the file (journal_mode=WAL)",
        });
    }
    for (pragma, wanted, what) in [
        (
            "foreign_keys",
            1,
            "references between entries (foreign_keys)",
        ),
        (
            "synchronous",
            2,
            "a commit through a power cut (synchronous=FULL)",
        ),
        (
            "temp_store",
            2,
            "what it sorts off the disk (temp_store=MEMORY)",
        ),
        (
            "recursive_triggers",
            1,
            "entries from being replaced (recursive_triggers)",
        ),
    ] {
        let found: i64 = conn.pragma_query_value(None, pragma, |row| row.get(0))?;
        if found != wanted {
            return Err(StoreError::Unsafe { what });
        }
    }
    Ok(())
}

/// Brings an older file to this program's schema, after a copy of it was made, checked and kept beside it.
fn climb(
    conn: &mut Connection,
    dir: &Path,
    key: Option<&Key>,
    (ladder, top): (&Migrations<'_>, i64),
) -> Result<(), StoreError> {
    let from = user_version(conn)?;
    if from < top {
        backup::before_migration(conn, dir, key, from)?;
        ladder.to_latest(conn)?;
    }
    Ok(())
}

/// Makes the file under another name and moves it into place whole, so that a first start cut short leaves none.
fn make_file(dir: &Path, key: Option<&Key>) -> Result<(), StoreError> {
    let new = dir.join(folder::NEW_FILE);
    folder::remove_new(dir)?;
    let made = fill(&new, key).and_then(|()| {
        // There is no file, so what lies beside one belongs to none.
        folder::remove_log(dir)?;
        fs::rename(&new, dir.join(folder::FILE))
            .map_err(|e| StoreError::io("moving the new file into place", e))?;
        folder::sync(dir)
    });
    if made.is_err() {
        // The first error is the one to tell.
        folder::remove_new(dir).ok();
    }
    made
}

fn fill(new: &Path, key: Option<&Key>) -> Result<(), StoreError> {
    folder::create_private(new)?;
    let mut conn = connect(new, key)?;
    schema::migrations().to_latest(&mut conn)?;
    conn.close().map_err(|(_, error)| error)?;
    File::open(new)
        .and_then(|file| file.sync_all())
        .map_err(|e| StoreError::io("syncing the new file", e))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn draft(store: &mut Store, body: &str) -> Result<(), StoreError> {
        store
            .transact(|tx| tx.save_draft("give", body, chrono::DateTime::UNIX_EPOCH.fixed_offset()))
    }

    #[test]
    fn the_settings_that_durability_rests_on_are_in_force() {
        let dir = tempfile::tempdir().unwrap();
        let store = Store::open(dir.path()).unwrap();
        let number = |pragma: &str| {
            store
                .conn
                .pragma_query_value(None, pragma, |row| row.get::<_, i64>(0))
                .unwrap()
        };
        for (pragma, value) in [
            ("foreign_keys", 1),
            ("synchronous", 2),
            ("fullfsync", 1),
            ("checkpoint_fullfsync", 1),
            ("recursive_triggers", 1),
            ("trusted_schema", 0),
            ("cell_size_check", 1),
            ("busy_timeout", 5000),
        ] {
            assert_eq!(number(pragma), value, "{pragma}");
        }
        let mode: String = store
            .conn
            .pragma_query_value(None, "journal_mode", |row| row.get(0))
            .unwrap();
        assert_eq!(mode, "wal");
        assert!(rusqlite::version_number() >= OLDEST_SQLITE);
    }

    #[test]
    fn a_file_that_was_taken_away_is_told_before_anything_is_acknowledged() {
        let dir = tempfile::tempdir().unwrap();
        let mut store = Store::open(dir.path()).unwrap();
        draft(&mut store, "kept").unwrap();
        let file = dir.path().join(folder::FILE);
        fs::rename(&file, dir.path().join("elsewhere")).unwrap();
        assert!(matches!(
            draft(&mut store, "lost"),
            Err(StoreError::Missing)
        ));
        // Another one in its place is not the one that was opened.
        fs::copy(dir.path().join("elsewhere"), &file).unwrap();
        assert!(matches!(
            draft(&mut store, "lost"),
            Err(StoreError::Missing)
        ));
        fs::rename(dir.path().join("elsewhere"), &file).unwrap();
        draft(&mut store, "kept again").unwrap();
    }

    #[test]
    fn before_an_older_file_is_changed_a_copy_of_it_is_kept() {
        use rusqlite_migration::M;
        let ladder = Migrations::new(vec![
            M::up(schema::JOURNAL_SQL),
            M::up("CREATE TABLE later (x INTEGER) STRICT"),
        ]);
        for protected in [false, true] {
            let dir = tempfile::tempdir().unwrap();
            let secret = crate::Secret::passphrase("heron under the bridge");
            let cost = crate::Cost {
                memory_kib: 64,
                passes: 1,
                lanes: 1,
            };
            let (ring, key) = Keyring::new(&secret, cost, 5).unwrap();
            let mut store = if protected {
                Store::make(dir.path(), &ring, &key).unwrap()
            } else {
                Store::open(dir.path()).unwrap()
            };
            draft(&mut store, "kept").unwrap();
            drop(store);
            let key = protected.then_some(&key);
            let mut conn = connect(&dir.path().join(folder::FILE), key).unwrap();
            // Nothing is older than what this program knows: no copy.
            climb(&mut conn, dir.path(), key, (&schema::migrations(), 1)).unwrap();
            let copy = dir.path().join("fallow-before-version-2.db");
            assert!(!copy.exists());
            climb(&mut conn, dir.path(), key, (&ladder, 2)).unwrap();
            assert_eq!(user_version(&conn).unwrap(), 2);
            let old = immutable(&copy, key).unwrap();
            assert_eq!(user_version(&old).unwrap(), 1);
            let body: String = old
                .query_row("SELECT body FROM draft", [], |row| row.get(0))
                .unwrap();
            assert_eq!(body, "kept");
            assert_eq!(copy.with_extension("keys").exists(), protected);
            // One that fails leaves the file as it was, and the copy of before.
            let broken = Migrations::new(vec![
                M::up(schema::JOURNAL_SQL),
                M::up("CREATE TABLE later (x INTEGER) STRICT"),
                M::up("CREATE TABLE half (x INTEGER) STRICT; SELECT no_such_function()"),
            ]);
            assert!(climb(&mut conn, dir.path(), key, (&broken, 3)).is_err());
            assert_eq!(user_version(&conn).unwrap(), 2);
            let half = "SELECT count(*) FROM sqlite_schema WHERE name = 'half'";
            let half: i64 = conn.query_row(half, [], |row| row.get(0)).unwrap();
            assert_eq!(half, 0);
        }
    }

    #[test]
    fn a_store_held_by_another_is_busy() {
        let dir = tempfile::tempdir().unwrap();
        let mut store = Store::open(dir.path()).unwrap();
        let other = Connection::open(dir.path().join(folder::FILE)).unwrap();
        other.execute_batch("BEGIN IMMEDIATE").unwrap();
        store.conn.busy_timeout(Duration::from_millis(50)).unwrap();
        assert!(matches!(draft(&mut store, "{}"), Err(StoreError::Busy)));
        other.execute_batch("ROLLBACK").unwrap();
        draft(&mut store, "{}").unwrap();
    }

    #[test]
    fn a_store_that_may_not_grow_is_a_full_disk() {
        let dir = tempfile::tempdir().unwrap();
        let mut store = Store::open(dir.path()).unwrap();
        draft(&mut store, "kept").unwrap();
        let pages: i64 = store
            .conn
            .pragma_query_value(None, "page_count", |row| row.get(0))
            .unwrap();
        store
            .conn
            .pragma_update_and_check(None, "max_page_count", pages, |_| Ok(()))
            .unwrap();
        assert!(matches!(
            draft(&mut store, &"x".repeat(50_000)),
            Err(StoreError::DiskFull)
        ));
        assert_eq!(store.reader().draft("give").unwrap().unwrap().body, "kept");
    }
}
