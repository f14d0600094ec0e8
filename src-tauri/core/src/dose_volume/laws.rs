//! What holds for every dose, strength and syringe.

use proptest::prelude::*;

use super::exact::Exact;
use super::*;
use crate::units::DoseUnit::{self, Units};

fn units(thousandths: i64) -> Dose {
    Dose::from_thousandths(thousandths, Units).unwrap()
}

fn any_dose() -> impl Strategy<Value = Dose> {
    (1_i64..=100_000_000).prop_map(units)
}

/// An amount in any volume that a label may name.
fn any_strength() -> impl Strategy<Value = Strength> {
    (1_i64..=100_000_000, 1_i64..=Millilitres::MAX_THOUSANDTHS).prop_map(|(amount, ml)| {
        Strength::labelled(units(amount), Millilitres::from_thousandths(ml).unwrap())
    })
}

/// A syringe with lines from a thousandth of a millilitre, and any number of them.
fn any_syringe() -> impl Strategy<Value = Syringe> {
    (1_i64..=500, 1_i64..=200)
        .prop_map(|(line, lines)| Syringe::marked_in_ml(line * lines, line).unwrap())
}

proptest! {
    #[test]
    fn a_dose_comes_back_from_its_volume_exactly(dose in any_dose(), strength in any_strength()) {
        let volume = strength.volume_of(dose).unwrap();
        prop_assert_eq!(strength.dose_in(volume, Units).unwrap(), dose);
    }

    #[test]
    fn so_it_does_across_milligrams_and_micrograms(
        dose in 1_i64..=100_000_000,
        amount in 1_i64..=100_000_000,
        swap in any::<bool>(),
    ) {
        let (mg, mcg) = (DoseUnit::Milligrams, DoseUnit::Micrograms);
        let (of_dose, of_label) = if swap { (mg, mcg) } else { (mcg, mg) };
        let dose = Dose::from_thousandths(dose, of_dose).unwrap();
        let strength = Strength::per_ml(Dose::from_thousandths(amount, of_label).unwrap());
        let volume = strength.volume_of(dose).unwrap();
        prop_assert_eq!(strength.dose_in(volume, of_dose).unwrap(), dose);
    }

    #[test]
    fn more_dose_is_more_volume(
        a in 1_i64..100_000_000,
        more in 1_i64..100_000_000,
        strength in any_strength(),
    ) {
        let b = (a + more).min(100_000_000);
        prop_assert!(strength.volume_of(units(a)).unwrap() < strength.volume_of(units(b)).unwrap());
    }

    #[test]
    fn a_stronger_medicine_is_less_volume(
        dose in any_dose(),
        a in 1_i64..100_000_000,
        more in 1_i64..100_000_000,
    ) {
        let b = (a + more).min(100_000_000);
        let volume = |amount| Strength::per_ml(units(amount)).volume_of(dose).unwrap();
        prop_assert!(volume(b) < volume(a));
    }

    #[test]
    fn rounding_is_half_up_and_within_half_of_the_last_place(
        dose in any_dose(),
        strength in any_strength(),
        decimals in 0_u8..=6,
    ) {
        let volume = strength.volume_of(dose).unwrap();
        let shown = volume.rounded(decimals);
        let place = Exact::new(1, 10_i128.pow(u32::from(decimals)));
        let off = shown.value() - volume.exact();
        // Half up: it may lie half a place above, never half a place below.
        prop_assert!(off <= place / 2 && off > -place / 2);
        prop_assert_eq!(shown.is_exact(), off == Exact::from_integer(0));
    }

    #[test]
    fn the_line_read_is_where_the_volume_is(volume in 1_i64..=150_000, syringe in any_syringe()) {
        let volume = Millilitres::from_thousandths(volume).unwrap();
        let line = syringe.line().exact();
        match syringe.reading(volume) {
            Reading::OnLine { lines_up, .. } => {
                prop_assert!((1..=syringe.lines()).contains(&lines_up));
                prop_assert_eq!(line * i128::from(lines_up), volume.exact());
            }
            Reading::Between { lines_up, .. } => {
                prop_assert!((0..syringe.lines()).contains(&lines_up));
                prop_assert!(line * i128::from(lines_up) < volume.exact());
                prop_assert!(line * i128::from(lines_up + 1) > volume.exact());
            }
            Reading::TooMuch { .. } => prop_assert!(volume > syringe.holds()),
        }
    }

    #[test]
    fn every_question_is_answered_or_refused_and_never_falls_over(
        dose in any_dose(),
        strength in any_strength(),
        insulin in any::<bool>(),
        syringe in 0_usize..10,
        decimals in any::<u8>(),
    ) {
        let book = SyringeBook::shipped();
        let question = Question {
            dose,
            kind: if insulin { Kind::Insulin } else { Kind::Other },
            container: Container::Vial(strength),
            syringe: book.syringes().get(syringe),
            site_limit: book.usual_site_limit(),
            decimals,
        };
        if let Ok(Answer::Draw(draw)) = measure(&question, book) {
            prop_assert_eq!(strength.dose_in(draw.volume, Units).unwrap(), dose);
            prop_assert_eq!(
                insulin && !strength.is_per_ml(100),
                draw.cautions.iter().any(|c| c.loud && c.code == CautionCode::StrengthNot100)
            );
        }
    }
}
