//! Rotation measures of a period: how well the months behind kept to spacing, rest and turn.
//!
//! Each comes with a sentence for the person, and has no value where it cannot be computed. An entry known only to
//! its quadrant has no point and is never given one: measures of distance leave it out and say so, measures of turn
//! count it. Not here: what to do next ([`crate::suggest`]), and use of each place ([`crate::use_grid`]).
//!
//! Reading order: [`Question`], [`measure`], `kept`, `used`, `neighbours`, `balance`, `share`, `window`, `told`.

mod balance;
mod kept;
mod neighbours;
mod share;
mod told;
mod used;
mod window;

pub use balance::{Balance, Run, evenness};
pub use kept::Kept;
pub use neighbours::{
    Correction, DONNELLY_SMALL_SAMPLE, Neighbours, clark_evans, donnelly, mean_nearest, nearest,
    ripley_k,
};
pub use share::Share;
pub use told::Told;
pub use used::{Busiest, SkinUsed};

use chrono::{DateTime, Days, FixedOffset, NaiveDate};
use geo::MultiPolygon;

use crate::body::Body;
use crate::medicines::Book;
use crate::rules::{History, Past};
use crate::site::{Point, Quadrant, Side, Zone};
use crate::time::day_words;
use window::Window;

/// Calendar days, both ends included, by each entry's own offset.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Period {
    /// First day.
    pub from: NaiveDate,
    /// Last day; before the first there is nothing.
    pub to: NaiveDate,
}

impl Period {
    /// The `days` calendar days that end with the day of `at`, at least one.
    pub fn ending(at: DateTime<FixedOffset>, days: u32) -> Self {
        let to = at.date_naive();
        let back = Days::new(u64::from(days.max(1)) - 1);
        Self {
            from: to.checked_sub_days(back).unwrap_or(NaiveDate::MIN),
            to,
        }
    }

    /// In words: `1 Sep 2026 to 20 Nov 2026`.
    pub fn words(self) -> String {
        format!("{} to {}", day_words(self.from), day_words(self.to))
    }

    /// Whether an injection counts for one of its days.
    pub fn holds(&self, past: &Past) -> bool {
        (self.from..=self.to).contains(&past.day())
    }
}

/// What is to be measured.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// The person's body.
    pub body: &'a Body,
    /// Everything given; what came before the period is what its first injections are held against.
    pub history: &'a History,
    /// The medicines, whose own spacing and rest each injection is held against.
    pub book: &'a Book,
    /// Skin this person may use, zone by zone, in centimetres from the landmark: margins and findings taken off. Each
    /// zone once; polygons of a zone do not overlap.
    pub allowed: &'a [(Zone, MultiPolygon<f64>)],
    /// Which days.
    pub period: Period,
    /// Where the random patterns of the nearest-neighbour ratio start; the same seed gives the same answer.
    pub seed: u64,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Measures {
    /// Which days.
    pub period: Period,
    /// Injections in them.
    pub injections: usize,
    /// Those of them known only to the quadrant.
    pub quadrant_only: usize,
    /// At least the medicine's spacing from everything that still rested.
    pub spacing: Told<Kept>,
    /// Into skin, and a zone where that is asked, that had rested as long as is asked.
    pub rest: Told<Kept>,
    /// How much of the allowed skin was used.
    pub skin_used: Told<SkinUsed>,
    /// How spread the points are, for each zone that was used.
    pub neighbours: Vec<(Zone, Told<Neighbours>)>,
    /// Balance between left and right.
    pub sides: Told<Balance<Side>>,
    /// Balance between the quadrants.
    pub quadrants: Told<Balance<(Zone, Quadrant)>>,
    /// The longest run in one quadrant.
    pub longest_run: Told<Run>,
    /// The most used square centimetre.
    pub busiest: Told<Busiest>,
}

/// Measures a period.
///
/// # Units
/// Centimetres and square centimetres on the unrolled skin; rest in calendar days of each entry's own offset.
/// # Returns
/// Every measure with its sentence; a value only where there is one. Never NaN.
/// # Source
/// Of each statistic, beside it; of spacing and rest, each medicine's own.
pub fn measure(question: &Question<'_>) -> Measures {
    let in_period: Vec<&Past> = question
        .history
        .all()
        .iter()
        .filter(|p| question.period.holds(p))
        .collect();
    let windows: Vec<(Zone, Window)> = question
        .allowed
        .iter()
        .filter_map(|(zone, skin)| Some((*zone, Window::new(skin)?)))
        .collect();
    let seen = Seen {
        injections: in_period.len(),
        quadrant_only: in_period.iter().filter(|p| point_of(p).is_none()).count(),
    };
    let kept = kept::both(question);
    let parts = balance::parts(question, &windows, &in_period);
    Measures {
        period: question.period,
        injections: seen.injections,
        quadrant_only: seen.quadrant_only,
        spacing: told::spacing(kept.spacing, seen),
        rest: told::rest(kept.rest, seen),
        skin_used: told::skin_used(skin_used(question, &windows, &in_period), seen),
        neighbours: spread(question, &windows, &in_period),
        sides: told::sides(balance::sides(&parts, &in_period), seen),
        quadrants: told::quadrants(balance::quadrants(&parts, &in_period), parts.len(), seen),
        longest_run: told::longest_run(balance::longest_run(&in_period)),
        busiest: told::busiest(busiest(question, &in_period), seen),
    }
}

/// How many injections there are to measure, and how many of them have no point.
#[derive(Debug, Clone, Copy)]
struct Seen {
    injections: usize,
    quadrant_only: usize,
}

/// The point of an entry; one that is not a number is no point.
fn point_of(past: &Past) -> Option<Point> {
    past.site
        .point
        .filter(|p| p.across_cm.is_finite() && p.up_cm.is_finite())
}

fn points_in(zone: Zone, past: &[&Past]) -> Vec<Point> {
    past.iter()
        .filter(|p| p.site.zone == zone)
        .filter_map(|p| point_of(p))
        .collect()
}

/// `None` without allowed skin, or without an injection whose point and spacing are known.
fn skin_used(
    question: &Question<'_>,
    windows: &[(Zone, Window)],
    past: &[&Past],
) -> Option<SkinUsed> {
    let disc = |p: &Past| {
        let medicine = question.book.medicine(&p.medicine)?;
        Some((p.site.zone, (point_of(p)?, medicine.spacing_cm.value / 2.0)))
    };
    let discs: Vec<_> = past.iter().filter_map(|p| disc(p)).collect();
    if discs.is_empty() || windows.is_empty() {
        return None;
    }
    let used_cm2: f64 = windows
        .iter()
        .map(|(zone, window)| {
            let here: Vec<_> = discs.iter().filter(|d| d.0 == *zone).map(|d| d.1).collect();
            used::covered(&here, window, used::STEP_CM)
        })
        .sum();
    let allowed_cm2: f64 = windows.iter().map(|(_, w)| w.area()).sum();
    Some(SkinUsed {
        used_cm2: used_cm2.min(allowed_cm2),
        allowed_cm2,
        share: (used_cm2 / allowed_cm2).min(1.0),
    })
}

fn spread(
    question: &Question<'_>,
    windows: &[(Zone, Window)],
    past: &[&Past],
) -> Vec<(Zone, Told<Neighbours>)> {
    Zone::ALL
        .into_iter()
        .filter_map(|zone| {
            let points = points_in(zone, past);
            if points.is_empty() {
                return None;
            }
            let window = windows.iter().find(|(z, _)| *z == zone).map(|(_, w)| w);
            let inside: Vec<Point> = points
                .iter()
                .copied()
                .filter(|p| window.is_some_and(|w| w.contains(*p)))
                .collect();
            let value = window.and_then(|w| neighbours::ratio(&inside, w, question.seed));
            let outside = points.len() - inside.len();
            Some((
                zone,
                told::neighbours(value, zone, window.is_some(), outside),
            ))
        })
        .collect()
}

fn busiest(question: &Question<'_>, past: &[&Past]) -> Option<Busiest> {
    let mut best: Option<Busiest> = None;
    for zone in Zone::ALL {
        let points = points_in(zone, past);
        if points.is_empty() {
            continue;
        }
        let found = used::busiest(&points, question.body.patch(zone));
        if let Some(found) = found.filter(|f| best.is_none_or(|b| f.count > b.count)) {
            best = Some(found);
        }
    }
    best
}

#[cfg(test)]
mod laws;
#[cfg(test)]
mod reference;
#[cfg(test)]
mod tests;
