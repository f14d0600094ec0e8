//! The next sites: allowed, outside margins, at least the spacing from everything still resting, in this week's part
//! of the pattern, farthest from recent use first.
//!
//! Deterministic: the same record gives the same answer. Not here: a plan of weeks ahead, or capacity.

mod areas;
mod room;

use chrono::{DateTime, FixedOffset, NaiveDate};

use crate::medicines::Medicine;
use crate::rules::{Proposal, Reason, Skin, Verdict, check, distance};
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
/// Candidates lie on a grid of half a centimetre from the landmark, half a centimetre inside every border, because a
/// hand does not land on the millimetre (common practice, no source).
/// # Returns
/// Up to `count` clear sites. When nothing is clear: the least bad ones with their reasons, and a note that says so.
pub fn suggest(wish: &Wish<'_>, skin: &Skin<'_>) -> Suggestions {
    let plan = areas::in_order(wish, skin);
    let mut sites: Vec<Suggested> = Vec::new();
    let mut skipped: Option<&Area> = None;
    for area in &plan.areas {
        let found = room::clear_sites(area, wish, skin, wish.count - sites.len());
        if found.is_empty() && sites.is_empty() && skipped.is_none() {
            skipped = Some(area);
        }
        sites.extend(found);
        if sites.len() >= wish.count {
            break;
        }
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

/// Centimetres from a site to the nearest injection of the last 28 days whose point is known.
pub fn nearest_cm(site: &Site, at: DateTime<FixedOffset>, skin: &Skin<'_>) -> Option<f64> {
    skin.history
        .resting(at, 28.0)
        .filter_map(|past| distance(site, &past.site, skin.body))
        .filter(|m| m.high.is_none())
        .map(|m| m.low)
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
