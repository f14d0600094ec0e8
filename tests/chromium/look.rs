//! How the screens look and work for every eye and hand: at twice the size of text, for eyes that tell colours apart in
//! other ways, by keys alone; and the pictures of the README.

use serde_json::{Value, json};

use super::{
    Device, NURSED, Visit, ask, axe, decoded, misfits, picture, quadrant_in_words, screens, settle,
    store,
};
use crate::harness::Page;

/// Twice the size of text: nothing is cut off to the side and nothing is lost (WCAG 2.2, 1.4.4).
#[test]
fn text_of_twice_its_size_fits_a_phone() {
    let visit = Visit::to(Device::Phone, &["--demo"]);
    let page = &visit.page;
    page.find("heading", "Fallow: Caseload");
    let mut faults = Vec::new();
    for (name, path) in screens(page) {
        page.script("location.hash = arguments[0]", &[json!(path)]);
        // The page's own size is 112.5 % of the browser's.
        page.script("document.documentElement.style.fontSize = '225%'", &[]);
        settle(page);
        let size = page.script(
            "return getComputedStyle(document.querySelector('main')).fontSize",
            &[],
        );
        let size: f64 = size
            .as_str()
            .unwrap()
            .trim_end_matches("px")
            .parse()
            .unwrap();
        assert!(
            size >= 36.0,
            "{name}: text of {size} px is not twice as large"
        );
        picture(page, &format!("twice-{name}"));
        let wide = misfits(page).into_iter().filter(|f| f.contains("wider"));
        faults.extend(wide.map(|fault| format!("{name}: {fault}")));
    }
    assert_eq!(faults, [""; 0]);
    visit.ends_clean();
}

/// The steps of the ramp differ in lightness, so that they differ for every eye: each step of the legend is darker than the
/// next, also without red, green or blue cones and without colour at all. Lightness is CIE L*, from the luminance of
/// WCAG 2.2.
#[test]
fn the_days_of_rest_are_told_apart_without_colours() {
    let visit = Visit::to(Device::Desktop, &["--demo"]);
    let page = &visit.page;
    page.find("heading", "Fallow: Caseload");
    let people = ask(page, "person_list", json!({}));
    let person = people["people"][0]["person"]["id"].as_str().unwrap();
    page.script(
        "location.hash = arguments[0]",
        &[json!(format!("/person/{person}/map"))],
    );
    settle(page);
    let boxes = page.wait("a legend", || {
        let found = page.script(
            "return [...document.querySelectorAll('.legend rect[class^=step-]')].map((e) => {
                e.scrollIntoView({ block: 'center' });
                const box = e.getBoundingClientRect();
                return [box.x + scrollX + box.width / 2, box.y + scrollY + box.height / 2] })",
            &[],
        );
        (found.as_array().is_some_and(|all| all.len() == 6)).then_some(found)
    });
    for scheme in ["light", "dark"] {
        let feature = json!([{ "name": "prefers-color-scheme", "value": scheme }]);
        page.devtools("Emulation.setEmulatedMedia", json!({ "features": feature }));
        for eye in [
            "none",
            "protanopia",
            "deuteranopia",
            "tritanopia",
            "achromatopsia",
        ] {
            page.devtools(
                "Emulation.setEmulatedVisionDeficiency",
                json!({ "type": eye }),
            );
            let steps: Vec<f64> = boxes
                .as_array()
                .unwrap()
                .iter()
                .map(|at| lightness(page, at[0].as_f64().unwrap(), at[1].as_f64().unwrap()))
                .collect();
            let least = steps
                .windows(2)
                .map(|s| s[1] - s[0])
                .fold(f64::MAX, f64::min);
            println!("{scheme} {eye}: {steps:.0?}");
            assert!(least >= 6.0, "{scheme} {eye}: {steps:?}");
        }
    }
    page.devtools(
        "Emulation.setEmulatedVisionDeficiency",
        json!({ "type": "none" }),
    );
    visit.ends_clean();
}

/// CIE L* of a dot of the page, 0 black to 100 white.
fn lightness(page: &Page, x: f64, y: f64) -> f64 {
    let clip = json!({ "x": x - 1.0, "y": y - 1.0, "width": 2, "height": 2, "scale": 1 });
    let shot = page.devtools(
        "Page.captureScreenshot",
        json!({ "captureBeyondViewport": true, "clip": clip }),
    );
    let bytes = decoded(shot["data"].as_str().unwrap());
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes))
        .read_info()
        .unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut pixels).unwrap();
    let linear = |c: u8| {
        let c = f64::from(c) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    };
    let luminance =
        0.2126 * linear(pixels[0]) + 0.7152 * linear(pixels[1]) + 0.0722 * linear(pixels[2]);
    if luminance > 0.008_856 {
        116.0 * luminance.cbrt() - 16.0
    } else {
        903.3 * luminance
    }
}

/// Where the system asks for more contrast, for no motion or for its own few colours, every screen still fits, axe-core finds
/// nothing and nothing moves.
#[test]
fn what_the_system_asks_for_is_done() {
    let visit = Visit::to(Device::Phone, &["--demo"]);
    let page = &visit.page;
    page.find("heading", "Fallow: Caseload");
    let shown = [
        "caseload",
        "today",
        "give",
        "skin-map",
        "skin-patch",
        "chart",
        "finding-mark",
    ];
    let mut faults = Vec::new();
    for (name, path) in screens(page) {
        if !shown.contains(&name) {
            continue;
        }
        page.script("location.hash = arguments[0]", &[json!(path)]);
        settle(page);
        for (feature, value) in [
            ("prefers-contrast", "more"),
            ("prefers-reduced-motion", "reduce"),
            ("forced-colors", "active"),
        ] {
            let asked = json!([{ "name": feature, "value": value }]);
            page.devtools("Emulation.setEmulatedMedia", json!({ "features": asked }));
            let in_force = format!("return matchMedia('({feature}: {value})').matches");
            assert_eq!(page.script(&in_force, &[]), true, "{feature}");
            picture(page, &format!("asked-{value}-{name}"));
            let mut found = misfits(page);
            // The colours of the system are not ours to judge.
            if feature != "forced-colors" {
                found.extend(axe(page));
            }
            if feature == "prefers-reduced-motion" {
                let moving = "return document.getAnimations().filter((a) => a.playState === 'running').length";
                found.extend((page.script(moving, &[]) != 0).then(|| "something moves".to_owned()));
            }
            faults.extend(found.into_iter().map(|f| format!("{feature} {name}: {f}")));
        }
    }
    assert_eq!(faults, [""; 0]);
    visit.ends_clean();
}

/// The clinic's chart of everybody in the made-up caseload, as pictures to look at: each drawing is there or says why not.
#[test]
fn everybody_has_a_chart() {
    for device in [Device::Phone, Device::Desktop] {
        let visit = Visit::to(device, &["--demo"]);
        let page = &visit.page;
        page.find("heading", "Fallow: Caseload");
        let people = ask(page, "person_list", json!({}));
        for (n, row) in people["people"].as_array().unwrap().iter().enumerate() {
            let person = row["person"]["id"].as_str().unwrap();
            let path = format!("/person/{person}/chart?weeks=26");
            page.script("location.hash = arguments[0]", &[json!(path)]);
            for scheme in ["light", "dark"] {
                let feature = json!([{ "name": "prefers-color-scheme", "value": scheme }]);
                page.devtools("Emulation.setEmulatedMedia", json!({ "features": feature }));
                settle(page);
                let drawings = page.script(
                    "const all = [...document.querySelectorAll('[data-drawing]')];
                    return [all.length, all.filter((d) => !d.querySelector('svg, p')).length]",
                    &[],
                );
                assert!(
                    drawings[0].as_u64() >= Some(9),
                    "person {n}, {scheme}: {drawings}"
                );
                assert_eq!(drawings[1], 0, "person {n}, {scheme}");
                assert_eq!(misfits(page), [""; 0], "person {n}, {scheme}");
                let name = format!("{device:?}-{scheme}-chart-of-{n}").to_lowercase();
                picture(page, &name);
            }
        }
        visit.ends_clean();
    }
}

/// A hand that has nothing but a keyboard.
struct Keyboard<'p>(&'p Page);

impl Keyboard<'_> {
    fn press(&self, key: &str) {
        let (code, number, text) = match key {
            "Tab" => ("Tab", 9, ""),
            "Enter" => ("Enter", 13, "\r"),
            " " => ("Space", 32, " "),
            "ArrowDown" => ("ArrowDown", 40, ""),
            other => panic!("no such key: {other}"),
        };
        let kind = if text.is_empty() {
            "rawKeyDown"
        } else {
            "keyDown"
        };
        for kind in [kind, "keyUp"] {
            let text = if kind == "keyUp" { "" } else { text };
            self.0.devtools(
                "Input.dispatchKeyEvent",
                json!({ "type": kind, "key": key, "code": code, "windowsVirtualKeyCode": number, "text": text }),
            );
        }
    }

    /// Goes on with Tab until the thing with this role and name has the focus, and shows that it has.
    fn to(&self, role: &str, name: &str) {
        self.0.find(role, name);
        let mut passed = Vec::new();
        for _ in 0..200 {
            if let Some((found_role, label)) = self.0.focused() {
                let fits = match name.strip_suffix('…') {
                    Some(beginning) => label.starts_with(beginning),
                    None => label == name,
                };
                if fits && found_role == role {
                    let shown = "return document.activeElement.matches(':focus-visible')";
                    assert_eq!(self.0.script(shown, &[]), true, "{role} “{name}”");
                    return;
                }
                passed.push(label);
            }
            self.press("Tab");
        }
        panic!("no way by Tab to {role} “{name}”: {passed:?}");
    }

    fn enter(&self, role: &str, name: &str) {
        self.to(role, name);
        self.press("Enter");
    }

    fn tick(&self, role: &str, name: &str) {
        self.to(role, name);
        self.press(" ");
    }

    fn write(&self, name: &str, text: &str) {
        self.to("textbox", name);
        self.0.devtools("Input.insertText", json!({ "text": text }));
    }
}

/// Recording, a skin check and the chart's file, without a pointer.
#[test]
fn the_main_ways_go_by_keys_alone() {
    let data = store(2, false);
    let visit = Visit::to(Device::Desktop, &["--data", data.path().to_str().unwrap()]);
    let page = &visit.page;
    let keys = Keyboard(page);
    keys.enter("button", "Wren Ashdown");
    page.find("heading", "Wren Ashdown");
    keys.enter("button", "Give");
    quadrant_in_words(page);
    keys.write("Another name", "Nurse Invented");
    keys.enter("button", "Record injection");
    page.find("heading", "Recorded");
    let list = ask(page, "injection_list", json!({ "person": NURSED }));
    assert_eq!(list["injections"].as_array().unwrap().len(), 1);

    page.script(
        "location.hash = arguments[0]",
        &[json!(format!("/person/{NURSED}/skin/check"))],
    );
    page.find("button", "Record skin check");
    let zones = page.script(
        "return [...document.querySelectorAll('fieldset')].filter((f) => f.querySelector('input[value=clear]')).length",
        &[],
    );
    let zones = zones.as_u64().unwrap();
    assert!(zones >= 1, "{zones}");
    for _ in 0..zones {
        keys.tick("radio", "Clear");
        keys.press("Tab");
    }
    keys.enter("button", "Record skin check");
    page.wait("the check, on record", || {
        let list = ask(page, "skin_state", json!({ "person": NURSED }));
        (list["checks"].as_array().is_some_and(|all| all.len() == 1)).then_some(())
    });

    page.script(
        "location.hash = arguments[0]",
        &[json!(format!("/person/{NURSED}/chart"))],
    );
    page.find("button", "Make the file");
    keys.tick("radio", "PDF, A4");
    keys.press("ArrowDown");
    keys.enter("button", "Make the file");
    page.wait("the file, handed on", || {
        page.text().contains("Handed to the browser").then_some(())
    });
    visit.ends_clean();
}

/// The pictures of the README, as a phone shows them: `cargo xtask pictures` puts them in their place.
#[test]
fn the_pictures_of_the_readme() {
    let visit = Visit::to(Device::Phone, &["--demo"]);
    let page = &visit.page;
    page.find("heading", "Fallow: Caseload");
    let all = screens(page);
    let path = |name: &str| all.iter().find(|(n, _)| *n == name).unwrap().1.clone();
    for (name, path, seen) in [
        ("caseload", path("caseload"), "h1"),
        ("give", path("give"), "[data-place]"),
        ("map", path("skin-map"), ".figures"),
        ("chart", path("skin-chart"), ".drawings"),
    ] {
        page.script("location.hash = arguments[0]", &[json!(path)]);
        settle(page);
        page.wait(seen, || {
            let show = "const what = document.querySelector(arguments[0]);
                if (what) scrollTo(0, Math.max(0, what.getBoundingClientRect().top + scrollY - 96));
                return what !== null";
            (page.script(show, &[json!(seen)]) == true).then_some(())
        });
        let shot = page.devtools("Page.captureScreenshot", json!({}));
        let file = crate::harness::pictures().join(format!("readme-{name}.png"));
        let bytes = decoded(shot["data"].as_str().unwrap());
        assert_eq!(&bytes[1..4], b"PNG");
        std::fs::write(file, bytes).unwrap();
    }
    assert_ne!(page.script("return document.title", &[]), Value::Null);
    visit.ends_clean();
}
