//! Lines in, lines out: one JSON request a line on standard input, one JSON reply a line on standard output.

use std::ffi::OsString;
use std::io::{self, BufRead, Read as _, Write};
use std::path::Path;

use fallow_api::{ApiError, ErrorCode};

use crate::clock::Clock;
use crate::place::{self, Door, Store};

/// The longest line that is read; anything longer is refused and skipped.
const LONGEST_LINE: u64 = 1024 * 1024;

/// The variable that gives the passphrase. It is never an argument: those can be read by everybody on the machine.
const PASSPHRASE: &str = "FALLOW_PASSPHRASE";
/// No file with a passphrase is longer.
const LONGEST_PASSPHRASE: u64 = 4096;

/// Answers every line of standard input until it ends or nobody reads the replies any more.
///
/// # Errors
/// A sentence, when the store has no place, the passphrase is missing or wrong, or the streams fail.
pub(crate) fn run(store: &Store, clock: Clock, file: Option<&Path>) -> Result<(), String> {
    let identifier = || crate::window::context().config().identifier.clone();
    let passphrase = passphrase(file, std::env::var_os(PASSPHRASE))?;
    let door = Door::open(store, clock, passphrase, || place::usual(&identifier()))?;
    quiet_end(answer_lines(
        io::stdin().lock(),
        io::stdout().lock(),
        |line| door.answer(line),
    ))
}

/// The passphrase from the file, or else from the variable's value: its first line.
fn passphrase(file: Option<&Path>, variable: Option<OsString>) -> Result<Option<String>, String> {
    let text = match (file, variable) {
        (Some(path), _) => {
            let failed = |fault: io::Error| format!("{} cannot be read: {fault}", path.display());
            let mut text = String::new();
            let opened = std::fs::File::open(path).map_err(failed)?;
            opened
                .take(LONGEST_PASSPHRASE)
                .read_to_string(&mut text)
                .map_err(failed)?;
            text
        }
        (None, Some(value)) => value
            .into_string()
            .map_err(|_| format!("{PASSPHRASE} is not text"))?,
        (None, None) => return Ok(None),
    };
    let line = text.lines().next().unwrap_or_default().trim();
    if line.is_empty() {
        return Err(match file {
            Some(path) => format!("there is no passphrase in {}", path.display()),
            None => format!("{PASSPHRASE} is empty"),
        });
    }
    Ok(Some(line.to_owned()))
}

/// Prints every operation with an example.
///
/// # Errors
/// A sentence, when standard output fails.
pub(crate) fn operations() -> Result<(), String> {
    let mut out = io::stdout().lock();
    quiet_end(
        fallow_api::operations()
            .iter()
            .try_for_each(|line| writeln!(out, "{line}")),
    )
}

/// A reader who has seen enough closes the pipe; that is no fault.
fn quiet_end(done: io::Result<()>) -> Result<(), String> {
    match done {
        Err(fault) if fault.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        done => {
            done.map_err(|fault| format!("reading requests or writing replies failed: {fault}"))
        }
    }
}

fn answer_lines(
    mut input: impl BufRead,
    mut output: impl Write,
    answer: impl Fn(&str) -> String,
) -> io::Result<()> {
    let mut line = Vec::new();
    loop {
        line.clear();
        // One byte more than allowed tells a line that just fits from one that is too long.
        let read = input
            .by_ref()
            .take(LONGEST_LINE + 1)
            .read_until(b'\n', &mut line)?;
        if read == 0 {
            return Ok(());
        }
        let whole = line.ends_with(b"\n");
        let reply = if !whole && read as u64 > LONGEST_LINE {
            input.skip_until(b'\n')?;
            refusal(
                ErrorCode::BadRequest,
                "This line is longer than 1 MiB. Send a shorter request; the next line is read.",
            )
        } else {
            match std::str::from_utf8(&line) {
                Ok(text) if text.trim().is_empty() => continue,
                Ok(text) => answer(text.trim()),
                Err(_) => refusal(
                    ErrorCode::BadJson,
                    "This line is not UTF-8 text. Send JSON in UTF-8; the next line is read.",
                ),
            }
        };
        writeln!(output, "{reply}")?;
        output.flush()?;
    }
}

fn refusal(code: ErrorCode, message: &str) -> String {
    serde_json::json!({ "error": ApiError::new(code, message).data() }).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(input: &[u8]) -> Vec<String> {
        let mut output = Vec::new();
        answer_lines(input, &mut output, |line| format!("<{line}>")).unwrap();
        String::from_utf8(output)
            .unwrap()
            .lines()
            .map(str::to_owned)
            .collect()
    }

    #[test]
    fn a_passphrase_is_the_first_line_of_its_file_before_the_variable() {
        let dir = tempfile::tempdir().unwrap();
        let file = dir.path().join("passphrase");
        let variable = || Some(OsString::from("from the variable"));
        assert_eq!(passphrase(None, None), Ok(None));
        let found = passphrase(None, variable()).unwrap();
        assert_eq!(found.as_deref(), Some("from the variable"));
        std::fs::write(&file, "from the file \r\nnot this\n").unwrap();
        let found = passphrase(Some(&file), variable()).unwrap();
        assert_eq!(found.as_deref(), Some("from the file"));
        for empty in ["", "\n", "  \nsecond line"] {
            std::fs::write(&file, empty).unwrap();
            let told = passphrase(Some(&file), variable()).unwrap_err();
            assert!(told.contains("no passphrase in"), "{told}");
        }
        assert!(passphrase(None, Some(OsString::new())).is_err());
        let told = passphrase(Some(&dir.path().join("none")), None).unwrap_err();
        assert!(told.contains("cannot be read"), "{told}");
    }

    #[test]
    fn one_reply_a_line() {
        assert_eq!(lines(b"a\n\n  \r\nb\r\nc"), ["<a>", "<b>", "<c>"]);
        assert_eq!(lines(b""), [""; 0]);
    }

    #[test]
    fn a_bad_line_is_answered_and_the_next_one_read() {
        let found = lines(b"\xff\xfe\nb\n");
        assert!(found[0].contains("\"bad_json\""), "{found:?}");
        assert_eq!(found[1], "<b>");
    }

    #[test]
    fn a_line_may_be_one_mebibyte_and_not_a_byte_more() {
        let longest = usize::try_from(LONGEST_LINE).unwrap();
        let mut input = vec![b'x'; longest];
        input.push(b'\n');
        input.extend(vec![b'y'; longest + 1]);
        input.extend(b"\nz\n");
        let found = lines(&input);
        assert_eq!(found[0].len(), longest + 2);
        assert!(found[1].contains("\"bad_request\""), "{}", found[1]);
        assert_eq!(found[2], "<z>");
        assert_eq!(found.len(), 3);
    }

    #[test]
    fn a_closed_pipe_ends_quietly() {
        struct Closed;
        impl Write for Closed {
            fn write(&mut self, _: &[u8]) -> io::Result<usize> {
                Err(io::ErrorKind::BrokenPipe.into())
            }
            fn flush(&mut self) -> io::Result<()> {
                Ok(())
            }
        }
        let done = answer_lines(&b"a\n"[..], Closed, str::to_owned);
        assert_eq!(quiet_end(done), Ok(()));
    }
}
