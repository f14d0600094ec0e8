//! What is marked on the skin is left alone, and so is the skin within its margin.

use super::{Level, Measured, Proposal, Reason, Skin, cm};
use crate::marked::{self, Reach};
use crate::skin::Finding;
use crate::time::day_words;

/// # Units
/// Centimetres from the finding's edge on the patch; 0 inside it.
/// # Source
/// Each finding's own margin (`data/skin.toml`).
pub(super) fn check(proposal: &Proposal<'_>, skin: &Skin<'_>) -> Vec<Reason> {
    let here = skin
        .findings
        .iter()
        .filter(|f| f.zone == proposal.site.zone);
    match proposal.site.point {
        Some(point) => here
            .filter_map(|f| at_point(f, marked::distance_cm(f, point)))
            .collect(),
        None => here
            .filter_map(|f| in_quadrant(f, proposal, skin))
            .collect(),
    }
}

fn at_point(finding: &Finding, distance: f64) -> Option<Reason> {
    let margin = finding.margin_cm.value;
    let inside = distance <= 0.0;
    if !inside && distance >= margin - 1e-9 {
        return None;
    }
    let what = finding.words();
    let day = day_words(finding.found_on);
    let words = if inside {
        format!("This is in the {what} marked on {day}. Leave it alone.")
    } else {
        format!(
            "{} from the {what} marked on {day}; at least {} is asked.",
            cm(distance),
            cm(margin)
        )
    };
    Some(reason(
        finding,
        Level::Avoid,
        words,
        Some(Measured::exact(distance)),
    ))
}

fn in_quadrant(finding: &Finding, proposal: &Proposal<'_>, skin: &Skin<'_>) -> Option<Reason> {
    let patch = skin.body.patch(finding.zone);
    let what = finding.words();
    let (level, words) = match marked::reaches(finding, patch, proposal.site.quadrant) {
        Reach::Not => return None,
        Reach::All => (
            Level::Avoid,
            format!("The {what} with the skin around it takes the whole quadrant."),
        ),
        Reach::Part => (
            Level::Caution,
            format!(
                "There is a {what} in this quadrant, marked on {}; without a point nobody can say how near this is.",
                day_words(finding.found_on)
            ),
        ),
    };
    Some(reason(finding, level, words, None))
}

fn reason(finding: &Finding, level: Level, words: String, measured: Option<Measured>) -> Reason {
    Reason {
        rule: "finding",
        level,
        words,
        measured,
        limit: Some(finding.margin_cm.value),
        unit: Some("cm"),
        source: finding.margin_cm.source.clone(),
        injections: Vec::new(),
        findings: vec![finding.id.clone()],
    }
}
