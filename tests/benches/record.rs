//! The record that measurements are taken on: nobody's, four injections a day going back from one moment.
//!
//! Not here: anything measured. Each measurement uses a part of it.
#![allow(dead_code)]

use chrono::{DateTime, Duration, FixedOffset};
use fallow_core::body::Body;
use fallow_core::person::Sizes;
use fallow_core::rules::Past;
use fallow_core::site::{Point, Site, Zone};

/// How many earlier injections a question is measured with, where they matter.
pub(crate) const SIZES: [usize; 3] = [1_000, 10_000, 100_000];

/// The moment every question is asked at.
pub(crate) fn now() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2026-06-03T09:00:00+01:00").unwrap()
}

/// The reference adult.
pub(crate) fn adult() -> Body {
    Body::of(&Sizes::default())
}

/// When the injection so many before now was given: one every six hours.
pub(crate) fn given_at(n: usize) -> DateTime<FixedOffset> {
    now() - Duration::hours(n as i64 * 6 + 6)
}

/// A place on the abdomen, half a centimetre by half a centimetre, the next one far from it.
pub(crate) fn site(n: usize, body: &Body) -> Site {
    let point = Point {
        across_cm: (n * 7 % 41) as f64 * 0.5 - 10.0,
        up_cm: (n * 11 % 23) as f64 * 0.5 - 7.0,
    };
    at(Zone::Abdomen, point, body)
}

/// A point of a zone with its quadrant.
pub(crate) fn at(zone: Zone, point: Point, body: &Body) -> Site {
    Site {
        zone,
        quadrant: body.patch(zone).quadrant_of(point),
        point: Some(point),
    }
}

/// An earlier injection of insulin.
pub(crate) fn injection(n: usize, site: Site) -> Past {
    Past {
        id: format!("{n:06}"),
        medicine: "insulin-aspart-100".into(),
        class: "insulin".into(),
        site,
        given_at: given_at(n),
    }
}

/// So many injections over the abdomen.
pub(crate) fn over_the_abdomen(count: usize, body: &Body) -> Vec<Past> {
    (0..count)
        .map(|n| injection(n, site(n % 1000, body)))
        .collect()
}

/// So many injections over these zones in turn.
pub(crate) fn over(zones: &[Zone], count: usize, body: &Body) -> Vec<Past> {
    let place = |n: usize| {
        let zone = zones[n % zones.len()];
        let (left, low, right, high) = body.patch(zone).bounds();
        let point = Point {
            across_cm: left + (n * 7 % 41) as f64 / 41.0 * (right - left),
            up_cm: low + (n * 11 % 97) as f64 / 97.0 * (high - low),
        };
        at(zone, point, body)
    };
    (0..count).map(|n| injection(n, place(n))).collect()
}
