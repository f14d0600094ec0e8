//! Doses as volumes: every published worked example, then what is refused and what is said beside an answer.

use super::*;
use crate::medicines::{Book, Sourced};
use crate::units::DoseUnit::{self, Micrograms, Milligrams, Units};

fn dose(text: &str, unit: DoseUnit) -> Dose {
    Dose::parse(text, unit).unwrap()
}

fn strength(text: &str, unit: DoseUnit) -> Strength {
    Strength::per_ml(dose(text, unit))
}

fn book() -> &'static SyringeBook {
    SyringeBook::shipped()
}

fn syringe(code: &str) -> &'static Syringe {
    book().syringe(code).unwrap()
}

/// A question with everything usual: two decimals, no syringe chosen, the usual limit of one place.
fn asked(kind: Kind, dose: Dose, container: Container) -> Question<'static> {
    Question {
        dose,
        kind,
        container,
        syringe: None,
        site_limit: book().usual_site_limit(),
        decimals: 2,
    }
}

fn insulin(
    units: &str,
    per_ml: &str,
    code: &'static str,
) -> Result<Draw<'static>, DoseVolumeError> {
    let container = Container::Vial(strength(per_ml, Units));
    let mut question = asked(Kind::Insulin, dose(units, Units), container);
    question.syringe = Some(syringe(code));
    drawn(&question)
}

fn other(
    amount: &str,
    per_ml: &str,
    unit: DoseUnit,
    code: &'static str,
) -> Result<Draw<'static>, DoseVolumeError> {
    let container = Container::Vial(strength(per_ml, unit));
    let mut question = asked(Kind::Other, dose(amount, unit), container);
    question.syringe = Some(syringe(code));
    drawn(&question)
}

fn drawn(question: &Question<'_>) -> Result<Draw<'static>, DoseVolumeError> {
    match measure(question, book())? {
        Answer::Draw(draw) => Ok(*draw),
        Answer::GiveAll(all) => panic!("nothing to draw: {all:?}"),
    }
}

fn codes(draw: &Draw<'_>) -> Vec<CautionCode> {
    draw.cautions.iter().map(|c| c.code).collect()
}

fn caution<'a>(draw: &'a Draw<'_>, code: CautionCode) -> &'a Caution {
    draw.cautions.iter().find(|c| c.code == code).unwrap()
}

#[test]
fn published_worked_examples_come_out_as_published() {
    let md0904 = "US Army MD0904, Pharmacology Math for the Practical Nurse";
    let in_control = "Diabetes in Control, 23 July 2019";
    let leaflet = "EU package leaflet, methotrexate 50 mg/mL";
    let unnamed = "published worked example, the text's name was not kept";
    for (amount, unit, per_ml, exact, shown, source) in [
        ("16", Units, "100", "0.16 mL", "0.16 mL", md0904),
        ("20", Units, "100", "0.2 mL", "0.2 mL", md0904),
        ("30", Units, "100", "0.3 mL", "0.3 mL", md0904),
        ("5000", Units, "40000", "0.125 mL", "0.13 mL", md0904),
        ("15000", Units, "20000", "0.75 mL", "0.75 mL", md0904),
        ("11000", Units, "20000", "0.55 mL", "0.55 mL", md0904),
        ("3500", Units, "5000", "0.7 mL", "0.7 mL", unnamed),
        ("12000", Units, "5000", "2.4 mL", "2.4 mL", unnamed),
        ("200", Units, "500", "0.4 mL", "0.4 mL", in_control),
        ("7.5", Milligrams, "50", "0.15 mL", "0.15 mL", leaflet),
        ("15", Milligrams, "50", "0.3 mL", "0.3 mL", leaflet),
        ("25", Milligrams, "50", "0.5 mL", "0.5 mL", leaflet),
    ] {
        let volume = strength(per_ml, unit)
            .volume_of(dose(amount, unit))
            .unwrap();
        assert_eq!(
            volume.to_string(),
            exact,
            "{amount} from {per_ml}: {source}"
        );
        let rounded = volume.rounded(2).to_string();
        assert_eq!(rounded, shown, "{amount} from {per_ml}: {source}");
    }
}

#[test]
fn the_line_on_the_syringe_in_hand_is_told() {
    // Diabetes in Control, 23 July 2019: 200 units of 500 units/mL reach the 40 of a syringe made for 100 units/mL; the
    // syringe made for it has lines of 5 units up to 250.
    for (units, per_ml, code, words) in [
        (
            "16",
            "100",
            "u100_0_3",
            "16 units at 100 units/mL is 0.16 mL: the line for 16 on the U-100 insulin syringe, 0.3 mL.",
        ),
        (
            "16.5",
            "100",
            "u100_0_3_half",
            "16.5 units at 100 units/mL is 0.165 mL, shown as 0.17 mL: the line for 16.5 on the U-100 insulin syringe, 0.3 mL, half-unit lines.",
        ),
        (
            "16.5",
            "100",
            "u100_0_5",
            "16.5 units at 100 units/mL is 0.165 mL, shown as 0.17 mL: between the lines for 16 and 17 on the U-100 insulin syringe, 0.5 mL.",
        ),
        (
            "51",
            "100",
            "u100_1",
            "51 units at 100 units/mL is 0.51 mL: between the lines for 50 and 52 on the U-100 insulin syringe, 1 mL.",
        ),
        (
            "0.3",
            "100",
            "u100_0_3_half",
            "0.3 units at 100 units/mL is 0.003 mL, shown as less than 0.01 mL: between the lines for 0 and 0.5 on the U-100 insulin syringe, 0.3 mL, half-unit lines.",
        ),
        (
            "31",
            "100",
            "u100_0_3",
            "31 units at 100 units/mL is 0.31 mL: more than the U-100 insulin syringe, 0.3 mL holds, which ends at 30.",
        ),
        (
            "30",
            "100",
            "u100_0_3",
            "30 units at 100 units/mL is 0.3 mL: the line for 30 on the U-100 insulin syringe, 0.3 mL.",
        ),
        (
            "200",
            "500",
            "u100_1",
            "200 units at 500 units/mL is 0.4 mL: the line for 40 on the U-100 insulin syringe, 1 mL.",
        ),
        (
            "200",
            "500",
            "u500_0_5",
            "200 units at 500 units/mL is 0.4 mL: the line for 200 on the U-500 insulin syringe, 0.5 mL.",
        ),
    ] {
        assert_eq!(insulin(units, per_ml, code).unwrap().words, words);
    }
    let heparin = other("5000", "40000", Units, "ml_1").unwrap();
    assert_eq!(
        heparin.words,
        "5,000 units at 40,000 units/mL is 0.125 mL, shown as 0.13 mL: between the lines for 0.12 mL and 0.13 mL on the 1 mL syringe, lines of 0.01 mL."
    );
    let methotrexate = other("7.5", "50", Milligrams, "ml_1").unwrap();
    assert!(matches!(
        methotrexate.reading,
        Some(Reading::OnLine { lines_up: 15, .. })
    ));
}

#[test]
fn a_dose_between_two_lines_names_the_syringes_that_show_it_and_is_not_moved() {
    let draw = insulin("16.5", "100", "u100_0_5").unwrap();
    assert!(matches!(
        draw.reading,
        Some(Reading::Between { lines_up: 16, .. })
    ));
    let shown_by: Vec<_> = draw.shown_by.iter().map(|s| s.code.as_str()).collect();
    assert_eq!(shown_by, ["u100_0_3_half"]);
    let said = caution(&draw, CautionCode::BetweenLines);
    assert_eq!(
        said.words,
        "16.5 units falls between the lines for 16 and 17. A line for it is on: U-100 insulin syringe, 0.3 mL, half-unit lines. The dose is not changed to fit a line: local policy or the prescriber says how to round."
    );
    assert_eq!(said.source, "common practice, no source");

    // The finest lines first; only syringes that hold it.
    let draw = insulin("40", "100", "u100_1").unwrap();
    let shown_by: Vec<_> = draw.shown_by.iter().map(|s| s.code.as_str()).collect();
    assert_eq!(shown_by, ["u100_0_5", "u100_1"]);
    let draw = other("5000", "40000", Units, "ml_1").unwrap();
    assert!(draw.shown_by.is_empty());
    let said = &caution(&draw, CautionCode::BetweenLines).words;
    assert!(
        said.contains("No syringe known here has a line for it"),
        "{said}"
    );
    // What rounding to the published 0.13 mL would do to the dose is said, not done.
    assert_eq!(
        caution(&draw, CautionCode::ShownIsRounded).words,
        "5,000 units is exactly 0.125 mL; 0.13 mL would hold 5,200 units."
    );
}

#[test]
fn more_than_the_syringe_holds_is_loud() {
    let draw = insulin("60", "100", "u100_0_5").unwrap();
    let said = caution(&draw, CautionCode::MoreThanItHolds);
    assert!(said.loud);
    assert_eq!(
        said.words,
        "60 units is more than the U-100 insulin syringe, 0.5 mL holds (50). A line for it is on: U-100 insulin syringe, 1 mL. Do not fill it twice unless the order or policy says so."
    );
    let draw = insulin("120", "100", "u100_1").unwrap();
    assert!(draw.shown_by.is_empty() && draw.reading.is_some());
}

/// NPSA RRR013, 2010; NHS/PSA/W/2016/011.
#[test]
fn pens_and_cartridges_are_never_measured() {
    for container in [Container::Pen, Container::Cartridge] {
        for kind in [Kind::Insulin, Kind::Other] {
            let question = asked(kind, dose("12", Units), container);
            let words = measure(&question, book()).unwrap_err().to_string();
            assert!(words.contains("dial 12 units"), "{words}");
            assert!(
                words.contains("never draw from a pen or cartridge"),
                "{words}"
            );
            assert!(
                words.contains("RRR013") && words.contains("NHS/PSA/W/2016/011"),
                "{words}"
            );
        }
    }
}

/// NPSA RRR013, 2010.
#[test]
fn insulin_goes_into_insulin_syringes_only_and_nothing_else_does() {
    for code in ["ml_1", "ml_2", "ml_2_5", "ml_3"] {
        let error = insulin("16", "100", code).unwrap_err();
        assert!(matches!(error, DoseVolumeError::NotAnInsulinSyringe { .. }));
        assert!(error.to_string().contains("RRR013"), "{error}");
    }
    let by_barrel = Syringe::marked_in_ml(5_000, 200).unwrap();
    let container = Container::Vial(strength("100", Units));
    let mut question = asked(Kind::Insulin, dose("16", Units), container);
    question.syringe = Some(&by_barrel);
    assert!(matches!(
        measure(&question, book()),
        Err(DoseVolumeError::NotAnInsulinSyringe { .. })
    ));
    for (unit, code) in [(Units, "u100_1"), (Milligrams, "u500_0_5")] {
        let error = other("10", "50", unit, code).unwrap_err();
        assert!(
            matches!(error, DoseVolumeError::InsulinSyringe { .. }),
            "{error}"
        );
    }
    let container = Container::Vial(strength("50", Milligrams));
    let question = asked(Kind::Insulin, dose("16", Units), container);
    assert!(matches!(
        measure(&question, book()),
        Err(DoseVolumeError::InsulinNotInUnits { .. })
    ));
    // Without a syringe in hand the volume is told, and only insulin syringes are named.
    let container = Container::Vial(strength("100", Units));
    let draw = drawn(&asked(Kind::Insulin, dose("16", Units), container)).unwrap();
    assert_eq!(draw.words, "16 units at 100 units/mL is 0.16 mL.");
    assert!(draw.reading.is_none() && draw.shown_by.iter().all(|s| s.code.starts_with("u100")));
}

/// Diabetes in Control, 23 July 2019: each mark of a syringe for 100 units/mL holds 5 units of 500 units/mL.
#[test]
fn five_hundred_in_a_syringe_for_one_hundred_is_answered_loudly() {
    let draw = insulin("200", "500", "u100_1").unwrap();
    assert_eq!(
        codes(&draw),
        [CautionCode::StrengthNot100, CautionCode::FiveUnitsAMark]
    );
    assert!(draw.cautions.iter().all(|c| c.loud));
    let said = caution(&draw, CautionCode::FiveUnitsAMark);
    assert!(
        said.words
            .contains("each 1 on its scale is 5 units of this insulin")
    );
    assert!(
        said.words
            .contains("The line for 40 holds 200 units; it is not 40 units.")
    );
    assert!(said.source.starts_with("Diabetes in Control"));
    // The syringe offered is the one made for it.
    let shown_by: Vec<_> = draw.shown_by.iter().map(|s| s.code.as_str()).collect();
    assert_eq!(shown_by, ["u500_0_5"]);

    let draw = insulin("200", "500", "u500_0_5").unwrap();
    assert_eq!(codes(&draw), [CautionCode::StrengthNot100]);
    let low = insulin("20", "500", "u500_0_5").unwrap();
    assert!(codes(&low).contains(&CautionCode::BelowLowest));
    // No text reads these; the syringe is refused instead.
    for (per_ml, code) in [("100", "u500_0_5"), ("300", "u100_1"), ("40", "u100_1")] {
        let error = insulin("20", per_ml, code).unwrap_err();
        assert!(matches!(
            error,
            DoseVolumeError::SyringeForOtherStrength { .. }
        ));
    }
}

#[test]
fn another_strength_of_insulin_is_always_loud_and_one_hundred_never_is() {
    for (per_ml, times) in [("40", "0.4"), ("200", "2"), ("300", "3"), ("500", "5")] {
        let container = Container::Vial(strength(per_ml, Units));
        let draw = drawn(&asked(Kind::Insulin, dose("10", Units), container)).unwrap();
        let said = caution(&draw, CautionCode::StrengthNot100);
        assert!(said.loud && said.words.contains(&format!("{times} times as much")));
    }
    // A label that says the same in another volume.
    let per_half = Strength::labelled(
        dose("50", Units),
        Millilitres::from_thousandths(500).unwrap(),
    );
    assert_eq!(per_half, strength("100", Units));
    assert_eq!(per_half.to_string(), "50 units in 0.5 mL");
    let question = asked(Kind::Insulin, dose("10", Units), Container::Vial(per_half));
    assert!(drawn(&question).unwrap().cautions.is_empty());
    let heparin = other("5000", "5000", Units, "ml_1").unwrap();
    assert!(heparin.cautions.is_empty());
}

/// 12,000 units from 5,000 units/mL is 2.4 mL: more than any published limit of one place.
#[test]
fn past_the_limit_of_one_place_it_says_to_ask_and_divides_nothing() {
    let limits: Vec<_> = book()
        .site_limits()
        .iter()
        .map(|l| l.value.to_string())
        .collect();
    assert_eq!(limits, ["1 mL", "1.5 mL", "2 mL"]);
    assert_eq!(book().usual_site_limit().value.to_string(), "1 mL");
    for limit in book().site_limits() {
        let container = Container::Vial(strength("5000", Units));
        let mut question = asked(Kind::Other, dose("12000", Units), container);
        question.site_limit = limit;
        let draw = drawn(&question).unwrap();
        let said = caution(&draw, CautionCode::OverSiteLimit);
        assert!(
            said.loud
                && said
                    .words
                    .starts_with(&format!("2.4 mL is more than {}", limit.value))
        );
        assert!(said.source.contains("Nursing texts") && said.source.contains("Gradel"));
        // Neither half of the dose nor half of the volume is anywhere.
        let all = format!("{} {:?}", draw.words, draw.cautions);
        assert!(!all.contains("6,000") && !all.contains("1.2 mL"), "{all}");
    }
    // At the limit is not past it; a practice may set its own.
    let own = Sourced {
        value: Millilitres::from_thousandths(2_400).unwrap(),
        source: "policy of the practice".to_owned(),
    };
    let container = Container::Vial(strength("5000", Units));
    let mut question = asked(Kind::Other, dose("12000", Units), container);
    question.site_limit = &own;
    assert!(drawn(&question).unwrap().cautions.is_empty());
}

#[test]
fn units_are_never_turned_into_a_mass_and_micrograms_are_told_from_milligrams() {
    let vial = |text, unit| Container::Vial(strength(text, unit));
    for (amount, unit, container) in [
        ("40", Milligrams, vial("10000", Units)),
        ("4000", Units, vial("100", Milligrams)),
        ("4000", Units, vial("100", Micrograms)),
    ] {
        let error =
            measure(&asked(Kind::Other, dose(amount, unit), container), book()).unwrap_err();
        assert!(
            matches!(error, DoseVolumeError::UnitsDiffer { .. }),
            "{error}"
        );
    }
    for (amount, unit, container, words) in [
        ("250", Micrograms, vial("0.5", Milligrams), "0.5 mL"),
        ("0.25", Milligrams, vial("500", Micrograms), "0.5 mL"),
    ] {
        let draw = drawn(&asked(Kind::Other, dose(amount, unit), container)).unwrap();
        assert_eq!(draw.volume.to_string(), words);
        assert!(caution(&draw, CautionCode::MilligramsAndMicrograms).loud);
    }
}

#[test]
fn a_prefilled_syringe_is_given_whole_or_not_at_all() {
    let ask = |amount: Dose, holds| {
        measure(
            &asked(Kind::Other, amount, Container::Prefilled { holds }),
            book(),
        )
    };
    let forty = dose("40", Milligrams);
    for (holds, prefill, words) in [
        (
            Some(forty),
            Prefill::IsTheDose,
            "It holds 40 mg, which is the dose: measure nothing and give all of it.",
        ),
        (
            Some(dose("40000", Micrograms)),
            Prefill::IsTheDose,
            "It holds 40 mg, which is the dose: measure nothing and give all of it.",
        ),
        (
            None,
            Prefill::NotRead,
            "Read its label: it must say 40 mg. If it does, measure nothing and give all of it. If not, do not give it and ask.",
        ),
        (
            Some(dose("4000", Units)),
            Prefill::OtherUnit,
            "Its label says 4,000 units and the order 40 mg: whether that is the same is not known here. Check that it is the dose before giving; if it is, measure nothing and give all of it.",
        ),
    ] {
        let Ok(Answer::GiveAll(all)) = ask(forty, holds) else {
            panic!("{holds:?}");
        };
        assert_eq!((all.prefill, all.words.as_str()), (prefill, words));
    }
    let error = ask(forty, Some(dose("60", Milligrams)))
        .unwrap_err()
        .to_string();
    assert!(
        error.starts_with("this syringe holds 60 mg and the dose is 40 mg: do not give it"),
        "{error}"
    );
}

#[test]
fn a_volume_without_an_end_is_kept_as_a_fraction() {
    let volume = strength("300", Units).volume_of(dose("10", Units)).unwrap();
    assert_eq!(volume.fraction(), (1, 30));
    assert_eq!(volume.to_string(), "1/30 mL");
    assert_eq!(volume.rounded(2).to_string(), "0.03 mL");
    assert!(!volume.rounded(200).is_exact());
    let error = strength("300", Units)
        .dose_in(Millilitres::from_thousandths(1).unwrap(), Milligrams)
        .unwrap_err();
    assert!(matches!(error, DoseVolumeError::UnitsDiffer { .. }));
    let third = strength("1", Units)
        .volume_of(dose("0.001", Units))
        .unwrap();
    let error = strength("0.5", Units).dose_in(third, Units).unwrap_err();
    assert!(matches!(error, DoseVolumeError::NotADose { .. }), "{error}");
}

#[test]
fn the_shipped_syringes_are_as_published() {
    // Patient leaflet on insulin technique: 0.3 mL to 30 units, 0.5 mL to 50, 1 mL to 100. Diabetes in Control 2019: the
    // syringe for 500 units/mL in steps of 5 units to 250.
    for (code, holds, line, lines) in [
        ("u100_0_3_half", "0.3 mL", "0.005 mL", 60),
        ("u100_0_3", "0.3 mL", "0.01 mL", 30),
        ("u100_0_5", "0.5 mL", "0.01 mL", 50),
        ("u100_1", "1 mL", "0.02 mL", 50),
        ("u500_0_5", "0.5 mL", "0.01 mL", 50),
        ("ml_1", "1 mL", "0.01 mL", 100),
        ("ml_2", "2 mL", "0.1 mL", 20),
        ("ml_2_5", "2.5 mL", "0.1 mL", 25),
        ("ml_3", "3 mL", "0.1 mL", 30),
    ] {
        let syringe = syringe(code);
        assert_eq!(syringe.holds().to_string(), holds, "{code}");
        assert_eq!(syringe.line().to_string(), line, "{code}");
        assert_eq!(syringe.lines(), lines, "{code}");
        assert!(!syringe.holds_source.is_empty() && !syringe.line_source.is_empty());
    }
    assert_eq!(book().syringes().len(), 9);
    for medicine in Book::shipped().medicines() {
        let insulin = medicine.id.starts_with("insulin-");
        assert_eq!(
            Kind::of(medicine) == Kind::Insulin,
            insulin,
            "{}",
            medicine.id
        );
    }
}

#[test]
fn a_book_without_its_sources_or_with_odd_lines_is_refused() {
    let text = include_str!("../../data/syringes.toml");
    let refused = |from: &str, to: &str| {
        assert!(text.contains(from), "the fault was not put in: {from}");
        SyringeBook::read(&text.replacen(from, to, 1))
            .unwrap_err()
            .to_string()
    };
    assert!(SyringeBook::read(text).is_ok());
    for (from, to, says) in [
        ("\"insulin_leaflet\" }", "\"somebody\" }", "somebody"),
        (
            "pen = \"npsa_rrr013_and_psa_2016\"",
            "pen = \"\"",
            "not in [sources]",
        ),
        (", source = \"insulin_leaflet\" }", " }", "cannot be read"),
        ("value = \"0.5\"", "value = \"0.7\"", "0.7"),
        ("value = \"0.5\"", "value = \"0\"", "cannot be used"),
        ("value = \"0.5\"", "value = \"half\"", "half"),
        ("units_per_ml = 100", "units_per_ml = 0", "cannot be used"),
        ("default_ml = \"1\"", "default_ml = \"3\"", "default_ml"),
        (
            "code = \"u100_0_3_half\"",
            "code = \"a\"\ncolour = \"orange\"",
            "colour",
        ),
    ] {
        let error = refused(from, to);
        assert!(error.contains(says), "{from} -> {to}: {error}");
    }
    assert!(matches!(
        Syringe::marked_in_ml(1_000, 300),
        Err(DoseVolumeError::Lines { .. })
    ));
    for bad in [0, -5, 1_000_001] {
        assert!(matches!(
            Syringe::marked_in_ml(bad, 10),
            Err(DoseVolumeError::VolumeRange { .. })
        ));
    }
}

#[test]
fn units_are_in_full_in_every_sentence() {
    let digit_then_letter = |words: &str| {
        let bytes = words.as_bytes();
        (1..bytes.len()).any(|n| {
            let letter = bytes[n] == b'U' && bytes[..n].trim_ascii_end().ends_with_digit();
            letter
                && !bytes
                    .get(n + 1)
                    .is_some_and(|b| b.is_ascii_alphabetic() || *b == b'-')
        })
    };
    assert!(digit_then_letter(concat!("give 4 ", "U now")));
    for (units, per_ml, code) in [
        ("200", "500", "u100_1"),
        ("31.5", "100", "u100_0_3"),
        ("300", "500", "u500_0_5"),
    ] {
        let draw = insulin(units, per_ml, code).unwrap();
        let said = draw.cautions.iter().map(|c| c.words.as_str());
        for words in said.chain([draw.words.as_str()]) {
            assert!(!digit_then_letter(words), "{words}");
        }
    }
}

trait EndsWithDigit {
    fn ends_with_digit(&self) -> bool;
}

impl EndsWithDigit for [u8] {
    fn ends_with_digit(&self) -> bool {
        self.last().is_some_and(u8::is_ascii_digit)
    }
}
