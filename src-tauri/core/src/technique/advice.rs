//! What is asked about one injection and what is advised.
//!
//! Not here: whether to lift a fold ([`super::fold`]) and the values themselves ([`super::book`]).

use super::TechniqueError;
use super::book::{BookStep, MedicineFacts, TechniqueBook, Tissue, When};
use super::fold;
use super::needle::{Angle, Device, NeedleLength};
use crate::cited::COMMON_PRACTICE;
use crate::medicines::{Medicine, Sourced};
use crate::site::Zone;

/// What is asked. What was not measured or asked is `None`, and that is said.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// The needle's length.
    pub needle: NeedleLength,
    /// What it sits on.
    pub device: Device,
    /// The medicine.
    pub medicine: &'a Medicine,
    /// Where it goes.
    pub zone: Zone,
    /// Age in completed years, 0 to 130.
    pub age_years: Option<u16>,
    /// Height in centimetres, 50 to 250.
    pub height_cm: Option<f64>,
    /// Weight in kilograms, 1 to 400.
    pub weight_kg: Option<f64>,
    /// Whether the person is known to be in late pregnancy.
    pub late_pregnancy: bool,
}

/// Whether to lift a fold of skin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Fold {
    /// Always.
    Always,
    /// Advised.
    Advised,
    /// Not needed.
    NotNeeded,
    /// Not known; the reason says what is missing.
    Unknown,
}

impl Fold {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Always => "always lift a fold",
            Self::Advised => "lift a fold",
            Self::NotNeeded => "no fold needed",
            Self::Unknown => "not known whether to lift a fold",
        }
    }
}

/// Whether to lift a fold, why and who says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoldAdvice {
    /// Whether.
    pub value: Fold,
    /// Why, in one sentence.
    pub why: String,
    /// Who says so.
    pub source: String,
}

/// What was not known when the advice was made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Unknown {
    /// The age.
    Age,
    /// The body mass index: height or weight.
    BodyMassIndex,
    /// Whether the medicine is cloudy.
    Cloudy,
    /// How often this needle reaches muscle here.
    MuscleRisk,
}

impl Unknown {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Age => "The person's age is not known.",
            Self::BodyMassIndex => {
                "Height or weight is not known, so neither is the body mass index."
            }
            Self::Cloudy => "It is not recorded whether this medicine is cloudy.",
            Self::MuscleRisk => {
                "No figure is known here for how often this needle reaches muscle in this place."
            }
        }
    }
}

/// What a caution is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CautionCode {
    /// So long that it is for nobody.
    ForNobody,
    /// So long that people are to be moved to a shorter one.
    MoveOff,
    /// Longer than the first choice.
    NotFirstChoice,
    /// A needle that comes with its syringe.
    PrefilledNeedle,
    /// How often it reaches muscle.
    MuscleRisk,
    /// A fold of the upper arm takes two hands.
    ArmNeedsHelper,
    /// The abdomen in late pregnancy.
    LatePregnancy,
    /// A child or young person, for whom no body mass index is published.
    YoungPerson,
    /// The published values are for insulin.
    PublishedForInsulin,
}

/// What must be said beside the advice.
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

/// One step of the work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// The word used in files and at the door.
    pub id: String,
    /// What to do, to the one who does it.
    pub words: String,
    /// Who says so.
    pub source: String,
}

/// What is advised.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// The angle.
    pub angle: Sourced<Angle>,
    /// How deep the tip comes below flat skin at that angle, in millimetres; `None` where the angle is the leaflet's.
    pub depth_mm: Option<f64>,
    /// Mean thickness of skin and fat at the zone, in adults with diabetes. Lean people have less.
    pub tissue: Sourced<Tissue>,
    /// The published share of injections into muscle in percent, at 90 degrees without a fold.
    pub muscle_risk_percent: Option<Sourced<f64>>,
    /// Whether to lift a fold.
    pub fold: FoldAdvice,
    /// How far to count before a pen comes out; `None` for a syringe, where no figure is published here.
    pub count: Option<Sourced<u8>>,
    /// What must be said with it, the loud ones first.
    pub cautions: Vec<Caution>,
    /// What was not known.
    pub unknown: Vec<Unknown>,
    /// The steps, in the order the work is done.
    pub steps: Vec<Step>,
}

/// Angle, fold and steps for one injection.
///
/// # Units
/// Millimetres, completed years, centimetres and kilograms.
/// # Errors
/// [`TechniqueError`] for an age, height or weight nobody has.
/// # Source
/// Hirsch & Strauss 2019, Frid, Hirsch & Strauss 2018, Hirsch 2014, Gibney 2010, Gradel 2018, each beside its value in
/// `data/technique.toml`.
pub fn advise(asked: &Asked<'_>, book: &TechniqueBook) -> Result<Advice, TechniqueError> {
    if let Some(years) = asked.age_years.filter(|years| *years > 130) {
        return Err(TechniqueError::Age { years });
    }
    let (fold, mut unknown) = fold::fold(asked, book)?;
    let angle = match asked.device {
        Device::PenNeedle | Device::SyringeNeedle => book.angle(asked.needle).clone(),
        Device::Prefilled => Sourced {
            value: Angle::AsLeaflet,
            source: COMMON_PRACTICE.to_owned(),
        },
    };
    let facts = book.medicine(&asked.medicine.id);
    let risk = book.muscle_risk(asked.needle, asked.zone);
    // A prefilled syringe is not mixed, so whether it is cloudy is no question.
    if facts.cloudy.is_none() && asked.device != Device::Prefilled {
        unknown.push(Unknown::Cloudy);
    }
    if risk.is_none() {
        unknown.push(Unknown::MuscleRisk);
    }
    let mut cautions = cautions(asked, book, &fold, risk);
    cautions.sort_by_key(|c| !c.loud);
    let steps = book.steps.iter();
    let steps = steps.filter(|s| s.on.contains(&asked.device));
    let steps = steps.filter(|s| applies(s, asked, angle.value, fold.value, &facts));
    Ok(Advice {
        depth_mm: asked.needle.depth_mm(angle.value),
        tissue: book.tissue(asked.zone).clone(),
        muscle_risk_percent: risk.cloned(),
        count: (asked.device == Device::PenNeedle).then(|| book.pen_count.clone()),
        steps: steps.map(step).collect(),
        angle,
        fold,
        cautions,
        unknown,
    })
}

fn step(step: &BookStep) -> Step {
    Step {
        id: step.id.clone(),
        words: step.words.clone(),
        source: step.source.clone(),
    }
}

/// Whether a step's condition holds.
fn applies(
    step: &BookStep,
    asked: &Asked<'_>,
    angle: Angle,
    fold: Fold,
    facts: &MedicineFacts,
) -> bool {
    let is = |fact: &Option<Sourced<bool>>| fact.as_ref().map(|f| f.value);
    match step.when {
        When::Always => true,
        When::Cloudy => is(&facts.cloudy) == Some(true),
        When::CloudyUnknown => is(&facts.cloudy).is_none(),
        When::Fold => matches!(fold, Fold::Always | Fold::Advised),
        When::FoldUnknown => fold == Fold::Unknown,
        When::Straight => angle == Angle::Straight,
        When::Slanting => angle == Angle::Slanting,
        When::AsLeaflet => angle == Angle::AsLeaflet,
        When::KeepBubble => is(&facts.keep_air_bubble) == Some(true),
        When::BubbleUnknown => {
            asked.device == Device::Prefilled && is(&facts.keep_air_bubble).is_none()
        }
        When::DoNotRub => is(&facts.do_not_rub) == Some(true),
    }
}

fn cautions(
    asked: &Asked<'_>,
    book: &TechniqueBook,
    fold: &FoldAdvice,
    risk: Option<&Sourced<f64>>,
) -> Vec<Caution> {
    use CautionCode as Code;
    let mut said: Vec<Caution> = length(asked, book).into_iter().collect();
    let mut say = |code, words: String, source: &str| {
        said.push(Caution {
            code,
            loud: false,
            words,
            source: source.to_owned(),
        });
    };
    if let Some(percent) = risk {
        let words = format!(
            "At 90 degrees without a fold a {} needle came to lie in muscle in {} % of injections here.",
            asked.needle, percent.value
        );
        say(Code::MuscleRisk, words, &percent.source);
    }
    let lifted = matches!(fold.value, Fold::Always | Fold::Advised);
    if lifted && matches!(asked.zone, Zone::LeftArm | Zone::RightArm) {
        let words = "Nobody can lift a fold of their own upper arm and inject into it: a helper gives it, or another place is used.";
        say(
            Code::ArmNeedsHelper,
            words.to_owned(),
            &book.fold.helper_for_arm,
        );
    }
    if asked.late_pregnancy && asked.zone == Zone::Abdomen {
        let words = "Late pregnancy: lift a fold and stay away from the navel. Some prefer another part of the body; ask the midwife or the clinic.";
        say(
            Code::LatePregnancy,
            words.to_owned(),
            &book.fold.late_pregnancy,
        );
    }
    let (child, adult) = (&book.fold.always_up_to_age, &book.fold.adult_from_age);
    if asked
        .age_years
        .is_some_and(|age| age > child.value && age < adult.value)
    {
        let words = format!(
            "Between {} and {} years no body mass index is published here: a lean young person may need a fold. Ask the clinic.",
            child.value + 1,
            adult.value - 1
        );
        say(Code::YoungPerson, words, COMMON_PRACTICE);
    }
    if asked.medicine.class != "insulin" {
        let words = "Lengths, angles and folds were published for insulin. The leaflet of this medicine comes first.";
        say(Code::PublishedForInsulin, words.to_owned(), COMMON_PRACTICE);
    }
    said
}

/// What is to be said of the needle's length.
fn length(asked: &Asked<'_>, book: &TechniqueBook) -> Option<Caution> {
    let needle = asked.needle;
    let (first, what) = match asked.device {
        Device::PenNeedle => (&book.first_choice_pen, "a pen needle"),
        Device::SyringeNeedle => (&book.first_choice_syringe, "a syringe needle"),
        Device::Prefilled => {
            return Some(Caution {
                code: CautionCode::PrefilledNeedle,
                loud: false,
                words: format!(
                    "The {needle} needle comes with the syringe: the leaflet says the angle and whether to lift a fold."
                ),
                source: COMMON_PRACTICE.to_owned(),
            });
        }
    };
    let choice = format!("The first choice is {} for {what}.", first.value);
    let (code, words, source) = if needle >= book.for_nobody.value {
        let words = format!("A {needle} needle is for nobody: do not use it for insulin. {choice}");
        (CautionCode::ForNobody, words, &book.for_nobody.source)
    } else if needle >= book.move_off.value {
        let words = format!(
            "People are to be moved from {} and longer to a shorter needle. {choice} Ask the prescriber or the clinic before changing.",
            book.move_off.value
        );
        (CautionCode::MoveOff, words, &book.move_off.source)
    } else if needle > first.value {
        (CautionCode::NotFirstChoice, choice, &first.source)
    } else {
        return None;
    };
    Some(Caution {
        code,
        loud: code != CautionCode::NotFirstChoice,
        words,
        source: source.clone(),
    })
}
