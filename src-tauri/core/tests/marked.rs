//! What is marked on the skin, from the check of a site to the plan of weeks: nothing goes into it.
#![allow(clippy::unwrap_used, clippy::pedantic, missing_docs)]

use chrono::{DateTime, Duration, FixedOffset, NaiveDate};
use fallow_core::body::Body;
use fallow_core::leaving_lump::leaving;
use fallow_core::marked::distance_cm;
use fallow_core::medicines::{Book, Medicine};
use fallow_core::person::Sizes;
use fallow_core::plan::weeks::{PlanOrder, PlanWish, Slot, plan};
use fallow_core::rules::{History, Level, Past, Proposal, Reason, Skin, check};
use fallow_core::site::{Point, Quadrant, Site, Zone};
use fallow_core::skin::{Feel, Finding, FindingKind, Noticed, Place};
use fallow_core::suggest::{Suggestions, Wish, suggest};
use proptest::prelude::*;

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

const NOON: &str = "2026-06-03T12:00:00+01:00";

fn insulin() -> &'static Medicine {
    Book::shipped().medicine("insulin-glargine-100").unwrap()
}

fn finding(kind: FindingKind, zone: Zone, place: Place) -> Finding {
    Finding {
        id: format!("{kind:?}"),
        kind,
        zone,
        place,
        margin_cm: kind.usual_margin().clone(),
        noticed: Noticed::Felt,
        feel: (kind == FindingKind::Lump).then_some(Feel::Firm),
        found_on: NaiveDate::from_ymd_opt(2026, 5, 3).unwrap(),
    }
}

fn round(across_cm: f64, up_cm: f64, half_cm: f64) -> Place {
    Place::ellipse(Point { across_cm, up_cm }, half_cm, half_cm, 0.0).unwrap()
}

fn site(across_cm: f64, up_cm: f64) -> Site {
    let point = Point { across_cm, up_cm };
    Site {
        zone: Zone::Abdomen,
        quadrant: Body::of(&Sizes::default())
            .patch(Zone::Abdomen)
            .quadrant_of(point),
        point: Some(point),
    }
}

fn past(site: Site, when: &str) -> Past {
    Past {
        id: when.to_owned(),
        medicine: insulin().id.clone(),
        class: insulin().class.clone(),
        site,
        given_at: at(when),
    }
}

fn with<T>(past: Vec<Past>, findings: &[Finding], ask: impl FnOnce(&Skin<'_>) -> T) -> T {
    let (body, history) = (Body::of(&Sizes::default()), History::new(past));
    ask(&Skin {
        body: &body,
        history: &history,
        book: Book::shipped(),
        navel_margin_cm: 2.5,
        findings,
    })
}

fn reasons(site: Site, findings: &[Finding]) -> Vec<Reason> {
    let proposal = Proposal {
        site,
        at: at(NOON),
        medicine: insulin(),
        self_given: true,
    };
    with(Vec::new(), findings, |skin| check(&proposal, skin))
}

fn suggested(findings: &[Finding], past: Vec<Past>) -> Suggestions {
    let wish = Wish {
        at: at(NOON),
        medicine: insulin(),
        self_given: true,
        from: "2026-06-01".parse().unwrap(),
        zones: &[Zone::Abdomen],
        count: 5,
        per_day: 2.0,
    };
    with(past, findings, |skin| suggest(&wish, skin))
}

#[test]
fn a_point_in_a_finding_or_within_its_margin_is_avoided_and_says_how_near() {
    let lump = finding(FindingKind::Lump, Zone::Abdomen, round(6.0, -4.0, 1.0));
    let sensor = finding(FindingKind::Sensor, Zone::Abdomen, round(6.0, -4.0, 1.0));
    for (finding, across, expected) in [
        (
            &lump,
            6.5,
            Some("This is in the firm lump marked on 3 May 2026. Leave it alone."),
        ),
        (&lump, 7.5, None),
        (
            &sensor,
            8.0,
            Some("1 cm from the sensor marked on 3 May 2026; at least 2.5 cm is asked."),
        ),
        (&sensor, 9.6, None),
    ] {
        let found = reasons(site(across, -4.0), std::slice::from_ref(finding));
        assert_eq!(
            found.first().map(|r| r.words.as_str()),
            expected,
            "{across}"
        );
        if let Some(reason) = found.first() {
            assert_eq!((reason.rule, reason.level), ("finding", Level::Avoid));
            assert_eq!(reason.findings, std::slice::from_ref(&finding.id));
            assert_eq!(reason.limit, Some(finding.margin_cm.value));
            assert_eq!(reason.source, finding.margin_cm.source);
        }
    }
    // The same numbers in another zone are other skin.
    let thigh = finding(FindingKind::Lump, Zone::LeftThigh, round(6.0, -4.0, 1.0));
    assert!(reasons(site(6.0, -4.0), &[thigh]).is_empty());
}

#[test]
fn a_place_known_only_to_its_quadrant_says_what_it_cannot_know() {
    let quadrant_only = Site {
        zone: Zone::Abdomen,
        quadrant: Quadrant::LeftLower,
        point: None,
    };
    let level = |place: Place| {
        let found = reasons(
            quadrant_only,
            &[finding(FindingKind::Lump, Zone::Abdomen, place)],
        );
        found.iter().find(|r| r.rule == "finding").map(|r| r.level)
    };
    assert_eq!(level(round(6.0, -4.0, 1.0)), Some(Level::Caution));
    assert_eq!(level(round(6.0, 6.0, 1.0)), None);
    assert_eq!(level(round(8.0, -6.0, 40.0)), Some(Level::Avoid));
}

#[test]
fn nothing_is_suggested_or_planned_into_a_finding_or_its_margin() {
    let findings = [
        finding(FindingKind::Lump, Zone::Abdomen, round(-6.0, 4.0, 2.0)),
        finding(FindingKind::Lump, Zone::Abdomen, round(6.0, -4.0, 1.5)),
        finding(
            FindingKind::InfusionSet,
            Zone::Abdomen,
            round(9.0, 5.0, 0.5),
        ),
    ];
    for s in suggested(&findings, Vec::new()).sites {
        assert!(s.reasons.is_empty(), "{s:?}");
    }
    let order = PlanOrder {
        id: "order",
        medicine: insulin(),
        self_given: true,
        from: "2026-06-01".parse().unwrap(),
        per_day: 2.0,
        zones: &[],
    };
    let slots: Vec<Slot> = (0..56)
        .map(|n| Slot {
            at: at(NOON) + Duration::hours(12 * n),
            order: 0,
        })
        .collect();
    let wish = PlanWish {
        orders: &[order],
        zones: &[Zone::Abdomen],
        slots: &slots,
    };
    let plan = with(Vec::new(), &findings, |skin| plan(&wish, skin));
    assert_eq!(plan.entries.len(), slots.len());
    for entry in &plan.entries {
        let point = entry.site.point.unwrap();
        for f in &findings {
            assert!(
                distance_cm(f, point) >= f.margin_cm.value - 1e-6,
                "{entry:?}"
            );
        }
    }
    let everywhere = [finding(
        FindingKind::Redness,
        Zone::Abdomen,
        round(0.0, 0.0, 60.0),
    )];
    let none = suggested(&everywhere, Vec::new());
    for s in none.sites {
        assert!(
            s.site.zone != Zone::Abdomen || !s.reasons.is_empty(),
            "never clear inside a finding: {s:?}"
        );
    }
    assert!(none.note.is_some(), "and it says why it is elsewhere");
}

#[test]
fn leaving_a_lump_is_said_once_the_next_site_is_healthy_skin() {
    let lump = [finding(
        FindingKind::Lump,
        Zone::Abdomen,
        round(6.0, -4.0, 1.5),
    )];
    let body = Body::of(&Sizes::default());
    let into = past(site(6.0, -4.0), "2026-06-02T12:00:00+01:00");
    let beside = past(site(6.0, 5.0), "2026-06-02T12:00:00+01:00");
    let long_ago = past(site(6.0, -4.0), "2026-04-02T12:00:00+01:00");
    let unplaced = Past {
        site: Site {
            point: None,
            ..site(6.0, -4.0)
        },
        ..into.clone()
    };
    for (name, history, next, said) in [
        ("out of the lump", vec![into.clone()], site(-6.0, 4.0), true),
        (
            "quadrant of the lump",
            vec![unplaced],
            site(-6.0, 4.0),
            true,
        ),
        (
            "still in the lump",
            vec![into.clone()],
            site(5.0, -4.0),
            false,
        ),
        ("never in it", vec![beside.clone()], site(-6.0, 4.0), false),
        (
            "moved on before",
            vec![
                into.clone(),
                Past {
                    given_at: at("2026-06-02T20:00:00+01:00"),
                    ..beside
                },
            ],
            site(-6.0, 4.0),
            false,
        ),
        ("long ago", vec![long_ago], site(-6.0, 4.0), false),
    ] {
        let found = leaving(
            &next,
            insulin(),
            &History::new(history),
            &lump,
            &body,
            at(NOON),
        );
        assert_eq!(found.is_some(), said, "{name}");
        if let Some(leaving) = found {
            assert!(leaving.words.contains("glucose") && leaving.words.contains("prescriber"));
            assert!(
                !leaving.words.chars().any(|c| c.is_ascii_digit()),
                "no dose, no share of one"
            );
            assert_eq!(leaving.findings, ["Lump"]);
            assert!(leaving.source.contains("item 8"));
        }
    }
    let heparin = Book::shipped().medicine("enoxaparin").unwrap();
    let given = Past {
        medicine: heparin.id.clone(),
        class: heparin.class.clone(),
        ..into
    };
    let found = leaving(
        &site(-6.0, 4.0),
        heparin,
        &History::new(vec![given]),
        &lump,
        &body,
        at(NOON),
    );
    assert!(
        !found.unwrap().words.contains("glucose"),
        "glucose is insulin's"
    );
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]

    #[test]
    fn a_finding_never_makes_a_site_better_and_a_clear_one_is_outside_it(
        (x, y) in (-12.0..12.0_f64, -9.0..9.0_f64),
        (cx, cy, a, b, turned) in (-12.0..12.0_f64, -9.0..9.0_f64, 0.1..4.0_f64, 0.1..4.0_f64, 0.0..180.0_f64),
        kind in 0..FindingKind::ALL.len(),
    ) {
        let centre = Point { across_cm: cx, up_cm: cy };
        let place = Place::ellipse(centre, a, b, turned).unwrap();
        let found = finding(FindingKind::ALL[kind], Zone::Abdomen, place);
        let (without, marked) = (reasons(site(x, y), &[]), reasons(site(x, y), std::slice::from_ref(&found)));
        prop_assert!(marked.len() >= without.len());
        if marked.is_empty() {
            let apart = distance_cm(&found, Point { across_cm: x, up_cm: y });
            prop_assert!(apart > 0.0 && apart >= found.margin_cm.value - 1e-9);
        }
        // Whatever is suggested without a reason is outside it.
        for s in suggested(std::slice::from_ref(&found), Vec::new()).sites {
            if s.reasons.is_empty() {
                prop_assert!(distance_cm(&found, s.site.point.unwrap()) >= found.margin_cm.value - 1e-9);
            }
        }
    }
}
