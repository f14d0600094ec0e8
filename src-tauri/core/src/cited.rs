//! Citations of a data file: every value names a key of `[sources]`, or says that there is none or only memory.
//!
//! Not here: the medicines, which read their own ([`crate::medicines`]).

use std::collections::BTreeMap;

use serde::Deserialize;

use crate::medicines::{FROM_MEMORY, Sourced};

/// The words that stand for a source where the trade does it so and no text says it.
pub(crate) const COMMON_PRACTICE: &str = "common practice, no source";

/// `[sources]` of a data file.
#[derive(Deserialize)]
#[serde(transparent)]
pub(crate) struct Sources(BTreeMap<String, Source>);

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Source {
    cite: String,
    read: Seen,
}

/// How far a source itself was seen.
#[derive(Deserialize, Clone, Copy, PartialEq, Eq)]
enum Seen {
    #[serde(rename = "read")]
    Itself,
    #[serde(rename = "quoted")]
    Quoted,
    #[serde(rename = "memory")]
    Memory,
}

/// A value as a file writes it.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Raw<T> {
    pub(crate) value: T,
    pub(crate) source: String,
}

/// Why a value of a data file was refused.
#[derive(Debug, thiserror::Error)]
pub enum DataError {
    /// Not TOML, or a member is missing: a value without `source` ends here.
    #[error("the data cannot be read: {0}")]
    Toml(#[from] toml::de::Error),
    /// A value that names no known source.
    #[error("{what} names the source \"{key}\", which is not in [sources]")]
    NoSource {
        /// The value.
        what: String,
        /// What it named.
        key: String,
    },
    /// A value that cannot be used.
    #[error("{what}: \"{value}\" cannot be used")]
    BadValue {
        /// The value's name.
        what: String,
        /// What was written.
        value: String,
    },
}

impl Sources {
    /// The citation a key stands for, with how far it was seen where that is not the text itself.
    pub(crate) fn cite(&self, what: &str, key: &str) -> Result<String, DataError> {
        if key == FROM_MEMORY || key == COMMON_PRACTICE {
            return Ok(key.to_owned());
        }
        let source = self.0.get(key).ok_or_else(|| DataError::NoSource {
            what: what.to_owned(),
            key: key.to_owned(),
        })?;
        Ok(match source.read {
            Seen::Itself => source.cite.clone(),
            Seen::Quoted => format!("{}, as quoted elsewhere", source.cite),
            Seen::Memory => format!("{} ({FROM_MEMORY})", source.cite),
        })
    }

    /// A value with its citation.
    pub(crate) fn value<T>(&self, what: &str, raw: Raw<T>) -> Result<Sourced<T>, DataError> {
        Ok(Sourced {
            source: self.cite(what, &raw.source)?,
            value: raw.value,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_citation_says_how_far_the_text_was_seen() {
        let text = r#"
            seen = { cite = "A 2001", read = "read" }
            told = { cite = "B 2002", read = "quoted" }
            kept = { cite = "C 2003", read = "memory" }
        "#;
        let sources: Sources = toml::from_str(text).unwrap();
        for (key, cite) in [
            ("seen", "A 2001"),
            ("told", "B 2002, as quoted elsewhere"),
            ("kept", "C 2003 (from memory)"),
            ("from memory", "from memory"),
            ("common practice, no source", "common practice, no source"),
        ] {
            assert_eq!(sources.cite("a value", key).unwrap(), cite);
        }
        for key in ["", "nobody", "A 2001"] {
            let error = sources.cite("a value", key).unwrap_err().to_string();
            assert!(
                error.contains("a value") && error.contains("[sources]"),
                "{error}"
            );
        }
        assert!(toml::from_str::<Sources>(r#"a = { cite = "A" }"#).is_err());
    }
}
