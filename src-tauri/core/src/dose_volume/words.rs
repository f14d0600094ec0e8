//! Sentences of a dose as a volume. Units in full, no closing zeros, and nothing that reads as a dose to choose.
//!
//! Not here: which of them are said ([`super::measure`]).

use super::measure::{Draw, Prefill};
use super::strength::{Millilitres, Strength};
use super::syringe::{Mark, Reading, Syringe};
use crate::medicines::Sourced;
use crate::units::Dose;

pub(super) fn give_all(dose: Dose, holds: Option<Dose>, prefill: Prefill) -> String {
    let all = "measure nothing and give all of it";
    match (prefill, holds) {
        (Prefill::IsTheDose, _) => format!("It holds {dose}, which is the dose: {all}."),
        (Prefill::OtherUnit, Some(holds)) => format!(
            "Its label says {holds} and the order {dose}: whether that is the same is not known here. Check that it is the dose before giving; if it is, {all}."
        ),
        _ => format!(
            "Read its label: it must say {dose}. If it does, {all}. If not, do not give it and ask."
        ),
    }
}

pub(super) fn draw(draw: &Draw<'_>, syringe: Option<&Syringe>) -> String {
    let Draw {
        dose,
        strength,
        volume,
        shown,
        ..
    } = draw;
    let volume = if shown.is_exact() {
        shown.to_string()
    } else {
        format!("{volume}, shown as {shown}")
    };
    let told = format!("{dose} at {strength} is {volume}");
    let (Some(syringe), Some(reading)) = (syringe, draw.reading) else {
        return format!("{told}.");
    };
    let name = &syringe.name;
    match reading {
        Reading::OnLine { mark, .. } => format!("{told}: the line for {mark} on the {name}."),
        Reading::Between { below, above, .. } => {
            format!("{told}: between the lines for {below} and {above} on the {name}.")
        }
        Reading::TooMuch { holds } => {
            format!("{told}: more than the {name} holds, which ends at {holds}.")
        }
    }
}

pub(super) fn strength_not_100(strength: &Strength, times: &str) -> String {
    format!(
        "This insulin is {strength}, not 100 units/mL: each mL holds {times} times as much. Check the strength on the label against the order, and follow local policy on a second check."
    )
}

pub(super) fn five_units_a_mark(dose: Dose, reading: Reading) -> String {
    let line = match reading {
        Reading::OnLine { mark, .. } => {
            format!(" The line for {mark} holds {dose}; it is not {mark} units.")
        }
        Reading::Between { .. } | Reading::TooMuch { .. } => String::new(),
    };
    format!(
        "This syringe is made for 100 units/mL and the insulin is 500 units/mL: each 1 on its scale is 5 units of this insulin.{line} Take a syringe made for 500 units/mL if there is one; without one, ask before drawing up."
    )
}

pub(super) fn more_than_it_holds(draw: &Draw<'_>, syringe: &Syringe, holds: Mark) -> String {
    let (dose, name) = (draw.dose, &syringe.name);
    format!(
        "{dose} is more than the {name} holds ({holds}). {} Do not fill it twice unless the order or policy says so.",
        others(draw)
    )
}

pub(super) fn between_lines(draw: &Draw<'_>, below: Mark, above: Mark) -> String {
    format!(
        "{} falls between the lines for {below} and {above}. {} The dose is not changed to fit a line: local policy or the prescriber says how to round.",
        draw.dose,
        others(draw)
    )
}

/// Which known syringes have a line for it.
fn others(draw: &Draw<'_>) -> String {
    let names: Vec<_> = draw.shown_by.iter().map(|s| s.name.as_str()).collect();
    if names.is_empty() {
        return "No syringe known here has a line for it.".to_owned();
    }
    format!("A line for it is on: {}.", names.join("; "))
}

pub(super) fn below_lowest(dose: Dose, syringe: &Syringe, lowest: Mark) -> String {
    format!(
        "{dose} is below {lowest} units, the smallest dose the {} is described for. Ask before drawing up.",
        syringe.name
    )
}

pub(super) fn over_site_limit(volume: Millilitres, limit: &Sourced<Millilitres>) -> String {
    format!(
        "{volume} is more than {}, the most for one place in the setting here. Ask before giving it. Policies usually let a large dose go into two places only where the order says so.",
        limit.value
    )
}

pub(super) fn milligrams_and_micrograms(dose: Dose, strength: &Strength) -> String {
    format!(
        "The order says {dose} and the label {strength}: 1 mg is 1,000 micrograms. Have a second person read both."
    )
}

pub(super) fn shown_is_rounded(draw: &Draw<'_>, held: &str) -> String {
    let Draw {
        dose,
        volume,
        shown,
        ..
    } = draw;
    if shown.value() == super::exact::Exact::from_integer(0) {
        return format!("{dose} is exactly {volume}, too little to show in so few decimals.");
    }
    let unit = dose.unit().code();
    format!("{dose} is exactly {volume}; {shown} would hold {held} {unit}.")
}
