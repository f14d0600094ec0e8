//! Encrypts a plain store: a whole encrypted one is made beside it, checked, and moved into its place.
//!
//! Only made-up stores are made plain; this is for one that was found. Not here: copies made of it before, which stay
//! readable to anybody.

use std::fs::{self, File};
use std::path::Path;

use crate::backup;
use crate::error::StoreError;
use crate::folder::{self, Marker};
use crate::keys::{Key, Keyring};
use crate::open;

/// Encrypts the plain store in `dir`, which must not be open, here or elsewhere. Cut short at any moment it leaves the
/// plain store or the encrypted one, whole.
///
/// # Errors
/// [`StoreError::Busy`] where it is open; [`StoreError::Damaged`] where it does not read back; [`StoreError::Missing`];
/// [`StoreError::DiskFull`], [`StoreError::ReadOnly`].
pub fn protect(dir: &Path, ring: &Keyring, key: &Key) -> Result<(), StoreError> {
    let marker = Marker::lock(dir)?;
    let present = dir.join(folder::FILE);
    if !present.exists() {
        return Err(StoreError::Missing);
    }
    if !folder::is_plain(&present)? {
        return Err(StoreError::Locked);
    }
    backup::quiet(&present, None)?;
    let before = backup::read(&present, None)?;
    folder::remove_new(dir)?;
    let new = dir.join(folder::NEW_FILE);
    let made = folder::create_private(&new)
        .and_then(|()| export(&present, &new, key))
        .and_then(|()| {
            if backup::read(&new, Some(key))? != before {
                return Err(StoreError::Damaged {
                    detail: "the encrypted store is not what the plain one is".to_owned(),
                });
            }
            File::open(&new)
                .and_then(|file| file.sync_all())
                .map_err(|e| StoreError::io("syncing the encrypted file", e))?;
            // The keys first: without them the file would be lost the moment it stands.
            ring.keep(dir)
        });
    if let Err(error) = made {
        folder::remove_new(dir).ok();
        return Err(error);
    }
    folder::remove_log(dir)?;
    fs::rename(&new, &present).map_err(|e| StoreError::io("moving the file into place", e))?;
    folder::sync(dir)?;
    marker.keep(dir, true)
}

/// Writes all of a plain file, its version and its application id into an encrypted one.
fn export(from: &Path, to: &Path, key: &Key) -> Result<(), StoreError> {
    let conn = open::connect(from, None)?;
    let number = |pragma: &str| conn.pragma_query_value(None, pragma, |row| row.get::<_, i64>(0));
    let (version, application) = (number("user_version")?, number("application_id")?);
    conn.execute(
        "ATTACH DATABASE ?1 AS sealed KEY ?2",
        rusqlite::params![to.to_string_lossy(), &*key.raw()],
    )?;
    conn.query_row("SELECT sqlcipher_export('sealed')", [], |_| Ok(()))
        .map_err(told_in_words)?;
    conn.pragma_update(Some("sealed"), "user_version", version)?;
    conn.pragma_update(Some("sealed"), "application_id", application)?;
    conn.execute_batch("DETACH DATABASE sealed")?;
    Ok(())
}

/// The export tells every failure under one code and the cause in words alone.
fn told_in_words(error: rusqlite::Error) -> StoreError {
    if error.to_string().contains("database or disk is full") {
        StoreError::DiskFull
    } else {
        error.into()
    }
}
