//! What the screens need around the record: status, settings, typed times and unfinished forms.

use fallow_core::medicines::Book;
use fallow_core::time::{self, Meaning};

use crate::error::{ApiError, ErrorCode as Code};
use crate::record::{self, new_id};
use crate::wire::{
    DraftData, DraftRef, DraftSave, MedicineListData, PracticeData, PracticeSet, StatusData,
    TimeResolve, TimeResolveData,
};
use crate::{App, Now, lower, raise};

/// The most a draft may hold, in bytes.
const DRAFT_BYTES: usize = 64 * 1024;

pub(crate) fn status(app: &App, now: Now) -> Result<StatusData, ApiError> {
    let store = app.store()?;
    let reader = store.reader();
    let latest = reader.latest_recorded_ms()?;
    Ok(StatusData {
        version: env!("CARGO_PKG_VERSION").to_owned(),
        writable: store.writable(),
        demo: app.demo,
        protected: store.is_protected(),
        clock_set: now.set_by_hand,
        now: raise::instant(now.at),
        tz_version: time::zone_rules_version().to_owned(),
        clock_behind: latest.is_some_and(|ms| ms > now.at.timestamp_millis() + 60_000),
        backup_fault: app.daily.fault.clone(),
        people: u32::try_from(reader.people_count()?).unwrap_or(u32::MAX),
    })
}

pub(crate) fn medicines() -> MedicineListData {
    let mut medicines: Vec<_> = Book::shipped().medicines().map(raise::medicine).collect();
    medicines.sort_by_key(|m| m.name.to_lowercase());
    MedicineListData { medicines }
}

pub(crate) fn practice(app: &App) -> Result<PracticeData, ApiError> {
    Ok(PracticeData {
        navel_margin_cm: record::navel_margin(&app.store()?.reader())?,
        navel_margins: raise::navel_margins(Book::shipped()),
    })
}

pub(crate) fn practice_set(
    app: &mut App,
    args: &PracticeSet,
    now: Now,
) -> Result<PracticeData, ApiError> {
    let published = &Book::shipped().general.navel_margins;
    let Some(chosen) = published
        .iter()
        .find(|m| (m.value - args.navel_margin_cm).abs() < 1e-9)
    else {
        let values: Vec<_> = published
            .iter()
            .map(|m| format!("{} cm", m.value))
            .collect();
        return Err(ApiError::new(
            Code::NotPublished,
            format!(
                "The navel margin is one of the published values: {}.",
                values.join(", ")
            ),
        ));
    };
    let recorder = lower::some_text("who makes the entry", args.recorder.as_deref(), 200)?;
    app.store_mut()?.transact(|tx| {
        let current = tx.practice()?;
        if current
            .as_ref()
            .is_some_and(|c| (c.navel_margin_cm - chosen.value).abs() < 1e-9)
        {
            return Ok::<_, ApiError>(());
        }
        let mut head = record::head(new_id(now), recorder, None, now);
        head.supersedes = current.map(|c| c.head.id);
        tx.add_practice(&head, chosen.value)?;
        Ok(())
    })?;
    practice(app)
}

pub(crate) fn time_resolve(args: &TimeResolve, now: Now) -> Result<TimeResolveData, ApiError> {
    let zone = lower::time_zone(&args.zone)?;
    let meaning = time::meaning(lower::local(&args.local)?, zone);
    let (kind, first) = match meaning {
        Meaning::Once(at) => ("one", at),
        Meaning::Twice(at, _) => ("twice", at),
        Meaning::Never(at, _) => ("never", at),
    };
    let since = now.at - first;
    let length = time::length_words(since);
    let future = since < chrono::Duration::zero();
    Ok(TimeResolveData {
        kind: kind.to_owned(),
        offers: lower::offers(meaning, zone, now.clock),
        ago: match since.num_minutes() {
            0 => "now".to_owned(),
            _ if future => format!("in {length}"),
            _ => format!("{length} ago"),
        },
        future,
    })
}

fn key(text: &str) -> Result<String, ApiError> {
    lower::text("the draft's key", text, 200)
}

pub(crate) fn draft_save(app: &mut App, args: &DraftSave, now: Now) -> Result<DraftData, ApiError> {
    let key = key(&args.key)?;
    if args.body.len() > DRAFT_BYTES {
        return Err(ApiError::new(
            Code::BadText,
            "The unfinished form is too long to keep. Shorten the note.",
        ));
    }
    app.store_mut()?.transact(|tx| {
        let opened_at = tx.draft(&key)?.map_or(now.at, |d| d.opened_at);
        tx.save_draft(&key, &args.body, opened_at)?;
        Ok(DraftData {
            key: key.clone(),
            body: Some(args.body.clone()),
            opened_at: Some(raise::instant(opened_at)),
        })
    })
}

pub(crate) fn draft_get(app: &App, args: &DraftRef) -> Result<DraftData, ApiError> {
    let key = key(&args.key)?;
    let draft = app.store()?.reader().draft(&key)?;
    Ok(DraftData {
        key,
        opened_at: draft.as_ref().map(|d| raise::instant(d.opened_at)),
        body: draft.map(|d| d.body),
    })
}

pub(crate) fn draft_drop(app: &mut App, args: &DraftRef) -> Result<DraftData, ApiError> {
    let key = key(&args.key)?;
    app.store_mut()?
        .transact(|tx| Ok::<_, ApiError>(tx.drop_draft(&key)?))?;
    Ok(DraftData {
        key,
        body: None,
        opened_at: None,
    })
}
