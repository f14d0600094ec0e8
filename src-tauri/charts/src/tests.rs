//! Series and drawings of every state a record can be in: nothing, one, all on one day, ten years, no points, no numbers.

use chrono::{Days, NaiveDate};
use fallow_core::measures::{Period, Question, measure};
use fallow_core::medicines::Book;
use fallow_core::person::Sizes;
use fallow_core::rules::Past;
use fallow_core::site::{Point, Quadrant, Site, Zone};
use fallow_core::skin::{Feel, FindingKind, Look, Noticed, Place, Seen};

use super::*;
use crate::draw::{Colours, axis};

fn day(text: &str) -> NaiveDate {
    text.parse().unwrap()
}

fn noon(day: NaiveDate) -> DateTime<FixedOffset> {
    day.and_hms_opt(12, 0, 0).unwrap().and_utc().fixed_offset()
}

fn past(n: usize, day: NaiveDate, point: Option<(f64, f64)>) -> Past {
    let point = point.map(|(across_cm, up_cm)| Point { across_cm, up_cm });
    Past {
        id: format!("{n:06}"),
        medicine: "insulin-glargine-100".into(),
        class: "insulin".into(),
        site: Site {
            zone: Zone::Abdomen,
            quadrant: Quadrant::LeftLower,
            point,
        },
        given_at: noon(day),
    }
}

/// A record and the period it is looked at for.
pub(crate) struct Record {
    past: Vec<Past>,
    /// Who recorded which injection; one person all of them when absent.
    pub(crate) recorder: Option<fn(usize) -> String>,
    courses: Vec<Course>,
    glucose: Vec<GlucosePoint>,
    slots: Vec<(NaiveDate, Came)>,
    pub(crate) period: Period,
    before: Option<Period>,
}

impl Record {
    pub(crate) fn of(past: Vec<Past>, from: &str, to: &str) -> Self {
        Self {
            past,
            recorder: None,
            courses: Vec::new(),
            glucose: Vec::new(),
            slots: Vec::new(),
            period: Period {
                from: day(from),
                to: day(to),
            },
            before: None,
        }
    }

    pub(crate) fn with<T>(&self, ask: impl FnOnce(&Facts<'_>) -> T) -> T {
        let (body, history) = (Body::of(&Sizes::default()), History::new(self.past.clone()));
        let measured = |period| {
            measure(&Question {
                body: &body,
                history: &history,
                book: Book::shipped(),
                allowed: &[],
                period,
                seed: 1,
            })
        };
        let (now, before) = (measured(self.period), self.before.map(measured));
        let recorders: Vec<_> = self
            .past
            .iter()
            .enumerate()
            .map(|(n, p)| {
                let one = || "Marit <Oakfell> & Co".to_owned();
                (p.id.clone(), self.recorder.map_or_else(one, |by| by(n)))
            })
            .collect();
        ask(&Facts {
            period: self.period,
            before: self.before,
            body: &body,
            history: &history,
            recorders: &recorders,
            courses: &self.courses,
            glucose: &self.glucose,
            mg_per_dl: false,
            low: Some((4.0, "JBDS 01")),
            slots: &self.slots,
            measures: &now,
            measures_before: before.as_ref(),
            rules: (1.0, 28.0, "Hirsch & Strauss 2019"),
            at: noon(self.period.to),
        })
    }

    fn drawn(&self, width: u16) -> Vec<Drawing> {
        self.with(|facts| drawings(facts, width, Theme::Light))
    }
}

/// One injection a day for so many days, going round a small circle of places.
pub(crate) fn daily(from: &str, days: u64) -> Vec<Past> {
    (0..days)
        .map(|n| {
            let turn = n as f64 * 0.7;
            let point = (6.0 + 3.0 * turn.cos(), -4.0 + 2.5 * turn.sin());
            past(n as usize, day(from) + Days::new(n), Some(point))
        })
        .collect()
}

fn lump() -> Course {
    let centre = Point {
        across_cm: 6.0,
        up_cm: -4.0,
    };
    let looks = [("2026-09-10", 11.0), ("2026-10-20", 14.0)].map(|(when, half_mm)| Look {
        id: when.into(),
        at: noon(day(when)),
        by: "Nurse".into(),
        seen: Seen::There {
            place: Place::ellipse(centre, half_mm / 10.0, 0.8, 0.0).unwrap(),
            noticed: Noticed::Felt,
            feel: Some(Feel::Firm),
        },
        note: None,
    });
    let margin = FindingKind::Lump.usual_margin().clone();
    Course::new(
        "2026-09-10".into(),
        FindingKind::Lump,
        Zone::Abdomen,
        margin,
        None,
        looks.to_vec(),
    )
    .unwrap()
}

pub(crate) fn states() -> Vec<(&'static str, Record)> {
    let of = |past| Record::of(past, "2026-09-01", "2026-11-20");
    let mut full = of(daily("2026-06-01", 170));
    full.courses.push(lump());
    full.before = Some(Period {
        from: day("2026-06-12"),
        to: day("2026-08-31"),
    });
    full.glucose = (0..60)
        .map(|n| GlucosePoint {
            at: noon(day("2026-09-01") + Days::new(n)),
            mmol_per_l: 3.5 + (n % 9) as f64,
        })
        .collect();
    full.slots = (0..81)
        .map(|n| {
            let came = [
                Came::Given,
                Came::Given,
                Came::Given,
                Came::NotGiven,
                Came::NoRecord,
            ];
            (day("2026-09-01") + Days::new(n), came[n as usize % 5])
        })
        .collect();
    let mut odd = of(vec![past(
        0,
        day("2026-10-01"),
        Some((f64::NAN, f64::INFINITY)),
    )]);
    odd.glucose.push(GlucosePoint {
        at: noon(day("2026-10-01")),
        mmol_per_l: f64::NAN,
    });
    let one_day = (0..5)
        .map(|n| past(n, day("2026-10-01"), Some((5.0 + n as f64, -4.0))))
        .collect();
    let unplaced = (0..20)
        .map(|n| past(n, day("2026-10-01") + Days::new(n as u64), None))
        .collect();
    let mut only_now = of(daily("2026-10-01", 30));
    only_now.before = Some(Period {
        from: day("2026-06-12"),
        to: day("2026-08-31"),
    });
    vec![
        ("nothing", of(Vec::new())),
        (
            "one",
            of(vec![past(0, day("2026-10-01"), Some((5.0, -4.0)))]),
        ),
        ("all on one day", of(one_day)),
        (
            "a period of one day",
            Record::of(daily("2026-09-01", 40), "2026-09-20", "2026-09-20"),
        ),
        ("only quadrants", of(unplaced)),
        ("no numbers", odd),
        ("full", full),
        (
            "ten years",
            Record::of(daily("2016-11-20", 3650), "2016-11-20", "2026-11-20"),
        ),
        ("nothing before", only_now),
    ]
}

#[test]
fn every_state_of_a_record_is_drawn_or_says_why_not_at_every_width() {
    for (name, record) in states() {
        for width in [0, 328, 720, 5000] {
            let drawings = record.drawn(width);
            assert_eq!(drawings.len(), 9);
            for d in drawings {
                let what = format!("{name}, {}, {width}", d.key);
                assert!(!d.description.is_empty(), "{what}");
                for row in &d.table.rows {
                    assert_eq!(row.len(), d.table.columns.len(), "{what}: {row:?}");
                }
                let text = format!("{d:?}");
                assert!(
                    !text.contains("NaN") && !text.contains("inf\"") && !text.contains("inf "),
                    "{what}"
                );
                let Some(svg) = d.svg else {
                    assert!(
                        !d.notes.is_empty(),
                        "{what}: nothing drawn and nothing said"
                    );
                    continue;
                };
                let document =
                    roxmltree::Document::parse(&svg).unwrap_or_else(|e| panic!("{what}: {e}"));
                let root = document.root_element();
                assert_eq!(root.attribute("role"), Some("img"), "{what}");
                let part = |tag: &str| {
                    let found = root.children().find(|c| c.tag_name().name() == tag);
                    found.and_then(|c| c.text().map(str::to_owned))
                };
                assert_eq!(part("title").as_deref(), Some(d.title), "{what}");
                assert_eq!(
                    part("desc").as_deref(),
                    Some(d.description.as_str()),
                    "{what}"
                );
                for node in document.descendants() {
                    assert!(node.attribute("style").is_none(), "{what}: a style");
                    assert!(
                        !["style", "script", "image", "foreignObject"]
                            .contains(&node.tag_name().name()),
                        "{what}"
                    );
                    if let Some(size) = node.attribute("font-size").filter(|_| d.key != "body") {
                        let size: f64 = size.trim_end_matches("px").parse().unwrap();
                        assert!(size >= 12.0, "{what}: text of {size}");
                    }
                }
            }
        }
    }
}

#[test]
fn text_is_twelve_pixels_or_more_at_the_width_of_a_phone() {
    let (_, full) = states().swap_remove(6);
    for d in full.drawn(328) {
        let svg = d.svg.unwrap();
        let document = roxmltree::Document::parse(&svg).unwrap();
        for node in document
            .descendants()
            .filter(|n| n.tag_name().name() == "text")
        {
            let scale: f64 = node
                .ancestors()
                .filter_map(|a| a.attribute("transform"))
                .filter_map(|t| {
                    t.split("scale(")
                        .nth(1)?
                        .trim_end_matches(')')
                        .parse::<f64>()
                        .ok()
                })
                .product();
            let size: f64 = node
                .attribute("font-size")
                .unwrap()
                .trim_end_matches("px")
                .parse()
                .unwrap();
            assert!(size * scale >= 11.9, "{}: {size} at {scale}", d.key);
        }
    }
}

#[test]
fn the_guard_of_every_axis_gives_a_range_that_can_be_drawn_on() {
    for (values, marks) in [
        (vec![], vec![]),
        (vec![f64::NAN, f64::INFINITY, f64::NEG_INFINITY], vec![]),
        (vec![3.0, 3.0], vec![]),
        (vec![0.0], vec![]),
        (vec![-5.0, 2.0], vec![28.0]),
        (vec![1e300], vec![1.0]),
    ] {
        let range = axis::numbers(values.clone(), &marks);
        assert!(
            range.start.is_finite() && range.end.is_finite(),
            "{values:?}"
        );
        assert!(range.start < range.end, "{values:?}");
        for v in values
            .iter()
            .chain(&marks)
            .filter(|v| v.is_finite() && v.abs() < 1e12)
        {
            assert!(range.contains(v), "{values:?}");
        }
    }
    let days = |from: &str, to: &str| {
        axis::days(Period {
            from: day(from),
            to: day(to),
        })
    };
    assert_eq!(days("2026-01-01", "2026-01-01"), -0.5..0.5);
    assert_eq!(
        days("2026-01-02", "2026-01-01"),
        -0.5..0.5,
        "reversed is one day"
    );
}

#[test]
fn series_count_what_is_there_and_say_what_is_left_out() {
    let record = Record::of(
        vec![
            past(0, day("2026-09-01"), Some((5.0, -4.0))),
            past(1, day("2026-09-02"), Some((5.6, -4.0))),
            past(2, day("2026-09-03"), None),
            past(3, day("2026-09-29"), Some((5.0, -4.8))),
            past(4, day("2026-11-20"), Some((5.0, -4.0))),
        ],
        "2026-09-02",
        "2026-11-20",
    );
    record.with(|facts| {
        let near = series::nearest(facts, facts.period);
        let values: Vec<f64> = near
            .points
            .iter()
            .map(|p| (p.value * 100.0).round() / 100.0)
            .collect();
        // On 29 Sep the first is 28 days back and no longer counts: the second, 0.6 across and 0.8 down, does.
        assert_eq!(values, [0.6, 1.0]);
        assert_eq!((near.unplaced, near.first), (1, 1));
        let rest = series::rested(facts, facts.period);
        let days: Vec<f64> = rest.points.iter().map(|p| p.value).collect();
        // 1 Sep to 2 Sep; 29 Sep is 0.8 cm from 1 Sep; 20 Nov is 0.8 cm from 29 Sep.
        assert_eq!(days, [1.0, 28.0, 52.0]);
        let weeks = series::by_week_and_quadrant(facts, facts.period);
        assert_eq!(
            weeks[&(Zone::Abdomen, Quadrant::LeftLower)]
                .values()
                .sum::<usize>(),
            4
        );
    });
    assert_eq!(
        series::week_of(day("2026-11-22")),
        day("2026-11-16"),
        "a Sunday is the end of a week"
    );
    assert_eq!(grouped(1109), "1,109");
    assert_eq!(grouped(12), "12");
    // 3.9 mmol/L are 70 mg/dL (ADA level 1).
    assert!((series::in_unit(3.9, true) - 70.0).abs() < 0.5);
}

#[test]
fn two_periods_stand_on_the_same_axis() {
    let (_, full) = states().swap_remove(6);
    let one = full.drawn(720);
    let spacing = one.iter().find(|d| d.key == "spacing").unwrap();
    let svg = spacing.svg.as_ref().unwrap();
    let label = |text: &str| svg.matches(text).count();
    assert_eq!(
        label("0 cm\n") % 2,
        0,
        "each label of the axis stands in both panels"
    );
    assert!(label("spacing 1 cm") == 2);
}

#[test]
fn a_count_has_the_same_ink_in_both_periods() {
    let (_, mut full) = states().swap_remove(6);
    // One injection a week in the period, seven a week before it: one must not look like seven.
    full.past
        .retain(|p| p.day() < day("2026-09-01") || series::week_of(p.day()) == p.day());
    for width in [328, 720] {
        let all = full.drawn(width);
        let weeks = all.iter().find(|d| d.key == "weeks").unwrap();
        let svg = weeks.svg.as_ref().unwrap();
        let document = roxmltree::Document::parse(svg).unwrap();
        let cells = document
            .descendants()
            .filter(|n| n.tag_name().name() == "rect" && n.attribute("height") == Some("24"));
        let mut fill_of: std::collections::BTreeMap<String, std::collections::BTreeSet<String>> =
            std::collections::BTreeMap::new();
        let mut wide = std::collections::BTreeSet::new();
        for cell in cells {
            wide.insert(cell.attribute("width").unwrap().to_owned());
            let Some(number) = cell.next_sibling().filter(|n| {
                n.tag_name().name() == "text" && n.attribute("text-anchor") == Some("middle")
            }) else {
                continue;
            };
            fill_of
                .entry(number.text().unwrap().to_owned())
                .or_default()
                .insert(cell.attribute("fill").unwrap().to_owned());
        }
        assert_eq!(wide.len(), 1, "cells are as wide in both");
        assert!(fill_of.contains_key("1") && fill_of.contains_key("7"));
        for (number, fills) in &fill_of {
            assert_eq!(fills.len(), 1, "{number}: {fills:?}");
        }
        assert_ne!(fill_of["1"], fill_of["7"]);
    }
}

#[test]
fn no_words_of_a_drawing_reach_over_its_edge() {
    use crate::face::{Weight, width};
    for (name, record) in states() {
        for wide in [280, 328, 390, 560, 687, 1200] {
            for d in record.drawn(wide) {
                let Some(svg) = d.svg else { continue };
                let document = roxmltree::Document::parse(&svg).unwrap();
                for node in document.descendants().filter(|n| {
                    n.tag_name().name() == "text"
                        && n.parent_element() == Some(document.root_element())
                }) {
                    let number = |name: &str| -> f64 {
                        let text = node.attribute(name).unwrap();
                        text.trim_end_matches("px").parse().unwrap()
                    };
                    let words = node.text().unwrap_or_default().trim();
                    let long = width(words, number("font-size"), Weight::Regular);
                    let (left, right) = match node.attribute("text-anchor") {
                        Some("end") => (number("x") - long, number("x")),
                        Some("middle") => (number("x") - long / 2.0, number("x") + long / 2.0),
                        _ => (number("x"), number("x") + long),
                    };
                    let what = format!("{name}, {}, {wide}: {words:?} {left} to {right}", d.key);
                    // A name of a day may lean over the last pixel of the margin, never over the drawing.
                    assert!(left >= 0.0 && right <= f64::from(wide), "{what}");
                }
            }
        }
    }
}

/// Contrast by the formula of WCAG 2.2 (relative luminance, 1.4.3).
#[test]
fn text_and_marks_stand_out_from_what_they_are_on() {
    let part = |c: u8| {
        let c = f64::from(c) / 255.0;
        if c <= 0.04045 {
            c / 12.92
        } else {
            ((c + 0.055) / 1.055).powf(2.4)
        }
    };
    let light = |c: plotters::prelude::RGBColor| {
        0.2126 * part(c.0) + 0.7152 * part(c.1) + 0.0722 * part(c.2)
    };
    let contrast = |a, b| {
        let (a, b) = (light(a), light(b));
        (f64::max(a, b) + 0.05) / (f64::min(a, b) + 0.05)
    };
    for theme in [Theme::Light, Theme::Dark, Theme::Print] {
        let c = Colours::of(theme);
        for text in [c.ink, c.soft, c.limit] {
            assert!(contrast(text, c.ground) >= 4.5, "{theme:?} {text:?}");
        }
        assert!(contrast(c.accent, c.ground) >= 3.0);
        for (step, on) in c.steps.into_iter().zip(c.on_steps) {
            assert!(contrast(step, on) >= 4.5, "{theme:?} {step:?}");
        }
    }
}

#[test]
fn ten_years_take_no_more_than_what_a_screen_waits_for() {
    // No time is measured here; that nothing grows with the square of the record is: the drawings stay small.
    let (_, record) = states().swap_remove(7);
    for d in record.drawn(720) {
        let size = d.svg.map_or(0, |s| s.len());
        assert!(size < 2_000_000, "{}: {size}", d.key);
    }
}
