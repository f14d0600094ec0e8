//! A place one can hardly reach oneself wants a helper; some medicines allow a place only with one.

use super::{Level, Proposal, Reason, Skin};

/// # Source
/// The medicine's own, else patient information pages (see `data/medicines.toml`).
pub(super) fn check(proposal: &Proposal<'_>, skin: &Skin<'_>) -> Option<Reason> {
    if !proposal.self_given {
        return None;
    }
    let zone = proposal.site.zone;
    let place = zone.words().to_lowercase();
    let (level, words, source) = match &proposal.medicine.helper_only {
        Some(only) if only.value.contains(&zone) => (
            Level::Avoid,
            format!("The {place} is for a helper to give into, not for oneself."),
            &only.source,
        ),
        _ if skin.book.general.helper_zones.value.contains(&zone) => (
            Level::Caution,
            format!("The {place} is awkward to reach by oneself; a helper is better."),
            &skin.book.general.helper_zones.source,
        ),
        _ => return None,
    };
    Some(Reason {
        rule: "reach",
        level,
        words,
        measured: None,
        limit: None,
        unit: None,
        source: source.clone(),
        injections: Vec::new(),
        findings: Vec::new(),
    })
}
