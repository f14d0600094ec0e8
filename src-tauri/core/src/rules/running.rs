//! Some medicines ask that two injections running do not go into the same side, or the same area.

use super::{Level, Proposal, Reason, Skin};
use crate::medicines::Pattern;
use crate::site::{Quadrant, Side, Site};

/// # Source
/// The medicine's own pattern.
pub(super) fn check(proposal: &Proposal<'_>, skin: &Skin<'_>) -> Option<Reason> {
    let medicine = proposal.medicine;
    if !matches!(
        medicine.pattern.value,
        Pattern::AlternateSides | Pattern::NotTwiceRunning
    ) {
        // The others need no look at the last injection, which may lie years back.
        return None;
    }
    let last = skin
        .history
        .before(proposal.at)
        .iter()
        .rfind(|p| p.medicine == medicine.id)?;
    let (rule, words) = match medicine.pattern.value {
        Pattern::AlternateSides if side(&last.site) == side(&proposal.site) => (
            "alternate_sides",
            format!(
                "The last {} also went into the {} side; sides alternate.",
                medicine.name,
                side(&proposal.site).word()
            ),
        ),
        Pattern::NotTwiceRunning if last.site.zone == proposal.site.zone => (
            "not_twice_running",
            format!(
                "The last {} also went into the {}; not the same area twice running.",
                medicine.name,
                proposal.site.zone.words().to_lowercase()
            ),
        ),
        _ => return None,
    };
    Some(Reason {
        rule,
        level: Level::Caution,
        words,
        measured: None,
        limit: None,
        unit: None,
        source: medicine.pattern.source.clone(),
        injections: vec![last.id.clone()],
        findings: Vec::new(),
    })
}

/// The side of the body a site is on; on the abdomen the quadrant tells.
pub fn side(site: &Site) -> Side {
    site.zone.side().unwrap_or(match site.quadrant {
        Quadrant::LeftUpper | Quadrant::LeftLower => Side::Left,
        _ => Side::Right,
    })
}
