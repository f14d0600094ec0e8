//! Some medicines ask that a whole area rests, not just a point: no area more than once a week.

use super::{Level, Measured, Proposal, Reason, Skin, days};

/// # Units
/// Whole days by the calendar of each entry's own offset; only injections of the same medicine count.
/// # Source
/// The medicine's own.
pub(super) fn check(proposal: &Proposal<'_>, skin: &Skin<'_>) -> Option<Reason> {
    let rest = proposal.medicine.zone_rest_days.as_ref()?;
    let used: Vec<_> = skin
        .history
        .resting(proposal.at, rest.value)
        .filter(|p| p.medicine == proposal.medicine.id && p.site.zone == proposal.site.zone)
        .collect();
    let rested = used.last()?.rested_days(proposal.at);
    Some(Reason {
        rule: "zone_rest",
        level: Level::Avoid,
        words: format!(
            "{} was last given into the {} {} ago; the whole area rests for {}.",
            proposal.medicine.name,
            proposal.site.zone.words().to_lowercase(),
            days(rested),
            days(rest.value as i64)
        ),
        measured: Some(Measured::exact(rested as f64)),
        limit: Some(rest.value),
        unit: Some("days"),
        source: rest.source.clone(),
        injections: used.iter().map(|p| p.id.clone()).collect(),
        findings: Vec::new(),
    })
}
