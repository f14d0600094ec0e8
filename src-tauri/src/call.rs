//! Lines in, lines out: one JSON request a line on standard input, one JSON reply a line on standard output.

use std::io::{self, BufRead, Read as _, Write};

use fallow_api::{ApiError, ErrorCode};

use crate::clock::Clock;
use crate::place::{self, Door, Store};

/// The longest line that is read; anything longer is refused and skipped.
const LONGEST_LINE: u64 = 1024 * 1024;

/// Answers every line of standard input until it ends or nobody reads the replies any more.
///
/// # Errors
/// A sentence, when the store has no place or the streams fail.
pub(crate) fn run(store: &Store, clock: Clock) -> Result<(), String> {
    let identifier = || crate::window::context().config().identifier.clone();
    let door = Door::open(store, clock, || place::usual(&identifier()))?;
    quiet_end(answer_lines(
        io::stdin().lock(),
        io::stdout().lock(),
        |line| door.answer(line),
    ))
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
