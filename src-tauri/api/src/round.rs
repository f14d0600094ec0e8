//! What is due today, for everybody or one person, and the handover at the end of a shift.

use chrono::{DateTime, Days, Duration, FixedOffset};
use fallow_core::act::{About, Outcome};
use fallow_core::due::{self, Slot, Standing, Turns};
use fallow_core::orders;
use fallow_core::reminders::Injection;
use fallow_core::rules::Interval;
use fallow_core::time;
use fallow_store::{EventEntry, InjectionEntry, OrderEntry, PersonEntry, Reader};

use crate::error::{ApiError, ErrorCode as Code};
use crate::wire::{AsNeeded, DueData, DueGet, DueSlot, HandoverData, HandoverGet, HandoverLine};
use crate::{App, Clock, Now, events, glucose, raise, record};

/// A weekly injection can be late for days: this far back a slot may still be open.
const BACK: Duration = Duration::days(8);
/// How far ahead the next injection of one person is looked for.
const AHEAD_DAYS: u64 = 32;
/// What a shift is taken for where its start is not said.
const SHIFT: Duration = Duration::hours(8);

pub(crate) fn due(app: &App, args: &DueGet, now: Now) -> Result<DueData, ApiError> {
    let reader = app.store()?.reader();
    let at = match args.at.as_deref() {
        None => now.at,
        Some(text) => instant(text)?,
    };
    let people = match args.person.as_deref() {
        Some(id) => vec![record::person(&reader, id)?],
        None => reader.people()?,
    };
    let mut found: Vec<(Standing, DateTime<FixedOffset>, DueSlot)> = Vec::new();
    let mut as_needed = Vec::new();
    let mut next = None;
    for person in &people {
        let theirs = Theirs::read(&reader, person, at, now.clock)?;
        for order in &theirs.orders {
            let day = time::day_in(at, person.person.zone);
            if order.order.times.is_empty() {
                if raise::order_state(&order.order, day) == "in_force" {
                    as_needed.push(AsNeeded {
                        person: person.head.root.clone(),
                        person_name: person.person.name.clone(),
                        order: raise::order(order, day, now.clock),
                        last_words: theirs.last(order, at),
                    });
                }
                continue;
            }
            for (slot, standing) in theirs.slots(order, at) {
                found.push((
                    standing,
                    slot.at,
                    theirs.due_slot(order, &slot, standing, at),
                ));
            }
            // Told of one person only, and looked for a month ahead.
            if args.person.is_some() {
                next = earlier(next, theirs.next(order, at));
            }
        }
    }
    found.sort_by(|(a, then, x), (b, later, y)| {
        (a, then)
            .cmp(&(b, later))
            .then_with(|| x.person_name.cmp(&y.person_name))
            .then_with(|| x.order.medicine_name.cmp(&y.order.medicine_name))
    });
    let words = match (args.person.as_ref(), people.first()) {
        (Some(_), Some(person)) => time::words(
            at.with_timezone(&person.person.zone).fixed_offset(),
            person.person.zone,
            now.clock,
        ),
        _ => time::moment_words(at, now.clock),
    };
    let open_today = found.iter().any(|(standing, ..)| standing.is_open());
    Ok(DueData {
        at: raise::instant(at),
        words,
        next_words: next.filter(|_| !open_today).map(|(_, words)| words),
        slots: found.into_iter().map(|(.., slot)| slot).collect(),
        as_needed,
    })
}

/// An instant with its offset: there is no one person whose clock a bare time could be on.
fn instant(text: &str) -> Result<DateTime<FixedOffset>, ApiError> {
    DateTime::parse_from_rfc3339(text).map_err(|_| {
        ApiError::new(
            Code::BadTime,
            format!("\"{text}\" is not a time with its offset. Write 2026-06-03T08:00:00+01:00."),
        )
    })
}

/// What is known of the injections of the next two days once the record is locked: whose and when, in ids and times
/// alone, so that a locked device still reminds.
pub(crate) fn ahead(reader: &Reader<'_>, now: Now) -> Result<Vec<(Injection, Turns)>, ApiError> {
    let mut found = Vec::new();
    for person in &reader.people()? {
        let theirs = Theirs::read(reader, person, now.at, now.clock)?;
        for order in &theirs.orders {
            let zone = person.person.zone;
            let span = (now.at - BACK, now.at + Duration::days(2));
            for slot in due::slots(&order.order, zone, span, &theirs.times(order)) {
                let turns = Turns::of(slot.at, &order.order);
                let open = slot.given.is_none() && theirs.not_given(order, &slot).is_none();
                if open && turns.standing(now.at).is_open() {
                    let injection = Injection {
                        person: person.head.root.clone(),
                        order: order.head.root.clone(),
                        at: slot.at,
                    };
                    found.push((injection, turns));
                }
            }
        }
    }
    Ok(found)
}

/// The earlier of two next injections, in words.
fn earlier(a: Next, b: Next) -> Next {
    match (a, b) {
        (Some(a), Some(b)) => Some(if b.0 < a.0 { b } else { a }),
        (one, other) => one.or(other),
    }
}

type Next = Option<(DateTime<FixedOffset>, String)>;

/// What is on record of one person around a moment.
struct Theirs<'a> {
    person: &'a PersonEntry,
    orders: Vec<OrderEntry>,
    given: Vec<InjectionEntry>,
    events: Vec<EventEntry>,
    clock: Clock,
}

impl<'a> Theirs<'a> {
    fn read(
        reader: &Reader<'_>,
        person: &'a PersonEntry,
        at: DateTime<FixedOffset>,
        clock: Clock,
    ) -> Result<Self, ApiError> {
        let ahead = Duration::days(2);
        Ok(Self {
            person,
            orders: reader.orders_of(&person.head.root)?,
            // A slot of eight days ago may be filled by an injection of some days before.
            given: record::given(reader, person, at - BACK - BACK, at + ahead)?,
            events: reader.events(
                &person.head.root,
                (at - BACK).timestamp_millis(),
                (at + ahead).timestamp_millis(),
            )?,
            clock,
        })
    }

    /// The time of day, as the request wants it told.
    fn told(&self, at: DateTime<FixedOffset>) -> String {
        self.clock.words(at.time())
    }

    /// The slots of the day with where they stand, and earlier ones that are still open.
    fn slots(&self, order: &OrderEntry, at: DateTime<FixedOffset>) -> Vec<(Slot, Standing)> {
        let zone = self.person.person.zone;
        let day = time::day_in(at, zone);
        let end = time::day_start(day + Days::new(1), zone) - Duration::seconds(1);
        let back = Interval::of(&order.order)
            .usual
            .map_or(Duration::zero(), |u| u / 2)
            .min(BACK);
        let start = time::day_start(day, zone).min(at - back);
        let slots = due::slots(&order.order, zone, (start, end), &self.times(order));
        let standing = |slot: &Slot| {
            due::standing(
                slot,
                &order.order,
                self.not_given(order, slot).is_some(),
                at,
            )
        };
        slots
            .into_iter()
            .map(|slot| (slot, standing(&slot)))
            .filter(|(slot, standing)| time::day_in(slot.at, zone) == day || standing.is_open())
            .collect()
    }

    /// The next slot after the day, within a month.
    fn next(&self, order: &OrderEntry, at: DateTime<FixedOffset>) -> Next {
        let zone = self.person.person.zone;
        let day = time::day_in(at, zone);
        let from = time::day_start(day + Days::new(1), zone);
        let to = time::day_start(day + Days::new(AHEAD_DAYS), zone);
        let slots = due::slots(&order.order, zone, (from, to), &self.times(order));
        let slot = slots.iter().find(|slot| slot.given.is_none())?;
        let clock = self.told(slot.at);
        let when = if time::day_in(slot.at, zone) == day + Days::new(1) {
            format!("tomorrow at {clock}")
        } else {
            time::words(slot.at, zone, self.clock)
        };
        Some((slot.at, format!("Next {when}")))
    }

    /// When the order's medicine was given.
    fn times(&self, order: &OrderEntry) -> Vec<DateTime<FixedOffset>> {
        self.of_medicine(order)
            .map(|e| e.injection.given_at)
            .collect()
    }

    fn of_medicine<'b>(
        &'b self,
        order: &'b OrderEntry,
    ) -> impl Iterator<Item = &'b InjectionEntry> {
        let medicine = &order.order.medicine;
        self.given
            .iter()
            .filter(move |e| e.injection.medicine == *medicine)
    }

    fn not_given(&self, order: &OrderEntry, slot: &Slot) -> Option<&EventEntry> {
        self.events.iter().find(|e| {
            e.event.about == About::NotGiven
                && e.event.at == slot.at
                && e.event.order.as_deref() == Some(order.head.root.as_str())
        })
    }

    /// The last injection of the order's medicine before `at`, in words.
    fn last(&self, order: &OrderEntry, at: DateTime<FixedOffset>) -> Option<String> {
        let last = self
            .of_medicine(order)
            .filter(|e| e.injection.given_at <= at)
            .max_by_key(|e| (e.injection.given_at, e.head.seq))?;
        Some(format!(
            "Last {} ago: {} by {}",
            time::length_words(at - last.injection.given_at),
            last.injection.dose,
            last.injection.recorder
        ))
    }

    fn due_slot(
        &self,
        order: &OrderEntry,
        slot: &Slot,
        standing: Standing,
        at: DateTime<FixedOffset>,
    ) -> DueSlot {
        let day = time::day_in(at, self.person.person.zone);
        let given = slot.given.and_then(|n| self.of_medicine(order).nth(n));
        DueSlot {
            person: self.person.head.root.clone(),
            person_name: self.person.person.name.clone(),
            person_note: self.person.person.note.clone(),
            order: raise::order(order, day, self.clock),
            at: raise::instant(slot.at),
            time: self.told(slot.at),
            standing: standing.code().to_owned(),
            words: due::standing_words(slot, standing, at, self.clock),
            injection: given.map(|e| raise::injection(e, self.clock)),
            not_given: self
                .not_given(order, slot)
                .map(|e| events::raised(e, self.clock)),
            last_words: self.last(order, at),
        }
    }
}

pub(crate) fn handover(app: &App, args: &HandoverGet, now: Now) -> Result<HandoverData, ApiError> {
    let reader = app.store()?.reader();
    let to = args.to.as_deref().map_or(Ok(now.at), instant)?;
    let from = args.from.as_deref().map_or(Ok(to - SHIFT), instant)?;
    if to < from {
        return Err(ApiError::new(
            Code::DatesReversed,
            "The shift ends before it starts. Swap the two times.",
        ));
    }
    if to - from > Duration::days(7) {
        return Err(ApiError::new(
            Code::BadCount,
            "A handover covers a week at most.",
        ));
    }
    let mut data = HandoverData {
        words: format!(
            "{} to {}",
            shift_words(from, now.clock),
            shift_words(to, now.clock)
        ),
        summary: String::new(),
        concerns: Vec::new(),
        not_given: Vec::new(),
        open: Vec::new(),
        given: Vec::new(),
    };
    for person in &reader.people()? {
        let theirs = Theirs::read(&reader, person, to, now.clock)?;
        of_person(&theirs, (from, to), &mut data)?;
    }
    let count = |n: usize, what: &str| format!("{n} {what}");
    data.summary = format!(
        "{}, {}, {}, {}.",
        count(data.given.len(), "given"),
        count(data.not_given.len(), "not given"),
        count(data.open.len(), "without a record"),
        count(
            data.concerns.len(),
            if data.concerns.len() == 1 {
                "concern"
            } else {
                "concerns"
            }
        )
    );
    Ok(data)
}

/// One end of a shift: `Wed 3 Jun, 08:00`.
fn shift_words(at: DateTime<FixedOffset>, clock: Clock) -> String {
    format!("{}, {}", at.format("%a %-d %b"), clock.words(at.time()))
}

fn of_person(
    theirs: &Theirs<'_>,
    (from, to): (DateTime<FixedOffset>, DateTime<FixedOffset>),
    data: &mut HandoverData,
) -> Result<(), ApiError> {
    let within = |at: DateTime<FixedOffset>| (from..=to).contains(&at);
    let given = theirs.given.iter().filter(|e| within(e.injection.given_at));
    let mut given: Vec<&InjectionEntry> = given.collect();
    given.sort_by_key(|e| (e.injection.given_at, e.head.seq));
    for entry in given {
        theirs.told_given(entry, data);
    }
    let happened = theirs.events.iter().filter(|e| within(e.event.at));
    let mut happened: Vec<&EventEntry> = happened.collect();
    happened.sort_by_key(|e| (e.event.at, e.head.seq));
    for entry in happened {
        theirs.told_event(entry, data)?;
    }
    for order in &theirs.orders {
        theirs.told_open(order, (from, to), data);
    }
    Ok(())
}

/// What one person adds to the handover.
impl Theirs<'_> {
    fn line(&self, words: String) -> HandoverLine {
        HandoverLine {
            person: self.person.head.root.clone(),
            person_name: self.person.person.name.clone(),
            words,
            order: None,
            at: None,
        }
    }

    fn told_given(&self, entry: &InjectionEntry, data: &mut HandoverData) {
        let injection = raise::injection(entry, self.clock);
        let what = format!(
            "{} {} {}",
            self.told(entry.injection.given_at),
            injection.dose_words,
            injection.medicine_name
        );
        data.given.push(self.line(format!(
            "{what}, {}, by {}.",
            injection.place.words, injection.recorder
        )));
        let seen = entry.act.outcomes.iter().filter(|o| **o != Outcome::Fine);
        let seen: Vec<&str> = seen.map(|o| o.words()).collect();
        if !seen.is_empty() {
            let words = format!("{what}: {}.", seen.join(", "));
            data.concerns.push(self.line(words));
        }
        let first = entry.head.supersedes.is_none();
        if let Some(reason) = entry.head.reason.as_ref().filter(|_| first) {
            let words = format!("{what}, given in spite of a caution: {reason}");
            data.concerns.push(self.line(words));
        }
    }

    fn told_event(&self, entry: &EventEntry, data: &mut HandoverData) -> Result<(), ApiError> {
        let event = &entry.event;
        let clock = self.told(event.at);
        let words = events::raised(entry, self.clock).words;
        match event.about {
            About::NotGiven => {
                let order = self
                    .orders
                    .iter()
                    .find(|o| Some(&o.head.root) == event.order.as_ref());
                let medicine =
                    order.map_or_else(String::new, |o| raise::medicine_name(&o.order.medicine));
                data.not_given
                    .push(self.line(format!("{clock} {medicine}. {words}")));
            }
            About::Alarm => data.concerns.push(self.line(format!("{clock} {words}"))),
            About::Glucose | About::Ketones => {
                let order = self.orders.iter().find(|o| o.order.terms.glucose.is_some());
                let limits = glucose::limits_of(order)?;
                let value = event.value.as_ref();
                let judged = value
                    .map(|(v, u)| glucose::judged(event.about, v, u, &limits))
                    .transpose()?;
                let odd = judged.filter(|j| !matches!(j.standing.as_str(), "in_range" | "normal"));
                data.concerns
                    .extend(odd.map(|j| self.line(format!("{clock} {}", j.words))));
            }
            About::Carbohydrate => {}
        }
        Ok(())
    }

    fn told_open(
        &self,
        order: &OrderEntry,
        (from, to): (DateTime<FixedOffset>, DateTime<FixedOffset>),
        data: &mut HandoverData,
    ) {
        let zone = self.person.person.zone;
        let medicine = raise::medicine_name(&order.order.medicine);
        let slots = due::slots(&order.order, zone, (from, to), &self.times(order));
        let open = slots
            .iter()
            .filter(|slot| slot.given.is_none() && self.not_given(order, slot).is_none());
        data.open.extend(open.map(|slot| {
            let clock = self.told(slot.at);
            HandoverLine {
                order: Some(order.head.root.clone()),
                at: Some(raise::instant(slot.at)),
                ..self.line(format!("{clock} {} {medicine}.", order.order.dose))
            }
        }));
        let day = time::day_in(to, zone);
        if raise::order_state(&order.order, day) == "in_force" {
            let overdue = orders::review_overdue(&order.order, day);
            data.concerns
                .extend(overdue.map(|words| self.line(format!("{medicine}: {words}"))));
        }
    }
}
