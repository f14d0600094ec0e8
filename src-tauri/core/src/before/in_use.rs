//! What is published about containers: how long a medicine lasts once opened, and latex. Data with sources, read once
//! from `data/containers.toml`.
//!
//! Not here: a constant for any container. Where presentations differ, so do the days, and the leaflet decides.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::words::days;

/// One published in-use life.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Life {
    /// Days after opening; the day of opening is day 0.
    pub days: u16,
    /// Which presentation or region it is for, where they differ.
    pub of: Option<String>,
}

/// What is published for one medicine; the shortest life first.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InUse {
    /// At least one.
    pub lives: Vec<Life>,
    /// The citation.
    pub source: String,
}

/// What the days since opening mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Used {
    /// Not past any published life.
    Within,
    /// Past the shortest and not past the longest: it depends on the presentation.
    Depends,
    /// Past all of them.
    Past,
}

impl InUse {
    /// What is published for a medicine by its key; `None` where nothing is known.
    pub fn of(medicine: &str) -> Option<&'static Self> {
        DATA.in_use.get(medicine)
    }

    /// What `days` since opening mean. The last day of a life is still good (common practice, no source).
    pub fn judge(&self, days: i64) -> Used {
        let past = |life: &&Life| days > i64::from(life.days);
        match self.lives.iter().filter(past).count() {
            0 => Used::Within,
            n if n == self.lives.len() => Used::Past,
            _ => Used::Depends,
        }
    }

    /// `28 days`, or `42 days (EU), 56 days (US)`.
    pub fn words(&self) -> String {
        let each = self.lives.iter().map(|life| {
            let length = days(i64::from(life.days));
            life.of
                .as_ref()
                .map_or(length.clone(), |of| format!("{length} ({of})"))
        });
        each.collect::<Vec<_>>().join(", ")
    }
}

/// What a medicine's published presentations say of latex: the words, and the citation. `None` is not known.
pub(super) fn latex(medicine: &str) -> Option<&'static (String, String)> {
    DATA.latex.get(medicine)
}

#[derive(Debug)]
struct Data {
    in_use: BTreeMap<String, InUse>,
    latex: BTreeMap<String, (String, String)>,
}

static DATA: LazyLock<Data> = LazyLock::new(|| {
    read(include_str!("../../data/containers.toml"))
        .expect("the shipped containers are read by a test")
});

/// Why the file was refused.
#[derive(Debug, thiserror::Error)]
enum ContainersError {
    #[error("the containers cannot be read: {0}")]
    Toml(#[from] toml::de::Error),
    #[error("{medicine} names the source \"{source_key}\", which is not in [sources]")]
    NoSource {
        medicine: String,
        source_key: String,
    },
    #[error("{0} needs at least one life of at least a day")]
    NoLife(String),
    #[error("{0} is there twice")]
    Twice(String),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    sources: BTreeMap<String, Source>,
    in_use: Vec<FileInUse>,
    latex: Vec<FileLatex>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Source {
    cite: String,
    #[serde(rename = "read")]
    _read: Seen,
}

/// How far the source itself was seen.
#[derive(Deserialize)]
#[serde(rename_all = "lowercase")]
enum Seen {
    Read,
    Quoted,
    Memory,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FileInUse {
    medicine: String,
    source: String,
    lives: Vec<Life>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct FileLatex {
    medicine: String,
    source: String,
    words: String,
}

fn read(text: &str) -> Result<Data, ContainersError> {
    let file: File = toml::from_str(text)?;
    let cite = |medicine: &str, key: &str| {
        let source = file.sources.get(key).map(|source| source.cite.clone());
        source.ok_or_else(|| ContainersError::NoSource {
            medicine: medicine.to_owned(),
            source_key: key.to_owned(),
        })
    };
    let mut data = Data {
        in_use: BTreeMap::new(),
        latex: BTreeMap::new(),
    };
    for raw in &file.in_use {
        let mut lives = raw.lives.clone();
        lives.sort_by_key(|life| life.days);
        if lives.first().is_none_or(|life| life.days == 0) {
            return Err(ContainersError::NoLife(raw.medicine.clone()));
        }
        let source = cite(&raw.medicine, &raw.source)?;
        let in_use = InUse { lives, source };
        if data.in_use.insert(raw.medicine.clone(), in_use).is_some() {
            return Err(ContainersError::Twice(raw.medicine.clone()));
        }
    }
    for raw in &file.latex {
        let source = cite(&raw.medicine, &raw.source)?;
        let known = (raw.words.clone(), source);
        if data.latex.insert(raw.medicine.clone(), known).is_some() {
            return Err(ContainersError::Twice(raw.medicine.clone()));
        }
    }
    Ok(data)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::medicines::Book;

    const TEXT: &str = include_str!("../../data/containers.toml");

    #[test]
    fn in_use_lives_are_the_published_ones() {
        // Heinemann L et al. 2020, J Diabetes Sci Technol, Table 1; teriparatide: package leaflet.
        for (medicine, want) in [
            (
                "insulin-human-nph-100",
                Some("14 days (the shortest presentation), 42 days (the longest presentation)"),
            ),
            ("insulin-glargine-100", Some("28 days")),
            ("insulin-glargine-300", Some("42 days (EU), 56 days (US)")),
            ("insulin-detemir-100", Some("42 days")),
            ("insulin-degludec-100", Some("56 days")),
            ("teriparatide", Some("28 days")),
            ("insulin-aspart-100", None),
            ("nothing", None),
        ] {
            let found = InUse::of(medicine).map(InUse::words);
            assert_eq!(found.as_deref(), want, "{medicine}");
        }
        assert!(
            InUse::of("insulin-glargine-300")
                .unwrap()
                .source
                .starts_with("Heinemann L et al. 2020")
        );
        assert!(latex("etanercept").is_some() && latex("adalimumab").is_none());
    }

    #[test]
    fn days_since_opening_are_held_against_every_life() {
        let nph = InUse::of("insulin-human-nph-100").unwrap();
        for (days, want) in [
            (0, Used::Within),
            (14, Used::Within),
            (15, Used::Depends),
            (42, Used::Depends),
            (43, Used::Past),
        ] {
            assert_eq!(nph.judge(days), want, "{days}");
        }
        let glargine = InUse::of("insulin-glargine-100").unwrap();
        assert_eq!(glargine.judge(28), Used::Within);
        assert_eq!(glargine.judge(29), Used::Past);
    }

    #[test]
    fn every_key_is_a_medicine_of_the_book() {
        let data = read(TEXT).unwrap();
        for id in data.in_use.keys().chain(data.latex.keys()) {
            assert!(Book::shipped().medicine(id).is_some(), "{id}");
        }
    }

    #[test]
    fn a_value_without_a_source_or_a_day_is_refused() {
        let refused = |from: &str, to: &str| {
            assert!(TEXT.contains(from), "the fault was not put in: {from}");
            read(&TEXT.replacen(from, to, 1)).unwrap_err().to_string()
        };
        let of = "source = \"heinemann_2020\"";
        assert!(refused(of, "source = \"somebody\"").contains("somebody"));
        assert!(refused(of, "").contains("source"));
        assert!(refused("{ days = 14,", "{ days = 0,").contains("at least a day"));
        assert!(refused("lives = [{ days = 28 }]", "lives = []").contains("at least one life"));
        assert!(refused("\"insulin-detemir-100\"", "\"insulin-glargine-100\"").contains("twice"));
    }
}
