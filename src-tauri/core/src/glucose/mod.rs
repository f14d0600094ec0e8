//! A glucose value as a meter shows it: exact in the unit it was measured in, converted in one place, rounded only to
//! be shown, and questioned where its number fits the other unit better.
//!
//! Limits and what a value means against them are in [`Limits`] and [`judge`], ketones in [`Ketones`]. Not here: what
//! to do about a low value ([`crate::low_glucose`]), and any dose: nothing here computes, suggests or withholds one.

mod ketones;
mod limits;

pub use ketones::{KetoneReading, KetoneStanding, Ketones, judge_ketones};
pub use limits::{Judged, Limit, LimitError, Limits, SetBy, Standing, judge};

use std::cmp::Ordering;
use std::fmt;

/// One mmol/L of glucose in ten-thousandths of a mg/dL: 18.0156 mg/dL.
///
/// # Source
/// Computed: C6H12O6 is 180.156 g/mol, from the atomic weights C 12.011, H 1.008, O 15.999 (IUPAC abridged standard
/// atomic weights; from memory). 18, 18.02 and 18.0182 are in circulation too; this is the only factor here.
const PER_MMOL: i64 = 180_156;

/// The widest number a meter's display has room for, in tenths: 999.9.
const MOST_TENTHS: i64 = 9_999;

/// What most meters stop at, in tenths of a mmol/L and in whole mg/dL.
///
/// # Source
/// Manual of a glucose meter, measurement range: 0.6 to 33.3 mmol/L, 10 to 600 mg/dL. Ranges differ by meter (another
/// manual: 1.1 to 50 mmol/L, 20 to 900 mg/dL), so a number beyond them is questioned and not refused.
const METER_TENTHS_MMOL: (i64, i64) = (6, 333);
/// See [`METER_TENTHS_MMOL`].
const METER_MG: (i64, i64) = (10, 600);

/// What a glucose value is counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum GlucoseUnit {
    /// Millimoles a litre; one decimal.
    MmolPerLitre,
    /// Milligrams a decilitre; whole numbers.
    MgPerDecilitre,
}

impl GlucoseUnit {
    /// Both units.
    pub const ALL: [Self; 2] = [Self::MmolPerLitre, Self::MgPerDecilitre];

    /// The word used in files, at the door and on screen; the same as the UCUM code.
    pub fn code(self) -> &'static str {
        match self {
            Self::MmolPerLitre => "mmol/L",
            Self::MgPerDecilitre => "mg/dL",
        }
    }

    /// The UCUM code: `mmol/L` or `mg/dL`.
    pub fn ucum(self) -> &'static str {
        self.code()
    }

    /// LOINC for glucose in capillary blood by glucometer, in this unit.
    ///
    /// # Source
    /// LOINC 2.82 as listed in gematik/spec-HDDT, `VS_HddtMivBloodGlucoseMeasurement`.
    pub fn meter_loinc(self) -> &'static str {
        match self {
            Self::MmolPerLitre => "14743-9",
            Self::MgPerDecilitre => "41653-7",
        }
    }

    /// Reads [`GlucoseUnit::code`] back.
    ///
    /// # Errors
    /// [`GlucoseError::UnknownUnit`] for anything else.
    pub fn from_code(text: &str) -> Result<Self, GlucoseError> {
        Self::ALL
            .into_iter()
            .find(|unit| unit.code() == text)
            .ok_or_else(|| GlucoseError::UnknownUnit {
                text: text.to_owned(),
            })
    }

    /// The unit that is not this one.
    #[must_use]
    pub fn other(self) -> Self {
        match self {
            Self::MmolPerLitre => Self::MgPerDecilitre,
            Self::MgPerDecilitre => Self::MmolPerLitre,
        }
    }

    /// Decimals a meter shows: 1 for mmol/L, 0 for mg/dL.
    pub fn decimals(self) -> usize {
        match self {
            Self::MmolPerLitre => 1,
            Self::MgPerDecilitre => 0,
        }
    }

    /// One of this unit in hundred-thousandths of a mg/dL.
    fn exact(self) -> i64 {
        match self {
            Self::MmolPerLitre => PER_MMOL * 10,
            Self::MgPerDecilitre => 100_000,
        }
    }
}

/// Why a glucose value was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum GlucoseError {
    /// Not a plain decimal, or with more decimals than a meter shows in that unit.
    #[error("write the glucose as the meter shows it: {how}; \"{text}\" was given")]
    BadDecimal {
        /// What was written.
        text: String,
        /// How it is written in that unit.
        how: &'static str,
    },
    /// Zero, or more than a meter's display has room for.
    #[error("a glucose is from {low} to {high} {unit}; \"{text}\" was given")]
    OutOfRange {
        /// What was written.
        text: String,
        /// The least.
        low: &'static str,
        /// The most.
        high: &'static str,
        /// The unit of both.
        unit: &'static str,
    },
    /// A unit this program does not know.
    #[error("the unit \"{text}\" is not known; use mmol/L or mg/dL")]
    UnknownUnit {
        /// What was written.
        text: String,
    },
}

/// A number on a meter: whole tenths of the unit it was measured in, 0.1 to 999.9 mmol/L or 1 to 999 mg/dL.
///
/// That is what a display has room for, and wider than any meter measures, so that a number under the wrong unit can
/// be held and asked about ([`Glucose::question`]) instead of changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Glucose {
    tenths: i64,
    unit: GlucoseUnit,
}

impl Glucose {
    /// From tenths of the unit: `1..=9999` for mmol/L, `10..=9990` in whole tens for mg/dL.
    ///
    /// # Errors
    /// [`GlucoseError::OutOfRange`] outside that, [`GlucoseError::BadDecimal`] for a mg/dL with a decimal.
    pub fn from_tenths(tenths: i64, unit: GlucoseUnit) -> Result<Self, GlucoseError> {
        let written = || format!("{}.{}", tenths / 10, (tenths % 10).abs());
        let (low, high) = match unit {
            GlucoseUnit::MmolPerLitre => ("0.1", "999.9"),
            GlucoseUnit::MgPerDecilitre => ("1", "999"),
        };
        if !(1..=MOST_TENTHS).contains(&tenths) {
            return Err(GlucoseError::OutOfRange {
                text: written(),
                low,
                high,
                unit: unit.code(),
            });
        }
        if unit == GlucoseUnit::MgPerDecilitre && tenths % 10 != 0 {
            return Err(bad_decimal(&written(), unit));
        }
        Ok(Self { tenths, unit })
    }

    /// Reads what a meter shows: digits, for mmol/L at most one decimal after a point, for mg/dL none. No sign, no
    /// comma, no unit, nothing before or after.
    ///
    /// # Errors
    /// [`GlucoseError::BadDecimal`] for other spellings, [`GlucoseError::OutOfRange`] for zero or too much.
    pub fn parse(text: &str, unit: GlucoseUnit) -> Result<Self, GlucoseError> {
        let tenths = tenths(text, unit.decimals()).ok_or_else(|| bad_decimal(text, unit))?;
        Self::from_tenths(tenths, unit).map_err(|error| match error {
            GlucoseError::OutOfRange {
                low, high, unit, ..
            } => GlucoseError::OutOfRange {
                text: text.to_owned(),
                low,
                high,
                unit,
            },
            other => other,
        })
    }

    /// Tenths of the unit it was measured in.
    pub fn tenths(self) -> i64 {
        self.tenths
    }

    /// The unit it was measured in.
    pub fn unit(self) -> GlucoseUnit {
        self.unit
    }

    /// The number as a meter shows it, for programs: `5.0`, `72`.
    pub fn value(self) -> String {
        self.rounded(self.unit, self.unit.decimals())
    }

    /// The value in `unit`, not rounded. The only conversion there is.
    ///
    /// # Units
    /// mmol/L is mg/dL divided by 18.0156.
    pub fn in_unit(self, unit: GlucoseUnit) -> f64 {
        self.exact() as f64 / unit.exact() as f64
    }

    /// The value in `unit` to as many decimals as a meter shows there, half up, with the unit: `99 mg/dL`.
    pub fn shown_in(self, unit: GlucoseUnit) -> String {
        format!("{} {}", self.rounded(unit, unit.decimals()), unit.code())
    }

    /// As measured, and what that is in the other unit: `5.5 mmol/L (99 mg/dL)`.
    pub fn in_both(self) -> String {
        format!("{self} ({})", self.shown_in(self.unit.other()))
    }

    /// Which of two values is greater, exactly, whatever their units.
    pub fn compare(self, other: Self) -> Ordering {
        self.exact().cmp(&other.exact())
    }

    /// Whether the number fits its unit badly, as a question for whoever wrote it. Nothing is changed.
    ///
    /// # How
    /// A whole number of mmol/L above what most meters show is an ordinary number of mg/dL; a number of mg/dL that a
    /// meter in mmol/L can show is an ordinary number of mmol/L. Anything else beyond most meters is asked about too.
    /// # Source
    /// The ranges: manual of a glucose meter, 0.6 to 33.3 mmol/L and 10 to 600 mg/dL. That such a number is asked
    /// about is common practice, no source.
    pub fn question(self) -> Option<Question> {
        let (low, high) = METER_TENTHS_MMOL;
        let doubt = match self.unit {
            GlucoseUnit::MmolPerLitre if self.tenths > high && self.tenths % 10 == 0 => {
                Doubt::OtherUnit
            }
            GlucoseUnit::MmolPerLitre if self.tenths > high || self.tenths < low => {
                Doubt::BeyondMeters
            }
            GlucoseUnit::MgPerDecilitre if self.tenths <= high => Doubt::OtherUnit,
            GlucoseUnit::MgPerDecilitre if self.tenths > METER_MG.1 * 10 => Doubt::BeyondMeters,
            _ => return None,
        };
        let words = match doubt {
            Doubt::OtherUnit => format!(
                "{self} looks like {} {}: look at the meter again, which unit does it show? If it really is {self}, \
                 act on it now.",
                self.same_number(),
                self.unit.other().code()
            ),
            Doubt::BeyondMeters => format!(
                "{self} is beyond what most meters show ({}): look at the meter again. If it really is {self}, act \
                 on it now.",
                match self.unit {
                    GlucoseUnit::MmolPerLitre => "0.6 to 33.3 mmol/L".to_owned(),
                    GlucoseUnit::MgPerDecilitre =>
                        format!("{} to {} mg/dL", METER_MG.0, METER_MG.1),
                }
            ),
        };
        Some(Question { doubt, words })
    }

    /// The number as a meter in the other unit would show it, for a question about the unit.
    fn same_number(self) -> String {
        match self.unit {
            GlucoseUnit::MmolPerLitre => (self.tenths / 10).to_string(),
            GlucoseUnit::MgPerDecilitre => format!("{}.0", self.tenths / 10),
        }
    }

    /// Hundred-thousandths of a mg/dL; every value of either unit is a whole number of them.
    fn exact(self) -> i64 {
        self.tenths * (self.unit.exact() / 10)
    }

    /// The number in `unit`, half up to `places`.
    fn rounded(self, unit: GlucoseUnit, places: usize) -> String {
        let shift = 10_i64.pow(u32::try_from(places).expect("a handful of decimals"));
        let (scaled, one) = (self.exact() * shift, unit.exact());
        let whole = (2 * scaled + one) / (2 * one);
        if places == 0 {
            return whole.to_string();
        }
        format!("{}.{:0places$}", whole / shift, whole % shift)
    }
}

impl fmt::Display for Glucose {
    /// As measured: `5.0 mmol/L`, `72 mg/dL`. The zero after the point stays, because a meter shows it; the rule
    /// against trailing zeros is about doses and has this exception (from memory).
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.value(), self.unit.code())
    }
}

/// Why a value is asked about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Doubt {
    /// The number is an ordinary one in the other unit.
    OtherUnit,
    /// The number is beyond what most meters show.
    BeyondMeters,
}

impl Doubt {
    /// `other_unit` or `beyond_meters`.
    pub fn code(self) -> &'static str {
        match self {
            Self::OtherUnit => "other_unit",
            Self::BeyondMeters => "beyond_meters",
        }
    }
}

/// A question about a value: to be answered by a person, never by changing the value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Question {
    /// Why it is asked.
    pub doubt: Doubt,
    /// The question in words.
    pub words: String,
}

/// What a meter showed: a number, or the word it shows instead of one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reading {
    /// A number.
    Value(Glucose),
    /// `LO`: below the meter's own range, whatever that is.
    BelowMeter,
    /// `HI`: above the meter's own range, whatever that is.
    AboveMeter,
}

impl Reading {
    /// Reads a number as [`Glucose::parse`] does, or the words `LO` and `HI` in any case.
    ///
    /// # Errors
    /// Those of [`Glucose::parse`].
    pub fn parse(text: &str, unit: GlucoseUnit) -> Result<Self, GlucoseError> {
        match text.to_ascii_uppercase().as_str() {
            "LO" => Ok(Self::BelowMeter),
            "HI" => Ok(Self::AboveMeter),
            _ => Glucose::parse(text, unit).map(Self::Value),
        }
    }

    /// For programs: the number, `LO` or `HI`.
    pub fn value(self) -> String {
        match self {
            Self::Value(glucose) => glucose.value(),
            Self::BelowMeter => "LO".to_owned(),
            Self::AboveMeter => "HI".to_owned(),
        }
    }

    /// The number, where there is one.
    pub fn glucose(self) -> Option<Glucose> {
        match self {
            Self::Value(glucose) => Some(glucose),
            Self::BelowMeter | Self::AboveMeter => None,
        }
    }

    /// The question about the number, where there is one.
    pub fn question(self) -> Option<Question> {
        self.glucose().and_then(Glucose::question)
    }
}

impl fmt::Display for Reading {
    /// `5.0 mmol/L`, `LO (below the meter's range)` or `HI (above the meter's range)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Value(glucose) => glucose.fmt(f),
            Self::BelowMeter => f.write_str("LO (below the meter's range)"),
            Self::AboveMeter => f.write_str("HI (above the meter's range)"),
        }
    }
}

/// Tenths of a plain decimal with at most `decimals` (0 or 1) after the point; `None` for any other spelling.
/// A number too long for the type is the largest one, which every range refuses.
fn tenths(text: &str, decimals: usize) -> Option<i64> {
    let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
    let (whole, fraction) = match text.split_once('.') {
        Some((whole, fraction)) if decimals == 1 && fraction.len() == 1 => (whole, fraction),
        Some(_) => return None,
        None => (text, "0"),
    };
    if !digits(whole) || !digits(fraction) {
        return None;
    }
    Some(format!("{whole}{fraction}").parse().unwrap_or(i64::MAX))
}

fn bad_decimal(text: &str, unit: GlucoseUnit) -> GlucoseError {
    GlucoseError::BadDecimal {
        text: text.to_owned(),
        how: match unit {
            GlucoseUnit::MmolPerLitre => "for mmol/L a plain number with at most one decimal",
            GlucoseUnit::MgPerDecilitre => "for mg/dL a whole number",
        },
    }
}

#[cfg(test)]
mod tests;
