//! Whether to lift a fold of skin, why, and what is not known for saying so.
//!
//! Not here: the rest of the advice ([`super::advice`]).

use super::TechniqueError;
use super::advice::{Asked, Fold, FoldAdvice, Unknown};
use super::book::TechniqueBook;
use super::needle::Device;
use crate::site::Zone;
use crate::units;

/// Whether a person's body mass index is under a limit, from height and weight; `None` where either was not measured.
///
/// # Units
/// Centimetres, 50 to 250; kilograms, 1 to 400.
pub(super) fn bmi_is_under(asked: &Asked<'_>, limit: f64) -> Result<Option<bool>, TechniqueError> {
    let height = asked
        .height_cm
        .map(|cm| units::centimetres("height", cm, 50.0, 250.0));
    let weight = asked.weight_kg.map(|kg| units::kilograms("weight", kg));
    let (Some(height), Some(weight)) = (height.transpose()?, weight.transpose()?) else {
        return Ok(None);
    };
    // Multiplied out, so that exactly 19 is not under 19 for want of a digit.
    Ok(Some(weight * 10_000.0 < limit * height * height))
}

/// Whether to lift a fold, and what was missing for the answer.
///
/// # Source
/// Hirsch & Strauss 2019, Table 1 item 6 (at 6 years or under, and adults with a body mass index under 19: always).
pub(super) fn fold(
    asked: &Asked<'_>,
    book: &TechniqueBook,
) -> Result<(FoldAdvice, Vec<Unknown>), TechniqueError> {
    let rules = &book.fold;
    let (child, bmi) = (&rules.always_up_to_age, &rules.always_under_bmi);
    let adult = asked.age_years.map(|age| age >= rules.adult_from_age.value);
    let under = bmi_is_under(asked, bmi.value)?;
    let mut unknown = Vec::new();
    if adult.is_none() {
        unknown.push(Unknown::Age);
    }
    if adult != Some(false) && under.is_none() {
        unknown.push(Unknown::BodyMassIndex);
    }
    let told = |value, why: String, source: &str| FoldAdvice {
        value,
        why,
        source: source.to_owned(),
    };
    let always = if asked.age_years.is_some_and(|age| age <= child.value) {
        let why = format!("Always at {} years or under.", child.value);
        Some(told(Fold::Always, why, &child.source))
    } else if adult == Some(true) && under == Some(true) {
        let why = format!(
            "Always in adults with a body mass index under {}.",
            bmi.value
        );
        Some(told(Fold::Always, why, &bmi.source))
    } else if asked.late_pregnancy && asked.zone == Zone::Abdomen {
        let why = "In late pregnancy the skin of the abdomen is lifted.".to_owned();
        Some(told(Fold::Always, why, &rules.late_pregnancy))
    } else {
        None
    };
    Ok((
        always.unwrap_or_else(|| by_length(asked, book, adult, under)),
        unknown,
    ))
}

/// Where nothing says "always": by the length of the needle.
fn by_length(
    asked: &Asked<'_>,
    book: &TechniqueBook,
    adult: Option<bool>,
    under: Option<bool>,
) -> FoldAdvice {
    let rules = &book.fold;
    let (child, bmi) = (&rules.always_up_to_age, &rules.always_under_bmi);
    let (value, why, source) = if asked.device == Device::Prefilled {
        let why =
            "Nothing is published here for this needle: its leaflet says whether a fold is lifted.";
        (Fold::Unknown, why.to_owned(), &rules.longer)
    } else if asked.needle >= book.move_off.value {
        let why = format!(
            "A {} needle reaches muscle often when no fold is lifted.",
            asked.needle
        );
        (Fold::Advised, why, &rules.from_move_off)
    } else if asked.needle > book.first_choice_pen.value {
        let why = format!(
            "A needle longer than {} goes into a lifted fold.",
            book.first_choice_pen.value
        );
        (Fold::Advised, why, &rules.longer)
    } else if adult.is_none() {
        let why = format!(
            "The age is not known: always at {} years or under, and in adults with a body mass index under {}.",
            child.value, bmi.value
        );
        (Fold::Unknown, why, &child.source)
    } else if adult == Some(true) && under.is_none() {
        let why = format!(
            "Height or weight is not known: always in adults with a body mass index under {}.",
            bmi.value
        );
        (Fold::Unknown, why, &bmi.source)
    } else {
        let why = format!("A {} needle goes straight in without one.", asked.needle);
        (Fold::NotNeeded, why, &rules.not_needed)
    };
    FoldAdvice {
        value,
        why,
        source: source.clone(),
    }
}
