//! Recent use of each zone and quadrant: days since the last injection, counts, and the step of the colour ramp.
//!
//! Not here: colours, which the screen gives to the steps.

use chrono::{DateTime, FixedOffset};

use crate::rules::{History, Past};
use crate::site::{Quadrant, Zone};

/// The ramp's steps: first and last whole day of rest each stands for, darkest (just used) first.
///
/// The borders are our own: the last is the 28 days of Frid et al. 2016 (quoted), one is a week.
pub const RAMP: [(u32, Option<u32>); 6] = [
    (0, Some(0)),
    (1, Some(3)),
    (4, Some(7)),
    (8, Some(14)),
    (15, Some(27)),
    (28, None),
];

/// The step of the ramp for days of rest; `None` is not used.
pub fn step(days: Option<u32>) -> u8 {
    let Some(days) = days else {
        return RAMP.len() as u8 - 1;
    };
    RAMP.iter()
        .rposition(|(from, _)| days >= *from)
        .unwrap_or(0) as u8
}

/// What a step means in words.
pub fn step_words(step: u8) -> String {
    match RAMP.get(usize::from(step)) {
        Some((0, _)) => "today".to_owned(),
        Some((from, Some(to))) => format!("{from} to {to} days"),
        Some((from, None)) => format!("{from} days or more, or not used"),
        None => String::new(),
    }
}

/// Use of one quadrant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct QuadrantUse {
    /// Which.
    pub quadrant: Quadrant,
    /// Whole calendar days since the last injection there, within a year.
    pub days: Option<u32>,
    /// Injections there in the last 28 days.
    pub count_28_days: u32,
}

/// Use of one zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ZoneUse {
    /// Which.
    pub zone: Zone,
    /// Its quadrants.
    pub quadrants: [QuadrantUse; 4],
}

impl ZoneUse {
    /// Whole days since the last injection anywhere in the zone.
    pub fn days(&self) -> Option<u32> {
        self.quadrants.iter().filter_map(|q| q.days).min()
    }

    /// Injections in the zone in the last 28 days.
    pub fn count_28_days(&self) -> u32 {
        self.quadrants.iter().map(|q| q.count_28_days).sum()
    }
}

/// Use of all seven zones as of `at`, from the year before it.
pub fn use_map(history: &History, at: DateTime<FixedOffset>) -> Vec<ZoneUse> {
    let year: Vec<&Past> = history.resting(at, 366.0).collect();
    Zone::ALL
        .map(|zone| ZoneUse {
            zone,
            quadrants: zone.quadrants().map(|q| of(zone, q, &year, at)),
        })
        .to_vec()
}

fn of(zone: Zone, quadrant: Quadrant, year: &[&Past], at: DateTime<FixedOffset>) -> QuadrantUse {
    let rested = year
        .iter()
        .filter(|p| p.site.zone == zone && p.site.quadrant == quadrant)
        .map(|p| p.rested_days(at).max(0) as u32);
    QuadrantUse {
        quadrant,
        days: rested.clone().min(),
        count_28_days: rested.filter(|days| *days < 28).count() as u32,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_day_has_one_step_and_steps_say_what_they_hold() {
        for (days, want) in [
            (0, 0),
            (1, 1),
            (3, 1),
            (4, 2),
            (7, 2),
            (8, 3),
            (14, 3),
            (15, 4),
            (27, 4),
            (28, 5),
            (400, 5),
        ] {
            assert_eq!(step(Some(days)), want, "{days} days");
        }
        assert_eq!(step(None), 5);
        assert_eq!(step_words(0), "today");
        assert_eq!(step_words(4), "15 to 27 days");
        assert_eq!(step_words(5), "28 days or more, or not used");
    }
}
