//! The plan of the coming weeks and the room on this skin: reads the record, asks the core, words only what is not in
//! the plan.

use std::collections::HashMap;

use chrono::{DateTime, Datelike, Days, Duration, FixedOffset, NaiveDate, Weekday};
use fallow_core::body::Body;
use fallow_core::due;
use fallow_core::medicines::{Book, Medicine};
use fallow_core::orders::zones_at;
use fallow_core::plan::hand;
use fallow_core::plan::need::{Need, Treatment};
use fallow_core::plan::room::{self as room_of, sustain};
use fallow_core::plan::weeks::{self, Plan, PlanOrder, PlanWish, Planned, Slot};
use fallow_core::rules::{Interval, Verdict};
use fallow_core::site::Zone;
use fallow_core::time;
use fallow_store::{InjectionEntry, OrderEntry, PersonEntry, Reader};

use crate::error::{ApiError, ErrorCode as Code};
use crate::record::SkinThen;
use crate::skin;
use crate::wire::{
    PlanData, PlanEntry, PlanGet, PlanPoint, PlanSpacing, PlanWeek, PlanZone, RoomData, RoomGet,
    RoomHelp, RoomZone, RoomZoneRest, Unplanned,
};
use crate::{App, Clock, Now, lower, raise, record, sites};

/// An order in force with the medicine whose rules are known.
struct Ordered<'a> {
    entry: &'a OrderEntry,
    medicine: &'static Medicine,
}

pub(crate) fn plan(app: &App, args: &PlanGet, now: Now) -> Result<PlanData, ApiError> {
    let count = args.weeks.unwrap_or(4);
    if !(1..=12).contains(&count) {
        return Err(ApiError::new(Code::BadCount, "Ask for 1 to 12 weeks."));
    }
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let at = crate::body::as_of(args.at.as_deref(), &person, now)?;
    let self_given = lower::self_given(args.giver.as_deref(), person.person.self_injects)?;
    let zone = person.person.zone;
    let first = time::day_in(at, zone);
    let last = first + Days::new(u64::from(count) * 7 - 1);
    let end = time::day_start(last + Days::new(1), zone) - Duration::seconds(1);
    let all = reader.orders_of(&person.head.root)?;
    let (known, mut unplanned) = known(&all, (first, last));
    let then = SkinThen::since(&reader, &person, at, weeks::LOOK_BACK_DAYS)?;
    let mut orders = Vec::new();
    let mut slots = Vec::new();
    let mut overdue = Vec::new();
    for Ordered { entry, medicine } in &known {
        let due = due_slots(entry, &person, &then.entries, (at, end));
        if due.is_empty() {
            unplanned.push(left_out(entry, not_due(entry, last)));
            continue;
        }
        let starts = at.max(time::day_start(entry.order.from, zone));
        // Injections of a time of day with zones of its own are planned in those: an order of their own to the plan.
        let first_of_order = orders.len();
        for due in &due {
            let zones = zones_at(&entry.order, *due).unwrap_or(&[]);
            let known = orders[first_of_order..].iter();
            let place = known.clone().position(|o: &PlanOrder<'_>| o.zones == zones);
            let place = first_of_order + place.unwrap_or_else(|| known.len());
            if place == orders.len() {
                orders.push(PlanOrder {
                    id: &entry.head.root,
                    medicine,
                    self_given,
                    from: entry.order.from,
                    per_day: sites::per_day(&all, medicine, starts),
                    zones,
                });
            }
            slots.push(Slot {
                at: (*due).max(at),
                order: place,
            });
        }
        overdue.extend(
            due.iter()
                .filter(|due| **due < at)
                .map(|due| (entry.head.root.as_str(), *due)),
        );
    }
    let wish = PlanWish {
        orders: &orders,
        zones: &person.person.zones,
        slots: &slots,
    };
    let found = weeks::plan(&wish, &then.skin());
    let numbers = Numbers::of(&found.entries);
    let starts = week_start(&known);
    // A plan that ends early ends with its last injection: the days after it are not free of injections.
    let cut = found.entries.len() < slots.len();
    let last_planned = found.entries.last().map_or(first, |e| e.at.date_naive());
    let last = if cut { last_planned } else { last };
    let was_due = |planned: &Planned| {
        let due = overdue.iter().find(|(id, _)| *id == planned.order);
        due.filter(|_| planned.at == at).map(|(_, due)| *due)
    };
    let entries = found.entries.iter().map(|planned| {
        let order = known.iter().find(|o| o.entry.head.root == planned.order);
        let number = numbers.number(planned);
        entry(planned, order, was_due(planned), (number, now.clock))
    });
    let when =
        |planned: &Planned| time::words(was_due(planned).unwrap_or(planned.at), zone, now.clock);
    Ok(PlanData {
        from: first.to_string(),
        to: last.to_string(),
        words: span(first, last),
        made: time::words(at, zone, now.clock),
        weeks: by_week(entries.collect(), &found.entries, starts, (first, last)),
        zones: zones(&found, &numbers, when),
        spacing: spacing(&found, &known),
        note: found.note,
        unplanned,
        assumed: raise::assumed(&then.body),
    })
}

/// Orders in force at some time of these days whose medicine has rules here, and the others with the reason.
fn known(
    all: &[OrderEntry],
    (first, last): (NaiveDate, NaiveDate),
) -> (Vec<Ordered<'_>>, Vec<Unplanned>) {
    let (mut known, mut others) = (Vec::new(), Vec::new());
    for entry in all {
        let order = &entry.order;
        if order.to.is_some_and(|to| to < first) || order.from > last {
            continue;
        }
        match Book::shipped().medicine(&order.medicine) {
            None => others.push(left_out(
                entry,
                "There are no rules for this medicine here, so its sites cannot be planned. Choose each by its label."
                    .to_owned(),
            )),
            Some(_) if order.times.is_empty() => others.push(left_out(
                entry,
                "It has no times of day, so nobody knows when the next one is. Ask for a place when it is given."
                    .to_owned(),
            )),
            Some(medicine) => known.push(Ordered { entry, medicine }),
        }
    }
    (known, others)
}

fn left_out(entry: &OrderEntry, words: String) -> Unplanned {
    Unplanned {
        order: entry.head.root.clone(),
        medicine_name: raise::medicine_name(&entry.order.medicine),
        words,
    }
}

fn not_due(entry: &OrderEntry, last: NaiveDate) -> String {
    match entry.order.to {
        Some(to) if to < last => format!(
            "No further injection of it is due: it ends on {}.",
            time::day_words(to)
        ),
        _ => format!("No injection of it is due up to {}.", time::day_words(last)),
    }
}

/// When injections of an order are due from `at` to `end`: those not yet given, and one whose time has passed by less
/// than half the usual interval (12 hours at most) without an injection on record.
fn due_slots(
    entry: &OrderEntry,
    person: &PersonEntry,
    injections: &[InjectionEntry],
    (at, end): (DateTime<FixedOffset>, DateTime<FixedOffset>),
) -> Vec<DateTime<FixedOffset>> {
    let usual = Interval::of(&entry.order).usual.unwrap_or_default();
    let back = (usual / 2).min(Duration::hours(12));
    let of_medicine = injections
        .iter()
        .map(|e| &e.injection)
        .filter(|i| i.medicine == entry.order.medicine);
    let given: Vec<DateTime<FixedOffset>> = of_medicine.map(|i| i.given_at).collect();
    let mut open = due::slots(&entry.order, person.person.zone, (at - back, end), &given);
    open.retain(|slot| slot.given.is_none());
    // Of several that have passed only the last is still to give.
    let passed = open.iter().filter(|slot| slot.at < at).count();
    open.drain(..passed.saturating_sub(1));
    open.into_iter().map(|slot| slot.at).collect()
}

/// The weekday the pattern changes on: that of the order with the most injections a day.
fn week_start(orders: &[Ordered<'_>]) -> Weekday {
    let per_day = |o: &Ordered<'_>| Need::of(&o.entry.order, o.medicine).map_or(0.0, |n| n.per_day);
    orders
        .iter()
        .rev()
        .max_by(|a, b| per_day(a).total_cmp(&per_day(b)))
        .map_or(Weekday::Mon, |o| o.entry.order.from.weekday())
}

/// The points of the plan, numbered by when they are first used; one count for all zones, so that a number says which.
struct Numbers(HashMap<(Zone, u64, u64), u32>);

impl Numbers {
    fn of(entries: &[Planned]) -> Self {
        let mut numbers = HashMap::new();
        for entry in entries {
            let next = numbers.len() as u32 + 1;
            numbers.entry(key(entry)).or_insert(next);
        }
        Self(numbers)
    }

    fn number(&self, entry: &Planned) -> u32 {
        self.0.get(&key(entry)).copied().unwrap_or(0)
    }
}

/// A point as something that can be equal.
fn key(entry: &Planned) -> (Zone, u64, u64) {
    let (across, up) = entry
        .site
        .point
        .map_or((0, 0), |p| (p.across_cm.to_bits(), p.up_cm.to_bits()));
    (entry.site.zone, across, up)
}

fn entry(
    planned: &Planned,
    order: Option<&Ordered<'_>>,
    overdue: Option<DateTime<FixedOffset>>,
    (number, clock): (u32, Clock),
) -> PlanEntry {
    let at = overdue.unwrap_or(planned.at);
    let order = order.map(|o| &o.entry.order);
    PlanEntry {
        at: raise::instant(at),
        day: at.date_naive().to_string(),
        day_words: at.format("%a %-d %b %Y").to_string(),
        time: clock.words(at.time()),
        overdue: overdue.is_some(),
        order: planned.order.clone(),
        medicine_name: order.map_or_else(String::new, |o| raise::medicine_name(&o.medicine)),
        dose_words: order.map_or_else(String::new, |o| o.dose.to_string()),
        place: raise::place(&planned.site),
        number,
        verdict: Verdict::of(&planned.reasons).code().to_owned(),
        reasons: raise::reasons(&planned.reasons),
        note: planned.note.clone(),
    }
}

/// The entries week by week; a week without any is there all the same, since an empty week is an answer.
fn by_week(
    entries: Vec<PlanEntry>,
    planned: &[Planned],
    starts: Weekday,
    (first, last): (NaiveDate, NaiveDate),
) -> Vec<PlanWeek> {
    let mut left = entries.into_iter().zip(planned).peekable();
    let mut weeks = Vec::new();
    let mut from = first;
    while from <= last {
        let next = (1..=7)
            .map(|n| from + Days::new(n))
            .find(|day| day.weekday() == starts)
            .unwrap_or(from + Days::new(7));
        let to = last.min(next - Days::new(1));
        let mut of_week = Vec::new();
        while let Some(entry) = left.next_if(|(_, planned)| planned.at.date_naive() <= to) {
            of_week.push(entry);
        }
        weeks.push(PlanWeek {
            first: from.to_string(),
            words: span(from, to),
            places: places(of_week.iter().map(|(_, planned)| *planned)),
            entries: of_week.into_iter().map(|(entry, _)| entry).collect(),
        });
        from = next;
    }
    weeks
}

/// The parts of the body some injections go to, most used first.
fn places<'a>(planned: impl Iterator<Item = &'a Planned>) -> Vec<String> {
    let mut used: Vec<(String, usize)> = Vec::new();
    for entry in planned {
        let words = fallow_core::words::quadrant(entry.site.zone, entry.site.quadrant);
        match used.iter_mut().find(|(w, _)| *w == words) {
            Some((_, count)) => *count += 1,
            None => used.push((words, 1)),
        }
    }
    used.sort_by_key(|(_, count)| std::cmp::Reverse(*count));
    used.into_iter().map(|(words, _)| words).collect()
}

fn zones(found: &Plan, numbers: &Numbers, words: impl Fn(&Planned) -> String) -> Vec<PlanZone> {
    let mut zones: Vec<(Zone, PlanZone)> = Vec::new();
    for planned in &found.entries {
        let (zone, number) = (planned.site.zone, numbers.number(planned));
        let place = zones
            .iter()
            .position(|(z, _)| *z == zone)
            .unwrap_or_else(|| {
                let points = Vec::new();
                let (code, words) = (zone.code().to_owned(), zone.words().to_owned());
                zones.push((
                    zone,
                    PlanZone {
                        zone: code,
                        words,
                        points,
                    },
                ));
                zones.len() - 1
            });
        let points = &mut zones[place].1.points;
        let when = words(planned);
        match points.iter_mut().find(|p| p.number == number) {
            Some(point) => point.times.push(when),
            None => points.push(PlanPoint {
                number,
                place: raise::place(&planned.site),
                times: vec![when],
            }),
        }
    }
    zones.into_iter().map(|(_, zone)| zone).collect()
}

fn spacing(found: &Plan, known: &[Ordered<'_>]) -> Vec<PlanSpacing> {
    known
        .iter()
        .filter_map(|o| {
            let id = &o.entry.head.root;
            let areas = found.areas.iter().filter(|a| a.order == *id);
            let narrowest = areas.map(|a| a.points.spacing_cm).min_by(f64::total_cmp)?;
            let least = o.medicine.spacing_cm.value;
            let apart = fallow_core::words::cm(narrowest);
            Some(PlanSpacing {
                order: id.clone(),
                medicine_name: o.medicine.name.clone(),
                spacing_cm: narrowest,
                least_cm: least,
                words: format!(
                    "The places lie at least {apart} apart. {}",
                    hand::words(narrowest, least)
                ),
            })
        })
        .collect()
}

fn span(first: NaiveDate, last: NaiveDate) -> String {
    if first == last {
        return time::day_words(first);
    }
    format!("{} to {}", time::day_words(first), time::day_words(last))
}

pub(crate) fn room(app: &App, args: &RoomGet, now: Now) -> Result<RoomData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let at = crate::body::as_of(args.at.as_deref(), &person, now)?;
    let self_given = lower::self_given(args.giver.as_deref(), person.person.self_injects)?;
    let day = time::day_in(at, person.person.zone);
    let all = reader.orders_of(&person.head.root)?;
    let (known, unplanned) = known(&all, (day, day));
    let body = Body::of(&person.person.sizes);
    let found = sustained(&reader, &person, &known, (&body, at), self_given)?;
    let sites = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    Ok(RoomData {
        day: day.to_string(),
        margin_words: found
            .working_spacing_cm
            .map(|s| hand::words(s, found.least_spacing_cm)),
        enough: (found.need_sites > 0).then(|| found.is_enough()),
        per_day: found.per_day,
        least_spacing_cm: found.least_spacing_cm,
        need_sites: sites(found.need_sites),
        capacity_sites: sites(found.capacity_at_least_spacing),
        ceiling_sites: sites(found.ceiling),
        short_sites: sites(found.shortfall),
        working_spacing_cm: found.working_spacing_cm,
        weeks_of_reserve: found.weeks_of_reserve,
        zone_rest: found.zone_rest.map(|rest| RoomZoneRest {
            needed: sites(rest.needed),
            used: sites(rest.used),
        }),
        zones: found
            .zones
            .iter()
            .map(|z| RoomZone {
                zone: z.zone.code().to_owned(),
                words: z.zone.words().to_owned(),
                area_cm2: z.area_cm2,
                sites: sites(z.count),
                ceiling: sites(z.ceiling),
            })
            .collect(),
        help: found
            .remedies
            .iter()
            .map(|r| RoomHelp {
                adds_sites: sites(r.adds_sites),
                covers: r.covers,
                words: r.words.clone(),
            })
            .collect(),
        orders: known
            .iter()
            .map(|o| {
                let order = raise::order(o.entry, day, now.clock);
                format!("{}, {}", order.medicine_name, order.times_words)
            })
            .collect(),
        unplanned,
        words: found.words,
        assumed: raise::assumed(&body),
    })
}

/// What this skin carries of the orders, as the record has it.
fn sustained(
    reader: &Reader<'_>,
    person: &PersonEntry,
    known: &[Ordered<'_>],
    (body, at): (&Body, DateTime<FixedOffset>),
    self_given: bool,
) -> Result<room_of::Room, ApiError> {
    let treatments: Vec<Treatment<'_>> = known
        .iter()
        .filter_map(|o| {
            Some(Treatment {
                medicine: o.medicine,
                need: Need::of(&o.entry.order, o.medicine)?,
            })
        })
        .collect();
    let findings = skin::there(reader, &person.head.root, at)?;
    Ok(sustain(
        &treatments,
        &room_of::Person {
            body,
            book: Book::shipped(),
            navel_margin_cm: record::navel_margin(reader)?,
            findings: &findings,
            zones: &person.person.zones,
            self_given,
        },
    ))
}
