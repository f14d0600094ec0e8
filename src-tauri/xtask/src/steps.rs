//! One step of a chore: it says what it does, does it, and says how long that took.

use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// The folder with the root manifest.
pub(crate) fn root() -> &'static Path {
    let manifest = Path::new(env!("CARGO_MANIFEST_DIR"));
    manifest
        .ancestors()
        .nth(2)
        .expect("this crate lies two folders below the root")
}

/// Where cargo builds.
pub(crate) fn target() -> PathBuf {
    let named = std::env::var_os("CARGO_TARGET_DIR").filter(|dir| !dir.is_empty());
    root().join(named.map_or_else(|| PathBuf::from("target"), PathBuf::from))
}

/// A cargo command in the root folder.
pub(crate) fn cargo(args: &[&str]) -> Command {
    let program = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let mut command = Command::new(program);
    // These describe the build of this program, not of what it builds.
    command
        .env_remove("CARGO_MANIFEST_DIR")
        .env_remove("CARGO_PKG_NAME");
    command.args(args).current_dir(root());
    command
}

/// Any other command, in the root folder.
pub(crate) fn command(program: &str, args: &[&str]) -> Command {
    let mut command = Command::new(program);
    command.args(args).current_dir(root());
    command
}

/// Seconds for people: `0.4 s`, `3 min 12 s`.
pub(crate) fn words(time: Duration) -> String {
    let seconds = time.as_secs();
    if seconds < 60 {
        format!("{:.1} s", time.as_secs_f64())
    } else {
        format!("{} min {:02} s", seconds / 60, seconds % 60)
    }
}

/// A step that has begun.
pub(crate) struct Step {
    name: &'static str,
    began: Instant,
}

impl Step {
    /// Says what begins.
    pub(crate) fn start(name: &'static str) -> Self {
        println!("\n== {name}");
        Self {
            name,
            began: Instant::now(),
        }
    }

    /// How long it has taken so far.
    pub(crate) fn time(&self) -> Duration {
        self.began.elapsed()
    }

    /// Says that it is done.
    pub(crate) fn done(&self) {
        println!("== {}: {}", self.name, words(self.time()));
    }

    /// Runs a command to its end, with nothing to read, and ends the step.
    ///
    /// # Errors
    /// A sentence, when it could not be started or did not succeed.
    pub(crate) fn run(&self, command: &mut Command) -> Result<(), String> {
        let done = run(command);
        self.done();
        done
    }
}

/// Runs a command to its end, with nothing to read.
///
/// # Errors
/// A sentence, when it could not be started or did not succeed.
pub(crate) fn run(command: &mut Command) -> Result<(), String> {
    println!("   {}", line(command));
    let status = command
        .stdin(Stdio::null())
        .status()
        .map_err(|fault| not_started(command, &fault))?;
    if status.success() {
        Ok(())
    } else {
        Err(format!("`{}` ended with {status}", line(command)))
    }
}

/// Runs a command like [`run`], and hands each line of its standard output over while it passes through.
///
/// # Errors
/// As [`run`].
pub(crate) fn run_reading(command: &mut Command, mut each: impl FnMut(&str)) -> Result<(), String> {
    println!("   {}", line(command));
    command.stdin(Stdio::null()).stdout(Stdio::piped());
    let mut child = command
        .spawn()
        .map_err(|fault| not_started(command, &fault))?;
    let out = child.stdout.take().expect("standard output was piped");
    for text in BufReader::new(out).lines().map_while(Result::ok) {
        println!("{text}");
        each(&text);
    }
    let status = child.wait().map_err(|fault| not_started(command, &fault))?;
    if status.success() {
        Ok(())
    } else {
        Err(format!("`{}` ended with {status}", line(command)))
    }
}

/// Whether a program answers to `--version`.
pub(crate) fn has(program: &str, args: &[&str]) -> bool {
    let mut command = command(program, args);
    command
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    command.status().is_ok_and(|status| status.success())
}

fn line(command: &Command) -> String {
    let program = Path::new(command.get_program());
    let mut words = vec![
        program
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned(),
    ];
    words.extend(
        command
            .get_args()
            .map(|word| word.to_string_lossy().into_owned()),
    );
    words.join(" ")
}

fn not_started(command: &Command, fault: &std::io::Error) -> String {
    format!("`{}` could not be started: {fault}", line(command))
}
