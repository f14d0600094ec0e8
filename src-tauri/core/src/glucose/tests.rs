//! Values, the conversion, questions and limits.

use super::*;

use GlucoseUnit::{MgPerDecilitre, MmolPerLitre};

fn glucose(text: &str, unit: GlucoseUnit) -> Glucose {
    Glucose::parse(text, unit).unwrap()
}

fn mmol(text: &str) -> Glucose {
    glucose(text, MmolPerLitre)
}

fn mg(text: &str) -> Glucose {
    glucose(text, MgPerDecilitre)
}

#[test]
fn the_factor_is_the_molar_mass_of_glucose() {
    // IUPAC abridged standard atomic weights (from memory), in thousandths: C 12.011, H 1.008, O 15.999.
    let grams_per_mole_thousandths = 6 * 12_011 + 12 * 1_008 + 6 * 15_999;
    assert_eq!(grams_per_mole_thousandths, 180_156);
    // One mmol/L is a thousandth of that in g/L, and 1 g/L is 100 mg/dL: a tenth of the molar mass.
    assert_eq!(PER_MMOL, grams_per_mole_thousandths);
    assert!((mmol("1").in_unit(MgPerDecilitre) - 18.0156).abs() < 1e-12);
}

#[test]
fn conversion_agrees_with_a_ucum_library() {
    // `@lhncbc/ucum-lhc` 7.1.10 with the molar mass 180.156: 5.5 mmol/L, 3.9 mmol/L and 100 mg/dL.
    assert!((mmol("5.5").in_unit(MgPerDecilitre) - 99.0858).abs() < 1e-9);
    assert!((mmol("3.9").in_unit(MgPerDecilitre) - 70.2608).abs() < 1e-4);
    assert!((mg("100").in_unit(MmolPerLitre) - 5.55074).abs() < 1e-5);
    // Shown half up, to what a meter shows.
    assert_eq!(mmol("5.5").in_both(), "5.5 mmol/L (99 mg/dL)");
    assert_eq!(mg("100").in_both(), "100 mg/dL (5.6 mmol/L)");
    assert_eq!(mg("72").in_both(), "72 mg/dL (4.0 mmol/L)");
    assert_eq!(mmol("10").to_string(), "10.0 mmol/L");
}

#[test]
fn codes_are_ucum_and_loinc() {
    // UCUM checked with `@lhncbc/ucum-lhc` 7.1.10; LOINC 2.82 by gematik/spec-HDDT.
    assert_eq!(
        GlucoseUnit::ALL.map(|unit| (unit.ucum(), unit.meter_loinc())),
        [("mmol/L", "14743-9"), ("mg/dL", "41653-7")]
    );
    for unit in GlucoseUnit::ALL {
        assert_eq!(GlucoseUnit::from_code(unit.code()), Ok(unit));
        assert_eq!(unit.other().other(), unit);
    }
    for text in ["", "mmol", "mmol/l", "MG/DL", "mg/dl"] {
        assert!(GlucoseUnit::from_code(text).is_err(), "{text:?}");
    }
}

#[test]
fn only_what_a_meter_shows_is_read() {
    for text in [
        "",
        " ",
        "5,5",
        ".5",
        "5.",
        "5.55",
        "-5",
        "+5",
        "5e1",
        "5.5 ",
        "NaN",
        "0",
        "0.0",
        "1000",
        "99999999999999999999",
        "LO",
        "٥",
    ] {
        assert!(
            Glucose::parse(text, MmolPerLitre).is_err(),
            "{text:?} was accepted"
        );
    }
    for text in ["99.0", "5.5", "0", "1000", "-70", "70 mg/dL"] {
        assert!(
            Glucose::parse(text, MgPerDecilitre).is_err(),
            "{text:?} was accepted"
        );
    }
    assert!(Glucose::from_tenths(715, MgPerDecilitre).is_err());
    assert_eq!(
        Glucose::parse("5.5", MgPerDecilitre)
            .unwrap_err()
            .to_string(),
        "write the glucose as the meter shows it: for mg/dL a whole number; \"5.5\" was given"
    );
    assert_eq!(
        Glucose::parse("1000", MmolPerLitre)
            .unwrap_err()
            .to_string(),
        "a glucose is from 0.1 to 999.9 mmol/L; \"1000\" was given"
    );
}

#[test]
fn meter_words_are_values_of_their_own() {
    for (text, want) in [
        ("LO", Reading::BelowMeter),
        ("Lo", Reading::BelowMeter),
        ("HI", Reading::AboveMeter),
        ("hi", Reading::AboveMeter),
        ("6.3", Reading::Value(mmol("6.3"))),
    ] {
        assert_eq!(Reading::parse(text, MmolPerLitre), Ok(want), "{text}");
    }
    // Broken words of a real log (UCI diabetes data): not read as anything.
    for text in ["0Hi", "0Lo", "0''", "high", " LO"] {
        assert!(
            Reading::parse(text, MgPerDecilitre).is_err(),
            "{text:?} was accepted"
        );
    }
    assert_eq!(Reading::BelowMeter.value(), "LO");
    assert_eq!(
        Reading::BelowMeter.to_string(),
        "LO (below the meter's range)"
    );
}

#[test]
fn a_number_that_fits_the_other_unit_is_asked_about_and_kept() {
    for (value, want) in [
        (mmol("90"), Some(Doubt::OtherUnit)),
        (mmol("120"), Some(Doubt::OtherUnit)),
        (mmol("34"), Some(Doubt::OtherUnit)),
        (mmol("35.5"), Some(Doubt::BeyondMeters)),
        (mmol("0.5"), Some(Doubt::BeyondMeters)),
        (mmol("33.3"), None),
        (mmol("0.6"), None),
        (mmol("5"), None),
        (mg("5"), Some(Doubt::OtherUnit)),
        (mg("25"), Some(Doubt::OtherUnit)),
        (mg("33"), Some(Doubt::OtherUnit)),
        (mg("34"), None),
        (mg("54"), None),
        (mg("600"), None),
        (mg("601"), Some(Doubt::BeyondMeters)),
    ] {
        let question = value.question();
        assert_eq!(question.as_ref().map(|q| q.doubt), want, "{value}");
        if let Some(question) = question {
            assert!(
                question.words.starts_with(&value.to_string()),
                "{}",
                question.words
            );
        }
    }
    assert_eq!(
        mmol("90").question().unwrap().words,
        "90.0 mmol/L looks like 90 mg/dL: look at the meter again, which unit does it show? If it really is 90.0 \
         mmol/L, act on it now."
    );
}

fn standing(value: Glucose, limits: &Limits) -> Standing {
    judge(Reading::Value(value), limits).standing
}

#[test]
fn the_usual_limits_are_the_published_ones() {
    let usual = Limits::usual();
    for (value, want) in [
        // JBDS 01: low below 4.0 mmol/L. 72 mg/dL is 3.997 mmol/L, 73 is 4.05.
        (mmol("4.0"), Standing::InRange),
        (mmol("3.9"), Standing::Low),
        (mg("72"), Standing::Low),
        (mg("73"), Standing::InRange),
        // ADA level 2: below 3.0 mmol/L, published as below 54 mg/dL.
        (mmol("3.0"), Standing::Low),
        (mmol("2.9"), Standing::VeryLow),
        (mg("54"), Standing::Low),
        (mg("53"), Standing::VeryLow),
        // South Tees: ketones are checked above 14 mmol/L. 252 mg/dL is 13.99, 253 is 14.04.
        (mmol("14.0"), Standing::InRange),
        (mmol("14.1"), Standing::CheckKetones),
        (mg("252"), Standing::InRange),
        (mg("253"), Standing::CheckKetones),
    ] {
        assert_eq!(standing(value, &usual), want, "{value}");
    }
    assert_eq!(
        judge(Reading::BelowMeter, &usual).standing,
        Standing::VeryLow
    );
    assert_eq!(
        judge(Reading::AboveMeter, &usual).standing,
        Standing::CheckKetones
    );
}

#[test]
fn the_other_published_limits_can_be_chosen() {
    // ADA level 1: below 3.9 mmol/L, published as below 70 mg/dL, though 70 mg/dL is 3.886 mmol/L.
    let ada = Limits::usual().with_low(Limit::ada_level_1()).unwrap();
    for (value, want) in [
        (mmol("3.9"), Standing::InRange),
        (mmol("3.8"), Standing::Low),
        (mg("70"), Standing::InRange),
        (mg("69"), Standing::Low),
    ] {
        assert_eq!(standing(value, &ada), want, "{value}");
    }
    let fifteen = Limits::usual().with_ketones(Limit::ketones_above_15());
    assert_eq!(standing(mmol("15.0"), &fifteen), Standing::InRange);
    assert_eq!(standing(mmol("15.1"), &fifteen), Standing::CheckKetones);
}

#[test]
fn words_name_the_limit_and_who_set_it() {
    let say = |value: Glucose, limits: &Limits| judge(Reading::Value(value), limits).words;
    let usual = Limits::usual();
    assert_eq!(
        say(mmol("3.8"), &usual),
        "3.8 mmol/L is low: below 4.0 mmol/L (JBDS 01, UK inpatient guidance). Start the steps for a low glucose, and \
         ask the prescriber about the injection as the order says."
    );
    assert!(
        say(mg("72"), &usual)
            .starts_with("72 mg/dL is low: below 4.0 mmol/L (72.1 mg/dL) (JBDS 01")
    );
    assert!(
        say(mg("50"), &usual)
            .starts_with("50 mg/dL is very low: below 54 mg/dL (American Diabetes")
    );
    assert_eq!(
        say(mmol("6.3"), &usual),
        "6.3 mmol/L is not below 4.0 mmol/L (JBDS 01, UK inpatient guidance); the order sets no high limit."
    );
    let order = Limits::usual()
        .with_low(Limit::by_order(mmol("6.0"), "Dr Ana Lind").unwrap())
        .unwrap()
        .with_high(mmol("13.0"), " Dr Ana Lind ")
        .unwrap();
    assert!(
        say(mmol("5.9"), &order).contains("below 6.0 mmol/L (set in the order by Dr Ana Lind)")
    );
    assert!(
        say(mmol("13.1"), &order).contains("above 13.0 mmol/L (set in the order by Dr Ana Lind)")
    );
    let both = judge(Reading::Value(mmol("14.1")), &order);
    assert_eq!(
        (both.standing, both.limits.len()),
        (Standing::CheckKetones, 2)
    );
    assert!(
        both.words
            .contains("Dr Ana Lind) and 14.0 mmol/L (South Tees"),
        "{}",
        both.words
    );
    let hi = judge(Reading::AboveMeter, &usual).words;
    assert!(
        hi.starts_with("HI (above the meter's range) is high: above 14.0 mmol/L"),
        "{hi}"
    );
    // An order's low limit under the published very low one does not silence that.
    let lower = Limits::usual()
        .with_low(Limit::by_order(mmol("2.8"), "Dr Ana Lind").unwrap())
        .unwrap();
    assert_eq!(standing(mmol("2.9"), &lower), Standing::VeryLow);
}

#[test]
fn a_questioned_value_is_judged_as_written_and_the_question_comes_along() {
    let judged = judge(Reading::Value(mmol("90")), &Limits::usual());
    assert_eq!(judged.standing, Standing::CheckKetones);
    assert_eq!(judged.question.unwrap().doubt, Doubt::OtherUnit);
    let judged = judge(Reading::Value(mg("5")), &Limits::usual());
    assert_eq!(judged.standing, Standing::VeryLow);
    assert_eq!(judged.question.unwrap().doubt, Doubt::OtherUnit);
}

#[test]
fn an_order_s_limit_says_who_set_it_and_makes_sense() {
    assert_eq!(
        Limit::by_order(mmol("5.0"), "  "),
        Err(LimitError::NobodyNamed)
    );
    assert!(matches!(
        Limit::by_order(mmol("72"), "Dr Ana Lind"),
        Err(LimitError::Unlikely { .. })
    ));
    assert!(matches!(
        Limits::usual().with_high(mmol("4.0"), "Dr Ana Lind"),
        Err(LimitError::Crossed { .. })
    ));
    let high = Limits::usual().with_high(mg("234"), "Dr Ana Lind").unwrap();
    let low = Limit::by_order(mmol("13"), "Dr Ana Lind").unwrap();
    // 13.0 mmol/L is 234.2 mg/dL.
    assert!(matches!(
        high.with_low(low),
        Err(LimitError::Crossed { .. })
    ));
}

#[test]
fn a_limit_never_reads_like_the_value_that_passed_it() {
    // 99 mg/dL is 5.495 mmol/L, which to two decimals reads like 5.5.
    let limit = Limit::by_order(mg("99"), "Dr Ana Lind").unwrap();
    assert_eq!(limit.words(mmol("5.5")), "99 mg/dL (5.495 mmol/L)");
    assert_eq!(limit.words(mmol("5.4")), "99 mg/dL (5.50 mmol/L)");
    assert_eq!(Limit::ada_level_1().words(mg("69")), "70 mg/dL");
}

proptest::proptest! {
    #[test]
    fn a_value_reads_back_as_it_was_written(tenths in 1_i64..=9_999, whole in 1_i64..=999) {
        let value = Glucose::from_tenths(tenths, MmolPerLitre).unwrap();
        proptest::prop_assert_eq!(mmol(&value.value()), value);
        let value = Glucose::from_tenths(whole * 10, MgPerDecilitre).unwrap();
        proptest::prop_assert_eq!(mg(&value.value()), value);
    }

    #[test]
    fn only_showing_rounds(tenths in 1_i64..=9_999) {
        // Rounding for a display moves it by at most half a mg/dL.
        let value = Glucose::from_tenths(tenths, MmolPerLitre).unwrap();
        proptest::prop_assert!((value.in_unit(MmolPerLitre) - tenths as f64 / 10.0).abs() < 1e-9);
        let shown: f64 = value.rounded(MgPerDecilitre, 0).parse().unwrap();
        proptest::prop_assert!((shown - value.in_unit(MgPerDecilitre)).abs() <= 0.5 + 1e-9);
    }

    #[test]
    fn a_higher_value_is_never_judged_lower(a in 1_i64..=9_999, b in 1_i64..=9_999) {
        let rank = |tenths| match standing(Glucose::from_tenths(tenths, MmolPerLitre).unwrap(), &Limits::usual()) {
            Standing::VeryLow => 0,
            Standing::Low => 1,
            Standing::InRange => 2,
            Standing::High => 3,
            Standing::CheckKetones => 4,
        };
        proptest::prop_assert!((a <= b) == (rank(a) <= rank(b)) || rank(a) == rank(b));
    }
}
