//! Skin checks: recorded, withdrawn, when the next is due and how it is done.

use std::collections::BTreeSet;

use chrono::Duration;
use fallow_core::act::Outcome;
use fallow_core::measures::Period;
use fallow_core::medicines::Book;
use fallow_core::site::Zone;
use fallow_core::skin::check::{self as core, CheckDue, Hint};
use fallow_core::skin::{NeedleUses, SkinCheck, Standing, ZoneSeen};
use fallow_core::time;
use fallow_store::{
    InjectionEntry, Kind, NewHead, PersonEntry, Reader, SkinCheckEntry, StoreError,
};

use crate::error::{ApiError, ErrorCode as Code};
use crate::terms::one_of;
use crate::wire::{
    LookStepData, SkinCheckData, SkinCheckRecord, SkinStateData, SkinStateGet, SkinWithdraw,
    ZoneSeenData,
};
use crate::{App, Now, lower, measures, raise, record, skin};

/// How far back an unasked-for hint looks, in days.
const HINT_DAYS: i64 = 84;

pub(crate) fn record(
    app: &mut App,
    args: &SkinCheckRecord,
    now: Now,
) -> Result<SkinCheckData, ApiError> {
    let id = lower::id(&args.id)?;
    let by = lower::text("who looked", &args.recorder, 200)?;
    let note = lower::some_text("the note", args.note.as_deref(), 2000)?;
    app.store_mut()?.transact(|tx| {
        let person = record::person(tx, &args.person)?;
        let check = SkinCheck {
            id: id.clone(),
            at: lower::given_at(&args.at, person.person.zone, person.person.born, now)?,
            by: by.clone(),
            zones: zones(args)?,
            needle_uses: args
                .needle_uses
                .map(|times| {
                    NeedleUses::new(times).ok_or_else(|| {
                        ApiError::new(
                            Code::BadCount,
                            "A needle is used 1 to 100 times; 1 is a new needle each time.",
                        )
                    })
                })
                .transpose()?,
            insulin_since: args.insulin_since,
            unexplained_lows: args.unexplained_lows,
            note: note.clone(),
        };
        check
            .validate(person.person.born)
            .map_err(|e| ApiError::said(Code::BadDate, &e))?;
        if tx.entry_kind(&id)?.is_some() {
            let known = tx
                .skin_check(&id)?
                .filter(|e| e.check == check && e.person == person.head.root && !e.withdrawn);
            return known
                .map(|e| data(&e, now))
                .ok_or_else(|| StoreError::IdReused.into());
        }
        let zone = person.person.zone;
        let head = record::head(id.clone(), Some(by.clone()), None, now);
        let head = tx.add_skin_check(&head, &person.head.root, &check, zone, false)?;
        let entry = SkinCheckEntry {
            head,
            person: person.head.root,
            check,
            zone,
            withdrawn: false,
        };
        Ok(data(&entry, now))
    })
}

/// Each zone once, and at least one.
fn zones(args: &SkinCheckRecord) -> Result<Vec<(Zone, ZoneSeen)>, ApiError> {
    let zones: Vec<(Zone, ZoneSeen)> = args
        .zones
        .iter()
        .map(|z| {
            let seen = one_of(&z.seen, &ZoneSeen::ALL, ZoneSeen::code)?;
            Ok((lower::zone(&z.zone)?, seen))
        })
        .collect::<Result<_, ApiError>>()?;
    let different: BTreeSet<Zone> = zones.iter().map(|(zone, _)| *zone).collect();
    if zones.is_empty() || different.len() < zones.len() {
        return Err(ApiError::new(
            Code::BadCount,
            "Name each zone that was asked about once, and at least one.",
        ));
    }
    Ok(zones)
}

pub(crate) fn withdraw(
    app: &mut App,
    args: &SkinWithdraw,
    now: Now,
) -> Result<SkinCheckData, ApiError> {
    let id = lower::id(&args.id)?;
    let replaces = lower::id(&args.replaces)?;
    let reason = lower::text("why", &args.reason, 500)?;
    let recorder = lower::text("who withdraws it", &args.recorder, 200)?;
    app.store_mut()?.transact(|tx| {
        let old = tx.skin_check(&replaces)?.ok_or_else(|| {
            ApiError::new(
                Code::UnknownSkinCheck,
                format!(
                    "There is no skin check \"{replaces}\". Choose one from the person's skin."
                ),
            )
        })?;
        if tx.entry_kind(&id)? == Some(Kind::SkinCheck) {
            let known = tx
                .skin_check(&id)?
                .filter(|e| e.withdrawn && e.head.supersedes.as_deref() == Some(replaces.as_str()));
            return known
                .map(|e| data(&e, now))
                .ok_or_else(|| StoreError::IdReused.into());
        }
        if old.withdrawn {
            return Err(StoreError::AlreadySuperseded.into());
        }
        let check = SkinCheck {
            id: id.clone(),
            ..old.check.clone()
        };
        let head = NewHead {
            supersedes: Some(replaces.clone()),
            ..record::head(id.clone(), Some(recorder), Some(reason), now)
        };
        let head = tx.add_skin_check(&head, &old.person, &check, old.zone, true)?;
        let entry = SkinCheckEntry {
            head,
            check,
            withdrawn: true,
            ..old
        };
        Ok(data(&entry, now))
    })
}

pub(crate) fn state(app: &App, args: &SkinStateGet, now: Now) -> Result<SkinStateData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let at = now.at.with_timezone(&person.person.zone).fixed_offset();
    let entries = reader.skin_checks(&person.head.root)?;
    let last = last(&entries);
    let recent = record::given(&reader, &person, at - Duration::days(HINT_DAYS), at)?;
    let hints = hints(&reader, &person, &recent, last, now)?;
    let due = core::due(last, &hints, at);
    let there = skin::there(&reader, &person.head.root, at)?.len();
    Ok(SkinStateData {
        due: match due {
            CheckDue::Never => "never",
            CheckDue::Overdue { .. } => "overdue",
            CheckDue::Suggested { .. } => "suggested",
            CheckDue::NotDue { .. } => "not_due",
        }
        .to_owned(),
        due_words: due.words(),
        hints: hints.iter().map(|h| h.words().to_owned()).collect(),
        due_source: core::YEARLY_SOURCE.to_owned(),
        zones: in_use(&reader, &person, now)?
            .into_iter()
            .map(|zone| zone_seen(zone, ZoneSeen::NotLookedAt))
            .collect(),
        steps: core::STEPS
            .iter()
            .map(|s| LookStepData {
                words: s.words.to_owned(),
                source: s.source.to_owned(),
            })
            .collect(),
        caution: core::CAUTION.to_owned(),
        caution_source: core::CAUTION_SOURCE.to_owned(),
        insulin: takes_insulin(&reader, &person)?,
        checks: entries.iter().map(|e| data(e, now)).collect(),
        findings_there: u32::try_from(there).unwrap_or(u32::MAX),
    })
}

/// The last check that counts, of those newest first.
pub(crate) fn last(entries: &[SkinCheckEntry]) -> Option<&SkinCheck> {
    entries.iter().find(|e| !e.withdrawn).map(|e| &e.check)
}

/// What in the record makes a check worth doing before its year is over. What was known at the last check is no news.
fn hints(
    reader: &Reader<'_>,
    person: &PersonEntry,
    recent: &[InjectionEntry],
    last: Option<&SkinCheck>,
    now: Now,
) -> Result<Vec<Hint>, ApiError> {
    let since = last.map(|check| check.at);
    let news = |at| since.is_none_or(|since| at > since);
    let mut hints = Vec::new();
    let felt = recent
        .iter()
        .any(|e| e.act.outcomes.contains(&Outcome::LumpFelt) && news(e.injection.given_at));
    if felt {
        hints.push(Hint::LumpFelt);
    }
    if last.is_some_and(|check| check.unexplained_lows == Some(true)) {
        hints.push(Hint::UnexplainedGlucose);
    }
    let to = time::day_in(now.at, person.person.zone);
    let from = to - chrono::Days::new(HINT_DAYS.unsigned_abs() - 1);
    let from = since.map_or(from, |since| from.max(since.date_naive()));
    if from < to {
        let measured = measures::of_period(reader, person, Period { from, to })?;
        hints.extend(Hint::of(&measured.found));
    }
    Ok(hints)
}

pub(crate) fn takes_insulin(reader: &Reader<'_>, person: &PersonEntry) -> Result<bool, ApiError> {
    Ok(reader.orders_of(&person.head.root)?.iter().any(|o| {
        Book::shipped()
            .medicine(&o.order.medicine)
            .is_some_and(|m| m.class == fallow_core::risk::INSULIN)
    }))
}

/// The zones the person uses, else those of the orders' medicines; with those used in the last year and those with a
/// finding; in the order of the body.
fn in_use(reader: &Reader<'_>, person: &PersonEntry, now: Now) -> Result<Vec<Zone>, ApiError> {
    let mut used: BTreeSet<Zone> = person.person.zones.iter().copied().collect();
    if used.is_empty() {
        for order in reader.orders_of(&person.head.root)? {
            let medicine = Book::shipped().medicine(&order.order.medicine);
            used.extend(medicine.iter().flat_map(|m| m.zones.value.iter().copied()));
        }
    }
    let year = record::given(reader, person, now.at - Duration::days(366), now.at)?;
    used.extend(year.iter().map(|e| e.injection.site.zone));
    let courses = skin::courses_of(reader, &person.head.root)?;
    used.extend(
        courses
            .iter()
            .filter(|c| c.standing(now.at) == Standing::There)
            .map(|c| c.zone),
    );
    if used.is_empty() {
        used.extend(Zone::ALL);
    }
    Ok(Zone::ALL.into_iter().filter(|z| used.contains(z)).collect())
}

fn zone_seen(zone: Zone, seen: ZoneSeen) -> ZoneSeenData {
    ZoneSeenData {
        zone: zone.code().to_owned(),
        zone_words: zone.words().to_owned(),
        seen: seen.code().to_owned(),
    }
}

fn data(entry: &SkinCheckEntry, now: Now) -> SkinCheckData {
    let check = &entry.check;
    SkinCheckData {
        id: check.id.clone(),
        at: raise::instant(check.at),
        at_words: skin::words(check.at, entry.zone, now),
        recorder: check.by.clone(),
        zones: check.zones.iter().map(|(z, s)| zone_seen(*z, *s)).collect(),
        needle_uses: check.needle_uses.map(NeedleUses::times),
        insulin_since: check.insulin_since,
        unexplained_lows: check.unexplained_lows,
        note: check.note.clone(),
        words: words(check),
        withdrawn: entry.withdrawn.then(|| skin::reason_of(&entry.head)),
    }
}

/// `4 zones clear, 1 with a finding, 2 not looked at.`
fn words(check: &SkinCheck) -> String {
    let count = |seen| check.zones.iter().filter(|(_, s)| *s == seen).count();
    let part = |n: usize, what: &str| (n > 0).then(|| format!("{n} {what}"));
    let parts: Vec<String> = [
        part(count(ZoneSeen::Clear), "clear"),
        part(count(ZoneSeen::Finding), "with a finding"),
        part(count(ZoneSeen::NotLookedAt), "not looked at"),
    ]
    .into_iter()
    .flatten()
    .collect();
    let zones = if check.zones.len() == 1 {
        "zone"
    } else {
        "zones"
    };
    format!("{} {zones}: {}.", check.zones.len(), parts.join(", "))
}
