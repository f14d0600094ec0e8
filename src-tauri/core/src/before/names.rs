//! Comparing what is written about medicines: names word by word, and strengths as amounts.
//!
//! It says alike or not alike; it never corrects a name. Which of two spellings is right is for whoever reads the label.

use std::collections::BTreeSet;

/// Words on a label that do not name the medicine (common practice, no source).
const FORM: &[&str] = &[
    "for",
    "in",
    "of",
    "the",
    "and",
    "injection",
    "solution",
    "suspension",
    "pen",
    "pre",
    "filled",
    "prefilled",
    "syringe",
    "vial",
    "cartridge",
    "weekly",
    "sodium",
    "acetate",
    "ml",
    "units",
    "unit",
    "u",
    "iu",
    "mg",
    "mcg",
    "microgram",
    "micrograms",
];

/// Words of a name that say nothing about an allergy (common practice, no source).
const COMMON: &[&str] = &["human", "regular", "beta", "1a", "1b", "a", "to", "or"];

/// The words of a text, lower case; of `GLP-1` the parts and the whole, `glp`, `1`, `glp1`. A final s is dropped, so
/// that `heparins` is `heparin`.
fn words(text: &str) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for token in text
        .to_lowercase()
        .split(|c: char| !c.is_alphanumeric() && c != '-')
    {
        let parts: Vec<&str> = token.split('-').filter(|part| !part.is_empty()).collect();
        if parts.len() > 1 {
            found.insert(stem(&parts.concat()));
        }
        found.extend(parts.into_iter().map(stem));
    }
    found
}

fn stem(word: &str) -> String {
    match word.strip_suffix('s') {
        Some(one) if one.chars().count() > 3 => one.to_owned(),
        _ => word.to_owned(),
    }
}

fn listed(word: &str, list: &[&str]) -> bool {
    list.iter().any(|known| stem(known) == word)
}

fn number(word: &str) -> bool {
    word.bytes().all(|b| b.is_ascii_digit())
}

/// The words that name a medicine.
fn naming(text: &str) -> BTreeSet<String> {
    let mut found = words(text);
    found.retain(|word| !number(word) && !listed(word, FORM));
    found
}

/// Whether two texts name one medicine: the same naming words in any order, forms, salts and strengths apart. A word
/// too many is another medicine, because mixtures are named by one.
pub(super) fn same_medicine(a: &str, b: &str) -> bool {
    let (a, b) = (naming(a), naming(b));
    !a.is_empty() && a == b
}

/// The first word of an allergy that is in a medicine's name or class.
pub(super) fn shared(allergy: &str, name: &str) -> Option<String> {
    let mut of_name = naming(name);
    of_name.retain(|word| !listed(word, COMMON));
    words(allergy).intersection(&of_name).next().cloned()
}

/// Whether a text names one of these words.
pub(super) fn names_any(text: &str, these: &[&str]) -> bool {
    words(text).iter().any(|word| listed(word, these))
}

/// A strength: an amount in a volume, or in one container where no volume is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Strength {
    /// In thousandths of a unit or of a microgram.
    amount: i64,
    kind: Kind,
    /// In thousandths of a millilitre.
    volume: Option<i64>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Units,
    Mass,
}

impl Strength {
    /// The first strength written in a text, such as `100 units/mL`, `25 mg/0.5 mL`, `40 mg` or U-100.
    pub(super) fn find(text: &str) -> Option<Self> {
        let text = text.to_lowercase();
        let starts = text.char_indices().filter(|(at, c)| {
            let before = text[..*at].chars().next_back();
            c.is_ascii_digit() && before.is_none_or(|b| !b.is_ascii_digit() && b != '.' && b != ',')
        });
        let mut starts = starts.map(|(at, _)| at);
        starts.find_map(|at| Self::at(&text[..at], &text[at..]))
    }

    fn at(before: &str, text: &str) -> Option<Self> {
        let (amount, rest) = thousandths(text)?;
        let concentration = ["u", "u-"].iter().any(|mark| {
            let start = before.strip_suffix(mark);
            start.is_some_and(|start| !start.ends_with(char::is_alphanumeric))
        });
        if concentration {
            return Some(Self {
                amount,
                kind: Kind::Units,
                volume: Some(1000),
            });
        }
        let units = [
            ("units", Kind::Units, 1),
            ("unit", Kind::Units, 1),
            ("iu", Kind::Units, 1),
            ("micrograms", Kind::Mass, 1),
            ("microgram", Kind::Mass, 1),
            ("mcg", Kind::Mass, 1),
            ("mg", Kind::Mass, 1000),
        ];
        let (rest, kind, times) = units.into_iter().find_map(|(word, kind, times)| {
            Some((rest.trim_start().strip_prefix(word)?, kind, times))
        })?;
        let volume = match rest.trim_start().strip_prefix('/').map(str::trim_start) {
            None => None,
            Some(rest) if rest.starts_with("ml") => Some(1000),
            Some(rest) => {
                let (volume, rest) = thousandths(rest)?;
                Some(rest.trim_start().starts_with("ml").then_some(volume)?)
            }
        };
        Some(Self {
            amount: amount.checked_mul(times)?,
            kind,
            volume,
        })
    }

    /// Whether two strengths are one; `None` where they cannot be compared, such as one without a volume.
    pub(super) fn same(self, other: Self) -> Option<bool> {
        match (self.volume, other.volume) {
            (None, None) => Some(self.kind == other.kind && self.amount == other.amount),
            (Some(a), Some(b)) => {
                let (left, right) = (
                    i128::from(self.amount) * i128::from(b),
                    i128::from(other.amount) * i128::from(a),
                );
                Some(self.kind == other.kind && left == right)
            }
            _ => None,
        }
    }
}

/// A plain number at the start, in thousandths, and what follows it. Commas stand for thousands and only there: a
/// decimal comma is not read, because 12,5 taken for 125 is ten times too much.
fn thousandths(text: &str) -> Option<(i64, &str)> {
    let end = text
        .find(|c: char| !c.is_ascii_digit() && c != '.' && c != ',')
        .unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let (whole, fraction) = number.split_once('.').unwrap_or((number, ""));
    let mut groups = whole.split(',');
    let first = groups.next()?;
    let grouped = whole.contains(',');
    if first.is_empty() || (grouped && first.len() > 3) || !groups.all(|group| group.len() == 3) {
        return None;
    }
    if fraction.len() > 3 || fraction.contains(['.', ',']) {
        return None;
    }
    let digits = format!("{}{fraction:0<3}", whole.replace(',', ""));
    Some((digits.parse().ok()?, rest)).filter(|(value, _)| *value > 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_compared_word_by_word() {
        for (a, b, want) in [
            ("insulin glargine 100 units/mL", "Insulin Glargine", true),
            (
                "insulin glargine 100 units/mL",
                "glargine, INSULIN solution for injection in pre-filled pen",
                true,
            ),
            (
                "human insulin, NPH, 100 units/mL",
                "insulin human (NPH)",
                true,
            ),
            ("enoxaparin", "Enoxaparin sodium", true),
            ("semaglutide, weekly", "semaglutide", true),
            (
                "insulin aspart 100 units/mL",
                "insulin aspart protamine",
                false,
            ),
            ("insulin glargine 100 units/mL", "insulin degludec", false),
            ("interferon beta-1a", "interferon beta-1b", false),
            ("insulin glargine 100 units/mL", "insulin", false),
            ("enoxaparin", "", false),
            ("", "", false),
        ] {
            assert_eq!(same_medicine(a, b), want, "{a} / {b}");
        }
    }

    #[test]
    fn an_allergy_matches_a_word_and_not_a_part_of_one() {
        for (allergy, name, want) in [
            (
                "Insulin glargine: rash 2019",
                "insulin glargine 100 units/mL",
                Some("glargine"),
            ),
            ("HEPARINS", "heparin", Some("heparin")),
            ("GLP-1 medicines", "glp1", Some("glp1")),
            ("interferon", "interferon beta-1a", Some("interferon")),
            ("beta-lactam antibiotics", "interferon beta-1a", None),
            ("human serum", "human insulin, NPH, 100 units/mL", None),
            ("penicillin 100 mg", "insulin glargine 100 units/mL", None),
            ("mumab", "adalimumab", None),
        ] {
            assert_eq!(shared(allergy, name).as_deref(), want, "{allergy} / {name}");
        }
        assert!(names_any("Natural rubber latex", &["latex"]));
        assert!(!names_any("latexlike", &["latex"]));
    }

    #[test]
    fn strengths_are_compared_as_amounts() {
        for (a, b, want) in [
            (
                "insulin glargine 100 units/mL",
                "100 units / mL",
                Some(Some(true)),
            ),
            ("insulin glargine 100 units/mL", "U-100", Some(Some(true))),
            ("insulin glargine 100 units/mL", "u100", Some(Some(true))),
            (
                "insulin glargine 100 units/mL",
                "U-100 3 mL",
                Some(Some(true)),
            ),
            (
                "insulin glargine 100 units/mL",
                "10 100 units/mL",
                Some(Some(true)),
            ),
            ("100 units/mL", concat!("100 I", "U/ml"), Some(Some(true))),
            (
                "insulin glargine 100 units/mL",
                "300 units/mL",
                Some(Some(false)),
            ),
            ("methotrexate 50 mg/mL", "25 mg/0.5 mL", Some(Some(true))),
            (
                "methotrexate 50 mg/mL",
                "50 micrograms/mL",
                Some(Some(false)),
            ),
            ("10,000 units/mL", "10000 units/mL", Some(Some(true))),
            ("0.25 mg", "250 micrograms", Some(Some(true))),
            ("100 units/mL", "100 mg/mL", Some(Some(false))),
            ("40 mg", "40 mg/0.4 mL", Some(None)),
            ("enoxaparin", "100 units/mL", None),
            ("interferon beta-1a", "44 micrograms", None),
            ("12,5 mg/mL", "125 mg/mL", None),
            ("100 units/mL", "0 units/mL", None),
            ("100 units/mL", "99999999999999999999 units/mL", None),
        ] {
            let both = Strength::find(a).zip(Strength::find(b));
            assert_eq!(both.map(|(a, b)| a.same(b)), want, "{a} / {b}");
        }
    }

    proptest::proptest! {
        #[test]
        fn no_text_panics(a in ".{0,40}", b in "[0-9.,u/ mlg-]{0,30}") {
            let _ = (words(&a), Strength::find(&a), Strength::find(&b), same_medicine(&a, &b), shared(&a, &b));
        }
    }
}
