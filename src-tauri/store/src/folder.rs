//! The folder a store lives in: what is there, the marker, and how files are made in it.
//!
//! Everything here is done without `SQLite`, so that looking never changes anything.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;

use crate::error::StoreError;
use crate::keys;
use crate::schema;

/// The store's file.
pub(crate) const FILE: &str = "fallow.db";
/// The store's file while it is being made.
pub(crate) const NEW_FILE: &str = "fallow.db.new";
/// The log `SQLite` keeps beside the file while it is open.
const WAL: &str = "fallow.db-wal";
/// The marker.
pub(crate) const MARKER: &str = "fallow.marker";
const MARKER_TEXT: &str = "Fallow keeps a store in this folder.\n\
    Leave this file here: it tells a lost store from an empty folder.\n";
/// What the marker says beside it of a protected store.
const MARKER_PROTECTED: &str = "The store is protected: without fallow.keys it cannot be read.\n";
/// The size of a page, plain or encrypted: the default of `SQLite` and of `SQLCipher`.
pub(crate) const PAGE: u64 = 4096;

/// What a look at the folder found.
#[derive(Debug, PartialEq, Eq)]
pub(crate) enum Found {
    /// No file, and no sign that there ever was one.
    Nothing,
    /// A file that begins as a store does.
    File {
        /// Schema version in its header; a live log may hold a later one. `None` where only the key can tell.
        user_version: Option<i64>,
        /// Whether a log with content lies beside it: it is open elsewhere, or was not closed properly.
        live_wal: bool,
    },
}

/// Makes the folder where there is none, readable by its owner only.
pub(crate) fn make(dir: &Path) -> Result<(), StoreError> {
    match fs::metadata(dir) {
        Ok(found) if found.is_dir() => return Ok(()),
        Ok(_) => return Err(StoreError::NotAFolder),
        Err(e) if e.kind() == io::ErrorKind::NotFound => {}
        Err(e) => return Err(StoreError::io("looking for the folder", e)),
    }
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    match builder.create(dir) {
        // A file, or a link that leads nowhere, stands where the folder or one above it should be.
        Err(e) if e.kind() == io::ErrorKind::AlreadyExists => Err(StoreError::NotAFolder),
        made => made.map_err(|e| StoreError::io("making the folder", e)),
    }
}

/// Looks, and refuses what is not a store.
pub(crate) fn look(dir: &Path) -> Result<Found, StoreError> {
    let size_of = |name: &str| match fs::metadata(dir.join(name)) {
        Ok(found) => Ok(Some(found)),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(StoreError::io("looking into the folder", e)),
    };
    let live_wal = size_of(WAL)?.is_some_and(|wal| wal.len() > 0);
    let Some(file) = size_of(FILE)? else {
        let marked = size_of(MARKER)?.is_some_and(|marker| marker.len() > 0);
        return if marked || live_wal {
            Err(StoreError::Missing)
        } else {
            Ok(Found::Nothing)
        };
    };
    if !file.is_file() {
        return Err(damaged("it is not a file"));
    }
    let path = dir.join(FILE);
    if is_plain(&path)? {
        let user_version = Some(header_version(&path, file.len(), live_wal)?);
        return Ok(Found::File {
            user_version,
            live_wal,
        });
    }
    let keyed = size_of(keys::FILE)?.is_some() || size_of(keys::SPARE)?.is_some();
    if !keyed && !marked_protected(dir)? {
        return Err(damaged("it is not a store"));
    }
    if !keyed {
        return Err(StoreError::KeysMissing);
    }
    sealed_length(file.len(), live_wal)?;
    Ok(Found::File {
        user_version: None,
        live_wal,
    })
}

/// Whether a file begins as `SQLite`'s own do. One too short for a header is told as damaged.
pub(crate) fn is_plain(file: &Path) -> Result<bool, StoreError> {
    Ok(header(file)?.starts_with(b"SQLite format 3\0"))
}

/// Refuses an encrypted file that cannot be whole: all of it is pages, and each is of the same size.
pub(crate) fn sealed_length(length: u64, live_wal: bool) -> Result<(), StoreError> {
    if length < PAGE || (!live_wal && !length.is_multiple_of(PAGE)) {
        return Err(damaged("it is cut short"));
    }
    Ok(())
}

fn marked_protected(dir: &Path) -> Result<bool, StoreError> {
    match fs::read(dir.join(MARKER)) {
        Ok(text) => Ok(text.ends_with(MARKER_PROTECTED.as_bytes())),
        Err(e) if e.kind() == io::ErrorKind::NotFound => Ok(false),
        Err(e) => Err(StoreError::io("reading the marker", e)),
    }
}

/// The schema version in the header of a file that nobody writes to; refuses what is not a store.
pub(crate) fn version_of(file: &Path) -> Result<i64, StoreError> {
    let found = fs::metadata(file).map_err(|e| StoreError::io("looking for the file", e))?;
    header_version(file, found.len(), false)
}

fn header_version(file: &Path, length: u64, live_wal: bool) -> Result<i64, StoreError> {
    version_in(&header(file)?, length, live_wal)
}

fn header(file: &Path) -> Result<[u8; 100], StoreError> {
    let mut header = [0; 100];
    let mut opened = File::open(file).map_err(|e| StoreError::io("opening the file", e))?;
    match opened.read_exact(&mut header) {
        Err(e) if e.kind() == io::ErrorKind::UnexpectedEof => {
            return Err(damaged("it is empty or cut short"));
        }
        read => read.map_err(|e| StoreError::io("reading the file", e))?,
    }
    Ok(header)
}

/// Reads the header (sqlite.org/fileformat.html, section 1.3): its schema version, if all else is a store's.
fn version_in(header: &[u8; 100], length: u64, live_wal: bool) -> Result<i64, StoreError> {
    let number = |at: usize| {
        u32::from_be_bytes([header[at], header[at + 1], header[at + 2], header[at + 3]])
    };
    if !header.starts_with(b"SQLite format 3\0") || number(68) != schema::APPLICATION_ID {
        return Err(damaged("it is not a store"));
    }
    let page_size = match u16::from_be_bytes([header[16], header[17]]) {
        1 => 65_536,
        other => u64::from(other),
    };
    // With a log beside it, a file may rightly be shorter than its header says. `SQLite` itself notices whole missing
    // pages, not a last page cut in two.
    if !live_wal && length < page_size * u64::from(number(28)) {
        return Err(damaged("it is cut short"));
    }
    let version = i64::from(number(60));
    if version == 0 {
        Err(damaged("it has no schema version"))
    } else {
        Ok(version)
    }
}

fn damaged(detail: &str) -> StoreError {
    StoreError::Damaged {
        detail: detail.to_owned(),
    }
}

/// The marker, locked until dropped: whoever holds it is the only one opening the store in this folder.
pub(crate) struct Marker {
    file: File,
}

impl Marker {
    /// Waits for the lock; makes an empty marker where there is none.
    pub(crate) fn lock(dir: &Path) -> Result<Self, StoreError> {
        let mut options = OpenOptions::new();
        options.read(true).write(true).create(true).truncate(false);
        private(&mut options);
        let file = options
            .open(dir.join(MARKER))
            .map_err(|e| StoreError::io("opening the marker", e))?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => file
                .lock()
                .map_err(|e| StoreError::io("locking the marker", e))?,
            // A file system without locks has no second opener to fear on the devices this runs on.
            Err(TryLockError::Error(e)) if e.kind() == io::ErrorKind::Unsupported => {}
            Err(TryLockError::Error(e)) => return Err(StoreError::io("locking the marker", e)),
        }
        Ok(Self { file })
    }

    /// Says for good that there is a store here, and whether it is protected; durable before anything is told to be
    /// saved.
    pub(crate) fn keep(mut self, dir: &Path, protected: bool) -> Result<(), StoreError> {
        let failed = |e| StoreError::io("writing the marker", e);
        let text = format!(
            "{MARKER_TEXT}{}",
            if protected { MARKER_PROTECTED } else { "" }
        );
        if self.file.metadata().map_err(failed)?.len() == text.len() as u64 {
            return Ok(());
        }
        self.file.seek(SeekFrom::Start(0)).map_err(failed)?;
        self.file.write_all(text.as_bytes()).map_err(failed)?;
        self.file.set_len(text.len() as u64).map_err(failed)?;
        self.file.sync_all().map_err(failed)?;
        sync(dir)
    }
}

/// Holds a folder for oneself until dropped, waiting for whoever holds it; does nothing where the system has no such locks.
pub(crate) fn alone(dir: &Path) -> Result<Option<File>, StoreError> {
    if !cfg!(unix) {
        return Ok(None);
    }
    let held = File::open(dir).map_err(|e| StoreError::io("opening the folder", e))?;
    match held.lock() {
        Ok(()) => Ok(Some(held)),
        Err(e) if e.kind() == io::ErrorKind::Unsupported => Ok(None),
        Err(e) => Err(StoreError::io("locking the folder", e)),
    }
}

/// Makes an empty file readable by its owner only; `SQLite` gives its log and the log's index the same mode.
pub(crate) fn create_private(file: &Path) -> Result<(), StoreError> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    private(&mut options);
    options
        .open(file)
        .map(drop)
        .map_err(|e| StoreError::io("making the file", e))
}

/// Writes a file whole or not at all, readable by its owner only: under another name first, synced, then renamed.
///
/// # Errors
/// [`StoreError::DiskFull`], [`StoreError::ReadOnly`], [`StoreError::Io`]; the file is then as it was.
pub fn write_private(file: &Path, bytes: &[u8]) -> Result<(), StoreError> {
    let failed = |e| StoreError::io("writing a file", e);
    let mut name = file.as_os_str().to_owned();
    name.push(".new");
    let new = Path::new(&name);
    match fs::remove_file(new) {
        Err(e) if e.kind() != io::ErrorKind::NotFound => return Err(failed(e)),
        _ => {}
    }
    let written = create_private(new).and_then(|()| {
        let write = || -> io::Result<()> {
            let mut to = OpenOptions::new().write(true).open(new)?;
            to.write_all(bytes)?;
            to.sync_all()?;
            fs::rename(new, file)
        };
        write().map_err(failed)?;
        file.parent().map_or(Ok(()), sync)
    });
    if written.is_err() {
        // The first error is the one to tell.
        fs::remove_file(new).ok();
    }
    written
}

fn private(options: &mut OpenOptions) {
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(options, 0o600);
    #[cfg(not(unix))]
    let _ = options;
}

/// Removes what a first start cut short left behind. Nothing in it was ever told to be saved.
pub(crate) fn remove_new(dir: &Path) -> Result<(), StoreError> {
    for suffix in ["", "-journal", "-wal", "-shm"] {
        match fs::remove_file(dir.join(format!("{NEW_FILE}{suffix}"))) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => {
                return Err(StoreError::io("removing an unfinished file", e));
            }
            _ => {}
        }
    }
    Ok(())
}

/// Removes what a file that is gone, or was closed with nothing in its log, left beside it: the log, its index, and a
/// journal that would be rolled back into whatever lies there next.
pub(crate) fn remove_log(dir: &Path) -> Result<(), StoreError> {
    for suffix in ["-wal", "-shm", "-journal"] {
        match fs::remove_file(dir.join(format!("{FILE}{suffix}"))) {
            Err(e) if e.kind() != io::ErrorKind::NotFound => {
                return Err(StoreError::io("removing an empty log", e));
            }
            _ => {}
        }
    }
    Ok(())
}

/// Removes the file of a first start that was not finished: its marker is still empty. What cannot be removed is opened
/// the next time.
pub(crate) fn remove_unbegun(dir: &Path) {
    if fs::metadata(dir.join(MARKER)).is_ok_and(|marker| marker.len() == 0) {
        remove_log(dir).ok();
        fs::remove_file(dir.join(FILE)).ok();
    }
}

/// Makes a file's new name durable, where the system can.
pub(crate) fn sync(dir: &Path) -> Result<(), StoreError> {
    if cfg!(unix) {
        File::open(dir)
            .and_then(|folder| folder.sync_all())
            .map_err(|e| StoreError::io("syncing the folder", e))?;
    }
    Ok(())
}

/// The file as an address that tells `SQLite` nobody writes to it, so that it makes no log beside it.
pub(crate) fn immutable_uri(file: &Path) -> String {
    use std::fmt::Write as _;

    let mut uri = String::from("file:");
    let path = if cfg!(windows) {
        format!("/{}", file.to_string_lossy().replace('\\', "/")).into_bytes()
    } else {
        file.as_os_str().as_encoded_bytes().to_vec()
    };
    for byte in path {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'.' | b'-' | b'_' | b'~' | b':' => {
                uri.push(char::from(byte));
            }
            other => write!(uri, "%{other:02X}").expect("writing to a String does not fail"),
        }
    }
    uri + "?mode=ro&immutable=1"
}
