//! Suggestions: that they are clear, where the pattern asks, deterministic, and honest where nothing is left.

use super::*;
use crate::body::Body;
use crate::medicines::Book;
use crate::person::Sizes;
use crate::rules::{History, Past};
use crate::site::{Point, Quadrant};

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

struct Setting {
    body: Body,
    past: Vec<Past>,
    zones: Vec<Zone>,
    medicine: &'static str,
    self_given: bool,
    per_day: f64,
}

impl Setting {
    fn new(medicine: &'static str) -> Self {
        let body = Body::of(&Sizes::default());
        Self {
            body,
            past: Vec::new(),
            zones: Vec::new(),
            medicine,
            self_given: true,
            per_day: 1.0,
        }
    }

    fn add(&mut self, site: Site, when: DateTime<FixedOffset>) {
        let class = Book::shipped()
            .medicine(self.medicine)
            .unwrap()
            .class
            .clone();
        let id = format!("{:05}", self.past.len());
        self.past.push(Past {
            id,
            medicine: self.medicine.to_owned(),
            class,
            site,
            given_at: when,
        });
    }

    fn suggest(&self, when: DateTime<FixedOffset>, count: usize) -> Suggestions {
        let history = History::new(self.past.clone());
        let book = Book::shipped();
        let skin = Skin {
            findings: &[],
            body: &self.body,
            history: &history,
            book,
            navel_margin_cm: 2.5,
        };
        let wish = Wish {
            at: when,
            medicine: book.medicine(self.medicine).unwrap(),
            self_given: self.self_given,
            from: "2026-06-01".parse().unwrap(),
            zones: &self.zones,
            count,
            per_day: self.per_day,
        };
        suggest(&wish, &skin)
    }
}

const INSULIN: &str = "insulin-glargine-100";

#[test]
fn the_week_has_its_quadrant_and_all_suggestions_are_in_it_and_apart() {
    let setting = Setting::new(INSULIN);
    for (day, quadrant) in [
        ("2026-06-03", Quadrant::RightUpper),
        ("2026-06-08", Quadrant::LeftUpper),
        ("2026-06-15", Quadrant::LeftLower),
        ("2026-06-22", Quadrant::RightLower),
        ("2026-06-29", Quadrant::RightUpper),
    ] {
        let answer = setting.suggest(at(&format!("{day}T08:00:00+01:00")), 5);
        assert_eq!(answer.sites.len(), 5);
        assert_eq!(answer.note, None);
        for (i, s) in answer.sites.iter().enumerate() {
            assert_eq!(
                (s.site.zone, s.site.quadrant),
                (Zone::Abdomen, quadrant),
                "{day}"
            );
            assert!(s.reasons.is_empty());
            for other in &answer.sites[..i] {
                assert!(s.site.point.unwrap().distance_cm(other.site.point.unwrap()) >= 1.0);
            }
        }
    }
    assert_eq!(
        setting
            .suggest(at("2026-06-15T08:00:00+01:00"), 1)
            .pattern_words,
        "This week: abdomen, left lower quadrant (week 3 of 4)."
    );
}

#[test]
fn four_a_day_for_a_year_never_breaks_spacing_or_rest() {
    // 4 a day for 28 days is 112 sites (arithmetic); checked here by a loop of its own over every pair.
    let mut setting = Setting::new(INSULIN);
    let start = at("2026-06-01T08:00:00+01:00");
    for dose in 0..4 * 120_i64 {
        let when = start + chrono::Duration::hours(dose / 4 * 24 + dose % 4 * 4);
        let answer = setting.suggest(when, 1);
        let first = answer.sites.first().expect("there is room");
        assert!(first.reasons.is_empty(), "dose {dose}: {:?}", first.reasons);
        let site = first.site;
        for past in &setting.past {
            let rested = (when.date_naive() - past.given_at.date_naive()).num_days();
            if rested < 28 && past.site.zone == site.zone {
                let apart = past.site.point.unwrap().distance_cm(site.point.unwrap());
                assert!(
                    apart >= 1.0 - 1e-9,
                    "dose {dose}: {apart} cm after {rested} days"
                );
            }
        }
        setting.add(site, when);
    }
}

#[test]
fn the_same_record_gives_the_same_answer_in_whatever_order_it_arrives() {
    let mut setting = Setting::new(INSULIN);
    for i in 0..20_i32 {
        let p = Point {
            across_cm: f64::from(i % 5) - 8.0,
            up_cm: f64::from(i / 5) + 1.0,
        };
        setting.add(
            Site {
                zone: Zone::Abdomen,
                quadrant: Quadrant::RightUpper,
                point: Some(p),
            },
            at("2026-06-02T08:00:00+01:00"),
        );
    }
    let one = setting.suggest(at("2026-06-03T08:00:00+01:00"), 5);
    setting.past.reverse();
    assert_eq!(one, setting.suggest(at("2026-06-03T08:00:00+01:00"), 5));
}

#[test]
fn quadrants_used_lately_but_known_only_as_such_are_passed_over_with_a_note() {
    let mut setting = Setting::new(INSULIN);
    let quadrant_only = |q| Site {
        zone: Zone::Abdomen,
        quadrant: q,
        point: None,
    };
    setting.add(
        quadrant_only(Quadrant::RightUpper),
        at("2026-06-02T08:00:00+01:00"),
    );
    let answer = setting.suggest(at("2026-06-03T08:00:00+01:00"), 2);
    assert_eq!(answer.sites[0].site.quadrant, Quadrant::LeftUpper);
    assert!(answer.note.unwrap().contains("right upper quadrant"));
}

#[test]
fn where_nothing_is_clear_the_least_bad_come_with_their_reasons_and_a_note() {
    let mut setting = Setting::new("enoxaparin");
    for q in Zone::Abdomen.quadrants() {
        let site = Site {
            zone: Zone::Abdomen,
            quadrant: q,
            point: None,
        };
        setting.add(site, at("2026-06-02T08:00:00+01:00"));
    }
    let answer = setting.suggest(at("2026-06-03T08:00:00+01:00"), 3);
    assert_eq!(answer.sites.len(), 3);
    assert!(answer.sites.iter().all(|s| !s.reasons.is_empty()));
    assert!(answer.note.unwrap().contains("No place is clear"));
}

#[test]
fn each_pattern_goes_where_it_asks() {
    let run = |medicine, gap_days: i64, doses: i64| {
        let mut setting = Setting::new(medicine);
        setting.self_given = false;
        let mut used = Vec::new();
        for i in 0..doses {
            let when = at("2026-06-01T08:00:00+01:00") + chrono::Duration::days(i * gap_days);
            let answer = setting.suggest(when, 1);
            assert!(
                answer.sites[0].reasons.is_empty(),
                "{medicine} {i}: {:?}",
                answer.sites[0].reasons
            );
            used.push(answer.sites[0].site);
            setting.add(answer.sites[0].site, when);
        }
        used
    };
    // Glatiramer daily: seven areas, none twice in any seven days (package leaflet).
    let glatiramer = run("glatiramer", 1, 21);
    for week in glatiramer.windows(7) {
        let mut zones: Vec<_> = week.iter().map(|s| s.zone).collect();
        zones.sort_unstable();
        zones.dedup();
        assert_eq!(zones.len(), 7);
    }
    let left = |s: &Site| crate::rules::side_of(s) == crate::site::Side::Left;
    let enoxaparin = run("enoxaparin", 1, 20);
    assert!(enoxaparin.windows(2).all(|w| left(&w[0]) != left(&w[1])));
    let interferon = run("interferon-beta-1b", 2, 20);
    assert!(interferon.windows(2).all(|w| w[0].zone != w[1].zone));
}

#[test]
fn the_persons_own_zones_are_used_and_a_helper_is_not_assumed() {
    let mut setting = Setting::new(INSULIN);
    setting.zones = vec![Zone::LeftThigh, Zone::RightThigh];
    let zones: Vec<_> = (0..4)
        .map(|week| {
            let when = at("2026-06-01T08:00:00+01:00") + chrono::Duration::weeks(week);
            let answer = setting.suggest(when, 1);
            (
                answer.sites[0].site.zone,
                answer.sites[0].site.quadrant.is_upper(),
            )
        })
        .collect();
    assert_eq!(
        zones,
        [
            (Zone::LeftThigh, true),
            (Zone::RightThigh, true),
            (Zone::LeftThigh, false),
            (Zone::RightThigh, false)
        ]
    );
    setting.zones = vec![Zone::LeftArm];
    let answer = setting.suggest(at("2026-06-03T08:00:00+01:00"), 1);
    assert_eq!(answer.sites[0].site.zone, Zone::Abdomen);
    assert!(answer.note.is_some());
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(40))]
    #[test]
    fn a_suggestion_without_a_note_is_always_clear(
        points in proptest::collection::vec((-14.0_f64..14.0, -12.0_f64..7.0, 0_i64..35), 0..120),
        day in 0_i64..60,
    ) {
        let mut setting = Setting::new(INSULIN);
        let now = at("2026-06-20T08:00:00+01:00") + chrono::Duration::days(day);
        let patch_quadrant = |p: Point, b: &Body| b.patch(Zone::Abdomen).quadrant_of(p);
        for (x, y, d) in points {
            let p = Point { across_cm: x, up_cm: y };
            let quadrant = patch_quadrant(p, &setting.body);
            setting.add(Site { zone: Zone::Abdomen, quadrant, point: Some(p) }, now - chrono::Duration::days(d));
        }
        let answer = setting.suggest(now, 5);
        proptest::prop_assert!(answer.sites.iter().all(|s| s.reasons.is_empty()) || answer.note.is_some());
        proptest::prop_assert!(!answer.sites.is_empty());
    }
}
