//! One `case` per subject, so that hundreds of cases survive a change of the rules' insides.

use std::fmt::Write as _;

use super::*;
use crate::medicines::Book;
use crate::person::Sizes;
use crate::site::{Quadrant, Zone};

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

fn point(zone: Zone, across_cm: f64, up_cm: f64) -> Site {
    let p = Point { across_cm, up_cm };
    let quadrant = Body::of(&Sizes::default()).patch(zone).quadrant_of(p);
    Site {
        zone,
        quadrant,
        point: Some(p),
    }
}

fn only(zone: Zone, quadrant: Quadrant) -> Site {
    Site {
        zone,
        quadrant,
        point: None,
    }
}

/// An earlier injection: id, medicine, place, when.
type Earlier<'a> = (&'a str, &'a str, Site, &'a str);

const NOON: &str = "2026-06-03T12:00:00+01:00";

fn reasons(medicine: &str, site: Site, earlier: &[Earlier<'_>], self_given: bool) -> Vec<Reason> {
    let book = Book::shipped();
    let past = earlier.iter().map(|(id, medicine, site, when)| Past {
        id: (*id).to_owned(),
        medicine: (*medicine).to_owned(),
        class: book.medicine(medicine).unwrap().class.clone(),
        site: *site,
        given_at: at(when),
    });
    let body = Body::of(&Sizes::default());
    let history = History::new(past.collect());
    let skin = Skin {
        findings: &[],
        body: &body,
        history: &history,
        book,
        navel_margin_cm: 2.5,
    };
    let medicine = book.medicine(medicine).unwrap();
    check(
        &Proposal {
            site,
            at: at(NOON),
            medicine,
            self_given,
        },
        &skin,
    )
}

/// The reasons in short: `rule level measured..high/limit`.
fn short(reasons: &[Reason]) -> Vec<String> {
    reasons
        .iter()
        .map(|r| {
            let mut text = format!("{} {}", r.rule, r.level.code());
            if let Some(m) = r.measured {
                let _ = write!(text, " {:.1}", m.low);
                if m.high.is_some() {
                    text += "..";
                }
            }
            if let Some(limit) = r.limit {
                let _ = write!(text, "/{limit}");
            }
            text
        })
        .collect()
}

const GLARGINE: &str = "insulin-glargine-100";
const ASPART: &str = "insulin-aspart-100";

fn place() -> Site {
    point(Zone::Abdomen, 5.5, -3.0)
}

#[test]
fn rested_skin_inside_every_margin_is_clear() {
    assert!(reasons(GLARGINE, place(), &[], true).is_empty());
    assert_eq!(Verdict::of(&[]), Verdict::Clear);
}

#[test]
fn spacing_and_rest_hold_against_every_injection_still_resting() {
    // Hirsch & Strauss 2019, Table 1: 1 cm. Frid et al. 2016, quoted: a point once in 4 weeks.
    let check = |across: f64, when: &str| {
        short(&reasons(
            GLARGINE,
            place(),
            &[("a", ASPART, point(Zone::Abdomen, across, -3.0), when)],
            true,
        ))
    };
    assert_eq!(
        check(6.1, "2026-06-02T12:00:00+01:00"),
        ["spacing avoid 0.6/1", "point_rest avoid 1.0/28"]
    );
    assert_eq!(
        check(5.5, "2026-06-03T08:00:00+01:00"),
        ["spacing avoid 0.0/1", "point_rest avoid 0.0/28"]
    );
    assert!(
        check(6.5, "2026-06-03T08:00:00+01:00").is_empty(),
        "exactly 1 cm is kept"
    );
    assert_eq!(
        check(6.1, "2026-05-07T23:50:00+01:00").len(),
        2,
        "27 days by the calendar"
    );
    assert!(
        check(6.1, "2026-05-06T23:50:00+01:00").is_empty(),
        "28 days by the calendar"
    );
    assert!(
        check(6.1, "2026-06-03T12:00:01+01:00").is_empty(),
        "a later entry is no reason"
    );
}

#[test]
fn a_reason_carries_what_a_person_needs_to_judge_it() {
    let near = point(Zone::Abdomen, 6.1, -3.0);
    let far = point(Zone::Abdomen, 5.5, -2.1);
    let all = reasons(
        GLARGINE,
        place(),
        &[
            ("far", ASPART, far, "2026-06-01T08:00:00+01:00"),
            ("near", ASPART, near, "2026-06-02T08:00:00+01:00"),
        ],
        true,
    );
    assert_eq!(all[0].injections, ["near", "far"]);
    assert_eq!(all[0].unit, Some("cm"));
    assert!(all[0].source.starts_with("Hirsch LJ, Strauss KW 2019"));
    assert_eq!(
        all[0].words,
        "0.6 cm from the injection of 2 Jun 2026; at least 1 cm is asked while skin rests."
    );
    assert_eq!(
        all[1].words,
        "This skin has rested 1 day; 28 days are asked."
    );
    assert_eq!(Verdict::of(&all), Verdict::Avoid);
}

#[test]
fn an_entry_known_only_to_the_quadrant_is_an_interval_and_says_so() {
    let earlier = [(
        "a",
        ASPART,
        only(Zone::Abdomen, Quadrant::LeftLower),
        "2026-06-02T12:00:00+01:00",
    )];
    let all = reasons(GLARGINE, place(), &earlier, true);
    assert_eq!(short(&all), ["spacing caution 0.0../1"]);
    assert!(
        all[0].words.contains("known only to the quadrant")
            && all[0].words.contains("cannot be known")
    );
    assert!(all[0].measured.unwrap().high.unwrap() > 5.0);
    // Well inside another quadrant nothing of it can be within 1 cm.
    assert!(reasons(GLARGINE, point(Zone::Abdomen, -6.0, 4.0), &earlier, true).is_empty());
    // Just across the border it can.
    assert_eq!(
        short(&reasons(
            GLARGINE,
            point(Zone::Abdomen, 6.0, 0.5),
            &earlier,
            true
        )),
        ["spacing caution 0.5../1"]
    );
}

#[test]
fn a_proposal_known_only_to_the_quadrant_is_accepted_and_says_what_it_cannot_know() {
    let proposal = only(Zone::Abdomen, Quadrant::LeftLower);
    assert_eq!(
        short(&reasons(GLARGINE, proposal, &[], true)),
        ["point_unknown caution"]
    );
    let earlier = [("a", ASPART, place(), "2026-06-02T12:00:00+01:00")];
    assert_eq!(
        short(&reasons(GLARGINE, proposal, &earlier, true)),
        ["point_unknown caution", "spacing caution 0.0../1"]
    );
}

#[test]
fn the_navel_margin_is_firm_below_every_published_value_and_a_caution_up_to_the_chosen_one() {
    // 1 cm Frid 2016 (from memory), 2 cm Family Practice Notebook, 2.5 cm Diabetes Qualified, 5 cm hospital leaflets.
    for (across, want) in [
        (0.9, vec!["navel_margin avoid 0.9/1"]),
        (1.0, vec!["navel_margin caution 1.0/2.5"]),
        (2.4, vec!["navel_margin caution 2.4/2.5"]),
        (2.5, vec![]),
    ] {
        assert_eq!(
            short(&reasons(
                GLARGINE,
                point(Zone::Abdomen, across, 0.0),
                &[],
                true
            )),
            want,
            "{across} cm"
        );
    }
    // A medicine's own wider margin holds (enoxaparin, hospital leaflet: 5 cm).
    let enoxaparin = reasons("enoxaparin", point(Zone::Abdomen, 4.0, 0.0), &[], true);
    assert_eq!(short(&enoxaparin), ["navel_margin caution 4.0/5"]);
}

#[test]
fn a_zone_the_medicine_does_not_go_into_is_to_be_avoided() {
    let arm = only(Zone::LeftArm, Quadrant::UpperOuter);
    let all = reasons("enoxaparin", arm, &[], false);
    assert_eq!(all[0].rule, "zone_allowed");
    assert_eq!(all[0].level, Level::Avoid);
    assert!(all[0].words.contains("left upper arm") && all[0].words.contains("abdomen"));
}

#[test]
fn off_the_skin_and_inside_a_landmark_margin() {
    let body = Body::of(&Sizes::default());
    let patch = body.patch(Zone::Abdomen);
    let (_, _, max_across, max_up) = patch.bounds();
    let off = reasons(
        GLARGINE,
        point(Zone::Abdomen, max_across + 2.0, 0.0),
        &[],
        true,
    );
    assert_eq!((off[0].rule, off[0].level), ("outside_zone", Level::Avoid));
    assert!(off[0].measured.unwrap().low >= 2.0 - 1e-6);
    let rib = reasons(GLARGINE, point(Zone::Abdomen, 3.0, max_up - 0.4), &[], true);
    assert_eq!(rib[0].rule, "landmark_margin", "{rib:?}");
}

#[test]
fn one_area_at_most_once_a_week_where_the_medicine_asks() {
    let elsewhere = |zone| only(zone, Quadrant::LowerOuter);
    let earlier = [(
        "a",
        "glatiramer",
        elsewhere(Zone::LeftThigh),
        "2026-05-28T12:00:00+01:00",
    )];
    let again = reasons(
        "glatiramer",
        point(Zone::LeftThigh, 2.0, 22.0),
        &earlier,
        true,
    );
    assert!(
        short(&again).contains(&"zone_rest avoid 6.0/7".to_owned()),
        "{:?}",
        short(&again)
    );
    let week = [(
        "a",
        "glatiramer",
        elsewhere(Zone::LeftThigh),
        "2026-05-27T12:00:00+01:00",
    )];
    let rested = reasons("glatiramer", point(Zone::LeftThigh, 2.0, 22.0), &week, true);
    assert!(!short(&rested).iter().any(|r| r.starts_with("zone_rest")));
}

#[test]
fn sides_alternate_and_areas_do_not_run_where_the_medicine_asks() {
    let right = [(
        "a",
        "enoxaparin",
        point(Zone::Abdomen, -7.0, -4.0),
        "2026-06-02T12:00:00+01:00",
    )];
    let rules = |r: Vec<Reason>| r.iter().map(|r| r.rule).collect::<Vec<_>>();
    assert_eq!(
        rules(reasons(
            "enoxaparin",
            point(Zone::Abdomen, -7.0, 3.0),
            &right,
            true
        )),
        ["alternate_sides"]
    );
    assert!(reasons("enoxaparin", point(Zone::Abdomen, 7.0, 3.0), &right, true).is_empty());
    let thigh = [(
        "a",
        "interferon-beta-1b",
        point(Zone::LeftThigh, 2.0, 25.0),
        "2026-06-01T12:00:00+01:00",
    )];
    assert_eq!(
        rules(reasons(
            "interferon-beta-1b",
            point(Zone::LeftThigh, 2.0, 18.0),
            &thigh,
            true
        )),
        ["not_twice_running"]
    );
    assert!(
        reasons(
            "interferon-beta-1b",
            point(Zone::RightThigh, 2.0, 18.0),
            &thigh,
            true
        )
        .is_empty()
    );
}

#[test]
fn another_medicine_of_today_is_not_next_to_this_one() {
    let today = [(
        "a",
        "semaglutide",
        point(Zone::Abdomen, 7.5, -3.0),
        "2026-06-03T09:00:00+01:00",
    )];
    assert_eq!(
        short(&reasons(GLARGINE, place(), &today, true)),
        ["other_medicine caution 2.0/2.5"]
    );
    let yesterday = [(
        "a",
        "semaglutide",
        point(Zone::Abdomen, 7.5, -3.0),
        "2026-06-02T09:00:00+01:00",
    )];
    assert!(reasons(GLARGINE, place(), &yesterday, true).is_empty());
    // Two insulins are one class: spacing, not this rule.
    let insulin = [(
        "a",
        ASPART,
        point(Zone::Abdomen, 7.5, -3.0),
        "2026-06-03T09:00:00+01:00",
    )];
    assert!(reasons(GLARGINE, place(), &insulin, true).is_empty());
}

#[test]
fn out_of_reach_wants_a_helper() {
    let body = Body::of(&Sizes::default());
    let (a0, u0, a1, u1) = body.patch(Zone::LeftArm).bounds();
    let arm = point(Zone::LeftArm, f64::midpoint(a0, a1), f64::midpoint(u0, u1));
    assert_eq!(short(&reasons(GLARGINE, arm, &[], true)), ["reach caution"]);
    assert!(reasons(GLARGINE, arm, &[], false).is_empty());
    assert_eq!(
        short(&reasons("etanercept", arm, &[], true)),
        ["reach avoid"]
    );
}

proptest::proptest! {
    #[test]
    fn the_order_entries_arrive_in_does_not_matter(seed in 0_u64..500) {
        use rand_like::shuffled;
        let earlier: Vec<(String, Site, i64)> = (0..40_i64)
            .map(|i| (format!("{i:02}"), point(Zone::Abdomen, (i * 7 % 20 - 10) as f64 * 0.7, (i * 5 % 14 - 9) as f64 * 0.6), i / 2))
            .collect();
        let build = |list: &[(String, Site, i64)]| {
            let body = Body::of(&Sizes::default());
            let book = Book::shipped();
            let past = list.iter().map(|(id, site, day)| Past {
                id: id.clone(), medicine: ASPART.into(), class: "insulin".into(), site: *site,
                given_at: at(NOON) - chrono::Duration::days(*day),
            });
            let history = History::new(past.collect());
            let skin = Skin { body: &body, history: &history, book, navel_margin_cm: 2.5, findings: &[] };
            check(&Proposal { site: place(), at: at(NOON), medicine: book.medicine(GLARGINE).unwrap(), self_given: true }, &skin)
        };
        proptest::prop_assert_eq!(build(&earlier), build(&shuffled(&earlier, seed)));
    }

    #[test]
    fn a_check_agrees_with_a_loop_written_out(points in proptest::collection::vec((-12.0_f64..12.0, -9.0_f64..6.0, 0_i64..40), 0..60)) {
        let earlier: Vec<_> = points.iter().map(|(x, y, d)| (point(Zone::Abdomen, *x, *y), *d)).collect();
        let nearest = earlier.iter().filter(|(_, d)| *d < 28)
            .map(|(s, _)| s.point.unwrap().distance_cm(place().point.unwrap()))
            .fold(f64::INFINITY, f64::min);
        let ids: Vec<String> = (0..earlier.len()).map(|i| i.to_string()).collect();
        let when: Vec<String> = earlier.iter().map(|(_, d)| (at(NOON) - chrono::Duration::days(*d)).to_rfc3339()).collect();
        let list: Vec<Earlier<'_>> = earlier.iter().enumerate().map(|(i, (s, _))| (ids[i].as_str(), ASPART, *s, when[i].as_str())).collect();
        let found = reasons(GLARGINE, place(), &list, true);
        let spacing = found.iter().find(|r| r.rule == "spacing");
        proptest::prop_assert_eq!(spacing.is_some(), nearest < 1.0 - 1e-9);
        if let Some(reason) = spacing {
            proptest::prop_assert!((reason.measured.unwrap().low - nearest).abs() < 1e-9);
        }
    }
}

proptest::proptest! {
    /// Every entry is looked at, and its days are counted between dates.
    #[test]
    fn what_still_rests_is_what_a_look_at_all_of_it_finds(
        given in proptest::collection::vec((0_i64..5_000_000, -14_i32..=14), 0..80),
        asked_after_s in 0_i64..6_000_000,
        hours_east in -12_i32..=14,
        days in 0_i32..40,
    ) {
        let moment = |seconds: i64, hours: i32| {
            let offset = FixedOffset::east_opt(hours * 3600).unwrap();
            DateTime::from_timestamp(1_780_000_000 + seconds, 0).unwrap().with_timezone(&offset)
        };
        let past = given.iter().enumerate().map(|(n, (seconds, hours))| Past {
            id: format!("{n:02}"), medicine: ASPART.into(), class: "insulin".into(), site: place(),
            given_at: moment(*seconds, *hours),
        });
        let history = History::new(past.collect());
        let asked = moment(asked_after_s, hours_east);
        let plain: Vec<&Past> = history.all().iter()
            .filter(|p| p.given_at <= asked)
            .filter(|p| (asked.date_naive() - p.given_at.date_naive()).num_days() < i64::from(days))
            .collect();
        proptest::prop_assert_eq!(history.resting(asked, f64::from(days)).collect::<Vec<_>>(), plain);
        let earlier = history.all().iter().filter(|p| p.given_at <= asked).count();
        proptest::prop_assert_eq!(history.before(asked).len(), earlier);
    }
}

/// A shuffle for a test above, from a number.
mod rand_like {
    pub(super) fn shuffled<T: Clone>(list: &[T], seed: u64) -> Vec<T> {
        let mut out = list.to_vec();
        let mut state = seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1;
        for i in (1..out.len()).rev() {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            out.swap(i, (state >> 33) as usize % (i + 1));
        }
        out
    }
}
