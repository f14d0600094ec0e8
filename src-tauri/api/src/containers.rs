//! The containers in use: what their labels say.
//!
//! Not here: whether a label fits the order (`fallow_core::before`).

use fallow_core::act::InUse;
use fallow_core::before::{Container, Device, Expiry, NeedleCover};
use fallow_core::time;
use fallow_store::{ContainerEntry, Kind, NewHead, OrderEntry, StoreError};

use crate::error::{ApiError, ErrorCode as Code};
use crate::record::{self, person_and_order};
use crate::terms::one_of;
use crate::wire::{ContainerAdd, ContainerData};
use crate::{App, Now, lower};

pub(crate) fn add(app: &mut App, args: &ContainerAdd, now: Now) -> Result<ContainerData, ApiError> {
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
                .map(|c| raised(&c))
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
        Ok(raised(&ContainerEntry {
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
pub(crate) fn raised(entry: &ContainerEntry) -> ContainerData {
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
