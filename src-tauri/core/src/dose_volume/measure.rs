//! The question and its answer: may this be measured, how much is it, where does it come to, what must be said with it.
//!
//! Not here: the arithmetic ([`super::strength`]), the lines ([`super::syringe`]), the sentences ([`super::words`]).

use super::exact::{self, Exact};
use super::strength::{Millilitres, Rounded, Strength};
use super::syringe::{Reading, Scale, Syringe, SyringeBook};
use super::{Container, DoseVolumeError, Kind, words};
use crate::medicines::Sourced;
use crate::units::{Dose, DoseUnit};

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// The dose as ordered.
    pub dose: Dose,
    /// Insulin or another medicine.
    pub kind: Kind,
    /// What it is in, with what its label says.
    pub container: Container,
    /// The syringe in hand; `None` where none was chosen yet, and then no line is told.
    pub syringe: Option<&'a Syringe>,
    /// The most for one place, as chosen among [`SyringeBook::site_limits`] or set by the practice with its source.
    pub site_limit: &'a Sourced<Millilitres>,
    /// Decimals of a millilitre to show, 0 to 6.
    pub decimals: u8,
}

/// What is told.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer<'a> {
    /// Draw up so much.
    Draw(Box<Draw<'a>>),
    /// Measure nothing, give all of it.
    GiveAll(GiveAll),
}

/// A dose as a volume.
#[derive(Debug, Clone, PartialEq)]
pub struct Draw<'a> {
    /// The dose as ordered.
    pub dose: Dose,
    /// The label's strength.
    pub strength: Strength,
    /// The exact volume.
    pub volume: Millilitres,
    /// The volume to be shown, half up.
    pub shown: Rounded,
    /// Where it comes to in the syringe in hand; `None` where none was chosen.
    pub reading: Option<Reading>,
    /// Known syringes made for it that have a line for it, the finest first.
    pub shown_by: Vec<&'a Syringe>,
    /// What must be said with it, the loud ones first.
    pub cautions: Vec<Caution>,
    /// In one sentence, the cautions not included.
    pub words: String,
}

/// A prefilled syringe, or a pen of one fixed dose.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GiveAll {
    /// The dose as ordered.
    pub dose: Dose,
    /// What is known of what it holds.
    pub prefill: Prefill,
    /// What to do.
    pub words: String,
}

/// What is known of what a prefilled syringe holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Prefill {
    /// Its label says the dose.
    IsTheDose,
    /// Nobody has read its label yet.
    NotRead,
    /// Its label counts in another unit than the order, and nothing here turns one into the other.
    OtherUnit,
}

/// What a caution is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CautionCode {
    /// Insulin of another strength than 100 units in each mL.
    StrengthNot100,
    /// Insulin of 500 units in each mL in a syringe made for 100.
    FiveUnitsAMark,
    /// The dose is more than the syringe holds.
    MoreThanItHolds,
    /// The volume is more than one place should take.
    OverSiteLimit,
    /// Order and label are a thousandfold apart in their units.
    MilligramsAndMicrograms,
    /// The dose falls between two lines.
    BetweenLines,
    /// The dose is below the smallest number given for the syringe.
    BelowLowest,
    /// The volume shown is not quite the dose.
    ShownIsRounded,
}

/// What must be said beside an answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// What it is about.
    pub code: CautionCode,
    /// Whether it must be impossible to overlook.
    pub loud: bool,
    /// In words.
    pub words: String,
    /// Who says so.
    pub source: String,
}

/// How much a dose is, and where it comes to in the syringe in hand.
///
/// # Units
/// The dose in its own unit, the volume in millilitres, exact; marks on the syringe's own scale.
/// # Errors
/// [`DoseVolumeError`] where it is not to be measured, or where order, label and syringe do not go together.
/// # Source
/// NPSA RRR013 and NHS/PSA/W/2016/011 (insulin syringes; pens and cartridges), Diabetes in Control 2019 (500 units in each
/// mL), US Army MD0904 (rounding), each with its citation in `data/syringes.toml`.
pub fn measure<'a>(
    question: &Question<'_>,
    book: &'a SyringeBook,
) -> Result<Answer<'a>, DoseVolumeError> {
    let dose = question.dose;
    let cite = || book.rules.pen.clone();
    match question.container {
        Container::Pen => Err(DoseVolumeError::Pen { dose, cite: cite() }),
        Container::Cartridge => Err(DoseVolumeError::Cartridge { dose, cite: cite() }),
        Container::Prefilled { holds } => prefilled(dose, holds).map(Answer::GiveAll),
        Container::Vial(strength) => {
            let draw = from_vial(question, strength, book)?;
            Ok(Answer::Draw(Box::new(draw)))
        }
    }
}

fn prefilled(dose: Dose, holds: Option<Dose>) -> Result<GiveAll, DoseVolumeError> {
    let prefill = match holds {
        None => Prefill::NotRead,
        Some(holds) => match same_amount(holds, dose) {
            None => Prefill::OtherUnit,
            Some(true) => Prefill::IsTheDose,
            Some(false) => return Err(DoseVolumeError::PrefilledIsNotTheDose { holds, dose }),
        },
    };
    Ok(GiveAll {
        dose,
        prefill,
        words: words::give_all(dose, holds, prefill),
    })
}

/// Whether two amounts are one; `None` where they are counted in units and in a mass.
fn same_amount(holds: Dose, dose: Dose) -> Option<bool> {
    let one = Strength::per_ml(holds);
    let volume = one.volume_of(dose).ok()?;
    Some(volume.fraction() == (1, 1))
}

fn from_vial<'a>(
    question: &Question<'_>,
    strength: Strength,
    book: &'a SyringeBook,
) -> Result<Draw<'a>, DoseVolumeError> {
    let Question { dose, kind, .. } = *question;
    if kind == Kind::Insulin && strength.unit() != DoseUnit::Units {
        let strength = strength.to_string();
        return Err(DoseVolumeError::InsulinNotInUnits { strength });
    }
    if let Some(syringe) = question.syringe {
        goes_with(syringe, kind, &strength, book)?;
    }
    let volume = strength.volume_of(dose)?;
    let mut draw = Draw {
        dose,
        strength,
        volume,
        shown: volume.rounded(question.decimals),
        reading: question.syringe.map(|s| s.reading(volume)),
        shown_by: book.shown_by(volume, kind, &strength),
        cautions: Vec::new(),
        words: String::new(),
    };
    draw.words = words::draw(&draw, question.syringe);
    draw.cautions = cautions(question, &draw, book)?;
    draw.cautions.sort_by_key(|c| !c.loud);
    Ok(draw)
}

/// Whether a syringe may hold it at all.
fn goes_with(
    syringe: &Syringe,
    kind: Kind,
    strength: &Strength,
    book: &SyringeBook,
) -> Result<(), DoseVolumeError> {
    let name = syringe.name.clone();
    match (kind, syringe.scale) {
        (Kind::Other, Scale::Millilitres) => Ok(()),
        (Kind::Other, Scale::InsulinUnits { .. }) => Err(DoseVolumeError::InsulinSyringe {
            syringe: name,
            cite: book.rules.insulin_scale_for_another.clone(),
        }),
        (Kind::Insulin, Scale::Millilitres) => Err(DoseVolumeError::NotAnInsulinSyringe {
            syringe: name,
            strength: strength.to_string(),
            cite: book.rules.insulin_syringe_only.clone(),
        }),
        (Kind::Insulin, Scale::InsulinUnits { .. }) => {
            if syringe.made_for(kind, strength) || five_units_a_mark(syringe, strength) {
                return Ok(());
            }
            Err(DoseVolumeError::SyringeForOtherStrength {
                syringe: name,
                strength: strength.to_string(),
            })
        }
    }
}

/// Insulin of 500 units in each mL in a syringe made for 100: the one mismatch with a published reading.
fn five_units_a_mark(syringe: &Syringe, strength: &Strength) -> bool {
    syringe.scale == Scale::InsulinUnits { per_ml: 100 } && strength.is_per_ml(500)
}

fn cautions(
    question: &Question<'_>,
    draw: &Draw<'_>,
    book: &SyringeBook,
) -> Result<Vec<Caution>, DoseVolumeError> {
    use CautionCode as Code;
    let mut said = Vec::new();
    let mut say = |code, loud, words: String, source: &str| {
        said.push(Caution {
            code,
            loud,
            words,
            source: source.to_owned(),
        });
    };
    let rules = &book.rules;
    let (strength, limit) = (&draw.strength, question.site_limit);
    if question.kind == Kind::Insulin && !strength.is_per_ml(100) {
        let times = strength.per_ml_exact() / Exact::from_integer(100);
        let words = words::strength_not_100(strength, &exact::text(times));
        say(Code::StrengthNot100, true, words, &rules.strength_checked);
    }
    if let (Some(syringe), Some(reading)) = (question.syringe, draw.reading) {
        if question.kind == Kind::Insulin && five_units_a_mark(syringe, strength) {
            let words = words::five_units_a_mark(draw.dose, reading);
            say(
                Code::FiveUnitsAMark,
                true,
                words,
                &rules.concentrated_in_u100,
            );
        }
        match reading {
            Reading::OnLine { .. } => {}
            Reading::TooMuch { holds } => {
                let words = words::more_than_it_holds(draw, syringe, holds);
                say(Code::MoreThanItHolds, true, words, &syringe.holds_source);
            }
            Reading::Between { below, above, .. } => {
                let words = words::between_lines(draw, below, above);
                say(Code::BetweenLines, false, words, &syringe.line_source);
            }
        }
        if let Some(lowest) = &syringe.lowest
            && syringe.is_below_lowest(draw.volume)
        {
            let words = words::below_lowest(draw.dose, syringe, lowest.value);
            say(Code::BelowLowest, false, words, &lowest.source);
        }
    }
    if draw.volume > limit.value {
        let source = format!("{}; {}", limit.source, rules.dividing);
        let words = words::over_site_limit(draw.volume, limit);
        say(Code::OverSiteLimit, true, words, &source);
    }
    if strength.unit() != draw.dose.unit() {
        let words = words::milligrams_and_micrograms(draw.dose, strength);
        let source = &rules.mg_and_micrograms;
        say(Code::MilligramsAndMicrograms, true, words, source);
    }
    if !draw.shown.is_exact() {
        let held = strength.held_in(draw.shown.value(), draw.dose.unit())?;
        let words = words::shown_is_rounded(draw, &exact::text(held));
        say(
            Code::ShownIsRounded,
            false,
            words,
            "computed from the label",
        );
    }
    Ok(said)
}
