//! Two different medicines given close in time do not go next to each other, even where they may share a region.

use super::{Level, Proposal, Reason, Skin, cm, distance};

/// # Units
/// Centimetres on the patch; days by the calendar of each entry's own offset.
/// # Source
/// The distance: Health Information Translations, any medicine under the skin 2.5 cm from the last injection. The
/// time: from memory.
pub(super) fn check(proposal: &Proposal<'_>, skin: &Skin<'_>) -> Option<Reason> {
    let general = &skin.book.general;
    let limit = general.other_medicine_cm.value;
    let (past, measured) = skin
        .history
        .resting(proposal.at, general.other_medicine_days.value)
        .filter(|p| p.class != proposal.medicine.class)
        .filter_map(|p| Some((p, distance(&proposal.site, &p.site, skin.body)?)))
        .filter(|(_, m)| m.low < limit - 1e-9)
        .min_by(|a, b| a.1.low.total_cmp(&b.1.low))?;
    let name = skin
        .book
        .medicine(&past.medicine)
        .map_or(past.medicine.as_str(), |m| m.name.as_str());
    let words = match measured.high {
        None => format!(
            "{} from today's {name}; another medicine goes at least {} away.",
            cm(measured.low),
            cm(limit)
        ),
        Some(high) => format!(
            "Today's {name} is known only to the quadrant, {} to {} away; another medicine goes at least {} away.",
            cm(measured.low),
            cm(high),
            cm(limit)
        ),
    };
    Some(Reason {
        rule: "other_medicine",
        level: Level::Caution,
        words,
        measured: Some(measured),
        limit: Some(limit),
        unit: Some("cm"),
        source: general.other_medicine_cm.source.clone(),
        injections: vec![past.id.clone()],
        findings: Vec::new(),
    })
}
