//! Distance from the proposed site to every injection still within its rest.

use super::{Level, Measured, Proposal, Reason, Skin, cm, distance};

/// # Units
/// Spacing in centimetres on the zone's patch; rest in whole days by the calendar of each entry's own offset.
/// # Errors
/// Never. A history known only to the quadrant widens the answer to an interval, which is a caution.
/// # Source
/// For insulin: Hirsch & Strauss 2019, Table 1 (1 cm); Frid et al. 2016 (4 weeks, quoted). Others: the medicine's own.
pub(super) fn check(proposal: &Proposal<'_>, skin: &Skin<'_>) -> Vec<Reason> {
    let medicine = proposal.medicine;
    let limit = medicine.spacing_cm.value;
    let (mut near, mut unsure) = (Vec::new(), Vec::new());
    for past in skin
        .history
        .resting(proposal.at, medicine.point_rest_days.value)
    {
        let Some(measured) = distance(&proposal.site, &past.site, skin.body) else {
            continue;
        };
        if measured.low >= limit - 1e-9 {
            continue;
        }
        match measured.high {
            None => near.push((measured, past)),
            Some(_) => unsure.push((measured, past)),
        }
    }
    let mut reasons = Vec::new();
    near.sort_by(|a, b| a.0.low.total_cmp(&b.0.low));
    if let Some((measured, past)) = near.first() {
        reasons.push(Reason {
            rule: "spacing",
            level: Level::Avoid,
            words: format!(
                "{} from the injection of {}; at least {} is asked while skin rests.",
                cm(measured.low),
                crate::time::day_words(past.day()),
                cm(limit)
            ),
            measured: Some(*measured),
            limit: Some(limit),
            unit: Some("cm"),
            source: medicine.spacing_cm.source.clone(),
            injections: near.iter().map(|(_, p)| p.id.clone()).collect(),
            findings: Vec::new(),
        });
    }
    if !unsure.is_empty() {
        let low = unsure
            .iter()
            .map(|(m, _)| m.low)
            .fold(f64::INFINITY, f64::min);
        let high = unsure
            .iter()
            .filter_map(|(m, _)| m.high)
            .fold(0.0, f64::max);
        let count = unsure.len();
        let what = if count == 1 {
            "An injection still resting is".to_owned()
        } else {
            format!("{count} injections still resting are")
        };
        let known = if proposal.site.point.is_some() {
            "known only to the quadrant"
        } else {
            "in reach of this quadrant"
        };
        reasons.push(Reason {
            rule: "spacing",
            level: Level::Caution,
            words: format!(
                "{what} {known}: anywhere from {} to {} away. Whether {} is kept cannot be known.",
                cm(low),
                cm(high),
                cm(limit)
            ),
            measured: Some(Measured {
                low,
                high: Some(high),
            }),
            limit: Some(limit),
            unit: Some("cm"),
            source: medicine.spacing_cm.source.clone(),
            injections: unsure.iter().map(|(_, p)| p.id.clone()).collect(),
            findings: Vec::new(),
        });
    }
    reasons
}
