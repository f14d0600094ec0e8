//! The page of checks before giving. The core judges and words; here the record is read and the answers are laid out.

use chrono::{DateTime, Duration, FixedOffset};
use fallow_core::act::About;
use fallow_core::before::{
    self as core, AsLastTime, Asks, Check, Consent, Identifier, Known, Meal, Measured, ReadBack,
    Reason, Said, SkinSeen, State, Tick, What,
};
use fallow_core::medicines::Book;
use fallow_core::time;
use fallow_store::{ContainerEntry, EventEntry, OrderEntry, PersonEntry, Reader};

use crate::containers;
use crate::error::{ApiError, ErrorCode as Code};
use crate::events::raised;
use crate::record::person_and_order;
use crate::terms::{not_one_of, one_of};
use crate::wire::{BeforeCheck, BeforeData, BeforeGet, BeforeProblem, BeforeSaid};
use crate::{App, Now, glucose, lower, raise};

/// A glucose value older than this says nothing of now (common practice, no source; the core says so too).
const FRESH: Duration = Duration::minutes(60);

const WHOSE: &str = "This page lists what local policy usually asks for. The check stays yours: policy, the order and your own \
                     judgement come first.";

pub(crate) fn page(app: &App, args: &BeforeGet, now: Now) -> Result<BeforeData, ApiError> {
    let reader = app.store()?.reader();
    let (person, order) = person_and_order(&reader, &args.person, &args.order)?;
    let at = crate::body::as_of(args.at.as_deref(), &person, now)?;
    let self_given = lower::self_given(args.giver.as_deref(), person.person.self_injects)?;
    let by = lower::some_text("who gives it", args.recorder.as_deref(), 200)?;
    let by = by.unwrap_or_else(|| {
        if self_given {
            person.person.name.clone()
        } else {
            String::new()
        }
    });
    let containers = reader.containers(&order.head.root)?;
    let measured = last_glucose(&reader, &person, at)?;
    let said = said(
        &args.said,
        &containers,
        measured.as_ref(),
        &Tick { by: by.clone(), at },
    )?;
    let last = last_container(&reader, &person, &order, &containers)?;
    let terms = &order.order.terms;
    let asks = Asks {
        glucose: terms
            .asks_glucose
            .then(|| glucose::limits_of(Some(&order)))
            .transpose()?,
        meal: order.order.note.as_deref().is_some_and(about_meals),
        second_checker: terms.second_check,
    };
    let known = Known {
        book: Book::shipped(),
        person: &person.person,
        order: &order.order,
        strength: None,
        asks: &asks,
        last_container: last.map(|c| &c.container.label),
        giver: &by,
        gives_to_self: self_given,
    };
    let checks = core::page(&known, &said, at);
    let open = checks.iter().filter(|c| c.is_open()).count();
    Ok(BeforeData {
        order: raise::order(&order, time::day_in(at, person.person.zone), now.clock),
        checks: checks
            .iter()
            .filter(|c| c.state != State::NotAsked)
            .map(|c| check(c, last))
            .collect(),
        open: open as u32,
        containers: containers.iter().map(containers::raised).collect(),
        glucose: measured.as_ref().map(|e| raised(e, now.clock)),
        words: WHOSE.to_owned(),
    })
}

/// Whether an order's note speaks of a meal, so that it is asked about.
fn about_meals(note: &str) -> bool {
    let note = note.to_lowercase();
    [
        "meal",
        "food",
        "breakfast",
        "lunch",
        "dinner",
        "supper",
        "eat",
    ]
    .iter()
    .any(|word| note.contains(word))
}

/// The last glucose value that is fresh.
fn last_glucose(
    reader: &Reader<'_>,
    person: &PersonEntry,
    at: DateTime<FixedOffset>,
) -> Result<Option<EventEntry>, ApiError> {
    let recent = reader.events(
        &person.head.root,
        (at - FRESH).timestamp_millis(),
        at.timestamp_millis() + 1,
    )?;
    Ok(recent.into_iter().find(|e| e.event.about == About::Glucose))
}

/// The container the last injection of this order came from, else the one recorded last.
fn last_container<'a>(
    reader: &Reader<'_>,
    person: &PersonEntry,
    order: &OrderEntry,
    containers: &'a [ContainerEntry],
) -> Result<Option<&'a ContainerEntry>, ApiError> {
    let query = fallow_store::InjectionQuery {
        person: person.head.root.clone(),
        limit: Some(50),
        ..fallow_store::InjectionQuery::default()
    };
    let injections = reader.injections(&query)?;
    let mut of_order = injections
        .iter()
        .filter(|e| e.injection.order == order.head.root);
    let used = of_order.find_map(|e| e.act.container.as_deref());
    Ok(used
        .and_then(|id| containers.iter().find(|c| c.head.root == id))
        .or_else(|| containers.first()))
}

fn said(
    wire: &BeforeSaid,
    containers: &[ContainerEntry],
    measured: Option<&EventEntry>,
    tick: &Tick,
) -> Result<Said, ApiError> {
    let identity = identity(wire)?;
    let container =
        wire.container
            .as_deref()
            .map(|id| {
                let found = containers.iter().find(|c| c.head.root == id.to_lowercase());
                found.map(|c| (c.container.label.clone(), tick.clone())).ok_or_else(|| {
                ApiError::new(
                    Code::UnknownContainer,
                    "That container is not one of this order. Choose one that is, or add it.",
                )
            })
            })
            .transpose()?;
    let glucose = measured.and_then(|entry| {
        let (value, unit) = entry.event.value.as_ref()?;
        let reading = glucose::reading(value, unit).ok()?;
        let by = entry.head.recorder.clone().unwrap_or_default();
        let at = entry.event.at;
        Some((Measured { reading, at }, Tick { by, at }))
    });
    let (meal, consent, skin) = (meal(wire)?, consent(wire)?, skin(wire)?);
    let second = lower::some_text(
        "who checked as the second person",
        wire.second.as_deref(),
        200,
    )?;
    let reasons = wire
        .reasons
        .iter()
        .map(|reason| {
            Ok(Reason {
                what: one_of(&reason.what, &What::ALL, What::code)?,
                text: lower::text("the reason", &reason.text, 500)?,
                tick: tick.clone(),
            })
        })
        .collect::<Result<Vec<_>, ApiError>>()?;
    let ticked = |yes: bool| yes.then(|| tick.clone());
    Ok(Said {
        identity: (!identity.is_empty()).then(|| (identity, tick.clone())),
        allergies: ticked(wire.allergies),
        order: ticked(wire.order),
        container,
        glucose,
        meal: meal.map(|meal| (meal, tick.clone())),
        consent: consent.map(|consent| (consent, tick.clone())),
        skin: skin.map(|skin| (skin, tick.clone())),
        second: second.map(|by| Tick { by, at: tick.at }),
        reasons,
    })
}

/// The identifiers that were read back.
fn identity(wire: &BeforeSaid) -> Result<Vec<ReadBack>, ApiError> {
    wire.identity
        .iter()
        .map(|one| {
            Ok(ReadBack {
                identifier: match one.identifier.as_str() {
                    "name" => Identifier::Name,
                    "born" => Identifier::Born,
                    "number" => Identifier::Number,
                    other => return Err(not_one_of(other, &["name", "born", "number"])),
                },
                matches: one.matches,
            })
        })
        .collect()
}

fn meal(wire: &BeforeSaid) -> Result<Option<Meal>, ApiError> {
    wire.meal
        .as_deref()
        .map(|meal| match meal {
            "eaten" => Ok(Meal::Eaten),
            "about" => Ok(Meal::About),
            "not_eating" => Ok(Meal::NotEating),
            other => Err(not_one_of(other, &["eaten", "about", "not_eating"])),
        })
        .transpose()
}

fn consent(wire: &BeforeSaid) -> Result<Option<Consent>, ApiError> {
    wire.consent
        .as_deref()
        .map(|consent| match consent {
            "given" => Ok(Consent::Given),
            "refused" => Ok(Consent::Refused),
            "decided_for" => lower::text(
                "who decided for the person",
                wire.consent_words.as_deref().unwrap_or(""),
                500,
            )
            .map(Consent::DecidedFor),
            other => Err(not_one_of(other, &["given", "refused", "decided_for"])),
        })
        .transpose()
}

fn skin(wire: &BeforeSaid) -> Result<Option<SkinSeen>, ApiError> {
    wire.skin
        .as_deref()
        .map(|skin| match skin {
            "clear" => Ok(SkinSeen::Clear),
            "found" => lower::text(
                "what was seen on the skin",
                wire.skin_words.as_deref().unwrap_or(""),
                500,
            )
            .map(SkinSeen::Found),
            other => Err(not_one_of(other, &["clear", "found"])),
        })
        .transpose()
}

fn check(check: &Check, last: Option<&ContainerEntry>) -> BeforeCheck {
    let (state, problems, reason) = match &check.state {
        State::NotYet => ("not_yet", Vec::new(), None),
        State::Done(_) => ("done", Vec::new(), None),
        State::NotAsked => ("not_asked", Vec::new(), None),
        State::Problem {
            problems, reason, ..
        } => {
            let told = problems.iter().map(|p| BeforeProblem {
                words: p.words.clone(),
                loud: p.loud,
                source: p.source.clone(),
            });
            (
                "problem",
                told.collect(),
                reason.as_ref().map(|r| r.text.clone()),
            )
        }
    };
    BeforeCheck {
        what: check.what.code().to_owned(),
        state: state.to_owned(),
        open: check.is_open(),
        problems,
        reason,
        lines: check.lines.clone(),
        as_last_time: match &check.as_last_time {
            AsLastTime::Offered(_) => last.map(containers::raised),
            AsLastTime::Never | AsLastTime::NotNow(_) => None,
        },
        not_as_last_time: match &check.as_last_time {
            AsLastTime::NotNow(words) => Some(words.clone()),
            AsLastTime::Never | AsLastTime::Offered(_) => None,
        },
    }
}
