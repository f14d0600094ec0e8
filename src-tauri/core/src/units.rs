//! Quantities with a unit: each is a type whose constructor holds its range.
//!
//! Not here: conversion between units and millilitres, and any arithmetic that would yield a dose.

use std::fmt;

/// A value that is outside the range its type allows.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum UnitError {
    /// The number is NaN or infinite.
    #[error("{what} must be a number")]
    NotANumber {
        /// The quantity that was being made, in words.
        what: &'static str,
    },
    /// The number is finite and outside the range.
    #[error("{what} must be from {low} to {high} {unit}; {value} was given")]
    OutOfRange {
        /// The quantity that was being made, in words.
        what: &'static str,
        /// The value given.
        value: f64,
        /// Lowest allowed value.
        low: f64,
        /// Highest allowed value.
        high: f64,
        /// The unit of all three.
        unit: &'static str,
    },
    /// A dose that is not written as a plain decimal with at most three decimals.
    #[error(
        "write the dose as a plain number with at most three decimals, for example 12 or 0.5; \"{text}\" was given"
    )]
    BadDecimal {
        /// What was written.
        text: String,
    },
    /// A dose of zero or above the largest amount this program stores.
    #[error("a dose must be more than 0 and at most {high}; \"{text}\" was given")]
    DoseRange {
        /// What was written.
        text: String,
        /// The largest amount, in the dose's unit.
        high: i64,
    },
    /// A unit this program does not know.
    #[error("the unit \"{text}\" is not known; use one of: units, mg, micrograms")]
    UnknownUnit {
        /// What was written.
        text: String,
    },
}

/// Checks that a length in centimetres is finite and in `low..=high`.
///
/// # Errors
/// [`UnitError`] naming the quantity and its range.
pub fn centimetres(what: &'static str, value: f64, low: f64, high: f64) -> Result<f64, UnitError> {
    if !value.is_finite() {
        return Err(UnitError::NotANumber { what });
    }
    if value < low || value > high {
        return Err(UnitError::OutOfRange {
            what,
            value,
            low,
            high,
            unit: "cm",
        });
    }
    Ok(value)
}

/// Checks that a person's weight in kilograms is finite and from 1 to 400.
///
/// # Errors
/// [`UnitError`] naming the quantity and its range.
pub fn kilograms(what: &'static str, value: f64) -> Result<f64, UnitError> {
    let (low, high) = (1.0, 400.0);
    if !value.is_finite() {
        return Err(UnitError::NotANumber { what });
    }
    if value < low || value > high {
        return Err(UnitError::OutOfRange {
            what,
            value,
            low,
            high,
            unit: "kg",
        });
    }
    Ok(value)
}

/// What a dose is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum DoseUnit {
    /// International units of a biological medicine; always written `units` in full (NPSA RRR013, 2010).
    Units,
    /// Milligrams.
    Milligrams,
    /// Micrograms; never written with the letter mu, which reads as m.
    Micrograms,
}

impl DoseUnit {
    /// Every unit, in the order they are offered.
    pub const ALL: [Self; 3] = [Self::Units, Self::Milligrams, Self::Micrograms];

    /// The word used in files, at the door and on screen.
    pub fn code(self) -> &'static str {
        match self {
            Self::Units => "units",
            Self::Milligrams => "mg",
            Self::Micrograms => "micrograms",
        }
    }

    /// Reads [`DoseUnit::code`] back.
    ///
    /// # Errors
    /// [`UnitError::UnknownUnit`] for anything else, `U` and `IU` included.
    pub fn from_code(text: &str) -> Result<Self, UnitError> {
        Self::ALL
            .into_iter()
            .find(|u| u.code() == text)
            .ok_or_else(|| UnitError::UnknownUnit {
                text: text.to_owned(),
            })
    }
}

/// An amount of medicine: whole thousandths of its unit, so that sums are exact.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Dose {
    thousandths: i64,
    unit: DoseUnit,
}

impl Dose {
    /// The largest amount stored, in whole units of any kind.
    pub const MAX: i64 = 100_000;

    /// A dose from thousandths of its unit, `1..=100_000_000`.
    ///
    /// # Errors
    /// [`UnitError::DoseRange`] outside that.
    pub fn from_thousandths(thousandths: i64, unit: DoseUnit) -> Result<Self, UnitError> {
        if thousandths <= 0 || thousandths > Self::MAX * 1000 {
            return Err(UnitError::DoseRange {
                text: decimal(thousandths),
                high: Self::MAX,
            });
        }
        Ok(Self { thousandths, unit })
    }

    /// Reads a plain decimal such as `12`, `0.5` or `5.25`: digits, at most one point, at most three decimals.
    /// No sign, no exponent, no thousands separator, nothing before or after.
    ///
    /// # Errors
    /// [`UnitError::BadDecimal`] for other spellings, [`UnitError::DoseRange`] for zero or too much.
    pub fn parse(text: &str, unit: DoseUnit) -> Result<Self, UnitError> {
        let bad = || UnitError::BadDecimal {
            text: text.to_owned(),
        };
        let (whole, fraction) = text.split_once('.').unwrap_or((text, "0"));
        let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        if !digits(whole) || !digits(fraction) || fraction.len() > 3 {
            return Err(bad());
        }
        let range = || UnitError::DoseRange {
            text: text.to_owned(),
            high: Self::MAX,
        };
        let whole: i64 = whole.parse().map_err(|_| range())?;
        let fraction: i64 = format!("{fraction:0<3}").parse().map_err(|_| bad())?;
        let thousandths = whole
            .checked_mul(1000)
            .and_then(|w| w.checked_add(fraction))
            .ok_or_else(range)?;
        Self::from_thousandths(thousandths, unit).map_err(|_| range())
    }

    /// Thousandths of the unit.
    pub fn thousandths(self) -> i64 {
        self.thousandths
    }

    /// What it is counted in.
    pub fn unit(self) -> DoseUnit {
        self.unit
    }

    /// The amount for programs: no trailing zero, a leading zero, no separator (`5.25`, `1000`).
    pub fn value(self) -> String {
        decimal(self.thousandths)
    }
}

impl fmt::Display for Dose {
    /// The amount for people: `0.5 units`, `5 units`, `1,000 units`. Never a trailing zero, never `U` or `IU`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let value = self.value();
        let (whole, fraction) = value
            .split_once('.')
            .map_or((value.as_str(), None), |(w, d)| (w, Some(d)));
        let mut grouped = String::new();
        for (i, c) in whole.chars().enumerate() {
            if i > 0 && (whole.len() - i) % 3 == 0 {
                grouped.push(',');
            }
            grouped.push(c);
        }
        match fraction {
            Some(d) => write!(f, "{grouped}.{d} {}", self.unit.code()),
            None => write!(f, "{grouped} {}", self.unit.code()),
        }
    }
}

fn decimal(thousandths: i64) -> String {
    let (whole, rest) = (thousandths / 1000, (thousandths % 1000).abs());
    if rest == 0 {
        return whole.to_string();
    }
    format!("{whole}.{}", format!("{rest:03}").trim_end_matches('0'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doses_are_shown_without_trailing_zeros_and_with_units_in_full() {
        // Case S7; ISMP list of error-prone dose designations.
        for (text, screen, machine) in [
            ("0.5", "0.5 units", "0.5"),
            ("5", "5 units", "5"),
            ("5.0", "5 units", "5"),
            ("5.25", "5.25 units", "5.25"),
            ("100", "100 units", "100"),
            ("1000", "1,000 units", "1000"),
            ("12345.678", "12,345.678 units", "12345.678"),
        ] {
            let dose = Dose::parse(text, DoseUnit::Units).unwrap();
            assert_eq!(
                (dose.to_string().as_str(), dose.value().as_str()),
                (screen, machine)
            );
        }
    }

    #[test]
    fn ten_tenths_are_one() {
        let tenth = Dose::parse("0.1", DoseUnit::Units).unwrap();
        let sum = Dose::from_thousandths(tenth.thousandths() * 10, DoseUnit::Units).unwrap();
        assert_eq!(sum.to_string(), "1 units");
    }

    #[test]
    fn other_spellings_are_refused() {
        for text in [
            "",
            " ",
            ".5",
            "5.",
            "-1",
            "+1",
            "1e3",
            "1,5",
            "1.2345",
            concat!("12", "U"),
            "12 units",
            "NaN",
            "0",
            "0.000",
            "100000.001",
            "99999999999999999999",
        ] {
            assert!(
                Dose::parse(text, DoseUnit::Units).is_err(),
                "{text:?} was accepted"
            );
        }
        for text in ["U", "IU", "iu", "Units", "ml", ""] {
            assert!(DoseUnit::from_code(text).is_err(), "{text:?} was accepted");
        }
    }

    proptest::proptest! {
        #[test]
        fn a_dose_reads_back_as_it_was_written(thousandths in 1_i64..=100_000_000) {
            let dose = Dose::from_thousandths(thousandths, DoseUnit::Milligrams).unwrap();
            proptest::prop_assert_eq!(Dose::parse(&dose.value(), DoseUnit::Milligrams).unwrap(), dose);
        }
    }
}
