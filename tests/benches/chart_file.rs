//! How long a chart takes as a file, ten years of four injections a day, beside drawing twelve weeks in the same run.
//!
//! `cargo xtask bench chart_file`. Timings are benchmarks, never tests. What is timed is the whole way from the history
//! to the bytes: measures, drawings, pages; reading the record from the disk is not part of it.
#![allow(missing_docs, clippy::unwrap_used, clippy::pedantic)]

use std::hint::black_box;
use std::ops::ControlFlow;

use chrono::{DateTime, Days, NaiveDate, TimeDelta};
use divan::Bencher;
use fallow_charts::page::{About, Format, Paper, make};
use fallow_charts::{Came, Facts, GlucosePoint, Theme, drawings};
use fallow_core::body::Body;
use fallow_core::measures::{Period, Question, measure};
use fallow_core::medicines::Book;
use fallow_core::person::Sizes;
use fallow_core::rules::{History, Past};
use fallow_core::site::{Point, Quadrant, Site, Zone};
use fallow_core::time::Clock;

fn main() {
    divan::main();
}

const QUADRANTS: [(Quadrant, f64, f64); 4] = [
    (Quadrant::RightUpper, -6.0, 4.0),
    (Quadrant::LeftUpper, 6.0, 4.0),
    (Quadrant::LeftLower, 6.0, -4.0),
    (Quadrant::RightLower, -6.0, -4.0),
];

/// A record of so many days that ends today, four injections and four glucose values a day.
struct Record {
    body: Body,
    history: History,
    recorders: Vec<(String, String)>,
    glucose: Vec<GlucosePoint>,
    slots: Vec<(NaiveDate, Came)>,
    period: Period,
}

impl Record {
    fn of(days: u64) -> Self {
        let to = NaiveDate::from_ymd_opt(2026, 11, 20).unwrap();
        let from = to - Days::new(days - 1);
        let mut past = Vec::new();
        let mut glucose = Vec::new();
        let mut slots = Vec::new();
        for n in 0..days * 4 {
            let day = from + Days::new(n / 4);
            let at = day.and_hms_opt(7, 0, 0).unwrap().and_utc().fixed_offset()
                + TimeDelta::hours(4 * (n % 4) as i64);
            let (quadrant, x, y) = QUADRANTS[(n / 28 % 4) as usize];
            let turn = n as f64 * 0.7;
            past.push(Past {
                id: format!("{n:08}"),
                medicine: "insulin-glargine-100".into(),
                class: "insulin".into(),
                site: Site {
                    zone: Zone::Abdomen,
                    quadrant,
                    point: Some(Point {
                        across_cm: x + 3.0 * turn.cos(),
                        up_cm: y + 2.0 * turn.sin(),
                    }),
                },
                given_at: at,
            });
            glucose.push(GlucosePoint {
                at,
                mmol_per_l: 3.5 + (n % 11) as f64,
            });
            slots.push((day, Came::Given));
        }
        let recorders = past
            .iter()
            .enumerate()
            .map(|(n, p)| (p.id.clone(), format!("Nurse {}", n % 5)))
            .collect();
        Self {
            body: Body::of(&Sizes::default()),
            history: History::new(past),
            recorders,
            glucose,
            slots,
            period: Period { from, to },
        }
    }

    fn with<T>(&self, ask: impl FnOnce(&Facts<'_>) -> T) -> T {
        let measures = measure(&Question {
            body: &self.body,
            history: &self.history,
            book: Book::shipped(),
            allowed: &[],
            period: self.period,
            seed: 1,
        });
        let to = self.period.to.and_hms_opt(12, 0, 0).unwrap();
        ask(&Facts {
            period: self.period,
            before: None,
            body: &self.body,
            history: &self.history,
            recorders: &self.recorders,
            courses: &[],
            glucose: &self.glucose,
            mg_per_dl: false,
            low: Some((4.0, "a published source")),
            slots: &self.slots,
            measures: &measures,
            measures_before: None,
            rules: (1.0, 28.0, "a published source"),
            at: to.and_utc().fixed_offset(),
        })
    }

    fn file(&self, format: Format) -> usize {
        let about = About {
            name: "Marit Oakfell",
            born: NaiveDate::from_ymd_opt(1951, 3, 9).unwrap(),
            identifier: None,
            made: DateTime::parse_from_rfc3339("2026-11-20T08:05:00+00:00").unwrap(),
            clock: Clock::default(),
            journal: "Journal of this device when this was made: 3,650 entries.",
        };
        let go_on = &mut |_, _| ControlFlow::Continue(());
        self.with(|facts| make(facts, &about, format, go_on))
            .unwrap()
            .bytes
            .len()
    }
}

#[divan::bench]
fn twelve_weeks_drawn(bencher: Bencher<'_, '_>) {
    let record = Record::of(84);
    bencher.bench_local(|| black_box(record.with(|facts| drawings(facts, 720, Theme::Light))));
}

#[divan::bench]
fn twelve_weeks_as_pdf(bencher: Bencher<'_, '_>) {
    let record = Record::of(84);
    bencher.bench_local(|| black_box(record.file(Format::Pdf(Paper::A4))));
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn ten_years_as_pdf(bencher: Bencher<'_, '_>) {
    let record = Record::of(3_652);
    bencher.bench_local(|| black_box(record.file(Format::Pdf(Paper::A4))));
}

#[divan::bench(sample_count = 5, sample_size = 1)]
fn ten_years_as_png(bencher: Bencher<'_, '_>) {
    let record = Record::of(3_652);
    bencher.bench_local(|| black_box(record.file(Format::Png)));
}
