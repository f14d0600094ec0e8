//! The limits a glucose value is held against, each with who set it, and what a value means against them.
//!
//! A published limit names its source; an order's own names who set it. Nothing here withholds a dose: the words say
//! what was found and hand over to the order, the prescriber and local policy.

use std::cmp::Ordering;

use super::{Glucose, GlucoseUnit, Question, Reading};

/// Who a limit comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SetBy {
    /// A publication.
    Published(&'static str),
    /// The person's order; by this prescriber.
    Order(String),
}

impl SetBy {
    /// For a sentence: the citation, or `set in the order by Dr Ana Lind`.
    pub fn words(&self) -> String {
        match self {
            Self::Published(source) => (*source).to_owned(),
            Self::Order(who) => format!("set in the order by {who}"),
        }
    }
}

/// Why a limit was refused.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LimitError {
    /// An order's limit must say who set it.
    #[error("say who set this limit")]
    NobodyNamed,
    /// The number does not fit its unit.
    #[error("a limit of {at} cannot be used: {question}")]
    Unlikely {
        /// The limit.
        at: String,
        /// What is asked about it.
        question: String,
    },
    /// The low limit is not below the high one.
    #[error("the low limit, {low}, must be below the high limit, {high}")]
    Crossed {
        /// The low one.
        low: String,
        /// The high one.
        high: String,
    },
}

/// One limit. A value at the limit is on the good side of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limit {
    at: Glucose,
    /// What the same source publishes for the other unit. It is not the conversion: 3.9 mmol/L is 70.26 mg/dL, and
    /// the published 70 mg/dL must not make a reading of 70 a low one.
    also: Option<Glucose>,
    set_by: SetBy,
}

const JBDS: &str = "JBDS 01, UK inpatient guidance";
const ADA_1: &str = "American Diabetes Association, level 1";
const ADA_2: &str = "American Diabetes Association, level 2";
const SOUTH_TEES: &str = "South Tees guidance";
const KETONES_15: &str = "a second-hand figure; its source was not read";

fn known(tenths: i64, unit: GlucoseUnit) -> Glucose {
    Glucose::from_tenths(tenths, unit).expect("a published limit is a number a meter shows")
}

fn published(tenths_mmol: i64, mg: Option<i64>, source: &'static str) -> Limit {
    Limit {
        at: known(tenths_mmol, GlucoseUnit::MmolPerLitre),
        also: mg.map(|mg| known(mg * 10, GlucoseUnit::MgPerDecilitre)),
        set_by: SetBy::Published(source),
    }
}

impl Limit {
    /// Low below 4.0 mmol/L. The default.
    ///
    /// # Source
    /// JBDS 01, UK inpatient guidance.
    pub fn jbds_low() -> Self {
        published(40, None, JBDS)
    }

    /// Low below 3.9 mmol/L, published also as 70 mg/dL.
    ///
    /// # Source
    /// American Diabetes Association, level 1. The figure in mg/dL as quoted by reviews of the 2017 and later
    /// Standards of Care; the edition of 2017 had "70 or less".
    pub fn ada_level_1() -> Self {
        published(39, Some(70), ADA_1)
    }

    /// Very low below 3.0 mmol/L, published also as 54 mg/dL.
    ///
    /// # Source
    /// American Diabetes Association, level 2, and International Hypoglycaemia Study Group 2017, Diabetes Care
    /// 40:155-157 (quoted).
    pub fn ada_level_2() -> Self {
        published(30, Some(54), ADA_2)
    }

    /// Ketones are checked above 14 mmol/L. The default.
    ///
    /// # Source
    /// South Tees guidance.
    pub fn ketones_above_14() -> Self {
        published(140, None, SOUTH_TEES)
    }

    /// Ketones are checked above 15 mmol/L.
    ///
    /// # Source
    /// Second-hand; the document itself was not read.
    pub fn ketones_above_15() -> Self {
        published(150, None, KETONES_15)
    }

    /// A limit that belongs to the person's order.
    ///
    /// # Errors
    /// [`LimitError::NobodyNamed`] without a name, [`LimitError::Unlikely`] where the number looks like the other unit.
    pub fn by_order(at: Glucose, who: &str) -> Result<Self, LimitError> {
        if who.trim().is_empty() {
            return Err(LimitError::NobodyNamed);
        }
        if let Some(question) = at.question() {
            return Err(LimitError::Unlikely {
                at: at.to_string(),
                question: question.words,
            });
        }
        Ok(Self {
            at,
            also: None,
            set_by: SetBy::Order(who.trim().to_owned()),
        })
    }

    /// The limit, in the unit it was set in.
    pub fn at(&self) -> Glucose {
        self.at
    }

    /// Who set it.
    pub fn set_by(&self) -> &SetBy {
        &self.set_by
    }

    /// Where a value stands to it. In a unit its source publishes a figure for, that figure counts; otherwise both are
    /// compared exactly.
    pub fn compare(&self, value: Glucose) -> Ordering {
        value.compare(self.for_unit(value.unit()))
    }

    /// Beside a value: `4.0 mmol/L`, and where the source has no figure in the value's unit what it is there, to so many
    /// decimals that it does not read like the value: `4.0 mmol/L (72.1 mg/dL)`.
    pub fn words(&self, beside: Glucose) -> String {
        let unit = beside.unit();
        let limit = self.for_unit(unit);
        if limit.unit() == unit {
            return limit.to_string();
        }
        let mut places = unit.decimals() + 1;
        while places < 5 && limit.rounded(unit, places) == beside.rounded(unit, places) {
            places += 1;
        }
        format!("{limit} ({} {})", limit.rounded(unit, places), unit.code())
    }

    fn for_unit(&self, unit: GlucoseUnit) -> Glucose {
        self.also
            .filter(|also| also.unit() == unit)
            .unwrap_or(self.at)
    }
}

/// The limits in force for one person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limits {
    low: Limit,
    very_low: Limit,
    high: Option<Limit>,
    ketones: Limit,
}

impl Limits {
    /// Published limits: low below 4.0 mmol/L (JBDS 01), very low below 3.0 mmol/L (ADA level 2), ketones checked above
    /// 14 mmol/L (South Tees). No high limit: when to defer an injection is set for each person by the prescriber.
    pub fn usual() -> Self {
        Self {
            low: Limit::jbds_low(),
            very_low: Limit::ada_level_2(),
            high: None,
            ketones: Limit::ketones_above_14(),
        }
    }

    /// With another low limit: another published one, or the order's. Very low stays as published.
    ///
    /// # Errors
    /// [`LimitError::Crossed`] where it is not below the high limit.
    pub fn with_low(mut self, low: Limit) -> Result<Self, LimitError> {
        self.low = low;
        self.ordered()
    }

    /// With a high limit, which only an order can set.
    ///
    /// # Errors
    /// [`LimitError::NobodyNamed`] without a name, [`LimitError::Unlikely`] where the number looks like the other unit,
    /// [`LimitError::Crossed`] where it is not above the low limit.
    pub fn with_high(mut self, at: Glucose, who: &str) -> Result<Self, LimitError> {
        self.high = Some(Limit::by_order(at, who)?);
        self.ordered()
    }

    /// With another limit above which ketones are checked.
    #[must_use]
    pub fn with_ketones(mut self, above: Limit) -> Self {
        self.ketones = above;
        self
    }

    fn ordered(self) -> Result<Self, LimitError> {
        match &self.high {
            Some(high) if self.low.at.compare(high.at) != Ordering::Less => {
                Err(LimitError::Crossed {
                    low: self.low.at.to_string(),
                    high: high.at.to_string(),
                })
            }
            _ => Ok(self),
        }
    }

    /// Low below this.
    pub fn low(&self) -> &Limit {
        &self.low
    }

    /// Very low below this.
    pub fn very_low(&self) -> &Limit {
        &self.very_low
    }

    /// High above this, where the order says so.
    pub fn high(&self) -> Option<&Limit> {
        self.high.as_ref()
    }

    /// Ketones are checked above this.
    pub fn ketones(&self) -> &Limit {
        &self.ketones
    }
}

/// What a value means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Standing {
    /// Not low, and not above any limit that is set.
    InRange,
    /// Below the low limit.
    Low,
    /// Below the very low limit.
    VeryLow,
    /// Above the high limit of the order.
    High,
    /// Above the limit from which ketones are checked; it may be above the high limit too.
    CheckKetones,
}

impl Standing {
    /// The word used at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::InRange => "in_range",
            Self::Low => "low",
            Self::VeryLow => "very_low",
            Self::High => "high",
            Self::CheckKetones => "check_ketones",
        }
    }

    /// Whether the steps for a low glucose are for it.
    pub fn is_low(self) -> bool {
        matches!(self, Self::Low | Self::VeryLow)
    }
}

/// A value judged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judged {
    /// What it means.
    pub standing: Standing,
    /// What was found, the limit and who set it, and who decides.
    pub words: String,
    /// The limits it passed; for one in range, the low limit it was held against.
    pub limits: Vec<Limit>,
    /// A question about the number itself, to be answered first.
    pub question: Option<Question>,
}

/// Holds a reading against the limits. A value at a limit has not passed it. `LO` is very low and `HI` asks for
/// ketones, because both are beyond the range of every meter's numbers.
pub fn judge(reading: Reading, limits: &Limits) -> Judged {
    let (standing, passed) = match reading {
        Reading::BelowMeter => (Standing::VeryLow, vec![limits.very_low.clone()]),
        Reading::AboveMeter => (
            Standing::CheckKetones,
            high_and_ketones(limits, |_| true).collect(),
        ),
        Reading::Value(value) => {
            let above = |limit: &Limit| limit.compare(value) == Ordering::Greater;
            let below = |limit: &Limit| limit.compare(value) == Ordering::Less;
            if below(&limits.very_low) {
                (Standing::VeryLow, vec![limits.very_low.clone()])
            } else if below(&limits.low) {
                (Standing::Low, vec![limits.low.clone()])
            } else if above(&limits.ketones) {
                let passed = high_and_ketones(limits, above).collect();
                (Standing::CheckKetones, passed)
            } else if let Some(high) = limits.high.as_ref().filter(|high| above(high)) {
                (Standing::High, vec![high.clone()])
            } else {
                (Standing::InRange, vec![limits.low.clone()])
            }
        }
    };
    Judged {
        words: words(reading, standing, &passed, limits),
        standing,
        limits: passed,
        question: reading.question(),
    }
}

fn high_and_ketones(
    limits: &Limits,
    passed: impl Fn(&Limit) -> bool,
) -> impl Iterator<Item = Limit> {
    let all = limits.high.iter().chain([&limits.ketones]);
    all.filter(move |limit| passed(limit)).cloned()
}

fn words(reading: Reading, standing: Standing, passed: &[Limit], limits: &Limits) -> String {
    let listed = |passed: &[Limit]| {
        let each = passed.iter().map(|limit| {
            let at = reading
                .glucose()
                .map_or_else(|| limit.at.to_string(), |value| limit.words(value));
            format!("{at} ({})", limit.set_by.words())
        });
        each.collect::<Vec<_>>().join(" and ")
    };
    let limit = listed(passed);
    match standing {
        Standing::VeryLow => format!(
            "{reading} is very low: below {limit}. Start the steps for a low glucose now, and ask the prescriber about \
             the injection as the order says."
        ),
        Standing::Low => format!(
            "{reading} is low: below {limit}. Start the steps for a low glucose, and ask the prescriber about the \
             injection as the order says."
        ),
        Standing::High => format!(
            "{reading} is high: above {limit}. Do what the order says for this; local policy comes first."
        ),
        Standing::CheckKetones => format!(
            "{reading} is high: above {limit}. Check ketones, and do what the order says; local policy comes first."
        ),
        Standing::InRange => {
            let high = limits.high.as_ref().map_or_else(
                || "the order sets no high limit".to_owned(),
                |high| format!("not above {}", listed(std::slice::from_ref(high))),
            );
            format!("{reading} is not below {limit}; {high}.")
        }
    }
}
