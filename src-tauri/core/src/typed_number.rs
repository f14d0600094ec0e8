//! A number as people type it, read strictly: what could mean two things is refused with a reason, never guessed.
//!
//! A tenfold error is one lost or misread decimal sign, so a bare `1.000` is not read at all: it is one to one person and a
//! thousand to another. Not here: what the number counts (the unit is chosen apart from it) and its range
//! ([`crate::units::Dose`]).

/// The sign between whole and parts that this person's screen was set to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DecimalSign {
    /// `4.5`
    Point,
    /// `4,5`
    Comma,
}

impl DecimalSign {
    /// The character itself.
    pub fn character(self) -> char {
        match self {
            Self::Point => '.',
            Self::Comma => ',',
        }
    }

    fn other(self) -> char {
        match self {
            Self::Point => ',',
            Self::Comma => '.',
        }
    }

    fn word(self) -> &'static str {
        match self {
            Self::Point => "a point",
            Self::Comma => "a comma",
        }
    }
}

/// A number that was typed and means one thing: zero or more, at most six whole digits and three decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct TypedNumber {
    thousandths: i64,
}

impl TypedNumber {
    /// The number in thousandths, exact; `0..=999_999_999`.
    pub fn thousandths(self) -> i64 {
        self.thousandths
    }
}

/// Most whole digits read: a dose has at most six.
const WHOLE_DIGITS: usize = 6;
/// Most decimals read: a dose is kept in thousandths.
const DECIMALS: usize = 3;
/// More than this is not a number somebody meant to type.
const LONGEST: usize = 40;

/// Why what was typed is not read, with what was typed and what to type instead.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TypedNumberError {
    /// Nothing, or only spaces.
    #[error("nothing was typed (\"{text}\"): type a number")]
    Empty {
        /// What was typed.
        text: String,
    },
    /// Longer than any number here; the text is cut.
    #[error("\"{text}…\" is too long for a number: type digits only")]
    TooLong {
        /// The first characters of what was typed.
        text: String,
    },
    /// A minus or a plus, of whatever shape.
    #[error("\"{text}\" has a sign before it: type the number without plus or minus")]
    Signed {
        /// What was typed.
        text: String,
    },
    /// `1e3` and the like.
    #[error("\"{text}\" is in powers of ten: type the number in full")]
    Exponent {
        /// What was typed.
        text: String,
    },
    /// A number with its unit behind it.
    #[error(
        "\"{text}\" has letters behind the number: type the number alone and choose the unit beside it"
    )]
    UnitTyped {
        /// What was typed.
        text: String,
    },
    /// Digits of another script or width, fractions, superscripts.
    #[error("\"{text}\" is not in plain digits: type it with the digits 0 to 9")]
    OtherDigits {
        /// What was typed.
        text: String,
    },
    /// Letters or other characters.
    #[error("\"{text}\" is not a number: type digits, with {sign} before decimals", sign = .sign.word())]
    NotANumber {
        /// What was typed.
        text: String,
        /// The sign in force.
        sign: DecimalSign,
    },
    /// One sign and exactly three digits behind it: decimals to one reader, thousands to another.
    #[error(
        "\"{text}\" can be read in two ways: type {thousands} if it is thousands, {decimals} if it has decimals"
    )]
    Ambiguous {
        /// What was typed.
        text: String,
        /// The same as thousands, in a way that is read.
        thousands: String,
        /// The same with decimals, in a way that is read.
        decimals: String,
    },
    /// Two or more signs, or a space inside: digits in groups.
    #[error(
        "\"{text}\" has its digits in groups: type them without a sign or space between thousands"
    )]
    Grouped {
        /// What was typed.
        text: String,
    },
    /// The other decimal sign.
    #[error("\"{text}\": decimals are set off by {sign} here; type {meant} if that is what was meant", sign = .sign.word())]
    OtherSign {
        /// What was typed.
        text: String,
        /// The sign in force.
        sign: DecimalSign,
        /// The same digits with the sign in force.
        meant: String,
    },
    /// `.5`, which is read as 5 when the sign is overlooked.
    #[error(
        "\"{text}\" has no digit before the sign, which is easily overlooked: type {meant} if that is what was meant"
    )]
    NoWhole {
        /// What was typed.
        text: String,
        /// The same with a zero in front.
        meant: String,
    },
    /// `5.`, cut short.
    #[error("\"{text}\" ends in its sign: type the decimals, or no sign")]
    NoDecimals {
        /// What was typed.
        text: String,
    },
    /// `05`, which may be a 0.5 without its sign.
    #[error(
        "\"{text}\" starts with a zero and no sign follows it: type it again without the zero, or with the sign"
    )]
    LeadingZero {
        /// What was typed.
        text: String,
    },
    /// More than three decimals.
    #[error("\"{text}\" has more than three decimals: type at most three")]
    TooManyDecimals {
        /// What was typed.
        text: String,
    },
    /// More than six whole digits.
    #[error(
        "\"{text}\" is larger than anything given here: at most six digits before the decimals"
    )]
    TooLarge {
        /// What was typed.
        text: String,
    },
}

/// Reads a number of zero or more, exactly.
///
/// Spaces around it are no part of it. Closing zeros are read (`5.0` is 5). A whole of one to three digits that does not
/// start with 0, one sign of either kind and three digits is refused whichever sign is in force: `1.000`, `12,500`; `0.125`
/// and `1.1250` mean one thing and are read.
///
/// # Errors
/// [`TypedNumberError`], which holds what was typed and says what to type instead.
///
/// # Source
/// No point hidden in front and none behind, no thousands sign that reads as a decimal sign: ISMP list of error-prone
/// abbreviations, symbols and dose designations (from memory). The rest is common practice, no source.
pub fn read(typed: &str, sign: DecimalSign) -> Result<TypedNumber, TypedNumberError> {
    let text = typed.to_owned();
    if typed.chars().count() > LONGEST {
        let text = typed.chars().take(LONGEST).collect();
        return Err(TypedNumberError::TooLong { text });
    }
    let number = typed.trim();
    if number.is_empty() {
        return Err(TypedNumberError::Empty { text });
    }
    characters(number, typed, sign)?;
    let is_sign = |c: char| c == '.' || c == ',';
    let signs = number.chars().filter(|c| is_sign(*c)).count();
    if signs > 1 || number.contains(char::is_whitespace) {
        return Err(TypedNumberError::Grouped { text });
    }
    let Some((whole, part)) = number.split_once(is_sign) else {
        return thousandths(number, "", typed);
    };
    if part.is_empty() {
        return Err(TypedNumberError::NoDecimals { text });
    }
    if whole.is_empty() {
        let meant = format!("0{}{part}", sign.character());
        return Err(TypedNumberError::NoWhole { text, meant });
    }
    if part.len() == 3 && whole.len() <= 3 && !whole.starts_with('0') {
        let thousands = format!("{whole}{part}");
        let decimals = match part.trim_end_matches('0') {
            "" => whole.to_owned(),
            // A fourth digit takes the other reading away.
            shortest if shortest.len() == 3 => format!("{whole}{}{part}0", sign.character()),
            shortest => format!("{whole}{}{shortest}", sign.character()),
        };
        return Err(TypedNumberError::Ambiguous {
            text,
            thousands,
            decimals,
        });
    }
    if number.contains(sign.other()) {
        let meant = format!("{whole}{}{part}", sign.character());
        return Err(TypedNumberError::OtherSign { text, sign, meant });
    }
    thousandths(whole, part, typed)
}

/// Refuses what holds anything but digits, signs and spaces, naming what it looks like.
fn characters(number: &str, typed: &str, sign: DecimalSign) -> Result<(), TypedNumberError> {
    let text = typed.to_owned();
    let plain = |c: char| c.is_ascii_digit() || c == '.' || c == ',' || c.is_whitespace();
    let Some(odd) = number.find(|c| !plain(c)) else {
        return Ok(());
    };
    // Hyphens, dashes and the minus of mathematics: phones turn one into another.
    if number.starts_with([
        '-', '+', '\u{2010}', '\u{2011}', '\u{2012}', '\u{2013}', '\u{2212}',
    ]) {
        return Err(TypedNumberError::Signed { text });
    }
    if number
        .chars()
        .any(|c| c.is_numeric() && !c.is_ascii_digit())
    {
        return Err(TypedNumberError::OtherDigits { text });
    }
    let (front, behind) = number.split_at(odd);
    let digit = |c: char| c.is_ascii_digit();
    if front.contains(digit) {
        let power = behind.strip_prefix(['e', 'E']);
        let power = power.map(|p| p.strip_prefix(['+', '-', '\u{2212}']).unwrap_or(p));
        if power.is_some_and(|p| !p.is_empty() && p.chars().all(digit)) {
            return Err(TypedNumberError::Exponent { text });
        }
        if behind.starts_with(char::is_alphabetic) && !behind.contains(digit) {
            return Err(TypedNumberError::UnitTyped { text });
        }
    }
    Err(TypedNumberError::NotANumber { text, sign })
}

/// Puts checked digits together.
fn thousandths(whole: &str, part: &str, typed: &str) -> Result<TypedNumber, TypedNumberError> {
    let text = typed.to_owned();
    if whole.len() > 1 && whole.starts_with('0') {
        return Err(TypedNumberError::LeadingZero { text });
    }
    let part = part.trim_end_matches('0');
    if part.len() > DECIMALS {
        return Err(TypedNumberError::TooManyDecimals { text });
    }
    if whole.len() > WHOLE_DIGITS {
        return Err(TypedNumberError::TooLarge { text });
    }
    let digits = format!("{whole}{part:0<DECIMALS$}");
    let thousandths = digits
        .parse()
        .expect("at most nine plain digits, so it fits");
    Ok(TypedNumber { thousandths })
}

#[cfg(test)]
mod tests {
    use super::TypedNumberError as E;
    use super::*;
    use crate::units::{Dose, DoseUnit};

    /// Whether an error is the one expected.
    type Named = fn(&E) -> bool;

    fn point(text: &str) -> Result<i64, E> {
        read(text, DecimalSign::Point).map(TypedNumber::thousandths)
    }

    fn comma(text: &str) -> Result<i64, E> {
        read(text, DecimalSign::Comma).map(TypedNumber::thousandths)
    }

    #[test]
    fn what_means_one_thing_is_read() {
        for (text, thousandths) in [
            ("4.5", 4_500),
            ("12", 12_000),
            ("0", 0),
            ("0.5", 500),
            ("0.125", 125),
            ("0.05", 50),
            ("5.0", 5_000),
            ("1.1250", 1_125),
            ("1000", 1_000_000),
            ("1000.125", 1_000_125),
            ("999999.999", 999_999_999),
            (" 12 ", 12_000),
            ("12\u{a0}", 12_000),
        ] {
            assert_eq!(point(text), Ok(thousandths), "{text:?}");
            assert_eq!(comma(&text.replace('.', ",")), Ok(thousandths), "{text:?}");
        }
    }

    #[test]
    fn what_means_two_things_is_refused_under_either_sign() {
        for text in ["1.000", "1,000", "12.500", "12,500", "999.125", "100,000"] {
            for result in [point(text), comma(text)] {
                let error = result.unwrap_err();
                assert!(matches!(error, E::Ambiguous { .. }), "{text}: {error:?}");
                assert!(error.to_string().contains(&format!("\"{text}\"")));
            }
        }
        for (text, thousands, decimals) in [
            ("1.000", "1000", "1"),
            ("12,500", "12500", "12.5"),
            ("1.125", "1125", "1.1250"),
        ] {
            let words = point(text).unwrap_err().to_string();
            let ways =
                format!("type {thousands} if it is thousands, {decimals} if it has decimals");
            assert!(words.ends_with(&ways), "{words}");
            assert!(point(thousands).is_ok() && point(decimals).is_ok());
        }
    }

    #[test]
    fn each_fault_is_named_and_shows_what_was_typed() {
        let unit = concat!("12 ", "U");
        let cases: [(&str, Named); 37] = [
            ("", |e| matches!(e, E::Empty { .. })),
            ("  ", |e| matches!(e, E::Empty { .. })),
            ("-4", |e| matches!(e, E::Signed { .. })),
            ("+4", |e| matches!(e, E::Signed { .. })),
            ("\u{2212}4", |e| matches!(e, E::Signed { .. })),
            ("\u{2013}4", |e| matches!(e, E::Signed { .. })),
            ("1e3", |e| matches!(e, E::Exponent { .. })),
            ("1.5E-3", |e| matches!(e, E::Exponent { .. })),
            (unit, |e| matches!(e, E::UnitTyped { .. })),
            ("12units", |e| matches!(e, E::UnitTyped { .. })),
            ("7.5 mg", |e| matches!(e, E::UnitTyped { .. })),
            ("12 e", |e| matches!(e, E::UnitTyped { .. })),
            ("12 единиц", |e| matches!(e, E::UnitTyped { .. })),
            ("twelve", |e| matches!(e, E::NotANumber { .. })),
            ("1O0", |e| matches!(e, E::NotANumber { .. })),
            ("l2", |e| matches!(e, E::NotANumber { .. })),
            ("NaN", |e| matches!(e, E::NotANumber { .. })),
            ("inf", |e| matches!(e, E::NotANumber { .. })),
            ("1/2", |e| matches!(e, E::NotANumber { .. })),
            ("5-10", |e| matches!(e, E::NotANumber { .. })),
            ("0x10", |e| matches!(e, E::NotANumber { .. })),
            ("1'000", |e| matches!(e, E::NotANumber { .. })),
            ("\u{ff11}\u{ff12}", |e| matches!(e, E::OtherDigits { .. })),
            ("\u{ff14}\u{ff0e}5", |e| matches!(e, E::OtherDigits { .. })),
            ("١٢", |e| matches!(e, E::OtherDigits { .. })),
            ("½", |e| matches!(e, E::OtherDigits { .. })),
            ("1,000.5", |e| matches!(e, E::Grouped { .. })),
            ("1.000.000", |e| matches!(e, E::Grouped { .. })),
            ("1 000", |e| matches!(e, E::Grouped { .. })),
            ("1\u{202f}000", |e| matches!(e, E::Grouped { .. })),
            ("4..5", |e| matches!(e, E::Grouped { .. })),
            (".5", |e| matches!(e, E::NoWhole { .. })),
            ("5.", |e| matches!(e, E::NoDecimals { .. })),
            ("05", |e| matches!(e, E::LeadingZero { .. })),
            ("00.5", |e| matches!(e, E::LeadingZero { .. })),
            ("1.2345", |e| matches!(e, E::TooManyDecimals { .. })),
            ("1000000", |e| matches!(e, E::TooLarge { .. })),
        ];
        for (text, expected) in cases {
            let error = point(text).unwrap_err();
            assert!(expected(&error), "{text:?}: {error:?}");
            assert!(error.to_string().contains(text), "{text:?}: {error}");
        }
        assert_eq!(
            point(unit).unwrap_err().to_string(),
            format!(
                "\"{unit}\" has letters behind the number: type the number alone and choose the unit beside it"
            )
        );
        let long = "9".repeat(5_000);
        assert!(matches!(point(&long), Err(E::TooLong { text }) if text.len() == 40));
    }

    #[test]
    fn the_other_sign_is_refused_with_what_may_have_been_meant() {
        assert_eq!(
            point("4,5").unwrap_err().to_string(),
            "\"4,5\": decimals are set off by a point here; type 4.5 if that is what was meant"
        );
        assert_eq!(
            comma("4.5").unwrap_err().to_string(),
            "\"4.5\": decimals are set off by a comma here; type 4,5 if that is what was meant"
        );
    }

    /// The table that the screens' own reader is held to as well.
    #[test]
    fn the_table_shared_with_the_screens_holds() {
        let table = include_str!("../../../tests/fixtures/typed/numbers.json");
        let rows: Vec<serde_json::Value> = serde_json::from_str(table).unwrap();
        assert!(rows.len() > 50);
        for row in rows {
            let text = row["text"].as_str().unwrap();
            let sign = match row["sign"].as_str().unwrap() {
                "point" => DecimalSign::Point,
                _ => DecimalSign::Comma,
            };
            let found = match read(text, sign) {
                Ok(number) => (
                    Dose::from_thousandths(number.thousandths(), DoseUnit::Units)
                        .unwrap()
                        .value(),
                    "",
                ),
                Err(error) => (String::new(), coarse(&error)),
            };
            let expected = (
                row["value"].as_str().unwrap_or("").to_owned(),
                row["why"].as_str().unwrap_or(""),
            );
            assert_eq!(found, expected, "{row}");
        }
    }

    /// The screens tell fewer faults apart.
    fn coarse(error: &E) -> &'static str {
        match error {
            E::Empty { .. } => "empty",
            E::Signed { .. }
            | E::Exponent { .. }
            | E::OtherDigits { .. }
            | E::NotANumber { .. }
            | E::NoWhole { .. }
            | E::NoDecimals { .. } => "not_a_number",
            E::UnitTyped { .. } => "unit",
            E::Ambiguous { .. } => "ambiguous",
            E::Grouped { .. } => "grouped",
            E::OtherSign { .. } => "other_sign",
            E::LeadingZero { .. } => "leading_zero",
            E::TooManyDecimals { .. } => "too_fine",
            E::TooLong { .. } | E::TooLarge { .. } => "too_large",
        }
    }

    proptest::proptest! {
        #[test]
        fn every_dose_as_shown_is_read_back_or_refused_as_ambiguous(thousandths in 1_i64..=100_000_000) {
            let dose = Dose::from_thousandths(thousandths, DoseUnit::Units).unwrap();
            match point(&dose.value()) {
                Ok(read) => proptest::prop_assert_eq!(read, thousandths),
                Err(error) => {
                    let ambiguous = matches!(error, E::Ambiguous { .. });
                    proptest::prop_assert!(ambiguous);
                    proptest::prop_assert!(thousandths % 10 != 0 && (1_000..1_000_000).contains(&thousandths));
                }
            }
        }

        #[test]
        fn no_text_is_read_as_two_numbers_under_the_two_signs(text in "[0-9.,]{0,9}") {
            if let (Ok(a), Ok(b)) = (point(&text), comma(&text)) {
                proptest::prop_assert_eq!(a, b);
            }
        }

        #[test]
        fn no_text_at_all_makes_it_fall_over(text in ".{0,60}") {
            let _ = point(&text);
        }
    }
}
