//! Each measure as a sentence for the person: what was found, or why nothing can be said.
//!
//! Not here: any figure that is not in the measure itself.

use super::share::percent;
use super::{Balance, Busiest, Kept, Neighbours, Run, Seen, Share, SkinUsed};
use crate::site::{Quadrant, Side, Site, Zone};
use crate::time::day_words;
use crate::words::{Listener, cm, site as site_words};

/// A measure and its sentence.
#[derive(Debug, Clone, PartialEq)]
pub struct Told<T> {
    /// The measure; `None` where it cannot be computed, for the reason the sentence gives.
    pub value: Option<T>,
    /// The sentence.
    pub words: String,
}

const NONE: &str = "No injections in this period.";

pub(super) fn spacing(value: Option<Kept>, seen: Seen) -> Told<Kept> {
    let words = match &value {
        None => no_distances(seen, "whether spacing was kept"),
        Some(k) => {
            let closest = k.worst.map_or(String::new(), |apart| {
                format!(" The closest was {}.", cm(apart))
            });
            format!(
                "{} kept their spacing from skin still resting{}.{closest}{}",
                so_many(&k.share),
                habit(&k.share),
                left_out(k, seen)
            )
        }
    };
    Told { value, words }
}

pub(super) fn rest(value: Option<Kept>, seen: Seen) -> Told<Kept> {
    let words = match &value {
        None => no_distances(seen, "whether skin had rested"),
        Some(k) => {
            let shortest = k.worst.map_or(String::new(), |days| match days as u32 {
                0 => " The shortest rest was less than a day.".to_owned(),
                1 => " The shortest rest was 1 day.".to_owned(),
                n => format!(" The shortest rest was {n} days."),
            });
            format!(
                "{} went into skin that had rested as long as is asked{}.{shortest}{}",
                so_many(&k.share),
                habit(&k.share),
                left_out(k, seen)
            )
        }
    };
    Told { value, words }
}

pub(super) fn skin_used(value: Option<SkinUsed>, seen: Seen) -> Told<SkinUsed> {
    let words = match &value {
        None => no_distances(seen, "how much skin was used"),
        Some(s) => format!(
            "{}{} of the {} cm² of allowed skin was used.{}",
            if seen.quadrant_only > 0 {
                "At least "
            } else {
                ""
            },
            percent(s.share),
            s.allowed_cm2.round(),
            quadrant_only(seen)
        ),
    };
    Told { value, words }
}

pub(super) fn neighbours(
    value: Option<Neighbours>,
    zone: Zone,
    allowed: bool,
    outside: usize,
) -> Told<Neighbours> {
    let name = zone.words();
    let words = match &value {
        None if !allowed => {
            format!("{name}: no skin is allowed here, so spread cannot be measured.")
        }
        None => format!("{name}: spread needs at least two injections on allowed skin."),
        Some(n) => {
            let verdict = if n.ratio < n.random.0 {
                "more bunched than chance would have it"
            } else if n.ratio > n.random.1 {
                "more evenly spread than chance would have it"
            } else {
                "about as chance would have it"
            };
            let stray = match outside {
                0 => String::new(),
                n => format!(" {n} outside the allowed skin not counted."),
            };
            format!(
                "{name}: {} from one injection to its nearest on average, {:.2} times what chance would give: {verdict}.{stray}",
                cm(n.mean_cm),
                n.ratio
            )
        }
    };
    Told { value, words }
}

pub(super) fn sides(value: Option<Balance<Side>>, seen: Seen) -> Told<Balance<Side>> {
    let words = match &value {
        None if seen.injections == 0 => NONE.to_owned(),
        None if seen.injections < 2 => "One injection has no balance of sides.".to_owned(),
        None => "Only one side can be used, so there is no balance of sides.".to_owned(),
        Some(b) => {
            let counts: Vec<String> = b
                .counts
                .iter()
                .map(|(side, n)| format!("{n} on the {}", side.word()))
                .collect();
            format!("{}: {}.", counts.join(", "), how_even(b.evenness))
        }
    };
    Told { value, words }
}

pub(super) fn quadrants(
    value: Option<Balance<(Zone, Quadrant)>>,
    parts: usize,
    seen: Seen,
) -> Told<Balance<(Zone, Quadrant)>> {
    let words = match &value {
        None if seen.injections == 0 => NONE.to_owned(),
        None if parts < 2 => "Only one quadrant can be used, so there is no balance.".to_owned(),
        None => {
            format!("Fewer injections than the {parts} quadrants: too few to speak of balance.")
        }
        Some(b) => {
            let used = b.counts.iter().filter(|c| c.1 > 0).count();
            format!(
                "{used} of {} quadrants were used: {}.",
                b.counts.len(),
                how_even(b.evenness)
            )
        }
    };
    Told { value, words }
}

pub(super) fn longest_run(value: Option<Run>) -> Told<Run> {
    let words = match &value {
        None => NONE.to_owned(),
        Some(r) => {
            let place = format!("{}, {}", r.zone.words().to_lowercase(), r.quadrant.words());
            if r.count == 1 {
                format!(
                    "No quadrant was used twice running; the first was {place}, on {}.",
                    day_words(r.first)
                )
            } else {
                let days = (r.last - r.first).num_days() + 1;
                let over = if days == 1 {
                    format!("on {}", day_words(r.first))
                } else {
                    format!(
                        "over {days} days, from {} to {}",
                        day_words(r.first),
                        day_words(r.last)
                    )
                };
                format!(
                    "The longest run in one quadrant was {} injections {over}: {place}.",
                    r.count
                )
            }
        }
    };
    Told { value, words }
}

pub(super) fn busiest(value: Option<Busiest>, seen: Seen) -> Told<Busiest> {
    let words = match &value {
        None => no_distances(seen, "which place was used most"),
        Some(b) => {
            let place = Site {
                zone: b.zone,
                quadrant: b.quadrant,
                point: Some(b.centre),
            };
            format!(
                "The most used square centimetre took {}. {}.{}",
                injections(b.count),
                site_words(&place, Listener::Record),
                quadrant_only(seen)
            )
        }
    };
    Told { value, words }
}

/// Why nothing that needs points can be said.
fn no_distances(seen: Seen, what: &str) -> String {
    if seen.injections == 0 {
        NONE.to_owned()
    } else if seen.injections == seen.quadrant_only {
        format!(
            "{} in this period, known only to the quadrant: {what} cannot be known.",
            injections(seen.injections)
        )
    } else {
        format!(
            "{} in this period, but {what} cannot be known.",
            injections(seen.injections)
        )
    }
}

fn so_many(share: &Share) -> String {
    format!(
        "{} of {} ({})",
        share.kept,
        injections(share.of),
        share.percent()
    )
}

/// How far the share can be trusted.
fn habit(share: &Share) -> String {
    format!(
        "; from this many, the habit behind it is likely between {} and {}",
        percent(share.low),
        percent(share.high)
    )
}

fn left_out(kept: &Kept, seen: Seen) -> String {
    let mut words = match kept.unknown {
        0 => String::new(),
        n => format!(" Of {n} more it cannot be known."),
    };
    words += &quadrant_only(seen);
    words
}

fn quadrant_only(seen: Seen) -> String {
    match seen.quadrant_only {
        0 => String::new(),
        n => format!(" Not counted: {n} known only to the quadrant."),
    }
}

/// Our own words for evenness; the borders have no source.
fn how_even(evenness: f64) -> &'static str {
    if evenness >= 0.95 {
        "well balanced"
    } else if evenness >= 0.75 {
        "somewhat uneven"
    } else if evenness > 1e-9 {
        "uneven"
    } else {
        "always the same"
    }
}

fn injections(n: usize) -> String {
    if n == 1 {
        "1 injection".to_owned()
    } else {
        format!("{n} injections")
    }
}
