//! The plan of the coming weeks: where each injection that is due goes, from what was really done.
//!
//! The pattern's areas each have fixed points, as far apart as the treatment's demand allows (`points`); each time the
//! clear one that has rested longest is next (`next`). The plan is that, again and again: each slot asks for a
//! suggestion as if the ones before it had been given. So giving what was suggested leaves the rest of the plan as it
//! was, and giving something else changes only what has to. Deterministic. Not here: when injections are due
//! ([`crate::time`]), or whether the skin is enough for years ([`super::room`]).
//!
//! Areas come up in one direction, clockwise as one sees the person, on everybody: a mirrored body has mirrored points
//! in its areas, but not a mirrored direction.

pub(crate) mod kept;
pub(crate) mod next;
mod points;

use chrono::{DateTime, Duration, FixedOffset, NaiveDate};

pub use points::AreaPoints;
pub(crate) use points::areas_a_week;

use crate::medicines::{Medicine, Pattern};
use crate::rules::{History, Past, Reason, Skin};
use crate::site::{Site, Zone};
use crate::suggest::{Area, Wish, areas_in_use, suggest};
use crate::words::cm;

/// One order the plan is for.
#[derive(Debug, Clone, Copy)]
pub struct PlanOrder<'a> {
    /// The order's id.
    pub id: &'a str,
    /// Of what.
    pub medicine: &'a Medicine,
    /// Whether the person would give it themself.
    pub self_given: bool,
    /// First day of the order: weeks of the pattern are counted from it.
    pub from: NaiveDate,
    /// Injections a day of all orders that share this order's skin, itself included; 0 to 10,000.
    pub per_day: f64,
    /// Zones kept for these injections, such as those of one time of day; empty is those of the whole plan.
    pub zones: &'a [Zone],
}

/// An injection that is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Slot {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Which of the orders, by its place in [`PlanWish::orders`]; one that is not there is left out.
    pub order: usize,
}

/// What the plan is to cover.
#[derive(Debug, Clone, Copy)]
pub struct PlanWish<'a> {
    /// The orders.
    pub orders: &'a [PlanOrder<'a>],
    /// Zones this person uses, the preferred first; empty leaves it to the medicine.
    pub zones: &'a [Zone],
    /// The injections that are due, in any order.
    pub slots: &'a [Slot],
}

/// One injection of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The order's id.
    pub order: String,
    /// Where; the point is always known.
    pub site: Site,
    /// What its check says; empty when clear.
    pub reasons: Vec<Reason>,
    /// Why it is not where the pattern asks, or not clear.
    pub note: Option<String>,
}

/// One area of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedArea {
    /// The order's id.
    pub order: String,
    /// Which part of the body.
    pub area: Area,
    /// Its points and their spacing.
    pub points: AreaPoints,
}

/// The plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The injections, the earliest first.
    pub entries: Vec<Planned>,
    /// The areas of each order whose pattern is a quadrant or half a week, in the order they come up now.
    pub areas: Vec<PlannedArea>,
    /// What the plan cannot keep, in words.
    pub note: Option<String>,
}

/// A plan is no longer than this many injections: twelve weeks of five a day, and an answer within a second even where
/// no skin could carry the orders.
pub const MOST_ENTRIES: usize = 420;
/// After this many injections without a clear place the plan ends: more of them would say nothing new.
const MOST_UNCLEAR: usize = 30;
/// Patterns that take areas in turn look at when each was last used, this many days back at most.
pub const LOOK_BACK_DAYS: i64 = 130;

/// Plans the coming injections.
///
/// # Laws
/// The first entry is [`suggest`]'s first site. An injection given where and when the plan says leaves the rest as it
/// was. Slots of one instant are taken by the place of their order.
/// # Returns
/// As many entries as slots, or fewer with a note that says why.
pub fn plan(wish: &PlanWish<'_>, skin: &Skin<'_>) -> Plan {
    let mut slots: Vec<Slot> = wish
        .slots
        .iter()
        .copied()
        .filter(|s| s.order < wish.orders.len())
        .collect();
    slots.sort_by(|a, b| a.at.cmp(&b.at).then(a.order.cmp(&b.order)));
    let Some(first) = slots.first() else {
        return Plan {
            entries: Vec::new(),
            areas: Vec::new(),
            note: None,
        };
    };
    let areas = planned_areas(wish, first.at, skin);
    let mut notes: Vec<String> = Vec::new();
    for order in wish.orders {
        let short: Vec<&PlannedArea> = areas
            .iter()
            .filter(|a| a.order == order.id && !a.points.is_enough())
            .collect();
        notes.extend(too_little(&short));
    }
    let mut history = since(skin.history, first.at - Duration::days(LOOK_BACK_DAYS));
    let mut entries: Vec<Planned> = Vec::with_capacity(slots.len());
    let mut unclear = 0;
    if slots.len() > MOST_ENTRIES {
        notes.push(format!(
            "The plan shows the first {MOST_ENTRIES} of {} injections.",
            slots.len()
        ));
        slots.truncate(MOST_ENTRIES);
    }
    for (n, slot) in slots.iter().enumerate() {
        let order = &wish.orders[slot.order];
        let so_far = Skin {
            history: &history,
            ..*skin
        };
        let mut answer = suggest(&wish_of(order, wish.zones, slot.at), &so_far);
        if answer.sites.is_empty() {
            notes.extend(answer.note);
            break;
        }
        let suggested = answer.sites.swap_remove(0);
        unclear += usize::from(!suggested.reasons.is_empty());
        history.add(Past {
            id: format!("planned-{n:06}"),
            medicine: order.medicine.id.clone(),
            class: order.medicine.class.clone(),
            site: suggested.site,
            given_at: slot.at,
        });
        entries.push(Planned {
            at: slot.at,
            order: order.id.to_owned(),
            site: suggested.site,
            reasons: suggested.reasons,
            note: answer.note,
        });
        if unclear >= MOST_UNCLEAR {
            notes.push(format!(
                "The plan ends on {}: by then {unclear} injections would have no clear place.",
                crate::time::day_words(slot.at.date_naive())
            ));
            break;
        }
    }
    if let Some(first) = entries.iter().find(|e| !e.reasons.is_empty()) {
        notes.insert(
            0,
            format!(
                "From {} on not every injection has a clear place.",
                crate::time::day_words(first.at.date_naive())
            ),
        );
    }
    let note = (!notes.is_empty()).then(|| notes.join(" "));
    Plan {
        entries,
        areas,
        note,
    }
}

/// The wish of one injection of an order.
fn wish_of<'a>(order: &PlanOrder<'a>, zones: &'a [Zone], at: DateTime<FixedOffset>) -> Wish<'a> {
    Wish {
        at,
        medicine: order.medicine,
        self_given: order.self_given,
        from: order.from,
        zones: if order.zones.is_empty() {
            zones
        } else {
            order.zones
        },
        count: 1,
        per_day: order.per_day,
    }
}

/// The areas of every order whose pattern has fixed points.
fn planned_areas(
    wish: &PlanWish<'_>,
    at: DateTime<FixedOffset>,
    skin: &Skin<'_>,
) -> Vec<PlannedArea> {
    let mut found = Vec::new();
    for order in wish.orders {
        if order.medicine.pattern.value != Pattern::WeeklyQuadrant {
            continue;
        }
        let wish = wish_of(order, wish.zones, at);
        let (areas, a_week) = areas_in_use(&wish, skin);
        for area in &areas {
            let points = points::of(area, (areas.len(), a_week), &wish, skin);
            found.push(PlannedArea {
                order: order.id.to_owned(),
                area: area.clone(),
                points: (*points).clone(),
            });
        }
    }
    found
}

/// What the areas of an order cannot hold, in words.
fn too_little(areas: &[&PlannedArea]) -> Option<String> {
    let short: Vec<&AreaPoints> = areas.iter().map(|a| &a.points).collect();
    let first = short.first()?;
    let rooms: Vec<String> = areas
        .iter()
        .map(|a| format!("{} in the {}", a.points.points.len(), a.area.words()))
        .collect();
    Some(format!(
        "Each part of this pattern needs {} sites {} apart; there is room for {}.",
        first.need,
        cm(first.spacing_cm),
        rooms.join("; ")
    ))
}

/// The part of a history from a moment on.
fn since(history: &History, from: DateTime<FixedOffset>) -> History {
    let all = history.all();
    History::new(all[all.partition_point(|p| p.given_at < from)..].to_vec())
}

#[cfg(test)]
mod tests;
