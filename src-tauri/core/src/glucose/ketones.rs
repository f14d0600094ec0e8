//! Ketones in blood by test strip, in mmol/L, and what a value means.
//!
//! Not here: when they are checked ([`super::Limits::ketones`]), or ketones in urine.

use std::fmt;

use super::{GlucoseError, tenths};

/// Normal below this, in tenths of a mmol/L.
const NORMAL_BELOW: u16 = 6;
/// An emergency above this, in tenths of a mmol/L.
const EMERGENCY_ABOVE: u16 = 30;
/// The most that is stored, in tenths: what a display of three digits has room for.
const MOST: u16 = 999;

const SOURCE: &str = "consensus in Diabetes Care, 2019";

/// A ketones value: whole tenths of a mmol/L, 0.0 to 99.9.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Ketones {
    tenths: u16,
}

impl Ketones {
    /// The UCUM code of its unit, the only one there is.
    pub const UNIT: &'static str = "mmol/L";

    /// LOINC for beta-hydroxybutyrate in blood by test strip.
    ///
    /// # Source
    /// One hospital's catalogue page only; weak.
    pub const LOINC: &'static str = "66441-7";

    /// From tenths of a mmol/L, `0..=999`.
    ///
    /// # Errors
    /// [`GlucoseError::OutOfRange`] outside that.
    pub fn from_tenths(tenths: i64) -> Result<Self, GlucoseError> {
        u16::try_from(tenths)
            .ok()
            .filter(|tenths| *tenths <= MOST)
            .map(|tenths| Self { tenths })
            .ok_or_else(|| GlucoseError::OutOfRange {
                text: format!("{}.{}", tenths / 10, (tenths % 10).abs()),
                low: "0.0",
                high: "99.9",
                unit: Self::UNIT,
            })
    }

    /// Reads a plain number with at most one decimal after a point.
    ///
    /// # Errors
    /// [`GlucoseError::BadDecimal`] for other spellings, [`GlucoseError::OutOfRange`] for too much.
    pub fn parse(text: &str) -> Result<Self, GlucoseError> {
        let tenths = tenths(text, 1).ok_or_else(|| GlucoseError::BadDecimal {
            text: text.to_owned(),
            how: "ketones in mmol/L, a plain number with at most one decimal",
        })?;
        Self::from_tenths(tenths)
    }

    /// Tenths of a mmol/L.
    pub fn tenths(self) -> u16 {
        self.tenths
    }

    /// The number as a meter shows it, for programs: `0.6`.
    pub fn value(self) -> String {
        format!("{}.{}", self.tenths / 10, self.tenths % 10)
    }
}

impl fmt::Display for Ketones {
    /// `0.6 mmol/L`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.value(), Self::UNIT)
    }
}

/// What a ketone meter showed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum KetoneReading {
    /// A number.
    Value(Ketones),
    /// `HI`: above the meter's range.
    AboveMeter,
}

impl KetoneReading {
    /// Reads a number as [`Ketones::parse`] does, or the word `HI` in any case.
    ///
    /// # Errors
    /// Those of [`Ketones::parse`].
    pub fn parse(text: &str) -> Result<Self, GlucoseError> {
        if text.eq_ignore_ascii_case("HI") {
            return Ok(Self::AboveMeter);
        }
        Ketones::parse(text).map(Self::Value)
    }
}

impl fmt::Display for KetoneReading {
    /// `0.6 mmol/L` or `HI (above the meter's range)`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Value(ketones) => ketones.fmt(f),
            Self::AboveMeter => f.write_str("HI (above the meter's range)"),
        }
    }
}

/// What a ketones value means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum KetoneStanding {
    /// Under 0.6 mmol/L.
    Normal,
    /// 0.6 to 3.0 mmol/L.
    Raised,
    /// Over 3.0 mmol/L.
    Emergency,
}

impl KetoneStanding {
    /// The word used at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::Normal => "normal",
            Self::Raised => "raised",
            Self::Emergency => "emergency",
        }
    }
}

/// What a ketones value means, in a word and a sentence that names the limit and its source.
///
/// # Source
/// Under 0.6 normal, over 3.0 an emergency: consensus in Diabetes Care, 2019. That what lies between asks for advice as
/// local policy says is common practice, no source.
pub fn judge_ketones(reading: KetoneReading) -> (KetoneStanding, String) {
    let emergency = format!(
        "Ketones {reading}: over 3.0 mmol/L is an emergency ({SOURCE}). Call emergency services now."
    );
    match reading {
        KetoneReading::AboveMeter => (KetoneStanding::Emergency, emergency),
        KetoneReading::Value(k) if k.tenths > EMERGENCY_ABOVE => {
            (KetoneStanding::Emergency, emergency)
        }
        KetoneReading::Value(k) if k.tenths < NORMAL_BELOW => (
            KetoneStanding::Normal,
            format!("Ketones {reading}: under 0.6 mmol/L is normal ({SOURCE})."),
        ),
        KetoneReading::Value(_) => (
            KetoneStanding::Raised,
            format!(
                "Ketones {reading}: raised, not under 0.6 and not over 3.0 mmol/L ({SOURCE}). Ask for advice now, as \
                 local policy says."
            ),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ketones_are_normal_under_0_6_and_an_emergency_over_3() {
        // Consensus in Diabetes Care, 2019: under 0.6 normal, over 3.0 emergency. Both limits belong to the middle.
        for (text, want) in [
            ("0", KetoneStanding::Normal),
            ("0.5", KetoneStanding::Normal),
            ("0.6", KetoneStanding::Raised),
            ("3.0", KetoneStanding::Raised),
            ("3.1", KetoneStanding::Emergency),
            ("hi", KetoneStanding::Emergency),
        ] {
            let (standing, words) = judge_ketones(KetoneReading::parse(text).unwrap());
            assert_eq!(standing, want, "{text}");
            assert!(words.contains("Diabetes Care, 2019"), "{words}");
        }
    }

    #[test]
    fn other_spellings_are_refused() {
        for text in ["", ".5", "0.65", "0,6", "-0.1", "LO", "0.6 mmol/L", "100"] {
            assert!(KetoneReading::parse(text).is_err(), "{text:?} was accepted");
        }
        assert_eq!(Ketones::parse("3").unwrap().to_string(), "3.0 mmol/L");
    }
}
