//! The next sites: allowed, outside margins, at least the spacing from everything still resting, in this week's part
//! of the pattern, farthest from recent use first.
//!
//! Deterministic: the same record gives the same answer. Not here: a plan of weeks ahead, of which this is the head
//! ([`crate::plan::weeks`]), or capacity.

mod areas;
mod room;

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::medicines::Medicine;
use crate::plan::weeks::next;
use crate::rules::{Proposal, Reason, Skin, Verdict, check, exact_cm};
use crate::site::{Site, Zone};

pub use areas::Area;

/// What is wished for.
#[derive(Debug, Clone, Copy)]
pub struct Wish<'a> {
    /// When it would be given.
    pub at: DateTime<FixedOffset>,
    /// Of what.
    pub medicine: &'a Medicine,
    /// Whether the person would give it themself.
    pub self_given: bool,
    /// First day of the order: weeks of the pattern are counted from it.
    pub from: NaiveDate,
    /// Zones this person uses, the preferred first; empty leaves it to the medicine.
    pub zones: &'a [Zone],
    /// How many sites, 1 to 5.
    pub count: usize,
    /// Injections a day that share this skin, this order's included: how far apart the plan's points can be.
    pub per_day: f64,
}

/// One suggested site.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggested {
    /// Where; the point is always known.
    pub site: Site,
    /// What its check says; empty when clear.
    pub reasons: Vec<Reason>,
    /// Centimetres to the nearest injection of the last 28 days whose point is known.
    pub nearest_cm: Option<f64>,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggestions {
    /// The best first; never more than was wished for.
    pub sites: Vec<Suggested>,
    /// This week's part of the pattern, in words.
    pub pattern_words: String,
    /// Why a site is not where the pattern asks, or why none is clear.
    pub note: Option<String>,
}

/// Suggests the next sites.
///
/// # Units
/// Where the pattern is a quadrant or half a week, the first are the points of the plan ([`crate::plan::weeks`]). Others
/// lie on a grid of half a centimetre from the landmark, half a centimetre inside every border, because a hand does not
/// land on the millimetre (common practice, no source).
/// # Returns
/// Up to `count` clear sites. When nothing is clear: the least bad ones with their reasons, and a note that says so.
pub fn suggest(wish: &Wish<'_>, skin: &Skin<'_>) -> Suggestions {
    let plan = areas::in_order(wish, skin);
    let mut sites: Vec<Suggested> = Vec::new();
    // The plan's points in this week's areas, then wherever else there is room in them, then the other areas.
    let (of_week, others) = plan.areas.split_at(plan.a_week.min(plan.areas.len()));
    for (place, area) in of_week.iter().enumerate() {
        let turn = turn_of(&plan, place);
        add(
            &mut sites,
            |taken, count| at_points(area, turn, wish, skin, taken, count),
            wish,
        );
    }
    for area in of_week {
        add(
            &mut sites,
            |taken, count| room::clear_sites(area, wish, skin, count, taken),
            wish,
        );
    }
    let skipped = of_week.first().filter(|_| sites.is_empty());
    for (place, area) in others.iter().enumerate() {
        let turn = turn_of(&plan, plan.a_week + place);
        add(
            &mut sites,
            |taken, count| at_points(area, turn, wish, skin, taken, count),
            wish,
        );
        add(
            &mut sites,
            |taken, count| room::clear_sites(area, wish, skin, count, taken),
            wish,
        );
    }
    let mut notes: Vec<String> = plan.note.into_iter().collect();
    if sites.is_empty() {
        sites = room::least_bad(&plan.areas, wish, skin);
        notes.push(if sites.is_empty() {
            "No skin is left that this medicine may go into, once margins are kept.".to_owned()
        } else {
            "No place is clear: all the skin this medicine may go into is still resting or has a reason against it. \
             These are the least used; read their reasons, and ask the prescriber about another zone."
                .to_owned()
        });
    } else if let (Some(area), Some(first)) = (skipped, sites.first()) {
        notes.push(format!(
            "No clear place is left in the {}, where the pattern is now; the {} is next.",
            area.words(),
            first.site.zone.words().to_lowercase()
        ));
    }
    let note = (!notes.is_empty()).then(|| notes.join(" "));
    Suggestions {
        sites,
        pattern_words: plan.words,
        note,
    }
}

/// The areas of the pattern in zones this person uses, those due now first, and how many of them are this week's.
pub fn areas_in_use(wish: &Wish<'_>, skin: &Skin<'_>) -> (Vec<Area>, usize) {
    let mut plan = areas::in_order(wish, skin);
    plan.areas.truncate(plan.in_use);
    (plan.areas, plan.a_week)
}

/// Where an area stands in a weekly pattern; areas in zones that are not in use have no points of the plan.
fn turn_of(plan: &areas::Plan, place: usize) -> Option<next::Turn> {
    let before = plan.gone.filter(|_| place < plan.in_use)? + i64::try_from(place).ok()?;
    let cycle = before.div_euclid(i64::try_from(plan.in_use).ok()?);
    Some(next::Turn {
        areas: plan.in_use,
        a_week: plan.a_week,
        cycle,
    })
}

/// Adds what is found beside the sites there are, up to as many as are wished for.
fn add(
    sites: &mut Vec<Suggested>,
    find: impl FnOnce(&[Site], usize) -> Vec<Suggested>,
    wish: &Wish<'_>,
) {
    let missing = wish.count.saturating_sub(sites.len());
    if missing > 0 {
        let taken: Vec<Site> = sites.iter().map(|s| s.site).collect();
        sites.extend(find(&taken, missing));
    }
}

/// The plan's clear points of an area.
fn at_points(
    area: &Area,
    turn: Option<next::Turn>,
    wish: &Wish<'_>,
    skin: &Skin<'_>,
    taken: &[Site],
    count: usize,
) -> Vec<Suggested> {
    let Some(turn) = turn else { return Vec::new() };
    next::clear(area, turn, wish, skin, taken, count)
        .into_iter()
        .map(|site| judged(site, wish, skin))
        .collect()
}

/// Centimetres from a site to the nearest injection of the last 28 days whose point is known.
pub fn nearest_cm(site: &Site, at: DateTime<FixedOffset>, skin: &Skin<'_>) -> Option<f64> {
    skin.history
        .resting(at, 28.0)
        .filter_map(|past| exact_cm(site, &past.site))
        .min_by(f64::total_cmp)
}

fn judged(site: Site, wish: &Wish<'_>, skin: &Skin<'_>) -> Suggested {
    let proposal = Proposal {
        site,
        at: wish.at,
        medicine: wish.medicine,
        self_given: wish.self_given,
    };
    Suggested {
        reasons: check(&proposal, skin),
        nearest_cm: nearest_cm(&site, wish.at, skin),
        site,
    }
}

impl Suggested {
    /// What its check says in a word.
    pub fn verdict(&self) -> Verdict {
        Verdict::of(&self.reasons)
    }
}

#[cfg(test)]
mod tests;
