//! Copies of the store: made whole, checked before they count, thinned by the calendar, put back without losing what was
//! there.
//!
//! Not here: when a copy is due, and the clock; both are the caller's.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use chrono::{DateTime, Datelike, Days, FixedOffset, Months, NaiveDate, NaiveDateTime, Utc};
use rusqlite::{Connection, OpenFlags};

use crate::copying::Copying;
use crate::error::StoreError;
use crate::folder::{self, Marker};
use crate::keys::{Key, Keyring};
use crate::open::{self, Store};
use crate::query::Reader;
use crate::schema;

/// Days, weeks and months for which the newest copy of each is kept.
const DAYS: u64 = 7;
const WEEKS: u64 = 5;
const MONTHS: u32 = 12;

/// How a copy's name tells when it was made.
const NAME: &str = "fallow-%Y-%m-%dT%H-%M-%SZ.db";
const UNFINISHED: &str = ".db.new";
/// Beside an encrypted copy: what wraps its key, so that the copy is of use without the store.
const KEYS: &str = ".keys";

/// A copy in a folder.
#[derive(Debug, Clone, PartialEq)]
pub struct Backup {
    /// Its file's name.
    pub name: String,
    /// When it was made, by its name.
    pub made_at: DateTime<Utc>,
    /// Its length.
    pub bytes: u64,
    /// Whether it is encrypted.
    pub protected: bool,
    /// How many entries it holds; `None` where it does not read back, be it damaged or of another key.
    pub entries: Option<u64>,
    /// The hash of its last entry.
    pub last_hash: Option<String>,
}

/// The copies in a folder, the newest first, each read all through, with `key` where it is encrypted; none where there is
/// no folder.
///
/// # Errors
/// As [`named`].
pub fn list(folder: &Path, key: Option<&Key>) -> Result<Vec<Backup>, StoreError> {
    named(folder)?
        .into_iter()
        .map(|(made_at, name)| {
            let file = folder.join(&name);
            let end = read(&file, key).ok();
            let found = fs::metadata(&file).map_err(reading)?;
            Ok(Backup {
                name,
                made_at,
                bytes: found.len(),
                protected: file.with_extension("keys").exists(),
                entries: end.as_ref().map(|end| end.0),
                last_hash: end.and_then(|end| end.1),
            })
        })
        .collect()
}

/// When the copies in a folder were made and what they are called, the newest first; by their names alone.
///
/// # Errors
/// [`StoreError::Io`] and the like where the folder cannot be read.
pub fn named(folder: &Path) -> Result<Vec<(DateTime<Utc>, String)>, StoreError> {
    let entries = match fs::read_dir(folder) {
        Err(e) if e.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries.map_err(reading)?,
    };
    let mut found = Vec::new();
    for entry in entries {
        let name = entry.map_err(reading)?.file_name();
        let name = name.to_string_lossy().into_owned();
        found.extend(made_at(&name).map(|at| (at, name)));
    }
    found.sort_by(|a, b| b.cmp(a));
    Ok(found)
}

fn reading(fault: io::Error) -> StoreError {
    StoreError::io("reading the folder of copies", fault)
}

fn made_at(name: &str) -> Option<DateTime<Utc>> {
    NaiveDateTime::parse_from_str(name, NAME)
        .ok()
        .map(|at| at.and_utc())
}

/// Makes a copy: under another name, opened and checked there, synced, and only then named. An earlier copy of the same
/// second is replaced; where anything fails, it stays as it was.
///
/// # Errors
/// [`StoreError::DiskFull`], [`StoreError::ReadOnly`], [`StoreError::NotAFolder`], [`StoreError::Busy`];
/// [`StoreError::Damaged`] where the copy is not what the store is.
pub fn make(store: &Store, folder: &Path, now: DateTime<Utc>) -> Result<Backup, StoreError> {
    make_watched(store, folder, now, &Copying::default())
}

/// The same, watched and stopped from elsewhere.
///
/// # Errors
/// As [`make`]; [`StoreError::Stopped`], with nothing left of it.
pub fn make_watched(
    store: &Store,
    folder: &Path,
    now: DateTime<Utc>,
    copying: &Copying,
) -> Result<Backup, StoreError> {
    folder::make(folder)?;
    // One at a time: each clears away what another left unfinished.
    let _alone = folder::alone(folder)?;
    clear(folder)?;
    let name = now.format(NAME).to_string();
    let new = folder.join(name.replace(".db", UNFINISHED));
    let filled = copy_checked(store.reader().conn(), store.key(), &new, copying);
    let made = filled.and_then(|(bytes, (entries, last_hash))| {
        copying.go_on()?;
        if store.is_protected() {
            // First, so that no copy is ever without.
            let ring = Keyring::read(store.dir())?.ok_or(StoreError::KeysMissing)?;
            ring.keep_as(folder, &keys_of(&name))?;
        }
        fs::rename(&new, folder.join(&name)).map_err(|e| StoreError::io("naming the copy", e))?;
        folder::sync(folder)?;
        Ok(Backup {
            made_at: made_at(&name).unwrap_or(now),
            name,
            bytes,
            protected: store.is_protected(),
            entries: Some(entries),
            last_hash,
        })
    });
    if made.is_err() {
        // The first error is the one to tell.
        clear(folder).ok();
    }
    made
}

/// Keeps the file as it is before its schema is changed, beside it, checked. An earlier one of the same version, which a
/// change cut short left, is replaced.
pub(crate) fn before_migration(
    conn: &Connection,
    dir: &Path,
    key: Option<&Key>,
    from: i64,
) -> Result<(), StoreError> {
    let name = format!("fallow-before-version-{}.db", from + 1);
    let new = dir.join(name.replace(".db", UNFINISHED));
    fs::remove_file(&new).ok();
    let made = copy_checked(conn, key, &new, &Copying::default()).and_then(|_| {
        if key.is_some() {
            let ring = Keyring::read(dir)?.ok_or(StoreError::KeysMissing)?;
            ring.keep_as(dir, &keys_of(&name))?;
        }
        fs::rename(&new, dir.join(&name)).map_err(|e| StoreError::io("naming the copy", e))?;
        folder::sync(dir)
    });
    if made.is_err() {
        fs::remove_file(&new).ok();
    }
    made
}

/// How many entries a copy holds, and the hash of the last.
type End = (u64, Option<String>);

/// Fills the copy, reads it back and syncs it; its length and its end.
fn copy_checked(
    conn: &Connection,
    key: Option<&Key>,
    new: &Path,
    copying: &Copying,
) -> Result<(u64, End), StoreError> {
    // Made here, empty and for its owner only: SQLite fills it and leaves its mode.
    folder::create_private(new)?;
    copying.writes(conn, new)?;
    conn.execute("VACUUM INTO ?1", [new.to_string_lossy()])?;
    let (entries, last) = read_watched(new, key, copying)?;
    // The store may have gone on since; the copy's last entry has to be one of its entries all the same, at its place.
    let place: Option<i64> = match &last {
        None => (entries == 0).then_some(0),
        Some(hash) => conn.query_row(
            "SELECT (SELECT count(*) FROM journal_link b WHERE b.seq <= l.seq) FROM journal_link l WHERE l.hash = ?1 \
             UNION ALL SELECT NULL LIMIT 1",
            [hash],
            |row| row.get(0),
        )?,
    };
    if place.map(i64::unsigned_abs) != Some(entries) {
        return Err(StoreError::Damaged {
            detail: "the copy is not what the store is".to_owned(),
        });
    }
    let file = File::open(new).map_err(|e| StoreError::io("opening the copy", e))?;
    file.sync_all()
        .map_err(|e| StoreError::io("syncing the copy", e))?;
    let length = file.metadata();
    let length = length.map_err(|e| StoreError::io("measuring the copy", e))?;
    Ok((length.len(), (entries, last)))
}

/// Removes what a copy that was cut short left behind.
fn clear(folder: &Path) -> Result<(), StoreError> {
    for entry in fs::read_dir(folder).map_err(reading)? {
        let entry = entry.map_err(reading)?;
        let name = entry.file_name().to_string_lossy().into_owned();
        let unfinished = [UNFINISHED, ".db.new-journal", ".keys.new"];
        if name.starts_with("fallow-") && unfinished.iter().any(|end| name.ends_with(end)) {
            fs::remove_file(entry.path())
                .map_err(|e| StoreError::io("removing an unfinished copy", e))?;
        }
    }
    Ok(())
}

fn keys_of(name: &str) -> String {
    name.replace(".db", KEYS)
}

/// What wraps the key of a copy; `None` where nothing lies beside it.
///
/// # Errors
/// [`StoreError::KeysDamaged`], [`StoreError::Io`].
pub fn ring_of(folder: &Path, name: &str) -> Result<Option<Keyring>, StoreError> {
    Keyring::read_file(&folder.join(keys_of(name)))
}

/// Puts a ring beside every copy of the same key, after its passphrase was changed; how many.
///
/// # Errors
/// [`StoreError::ReadOnly`] and the like where one cannot be written: the earlier passphrase goes on opening that copy.
pub fn rewrap(folder: &Path, ring: &Keyring) -> Result<usize, StoreError> {
    let mut done = 0;
    for (_, name) in named(folder)? {
        if ring_of(folder, &name).is_ok_and(|found| found.is_some_and(|found| found.is_of(ring))) {
            ring.keep_as(folder, &keys_of(&name))?;
            done += 1;
        }
    }
    Ok(done)
}

/// Reads a copy all through.
pub(crate) fn read(file: &Path, key: Option<&Key>) -> Result<End, StoreError> {
    read_watched(file, key, &Copying::default())
}

fn read_watched(file: &Path, key: Option<&Key>, copying: &Copying) -> Result<End, StoreError> {
    let plain = folder::is_plain(file)?;
    if plain {
        // What a plain file tells without being opened.
        folder::version_of(file)?;
    } else {
        let found = fs::metadata(file).map_err(reading)?;
        folder::sealed_length(found.len(), false)?;
        if key.is_none() {
            // Without keys beside it nothing tells it from noise.
            return Err(if file.with_extension("keys").exists() {
                StoreError::Locked
            } else {
                StoreError::Damaged {
                    detail: "it is not a store".to_owned(),
                }
            });
        }
    }
    let conn = open::immutable(file, key.filter(|_| !plain))?;
    copying.checks(&conn)?;
    let found = open::user_version(&conn)?;
    if found > schema::KNOWN {
        let known = schema::KNOWN;
        return Err(StoreError::TooNew { found, known });
    }
    let said: String = conn.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if said != "ok" {
        return Err(StoreError::Damaged { detail: said });
    }
    let entries: i64 = conn.query_row("SELECT count(*) FROM entry", [], |row| row.get(0))?;
    let end = Reader::new(&conn).journal_end()?;
    Ok((entries.unsigned_abs(), end.map(|(_, hash)| hash)))
}

/// Removes the copies that [`kept`] does not keep; which ones.
///
/// # Errors
/// [`StoreError::ReadOnly`] and the like where one cannot be removed.
pub fn thin(folder: &Path, now: DateTime<FixedOffset>) -> Result<Vec<String>, StoreError> {
    let all = named(folder)?;
    let days: Vec<NaiveDate> = all
        .iter()
        .map(|(made_at, _)| made_at.with_timezone(now.offset()).date_naive())
        .collect();
    let mut removed = Vec::new();
    for ((_, name), keep) in all.into_iter().zip(kept(&days, now.date_naive())) {
        if !keep {
            fs::remove_file(folder.join(&name))
                .map_err(|e| StoreError::io("removing an old copy", e))?;
            // Without its copy it is of no use; one that stays does no harm.
            fs::remove_file(folder.join(keys_of(&name))).ok();
            removed.push(name);
        }
    }
    Ok(removed)
}

/// Which copies to keep, by the days they were made on, the newest first: the newest of each of the last 7 days, of each
/// of the last 5 weeks and of each of the last 12 months, today's among them; the newest of all; and what claims to be of
/// a later day, for then the clock was wrong and nothing is known of its age.
///
/// # Units
/// Weeks from Monday (ISO 8601), months of the calendar.
pub fn kept(newest_first: &[NaiveDate], today: NaiveDate) -> Vec<bool> {
    let week = |day: NaiveDate| day - Days::new(u64::from(day.weekday().num_days_from_monday()));
    let month = |day: NaiveDate| day - Days::new(u64::from(day.day0()));
    let first_day = today - Days::new(DAYS - 1);
    let first_week = week(today) - Days::new(7 * (WEEKS - 1));
    let first_month = month(today) - Months::new(MONTHS - 1);
    let mut seen: Vec<(u8, NaiveDate)> = Vec::new();
    let mut new = |kind: u8, at: NaiveDate, first: NaiveDate| {
        let new = at >= first && !seen.contains(&(kind, at));
        seen.push((kind, at));
        new
    };
    newest_first
        .iter()
        .enumerate()
        .map(|(n, &day)| {
            if n == 0 || day > today {
                // It stands for its day all the same.
                new(0, day, first_day);
                new(1, week(day), first_week);
                new(2, month(day), first_month);
                return true;
            }
            // Each is asked, so that each is seen.
            let by_day = new(0, day, first_day);
            let by_week = new(1, week(day), first_week);
            let by_month = new(2, month(day), first_month);
            by_day || by_week || by_month
        })
        .collect()
}

/// Puts a copy in the store's place. What was there, whole or not, is set aside beside it under the name returned, never
/// overwritten. The store must not be open, here or elsewhere. An encrypted copy brings its wrapped keys where those of
/// the store are of another key or gone.
///
/// # Errors
/// [`StoreError::Damaged`] and [`StoreError::TooNew`] of the copy, with nothing touched; [`StoreError::Busy`] where the
/// store is open; [`StoreError::DiskFull`], [`StoreError::ReadOnly`].
pub fn restore(
    dir: &Path,
    from: &Path,
    key: Option<&Key>,
    now: DateTime<Utc>,
) -> Result<Option<String>, StoreError> {
    read(from, key)?;
    let protected = !folder::is_plain(from)?;
    let ring = match (protected, from.file_name(), from.parent()) {
        (true, Some(name), Some(folder)) => ring_of(folder, &name.to_string_lossy())?,
        _ => None,
    };
    folder::make(dir)?;
    let marker = Marker::lock(dir)?;
    let present = dir.join(folder::FILE);
    quiet(&present, key)?;
    folder::remove_new(dir)?;
    let new = dir.join(folder::NEW_FILE);
    let copied = folder::create_private(&new).and_then(|()| {
        let copy = || -> io::Result<()> {
            let mut to = File::options().write(true).open(&new)?;
            io::copy(&mut File::open(from)?, &mut to)?;
            to.sync_all()
        };
        copy().map_err(|e| StoreError::io("copying the copy", e))?;
        read(&new, key)?;
        match (Keyring::read(dir), ring) {
            // The present ones open it, by the passphrase of today.
            (Ok(Some(present)), Some(ring)) if present.is_of(&ring) => Ok(()),
            (_, Some(ring)) => ring.keep(dir),
            (Ok(Some(_)), None) => Ok(()),
            (_, None) if protected => Err(StoreError::KeysMissing),
            (_, None) => Ok(()),
        }
    });
    if let Err(error) = copied {
        folder::remove_new(dir).ok();
        return Err(error);
    }
    let aside = set_aside(dir, now)?;
    if let Err(error) = fs::rename(&new, &present) {
        aside.inspect(|name| take_back(dir, name));
        folder::remove_new(dir).ok();
        return Err(StoreError::io("moving the copy into place", error));
    }
    folder::sync(dir)?;
    marker.keep(dir, protected)?;
    Ok(aside)
}

/// Refuses a store that somebody has open, and moves what lies in its log into its file.
pub(crate) fn quiet(present: &Path, key: Option<&Key>) -> Result<(), StoreError> {
    if !present.exists() {
        return Ok(());
    }
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(present, flags)?;
    // One too short to tell is read by nobody.
    let plain = folder::is_plain(present).unwrap_or(true);
    open::unlock(&conn, key.filter(|_| !plain))?;
    let asked = conn
        .execute_batch("PRAGMA locking_mode = EXCLUSIVE; BEGIN EXCLUSIVE; COMMIT; PRAGMA wal_checkpoint(TRUNCATE)")
        .map_err(StoreError::from);
    match asked {
        Err(StoreError::Busy) => Err(StoreError::Busy),
        // What cannot be read is what a copy is put back for.
        _ => Ok(()),
    }
}

/// The names under which the present file is kept, and what lies beside it: its log, the log's index, and a journal that
/// would be rolled back into whatever lies there next. Each beside the name it has.
fn aside_names(dir: &Path, name: &str) -> [(PathBuf, PathBuf); 4] {
    ["", "-wal", "-shm", "-journal"].map(|suffix| {
        let present = dir.join(format!("{}{suffix}", folder::FILE));
        (present, dir.join(format!("{name}{suffix}")))
    })
}

/// Keeps the present file and its log under a name that was free until now; `None` where there is none. Where the system
/// can give a file two names the present one stays in its place too, so that there is a record at every moment.
fn set_aside(dir: &Path, now: DateTime<Utc>) -> Result<Option<String>, StoreError> {
    let stem = now.format("fallow-set-aside-%Y-%m-%dT%H-%M-%SZ");
    let name = (1..u32::MAX)
        .map(|n| match n {
            1 => format!("{stem}.db"),
            n => format!("{stem}-{n}.db"),
        })
        .find(|name| aside_names(dir, name).iter().all(|(_, to)| !to.exists()))
        .expect("there are more names than files");
    let mut moved = false;
    for (n, (from, to)) in aside_names(dir, &name).iter().enumerate() {
        if n == 0 && fs::hard_link(from, to).is_ok() {
            moved = true;
            continue;
        }
        match fs::rename(from, to) {
            Err(e) if e.kind() == io::ErrorKind::NotFound => {}
            Err(e) => {
                take_back(dir, &name);
                return Err(StoreError::io("setting the present file aside", e));
            }
            Ok(()) => moved = true,
        }
    }
    Ok(moved.then_some(name))
}

/// Undoes [`set_aside`] where nothing took the present file's place. The first error is the one to tell.
fn take_back(dir: &Path, name: &str) {
    for (present, aside) in aside_names(dir, name) {
        // One that kept its place has two names of one file: the later goes.
        if present.exists() {
            fs::remove_file(aside).ok();
        } else {
            fs::rename(aside, present).ok();
        }
    }
}
