//! The checks that are asked of people: identity, the order, glucose, the meal, consent, the skin, a second checker.

use chrono::{DateTime, Duration, FixedOffset, NaiveDate};

use super::{COMMON_PRACTICE, Consent, Found, Identifier, Known, Meal, Problem, Said, SkinSeen};
use crate::glucose::{Limits, Standing, judge};
use crate::medicines::FROM_MEMORY;
use crate::time::{day_words, length_words};

/// How long a glucose value speaks for now (common practice, no source).
const FRESH_MINUTES: i64 = 60;

/// Two different identifiers that match the record. Not asked of somebody who gives it to themself.
///
/// # Source
/// At least two identifiers: from memory.
pub(super) fn identity(known: &Known<'_>, said: &Said) -> Found {
    if known.gives_to_self {
        return Found::default();
    }
    let person = known.person;
    let number = person
        .identifier
        .as_deref()
        .map(str::trim)
        .filter(|n| !n.is_empty());
    let of = |identifier| match identifier {
        Identifier::Name => Some(person.name.clone()),
        Identifier::Born => Some(format!("born {}", day_words(person.born))),
        Identifier::Number => number.map(|number| format!("identifier {number}")),
    };
    let mut found = Found::asked(said.identity.as_ref().map(|(_, tick)| tick));
    let all = [Identifier::Name, Identifier::Born, Identifier::Number];
    found.lines.extend(all.into_iter().filter_map(of));
    let Some((read_back, _)) = &said.identity else {
        return found;
    };
    let mut matching = Vec::new();
    for read in read_back {
        match (of(read.identifier), read.matches) {
            (None, _) => found.problems.push(Problem::quiet(
                "An identifier was read back that the record does not hold.".to_owned(),
                "the person's record",
            )),
            (Some(recorded), false) => found.problems.push(Problem::loud(
                format!("What was read back does not match the record: {recorded}. Is this the right person?"),
                FROM_MEMORY,
            )),
            (Some(_), true) => matching.push(read.identifier),
        }
    }
    matching.sort_unstable();
    matching.dedup();
    if matching.len() < 2 {
        found.problems.push(Problem::quiet(
            format!("{} of two identifiers read back.", matching.len()),
            FROM_MEMORY,
        ));
    }
    found
}

/// The order, and whether it is in force on `day`.
pub(super) fn order(known: &Known<'_>, said: &Said, day: NaiveDate) -> Found {
    const ORDER: &str = "the order";
    let order = known.order;
    let mut found = Found::asked(said.order.as_ref());
    found.lines.push(format!(
        "{}: {}, under the skin. Prescribed by {}.",
        known.medicine_name(),
        order.dose,
        order.prescriber
    ));
    found.lines.push(match order.to {
        Some(to) => format!("From {} to {}.", day_words(order.from), day_words(to)),
        None => format!("From {}, no last day.", day_words(order.from)),
    });
    found.lines.extend(order.note.clone());
    let may = order.terms.may_give.as_ref();
    found
        .lines
        .extend(may.map(|who| format!("May be given by: {who}.")));
    if day < order.from {
        let words = format!("The order starts on {}.", day_words(order.from));
        found.problems.push(Problem::loud(words, ORDER));
    }
    if let Some(to) = order.to.filter(|to| day > *to) {
        let words = format!("The order ended on {}. Ask the prescriber.", day_words(to));
        found.problems.push(Problem::loud(words, ORDER));
    }
    if known.medicine().is_none() {
        found.lines.push(format!(
            "{} is not among the medicines known here: its rules cannot be checked.",
            order.medicine
        ));
    }
    found
}

/// The glucose against the limits, where the order asks. One that was measured although nobody asked is judged by the
/// published limits.
pub(super) fn glucose(known: &Known<'_>, said: &Said, now: DateTime<FixedOffset>) -> Found {
    if known.asks.glucose.is_none() && said.glucose.is_none() {
        return Found::default();
    }
    let Some((measured, tick)) = &said.glucose else {
        return Found::asked(None);
    };
    let mut found = Found::asked(Some(tick));
    let limits = known.asks.glucose.clone().unwrap_or_else(Limits::usual);
    let judged = judge(measured.reading, &limits);
    let sources: Vec<_> = judged.limits.iter().map(|l| l.set_by().words()).collect();
    let source = sources.join("; ");
    match judged.standing {
        Standing::InRange => found.lines.push(judged.words),
        Standing::Low | Standing::VeryLow => {
            found.problems.push(Problem::loud(judged.words, &source));
        }
        Standing::High | Standing::CheckKetones => {
            found.problems.push(Problem::quiet(judged.words, &source));
        }
    }
    if let Some(question) = judged.question {
        found
            .problems
            .push(Problem::loud(question.words, COMMON_PRACTICE));
    }
    let age = now.signed_duration_since(measured.at);
    if age < Duration::zero() {
        found.problems.push(Problem::quiet(
            format!(
                "It was measured {} from now: look at the clock.",
                length_words(age)
            ),
            COMMON_PRACTICE,
        ));
    } else if age > Duration::minutes(FRESH_MINUTES) {
        found.problems.push(Problem::quiet(
            format!("It was measured {} ago: measure again.", length_words(age)),
            COMMON_PRACTICE,
        ));
    } else {
        found
            .lines
            .push(format!("Measured {} ago.", length_words(age)));
    }
    found
}

/// The meal, where the order asks.
pub(super) fn meal(known: &Known<'_>, said: &Said) -> Found {
    if !known.asks.meal && said.meal.is_none() {
        return Found::default();
    }
    let Some((meal, tick)) = &said.meal else {
        return Found::asked(None);
    };
    let mut found = Found::asked(Some(tick));
    match meal {
        Meal::Eaten => found.lines.push("Eaten.".to_owned()),
        Meal::About => found.lines.push("About to eat.".to_owned()),
        Meal::NotEating => found.problems.push(Problem::quiet(
            "The person has not eaten and is not about to. Ask the prescriber, or do what the order says.".to_owned(),
            COMMON_PRACTICE,
        )),
    }
    found
}

/// The person's own word. Not asked of somebody who gives it to themself.
pub(super) fn consent(known: &Known<'_>, said: &Said) -> Found {
    if known.gives_to_self {
        return Found::default();
    }
    let Some((consent, tick)) = &said.consent else {
        return Found::asked(None);
    };
    let mut found = Found::asked(Some(tick));
    match consent {
        Consent::Given => found.lines.push("The person agrees.".to_owned()),
        Consent::DecidedFor(words) if words.trim().is_empty() => found.problems.push(Problem::quiet(
            "Decided for the person: write who decided and on what ground.".to_owned(),
            COMMON_PRACTICE,
        )),
        Consent::DecidedFor(words) => found
            .lines
            .push(format!("Decided for the person: {}", words.trim())),
        Consent::Refused => found.problems.push(Problem::loud(
            "The person says no. That can be recorded as not given, with the reason; local policy says who is told."
                .to_owned(),
            COMMON_PRACTICE,
        )),
    }
    found
}

/// That somebody looked at the skin.
pub(super) fn skin(said: &Said) -> Found {
    let Some((seen, tick)) = &said.skin else {
        return Found::asked(None);
    };
    let mut found = Found::asked(Some(tick));
    match seen {
        SkinSeen::Clear => found
            .lines
            .push("Nothing seen or felt on the skin.".to_owned()),
        SkinSeen::Found(words) => found.problems.push(Problem::quiet(
            format!(
                "Seen on the skin: {}. Choose another place and record it as a finding.",
                words.trim()
            ),
            COMMON_PRACTICE,
        )),
    }
    found
}

/// Somebody else than the giver, where local policy asks.
pub(super) fn second_checker(known: &Known<'_>, said: &Said) -> Found {
    if !known.asks.second_checker && said.second.is_none() {
        return Found::default();
    }
    let mut found = Found::asked(said.second.as_ref());
    if let Some(second) = &said.second
        && second.by.trim().to_lowercase() == known.giver.trim().to_lowercase()
    {
        found.problems.push(Problem::quiet(
            format!(
                "{} gives it: the second checker is another person.",
                second.by.trim()
            ),
            COMMON_PRACTICE,
        ));
    }
    found
}
