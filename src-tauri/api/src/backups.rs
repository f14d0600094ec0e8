//! Copies of the record: one on each day of use, thinned, listed, put back; and the folder they are kept in.
//!
//! Not here: how a copy is made and checked (`fallow_store::backup`).

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread::JoinHandle;

use chrono::{DateTime, NaiveDate, Utc};
use fallow_store::{Backup, Copying, Key, Keyring, Store, StoreError, backup, write_private};

use crate::error::{ApiError, ErrorCode as Code};
use crate::wire::{
    BackupData, BackupFolder, BackupListData, BackupRef, BackupRestored, BackupStateData,
};
use crate::{App, Now, guard, lower, raise};

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

/// A copy in the making, by a connection of its own.
pub(crate) struct Job {
    copying: Arc<Copying>,
    thread: Option<JoinHandle<Result<Backup, StoreError>>>,
}

impl Drop for Job {
    fn drop(&mut self) {
        // Whoever drops it locks the record, puts a copy back or ends: nothing of it may go on behind their back.
        self.copying.stop();
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

pub(crate) fn start(app: &mut App, now: Now) -> Result<BackupStateData, ApiError> {
    let key = app.store()?.key().cloned();
    if app.job.is_none() {
        let copying = Arc::new(Copying::default());
        let (watched, dir) = (Arc::clone(&copying), app.dir.clone());
        let (folder, at) = (folder(&app.dir), now.at);
        let make = move || {
            let store = Store::open_with(&dir, key.as_ref())?;
            let made = backup::make_watched(&store, &folder, at.with_timezone(&Utc), &watched)?;
            backup::thin(&folder, at)?;
            Ok(made)
        };
        app.job = Some(Job {
            copying,
            thread: Some(std::thread::spawn(make)),
        });
    }
    state(app, now)
}

pub(crate) fn state(app: &mut App, now: Now) -> Result<BackupStateData, ApiError> {
    app.store()?;
    let mut told = BackupStateData {
        percent: None,
        made: None,
        fault: None,
        stopped: false,
    };
    let Some(job) = &mut app.job else {
        return Ok(told);
    };
    if job
        .thread
        .as_ref()
        .is_some_and(|thread| !thread.is_finished())
    {
        told.percent = Some(job.copying.percent());
        return Ok(told);
    }
    let done = job.thread.take().map(JoinHandle::join);
    app.job = None;
    match done {
        Some(Ok(Ok(made))) => {
            app.daily.fault = None;
            app.daily.tried_on = Some(now.at.date_naive());
            told.made = Some(data(&made, false, now));
        }
        Some(Ok(Err(StoreError::Stopped))) => told.stopped = true,
        Some(Ok(Err(error))) => told.fault = Some(ApiError::from(error).message),
        Some(Err(_)) | None => {
            told.fault = Some("The copy could not be made. Try again.".to_owned());
        }
    }
    Ok(told)
}

pub(crate) fn stop(app: &mut App, now: Now) -> Result<BackupStateData, ApiError> {
    app.store()?;
    if let Some(job) = &mut app.job {
        job.copying.stop();
        // It ends at its next step; what it came to is told here.
        let done = job.thread.take().map(JoinHandle::join);
        job.thread = None;
        if let Some(Ok(done)) = done {
            app.job = None;
            return Ok(BackupStateData {
                percent: None,
                stopped: matches!(done, Err(StoreError::Stopped)),
                fault: match &done {
                    Err(StoreError::Stopped) | Ok(_) => None,
                    Err(error) => Some(error.to_string()),
                },
                // It may have been made just before.
                made: done.ok().map(|made| data(&made, false, now)),
            });
        }
    }
    state(app, now)
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

pub(crate) fn folder(dir: &Path) -> PathBuf {
    let chosen = fs::read_to_string(dir.join(CHOSEN)).unwrap_or_default();
    let chosen = chosen.trim();
    if chosen.is_empty() {
        dir.join(USUAL)
    } else {
        PathBuf::from(chosen)
    }
}

/// Refuses where the record is locked and could be unlocked: whoever cannot open it must not put another in its place
/// either. Where its keys or its file are gone or damaged, a copy is all there is.
fn not_locked(app: &App) -> Result<(), ApiError> {
    match &app.store {
        Err(error) if error.code == Code::Locked => match Keyring::read(&app.dir) {
            Ok(Some(_)) => Err(error.clone()),
            Ok(None) | Err(_) => Ok(()),
        },
        Ok(_) | Err(_) => Ok(()),
    }
}

pub(crate) fn list(app: &App, now: Now) -> Result<BackupListData, ApiError> {
    not_locked(app)?;
    let folder = folder(&app.dir);
    Ok(BackupListData {
        usual: folder == app.dir.join(USUAL),
        backups: backup::list(&folder, app.guard.key())?
            .iter()
            .map(|b| data(b, b.protected && !is_ours(app, &folder, &b.name), now))
            .collect(),
        folder: folder.to_string_lossy().into_owned(),
        fault: app.daily.fault.clone(),
    })
}

/// Whether the key that is open is the copy's.
fn is_ours(app: &App, folder: &Path, name: &str) -> bool {
    let present = Keyring::read(&app.dir).ok().flatten();
    let copys = backup::ring_of(folder, name).ok().flatten();
    app.guard.key().is_some() && present.zip(copys).is_some_and(|(a, b)| a.is_of(&b))
}

fn data(found: &Backup, locked: bool, now: Now) -> BackupData {
    BackupData {
        name: found.name.clone(),
        made_words: made_words(found.made_at, now),
        bytes: u32::try_from(found.bytes).unwrap_or(u32::MAX),
        protected: found.protected,
        locked,
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
    Ok(data(&made, false, now))
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
    write_private(&app.dir.join(CHOSEN), text.as_bytes())?;
    app.daily = Daily {
        tried_on: Some(now.at.date_naive()),
        fault: None,
    };
    list(app, now)
}

/// The key of a copy: the one that is open where both are of one key, or what its secret unwraps; `None` for a plain one.
fn key_for(app: &App, folder: &Path, args: &BackupRef, now: Now) -> Result<Option<Key>, ApiError> {
    let Some(ring) = backup::ring_of(folder, &args.name)? else {
        return Ok(app.guard.key().cloned());
    };
    if is_ours(app, folder, &args.name) {
        return Ok(app.guard.key().cloned());
    }
    if args.passphrase.is_none() && args.recovery_code.is_none() {
        return Err(ApiError::new(
            Code::Locked,
            "This copy is locked. Give the passphrase it was made under, or its recovery code.",
        ));
    }
    let secrets = (args.passphrase.as_deref(), args.recovery_code.as_deref());
    guard::unwrapped(app, &ring, secrets.0, secrets.1, now).map(Some)
}

/// Puts a copy back. The store is closed for it and opened again, whatever comes of it.
pub(crate) fn restore(
    app: &mut App,
    args: &BackupRef,
    now: Now,
) -> Result<BackupRestored, ApiError> {
    not_locked(app)?;
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
    app.job = None;
    let from = folder.join(name);
    let key = key_for(app, &folder, args, now)?;
    app.store = Err(ApiError::new(
        Code::Busy,
        "A copy is being put back. Try again in a moment.",
    ));
    let utc = now.at.with_timezone(&Utc);
    let done = backup::restore(&app.dir, &from, key.as_ref(), utc);
    // The record is open afterwards with whichever key it then has: that of the copy, or that of before.
    let before = app.guard.key().cloned();
    let key = if done.is_ok() { key } else { before };
    match Store::open_with(&app.dir, key.as_ref()) {
        Ok(store) => {
            let key = store.key().cloned();
            app.guard.take(key, &app.dir, now);
            app.store = Ok(store);
        }
        Err(error) => {
            app.guard.take(key, &app.dir, now);
            app.store = Err(error.into());
        }
    }
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
