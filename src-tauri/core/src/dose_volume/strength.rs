//! A strength as a label states it, and the way from a dose to a volume and back, exact.
//!
//! Not here: rounding for a syringe, and whether the dose may be measured at all ([`super::measure`]).

use std::fmt;

use super::DoseVolumeError;
use super::exact::{self, Exact};
use crate::units::{Dose, DoseUnit};

/// A volume above zero, exact: a quotient that no decimal ends on (`1/30 mL`) is kept as it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Millilitres(Exact);

impl Millilitres {
    /// The largest volume made from a number: a litre, past any container there is.
    pub const MAX_THOUSANDTHS: i64 = 1_000_000;

    /// A volume from thousandths of a millilitre, `1..=1_000_000`.
    ///
    /// # Errors
    /// [`DoseVolumeError::VolumeRange`] outside that.
    pub fn from_thousandths(thousandths: i64) -> Result<Self, DoseVolumeError> {
        if (1..=Self::MAX_THOUSANDTHS).contains(&thousandths) {
            Ok(Self(exact::thousandths(thousandths)))
        } else {
            Err(DoseVolumeError::VolumeRange { thousandths })
        }
    }

    /// Volumes of this module's own making are above zero.
    pub(super) fn from_exact(value: Exact) -> Self {
        Self(value)
    }

    pub(super) fn exact(self) -> Exact {
        self.0
    }

    /// Above and below the stroke of the reduced fraction of a millilitre, for programs: `(1, 8)` is 0.125 mL.
    pub fn fraction(self) -> (i128, i128) {
        (*self.0.numer(), *self.0.denom())
    }

    /// The volume to so many decimals of a millilitre, half up; more than 6 decimals count as 6.
    ///
    /// # Source
    /// Half up: US Army MD0904, Pharmacology Math for the Practical Nurse (0.125 mL is given as 0.13 mL).
    pub fn rounded(self, decimals: u8) -> Rounded {
        let decimals = u32::from(decimals.min(6));
        let scaled = self.0 * 10_i128.pow(decimals);
        // A volume is above zero, where "half away from zero" is half up.
        let count = scaled.round().to_integer();
        Rounded {
            count,
            decimals,
            exact: scaled.is_integer(),
        }
    }
}

impl fmt::Display for Millilitres {
    /// Exact: `0.125 mL`, `1/30 mL`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mL", exact::text(self.0))
    }
}

/// A volume rounded half up, to be shown; never to be calculated with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rounded {
    count: i128,
    decimals: u32,
    exact: bool,
}

impl Rounded {
    /// Whether nothing was lost.
    pub fn is_exact(self) -> bool {
        self.exact
    }

    /// The rounded number itself, to say how much it holds.
    pub(super) fn value(self) -> Exact {
        Exact::new(self.count, 10_i128.pow(self.decimals))
    }
}

impl fmt::Display for Rounded {
    /// `0.13 mL`; `less than 0.01 mL` where rounding left nothing.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.count == 0 {
            return write!(f, "less than {} mL", exact::decimal(1, self.decimals));
        }
        write!(f, "{} mL", exact::decimal(self.count, self.decimals))
    }
}

/// So much in so many millilitres, as the label says it.
#[derive(Debug, Clone, Copy)]
pub struct Strength {
    amount: Dose,
    volume: Millilitres,
}

/// Two labels are equal when they say the same: 50 mg in 0.5 mL and 100 mg/mL.
impl PartialEq for Strength {
    fn eq(&self, other: &Self) -> bool {
        self.amount.unit() == other.amount.unit() && self.per_ml_exact() == other.per_ml_exact()
    }
}

impl Strength {
    /// An amount in each millilitre: `100 units/mL`, `50 mg/mL`.
    pub fn per_ml(amount: Dose) -> Self {
        let volume = Millilitres(Exact::from_integer(1));
        Self { amount, volume }
    }

    /// An amount in a stated volume: `300 units in 0.5 mL`.
    pub fn labelled(amount: Dose, volume: Millilitres) -> Self {
        Self { amount, volume }
    }

    /// What the amount is counted in.
    pub fn unit(&self) -> DoseUnit {
        self.amount.unit()
    }

    /// Whether each millilitre holds exactly so many of its unit.
    pub fn is_per_ml(&self, whole: u16) -> bool {
        self.per_ml_exact() == Exact::from_integer(i128::from(whole))
    }

    /// Amount of its unit in each millilitre.
    pub(super) fn per_ml_exact(&self) -> Exact {
        exact::thousandths(self.amount.thousandths()) / self.volume.exact()
    }

    /// The volume that holds a dose, exact. Milligrams and micrograms are told apart by 1,000; units are converted to neither.
    ///
    /// # Errors
    /// [`DoseVolumeError::UnitsDiffer`] where one is in units and the other in a mass.
    ///
    /// # Examples
    /// 16 units at 100 units/mL is 0.16 mL; 10 units at 300 units/mL is 1/30 mL.
    pub fn volume_of(&self, dose: Dose) -> Result<Millilitres, DoseVolumeError> {
        let amount = exact::thousandths(dose.thousandths());
        let same = amount * self.one_of(dose.unit())?;
        Ok(Millilitres(same / self.per_ml_exact()))
    }

    /// The dose that a volume holds, in a unit: the way back from [`Strength::volume_of`].
    ///
    /// # Errors
    /// [`DoseVolumeError::UnitsDiffer`] as there; [`DoseVolumeError::NotADose`] where it is not a whole number of
    /// thousandths or past the largest dose.
    pub fn dose_in(&self, volume: Millilitres, unit: DoseUnit) -> Result<Dose, DoseVolumeError> {
        let held = self.held_in(volume.exact(), unit)?;
        exact::in_thousandths(held)
            .and_then(|n| Dose::from_thousandths(n, unit).ok())
            .ok_or_else(|| DoseVolumeError::NotADose {
                volume: volume.to_string(),
                amount: exact::text(held),
                unit: unit.code(),
            })
    }

    /// The exact amount in a volume, counted in a unit.
    pub(super) fn held_in(&self, ml: Exact, unit: DoseUnit) -> Result<Exact, DoseVolumeError> {
        Ok(self.per_ml_exact() * ml / self.one_of(unit)?)
    }

    /// How many of the label's unit one of `unit` is.
    fn one_of(&self, unit: DoseUnit) -> Result<Exact, DoseVolumeError> {
        use DoseUnit::{Micrograms, Milligrams, Units};
        match (unit, self.unit()) {
            (Units, Units) | (Milligrams, Milligrams) | (Micrograms, Micrograms) => {
                Ok(Exact::from_integer(1))
            }
            (Milligrams, Micrograms) => Ok(Exact::from_integer(1000)),
            (Micrograms, Milligrams) => Ok(Exact::new(1, 1000)),
            (Units, _) | (_, Units) => Err(DoseVolumeError::UnitsDiffer {
                unit: unit.code(),
                strength: self.to_string(),
            }),
        }
    }
}

impl fmt::Display for Strength {
    /// As the label says it: `5,000 units/mL`, `300 units in 0.5 mL`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.volume.exact() == Exact::from_integer(1) {
            write!(f, "{}/mL", self.amount)
        } else {
            write!(f, "{} in {}", self.amount, self.volume)
        }
    }
}
