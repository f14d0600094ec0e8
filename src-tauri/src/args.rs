//! The command line, read without doing anything yet.

use std::ffi::{OsStr, OsString};
use std::path::PathBuf;

use chrono::{DateTime, FixedOffset};
use lexopt::prelude::{Long, Short, Value};

use crate::clock::Clock;
use crate::place::Store;

pub(crate) const USAGE: &str = "\
Fallow keeps every patch of injected skin rested.

  fallow                     open the window
    --no-reminders           without notifications of injections that are due
  fallow serve               serve the same screens to a browser on this machine; prints the link
    --port N                 on this port instead of a free one
  fallow call                read one JSON request a line, write one JSON reply a line
    --ops                    list every operation with an example, and stop
    --passphrase-file FILE   the record's passphrase is the first line of FILE; it begins a record where there
                             is none. Without it the variable FALLOW_PASSPHRASE is taken
    --clock RFC3339          answer as if it were this moment; entries so recorded are marked

  --data DIR                 keep the record in DIR instead of the usual place
  --demo                     a made-up caseload in a throw-away store
  --help, --version";

/// What to start.
#[derive(Debug, PartialEq)]
pub(crate) enum Shell {
    /// The window; `reminders` is whether the system notifies of injections that are due.
    Window { store: Store, reminders: bool },
    /// The browser host; `None` takes any free port.
    Serve { store: Store, port: Option<u16> },
    /// Lines in, lines out.
    Call {
        store: Store,
        clock: Clock,
        passphrase_file: Option<PathBuf>,
    },
    /// The list of operations.
    Operations,
    /// How to start it.
    Help,
    /// Which version this is.
    Version,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Word {
    Window,
    Serve,
    Call,
}

/// Reads the arguments after the program's name.
///
/// # Errors
/// One sentence that names the argument and what is wrong with it.
pub(crate) fn read(args: impl IntoIterator<Item = OsString>) -> Result<Shell, String> {
    let mut parser = lexopt::Parser::from_args(args);
    let mut word = Word::Window;
    let mut data: Option<PathBuf> = None;
    let mut demo = false;
    let mut port: Option<u16> = None;
    let mut clock: Option<DateTime<FixedOffset>> = None;
    let mut ops = false;
    let mut passphrase_file: Option<PathBuf> = None;
    let mut reminders = true;
    let mut first = true;
    while let Some(arg) = parser.next().map_err(|fault| fault.to_string())? {
        match arg {
            Value(name) if first => {
                word = match name.to_str() {
                    Some("serve") => Word::Serve,
                    Some("call") => Word::Call,
                    _ => return Err(format!("there is no command {}", name.display())),
                };
            }
            Long("data") => {
                let dir = parser
                    .value()
                    .map_err(|_| "--data needs a folder".to_owned())?;
                if dir.is_empty() {
                    return Err("--data needs a folder".to_owned());
                }
                data = Some(PathBuf::from(dir));
            }
            Long("demo") => demo = true,
            Long("port") if word == Word::Serve => {
                let number = parser
                    .value()
                    .map_err(|_| "--port needs a number".to_owned())?;
                port = Some(read_port(&number)?);
            }
            Long("clock") if word == Word::Call => {
                let text = parser.value().and_then(lexopt::ValueExt::string);
                let text = text.map_err(|_| "--clock needs a moment".to_owned())?;
                clock = Some(read_moment(&text)?);
            }
            Long("passphrase-file") if word == Word::Call => {
                let file = parser.value().unwrap_or_default();
                if file.is_empty() {
                    return Err("--passphrase-file needs a file".to_owned());
                }
                passphrase_file = Some(PathBuf::from(file));
            }
            Long("passphrase") => {
                return Err(
                    "a passphrase is never an argument, which everybody on this machine can read; \
                     put it into a file for --passphrase-file, or into FALLOW_PASSPHRASE"
                        .to_owned(),
                );
            }
            Long("no-reminders") if word == Word::Window => reminders = false,
            Long("ops") if word == Word::Call => ops = true,
            Long("help") | Short('h') => return Ok(Shell::Help),
            Long("version") | Short('V') => return Ok(Shell::Version),
            Long(name @ ("port" | "clock" | "ops" | "passphrase-file")) => {
                let owner = if name == "port" { "serve" } else { "call" };
                return Err(format!("--{name} belongs after `fallow {owner}`"));
            }
            Long("no-reminders") => {
                return Err("--no-reminders is for the window, which alone reminds".to_owned());
            }
            other => return Err(other.unexpected().to_string()),
        }
        first = false;
    }
    let store = match (data, demo) {
        (Some(_), true) => {
            return Err("--demo makes a throw-away store, so --data cannot name one".to_owned());
        }
        (Some(dir), false) => Store::In(dir),
        (None, true) => Store::Demo,
        (None, false) => Store::Usual,
    };
    Ok(match word {
        Word::Window => Shell::Window { store, reminders },
        Word::Serve => Shell::Serve { store, port },
        Word::Call if ops => Shell::Operations,
        Word::Call => Shell::Call {
            store,
            clock: clock.map_or(Clock::Device, Clock::SetByHand),
            passphrase_file,
        },
    })
}

fn read_port(number: &OsStr) -> Result<u16, String> {
    let port = number
        .to_str()
        .and_then(|number| number.parse::<u16>().ok());
    port.filter(|port| *port > 0)
        .ok_or_else(|| format!("--port {} is not a port from 1 to 65535", number.display()))
}

fn read_moment(text: &str) -> Result<DateTime<FixedOffset>, String> {
    DateTime::parse_from_rfc3339(text).map_err(|_| {
        format!("--clock {text} is not a moment with its offset, such as 2026-06-03T08:00:00+01:00")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(line: &str, expected: Result<Shell, &str>) {
        let found = read(line.split_whitespace().map(OsString::from));
        match (found, expected) {
            (Ok(found), Ok(expected)) => assert_eq!(found, expected, "{line}"),
            (Err(found), Err(part)) => assert!(found.contains(part), "{line}: {found}"),
            (found, expected) => panic!("{line}: {found:?} instead of {expected:?}"),
        }
    }

    #[test]
    fn arguments() {
        let moment = DateTime::parse_from_rfc3339("2026-06-03T08:00:00+01:00").unwrap();
        check(
            "",
            Ok(Shell::Window {
                store: Store::Usual,
                reminders: true,
            }),
        );
        check(
            "--demo",
            Ok(Shell::Window {
                store: Store::Demo,
                reminders: true,
            }),
        );
        check(
            "--no-reminders --data /x",
            Ok(Shell::Window {
                store: Store::In("/x".into()),
                reminders: false,
            }),
        );
        check(
            "--data /x",
            Ok(Shell::Window {
                store: Store::In("/x".into()),
                reminders: true,
            }),
        );
        check(
            "serve",
            Ok(Shell::Serve {
                store: Store::Usual,
                port: None,
            }),
        );
        check(
            "serve --port=8080 --demo",
            Ok(Shell::Serve {
                store: Store::Demo,
                port: Some(8080),
            }),
        );
        check(
            "call",
            Ok(Shell::Call {
                store: Store::Usual,
                clock: Clock::Device,
                passphrase_file: None,
            }),
        );
        check(
            "call --passphrase-file p",
            Ok(Shell::Call {
                store: Store::Usual,
                clock: Clock::Device,
                passphrase_file: Some("p".into()),
            }),
        );
        check(
            "call --data d --clock 2026-06-03T08:00:00+01:00",
            Ok(Shell::Call {
                store: Store::In("d".into()),
                clock: Clock::SetByHand(moment),
                passphrase_file: None,
            }),
        );
        check("call --ops", Ok(Shell::Operations));
        check("--help", Ok(Shell::Help));

        check("call --passphrase-file", Err("needs a file"));
        check("serve --passphrase-file p", Err("after `fallow call`"));
        check("call --passphrase=secret", Err("never an argument"));
        check("--passphrase", Err("never an argument"));
        check("fly", Err("no command fly"));
        check("call serve", Err("serve"));
        check("--port 80", Err("belongs after `fallow serve`"));
        check("call --port 80", Err("belongs after `fallow serve`"));
        check(
            "serve --clock 2026-06-03T08:00:00+01:00",
            Err("belongs after `fallow call`"),
        );
        check("serve --no-reminders", Err("is for the window"));
        check("call --no-reminders", Err("is for the window"));
        check("--no-reminders serve", Err("serve"));
        check("--no-reminders=yes", Err("yes"));
        check("serve --port 0", Err("1 to 65535"));
        check("serve --port 70000", Err("1 to 65535"));
        check("serve --port", Err("needs a number"));
        check("call --clock 2026-06-03T08:00:00", Err("with its offset"));
        check("--data", Err("needs a folder"));
        check("--data x --demo", Err("throw-away"));
        check("--colour", Err("colour"));
    }
}
