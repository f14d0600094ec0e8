//! How many tests passed, read from what the test runners leave behind.

use std::path::Path;

/// How many passed and how many did not.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Counts {
    pub(crate) passed: u32,
    pub(crate) failed: u32,
}

impl Counts {
    /// A check that is not made of tests counts as one.
    pub(crate) fn one(passed: bool) -> Self {
        Self {
            passed: passed.into(),
            failed: (!passed).into(),
        }
    }

    /// The counts with what the runner said in the end: one that failed without naming a test counts as one failed.
    pub(crate) fn and_ended(self, well: bool) -> Self {
        if well || self.failed > 0 {
            self
        } else {
            Self { failed: 1, ..self }
        }
    }
}

impl std::ops::AddAssign for Counts {
    fn add_assign(&mut self, other: Self) {
        self.passed += other.passed;
        self.failed += other.failed;
    }
}

/// Reads a `JUnit` report. `None` when there is none, or none that makes sense.
pub(crate) fn junit(file: &Path) -> Option<Counts> {
    junit_text(&std::fs::read_to_string(file).ok()?)
}

fn junit_text(text: &str) -> Option<Counts> {
    let root = text.split_once("<testsuites")?.1.split_once('>')?.0;
    let number = |name: &str| -> Option<u32> {
        root.split_once(&format!(" {name}=\""))?
            .1
            .split_once('"')?
            .0
            .parse()
            .ok()
    };
    let failed = number("failures")? + number("errors").unwrap_or(0);
    let passed = number("tests")?.checked_sub(failed + number("skipped").unwrap_or(0))?;
    Some(Counts { passed, failed })
}

/// Reads one line of the standard test runner: `test result: ok. 3 passed; 0 failed; …`.
pub(crate) fn libtest(line: &str) -> Option<Counts> {
    let rest = line.strip_prefix("test result: ")?.split_once(". ")?.1;
    let mut parts = rest.split("; ");
    let mut number = |word: &str| parts.next()?.strip_suffix(word)?.trim().parse().ok();
    Some(Counts {
        passed: number("passed")?,
        failed: number("failed")?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn junit_reports() {
        let check = |text: &str, expected: Option<(u32, u32)>| {
            let expected = expected.map(|(passed, failed)| Counts { passed, failed });
            assert_eq!(junit_text(text), expected, "{text}");
        };
        check(
            r#"<?xml version="1.0"?><testsuites name="nextest-run" tests="12" skipped="1" failures="2" errors="1">"#,
            Some((8, 3)),
        );
        check(
            r#"<testsuites name="vitest tests" tests="3" failures="0" errors="0" time="0.5">"#,
            Some((3, 0)),
        );
        check(r#"<testsuites tests="3" failures="x">"#, None);
        check(r#"<testsuites tests="1" failures="2">"#, None);
        check("", None);
    }

    #[test]
    fn libtest_lines() {
        let line = "test result: FAILED. 3 passed; 1 failed; 0 ignored; 0 measured; 0 filtered out";
        assert_eq!(
            libtest(line),
            Some(Counts {
                passed: 3,
                failed: 1
            })
        );
        assert_eq!(libtest("running 3 tests"), None);
    }

    #[test]
    fn a_runner_that_fails_without_a_test_counts_as_one() {
        assert_eq!(
            Counts::one(true).and_ended(false),
            Counts {
                passed: 1,
                failed: 1
            }
        );
        assert_eq!(
            Counts::one(false).and_ended(false),
            Counts {
                passed: 0,
                failed: 1
            }
        );
        assert_eq!(
            Counts::one(true).and_ended(true),
            Counts {
                passed: 1,
                failed: 0
            }
        );
    }
}
