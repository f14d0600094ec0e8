//! `cargo xtask run`: from a clean checkout to an open window.

use std::process::{Command, Stdio};

use crate::steps::{Step, cargo, root, target};
use crate::{USAGE, packages, screens};

/// Builds what is missing and opens Fallow, in a window or, without a display, in a browser.
///
/// # Errors
/// A sentence, when an argument makes no sense or a step fails.
pub(crate) fn run(args: &[&str]) -> Result<(), String> {
    let passed = arguments(args)?;

    let step = Step::start("system packages");
    packages::install(packages::BUILD)?;
    step.done();

    let step = Step::start("modules of the screens");
    screens::modules()?;
    step.done();

    let step = Step::start("screens");
    screens::build()?;
    step.done();

    let step = Step::start("fallow");
    step.run(&mut cargo(&["build", "--package", "fallow", "--bins"]))?;

    let program = target().join("debug/fallow");
    if passed.first().is_some_and(|word| word == "serve") {
        println!("\n== open this link in a browser on this machine; Ctrl-C stops");
    } else {
        println!("\n== the window is open; closing it ends the program");
    }
    let mut fallow = Command::new(program);
    let status = fallow
        .args(&passed)
        .current_dir(root())
        .stdin(Stdio::null())
        .status();
    let status = status.map_err(|fault| format!("fallow could not be started: {fault}"))?;
    if status.success() {
        Ok(())
    } else {
        Err(format!("fallow ended with {status}"))
    }
}

/// The arguments to start `fallow` with.
fn arguments(args: &[&str]) -> Result<Vec<String>, String> {
    let mut serve = false;
    let mut passed = Vec::new();
    let mut rest = args.iter().copied();
    while let Some(arg) = rest.next() {
        let mut value = || {
            rest.next()
                .ok_or_else(|| format!("{arg} needs a value\n\n{USAGE}"))
        };
        match arg {
            "--demo" => passed.push("--demo".to_owned()),
            "--serve" => serve = true,
            "--port" => {
                serve = true;
                passed.extend(["--port".to_owned(), value()?.to_owned()]);
            }
            "--data" => {
                // Named from where the person stands, not from the root folder.
                let dir =
                    std::path::absolute(value()?).map_err(|fault| format!("--data: {fault}"))?;
                passed.extend(["--data".to_owned(), dir.to_string_lossy().into_owned()]);
            }
            _ => return Err(format!("there is no {arg}\n\n{USAGE}")),
        }
    }
    if serve || !has_display() {
        passed.insert(0, "serve".to_owned());
    }
    Ok(passed)
}

fn has_display() -> bool {
    let named = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    !cfg!(target_os = "linux") || named("DISPLAY") || named("WAYLAND_DISPLAY")
}
