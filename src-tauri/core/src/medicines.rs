//! The medicines there are rules for: data with sources, read once from `data/medicines.toml`.
//!
//! Every value names its source or says `from memory`; [`Book::read`] refuses one that does neither.
//! Not here: what a rule does with a value ([`crate::rules`]).

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::site::Zone;
use crate::units::DoseUnit;

/// The words that stand for a source where there is none.
pub const FROM_MEMORY: &str = "from memory";

/// A value and the citation it comes from (or [`FROM_MEMORY`]).
#[derive(Debug, Clone, PartialEq)]
pub struct Sourced<T> {
    /// The value.
    pub value: T,
    /// The citation in words.
    pub source: String,
}

/// How a medicine's sites follow one another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pattern {
    /// One quadrant of the abdomen, or half of another zone, a week, in one direction.
    WeeklyQuadrant,
    /// The other side of the body each time.
    AlternateSides,
    /// No area more than once a week.
    AreaWeekly,
    /// Not the same area twice running.
    NotTwiceRunning,
    /// Another place each time.
    Vary,
}

impl Pattern {
    fn from_code(text: &str) -> Option<Self> {
        Some(match text {
            "weekly_quadrant" => Self::WeeklyQuadrant,
            "alternate_sides" => Self::AlternateSides,
            "area_weekly" => Self::AreaWeekly,
            "not_twice_running" => Self::NotTwiceRunning,
            "vary" => Self::Vary,
            _ => return None,
        })
    }

    /// The pattern in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::WeeklyQuadrant => "one quadrant or half a week, in one direction",
            Self::AlternateSides => "the other side of the body each time",
            Self::AreaWeekly => "no area more than once a week",
            Self::NotTwiceRunning => "not the same area twice running",
            Self::Vary => "another place each time",
        }
    }
}

/// One medicine and its rules.
#[derive(Debug, Clone, PartialEq)]
pub struct Medicine {
    /// The key used in orders, such as `insulin-glargine-100`.
    pub id: String,
    /// Generic name, with its strength where that matters.
    pub name: String,
    /// Medicines of one class count as the same medicine for spacing, such as `insulin`.
    pub class: String,
    /// Units its doses are counted in, the usual first.
    pub units: Vec<DoseUnit>,
    /// Usual days between doses, where not daily.
    pub every_days: Option<Sourced<u16>>,
    /// Whether it is given once a week only, and more often is dangerous.
    pub weekly_only: Option<Sourced<bool>>,
    /// Zones it may go into, the preferred first.
    pub zones: Sourced<Vec<Zone>>,
    /// Zones only a helper may use.
    pub helper_only: Option<Sourced<Vec<Zone>>>,
    /// Least centimetres to earlier injections that still rest.
    pub spacing_cm: Sourced<f64>,
    /// Days a point rests.
    pub point_rest_days: Sourced<f64>,
    /// Days a whole zone rests.
    pub zone_rest_days: Option<Sourced<f64>>,
    /// Its own navel margin, where it has one.
    pub navel_margin_cm: Option<Sourced<f64>>,
    /// How sites follow one another.
    pub pattern: Sourced<Pattern>,
    /// Whether to stay in one region from one injection to the next rather than use them all in turn.
    pub one_region: Option<Sourced<bool>>,
    /// What to be told where it is chosen.
    pub cautions: Vec<String>,
}

/// What holds for every medicine.
#[derive(Debug, Clone, PartialEq)]
pub struct General {
    /// Published navel margins in centimetres, smallest first.
    pub navel_margins: Vec<Sourced<f64>>,
    /// The one in force unless a practice chooses another.
    pub navel_margin_cm: Sourced<f64>,
    /// Least centimetres between two kinds of medicine given close in time.
    pub other_medicine_cm: Sourced<f64>,
    /// How many days "close in time" is.
    pub other_medicine_days: Sourced<f64>,
    /// Zones that want a helper.
    pub helper_zones: Sourced<Vec<Zone>>,
}

/// All medicines and the general rules.
#[derive(Debug, Clone, PartialEq)]
pub struct Book {
    /// What holds for every medicine.
    pub general: General,
    /// By key.
    medicines: BTreeMap<String, Medicine>,
}

/// Why a book of medicines was refused.
#[derive(Debug, thiserror::Error)]
pub enum BookError {
    /// Not TOML, or a member is missing: a value without `source` ends here.
    #[error("the medicines cannot be read: {0}")]
    Toml(#[from] toml::de::Error),
    /// A value that names no known source.
    #[error("{medicine}: {what} names the source \"{source_key}\", which is not in [sources]")]
    NoSource {
        /// The medicine, or `general`.
        medicine: String,
        /// The value.
        what: &'static str,
        /// What it named.
        source_key: String,
    },
    /// A word that is not known where one of a few is wanted.
    #[error("{medicine}: \"{word}\" is not a known {what}")]
    BadWord {
        /// The medicine, or `general`.
        medicine: String,
        /// What was wanted.
        what: &'static str,
        /// What was written.
        word: String,
    },
    /// A value without which the rules cannot work.
    #[error("{medicine}: {what} is missing")]
    Missing {
        /// The medicine.
        medicine: String,
        /// The value.
        what: &'static str,
    },
    /// Two medicines with one key.
    #[error("{0} is there twice")]
    Twice(String),
    /// A number no rule can use.
    #[error("{medicine}: {what} must be a positive number")]
    NotPositive {
        /// The medicine, or `general`.
        medicine: String,
        /// The value.
        what: &'static str,
    },
}

impl Book {
    /// The book this program ships.
    pub fn shipped() -> &'static Self {
        static BOOK: LazyLock<Book> = LazyLock::new(|| {
            Book::read(include_str!("../data/medicines.toml"))
                .expect("the shipped medicines are read by a test")
        });
        &BOOK
    }

    /// Reads a book.
    ///
    /// # Errors
    /// [`BookError`] where a value has no source, a word is unknown or something is missing.
    pub fn read(text: &str) -> Result<Self, BookError> {
        let file: file::Book = toml::from_str(text)?;
        let cite = Citations(&file.sources);
        let general = cite.general(&file.general)?;
        let mut medicines = BTreeMap::new();
        for raw in &file.medicine {
            let medicine = cite.medicine(raw, &file.like)?;
            if medicines.insert(raw.id.clone(), medicine).is_some() {
                return Err(BookError::Twice(raw.id.clone()));
            }
        }
        Ok(Self { general, medicines })
    }

    /// A medicine by key.
    pub fn medicine(&self, id: &str) -> Option<&Medicine> {
        self.medicines.get(id)
    }

    /// All of them, by key.
    pub fn medicines(&self) -> impl Iterator<Item = &Medicine> {
        self.medicines.values()
    }
}

/// Turns keys of sources into citations.
struct Citations<'a>(&'a BTreeMap<String, file::Source>);

impl Citations<'_> {
    fn cite<T: Clone>(
        &self,
        medicine: &str,
        what: &'static str,
        raw: &file::Sourced<T>,
    ) -> Result<Sourced<T>, BookError> {
        let source = if raw.source == FROM_MEMORY {
            FROM_MEMORY.to_owned()
        } else {
            self.0
                .get(&raw.source)
                .ok_or_else(|| BookError::NoSource {
                    medicine: medicine.to_owned(),
                    what,
                    source_key: raw.source.clone(),
                })?
                .cite
                .clone()
        };
        Ok(Sourced {
            value: raw.value.clone(),
            source,
        })
    }

    fn number(
        &self,
        medicine: &str,
        what: &'static str,
        raw: &file::Sourced<f64>,
    ) -> Result<Sourced<f64>, BookError> {
        if !(raw.value.is_finite() && raw.value > 0.0) {
            return Err(BookError::NotPositive {
                medicine: medicine.to_owned(),
                what,
            });
        }
        self.cite(medicine, what, raw)
    }

    fn zones(
        &self,
        medicine: &str,
        what: &'static str,
        raw: &file::Sourced<Vec<String>>,
    ) -> Result<Sourced<Vec<Zone>>, BookError> {
        let cited = self.cite(medicine, what, raw)?;
        let value = cited
            .value
            .iter()
            .map(|word| {
                Zone::from_code(word).ok_or_else(|| BookError::BadWord {
                    medicine: medicine.to_owned(),
                    what: "zone",
                    word: word.clone(),
                })
            })
            .collect::<Result<_, _>>()?;
        Ok(Sourced {
            value,
            source: cited.source,
        })
    }

    fn general(&self, raw: &file::General) -> Result<General, BookError> {
        let mut navel_margins = raw
            .navel_margins
            .iter()
            .map(|m| {
                self.number(
                    "general",
                    "navel margin",
                    &file::Sourced {
                        value: m.cm,
                        source: m.source.clone(),
                    },
                )
            })
            .collect::<Result<Vec<_>, _>>()?;
        navel_margins.sort_by(|a, b| a.value.total_cmp(&b.value));
        Ok(General {
            navel_margins,
            navel_margin_cm: self.number("general", "navel margin", &raw.navel_margin_cm)?,
            other_medicine_cm: self.number(
                "general",
                "distance to another medicine",
                &raw.other_medicine_cm,
            )?,
            other_medicine_days: self.number(
                "general",
                "days to another medicine",
                &raw.other_medicine_days,
            )?,
            helper_zones: self.zones("general", "helper zones", &raw.helper_zones)?,
        })
    }

    fn medicine(
        &self,
        raw: &file::Medicine,
        likes: &BTreeMap<String, file::Values>,
    ) -> Result<Medicine, BookError> {
        let id = raw.id.as_str();
        let bad = |what, word: &str| BookError::BadWord {
            medicine: id.to_owned(),
            what,
            word: word.to_owned(),
        };
        let missing = |what| BookError::Missing {
            medicine: id.to_owned(),
            what,
        };
        let like = raw
            .like
            .as_ref()
            .map(|name| likes.get(name).ok_or_else(|| bad("group in [like]", name)));
        let values = match like.transpose()? {
            Some(like) => raw.values.clone().or(like.clone()),
            None => raw.values.clone(),
        };
        let class = raw.class.clone().or_else(|| raw.like.clone());
        let units = values.unit.as_ref().ok_or_else(|| missing("unit"))?;
        let units = units
            .iter()
            .map(|u| DoseUnit::from_code(u).map_err(|_| bad("unit", u)))
            .collect::<Result<Vec<_>, _>>()?;
        let zones = values.zones.as_ref().ok_or_else(|| missing("zones"))?;
        let pattern = values.pattern.as_ref().ok_or_else(|| missing("pattern"))?;
        let pattern = self.cite(id, "pattern", pattern)?;
        let number = |what, value: &Option<file::Sourced<f64>>| {
            let value = value.as_ref();
            value.map(|raw| self.number(id, what, raw)).transpose()
        };
        let spacing = number("spacing", &values.spacing_cm)?;
        let rest = number("rest of a point", &values.point_rest_days)?;
        if let Some(key) = &values.cautions_source {
            let source = file::Sourced {
                value: (),
                source: key.clone(),
            };
            self.cite(id, "cautions", &source)?;
        }
        let region = values.region.as_ref();
        let region = region.map(|r| self.cite(id, "region", r)).transpose()?;
        let every_days = values.every_days.as_ref();
        let helper_only = values.helper_only.as_ref();
        Ok(Medicine {
            id: raw.id.clone(),
            name: raw.name.clone(),
            class: class.ok_or_else(|| missing("class"))?,
            units,
            every_days: every_days
                .map(|v| self.cite(id, "every_days", v))
                .transpose()?,
            weekly_only: values
                .weekly_only
                .as_ref()
                .map(|v| self.cite(id, "weekly_only", v))
                .transpose()?,
            zones: self.zones(id, "zones", zones)?,
            helper_only: helper_only
                .map(|z| self.zones(id, "helper only", z))
                .transpose()?,
            spacing_cm: spacing.ok_or_else(|| missing("spacing_cm"))?,
            point_rest_days: rest.ok_or_else(|| missing("point_rest_days"))?,
            zone_rest_days: number("rest of a zone", &values.zone_rest_days)?,
            navel_margin_cm: number("navel margin", &values.navel_margin_cm)?,
            pattern: Sourced {
                value: Pattern::from_code(&pattern.value)
                    .ok_or_else(|| bad("pattern", &pattern.value))?,
                source: pattern.source,
            },
            one_region: region.map(|r| Sourced {
                value: r.value == "stay",
                source: r.source,
            }),
            cautions: values.cautions,
        })
    }
}

/// The file as written.
mod file {
    use super::{BTreeMap, Deserialize};

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Book {
        pub sources: BTreeMap<String, Source>,
        pub general: General,
        pub medicine: Vec<Medicine>,
        #[serde(default)]
        pub like: BTreeMap<String, Values>,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Source {
        pub cite: String,
        /// `read`, `quoted` or `memory`: how far the source itself was seen.
        #[serde(rename = "read")]
        _read: Seen,
    }

    #[derive(Deserialize)]
    pub(super) enum Seen {
        #[serde(rename = "read")]
        Itself,
        #[serde(rename = "quoted")]
        Quoted,
        #[serde(rename = "memory")]
        Memory,
    }

    #[derive(Deserialize, Clone)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Sourced<T> {
        pub value: T,
        pub source: String,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Margin {
        pub cm: f64,
        pub source: String,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct General {
        pub navel_margins: Vec<Margin>,
        pub navel_margin_cm: Sourced<f64>,
        pub other_medicine_cm: Sourced<f64>,
        pub other_medicine_days: Sourced<f64>,
        pub helper_zones: Sourced<Vec<String>>,
    }

    // `flatten` and `deny_unknown_fields` do not go together, so a mistyped name is caught by a test that
    // compares the keys of the shipped file with the ones known here.
    #[derive(Deserialize)]
    pub(super) struct Medicine {
        pub id: String,
        pub name: String,
        pub class: Option<String>,
        pub like: Option<String>,
        #[serde(flatten)]
        pub values: Values,
    }

    #[derive(Deserialize, Default, Clone)]
    pub(super) struct Values {
        pub unit: Option<Vec<String>>,
        pub every_days: Option<Sourced<u16>>,
        pub weekly_only: Option<Sourced<bool>>,
        pub zones: Option<Sourced<Vec<String>>>,
        pub helper_only: Option<Sourced<Vec<String>>>,
        pub spacing_cm: Option<Sourced<f64>>,
        pub point_rest_days: Option<Sourced<f64>>,
        pub zone_rest_days: Option<Sourced<f64>>,
        pub navel_margin_cm: Option<Sourced<f64>>,
        pub pattern: Option<Sourced<String>>,
        pub region: Option<Sourced<String>>,
        #[serde(default)]
        pub cautions: Vec<String>,
        pub cautions_source: Option<String>,
    }

    impl Values {
        /// These values, and those of `like` where there are none; cautions of both.
        pub(super) fn or(self, like: Self) -> Self {
            Self {
                unit: self.unit.or(like.unit),
                every_days: self.every_days.or(like.every_days),
                weekly_only: self.weekly_only.or(like.weekly_only),
                zones: self.zones.or(like.zones),
                helper_only: self.helper_only.or(like.helper_only),
                spacing_cm: self.spacing_cm.or(like.spacing_cm),
                point_rest_days: self.point_rest_days.or(like.point_rest_days),
                zone_rest_days: self.zone_rest_days.or(like.zone_rest_days),
                navel_margin_cm: self.navel_margin_cm.or(like.navel_margin_cm),
                pattern: self.pattern.or(like.pattern),
                region: self.region.or(like.region),
                cautions: [like.cautions, self.cautions].concat(),
                cautions_source: self.cautions_source.or(like.cautions_source),
            }
        }
    }

    /// Every key a medicine or a group may have.
    #[cfg(test)]
    pub(super) const KEYS: [&str; 17] = [
        "id",
        "name",
        "class",
        "like",
        "unit",
        "every_days",
        "weekly_only",
        "zones",
        "helper_only",
        "spacing_cm",
        "point_rest_days",
        "zone_rest_days",
        "navel_margin_cm",
        "pattern",
        "region",
        "cautions",
        "cautions_source",
    ];
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = include_str!("../data/medicines.toml");

    #[test]
    fn the_shipped_book_holds_the_medicines_people_inject_for_years() {
        let book = Book::read(TEXT).unwrap();
        for id in [
            "insulin-glargine-100",
            "insulin-glargine-300",
            "insulin-detemir-100",
            "insulin-degludec-100",
            "insulin-aspart-100",
            "insulin-lispro-100",
            "insulin-human-regular-100",
            "insulin-human-nph-100",
            "enoxaparin",
            "dalteparin",
            "adalimumab",
            "etanercept",
            "methotrexate",
            "semaglutide",
            "glatiramer",
            "interferon-beta-1a",
            "interferon-beta-1b",
            "teriparatide",
        ] {
            assert!(book.medicine(id).is_some(), "{id}");
        }
        let glargine = book.medicine("insulin-glargine-100").unwrap();
        // Hirsch & Strauss 2019, Table 1: at least 1 cm; Frid 2016 (quoted): a point once in 4 weeks.
        assert!(
            (glargine.spacing_cm.value - 1.0).abs() < 1e-9
                && glargine.spacing_cm.source.starts_with("Hirsch")
        );
        assert!((glargine.point_rest_days.value - 28.0).abs() < 1e-9);
        assert_eq!(
            book.medicine("methotrexate")
                .unwrap()
                .every_days
                .as_ref()
                .unwrap()
                .value,
            7
        );
        let margins: Vec<_> = book.general.navel_margins.iter().map(|m| m.value).collect();
        assert_eq!(margins, [1.0, 2.0, 2.5, 5.0]);
    }

    #[test]
    fn no_key_is_mistyped() {
        let file: toml::Table = TEXT.parse().unwrap();
        let tables = file["medicine"]
            .as_array()
            .unwrap()
            .iter()
            .chain(file["like"].as_table().unwrap().values());
        for table in tables {
            for key in table.as_table().unwrap().keys() {
                assert!(
                    file::KEYS.contains(&key.as_str()),
                    "{key} is not read by anything"
                );
            }
        }
    }

    #[test]
    fn a_value_without_a_source_is_refused() {
        let refused = |from: &str, to: &str| {
            assert!(TEXT.contains(from), "the fault was not put in: {from}");
            Book::read(&TEXT.replacen(from, to, 1))
                .unwrap_err()
                .to_string()
        };
        assert!(
            refused(
                r#"spacing_cm = { value = 1.0, source = "hirsch_strauss_2019" }"#,
                "spacing_cm = { value = 1.0 }"
            )
            .contains("source")
        );
        assert!(
            refused(
                r#"value = 1.0, source = "hirsch_strauss_2019""#,
                r#"value = 1.0, source = "somebody""#
            )
            .contains("somebody")
        );
        assert!(
            refused(
                r#"value = 1.0, source = "hirsch_strauss_2019""#,
                r#"value = 1.0, source = """#
            )
            .contains("not in [sources]")
        );
        assert!(
            refused(
                r#"spacing_cm = { value = 1.0, source = "hirsch_strauss_2019" }"#,
                "spacing_cm = 1.0"
            )
            .contains("cannot be read")
        );
        assert!(refused("value = 1.0, source", "value = -1.0, source").contains("positive"));
        assert!(
            refused(
                r#"value = ["abdomen"], source"#,
                r#"value = ["stomach"], source"#
            )
            .contains("stomach")
        );
        assert!(
            refused(
                r#"cautions_source = "enoxaparin_hospital""#,
                r#"cautions_source = "nobody""#
            )
            .contains("nobody")
        );
    }
}
