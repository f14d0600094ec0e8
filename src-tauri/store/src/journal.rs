//! The journal's chain: every entry carries a hash over what it says and over the entry before it on this device.
//!
//! Whoever changes, swaps, drops or slips in an entry behind the program's back breaks the chain at that place, and
//! [`Reader::verify`] names it. Whoever can rewrite the whole file can also rewrite the whole chain: the last hash,
//! noted elsewhere (it is printed on the chart), is what they cannot change. Not here: who may read the file.
//!
//! # The canonical form
//! SHA-256 (FIPS 180-4) over, in this order: the bytes `fallow-entry-1` and a zero byte; the 32 bytes of the hash before,
//! or 32 zero bytes for the first entry; then the columns of `entry` and of the table of its kind, each in the order of
//! the schema, without `seq` and without those that are NULL, so that a column added later leaves earlier hashes as they
//! are. A column is its name in UTF-8, a zero byte, and its value: `i` and eight bytes of a two's complement integer, `r`
//! and the eight bytes of an IEEE 754 double, or `t` and the length in eight bytes and the UTF-8 of a text; the highest byte
//! first everywhere.

use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension, Row, params};
use sha2::{Digest, Sha256};

use crate::entries::{Head, Kind};
use crate::error::StoreError;
use crate::query::Reader;

const FORM: &[u8] = b"fallow-entry-1\0";
/// What stands before the first entry.
const BEGINNING: [u8; 32] = [0; 32];

/// How an entry does not fit the chain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Misfit {
    /// It does not say what it said, or the one before it is not the one it followed.
    Changed,
    /// It is not part of the chain.
    Unlinked,
    /// The chain goes on over it, and it is gone.
    Gone,
    /// Numbers were given to later entries, and those are gone.
    CutShort,
}

/// The first place at which the chain breaks.
#[derive(Debug, Clone, PartialEq)]
pub struct Break {
    /// How.
    pub misfit: Misfit,
    /// The number of the entry on this device.
    pub seq: i64,
    /// The entry, where there is one that can be read.
    pub entry: Option<Head>,
}

/// What a walk along the chain found.
#[derive(Debug, Clone, PartialEq)]
pub struct Walk {
    /// How many entries fit, from the first on.
    pub entries: u64,
    /// The hash of the last that fits, 64 hexadecimal digits; `None` for an empty journal.
    pub last: Option<String>,
    /// Where the chain breaks.
    pub broken: Option<Break>,
}

/// Appends the links of entries that have none yet; part of every transaction that appends.
pub(crate) fn link(conn: &Connection) -> Result<(), StoreError> {
    let last: Option<(i64, String)> = conn
        .prepare_cached("SELECT seq, hash FROM journal_link ORDER BY seq DESC LIMIT 1")?
        .query_row([], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?;
    let (after, mut before) = match &last {
        Some((seq, hash)) => (*seq, decoded(hash)?),
        None => (i64::MIN, BEGINNING),
    };
    let mut select =
        conn.prepare_cached("SELECT seq, kind FROM entry WHERE seq > ?1 ORDER BY seq")?;
    let new: Vec<(i64, String)> = select
        .query_map([after], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (seq, kind) in new {
        let hash = hash_of(conn, seq, &kind, &before)?
            .ok_or_else(|| StoreError::unreadable("an entry without what it says"))?;
        conn.prepare_cached("INSERT INTO journal_link (seq, hash) VALUES (?1, ?2)")?
            .execute(params![seq, hex::encode(hash)])?;
        before = hash;
    }
    Ok(())
}

impl Reader<'_> {
    /// How many links there are and the hash of the last, 64 hexadecimal digits; `None` for an empty journal. Nothing is
    /// checked.
    pub fn journal_end(self) -> Result<Option<(u64, String)>, StoreError> {
        let sql = "SELECT (SELECT count(*) FROM journal_link), hash FROM journal_link ORDER BY seq DESC LIMIT 1";
        self.one(sql, [], |row| {
            Ok((row.get::<_, i64>(0)?.unsigned_abs(), row.get(1)?))
        })
    }

    /// Walks the whole chain and stops at the first entry that does not fit. `progress` is told how many of how many
    /// entries were walked, and ends the walk by returning false; the answer is then `None`.
    ///
    /// # Errors
    /// What reading gives; an entry that does not read back is a break, not an error. [`StoreError::Damaged`] where the
    /// chain is whole and the file is not.
    pub fn verify(
        self,
        progress: &mut dyn FnMut(u64, u64) -> bool,
    ) -> Result<Option<Walk>, StoreError> {
        let conn = self.conn();
        let all: i64 = conn.query_row("SELECT count(*) FROM entry", [], |row| row.get(0))?;
        let all = all.unsigned_abs();
        // Both sides of the chain: entries without a link, and links without an entry.
        let mut steps = conn.prepare_cached(
            "SELECT e.seq, e.kind, l.hash FROM entry e LEFT JOIN journal_link l ON l.seq = e.seq \
             UNION ALL SELECT l.seq, NULL, l.hash FROM journal_link l \
             WHERE NOT EXISTS (SELECT 1 FROM entry e WHERE e.seq = l.seq) ORDER BY 1",
        )?;
        let mut rows = steps.query([])?;
        let mut walk = Walk {
            entries: 0,
            last: None,
            broken: None,
        };
        let mut before = BEGINNING;
        let mut seq = 0;
        while let Some(row) = rows.next()? {
            seq = row.get(0)?;
            let kind: Option<String> = row.get(1)?;
            let said: Option<String> = row.get(2)?;
            let misfit = match (&kind, &said) {
                (None, _) => Some(Misfit::Gone),
                (Some(_), None) => Some(Misfit::Unlinked),
                (Some(kind), Some(said)) => {
                    let found = hash_of(conn, seq, kind, &before)?;
                    match found.filter(|hash| hex::encode(hash) == *said) {
                        Some(hash) => {
                            before = hash;
                            None
                        }
                        None => Some(Misfit::Changed),
                    }
                }
            };
            if let Some(misfit) = misfit {
                walk.broken = Some(self.broken(misfit, seq));
                return Ok(Some(walk));
            }
            walk.entries += 1;
            walk.last = said;
            if !progress(walk.entries, all) {
                return Ok(None);
            }
        }
        let given: Option<i64> = conn
            .query_row(
                "SELECT seq FROM sqlite_sequence WHERE name = 'entry'",
                [],
                |row| row.get(0),
            )
            .optional()?;
        if given.is_some_and(|given| given > seq) {
            walk.broken = Some(self.broken(Misfit::CutShort, seq + 1));
            return Ok(Some(walk));
        }
        // The chain is over the entries themselves; an index that lost one would hide it from every list all the same.
        let said: String = conn.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
        if said == "ok" {
            Ok(Some(walk))
        } else {
            Err(StoreError::Damaged { detail: said })
        }
    }

    fn broken(self, misfit: Misfit, seq: i64) -> Break {
        Break {
            misfit,
            seq,
            // What cannot be read is broken all the same.
            entry: self.head_at(seq).ok(),
        }
    }
}

/// The hash of an entry that follows `before`; `None` where it says nothing, or nothing that can be read.
fn hash_of(
    conn: &Connection,
    seq: i64,
    kind: &str,
    before: &[u8; 32],
) -> Result<Option<[u8; 32]>, StoreError> {
    let Some(kind) = Kind::from_code(kind) else {
        return Ok(None);
    };
    let mut hash = Sha256::new();
    hash.update(FORM);
    hash.update(before);
    for table in ["entry", kind.table()] {
        let sql = format!("SELECT * FROM {table} WHERE seq = ?1");
        let mut statement = conn.prepare_cached(&sql)?;
        let columns: Vec<String> = statement
            .column_names()
            .into_iter()
            .map(str::to_owned)
            .collect();
        let told = statement
            .query_row([seq], |row| {
                tell(&mut hash, row, &columns);
                Ok(())
            })
            .optional()?;
        if told.is_none() {
            return Ok(None);
        }
    }
    Ok(Some(hash.finalize().into()))
}

fn tell(hash: &mut Sha256, row: &Row<'_>, columns: &[String]) {
    for (at, name) in columns.iter().enumerate() {
        let value = row.get_ref_unwrap(at);
        if name == "seq" || value == ValueRef::Null {
            continue;
        }
        hash.update(name);
        hash.update([0]);
        let mut long = |kind: &[u8], bytes: &[u8]| {
            hash.update(kind);
            hash.update((bytes.len() as u64).to_be_bytes());
            hash.update(bytes);
        };
        match value {
            ValueRef::Null => {}
            ValueRef::Text(text) => long(b"t", text),
            // No column holds one; a file changed by hand may.
            ValueRef::Blob(bytes) => long(b"b", bytes),
            ValueRef::Integer(number) => {
                hash.update(b"i");
                hash.update(number.to_be_bytes());
            }
            ValueRef::Real(number) => {
                hash.update(b"r");
                hash.update(number.to_bits().to_be_bytes());
            }
        }
    }
}

/// The bytes of a link's hash; the schema lets nothing but 64 hexadecimal digits in.
fn decoded(hash: &str) -> Result<[u8; 32], StoreError> {
    let mut bytes = [0; 32];
    hex::decode_to_slice(hash, &mut bytes).map_err(|_| StoreError::unreadable("a link's hash"))?;
    Ok(bytes)
}
