//! What happened around injections: not given, a value measured, a step taken; and the containers in use.

use chrono::{DateTime, Duration, FixedOffset};
use fallow_core::act::{About, Event, InUse, WhyNot};
use fallow_core::before::{Container, Device, Expiry, NeedleCover};
use fallow_core::due;
use fallow_core::time;
use fallow_store::{
    ContainerEntry, EventEntry, Kind, NewHead, OrderEntry, PersonEntry, Reader, StoreError,
};

use crate::error::{ApiError, ErrorCode as Code};
use crate::record::{self, person_and_order};
use crate::terms::one_of;
use crate::wire::{
    ContainerAdd, ContainerData, EventData, EventList, EventListData, EventRecord, EventWithdraw,
};
use crate::{App, Clock, Now, glucose, lower, raise};

/// Alarms and their words.
const ALARMS: [(&str, &str); 5] = [
    ("cannot_swallow", "cannot swallow"),
    ("drowsy", "drowsy"),
    ("help_called", "help was called"),
    ("emergency_called", "emergency services were called"),
    ("over", "the emergency is over"),
];

pub(crate) fn record(app: &mut App, args: &EventRecord, now: Now) -> Result<EventData, ApiError> {
    let id = lower::id(&args.id)?;
    let recorder = lower::text("who records it", &args.recorder, 200)?;
    app.store_mut()?.transact(|tx| {
        let person = record::person(tx, &args.person)?;
        let order = record::order_of(tx, &person, args.order.as_deref())?;
        let zone = args
            .zone
            .as_deref()
            .map_or(Ok(person.person.zone), lower::time_zone)?;
        let about = one_of(&args.about, About::ALL, About::code)?;
        let event = event(args, about, &person, order.as_ref(), now)?;
        if tx.entry_kind(&id)?.is_some() {
            let known = tx.event(&id)?.filter(|e| {
                e.event == event && e.person == person.head.root && e.head.supersedes.is_none()
            });
            return known
                .map(|e| raised(&e, now.clock))
                .ok_or_else(|| StoreError::IdReused.into());
        }
        if about == About::NotGiven
            && let Some(order) = &order
        {
            slot_is_open(tx, &person, order, (event.at, now.clock))?;
        }
        let head = record::head(id.clone(), Some(recorder.clone()), None, now);
        let head = tx.add_event(&head, &person.head.root, &event, zone)?;
        let saved = EventEntry {
            head,
            person: person.head.root,
            event,
            zone,
        };
        Ok(raised(&saved, now.clock))
    })
}

fn event(
    args: &EventRecord,
    about: About,
    person: &PersonEntry,
    order: Option<&OrderEntry>,
    now: Now,
) -> Result<Event, ApiError> {
    let zone = person.person.zone;
    let note = lower::some_text("the note", args.note.as_deref(), 2000)?;
    let at = if about == About::NotGiven {
        // Its time may still be to come: "declined" can be known before.
        lower::instant(&args.at, zone, now.clock)?
    } else {
        lower::given_at(&args.at, zone, person.person.born, now)?
    };
    let (value, code) = match about {
        About::NotGiven => {
            if order.is_none() {
                return Err(ApiError::new(
                    Code::UnknownOrder,
                    "Say which order's injection was not given.",
                ));
            }
            let why = one_of(
                args.code.as_deref().unwrap_or(""),
                WhyNot::ALL,
                WhyNot::code,
            )?;
            if why == WhyNot::Other && note.is_none() {
                return Err(ApiError::new(Code::BadText, "Write why it was not given."));
            }
            (None, Some(why.code().to_owned()))
        }
        About::Alarm => {
            let codes = ALARMS.map(|(code, _)| code);
            let code = one_of(args.code.as_deref().unwrap_or(""), &codes, |c| c)?;
            (None, Some(code.to_owned()))
        }
        About::Glucose | About::Ketones => (Some(measured(args, about)?), None),
        About::Carbohydrate => (grams(args)?, None),
    };
    Ok(Event {
        order: order.map(|o| o.head.root.clone()),
        about,
        at,
        value,
        code,
        note,
        withdrawn: false,
    })
}

fn measured(args: &EventRecord, about: About) -> Result<(String, String), ApiError> {
    let (Some(value), Some(unit)) = (&args.value, &args.unit) else {
        return Err(ApiError::new(
            Code::BadGlucose,
            "Give the value and its unit, as the meter shows them.",
        ));
    };
    let value = if about == About::Ketones {
        glucose::ketones(value, unit)?;
        value.trim().to_uppercase()
    } else {
        glucose::reading(value, unit)?.value()
    };
    Ok((value, unit.clone()))
}

/// Grams of carbohydrate, where they were counted.
fn grams(args: &EventRecord) -> Result<Option<(String, String)>, ApiError> {
    let Some(text) = args.value.as_deref() else {
        return Ok(None);
    };
    let grams = text
        .trim()
        .parse::<u16>()
        .ok()
        .filter(|g| (1..=200).contains(g));
    match (grams, args.unit.as_deref()) {
        (Some(grams), Some("g")) => Ok(Some((grams.to_string(), "g".to_owned()))),
        _ => Err(ApiError::new(
            Code::BadCount,
            "Write the carbohydrate in whole grams, 1 to 200, or leave it out.",
        )),
    }
}

/// Refuses "not given" for a time the order does not ask for, or one that was given.
fn slot_is_open(
    reader: &Reader<'_>,
    person: &PersonEntry,
    order: &OrderEntry,
    (at, clock): (DateTime<FixedOffset>, Clock),
) -> Result<(), ApiError> {
    let around = (at - Duration::days(8), at + Duration::days(8));
    let given: Vec<_> = record::given(reader, person, around.0, around.1)?
        .into_iter()
        .filter(|e| e.injection.medicine == order.order.medicine)
        .collect();
    let times: Vec<_> = given.iter().map(|e| e.injection.given_at).collect();
    let slots = due::slots(&order.order, person.person.zone, (at, at), &times);
    let Some(slot) = slots.first() else {
        return Err(ApiError::new(
            Code::BadTime,
            "This order asks for nothing at that time. Choose one of its times.",
        ));
    };
    if let Some(injection) = slot.given.map(|n| &given[n]) {
        let mut error = ApiError::new(
            Code::AlreadyGiven,
            format!(
                "This one was given: {}, by {}. If that is wrong, correct that entry.",
                time::words(injection.injection.given_at, injection.zone, clock),
                injection.injection.recorder
            ),
        );
        error.details.earlier = Some(Box::new(raise::injection(injection, clock)));
        return Err(error);
    }
    Ok(())
}

pub(crate) fn withdraw(
    app: &mut App,
    args: &EventWithdraw,
    now: Now,
) -> Result<EventData, ApiError> {
    let id = lower::id(&args.id)?;
    let replaces = lower::id(&args.replaces)?;
    let reason = lower::text("why", &args.reason, 500)?;
    let recorder = lower::text("who withdraws it", &args.recorder, 200)?;
    app.store_mut()?.transact(|tx| {
        let old = tx.event(&replaces)?.ok_or_else(|| {
            ApiError::new(
                Code::UnknownEvent,
                format!(
                    "There is no event \"{replaces}\" to withdraw. Choose one from the record."
                ),
            )
        })?;
        let event = Event {
            withdrawn: true,
            ..old.event.clone()
        };
        if tx.entry_kind(&id)? == Some(Kind::Event) {
            let known = tx.event(&id)?.filter(|e| {
                e.event == event && e.head.supersedes.as_deref() == Some(replaces.as_str())
            });
            return known
                .map(|e| raised(&e, now.clock))
                .ok_or_else(|| StoreError::IdReused.into());
        }
        if old.event.withdrawn {
            return Err(StoreError::AlreadySuperseded.into());
        }
        let head = record::head(id.clone(), Some(recorder), Some(reason), now);
        let head = NewHead {
            supersedes: Some(replaces.clone()),
            ..head
        };
        let head = tx.add_event(&head, &old.person, &event, old.zone)?;
        Ok(raised(&EventEntry { head, event, ..old }, now.clock))
    })
}

pub(crate) fn list(app: &App, args: &EventList, now: Now) -> Result<EventListData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let zone = person.person.zone;
    let today = time::day_in(now.at, zone);
    let (from, to) = lower::period(args.from.as_deref(), args.to.as_deref(), today)?;
    let ms = |day| time::day_start(day, zone).timestamp_millis();
    let found = reader.events(&person.head.root, ms(from), ms(to + chrono::Days::new(1)))?;
    Ok(EventListData {
        events: found.iter().map(|e| raised(e, now.clock)).collect(),
    })
}

/// An event with its words.
pub(crate) fn raised(entry: &EventEntry, clock: Clock) -> EventData {
    let event = &entry.event;
    let note = event.note.as_deref().map(|n| n.trim_end_matches('.'));
    let and_note =
        |words: String| note.map_or_else(|| format!("{words}."), |n| format!("{words}: {n}."));
    let words = match event.about {
        About::NotGiven => {
            let why = event.code.as_deref().and_then(WhyNot::from_code);
            and_note(format!(
                "Not given: {}",
                why.map_or("no reason known", WhyNot::words)
            ))
        }
        About::Alarm => {
            let code = event.code.as_deref().unwrap_or("");
            let said = ALARMS.iter().find(|(known, _)| *known == code);
            and_note(format!("Alarm: {}", said.map_or(code, |(_, words)| words)))
        }
        About::Glucose | About::Ketones | About::Carbohydrate => {
            let value = event
                .value
                .as_ref()
                .map(|(value, unit)| format!(" {value} {unit}"));
            let what = match event.about {
                About::Glucose => "Glucose",
                About::Ketones => "Ketones",
                _ => "Fast carbohydrate",
            };
            and_note(format!("{what}{}", value.unwrap_or_default()))
        }
    };
    EventData {
        id: entry.head.id.clone(),
        person: entry.person.clone(),
        order: event.order.clone(),
        about: event.about.code().to_owned(),
        at: raise::instant(event.at),
        at_words: time::words(event.at, entry.zone, clock),
        recorded_at: raise::instant(entry.head.recorded_at),
        value: event.value.as_ref().map(|v| v.0.clone()),
        unit: event.value.as_ref().map(|v| v.1.clone()),
        code: event.code.clone(),
        words,
        note: event.note.clone(),
        recorder: entry.head.recorder.clone(),
    }
}

pub(crate) fn container_add(
    app: &mut App,
    args: &ContainerAdd,
    now: Now,
) -> Result<ContainerData, ApiError> {
    let id = lower::id(&args.id)?;
    let recorder = lower::some_text("who records it", args.recorder.as_deref(), 200)?;
    let replaces = args.replaces.as_deref().map(lower::id).transpose()?;
    app.store_mut()?.transact(|tx| {
        let (person, order) = person_and_order(tx, &args.person, &args.order)?;
        let container = container(args, &order)?;
        if let Some(kind) = tx.entry_kind(&id)? {
            let known = tx
                .container(&id)?
                .filter(|c| kind == Kind::Container && c.container == container);
            return known
                .map(|c| container_data(&c))
                .ok_or_else(|| StoreError::IdReused.into());
        }
        let reason = replaces
            .as_ref()
            .map(|_| "Its label was read again.".to_owned());
        let head = record::head(id.clone(), recorder, reason, now);
        let head = NewHead {
            supersedes: replaces.clone(),
            ..head
        };
        let head = tx.add_container(&head, &person.head.root, &container)?;
        Ok(container_data(&ContainerEntry {
            head,
            person: person.head.root,
            container,
        }))
    })
}

fn container(args: &ContainerAdd, order: &OrderEntry) -> Result<InUse, ApiError> {
    let expires = args
        .expires
        .as_deref()
        .map(|text| {
            Expiry::parse(text).ok_or_else(|| {
                ApiError::new(
                    Code::BadDate,
                    format!(
                        "\"{text}\" is not a day or month of expiry. Write 2027-03-31 or 2027-03."
                    ),
                )
            })
        })
        .transpose()?;
    let cover = args.needle_cover.as_deref().unwrap_or("not_read");
    Ok(InUse {
        order: order.head.root.clone(),
        label: Container {
            medicine: lower::text("the medicine on the label", &args.medicine, 200)?,
            strength: lower::some_text("the strength on the label", args.strength.as_deref(), 100)?,
            batch: lower::some_text("the batch", args.batch.as_deref(), 100)?,
            expires,
            opened: args
                .opened
                .as_deref()
                .map(|t| lower::date("the day it was opened", t))
                .transpose()?,
            device: one_of(&args.device, &Device::ALL, Device::code)?,
            needle_cover: one_of(cover, &NeedleCover::ALL, NeedleCover::code)?,
        },
        note: lower::some_text("the note", args.note.as_deref(), 2000)?,
    })
}

/// A container with its words.
pub(crate) fn container_data(entry: &ContainerEntry) -> ContainerData {
    let label = &entry.container.label;
    let mut parts = vec![label.medicine.clone()];
    parts.extend(label.strength.clone());
    parts.extend(label.batch.as_ref().map(|b| format!("batch {b}")));
    parts.extend(label.expires.map(|e| format!("use by {}", e.words())));
    parts.extend(
        label
            .opened
            .map(|d| format!("opened {}", time::day_words(d))),
    );
    ContainerData {
        id: entry.head.root.clone(),
        entry: entry.head.id.clone(),
        order: entry.container.order.clone(),
        medicine: label.medicine.clone(),
        strength: label.strength.clone(),
        batch: label.batch.clone(),
        expires: label.expires.map(Expiry::code),
        opened: label.opened.map(|d| d.to_string()),
        device: label.device.code().to_owned(),
        needle_cover: label.needle_cover.code().to_owned(),
        note: entry.container.note.clone(),
        words: parts.join(", "),
    }
}
