//! The measurements: how long the main questions take, and how long the same take in Python.
//!
//! Timings are benchmarks, never tests: nothing here is part of `cargo xtask test`.

use std::path::Path;

use crate::packages;
use crate::steps::{Step, cargo, command, has, root, target};

/// The measurements that stand for themselves, by the names of their files.
const ALONE: &[&str] = &["next", "use_grid", "measure", "chart_file", "guarded"];

/// Runs the measurements; further words choose among them.
pub(crate) fn bench(filter: &[&str]) -> Result<(), String> {
    packages::install(packages::BUILD)?;
    let mut command = cargo(&["bench", "--package", "fallow-tests"]);
    for name in ALONE {
        command.args(["--bench", name]);
    }
    command.arg("--").args(filter);
    Step::start("measure").run(&mut command)
}

/// Asks the same of Fallow and of Python in one run and prints both times.
pub(crate) fn against_python() -> Result<(), String> {
    packages::install(packages::BUILD)?;
    packages::install(packages::PYTHON)?;
    let folder = target().join("python-bench");
    let python = folder.join("bin/python");
    make(&folder, &python)?;
    let mut command = cargo(&["bench", "--package", "fallow-tests"]);
    command.args(["--bench", "against_python", "--"]);
    Step::start("measure against Python").run(command.arg(&python).arg(&folder))
}

/// Makes a Python of our own in the folder, with the versions that the measurement names.
fn make(folder: &Path, python: &Path) -> Result<(), String> {
    // One without pip was left half made.
    if !has(&python.to_string_lossy(), &["-m", "pip", "--version"]) {
        let mut venv = command("python3", &["-m", "venv", "--clear"]);
        Step::start("a Python of our own").run(venv.arg(folder))?;
    }
    // Whole packages only: nothing is compiled, and where all are there already nothing is asked of the network.
    let words = [
        "-m",
        "pip",
        "install",
        "--quiet",
        "--disable-pip-version-check",
        "--only-binary",
        ":all:",
        "--requirement",
    ];
    let mut install = command(&python.to_string_lossy(), &words);
    install.arg(root().join("tests/benches/requirements.txt"));
    Step::start("numpy, scipy and shapely").run(&mut install)
}
