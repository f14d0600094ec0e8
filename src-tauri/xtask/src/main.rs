//! The chores: `cargo xtask run`, `test`, `soak`, `types`, `bench`, `pictures`, `replay`.
//!
//! No dependencies and nothing clever: this is compiled before anything is installed. Not here: any check of its own;
//! it starts the tools and adds up what they say.

mod bench;
mod counts;
mod packages;
mod pictures;
mod run;
mod screens;
mod soak;
mod steps;
mod test;

use std::process::ExitCode;

use steps::{Step, cargo};

const USAGE: &str = "\
cargo xtask run     build Fallow and open it; without a display, serve it and print the link
  --demo            a made-up caseload in a throw-away store
  --serve           serve it to a browser although there is a display
  --port N          serve it on this port
  --data DIR        keep the record in DIR
cargo xtask test    every check there is; the last line is `N passed, N failed`
cargo xtask soak    kills, full disks, failing calls, bit flips and random input, many of each
  SECONDS           share so many among the targets of random input (600 when absent)
cargo xtask types   write ui/src/wire.ts from the door's types
  --check           only say whether it is up to date
cargo xtask bench   the measurements; further words choose among them
  --against-python  the questions about a site here and in Python, answers compared
cargo xtask pictures  make the pictures of the README anew
cargo xtask replay  a year by a hand that misses, by the plan and by three other ways";

fn main() -> ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let args: Vec<&str> = args.iter().map(String::as_str).collect();
    let done = match args.as_slice() {
        ["run", rest @ ..] => run::run(rest),
        ["test"] => test::test(),
        ["soak", rest @ ..] => soak::soak(rest),
        ["types"] => types(false),
        ["types", "--check"] => types(true),
        ["bench", "--against-python"] => bench::against_python(),
        ["bench", rest @ ..] if !rest.iter().any(|word| word.starts_with('-')) => {
            bench::bench(rest)
        }
        ["pictures"] => pictures::pictures(),
        ["replay"] => replay(),
        ["help" | "--help" | "-h"] => {
            println!("{USAGE}");
            Ok(())
        }
        _ => {
            eprintln!("{USAGE}");
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("xtask: {fault}");
            ExitCode::FAILURE
        }
    }
}

/// Writes the generated types, or says whether they are up to date.
fn types(check: bool) -> Result<(), String> {
    packages::install(packages::BUILD)?;
    let output = cargo(&[
        "run",
        "--quiet",
        "--package",
        "fallow-api",
        "--example",
        "types",
    ])
    .output()
    .map_err(|fault| format!("cargo could not be started: {fault}"))?;
    if !output.status.success() {
        return Err(format!(
            "the types were not printed:\n{}",
            String::from_utf8_lossy(&output.stderr)
        ));
    }
    screens::types(&output.stdout, check)
}

/// Prints what a year of misses comes to, by the plan and by other ways of choosing a place.
fn replay() -> Result<(), String> {
    packages::install(packages::BUILD)?;
    let mut command = cargo(&[
        "run",
        "--release",
        "--package",
        "fallow-core",
        "--example",
        "replay",
    ]);
    Step::start("replay").run(&mut command)
}
