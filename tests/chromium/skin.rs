//! The skin as a hand does it: a lump marked by touch, avoided, looked at again; a skin check with one on the way.

use serde_json::json;

use super::{Device, NURSED, Page, Visit, ask, store};

#[test]
fn a_lump_is_marked_by_touch_left_alone_and_heals() {
    let data = store(2, false);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    page.script(
        "location.hash = arguments[0]",
        &[json!(format!("/person/{NURSED}/skin"))],
    );
    page.find("heading", "Skin");
    page.press("button", "Mark a finding");
    page.press("radio", "lump");
    page.press("radio", "Soft");
    page.press("radio", "Seen and felt");
    page.press("radio", "Abdomen");
    // The drawing moves while its skin is being coloured, so a touch is tried until it has met it.
    page.wait("a point on the skin", || {
        let at = page.script(
            "const svg = document.querySelector('.patch-map svg[data-zone=abdomen]')
             if (!svg) return null
             svg.scrollIntoView({ block: 'center' })
             const box = svg.getBoundingClientRect()
             return box.width > 100 ? [box.left + box.width * 0.75, box.top + box.height * 0.7] : null",
            &[],
        );
        page.touch(at[0].as_f64()?, at[1].as_f64()?);
        let chosen = page.script(
            "return document.querySelector('.patch-map [data-chosen]') !== null",
            &[],
        );
        (chosen == json!(true)).then_some(())
    });
    page.write("textbox", "Longest way across, in mm", "24");
    page.write("textbox", "Widest way square to that, in mm", "18");
    page.write("textbox", "Another name", "Nurse Invented");
    page.press("button", "Record finding");
    page.wait("the sentence", || {
        page.text().contains("Recorded: soft lump.").then_some(())
    });
    let list = ask(page, "finding_list", json!({ "person": NURSED }));
    let finding = &list["findings"][0];
    let site = &finding["place"]["site"];
    // Touched on the viewer's right and below: the person's left, lower.
    assert_eq!(site["quadrant"], "left_lower");
    let detail = ask(page, "person_get", json!({ "person": NURSED }));
    let order = &detail["orders"][0]["id"];
    let now = ask(page, "status", json!({}))["now"].clone();
    let check = json!({ "person": NURSED, "order": order, "site": site, "at": now });
    let said = ask(page, "site_check", check);
    assert_eq!(
        (&said["verdict"], &said["reasons"][0]["rule"]),
        (&json!("avoid"), &json!("finding"))
    );

    let row = page.script(
        "return document.querySelector('[data-finding]').textContent.replace(/\\s+/g, ' ').trim()",
        &[],
    );
    assert!(row.as_str().unwrap().starts_with("Soft lump"), "{row}");
    page.script("document.querySelector('[data-finding]').click()", &[]);
    page.press("button", "Look again");
    page.press("radio", "Healed: nothing is left of it");
    page.press("button", "Record look");
    page.wait("it ended", || {
        page.text().contains("No longer there (1)").then_some(())
    });
    let list = ask(page, "finding_list", json!({ "person": NURSED }));
    assert_eq!(list["findings"][0]["state"], "healed");
    visit.ends_clean();
}

/// Where an element's middle is on the screen, brought to the middle of it.
fn middle(page: &Page, selector: &str) -> (f64, f64) {
    page.wait(selector, || {
        let at = page.script(
            "const one = document.querySelector(arguments[0])
             one?.scrollIntoView({ block: 'center', behavior: 'instant' })
             const box = one?.getBoundingClientRect()
             return box && box.width > 0 ? [box.left + box.width / 2, box.top + box.height / 2] : null",
            &[json!(selector)],
        );
        Some((at[0].as_f64()?, at[1].as_f64()?))
    })
}

fn said(page: &Page) -> String {
    let text = page.script(
        "return document.querySelector('[data-sizes]')?.textContent ?? ''",
        &[],
    );
    text.as_str().unwrap().to_owned()
}

/// Pulls or draws, and says whether the page scrolled under it.
fn scrolls(page: &Page, points: &[(f64, f64)]) -> bool {
    let before = page.script("return scrollY", &[]);
    page.stroke(points);
    page.script("return scrollY", &[]) != before
}

#[test]
fn a_shape_is_pulled_turned_and_drawn_by_finger_and_is_opened_from_the_map() {
    let data = store(2, false);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    page.script(
        "location.hash = arguments[0]",
        &[json!(format!("/person/{NURSED}/skin/mark/abdomen"))],
    );
    page.press("radio", "lump");
    page.press("radio", "Felt");
    page.find("radio", "Point and size");
    // Colours come after the drawing and move it, so the first pull is tried until it has met the skin.
    let (x, y) = page.wait("a shape", || {
        let (x, y) = middle(page, ".patch-map svg[data-zone=abdomen]");
        let at = (x + 60.0, y + 30.0);
        page.stroke(&[at, (at.0 + 10.0, at.1), (at.0 + 30.0, at.1 + 4.0)]);
        (!said(page).is_empty()).then_some(at)
    });
    // A finger that strokes up or down over the skin scrolls, and changes nothing of what is there.
    let pulled = said(page);
    assert!(scrolls(
        page,
        &[(x - 100.0, y), (x - 100.0, y - 20.0), (x - 100.0, y - 90.0)]
    ));
    assert_eq!(said(page), pulled);
    let (x, y) = middle(page, "[data-grip=turn] .grip-reach");
    assert!(
        !scrolls(page, &[(x, y), (x, y - 15.0), (x, y - 40.0)]),
        "a handle does not scroll"
    );
    assert!(said(page).contains("turned"), "{}", said(page));

    page.press("radio", "Draw the outline");
    page.find("button", "Clear the shape");
    let (x, y) = middle(page, ".patch-map svg[data-zone=abdomen]");
    let round: Vec<(f64, f64)> = (0..=24)
        .map(|n| std::f64::consts::TAU * f64::from(n) / 24.0)
        .map(|turn| (x + 60.0 + 30.0 * turn.cos(), y + 30.0 + 22.0 * turn.sin()))
        .collect();
    assert!(!scrolls(page, &round), "a drawn line does not scroll");
    let drawn = said(page);
    assert!(
        !drawn.is_empty() && drawn != pulled,
        "{drawn} after {pulled}"
    );

    // Nothing drawn is lost on the way, once it is kept.
    page.wait("kept line", || {
        let draft = ask(
            page,
            "draft_get",
            json!({ "key": format!("finding:{NURSED}") }),
        );
        let kept: serde_json::Value = serde_json::from_str(draft["body"].as_str()?).ok()?;
        let line = kept["place"]["line"].as_array()?.len();
        (line >= 3).then_some(())
    });
    page.reload();
    page.find("button", "Throw it away");
    page.wait("the line", || (said(page) == drawn).then_some(()));
    page.write("textbox", "Another name", "Nurse Invented");
    page.press("button", "Record finding");
    page.wait("it is on record", || {
        let list = ask(page, "finding_list", json!({ "person": NURSED }));
        let points = list["findings"][0]["shape"]["outline"].as_array()?.len();
        (3..=60).contains(&points).then_some(())
    });
    // The form has left for where it came from; only then is it gone on from there.
    page.wait("it is said", || {
        page.text().contains("Recorded: lump").then_some(())
    });

    page.script(
        "location.hash = arguments[0]",
        &[json!(format!("/person/{NURSED}/map"))],
    );
    page.find("heading", "Marked on the skin (1)");
    let (x, y) = middle(page, "[data-finding-mark]");
    page.touch(x, y);
    page.find("heading", "Finding");
    visit.ends_clean();
}

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
