//! Leaving a lump: healthy skin takes a medicine up more strongly than the lump it went into until now.
//!
//! A caution in words. Not here, nor anywhere else: how much a dose would have to change.

use chrono::{DateTime, FixedOffset};

use crate::body::Body;
use crate::marked;
use crate::medicines::Medicine;
use crate::risk::INSULIN;
use crate::rules::History;
use crate::site::Site;
use crate::skin::{Finding, FindingKind};

/// How far back injections into a lump still matter for the next one; days (common practice, no source).
const LOOK_BACK_DAYS: f64 = 28.0;
/// How near a lump's edge an injection counts as one into it; centimetres (a hand's own error, common practice, no
/// source).
const INTO_CM: f64 = 1.0;

/// What to say of a site that leaves a lump.
#[derive(Debug, Clone, PartialEq)]
pub struct Leaving {
    /// The caution, as sentences.
    pub words: String,
    /// Who says so.
    pub source: String,
    /// Ids of the lumps.
    pub findings: Vec<String>,
}

/// The caution for the next site, where one is due: the last injection of this medicine within 28 days went into a
/// marked lump, or into a zone with one where its point is not known, and the next site is clear of every lump.
///
/// # Source
/// Hirsch & Strauss 2019, item 8; cutaneous amyloidosis: MHRA Drug Safety Update, September 2020 (second-hand).
pub fn leaving(
    next: &Site,
    medicine: &Medicine,
    history: &History,
    findings: &[Finding],
    body: &Body,
    at: DateTime<FixedOffset>,
) -> Option<Leaving> {
    let lumps: Vec<&Finding> = findings
        .iter()
        .filter(|f| f.kind == FindingKind::Lump)
        .collect();
    let last = history
        .resting(at, LOOK_BACK_DAYS)
        .rfind(|p| p.class == medicine.class)?;
    let left: Vec<&Finding> = lumps
        .iter()
        .copied()
        .filter(|lump| touches(&last.site, lump, body))
        .collect();
    let into_lump = lumps.iter().any(|lump| touches(next, lump, body));
    if left.is_empty() || into_lump {
        return None;
    }
    let whose = if medicine.class == INSULIN {
        "Leaving a lump: in healthy skin the same dose may work more strongly. Watch glucose closely over the next \
         days, know what to do when it is low, and ask the prescriber before the dose is changed."
    } else {
        "Leaving a lump: in healthy skin the same dose may work more strongly. Watch how it works, and ask the \
         prescriber before the dose is changed."
    };
    Some(Leaving {
        words: whose.to_owned(),
        source: "Hirsch LJ, Strauss KW 2019, Clin Diabetes 37(3):227-233, item 8".to_owned(),
        findings: left.iter().map(|f| f.id.clone()).collect(),
    })
}

/// Whether a site is in a lump, near its edge, or known only to a quadrant that the lump reaches into.
fn touches(site: &Site, lump: &Finding, body: &Body) -> bool {
    if site.zone != lump.zone {
        return false;
    }
    match site.point {
        Some(point) => marked::distance_cm(lump, point) < INTO_CM,
        None => marked::reaches(lump, body.patch(lump.zone), site.quadrant) != marked::Reach::Not,
    }
}
