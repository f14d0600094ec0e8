//! How long a check, a suggestion and a plan of four weeks take, each beside brute force in the same run.
//!
//! `cargo xtask bench next`. Timings are benchmarks, never tests; the goals are medians of 10 µs for a check and 2 ms
//! for a suggestion, at 100,000 earlier injections.
#![allow(missing_docs, clippy::unwrap_used, clippy::pedantic)]

mod record;

use std::hint::black_box;

use chrono::{DateTime, Duration, FixedOffset};
use divan::Bencher;
use fallow_core::body::Body;
use fallow_core::medicines::{Book, Medicine};
use fallow_core::person::Sizes;
use fallow_core::plan::weeks::{PlanOrder, PlanWish, Slot, plan};
use fallow_core::rules::{History, Level, Past, Proposal, Skin, check};
use fallow_core::site::{Point, Site, Zone};
use fallow_core::suggest::{Wish, suggest};

use record::{SIZES, adult, at, injection, now, over_the_abdomen};

/// The navel margin of the practice.
const NAVEL_CM: f64 = 2.5;
/// Every zone that is suggested to a person who injects themself.
const ZONES: [Zone; 3] = [Zone::Abdomen, Zone::LeftThigh, Zone::RightThigh];

fn main() {
    divan::main();
}

fn insulin() -> &'static Medicine {
    Book::shipped().medicine("insulin-glargine-100").unwrap()
}

fn skin<'a>(body: &'a Body, history: &'a History) -> Skin<'a> {
    Skin {
        findings: &[],
        body,
        history,
        book: Book::shipped(),
        navel_margin_cm: NAVEL_CM,
    }
}

fn proposal(site: Site) -> Proposal<'static> {
    Proposal {
        site,
        at: now(),
        medicine: insulin(),
        self_given: true,
    }
}

mod check_a_site {
    use super::*;

    /// One place that has been used and is near the navel, and one that nothing is near.
    const PLACES: [(&str, f64, f64); 2] = [("used", 0.5, -2.0), ("clear", 11.5, -2.0)];

    fn place(name: &str, body: &Body) -> Site {
        let found = PLACES.iter().find(|p| p.0 == name).unwrap();
        let (across_cm, up_cm) = (found.1, found.2);
        at(Zone::Abdomen, Point { across_cm, up_cm }, body)
    }

    /// The whole check with its sentences.
    #[divan::bench(args = [("used", 1_000), ("used", 10_000), ("used", 100_000), ("clear", 1_000), ("clear", 10_000), ("clear", 100_000)])]
    fn rules(bencher: Bencher<'_, '_>, (name, count): (&str, usize)) {
        let body = adult();
        let history = History::new(over_the_abdomen(count, &body));
        let skin = skin(&body, &history);
        let proposal = proposal(place(name, &body));
        assert_eq!(check(&proposal, &skin).is_empty(), name == "clear");
        bencher.bench_local(|| check(black_box(&proposal), &skin));
    }

    /// The worst level alone, without a sentence: every injection is looked at, and every edge of the skin.
    #[divan::bench(args = SIZES)]
    fn brute_force(bencher: Bencher<'_, '_>, count: usize) {
        let body = adult();
        let past = over_the_abdomen(count, &body);
        let history = History::new(past.clone());
        for (name, ..) in PLACES {
            let here = place(name, &body);
            let told = check(&proposal(here), &skin(&body, &history));
            let worst = told.iter().map(|r| r.level).max();
            assert_eq!(worst, plain_level(here, &past, &body), "{name}");
        }
        let here = place("used", &body);
        bencher.bench_local(|| plain_level(black_box(here), black_box(&past), &body));
    }
}

/// What weighs most against a place, for insulin given by oneself where no other medicine was given.
fn plain_level(here: Site, past: &[Past], body: &Body) -> Option<Level> {
    let point = here.point.unwrap();
    let nearest = past
        .iter()
        .filter(|p| rests(p, now()) && p.site.zone == here.zone)
        .map(|p| p.site.point.unwrap().distance_cm(point))
        .fold(f64::INFINITY, f64::min);
    let patch = body.patch(here.zone);
    let navel = point.distance_cm(Point {
        across_cm: 0.0,
        up_cm: 0.0,
    });
    let margins = patch.margins();
    let in_margin = |m: &fallow_core::body::Margin| m.distance_cm(point) < m.radius_cm - 1e-9;
    if nearest < 1.0 - 1e-9
        || navel < 1.0 - 1e-9
        || patch.outside_cm(point) > 1e-9
        || margins.iter().any(in_margin)
    {
        Some(Level::Avoid)
    } else if navel < NAVEL_CM - 1e-9 {
        Some(Level::Caution)
    } else {
        None
    }
}

/// Whether an injection is among those of the last 28 days, and given by then.
fn rests(past: &Past, at: DateTime<FixedOffset>) -> bool {
    past.given_at <= at && (at.date_naive() - past.given_at.date_naive()).num_days() < 28
}

fn wish(count: usize) -> Wish<'static> {
    Wish {
        at: now(),
        medicine: insulin(),
        self_given: true,
        from: now().date_naive(),
        zones: &ZONES,
        count,
        per_day: 4.0,
    }
}

mod suggest_five {
    use super::*;

    #[divan::bench(args = SIZES)]
    fn suggestions(bencher: Bencher<'_, '_>, count: usize) {
        let body = adult();
        let history = History::new(over_the_abdomen(count, &body));
        let skin = skin(&body, &history);
        let wish = wish(5);
        assert_eq!(suggest(&wish, &skin).sites.len(), 5);
        bencher.bench_local(|| suggest(black_box(&wish), &skin));
    }

    /// The five roomiest of every half centimetre of the same skin. The points are ready; each is held against every
    /// injection that still rests.
    #[divan::bench(args = SIZES, sample_count = 20)]
    fn brute_force(bencher: Bencher<'_, '_>, count: usize) {
        let body = adult();
        let past = over_the_abdomen(count, &body);
        let grid = grid(&body);
        let five = roomiest(&grid, &past, now(), 5);
        assert_eq!(five.len(), 5);
        bencher.bench_local(|| roomiest(black_box(&grid), black_box(&past), now(), 5));
    }
}

/// Every half centimetre of the skin that is allowed, half a centimetre inside its borders.
fn grid(body: &Body) -> Vec<Site> {
    let mut found = Vec::new();
    for zone in ZONES {
        let patch = body.patch(zone);
        let (left, low, right, high) = patch.bounds();
        let steps = |from: f64, to: f64| (from * 2.0).ceil() as i32..=(to * 2.0).floor() as i32;
        for up in steps(low, high) {
            for across in steps(left, right) {
                let (across_cm, up_cm) = (f64::from(across) / 2.0, f64::from(up) / 2.0);
                let point = Point { across_cm, up_cm };
                let navel = across_cm.hypot(up_cm) < NAVEL_CM + 0.5 && zone == Zone::Abdomen;
                let allowed = patch.contains(point)
                    && !navel
                    && patch.border_cm(point) >= 0.5
                    && (patch.margins().iter()).all(|m| m.distance_cm(point) >= m.radius_cm + 0.5);
                if allowed {
                    found.push(at(zone, point, body));
                }
            }
        }
    }
    found
}

/// The points farthest from what still rests, a centimetre from it and from each other.
fn roomiest(grid: &[Site], past: &[Past], at: DateTime<FixedOffset>, count: usize) -> Vec<Site> {
    let resting: Vec<Site> = (past.iter().filter(|p| rests(p, at)))
        .map(|p| p.site)
        .collect();
    let apart = |a: &Site, b: &Site| {
        if a.zone == b.zone {
            a.point.unwrap().distance_cm(b.point.unwrap())
        } else {
            f64::INFINITY
        }
    };
    let room = |site: &Site, others: &[Site]| {
        others
            .iter()
            .map(|o| apart(site, o))
            .fold(f64::INFINITY, f64::min)
    };
    let mut left: Vec<(f64, Site)> = grid
        .iter()
        .map(|site| (room(site, &resting), *site))
        .filter(|(room, _)| *room >= 1.0)
        .collect();
    left.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut found: Vec<Site> = Vec::new();
    for (_, site) in left {
        if room(&site, &found) >= 1.0 {
            found.push(site);
        }
        if found.len() == count {
            break;
        }
    }
    found
}

/// Four weeks of four injections a day.
mod plan_four_weeks {
    use super::*;

    fn slots() -> Vec<Slot> {
        let at = |n: i64| now() + Duration::hours(n * 6);
        (0..112)
            .map(|n| Slot {
                at: at(n),
                order: 0,
            })
            .collect()
    }

    fn orders() -> [PlanOrder<'static>; 1] {
        [PlanOrder {
            id: "order",
            medicine: insulin(),
            self_given: true,
            from: now().date_naive(),
            per_day: 4.0,
            zones: &[],
        }]
    }

    /// A skin that was asked about before: its points are known.
    #[divan::bench(args = SIZES, sample_count = 50)]
    fn warm(bencher: Bencher<'_, '_>, count: usize) {
        let body = adult();
        let history = History::new(over_the_abdomen(count, &body));
        let skin = skin(&body, &history);
        let (slots, orders) = (slots(), orders());
        let wish = PlanWish {
            orders: &orders,
            zones: &ZONES,
            slots: &slots,
        };
        assert_eq!(plan(&wish, &skin).entries.len(), 112);
        bencher.bench_local(|| plan(black_box(&wish), &skin));
    }

    /// A skin that is asked about for the first time, each time a little taller.
    #[divan::bench(args = [100_000], sample_count = 10, sample_size = 1)]
    fn cold(bencher: Bencher<'_, '_>, count: usize) {
        let history = History::new(over_the_abdomen(count, &adult()));
        let (slots, orders) = (slots(), orders());
        let wish = PlanWish {
            orders: &orders,
            zones: &ZONES,
            slots: &slots,
        };
        let mut height = 169.0;
        let taller = || {
            height += 0.01;
            Body::of(&Sizes {
                height_cm: Some(height),
                ..Sizes::default()
            })
        };
        bencher
            .with_inputs(taller)
            .bench_local_refs(|body| plan(black_box(&wish), &skin(body, &history)));
    }

    /// The roomiest point for each injection, as if the ones before it had been given. The points are ready.
    #[divan::bench(args = SIZES, sample_count = 3, sample_size = 1)]
    fn brute_force(bencher: Bencher<'_, '_>, count: usize) {
        let body = adult();
        let past = over_the_abdomen(count, &body);
        let (grid, slots) = (grid(&body), slots());
        bencher.bench_local(|| {
            let mut past = black_box(&past).clone();
            let mut given = 0;
            for slot in &slots {
                let found = roomiest(&grid, &past, slot.at, 1);
                for site in found {
                    let id = count + given;
                    past.push(Past {
                        given_at: slot.at,
                        ..injection(id, site)
                    });
                    given += 1;
                }
            }
            given
        });
    }
}
