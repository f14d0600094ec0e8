//! Keeps a file where the person says, whole or not at all: the window's second command.
//!
//! The page hands over bytes and what they must hash to; which folder and name is asked by the system's own dialog,
//! opened from here. The page gets no path, no dialog and no way to read a file. Not here: what is in the file.

use std::io::{self, ErrorKind, Write as _};
use std::path::Path;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use tauri::{AppHandle, Runtime};
use tauri_plugin_dialog::DialogExt as _;

use crate::plugins::ForTheProgram;

/// The plugin, to be registered. As it comes it puts a script into the page that replaces `alert` and `confirm`.
pub(crate) fn plugin<R: Runtime>() -> ForTheProgram<R> {
    ForTheProgram(tauri_plugin_dialog::init())
}

/// Asks where, writes, and reads back what was written. `async` moves it off the thread that paints, so that the
/// dialog can be waited for.
#[tauri::command(async)]
#[expect(
    clippy::needless_pass_by_value,
    reason = "the form of a command's arguments is Tauri's"
)]
pub(crate) fn keep(
    app: AppHandle,
    name: &str,
    base64: &str,
    sha256: &str,
) -> Result<Value, String> {
    let bytes = checked(base64, sha256)?;
    // A suggestion for the dialog: never a path.
    let name = Path::new(name).file_name().unwrap_or_default();
    let chosen = app
        .dialog()
        .file()
        .set_file_name(name.to_string_lossy())
        .blocking_save_file();
    let Some(chosen) = chosen else {
        return Ok(json!({ "cancelled": true }));
    };
    let path = chosen
        .into_path()
        .map_err(|_| "That place is not a folder of this device. Choose another.".to_owned())?;
    whole(&path, &bytes)?;
    Ok(json!({ "cancelled": false, "path_words": path.display().to_string() }))
}

/// The bytes, if they are those that were meant.
fn checked(base64: &str, sha256: &str) -> Result<Vec<u8>, String> {
    let bytes = STANDARD.decode(base64).ok();
    bytes.filter(|bytes| hash(bytes) == sha256).ok_or_else(|| {
        "The file was damaged on its way and was not kept. Make it again.".to_owned()
    })
}

fn hash(bytes: &[u8]) -> String {
    hex::encode(Sha256::digest(bytes))
}

/// Writes to a name of its own beside, and only what has reached the disk gets the name that was chosen: a file that was
/// there before stays until then, and one half-written is removed.
fn whole(path: &Path, bytes: &[u8]) -> Result<(), String> {
    let folder = path
        .parent()
        .filter(|folder| folder.is_dir())
        .ok_or_else(|| sentence(ErrorKind::NotFound))?;
    let written = || -> io::Result<()> {
        let mut beside = tempfile::Builder::new()
            .prefix(".fallow-")
            .tempfile_in(folder)?;
        beside.write_all(bytes)?;
        beside.as_file().sync_all()?;
        beside.persist(path).map_err(|fault| fault.error)?;
        // The new name itself; where a folder cannot be synced, the system does it in its own time.
        #[cfg(unix)]
        let _ = std::fs::File::open(folder).and_then(|f| f.sync_all());
        Ok(())
    };
    written().map_err(|fault| sentence(fault.kind()))?;
    let back = std::fs::read(path).map_err(|fault| sentence(fault.kind()))?;
    if hash(&back) == hash(bytes) {
        return Ok(());
    }
    let _ = std::fs::remove_file(path);
    Err("What was read back is not what was written, so the file was removed. Choose another place.".to_owned())
}

/// What happened and what to do.
fn sentence(kind: ErrorKind) -> String {
    match kind {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded => {
            "There is no room left in that place. Nothing was kept: make room or choose another."
        }
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "That place cannot be written to. Nothing was kept: choose another."
        }
        ErrorKind::NotFound | ErrorKind::NotADirectory => {
            "That folder is not there any more. Nothing was kept: choose another."
        }
        ErrorKind::IsADirectory => {
            "There is a folder of that name. Nothing was kept: choose another name."
        }
        _ => "The file could not be written. Nothing was kept: choose another place.",
    }
    .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The names in a folder.
    fn names(folder: &Path) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_file_is_written_whole_and_nothing_is_left_beside_it() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("chart.pdf");
        for bytes in [&b"first"[..], &vec![7; 300_000]] {
            whole(&path, bytes).unwrap();
            assert_eq!(std::fs::read(&path).unwrap(), bytes);
            assert_eq!(names(dir.path()), ["chart.pdf"]);
        }
    }

    #[test]
    fn what_cannot_be_written_leaves_what_was_there() {
        let dir = tempfile::tempdir().unwrap();
        let gone = dir.path().join("gone").join("chart.pdf");
        assert!(whole(&gone, b"x").unwrap_err().starts_with("That folder"));
        // A folder has the name already: the write succeeds beside it, the renaming does not.
        let taken = dir.path().join("taken");
        std::fs::create_dir(&taken).unwrap();
        std::fs::write(taken.join("inside"), b"kept").unwrap();
        assert!(whole(&taken, b"x").is_err());
        assert_eq!(names(dir.path()), ["taken"]);
        assert_eq!(std::fs::read(taken.join("inside")).unwrap(), b"kept");
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_place_that_takes_no_files_says_so() {
        // Nobody can make a file there, whoever runs this.
        let fault = whole(Path::new("/proc/chart.pdf"), b"x").unwrap_err();
        assert!(fault.contains("Nothing was kept"), "{fault}");
    }

    #[test]
    fn bytes_that_are_not_those_meant_are_refused() {
        let meant = hash(b"chart");
        let sent = STANDARD.encode(b"chart");
        assert_eq!(checked(&sent, &meant).unwrap(), b"chart");
        assert!(checked(&STANDARD.encode(b"chars"), &meant).is_err());
        assert!(checked("not base64!", &meant).is_err());
    }

    #[test]
    fn every_fault_is_a_sentence_that_says_nothing_was_kept() {
        for kind in [
            ErrorKind::StorageFull,
            ErrorKind::QuotaExceeded,
            ErrorKind::PermissionDenied,
            ErrorKind::ReadOnlyFilesystem,
            ErrorKind::NotFound,
            ErrorKind::NotADirectory,
            ErrorKind::IsADirectory,
            ErrorKind::Other,
        ] {
            let words = sentence(kind);
            assert!(
                words.contains("Nothing was kept") && words.ends_with('.'),
                "{words}"
            );
        }
        assert!(sentence(ErrorKind::StorageFull).contains("no room"));
    }
}
