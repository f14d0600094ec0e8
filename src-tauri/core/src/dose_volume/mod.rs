//! Dose to volume: how many millilitres a dose is, and which line of the syringe in hand it comes to. Exact throughout.
//!
//! It turns a dose that was ordered into a volume and back; it makes no dose, divides none and rounds none to a line. It
//! refuses what is not to be measured: a pen, a cartridge, insulin in a syringe that is no insulin syringe. A refusal is
//! an answer about measuring; it keeps nobody from recording what was given. Local policy and licensed practice come first.
//! Not here: whether the dose is right ([`crate::due`], the prescriber), and where it goes ([`crate::rules`]).

mod exact;
mod measure;
mod strength;
mod syringe;
mod words;

pub use crate::cited::DataError;
pub use measure::{Answer, Caution, CautionCode, Draw, GiveAll, Prefill, Question, measure};
pub use strength::{Millilitres, Rounded, Strength};
pub use syringe::{Mark, Reading, Scale, Syringe, SyringeBook};

use crate::medicines::Medicine;
use crate::units::Dose;

/// What decides which syringe may hold it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Measured in insulin syringes only.
    Insulin,
    /// Measured in syringes marked in millilitres.
    Other,
}

impl Kind {
    /// The kind of a medicine of the book.
    pub fn of(medicine: &Medicine) -> Self {
        if medicine.class == "insulin" {
            Self::Insulin
        } else {
            Self::Other
        }
    }
}

/// What the medicine is in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Container {
    /// A vial or ampoule, to be drawn up from.
    Vial(Strength),
    /// A pen with a dose to set, whatever its strength.
    Pen,
    /// A cartridge for a pen.
    Cartridge,
    /// A prefilled syringe, or a pen that gives one fixed dose.
    Prefilled {
        /// What its label says it holds; `None` where nobody has read it yet, which is said.
        holds: Option<Dose>,
    },
}

/// Why no volume is told, and what to do instead.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum DoseVolumeError {
    /// A pen is set, not measured.
    #[error(
        "no volume for a pen: dial {dose} on the pen, whatever its strength; never draw from a pen or cartridge with a syringe ({cite})"
    )]
    Pen {
        /// The dose that was asked about.
        dose: Dose,
        /// Who says so.
        cite: String,
    },
    /// A cartridge is set on its pen.
    #[error(
        "no volume for a cartridge: put it in its own pen and dial {dose} there; never draw from a pen or cartridge with a syringe ({cite})"
    )]
    Cartridge {
        /// The dose that was asked about.
        dose: Dose,
        /// Who says so.
        cite: String,
    },
    /// Insulin in another syringe.
    #[error(
        "insulin is measured only with an insulin syringe or pen: put away the {syringe} and take an insulin syringe made for {strength} ({cite})"
    )]
    NotAnInsulinSyringe {
        /// The syringe in hand.
        syringe: String,
        /// The strength of the insulin.
        strength: String,
        /// Who says so.
        cite: String,
    },
    /// Another medicine in an insulin syringe.
    #[error(
        "the {syringe} is for insulin only: its numbers are units of insulin and nothing else; take a syringe marked in mL ({cite})"
    )]
    InsulinSyringe {
        /// The syringe in hand.
        syringe: String,
        /// Who says so.
        cite: String,
    },
    /// An insulin syringe made for another strength, with no published way to read it.
    #[error(
        "the {syringe} is made for another strength than {strength}: its numbers would mislead; take a syringe made for {strength}, or ask a pharmacist"
    )]
    SyringeForOtherStrength {
        /// The syringe in hand.
        syringe: String,
        /// The strength of the insulin.
        strength: String,
    },
    /// Insulin whose label is not in units.
    #[error("insulin is labelled in units; \"{strength}\" was entered: read the label again")]
    InsulinNotInUnits {
        /// What was entered.
        strength: String,
    },
    /// A prefilled syringe that holds another amount than the dose.
    #[error(
        "this syringe holds {holds} and the dose is {dose}: do not give it; find the one that holds the dose, or ask before giving"
    )]
    PrefilledIsNotTheDose {
        /// What the label says.
        holds: Dose,
        /// The dose that was ordered.
        dose: Dose,
    },
    /// Units against a mass.
    #[error(
        "the dose is in {unit} and the label says {strength}: nothing here turns one into the other; read order and label again, or ask a pharmacist"
    )]
    UnitsDiffer {
        /// The dose's unit.
        unit: &'static str,
        /// The label.
        strength: String,
    },
    /// A volume that holds no amount a dose can be.
    #[error("{volume} holds {amount} {unit}, which is not an amount that a dose is written in")]
    NotADose {
        /// The volume.
        volume: String,
        /// The exact amount in it.
        amount: String,
        /// Its unit.
        unit: &'static str,
    },
    /// No volume, or more than a litre.
    #[error(
        "a volume must be more than 0 and at most 1,000 mL; {thousandths} thousandths were given"
    )]
    VolumeRange {
        /// What was given.
        thousandths: i64,
    },
    /// Lines that do not come out even.
    #[error(
        "a syringe of {holds} cannot have lines of {line}: read the numbers on the barrel again"
    )]
    Lines {
        /// What it holds.
        holds: String,
        /// What lies between two lines.
        line: String,
    },
}

#[cfg(test)]
mod laws;
#[cfg(test)]
mod tests;
