//! Technique against the published values, and what is said where something is not known.

use super::*;
use crate::dose_volume::Kind;
use crate::medicines::{Book, Medicine};
use crate::site::Zone;

fn medicine(id: &str) -> &'static Medicine {
    Book::shipped().medicine(id).unwrap()
}

fn book() -> &'static TechniqueBook {
    TechniqueBook::shipped()
}

pub(super) fn mm(tenths: u16) -> NeedleLength {
    NeedleLength::from_tenths_of_mm(tenths).unwrap()
}

/// A grown-up of usual build (body mass index 24.2) with a 4 mm pen needle in the abdomen.
pub(super) fn usual() -> Asked<'static> {
    Asked {
        needle: mm(40),
        device: Device::PenNeedle,
        medicine: medicine("insulin-glargine-100"),
        zone: Zone::Abdomen,
        age_years: Some(50),
        height_cm: Some(170.0),
        weight_kg: Some(70.0),
        late_pregnancy: false,
    }
}

fn advice(asked: Asked<'_>) -> Advice {
    advise(&asked, book()).unwrap()
}

fn codes(advice: &Advice) -> Vec<CautionCode> {
    advice.cautions.iter().map(|c| c.code).collect()
}

fn ids(advice: &Advice) -> Vec<&str> {
    advice.steps.iter().map(|s| s.id.as_str()).collect()
}

/// Hirsch & Strauss 2019, Table 1 items 4-5 (4 mm pen needle at 90 degrees, 6 mm syringe needle; 12.7 mm for nobody; off 8 mm).
#[test]
fn lengths_are_advised_as_published() {
    use CautionCode as C;
    for (device, tenths, code, loud) in [
        (Device::PenNeedle, 40, None, false),
        (Device::PenNeedle, 50, Some(C::NotFirstChoice), false),
        (Device::PenNeedle, 60, Some(C::NotFirstChoice), false),
        (Device::PenNeedle, 80, Some(C::MoveOff), true),
        (Device::PenNeedle, 127, Some(C::ForNobody), true),
        (Device::SyringeNeedle, 60, None, false),
        (Device::SyringeNeedle, 80, Some(C::MoveOff), true),
        (Device::SyringeNeedle, 100, Some(C::MoveOff), true),
        (Device::SyringeNeedle, 127, Some(C::ForNobody), true),
    ] {
        let needle = mm(tenths);
        let got = advice(Asked {
            needle,
            device,
            ..usual()
        });
        let about_length = [C::NotFirstChoice, C::MoveOff, C::ForNobody];
        let said = got.cautions.iter().find(|c| about_length.contains(&c.code));
        assert_eq!(said.map(|c| c.code), code, "{device:?} {needle}");
        if let Some(said) = said {
            assert_eq!(said.loud, loud, "{device:?} {needle}");
            assert!(said.source.contains("Table 1 items 4-5"));
            let first = if device == Device::PenNeedle {
                "4 mm"
            } else {
                "6 mm"
            };
            assert!(
                said.words.contains(&format!("The first choice is {first}")),
                "{}",
                said.words
            );
        }
    }
    assert_eq!(mm(127).to_string(), "12.7 mm");
    assert_eq!(mm(40).to_string(), "4 mm");
}

/// Frid, Hirsch & Strauss 2018: 6 mm at 45 degrees reaches like 4 mm.
#[test]
fn six_slanting_reaches_like_four_straight() {
    let four = advice(usual());
    assert_eq!(four.angle.value.degrees(), Some(90));
    assert!(four.angle.source.starts_with("Hirsch LJ"));
    let six = advice(Asked {
        needle: mm(60),
        device: Device::SyringeNeedle,
        ..usual()
    });
    assert_eq!(six.angle.value.degrees(), Some(45));
    assert!(six.angle.source.starts_with("Frid, Hirsch, Strauss 2018"));
    let apart = six.depth_mm.unwrap() - four.depth_mm.unwrap();
    assert!(apart.abs() < 0.3, "{apart} mm");
    // Straight in it would not.
    assert!((mm(60).depth_mm(Angle::Straight).unwrap() - 6.0).abs() < 1e-9);
    assert!(ids(&four).contains(&"in_90") && ids(&six).contains(&"in_45"));
}

/// Hirsch & Strauss 2019, Table 1 item 6: always at 6 years or under, and in adults with a body mass index under 19.
#[test]
fn a_fold_is_always_lifted_where_the_table_says_so() {
    let item_6 = "Table 1 item 6";
    let size = |height, weight| (Some(height), Some(weight));
    for (age, (height, weight), tenths, value, source) in [
        (Some(0), (None, None), 40, Fold::Always, item_6),
        (Some(6), size(115.0, 20.0), 40, Fold::Always, item_6),
        (Some(7), size(120.0, 22.0), 40, Fold::NotNeeded, "items 4-5"),
        (
            Some(17),
            size(175.0, 52.0),
            40,
            Fold::NotNeeded,
            "items 4-5",
        ),
        (Some(18), size(175.0, 52.0), 40, Fold::Always, item_6),
        // A body mass index of exactly 19 is not under 19.
        (
            Some(40),
            size(200.0, 76.0),
            40,
            Fold::NotNeeded,
            "items 4-5",
        ),
        (Some(40), size(200.0, 75.9), 40, Fold::Always, item_6),
        (
            Some(40),
            size(170.0, 70.0),
            40,
            Fold::NotNeeded,
            "items 4-5",
        ),
        (
            Some(40),
            size(170.0, 70.0),
            60,
            Fold::Advised,
            "common practice",
        ),
        (
            Some(40),
            size(170.0, 70.0),
            80,
            Fold::Advised,
            "Hirsch L et al. 2014",
        ),
        (Some(4), size(105.0, 17.0), 80, Fold::Always, item_6),
    ] {
        let got = advice(Asked {
            age_years: age,
            height_cm: height,
            weight_kg: weight,
            needle: mm(tenths),
            ..usual()
        });
        let why = format!("{age:?} {height:?} {weight:?} {tenths}");
        assert_eq!(got.fold.value, value, "{why}");
        assert!(
            got.fold.source.contains(source),
            "{why}: {}",
            got.fold.source
        );
        assert_eq!(
            ids(&got).contains(&"fold"),
            value != Fold::NotNeeded,
            "{why}"
        );
        assert_eq!(
            ids(&got).contains(&"let_go"),
            value != Fold::NotNeeded,
            "{why}"
        );
    }
}

#[test]
fn an_unknown_age_or_size_is_said_and_never_assumed() {
    use Unknown as U;
    let asked = |age, height, weight, tenths| Asked {
        age_years: age,
        height_cm: height,
        weight_kg: weight,
        needle: mm(tenths),
        ..usual()
    };
    for (asked, value, unknown) in [
        (
            asked(None, Some(170.0), Some(70.0), 40),
            Fold::Unknown,
            vec![U::Age],
        ),
        // Light for a grown-up, usual for a child: without the age it says neither.
        (
            asked(None, Some(170.0), Some(45.0), 40),
            Fold::Unknown,
            vec![U::Age],
        ),
        (
            asked(None, None, None, 40),
            Fold::Unknown,
            vec![U::Age, U::BodyMassIndex],
        ),
        (
            asked(Some(50), None, Some(70.0), 40),
            Fold::Unknown,
            vec![U::BodyMassIndex],
        ),
        (
            asked(Some(50), Some(170.0), None, 40),
            Fold::Unknown,
            vec![U::BodyMassIndex],
        ),
        (asked(Some(10), None, None, 40), Fold::NotNeeded, vec![]),
        (asked(Some(5), None, None, 40), Fold::Always, vec![]),
        (
            asked(None, None, None, 80),
            Fold::Advised,
            vec![U::Age, U::BodyMassIndex],
        ),
    ] {
        let got = advice(asked);
        assert_eq!(got.fold.value, value, "{asked:?}");
        assert_eq!(got.unknown, unknown, "{asked:?}");
        assert_eq!(ids(&got).contains(&"fold_unknown"), value == Fold::Unknown);
    }
    let got = advice(asked(Some(50), None, None, 40));
    assert_eq!(
        got.fold.why,
        "Height or weight is not known: always in adults with a body mass index under 19."
    );
    let young = advice(asked(Some(12), None, None, 40));
    assert!(codes(&young).contains(&CautionCode::YoungPerson));
    let grown = advice(usual());
    assert!(!codes(&grown).contains(&CautionCode::YoungPerson));
}

/// Hirsch L et al. 2014: at 90 degrees without a fold, 8 mm 25 % thigh and 9.7 % abdomen, 4 mm 1.6 % and 0.1 %.
#[test]
fn the_risk_of_muscle_is_as_published_and_unknown_elsewhere() {
    for (tenths, zone, percent) in [
        (80, Zone::LeftThigh, Some(25.0)),
        (80, Zone::RightThigh, Some(25.0)),
        (80, Zone::Abdomen, Some(9.7)),
        (40, Zone::LeftThigh, Some(1.6)),
        (40, Zone::Abdomen, Some(0.1)),
        (60, Zone::Abdomen, None),
        (80, Zone::LeftArm, None),
        (40, Zone::RightButtock, None),
    ] {
        let got = advice(Asked {
            needle: mm(tenths),
            zone,
            ..usual()
        });
        let told = got.muscle_risk_percent.as_ref();
        assert_eq!(
            told.map(|r| (r.value * 10.0).round() as i32),
            percent.map(|p: f64| (p * 10.0).round() as i32)
        );
        assert!(told.is_none_or(|r| r.source.starts_with("Hirsch L et al. 2014")));
        assert_eq!(
            got.unknown.contains(&Unknown::MuscleRisk),
            percent.is_none()
        );
        let said = got
            .cautions
            .iter()
            .find(|c| c.code == CautionCode::MuscleRisk);
        assert_eq!(
            said.map(|c| c.words.contains("At 90 degrees without a fold")),
            percent.map(|_| true)
        );
    }
}

/// Gibney MA et al. 2010: skin arm 2.2, thigh 1.9, abdomen 2.2, buttock 2.4 mm; fat 10.8, 10.4, 13.9, 15.4 mm.
#[test]
fn tissue_is_as_measured_and_a_first_choice_needle_ends_in_the_fat() {
    for (zone, skin, fat) in [
        (Zone::LeftArm, 2.2, 10.8),
        (Zone::RightThigh, 1.9, 10.4),
        (Zone::Abdomen, 2.2, 13.9),
        (Zone::LeftButtock, 2.4, 15.4),
    ] {
        let tissue = book().tissue(zone);
        assert!((tissue.value.skin_mm - skin).abs() < 1e-9, "{zone:?}");
        assert!((tissue.value.fat_mm - fat).abs() < 1e-9, "{zone:?}");
        for (device, tenths) in [(Device::PenNeedle, 40), (Device::SyringeNeedle, 60)] {
            let got = advice(Asked {
                device,
                needle: mm(tenths),
                zone,
                ..usual()
            });
            let depth = got.depth_mm.unwrap();
            assert!(depth > skin && depth < skin + fat, "{zone:?}: {depth} mm");
        }
    }
}

#[test]
fn the_steps_of_a_pen_come_in_the_order_of_the_work() {
    let got = advice(usual());
    assert_eq!(
        ids(&got),
        [
            "hands",
            "rights",
            "in_date",
            "new_needle",
            "prime",
            "dial",
            "look",
            "clean",
            "in_90",
            "count",
            "out",
            "sharps",
            "record"
        ]
    );
    // Gradel 2018 Table 4: keep the pen in while counting to 10.
    let count = got.count.unwrap();
    assert_eq!(count.value, 10);
    let step = got.steps.iter().find(|s| s.id == "count").unwrap();
    assert!(step.words.contains("counting to 10") && step.source.starts_with("Gradel"));
    let prime = got.steps.iter().find(|s| s.id == "prime").unwrap();
    assert_eq!(prime.source, "common practice, no source");
    // WHO 2009 was not read.
    assert!(got.steps[0].source.ends_with("(from memory)"));
    let syringe = advice(Asked {
        device: Device::SyringeNeedle,
        needle: mm(60),
        ..usual()
    });
    assert_eq!(
        ids(&syringe),
        [
            "hands", "rights", "in_date", "draw_up", "bubbles", "look", "clean", "fold", "in_45",
            "push", "out", "let_go", "sharps", "record"
        ]
    );
    assert!(syringe.count.is_none());
}

/// Gradel 2018 Table 4: cloudy insulin is rolled and tipped until evenly milky.
#[test]
fn cloudy_insulin_is_mixed_and_what_is_not_recorded_is_said() {
    for (id, step) in [
        ("insulin-human-nph-100", Some("mix")),
        ("insulin-human-zinc-100", Some("mix")),
        ("insulin-human-regular-100", None),
        ("insulin-glargine-300", None),
        ("semaglutide", Some("mix_unknown")),
    ] {
        for device in [Device::PenNeedle, Device::SyringeNeedle] {
            let got = advice(Asked {
                medicine: medicine(id),
                device,
                ..usual()
            });
            let mixes = ids(&got).into_iter().find(|s| s.starts_with("mix"));
            assert_eq!(mixes, step, "{id}");
            assert_eq!(
                got.unknown.contains(&Unknown::Cloudy),
                step == Some("mix_unknown")
            );
            if step == Some("mix") {
                let place = |id: &str| ids(&got).iter().position(|s| *s == id);
                let before = ["dial", "draw_up"].iter().find_map(|id| place(id));
                assert!(place("mix") < before, "mixed before the dose is measured");
                let mix = got.steps.iter().find(|s| s.id == "mix").unwrap();
                assert!(mix.words.contains("evenly milky") && mix.source.starts_with("Gradel"));
            }
        }
    }
}

/// Hospital leaflet, enoxaparin at home: keep the air bubble of a full prefilled dose, do not rub.
#[test]
fn the_bubble_of_prefilled_enoxaparin_stays_in() {
    let prefilled = |id| {
        advice(Asked {
            medicine: medicine(id),
            device: Device::Prefilled,
            needle: mm(127),
            ..usual()
        })
    };
    let got = prefilled("enoxaparin");
    assert_eq!(
        ids(&got),
        [
            "hands",
            "rights",
            "in_date",
            "keep_bubble",
            "look",
            "clean",
            "fold_unknown",
            "in_leaflet",
            "push",
            "out",
            "do_not_rub",
            "sharps",
            "record"
        ]
    );
    let bubble = &got.steps[3];
    assert!(bubble.words.contains("Leave the air bubble") && bubble.source.contains("enoxaparin"));
    // Its needle is nobody's choice, so the lengths for insulin do not speak of it.
    assert_eq!(got.angle.value, Angle::AsLeaflet);
    assert_eq!((got.depth_mm, got.fold.value), (None, Fold::Unknown));
    assert_eq!(
        codes(&got),
        [
            CautionCode::PrefilledNeedle,
            CautionCode::PublishedForInsulin
        ]
    );
    let got = prefilled("adalimumab");
    assert!(ids(&got).contains(&"bubble_unknown") && !ids(&got).contains(&"do_not_rub"));
    // From a vial the bubble goes out as ever.
    let vial = advice(Asked {
        medicine: medicine("enoxaparin"),
        device: Device::SyringeNeedle,
        ..usual()
    });
    assert!(ids(&vial).contains(&"bubbles") && !ids(&vial).contains(&"keep_bubble"));
}

#[test]
fn late_pregnancy_and_the_arm_are_spoken_of_where_they_matter() {
    let got = advice(Asked {
        late_pregnancy: true,
        ..usual()
    });
    assert_eq!(got.fold.value, Fold::Always);
    assert!(got.fold.source.contains("third trimester"));
    let said = got
        .cautions
        .iter()
        .find(|c| c.code == CautionCode::LatePregnancy)
        .unwrap();
    assert!(said.words.contains("away from the navel"));
    let thigh = advice(Asked {
        late_pregnancy: true,
        zone: Zone::LeftThigh,
        ..usual()
    });
    assert_eq!(thigh.fold.value, Fold::NotNeeded);
    assert!(!codes(&thigh).contains(&CautionCode::LatePregnancy));

    let arm = |tenths| {
        advice(Asked {
            zone: Zone::RightArm,
            needle: mm(tenths),
            ..usual()
        })
    };
    assert!(codes(&arm(60)).contains(&CautionCode::ArmNeedsHelper));
    assert!(!codes(&arm(40)).contains(&CautionCode::ArmNeedsHelper));
}

#[test]
fn what_nobody_has_is_refused_with_what_to_do() {
    let refused = |asked: Asked<'_>| advise(&asked, book()).unwrap_err().to_string();
    for (asked, says) in [
        (
            Asked {
                age_years: Some(131),
                ..usual()
            },
            "check the date of birth",
        ),
        (
            Asked {
                height_cm: Some(1.7),
                ..usual()
            },
            "height must be from 50 to 250 cm",
        ),
        (
            Asked {
                height_cm: Some(f64::NAN),
                ..usual()
            },
            "height must be a number",
        ),
        (
            Asked {
                weight_kg: Some(0.0),
                ..usual()
            },
            "weight must be from 1 to 400 kg",
        ),
        (
            Asked {
                weight_kg: Some(f64::INFINITY),
                ..usual()
            },
            "weight must be a number",
        ),
    ] {
        let error = refused(asked);
        assert!(error.contains(says), "{error}");
    }
    for tenths in [0, 29, 401, u16::MAX] {
        let error = NeedleLength::from_tenths_of_mm(tenths)
            .unwrap_err()
            .to_string();
        assert!(error.contains("read the length on its packet"), "{error}");
    }
}

#[test]
fn the_file_speaks_of_medicines_there_are_and_of_every_insulin() {
    let shipped = Book::shipped();
    for id in book().medicine_ids() {
        assert!(shipped.medicine(id).is_some(), "{id}");
    }
    for medicine in shipped.medicines().filter(|m| Kind::of(m) == Kind::Insulin) {
        assert!(
            book().medicine(&medicine.id).cloudy.is_some(),
            "{}",
            medicine.id
        );
    }
}

#[test]
fn a_value_or_a_step_without_a_source_is_refused() {
    let text = include_str!("../../data/technique.toml");
    assert!(TechniqueBook::read(text).is_ok());
    for (from, to, says) in [
        (
            "value = 4.0, source = \"hirsch_strauss_2019_needle\"",
            "value = 4.0",
            "source",
        ),
        (
            "source = \"hirsch_2014\" }",
            "source = \"somebody\" }",
            "somebody",
        ),
        (
            "source = \"gibney_2010\"",
            "source = \"\"",
            "not in [sources]",
        ),
        ("source = \"nmc_code\"", "source = \"nobody\"", "nobody"),
        (
            "late_pregnancy = \"late_pregnancy\"",
            "late_pregnancy = \"\"",
            "not in [sources]",
        ),
        ("value = 12.7", "value = 127.0", "for_nobody"),
        ("value = 12.7", "value = nan", "for_nobody"),
        ("degrees = { value = 90", "degrees = { value = 60", "60"),
        ("up_to_mm = 4.0", "up_to_mm = 39.0", "out of order"),
        ("value = 25.0", "value = 250.0", "muscle_risk"),
        ("part = \"thigh\"", "part = \"neck\"", "neck"),
        ("skin_mm = 2.2", "skin_mm = 0.0", "tissue"),
        (
            "on = [\"pen\", \"syringe\", \"prefilled\"]",
            "on = [\"pump\"]",
            "pump",
        ),
        ("when = \"cloudy\"", "when = \"sunny\"", "sunny"),
        (
            "id = \"enoxaparin\"",
            "id = \"insulin-detemir-100\"",
            "insulin-detemir-100",
        ),
    ] {
        assert!(text.contains(from), "the fault was not put in: {from}");
        let error = TechniqueBook::read(&text.replacen(from, to, 1))
            .unwrap_err()
            .to_string();
        assert!(error.contains(says), "{from} -> {to}: {error}");
    }
}
