//! The process that is harmed: this same test program, started again to do one act on a store. Not here: the harm, which
//! its parent does.

use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use fallow_store::{By, Key, Keyring, Secret, Store, StoreError, backup, protect};

use crate::record::{self, CHEAP, COPY, second};

/// Stands before what a child says, for the test runner writes to the same place.
const SIGN: &str = "~ ";
/// A file of this name is opened to tell the shim that the act begins, and that it ended.
const ARM: &str = "shim.arm";
const DISARM: &str = "shim.disarm";

/// What a child can do to a store.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Deed {
    Save,
    FirstStart,
    Copy,
    Passphrase,
    Protect,
    Restore,
}

impl Deed {
    pub const ALL: [Self; 6] = [
        Self::Save,
        Self::FirstStart,
        Self::Copy,
        Self::Passphrase,
        Self::Protect,
        Self::Restore,
    ];

    pub fn name(self) -> &'static str {
        match self {
            Self::Save => "save",
            Self::FirstStart => "first_start",
            Self::Copy => "copy",
            Self::Passphrase => "passphrase",
            Self::Protect => "protect",
            Self::Restore => "restore",
        }
    }
}

/// The n-th passphrase of a store whose passphrase is changed again and again; the 0th is the usual one.
pub fn passphrase(n: u64) -> Secret {
    match n {
        0 => record::secret(),
        n => Secret::passphrase(&format!("otter beside mill number {n}")),
    }
}

/// What a deed needs to have at hand before it begins.
pub struct Ready {
    dir: PathBuf,
    deed: Deed,
    store: Option<Store>,
    ring: Option<(Keyring, Key)>,
}

impl Ready {
    pub fn new(deed: Deed, dir: &Path) -> Result<Self, StoreError> {
        let store = match deed {
            Deed::Save | Deed::Copy => Some(record::open(dir)?),
            _ => None,
        };
        let ring = match deed {
            Deed::FirstStart | Deed::Protect => Some(Keyring::new(&record::secret(), CHEAP, 5)?),
            Deed::Passphrase => Some((Keyring::read(dir)?.unwrap(), record::key(dir)?)),
            Deed::Restore => Keyring::read(dir)?.map(|ring| (ring, record::key(dir).unwrap())),
            Deed::Save | Deed::Copy => None,
        };
        Ok(Self {
            dir: dir.to_owned(),
            deed,
            store,
            ring,
        })
    }

    /// Does it, for the n-th time.
    pub fn act(&mut self, n: u64) -> Result<(), StoreError> {
        let dir = &self.dir;
        match self.deed {
            Deed::Save => record::save(self.store.as_mut().unwrap(), n),
            Deed::Copy => {
                let folder = dir.join("backups");
                backup::make(self.store.as_ref().unwrap(), &folder, second(10 + n)).map(drop)
            }
            Deed::FirstStart => {
                let (ring, key) = self.ring.as_ref().unwrap();
                Store::make(dir, ring, key).map(drop)
            }
            Deed::Protect => {
                let (ring, key) = self.ring.as_ref().unwrap();
                protect::protect(dir, ring, key)
            }
            Deed::Passphrase => {
                let (ring, key) = self.ring.as_mut().unwrap();
                ring.wrap(By::Passphrase, &passphrase(n), key, CHEAP)?;
                ring.keep(dir)
            }
            Deed::Restore => {
                let key = self.ring.as_ref().map(|(_, key)| key);
                let from = dir.join("backups").join(COPY);
                backup::restore(dir, &from, key, second(10 + n)).map(drop)
            }
        }
    }

    /// The store, where the deed is done to an open one.
    pub fn store(&self) -> &Store {
        self.store.as_ref().unwrap()
    }
}

fn say(what: &str) {
    // One write, so that nothing comes between.
    println!("\n{SIGN}{what}");
}

/// The child's whole life. Without what its parent tells it there is nothing to do.
#[test]
#[ignore = "a part of the other tests, which start it in a process of its own"]
fn acts() {
    let told = |name: &str| std::env::var(name).ok();
    let deed = told("FALLOW_CHILD").expect("only a parent starts it");
    let deed = Deed::ALL.into_iter().find(|d| d.name() == deed).unwrap();
    let dir = PathBuf::from(told("FALLOW_CHILD_DIR").unwrap());
    let mut ready = Ready::new(deed, &dir).unwrap();
    say("ready");
    // One line of standard input for each round: the round's number, and whether the shim is to be told.
    for line in std::io::stdin().lines() {
        let line = line.unwrap();
        let (n, times) = line.split_once(' ').unwrap();
        let (n, times): (u64, u64) = (n.parse().unwrap(), times.parse().unwrap());
        for n in n..n + times {
            say(&format!("begin {n}"));
            let _ = std::fs::File::open(dir.join(ARM));
            let done = ready.act(n);
            let _ = std::fs::File::open(dir.join(DISARM));
            match done {
                Ok(()) => say(&format!("done {n}")),
                Err(error) => say(&format!("told {} {error}", record::name(&error))),
            }
        }
    }
    drop(ready);
    say("closed");
}

/// A child, and what it says.
pub struct Running {
    child: Child,
    stdin: Option<ChildStdin>,
    said: Receiver<String>,
    reader: JoinHandle<()>,
}

/// What a child had said when it ended.
#[derive(Debug, Default)]
pub struct Ended {
    /// The last act that was begun.
    pub begun: Option<u64>,
    /// The last that was acknowledged.
    pub done: Option<u64>,
    /// The refusals: the name, then the words.
    pub told: Vec<String>,
}

impl Ended {
    /// The act that was begun and neither acknowledged nor refused.
    pub fn in_flight(&self) -> Option<u64> {
        self.begun
            .filter(|n| self.done != Some(*n) && self.told.is_empty())
    }
}

impl Running {
    /// Starts a child with these further variables and waits until it is ready.
    pub fn start(deed: Deed, dir: &Path, vars: &[(&str, &str)]) -> Self {
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args([
                "--exact",
                "child::acts",
                "--ignored",
                "--nocapture",
                "--test-threads",
                "1",
            ])
            .env("FALLOW_CHILD", deed.name())
            .env("FALLOW_CHILD_DIR", dir)
            .envs(vars.iter().copied())
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::inherit())
            .spawn()
            .unwrap();
        let out = BufReader::new(child.stdout.take().unwrap());
        let (send, said) = channel();
        let reader = std::thread::spawn(move || {
            for line in out.lines().map_while(Result::ok) {
                if let Some(said) = line.strip_prefix(SIGN) {
                    let _ = send.send(said.to_owned());
                }
            }
        });
        let stdin = child.stdin.take();
        let running = Self {
            child,
            stdin,
            said,
            reader,
        };
        assert_eq!(running.hear(), "ready");
        running
    }

    /// The next thing it says.
    pub fn hear(&self) -> String {
        self.said
            .recv_timeout(Duration::from_secs(60))
            .expect("the child says something")
    }

    /// Tells it to do the acts from `n` on, so many.
    pub fn tell(&mut self, n: u64, times: u64) {
        writeln!(self.stdin.as_mut().unwrap(), "{n} {times}").unwrap();
    }

    /// Does one act and waits for its end: acknowledged or refused by this name and words.
    pub fn once(&mut self, n: u64) -> Result<(), String> {
        self.tell(n, 1);
        assert_eq!(self.hear(), format!("begin {n}"));
        let said = self.hear();
        if said == format!("done {n}") {
            return Ok(());
        }
        Err(said.strip_prefix("told ").unwrap().to_owned())
    }

    /// Kills it at a moment of its work. What it said up to then is read to the end.
    pub fn kill_after(mut self, delay: Duration) -> Ended {
        // A sleep of the system is too coarse for the short ones.
        let until = Instant::now() + delay;
        std::thread::sleep(delay.saturating_sub(Duration::from_micros(300)));
        while Instant::now() < until {
            std::hint::spin_loop();
        }
        self.child.kill().unwrap();
        let status = self.child.wait().unwrap();
        let signal = std::os::unix::process::ExitStatusExt::signal(&status);
        assert_eq!(signal, Some(9), "it ended by itself: {status}");
        self.ended()
    }

    /// Lets it close its store and end.
    pub fn close(mut self) -> Ended {
        drop(self.stdin.take());
        assert!(self.child.wait().unwrap().success());
        self.ended()
    }

    fn ended(self) -> Ended {
        self.reader.join().unwrap();
        let mut ended = Ended::default();
        for said in self.said.try_iter() {
            let number = || said.split_once(' ').unwrap().1.parse().ok();
            match said.split(' ').next().unwrap() {
                "begin" => ended.begun = number(),
                "done" => ended.done = number(),
                "told" => ended.told.push(said["told ".len()..].to_owned()),
                _ => {}
            }
        }
        ended
    }
}
