//! Skin around the navel is left alone. Published radii run from 1 to 5 cm, so the smallest of them is a firm limit
//! and the one the practice chose (or the medicine's own, where wider) is a caution.

use super::{Level, Measured, Proposal, Reason, Skin, cm, navel_margin};
use crate::site::{Point, Zone};

/// # Units
/// Centimetres from the navel on the patch.
/// # Source
/// The published values in `data/medicines.toml`, `[general] navel_margins`.
pub(super) fn check(proposal: &Proposal<'_>, skin: &Skin<'_>) -> Option<Reason> {
    let point = proposal
        .site
        .point
        .filter(|_| proposal.site.zone == Zone::Abdomen)?;
    let distance = point.distance_cm(Point {
        across_cm: 0.0,
        up_cm: 0.0,
    });
    let (chosen, chosen_source) = navel_margin(proposal.medicine, skin);
    let least = skin.book.general.navel_margins.first()?;
    let (level, limit, source, words) = if distance < least.value - 1e-9 {
        let words = format!(
            "{} from the navel: closer than every published margin, of which {} is the smallest.",
            cm(distance),
            cm(least.value)
        );
        (Level::Avoid, least.value, least.source.clone(), words)
    } else if distance < chosen - 1e-9 {
        let words = format!(
            "{} from the navel; the margin chosen here is {}. Published margins differ.",
            cm(distance),
            cm(chosen)
        );
        (Level::Caution, chosen, chosen_source, words)
    } else {
        return None;
    };
    Some(Reason {
        rule: "navel_margin",
        level,
        words,
        measured: Some(Measured::exact(distance)),
        limit: Some(limit),
        unit: Some("cm"),
        source,
        injections: Vec::new(),
        findings: Vec::new(),
    })
}
