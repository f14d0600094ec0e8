//! Files of every state a record can be in: all of it on the page, nothing cut, the same bytes again.

use chrono::{DateTime, NaiveDate};

use super::content::{Block, Content, content};
use super::lay::{A4, LETTER, Page, Role, Sheet, TALL, What, lay};
use super::*;
use crate::face::width;
use crate::tests::{Record, daily, states};

fn about(name: &str) -> About<'_> {
    About {
        name,
        born: NaiveDate::from_ymd_opt(1951, 3, 9).unwrap(),
        identifier: Some("SP-0417"),
        made: DateTime::parse_from_rfc3339("2026-11-20T16:05:00+01:00").unwrap(),
        clock: Clock::Hours24,
        journal: "Journal of this device when this was made: 3 entries.",
    }
}

fn made(record: &Record, name: &str, format: Format) -> Made {
    let go_on = &mut |_, _| ControlFlow::Continue(());
    record
        .with(|facts| make(facts, &about(name), format, go_on))
        .unwrap()
}

fn laid(record: &Record, name: &str, sheet: &Sheet) -> (Content, Vec<Page>) {
    record.with(|facts| {
        let content = content(facts, &about(name), sheet);
        let pages = lay(&content, sheet);
        (content, pages)
    })
}

fn state(name: &str) -> Record {
    let mut all = states();
    let at = all.iter().position(|(n, _)| *n == name).unwrap();
    all.swap_remove(at).1
}

const ALL: [Format; 4] = [
    Format::Pdf(Paper::A4),
    Format::Pdf(Paper::Letter),
    Format::Svg,
    Format::Png,
];

/// Every word of the pages.
fn words(pages: &[Page]) -> String {
    let mut all = String::new();
    for mark in pages.iter().flat_map(|p| &p.marks) {
        if let What::Words { words, .. } = &mark.what {
            all += words;
            all.push(' ');
        }
    }
    all
}

/// That nothing reaches over the edges, and how many drawings there are.
fn inside(what: &str, (content, pages): &(Content, Vec<Page>), sheet: &Sheet) -> usize {
    let mut figures = 0;
    for (n, page) in pages.iter().enumerate() {
        for mark in &page.marks {
            let (wide, above, below) = match &mark.what {
                What::Words {
                    words,
                    size,
                    weight,
                    ..
                } => (width(words, *size, *weight), *size, size * 0.3),
                What::Rule { long } => (*long, 0.0, 0.0),
                What::Figure { scale } => {
                    figures += 1;
                    let Some(Block::Figure { wide, high, .. }) = content
                        .groups
                        .get(mark.block.0)
                        .and_then(|g| g.get(mark.block.1))
                    else {
                        panic!("{what}: a drawing of no block");
                    };
                    assert!(
                        *scale > 0.3,
                        "{what}: a drawing made {scale} times as large"
                    );
                    (wide * scale, 0.0, high * scale)
                }
            };
            let place = format!("{what}, page {}: {mark:?}", n + 1);
            assert!(
                mark.x >= 39.9 && mark.x + wide <= sheet.wide - 39.9,
                "{place}"
            );
            let bottom = if mark.role == Role::Nothing {
                20.0
            } else {
                45.0
            };
            assert!(mark.y - above >= 20.0, "{place}");
            assert!(mark.y + below <= page.high - bottom + 0.1, "{place}");
        }
    }
    figures
}

#[test]
fn nothing_is_cut_by_the_edge_of_a_page_and_every_page_says_who_and_which_days() {
    for (name, record) in states() {
        let (content, _) = laid(&record, "Marit Oakfell", &A4);
        let blocks = content.groups.iter().flatten();
        let figures = blocks.filter(|b| matches!(b, Block::Figure { .. })).count();
        for sheet in [A4, LETTER, TALL] {
            let laid = laid(&record, "Marit Oakfell", &sheet);
            let drawn = inside(name, &laid, &sheet);
            assert!(drawn >= 1 && (sheet != A4 || drawn == figures), "{name}");
            let of = laid.1.len();
            for (n, page) in laid.1.iter().enumerate() {
                let words = words(std::slice::from_ref(page));
                assert!(words.contains("Marit Oakfell, born 9 Mar 1951, SP-0417"));
                assert!(words.contains(&record.period.words()), "{name}");
                assert!(words.contains("Made Fri 20 Nov 2026, 16:05"), "{name}");
                let number = format!("page {} of {of}", n + 1);
                assert_eq!(words.contains(&number), sheet != TALL, "{name}");
            }
            let all = words(&laid.1);
            let squeezed: String = all.split_whitespace().collect();
            for said in CAUTIONS_AND_SOURCES {
                let said: String = said.split_whitespace().collect();
                assert!(squeezed.contains(&said), "{name}: {said}");
            }
        }
    }
}

const CAUTIONS_AND_SOURCES: [&str; 3] = [
    "Left and right are the person's.",
    "A gap is a day without a record, not a day without an injection.",
    "Spacing 1 cm and rest of 28 days: Hirsch & Strauss 2019.",
];

#[test]
fn every_state_makes_every_kind_of_file() {
    for (name, record) in states() {
        for format in ALL {
            let made = made(&record, "Marit Oakfell", format);
            match format {
                Format::Pdf(_) => {
                    assert!(made.bytes.starts_with(b"%PDF-1.7"), "{name}");
                    let has = |what: &[u8]| made.bytes.windows(what.len()).any(|w| w == what);
                    // The library refuses to write this claim where what it can check does not hold.
                    assert!(has(b"pdfuaid:part"), "{name}: not PDF/UA");
                    assert!(made.pages >= 2, "{name}");
                }
                Format::Svg => {
                    let text = String::from_utf8(made.bytes).unwrap();
                    let document = roxmltree::Document::parse(&text).unwrap();
                    for node in document.descendants() {
                        assert!(node.attribute("style").is_none(), "{name}");
                        let tag = node.tag_name().name();
                        assert!(!["style", "script", "image"].contains(&tag), "{name}");
                    }
                }
                Format::Png => {
                    assert!(made.bytes.starts_with(b"\x89PNG\r\n\x1a\n"), "{name}");
                    assert_eq!(made.bytes[16..20], 1600_u32.to_be_bytes(), "{name}");
                }
            }
        }
    }
}

#[test]
fn the_same_facts_give_the_same_bytes_and_another_moment_others() {
    let record = state("full");
    for format in ALL {
        let once = made(&record, "Marit Oakfell", format);
        assert_eq!(once, made(&record, "Marit Oakfell", format), "{format:?}");
        let later = About {
            made: DateTime::parse_from_rfc3339("2026-11-20T16:06:00+01:00").unwrap(),
            ..about("Marit Oakfell")
        };
        let go_on = &mut |_, _| ControlFlow::Continue(());
        let later = record.with(|facts| make(facts, &later, format, go_on));
        assert_ne!(once.bytes, later.unwrap().bytes, "{format:?}");
    }
}

#[test]
fn progress_counts_the_pages_and_a_break_ends_it_there() {
    let record = state("full");
    let mut asked = Vec::new();
    let note = &mut |done, of| {
        asked.push((done, of));
        ControlFlow::Continue(())
    };
    let format = Format::Pdf(Paper::Letter);
    let done = record.with(|facts| make(facts, &about("Marit Oakfell"), format, note));
    let pages = done.unwrap().pages;
    let expected: Vec<_> = (0..=pages).map(|n| (n, pages)).collect();
    assert_eq!(asked, expected);
    assert!(pages >= 3);
    for (format, last) in [(format, 2), (Format::Svg, 0), (Format::Png, 0)] {
        let mut asked = 0;
        let stop = &mut |done, _| {
            asked += 1;
            if done == last {
                ControlFlow::Break(())
            } else {
                ControlFlow::Continue(())
            }
        };
        let done = record.with(|facts| make(facts, &about("Marit Oakfell"), format, stop));
        assert_eq!(done, Err(Stopped::Cancelled));
        assert_eq!(asked, last + 1, "nothing is asked after a break");
    }
}

#[test]
fn a_name_in_letters_that_cannot_be_printed_is_said_and_claims_nothing() {
    let record = state("one");
    let name = "Ирина Oakfell";
    let pages = laid(&record, name, &A4).1;
    assert!(words(&pages).contains("5 letters on this sheet could not be printed and are boxes."));
    for format in ALL {
        let made = made(&record, name, format);
        let has = |what: &[u8]| made.bytes.windows(what.len()).any(|w| w == what);
        assert!(!has(b"pdfuaid:part"), "{format:?}");
    }
}

#[test]
fn a_grid_higher_than_a_page_goes_on_and_keeps_every_row() {
    let mut record = Record::of(daily("2026-09-01", 81), "2026-09-01", "2026-11-20");
    record.recorder = Some(|n| format!("Nurse {n:02} Brannock"));
    for sheet in [A4, LETTER] {
        let laid = laid(&record, "Marit Oakfell", &sheet);
        inside("many recorders", &laid, &sheet);
        let parts: Vec<&String> = laid
            .0
            .groups
            .iter()
            .flatten()
            .filter_map(|b| match b {
                Block::Figure { svg, .. } if svg.contains("recorders") => Some(svg),
                _ => None,
            })
            .collect();
        assert!(parts.len() >= 2, "{}", parts.len());
        for n in 0..81 {
            let name = format!(">Nurse {n:02} Brannock</text>");
            let found = parts.iter().filter(|svg| svg.contains(&name)).count();
            assert_eq!(found, 1, "{name}");
        }
    }
}

#[test]
fn a_table_longer_than_a_page_goes_on_with_its_headings_again() {
    let rows = (0..140).map(|n| vec![n.to_string(), "a".into()]).collect();
    let table = crate::Table {
        caption: "long".into(),
        columns: vec!["Number".into(), "Letter".into()],
        rows,
    };
    let (mut content, _) = laid(&state("nothing"), "Marit Oakfell", &A4);
    content.groups = vec![vec![Block::Table(table)]];
    let pages = lay(&content, &A4);
    assert!(pages.len() >= 2);
    for page in &pages {
        let words = words(std::slice::from_ref(page));
        assert!(words.contains("Number Letter"));
    }
    let cells = pages.iter().flat_map(|p| &p.marks);
    let cells = cells.filter(|m| matches!(m.role, Role::Cell(..))).count();
    assert_eq!(cells, 141 * 2, "headings again are for the eye only");
}
