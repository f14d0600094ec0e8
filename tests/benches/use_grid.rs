//! How long the use of a whole body takes, cell by cell and by quadrant, beside every injection asked each time.
//!
//! `cargo xtask bench use_grid`. Timings are benchmarks, never tests; the goal is 4 ms at 10,000 injections.
#![allow(missing_docs, clippy::unwrap_used, clippy::pedantic)]

mod record;

use std::hint::black_box;

use divan::Bencher;
use fallow_core::body::Body;
use fallow_core::rules::{History, Past};
use fallow_core::site::Zone;
use fallow_core::use_grid::{Footprint, use_grid as grid_of};
use fallow_core::use_map::use_map as map_of;

use record::{SIZES, adult, now, over};

fn main() {
    divan::main();
}

fn history(count: usize, body: &Body) -> History {
    History::new(over(&Zone::ALL, count, body))
}

mod use_grid {
    use super::*;

    #[divan::bench(args = SIZES)]
    fn marked(bencher: Bencher<'_, '_>, count: usize) {
        let body = adult();
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
        let body = adult();
        let history = history(count, &body);
        let footprint = Footprint::new(2.5, 28.0).unwrap();
        bencher.bench_local(|| grid_of(black_box(&history), &body, now(), footprint));
    }

    #[divan::bench(args = [1_000, 10_000], sample_count = 3)]
    fn brute_force(bencher: Bencher<'_, '_>, count: usize) {
        let body = adult();
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

/// Days of rest and the count of 28 days, by quadrant.
mod use_map {
    use super::*;

    #[divan::bench(args = SIZES)]
    fn of_the_year(bencher: Bencher<'_, '_>, count: usize) {
        let history = history(count, &adult());
        bencher.bench_local(|| map_of(black_box(&history), black_box(now())));
    }

    #[divan::bench(args = SIZES, sample_count = 20)]
    fn brute_force(bencher: Bencher<'_, '_>, count: usize) {
        let history = history(count, &adult());
        let plain = || {
            let all = black_box(&history).all();
            Zone::ALL.map(|zone| {
                zone.quadrants().map(|quadrant| {
                    let here = |p: &&Past| p.site.zone == zone && p.site.quadrant == quadrant;
                    let days = |p: &Past| (now().date_naive() - p.day()).num_days();
                    let days = all.iter().filter(here).map(days).filter(|days| *days < 366);
                    let month = days.clone().filter(|days| *days < 28).count();
                    (days.min(), month)
                })
            })
        };
        for (zone, plain) in map_of(&history, now()).iter().zip(plain()) {
            for (quadrant, (days, month)) in zone.quadrants.iter().zip(plain) {
                assert_eq!(quadrant.days.map(i64::from), days);
                assert_eq!(quadrant.count_28_days as usize, month);
            }
        }
        bencher.bench_local(plain);
    }
}
