//! A copy in the making, seen from elsewhere: how far it is, and the word to stop.
//!
//! Not here: how it is made and checked ([`crate::backup`]).

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Mutex, PoisonError};

use rusqlite::{Connection, InterruptHandle};

use crate::error::StoreError;

/// Shared between whoever makes a copy and whoever watches.
#[derive(Default)]
pub struct Copying {
    stopped: AtomicBool,
    /// Reading back what was written.
    checking: AtomicBool,
    expected_bytes: AtomicU64,
    file: Mutex<Option<PathBuf>>,
    /// What the connection at work is interrupted by.
    at_work: Mutex<Option<InterruptHandle>>,
}

impl Copying {
    /// Stops it: what was written of it is removed by whoever makes it.
    pub fn stop(&self) {
        self.stopped.store(true, Ordering::SeqCst);
        let at_work = self.at_work.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(handle) = at_work.as_ref() {
            handle.interrupt();
        }
    }

    /// How far it is, from 0 to 99: by the bytes written up to 70, then reading back.
    pub fn percent(&self) -> u32 {
        if self.checking.load(Ordering::SeqCst) {
            return 85;
        }
        let file = self.file.lock().unwrap_or_else(PoisonError::into_inner);
        let written = file
            .as_ref()
            .and_then(|file| fs::metadata(file).ok())
            .map_or(0, |found| found.len());
        let expected = self.expected_bytes.load(Ordering::SeqCst).max(1);
        u32::try_from(written.min(expected) * 70 / expected).unwrap_or(70)
    }

    /// Begins to write into this file, with this connection.
    pub(crate) fn writes(&self, conn: &Connection, file: &Path) -> Result<(), StoreError> {
        let pages: i64 = conn.query_row("PRAGMA page_count", [], |row| row.get(0))?;
        let bytes = crate::folder::PAGE * pages.unsigned_abs();
        self.expected_bytes.store(bytes, Ordering::SeqCst);
        *self.file.lock().unwrap_or_else(PoisonError::into_inner) = Some(file.to_owned());
        self.works(conn)
    }

    /// Begins to read back.
    pub(crate) fn checks(&self, conn: &Connection) -> Result<(), StoreError> {
        self.checking.store(true, Ordering::SeqCst);
        self.works(conn)
    }

    /// This connection is the one to interrupt from now on.
    fn works(&self, conn: &Connection) -> Result<(), StoreError> {
        let handle = conn.get_interrupt_handle();
        *self.at_work.lock().unwrap_or_else(PoisonError::into_inner) = Some(handle);
        // Asked after the connection is known: a word to stop is either seen here or interrupts it.
        self.go_on()
    }

    /// Refuses to go on once it was stopped.
    pub(crate) fn go_on(&self) -> Result<(), StoreError> {
        if self.stopped.load(Ordering::SeqCst) {
            Err(StoreError::Stopped)
        } else {
            Ok(())
        }
    }
}
