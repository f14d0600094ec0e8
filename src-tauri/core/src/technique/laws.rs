//! What holds for every needle, person and medicine.

use proptest::prelude::*;

use super::tests::{mm, usual};
use super::*;
use crate::medicines::Book;
use crate::site::Zone;

proptest! {
    #[test]
    fn a_lighter_grown_up_never_needs_less_of_a_fold(
        age in 18_u16..=110,
        height in 130.0_f64..210.0,
        weight in 30.0_f64..150.0,
        less in 0.0_f64..25.0,
        tenths in 30_u16..=130,
    ) {
        let lifts = |weight: f64| {
            let asked = Asked {
                age_years: Some(age),
                height_cm: Some(height),
                weight_kg: Some(weight),
                needle: mm(tenths),
                ..usual()
            };
            match advise(&asked, TechniqueBook::shipped()).unwrap().fold.value {
                Fold::Always => 2,
                Fold::Advised => 1,
                Fold::NotNeeded => 0,
                Fold::Unknown => panic!("everything is known"),
            }
        };
        prop_assert!(lifts(weight - less) >= lifts(weight));
    }

    #[test]
    fn everything_that_is_said_has_a_source_and_the_depth_never_passes_the_length(
        tenths in 30_u16..=400,
        device in 0_usize..3,
        zone in 0_usize..7,
        age in proptest::option::of(0_u16..=130),
        height in proptest::option::of(50.0_f64..=250.0),
        weight in proptest::option::of(1.0_f64..=400.0),
        late_pregnancy in any::<bool>(),
        which in any::<proptest::sample::Index>(),
    ) {
        let medicines: Vec<_> = Book::shipped().medicines().collect();
        let asked = Asked {
            needle: mm(tenths),
            device: Device::ALL[device],
            medicine: medicines[which.index(medicines.len())],
            zone: Zone::ALL[zone],
            age_years: age,
            height_cm: height,
            weight_kg: weight,
            late_pregnancy,
        };
        let got = advise(&asked, TechniqueBook::shipped()).unwrap();
        prop_assert!(got.depth_mm.is_none_or(|depth| depth <= asked.needle.mm()));
        prop_assert_eq!(got.depth_mm.is_none(), asked.device == Device::Prefilled);
        prop_assert!(got.cautions.iter().all(|c| !c.source.is_empty() && !c.words.is_empty()));
        prop_assert!(got.steps.iter().all(|s| !s.source.is_empty() && !s.words.is_empty()));
        prop_assert!(!got.angle.source.is_empty() && !got.fold.source.is_empty());
        // One way in, and the record last.
        let ways = got.steps.iter().filter(|s| s.id.starts_with("in_") && s.id != "in_date");
        prop_assert_eq!(ways.count(), 1);
        prop_assert_eq!(&got.steps.last().unwrap().id, "record");
    }
}
