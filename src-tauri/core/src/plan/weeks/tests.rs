//! The plan's laws, and that it answers in words where it cannot be kept.

use super::*;
use crate::body::Body;
use crate::medicines::Book;
use crate::person::Sizes;
use crate::rules::{Level, Proposal, Verdict, check};
use crate::site::{Point, Quadrant};

const INSULIN: &str = "insulin-glargine-100";

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

fn start() -> DateTime<FixedOffset> {
    at("2026-06-01T08:00:00+01:00")
}

/// Some injections a day for some days from a moment on.
fn slots(from: DateTime<FixedOffset>, days: i64, a_day: i64) -> Vec<Slot> {
    (0..days * a_day)
        .map(|n| from + Duration::days(n / a_day) + Duration::minutes(n % a_day * 840 / a_day))
        .map(|at| Slot { at, order: 0 })
        .collect()
}

struct Setting {
    body: Body,
    past: Vec<Past>,
    medicine: &'static str,
    per_day: f64,
    zones: Vec<Zone>,
}

impl Setting {
    fn new(per_day: f64) -> Self {
        let body = Body::of(&Sizes::default());
        Self {
            body,
            past: Vec::new(),
            medicine: INSULIN,
            per_day,
            zones: vec![Zone::Abdomen],
        }
    }

    fn give(&mut self, site: Site, given_at: DateTime<FixedOffset>) {
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
            given_at,
        });
    }

    fn plan(&self, slots: &[Slot]) -> Plan {
        self.with(slots, plan)
    }

    fn with<T>(&self, slots: &[Slot], then: impl FnOnce(&PlanWish<'_>, &Skin<'_>) -> T) -> T {
        let book = Book::shipped();
        let history = History::new(self.past.clone());
        let skin = Skin {
            findings: &[],
            body: &self.body,
            history: &history,
            book,
            navel_margin_cm: 2.5,
        };
        let order = PlanOrder {
            id: "order",
            medicine: book.medicine(self.medicine).unwrap(),
            self_given: true,
            from: start().date_naive(),
            per_day: self.per_day,
            zones: &[],
        };
        then(
            &PlanWish {
                orders: &[order],
                zones: &self.zones,
                slots,
            },
            &skin,
        )
    }
}

fn point(site: &Site) -> Point {
    site.point.unwrap()
}

/// Every pair within 28 days, one after the other.
fn least_apart(entries: &[Planned]) -> f64 {
    let mut least = f64::INFINITY;
    for (n, a) in entries.iter().enumerate() {
        for b in &entries[..n] {
            let days = (a.at.date_naive() - b.at.date_naive()).num_days();
            if days < 28 && a.site.zone == b.site.zone {
                least = least.min(point(&a.site).distance_cm(point(&b.site)));
            }
        }
    }
    least
}

#[test]
fn four_a_day_keep_their_working_spacing_for_ten_weeks() {
    let setting = Setting::new(4.0);
    let plan = setting.plan(&slots(start(), 70, 4));
    assert_eq!((plan.entries.len(), plan.note.as_ref()), (280, None));
    assert!(
        plan.entries
            .iter()
            .all(|e| e.reasons.is_empty() && e.note.is_none())
    );
    let narrowest = plan
        .areas
        .iter()
        .map(|a| a.points.spacing_cm)
        .fold(f64::INFINITY, f64::min);
    assert!(narrowest >= 1.8, "{narrowest}");
    let least = least_apart(&plan.entries);
    assert!(
        least >= narrowest - 1e-6,
        "{least} cm where {narrowest} were meant"
    );
    // One quadrant a week, and 4 x 28 / 4 sites needed in each (arithmetic).
    for week in plan.entries.chunks(28) {
        assert!(
            week.iter()
                .all(|e| e.site.quadrant == week[0].site.quadrant)
        );
    }
    assert!(
        plan.areas
            .iter()
            .all(|a| a.points.need == 28 && a.points.is_enough())
    );
}

#[test]
fn neighbours_in_time_are_not_neighbours_in_space() {
    for area in Setting::new(4.0).plan(&slots(start(), 1, 4)).areas {
        // The last few points of an order have little choice left.
        let points = &area.points.points;
        for pair in points[..points.len() / 2].windows(2) {
            assert!(pair[0].distance_cm(pair[1]) > 1.5 * area.points.spacing_cm);
        }
        let apart: f64 = points.windows(2).map(|p| p[0].distance_cm(p[1])).sum();
        assert!(apart / (points.len() - 1) as f64 > 2.0 * area.points.spacing_cm);
    }
}

#[test]
fn giving_what_was_suggested_leaves_the_rest_as_it_was() {
    for a_day in [1, 4, 6] {
        let mut setting = Setting::new(a_day as f64);
        let slots = slots(start(), 28, a_day);
        let whole = setting.plan(&slots);
        for n in 0..slots.len().min(40) {
            let rest = setting.plan(&slots[n..]);
            assert_eq!(rest.entries, whole.entries[n..], "{a_day} a day, after {n}");
            setting.give(whole.entries[n].site, slots[n].at);
        }
    }
}

#[test]
fn the_first_of_the_plan_is_the_first_suggestion_and_the_second_is_next() {
    let mut setting = Setting::new(4.0);
    let slots = slots(start(), 7, 4);
    let planned = setting.plan(&slots);
    let five = setting.with(&slots, |wish, skin| {
        suggest(
            &Wish {
                count: 5,
                ..wish_of(&wish.orders[0], wish.zones, slots[0].at)
            },
            skin,
        )
    });
    for n in 0..5 {
        assert_eq!(five.sites[n].site, planned.entries[n].site, "{n}");
    }
    setting.give(five.sites[0].site, slots[0].at);
    assert_eq!(
        setting.plan(&slots[1..]).entries[0].site,
        five.sites[1].site
    );
}

#[test]
fn both_sides_of_a_body_have_mirrored_points() {
    let setting = Setting {
        zones: Zone::ALL.to_vec(),
        ..Setting::new(2.0)
    };
    let areas = setting.plan(&slots(start(), 1, 1)).areas;
    for area in &areas {
        let of_abdomen = area.area.zone == Zone::Abdomen;
        let other = areas.iter().find(|a| {
            let (q, p) = (area.area.quadrants[0], a.area.quadrants[0]);
            a.area.zone == area.area.zone.mirrored()
                && q.is_upper() == p.is_upper()
                && (q.is_far() != p.is_far()) == of_abdomen
        });
        let other = other.unwrap();
        assert_eq!(area.points.points.len(), other.points.points.len());
        for (p, q) in area.points.points.iter().zip(&other.points.points) {
            let across = if of_abdomen {
                -q.across_cm
            } else {
                q.across_cm
            };
            let mirrored = Point {
                across_cm: across,
                up_cm: q.up_cm,
            };
            assert!(
                p.distance_cm(mirrored) < 1e-9,
                "{:?}: {p:?} {q:?}",
                area.area
            );
        }
    }
}

#[test]
fn the_order_in_which_entries_of_one_instant_arrive_does_not_matter() {
    let mut setting = Setting::new(4.0);
    for n in 0..12_i32 {
        let p = Point {
            across_cm: -9.0 + f64::from(n),
            up_cm: 1.0,
        };
        let quadrant = setting.body.patch(Zone::Abdomen).quadrant_of(p);
        setting.give(
            Site {
                zone: Zone::Abdomen,
                quadrant,
                point: Some(p),
            },
            start(),
        );
    }
    let slots = slots(start() + Duration::days(1), 14, 4);
    let plan = setting.plan(&slots);
    setting.past.reverse();
    let mut late = slots.clone();
    late.reverse();
    assert_eq!(plan, setting.plan(&late));
}

#[test]
fn sites_off_the_plan_and_known_only_to_the_quadrant_change_only_what_they_must() {
    let mut setting = Setting::new(4.0);
    let slots = slots(start(), 7, 4);
    let before = setting.plan(&slots);
    // Half a centimetre from the eleventh planned place.
    let eleventh = point(&before.entries[10].site);
    let off = Point {
        across_cm: eleventh.across_cm - 0.5,
        ..eleventh
    };
    let quadrant = before.entries[10].site.quadrant;
    let given = start() - Duration::days(2);
    setting.give(
        Site {
            zone: Zone::Abdomen,
            quadrant,
            point: Some(off),
        },
        given,
    );
    let after = setting.plan(&slots);
    assert!(after.entries.iter().all(|e| e.reasons.is_empty()));
    let known = |e: &&Planned| before.entries.iter().any(|b| b.site == e.site);
    let kept = after.entries.iter().filter(known).count();
    assert!(
        kept >= 26,
        "{kept} of 28 places are still those of the plan"
    );
    assert!(
        after
            .entries
            .iter()
            .all(|e| point(&e.site).distance_cm(off) >= 1.0 - 1e-9)
    );
    setting.give(
        Site {
            zone: Zone::Abdomen,
            quadrant,
            point: None,
        },
        start() - Duration::days(1),
    );
    let after = setting.plan(&slots);
    assert!(
        after
            .entries
            .iter()
            .all(|e| e.site.quadrant != quadrant && e.note.is_some())
    );
}

#[test]
fn where_it_cannot_be_kept_it_says_so_in_words() {
    for (per_day, zones, many) in [
        (48_i64, vec![Zone::Abdomen], 48 * 28),
        (6, Vec::new(), 6 * 28),
        (4, vec![Zone::LeftArm], 112),
    ] {
        let mut setting = Setting {
            zones,
            ..Setting::new(per_day as f64)
        };
        let patch = setting.body.patch(Zone::Abdomen).clone();
        for n in 0..4 * 3650_i64 {
            let p = Point {
                across_cm: (n * 7 % 41) as f64 * 0.5 - 10.0,
                up_cm: (n * 11 % 23) as f64 * 0.5 - 7.0,
            };
            let site = Site {
                zone: Zone::Abdomen,
                quadrant: patch.quadrant_of(p),
                point: Some(p),
            };
            setting.give(site, start() - Duration::hours(n * 6 + 1));
        }
        let plan = setting.plan(&slots(start(), 28, per_day));
        assert!(!plan.entries.is_empty() && plan.entries.len() <= many as usize);
        if per_day == 48 {
            let note = plan.note.unwrap();
            assert!(note.contains("needs 336 sites"), "{note}");
            assert!(
                note.contains("The plan shows the first 420 of 1344 injections."),
                "{note}"
            );
        }
    }
    let setting = Setting::new(4.0);
    assert_eq!(
        setting.plan(&[]),
        Plan {
            entries: Vec::new(),
            areas: Vec::new(),
            note: None
        }
    );
    let stranger = [Slot {
        at: start(),
        order: 7,
    }];
    assert!(setting.plan(&stranger).entries.is_empty());
}

#[test]
fn a_plan_without_a_clear_place_ends_and_says_when() {
    let mut setting = Setting::new(4.0);
    for zone in Zone::ALL {
        for quadrant in zone.quadrants() {
            let site = Site {
                zone,
                quadrant,
                point: None,
            };
            setting.give(site, start() - Duration::days(1));
        }
    }
    let plan = setting.plan(&slots(start(), 28, 4));
    assert_eq!(plan.entries.len(), MOST_UNCLEAR);
    assert!(plan.entries.iter().all(|e| !e.reasons.is_empty()));
    let note = plan.note.unwrap();
    assert!(
        note.starts_with("From 1 Jun 2026 on not every injection has a clear place."),
        "{note}"
    );
    assert!(note.contains("The plan ends on 8 Jun 2026"), "{note}");
}

#[test]
fn many_a_day_share_a_week_between_areas_and_lie_wider_for_it() {
    let zones = vec![Zone::Abdomen, Zone::LeftThigh, Zone::RightThigh];
    let setting = Setting {
        zones,
        ..Setting::new(6.0)
    };
    let plan = setting.plan(&slots(start(), 56, 6));
    assert_eq!((plan.entries.len(), plan.note.as_ref()), (336, None));
    assert!(
        plan.entries
            .iter()
            .all(|e| e.reasons.is_empty() && e.note.is_none())
    );
    // Eight areas, two a week: each holds half a week's 42 (arithmetic), and comes up again after four weeks.
    assert_eq!(plan.areas.len(), 8);
    assert!(
        plan.areas
            .iter()
            .all(|a| a.points.need == 21 && a.points.is_enough())
    );
    for week in plan.entries.chunks(42) {
        let mut used: Vec<_> = week
            .iter()
            .map(|e| {
                let half = e.site.zone != Zone::Abdomen;
                (
                    e.site.zone,
                    e.site.quadrant.is_upper(),
                    half || e.site.quadrant.is_far(),
                )
            })
            .collect();
        used.dedup();
        assert_eq!(used.len(), 2, "one area after the other");
    }
    let narrowest = plan
        .areas
        .iter()
        .map(|a| a.points.spacing_cm)
        .fold(f64::INFINITY, f64::min);
    assert!(least_apart(&plan.entries) >= narrowest - 1e-6);
    // The abdomen alone, where a week's 42 are in one quadrant, allows less.
    let alone = Setting::new(6.0).plan(&slots(start(), 1, 6));
    assert!(
        alone
            .areas
            .iter()
            .any(|a| a.points.spacing_cm < narrowest - 0.5)
    );
}

#[test]
fn every_other_pattern_is_planned_as_its_suggestions_go() {
    for medicine in ["enoxaparin", "interferon-beta-1a", "teriparatide"] {
        let Some(known) = Book::shipped().medicine(medicine) else {
            continue;
        };
        let setting = Setting {
            medicine: INSULIN,
            zones: Vec::new(),
            ..Setting::new(1.0)
        };
        let setting = Setting {
            medicine,
            ..setting
        };
        let plan = setting.plan(&slots(start(), 28, 1));
        assert_eq!(plan.entries.len(), 28, "{}", known.name);
        assert!(plan.areas.is_empty());
    }
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(24))]

    /// Looked for by brute force on a half-centimetre grid over the whole abdomen.
    #[test]
    fn no_suggestion_breaks_a_rule_that_has_a_way_round(
        points in proptest::collection::vec((-14.0_f64..14.0, -12.0_f64..7.0, 0_i64..35), 0..160),
        per_day in 1_i64..7,
    ) {
        let mut setting = Setting::new(per_day as f64);
        let patch = setting.body.patch(Zone::Abdomen).clone();
        for (across_cm, up_cm, day) in points {
            let p = Point { across_cm, up_cm };
            let site = Site { zone: Zone::Abdomen, quadrant: patch.quadrant_of(p), point: Some(p) };
            setting.give(site, start() - Duration::days(day));
        }
        let slots = slots(start(), 1, per_day);
        let planned = setting.plan(&slots[..1]);
        let first = &planned.entries[0];
        if Verdict::of(&first.reasons) != Verdict::Clear {
            setting.with(&slots, |wish, skin| {
                let order = &wish.orders[0];
                for n in 0..60 * 44_i32 {
                    let p = Point { across_cm: f64::from(n % 60) * 0.5 - 15.0, up_cm: f64::from(n / 60) * 0.5 - 13.0 };
                    let inside = patch.contains(p) && patch.border_cm(p) >= 0.5
                        && p.distance_cm(Point { across_cm: 0.0, up_cm: 0.0 }) >= 3.0
                        && patch.margins().iter().all(|m| m.distance_cm(p) >= m.radius_cm + 0.5);
                    if !inside { continue; }
                    let site = Site { zone: Zone::Abdomen, quadrant: patch.quadrant_of(p), point: Some(p) };
                    let proposal = Proposal { site, at: slots[0].at, medicine: order.medicine, self_given: true };
                    let reasons = check(&proposal, skin);
                    proptest::prop_assert!(!reasons.is_empty(), "{p:?} is clear");
                    let worst = first.reasons.iter().map(|r| r.level).max();
                    proptest::prop_assert!(worst != Some(Level::Avoid) || !reasons.iter().all(|r| r.level == Level::Caution));
                }
                Ok(())
            })?;
        }
    }
}

#[test]
fn quadrants_of_the_abdomen_stay_apart_across_the_cut() {
    let areas = Setting::new(4.0).plan(&slots(start(), 1, 4)).areas;
    for (n, a) in areas.iter().enumerate() {
        for b in &areas[..n] {
            let spacing = a.points.spacing_cm.min(b.points.spacing_cm);
            for p in &a.points.points {
                let near = b
                    .points
                    .points
                    .iter()
                    .map(|q| q.distance_cm(*p))
                    .fold(f64::INFINITY, f64::min);
                assert!(near >= spacing - 1e-6, "{near}");
            }
        }
    }
    assert_eq!(areas[0].area.quadrants, [Quadrant::RightUpper]);
}
