//! Balance between sides and quadrants, and the longest run in one quadrant.
//!
//! Entries known only to the quadrant count here in full: the quadrant is all these measures need.

use chrono::NaiveDate;

use super::Question;
use super::used::STEP_CM;
use super::window::Window;
use crate::body::Patch;
use crate::rules::{Past, side_of};
use crate::site::{Quadrant, Side, Zone};

/// Allowed skin smaller than this does not make a quadrant one to go to; square centimetres, our own choice.
const LEAST_CM2: f64 = 1.0;

/// How evenly injections went to each of several parts of the body.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance<T> {
    /// Every part that has allowed skin or was used, and its injections.
    pub counts: Vec<(T, usize)>,
    /// Normalised entropy, `0..=1`: 1 is all alike, 0 is always the same part.
    pub evenness: f64,
}

/// Injections one after the other into the same quadrant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// The zone.
    pub zone: Zone,
    /// The quadrant.
    pub quadrant: Quadrant,
    /// How many.
    pub count: usize,
    /// Day of the first.
    pub first: NaiveDate,
    /// Day of the last.
    pub last: NaiveDate,
}

/// Shannon's entropy of the counts divided by the most it can be, `0..=1`; `None` for fewer than two parts, or
/// fewer injections than parts, which could not be even however well they went.
///
/// # Source
/// Shannon CE 1948, Bell Syst Tech J 27:379-423; the quotient is Pielou's evenness (1966, J Theor Biol 13:131-144).
pub fn evenness(counts: &[usize]) -> Option<f64> {
    let total: usize = counts.iter().sum();
    if counts.len() < 2 || total < counts.len() {
        return None;
    }
    let entropy: f64 = counts
        .iter()
        .filter(|c| **c > 0)
        .map(|c| {
            let share = *c as f64 / total as f64;
            -share * share.ln()
        })
        .sum();
    Some((entropy / (counts.len() as f64).ln()).clamp(0.0, 1.0))
}

/// Left and right; a side counts where there is allowed skin on it or it was used.
pub(super) fn sides(parts: &[(Zone, Quadrant)], used: &[&Past]) -> Option<Balance<Side>> {
    let sides: Vec<Side> = [Side::Left, Side::Right]
        .into_iter()
        .filter(|side| parts.iter().any(|p| side_of(&site(*p)) == *side))
        .collect();
    let counts: Vec<_> = sides
        .into_iter()
        .map(|side| {
            (
                side,
                used.iter().filter(|p| side_of(&p.site) == side).count(),
            )
        })
        .collect();
    balanced(counts)
}

/// Every quadrant of every zone.
pub(super) fn quadrants(
    parts: &[(Zone, Quadrant)],
    used: &[&Past],
) -> Option<Balance<(Zone, Quadrant)>> {
    let counts = parts
        .iter()
        .map(|part| {
            let here = |p: &&&Past| (p.site.zone, p.site.quadrant) == *part;
            (*part, used.iter().filter(here).count())
        })
        .collect();
    balanced(counts)
}

fn balanced<T>(counts: Vec<(T, usize)>) -> Option<Balance<T>> {
    let numbers: Vec<usize> = counts.iter().map(|c| c.1).collect();
    Some(Balance {
        evenness: evenness(&numbers)?,
        counts,
    })
}

/// The quadrants there are to go to: those with allowed skin, and any that was used all the same.
pub(super) fn parts(
    question: &Question<'_>,
    windows: &[(Zone, Window)],
    used: &[&Past],
) -> Vec<(Zone, Quadrant)> {
    Zone::ALL
        .into_iter()
        .flat_map(|zone| {
            let mut room = [0.0; 4];
            for (_, window) in windows.iter().filter(|(z, _)| *z == zone) {
                for (sum, more) in room
                    .iter_mut()
                    .zip(quadrant_areas(window, question.body.patch(zone)))
                {
                    *sum += more;
                }
            }
            zone.quadrants()
                .into_iter()
                .zip(room)
                .filter(|(quadrant, area)| {
                    *area >= LEAST_CM2
                        || used
                            .iter()
                            .any(|p| (p.site.zone, p.site.quadrant) == (zone, *quadrant))
                })
                .map(move |(quadrant, _)| (zone, quadrant))
                .collect::<Vec<_>>()
        })
        .collect()
}

/// Square centimetres of the window in each quadrant, in the zone's order of quadrants.
fn quadrant_areas(window: &Window, patch: &Patch) -> [f64; 4] {
    let (low, high) = window.levels();
    let rows = ((high - low) / STEP_CM).ceil() as usize;
    let mut areas = [0.0; 4];
    for row in 0..rows {
        let up = low + (row as f64 + 0.5) * STEP_CM;
        let pair = usize::from(up < patch.cut_up_cm()) * 2;
        for (from, to) in window.chords(up) {
            let cut = patch.cut_across_cm().clamp(from, to);
            areas[pair] += (cut - from) * STEP_CM;
            areas[pair + 1] += (to - cut) * STEP_CM;
        }
    }
    areas
}

fn site((zone, quadrant): (Zone, Quadrant)) -> crate::site::Site {
    crate::site::Site {
        zone,
        quadrant,
        point: None,
    }
}

/// The longest run; of equals the earliest.
pub(super) fn longest_run(used: &[&Past]) -> Option<Run> {
    let mut longest: Option<Run> = None;
    let mut run: Option<Run> = None;
    for past in used {
        let next = match run {
            Some(r) if (r.zone, r.quadrant) == (past.site.zone, past.site.quadrant) => Run {
                count: r.count + 1,
                last: past.day(),
                ..r
            },
            _ => Run {
                zone: past.site.zone,
                quadrant: past.site.quadrant,
                count: 1,
                first: past.day(),
                last: past.day(),
            },
        };
        run = Some(next);
        if longest.is_none_or(|l| next.count > l.count) {
            longest = Some(next);
        }
    }
    longest
}
