//! Whether each injection kept its spacing and its rest, by the same rules as a check.
//!
//! Spacing: at least the medicine's spacing from everything that still rested. Rest: the skin within that spacing had
//! rested as long as is asked, and so had the zone where the medicine asks for that. For a medicine that asks no rest
//! of a zone the two shares are therefore the same; how close and how soon they were broken is not.
//! Not here: the rules' own words ([`crate::rules`]).

use chrono::Duration;

use super::{Question, Share};
use crate::medicines::Medicine;
use crate::rules::{Past, distance};
use crate::site::Quadrant;

/// How often a rule was kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kept {
    /// Of the injections of which it can be known.
    pub share: Share,
    /// Injections with a point of which it cannot be known: one known only to its quadrant rested nearby, or there
    /// are no rules for the medicine.
    pub unknown: usize,
    /// The worst break: least centimetres for spacing, fewest days for rest; `None` where none was broken.
    pub worst: Option<f64>,
}

/// Both rules over one period.
pub(super) struct BothKept {
    pub spacing: Option<Kept>,
    pub rest: Option<Kept>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Judged {
    Kept,
    Broken(f64),
    Unknown,
}

pub(super) fn both(question: &Question<'_>) -> BothKept {
    let all = question.history.all();
    let (mut spacing, mut rest) = (Vec::new(), Vec::new());
    for (i, past) in all.iter().enumerate() {
        if !question.period.holds(past) || super::point_of(past).is_none() {
            continue;
        }
        let (s, r) = match question.book.medicine(&past.medicine) {
            Some(medicine) => judge(past, &all[..i], medicine, question),
            None => (Judged::Unknown, Judged::Unknown),
        };
        spacing.push(s);
        rest.push(r);
    }
    BothKept {
        spacing: counted(&spacing),
        rest: counted(&rest),
    }
}

fn counted(judged: &[Judged]) -> Option<Kept> {
    let kept = judged.iter().filter(|j| **j == Judged::Kept).count();
    let unknown = judged.iter().filter(|j| **j == Judged::Unknown).count();
    let worst = judged
        .iter()
        .filter_map(|j| match j {
            Judged::Broken(by) => Some(*by),
            _ => None,
        })
        .min_by(f64::total_cmp);
    Some(Kept {
        share: Share::new(kept, judged.len() - unknown)?,
        unknown,
        worst,
    })
}

/// Spacing and rest of one injection against those before it.
fn judge(
    past: &Past,
    earlier: &[Past],
    medicine: &Medicine,
    question: &Question<'_>,
) -> (Judged, Judged) {
    let spacing_cm = medicine.spacing_cm.value;
    let point_days = medicine.point_rest_days.value;
    let zone_days = medicine.zone_rest_days.as_ref().map(|d| d.value);
    let longest = point_days.max(zone_days.unwrap_or(0.0));
    // Offsets differ by up to 26 hours between two entries, so the window is two days wider than the rule.
    let since = past.given_at - Duration::minutes((longest * 1440.0) as i64) - Duration::days(2);
    let mut closest = f64::INFINITY;
    let mut soonest = f64::INFINITY;
    let mut unplaced: Vec<Quadrant> = Vec::new();
    let mut unsure = false;
    for other in earlier.iter().rev().take_while(|o| o.given_at >= since) {
        if other.site.zone != past.site.zone {
            continue;
        }
        let days = other.rested_days(past.given_at) as f64;
        if zone_days.is_some_and(|rest| days < rest) && other.medicine == past.medicine {
            soonest = soonest.min(days);
        }
        if days >= point_days {
            continue;
        }
        if super::point_of(other).is_none() {
            // One look at a quadrant is enough: its distance does not depend on which entry it is.
            if unplaced.contains(&other.site.quadrant) {
                continue;
            }
            unplaced.push(other.site.quadrant);
        }
        let Some(apart) = distance(&past.site, &other.site, question.body) else {
            continue;
        };
        if apart.low >= spacing_cm - 1e-9 {
            continue;
        }
        if apart.high.is_some() {
            unsure = true;
        } else {
            closest = closest.min(apart.low);
            soonest = soonest.min(days);
        }
    }
    let verdict = |broken: f64| match (broken.is_finite(), unsure) {
        (true, _) => Judged::Broken(broken.max(0.0)),
        (false, true) => Judged::Unknown,
        (false, false) => Judged::Kept,
    };
    (verdict(closest), verdict(soonest))
}
