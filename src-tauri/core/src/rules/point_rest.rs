//! Days since skin was last injected within the spacing distance.

use super::{Level, Measured, Proposal, Reason, Skin, days, exact_cm};

/// # Units
/// Whole days by the calendar of each entry's own offset.
/// # Errors
/// Never. Entries known only to the quadrant are left to the spacing rule, which says what cannot be known.
/// # Source
/// For insulin: Frid et al. 2016, quoted (any one point not more than once in 4 weeks). Others: the medicine's own.
pub(super) fn check(proposal: &Proposal<'_>, skin: &Skin<'_>) -> Option<Reason> {
    let medicine = proposal.medicine;
    let limit = medicine.point_rest_days.value;
    let within = medicine.spacing_cm.value - 1e-9;
    let here = |site| exact_cm(&proposal.site, site).is_some_and(|cm| cm < within);
    let used: Vec<_> = skin
        .history
        .resting(proposal.at, limit)
        .filter(|past| here(&past.site))
        .collect();
    let last = used.last()?;
    let rested = last.rested_days(proposal.at);
    Some(Reason {
        rule: "point_rest",
        level: Level::Avoid,
        words: if rested <= 0 {
            format!(
                "This skin was used today; {} of rest are asked.",
                days(limit as i64)
            )
        } else {
            format!(
                "This skin has rested {}; {} are asked.",
                days(rested),
                days(limit as i64)
            )
        },
        measured: Some(Measured::exact(rested as f64)),
        limit: Some(limit),
        unit: Some("days"),
        source: medicine.point_rest_days.source.clone(),
        injections: used.iter().map(|p| p.id.clone()).collect(),
        findings: Vec::new(),
    })
}
