//! Terms of orders and what goes with an injection: from the wire to the domain and back.

use chrono::NaiveTime;
use fallow_core::act::{Act, Outcome};
use fallow_core::orders::{
    Device, GlucoseTerms, Region, Terms, Window, weekday_number, weekday_of,
};

use crate::error::{ApiError, ErrorCode as Code};
use crate::lower;
use crate::wire::{ActData, ActWire, OrderTerms, RegionWire};

type Lowered<T> = Result<T, ApiError>;

/// Refuses a word that is not in its list.
pub(crate) fn not_one_of(text: &str, allowed: &[&str]) -> ApiError {
    ApiError::new(
        Code::BadCode,
        format!(
            "\"{text}\" is not known here. Use one of: {}.",
            allowed.join(", ")
        ),
    )
}

/// Reads one of a list of words.
pub(crate) fn one_of<T: Copy>(
    text: &str,
    all: &[T],
    code: impl Fn(T) -> &'static str,
) -> Lowered<T> {
    let found = all.iter().copied().find(|one| code(*one) == text);
    found.ok_or_else(|| not_one_of(text, &all.iter().map(|one| code(*one)).collect::<Vec<_>>()))
}

pub(crate) fn device(text: Option<&str>) -> Lowered<Option<Device>> {
    text.map(|text| one_of(text, &Device::ALL, Device::code))
        .transpose()
}

pub(crate) fn lowered(wire: &OrderTerms, times: &[NaiveTime]) -> Lowered<Terms> {
    let weekdays = wire
        .weekdays
        .iter()
        .map(|n| {
            weekday_of(*n).ok_or_else(|| {
                ApiError::new(
                    Code::BadCount,
                    "Weekdays are numbers, 1 for Monday to 7 for Sunday.",
                )
            })
        })
        .collect::<Lowered<Vec<_>>>()?;
    let window = match (wire.window_before_min, wire.window_after_min) {
        (None, None) => None,
        (Some(before_min), Some(after_min)) if before_min <= 1440 && after_min <= 1440 => {
            Some(Window {
                before_min,
                after_min,
            })
        }
        _ => {
            return Err(ApiError::new(
                Code::BadCount,
                "Give the minutes before and after a time of day together, each from 0 to 1440.",
            ));
        }
    };
    if wire.needle_mm.is_some_and(|mm| !(3.0..=40.0).contains(&mm)) {
        return Err(ApiError::new(
            Code::BadSize,
            "A needle is from 3 to 40 mm long. Check the length on its box.",
        ));
    }
    let day = |what: &str, text: &Option<String>| {
        text.as_deref().map(|t| lower::date(what, t)).transpose()
    };
    let regions = wire
        .regions
        .iter()
        .map(|region| {
            let time = NaiveTime::parse_from_str(&region.time, "%H:%M").ok();
            let time = time.filter(|time| times.contains(time)).ok_or_else(|| {
                ApiError::new(
                    Code::BadTime,
                    format!(
                        "\"{}\" is not one of the order's times of day.",
                        region.time
                    ),
                )
            })?;
            let zones = region
                .zones
                .iter()
                .map(|zone| lower::zone(zone))
                .collect::<Lowered<_>>()?;
            Ok(Region { time, zones })
        })
        .collect::<Lowered<_>>()?;
    Ok(Terms {
        weekdays,
        window,
        device: device(wire.device.as_deref())?,
        needle_mm: wire.needle_mm,
        signed_on: day("the day it was signed", &wire.signed_on)?,
        review_by: day("the day of its review", &wire.review_by)?,
        asks_glucose: wire.asks_glucose,
        glucose: glucose(wire)?,
        second_check: wire.second_check,
        may_give: lower::some_text("who may give it", wire.may_give.as_deref(), 500)?,
        regions,
    })
}

/// Limits as they were written; that they can be read is asked here.
fn glucose(wire: &OrderTerms) -> Lowered<Option<GlucoseTerms>> {
    let (low, high) = (&wire.glucose_low, &wire.glucose_high);
    let Some(unit) = &wire.glucose_unit else {
        return if low.is_some() || high.is_some() {
            Err(ApiError::new(
                Code::WrongUnit,
                "A glucose limit needs its unit: mmol/L or mg/dL.",
            ))
        } else {
            Ok(None)
        };
    };
    let terms = GlucoseTerms {
        unit: unit.clone(),
        low: low.clone(),
        high: high.clone(),
    };
    crate::glucose::limits(&terms, "the prescriber")?;
    Ok(Some(terms))
}

pub(crate) fn raised(terms: &Terms) -> OrderTerms {
    let day = |day: Option<chrono::NaiveDate>| day.map(|d| d.to_string());
    let glucose = terms.glucose.as_ref();
    OrderTerms {
        weekdays: terms.weekdays.iter().map(|d| weekday_number(*d)).collect(),
        window_before_min: terms.window.map(|w| w.before_min),
        window_after_min: terms.window.map(|w| w.after_min),
        device: terms.device.map(|d| d.code().to_owned()),
        needle_mm: terms.needle_mm,
        signed_on: day(terms.signed_on),
        review_by: day(terms.review_by),
        asks_glucose: terms.asks_glucose,
        glucose_unit: glucose.map(|g| g.unit.clone()),
        glucose_low: glucose.and_then(|g| g.low.clone()),
        glucose_high: glucose.and_then(|g| g.high.clone()),
        second_check: terms.second_check,
        may_give: terms.may_give.clone(),
        regions: terms
            .regions
            .iter()
            .map(|region| RegionWire {
                time: region.time.format("%H:%M").to_string(),
                zones: region.zones.iter().map(|z| z.code().to_owned()).collect(),
            })
            .collect(),
    }
}

/// What goes with an injection; the note and who held the needle are told beside it.
pub(crate) fn act(wire: &ActWire, self_given: Option<bool>, note: Option<String>) -> Lowered<Act> {
    let outcomes = wire
        .outcomes
        .iter()
        .map(|text| one_of(text, Outcome::ALL, Outcome::code))
        .collect::<Lowered<Vec<_>>>()?;
    let checks = wire
        .checks
        .iter()
        .map(|text| lower::text("each check", text, 100))
        .collect::<Lowered<Vec<_>>>()?;
    if checks.len() > 50 {
        return Err(ApiError::new(
            Code::BadCount,
            "At most 50 checks can be kept with an injection.",
        ));
    }
    Ok(Act {
        self_given,
        outcomes,
        checks,
        dose_reason: lower::some_text(
            "why the dose is different",
            wire.dose_reason.as_deref(),
            500,
        )?,
        second_checker: lower::some_text(
            "who checked as the second person",
            wire.second_checker.as_deref(),
            200,
        )?,
        needle_disposed: wire.needle_disposed,
        container: wire.container.as_deref().map(lower::id).transpose()?,
        note,
    })
}

pub(crate) fn act_data(act: &Act) -> ActData {
    let words: Vec<&str> = act.outcomes.iter().map(|o| o.words()).collect();
    ActData {
        act: ActWire {
            outcomes: act.outcomes.iter().map(|o| o.code().to_owned()).collect(),
            checks: act.checks.clone(),
            dose_reason: act.dose_reason.clone(),
            second_checker: act.second_checker.clone(),
            needle_disposed: act.needle_disposed,
            container: act.container.clone(),
        },
        self_given: act.self_given,
        outcome_words: (!words.is_empty()).then(|| words.join(", ")),
    }
}
