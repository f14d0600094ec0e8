//! The skin as a hand does it: a skin check with a finding on the way.

use serde_json::json;

use super::{Device, NURSED, Visit, ask, store};

#[test]
fn a_skin_check_outlives_marking_a_finding_on_the_way() {
    let data = store(2, false);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    page.script(
        "location.hash = arguments[0]",
        &[json!(format!("/person/{NURSED}/skin"))],
    );
    page.press("button", "Check the skin");
    page.find("heading", "Zone by zone");
    let choose = |seen: &str| {
        page.script(
            "for (const zone of document.querySelectorAll('[data-zone].zone-check')) {
               const seen = zone.dataset.zone === 'abdomen' ? arguments[0] : 'not_looked_at'
               zone.querySelector(`input[value=${seen}]`).click()
             }",
            &[json!(seen)],
        );
    };
    choose("finding");
    page.press("button", "Mark it: abdomen");
    page.find("heading", "Mark a finding");
    page.back();
    page.find("heading", "Zone by zone");
    page.wait("what was said", || {
        let kept = page.script(
            "return document.querySelectorAll('.zone-check input:checked').length === document.querySelectorAll('.zone-check').length",
            &[],
        );
        (kept == json!(true)).then_some(())
    });
    choose("clear");
    page.write("textbox", "Another name", "Nurse Invented");
    page.press("button", "Record skin check");
    page.wait("the sentence", || {
        page.text().contains("Skin check recorded.").then_some(())
    });
    let state = ask(page, "skin_state", json!({ "person": NURSED }));
    assert_eq!(state["due"], "not_due");
    visit.ends_clean();
}
