//! The lock in a browser, from the first start on: begun, recovery code, locked by tap and from elsewhere, unlocked, the
//! unfinished form still there, and what is left in the page while it is locked.

use serde_json::json;

use super::{Device, Visit, ask, axe, picture, settle};
use crate::harness::Page;

const PASSPHRASE: &str = "heron under the bridge";

/// A record begun by the screens, without a recovery code, with somebody on it.
fn begun(device: Device, data: &tempfile::TempDir) -> Visit {
    let visit = Visit::to(device, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    page.find("heading", "Begin a record");
    page.write("textbox", "Passphrase", PASSPHRASE);
    page.write("textbox", "The same once more", PASSPHRASE);
    page.press("button", "Begin the record");
    page.find("heading", "A recovery code, on paper");
    visit
}

fn somebody(page: &Page) {
    let person = json!({ "id": super::NURSED, "name": "Wren Ashdown", "born": "1951-03-09", "zone": "Europe/London",
        "allergies": [], "self_injects": false });
    ask(page, "person_add", person);
    let order = json!({ "person": super::NURSED, "medicine": "insulin-glargine-100",
        "dose": { "value": "12", "unit": "units" }, "times": ["08:00"], "from": "2020-01-01", "prescriber": "Dr Invented" });
    ask(page, "order_add", order);
}

fn unlock(page: &Page, passphrase: &str) {
    page.find("heading", "The record is locked");
    page.write("textbox", "Passphrase", passphrase);
    page.press("button", "Unlock");
}

#[test]
fn a_record_is_begun_locked_and_unlocked_and_the_form_is_still_there() {
    let data = tempfile::tempdir().unwrap();
    let visit = begun(Device::Phone, &data);
    let page = &visit.page;
    picture(page, "lock-recovery-offer");
    page.press("button", "Show me the code");
    let code = page.wait("recovery code", || {
        let text = page.text();
        let found =
            regex::Regex::new(r"(?:[0-9A-HJKMNP-TV-Z]{4}\s){7}[0-9A-HJKMNP-TV-Z]{4}").unwrap();
        found.find(&text).map(|code| {
            code.as_str()
                .split_whitespace()
                .collect::<Vec<_>>()
                .join(" ")
        })
    });
    picture(page, "lock-recovery-code");
    page.press("button", "I have written it down");
    page.find("heading", "Fallow: Caseload");
    somebody(page);

    // A form half filled, then the lock by one tap.
    page.script(
        "location.hash = arguments[0]",
        &[json!(format!("/person/{}/give", super::NURSED))],
    );
    page.find("button", "Record injection");
    page.write("textbox", "Another name", "Nurse Invented");
    settle(page);
    page.press("button", "Lock");
    page.find("heading", "The record is locked");
    let left = page.script(
        "return document.documentElement.outerHTML + document.title + JSON.stringify({ ...localStorage, ...sessionStorage })",
        &[],
    );
    for word in ["Ashdown", "Nurse Invented", "glargine", "1951"] {
        assert!(
            !left.as_str().unwrap().contains(word),
            "{word} is left in the page"
        );
    }
    assert_eq!(axe(page), [""; 0]);
    picture(page, "lock-locked");

    unlock(page, "not the passphrase");
    page.wait("refusal", || {
        page.text()
            .contains("does not open the record")
            .then_some(())
    });
    picture(page, "lock-wrong");
    page.write("textbox", "Passphrase", PASSPHRASE);
    page.press("button", "Unlock");
    // The same screen, with what was begun, and nothing recorded by itself.
    page.find("button", "Not given yet: go on");
    assert!(page.text().contains("Nurse Invented"), "{}", page.text());
    assert!(page.text().contains("Nothing has been recorded"));

    // Forgotten: the code on paper opens it, and leads to a new passphrase.
    page.press("button", "Lock");
    page.find("heading", "The record is locked");
    page.press("button", "Use the recovery code");
    page.write("textbox", "Recovery code", &code.to_lowercase());
    page.press("button", "Unlock");
    page.find("heading", "Choose a new passphrase");
    page.write("textbox", "New passphrase", "otter beside the mill");
    page.write("textbox", "The same once more", "otter beside the mill");
    page.press("button", "Change it");
    page.press("button", "To the record");
    page.find("button", "Not given yet: go on");
    page.press("button", "Lock");
    unlock(page, "otter beside the mill");
    page.press("button", "Not given yet: go on");
    page.find("button", "Record injection");
    assert_eq!(page.refused(), [""; 0], "refused by the content policy");
    visit.page.close();
}

/// Two programs on one record: what is locked in one is locked in the other within seconds, without a touch.
#[test]
fn a_lock_elsewhere_is_seen_without_a_touch() {
    let data = tempfile::tempdir().unwrap();
    let visit = begun(Device::Desktop, &data);
    let page = &visit.page;
    page.press("button", "Not now");
    page.find("heading", "Fallow: Caseload");
    somebody(page);
    page.reload();
    page.find("button", "Wren Ashdown");
    let mut child = crate::program::fallow(&["call", "--data"])
        .arg(data.path())
        .env("FALLOW_PASSPHRASE", PASSPHRASE)
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    use std::io::Write as _;
    writeln!(
        child.stdin.take().unwrap(),
        "{}",
        json!({ "op": "lock", "args": {} })
    )
    .unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(String::from_utf8_lossy(&output.stdout).contains("\"locked\""));
    page.find("heading", "The record is locked");
    assert!(!page.text().contains("Ashdown"));
    picture(page, "lock-locked-desktop");
    unlock(page, PASSPHRASE);
    page.find("button", "Wren Ashdown");
    visit.page.close();
}
