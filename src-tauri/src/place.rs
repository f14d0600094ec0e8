//! Where the record is kept, and the door on it that a shell shares between its threads.

use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use fallow_api::{App, Options};
use tempfile::TempDir;

use crate::clock::Clock;

/// How often a shell that runs on looks whether to lock.
pub(crate) const WATCH: std::time::Duration = std::time::Duration::from_secs(2);

/// The made-up caseload comes out the same on every run.
const DEMO_SEED: u64 = 7;

/// Which store to open.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Store {
    /// The system's place for this app's data.
    Usual,
    /// A folder named on the command line.
    In(PathBuf),
    /// A throw-away store with the made-up caseload, removed when the program ends.
    Demo,
}

/// One open store, one request at a time.
pub(crate) struct Door {
    app: Mutex<App>,
    clock: Clock,
    /// The demo's folder; dropping it removes it.
    throw_away: Mutex<Option<TempDir>>,
}

impl Door {
    /// Opens the store. `usual` is asked for the usual place when that is wanted. A protected store is opened with the
    /// passphrase, or begun with it where there is none; without one it stays locked until the screen gives it.
    ///
    /// A store that cannot be opened is no error here: every request is answered with its code, so that the screen
    /// can say what happened.
    ///
    /// # Errors
    /// A sentence, when there is no usual place, the passphrase is not the right one, or the made-up caseload cannot be
    /// made.
    pub(crate) fn open(
        store: &Store,
        clock: Clock,
        passphrase: Option<String>,
        usual: impl FnOnce() -> Option<PathBuf>,
    ) -> Result<Self, String> {
        let mut throw_away = None;
        let dir = match store {
            Store::In(dir) => dir.clone(),
            Store::Usual => usual()
                .ok_or("this system names no folder for the record; name one with --data DIR")?,
            Store::Demo => {
                let dir = tempfile::Builder::new().prefix("fallow-demo-").tempdir();
                let dir = dir.map_err(|fault| format!("no folder for the demo: {fault}"))?;
                throw_away.insert(dir).path().to_path_buf()
            }
        };
        make_private(&dir);
        let demo = *store == Store::Demo;
        let options = Options {
            demo,
            unprotected: demo,
            stays_open: passphrase.is_some(),
            cost: None,
        };
        let mut app = App::open(&dir, options, clock.now());
        if let Some(passphrase) = passphrase.filter(|_| !demo) {
            let protected = app
                .open_with(passphrase, clock.now())
                .map_err(|fault| fault.message)?;
            if !protected {
                eprintln!("fallow: this record is not protected; the passphrase was not needed");
            }
        }
        if demo {
            fallow_api::fill_demo(&mut app, DEMO_SEED, clock.now())
                .map_err(|fault| format!("the made-up caseload could not be made: {fault}"))?;
        }
        Ok(Self {
            app: Mutex::new(app),
            clock,
            throw_away: Mutex::new(throw_away),
        })
    }

    /// Answers one request; blocks while another is being answered.
    pub(crate) fn answer(&self, request: &str) -> String {
        // A panic behind the door is caught there; a poisoned lock says nothing about the store.
        let mut app = self.app.lock().unwrap_or_else(PoisonError::into_inner);
        fallow_api::answer(&mut app, request, self.clock.now())
    }

    /// Locks the store when it is time to; to be called every few seconds by a shell that runs on.
    pub(crate) fn watch(&self) {
        let mut app = self.app.lock().unwrap_or_else(PoisonError::into_inner);
        app.watch(self.clock.now());
    }

    /// What is known to be open of a locked record, and when that was asked.
    pub(crate) fn open_ahead(
        &self,
    ) -> (
        Vec<fallow_api::reminders::Open>,
        chrono::DateTime<chrono::FixedOffset>,
    ) {
        let now = self.clock.now();
        let app = self.app.lock().unwrap_or_else(PoisonError::into_inner);
        (app.open_ahead(now), now.at)
    }

    /// How the screen last asked for times of day to be told; `None` before it asked for anything.
    pub(crate) fn clock(&self) -> Option<fallow_api::Clock> {
        self.app
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .clock()
    }

    /// Removes the demo's folder, for a shell that ends without dropping the door.
    pub(crate) fn clear_away(&self) {
        drop(
            self.throw_away
                .lock()
                .unwrap_or_else(PoisonError::into_inner)
                .take(),
        );
    }
}

/// The usual place, for the shells that have no window to ask: the same folder that Tauri names.
pub(crate) fn usual(identifier: &str) -> Option<PathBuf> {
    dirs::data_dir().map(|dir| dir.join(identifier))
}

/// Makes the folder, readable by its owner alone. A folder that cannot be made is reported by the store that misses it.
fn make_private(dir: &Path) {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt as _;
        builder.mode(0o700);
    }
    let _ = builder.create(dir);
}
