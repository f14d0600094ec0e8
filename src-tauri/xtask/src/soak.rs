//! `cargo xtask soak`: the faults of `tests/faults.rs` done for long, and what they came to in one table.
//!
//! The tests print their own figures, one `figure:` line each. Not here: any fault, or what counts as a loss.

use std::io::{BufRead as _, BufReader};
use std::process::{Command, Stdio};

use crate::steps::{Step, cargo};
use crate::test::{self, TARGETS};
use crate::{packages, screens};

/// Seconds that the fuzz targets share, when nobody says how many.
const USUAL: u64 = 600;

/// The rows of the last table: what is added up, of which figures.
const TOTALS: [(&str, &str, &str); 7] = [
    ("kills", "killed_", "kills"),
    ("disk-full rounds", "full_", "rounds"),
    ("interrupts", "interrupted_", "interrupts"),
    ("failed calls", "failed_calls_", "failed"),
    ("bit flips", "flipped_", "flips"),
    ("fuzz executions", "fuzz_", "executions"),
    ("losses", "", "losses"),
];

/// What one test said it did.
#[derive(Debug, PartialEq, Eq)]
struct Figure {
    what: String,
    numbers: Vec<(String, u64)>,
}

/// Builds as `cargo xtask test` does, and does every fault for long.
///
/// # Errors
/// A sentence, when the argument makes no sense or anything failed.
pub(crate) fn soak(args: &[&str]) -> Result<(), String> {
    let seconds = match args {
        [] => USUAL,
        [seconds] => seconds
            .parse()
            .map_err(|_| format!("`{seconds}` is not a number of seconds"))?,
        _ => return Err("soak takes one number of seconds".to_owned()),
    };
    packages::install(&[packages::BUILD, packages::TEST].concat())?;
    test::tools()?;
    screens::modules()?;
    screens::build()?;
    let step = Step::start("build");
    step.run(cargo(&["build"]).args(TARGETS))?;
    let step = Step::start("faults");
    let mut figures = Vec::new();
    let mut launcher = cargo(&["nextest", "run", "--profile", "soak", "--no-fail-fast"]);
    launcher
        .args(["--no-tests", "fail", "--config-file", "tests/nextest.toml"])
        .args(["--success-output", "immediate"])
        .args(TARGETS)
        .args(["--filterset", "binary(faults) or test(/^interrupted::/)"])
        .env("FALLOW_SOAK", seconds.to_string());
    let done = reading_all(&mut launcher, |line| figures.extend(figure(line)));
    step.done();
    print!("{}", table(&figures));
    done?;
    if total(&figures, "", "losses") > 0 {
        return Err("something was lost".to_owned());
    }
    // A run without its figures has shown nothing.
    match TOTALS
        .iter()
        .find(|(_, of, number)| !figures.iter().any(|f| f.has(of, number)))
    {
        None => Ok(()),
        Some((missing, ..)) => Err(format!("no test said anything of: {missing}")),
    }
}

impl Figure {
    fn has(&self, of: &str, number: &str) -> bool {
        self.what.starts_with(of) && self.numbers.iter().any(|(name, _)| name == number)
    }
}

/// Runs a command and hands over each line that it writes to standard error, where the test runner shows what tests print.
fn reading_all(command: &mut Command, mut each: impl FnMut(&str)) -> Result<(), String> {
    command.stdin(Stdio::null()).stderr(Stdio::piped());
    let fault = |fault: std::io::Error| format!("the tests could not be started: {fault}");
    let mut child = command.spawn().map_err(fault)?;
    let out = child.stderr.take().expect("standard error was piped");
    for line in BufReader::new(out).lines().map_while(Result::ok) {
        println!("{line}");
        each(&line);
    }
    match child.wait().map_err(fault)? {
        status if status.success() => Ok(()),
        status => Err(format!("the tests ended with {status}")),
    }
}

/// Reads `figure: killed_save kills=1000 in_flight=412 losses=0`.
fn figure(line: &str) -> Option<Figure> {
    let mut words = line.trim().strip_prefix("figure: ")?.split(' ');
    let what = words.next()?.to_owned();
    let numbers = words
        .map(|word| {
            let (name, number) = word.split_once('=')?;
            Some((name.to_owned(), number.parse().ok()?))
        })
        .collect::<Option<_>>()?;
    Some(Figure { what, numbers })
}

fn total(figures: &[Figure], of: &str, number: &str) -> u64 {
    let numbers = figures
        .iter()
        .filter(|figure| figure.what.starts_with(of))
        .flat_map(|figure| &figure.numbers);
    numbers
        .filter(|(name, _)| name == number)
        .map(|(_, n)| n)
        .sum()
}

fn table(figures: &[Figure]) -> String {
    let mut lines = vec![String::new()];
    for figure in figures {
        let numbers: Vec<String> = figure
            .numbers
            .iter()
            .map(|(name, number)| format!("{name} {number}"))
            .collect();
        let what = &figure.what;
        lines.push(format!(
            "{what:<26} {}",
            numbers.join(", ").replace('_', " ")
        ));
    }
    lines.push(String::new());
    for (name, of, number) in TOTALS {
        lines.push(format!("{name:<26} {:>9}", total(figures, of, number)));
    }
    lines.join("\n") + "\n"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_read_and_added_up() {
        let lines = [
            "    figure: killed_save kills=60 in_flight=55 losses=0",
            "figure: killed_copy kills=25 losses=1",
            "figure: fuzz_door executions=400 losses=0",
        ];
        let figures: Vec<Figure> = lines.iter().filter_map(|line| figure(line)).collect();
        assert_eq!(figures.len(), 3);
        assert_eq!(total(&figures, "killed_", "kills"), 85);
        assert_eq!(total(&figures, "", "losses"), 1);
        let table = table(&figures);
        assert!(
            table.contains("killed_save                kills 60, in flight 55, losses 0"),
            "{table}"
        );
        assert!(
            table.contains("fuzz executions                  400\n"),
            "{table}"
        );
    }

    #[test]
    fn other_lines_are_no_figures() {
        for line in [
            "",
            "figure: x kills",
            "figure: x kills=many",
            "a figure: x kills=1",
        ] {
            assert_eq!(figure(line), None, "{line}");
        }
    }
}
