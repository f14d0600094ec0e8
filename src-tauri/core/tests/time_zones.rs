//! Wall times and instants against a second library with time zone data of its own: jiff and its bundled tzdb.
#![allow(missing_docs, clippy::unwrap_used)]

use chrono::{DateTime, FixedOffset, NaiveDateTime};
use chrono_tz::Tz;
use fallow_core::time::{Meaning, meaning, typed_into_gap};
use jiff::civil;
use jiff::tz::{AmbiguousOffset, TimeZone};
use proptest::prelude::*;

/// Seconds since 1970 of a wall time under an offset.
fn seconds(local: NaiveDateTime, offset: jiff::tz::Offset) -> i64 {
    local.and_utc().timestamp() - i64::from(offset.seconds())
}

fn civil_of(local: NaiveDateTime) -> civil::DateTime {
    local
        .format("%Y-%m-%dT%H:%M:%S")
        .to_string()
        .parse()
        .unwrap()
}

/// What jiff makes of a wall time: once, twice (earlier, later), or never.
fn theirs(local: NaiveDateTime, zone: &TimeZone) -> (&'static str, Vec<i64>) {
    match zone.to_ambiguous_timestamp(civil_of(local)).offset() {
        AmbiguousOffset::Unambiguous { offset } => ("once", vec![seconds(local, offset)]),
        AmbiguousOffset::Fold { before, after } => {
            ("twice", vec![seconds(local, before), seconds(local, after)])
        }
        // The wall time under the offset after the gap, and under the one before it.
        AmbiguousOffset::Gap { before, after } => {
            ("never", vec![seconds(local, after), seconds(local, before)])
        }
    }
}

fn ours(local: NaiveDateTime, zone: Tz) -> (&'static str, Vec<i64>) {
    match meaning(local, zone) {
        Meaning::Once(at) => ("once", vec![at.timestamp()]),
        Meaning::Twice(a, b) => ("twice", vec![a.timestamp(), b.timestamp()]),
        Meaning::Never(a, b) => ("never", vec![a.timestamp(), b.timestamp()]),
    }
}

fn local(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").unwrap()
}

#[test]
fn the_acceptance_cases_mean_the_same_to_a_second_library() {
    // Cases S1 and S2, zones of half and quarter hours, a gap of half an hour, a skipped midnight, a skipped day.
    for (text, zone) in [
        ("2026-10-25T02:20", "Europe/Paris"),
        ("2026-03-29T02:30", "Europe/Paris"),
        ("2026-10-04T02:10", "Australia/Lord_Howe"),
        ("2026-04-05T01:45", "Australia/Lord_Howe"),
        ("2026-09-06T00:00", "America/Santiago"),
        ("2026-06-03T08:00", "Asia/Kolkata"),
        ("2026-06-03T08:00", "Asia/Kathmandu"),
        ("2011-12-30T12:00", "Pacific/Apia"),
        ("2026-11-01T01:30", "America/New_York"),
    ] {
        let ours = ours(local(text), zone.parse().unwrap());
        assert_eq!(
            ours,
            theirs(local(text), &TimeZone::get(zone).unwrap()),
            "{text} {zone}"
        );
    }
}

#[test]
fn instants_are_read_alike_from_rfc_3339() {
    for text in [
        "2026-06-03T08:00:00+01:00",
        "2026-10-25T02:40:00+02:00",
        "2026-07-14T21:30:00-07:00",
        "2026-06-03T08:00:00.250Z",
        "1997-11-21T09:55:06-06:00",
        "2026-06-03T23:59:59+14:00",
    ] {
        let ours: DateTime<FixedOffset> = DateTime::parse_from_rfc3339(text).unwrap();
        let theirs: jiff::Timestamp = text.parse().unwrap();
        assert_eq!(ours.timestamp_millis(), theirs.as_millisecond(), "{text}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    /// Any wall time from 2000 to 2025. Before that the two sets of zone data differ in edition: 2025c changed Baja
    /// California before 1976, and chrono-tz has 2025b.
    #[test]
    fn a_wall_time_means_the_same_to_a_second_library(minutes in 0_i64..(25 * 365 * 24 * 60), pick in 0_usize..10_000) {
        let zone = chrono_tz::TZ_VARIANTS[pick % chrono_tz::TZ_VARIANTS.len()];
        let Ok(theirs_zone) = TimeZone::get(zone.name()) else { return Ok(()) };
        let local = local("2000-01-01T00:00") + chrono::Duration::minutes(minutes);
        let ours = ours(local, zone);
        prop_assert_eq!(&ours, &theirs(local, &theirs_zone), "{} {}", local, zone);
        if ours.0 == "never" {
            let at = DateTime::from_timestamp(ours.1[0], 0).unwrap().with_timezone(&zone).fixed_offset();
            prop_assert!(typed_into_gap(at, zone).is_none(), "an instant the clock showed is no gap");
        }
    }
}
