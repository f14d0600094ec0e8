//! Whatever is typed or read as a code: no panic, and what was read and printed reads back as the same.

use std::cell::Cell;
use std::time::Instant;

use chrono::{DateTime, NaiveDateTime};
use chrono_tz::Tz;
use fallow_core::before::Expiry;
use fallow_core::glucose::{Glucose, GlucoseUnit, KetoneReading, Ketones, Reading};
use fallow_core::site::{Quadrant, Zone};
use fallow_core::time::{self, Clock};
use fallow_core::typed_number::{self, DecimalSign};
use fallow_core::units::{Dose, DoseUnit};
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::{Config, TestRunner};

use crate::dial::{figure, until};

/// What people and programs could write where a number, a code or a day is asked for.
fn texts() -> impl Strategy<Value = String> {
    prop_oneof![
        ".{0,24}",
        "[0-9]{0,12}[.,' ]?[0-9]{0,8}",
        "[-+ ]?[0-9]{1,4}[-/. ]{0,3}[0-9]{1,3}[-/. ]{0,2}[0-9]{0,3}",
        "[0-9٠-٩０-９½²]{1,6}[.,٫٬]?[0-9]{0,4}",
        "(LO|HI|lo|hi|Lo|hI|units|mg|mmol/L|abdomen|left_thigh|left_lower|12|24)[ a-z]{0,2}",
        "[0-9]{4}-[0-9]{2}(-[0-9]{2})?",
        "[0-9]{1,400}",
    ]
}

/// Runs `check` on new input until the time is up; how often. A failure is shrunk and shown.
fn run<S: Strategy>(what: &str, percent: u32, input: S, check: impl Fn(S::Value)) -> u64
where
    S::Value: std::fmt::Debug + Clone,
{
    let config = Config {
        cases: 500,
        failure_persistence: None,
        ..Config::default()
    };
    let end = until(percent);
    let executions = Cell::new(0);
    while Instant::now() < end {
        // A runner that made its cases once makes no more.
        let done = TestRunner::new(config.clone()).run(&input, |input| {
            executions.set(executions.get() + 1);
            check(input);
            Ok(())
        });
        done.unwrap_or_else(|found| panic!("{what}: {found}"));
    }
    let executions = executions.get();
    figure(what, &[("executions", executions), ("losses", 0)]);
    executions
}

fn check_text(text: &str) {
    for sign in [DecimalSign::Point, DecimalSign::Comma] {
        if let Ok(number) = typed_number::read(text, sign) {
            let thousandths = number.thousandths();
            assert!((0..=999_999_999).contains(&thousandths), "{thousandths}");
            // Written out in full with this sign it is the same number, or one of three decimals that is asked about.
            let (whole, rest) = (thousandths / 1000, thousandths % 1000);
            let written = format!("{whole}{}{rest:03}", sign.character());
            let short = written
                .trim_end_matches('0')
                .trim_end_matches(sign.character());
            match typed_number::read(short, sign) {
                Ok(again) => assert_eq!(again, number, "{text:?} as {short:?}"),
                Err(told) => assert!(rest % 10 != 0, "{short:?}: {told}"),
            }
        }
    }
    for unit in DoseUnit::ALL {
        if let Ok(dose) = Dose::parse(text, unit) {
            assert_eq!(Dose::parse(&dose.value(), unit), Ok(dose));
            assert!(dose.to_string().len() > 3);
        }
    }
    for unit in [GlucoseUnit::MmolPerLitre, GlucoseUnit::MgPerDecilitre] {
        if let Ok(glucose) = Glucose::parse(text, unit) {
            assert_eq!(Glucose::parse(&glucose.value(), unit), Ok(glucose));
            let _ = (glucose.in_both(), glucose.question());
        }
        if let Ok(reading) = Reading::parse(text, unit) {
            assert_eq!(Reading::parse(&reading.value(), unit), Ok(reading));
        }
    }
    if let Ok(ketones) = Ketones::parse(text) {
        assert_eq!(Ketones::parse(&ketones.value()), Ok(ketones));
    }
    let _ = KetoneReading::parse(text).map(|k| k.to_string());
    if let Some(expiry) = Expiry::parse(text) {
        assert_eq!(Expiry::parse(&expiry.code()), Some(expiry), "{text:?}");
        assert!(!expiry.words().is_empty());
    }
    if let Some(zone) = Zone::from_code(text) {
        assert_eq!(zone.code(), text);
    }
    if let Some(quadrant) = Quadrant::from_code(text) {
        assert_eq!(quadrant.code(), text);
    }
    if let Some(clock) = Clock::from_code(text) {
        assert_eq!(clock.code(), text);
    }
    if let Ok(unit) = DoseUnit::from_code(text) {
        assert_eq!(unit.code(), text);
    }
    if let Ok(at) = DateTime::parse_from_rfc3339(text) {
        let _ = time::words(at, Tz::Europe__London, Clock::default());
    }
}

#[test]
fn whatever_is_typed_is_read_or_refused() {
    let read = run("fuzz_typed", 15, texts(), |text| check_text(&text));
    // The input is of use: some of it is read.
    let mut runner = TestRunner::default();
    let taken = (0..2_000)
        .map(|_| texts().new_tree(&mut runner).unwrap().current())
        .filter(|text| typed_number::read(text, DecimalSign::Point).is_ok())
        .count();
    assert!(read > 0 && taken > 50, "{taken} of 2000 are numbers");
}

/// Wall times and stored instants, in every zone there is.
#[test]
fn every_wall_time_in_every_zone_has_a_meaning() {
    let input = (
        -3_000_000_000_i64..8_000_000_000,
        0..chrono_tz::TZ_VARIANTS.len(),
        any::<i64>(),
        any::<i32>(),
    );
    run("fuzz_times", 10, input, |(seconds, zone, ms, offset)| {
        let zone = chrono_tz::TZ_VARIANTS[zone];
        let local: NaiveDateTime = DateTime::from_timestamp(seconds, 0).unwrap().naive_utc();
        match time::meaning(local, zone) {
            time::Meaning::Once(at) => assert_eq!(at.naive_local(), local),
            time::Meaning::Twice(one, two) => {
                assert!(one < two, "{one} {two}");
                assert_eq!((one.naive_local(), two.naive_local()), (local, local));
            }
            time::Meaning::Never(before, after) => assert!(before < after, "{before} {after}"),
        }
        for offset in [offset, offset % 1440] {
            for ms in [ms, ms % 7_000_000_000_000] {
                if let Some(at) = time::from_parts(ms, offset) {
                    assert_eq!(at.timestamp_millis(), ms);
                    assert_eq!(at.offset().local_minus_utc(), offset * 60);
                    if let Ok(again) = DateTime::parse_from_rfc3339(&at.to_rfc3339()) {
                        assert_eq!((again, again.offset()), (at, at.offset()));
                    }
                }
            }
        }
    });
}
