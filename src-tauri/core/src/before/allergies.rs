//! Allergies against the medicine's name and class, and latex against what it comes in.
//!
//! Only these are compared; the other ingredients are not known here, and the check says so.

use super::container::NeedleCover;
use super::{COMMON_PRACTICE, Found, Known, Problem, Said, in_use, names};
use crate::person::Allergies;

const RECORD: &str = "the person's record";

pub(super) fn check(known: &Known<'_>, said: &Said) -> Found {
    let mut found = Found::asked(said.allergies.as_ref());
    let name = known.medicine_name();
    let listed = match &known.person.allergies {
        Allergies::NotAsked => {
            found.problems.push(Problem::quiet(
                "Nobody has asked about allergies yet. Ask, and record the answer.".to_owned(),
                RECORD,
            ));
            return found;
        }
        Allergies::NoneKnown => {
            found.lines.push("No known allergies.".to_owned());
            return found;
        }
        Allergies::Known(listed) => listed,
    };
    if listed.iter().all(|text| text.trim().is_empty()) {
        found.problems.push(Problem::quiet(
            "Allergies are marked as known, and none is written down. Ask which.".to_owned(),
            RECORD,
        ));
    }
    for allergy in listed.iter().map(|text| text.trim()) {
        found.lines.push(format!("Allergy: {allergy}"));
        if let Some(how) = matched(known, allergy) {
            found.problems.push(Problem::loud(
                format!("Allergy \"{allergy}\" {how}. Ask the prescriber before {name} is given."),
                RECORD,
            ));
        }
        if names::names_any(allergy, &["latex", "rubber"]) {
            found.problems.extend(latex(known, said, allergy));
        }
    }
    found.lines.push(if known.medicine().is_some() {
        "Compared with the medicine's name and class and with latex; its other ingredients are not known here: read \
         the leaflet."
            .to_owned()
    } else {
        format!("{name} is not among the medicines known here: its class cannot be compared.")
    });
    found
}

/// How an allergy concerns the medicine, in words.
fn matched(known: &Known<'_>, allergy: &str) -> Option<String> {
    let name = known.medicine_name();
    if let Some(word) = names::shared(allergy, name) {
        return Some(format!("names {word}, and the order is for {name}"));
    }
    let class = &known.medicine()?.class;
    if names::shared(allergy, class).is_some() {
        return Some(format!("names {class}, the class of {name}"));
    }
    let mut others = known.book.medicines().filter(|m| m.class == *class);
    let other = others.find(|m| names::shared(allergy, &m.name).is_some())?;
    Some(format!(
        "names {}, which is of the same class as {name}",
        other.name
    ))
}

/// Latex against the container in hand, or against what is published where the pack was not read.
fn latex(known: &Known<'_>, said: &Said, allergy: &str) -> Option<Problem> {
    let name = known.medicine_name();
    let container = said.container.as_ref().map(|(container, _)| container);
    let pack = container.map_or(NeedleCover::NotRead, |c| c.needle_cover);
    let covered = container.is_none_or(|c| c.device.has_needle_cover());
    let published = in_use::latex(&known.order.medicine);
    match (pack, published) {
        (NeedleCover::NoLatex, _) => None,
        (NeedleCover::Latex, _) => Some(Problem::loud(
            format!(
                "Allergy \"{allergy}\", and the pack says it holds latex. Do not touch it; ask for another pack."
            ),
            "the pack",
        )),
        (NeedleCover::NotRead, Some((words, source))) if covered => Some(Problem::loud(
            format!(
                "Allergy \"{allergy}\", and for {name} {words}. Read the pack before you touch it."
            ),
            source,
        )),
        (NeedleCover::NotRead, _) => Some(Problem::quiet(
            format!(
                "Allergy \"{allergy}\": whether this pack of {name} holds latex is not known here. Read the pack."
            ),
            COMMON_PRACTICE,
        )),
    }
}
