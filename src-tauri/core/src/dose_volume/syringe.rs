//! Syringes and their lines: which line a volume reaches, and between which two it falls.
//!
//! The syringes people hold are data with sources (`data/syringes.toml`); one by its printed numbers is made by
//! [`Syringe::marked_in_ml`]. Not here: whether a dose may be measured in it ([`super::measure`]).

use std::fmt;
use std::sync::LazyLock;

use serde::Deserialize;

use super::exact::{self, Exact};
use super::strength::{Millilitres, Strength};
use super::{DoseVolumeError, Kind};
use crate::cited::{DataError, Raw, Sources};
use crate::medicines::Sourced;
use crate::typed_number::{self, DecimalSign};

/// What the numbers on a barrel count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scale {
    /// Units of an insulin of one strength, and of no other.
    InsulinUnits {
        /// The strength it is made for, in units in each millilitre: 100 or 500.
        per_ml: u16,
    },
    /// Millilitres.
    Millilitres,
}

/// A syringe: how its barrel is marked.
#[derive(Debug, Clone, PartialEq)]
pub struct Syringe {
    /// The word used in files and at the door.
    pub code: String,
    /// In words: `U-100 insulin syringe, 0.5 mL`.
    pub name: String,
    /// What its numbers count.
    pub scale: Scale,
    /// Who says how much it holds.
    pub holds_source: String,
    /// Who says how far apart its lines are.
    pub line_source: String,
    /// The smallest number its source gives for it, where one is given: on its own scale.
    pub lowest: Option<Sourced<Mark>>,
    holds: Exact,
    line: Exact,
}

/// A number on a syringe's own scale.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mark {
    value: Exact,
    scale: Scale,
}

impl fmt::Display for Mark {
    /// `40` on an insulin scale, whose unit depends on what is in it; `0.15 mL` on the other.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.scale {
            Scale::InsulinUnits { .. } => f.write_str(&exact::text(self.value)),
            Scale::Millilitres => write!(f, "{} mL", exact::text(self.value)),
        }
    }
}

/// Where a volume comes to on a barrel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reading {
    /// Exactly on a line.
    OnLine {
        /// The number of that line.
        mark: Mark,
        /// How many lines above the zero line it is, from 1.
        lines_up: i64,
    },
    /// Between two lines, on neither.
    Between {
        /// The line below; zero where the volume is less than the first line.
        below: Mark,
        /// The line above.
        above: Mark,
        /// How many lines above the zero line the one below is, from 0.
        lines_up: i64,
    },
    /// More than the syringe holds.
    TooMuch {
        /// What it holds.
        holds: Mark,
    },
}

impl Syringe {
    /// A syringe by the numbers on its barrel: what it holds, and what lies between two lines.
    ///
    /// # Units
    /// Thousandths of a millilitre; it holds a whole number of lines.
    /// # Errors
    /// [`DoseVolumeError::VolumeRange`] for nothing or more than a litre, [`DoseVolumeError::Lines`] where the lines do
    /// not come out even.
    pub fn marked_in_ml(
        holds_thousandths: i64,
        line_thousandths: i64,
    ) -> Result<Self, DoseVolumeError> {
        let holds = Millilitres::from_thousandths(holds_thousandths)?;
        let line = Millilitres::from_thousandths(line_thousandths)?;
        if !(holds.exact() / line.exact()).is_integer() {
            return Err(DoseVolumeError::Lines {
                holds: holds.to_string(),
                line: line.to_string(),
            });
        }
        let read_off = "read off the barrel".to_owned();
        Ok(Self {
            code: format!("ml_{holds_thousandths}_{line_thousandths}"),
            name: format!("{holds} syringe, lines of {line}"),
            scale: Scale::Millilitres,
            holds_source: read_off.clone(),
            line_source: read_off,
            lowest: None,
            holds: holds.exact(),
            line: line.exact(),
        })
    }

    /// The syringe made for exactly this kind of medicine and strength.
    pub fn made_for(&self, kind: Kind, strength: &Strength) -> bool {
        match (self.scale, kind) {
            (Scale::InsulinUnits { per_ml }, Kind::Insulin) => strength.is_per_ml(per_ml),
            (Scale::Millilitres, Kind::Other) => true,
            _ => false,
        }
    }

    /// How much it holds.
    pub fn holds(&self) -> Millilitres {
        Millilitres::from_exact(self.holds / self.per_ml())
    }

    /// How much lies between two lines.
    pub fn line(&self) -> Millilitres {
        Millilitres::from_exact(self.line / self.per_ml())
    }

    /// How many lines there are above the zero line.
    pub fn lines(&self) -> i64 {
        whole(self.holds / self.line)
    }

    /// Where a volume comes to.
    pub fn reading(&self, volume: Millilitres) -> Reading {
        let at = volume.exact() * self.per_ml();
        if at > self.holds {
            return Reading::TooMuch {
                holds: self.mark(self.holds),
            };
        }
        let lines = at / self.line;
        let below = lines.floor();
        if lines.is_integer() {
            return Reading::OnLine {
                mark: self.mark(at),
                lines_up: whole(lines),
            };
        }
        Reading::Between {
            below: self.mark(below * self.line),
            above: self.mark((below + 1) * self.line),
            lines_up: whole(below),
        }
    }

    /// Whether the volume lies below the smallest number its source gives for it.
    pub(super) fn is_below_lowest(&self, volume: Millilitres) -> bool {
        let lowest = self.lowest.as_ref();
        lowest.is_some_and(|l| volume.exact() * self.per_ml() < l.value.value)
    }

    fn mark(&self, value: Exact) -> Mark {
        Mark {
            value,
            scale: self.scale,
        }
    }

    /// How much of its scale one millilitre is.
    fn per_ml(&self) -> Exact {
        match self.scale {
            Scale::InsulinUnits { per_ml } => Exact::from_integer(i128::from(per_ml)),
            Scale::Millilitres => Exact::from_integer(1),
        }
    }
}

/// A count of lines: at most a litre's worth of the finest, so it fits.
fn whole(lines: Exact) -> i64 {
    i64::try_from(lines.to_integer()).unwrap_or(i64::MAX)
}

/// The syringes people hold, what one place takes, and who says what is never measured.
#[derive(Debug, Clone, PartialEq)]
pub struct SyringeBook {
    syringes: Vec<Syringe>,
    site_limits: Vec<Sourced<Millilitres>>,
    usual_limit: usize,
    pub(super) rules: Rules,
}

/// The citation behind each rule of [`super::measure`].
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Rules {
    pub(super) pen: String,
    pub(super) insulin_syringe_only: String,
    pub(super) concentrated_in_u100: String,
    pub(super) strength_checked: String,
    pub(super) insulin_scale_for_another: String,
    pub(super) mg_and_micrograms: String,
    pub(super) dividing: String,
}

impl SyringeBook {
    /// The book this program ships.
    pub fn shipped() -> &'static Self {
        static BOOK: LazyLock<SyringeBook> = LazyLock::new(|| {
            SyringeBook::read(include_str!("../../data/syringes.toml"))
                .expect("the shipped syringes are read by a test")
        });
        &BOOK
    }

    /// Reads a book.
    ///
    /// # Errors
    /// [`DataError`] where a value has no source or cannot be used.
    pub fn read(text: &str) -> Result<Self, DataError> {
        let file: file::Book = toml::from_str(text)?;
        let sources = file.sources;
        let cite = |what: &str, key: &str| sources.cite(what, key);
        let rules = Rules {
            pen: cite("rules.pen", &file.rules.pen)?,
            insulin_syringe_only: cite(
                "rules.insulin_syringe_only",
                &file.rules.insulin_syringe_only,
            )?,
            concentrated_in_u100: cite(
                "rules.concentrated_in_u100",
                &file.rules.concentrated_in_u100,
            )?,
            strength_checked: cite("rules.strength_checked", &file.rules.strength_checked)?,
            insulin_scale_for_another: cite(
                "rules.insulin_scale_for_another",
                &file.rules.insulin_scale_for_another,
            )?,
            mg_and_micrograms: cite("rules.mg_and_micrograms", &file.rules.mg_and_micrograms)?,
            dividing: cite("rules.dividing", &file.rules.dividing)?,
        };
        let mut site_limits = Vec::new();
        for raw in file.site_limit.ml {
            let limit = sources.value("site_limit", raw)?;
            site_limits.push(Sourced {
                value: Millilitres::from_exact(number("site_limit", &limit.value)?),
                source: limit.source,
            });
        }
        let usual = Millilitres::from_exact(number("site_limit", &file.site_limit.default_ml)?);
        let usual_limit = site_limits.iter().position(|l| l.value == usual);
        let usual_limit =
            usual_limit.ok_or_else(|| bad("default_ml", &file.site_limit.default_ml))?;
        let syringes = file.syringe.into_iter();
        let syringes = syringes
            .map(|raw| syringe(raw, &sources))
            .collect::<Result<_, _>>()?;
        Ok(Self {
            syringes,
            site_limits,
            usual_limit,
            rules,
        })
    }

    /// All of them, in the order of the file.
    pub fn syringes(&self) -> &[Syringe] {
        &self.syringes
    }

    /// One by its code.
    pub fn syringe(&self, code: &str) -> Option<&Syringe> {
        self.syringes.iter().find(|s| s.code == code)
    }

    /// The published most for one place, as a practice may choose them.
    pub fn site_limits(&self) -> &[Sourced<Millilitres>] {
        &self.site_limits
    }

    /// The one in force until a practice chooses: the smallest.
    pub fn usual_site_limit(&self) -> &Sourced<Millilitres> {
        &self.site_limits[self.usual_limit]
    }

    /// The syringes made for this medicine that have a line for the volume, the finest lines first.
    pub fn shown_by(&self, volume: Millilitres, kind: Kind, strength: &Strength) -> Vec<&Syringe> {
        let mut shown: Vec<_> = self.syringes.iter().collect();
        shown.retain(|s| {
            let on_line = matches!(s.reading(volume), Reading::OnLine { .. });
            on_line && s.made_for(kind, strength) && !s.is_below_lowest(volume)
        });
        shown.sort_by_key(|s| (s.line(), s.holds()));
        shown
    }
}

fn bad(what: &str, value: &str) -> DataError {
    DataError::BadValue {
        what: what.to_owned(),
        value: value.to_owned(),
    }
}

/// A number above zero, kept exactly.
fn number(what: &str, text: &str) -> Result<Exact, DataError> {
    let read = typed_number::read(text, DecimalSign::Point).map_err(|_| bad(what, text))?;
    if read.thousandths() == 0 {
        return Err(bad(what, text));
    }
    Ok(exact::thousandths(read.thousandths()))
}

fn syringe(raw: file::Syringe, sources: &Sources) -> Result<Syringe, DataError> {
    let scale = match raw.units_per_ml {
        Some(0) => return Err(bad(&raw.code, "0 units in each mL")),
        Some(per_ml) => Scale::InsulinUnits { per_ml },
        None => Scale::Millilitres,
    };
    let holds = sources.value(&raw.code, raw.holds)?;
    let line = sources.value(&raw.code, raw.line)?;
    let full = number(&raw.code, &holds.value)?;
    let step = number(&raw.code, &line.value)?;
    if !(full / step).is_integer() {
        return Err(bad(&raw.code, &line.value));
    }
    let lowest = raw.lowest.map(|lowest| {
        let lowest = sources.value(&raw.code, lowest)?;
        let value = number(&raw.code, &lowest.value)?;
        Ok::<_, DataError>(Sourced {
            value: Mark { value, scale },
            source: lowest.source,
        })
    });
    Ok(Syringe {
        code: raw.code,
        name: raw.name,
        scale,
        holds_source: holds.source,
        line_source: line.source,
        lowest: lowest.transpose()?,
        holds: full,
        line: step,
    })
}

/// The file as written.
mod file {
    use super::{Deserialize, Raw, Sources};

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Book {
        pub sources: Sources,
        pub rules: Rules,
        pub site_limit: SiteLimit,
        pub syringe: Vec<Syringe>,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Rules {
        pub pen: String,
        pub insulin_syringe_only: String,
        pub concentrated_in_u100: String,
        pub strength_checked: String,
        pub insulin_scale_for_another: String,
        pub mg_and_micrograms: String,
        pub dividing: String,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct SiteLimit {
        pub ml: Vec<Raw<String>>,
        pub default_ml: String,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Syringe {
        pub code: String,
        pub name: String,
        pub units_per_ml: Option<u16>,
        pub lowest: Option<Raw<String>>,
        pub holds: Raw<String>,
        pub line: Raw<String>,
    }
}
