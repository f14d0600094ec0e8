//! A protected record through the real program: what it takes to open it, and that nothing of it can be read without.

use std::fs;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::{Output, Stdio};

use serde_json::{Value, json};

use crate::program::{below, call, fallow, holding};

const PASSPHRASE: &str = "heron under the bridge";
/// Planted in a name, a note, a reason, a prescriber and an unfinished form; and what is given.
const PLANTED: [&str; 7] = [
    "Quillon",
    "hyacinth",
    "marzipan",
    "Thistlewick",
    "zeppelin",
    "insulin",
    "left_lower",
];

/// Runs `fallow call` on a record with this passphrase in the variable.
fn called(data: &Path, lines: &[Value]) -> Output {
    let mut child = fallow(&["call", "--data"])
        .arg(data)
        .env("FALLOW_PASSPHRASE", PASSPHRASE)
        .env("TMPDIR", data.join("tmp"))
        .env("HOME", data.join("home"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    for line in lines {
        writeln!(stdin, "{line}").unwrap();
    }
    drop(stdin);
    child.wait_with_output().unwrap()
}

fn replies(output: &Output) -> Vec<Value> {
    let text = String::from_utf8(output.stdout.clone()).unwrap();
    text.lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect()
}

/// What is planted, as requests.
fn planting() -> Vec<Value> {
    let person = "01890a5d-ac96-774b-bcce-b302099a8001";
    let order = "01890a5d-ac96-774b-bcce-b302099a8002";
    vec![
        json!({ "op": "person_add", "args": { "id": person, "name": "Wren Quillon", "born": "1951-03-09",
            "zone": "Europe/London", "allergies": ["hyacinth"], "note": "zeppelin", "self_injects": true } }),
        json!({ "op": "order_add", "args": { "id": order, "person": person, "medicine": "insulin-glargine-100",
            "dose": { "value": "12", "unit": "units" }, "times": ["08:00"], "from": "2020-01-01",
            "prescriber": "Dr Thistlewick" } }),
        json!({ "op": "injection_record", "args": { "id": "01890a5d-ac96-774b-bcce-b302099a8003", "person": person,
            "order": order, "site": { "zone": "abdomen", "quadrant": "left_lower", "across_cm": 5.5, "up_cm": -3.0 },
            "given_at": "2026-06-03T08:00:00+01:00", "dose": { "value": "12", "unit": "units" },
            "recorder": "Jory Quillon", "reason": "marzipan", "note": "hyacinth" } }),
        json!({ "op": "draft_save", "args": { "key": "give:1", "body": "zeppelin marzipan Quillon" } }),
        json!({ "op": "backup_make", "args": {} }),
        json!({ "op": "handover", "args": {} }),
        json!({ "op": "chart", "args": { "person": person, "weeks": 12, "width": 328, "theme": "light" } }),
        json!({ "op": "person_list", "args": { "search": "Quillon" } }),
    ]
}

/// The planted words that can be read in files below the folder.
fn readable(dir: &Path) -> Vec<String> {
    let words: Vec<&str> = PLANTED.iter().copied().chain([PASSPHRASE]).collect();
    holding(dir, &words)
}

#[test]
fn nothing_planted_can_be_read_in_any_file_left_behind() {
    let data = tempfile::tempdir().unwrap();
    for folder in ["tmp", "home"] {
        fs::create_dir(data.path().join(folder)).unwrap();
    }
    let found = replies(&called(data.path(), &planting()));
    assert!(
        found.iter().all(|reply| reply["ok"].is_object()),
        "{found:?}"
    );
    assert_eq!(readable(data.path()), [""; 0], "after it ended");

    // Killed in the middle of its work, with its log beside the file.
    let mut child = fallow(&["call", "--data"])
        .arg(data.path())
        .env("FALLOW_PASSPHRASE", PASSPHRASE)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    let line = json!({ "op": "draft_save", "args": { "key": "give:1", "body": "zeppelin ".repeat(2000) } });
    writeln!(stdin, "{line}").unwrap();
    let mut reply = String::new();
    BufReader::new(child.stdout.take().unwrap())
        .read_line(&mut reply)
        .unwrap();
    assert!(reply.contains("\"ok\""), "{reply}");
    let log = data.path().join("fallow.db-wal");
    assert!(
        fs::metadata(&log).unwrap().len() > 4096,
        "the log is among what is searched"
    );
    assert_eq!(readable(data.path()), [""; 0], "while it is open");
    child.kill().unwrap();
    child.wait().unwrap();
    assert_eq!(readable(data.path()), [""; 0], "after a kill");
    let files = below(data.path());
    println!(
        "{} planted words, {} files, nothing found",
        PLANTED.len(),
        files.len()
    );
    assert!(files.len() >= 7, "{files:?}");

    // The same search on a plain record finds them: it can see.
    let plain = crate::program::plain_record();
    let lines: String = planting().iter().map(|line| format!("{line}\n")).collect();
    call(plain.path(), &[], lines.as_bytes());
    let seen = readable(plain.path());
    for word in PLANTED {
        let word = word.to_lowercase();
        assert!(
            seen.iter().any(|line| line.starts_with(&word)),
            "{word} is not found in a plain record: {seen:?}"
        );
    }
}

#[test]
fn a_passphrase_begins_a_record_and_opens_it_and_another_does_not() {
    let data = tempfile::tempdir().unwrap();
    let status = [json!({ "op": "status", "args": {} })];
    // Without one every request is told why, and nothing is begun.
    let reply = &replies(&call(
        data.path(),
        &[],
        format!("{}\n", status[0]).as_bytes(),
    ))[0];
    assert_eq!(reply["error"]["code"], "not_begun");
    assert_eq!(fs::read_dir(data.path()).unwrap().count(), 0);
    let begun = replies(&called(data.path(), &status));
    assert_eq!(begun[0]["ok"]["data"]["protected"], true);
    let reply = &replies(&call(
        data.path(),
        &[],
        format!("{}\n", status[0]).as_bytes(),
    ))[0];
    assert_eq!(reply["error"]["code"], "locked");

    let file = data.path().join("passphrase");
    fs::write(&file, format!("{PASSPHRASE}\n")).unwrap();
    let by_file = call(
        data.path(),
        &["--passphrase-file", file.to_str().unwrap()],
        format!("{}\n", status[0]).as_bytes(),
    );
    assert_eq!(replies(&by_file)[0]["ok"]["data"]["protected"], true);

    fs::write(&file, "not the passphrase\n").unwrap();
    let refused = call(
        data.path(),
        &["--passphrase-file", file.to_str().unwrap()],
        b"",
    );
    assert_eq!(refused.status.code(), Some(1));
    let words = String::from_utf8(refused.stderr).unwrap();
    assert!(words.contains("does not open the record"), "{words}");
    assert!(!words.contains("not the passphrase"), "{words}");
    let argument = call(data.path(), &["--passphrase", PASSPHRASE], b"");
    assert_eq!(argument.status.code(), Some(2));
    assert!(!String::from_utf8_lossy(&argument.stderr).contains(PASSPHRASE));
}

#[test]
fn every_file_of_a_record_is_for_its_owner_alone() {
    use std::os::unix::fs::PermissionsExt as _;
    let home = tempfile::tempdir().unwrap();
    let data = home.path().join("record");
    let mut child = fallow(&["call", "--data"])
        .arg(&data)
        .env("FALLOW_PASSPHRASE", PASSPHRASE)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = child.stdin.take().unwrap();
    for line in &planting()[..5] {
        writeln!(stdin, "{line}").unwrap();
    }
    let folder = data.join("backups").to_string_lossy().into_owned();
    let kept = json!({ "op": "backup_folder", "args": { "folder": folder } });
    let wrong = json!({ "op": "recovery_make", "args": { "passphrase": "not the passphrase" } });
    writeln!(stdin, "{kept}\n{wrong}").unwrap();
    let mut replies = BufReader::new(child.stdout.take().unwrap()).lines();
    for _ in 0..7 {
        replies.next().unwrap().unwrap();
    }
    // Still open: its log and the log's index are there.
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    let files = below(&data);
    for name in [
        "fallow.db-wal",
        "fallow.db-shm",
        "fallow.keys",
        "fallow.keys.spare",
        "fallow.tries",
        "fallow.backups",
    ] {
        assert!(files.contains(&data.join(name)), "{name}: {files:?}");
    }
    for file in &files {
        assert_eq!(mode(file), 0o600, "{}", file.display());
    }
    assert_eq!((mode(&data), mode(&data.join("backups"))), (0o700, 0o700));
    drop(stdin);
    child.wait().unwrap();
}

/// Nothing of the library below is said where it was not asked for, and the code is the same as for a plain record.
#[test]
fn a_damaged_protected_record_is_told_by_its_code_and_in_no_other_way() {
    let data = tempfile::tempdir().unwrap();
    called(data.path(), &planting()[..2]);
    let file = data.path().join("fallow.db");
    let mut bytes = fs::read(&file).unwrap();
    bytes[2000] ^= 1;
    fs::write(&file, &bytes).unwrap();
    let output = called(data.path(), &[json!({ "op": "status", "args": {} })]);
    assert_eq!(replies(&output)[0]["error"]["code"], "file_damaged");
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
    assert!(fs::read(&file).unwrap() == bytes);
}
