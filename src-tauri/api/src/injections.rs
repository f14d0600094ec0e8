//! Record an injection, correct one, list them.
//!
//! Every check that could refuse runs inside the transaction that saves, so two carers on one record cannot both
//! give the same dose undisputed.

use chrono::{DateTime, Duration, FixedOffset};
use chrono_tz::Tz;
use fallow_core::act::Act;
use fallow_core::body::Body;
use fallow_core::medicines::Medicine;
use fallow_core::person::Injection;
use fallow_core::rules::{Interval, Proposal, Verdict, check};
use fallow_core::site::Site;
use fallow_core::time;
use fallow_core::units::Dose;
use fallow_store::{
    InjectionEntry, InjectionQuery, Kind, NewHead, OrderEntry, PersonEntry, Reader, Status, Tx,
};

use crate::error::{ApiError, ErrorCode as Code};
use crate::record::{self, SkinThen, medicine, person_and_order};
use crate::wire::{
    InjectionCorrect, InjectionData, InjectionList, InjectionListData, InjectionRecord,
};
use crate::{App, Clock, Now, lower, raise, terms};

/// An injection as it would be saved.
struct Wanted<'a> {
    person: &'a PersonEntry,
    order: &'a OrderEntry,
    medicine: &'a Medicine,
    site: Site,
    given_at: DateTime<FixedOffset>,
    dose: Dose,
    zone: Tz,
    recorder: String,
    act: Act,
    self_given: bool,
    clock: Clock,
}

impl Wanted<'_> {
    fn injection(&self, id: &str) -> Injection {
        Injection {
            id: id.to_owned(),
            order: self.order.head.root.clone(),
            medicine: self.medicine.id.clone(),
            site: self.site,
            given_at: self.given_at,
            dose: self.dose,
            recorder: self.recorder.clone(),
        }
    }
}

pub(crate) fn record(
    app: &mut App,
    args: &InjectionRecord,
    now: Now,
) -> Result<InjectionData, ApiError> {
    let id = lower::id(&args.id)?;
    let reason = lower::some_text("the reason", args.reason.as_deref(), 500)?;
    app.store_mut()?.transact(|tx| {
        let (person, order) = person_and_order(tx, &args.person, &args.order)?;
        let wanted = wanted(args, &person, &order, now)?;
        if tx.entry_kind(&id)?.is_some() {
            return saved_before(tx, &id, &wanted, reason.as_deref());
        }
        let covers = |code: Code| {
            reason.is_some()
                && args
                    .acknowledges
                    .as_ref()
                    .is_none_or(|a| a.iter().any(|c| c == code.code()))
        };
        if !covers(Code::SecondDose) {
            second_dose(tx, &wanted)?;
        }
        if !covers(Code::OrderNotInForce) {
            in_force(&wanted)?;
        }
        if !covers(Code::AvoidNeedsReason) {
            not_avoid(tx, &wanted)?;
        }
        let head = record::head(
            id.clone(),
            Some(wanted.recorder.clone()),
            reason.clone(),
            now,
        );
        save(tx, &head, &wanted, Status::Given)
    })
}

fn wanted<'a>(
    args: &InjectionRecord,
    person: &'a PersonEntry,
    order: &'a OrderEntry,
    now: Now,
) -> Result<Wanted<'a>, ApiError> {
    let zone = args
        .zone
        .as_deref()
        .map_or(Ok(person.person.zone), lower::time_zone)?;
    let medicine = medicine(&order.order.medicine)?;
    let self_given = lower::self_given(args.giver.as_deref(), person.person.self_injects)?;
    let note = lower::some_text("the note", args.note.as_deref(), 2000)?;
    Ok(Wanted {
        person,
        order,
        medicine,
        site: lower::site(&args.site, &Body::of(&person.person.sizes))?,
        given_at: lower::given_at(&args.given_at, zone, person.person.born, now)?,
        dose: lower::dose(&args.dose, medicine)?,
        zone,
        recorder: lower::text("who gave it", &args.recorder, 200)?,
        act: terms::act(&args.act, args.giver.as_ref().map(|_| self_given), note)?,
        self_given,
        clock: now.clock,
    })
}

/// The same id with the same content is the same press of the button; with other content it is a mistake.
fn saved_before(
    reader: &Reader<'_>,
    id: &str,
    wanted: &Wanted<'_>,
    reason: Option<&str>,
) -> Result<InjectionData, ApiError> {
    let same = |e: &InjectionEntry| {
        e.person == wanted.person.head.root
            && e.injection == wanted.injection(id)
            && e.injection.given_at.offset() == wanted.given_at.offset()
            && e.zone == wanted.zone
            && e.act == wanted.act
            && e.head.reason.as_deref() == reason
            && e.head.supersedes.is_none()
    };
    let known = match reader.entry_kind(id)? {
        Some(Kind::Injection) => reader.injection(id)?.filter(same),
        _ => None,
    };
    known.map(|e| raise::injection(&e, wanted.clock)).ok_or_else(|| {
        ApiError::new(
            Code::IdReused,
            "This id was already used for another entry. Make a new id for a new entry, or correct the earlier one.",
        )
    })
}

/// Refuses the same medicine inside half its usual interval, before or after, by any recorder.
fn second_dose(reader: &Reader<'_>, wanted: &Wanted<'_>) -> Result<(), ApiError> {
    let interval = Interval::of(&wanted.order.order);
    let weekly = wanted
        .medicine
        .weekly_only
        .as_ref()
        .is_some_and(|w| w.value);
    let reach = interval.usual.unwrap_or_else(|| Duration::minutes(15));
    let near = reader.injections_of_medicine(
        &wanted.person.head.root,
        &wanted.medicine.id,
        (wanted.given_at - reach).timestamp_millis(),
        (wanted.given_at + reach).timestamp_millis() + 1,
    )?;
    let nearest = near
        .iter()
        .filter(|e| {
            let judged = interval.judge(e.injection.given_at, wanted.given_at);
            judged.needs_reason || weekly && judged.early
        })
        .min_by_key(|e| ((wanted.given_at - e.injection.given_at).abs(), e.head.seq));
    let Some(earlier) = nearest else {
        return Ok(());
    };
    let apart = wanted.given_at - earlier.injection.given_at;
    let length = time::length_words(apart);
    let ago = if apart < Duration::zero() {
        format!("{length} later")
    } else {
        format!("{length} ago")
    };
    let place = raise::place(&earlier.injection.site).words;
    let mut error = ApiError::new(
        Code::SecondDose,
        format!(
            "{}{} was already given: {}, {ago}, by {}. {place}. If this is a further dose, say why.",
            if weekly {
                "STOP: once a WEEK only. "
            } else {
                ""
            },
            wanted.medicine.name,
            earlier.injection.dose,
            earlier.injection.recorder
        ),
    );
    error.details.earlier = Some(Box::new(raise::injection(earlier, wanted.clock)));
    error.details.ago = Some(ago);
    Err(error)
}

fn in_force(wanted: &Wanted<'_>) -> Result<(), ApiError> {
    let order = &wanted.order.order;
    let words = match raise::order_state(order, wanted.given_at.date_naive()) {
        "not_yet" => format!("starts on {}", time::day_words(order.from)),
        "ended" => format!(
            "ended on {}",
            order.to.map(time::day_words).unwrap_or_default()
        ),
        _ => return Ok(()),
    };
    Err(ApiError::new(
        Code::OrderNotInForce,
        format!("This order {words}. If it was given all the same, say why."),
    ))
}

fn not_avoid(reader: &Reader<'_>, wanted: &Wanted<'_>) -> Result<(), ApiError> {
    let then = SkinThen::read(
        reader,
        wanted.person,
        wanted.medicine,
        wanted.given_at,
        None,
    )?;
    let proposal = Proposal {
        site: wanted.site,
        at: wanted.given_at,
        medicine: wanted.medicine,
        self_given: wanted.self_given,
    };
    let reasons = check(&proposal, &then.skin());
    if Verdict::of(&reasons) != Verdict::Avoid {
        return Ok(());
    }
    let first = reasons.first().map(|r| r.words.clone()).unwrap_or_default();
    let mut error = ApiError::new(
        Code::AvoidNeedsReason,
        format!("{first} If it was given here all the same, say why."),
    );
    error.details.reasons = Some(raise::reasons(&reasons));
    Err(error)
}

fn save(
    tx: &Tx<'_>,
    head: &NewHead,
    wanted: &Wanted<'_>,
    status: Status,
) -> Result<InjectionData, ApiError> {
    let injection = wanted.injection(&head.id);
    let person = wanted.person.head.root.clone();
    let head = tx.add_injection(head, &person, &injection, wanted.zone, &wanted.act, status)?;
    let saved = InjectionEntry {
        head,
        person,
        injection,
        zone: wanted.zone,
        act: wanted.act.clone(),
        status,
    };
    Ok(raise::injection(&saved, wanted.clock))
}

pub(crate) fn correct(
    app: &mut App,
    args: &InjectionCorrect,
    now: Now,
) -> Result<InjectionData, ApiError> {
    let id = lower::id(&args.id)?;
    let replaces = lower::id(&args.replaces)?;
    let reason = lower::text("the reason for the correction", &args.reason, 500)?;
    let corrected_by = lower::some_text("who corrects it", args.recorder.as_deref(), 200)?;
    app.store_mut()?.transact(|tx| {
        let old = tx.injection(&replaces)?.ok_or_else(|| {
            ApiError::new(Code::UnknownInjection, format!("There is no injection \"{replaces}\" to correct. Choose one from the record."))
        })?;
        let person = record::person(tx, &old.person)?;
        let order_id = args.order.as_deref().unwrap_or(&old.injection.order);
        let (_, order) = person_and_order(tx, &old.person, order_id)?;
        let wanted = corrected(args, &old, &person, &order, now)?;
        let status =
            if args.entered_in_error { Status::EnteredInError } else { Status::Given };
        if tx.entry_kind(&id)?.is_some() {
            let same = |e: &InjectionEntry| {
                e.head.supersedes.as_deref() == Some(replaces.as_str())
                    && e.injection == wanted.injection(&id)
                    && e.status == status
                    && e.act == wanted.act
                    && e.head.reason.as_deref() == Some(reason.as_str())
            };
            let known = tx.injection(&id)?.filter(same);
            return known.map(|e| raise::injection(&e, wanted.clock)).ok_or_else(|| {
                ApiError::new(Code::IdReused, "This id was already used for another entry. Make a new id for each correction.")
            });
        }
        if old.head.superseded_by.is_some() || old.status == Status::EnteredInError {
            return Err(ApiError::new(
                Code::AlreadyCorrected,
                "This entry was already corrected or withdrawn. Correct the newest version of it instead.",
            ));
        }
        let head = record::head(id.clone(), corrected_by.clone(), Some(reason.clone()), now);
        let head = NewHead { supersedes: Some(replaces.clone()), ..head };
        save(tx, &head, &wanted, status)
    })
}

/// The old entry with what the correction changes. A withdrawal keeps every value: it says that it never happened.
fn corrected<'a>(
    args: &InjectionCorrect,
    old: &InjectionEntry,
    person: &'a PersonEntry,
    order: &'a OrderEntry,
    now: Now,
) -> Result<Wanted<'a>, ApiError> {
    let zone = args
        .zone
        .as_deref()
        .map_or(Ok(old.zone), lower::time_zone)?;
    let medicine = medicine(&order.order.medicine)?;
    let body = Body::of(&person.person.sizes);
    let site = args
        .site
        .as_ref()
        .map_or(Ok(old.injection.site), |s| lower::site(s, &body))?;
    let given_at = match &args.given_at {
        Some(text) => lower::given_at(text, zone, person.person.born, now)?,
        None => old.injection.given_at,
    };
    let dose = args
        .dose
        .as_ref()
        .map_or(Ok(old.injection.dose), |d| lower::dose(d, medicine))?;
    if !medicine.units.contains(&dose.unit()) {
        return Err(ApiError::new(
            Code::WrongUnit,
            format!(
                "{} is not given in {}. Send the dose with the order.",
                medicine.name,
                dose.unit().code()
            ),
        ));
    }
    // Who gave it does not change because somebody else corrects the entry.
    let recorder = old.injection.recorder.clone();
    let note = match lower::some_text("the note", args.note.as_deref(), 2000)? {
        Some(note) => Some(note),
        None => old.act.note.clone(),
    };
    let act = match &args.act {
        Some(wire) => terms::act(wire, old.act.self_given, note)?,
        None => Act {
            note,
            ..old.act.clone()
        },
    };
    Ok(Wanted {
        person,
        order,
        medicine,
        site,
        given_at,
        dose,
        zone,
        recorder,
        act,
        self_given: false,
        clock: now.clock,
    })
}

pub(crate) fn list(
    app: &App,
    args: &InjectionList,
    now: Now,
) -> Result<InjectionListData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let zone = person.person.zone;
    let limit = args.limit.unwrap_or(1000);
    if !(1..=5000).contains(&limit) {
        return Err(ApiError::new(
            Code::BadCount,
            "Ask for 1 to 5000 injections at a time.",
        ));
    }
    // A day stands for its first instant, or for the first instant of the next one at the far end.
    let bound = |text: &str, days: i64| -> Result<i64, ApiError> {
        if let Ok(day) = chrono::NaiveDate::parse_from_str(text, "%Y-%m-%d") {
            return Ok(time::day_start(day + Duration::days(days), zone).timestamp_millis());
        }
        lower::instant(text, zone, now.clock).map(|at| at.timestamp_millis() + days)
    };
    let from_ms = args.from.as_deref().map(|t| bound(t, 0)).transpose()?;
    let to_ms = args.to.as_deref().map(|t| bound(t, 1)).transpose()?;
    if let (Some(from), Some(to)) = (from_ms, to_ms)
        && to < from
    {
        return Err(ApiError::new(
            Code::DatesReversed,
            "The period ends before it starts. Swap the two dates.",
        ));
    }
    let mut entries = reader.injections(&InjectionQuery {
        person: person.head.root,
        from_ms,
        to_ms,
        superseded: args.superseded,
        limit: Some(limit + 1),
    })?;
    let more = entries.len() > limit as usize;
    entries.truncate(limit as usize);
    Ok(InjectionListData {
        injections: entries
            .iter()
            .map(|e| raise::injection(e, now.clock))
            .collect(),
        more,
    })
}
