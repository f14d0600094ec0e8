//! How long the use map of a whole body takes, beside every cell asked about every injection.
//!
//! `cargo xtask bench use_grid`. Timings are benchmarks, never tests; the goal is 4 ms at 10,000 injections.
#![allow(missing_docs, clippy::unwrap_used, clippy::pedantic)]

use std::hint::black_box;

use chrono::{DateTime, Duration, FixedOffset};
use divan::Bencher;
use fallow_core::body::Body;
use fallow_core::person::Sizes;
use fallow_core::rules::{History, Past};
use fallow_core::site::{Point, Site, Zone};
use fallow_core::use_grid::{Footprint, use_grid as grid_of};

fn main() {
    divan::main();
}

fn now() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2026-06-03T09:00:00+01:00").unwrap()
}

/// Four a day going back, over all seven zones.
fn history(count: usize, body: &Body) -> History {
    let past = (0..count).map(|n| {
        let zone = Zone::ALL[n % 7];
        let patch = body.patch(zone);
        let (left, low, right, high) = patch.bounds();
        let point = Point {
            across_cm: left + (n * 7 % 41) as f64 / 41.0 * (right - left),
            up_cm: low + (n * 11 % 97) as f64 / 97.0 * (high - low),
        };
        Past {
            id: format!("{n:06}"),
            medicine: "insulin-aspart-100".into(),
            class: "insulin".into(),
            site: Site {
                zone,
                quadrant: patch.quadrant_of(point),
                point: Some(point),
            },
            given_at: now() - Duration::hours(n as i64 * 6 + 6),
        }
    });
    History::new(past.collect())
}

mod use_grid {
    use super::*;

    #[divan::bench(args = [1_000, 10_000, 100_000])]
    fn marked(bencher: Bencher<'_, '_>, count: usize) {
        let body = Body::of(&Sizes::default());
        let history = history(count, &body);
        let footprint = Footprint::new(1.0, 28.0).unwrap();
        bencher.bench_local(|| {
            grid_of(
                black_box(&history),
                black_box(&body),
                black_box(now()),
                footprint,
            )
        });
    }

    /// The widest spacing a medicine asks, which marks six times as many cells.
    #[divan::bench(args = [10_000])]
    fn marked_2_5_cm(bencher: Bencher<'_, '_>, count: usize) {
        let body = Body::of(&Sizes::default());
        let history = history(count, &body);
        let footprint = Footprint::new(2.5, 28.0).unwrap();
        bencher.bench_local(|| grid_of(black_box(&history), &body, now(), footprint));
    }

    #[divan::bench(args = [1_000, 10_000], sample_count = 3)]
    fn brute_force(bencher: Bencher<'_, '_>, count: usize) {
        let body = Body::of(&Sizes::default());
        let history = history(count, &body);
        let footprint = Footprint::new(1.0, 28.0).unwrap();
        let empty = grid_of(&History::default(), &body, now(), footprint);
        bencher.bench_local(|| {
            let mut loads = Vec::new();
            for grid in &empty {
                for cell in &grid.cells {
                    let load: f64 = history
                        .all()
                        .iter()
                        .filter(|p| {
                            p.site.zone == grid.zone
                                && p.site
                                    .point
                                    .is_some_and(|q| q.distance_cm(cell.centre) < 1.0 - 1e-9)
                        })
                        .map(|p| {
                            (-((now() - p.given_at).num_seconds() as f64) / 86_400.0 / 28.0).exp2()
                        })
                        .sum();
                    loads.push(load);
                }
            }
            loads
        });
    }
}
