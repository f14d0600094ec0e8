//! What the store says when it cannot: one variant for each thing a person can do something about.
//!
//! Not here: the sentences shown on screen; the door writes those.

use std::io;

use rusqlite::ErrorCode;

/// A refusal of the store. Nothing is half-written when one is returned.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// The file was made by a newer version; it is open for reading only.
    #[error("the store was made by a newer version (schema {found}; this version knows {known})")]
    TooNew {
        /// Schema version of the file.
        found: i64,
        /// Newest schema version this program knows.
        known: i64,
    },
    /// The file is empty, cut short, damaged, or not a store at all. Its bytes are as they were.
    #[error("the store's file is damaged: {detail}")]
    Damaged {
        /// What is wrong, for a log.
        detail: String,
    },
    /// The store is protected, and no key was given.
    #[error("the store is locked")]
    Locked,
    /// A passphrase or a recovery code that does not open the store.
    #[error("that secret does not open the store")]
    WrongSecret,
    /// The store is protected, and the file with its wrapped keys is gone.
    #[error("the file with the store's keys is missing")]
    KeysMissing,
    /// The file with the wrapped keys is damaged, and so is its spare.
    #[error("the file with the store's keys is damaged")]
    KeysDamaged,
    /// There was a store in this folder and its file is gone.
    #[error("the store's file is missing although there was one")]
    Missing,
    /// The path given for the folder is something else.
    #[error("the store's folder is not a folder")]
    NotAFolder,
    /// The folder or the file cannot be written.
    #[error("the store cannot be written")]
    ReadOnly,
    /// No room on the disk.
    #[error("the disk is full")]
    DiskFull,
    /// Whoever asked for it said to stop; nothing of it is left.
    #[error("stopped")]
    Stopped,
    /// Another connection held the store for longer than the five seconds waited.
    #[error("the store is busy")]
    Busy,
    /// An entry with this id exists.
    #[error("the id is already used")]
    IdReused,
    /// The entry to supersede was superseded before.
    #[error("the entry was already superseded")]
    AlreadySuperseded,
    /// The entry to supersede, or the person or order named, does not exist.
    #[error("no entry {id} of the kind needed")]
    UnknownEntry {
        /// The id that was looked for.
        id: String,
    },
    /// The entry to supersede is of another kind or belongs to another person.
    #[error("entry {id} is of another kind or another person's")]
    WrongEntry {
        /// The id of the entry to supersede.
        id: String,
    },
    /// A value that no column can hold: not a number, or an instant at an offset of part of a minute.
    #[error("{what} cannot be stored")]
    BadValue {
        /// The value, in words.
        what: &'static str,
    },
    /// A value that a constraint of the schema refuses.
    #[error("the schema refuses the entry: {detail}")]
    Refused {
        /// What `SQLite` says, for a log.
        detail: String,
    },
    /// `SQLite` does not do what the store relies on.
    #[error("SQLite does not keep {what}")]
    Unsafe {
        /// The setting that did not stick, or the version.
        what: &'static str,
    },
    /// Reading or writing the folder failed in some other way.
    #[error("{what}: {source}")]
    Io {
        /// What was being done.
        what: &'static str,
        /// What the operating system said.
        source: io::Error,
    },
    /// Anything else from `SQLite`.
    #[error("SQLite: {0}")]
    Sql(#[source] rusqlite::Error),
}

impl StoreError {
    /// Names a failure of the file system.
    pub(crate) fn io(what: &'static str, source: io::Error) -> Self {
        match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::DiskFull,
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => Self::ReadOnly,
            io::ErrorKind::NotADirectory => Self::NotAFolder,
            _ => Self::Io { what, source },
        }
    }

    /// A row that does not read back as a domain value.
    pub(crate) fn unreadable(what: &str) -> Self {
        Self::Damaged {
            detail: format!("{what} does not read back"),
        }
    }
}

impl From<rusqlite::Error> for StoreError {
    /// Sorts `SQLite`'s result codes (sqlite.org/rescode.html) into what a person can do about them.
    fn from(error: rusqlite::Error) -> Self {
        let Some(failure) = error.sqlite_error() else {
            return match error {
                rusqlite::Error::FromSqlConversionFailure(..)
                | rusqlite::Error::IntegralValueOutOfRange(..)
                | rusqlite::Error::InvalidColumnType(..) => Self::unreadable(&error.to_string()),
                other => Self::Sql(other),
            };
        };
        match failure.code {
            ErrorCode::OperationInterrupted => Self::Stopped,
            ErrorCode::DiskFull => Self::DiskFull,
            // The shared-memory file could not grow: the same full disk, met in another place.
            ErrorCode::SystemIoFailure
                if failure.extended_code == rusqlite::ffi::SQLITE_IOERR_SHMSIZE =>
            {
                Self::DiskFull
            }
            ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied => {
                Self::ReadOnly
            }
            ErrorCode::DatabaseBusy
            | ErrorCode::DatabaseLocked
            | ErrorCode::FileLockingProtocolFailed => Self::Busy,
            ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase => Self::Damaged {
                detail: error.to_string(),
            },
            ErrorCode::ConstraintViolation => Self::Refused {
                detail: error.to_string(),
            },
            _ => Self::Sql(error),
        }
    }
}

impl From<rusqlite_migration::Error> for StoreError {
    fn from(error: rusqlite_migration::Error) -> Self {
        match error {
            rusqlite_migration::Error::RusqliteError { err, .. } => err.into(),
            other => Self::Damaged {
                detail: other.to_string(),
            },
        }
    }
}
