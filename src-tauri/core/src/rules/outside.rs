//! The point must be on the zone's skin and clear of its fixed landmarks; where only the quadrant is known, neither
//! can be measured, and that is said.

use super::{Level, Measured, Proposal, Reason, Skin, cm};

/// # Units
/// Centimetres on the patch.
/// # Source
/// Each margin's own (see [`crate::body::Margin`]).
pub(super) fn check(proposal: &Proposal<'_>, skin: &Skin<'_>) -> Vec<Reason> {
    let patch = skin.body.patch(proposal.site.zone);
    let zone = proposal.site.zone.words().to_lowercase();
    let Some(point) = proposal.site.point else {
        return vec![Reason {
            rule: "point_unknown",
            level: Level::Caution,
            words: "Only the quadrant is known, so spacing and margins cannot be measured."
                .to_owned(),
            measured: None,
            limit: None,
            unit: None,
            source: "common practice, no source".to_owned(),
            injections: Vec::new(),
            findings: Vec::new(),
        }];
    };
    let outside = patch.outside_cm(point);
    if outside > 1e-9 {
        return vec![Reason {
            rule: "outside_zone",
            level: Level::Avoid,
            words: format!(
                "The point is {} outside the skin of the {zone} that is used.",
                cm(outside.max(0.1))
            ),
            measured: Some(Measured::exact(outside)),
            limit: Some(0.0),
            unit: Some("cm"),
            source: proposal.medicine.zones.source.clone(),
            injections: Vec::new(),
            findings: Vec::new(),
        }];
    }
    patch
        .margins()
        .iter()
        .filter_map(|margin| {
            let distance = margin.distance_cm(point);
            (distance < margin.radius_cm - 1e-9).then(|| Reason {
                rule: "landmark_margin",
                level: Level::Avoid,
                words: format!(
                    "The point is {} from the {}; at least {} is asked.",
                    cm(distance),
                    margin.name,
                    cm(margin.radius_cm)
                ),
                measured: Some(Measured::exact(distance)),
                limit: Some(margin.radius_cm),
                unit: Some("cm"),
                source: margin.source.to_owned(),
                injections: Vec::new(),
                findings: Vec::new(),
            })
        })
        .collect()
}
