//! The visit as a hand does it: the round, the checks, what was not given, a low glucose.

use serde_json::json;

use super::{Device, NURSED, Visit, ask, quadrant_in_words, store};

/// From the round to the record with every check done, nothing typed: what was typed last time is one tap now.
#[test]
fn a_nurse_does_the_whole_visit_in_fourteen_taps() {
    let data = store(2, false);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    let detail = ask(page, "person_get", json!({ "person": NURSED }));
    let order = detail["orders"][0]["id"].as_str().unwrap().to_owned();
    // Signed, and the pen and the nurse are known from last time.
    let mut to = json!({ "person": NURSED, "medicine": "insulin-glargine-100",
        "dose": { "value": "12", "unit": "units" }, "times": ["08:00"], "from": "2020-01-01",
        "prescriber": "Dr Invented", "recorder": "Nurse Invented",
        "terms": { "signed_on": "2020-01-01", "device": "pen", "needle_mm": 4 } });
    // Due at this hour, whatever the hour is.
    let now = ask(page, "status", json!({}))["now"]
        .as_str()
        .unwrap()
        .to_owned();
    let local = ask(page, "due", json!({ "person": NURSED }))["words"]
        .as_str()
        .unwrap()
        .to_owned();
    to["times"] = json!([local
        .rsplit(", ")
        .next()
        .unwrap()
        .split(' ')
        .next()
        .unwrap()]);
    ask(
        page,
        "order_change",
        json!({ "order": order, "reason": "Signed.", "to": to }),
    );
    ask(
        page,
        "container_add",
        json!({ "id": "01890a5d-ac96-774b-bcce-b302099a8009", "person": NURSED, "order": order,
        "medicine": "insulin glargine", "strength": "100 units/mL", "expires": "2099-01", "opened": now[..10], "device": "pen" }),
    );

    page.press("button", "Today");
    page.wait("the round", || {
        page.text().contains("Wren Ashdown").then_some(())
    });
    let before = page.taps();
    let give = page.wait("a way to give", || {
        page.script(
            "return [...document.querySelectorAll('main button')].find((b) => b.innerText.includes('Wren Ashdown')
                || b.getAttribute('aria-label')?.includes('Wren Ashdown'))?.getAttribute('aria-label') ?? null",
            &[],
        )
        .as_str()
        .map(str::to_owned)
    });
    page.press("button", &give);
    quadrant_in_words(page);
    for check in [
        "Name matches",
        "Born matches",
        "Read and asked about",
        "Order read",
    ] {
        page.press("button", check);
    }
    let last = page.wait("as last time", || {
        let found = page.script(
            "return [...document.querySelectorAll('button')].find((b) => b.innerText.startsWith('As last time'))?.innerText ?? null",
            &[],
        );
        found.as_str().map(str::to_owned)
    });
    page.press("button", &last);
    page.press("button", "Agrees");
    page.press("button", "Looked and felt: nothing against it");
    page.wait("all checked", || {
        page.text()
            .contains("Before giving: all checked")
            .then_some(())
    });
    page.press("radio", "Nurse Invented");
    page.press("button", "Nothing to see");
    page.press("button", "Record injection");
    page.find("heading", "Recorded");
    let taps = page.taps() - before;
    assert!(taps <= 14, "{taps} taps from the round to the record");
    let list = ask(page, "injection_list", json!({ "person": NURSED }));
    let act = &list["injections"][0]["act"];
    assert_eq!(
        act["checks"],
        json!([
            "identity",
            "allergies",
            "order",
            "container",
            "consent",
            "skin"
        ])
    );
    assert_eq!(act["container"], "01890a5d-ac96-774b-bcce-b302099a8009");
    visit.ends_clean();
}

/// From the round of the day: said once however often it is pressed, told where one came from, taken back with a reason.
#[test]
fn what_was_not_given_is_said_from_the_round_and_taken_back() {
    let data = store(2, false);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    page.press("button", "Today");
    page.press("button", "Not given: Wren Ashdown, 12 units …");
    page.press("radio", "Declined");
    page.write("textbox", "Another name", "Nurse Invented");
    let save = page.find("button", "Record “not given”");
    let twice = "const button = arguments[0]; button.click(); button.click()";
    let element = json!({ "element-6066-11e4-a52e-4f735466cecf": &*save.element_id() });
    page.script(twice, &[element]);
    page.find("heading", "Today");
    page.wait("sentence", || {
        page.text()
            .contains("Recorded for Wren Ashdown")
            .then_some(())
    });
    let list = ask(page, "event_list", json!({ "person": NURSED }));
    assert_eq!(list["events"].as_array().unwrap().len(), 1, "{list}");
    assert_eq!(list["events"][0]["code"], "declined");

    page.script(
        "location.hash = arguments[0]",
        &[json!(format!("/person/{NURSED}/record"))],
    );
    page.press("button", "Correct: Not given: declined. …");
    page.press("checkbox", "All of it: it never happened …");
    page.write(
        "textbox",
        "What was wrong with it?",
        "Another person was meant",
    );
    page.press("button", "Mark as entered in error");
    page.find("heading", "Record");
    page.wait("the entry, struck through", || {
        let struck = "return document.querySelector('.events .struck')?.innerText ?? ''";
        let told = page.script(struck, &[]);
        let told = told.as_str().unwrap_or_default();
        (told.contains("Not given: declined.") && told.contains("Another person was meant"))
            .then_some(())
    });
    page.wait("nothing left", || {
        let list = ask(page, "event_list", json!({ "person": NURSED }));
        (list["events"] == json!([])).then_some(())
    });
    visit.ends_clean();
}

/// The wait after the carbohydrate is an instant: a reload loses nothing of it. In an emergency nothing is louder.
#[test]
fn the_steps_for_a_low_value_outlive_a_reload() {
    let data = store(2, false);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    page.press("button", "Wren Ashdown");
    page.press("button", "Glucose");
    page.write("textbox", "Glucose (mmol/L)", "3,1");
    page.write("textbox", "Another name", "Nurse Invented");
    page.press("button", "Record value");
    page.press("button", "Carbohydrate taken");
    let left = || {
        page.wait("countdown", || {
            let found = page.script(
                "return document.querySelector('[data-left]')?.dataset.left ?? null",
                &[],
            );
            found.as_str().and_then(|text| text.parse::<u16>().ok())
        })
    };
    let before = left();
    assert!((1..=900).contains(&before), "{before}");
    page.reload();
    let after = left();
    assert!(after <= before, "{after} after {before}");
    page.find("button", "On to giving");
    page.press("button", "Drowsy");
    page.find("heading", "Emergency");
    page.find("button", "On to giving");
    let list = ask(page, "event_list", json!({ "person": NURSED }));
    let about: Vec<&str> = list["events"]
        .as_array()
        .unwrap()
        .iter()
        .map(|event| event["about"].as_str().unwrap())
        .collect();
    assert_eq!(about, ["alarm", "carbohydrate", "glucose"]);
    assert_eq!(list["events"][2]["value"], "3.1");
    visit.ends_clean();
}
