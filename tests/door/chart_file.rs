//! The chart as a file, read back by programs that are not ours: pages and words by poppler, pictures by a decoder.

use std::process::Command;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use super::{Door, abdomen, units};

const NOW: &str = "2026-11-20T08:05:00+00:00";

/// The file of a request that must be answered, checked against what was said of it.
fn file(door: &mut Door, person: &str, more: Value) -> (Value, Vec<u8>) {
    let mut args = json!({ "person": person });
    for (key, value) in more.as_object().unwrap() {
        args[key] = value.clone();
    }
    let said = door.ok("chart_file", args);
    let bytes = STANDARD.decode(said["base64"].as_str().unwrap()).unwrap();
    assert_eq!(said["bytes"], bytes.len());
    let digest: String = Sha256::digest(&bytes)
        .iter()
        .map(|b| format!("{b:02x}"))
        .collect();
    assert_eq!(said["sha256"], digest);
    (said, bytes)
}

/// What one of poppler's programs prints about a file.
fn poppler(program: &str, bytes: &[u8], words: &[&str]) -> String {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("chart.pdf");
    std::fs::write(&path, bytes).unwrap();
    let mut command = Command::new(program);
    match program {
        "pdftotext" => command.args(words).arg(&path).arg("-"),
        _ => command.args(words).arg(&path),
    };
    let output = command
        .output()
        .unwrap_or_else(|e| panic!("{program} (of poppler-utils): {e}"));
    assert!(output.status.success(), "{program}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// The words of each page.
fn pages(bytes: &[u8]) -> Vec<String> {
    let text = poppler("pdftotext", bytes, &["-layout"]);
    let mut pages: Vec<String> = text.split('\u{c}').map(str::to_owned).collect();
    assert_eq!(pages.pop().map(|last| last.trim().is_empty()), Some(true));
    pages
}

/// The words of all pages without the way they are set.
fn words(bytes: &[u8]) -> String {
    let text = poppler("pdftotext", bytes, &[]);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn info(bytes: &[u8], name: &str) -> String {
    let all = poppler("pdfinfo", bytes, &[]);
    let line = all.lines().find(|l| l.starts_with(&format!("{name}:")));
    line.unwrap_or_else(|| panic!("{name}: {all}"))[name.len() + 1..]
        .trim()
        .to_owned()
}

/// A person with 40 days of injections, one a day.
fn forty_days() -> (Door, String) {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    for n in 0..40_u32 {
        let day = chrono::NaiveDate::from_ymd_opt(2026, 10, 10).unwrap()
            + chrono::Days::new(u64::from(n));
        let offset = if n < 15 { "+01:00" } else { "+00:00" };
        let turn = f64::from(n) * 0.7;
        let site = abdomen(
            "left_lower",
            6.0 + 2.5 * turn.cos(),
            -4.0 + 1.5 * turn.sin(),
        );
        let at = format!("{day}T08:00:00{offset}");
        let mut given = super::injection(u64::from(n), &person, &order, site, &at);
        given["reason"] = json!("As agreed.");
        door.ok("injection_record", given);
    }
    (door, person)
}

/// Who, which days, which page of how many and when it was made, on every page.
fn every_page_is_named(bytes: &[u8], days: &str) {
    let pages = pages(bytes);
    let of = pages.len();
    assert_eq!(info(bytes, "Pages"), of.to_string());
    for (n, page) in pages.iter().enumerate() {
        assert!(page.contains("Marit Oakfell, born 9 Mar 1951"), "{page}");
        assert!(page.contains(days), "{page}");
        assert!(page.contains(&format!("page {} of {of}", n + 1)), "{page}");
        assert!(page.contains("Made Fri 20 Nov 2026, 08:05"), "{page}");
        assert!(page.contains("Left and right are the person's."), "{page}");
    }
}

#[test]
fn the_paper_says_where_the_journal_ended() {
    let (mut door, person) = forty_days();
    let end = door.ok("journal_verify", json!({}));
    let hash = end["last_hash"].as_str().unwrap().to_owned();
    let (_, bytes) = file(&mut door, &person, json!({ "weeks": 4, "format": "pdf" }));
    let words = words(&bytes);
    let told = format!(
        "{} entries, the last with the hash {hash} (SHA-256).",
        end["entries"]
    );
    assert!(words.contains(&told), "{told}\n{words}");
}

#[test]
fn the_pages_say_what_the_chart_says() {
    let (mut door, person) = forty_days();
    let days = json!({ "weeks": 8, "compare": true });
    let chart = door.ok(
        "chart",
        json!({ "person": person, "weeks": 8, "compare": true }),
    );
    for (paper, size) in [
        ("a4", "595.276 x 841.89 pts (A4)"),
        ("letter", "612 x 792 pts (letter)"),
    ] {
        let mut ask = days.clone();
        ask["format"] = json!("pdf");
        ask["paper"] = json!(paper);
        let (said, bytes) = file(&mut door, &person, ask);
        assert_eq!(said["name"], "fallow-chart-2026-09-26-to-2026-11-20.pdf");
        assert_eq!(said["media_type"], "application/pdf");
        assert_eq!(said["pages"].to_string(), info(&bytes, "Pages"));
        assert_eq!(info(&bytes, "Page size"), size);
        assert_eq!(info(&bytes, "Tagged"), "yes");
        assert!(info(&bytes, "Title").contains("Marit Oakfell"));
        every_page_is_named(&bytes, "26 Sep 2026 to 20 Nov 2026");
        let words = words(&bytes);
        let squeezed: String = words.split_whitespace().collect();
        let holds = |text: &Value| {
            let text: String = text.as_str().unwrap().split_whitespace().collect();
            assert!(squeezed.contains(&text), "{paper}: {text}\n{words}");
        };
        for text in chart["cautions"].as_array().unwrap() {
            holds(text);
        }
        for text in chart["sources"].as_array().unwrap() {
            holds(text);
        }
        for drawing in chart["drawings"].as_array().unwrap() {
            holds(&drawing["title"]);
            holds(&drawing["description"]);
            for note in drawing["notes"].as_array().unwrap() {
                holds(note);
            }
        }
        // Inside a drawing text is text too.
        assert!(squeezed.contains("28daysormore,ornotused"), "{words}");
        let structure = poppler("pdfinfo", &bytes, &["-struct-text"]);
        for kind in ["H1", "H2", "Figure", "Table", "TH", "TD"] {
            assert!(structure.contains(kind), "{kind}");
        }
    }
}

#[test]
fn a_page_can_be_drawn_by_another_program_and_is_not_blank() {
    let (mut door, person) = forty_days();
    let (_, bytes) = file(&mut door, &person, json!({ "weeks": 8, "format": "pdf" }));
    let dir = tempfile::tempdir().unwrap();
    let to = dir.path().join("page");
    let path = dir.path().join("chart.pdf");
    std::fs::write(&path, &bytes).unwrap();
    let drawn = Command::new("pdftoppm")
        .args([
            "-r",
            "50",
            "-gray",
            "-png",
            "-f",
            "1",
            "-l",
            "1",
            "-singlefile",
        ])
        .arg(&path)
        .arg(&to)
        .status()
        .unwrap();
    assert!(drawn.success());
    let (wide, high, dots) = decoded(&std::fs::read(to.with_extension("png")).unwrap());
    assert!(
        (410..=415).contains(&wide) && (583..=587).contains(&high),
        "{wide} by {high}"
    );
    let dark = dots.iter().filter(|d| **d < 100).count();
    assert!(dark > dots.len() / 200, "{dark} of {}", dots.len());
    // The margins stay empty.
    let row = dots.len() / high as usize;
    let edge = dots
        .chunks(row)
        .map(|r| r[..20 * row / wide as usize].iter());
    assert!(edge.flatten().all(|d| *d > 250));
}

/// Width, height and dots of a PNG.
fn decoded(bytes: &[u8]) -> (u32, u32, Vec<u8>) {
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes))
        .read_info()
        .unwrap();
    let mut dots = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut dots).unwrap();
    dots.truncate(info.buffer_size());
    (info.width, info.height, dots)
}

#[test]
fn a_picture_is_one_whole_picture() {
    let (mut door, person) = forty_days();
    let (said, svg) = file(&mut door, &person, json!({ "weeks": 8, "format": "svg" }));
    assert_eq!(said["name"], "fallow-chart-2026-09-26-to-2026-11-20.svg");
    assert_eq!(
        (&said["media_type"], &said["pages"]),
        (&json!("image/svg+xml"), &json!(1))
    );
    let text = String::from_utf8(svg).unwrap();
    let document = roxmltree::Document::parse(&text).unwrap();
    let root = document.root_element();
    let child = |tag: &str| root.children().find(|c| c.tag_name().name() == tag);
    assert!(
        child("title")
            .unwrap()
            .text()
            .unwrap()
            .starts_with("Injection chart")
    );
    assert!(
        child("desc")
            .unwrap()
            .text()
            .unwrap()
            .contains("Marit Oakfell")
    );
    let families: Vec<_> = document
        .descendants()
        .filter_map(|n| n.attribute("font-family"))
        .collect();
    assert!(!families.is_empty() && families.iter().all(|f| f.ends_with("sans-serif")));
    let ids: Vec<_> = document
        .descendants()
        .filter_map(|n| n.attribute("id"))
        .collect();
    let once: std::collections::BTreeSet<_> = ids.iter().collect();
    assert_eq!(ids.len(), once.len(), "an id twice: {ids:?}");
    assert!(
        !text.contains("http://")
            || text.matches("http://").count()
                == text.matches("http://www.w3.org/2000/svg").count()
    );
    let all: String = document.descendants().filter_map(|n| n.text()).collect();
    assert!(all.contains("Marit Oakfell, born 9 Mar 1951"));

    let (said, bytes) = file(&mut door, &person, json!({ "weeks": 8, "format": "png" }));
    assert_eq!(
        (&said["media_type"], &said["pages"]),
        (&json!("image/png"), &json!(1))
    );
    let (wide, high, dots) = decoded(&bytes);
    let size = |name: &str| root.attribute(name).unwrap().parse::<u32>().unwrap();
    assert_eq!((wide, size("width")), (1600, 800));
    assert!(high.abs_diff(2 * size("height")) <= 2, "{high}");
    let dark = dots.chunks(4).filter(|d| d[0] < 100).count();
    assert!(dark > dots.len() / 4 / 200);
    assert!(dots.chunks(4).all(|d| d[3] == 255), "no dot is see-through");
}

#[test]
fn the_same_record_at_the_same_moment_is_the_same_file_and_the_clock_of_the_machine_is_not_asked() {
    let (mut door, person) = forty_days();
    for format in ["pdf", "svg", "png"] {
        let ask = json!({ "weeks": 8, "format": format });
        let (once, _) = file(&mut door, &person, ask.clone());
        let (twice, _) = file(&mut door, &person, ask);
        assert_eq!(once["sha256"], twice["sha256"], "{format}");
    }
    let (_, bytes) = file(&mut door, &person, json!({ "weeks": 8, "format": "pdf" }));
    let made = poppler("pdfinfo", &bytes, &["-isodates"]);
    assert!(
        made.contains("CreationDate:    2026-11-20T08:05:00Z"),
        "{made}"
    );
}

#[test]
fn records_with_little_in_them_make_a_file_that_says_so() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    let twelve = |format: &str| json!({ "weeks": 12, "compare": true, "format": format });
    let check = |door: &mut Door, says: &str| {
        let (_, bytes) = file(door, &person, twelve("pdf"));
        every_page_is_named(&bytes, "29 Aug 2026 to 20 Nov 2026");
        let words = words(&bytes);
        assert!(words.contains(says), "{says}: {words}");
        for format in ["svg", "png"] {
            file(door, &person, twelve(format));
        }
    };
    check(&mut door, "0 injections on record.");
    // All on one day.
    for n in 0..4_u8 {
        let at = format!("2026-11-1{}T0{n}:30:00+00:00", 1);
        let mut given = super::injection(
            u64::from(n),
            &person,
            &order,
            abdomen("left_lower", 4.0 + 2.0 * f64::from(n), -4.0),
            &at,
        );
        given["reason"] = json!("As agreed.");
        door.ok("injection_record", given);
    }
    check(&mut door, "4 injections on record.");
}

#[test]
fn a_record_of_quadrants_alone_says_how_many_have_no_point() {
    let mut door = Door::at(NOW);
    let (person, order) = door.glargine("Europe/London");
    for n in 10..20_u32 {
        let site = json!({ "zone": "abdomen", "quadrant": "left_lower" });
        let at = format!("2026-11-{n}T08:00:00+00:00");
        let mut given = super::injection(u64::from(n), &person, &order, site, &at);
        given["reason"] = json!("As agreed.");
        given["dose"] = units("12");
        door.ok("injection_record", given);
    }
    let (_, bytes) = file(
        &mut door,
        &person,
        json!({ "weeks": 4, "format": "pdf", "paper": "letter" }),
    );
    every_page_is_named(&bytes, "24 Oct 2026 to 20 Nov 2026");
    let words = words(&bytes);
    assert!(
        words.contains("10 injections on record, 10 of them known only to the quadrant."),
        "{words}"
    );
}

#[test]
fn ten_years_make_a_file() {
    let (mut door, person) = forty_days();
    let days = json!({ "from": "2016-11-21", "to": "2026-11-20", "format": "pdf" });
    let (said, bytes) = file(&mut door, &person, days);
    assert_eq!(said["name"], "fallow-chart-2016-11-21-to-2026-11-20.pdf");
    every_page_is_named(&bytes, "21 Nov 2016 to 20 Nov 2026");
    assert!(pages(&bytes).len() <= 12);
}

#[test]
fn what_is_no_file_of_ours_is_refused_by_name() {
    let mut door = Door::at(NOW);
    let person = door.person("Europe/London");
    for (args, code) in [
        (json!({ "weeks": 4, "format": "docx" }), "bad_code"),
        (json!({ "weeks": 4, "format": "PDF" }), "bad_code"),
        (json!({ "weeks": 4, "format": "" }), "bad_code"),
        (json!({ "weeks": 4 }), "bad_request"),
        (
            json!({ "weeks": 4, "format": "pdf", "paper": "a3" }),
            "bad_code",
        ),
        (
            json!({ "weeks": 4, "format": "pdf", "paper": "" }),
            "bad_code",
        ),
        (
            json!({ "weeks": 4, "format": "pdf", "width": 328 }),
            "bad_request",
        ),
        (json!({ "weeks": 0, "format": "pdf" }), "bad_count"),
        (json!({ "weeks": 523, "format": "png" }), "bad_count"),
        (json!({ "format": "svg" }), "bad_request"),
        (
            json!({ "from": "2026-11-20", "to": "2026-11-19", "format": "svg" }),
            "dates_reversed",
        ),
    ] {
        let mut ask = args.clone();
        ask["person"] = json!(person);
        assert_eq!(door.refused("chart_file", ask)["code"], code, "{args}");
    }
    let nobody = json!({ "person": super::id(9), "weeks": 4, "format": "pdf" });
    assert_eq!(door.refused("chart_file", nobody)["code"], "unknown_person");
    // Paper is ignored for a picture.
    let picture = json!({ "person": person, "weeks": 4, "format": "svg", "paper": "a3" });
    door.ok("chart_file", picture);
}
