//! The numbers behind each drawing. Nothing is drawn here, and nothing here is NaN.

use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate};
use fallow_core::measures::Period;
use fallow_core::rules::Past;
use fallow_core::site::{Quadrant, Zone};
use fallow_core::skin::Seen;

use crate::{Came, Facts};

/// The least distance of the last so many days is looked for.
pub const RECENT_DAYS: i64 = 28;

/// A value on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OnDay {
    /// The day.
    pub day: NaiveDate,
    /// The value; finite.
    pub value: f64,
}

/// Values of a period, and what has none.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Values {
    /// The values, the earliest first.
    pub points: Vec<OnDay>,
    /// Injections known only to their quadrant.
    pub unplaced: usize,
    /// Injections with nothing earlier to be held against.
    pub first: usize,
}

/// The Monday of a day's week.
pub fn week_of(day: NaiveDate) -> NaiveDate {
    day.checked_sub_days(Days::new(u64::from(day.weekday().num_days_from_monday())))
        .unwrap_or(day)
}

/// Every Monday whose week has a day of the period, the earliest first.
pub fn weeks(period: Period) -> Vec<NaiveDate> {
    let mut weeks = Vec::new();
    let mut week = week_of(period.from);
    while week <= period.to {
        weeks.push(week);
        match week.checked_add_days(Days::new(7)) {
            Some(next) => week = next,
            None => break,
        }
    }
    weeks
}

/// Injections of a period.
fn within<'a>(facts: &'a Facts<'_>, period: Period) -> impl Iterator<Item = (usize, &'a Past)> {
    facts
        .history
        .all()
        .iter()
        .enumerate()
        .filter(move |(_, p)| period.holds(p))
}

/// How many injections of a period.
pub fn count(facts: &Facts<'_>, period: Period) -> usize {
    within(facts, period).count()
}

/// Injections by week and quadrant; quadrants in the order of the body.
pub fn by_week_and_quadrant(
    facts: &Facts<'_>,
    period: Period,
) -> BTreeMap<(Zone, Quadrant), BTreeMap<NaiveDate, usize>> {
    let mut counts: BTreeMap<(Zone, Quadrant), BTreeMap<NaiveDate, usize>> = BTreeMap::new();
    for (_, past) in within(facts, period) {
        *counts
            .entry((past.site.zone, past.site.quadrant))
            .or_default()
            .entry(week_of(past.day()))
            .or_default() += 1;
    }
    counts
}

/// Centimetres to the nearest injection of the 28 days before, of every injection of a period with a point.
pub fn nearest(facts: &Facts<'_>, period: Period) -> Values {
    let mut values = Values::default();
    for (n, past) in within(facts, period) {
        let Some(point) = past.site.point else {
            values.unplaced += 1;
            continue;
        };
        let nearest = facts.history.all()[..n]
            .iter()
            .rev()
            .take_while(|p| (past.day() - p.day()).num_days() <= RECENT_DAYS + 1)
            .filter(|p| (past.day() - p.day()).num_days() < RECENT_DAYS)
            .filter(|p| p.site.zone == past.site.zone)
            .filter_map(|p| Some(p.site.point?.distance_cm(point)))
            .filter(|d| d.is_finite())
            .min_by(f64::total_cmp);
        match nearest {
            Some(value) => values.points.push(OnDay {
                day: past.day(),
                value,
            }),
            None => values.first += 1,
        }
    }
    values
}

/// Days since skin within the spacing was last injected, of every injection of a period with a point.
pub fn rested(facts: &Facts<'_>, period: Period) -> Values {
    let spacing = facts.rules.0 - 1e-9;
    let mut values = Values::default();
    for (n, past) in within(facts, period) {
        let Some(point) = past.site.point else {
            values.unplaced += 1;
            continue;
        };
        let last = facts.history.all()[..n].iter().rev().find(|p| {
            p.site.zone == past.site.zone
                && p.site.point.is_some_and(|q| q.distance_cm(point) < spacing)
        });
        match last {
            // Both are calendar days of a life; far within what a double holds exactly.
            Some(last) => values.points.push(OnDay {
                day: past.day(),
                value: (past.day() - last.day()).num_days() as f64,
            }),
            None => values.first += 1,
        }
    }
    values
}

/// Sizes of one finding over time.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeLine {
    /// What and where: `firm lump, abdomen`.
    pub words: String,
    /// The longer axis in millimetres at each look of the period.
    pub points: Vec<OnDay>,
    /// The day it was gone, in the period.
    pub gone: Option<NaiveDate>,
}

/// Findings with a size in a period.
pub fn sizes(facts: &Facts<'_>, period: Period) -> Vec<SizeLine> {
    let inside = |day: NaiveDate| (period.from..=period.to).contains(&day);
    facts
        .courses
        .iter()
        .filter_map(|course| {
            let points: Vec<OnDay> = course
                .sizes()
                .iter()
                .map(|s| OnDay {
                    day: s.at.date_naive(),
                    value: s.long_mm,
                })
                .filter(|p| inside(p.day) && p.value.is_finite())
                .collect();
            let gone = course
                .looks()
                .iter()
                .filter(|l| !matches!(l.seen, Seen::There { .. }))
                .map(|l| l.at.date_naive())
                .find(|day| inside(*day));
            let words = format!(
                "{}, {}",
                course.kind.words(),
                course.zone.words().to_lowercase()
            );
            (!points.is_empty() || gone.is_some()).then_some(SizeLine {
                words,
                points,
                gone,
            })
        })
        .collect()
}

/// Glucose of a period in the unit shown.
pub fn glucose(facts: &Facts<'_>, period: Period) -> Vec<OnDay> {
    facts
        .glucose
        .iter()
        .map(|g| OnDay {
            day: g.at.date_naive(),
            value: in_unit(g.mmol_per_l, facts.mg_per_dl),
        })
        .filter(|p| (period.from..=period.to).contains(&p.day) && p.value.is_finite())
        .collect()
}

/// A glucose in the unit shown.
///
/// # Source
/// C6H12O6 = 180.156 g/mol, so 1 mmol/L is 18.0156 mg/dL.
pub fn in_unit(mmol_per_l: f64, mg_per_dl: bool) -> f64 {
    if mg_per_dl {
        mmol_per_l * 18.0156
    } else {
        mmol_per_l
    }
}

/// Given, not given, no record.
pub type Counts = [usize; 3];

/// What the slots of each week came to.
pub fn doses(facts: &Facts<'_>, period: Period) -> BTreeMap<NaiveDate, Counts> {
    let mut counts: BTreeMap<NaiveDate, Counts> = BTreeMap::new();
    for (day, came) in facts.slots {
        if !(period.from..=period.to).contains(day) {
            continue;
        }
        let place = match came {
            Came::Given => 0,
            Came::NotGiven => 1,
            Came::NoRecord => 2,
        };
        counts.entry(week_of(*day)).or_default()[place] += 1;
    }
    counts
}

/// Injections by week and recorder; recorders with most first.
pub fn recorders(
    facts: &Facts<'_>,
    period: Period,
) -> Vec<(String, usize, BTreeMap<NaiveDate, usize>)> {
    let names: BTreeMap<&str, &str> = facts
        .recorders
        .iter()
        .map(|(id, name)| (id.as_str(), name.as_str()))
        .collect();
    let mut by_name: BTreeMap<&str, BTreeMap<NaiveDate, usize>> = BTreeMap::new();
    for (_, past) in within(facts, period) {
        let name = names
            .get(past.id.as_str())
            .copied()
            .filter(|n| !n.is_empty())
            .unwrap_or("not said");
        *by_name
            .entry(name)
            .or_default()
            .entry(week_of(past.day()))
            .or_default() += 1;
    }
    let mut all: Vec<_> = by_name
        .into_iter()
        .map(|(name, weeks)| (name.to_owned(), weeks.values().sum::<usize>(), weeks))
        .collect();
    all.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    all
}
