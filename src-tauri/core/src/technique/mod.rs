//! How to put the needle in: length, angle, lifted fold, and the steps in the order the work is done.
//!
//! Advice with its sources (`data/technique.toml`); an age or a body mass index that is not known is said, never assumed.
//! The published values are for insulin, and that is said for another medicine; a medicine's own leaflet, local policy
//! and licensed practice come first. Not here: where on the body ([`crate::rules`]) and how much ([`crate::dose_volume`]).

mod advice;
mod book;
mod fold;
mod needle;

pub use crate::cited::DataError;
pub use advice::{Advice, Asked, Caution, CautionCode, Fold, FoldAdvice, Step, Unknown, advise};
pub use book::{MedicineFacts, TechniqueBook, Tissue};
pub use needle::{Angle, Device, NeedleLength};

use crate::units::UnitError;

/// Why no advice is given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TechniqueError {
    /// A needle no one injects under the skin with.
    #[error(
        "a needle for under the skin is 3 to 40 mm long; {tenths_of_mm} tenths of a millimetre were given: read the length on its packet"
    )]
    NeedleLength {
        /// What was given.
        tenths_of_mm: u16,
    },
    /// An age no one has.
    #[error("an age is 0 to 130 years; {years} were given: check the date of birth")]
    Age {
        /// What was given.
        years: u16,
    },
    /// A height or a weight outside its range.
    #[error("{0}: measure again, or leave it out")]
    Measure(#[from] UnitError),
}

#[cfg(test)]
mod laws;
#[cfg(test)]
mod tests;
