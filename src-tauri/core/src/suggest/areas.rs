//! The parts of the body a medicine's pattern goes through, in the order they come up now.

use super::Wish;
use crate::medicines::Pattern;
use crate::plan::{reach, weeks};
use crate::rules::{Past, Skin};
use crate::site::{Quadrant, Side, Zone};

/// A quadrant, a half or the whole of a zone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Area {
    /// The zone.
    pub zone: Zone,
    /// Its quadrants that belong to the area.
    pub quadrants: Vec<Quadrant>,
}

impl Area {
    /// `abdomen, left lower quadrant`, `left thigh, upper half`, `abdomen, left side`, `left thigh`.
    pub fn words(&self) -> String {
        let zone = self.zone.words().to_lowercase();
        match self.quadrants.as_slice() {
            [one] => format!("{zone}, {}", one.words()),
            [a, b] if a.is_upper() && b.is_upper() => format!("{zone}, upper half"),
            [a, b] if !a.is_upper() && !b.is_upper() => format!("{zone}, lower half"),
            [a, b] if a.is_far() && b.is_far() => format!("{zone}, left side"),
            [_, _] => format!("{zone}, right side"),
            _ => zone,
        }
    }

    fn holds(&self, past: &Past) -> bool {
        past.site.zone == self.zone && self.quadrants.contains(&past.site.quadrant)
    }
}

/// Areas in the order they come up, with the pattern in words.
pub(super) struct Plan {
    pub areas: Vec<Area>,
    /// How many of the areas, from the first, are in zones this person uses.
    pub in_use: usize,
    /// How many of the areas, from the first, are this week's; 1 where the pattern does not go by weeks.
    pub a_week: usize,
    /// How many areas the pattern has gone through before this week, where it goes by weeks.
    pub gone: Option<i64>,
    pub words: String,
    pub note: Option<String>,
}

/// The areas of the pattern, the one that is due now first.
///
/// # Source
/// Quadrants of the abdomen and halves of other zones, another one each week, in one direction: Diabetes NSW & ACT
/// 2020. Staying in one region: MHRA Drug Safety Update, September 2020. Others: each medicine's own.
pub(super) fn in_order(wish: &Wish<'_>, skin: &Skin<'_>) -> Plan {
    let (used, spare, note) = zones(wish, skin);
    if wish.medicine.pattern.value == Pattern::WeeklyQuadrant {
        return weekly(wish, skin, &used, &spare, note);
    }
    let last = |area: &Area| {
        skin.history
            .before(wish.at)
            .iter()
            .rfind(|p| p.medicine == wish.medicine.id && area.holds(p))
            .map(|p| (p.given_at, p.id.clone()))
    };
    let in_turn = |zones: &[Zone]| {
        let mut areas: Vec<_> = zones
            .iter()
            .flat_map(|zone| sides_or_whole(*zone))
            .enumerate()
            .map(|(place, area)| (last(&area), place, area))
            .collect();
        // Never used first (`None` sorts before any instant), then the longest rested, then the medicine's order.
        areas.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.cmp(&b.1)));
        areas
            .into_iter()
            .map(|(_, _, area)| area)
            .collect::<Vec<_>>()
    };
    let mut areas = in_turn(&used);
    let in_use = areas.len();
    areas.extend(in_turn(&spare));
    let words = format!("Pattern: {}.", wish.medicine.pattern.value.words());
    Plan {
        areas,
        in_use,
        a_week: 1,
        gone: None,
        words,
        note,
    }
}

fn weekly(
    wish: &Wish<'_>,
    skin: &Skin<'_>,
    used: &[Zone],
    spare: &[Zone],
    note: Option<String>,
) -> Plan {
    let mut areas = quadrants_and_halves(used);
    if areas.is_empty() {
        return Plan {
            areas,
            in_use: 0,
            a_week: 1,
            gone: None,
            words: "No zone is allowed.".to_owned(),
            note,
        };
    }
    let in_use = areas.len();
    let a_week = weeks::areas_a_week(&areas, wish, skin);
    let whole = |n: usize| i64::try_from(n).unwrap_or(i64::MAX);
    let week = (wish.at.date_naive() - wish.from).num_days().div_euclid(7);
    let gone = week.saturating_mul(whole(a_week));
    areas.rotate_left(gone.rem_euclid(whole(in_use)) as usize);
    let named: Vec<String> = areas[..a_week].iter().map(Area::words).collect();
    let weeks = in_use / a_week;
    // Where the areas do not come out even, no week has a number.
    let count = if in_use.is_multiple_of(a_week) {
        format!(" (week {} of {weeks})", week.rem_euclid(whole(weeks)) + 1)
    } else {
        String::new()
    };
    let words = format!("This week: {}{count}.", named.join(", then "));
    areas.extend(quadrants_and_halves(spare));
    Plan {
        areas,
        in_use,
        a_week,
        gone: Some(gone),
        words,
        note,
    }
}

/// Zones in use, then the others the medicine would allow, and what to say about the choice.
fn zones(wish: &Wish<'_>, skin: &Skin<'_>) -> (Vec<Zone>, Vec<Zone>, Option<String>) {
    let general = &skin.book.general;
    let mut zones = reach::zones(wish.medicine, wish.zones, wish.self_given, general);
    let chosen = |zone: &Zone| wish.zones.contains(zone);
    let note = (!wish.zones.is_empty() && !zones.used.iter().any(chosen)).then(|| {
        format!(
            "None of the zones this person uses is one {} can go into here; the medicine's own order is used.",
            wish.medicine.name
        )
    });
    if zones.used.is_empty() {
        // Only a helper reaches what is allowed: still better said than nothing.
        zones.spare = zones.helped;
    }
    (zones.used, zones.spare, note)
}

/// Quadrants of the abdomen clockwise as one sees them facing the person, halves of the other zones.
fn quadrants_and_halves(zones: &[Zone]) -> Vec<Area> {
    let mut areas = Vec::new();
    if zones.contains(&Zone::Abdomen) {
        use Quadrant::{LeftLower, LeftUpper, RightLower, RightUpper};
        for quadrant in [RightUpper, LeftUpper, LeftLower, RightLower] {
            areas.push(Area {
                zone: Zone::Abdomen,
                quadrants: vec![quadrant],
            });
        }
    }
    for upper in [true, false] {
        for zone in zones.iter().filter(|z| **z != Zone::Abdomen) {
            let quadrants = zone
                .quadrants()
                .into_iter()
                .filter(|q| q.is_upper() == upper)
                .collect();
            areas.push(Area {
                zone: *zone,
                quadrants,
            });
        }
    }
    areas
}

/// The two sides of the abdomen, the whole of another zone.
fn sides_or_whole(zone: Zone) -> Vec<Area> {
    let all = zone.quadrants();
    if zone != Zone::Abdomen {
        return vec![Area {
            zone,
            quadrants: all.to_vec(),
        }];
    }
    [Side::Right, Side::Left]
        .map(|side| Area {
            zone,
            quadrants: all
                .into_iter()
                .filter(|q| q.is_far() == (side == Side::Left))
                .collect(),
        })
        .to_vec()
}
