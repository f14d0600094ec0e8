//! The one door: every request of every shell comes in here and goes out as a reply or a coded error.
//!
//! [`answer`] takes one JSON request and returns one JSON reply; [`handle`] is the same in types. Time is an
//! argument ([`Now`]); the shells read the clock. Not here: SQL ([`fallow_store`]), rules ([`fallow_core`]).

mod backups;
mod before;
mod body;
mod chart;
mod chart_file;
mod containers;
mod demo;
pub mod error;
mod events;
mod examples;
mod forms;
mod giving;
mod glucose;
mod guard;
mod injections;
mod journal;
mod lower;
mod measures;
mod people;
mod plan;
mod raise;
mod record;
mod recorders;
mod risk;
mod round;
mod sites;
mod skin;
mod skin_check;
mod terms;
mod typescript;
pub mod wire;

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};
use fallow_store::{Store, StoreError};

pub use fallow_store::Cost;

pub use error::{ApiError, ErrorCode};
pub use wire::{Request, Response};

pub use demo::fill_demo;
pub use examples::operations;
/// What a shell that can reach people reminds them of, and in which words; it asks `due` for where the slots stand.
pub use fallow_core::reminders;
/// How times of day are told in words: with 24 or with 12 hours.
pub use fallow_core::time::Clock;
pub use typescript::typescript;

/// The moment of a request, as the shell's clock reads it.
#[derive(Debug, Clone, Copy)]
pub struct Now {
    /// The instant, at this device's offset.
    pub at: DateTime<FixedOffset>,
    /// Whether a person set it (`--clock`); entries so recorded are marked.
    pub set_by_hand: bool,
    /// How words of the reply tell times of day; a request's own `display` goes before it.
    pub clock: Clock,
}

/// How to open a store.
#[derive(Debug, Clone, Copy, Default)]
pub struct Options {
    /// This is the made-up caseload in a throw-away store.
    pub demo: bool,
    /// Where there is no record yet, one is made at once and is plain. Nobody's record is: without this, a new one waits
    /// for its passphrase.
    pub unprotected: bool,
    /// Not locked for nobody being there: for a program that was given the passphrase when it was started.
    pub stays_open: bool,
    /// What deriving a key costs; [`Cost::USUAL`] when absent. Only tests that guard nobody's record have it cheaper.
    pub cost: Option<Cost>,
}

/// An open copy of Fallow: one store and what is needed to answer requests on it.
pub struct App {
    dir: PathBuf,
    store: Result<Store, ApiError>,
    guard: guard::Guard,
    daily: backups::Daily,
    /// A copy in the making.
    job: Option<backups::Job>,
    demo: bool,
    clock: Option<Clock>,
}

impl App {
    /// Opens the store in `dir`, or makes a new one where there has been none.
    ///
    /// Never fails: a store that cannot be opened is told to every request by its code (`locked`, `not_begun`,
    /// `file_damaged`, `file_missing`, `read_only` …), so that every shell can show it.
    pub fn open(dir: &Path, options: Options, now: Now) -> Self {
        let (guard, store) = guard::open(dir, options, now);
        Self {
            dir: dir.to_owned(),
            store,
            guard,
            daily: backups::Daily::default(),
            job: None,
            demo: options.demo,
            clock: None,
        }
    }

    /// Opens the record with this passphrase, or begins one where there is none; for a program that was given it when it
    /// was started. False where the record has none and was opened without.
    ///
    /// # Errors
    /// As the operations `begin` and `unlock`.
    pub fn open_with(&mut self, passphrase: String, now: Now) -> Result<bool, ApiError> {
        if let Ok(store) = &self.store {
            return Ok(store.is_protected());
        }
        let begins = matches!(&self.store, Err(error) if error.code == ErrorCode::NotBegun);
        if begins {
            guard::begin(self, &wire::NewPassphrase { passphrase }, now)?;
        } else {
            let passphrase = Some(passphrase);
            let asked = wire::Unlock {
                passphrase,
                recovery_code: None,
            };
            guard::unlock(self, &asked, now)?;
        }
        Ok(true)
    }

    /// While the record is locked: the injections that are open, as far as was known when it was locked. Ids and times.
    pub fn open_ahead(&self, now: Now) -> Vec<reminders::Open> {
        self.guard.open_ahead(now)
    }

    /// Locks the record if nobody was there for as long as was chosen, or if it was locked elsewhere; for a shell to call
    /// now and then, so that the key does not lie in memory until the next request.
    pub fn watch(&mut self, now: Now) {
        guard::watch(self, now, true);
    }

    /// How the last request that said so wanted times of day told, for words a shell makes by itself; `None` before one
    /// did.
    pub fn clock(&self) -> Option<Clock> {
        self.clock
    }

    pub(crate) fn store(&self) -> Result<&Store, ApiError> {
        self.store.as_ref().map_err(Clone::clone)
    }

    /// The store for writing; one made by a newer version is refused by its own code.
    pub(crate) fn store_mut(&mut self) -> Result<&mut Store, ApiError> {
        self.store.as_mut().map_err(|e| e.clone())
    }
}

/// Answers one request.
///
/// # Errors
/// [`ApiError`] with a stable code; nothing is half-written then.
#[expect(clippy::too_many_lines, reason = "a table: one arm for each operation")]
pub fn handle(app: &mut App, request: Request, now: Now) -> Result<Response, ApiError> {
    if needs_record(&request) {
        app.store()?;
    }
    match request {
        Request::Status {} => forms::status(app, now).map(Response::Status),
        Request::Protection {} => Ok(Response::Protection(guard::protection(app, now))),
        Request::Begin(args) => guard::begin(app, &args, now).map(Response::Begin),
        Request::Unlock(args) => guard::unlock(app, &args, now).map(Response::Unlock),
        Request::Lock {} => guard::lock(app, now).map(Response::Lock),
        Request::IdleSet(args) => guard::idle_set(app, &args, now).map(Response::IdleSet),
        Request::PassphraseChange(args) => {
            guard::passphrase_change(app, &args, now).map(Response::PassphraseChange)
        }
        Request::RecoveryMake(args) => {
            guard::recovery_make(app, &args, now).map(Response::RecoveryMake)
        }
        Request::Protect(args) => guard::protect(app, &args, now).map(Response::Protect),
        Request::RecorderList {} => recorders::list(app).map(Response::RecorderList),
        Request::RecorderSet(args) => recorders::set(app, &args, now).map(Response::RecorderSet),
        Request::RecorderConfirm(args) => {
            recorders::confirm(app, &args, now).map(Response::RecorderConfirm)
        }
        Request::MedicineList {} => Ok(Response::MedicineList(forms::medicines())),
        Request::BackupList {} => backups::list(app, now).map(Response::BackupList),
        Request::BackupMake {} => backups::make(app, now).map(Response::BackupMake),
        Request::BackupStart {} => backups::start(app, now).map(Response::BackupStart),
        Request::BackupState {} => backups::state(app, now).map(Response::BackupState),
        Request::BackupStop {} => backups::stop(app, now).map(Response::BackupStop),
        Request::BackupFolder(args) => backups::choose(app, &args, now).map(Response::BackupFolder),
        Request::BackupRestore(args) => {
            backups::restore(app, &args, now).map(Response::BackupRestore)
        }
        Request::JournalVerify {} => journal::verify(app, now).map(Response::JournalVerify),
        Request::PracticeGet {} => forms::practice(app).map(Response::PracticeGet),
        Request::PracticeSet(args) => {
            forms::practice_set(app, &args, now).map(Response::PracticeSet)
        }
        Request::PersonAdd(args) => {
            people::add(app, &args, now).map(|saved| Response::PersonAdd(saved.into()))
        }
        Request::PersonChange(args) => {
            people::change(app, &args, now).map(|saved| Response::PersonChange(saved.into()))
        }
        Request::PersonList(args) => people::list(app, &args, now).map(Response::PersonList),
        Request::PersonGet(args) => people::get(app, &args, now).map(Response::PersonGet),
        Request::OrderAdd(args) => {
            people::order_add(app, &args, now).map(|saved| Response::OrderAdd(saved.into()))
        }
        Request::OrderEnd(args) => {
            people::order_end(app, &args, now).map(|saved| Response::OrderEnd(saved.into()))
        }
        Request::OrderChange(args) => {
            people::order_change(app, &args, now).map(|saved| Response::OrderChange(saved.into()))
        }
        Request::Due(args) => round::due(app, &args, now).map(|d| Response::Due(Box::new(d))),
        Request::Handover(args) => {
            round::handover(app, &args, now).map(|h| Response::Handover(Box::new(h)))
        }
        Request::EventRecord(args) => events::record(app, &args, now).map(Response::EventRecord),
        Request::EventWithdraw(args) => {
            events::withdraw(app, &args, now).map(Response::EventWithdraw)
        }
        Request::EventCorrect(args) => events::correct(app, &args, now).map(Response::EventCorrect),
        Request::EventList(args) => events::list(app, &args, now).map(Response::EventList),
        Request::GlucoseCheck(args) => glucose::check(app, &args).map(Response::GlucoseCheck),
        Request::GlucoseState(args) => {
            glucose::state(app, &args, now).map(|g| Response::GlucoseState(Box::new(g)))
        }
        Request::ContainerAdd(args) => containers::add(app, &args, now).map(Response::ContainerAdd),
        Request::Before(args) => {
            before::page(app, &args, now).map(|b| Response::Before(Box::new(b)))
        }
        Request::DoseVolume(args) => giving::dose_volume(app, &args).map(Response::DoseVolume),
        Request::Technique(args) => {
            giving::technique(app, &args, now).map(|t| Response::Technique(Box::new(t)))
        }
        Request::SiteCheck(args) => sites::check(app, &args, now).map(Response::SiteCheck),
        Request::SiteSuggest(args) => sites::suggest(app, &args, now).map(Response::SiteSuggest),
        Request::SiteAt(args) => body::site_at(app, &args).map(Response::SiteAt),
        Request::InjectionRecord(args) => {
            injections::record(app, &args, now).map(Response::InjectionRecord)
        }
        Request::InjectionCorrect(args) => {
            injections::correct(app, &args, now).map(Response::InjectionCorrect)
        }
        Request::InjectionList(args) => {
            injections::list(app, &args, now).map(Response::InjectionList)
        }
        Request::UseMap(args) => body::use_map(app, &args, now).map(Response::UseMap),
        Request::UseGrid(args) => measures::use_grid(app, &args, now).map(Response::UseGrid),
        Request::Measures(args) => {
            measures::measures(app, &args, now).map(|m| Response::Measures(Box::new(m)))
        }
        Request::Plan(args) => plan::plan(app, &args, now).map(|p| Response::Plan(Box::new(p))),
        Request::Room(args) => plan::room(app, &args, now).map(|r| Response::Room(Box::new(r))),
        Request::BodyDrawing(args) => body::drawing(app, &args).map(Response::BodyDrawing),
        Request::Patch(args) => body::patch(app, &args, now).map(Response::Patch),
        Request::FindingRecord(args) => skin::record(app, &args, now).map(Response::FindingRecord),
        Request::FindingLook(args) => skin::look(app, &args, now).map(Response::FindingLook),
        Request::FindingWithdraw(args) => {
            skin::withdraw(app, &args, now).map(Response::FindingWithdraw)
        }
        Request::FindingList(args) => skin::list(app, &args, now).map(Response::FindingList),
        Request::SkinCheckRecord(args) => {
            skin_check::record(app, &args, now).map(Response::SkinCheckRecord)
        }
        Request::SkinCheckWithdraw(args) => {
            skin_check::withdraw(app, &args, now).map(Response::SkinCheckWithdraw)
        }
        Request::SkinState(args) => {
            skin_check::state(app, &args, now).map(|s| Response::SkinState(Box::new(s)))
        }
        Request::Chart(args) => chart::chart(app, &args, now).map(|c| Response::Chart(Box::new(c))),
        Request::ChartFile(args) => {
            chart_file::file(app, &args, now).map(|f| Response::ChartFile(Box::new(f)))
        }
        Request::Risk(args) => risk::risk(app, &args, now).map(Response::Risk),
        Request::TimeResolve(args) => forms::time_resolve(&args, now).map(Response::TimeResolve),
        Request::DraftSave(args) => forms::draft_save(app, &args, now).map(Response::DraftSave),
        Request::DraftGet(args) => forms::draft_get(app, &args).map(Response::DraftGet),
        Request::DraftDrop(args) => forms::draft_drop(app, &args).map(Response::DraftDrop),
    }
}

/// Whether a request is refused outright where there is no record, or none that is open: all but those that read nothing
/// of it, and those that open it or put a copy in its place.
fn needs_record(request: &Request) -> bool {
    !matches!(
        request,
        Request::Protection {}
            | Request::Begin(_)
            | Request::Unlock(_)
            | Request::Lock {}
            | Request::MedicineList {}
            | Request::TimeResolve(_)
            | Request::BackupList {}
            | Request::BackupRestore(_)
    )
}

/// Answers one JSON request with one JSON reply, `{"ok":{"op":…,"data":…}}` or `{"error":{"code":…,"message":…}}`.
/// Beside `op` and `args` a request may say `"display":{"clock":"12"}`, by which times of day are told in words.
/// With `"unattended":true` it is asked by a program of itself, and does not count as somebody being there.
/// A fault inside is answered with code `internal`; the store stays usable.
pub fn answer(app: &mut App, json: &str, now: Now) -> String {
    let reply = read(json).and_then(
        |Read {
             request,
             clock,
             unattended,
         }| {
            app.clock = clock.or(app.clock);
            let now = Now {
                clock: clock.unwrap_or(now.clock),
                ..now
            };
            caught(|| {
                guard::watch(app, now, unattended);
                backups::daily(app, now);
                handle(app, request, now)
            })
        },
    );
    let reply = match &reply {
        Ok(response) => serde_json::to_string(&Reply::Ok(response)),
        Err(error) => serde_json::to_string(&Reply::Error(&error.data())),
    };
    reply.unwrap_or_else(|_| {
        r#"{"error":{"code":"internal","message":"The reply could not be written. Nothing was lost; try again."}}"#
            .to_owned()
    })
}

/// Does what was asked; a fault inside becomes one refused request.
fn caught<T>(act: impl FnOnce() -> Result<T, ApiError>) -> Result<T, ApiError> {
    catch_unwind(AssertUnwindSafe(act)).unwrap_or_else(|_| {
        Err(ApiError::new(
            ErrorCode::Internal,
            "Something went wrong inside Fallow and nothing was saved. Try again; if it comes back, restart Fallow.",
        ))
    })
}

#[derive(serde::Serialize)]
#[serde(rename_all = "snake_case")]
enum Reply<'a> {
    Ok(&'a Response),
    Error(&'a wire::ErrorData),
}

/// A request as it was read, and what stood beside it.
struct Read {
    request: Request,
    clock: Option<Clock>,
    unattended: bool,
}

/// Reads a request, telling apart what is not JSON, what is not an operation and what does not fit one.
fn read(json: &str) -> Result<Read, ApiError> {
    let value: serde_json::Value = serde_json::from_str(json).map_err(|e| {
        ApiError::new(
            ErrorCode::BadJson,
            format!("This line is not JSON: {e}. The next line is read all the same."),
        )
    })?;
    let op = value.get("op").and_then(|op| op.as_str()).ok_or_else(|| {
        ApiError::new(
            ErrorCode::BadRequest,
            r#"A request looks like {"op":"person_list","args":{}}."#,
        )
    })?;
    if !examples::names().contains(&op) {
        return Err(ApiError::new(
            ErrorCode::UnknownOp,
            format!("There is no operation \"{op}\". `fallow call --ops` lists them all."),
        ));
    }
    let op = op.to_owned();
    let mut value = value;
    let clock = clock_of(&mut value)?;
    let unattended = unattended_of(&mut value)?;
    if let Some(object) = value.as_object_mut() {
        object
            .entry("args")
            .or_insert_with(|| serde_json::json!({}));
    }
    let request = serde_json::from_value(value).map_err(|e| {
        ApiError::new(
            ErrorCode::BadRequest,
            format!("The arguments of {op} do not fit: {e}."),
        )
    })?;
    Ok(Read {
        request,
        clock,
        unattended,
    })
}

/// Takes `unattended` out of a request.
fn unattended_of(request: &mut serde_json::Value) -> Result<bool, ApiError> {
    match request.as_object_mut().and_then(|o| o.remove("unattended")) {
        None => Ok(false),
        Some(serde_json::Value::Bool(unattended)) => Ok(unattended),
        Some(_) => Err(ApiError::new(
            ErrorCode::BadRequest,
            "`unattended` is true or false.",
        )),
    }
}

/// Takes `display` out of a request.
fn clock_of(request: &mut serde_json::Value) -> Result<Option<Clock>, ApiError> {
    let display = request.as_object_mut().and_then(|o| o.remove("display"));
    let Some(display) = display else {
        return Ok(None);
    };
    let read = (display.is_object())
        .then(|| serde_json::from_value::<wire::Display>(display).ok())
        .flatten();
    let clock = read.and_then(|d| Clock::from_code(d.clock.as_deref().unwrap_or("24")));
    clock.map(Some).ok_or_else(|| {
        ApiError::new(
            ErrorCode::BadRequest,
            r#"`display` looks like {"clock":"24"} or {"clock":"12"}."#,
        )
    })
}

impl From<StoreError> for ApiError {
    fn from(error: StoreError) -> Self {
        let (code, message) = match &error {
            StoreError::TooNew { .. } => (
                ErrorCode::FileTooNew,
                "This record was made by a newer version of Fallow. It can be read here, not changed; update Fallow to go on.",
            ),
            StoreError::Damaged { .. } => (
                ErrorCode::FileDamaged,
                "The record's file is damaged or is not a record of Fallow. It was left as it is. Put a copy of it aside and restore a backup.",
            ),
            StoreError::Missing => (
                ErrorCode::FileMissing,
                "There was a record in this folder and its file is gone. Put it back, or choose another folder; nothing new was started in its place.",
            ),
            StoreError::Locked => (
                ErrorCode::Locked,
                "The record is locked. Give its passphrase to open it.",
            ),
            StoreError::WrongSecret => (
                ErrorCode::WrongSecret,
                "That does not open the record. Look at capital letters and try again.",
            ),
            StoreError::KeysMissing => (
                ErrorCode::KeysMissing,
                "The record is protected, and the file with its keys (fallow.keys) is gone from its folder. Put that file back, or put back a copy of the record, which has its own.",
            ),
            StoreError::KeysDamaged => (
                ErrorCode::KeysDamaged,
                "The file with the record's keys (fallow.keys) is damaged, and so is its spare. Put back a copy of the record, which has its own.",
            ),
            StoreError::NotAFolder | StoreError::ReadOnly => (
                ErrorCode::ReadOnly,
                "The record cannot be written: its folder or file is read only. Allow writing there, or choose another folder.",
            ),
            StoreError::DiskFull => (
                ErrorCode::DiskFull,
                "There is no room left on this device. Nothing was saved; make room and save again.",
            ),
            StoreError::Busy => (
                ErrorCode::Busy,
                "Another copy of Fallow is writing to this record. Nothing was saved; try again.",
            ),
            StoreError::IdReused => (
                ErrorCode::IdReused,
                "This id was already used for another entry. Make a new id for a new entry.",
            ),
            StoreError::AlreadySuperseded => (
                ErrorCode::AlreadyCorrected,
                "This entry was already corrected. Correct the newest version of it instead.",
            ),
            StoreError::UnknownEntry { .. }
            | StoreError::WrongEntry { .. }
            | StoreError::BadValue { .. }
            | StoreError::Refused { .. }
            | StoreError::Unsafe { .. }
            | StoreError::Stopped
            | StoreError::Io { .. }
            | StoreError::Sql(_) => {
                return Self::new(
                    ErrorCode::Internal,
                    format!(
                        "Nothing was saved: {error}. Try again; if it comes back, restart Fallow."
                    ),
                );
            }
        };
        Self::new(code, message)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// In the middle of saving, after something was written.
    #[test]
    fn a_fault_inside_is_one_refused_request_and_the_store_goes_on() {
        let dir = tempfile::tempdir().unwrap();
        let now = Now {
            at: DateTime::UNIX_EPOCH.fixed_offset(),
            set_by_hand: true,
            clock: Clock::default(),
        };
        let options = Options {
            unprotected: true,
            ..Options::default()
        };
        let mut app = App::open(dir.path(), options, now);
        let kept = r#"{"op":"draft_save","args":{"key":"give:1","body":"kept"}}"#;
        assert!(answer(&mut app, kept, now).starts_with("{\"ok\""));
        let done = caught(|| {
            app.store_mut()?.transact(|tx| {
                tx.save_draft("give:1", "half", now.at)?;
                assert!(tx.draft("give:2")?.is_some(), "a fault on purpose");
                Ok::<_, ApiError>(())
            })
        });
        assert_eq!(done.unwrap_err().code, ErrorCode::Internal);
        let draft = answer(
            &mut app,
            r#"{"op":"draft_get","args":{"key":"give:1"}}"#,
            now,
        );
        assert!(draft.contains("\"body\":\"kept\""), "{draft}");
        assert!(answer(&mut app, kept, now).starts_with("{\"ok\""));
    }
}
