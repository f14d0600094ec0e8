//! What happened around injections: not given, a value measured, a step taken; put right or taken back.
//!
//! Not here: what a glucose value means (`glucose`), containers in use (`containers`).

use chrono::{DateTime, Duration, FixedOffset};
use fallow_core::act::{About, Event, WhyNot};
use fallow_core::due;
use fallow_core::time;
use fallow_store::{EventEntry, NewHead, OrderEntry, PersonEntry, Reader, StoreError};

use crate::error::{ApiError, ErrorCode as Code};
use crate::record;
use crate::terms::one_of;
use crate::wire::{EventCorrect, EventData, EventList, EventListData, EventRecord, EventWithdraw};
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
    let recorder = lower::text("who withdraws it", &args.recorder, 200)?;
    let change = Change::read((&args.id, &args.replaces, &args.reason), recorder)?;
    change.save(app, now, |_, old| {
        Ok(EventEntry {
            event: Event {
                withdrawn: true,
                ..old.event.clone()
            },
            ..old.clone()
        })
    })
}

pub(crate) fn correct(app: &mut App, args: &EventCorrect, now: Now) -> Result<EventData, ApiError> {
    let recorder = lower::text("who corrects it", &args.recorder, 200)?;
    let change = Change::read((&args.id, &args.replaces, &args.reason), recorder)?;
    change.save(app, now, |reader, old| corrected(args, reader, old, now))
}

/// A new version of an event.
struct Change {
    id: String,
    replaces: String,
    reason: String,
    recorder: String,
}

impl Change {
    fn read(
        (id, replaces, reason): (&str, &str, &str),
        recorder: String,
    ) -> Result<Self, ApiError> {
        Ok(Self {
            id: lower::id(id)?,
            replaces: lower::id(replaces)?,
            reason: lower::text("what was wrong with it", reason, 500)?,
            recorder,
        })
    }

    /// Appends what `wanted` makes of the old entry; the same change asked for twice is saved once.
    fn save(
        self,
        app: &mut App,
        now: Now,
        wanted: impl FnOnce(&Reader<'_>, &EventEntry) -> Result<EventEntry, ApiError>,
    ) -> Result<EventData, ApiError> {
        app.store_mut()?.transact(|tx| {
            let old = tx.event(&self.replaces)?.ok_or_else(|| {
                ApiError::new(
                    Code::UnknownEvent,
                    format!(
                        "There is no event \"{}\" to put right. Choose one from the record.",
                        self.replaces
                    ),
                )
            })?;
            if tx.entry_kind(&self.id)?.is_some() {
                let known = tx.event(&self.id)?.filter(|e| {
                    e.head.supersedes.as_deref() == Some(self.replaces.as_str())
                        && e.head.reason.as_deref() == Some(self.reason.as_str())
                });
                return known
                    .map(|e| raised(&e, now.clock))
                    .ok_or_else(|| StoreError::IdReused.into());
            }
            if old.event.withdrawn || old.head.superseded_by.is_some() {
                return Err(StoreError::AlreadySuperseded.into());
            }
            let new = wanted(tx, &old)?;
            let head = record::head(self.id, Some(self.recorder), Some(self.reason), now);
            let head = NewHead {
                supersedes: Some(self.replaces),
                ..head
            };
            let head = tx.add_event(&head, &new.person, &new.event, new.zone)?;
            Ok(raised(&EventEntry { head, ..new }, now.clock))
        })
    }
}

/// The old event with what is put right; what is absent stays as it was.
fn corrected(
    args: &EventCorrect,
    reader: &Reader<'_>,
    old: &EventEntry,
    now: Now,
) -> Result<EventEntry, ApiError> {
    let person = record::person(reader, &old.person)?;
    let order = record::order_of(reader, &person, old.event.order.as_deref())?;
    let kept = |new: &Option<String>, old: Option<&String>| new.clone().or_else(|| old.cloned());
    let (value, unit) = old.event.value.as_ref().map(|(v, u)| (v, u)).unzip();
    let whole = EventRecord {
        id: args.id.clone(),
        person: old.person.clone(),
        order: old.event.order.clone(),
        about: old.event.about.code().to_owned(),
        at: args
            .at
            .clone()
            .unwrap_or_else(|| raise::instant(old.event.at)),
        zone: args.zone.clone(),
        value: kept(&args.value, value),
        unit: kept(&args.unit, unit),
        code: kept(&args.code, old.event.code.as_ref()),
        note: kept(&args.note, old.event.note.as_ref()).filter(|n| !n.trim().is_empty()),
        recorder: args.recorder.clone(),
    };
    let event = event(&whole, old.event.about, &person, order.as_ref(), now)?;
    if event == old.event {
        return Err(ApiError::new(
            Code::BadRequest,
            "This says the same as before. Change what is wrong, or leave the entry as it is.",
        ));
    }
    if let (About::NotGiven, Some(order)) = (event.about, &order)
        && event.at != old.event.at
    {
        slot_is_open(reader, &person, order, (event.at, now.clock))?;
    }
    let zone = args
        .zone
        .as_deref()
        .map_or(Ok(old.zone), lower::time_zone)?;
    Ok(EventEntry {
        event,
        zone,
        ..old.clone()
    })
}

pub(crate) fn list(app: &App, args: &EventList, now: Now) -> Result<EventListData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let zone = person.person.zone;
    let today = time::day_in(now.at, zone);
    let (from, to) = lower::period(args.from.as_deref(), args.to.as_deref(), today)?;
    let ms = |day| time::day_start(day, zone).timestamp_millis();
    let bounds = (ms(from), ms(to + chrono::Days::new(1)));
    let found = if args.superseded {
        reader.events_with_superseded(&person.head.root, bounds.0, bounds.1)?
    } else {
        reader.events(&person.head.root, bounds.0, bounds.1)?
    };
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
        reason: entry.head.reason.clone(),
        status: if event.withdrawn {
            "entered_in_error"
        } else {
            "final"
        }
        .to_owned(),
        replaces: entry.head.supersedes.clone(),
        replaced_by: entry.head.superseded_by.clone(),
    }
}
