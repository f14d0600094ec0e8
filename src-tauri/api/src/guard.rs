//! Who may open the record: its passphrase, locking it, and what a wrong try costs.
//!
//! The key lies in memory from `unlock` until `lock`, until nobody was there for the minutes chosen, or until the record
//! was locked in another program that has it open: [`watch`] looks for both before every request. Not here: how the key
//! is wrapped (`fallow_store::keys`), and who says they write ([`crate::recorders`]).

use std::fs;
use std::path::Path;

use chrono::{DateTime, FixedOffset};
use fallow_core::due::Turns;
use fallow_core::reminders::{Injection, Open, Stage};
use fallow_store::open::{Standing, standing};
use fallow_store::{
    By, Cost, Key, Keyring, Secret, Store, StoreError, backup, keys, protect as plain,
    write_private,
};
use serde::{Deserialize, Serialize};

use crate::error::{ApiError, ErrorCode as Code};
use crate::wire::{
    IdleSet, NewPassphrase, PassphraseChange, PassphraseChanged, Protected, ProtectionData,
    RecoveryData, Unlock,
};
use crate::{App, Now, Options, backups, record, round};

/// The minutes to choose from.
const IDLE_CHOICES: [u32; 6] = [1, 2, 5, 10, 15, 30];
const IDLE_USUAL: u32 = 5;
/// Beside the store: how many wrong tries there were, and when the last.
const TRIES: &str = "fallow.tries";
/// Beside the store: changes whenever somebody locks it, which every program that has it open sees.
const LOCKS: &str = "fallow.locks";

/// What is remembered of the lock between two requests.
pub(crate) struct Guard {
    cost: Cost,
    /// The key, while the record is open, or would be if its file could be read.
    key: Option<Key>,
    idle_minutes: u32,
    last_there: DateTime<FixedOffset>,
    /// What [`LOCKS`] held when the record was opened.
    locks: Option<Vec<u8>>,
    /// Whose PIN was given.
    pub(crate) confirmed: Vec<String>,
    /// While it is locked: whose injections come next, and when; ids and times alone.
    ahead: Vec<(Injection, Turns)>,
    /// Whether it stays open however long nobody is there.
    stays_open: bool,
    /// Wrong PINs.
    pub(crate) pins: Tries,
}

/// Looks at the folder and opens what can be opened without a secret.
pub(crate) fn open(dir: &Path, options: Options, now: Now) -> (Guard, Result<Store, ApiError>) {
    let guard = Guard {
        cost: options.cost.unwrap_or(Cost::USUAL),
        key: None,
        idle_minutes: IDLE_USUAL,
        last_there: now.at,
        locks: None,
        confirmed: Vec::new(),
        ahead: Vec::new(),
        stays_open: options.stays_open,
        pins: Tries::default(),
    };
    let store = match standing(dir) {
        Ok(Standing::Nothing) if options.unprotected => Store::open(dir).map_err(ApiError::from),
        Ok(Standing::Nothing) => Err(not_begun()),
        Ok(Standing::Plain) => Store::open(dir).map_err(ApiError::from),
        Ok(Standing::Protected) => Err(StoreError::Locked.into()),
        Err(error) => Err(error.into()),
    };
    (guard, store)
}

fn not_begun() -> ApiError {
    ApiError::new(
        Code::NotBegun,
        "There is no record on this device yet. Choose a passphrase to begin one.",
    )
}

/// Locks the record where it is time to, and notes that somebody is there where a person asked.
pub(crate) fn watch(app: &mut App, now: Now, unattended: bool) {
    let guard = &mut app.guard;
    if guard.key.is_some() {
        // One that cannot be read says nothing: what became of the folder is told by what is asked of it.
        let locked_elsewhere =
            locks(&app.dir).is_some_and(|now| guard.locks.as_ref() != Some(&now));
        if locked_elsewhere || seconds_left(guard, now) == Some(0) {
            return close(app, now);
        }
    }
    // A clock that was set back must not keep it open for longer.
    if !unattended || guard.last_there > now.at {
        guard.last_there = now.at;
    }
}

fn seconds_left(guard: &Guard, now: Now) -> Option<u32> {
    if guard.key.is_none() || guard.stays_open {
        return None;
    }
    let gone = (now.at - guard.last_there).num_seconds().max(0);
    let left = i64::from(guard.idle_minutes) * 60 - gone;
    Some(u32::try_from(left.max(0)).unwrap_or(0))
}

fn locks(dir: &Path) -> Option<Vec<u8>> {
    fs::read(dir.join(LOCKS)).ok()
}

/// Forgets the key and what was read with it, but for when the next injections are due.
fn close(app: &mut App, now: Now) {
    app.guard.ahead = app
        .store()
        .and_then(|store| round::ahead(&store.reader(), now))
        .unwrap_or_default();
    app.job = None;
    app.store = Err(StoreError::Locked.into());
    app.guard.key = None;
    app.guard.confirmed.clear();
}

pub(crate) fn protection(app: &App, now: Now) -> ProtectionData {
    let ring = Keyring::read(&app.dir).ok().flatten();
    let (standing, protected) = match &app.store {
        Ok(store) => ("open", store.is_protected()),
        Err(error) => match error.code {
            Code::Locked => ("locked", true),
            Code::NotBegun => ("not_begun", false),
            _ => ("closed", ring.is_some()),
        },
    };
    let idle_minutes = ring.as_ref().map_or(IDLE_USUAL, |ring| ring.idle_minutes);
    ProtectionData {
        standing: standing.to_owned(),
        protected,
        demo: app.demo,
        recovery_code: ring.is_some_and(|ring| ring.has(By::RecoveryCode)),
        idle_minutes,
        idle_choices: IDLE_CHOICES.to_vec(),
        locks_in_s: seconds_left(&app.guard, now),
        wait_s: Tries::read(&app.dir).wait_s(now),
        shortest: u32::try_from(keys::SHORTEST).unwrap_or(u32::MAX),
    }
}

pub(crate) fn begin(
    app: &mut App,
    args: &NewPassphrase,
    now: Now,
) -> Result<ProtectionData, ApiError> {
    match &app.store {
        Err(error) if error.code == Code::NotBegun => {}
        Ok(_) => return Err(already_begun()),
        Err(error) if error.code == Code::Locked => return Err(already_begun()),
        Err(error) => return Err(error.clone()),
    }
    // Another program may have begun one since.
    match standing(&app.dir)? {
        Standing::Nothing => {}
        Standing::Plain | Standing::Protected => {
            app.store = Err(StoreError::Locked.into());
            return Err(already_begun());
        }
    }
    let passphrase = strong(&args.passphrase)?;
    let (ring, key) = Keyring::new(&passphrase, app.guard.cost, IDLE_USUAL)?;
    let made = Store::make(&app.dir, &ring, &key);
    opened(app, key, made, now)
}

fn already_begun() -> ApiError {
    ApiError::new(
        Code::AlreadyBegun,
        "There is a record in this folder already. Unlock it instead.",
    )
}

/// Takes a store that a key was given for. Where the file cannot be read the key is kept, so that a copy can be put back.
fn opened(
    app: &mut App,
    key: Key,
    store: Result<Store, StoreError>,
    now: Now,
) -> Result<ProtectionData, ApiError> {
    if let Err(error @ (StoreError::DiskFull | StoreError::ReadOnly | StoreError::Busy)) = store {
        // It is still locked, or still not begun, and can be tried again.
        return Err(error.into());
    }
    app.guard.idle_minutes = Keyring::read(&app.dir)?.map_or(IDLE_USUAL, |ring| ring.idle_minutes);
    app.guard.last_there = now.at;
    app.guard.locks = locks(&app.dir);
    app.guard.key = Some(key);
    app.guard.ahead.clear();
    app.store = store.map_err(ApiError::from);
    app.store()?;
    Ok(protection(app, now))
}

fn strong(typed: &str) -> Result<Secret, ApiError> {
    let passphrase = Secret::passphrase(typed);
    if typed.len() <= 1000 && passphrase.is_long_enough() {
        return Ok(passphrase);
    }
    Err(ApiError::new(
        Code::WeakSecret,
        format!(
            "Choose a longer passphrase: at least {} characters, not one over and over. Four words that have nothing to do with each other are good and easy to type.",
            keys::SHORTEST
        ),
    ))
}

pub(crate) fn unlock(app: &mut App, args: &Unlock, now: Now) -> Result<ProtectionData, ApiError> {
    match &app.store {
        Ok(_) => return Ok(protection(app, now)),
        Err(error) if error.code != Code::Locked => return Err(error.clone()),
        Err(_) => {}
    }
    let ring = ring(app)?;
    let secrets = (args.passphrase.as_deref(), args.recovery_code.as_deref());
    let key = match unwrapped(app, &ring, secrets.0, secrets.1, now) {
        Ok(key) => key,
        Err(error) if error.code == Code::WrongSecret => {
            return match by_keys_of_before(app, secrets) {
                Some((key, store)) => opened(app, key, Ok(store), now),
                None => Err(error),
            };
        }
        Err(error) => return Err(error),
    };
    // What was cut short when the passphrase was last changed, or the one file that was damaged. A folder that cannot be
    // written says so when the store is opened.
    ring.mend(&app.dir).ok();
    let store = Store::open_with(&app.dir, Some(&key));
    // Asked only then: each ring that was set aside costs as much as the passphrase itself.
    let before = match &store {
        Err(StoreError::Damaged { .. }) => by_keys_of_before(app, secrets),
        _ => None,
    };
    match before {
        Some((key, store)) => opened(app, key, Ok(store), now),
        None => opened(app, key, store, now),
    }
}

/// The record by keys that were set aside: putting back a copy of another key replaces the keys and then the file, and a
/// cut between the two leaves the file of before with the keys of the copy.
fn by_keys_of_before(app: &App, secrets: (Option<&str>, Option<&str>)) -> Option<(Key, Store)> {
    let (by, secret) = asked(secrets)?;
    let secret = secret?;
    Keyring::set_aside_in(&app.dir)
        .into_iter()
        .find_map(|ring| {
            let key = ring.unwrap(by, &secret).ok()?;
            let store = Store::open_with(&app.dir, Some(&key)).ok()?;
            ring.keep(&app.dir).ok()?;
            Tries::read(&app.dir).forget(&app.dir);
            Some((key, store))
        })
}

/// Which secret was given, if one was; and what it is, if it can be one.
fn asked((passphrase, code): (Option<&str>, Option<&str>)) -> Option<(By, Option<Secret>)> {
    match (passphrase, code) {
        (Some(typed), None) => Some((By::Passphrase, Some(Secret::passphrase(typed)))),
        (None, Some(typed)) => Some((By::RecoveryCode, Secret::code(typed))),
        _ => None,
    }
}

fn ring(app: &App) -> Result<Keyring, ApiError> {
    Ok(Keyring::read(&app.dir)?.ok_or(StoreError::KeysMissing)?)
}

/// The key by whichever secret was given; a wrong one is counted.
pub(crate) fn unwrapped(
    app: &App,
    ring: &Keyring,
    passphrase: Option<&str>,
    code: Option<&str>,
    now: Now,
) -> Result<Key, ApiError> {
    let mut tries = Tries::read(&app.dir);
    tries.allow(now)?;
    let Some((by, secret)) = asked((passphrase, code)) else {
        return Err(ApiError::new(
            Code::BadRequest,
            "Give the passphrase or the recovery code, one of the two.",
        ));
    };
    if by == By::RecoveryCode && !ring.has(by) {
        return Err(ApiError::new(
            Code::WrongSecret,
            "No recovery code was made for this record; only its passphrase opens it.",
        ));
    }
    let Some(secret) = secret else {
        // Nothing that could be guessed with, so it is not counted.
        return Err(ApiError::new(
            Code::WrongSecret,
            "A recovery code has eight groups of four letters and digits. Look at it again.",
        ));
    };
    match ring.unwrap(by, &secret) {
        Ok(key) => {
            tries.forget(&app.dir);
            Ok(key)
        }
        Err(StoreError::WrongSecret) => Err(tries.count(&app.dir, now)),
        Err(error) => Err(error.into()),
    }
}

/// Wrong tries so far. Kept on the disk, so that starting again does not forget them.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct Tries {
    wrong: u32,
    last_utc_ms: i64,
}

/// How long the next try has to wait after so many wrong ones, in seconds: three are free, for fingers slip; then it
/// doubles up to five minutes, which leaves a guesser some three hundred tries a day and nobody locked out for long.
pub(crate) fn wait_after(wrong: u32) -> u32 {
    match wrong {
        0..=2 => 0,
        n => 5_u32.saturating_mul(1 << (n - 3).min(16)).min(300),
    }
}

impl Tries {
    fn read(dir: &Path) -> Self {
        let text = fs::read(dir.join(TRIES)).unwrap_or_default();
        serde_json::from_slice(&text).unwrap_or_default()
    }

    fn wait_s(self, now: Now) -> u32 {
        let wait = wait_after(self.wrong);
        let gone = now.at.timestamp_millis() - self.last_utc_ms;
        // Under a clock that was set back the whole wait begins again: never more.
        let gone = u32::try_from(gone.max(0) / 1000).unwrap_or(u32::MAX);
        wait.saturating_sub(gone)
    }

    pub(crate) fn allow(self, now: Now) -> Result<(), ApiError> {
        match self.wait_s(now) {
            0 => Ok(()),
            wait => Err(ApiError::new(
                Code::TryLater,
                format!(
                    "That was wrong {} times. The next can be tried in {}.",
                    self.wrong,
                    seconds(wait)
                ),
            )),
        }
    }

    /// Counts one more, on the disk too.
    fn count(&mut self, dir: &Path, now: Now) -> ApiError {
        let told = self.wrong(now, &ApiError::from(StoreError::WrongSecret).message);
        let text = serde_json::to_vec(self).unwrap_or_default();
        // Where nothing can be written nothing can be unlocked for writing either.
        write_private(&dir.join(TRIES), &text).ok();
        told
    }

    /// Counts one more and says so.
    pub(crate) fn wrong(&mut self, now: Now, words: &str) -> ApiError {
        self.wrong = self.wrong.saturating_add(1);
        self.last_utc_ms = now.at.timestamp_millis();
        let wait = match wait_after(self.wrong) {
            0 => String::new(),
            wait => format!(" The next can be tried in {}.", seconds(wait)),
        };
        ApiError::new(Code::WrongSecret, format!("{words}{wait}"))
    }

    fn forget(self, dir: &Path) {
        if self != Self::default() {
            fs::remove_file(dir.join(TRIES)).ok();
        }
    }
}

fn seconds(n: u32) -> String {
    match n {
        1 => "1 second".to_owned(),
        n if n >= 120 && n.is_multiple_of(60) => format!("{} minutes", n / 60),
        n => format!("{n} seconds"),
    }
}

pub(crate) fn lock(app: &mut App, now: Now) -> Result<ProtectionData, ApiError> {
    if app.guard.key.is_none() {
        // Locked already is as good as locked; a plain one cannot be.
        return match &app.store {
            Ok(_) => Err(not_protected()),
            Err(error) if error.code == Code::Locked => Ok(protection(app, now)),
            Err(error) => Err(error.clone()),
        };
    }
    let word = record::new_id(now);
    // Where that cannot be written, this program locks all the same.
    write_private(&app.dir.join(LOCKS), word.as_bytes()).ok();
    close(app, now);
    Ok(protection(app, now))
}

fn not_protected() -> ApiError {
    ApiError::new(
        Code::NotProtected,
        "This record has no passphrase, so there is nothing to lock it with.",
    )
}

/// The ring of a record that is open and protected.
fn open_ring(app: &App) -> Result<Keyring, ApiError> {
    if !app.store()?.is_protected() {
        return Err(not_protected());
    }
    ring(app)
}

pub(crate) fn idle_set(
    app: &mut App,
    args: &IdleSet,
    now: Now,
) -> Result<ProtectionData, ApiError> {
    let mut ring = open_ring(app)?;
    if !IDLE_CHOICES.contains(&args.minutes) {
        let choices: Vec<String> = IDLE_CHOICES.iter().map(u32::to_string).collect();
        return Err(ApiError::new(
            Code::BadCount,
            format!("Choose one of {} minutes.", choices.join(", ")),
        ));
    }
    ring.idle_minutes = args.minutes;
    ring.keep(&app.dir)?;
    app.guard.idle_minutes = args.minutes;
    Ok(protection(app, now))
}

pub(crate) fn passphrase_change(
    app: &mut App,
    args: &PassphraseChange,
    now: Now,
) -> Result<PassphraseChanged, ApiError> {
    let mut ring = open_ring(app)?;
    let new = strong(&args.new)?;
    let key = unwrapped(
        app,
        &ring,
        args.passphrase.as_deref(),
        args.recovery_code.as_deref(),
        now,
    )?;
    ring.wrap(By::Passphrase, &new, &key, app.guard.cost)?;
    ring.keep(&app.dir)?;
    let words = match backup::rewrap(&backups::folder(&app.dir), &ring) {
        Ok(0) => "The passphrase is changed.".to_owned(),
        Ok(_) => "The passphrase is changed, for the copies in their folder too. A copy that was taken elsewhere still opens by the one before.".to_owned(),
        Err(_) => "The passphrase is changed. The copies in their folder could not be reached: they still open by the one before.".to_owned(),
    };
    Ok(PassphraseChanged { words })
}

pub(crate) fn recovery_make(
    app: &mut App,
    args: &NewPassphrase,
    now: Now,
) -> Result<RecoveryData, ApiError> {
    let mut ring = open_ring(app)?;
    let key = unwrapped(app, &ring, Some(&args.passphrase), None, now)?;
    let code = Secret::new_code()?;
    ring.wrap(By::RecoveryCode, &code, &key, app.guard.cost)?;
    ring.keep(&app.dir)?;
    // Where the copies cannot be reached, they open by the passphrase.
    backup::rewrap(&backups::folder(&app.dir), &ring).ok();
    Ok(RecoveryData {
        code: code.groups().to_string(),
    })
}

pub(crate) fn protect(
    app: &mut App,
    args: &NewPassphrase,
    now: Now,
) -> Result<Protected, ApiError> {
    if app.demo {
        return Err(ApiError::new(
            Code::NotProtected,
            "The made-up caseload is thrown away when Fallow ends and is not protected.",
        ));
    }
    if app.store()?.is_protected() {
        return Err(already_begun());
    }
    let passphrase = strong(&args.passphrase)?;
    let (ring, key) = Keyring::new(&passphrase, app.guard.cost, IDLE_USUAL)?;
    app.job = None;
    app.store = Err(ApiError::new(
        Code::Busy,
        "The record is being encrypted. Try again in a moment.",
    ));
    if let Err(error) = plain::protect(&app.dir, &ring, &key) {
        app.store = Store::open(&app.dir).map_err(ApiError::from);
        return Err(error.into());
    }
    let store = Store::open_with(&app.dir, Some(&key));
    opened(app, key, store, now)?;
    let folder = backups::folder(&app.dir);
    let copies = backup::named(&folder).map_or(0, |all| all.len());
    Ok(Protected {
        words: if copies == 0 {
            "The record is encrypted now.".to_owned()
        } else {
            format!(
                "The record is encrypted now. Copies that were made before are not: anybody who finds them can read them. They lie in {}.",
                folder.display()
            )
        },
    })
}

impl Guard {
    /// The injections that are open while the record is locked, as far as was known when it was.
    pub(crate) fn open_ahead(&self, now: Now) -> Vec<Open> {
        let stage = |turns: &Turns| Stage::of(turns.standing(now.at));
        let known = self.ahead.iter();
        known
            .filter_map(|(injection, turns)| {
                Some(Open {
                    injection: injection.clone(),
                    stage: stage(turns)?,
                })
            })
            .collect()
    }

    pub(crate) fn key(&self) -> Option<&Key> {
        self.key.as_ref()
    }

    /// Takes the key of a copy that was put back.
    pub(crate) fn take(&mut self, key: Option<Key>, dir: &Path, now: Now) {
        self.key = key;
        self.last_there = now.at;
        self.locks = locks(dir);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_tries_are_free_and_the_next_wait_longer_and_longer_up_to_five_minutes() {
        let waits: Vec<u32> = (0..14).map(wait_after).collect();
        assert_eq!(
            waits,
            [0, 0, 0, 5, 10, 20, 40, 80, 160, 300, 300, 300, 300, 300]
        );
        assert_eq!(wait_after(u32::MAX), 300);
    }
}
