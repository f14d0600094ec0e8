//! Room on this skin, in plain sentences.

use super::need::Treatment;
use super::reach::words as zones_words;
use super::room::{Help, Person, Room};
use crate::site::Zone;
use crate::words::cm;

/// The whole answer.
pub(super) fn all(room: &Room, treatments: &[Treatment<'_>], person: &Person<'_>) -> String {
    if room.need_sites == 0 {
        return "No order says how often, so nothing can be said about the room on this skin."
            .to_owned();
    }
    let used: Vec<Zone> = room.zones.iter().map(|z| z.zone).collect();
    if used.is_empty() {
        return format!(
            "No zone is left: none of the zones {} may go into is within reach here. Ask the prescriber.",
            treatments
                .first()
                .map_or("it", |t| t.medicine.name.as_str())
        );
    }
    let mut sentences = if room.zones.iter().all(|z| z.count == 0) {
        let findings = person.findings.iter().any(|f| used.contains(&f.zone));
        let what = if findings {
            "margins and findings cover"
        } else {
            "margins cover"
        };
        vec![format!(
            "No skin is left: {what} all of the {}.",
            zones_words(&used)
        )]
    } else if room.shortfall == 0 {
        enough(room, treatments)
    } else {
        short(room)
    };
    if let Some(rest) = room.zone_rest.filter(|z| z.needed > z.used) {
        sentences.push(format!(
            "Each area rests as a whole: {} areas are needed in turn, and {} in use.",
            rest.needed,
            if rest.used == 1 {
                "1 is".to_owned()
            } else {
                format!("{} are", rest.used)
            }
        ));
    }
    if !room.is_enough() {
        sentences.push(match room.remedies.iter().find(|r| r.covers) {
            Some(remedy) => remedy.words.clone(),
            None => "Nothing listed here is enough by itself; ask the prescriber.".to_owned(),
        });
    }
    sentences.join(" ")
}

fn enough(room: &Room, treatments: &[Treatment<'_>]) -> Vec<String> {
    let spacing = room.working_spacing_cm.unwrap_or(room.least_spacing_cm);
    let mut sentences = vec![format!(
        "This skin can carry {} at {} apart.",
        a_day(room.per_day),
        cm(spacing)
    )];
    // What comes next is only said where it is near, and where one medicine makes it plain. Never for a medicine that is
    // not given daily: a number of times a day beside it could be read as leave to give it so.
    if let [one] = treatments
        && one.need.per_day >= 1.0
        && one.medicine.every_days.is_none()
    {
        let most = (room.capacity_at_least_spacing as f64 / one.need.rest_days).floor();
        if (1.0..=12.0).contains(&most) {
            let next = a_day(most + 1.0);
            let lacking = (most + 1.0) * one.need.rest_days - room.capacity_at_least_spacing as f64;
            let zones = room.remedies.iter().find_map(|r| match &r.what {
                Help::Zones { zones, .. } if r.adds_sites as f64 >= lacking => Some(zones),
                _ => None,
            });
            sentences.push(match zones {
                Some(zones) => format!("At {next} it needs the {} too.", zones_words(zones)),
                None => format!("It cannot carry {next}."),
            });
            return sentences;
        }
    }
    sentences.push(format!(
        "At {} apart it holds {} sites; {} are needed.",
        cm(room.least_spacing_cm),
        room.capacity_at_least_spacing,
        room.need_sites
    ));
    sentences
}

fn short(room: &Room) -> Vec<String> {
    let mut sentences = vec![format!(
        "This skin cannot carry {}: {} sites are needed at {} apart, and {} fit: {} too few.",
        a_day(room.per_day),
        room.need_sites,
        cm(room.least_spacing_cm),
        room.capacity_at_least_spacing,
        room.shortfall
    )];
    if room.ceiling < room.need_sites {
        sentences.push(format!(
            "However they are arranged, no more than {} can.",
            room.ceiling
        ));
    }
    sentences
}

/// A remedy as one sentence.
pub(super) fn remedy(what: &Help, adds: usize, covers: bool, short: bool) -> String {
    let enough = match (short, covers) {
        (true, true) => ", which is enough",
        (true, false) => ", which is not enough by itself",
        (false, _) => "",
    };
    match what {
        Help::Zones { zones, with_helper } => {
            let helper = if *with_helper { " (with a helper)" } else { "" };
            format!(
                "The {}{helper} would add {adds} sites{enough}.",
                zones_words(zones)
            )
        }
        Help::Healed { kind, zone, .. } => format!(
            "Once the {} on the {} has gone, {adds} more sites fit{enough}.",
            kind.words(),
            zone.words().to_lowercase()
        ),
        Help::NavelMargin {
            from_cm,
            to_cm,
            source,
        } => format!(
            "With a navel margin of {} instead of {} ({source}) {adds} more sites fit{enough}.",
            cm(*to_cm),
            cm(*from_cm)
        ),
        Help::Rest {
            medicine,
            asked_days,
            possible_days,
            source,
        } => format!(
            "This skin gives {medicine} {possible_days} days of rest; {asked_days} are asked ({source}). Whether that will do is \
             for the prescriber to say."
        ),
    }
}

/// `4 a day`, `1 every 7 days`, `4.5 a day`.
fn a_day(per_day: f64) -> String {
    let every = 1.0 / per_day;
    if per_day < 1.0 - 1e-9 && (every - every.round()).abs() < 1e-6 {
        return format!("1 every {} days", every.round());
    }
    format!("{} a day", (per_day * 100.0).round() / 100.0)
}
