//! `cargo xtask test`: every check, one part after the other. A part that fails does not hide the later ones.

use std::process::Command;
use std::time::Duration;

use crate::counts::{self, Counts};
use crate::steps::{Step, cargo, command, has, run, run_reading, target, words};
use crate::{packages, screens};

/// The one set of targets that everything below is built as: the same features everywhere, so that nothing, least of
/// all Tauri, is compiled twice.
pub(crate) const TARGETS: &[&str] = &["--workspace", "--bins", "--tests", "--examples", "--locked"];

/// What was checked, and how it went.
struct Part {
    name: &'static str,
    counts: Counts,
    time: Duration,
}

#[derive(Default)]
struct Parts(Vec<Part>);

impl Parts {
    /// Runs a check that counts as one.
    fn check(&mut self, name: &'static str, check: impl FnOnce() -> Result<(), String>) {
        self.tests(name, || (Counts::default(), check()));
        let counts = &mut self.0.last_mut().expect("a part was just added").counts;
        *counts = Counts::one(counts.failed == 0);
    }

    /// Runs a check made of tests.
    fn tests(&mut self, name: &'static str, tests: impl FnOnce() -> (Counts, Result<(), String>)) {
        let step = Step::start(name);
        let (counts, done) = tests();
        if let Err(fault) = &done {
            println!("   FAILED: {fault}");
        }
        step.done();
        self.0.push(Part {
            name,
            counts: counts.and_ended(done.is_ok()),
            time: step.time(),
        });
    }

    /// Prints the table and the closing line.
    fn close(&self) -> Counts {
        let mut total = Counts::default();
        println!(
            "\n{:<28} {:>7} {:>7} {:>13}",
            "part", "passed", "failed", "time"
        );
        for part in &self.0 {
            let Counts { passed, failed } = part.counts;
            println!(
                "{:<28} {passed:>7} {failed:>7} {:>13}",
                part.name,
                words(part.time)
            );
            total += part.counts;
        }
        let time = self.0.iter().map(|part| part.time).sum();
        println!(
            "{:<28} {:>7} {:>7} {:>13}\n",
            "all",
            total.passed,
            total.failed,
            words(time)
        );
        println!("{} passed, {} failed", total.passed, total.failed);
        total
    }
}

/// Runs every check.
///
/// # Errors
/// A sentence, when any check failed.
pub(crate) fn test() -> Result<(), String> {
    let mut parts = Parts::default();
    parts.check("system packages", || {
        packages::install(&[packages::BUILD, packages::TEST].concat())
    });
    parts.check("tools", tools);
    parts.check("format", || run(&mut cargo(&["fmt", "--all", "--check"])));
    parts.check("modules of the screens", screens::modules);
    parts.check("types of the screens", || {
        run(&mut screens::npm(&["run", "check"]))
    });
    parts.tests("unit tests of the screens", vitest);
    parts.check("screens", screens::build);
    known_weaknesses();
    parts.check("lints", || {
        let clippy = [
            "clippy",
            "--workspace",
            "--all-targets",
            "--locked",
            "--",
            "--deny",
            "warnings",
        ];
        run(&mut cargo(&clippy))
    });
    parts.check("build", || run(cargo(&["build"]).args(TARGETS)));
    parts.check("generated types unchanged", || {
        let printed = Command::new(target().join("debug/examples/types")).output();
        let printed = printed.map_err(|fault| format!("the types were not printed: {fault}"))?;
        screens::types(&printed.stdout, true)
    });
    parts.tests("Rust tests", || nextest(cargo(&[]), "not binary(screens)"));
    parts.tests("examples in the docs", doctests);
    parts.tests("browser tests", || {
        nextest(cargo(&[]), "binary(screens) and not test(/^window::/)")
    });
    parts.tests("window tests", || {
        nextest(under_a_display(), "binary(screens) and test(/^window::/)")
    });
    match parts.close() {
        Counts { failed: 0, .. } => Ok(()),
        Counts { failed, .. } => Err(format!("{failed} failed")),
    }
}

/// The Rust tools that a bare toolchain may lack.
pub(crate) fn tools() -> Result<(), String> {
    for (tool, component) in [("fmt", "rustfmt"), ("clippy", "clippy")] {
        if !has("cargo", &[tool, "--version"]) {
            run(&mut command("rustup", &["component", "add", component]))
                .map_err(|fault| format!("{fault}. `cargo {tool}` is missing and is needed"))?;
        }
    }
    if !has("cargo", &["nextest", "--version"]) {
        // A folder of its own: this one's profile is not ours.
        let folder = target().join("tools");
        let folder = folder.to_string_lossy();
        let install = [
            "install",
            "cargo-nextest",
            "--version",
            "0.9.151",
            "--locked",
            "--debug",
        ];
        let lean = ["--no-default-features", "--target-dir", &folder];
        run(cargo(&install).args(lean))?;
    }
    Ok(())
}

/// Asks whether the modules of the screens have known weaknesses. Only a warning: it needs a service that is not always
/// there, and a weakness found today says nothing about a change made yesterday.
fn known_weaknesses() {
    let step = Step::start("known weaknesses of the modules (a warning)");
    let asked = run(&mut screens::npm(&["audit", "--audit-level=moderate"]));
    if let Err(fault) = asked {
        println!(
            "   WARNING: {fault}: look at what `npm audit` says, or ask it where the network is"
        );
    }
    step.done();
}

/// The unit tests of the screens.
fn vitest() -> (Counts, Result<(), String>) {
    let report = target().join("vitest.xml");
    let _ = std::fs::remove_file(&report);
    let file = format!("--outputFile.junit={}", report.display());
    let done = run(&mut screens::npm(&[
        "exec",
        "--",
        "vitest",
        "run",
        "--reporter=default",
        "--reporter=junit",
        &file,
    ]));
    (counts::junit(&report).unwrap_or_default(), done)
}

/// Those of the Rust tests that the filter names. No test at all is a failure.
fn nextest(mut launcher: Command, filter: &str) -> (Counts, Result<(), String>) {
    let report = target().join("nextest/default/junit.xml");
    let _ = std::fs::remove_file(&report);
    launcher
        .args(["nextest", "run", "--no-fail-fast", "--no-tests", "fail"])
        .args(["--config-file", "tests/nextest.toml"])
        .args(TARGETS);
    launcher.args(["--filterset", filter]);
    launcher.env("FALLOW_BIN", target().join("debug/fallow"));
    let done = run(&mut launcher);
    (counts::junit(&report).unwrap_or_default(), done)
}

/// Cargo with a screen to draw on and a session bus of its own. No switch of the webview's own is set: the defaults
/// paint, and the ones that turn compositing off keep screenshots from ever arriving.
fn under_a_display() -> Command {
    let cargo = cargo(&[]);
    let cargo = cargo.get_program().to_string_lossy().into_owned();
    let screen = "-screen 0 1280x1024x24";
    let mut found = command(
        "dbus-run-session",
        &["--", "xvfb-run", "--auto-servernum", "-s", screen, &cargo],
    );
    found
        .env_remove("WAYLAND_DISPLAY")
        .env("GDK_BACKEND", "x11")
        .env("NO_AT_BRIDGE", "1");
    found
}

/// The examples in the documentation.
fn doctests() -> (Counts, Result<(), String>) {
    let mut total = Counts::default();
    let done = run_reading(
        &mut cargo(&["test", "--doc", "--workspace", "--locked"]),
        |line| {
            if let Some(counts) = counts::libtest(line) {
                total += counts;
            }
        },
    );
    (total, done)
}
