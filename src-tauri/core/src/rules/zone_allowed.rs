//! The zone must be one the medicine may go into.

use super::{Level, Proposal, Reason};

/// # Source
/// The medicine's own zones in `data/medicines.toml`.
pub(super) fn check(proposal: &Proposal<'_>) -> Option<Reason> {
    let zones = &proposal.medicine.zones;
    if zones.value.contains(&proposal.site.zone) {
        return None;
    }
    let mut allowed: Vec<_> = zones
        .value
        .iter()
        .map(|z| z.words().to_lowercase())
        .collect();
    allowed.dedup();
    Some(Reason {
        rule: "zone_allowed",
        level: Level::Avoid,
        words: format!(
            "{} is not usually given into the {}; it goes into: {}.",
            proposal.medicine.name,
            proposal.site.zone.words().to_lowercase(),
            allowed.join(", ")
        ),
        measured: None,
        limit: None,
        unit: None,
        source: zones.source.clone(),
        injections: Vec::new(),
        findings: Vec::new(),
    })
}
