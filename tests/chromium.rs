//! The screens in Chromium, served by the real `fallow serve`: a phone at 360 by 740 with touch, and a desktop.

mod doors;
mod guarded;
mod look;
mod skin;
mod visits;

use serde_json::{Value, json};

use crate::harness::{BRITISH, Driver, Page, WATCH_POLICY, pictures};
use crate::program::{Served, call, plain_record};

/// How big the page is and how it is touched.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Device {
    Phone,
    Narrow,
    Desktop,
}

/// Chromium with Fallow open in it.
struct Visit {
    page: Page,
    _served: Served,
    _driver: Driver,
}

impl Visit {
    fn to(device: Device, args: &[&str]) -> Self {
        let served = Served::start(args);
        let driver = Driver::start(&named("CHROMEDRIVER", "chromedriver"), &[]);
        let page = browser(&driver, device, &[]);
        page.devtools(
            "Page.addScriptToEvaluateOnNewDocument",
            json!({ "source": WATCH_POLICY }),
        );
        page.devtools(
            "Page.addScriptToEvaluateOnNewDocument",
            json!({ "source": BRITISH }),
        );
        page.goto(&served.link);
        Self {
            page,
            _served: served,
            _driver: driver,
        }
    }

    /// Nothing was refused by the content policy and nothing was written to the console as an error.
    fn ends_clean(self) {
        assert_eq!(
            self.page.refused(),
            [""; 0],
            "refused by the content policy"
        );
        assert_eq!(self.page.console_errors(), [""; 0], "errors on the console");
        self.page.close();
    }
}

/// A browser with nothing open, started with these further switches.
fn browser(driver: &Driver, device: Device, switches: &[&str]) -> Page {
    // The sandbox cannot be had as root or in a container, and the page is our own.
    let usual = [
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-dev-shm-usage",
        "--disable-background-networking",
        "--no-first-run",
        "--window-size=1280,900",
    ];
    let args = [&usual[..], switches].concat();
    let mut options = json!({
        "binary": named("CHROMIUM", "/usr/bin/chromium"),
        "args": args,
    });
    let touch = device != Device::Desktop;
    if touch {
        let (width, height) = if device == Device::Phone {
            (360, 740)
        } else {
            (320, 568)
        };
        options["mobileEmulation"] = json!({ "deviceMetrics":
            { "width": width, "height": height, "pixelRatio": 2, "touch": true, "mobile": true } });
    }
    let capabilities = json!({
        "goog:chromeOptions": options,
        "goog:loggingPrefs": { "browser": "ALL" },
    });
    Page::open(driver, &capabilities, touch)
}

fn named(variable: &str, usual: &str) -> String {
    std::env::var(variable).unwrap_or_else(|_| usual.to_owned())
}

/// Asks the door from inside the page.
fn ask(page: &Page, op: &str, args: Value) -> Value {
    let script =
        "const reply = await fetch('/door', { method: 'POST', body: JSON.stringify(args[0]),
            headers: { 'content-type': 'application/json' } });
        return (await reply.json())";
    let reply = page.promise(script, &[json!({ "op": op, "args": args })]);
    assert!(reply["ok"].is_object(), "{op}: {reply}");
    reply["ok"]["data"].clone()
}

const NURSED: &str = "01890a5d-ac96-774b-bcce-b302099a8001";
const NEIGHBOUR: &str = "01890a5d-ac96-774b-bcce-b302099a8002";

/// A store with one or two invented people and an order for the first.
fn store(people: usize, self_injects: bool) -> tempfile::TempDir {
    let dir = plain_record();
    let person = |id: &str, name: &str| {
        json!({ "op": "person_add", "args": { "id": id, "name": name, "born": "1951-03-09",
            "zone": "Europe/London", "allergies": [], "self_injects": self_injects,
            "sizes": { "height_cm": 168, "waist_cm": 92, "thigh_cm": 58, "upper_arm_cm": 31 } } })
    };
    let order = json!({ "op": "order_add", "args": { "person": NURSED,
        "medicine": "insulin-glargine-100", "dose": { "value": "12", "unit": "units" },
        "times": ["08:00"], "from": "2020-01-01", "prescriber": "Dr Invented" } });
    let mut lines = vec![person(NURSED, "Wren Ashdown"), order];
    if people > 1 {
        lines.push(person(NEIGHBOUR, "Tamsin Quill"));
    }
    let input: String = lines.iter().map(|line| format!("{line}\n")).collect();
    let output = call(dir.path(), &[], input.as_bytes());
    let replies = String::from_utf8(output.stdout).unwrap();
    assert_eq!(
        replies
            .lines()
            .filter(|line| line.starts_with("{\"ok\""))
            .count(),
        lines.len(),
        "{replies}"
    );
    dir
}

/// Where the form says the injection goes: `Abdomen, left lower quadrant`.
fn quadrant_in_words(page: &Page) -> String {
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
fn an_injection_is_recorded_by_touch_and_seen_on_the_map() {
    let data = store(2, false);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;

    page.press("button", "Wren Ashdown");
    page.press("button", "Body map");
    page.find(
        "button",
        "Abdomen, left lower quadrant: not used in the last year",
    );
    page.back();

    let before = page.taps();
    page.press("button", "Give");
    let place = quadrant_in_words(page);
    page.write("textbox", "Another name", "Nurse Invented");
    page.press("button", "Record injection");
    page.find("heading", "Recorded");
    // One for the name in the caseload, which was pressed above.
    let taps = 1 + page.taps() - before;
    assert!(taps <= 8, "{taps} taps from the caseload to the record");

    page.press("button", "See it on the body map");
    if page.has("radio", "Back") && !page.has("button", &format!("{place}: today")) {
        page.press("radio", "Back");
    }
    page.find("button", &format!("{place}: today"));

    let list = ask(page, "injection_list", json!({ "person": NURSED }));
    let found = list["injections"].as_array().unwrap();
    assert_eq!(found.len(), 1, "{list}");
    assert_eq!(found[0]["dose"], json!({ "value": "12", "unit": "units" }));
    assert_eq!(found[0]["recorder"], "Nurse Invented");
    visit.ends_clean();
}

#[test]
fn a_person_who_lives_alone_records_in_three_taps() {
    let data = store(1, true);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    quadrant_in_words(page);
    page.press("radio", "Wren Ashdown (self)");
    page.press("button", "Record injection");
    page.find("heading", "Recorded");
    assert!(page.taps() <= 3, "{} taps", page.taps());
    let list = ask(page, "injection_list", json!({ "person": NURSED }));
    assert_eq!(list["injections"].as_array().unwrap().len(), 1);
    visit.ends_clean();
}

/// Case S5: the second press on a form that is being saved saves nothing more.
#[test]
fn two_presses_make_one_record() {
    let data = store(1, true);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    quadrant_in_words(page);
    page.press("radio", "Wren Ashdown (self)");
    let record = page.find("button", "Record injection");
    let twice = "const button = arguments[0]; button.click(); button.click();
        setTimeout(() => button.click(), 200)";
    let id = record.element_id();
    page.script(
        twice,
        &[json!({ "element-6066-11e4-a52e-4f735466cecf": &*id })],
    );
    page.find("heading", "Recorded");
    std::thread::sleep(std::time::Duration::from_millis(400));
    let list = ask(page, "injection_list", json!({ "person": NURSED }));
    assert_eq!(list["injections"].as_array().unwrap().len(), 1, "{list}");
    visit.ends_clean();
}

#[test]
fn a_draft_outlives_a_reload_and_records_nothing() {
    let data = store(2, false);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    page.press("button", "Wren Ashdown");
    page.press("button", "Give");
    quadrant_in_words(page);
    page.write("textbox", "Another name", "Nurse Invented");
    page.wait("saved draft", || {
        let draft = ask(
            page,
            "draft_get",
            json!({ "key": format!("give:{NURSED}") }),
        );
        draft["body"]
            .as_str()
            .is_some_and(|body| body.contains("Nurse Invented"))
            .then_some(())
    });
    page.reload();
    page.find("heading", "You had begun at …");
    let list = ask(page, "injection_list", json!({ "person": NURSED }));
    assert_eq!(
        list["injections"],
        json!([]),
        "nothing is recorded by itself"
    );
    page.press("button", "Not given yet: go on");
    page.press("button", "Record injection");
    page.find("heading", "Recorded");
    let list = ask(page, "injection_list", json!({ "person": NURSED }));
    assert_eq!(list["injections"][0]["recorder"], "Nurse Invented");
    visit.ends_clean();
}

#[test]
fn back_closes_the_topmost_thing() {
    let data = store(2, false);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    page.press("button", "Wren Ashdown");
    page.press("button", "Give");
    quadrant_in_words(page);
    page.press("button", "Another place");
    page.find("heading", "Where on the body?");
    let spot = page.find("button", "Abdomen, left lower quadrant: …");
    page.press_element(&spot);
    if page.has("heading", "That was close to a border. Which one?") {
        page.press("button", "Abdomen, left lower quadrant");
    }
    page.find("heading", "Abdomen, close up");
    page.back();
    page.find("heading", "Where on the body?");
    page.back();
    page.find("heading", "Give");
    page.back();
    page.find("button", "Edit person");
    page.back();
    page.find("heading", "Fallow: Caseload");
    visit.ends_clean();
}

#[test]
fn a_place_is_chosen_by_keyboard_alone() {
    use fantoccini::key::Key;
    let data = store(2, false);
    let visit = Visit::to(Device::Desktop, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    page.keys("button", "Wren Ashdown", &[Key::Enter]);
    page.keys("button", "Give", &[Key::Enter]);
    quadrant_in_words(page);
    page.keys("button", "Another place", &[Key::Enter]);
    page.keys("button", "Abdomen, left lower quadrant: …", &[Key::Enter]);
    let skin = "Skin of the abdomen, a square is a centimetre";
    page.keys(
        "application",
        skin,
        &[Key::Right, Key::Right, Key::Down, Key::Down],
    );
    let words = page.wait("place in words", || {
        let found = page.script(
            "return document.querySelector('[data-readout]')?.textContent ?? ''",
            &[],
        );
        found
            .as_str()
            .filter(|words| words.starts_with("Abdomen, ") && words.contains(" cm "))
            .map(str::to_owned)
    });
    assert!(words.contains("the person's left of the navel"), "{words}");
    page.keys("application", skin, &[Key::Enter]);
    page.find("heading", "Give");
    page.wait("place chosen by hand", || {
        page.text().contains("Chosen by you").then_some(())
    });
    visit.ends_clean();
}

/// Case S6: left and right are the person's, in front and on the back.
#[test]
fn a_quarter_across_is_right_in_front_and_left_on_the_back() {
    let data = store(2, false);
    let visit = Visit::to(Device::Desktop, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    page.press("button", "Wren Ashdown");
    page.press("button", "Body map");
    let side = |view: &str| {
        page.wait("drawing", || {
            let script = "const spots = [...document.querySelectorAll(`[data-view=${arguments[0]}] [data-zone]`)];
                const svg = document.querySelector(`[data-view=${arguments[0]}]`)?.getBoundingClientRect();
                if (!svg || spots.length === 0) return null;
                const left = spots.filter((spot) => { const box = spot.getBoundingClientRect();
                    return box.x + box.width / 2 < svg.x + svg.width / 2 && !spot.dataset.zone.includes('abdomen') });
                return [...new Set(left.map((spot) => spot.dataset.zone.split('_')[0]))].join(' ')";
            let found = page.script(script, &[json!(view)]);
            found.as_str().map(str::to_owned)
        })
    };
    assert_eq!(side("front"), "right");
    assert_eq!(side("back"), "left");
    let text = page.text();
    assert!(
        text.contains("person's right") || text.contains("person’s right"),
        "{text}"
    );
    visit.ends_clean();
}

/// The content policy is there at all: what the other tests never see fires here.
#[test]
fn the_content_policy_refuses_what_it_should() {
    let data = store(1, true);
    let visit = Visit::to(Device::Phone, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    quadrant_in_words(page);
    let reply = page.promise("return (await fetch('http://127.0.0.1:9/')).status", &[]);
    assert!(reply["rejected"].is_string(), "{reply}");
    page.script(
        "const image = document.createElement('img');
         image.setAttribute('onerror', 'window.ran = true'); image.src = 'missing.png'; document.body.append(image)",
        &[],
    );
    page.wait("two refusals", || {
        let refused = page.refused();
        (refused.iter().any(|line| line.starts_with("connect-src"))
            && refused.iter().any(|line| line.starts_with("script-src")))
        .then_some(())
    });
    assert_eq!(page.script("return window.ran ?? null", &[]), Value::Null);
    visit.page.close();
}

/// Every screen of the made-up caseload, on three devices, light and dark, as pictures to look at; none is wider than
/// its window and no control is too small for a thumb.
#[test]
fn every_screen_fits_and_has_its_picture() {
    for device in [Device::Phone, Device::Narrow, Device::Desktop] {
        let visit = Visit::to(device, &["--demo"]);
        let page = &visit.page;
        page.find("heading", "Fallow: Caseload");
        let screens = screens(page);
        let mut faults = Vec::new();
        for (name, path) in &screens {
            page.script("location.hash = arguments[0]", &[json!(path)]);
            settle(page);
            for scheme in ["light", "dark"] {
                let feature = json!([{ "name": "prefers-color-scheme", "value": scheme }]);
                page.devtools("Emulation.setEmulatedMedia", json!({ "features": feature }));
                // Drawings are asked for anew in the colours of the page.
                if name.contains("chart") {
                    settle(page);
                }
                picture(page, &format!("{device:?}-{scheme}-{name}").to_lowercase());
                faults.extend(
                    axe(page)
                        .into_iter()
                        .map(|fault| format!("{device:?} {scheme} {name}: axe: {fault}")),
                );
            }
            faults.extend(
                misfits(page)
                    .into_iter()
                    .map(|fault| format!("{device:?} {name}: {fault}")),
            );
        }
        assert_eq!(faults, [""; 0]);
        visit.ends_clean();
    }
}

/// Every screen of the made-up caseload, with somebody who has much on record and somebody with a lump.
fn screens(page: &Page) -> Vec<(&'static str, String)> {
    let people = ask(page, "person_list", json!({}));
    let rows = people["people"].as_array().unwrap();
    let row = rows
        .iter()
        .find(|row| !row["last"].is_null() && !row["orders"].as_array().unwrap().is_empty());
    let person = row.expect("somebody with a history")["person"]["id"]
        .as_str()
        .unwrap()
        .to_owned();
    let detail = ask(page, "person_get", json!({ "person": person }));
    let order = detail["orders"][0]["id"].as_str().unwrap().to_owned();
    let list = ask(page, "injection_list", json!({ "person": person }));
    let injection = list["injections"][0]["id"].as_str().unwrap().to_owned();
    let (marked, finding) = marked(page, rows);
    vec![
        ("caseload", "/".to_owned()),
        ("person", format!("/person/{person}")),
        ("give", format!("/person/{person}/give")),
        ("give-where", format!("/person/{person}/give/place")),
        ("map", format!("/person/{person}/map")),
        ("patch", format!("/person/{person}/map/abdomen")),
        ("done", format!("/person/{person}/done/{injection}")),
        ("record", format!("/person/{person}/record")),
        ("rotation", format!("/person/{person}/rotation")),
        ("plan", format!("/person/{person}/plan")),
        ("plan-sheet", format!("/person/{person}/plan/sheet")),
        ("room", format!("/person/{person}/room")),
        (
            "chart",
            format!("/person/{person}/chart?weeks=12&compare=1"),
        ),
        ("skin-chart", format!("/person/{marked}/chart?weeks=12")),
        ("risk", format!("/person/{person}/risk")),
        ("skin", format!("/person/{marked}/skin")),
        ("finding", format!("/person/{marked}/skin/{finding}")),
        (
            "finding-mark",
            format!("/person/{marked}/skin/mark/abdomen"),
        ),
        ("skin-check", format!("/person/{marked}/skin/check")),
        ("skin-map", format!("/person/{marked}/map")),
        ("skin-patch", format!("/person/{marked}/map/abdomen")),
        ("skin-give", format!("/person/{marked}/give")),
        ("skin-risk", format!("/person/{marked}/risk")),
        ("correct", format!("/person/{person}/record/{injection}")),
        ("person-add", "/add".to_owned()),
        ("person-edit", format!("/person/{person}/edit")),
        ("order-add", format!("/person/{person}/order")),
        ("order-end", format!("/person/{person}/end/{order}")),
        ("order-change", format!("/person/{person}/order/{order}")),
        ("glucose", format!("/person/{person}/glucose")),
        ("not-given", not_given(page, &person)),
        ("today", "/today".to_owned()),
        ("handover", "/handover".to_owned()),
        ("practice", "/practice".to_owned()),
        ("lost", "/nowhere".to_owned()),
    ]
}

/// The person with most on their skin, and a lump of theirs.
fn marked(page: &Page, rows: &[Value]) -> (String, String) {
    let found = rows.iter().filter_map(|row| {
        let person = row["person"]["id"].as_str()?.to_owned();
        let list = ask(page, "finding_list", json!({ "person": person }));
        let findings = list["findings"].as_array()?.clone();
        let lump = findings.iter().find(|f| f["kind"] == "lump")?["id"]
            .as_str()?
            .to_owned();
        Some((findings.len(), person, lump))
    });
    let (_, person, lump) = found.max().expect("somebody with a lump");
    (person, lump)
}

/// What axe-core finds on the screen, a line each: `rule: where`.
fn axe(page: &Page) -> Vec<String> {
    let source = include_str!("../ui/node_modules/axe-core/axe.min.js");
    let loaded = page.script("return typeof window.axe === 'object'", &[]);
    if loaded != json!(true) {
        page.devtools("Runtime.evaluate", json!({ "expression": source }));
    }
    let found = page.promise(
        // Whole cards are buttons named by the person or the deed alone: what else stands on a card would make a name
        // nobody can say, so that rule is left out.
        "const rules = { 'label-content-name-mismatch': { enabled: false } }
         const found = await axe.run(document, { resultTypes: ['violations'], rules })
         return found.violations.flatMap((v) => v.nodes.map((n) => `${v.id}: ${n.target.join(' ')}`))",
        &[],
    );
    let list = found
        .as_array()
        .unwrap_or_else(|| panic!("axe ran: {found}"));
    list.iter()
        .map(|v| v.as_str().unwrap().to_owned())
        .collect()
}

/// The way to say that an injection of today was not given; its instant is one piece of the path.
fn not_given(page: &Page, person: &str) -> String {
    let due = ask(page, "due", json!({ "person": person }));
    let slot = &due["slots"][0];
    let order = slot["order"]["id"].as_str().unwrap();
    let at = slot["at"].as_str().unwrap();
    let at = at.replace(':', "%3A").replace('+', "%2B");
    format!("/person/{person}/not-given/{order}/{at}")
}

/// Waits until the page has stopped changing.
fn settle(page: &Page) {
    page.wait("quiet page", || {
        let now = page
            .script("return document.body.innerHTML", &[])
            .to_string();
        std::thread::sleep(std::time::Duration::from_millis(150));
        let then = page
            .script("return document.body.innerHTML", &[])
            .to_string();
        let busy = page.script(
            "return document.querySelector('[aria-busy=true]') !== null",
            &[],
        );
        (now == then && busy == json!(false) && !page.text().contains("One moment…")).then_some(())
    });
}

/// The whole page as a picture in `target/screens`.
fn picture(page: &Page, name: &str) {
    let shot = page.devtools(
        "Page.captureScreenshot",
        json!({ "captureBeyondViewport": true }),
    );
    let file = pictures().join(format!("{name}.png"));
    std::fs::write(file, decoded(shot["data"].as_str().unwrap())).unwrap();
}

fn decoded(base64: &str) -> Vec<u8> {
    use base64::Engine as _;
    base64::engine::general_purpose::STANDARD
        .decode(base64)
        .unwrap()
}

/// What is wider than the window, and controls lower or narrower than 48 pixels.
fn misfits(page: &Page) -> Vec<String> {
    let script = "const faults = [];
        const root = document.documentElement;
        // Not `innerWidth`: a phone zooms out over a page that is too wide, and that grows with it.
        if (root.scrollWidth > root.clientWidth) {
            const out = [...document.querySelectorAll('body *')].filter((e) => e.getBoundingClientRect().right > root.clientWidth + 0.5);
            const deepest = out.filter((e) => !out.some((other) => other !== e && e.contains(other)));
            const names = deepest.slice(0, 4).map((e) => `${e.tagName} ${e.getAttribute('class') ?? ''} ${e.textContent.slice(0, 30)}`);
            faults.push(`wider than the window: ${root.scrollWidth} > ${root.clientWidth}: ${names.join('; ')}`);
        }
        const controls = 'button, select, summary, textarea, input:not([type=radio], [type=checkbox]), label.choice';
        for (const control of document.querySelectorAll(controls)) {
            if (!control.checkVisibility({ visibilityProperty: true })) continue;
            const { width, height } = control.getBoundingClientRect();
            if (height < 47.5 || width < 47.5)
                faults.push(`${control.tagName} “${(control.innerText || control.id).slice(0, 30)}” ${width}x${height}`);
        }
        return faults";
    let found = page.script(script, &[]);
    found
        .as_array()
        .unwrap()
        .iter()
        .map(|fault| fault.as_str().unwrap().to_owned())
        .collect()
}
