//! The shells on the real program: the browser host's gate and headers, and lines on standard input.

use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::process::Stdio;
use std::time::Duration;

use serde_json::{Value, json};

use crate::connect_log::ConnectLog;
use crate::program::{Served, call, fallow, plain_record};

/// An answer over HTTP.
struct Answer {
    status: u16,
    head: String,
    body: String,
}

impl Answer {
    fn header(&self, name: &str) -> Option<&str> {
        let lines = self.head.lines().filter_map(|line| line.split_once(": "));
        lines
            .filter(|(found, _)| found.eq_ignore_ascii_case(name))
            .map(|(_, value)| value)
            .next()
    }
}

/// Sends these lines and this body, as no browser would, and reads the answer.
fn send(served: &Served, first: &str, headers: &[(&str, &str)], body: &[u8]) -> Answer {
    let mut stream = TcpStream::connect(served.host()).unwrap();
    stream
        .set_read_timeout(Some(Duration::from_secs(15)))
        .unwrap();
    let mut head = format!("{first} HTTP/1.1\r\nConnection: close\r\n");
    for (name, value) in headers {
        head += &format!("{name}: {value}\r\n");
    }
    head += "\r\n";
    stream.write_all(head.as_bytes()).unwrap();
    // A host that has heard enough hangs up before the end.
    let _ = stream.write_all(body);
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let (head, body) = text
        .split_once("\r\n\r\n")
        .unwrap_or_else(|| panic!("no answer: {text:?}"));
    let status = head.split(' ').nth(1).unwrap().parse().unwrap();
    Answer {
        status,
        head: head.to_owned(),
        body: body.to_owned(),
    }
}

/// The path with the token, and a served, empty store.
fn served(data: &tempfile::TempDir) -> (Served, String) {
    let served = Served::start(&["--data", data.path().to_str().unwrap()]);
    let path = served.link.split_once(served.host()).unwrap().1.to_owned();
    (served, path)
}

/// Goes in by the link; the cookie.
fn enter(served: &Served, path: &str) -> String {
    let host = served.host().to_owned();
    let answer = send(served, &format!("GET {path}"), &[("Host", &host)], b"");
    assert_eq!((answer.status, answer.header("location")), (303, Some("/")));
    let cookie = answer.header("set-cookie").unwrap();
    assert!(
        cookie.contains("; HttpOnly") && cookie.contains("; SameSite=Strict"),
        "{cookie}"
    );
    cookie.split(';').next().unwrap().to_owned()
}

#[test]
fn a_link_works_once() {
    let data = plain_record();
    let (served, path) = served(&data);
    let host = served.host().to_owned();
    let get = |path: &str, headers: &[(&str, &str)]| {
        let headers = [&[("Host", host.as_str())], headers].concat();
        send(&served, &format!("GET {path}"), &headers, b"")
    };

    let stranger = get("/", &[]);
    assert_eq!(stranger.status, 403);
    assert!(stranger.body.contains("Open the link"), "{}", stranger.body);
    assert_eq!(
        get(&path[..path.len() - 1], &[]).status,
        403,
        "a wrong token"
    );
    let cookie = enter(&served, &path);
    let again = get(&path, &[]);
    assert_eq!(again.status, 403);
    assert!(again.body.contains("already used"), "{}", again.body);
    assert_eq!(
        get(&path, &[("Cookie", &cookie)]).status,
        303,
        "the same browser is let in"
    );

    let page = get("/", &[("Cookie", &cookie)]);
    assert_eq!(page.status, 200);
    assert_eq!(page.header("content-type"), Some("text/html"));
    let policy = page.header("content-security-policy").unwrap();
    for part in [
        "default-src 'self'",
        "script-src 'self'",
        "connect-src 'self'; ",
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'none'",
        "frame-ancestors 'none'",
    ] {
        assert!(policy.contains(part), "{part} in {policy}");
    }
    assert!(
        !policy.contains("ipc") && !policy.contains("unsafe"),
        "{policy}"
    );
    assert_eq!(page.header("x-content-type-options"), Some("nosniff"));
    assert_eq!(page.header("referrer-policy"), Some("no-referrer"));
    let script = page
        .body
        .split("src=\"")
        .nth(1)
        .unwrap()
        .split('"')
        .next()
        .unwrap();
    let script = get(
        &format!("/{}", script.trim_start_matches("./")),
        &[("Cookie", &cookie)],
    );
    assert_eq!(
        (script.status, script.header("content-type")),
        (200, Some("text/javascript"))
    );
    for outside in ["/../Cargo.toml", "/%2e%2e/Cargo.toml", "/nothing.js"] {
        assert_eq!(
            get(outside, &[("Cookie", &cookie)]).status,
            404,
            "{outside}"
        );
    }
}

#[test]
fn only_this_host_and_its_own_pages_come_in() {
    let data = plain_record();
    let (served, path) = served(&data);
    let cookie = enter(&served, &path);
    let host = served.host().to_owned();
    let port = host.split(':').nth(1).unwrap().to_owned();
    let localhost = format!("localhost:{port}");
    let own = format!("http://{host}");
    let check = |headers: &[(&str, &str)], expected: u16| {
        let headers = [&[("Cookie", cookie.as_str())], headers].concat();
        assert_eq!(
            send(&served, "GET /", &headers, b"").status,
            expected,
            "{headers:?}"
        );
    };
    check(&[("Host", &host)], 200);
    check(&[("Host", &localhost)], 200);
    check(&[("Host", &host), ("Origin", &own)], 200);
    check(&[("Host", &localhost), ("Origin", &own)], 403);
    check(&[("Host", "rebound.example")], 403);
    check(&[("Host", &format!("rebound.example:{port}"))], 403);
    check(&[("Host", "127.0.0.1")], 403);
    check(
        &[("Host", &host), ("Origin", "http://rebound.example")],
        403,
    );
    check(&[("Host", &host), ("Origin", "null")], 403);
}

#[test]
fn the_door_takes_json_of_reasonable_size() {
    let data = plain_record();
    let (served, path) = served(&data);
    let cookie = enter(&served, &path);
    let host = served.host().to_owned();
    let post = |kind: &str, cookie: &str, body: &[u8]| {
        let length = body.len().to_string();
        let headers = [
            ("Host", host.as_str()),
            ("Cookie", cookie),
            ("Content-Type", kind),
            ("Content-Length", &length),
        ];
        send(&served, "POST /door", &headers, body)
    };
    let status = br#"{"op":"status","args":{}}"#;

    let answer = post("application/json", &cookie, status);
    assert_eq!(
        (answer.status, answer.header("cache-control")),
        (200, Some("no-store"))
    );
    let reply: Value = serde_json::from_str(&answer.body).unwrap();
    assert_eq!(reply["ok"]["op"], "status");
    assert_eq!(
        post("application/json; charset=utf-8", &cookie, status).status,
        200
    );

    let stranger = post("application/json", "fallow=none", status);
    assert_eq!(stranger.status, 403);
    assert!(
        !stranger.body.contains('<'),
        "words for a program: {}",
        stranger.body
    );
    assert_eq!(post("text/plain", &cookie, status).status, 415);
    assert_eq!(
        post("application/x-www-form-urlencoded", &cookie, status).status,
        415
    );
    let mut large = vec![b' '; 1024 * 1024 + 1];
    large[..status.len()].copy_from_slice(status);
    assert_eq!(
        post("application/json", &cookie, &large[..1024 * 1024]).status,
        200,
        "just fits"
    );
    assert_eq!(post("application/json", &cookie, &large).status, 413);
    let headers = [("Host", host.as_str()), ("Cookie", &cookie)];
    assert_eq!(send(&served, "GET /door", &headers, b"").status, 405);

    let malformed = post("application/json", &cookie, b"{");
    assert_eq!(malformed.status, 200, "the door says what is wrong");
    assert!(
        malformed.body.contains("\"bad_json\""),
        "{}",
        malformed.body
    );
}

#[test]
fn nothing_listens_beyond_this_machine_and_it_stops_when_asked() {
    let data = plain_record();
    let (mut served, _) = served(&data);
    let port: u16 = served.host().split(':').nth(1).unwrap().parse().unwrap();
    // Any other address of this machine: 127.0.0.2 is one that every Linux has.
    assert!(TcpStream::connect(("127.0.0.1", port)).is_ok());
    assert!(
        TcpStream::connect(("127.0.0.2", port)).is_err(),
        "listens on more than 127.0.0.1"
    );
    assert!(served.stop().success());
    assert!(TcpStream::connect(("127.0.0.1", port)).is_err());
}

#[test]
fn a_taken_port_is_said_so() {
    let taken = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let output = fallow(&["serve", "--demo", "--port", &port])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    let words = String::from_utf8(output.stderr).unwrap();
    assert!(words.contains(&port) && words.contains("--port"), "{words}");
}

#[test]
fn the_demo_is_thrown_away() {
    let kept = tempfile::tempdir().unwrap();
    let demos = || std::fs::read_dir(kept.path()).unwrap().count();
    let mut child = fallow(&["serve", "--demo"])
        .env("TMPDIR", kept.path())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = [0; 4];
    child
        .stdout
        .as_mut()
        .unwrap()
        .read_exact(&mut first)
        .unwrap();
    assert_eq!((&first, demos()), (b"http", 1));
    std::process::Command::new("kill")
        .arg(child.id().to_string())
        .status()
        .unwrap();
    assert!(child.wait().unwrap().success());
    assert_eq!(demos(), 0);
}

fn replies(output: &std::process::Output) -> Vec<Value> {
    let text = String::from_utf8(output.stdout.clone()).unwrap();
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

#[test]
fn a_malformed_line_is_answered_and_the_next_one_read() {
    let data = plain_record();
    let long = format!("{{\"op\":\"{}\"}}", "x".repeat(1024 * 1024));
    let status = r#"{"op":"status","args":{}}"#;
    let mut input =
        format!("{{\n\n{status}\n[]\n{{\"op\":\"fly\",\"args\":{{}}}}\n{long}\n").into_bytes();
    input.extend(b"\"\xff\"\n");
    input.extend(status.as_bytes());
    let output = call(data.path(), &[], &input);
    assert!(output.status.success());
    let found = replies(&output);
    let codes: Vec<&str> = found
        .iter()
        .map(|reply| {
            reply["error"]["code"]
                .as_str()
                .or(reply["ok"]["op"].as_str())
                .unwrap()
        })
        .collect();
    assert_eq!(codes.len(), 7, "{codes:?}");
    assert_eq!(codes[0], "bad_json");
    assert_eq!(codes[1], "status");
    assert!(["bad_json", "bad_request"].contains(&codes[2]), "{codes:?}");
    assert_eq!(
        codes[3..],
        ["unknown_op", "bad_request", "bad_json", "status"]
    );
    for reply in found.iter().filter(|reply| reply["error"].is_object()) {
        assert!(
            !reply["error"]["message"].as_str().unwrap().is_empty(),
            "{reply}"
        );
    }
}

#[test]
fn every_operation_is_listed_with_an_example_that_it_knows() {
    let output = fallow(&["call", "--ops"]).output().unwrap();
    assert!(output.status.success());
    let listed = String::from_utf8(output.stdout).unwrap();
    let ops: Vec<Value> = listed
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    for op in [
        "person_add",
        "order_add",
        "site_check",
        "site_suggest",
        "injection_record",
        "injection_correct",
        "injection_list",
        "use_map",
    ] {
        assert!(
            ops.iter().any(|line| line["op"] == op),
            "{op} is not listed"
        );
    }
    let data = plain_record();
    let found = replies(&call(data.path(), &[], listed.as_bytes()));
    assert_eq!(found.len(), ops.len());
    for (op, reply) in ops.iter().zip(&found) {
        let code = reply["error"]["code"].as_str().unwrap_or_default();
        assert!(
            !["bad_json", "bad_request", "unknown_op", "internal"].contains(&code),
            "{op}: {reply}"
        );
    }
}

#[test]
fn a_clock_set_by_hand_is_marked() {
    let data = plain_record();
    let moment = "2026-06-03T08:00:00+01:00";
    let status = b"{\"op\":\"status\",\"args\":{}}\n";
    let set = &replies(&call(data.path(), &["--clock", moment], status))[0]["ok"]["data"];
    assert_eq!(
        (&set["clock_set"], &set["now"]),
        (&json!(true), &json!(moment))
    );
    let device = &replies(&call(data.path(), &[], status))[0]["ok"]["data"];
    assert_eq!(device["clock_set"], false);
    assert_ne!(device["now"], json!(moment));
}

#[test]
fn a_reader_who_has_seen_enough_is_no_fault() {
    let data = plain_record();
    let mut child = fallow(&["call", "--data"])
        .arg(data.path())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut stdin = child.stdin.take().unwrap();
    let line = b"{\"op\":\"status\",\"args\":{}}\n";
    let mut closed = false;
    for _ in 0..10_000 {
        if stdin.write_all(line).is_err() {
            closed = true;
            break;
        }
        std::thread::sleep(Duration::from_micros(100));
    }
    assert!(closed, "it went on although nobody read");
    let output = child.wait_with_output().unwrap();
    assert!(output.status.success(), "{output:?}");
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
}

#[test]
fn arguments_that_make_no_sense_are_refused_with_the_usage() {
    for args in [
        &["fly"][..],
        &["call", "--clock", "noon"],
        &["serve", "--port", "0"],
        &["--data", "x", "--demo"],
    ] {
        let output = fallow(args).output().unwrap();
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        let words = String::from_utf8(output.stderr).unwrap();
        assert!(
            words.contains("fallow serve") && words.contains("fallow call"),
            "{words}"
        );
    }
}

#[test]
fn without_a_display_the_window_says_what_else_there_is() {
    let output = fallow(&["--demo"])
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    assert!(
        String::from_utf8(output.stderr)
            .unwrap()
            .contains("fallow serve")
    );
}

/// The record is nobody else's to read.
#[test]
fn the_folder_is_private() {
    use std::os::unix::fs::PermissionsExt as _;
    let home = tempfile::tempdir().unwrap();
    let mut child = fallow(&["call"])
        .env("HOME", home.path())
        .env("XDG_DATA_HOME", home.path().join("data"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(b"{\"op\":\"status\",\"args\":{}}\n")
        .unwrap();
    assert!(child.wait().unwrap().success());
    let folders: Vec<_> = std::fs::read_dir(home.path().join("data"))
        .unwrap()
        .collect();
    assert_eq!(folders.len(), 1);
    let folder = folders.into_iter().next().unwrap().unwrap();
    assert_eq!(folder.file_name(), "org.fallow.record");
    assert_eq!(
        folder.metadata().unwrap().permissions().mode() & 0o777,
        0o700
    );
}

/// Nobody is told anything: neither the lines nor the browser host open a connection of their own.
#[test]
fn no_other_connection_is_made() {
    let log = ConnectLog::new();
    log.sees();
    let data = plain_record();
    let mut child = fallow(&["call", "--data"])
        .arg(data.path())
        .envs(log.surroundings())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    for line in fallow_api::operations() {
        writeln!(stdin, "{line}").unwrap();
    }
    drop(stdin);
    let output = child.wait_with_output().unwrap();
    assert_eq!(replies(&output).len(), fallow_api::operations().len());
    assert_eq!(log.seen(), [""; 0], "of `fallow call`");

    let surroundings = log.surroundings();
    let mut served = Served::start_in(&["--demo"], &surroundings);
    let path = served.link.split_once(served.host()).unwrap().1.to_owned();
    let cookie = enter(&served, &path);
    let host = served.host().to_owned();
    for path in ["/", "/nowhere"] {
        send(
            &served,
            &format!("GET {path}"),
            &[("Host", &host), ("Cookie", &cookie)],
            b"",
        );
    }
    assert!(served.stop().success());
    assert_eq!(log.seen(), [""; 0], "of `fallow serve`");
}

/// Whoever is slow is not waited for: neither for the head of a request nor for its body.
#[test]
fn a_request_that_never_ends_is_given_up() {
    let data = plain_record();
    let (served, path) = served(&data);
    let cookie = enter(&served, &path);
    let host = served.host().to_owned();
    let began = std::time::Instant::now();
    let slow = |text: String| {
        let address = host.clone();
        std::thread::spawn(move || {
            let mut stream = TcpStream::connect(address).unwrap();
            stream
                .set_read_timeout(Some(Duration::from_secs(30)))
                .unwrap();
            stream.write_all(text.as_bytes()).unwrap();
            let mut answer = Vec::new();
            let _ = stream.read_to_end(&mut answer);
            String::from_utf8_lossy(&answer).into_owned()
        })
    };
    let head = slow(format!("GET / HTTP/1.1\r\nHost: {host}\r\nX-Slow: "));
    let body = slow(format!(
        "POST /door HTTP/1.1\r\nHost: {host}\r\nCookie: {cookie}\r\nContent-Type: application/json\r\n\
         Content-Length: 100\r\nConnection: close\r\n\r\n{{\"op\""
    ));
    // Others are answered meanwhile.
    let headers = [("Host", host.as_str()), ("Cookie", &cookie)];
    assert_eq!(send(&served, "GET /", &headers, b"").status, 200);
    assert_eq!(head.join().unwrap(), "", "hung up on");
    let told = body.join().unwrap();
    assert!(told.starts_with("HTTP/1.1 408"), "{told}");
    assert!(
        began.elapsed() < Duration::from_secs(25),
        "{:?}",
        began.elapsed()
    );
}
