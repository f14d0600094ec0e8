//! From the domain to the wire: values with the words a screen shows. No rule is decided here.

use chrono::{DateTime, Duration, FixedOffset, NaiveDate, SecondsFormat};
use fallow_core::body::{Body, Measure};
use fallow_core::medicines::{Book, Medicine, Sourced};
use fallow_core::orders;
use fallow_core::person::{Allergies, Order, Sizes};
use fallow_core::rules::{Reason, Verdict};
use fallow_core::site::Site;
use fallow_core::suggest::Suggested;
use fallow_core::time;
use fallow_core::units::Dose;
use fallow_core::words::{Listener, site as site_words};
use fallow_store::{InjectionEntry, OrderEntry, PersonEntry, Status};

use crate::wire::{
    DoseWire, InjectionData, MedicineData, OrderData, PersonData, ReasonData, SiteData, SiteWire,
    SizesWire, SourcedValue, Suggestion,
};
use crate::{Clock, Now, terms};

/// A moment at its own offset: `3 Jun 2026, 08:00`.
pub(crate) fn day_and_time(at: DateTime<FixedOffset>, clock: Clock) -> String {
    let day = time::day_words(at.date_naive());
    format!("{day}, {}", clock.words(at.time()))
}

/// RFC 3339 with its own offset, seconds always.
pub(crate) fn instant(at: DateTime<FixedOffset>) -> String {
    at.to_rfc3339_opts(SecondsFormat::AutoSi, false)
}

pub(crate) fn dose(dose: Dose) -> DoseWire {
    DoseWire {
        value: dose.value(),
        unit: dose.unit().code().to_owned(),
    }
}

pub(crate) fn site(site: &Site) -> SiteWire {
    SiteWire {
        zone: site.zone.code().to_owned(),
        quadrant: Some(site.quadrant.code().to_owned()),
        across_cm: site.point.map(|p| p.across_cm),
        up_cm: site.point.map(|p| p.up_cm),
    }
}

pub(crate) fn place(place: &Site) -> SiteData {
    SiteData {
        site: site(place),
        words: site_words(place, Listener::Record),
        words_patient: site_words(place, Listener::Patient),
    }
}

pub(crate) fn sizes(sizes: &Sizes) -> SizesWire {
    SizesWire {
        height_cm: sizes.height_cm,
        waist_cm: sizes.waist_cm,
        thigh_cm: sizes.thigh_cm,
        upper_arm_cm: sizes.upper_arm_cm,
    }
}

pub(crate) fn measures(list: &[Measure]) -> Vec<String> {
    list.iter().map(|m| m.words().to_owned()).collect()
}

pub(crate) fn assumed(body: &Body) -> Vec<String> {
    measures(body.assumed())
}

pub(crate) fn reason(reason: &Reason) -> ReasonData {
    // Two decimals are more than a hand can measure; what is computed in between is not rounded.
    let round = |v: f64| (v * 100.0).round() / 100.0;
    ReasonData {
        rule: reason.rule.to_owned(),
        level: reason.level.code().to_owned(),
        words: reason.words.clone(),
        measured: reason.measured.map(|m| round(m.low)),
        measured_high: reason.measured.and_then(|m| m.high).map(round),
        limit: reason.limit,
        unit: reason.unit.map(str::to_owned),
        source: reason.source.clone(),
        injections: reason.injections.clone(),
        findings: reason.findings.clone(),
    }
}

pub(crate) fn reasons(list: &[Reason]) -> Vec<ReasonData> {
    list.iter().map(reason).collect()
}

pub(crate) fn suggestion(suggested: &Suggested) -> Suggestion {
    let place = place(&suggested.site);
    Suggestion {
        site: place.site,
        words: place.words,
        words_patient: place.words_patient,
        reasons: reasons(&suggested.reasons),
        verdict: Verdict::of(&suggested.reasons).code().to_owned(),
        nearest_cm: suggested.nearest_cm,
    }
}

pub(crate) fn medicine_name(key: &str) -> String {
    Book::shipped()
        .medicine(key)
        .map_or_else(|| key.to_owned(), |m| m.name.clone())
}

pub(crate) fn injection(entry: &InjectionEntry, clock: Clock) -> InjectionData {
    let given = &entry.injection;
    let recorded = entry.head.recorded_at;
    InjectionData {
        id: given.id.clone(),
        person: entry.person.clone(),
        order: given.order.clone(),
        medicine: given.medicine.clone(),
        medicine_name: medicine_name(&given.medicine),
        place: place(&given.site),
        given_at: instant(given.given_at),
        given_words: time::words(given.given_at, entry.zone, clock),
        day: given.day().to_string(),
        recorded_at: instant(recorded),
        late: recorded - given.given_at > Duration::hours(1),
        clock_set: entry.head.clock_set,
        zone: entry.zone.name().to_owned(),
        dose: dose(given.dose),
        dose_words: given.dose.to_string(),
        recorder: given.recorder.clone(),
        recorder_confirmed: entry.head.recorder_confirmed,
        corrected_by: entry
            .head
            .supersedes
            .as_ref()
            .and(entry.head.recorder.clone()),
        reason: entry.head.reason.clone(),
        note: entry.act.note.clone(),
        act: terms::act_data(&entry.act),
        status: match entry.status {
            Status::Given => "given",
            Status::EnteredInError => "entered_in_error",
        }
        .to_owned(),
        replaces: entry.head.supersedes.clone(),
        replaced_by: entry.head.superseded_by.clone(),
    }
}

pub(crate) fn person(entry: &PersonEntry, now: Now) -> PersonData {
    let p = &entry.person;
    PersonData {
        id: entry.head.root.clone(),
        name: p.name.clone(),
        born: p.born.to_string(),
        born_words: time::day_words(p.born),
        age: time::age_on(p.born, time::day_in(now.at, p.zone)),
        zone: p.zone.name().to_owned(),
        allergies: match &p.allergies {
            Allergies::NotAsked => None,
            Allergies::NoneKnown => Some(Vec::new()),
            Allergies::Known(list) => Some(list.clone()),
        },
        self_injects: p.self_injects,
        sizes: sizes(&p.sizes),
        zones: p.zones.iter().map(|z| z.code().to_owned()).collect(),
        identifier: p.identifier.clone(),
        note: p.note.clone(),
        weight_kg: p.weight_kg,
    }
}

/// Whether an order is in force on a day.
pub(crate) fn order_state(order: &Order, day: NaiveDate) -> &'static str {
    if day < order.from {
        "not_yet"
    } else if order.to.is_some_and(|to| day > to) {
        "ended"
    } else {
        "in_force"
    }
}

pub(crate) fn order(entry: &OrderEntry, today: NaiveDate, clock: Clock) -> OrderData {
    let o = &entry.order;
    let times: Vec<String> = o
        .times
        .iter()
        .map(|t| t.format("%H:%M").to_string())
        .collect();
    let medicine = Book::shipped().medicine(&o.medicine);
    OrderData {
        id: entry.head.root.clone(),
        person: entry.person.clone(),
        medicine: o.medicine.clone(),
        medicine_name: medicine_name(&o.medicine),
        dose: dose(o.dose),
        dose_words: o.dose.to_string(),
        times_words: times_words(o, clock),
        times,
        every_days: o.every_days,
        from: o.from.to_string(),
        to: o.to.map(|d| d.to_string()),
        prescriber: o.prescriber.clone(),
        note: o.note.clone(),
        state: order_state(o, today).to_owned(),
        cautions: medicine.map(|m| m.cautions.clone()).unwrap_or_default(),
        terms: terms::raised(&o.terms),
        doubts: orders::doubts(o, today),
    }
}

fn times_words(order: &Order, clock: Clock) -> String {
    let times: Vec<String> = order.times.iter().map(|t| clock.words(*t)).collect();
    let weekdays: Vec<String> = order
        .terms
        .weekdays
        .iter()
        .map(ToString::to_string)
        .collect();
    let how_often = match order.every_days {
        1 if !weekdays.is_empty() => format!("on {}", weekdays.join(", ")),
        1 if times.is_empty() => return "when needed".to_owned(),
        1 => "daily".to_owned(),
        7 => "once a week".to_owned(),
        n => format!("every {n} days"),
    };
    if times.is_empty() {
        how_often
    } else {
        format!("{how_often} at {}", times.join(", "))
    }
}

fn sourced(value: &Sourced<f64>, unit: &str) -> SourcedValue {
    SourcedValue {
        value: value.value,
        unit: unit.to_owned(),
        source: value.source.clone(),
    }
}

pub(crate) fn navel_margins(book: &Book) -> Vec<SourcedValue> {
    book.general
        .navel_margins
        .iter()
        .map(|m| sourced(m, "cm"))
        .collect()
}

pub(crate) fn medicine(m: &Medicine) -> MedicineData {
    let codes =
        |zones: &[fallow_core::site::Zone]| zones.iter().map(|z| z.code().to_owned()).collect();
    MedicineData {
        id: m.id.clone(),
        name: m.name.clone(),
        class: m.class.clone(),
        unit: m.units.first().map_or("", |u| u.code()).to_owned(),
        units: m.units.iter().map(|u| u.code().to_owned()).collect(),
        zones: codes(&m.zones.value),
        zones_source: m.zones.source.clone(),
        helper_zones: m
            .helper_only
            .as_ref()
            .map(|z| codes(&z.value))
            .unwrap_or_default(),
        spacing: Some(sourced(&m.spacing_cm, "cm")),
        point_rest: Some(sourced(&m.point_rest_days, "days")),
        zone_rest: m.zone_rest_days.as_ref().map(|v| sourced(v, "days")),
        pattern: m.pattern.value.words().to_owned(),
        pattern_source: m.pattern.source.clone(),
        every_days: m.every_days.as_ref().map(|d| d.value),
        cautions: m.cautions.clone(),
    }
}
