//! Rows to domain values. A row that does not read back is damage, told as such, never a panic or a default.
//!
//! Not here: which rows.

use std::str::FromStr;

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveTime, TimeZone};
use chrono_tz::Tz;
use fallow_core::act::{About, Act, Event, InUse, Outcome};
use fallow_core::before::{self, Container, Expiry, NeedleCover};
use fallow_core::orders::{Device, GlucoseTerms, Region, Terms, Window, weekday_of};
use fallow_core::person::{Allergies, Injection, Order, Person, Sizes};
use fallow_core::site::{Point, Quadrant, Site, Zone};
use fallow_core::units::{Dose, DoseUnit};
use rusqlite::types::Type;
use rusqlite::{Error, Result, Row};

use crate::entries::{
    ContainerEntry, Draft, EventEntry, Head, InjectionEntry, OrderEntry, PersonEntry,
    PracticeEntry, Status,
};

/// How a calendar day is written in a column.
pub(crate) const DAY: &str = "%Y-%m-%d";
/// How a time of day is written in a column.
pub(crate) const TIME: &str = "%H:%M:%S";

/// The columns of a head, of the table `entry` under the name `e`; the first ten of every select. The sixth holds two
/// marks: whether the clock was set, and above it whether the recorder's PIN was given (0, 1; 2 where there is none).
pub(crate) const HEAD: &str = "e.seq, e.id, e.root, e.recorded_utc_ms, e.recorded_offset_min, \
    e.clock_set | (coalesce(e.recorder_pin, 2) << 1), \
    e.recorder, e.supersedes, (SELECT s.id FROM entry s WHERE s.supersedes = e.id), e.reason";
/// The columns of a person, after a head.
pub(crate) const PERSON: &str = "p.name, p.born, p.zone, p.allergies_asked, p.allergies, p.self_injects, \
    p.height_cm, p.waist_cm, p.thigh_cm, p.upper_arm_cm, p.zones, p.identifier, p.note, p.weight_kg";
/// The columns of an order, after a head.
pub(crate) const ORDER: &str = "o.person, o.medicine, o.dose_thousandths, o.dose_unit, o.times, o.every_days, \
    o.first_day, o.last_day, o.prescriber, o.note, o.weekdays, o.window_before_min, o.window_after_min, o.device, \
    o.needle_mm, o.signed_on, o.review_by, o.asks_glucose, o.glucose_unit, o.glucose_low, o.glucose_high, \
    o.second_check, o.may_give, o.regions";
/// The columns of an injection, after a head.
pub(crate) const INJECTION: &str = "i.person, i.order_id, i.medicine, i.zone, i.quadrant, i.across_cm, i.up_cm, \
    i.given_utc_ms, i.given_offset_min, i.given_zone, i.dose_thousandths, i.dose_unit, i.given_by, i.note, i.status, \
    i.self_given, i.outcomes, i.checks, i.dose_reason, i.second_checker, i.needle_disposed, i.container";
/// The columns of an event, after a head.
pub(crate) const EVENT: &str = "v.person, v.order_id, v.about, v.at_utc_ms, v.at_offset_min, v.at_zone, v.value, \
    v.unit, v.code, v.note, v.status";
/// The columns of a container, after a head.
pub(crate) const CONTAINER: &str = "c.person, c.order_id, c.medicine, c.strength, c.batch, c.expires, c.opened, \
    c.device, c.needle_cover, c.note";

/// A value in column `at` that is not what was written there.
pub(crate) fn unreadable(at: usize, what: &'static str) -> Error {
    Error::FromSqlConversionFailure(at, Type::Text, what.into())
}

pub(crate) fn instant(row: &Row<'_>, at: usize) -> Result<DateTime<FixedOffset>> {
    let (utc_ms, offset_min): (i64, i32) = (row.get(at)?, row.get(at + 1)?);
    FixedOffset::east_opt(offset_min * 60)
        .and_then(|offset| offset.timestamp_millis_opt(utc_ms).single())
        .ok_or_else(|| unreadable(at, "an instant"))
}

fn day(at: usize, text: &str) -> Result<NaiveDate> {
    NaiveDate::parse_from_str(text, DAY).map_err(|_| unreadable(at, "a day"))
}

fn texts(at: usize, json: &str) -> Result<Vec<String>> {
    serde_json::from_str(json).map_err(|_| unreadable(at, "a list of texts"))
}

/// Zones for a time of day, as a column has them.
#[derive(serde::Deserialize)]
struct RegionRow {
    time: String,
    zones: Vec<String>,
}

pub(crate) fn json<T: serde::de::DeserializeOwned>(
    row: &Row<'_>,
    at: usize,
    what: &'static str,
) -> Result<T> {
    serde_json::from_str(row.get_ref(at)?.as_str()?).map_err(|_| unreadable(at, what))
}

fn some_day(row: &Row<'_>, at: usize) -> Result<Option<NaiveDate>> {
    row.get_ref(at)?
        .as_str_or_null()?
        .map(|text| day(at, text))
        .transpose()
}

fn device(row: &Row<'_>, at: usize) -> Result<Option<Device>> {
    row.get_ref(at)?
        .as_str_or_null()?
        .map(|code| Device::from_code(code).ok_or_else(|| unreadable(at, "a device")))
        .transpose()
}

pub(crate) fn time_zone(row: &Row<'_>, at: usize) -> Result<Tz> {
    Tz::from_str(row.get_ref(at)?.as_str()?).map_err(|_| unreadable(at, "a time zone"))
}

fn dose(row: &Row<'_>, at: usize) -> Result<Dose> {
    let unit = DoseUnit::from_code(row.get_ref(at + 1)?.as_str()?)
        .map_err(|_| unreadable(at + 1, "a unit"))?;
    Dose::from_thousandths(row.get(at)?, unit).map_err(|_| unreadable(at, "a dose"))
}

/// The head in columns 0 to 9.
pub(crate) fn head(row: &Row<'_>) -> Result<Head> {
    let marks: i64 = row.get(5)?;
    Ok(Head {
        seq: row.get(0)?,
        id: row.get(1)?,
        root: row.get(2)?,
        recorded_at: instant(row, 3)?,
        clock_set: marks & 1 == 1,
        recorder: row.get(6)?,
        recorder_confirmed: match marks >> 1 {
            0 => Some(false),
            1 => Some(true),
            _ => None,
        },
        supersedes: row.get(7)?,
        superseded_by: row.get(8)?,
        reason: row.get(9)?,
    })
}

/// A row of [`HEAD`], [`PERSON`].
pub(crate) fn person(row: &Row<'_>) -> Result<PersonEntry> {
    let allergies = match (
        row.get_ref(13)?.as_str()?,
        row.get::<_, Option<String>>(14)?,
    ) {
        ("not_asked", None) => Allergies::NotAsked,
        ("none_known", None) => Allergies::NoneKnown,
        ("known", Some(list)) => Allergies::Known(texts(14, &list)?),
        _ => return Err(unreadable(13, "allergies")),
    };
    let zones = texts(20, row.get_ref(20)?.as_str()?)?
        .iter()
        .map(|code| Zone::from_code(code).ok_or_else(|| unreadable(20, "a zone")))
        .collect::<Result<_>>()?;
    Ok(PersonEntry {
        head: head(row)?,
        person: Person {
            name: row.get(10)?,
            born: day(11, row.get_ref(11)?.as_str()?)?,
            zone: time_zone(row, 12)?,
            allergies,
            self_injects: row.get(15)?,
            sizes: Sizes {
                height_cm: row.get(16)?,
                waist_cm: row.get(17)?,
                thigh_cm: row.get(18)?,
                upper_arm_cm: row.get(19)?,
            },
            zones,
            identifier: row.get(21)?,
            note: row.get(22)?,
            weight_kg: row.get(23)?,
        },
    })
}

/// A row of [`HEAD`], [`ORDER`].
pub(crate) fn order(row: &Row<'_>) -> Result<OrderEntry> {
    let times = texts(14, row.get_ref(14)?.as_str()?)?
        .iter()
        .map(|text| {
            NaiveTime::parse_from_str(text, TIME).map_err(|_| unreadable(14, "a time of day"))
        })
        .collect::<Result<_>>()?;
    Ok(OrderEntry {
        head: head(row)?,
        person: row.get(10)?,
        order: Order {
            medicine: row.get(11)?,
            dose: dose(row, 12)?,
            times,
            every_days: row.get(15)?,
            from: day(16, row.get_ref(16)?.as_str()?)?,
            to: some_day(row, 17)?,
            prescriber: row.get(18)?,
            note: row.get(19)?,
            terms: terms(row)?,
        },
    })
}

/// A row of [`HEAD`], [`INJECTION`].
pub(crate) fn injection(row: &Row<'_>) -> Result<InjectionEntry> {
    let head = head(row)?;
    let zone =
        Zone::from_code(row.get_ref(13)?.as_str()?).ok_or_else(|| unreadable(13, "a zone"))?;
    let quadrant = Quadrant::from_code(row.get_ref(14)?.as_str()?)
        .ok_or_else(|| unreadable(14, "a quadrant"))?;
    let point = match (row.get(15)?, row.get(16)?) {
        (Some(across_cm), Some(up_cm)) => Some(Point { across_cm, up_cm }),
        (None, None) => None,
        _ => return Err(unreadable(15, "a point")),
    };
    let status =
        Status::from_code(row.get_ref(24)?.as_str()?).ok_or_else(|| unreadable(24, "a status"))?;
    Ok(InjectionEntry {
        injection: Injection {
            id: head.id.clone(),
            order: row.get(11)?,
            medicine: row.get(12)?,
            site: Site {
                zone,
                quadrant,
                point,
            },
            given_at: instant(row, 17)?,
            dose: dose(row, 20)?,
            recorder: row.get(22)?,
        },
        head,
        person: row.get(10)?,
        zone: time_zone(row, 19)?,
        act: act(row)?,
        status,
    })
}

/// The terms of an order, in columns 20 to 33.
fn terms(row: &Row<'_>) -> Result<Terms> {
    let weekdays = json::<Vec<u8>>(row, 20, "weekdays")?
        .into_iter()
        .map(|n| weekday_of(n).ok_or_else(|| unreadable(20, "a weekday")))
        .collect::<Result<_>>()?;
    let window = match (row.get(21)?, row.get(22)?) {
        (Some(before_min), Some(after_min)) => Some(Window {
            before_min,
            after_min,
        }),
        _ => None,
    };
    let glucose = row.get::<_, Option<String>>(28)?;
    let (low, high) = (row.get(29)?, row.get(30)?);
    let regions = json::<Vec<RegionRow>>(row, 33, "zones for times of day")?
        .into_iter()
        .map(|region| {
            let time = NaiveTime::parse_from_str(&region.time, TIME).ok();
            let zones = region.zones.iter().map(|code| Zone::from_code(code));
            let zones = zones.collect::<Option<Vec<_>>>();
            time.zip(zones)
                .map(|(time, zones)| Region { time, zones })
                .ok_or_else(|| unreadable(33, "zones for a time of day"))
        })
        .collect::<Result<_>>()?;
    Ok(Terms {
        weekdays,
        window,
        device: device(row, 23)?,
        needle_mm: row.get(24)?,
        signed_on: some_day(row, 25)?,
        review_by: some_day(row, 26)?,
        asks_glucose: row.get(27)?,
        glucose: glucose.map(|unit| GlucoseTerms { unit, low, high }),
        second_check: row.get(31)?,
        may_give: row.get(32)?,
        regions,
    })
}

/// What goes with an injection, in columns 23 and 25 to 31.
fn act(row: &Row<'_>) -> Result<Act> {
    let outcomes = texts(26, row.get_ref(26)?.as_str()?)?
        .iter()
        .map(|code| Outcome::from_code(code).ok_or_else(|| unreadable(26, "what was seen")))
        .collect::<Result<_>>()?;
    Ok(Act {
        self_given: row.get(25)?,
        outcomes,
        checks: texts(27, row.get_ref(27)?.as_str()?)?,
        dose_reason: row.get(28)?,
        second_checker: row.get(29)?,
        needle_disposed: row.get(30)?,
        container: row.get(31)?,
        note: row.get(23)?,
    })
}

/// Whether the entry withdraws the one it supersedes, by its `status` column.
pub(crate) fn withdrawn(row: &Row<'_>, at: usize) -> Result<bool> {
    match row.get_ref(at)?.as_str()? {
        "final" => Ok(false),
        "entered_in_error" => Ok(true),
        _ => Err(unreadable(at, "a status")),
    }
}

/// A row of [`HEAD`], [`EVENT`].
pub(crate) fn event(row: &Row<'_>) -> Result<EventEntry> {
    let about =
        About::from_code(row.get_ref(12)?.as_str()?).ok_or_else(|| unreadable(12, "an event"))?;
    let value: Option<String> = row.get(16)?;
    let withdrawn = withdrawn(row, 20)?;
    Ok(EventEntry {
        head: head(row)?,
        person: row.get(10)?,
        zone: time_zone(row, 15)?,
        event: Event {
            order: row.get(11)?,
            about,
            at: instant(row, 13)?,
            value: value.zip(row.get(17)?),
            code: row.get(18)?,
            note: row.get(19)?,
            withdrawn,
        },
    })
}

/// A row of [`HEAD`], [`CONTAINER`].
pub(crate) fn container(row: &Row<'_>) -> Result<ContainerEntry> {
    let expires = row
        .get::<_, Option<String>>(15)?
        .map(|text| Expiry::parse(&text).ok_or_else(|| unreadable(15, "a day of expiry")))
        .transpose()?;
    Ok(ContainerEntry {
        head: head(row)?,
        person: row.get(10)?,
        container: InUse {
            order: row.get(11)?,
            label: Container {
                medicine: row.get(12)?,
                strength: row.get(13)?,
                batch: row.get(14)?,
                expires,
                opened: some_day(row, 16)?,
                device: before::Device::from_code(row.get_ref(17)?.as_str()?)
                    .ok_or_else(|| unreadable(17, "a container"))?,
                needle_cover: NeedleCover::from_code(row.get_ref(18)?.as_str()?)
                    .ok_or_else(|| unreadable(18, "a needle cover"))?,
            },
            note: row.get(19)?,
        },
    })
}

/// A row of [`HEAD`] and the navel margin.
pub(crate) fn practice(row: &Row<'_>) -> Result<PracticeEntry> {
    Ok(PracticeEntry {
        head: head(row)?,
        navel_margin_cm: row.get(10)?,
    })
}

/// A row of `key, body, opened_utc_ms, opened_offset_min`.
pub(crate) fn draft(row: &Row<'_>) -> Result<Draft> {
    Ok(Draft {
        key: row.get(0)?,
        body: row.get(1)?,
        opened_at: instant(row, 2)?,
    })
}
