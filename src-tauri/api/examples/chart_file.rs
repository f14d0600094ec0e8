//! Writes the charts of the made-up caseload to a folder, to be looked at: `chart_file FOLDER`.
//!
//! Tests hold what can be counted; whether a page is good to read is seen.
#![allow(clippy::unwrap_used)]

use std::path::Path;

use base64::Engine as _;
use chrono::DateTime;
use fallow_api::{App, Clock, Now, Options, answer};
use serde_json::{Value, json};

fn main() {
    let folder = std::env::args().nth(1).expect("a folder to write to");
    let folder = Path::new(&folder);
    std::fs::create_dir_all(folder).unwrap();
    let store = tempfile::tempdir().unwrap();
    let now = Now {
        at: DateTime::parse_from_rfc3339("2026-11-30T16:20:00+00:00").unwrap(),
        set_by_hand: false,
        clock: Clock::default(),
    };
    let mut app = App::open(
        store.path(),
        Options {
            demo: true,
            unprotected: true,
            ..Options::default()
        },
        now,
    );
    fallow_api::fill_demo(&mut app, 7, now).unwrap();
    let mut ask = |op: &str, args: Value| -> Value {
        let line = json!({ "op": op, "args": args }).to_string();
        let reply: Value = serde_json::from_str(&answer(&mut app, &line, now)).unwrap();
        assert!(reply["error"].is_null(), "{reply}");
        reply["ok"]["data"].clone()
    };
    let people = ask("person_list", json!({}));
    for (n, person) in people["people"].as_array().unwrap().iter().enumerate() {
        for (format, paper) in [
            ("pdf", "a4"),
            ("pdf", "letter"),
            ("svg", "a4"),
            ("png", "a4"),
        ] {
            let file = ask(
                "chart_file",
                json!({ "person": person["person"]["id"], "weeks": 12, "compare": n < 3, "format": format, "paper": paper }),
            );
            let bytes = base64::engine::general_purpose::STANDARD
                .decode(file["base64"].as_str().unwrap())
                .unwrap();
            let name = format!("{n}-{paper}.{format}");
            println!("{name}: {} pages, {} bytes", file["pages"], bytes.len());
            std::fs::write(folder.join(name), bytes).unwrap();
        }
    }
}
