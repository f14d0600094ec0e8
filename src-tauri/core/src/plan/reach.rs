//! The zones a medicine goes into for this person: their own choice, what they reach, and what else there would be.
//!
//! [`crate::suggest`] and [`super::room`] choose by it. Not here: how much skin a zone has.

use crate::medicines::{General, Medicine};
use crate::site::Zone;

/// Zones of one medicine for one person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Zones {
    /// In use, the preferred first.
    pub used: Vec<Zone>,
    /// Allowed and within reach, but not in use.
    pub spare: Vec<Zone>,
    /// Allowed, but only with a helper.
    pub helped: Vec<Zone>,
}

/// The zones of a medicine for a person who uses `chosen` (empty leaves it to the medicine).
pub fn zones(medicine: &Medicine, chosen: &[Zone], self_given: bool, general: &General) -> Zones {
    let only = medicine.helper_only.as_ref();
    let wants_helper = |zone: &Zone| {
        general.helper_zones.value.contains(zone) || only.is_some_and(|o| o.value.contains(zone))
    };
    let (helped, within): (Vec<Zone>, Vec<Zone>) = medicine
        .zones
        .value
        .iter()
        .partition(|zone| self_given && wants_helper(zone));
    let mut used: Vec<Zone> = Vec::new();
    for zone in chosen.iter().filter(|z| within.contains(z)) {
        if !used.contains(zone) {
            used.push(*zone);
        }
    }
    if used.is_empty() {
        used.clone_from(&within);
        if medicine.one_region.as_ref().is_some_and(|r| r.value) {
            used.truncate(1);
        }
    }
    let spare = within
        .into_iter()
        .filter(|zone| !used.contains(zone))
        .collect();
    Zones {
        used,
        spare,
        helped,
    }
}

/// Zones in words: `abdomen`, `thighs`, `left thigh`, `thighs and upper arms`.
pub(super) fn words(zones: &[Zone]) -> String {
    let mut parts: Vec<String> = Vec::new();
    for zone in zones {
        let word = if *zone != zone.mirrored() && zones.contains(&zone.mirrored()) {
            match zone {
                Zone::LeftThigh | Zone::RightThigh => "thighs".to_owned(),
                Zone::LeftArm | Zone::RightArm => "upper arms".to_owned(),
                _ => "buttocks".to_owned(),
            }
        } else {
            zone.words().to_lowercase()
        };
        if !parts.contains(&word) {
            parts.push(word);
        }
    }
    match parts.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
        None => "no zone".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::medicines::Book;
    use Zone::{Abdomen, LeftArm, LeftThigh, RightArm, RightThigh};

    #[test]
    fn the_choice_the_reach_and_the_rest() {
        let book = Book::shipped();
        let insulin = book.medicine("insulin-aspart-100").unwrap();
        let alone = zones(insulin, &[], true, &book.general);
        assert_eq!(alone.used, [Abdomen]);
        assert_eq!(alone.spare, [LeftThigh, RightThigh]);
        assert_eq!(alone.helped.len(), 4);
        let chosen = zones(
            insulin,
            &[RightThigh, LeftArm, RightThigh],
            true,
            &book.general,
        );
        assert_eq!(chosen.used, [RightThigh]);
        let helped = zones(insulin, &[LeftArm, RightArm], false, &book.general);
        assert_eq!(
            (helped.used.as_slice(), helped.helped.len()),
            (&[LeftArm, RightArm][..], 0)
        );
    }

    #[test]
    fn zones_are_said_as_one_says_them() {
        for (zones, said) in [
            (&[Abdomen][..], "abdomen"),
            (&[LeftThigh], "left thigh"),
            (&[LeftThigh, RightThigh], "thighs"),
            (
                &[Abdomen, LeftThigh, RightThigh, LeftArm],
                "abdomen, thighs and left upper arm",
            ),
            (&[], "no zone"),
        ] {
            assert_eq!(words(zones), said);
        }
    }
}
