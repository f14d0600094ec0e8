//! The real window: the debug build of `fallow`, driven through the system webview's own driver.
//!
//! The driver is told to let the app be automated by one variable; nothing else of the surroundings is changed, and no
//! switch of the webview's is set.

use std::path::Path;
use std::time::Duration;

use chrono_tz::Europe::London;
use serde_json::{Value, json};

use crate::bus::{Bus, Desk, Shown};
use crate::connect_log::ConnectLog;
use crate::harness::{Driver, Page, WATCH_POLICY, pictures};
use crate::program::{below, binary, call, holding, plain_record};

/// A window on this store. Closing the page ends the program.
fn window(driver: &Driver, data: &Path) -> Page {
    window_with(driver, data, &[])
}

/// The same with further arguments.
fn window_with(driver: &Driver, data: &Path, further: &[&str]) -> Page {
    let mut args = vec![json!("--data"), json!(data)];
    if further.contains(&"--demo") {
        args.clear();
    }
    args.extend(further.iter().map(|arg| json!(arg)));
    let options = json!({ "binary": binary(), "args": args });
    let page = Page::open(
        driver,
        &json!({ "webkitgtk:browserOptions": options }),
        false,
    );
    page.script(WATCH_POLICY, &[]);
    page
}

fn driver() -> Driver {
    Driver::start("WebKitWebDriver", &[("TAURI_WEBVIEW_AUTOMATION", "true")])
}

/// Knocks at a command of the window from inside the page.
fn invoke(page: &Page, command: &str, args: Value) -> Value {
    page.promise(
        "return await window.__TAURI_INTERNALS__.invoke(args[0], args[1])",
        &[json!(command), args],
    )
}

fn place(page: &Page) -> String {
    let words = page.wait("suggested place", || {
        let found = page.script(
            "return document.querySelector('[data-place]')?.textContent ?? null",
            &[],
        );
        found.as_str().map(str::to_owned)
    });
    words.split(':').next().unwrap().to_owned()
}

#[test]
fn an_injection_is_recorded_by_clicks_seen_on_the_map_and_still_there_after_a_restart() {
    let data = plain_record();
    let driver = driver();
    let page = window(&driver, data.path());
    page.size(900, 800);

    page.find("heading", "Fallow: Caseload");
    page.press("button", "Add a person");
    page.write("textbox", "Full name", "Wren Ashdown");
    page.write("textbox", "Day", "9");
    page.write("textbox", "Month", "3");
    page.write("textbox", "Year", "1951");
    page.press("radio", "No known allergies");
    page.press("button", "Save");
    page.find("button", "Edit person");

    // An order by the door: its form has a test of its own.
    let people = invoke(
        &page,
        "door",
        json!({ "request": json!({ "op": "person_list", "args": {} }).to_string() }),
    );
    let people: Value = serde_json::from_str(people.as_str().unwrap()).unwrap();
    let person = people["ok"]["data"]["people"][0]["person"]["id"]
        .as_str()
        .unwrap()
        .to_owned();
    let order = json!({ "op": "order_add", "args": { "person": person, "medicine": "insulin-glargine-100",
        "dose": { "value": "12", "unit": "units" }, "times": ["08:00"], "from": "2020-01-01",
        "prescriber": "Dr Invented" } });
    let reply = invoke(&page, "door", json!({ "request": order.to_string() }));
    assert!(reply.as_str().unwrap().starts_with("{\"ok\""), "{reply}");

    page.press("button", "Give");
    let place = place(&page);
    page.write("textbox", "Another name", "Nurse Invented");
    page.press("button", "Record injection");
    page.find("heading", "Recorded");
    page.press("button", "See it on the body map");
    page.find("button", &format!("{place}: today"));
    std::fs::write(pictures().join("window-map.png"), page.screenshot()).unwrap();
    assert_eq!(page.refused(), [""; 0], "refused by the content policy");
    page.close();

    let page = window(&driver, data.path());
    page.press("button", "Wren Ashdown");
    page.press("button", "Body map");
    page.find("button", &format!("{place}: today"));
    assert_eq!(page.refused(), [""; 0], "refused by the content policy");
    page.close();

    let list = json!({ "op": "injection_list", "args": { "person": person } });
    let output = call(data.path(), &[], format!("{list}\n").as_bytes());
    let reply: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(
        reply["ok"]["data"]["injections"].as_array().unwrap().len(),
        1,
        "{reply}"
    );
}

#[test]
fn a_record_is_begun_in_the_window_and_asks_for_its_passphrase_after_a_restart() {
    let data = tempfile::tempdir().unwrap();
    let driver = driver();
    let page = window(&driver, data.path());
    let passphrase = "heron under the bridge";
    page.find("heading", "Begin a record");
    std::fs::write(pictures().join("window-begin.png"), page.screenshot()).unwrap();
    page.write("textbox", "Passphrase", passphrase);
    page.write("textbox", "The same once more", passphrase);
    page.press("button", "Begin the record");
    page.press("button", "Not now");
    page.find("heading", "Fallow: Caseload");
    page.press("button", "Lock");
    page.find("heading", "The record is locked");
    page.close();

    let page = window(&driver, data.path());
    page.find("heading", "The record is locked");
    page.write("textbox", "Passphrase", passphrase);
    page.press("button", "Unlock");
    page.find("heading", "Fallow: Caseload");
    assert_eq!(page.refused(), [""; 0], "refused by the content policy");
    page.close();
}

/// The system's webview keeps files of its own: none of them holds what was shown in it.
#[test]
fn nothing_of_the_record_is_left_in_any_file_of_the_window() {
    let home = tempfile::tempdir().unwrap();
    let at = |name: &str| {
        let folder = home.path().join(name);
        std::fs::create_dir_all(&folder).unwrap();
        folder.display().to_string()
    };
    let surroundings = [
        ("TAURI_WEBVIEW_AUTOMATION", "true".to_owned()),
        ("HOME", at("home")),
        ("XDG_DATA_HOME", at("home/data")),
        ("XDG_CACHE_HOME", at("home/cache")),
        ("XDG_CONFIG_HOME", at("home/config")),
        ("TMPDIR", at("tmp")),
    ];
    let surroundings: Vec<(&str, &str)> =
        surroundings.iter().map(|(n, v)| (*n, v.as_str())).collect();
    let driver = Driver::start("WebKitWebDriver", &surroundings);
    let data = home.path().join("record");
    let page = window(&driver, &data);
    page.find("heading", "Begin a record");
    page.write("textbox", "Passphrase", "heron under the bridge");
    page.write("textbox", "The same once more", "heron under the bridge");
    page.press("button", "Begin the record");
    page.press("button", "Not now");
    page.press("button", "Add a person");
    page.write("textbox", "Full name", "Wren Quillon");
    page.write("textbox", "Day", "9");
    page.write("textbox", "Month", "3");
    page.write("textbox", "Year", "1951");
    page.press("radio", "No known allergies");
    page.press("button", "Save");
    page.find("button", "Edit person");
    page.script("location.hash = '/'", &[]);
    page.find("button", "Wren Quillon");
    page.script("localStorage.setItem('seen', 'zeppelin')", &[]);
    std::thread::sleep(Duration::from_secs(2));
    page.close();
    drop(driver);
    assert_eq!(
        holding(
            home.path(),
            &["Quillon", "heron under the bridge", "1951-03-09"]
        ),
        [""; 0]
    );
    let files = below(home.path()).len();
    println!("{files} files of the record and of the window searched");
    assert!(files > 5, "{files}");
    assert!(
        !holding(home.path(), &["zeppelin"]).is_empty(),
        "what the page itself keeps is among what is searched"
    );
}

#[test]
fn nothing_but_the_door_and_keeping_a_file_is_granted_and_nothing_leaves_the_window() {
    let data = plain_record();
    let driver = driver();
    let page = window(&driver, data.path());
    page.find("heading", "Fallow: Caseload");
    assert_eq!(page.refused(), [""; 0], "refused by the content policy");

    for command in [
        "plugin:app|version",
        "plugin:window|close",
        "plugin:event|listen",
        "plugin:notification|notify",
        "plugin:notification|is_permission_granted",
        "plugin:dialog|save",
        "plugin:dialog|message",
        "elsewhere",
    ] {
        let reply = invoke(&page, command, json!({}));
        let words = reply["rejected"]
            .as_str()
            .unwrap_or_else(|| panic!("{command}: {reply}"));
        assert!(
            words.contains("not allowed") || words.contains("not found"),
            "{command}: {words}"
        );
    }
    assert_eq!(
        page.script("return window.__TAURI__ ?? null", &[]),
        Value::Null
    );
    let own = page.script("return String(window.Notification ?? '[native code]')", &[]);
    assert!(
        own.as_str().unwrap().contains("[native code]"),
        "the plugin for notifications has put a script into the page: {own}"
    );

    // And what must be refused is: the watch above can see.
    let reply = page.promise("return (await fetch('http://127.0.0.1:9/')).status", &[]);
    assert!(reply["rejected"].is_string(), "{reply}");
    page.wait("refusal", || {
        page.refused()
            .iter()
            .any(|line| line.starts_with("connect-src"))
            .then_some(())
    });
    page.close();
}

/// The window with all that the system's webview starts: they talk to the driver on this machine and to nobody else.
#[test]
fn the_window_connects_to_nobody_but_its_driver() {
    let log = ConnectLog::new();
    log.sees();
    let surroundings = log.surroundings();
    let mut all: Vec<(&str, &str)> = vec![("TAURI_WEBVIEW_AUTOMATION", "true")];
    all.extend(
        surroundings
            .iter()
            .map(|(name, value)| (*name, value.as_str())),
    );
    let driver = Driver::start("WebKitWebDriver", &all);
    let page = window_with(&driver, Path::new(""), &["--demo"]);
    page.find("heading", "Fallow: Caseload");
    for path in ["/today", "/handover", "/practice"] {
        page.script("location.hash = arguments[0]", &[json!(path)]);
        page.find(
            "heading",
            match path {
                "/today" => "Today",
                "/handover" => "Handover",
                _ => "Practice and about",
            },
        );
    }
    page.close();
    drop(driver);
    let seen = log.seen();
    assert!(!seen.is_empty(), "the driver itself connects to the window");
    let elsewhere: Vec<&String> = seen
        .iter()
        .filter(|line| !line.ends_with(" 127.0.0.1") && !line.ends_with(" ::1"))
        .collect();
    assert_eq!(elsewhere, [""; 0], "{seen:?}");
}

/// A person with an order for this very moment, whose time of day is given back as either clock tells it.
fn somebody_is_due(data: &Path) -> [String; 2] {
    let at = chrono::Utc::now().with_timezone(&London);
    let time = at.format("%H:%M").to_string();
    let person = "019e8c6e-0000-7000-8000-000000000001";
    let requests = [
        json!({ "op": "person_add", "args": { "id": person, "name": "Wren Ashdown", "born": "1951-03-09",
            "zone": "Europe/London" } }),
        json!({ "op": "order_add", "args": { "person": person, "medicine": "insulin-glargine-100",
            "dose": { "value": "12", "unit": "units" }, "times": [time],
            "from": at.date_naive().to_string(), "prescriber": "Dr Invented" } }),
    ];
    let input = requests.map(|request| format!("{request}\n")).concat();
    let output = call(data, &[], input.as_bytes());
    let replies = String::from_utf8(output.stdout).unwrap();
    assert_eq!(replies.matches("{\"ok\"").count(), 2, "{replies}");
    [fallow_api::Clock::Hours24, fallow_api::Clock::Hours12].map(|clock| clock.words(at.time()))
}

#[test]
fn a_due_injection_is_notified_once_and_names_nobody() {
    let data = plain_record();
    let time = somebody_is_due(data.path());
    let bus = Bus::start();
    let desk = Desk::on(&bus);
    let driver = Driver::start(
        "WebKitWebDriver",
        &[
            ("TAURI_WEBVIEW_AUTOMATION", "true"),
            ("DBUS_SESSION_BUS_ADDRESS", &bus.address),
        ],
    );
    let page = window(&driver, data.path());
    page.find("button", "Wren Ashdown");
    let expected = |time: &str| Shown {
        title: "Fallow".to_owned(),
        body: format!("An injection is due at {time}."),
        actions: Vec::new(),
    };
    // The language of the machine that tests says by which clock.
    let shown = desk.next(Duration::from_secs(20));
    let told = time.map(|time| Some(expected(&time)));
    assert!(told.contains(&shown), "{shown:?}");
    // The next look comes after half a minute, and finds nothing new.
    assert_eq!(desk.next(Duration::from_secs(35)), None);
    page.close();

    // Asked not to, it does not.
    let page = window_with(&driver, data.path(), &["--no-reminders"]);
    page.find("button", "Wren Ashdown");
    assert_eq!(desk.next(Duration::from_secs(10)), None);
    page.close();
}

#[test]
fn where_nobody_shows_notifications_the_window_works_all_the_same() {
    let data = plain_record();
    somebody_is_due(data.path());
    let nobody = Bus::start();
    for address in [nobody.address.as_str(), "disabled:"] {
        let driver = Driver::start(
            "WebKitWebDriver",
            &[
                ("TAURI_WEBVIEW_AUTOMATION", "true"),
                ("DBUS_SESSION_BUS_ADDRESS", address),
            ],
        );
        let page = window(&driver, data.path());
        page.press("button", "Wren Ashdown");
        page.find("button", "Edit person");
        page.close();
    }
}
