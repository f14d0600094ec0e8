//! The real `fallow` program, started and stopped. Not here: what it should answer.

use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

/// The program under test: `FALLOW_BIN`, or the debug build beside this test.
pub fn binary() -> PathBuf {
    if let Some(named) = std::env::var_os("FALLOW_BIN") {
        return named.into();
    }
    let test = std::env::current_exe().unwrap();
    // target/debug/deps/checks-… lies one folder below the program.
    let program = test.ancestors().nth(2).unwrap().join("fallow");
    assert!(
        program.exists(),
        "build it first: cargo build --package fallow ({} is missing)",
        program.display()
    );
    program
}

/// `fallow` with a time zone of its own and nothing of this machine's settings.
pub fn fallow(args: &[&str]) -> Command {
    let mut command = Command::new(binary());
    command.args(args).env("TZ", "Europe/London");
    command
}

/// A folder with a plain record, as nobody's is: for checks of what a passphrase has no part in.
pub fn plain_record() -> tempfile::TempDir {
    let dir = tempfile::tempdir().unwrap();
    let options = fallow_api::Options {
        unprotected: true,
        ..fallow_api::Options::default()
    };
    let now = fallow_api::Now {
        at: chrono::DateTime::UNIX_EPOCH.fixed_offset(),
        set_by_hand: true,
        clock: fallow_api::Clock::default(),
    };
    drop(fallow_api::App::open(dir.path(), options, now));
    dir
}

/// Every file below a folder.
pub fn below(dir: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(dir).unwrap() {
        let entry = entry.unwrap();
        match entry.file_type().unwrap() {
            kind if kind.is_dir() => found.extend(below(&entry.path())),
            kind if kind.is_file() => found.push(entry.path()),
            // A link or a socket holds nothing of its own.
            _ => {}
        }
    }
    found
}

/// Which of these words stand in which files below the folder, or in their names: in UTF-8 or UTF-16, whatever their case.
pub fn holding(dir: &Path, words: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    for path in below(dir) {
        let mut bytes = std::fs::read(&path).unwrap();
        bytes.extend(path.to_string_lossy().bytes());
        bytes.make_ascii_lowercase();
        for word in words {
            let word = word.to_lowercase();
            let wide: Vec<u8> = word.encode_utf16().flat_map(u16::to_le_bytes).collect();
            for form in [word.as_bytes(), &wide] {
                if bytes.windows(form.len()).any(|w| w == form) {
                    found.push(format!("{word} in {}", path.display()));
                }
            }
        }
    }
    found
}

/// Runs `fallow call` on a store with these bytes as its input.
pub fn call(data: &Path, args: &[&str], input: &[u8]) -> Output {
    let mut command = fallow(&["call", "--data"]);
    command.arg(data).args(args);
    let mut child = command
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let input = input.to_vec();
    let feeder = std::thread::spawn(move || stdin.write_all(&input));
    let output = child.wait_with_output().unwrap();
    let _ = feeder.join().unwrap();
    output
}

/// A running `fallow serve`, stopped when dropped.
pub struct Served {
    child: Child,
    /// The printed link.
    pub link: String,
}

impl Served {
    /// Starts `fallow serve` with these further arguments and reads its link.
    pub fn start(args: &[&str]) -> Self {
        Self::start_in(args, &[])
    }

    /// The same in these surroundings.
    pub fn start_in(args: &[&str], surroundings: &[(&'static str, String)]) -> Self {
        let mut child = fallow(&["serve"])
            .args(args)
            .envs(surroundings.iter().cloned())
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut link = String::new();
        let out = child.stdout.take().unwrap();
        BufReader::new(out).read_line(&mut link).unwrap();
        Self {
            child,
            link: link.trim().to_owned(),
        }
    }

    /// `127.0.0.1:PORT`.
    pub fn host(&self) -> &str {
        let rest = self
            .link
            .strip_prefix("http://")
            .expect("the link is a link");
        rest.split_once('/').expect("the link has a path").0
    }

    /// Asks it to stop, as Ctrl-C does, and waits for it.
    pub fn stop(&mut self) -> std::process::ExitStatus {
        let stopped = Command::new("kill")
            .args(["-INT", &self.child.id().to_string()])
            .status();
        assert!(stopped.unwrap().success());
        self.child.wait().unwrap()
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        // The polite way first: it lets the demo's folder be removed.
        if self.child.try_wait().is_ok_and(|ended| ended.is_none()) {
            self.stop();
        }
    }
}
