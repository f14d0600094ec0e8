//! People and their orders: add, change, end, list.

use fallow_core::body::Body;
use fallow_core::time;
use fallow_store::{Kind, NewHead, OrderEntry, PersonEntry, Reader, StoreError};

use crate::error::{ApiError, ErrorCode as Code};
use crate::record::{self, id_or_new, new_id};
use crate::wire::{
    OrderAdd, OrderChange, OrderData, OrderEnd, PersonAdd, PersonChange, PersonData, PersonDetail,
    PersonList, PersonListData, PersonRef, PersonRow,
};
use crate::{App, Now, lower, raise};

pub(crate) fn add(app: &mut App, args: &PersonAdd, now: Now) -> Result<PersonData, ApiError> {
    let id = id_or_new(args.id.as_deref(), now)?;
    let person = lower::person(args, now)?;
    let recorder = lower::some_text("who makes the entry", args.recorder.as_deref(), 200)?;
    app.store_mut()?.transact(|tx| {
        if let Some(kind) = tx.entry_kind(&id)? {
            let known = tx
                .person(&id)?
                .filter(|p| kind == Kind::Person && p.person == person);
            return known
                .map(|p| raise::person(&p, now))
                .ok_or_else(|| StoreError::IdReused.into());
        }
        let head = record::head(id.clone(), recorder, None, now);
        let head = tx.add_person(&head, &person)?;
        Ok(raise::person(&PersonEntry { head, person }, now))
    })
}

pub(crate) fn change(app: &mut App, args: &PersonChange, now: Now) -> Result<PersonData, ApiError> {
    let person = lower::person(&args.to, now)?;
    let reason = lower::some_text("the reason", args.reason.as_deref(), 500)?;
    let recorder = lower::some_text("who makes the entry", args.to.recorder.as_deref(), 200)?;
    app.store_mut()?.transact(|tx| {
        let current = record::person(tx, &args.person)?;
        if current.person == person {
            return Ok(raise::person(&current, now));
        }
        let head = record::head(new_id(now), recorder, reason, now);
        let head = NewHead {
            supersedes: Some(current.head.id),
            ..head
        };
        let head = tx.add_person(&head, &person)?;
        Ok(raise::person(&PersonEntry { head, person }, now))
    })
}

pub(crate) fn list(app: &App, args: &PersonList, now: Now) -> Result<PersonListData, ApiError> {
    let reader = app.store()?.reader();
    let wanted = args.search.as_deref().unwrap_or("").trim().to_lowercase();
    let orders = reader.orders_by_person()?;
    let last = reader.last_injections()?;
    let people = reader
        .people()?
        .into_iter()
        .filter(|p| {
            let identifier = p.person.identifier.as_deref().unwrap_or("");
            p.person.name.to_lowercase().contains(&wanted)
                || identifier.to_lowercase().contains(&wanted)
        })
        .map(|p| {
            let today = time::day_in(now.at, p.person.zone);
            let last = last.get(&p.head.root);
            PersonRow {
                orders: orders
                    .get(&p.head.root)
                    .into_iter()
                    .flatten()
                    .map(|o| raise::order(o, today, now.clock))
                    .filter(|o| o.state == "in_force")
                    .collect(),
                last_ago: last.map(|e| time::length_words(now.at - e.injection.given_at)),
                last: last.map(|e| raise::injection(e, now.clock)),
                person: raise::person(&p, now),
            }
        })
        .collect();
    Ok(PersonListData { people })
}

pub(crate) fn get(app: &App, args: &PersonRef, now: Now) -> Result<PersonDetail, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let today = time::day_in(now.at, person.person.zone);
    let mut orders: Vec<_> = reader
        .orders_of(&person.head.root)?
        .iter()
        .map(|o| raise::order(o, today, now.clock))
        .collect();
    orders.sort_by_key(|o| match o.state.as_str() {
        "in_force" => 0,
        "not_yet" => 1,
        _ => 2,
    });
    let last = reader.last_injection(&person.head.root)?;
    Ok(PersonDetail {
        orders,
        assumed: raise::assumed(&Body::of(&person.person.sizes)),
        last_ago: last
            .as_ref()
            .map(|e| time::length_words(now.at - e.injection.given_at)),
        last: last.as_ref().map(|e| raise::injection(e, now.clock)),
        recorders: reader.recorders(&person.head.root)?,
        count_28_days: count_28_days(&reader, &person, now)?,
        person: raise::person(&person, now),
    })
}

fn count_28_days(reader: &Reader<'_>, person: &PersonEntry, now: Now) -> Result<u32, ApiError> {
    let entries = record::given(reader, person, now.at - chrono::Duration::days(30), now.at)?;
    let today = time::day_in(now.at, person.person.zone);
    let recent = entries
        .iter()
        .filter(|e| (today - e.injection.day()).num_days() < 28);
    Ok(recent.count() as u32)
}

pub(crate) fn order_add(app: &mut App, args: &OrderAdd, now: Now) -> Result<OrderData, ApiError> {
    let id = id_or_new(args.id.as_deref(), now)?;
    let medicine = record::medicine(&args.medicine)?;
    let order = lower::order(args, medicine)?;
    let recorder = lower::some_text("who makes the entry", args.recorder.as_deref(), 200)?;
    app.store_mut()?.transact(|tx| {
        let person = record::person(tx, &args.person)?;
        let today = time::day_in(now.at, person.person.zone);
        if let Some(kind) = tx.entry_kind(&id)? {
            let known = tx.order(&id)?.filter(|o| {
                kind == Kind::Order && o.order == order && o.person == person.head.root
            });
            return known
                .map(|o| raise::order(&o, today, now.clock))
                .ok_or_else(|| StoreError::IdReused.into());
        }
        let head = record::head(id.clone(), recorder, None, now);
        let head = tx.add_order(&head, &person.head.root, &order)?;
        Ok(raise::order(
            &OrderEntry {
                head,
                person: person.head.root,
                order,
            },
            today,
            now.clock,
        ))
    })
}

pub(crate) fn order_end(app: &mut App, args: &OrderEnd, now: Now) -> Result<OrderData, ApiError> {
    let to = lower::date("the last day", &args.to)?;
    let reason = lower::text("the reason", &args.reason, 500)?;
    let recorder = lower::some_text("who makes the entry", args.recorder.as_deref(), 200)?;
    app.store_mut()?.transact(|tx| {
        let mut current = record::order(tx, &args.order)?;
        let person = record::person(tx, &current.person)?;
        let today = time::day_in(now.at, person.person.zone);
        if to < current.order.from {
            return Err(ApiError::new(
                Code::DatesReversed,
                format!(
                    "The order starts on {}; its last day cannot be earlier.",
                    time::day_words(current.order.from)
                ),
            ));
        }
        if current.order.to == Some(to) {
            return Ok(raise::order(&current, today, now.clock));
        }
        current.order.to = Some(to);
        let head = record::head(new_id(now), recorder, Some(reason), now);
        let head = NewHead {
            supersedes: Some(current.head.id.clone()),
            ..head
        };
        current.head = tx.add_order(&head, &current.person, &current.order)?;
        Ok(raise::order(&current, today, now.clock))
    })
}

pub(crate) fn order_change(
    app: &mut App,
    args: &OrderChange,
    now: Now,
) -> Result<OrderData, ApiError> {
    let medicine = record::medicine(&args.to.medicine)?;
    let order = lower::order(&args.to, medicine)?;
    let reason = lower::text("the reason", &args.reason, 500)?;
    let recorder = lower::some_text("who makes the entry", args.to.recorder.as_deref(), 200)?;
    app.store_mut()?.transact(|tx| {
        let (person, current) = record::person_and_order(tx, &args.to.person, &args.order)?;
        let today = time::day_in(now.at, person.person.zone);
        if current.order == order {
            return Ok(raise::order(&current, today, now.clock));
        }
        if current.order.medicine != order.medicine {
            return Err(ApiError::new(
                Code::OrderOfAnother,
                "An order keeps its medicine. End this one and add an order for the other medicine.",
            ));
        }
        let head = record::head(new_id(now), recorder, Some(reason), now);
        let head = NewHead {
            supersedes: Some(current.head.id.clone()),
            ..head
        };
        let head = tx.add_order(&head, &current.person, &order)?;
        Ok(raise::order(
            &OrderEntry {
                head,
                person: current.person,
                order,
            },
            today,
            now.clock,
        ))
    })
}
