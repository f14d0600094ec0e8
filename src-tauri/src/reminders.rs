//! Tells the person at this device that an injection is due, by the system's notifications.
//!
//! Not here: which ones and in which words ([`fallow_api::reminders`]). Nothing of this is open to the page: it gets
//! neither the plugin's commands nor its script.
//!
//! Only a computer is looked after so far. On a phone the plugin is part of the program, and that is all: no reminder
//! is shown there, the system is not asked for permission, and nothing of it has been tried on one. A phone puts an app
//! that is not in front to sleep, so there it would have to be a reminder handed to the system beforehand.

use std::time::Duration;

use fallow_api::Clock;
use fallow_api::reminders::{Open, Reminded, words};
use serde_json::Value;
use tauri::{AppHandle, Manager as _, Runtime};
use tauri_plugin_notification::NotificationExt as _;

use crate::place::Door;
use crate::plugins::ForTheProgram;

/// How long after an answer it asks again.
const PAUSE: Duration = Duration::from_secs(30);

/// How often, and with what pause, it is looked whether the screen has asked for anything.
const SCREEN_LOOKS: u32 = 20;
const SCREEN_PAUSE: Duration = Duration::from_millis(250);

/// What is asked: everybody's injections of the day and what is still open of earlier ones.
const ASK: &str = r#"{"op":"due","args":{},"unattended":true}"#;

/// The plugin, to be registered in every shell with a window, on computers and phones alike. As it comes, it puts a script
/// into the page that replaces the page's own `Notification` and calls a command at once, which is refused.
pub(crate) fn plugin<R: Runtime>() -> ForTheProgram<R> {
    ForTheProgram(tauri_plugin_notification::init())
}

/// Looks now and every half minute, and shows what is new, for as long as the program runs.
pub(crate) fn start(app: AppHandle) {
    tauri::async_runtime::spawn(async move {
        let mut reminded = Reminded::default();
        let mut complained = false;
        loop {
            let asked = app.clone();
            // The door blocks, so it is asked where that holds nobody up; it is free again with the answer.
            let ask = move || {
                let door = asked.state::<Door>();
                let clock = told_by(&door);
                (door.answer(ASK), door.open_ahead(), clock)
            };
            let reply = tauri::async_runtime::spawn_blocking(ask).await;
            let news = reply.ok().and_then(|(reply, (ahead, now), clock)| {
                // The reply of a locked record lists nothing, and what was known before does it then.
                words(&reminded.news(ahead), now, clock)
                    .or_else(|| news(&reply, &mut reminded, clock))
            });
            if let Some(text) = news {
                // Without a title it bears the product's name. Where nobody shows notifications, the plugin keeps most
                // failures to itself.
                let shown = app.notification().builder().body(text).show();
                if let Err(fault) = shown
                    && !complained
                {
                    complained = true;
                    eprintln!("fallow: no reminder can be shown: {fault}");
                }
            }
            tokio::time::sleep(PAUSE).await;
        }
    });
}

/// How the screen tells times of day. It says so with its first request, which is waited for a little.
fn told_by(door: &Door) -> Clock {
    for _ in 0..SCREEN_LOOKS {
        if let Some(clock) = door.clock() {
            return clock;
        }
        std::thread::sleep(SCREEN_PAUSE);
    }
    Clock::default()
}

/// What to say of a reply to [`ASK`]. A coded error, such as that of a damaged file, is for the screen to show.
fn news(reply: &str, reminded: &mut Reminded, clock: Clock) -> Option<String> {
    let reply: Value = serde_json::from_str(reply).ok()?;
    let data = reply.pointer("/ok/data")?;
    let now = chrono::DateTime::parse_from_rfc3339(data["at"].as_str()?).ok()?;
    let open = data["slots"].as_array()?.iter().filter_map(|slot| {
        Open::read(
            slot["person"].as_str()?,
            slot["order"]["id"].as_str()?,
            slot["at"].as_str()?,
            slot["standing"].as_str()?,
        )
    });
    words(&reminded.news(open), now, clock)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::clock::Clock as Set;
    use crate::place::Store;

    /// A store with one person, who has an order for 08:00 every day, asked at this time of 3 June.
    fn reply_at(dir: &std::path::Path, time: &str) -> String {
        let at = format!("2026-06-03T{time}:00+01:00");
        let clock = Set::SetByHand(chrono::DateTime::parse_from_rfc3339(&at).unwrap());
        let passphrase = Some("heron under the bridge".to_owned());
        let door = Door::open(&Store::In(dir.to_owned()), clock, passphrase, || None).unwrap();
        let ask = |request: Value| -> Value {
            let reply = serde_json::from_str(&door.answer(&request.to_string())).unwrap();
            assert!(reply_is_ok(&reply), "{reply}");
            reply
        };
        let list = ask(serde_json::json!({ "op": "person_list", "args": {} }));
        if list["ok"]["data"]["people"] == serde_json::json!([]) {
            let person = ask(serde_json::json!({ "op": "person_add", "args": {
                "name": "Wren Ashdown", "born": "1951-03-09", "zone": "Europe/London" } }));
            let order = serde_json::json!({ "op": "order_add", "args": {
                "person": person["ok"]["data"]["person"]["id"], "medicine": "insulin-glargine-100",
                "dose": { "value": "12", "unit": "units" }, "times": ["08:00"], "from": "2026-06-01",
                "prescriber": "Dr Invented" } });
            ask(order);
        }
        door.answer(ASK)
    }

    fn reply_is_ok(reply: &Value) -> bool {
        reply["ok"].is_object()
    }

    #[test]
    fn a_real_reply_is_understood_and_names_nobody() {
        let dir = tempfile::tempdir().unwrap();
        let mut reminded = Reminded::default();
        let mut at = |time: &str| {
            let reply = reply_at(dir.path(), time);
            assert!(reply.contains("Wren Ashdown"), "{reply}");
            news(&reply, &mut reminded, Clock::Hours24)
        };
        assert_eq!(at("03:00"), None);
        let due = Some("An injection is due at 08:00.".to_owned());
        assert_eq!(at("08:00"), due);
        assert_eq!(at("08:01"), None);
        let late = Some("An injection due at 08:00 has no record yet.".to_owned());
        assert_eq!(at("12:00"), late);
        assert_eq!(at("12:01"), None);
    }

    #[test]
    fn a_reply_that_is_no_list_is_no_news() {
        let mut reminded = Reminded::default();
        for reply in [
            "",
            "[]",
            r#"{"error":{"code":"file_damaged","message":"…"}}"#,
            r#"{"ok":{"op":"due","data":{"at":"2026-06-03T08:00:00+01:00","slots":[{}]}}}"#,
        ] {
            assert_eq!(news(reply, &mut reminded, Clock::Hours24), None, "{reply}");
        }
    }
}
