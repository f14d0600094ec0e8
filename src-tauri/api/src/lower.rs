//! From what was sent to what is meant: wire types become the domain's, or a coded error.
//!
//! No side effects. Not here: whether the thing meant is wise ([`fallow_core::rules`]).

use chrono::{DateTime, Days, Duration, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime};
use chrono_tz::Tz;
use fallow_core::body::Body;
use fallow_core::medicines::Medicine;
use fallow_core::orders::Terms;
use fallow_core::person::{Allergies, Order, Person, Sizes};
use fallow_core::site::{Point, Quadrant, Site, Zone};
use fallow_core::time::{self, Meaning};
use fallow_core::units::{Dose, DoseUnit, centimetres, kilograms};

use crate::error::{ApiError, ErrorCode as Code};
use crate::wire::{DoseWire, OrderAdd, PersonAdd, SiteWire, SizesWire, TimeOffer};
use crate::{Clock, Now, raise, terms};

type Lowered<T> = Result<T, ApiError>;

/// How far from a zone's skin a point may be and still be that zone's, in centimetres.
const NEAR_ZONE_CM: f64 = 10.0;
/// How far ahead of the clock an injection may be, for two devices whose clocks differ a little.
const CLOCK_SLACK_MIN: i64 = 2;

/// A UUID in its usual form, in lower case.
pub(crate) fn id(text: &str) -> Lowered<String> {
    uuid::Uuid::parse_str(text)
        .map(|u| u.hyphenated().to_string())
        .map_err(|_| {
            ApiError::new(
                Code::BadId,
                format!(
                    "\"{text}\" is not a UUID. Make one for each new entry, such as 0197f3a0-…."
                ),
            )
        })
}

/// A text of 1 to `most` characters, trimmed.
pub(crate) fn text(what: &str, value: &str, most: usize) -> Lowered<String> {
    let value = value.trim();
    if value.is_empty() {
        return Err(ApiError::new(Code::BadText, format!("Fill in {what}.")));
    }
    // For SQLite a text ends there, and what is behind it is lost to whoever compares or counts.
    if value.contains('\0') {
        return Err(ApiError::new(
            Code::BadText,
            format!("Write {what} without the character NUL, which no screen shows."),
        ));
    }
    if value.chars().count() > most {
        return Err(ApiError::new(
            Code::BadText,
            format!("Shorten {what}: at most {most} characters."),
        ));
    }
    Ok(value.to_owned())
}

/// A text that may be left out; an empty one counts as left out.
pub(crate) fn some_text(what: &str, value: Option<&str>, most: usize) -> Lowered<Option<String>> {
    match value.map(str::trim) {
        None | Some("") => Ok(None),
        Some(value) => text(what, value, most).map(Some),
    }
}

/// A calendar date, `2026-06-01`.
pub(crate) fn date(what: &str, value: &str) -> Lowered<NaiveDate> {
    use chrono::Datelike;
    NaiveDate::parse_from_str(value, "%Y-%m-%d")
        .ok()
        .filter(|d| (1890..=2200).contains(&d.year()))
        .ok_or_else(|| {
            ApiError::new(
                Code::BadDate,
                format!("\"{value}\" is not a date for {what}. Write year-month-day, such as 2026-06-01."),
            )
        })
}

/// An IANA time zone.
pub(crate) fn time_zone(value: &str) -> Lowered<Tz> {
    value.parse().map_err(|_| {
        ApiError::new(
            Code::UnknownTimeZone,
            format!("The time zone \"{value}\" is not known. Write it as in Europe/London."),
        )
    })
}

/// A wall-clock time without an offset, `2026-03-29T02:30`, with or without seconds.
pub(crate) fn local(value: &str) -> Lowered<NaiveDateTime> {
    ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"]
        .iter()
        .find_map(|form| NaiveDateTime::parse_from_str(value, form).ok())
        .ok_or_else(|| {
            ApiError::new(
                Code::BadTime,
                format!("\"{value}\" is not a time. Write 2026-06-03T08:00:00+01:00, or 2026-06-03T08:00 for the person's own clock."),
            )
        })
}

/// An instant: RFC 3339 with its offset, or a wall-clock time in `zone`. A time the clocks skipped or showed twice is
/// refused with the instants that may have been meant.
pub(crate) fn instant(value: &str, zone: Tz, clock: Clock) -> Lowered<DateTime<FixedOffset>> {
    if let Ok(at) = DateTime::parse_from_rfc3339(value) {
        if at.offset().local_minus_utc() % 60 != 0 {
            return Err(ApiError::new(
                Code::BadTime,
                "An offset is of whole minutes, such as +01:00.",
            ));
        }
        return match time::typed_into_gap(at, zone) {
            Some(meaning) => unclear(value, (zone, clock), meaning),
            None => Ok(at),
        };
    }
    let local = local(value)?;
    unclear(value, (zone, clock), time::meaning(local, zone))
}

fn unclear(
    value: &str,
    (zone, clock): (Tz, Clock),
    meaning: Meaning,
) -> Lowered<DateTime<FixedOffset>> {
    let (code, message) = match meaning {
        Meaning::Once(at) => return Ok(at),
        Meaning::Never(..) => (
            Code::TimeInGap,
            format!(
                "{value} did not exist in {}: the clocks went forward over it. Choose one of the times offered.",
                zone.name()
            ),
        ),
        Meaning::Twice(..) => (
            Code::TimeAmbiguous,
            format!(
                "{value} happened twice in {}: the clocks went back. Choose the first or the second.",
                zone.name()
            ),
        ),
    };
    let mut error = ApiError::new(code, message);
    error.details.offers = Some(offers(meaning, zone, clock));
    Err(error)
}

/// The instants a wall-clock time may mean, with words that tell them apart.
pub(crate) fn offers(meaning: Meaning, zone: Tz, clock: Clock) -> Vec<TimeOffer> {
    let offer = |at: DateTime<FixedOffset>, words: String| TimeOffer {
        at: raise::instant(at),
        words,
    };
    match meaning {
        Meaning::Once(at) => vec![offer(at, time::words(at, zone, clock))],
        Meaning::Twice(a, b) => [(a, "first"), (b, "second")]
            .map(|(at, which)| {
                let words = format!("{}, the {which} time", time::words(at, zone, clock));
                offer(at, words)
            })
            .to_vec(),
        Meaning::Never(a, b) => [a, b]
            .map(|at| {
                let words = format!("{} ({})", time::moment_words(at, clock), at.format("%:z"));
                offer(at, words)
            })
            .to_vec(),
    }
}

/// The time an injection was given: not later than now, not before the person was born.
pub(crate) fn given_at(
    value: &str,
    zone: Tz,
    born: NaiveDate,
    now: Now,
) -> Lowered<DateTime<FixedOffset>> {
    let at = instant(value, zone, now.clock)?;
    if at > now.at + Duration::minutes(CLOCK_SLACK_MIN) {
        return Err(ApiError::new(
            Code::TimeInFuture,
            format!(
                "{} is later than now ({}). Record an injection once it is given; check this device's clock if it was.",
                time::words(at, zone, now.clock),
                time::words(now.at.with_timezone(&zone).fixed_offset(), zone, now.clock)
            ),
        ));
    }
    if at.date_naive() < born {
        return Err(ApiError::new(
            Code::TimeBeforeBirth,
            format!(
                "{} is before the person was born. Check the year.",
                time::words(at, zone, now.clock)
            ),
        ));
    }
    // Kept to the millisecond, like the store.
    Ok(at - Duration::nanoseconds(i64::from(at.timestamp_subsec_nanos() % 1_000_000)))
}

/// Body measures, each inside what an adult or a child can have.
pub(crate) fn sizes(wire: &SizesWire) -> Lowered<Sizes> {
    let measure = |what, value: Option<f64>, low, high| {
        value
            .map(|v| centimetres(what, v, low, high))
            .transpose()
            .map_err(|e| {
                ApiError::new(
                    Code::BadSize,
                    format!("{e}. Measure again, or leave it out."),
                )
            })
    };
    Ok(Sizes {
        height_cm: measure("the height", wire.height_cm, 50.0, 250.0)?,
        waist_cm: measure("the waist", wire.waist_cm, 30.0, 250.0)?,
        thigh_cm: measure("the thigh's girth", wire.thigh_cm, 15.0, 150.0)?,
        upper_arm_cm: measure("the upper arm's girth", wire.upper_arm_cm, 8.0, 90.0)?,
    })
}

/// A zone by its code.
pub(crate) fn zone(code: &str) -> Lowered<Zone> {
    Zone::from_code(code).ok_or_else(|| {
        let known: Vec<_> = Zone::ALL.iter().map(|z| z.code()).collect();
        ApiError::new(
            Code::UnknownZone,
            format!(
                "The zone \"{code}\" is not known; use one of: {}.",
                known.join(", ")
            ),
        )
    })
}

/// A site: a zone with a quadrant, a point, or both.
pub(crate) fn site(wire: &SiteWire, body: &Body) -> Lowered<Site> {
    let zone = zone(&wire.zone)?;
    let named = wire
        .quadrant
        .as_deref()
        .map(|code| quadrant(zone, code))
        .transpose()?;
    let point = match (wire.across_cm, wire.up_cm) {
        (Some(across_cm), Some(up_cm)) if across_cm.is_finite() && up_cm.is_finite() => {
            Some(Point { across_cm, up_cm })
        }
        (None, None) => None,
        _ => {
            return Err(ApiError::new(
                Code::SiteIncomplete,
                "A point needs both across_cm and up_cm as numbers; leave both out where only the quadrant is known.",
            ));
        }
    };
    let Some(point) = point else {
        return named
            .map(|quadrant| Site {
                zone,
                quadrant,
                point: None,
            })
            .ok_or_else(|| {
                ApiError::new(
                    Code::SiteIncomplete,
                    "Say at least which quadrant of the zone.",
                )
            });
    };
    let patch = body.patch(zone);
    let place = zone.words().to_lowercase();
    let outside = patch.outside_cm(point);
    if outside > NEAR_ZONE_CM {
        return Err(ApiError::new(
            Code::SiteOffZone,
            format!(
                "That point is {outside:.0} cm away from the {place}. Choose the zone it is in, or check the numbers."
            ),
        ));
    }
    let lies_in = patch.quadrant_of(point);
    if let Some(named) = named.filter(|q| *q != lies_in && !on_the_cut(zone, *q, point, body)) {
        return Err(ApiError::new(
            Code::SiteOutsideQuadrant,
            format!(
                "That point of the {place} lies in the {}, not in the {}. Correct one of them.",
                lies_in.words(),
                named.words()
            ),
        ));
    }
    Ok(Site {
        zone,
        quadrant: named.unwrap_or(lies_in),
        point: Some(point),
    })
}

/// Whether a point lies on the border of the quadrant named, where either name is right.
fn on_the_cut(zone: Zone, named: Quadrant, point: Point, body: &Body) -> bool {
    let patch = body.patch(zone);
    let off_across = point.across_cm - patch.cut_across_cm();
    let off_up = point.up_cm - patch.cut_up_cm();
    let fits = |off: f64, far: bool| off.abs() < 1e-9 || (off > 0.0) == far;
    fits(off_across, named.is_far()) && fits(off_up, named.is_upper())
}

/// A quadrant of a zone by its code.
pub(crate) fn quadrant(zone: Zone, code: &str) -> Lowered<Quadrant> {
    Quadrant::from_code(code)
        .filter(|q| zone.quadrants().contains(q))
        .ok_or_else(|| {
            let known: Vec<_> = zone.quadrants().iter().map(|q| q.code()).collect();
            ApiError::new(
                Code::UnknownQuadrant,
                format!(
                    "The {} has no quadrant \"{code}\"; use one of: {}.",
                    zone.words().to_lowercase(),
                    known.join(", ")
                ),
            )
        })
}

/// A dose in a unit this medicine is given in.
pub(crate) fn dose(wire: &DoseWire, medicine: &Medicine) -> Lowered<Dose> {
    let wrong = |text: &str| {
        let units: Vec<_> = medicine.units.iter().map(|u| u.code()).collect();
        ApiError::new(
            Code::WrongUnit,
            format!(
                "{} is given in {}, not in \"{text}\".",
                medicine.name,
                units.join(" or ")
            ),
        )
    };
    let unit = DoseUnit::from_code(&wire.unit).map_err(|_| wrong(&wire.unit))?;
    if !medicine.units.contains(&unit) {
        return Err(wrong(&wire.unit));
    }
    Dose::parse(&wire.value, unit).map_err(|e| {
        let words = e.to_string();
        let mut letters = words.chars();
        let first = letters
            .next()
            .map(|c| c.to_uppercase().to_string())
            .unwrap_or_default();
        ApiError::new(Code::BadDose, format!("{first}{}.", letters.as_str()))
    })
}

/// Who gives it: true for the person themself.
pub(crate) fn self_given(giver: Option<&str>, habit: bool) -> Lowered<bool> {
    match giver {
        None => Ok(habit),
        Some("self") => Ok(true),
        Some("other") => Ok(false),
        Some(other) => Err(ApiError::new(
            Code::BadRequest,
            format!("giver is \"self\" or \"other\", not \"{other}\"."),
        )),
    }
}

/// The days from `from` to `to`, both included: without a last day up to today, without a first one the 28 days of the
/// rest of a point.
pub(crate) fn period(
    from: Option<&str>,
    to: Option<&str>,
    today: NaiveDate,
) -> Lowered<(NaiveDate, NaiveDate)> {
    let from = from.map(|t| date("the first day", t)).transpose()?;
    let to = to.map(|t| date("the last day", t)).transpose()?;
    let to = to.unwrap_or(today);
    let from = from.unwrap_or_else(|| to - Days::new(27));
    if to < from {
        return Err(ApiError::new(
            Code::DatesReversed,
            "The period ends before it starts. Swap the two dates.",
        ));
    }
    Ok((from, to))
}

/// A person.
pub(crate) fn person(wire: &PersonAdd, now: Now) -> Lowered<Person> {
    let born = date("the date of birth", &wire.born)?;
    let zone_of_person = time_zone(&wire.zone)?;
    if born > time::day_in(now.at, zone_of_person) {
        return Err(ApiError::new(
            Code::BadDate,
            "The date of birth is in the future. Check the year.",
        ));
    }
    let allergies = match &wire.allergies {
        None => Allergies::NotAsked,
        Some(list) if list.is_empty() => Allergies::NoneKnown,
        Some(list) => Allergies::Known(
            list.iter()
                .map(|a| text("each allergy", a, 200))
                .collect::<Lowered<_>>()?,
        ),
    };
    Ok(Person {
        name: text("the name", &wire.name, 200)?,
        born,
        zone: zone_of_person,
        allergies,
        self_injects: wire.self_injects,
        sizes: sizes(&wire.sizes)?,
        zones: wire.zones.iter().map(|z| zone(z)).collect::<Lowered<_>>()?,
        identifier: some_text("the identifier", wire.identifier.as_deref(), 100)?,
        note: some_text("the note", wire.note.as_deref(), 2000)?,
        weight_kg: wire.weight_kg.map(weight).transpose()?,
    })
}

/// A person's weight.
fn weight(kg: f64) -> Lowered<f64> {
    kilograms("the weight", kg)
        .map_err(|e| ApiError::new(Code::BadSize, format!("{e}. Weigh again, or leave it out.")))
}

/// An order.
pub(crate) fn order(wire: &OrderAdd, medicine: &Medicine) -> Lowered<Order> {
    let times = wire
        .times
        .iter()
        .map(|t| {
            NaiveTime::parse_from_str(t, "%H:%M").map_err(|_| {
                ApiError::new(
                    Code::BadTime,
                    format!("\"{t}\" is not a time of day. Write 08:00."),
                )
            })
        })
        .collect::<Lowered<Vec<_>>>()?;
    if times.len() > 48 {
        return Err(ApiError::new(
            Code::BadCount,
            "At most 48 times a day can be kept. Check the times.",
        ));
    }
    let usual = medicine.every_days.as_ref().map_or(1, |d| d.value);
    let every_days = wire.every_days.unwrap_or(usual);
    if !(1..=366).contains(&every_days) {
        return Err(ApiError::new(
            Code::BadCount,
            "\"Every so many days\" is from 1 to 366.",
        ));
    }
    let terms = terms::lowered(&wire.terms, &times)?;
    weekly(medicine, every_days, &terms, times.len())?;
    let from = date("the first day", &wire.from)?;
    let to = wire
        .to
        .as_deref()
        .map(|d| date("the last day", d))
        .transpose()?;
    if to.is_some_and(|to| to < from) {
        return Err(ApiError::new(
            Code::DatesReversed,
            "The last day is before the first. Correct one of them.",
        ));
    }
    Ok(Order {
        medicine: medicine.id.clone(),
        dose: dose(&wire.dose, medicine)?,
        terms,
        times,
        every_days,
        from,
        to,
        prescriber: text("the prescriber", &wire.prescriber, 200)?,
        note: some_text("the note", wire.note.as_deref(), 2000)?,
    })
}

/// Refuses an order that gives a once-weekly medicine more often.
///
/// # Source
/// Methotrexate is given once a week only (EU package leaflet); given daily it has killed (from memory).
fn weekly(medicine: &Medicine, every_days: u16, terms: &Terms, times: usize) -> Lowered<()> {
    let Some(only) = medicine.weekly_only.as_ref().filter(|only| only.value) else {
        return Ok(());
    };
    let often = terms.weekdays.len() > 1 || (terms.weekdays.is_empty() && every_days < 7);
    if often || times > 1 {
        return Err(ApiError::new(
            Code::WeeklyMedicine,
            format!(
                "STOP. {} is given once a WEEK only, on one day ({}). Given more often it can kill. Check the signed \
                 order with the prescriber; enter it as every 7 days, or on one weekday, at one time.",
                medicine.name, only.source
            ),
        ));
    }
    Ok(())
}
