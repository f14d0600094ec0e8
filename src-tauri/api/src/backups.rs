//! Copies of the record: one on each day of use, thinned, listed, put back; and the folder they are kept in.
//!
//! Not here: how a copy is made and checked (`fallow_store::backup`).

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use chrono::{DateTime, NaiveDate, Utc};
use fallow_store::{Backup, Store, backup};

use crate::error::{ApiError, ErrorCode as Code};
use crate::wire::{BackupData, BackupFolder, BackupListData, BackupRef, BackupRestored};
use crate::{App, Now, lower, raise};

/// The folder inside the store's own, where none was chosen.
const USUAL: &str = "backups";
/// Holds the folder that was chosen; beside the store, so that it is known when the store is lost.
const CHOSEN: &str = "fallow.backups";

/// What is remembered of copies between two requests.
#[derive(Debug, Default)]
pub(crate) struct Daily {
    /// The day for which a copy was made or tried.
    tried_on: Option<NaiveDate>,
    /// Why today's could not be made.
    pub(crate) fault: Option<String>,
}

/// Makes the copy of the day, once a day, where there is something to copy that the newest copy has not got. A failure is
/// kept for the status and never stands in the way of the request.
pub(crate) fn daily(app: &mut App, now: Now) {
    let today = now.at.date_naive();
    // Under a clock set by hand a copy would be named for a day that is not today.
    if app.daily.tried_on == Some(today) || now.set_by_hand || app.demo {
        return;
    }
    let Ok(store) = &app.store else { return };
    if !store.writable() || !matches!(store.reader().journal_end(), Ok(Some(_))) {
        return;
    }
    app.daily.tried_on = Some(today);
    let folder = folder(&app.dir);
    let done = day_of_newest(&folder, now).and_then(|day| {
        if day == Some(today) {
            Ok(())
        } else {
            made(store, &folder, now).map(drop)
        }
    });
    app.daily.fault = done.err().map(|e| e.message);
}

fn day_of_newest(folder: &Path, now: Now) -> Result<Option<NaiveDate>, ApiError> {
    let all = backup::named(folder)?;
    let newest = all.first();
    Ok(newest.map(|(at, _)| at.with_timezone(now.at.offset()).date_naive()))
}

fn made(store: &Store, folder: &Path, now: Now) -> Result<Backup, ApiError> {
    let made = backup::make(store, folder, now.at.with_timezone(&Utc))?;
    backup::thin(folder, now.at)?;
    Ok(made)
}

fn folder(dir: &Path) -> PathBuf {
    let chosen = fs::read_to_string(dir.join(CHOSEN)).unwrap_or_default();
    let chosen = chosen.trim();
    if chosen.is_empty() {
        dir.join(USUAL)
    } else {
        PathBuf::from(chosen)
    }
}

pub(crate) fn list(app: &App, now: Now) -> Result<BackupListData, ApiError> {
    let folder = folder(&app.dir);
    Ok(BackupListData {
        usual: folder == app.dir.join(USUAL),
        backups: backup::list(&folder)?
            .iter()
            .map(|b| data(b, now))
            .collect(),
        folder: folder.to_string_lossy().into_owned(),
        fault: app.daily.fault.clone(),
    })
}

fn data(found: &Backup, now: Now) -> BackupData {
    BackupData {
        name: found.name.clone(),
        made_words: made_words(found.made_at, now),
        bytes: u32::try_from(found.bytes).unwrap_or(u32::MAX),
        entries: found.entries.map(|n| u32::try_from(n).unwrap_or(u32::MAX)),
    }
}

fn made_words(made_at: DateTime<Utc>, now: Now) -> String {
    raise::day_and_time(made_at.with_timezone(now.at.offset()), now.clock)
}

pub(crate) fn make(app: &mut App, now: Now) -> Result<BackupData, ApiError> {
    let folder = folder(&app.dir);
    let store = app.store()?;
    let made = made(store, &folder, now)?;
    app.daily.fault = None;
    app.daily.tried_on = Some(now.at.date_naive());
    Ok(data(&made, now))
}

pub(crate) fn choose(
    app: &mut App,
    args: &BackupFolder,
    now: Now,
) -> Result<BackupListData, ApiError> {
    let chosen = lower::some_text("the folder", args.folder.as_deref(), 1000)?;
    let chosen = chosen.map(PathBuf::from);
    if chosen.as_ref().is_some_and(|path| !path.is_absolute()) {
        return Err(ApiError::new(
            Code::BadText,
            "Write the whole path of the folder, from the root of the disk on.",
        ));
    }
    // A folder that takes no copy is not taken.
    let folder = chosen.clone().unwrap_or_else(|| app.dir.join(USUAL));
    made(app.store()?, &folder, now)?;
    let text = chosen.map_or_else(String::new, |path| path.to_string_lossy().into_owned());
    fs::write(app.dir.join(CHOSEN), text).map_err(|e| {
        ApiError::new(
            Code::ReadOnly,
            format!("The choice could not be kept: {e}. Copies go on where they went before."),
        )
    })?;
    app.daily = Daily {
        tried_on: Some(now.at.date_naive()),
        fault: None,
    };
    list(app, now)
}

/// Puts a copy back. The store is closed for it and opened again, whatever comes of it.
pub(crate) fn restore(
    app: &mut App,
    args: &BackupRef,
    now: Now,
) -> Result<BackupRestored, ApiError> {
    let folder = folder(&app.dir);
    let known = backup::named(&folder)?;
    let Some((made_at, name)) = known.iter().find(|(_, name)| *name == args.name) else {
        return Err(ApiError::new(
            Code::UnknownBackup,
            format!(
                "There is no copy \"{}\". Choose one from the list.",
                args.name
            ),
        ));
    };
    app.store = Err(ApiError::new(
        Code::Busy,
        "A copy is being put back. Try again in a moment.",
    ));
    let done = backup::restore(&app.dir, &folder.join(name), now.at.with_timezone(&Utc));
    app.store = Store::open(&app.dir).map_err(ApiError::from);
    let kept = done?;
    let mut words = format!(
        "The copy of {} is the record now.",
        made_words(*made_at, now)
    );
    if let Some(kept) = &kept {
        let _ = write!(words, " What was there before is kept as {kept}.");
    }
    Ok(BackupRestored { kept, words })
}
