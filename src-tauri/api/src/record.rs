//! What several operations read from the record: a person with an order, and the skin they use.

use chrono::{DateTime, Duration, FixedOffset};
use fallow_core::body::Body;
use fallow_core::medicines::{Book, Medicine, Pattern};
use fallow_core::rules::{History, Skin};
use fallow_core::skin::Finding;
use fallow_store::{InjectionEntry, InjectionQuery, NewHead, OrderEntry, PersonEntry, Reader};

use crate::error::{ApiError, ErrorCode as Code};
use crate::{Now, lower, skin};

/// The head of a new entry.
pub(crate) fn head(
    id: String,
    recorder: Option<String>,
    reason: Option<String>,
    now: Now,
) -> NewHead {
    NewHead {
        id,
        recorded_at: whole_minutes(now.at),
        clock_set: now.set_by_hand,
        recorder,
        supersedes: None,
        reason,
    }
}

/// A clock's offset can have seconds only in zones of the nineteenth century; the store keeps minutes.
fn whole_minutes(at: DateTime<FixedOffset>) -> DateTime<FixedOffset> {
    let seconds = at.offset().local_minus_utc();
    FixedOffset::east_opt(seconds - seconds % 60).map_or(at, |offset| at.with_timezone(&offset))
}

/// An id for an entry whose caller did not make one.
pub(crate) fn new_id(now: Now) -> String {
    let seconds = now.at.timestamp().max(0).unsigned_abs();
    let stamp =
        uuid::Timestamp::from_unix(uuid::NoContext, seconds, now.at.timestamp_subsec_nanos());
    uuid::Uuid::new_v7(stamp).hyphenated().to_string()
}

/// The caller's id, or a new one.
pub(crate) fn id_or_new(id: Option<&str>, now: Now) -> Result<String, ApiError> {
    id.map_or_else(|| Ok(new_id(now)), lower::id)
}

pub(crate) fn person(reader: &Reader<'_>, id: &str) -> Result<PersonEntry, ApiError> {
    let known = reader.person(&id.to_lowercase())?;
    known.ok_or_else(|| {
        ApiError::new(
            Code::UnknownPerson,
            format!("There is no person \"{id}\" on this device. Choose one from the list."),
        )
    })
}

pub(crate) fn order(reader: &Reader<'_>, id: &str) -> Result<OrderEntry, ApiError> {
    let known = reader.order(&id.to_lowercase())?;
    known.ok_or_else(|| {
        ApiError::new(
            Code::UnknownOrder,
            format!(
                "There is no order \"{id}\" on this device. Choose one of the person's orders."
            ),
        )
    })
}

/// A person and one of their orders.
pub(crate) fn person_and_order(
    reader: &Reader<'_>,
    person_id: &str,
    order_id: &str,
) -> Result<(PersonEntry, OrderEntry), ApiError> {
    let person = person(reader, person_id)?;
    let order = order(reader, order_id)?;
    if order.person != person.head.root {
        return Err(ApiError::new(
            Code::OrderOfAnother,
            "That order belongs to somebody else. Check that you have the right person.",
        ));
    }
    Ok((person, order))
}

/// One of a person's orders, where one is named.
pub(crate) fn order_of(
    reader: &Reader<'_>,
    person: &PersonEntry,
    order_id: Option<&str>,
) -> Result<Option<OrderEntry>, ApiError> {
    order_id
        .map(|id| person_and_order(reader, &person.head.root, id).map(|(_, order)| order))
        .transpose()
}

/// The medicine of an order. A record made where more medicines were known may hold one there are no rules for here.
pub(crate) fn medicine(key: &str) -> Result<&'static Medicine, ApiError> {
    Book::shipped().medicine(key).ok_or_else(|| {
        ApiError::new(
            Code::UnknownMedicine,
            format!(
                "There are no rules for \"{key}\" here. `medicine_list` names those there are."
            ),
        )
    })
}

/// The person's injections given from `from` to `to`, both included, newest first; corrected and withdrawn ones left
/// out.
pub(crate) fn given(
    reader: &Reader<'_>,
    person: &PersonEntry,
    from: DateTime<FixedOffset>,
    to: DateTime<FixedOffset>,
) -> Result<Vec<InjectionEntry>, ApiError> {
    Ok(reader.injections(&InjectionQuery {
        person: person.head.root.clone(),
        from_ms: Some(from.timestamp_millis()),
        to_ms: Some(to.timestamp_millis() + 1),
        superseded: false,
        limit: None,
    })?)
}

/// The skin as the rules see it at one moment.
pub(crate) struct SkinThen {
    pub body: Body,
    pub history: History,
    pub entries: Vec<InjectionEntry>,
    pub findings: Vec<Finding>,
    pub navel_margin_cm: f64,
}

impl SkinThen {
    /// Reads as far back as the medicine's rules look.
    pub(crate) fn read(
        reader: &Reader<'_>,
        person: &PersonEntry,
        medicine: &Medicine,
        at: DateTime<FixedOffset>,
        without: Option<&str>,
    ) -> Result<Self, ApiError> {
        // The longest rest is 28 days; patterns that take areas in turn look at when each was last used.
        let days = match medicine.pattern.value {
            Pattern::WeeklyQuadrant => 31,
            _ => 120,
        };
        let days = days.max(medicine.point_rest_days.value as i64 + 3);
        let mut entries = given(reader, person, at - Duration::days(days), at)?;
        entries.retain(|e| Some(e.head.id.as_str()) != without);
        Self::of(reader, person, entries, at)
    }

    /// Reads so many days back, for several medicines at once.
    pub(crate) fn since(
        reader: &Reader<'_>,
        person: &PersonEntry,
        at: DateTime<FixedOffset>,
        days: i64,
    ) -> Result<Self, ApiError> {
        Self::of(
            reader,
            person,
            given(reader, person, at - Duration::days(days), at)?,
            at,
        )
    }

    fn of(
        reader: &Reader<'_>,
        person: &PersonEntry,
        entries: Vec<InjectionEntry>,
        at: DateTime<FixedOffset>,
    ) -> Result<Self, ApiError> {
        Ok(Self {
            body: Body::of(&person.person.sizes),
            history: History::of(entries.iter().map(|e| &e.injection), Book::shipped()),
            entries,
            findings: skin::there(reader, &person.head.root, at)?,
            navel_margin_cm: navel_margin(reader)?,
        })
    }

    pub(crate) fn skin(&self) -> Skin<'_> {
        Skin {
            body: &self.body,
            history: &self.history,
            book: Book::shipped(),
            navel_margin_cm: self.navel_margin_cm,
            findings: &self.findings,
        }
    }
}

/// The navel margin the practice chose, or the shipped one.
pub(crate) fn navel_margin(reader: &Reader<'_>) -> Result<f64, ApiError> {
    let shipped = Book::shipped().general.navel_margin_cm.value;
    Ok(reader.practice()?.map_or(shipped, |p| p.navel_margin_cm))
}
