//! Room on this skin: the published arithmetic, what several orders ask together, and bad input answered in words.
#![allow(clippy::unwrap_used, clippy::pedantic, missing_docs)]

use std::time::{Duration, Instant};

use fallow_core::body::Body;
use fallow_core::medicines::{Book, Sourced};
use fallow_core::person::Sizes;
use fallow_core::plan::need::{Need, Treatment};
use fallow_core::plan::room::{Help, Person, Room, sustain};
use fallow_core::site::{Point, Zone};
use fallow_core::skin::{Finding, FindingKind, Noticed, Place};

fn treatment(id: &str, per_day: f64) -> Treatment<'static> {
    let medicine = Book::shipped().medicine(id).unwrap();
    Treatment {
        medicine,
        need: Need {
            per_day,
            rest_days: medicine.point_rest_days.value,
        },
    }
}

fn small() -> Sizes {
    Sizes {
        height_cm: Some(110.0),
        waist_cm: Some(52.0),
        thigh_cm: Some(32.0),
        upper_arm_cm: Some(16.0),
    }
}

fn ask(
    sizes: &Sizes,
    asked: &[Treatment<'_>],
    findings: &[Finding],
    zones: &[Zone],
    self_given: bool,
) -> Room {
    let body = Body::of(sizes);
    let person = Person {
        body: &body,
        book: Book::shipped(),
        navel_margin_cm: 2.5,
        findings,
        zones,
        self_given,
    };
    let started = Instant::now();
    let room = sustain(asked, &person);
    println!("{} ({:?})", room.words, started.elapsed());
    assert!(!room.words.is_empty());
    // A second in the release build; the test build is slower by far.
    assert!(
        started.elapsed() < Duration::from_secs(20),
        "too long to wait"
    );
    room
}

fn over(kind: FindingKind, zone: Zone, half: f64) -> Finding {
    let centre = Point {
        across_cm: 0.0,
        up_cm: 0.0,
    };
    let place = Place::ellipse(centre, half, half, 0.0).unwrap();
    let margin_cm = Sourced {
        value: 0.0,
        source: "test".into(),
    };
    Finding {
        id: "one".into(),
        kind,
        zone,
        place,
        margin_cm,
        noticed: Noticed::Felt,
        feel: None,
        found_on: chrono::NaiveDate::default(),
    }
}

#[test]
fn four_a_day_have_a_working_spacing_and_reserve() {
    // 4 a day for 28 days = 112 sites (computed, clinical arithmetic).
    let room = ask(
        &Sizes::default(),
        &[treatment("insulin-aspart-100", 4.0)],
        &[],
        &[],
        true,
    );
    assert_eq!(room.need_sites, 112);
    assert!(room.capacity_at_least_spacing > 700 && room.capacity_at_least_spacing <= room.ceiling);
    assert_eq!((room.shortfall, room.is_enough()), (0, true));
    let spacing = room.working_spacing_cm.unwrap();
    assert!((2.0..3.5).contains(&spacing), "{spacing}");
    assert!(
        room.words.starts_with("This skin can carry 4 a day at "),
        "{}",
        room.words
    );
    assert!(
        (room.weeks_of_reserve - (room.capacity_at_least_spacing - 112) as f64 / 28.0).abs() < 1e-9
    );
    // More a day, a narrower spacing.
    let six = ask(
        &Sizes::default(),
        &[treatment("insulin-aspart-100", 6.0)],
        &[],
        &[],
        true,
    );
    assert!(six.working_spacing_cm.unwrap() < spacing);
}

#[test]
fn a_small_body_is_told_what_the_next_injection_needs() {
    let room = ask(
        &small(),
        &[treatment("insulin-aspart-100", 4.0)],
        &[],
        &[],
        true,
    );
    assert!(room.is_enough(), "{room:?}");
    assert!(
        room.words.contains(" a day it needs the thighs too."),
        "{}",
        room.words
    );
    let most = (room.capacity_at_least_spacing as f64 / 28.0).floor();
    let over = ask(
        &small(),
        &[treatment("insulin-aspart-100", most + 1.0)],
        &[],
        &[],
        true,
    );
    assert!(!over.is_enough());
    let thighs = &over.remedies[0];
    assert!(
        thighs.covers
            && matches!(&thighs.what, Help::Zones { zones, with_helper: false } if zones.len() == 2),
        "{thighs:?}"
    );
    let with = ask(
        &small(),
        &[treatment("insulin-aspart-100", most + 1.0)],
        &[],
        &[Zone::Abdomen, Zone::LeftThigh, Zone::RightThigh],
        true,
    );
    assert!(with.is_enough());
    assert_eq!(
        with.capacity_at_least_spacing,
        over.capacity_at_least_spacing + thighs.adds_sites
    );
}

#[test]
fn more_than_any_skin_carries_is_said_with_figures() {
    let room = ask(
        &Sizes::default(),
        &[treatment("insulin-aspart-100", 48.0)],
        &[],
        &[],
        true,
    );
    assert_eq!(room.need_sites, 1344);
    assert_eq!(room.shortfall, 1344 - room.capacity_at_least_spacing);
    assert!(
        room.words.contains("48 a day") && room.words.contains("no more than"),
        "{}",
        room.words
    );
    assert!(
        room.remedies
            .iter()
            .any(|r| matches!(r.what, Help::NavelMargin { .. }) && r.adds_sites > 0)
    );
    assert!(
        room.remedies
            .iter()
            .any(|r| matches!(r.what, Help::Rest { possible_days, .. } if possible_days < 28.0))
    );
    assert!(room.working_spacing_cm.is_none());
    assert!(room.weeks_of_reserve == 0.0);
}

#[test]
fn nothing_allowed_nothing_left_and_nothing_asked_are_answered() {
    let insulin = treatment("insulin-aspart-100", 4.0);
    let covered = [over(FindingKind::Redness, Zone::Abdomen, 150.0)];
    let room = ask(&Sizes::default(), &[insulin], &covered, &[], true);
    assert_eq!(
        (room.capacity_at_least_spacing, room.ceiling, room.shortfall),
        (0, 0, 112)
    );
    assert!(
        room.words
            .starts_with("No skin is left: margins and findings cover all of the abdomen."),
        "{}",
        room.words
    );
    assert!(
        room.remedies
            .iter()
            .any(|r| matches!(r.what, Help::Healed { .. }) && r.covers)
    );
    // Every zone covered.
    let all: Vec<Finding> = Zone::ALL
        .iter()
        .map(|z| over(FindingKind::Redness, *z, 150.0))
        .collect();
    let room = ask(&Sizes::default(), &[insulin], &all, &Zone::ALL, false);
    assert_eq!(room.capacity_at_least_spacing, 0);
    assert!(!room.is_enough());
    // No order.
    assert!(
        ask(&Sizes::default(), &[], &[], &[], true)
            .words
            .starts_with("No order")
    );
    assert!(
        ask(
            &Sizes::default(),
            &[treatment("methotrexate", 0.0)],
            &[],
            &[],
            true
        )
        .is_enough()
    );
    // No zone: a medicine that only goes where the person does not reach.
    let mut arms = Book::shipped().medicine("etanercept").unwrap().clone();
    arms.zones.value = vec![Zone::LeftArm];
    let need = Need {
        per_day: 1.0,
        rest_days: 28.0,
    };
    let room = ask(
        &Sizes::default(),
        &[Treatment {
            medicine: &arms,
            need,
        }],
        &[],
        &[],
        true,
    );
    assert!(room.words.starts_with("No zone is left"), "{}", room.words);
    assert!(matches!(
        &room.remedies[0].what,
        Help::Zones {
            with_helper: true,
            ..
        }
    ));
    // A spacing wider than the zone.
    let mut wide = arms.clone();
    wide.spacing_cm.value = 500.0;
    let room = ask(
        &Sizes::default(),
        &[Treatment {
            medicine: &wide,
            need,
        }],
        &[],
        &[],
        false,
    );
    assert_eq!((room.capacity_at_least_spacing, room.shortfall), (1, 27));
}

#[test]
fn a_healed_lump_gives_back_its_sites() {
    let lump = [over(FindingKind::Lump, Zone::Abdomen, 6.0)];
    let insulin = treatment("insulin-aspart-100", 24.0);
    let room = ask(&Sizes::default(), &[insulin], &lump, &[], true);
    let clean = ask(&Sizes::default(), &[insulin], &[], &[], true);
    assert!(!room.is_enough() && clean.is_enough());
    let healed = room
        .remedies
        .iter()
        .find(|r| matches!(r.what, Help::Healed { .. }))
        .unwrap();
    assert!(healed.covers && healed.words.contains("lump"), "{healed:?}");
    assert!(healed.adds_sites >= clean.capacity_at_least_spacing - room.capacity_at_least_spacing);
    // A scar does not heal.
    let scar = [over(FindingKind::Scar, Zone::Abdomen, 6.0)];
    let room = ask(&Sizes::default(), &[insulin], &scar, &[], true);
    assert!(
        room.remedies
            .iter()
            .all(|r| !matches!(r.what, Help::Healed { .. }))
    );
}

#[test]
fn several_orders_share_the_skin_and_each_keeps_its_rules() {
    let basal = treatment("insulin-glargine-100", 1.0);
    let bolus = treatment("insulin-aspart-100", 3.0);
    let one = ask(
        &Sizes::default(),
        &[treatment("insulin-aspart-100", 4.0)],
        &[],
        &[],
        true,
    );
    let two = ask(&Sizes::default(), &[basal, bolus], &[], &[], true);
    // One class: four a day, however they are called.
    assert_eq!(
        (two.need_sites, two.working_spacing_cm),
        (one.need_sites, one.working_spacing_cm)
    );
    let three = ask(
        &Sizes::default(),
        &[basal, bolus, treatment("enoxaparin", 1.0)],
        &[],
        &[],
        true,
    );
    assert!(three.need_sites > two.need_sites + 7);
    assert!(three.working_spacing_cm.unwrap() < two.working_spacing_cm.unwrap());
    // The one that only goes into the abdomen must find its sites there, however large the thighs are.
    let heparin = ask(
        &Sizes::default(),
        &[bolus, treatment("enoxaparin", 40.0)],
        &[],
        &[Zone::Abdomen, Zone::LeftThigh, Zone::RightThigh],
        true,
    );
    assert!(!heparin.is_enough(), "{heparin:?}");
}

#[test]
fn a_medicine_that_rests_whole_zones_needs_enough_of_them() {
    let daily = treatment("glatiramer", 1.0);
    let few = ask(
        &Sizes::default(),
        &[daily],
        &[],
        &[Zone::Abdomen, Zone::LeftThigh],
        false,
    );
    assert!(!few.is_enough() && few.shortfall == 0);
    assert!(
        few.words
            .contains("7 areas are needed in turn, and 2 are in use"),
        "{}",
        few.words
    );
    assert!(ask(&Sizes::default(), &[daily], &[], &[], false).is_enough());
}
