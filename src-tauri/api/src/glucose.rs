//! Glucose and ketones at the door: what a value means, and where the steps for a low one stand.
//!
//! Nothing here computes a dose or withholds one; who decides stands in the core's words.

use chrono::{DateTime, Duration, FixedOffset};
use fallow_core::act::About;
use fallow_core::glucose::{
    Glucose, GlucoseUnit, KetoneReading, Limit, Limits, Reading, judge, judge_ketones,
};
use fallow_core::low_glucose::{self as low, Entry, Happened, Step};
use fallow_core::orders::GlucoseTerms;
use fallow_core::time;
use fallow_store::{EventEntry, OrderEntry};

use crate::error::{ApiError, ErrorCode as Code};
use crate::terms::not_one_of;
use crate::wire::{GlucoseCheck, GlucoseData, GlucoseGet, GlucoseJudged, LowSteps};
use crate::{App, Clock, Now, events, raise, record};

/// How far back an episode of low glucose and the last value are looked for.
const BACK: Duration = Duration::hours(12);

pub(crate) fn unit(code: &str) -> Result<GlucoseUnit, ApiError> {
    GlucoseUnit::from_code(code).map_err(|e| ApiError::said(Code::BadGlucose, &e))
}

/// The limits an order sets, over the published ones.
pub(crate) fn limits(terms: &GlucoseTerms, prescriber: &str) -> Result<Limits, ApiError> {
    let unit = unit(&terms.unit)?;
    let mut limits = Limits::usual();
    if let Some(text) = &terms.low {
        let at = Glucose::parse(text, unit).map_err(|e| ApiError::said(Code::BadGlucose, &e))?;
        let limit =
            Limit::by_order(at, prescriber).map_err(|e| ApiError::said(Code::BadGlucose, &e))?;
        limits = limits
            .with_low(limit)
            .map_err(|e| ApiError::said(Code::BadGlucose, &e))?;
    }
    if let Some(text) = &terms.high {
        let at = Glucose::parse(text, unit).map_err(|e| ApiError::said(Code::BadGlucose, &e))?;
        limits = limits
            .with_high(at, prescriber)
            .map_err(|e| ApiError::said(Code::BadGlucose, &e))?;
    }
    Ok(limits)
}

/// The limits of an order, or the published ones where it sets none.
pub(crate) fn limits_of(order: Option<&OrderEntry>) -> Result<Limits, ApiError> {
    let terms = order.and_then(|o| Some((o, o.order.terms.glucose.as_ref()?)));
    terms.map_or_else(
        || Ok(Limits::usual()),
        |(o, terms)| {
            let who = o.order.prescriber.trim();
            limits(
                terms,
                if who.is_empty() {
                    "the prescriber"
                } else {
                    who
                },
            )
        },
    )
}

/// Reads a value as a meter shows it.
pub(crate) fn reading(value: &str, unit_code: &str) -> Result<Reading, ApiError> {
    Reading::parse(value.trim(), unit(unit_code)?).map_err(|e| ApiError::said(Code::BadGlucose, &e))
}

pub(crate) fn ketones(value: &str, unit_code: &str) -> Result<KetoneReading, ApiError> {
    if unit_code != "mmol/L" {
        return Err(ApiError::new(
            Code::WrongUnit,
            "Ketones are counted in mmol/L.",
        ));
    }
    KetoneReading::parse(value.trim()).map_err(|e| ApiError::said(Code::BadGlucose, &e))
}

/// What a recorded value means.
pub(crate) fn judged(
    about: About,
    value: &str,
    unit_code: &str,
    limits: &Limits,
) -> Result<GlucoseJudged, ApiError> {
    if about == About::Ketones {
        let reading = ketones(value, unit_code)?;
        let (standing, words) = judge_ketones(reading);
        return Ok(GlucoseJudged {
            standing: standing.code().to_owned(),
            low: false,
            shown: format!("ketones {reading}"),
            words,
            question: None,
        });
    }
    let reading = reading(value, unit_code)?;
    let judged = judge(reading, limits);
    Ok(GlucoseJudged {
        standing: judged.standing.code().to_owned(),
        low: judged.standing.is_low(),
        shown: reading
            .glucose()
            .map_or_else(|| reading.to_string(), Glucose::in_both),
        words: judged.words,
        question: judged.question.map(|q| q.words),
    })
}

pub(crate) fn check(app: &App, args: &GlucoseCheck) -> Result<GlucoseJudged, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let order = record::order_of(&reader, &person, args.order.as_deref())?;
    let about = match args.about.as_deref() {
        None | Some("glucose") => About::Glucose,
        Some("ketones") => About::Ketones,
        Some(other) => return Err(not_one_of(other, &["glucose", "ketones"])),
    };
    judged(about, &args.value, &args.unit, &limits_of(order.as_ref())?)
}

pub(crate) fn state(app: &App, args: &GlucoseGet, now: Now) -> Result<GlucoseData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let at = crate::body::as_of(args.at.as_deref(), &person, now)?;
    let order = record::order_of(&reader, &person, args.order.as_deref())?;
    let limits = limits_of(order.as_ref())?;
    let recent = reader.events(
        &person.head.root,
        (at - BACK).timestamp_millis(),
        at.timestamp_millis() + 1,
    )?;
    let last = recent.iter().find(|e| e.event.about == About::Glucose);
    let value = last.and_then(|e| e.event.value.as_ref());
    let judged = value
        .map(|(value, unit)| judged(About::Glucose, value, unit, &limits))
        .transpose()?;
    let unit = order
        .as_ref()
        .and_then(|o| o.order.terms.glucose.as_ref())
        .map(|terms| terms.unit.clone())
        .or_else(|| value.map(|(_, unit)| unit.clone()))
        .unwrap_or_else(|| GlucoseUnit::MmolPerLitre.code().to_owned());
    let low_limit = limits.low();
    Ok(GlucoseData {
        steps: steps(&recent, &limits, (at, now.clock)),
        last_ago: last.map(|e| time::length_words(at - e.event.at)),
        last: last.map(|e| events::raised(e, now.clock)),
        judged,
        limit_words: format!(
            "Low is below {} ({}).",
            low_limit.at(),
            low_limit.set_by().words()
        ),
        unit,
    })
}

/// The steps of the episode that is going on, or of the last one; `recent` is newest first.
fn steps(
    recent: &[EventEntry],
    limits: &Limits,
    (now, clock): (DateTime<FixedOffset>, Clock),
) -> LowSteps {
    let mut in_order: Vec<&EventEntry> = recent.iter().collect();
    in_order.sort_by_key(|e| e.head.seq);
    let state = low::current(in_order.into_iter().filter_map(entry), limits, now, clock);
    LowSteps {
        until: match state.step {
            Step::Wait { until } => Some(raise::instant(until)),
            _ => None,
        },
        step: state.step.code().to_owned(),
        seconds_left: state.seconds_left,
        rounds: state.rounds,
        words: state.words,
        doubts: state.doubts,
        source: state.source.to_owned(),
    }
}

/// What an event is to the steps; `None` where it is nothing to them.
fn entry(entry: &EventEntry) -> Option<Entry> {
    let event = &entry.event;
    let happened = match (event.about, event.code.as_deref()) {
        (About::Glucose, _) => {
            let (value, unit) = event.value.as_ref()?;
            Happened::Checked(reading(value, unit).ok()?)
        }
        (About::Carbohydrate, _) => Happened::TookCarbohydrate,
        (About::Alarm, Some("cannot_swallow" | "drowsy")) => Happened::CannotSwallow,
        (About::Alarm, Some("over")) => return Some(Entry::Over),
        (About::Alarm | About::Ketones | About::NotGiven, _) => return None,
    };
    Some(Entry::Event(low::Event {
        at: event.at,
        happened,
        recorder: entry.head.recorder.clone().unwrap_or_default(),
    }))
}
