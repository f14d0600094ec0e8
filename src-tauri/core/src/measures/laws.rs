//! Laws of the measures, over made-up records: intervals, mirror images, arrival in any order, and agreement with
//! the check.

use proptest::prelude::*;

use super::tests::Place::{At, In};
use super::tests::{allowed, ask, body, given, sound};
use super::*;
use crate::rules::{Proposal, Skin, check};

/// One that asks rest of a point, one with a wide spacing, one that asks rest of the zone.
const MEDICINES: [&str; 3] = ["insulin-aspart-100", "etanercept", "glatiramer"];

prop_compose! {
    /// A record in the abdomen and both thighs, some of it known only to the quadrant. Points are symmetric about no
    /// line by chance, so a quadrant never changes under the mirror for lying on a cut.
    fn record()(
        entries in prop::collection::vec((0usize..3, 0.01f64..9.0, -6.0f64..6.0, any::<bool>(), 0usize..5, 0i64..1800, 0usize..3), 0..60),
    ) -> Vec<Past> {
        entries
            .into_iter()
            .enumerate()
            .map(|(n, (zone, across, up, left, kind, hours, medicine))| {
                let zone = [Zone::Abdomen, Zone::LeftThigh, Zone::RightThigh][zone];
                let place = match (kind, zone) {
                    (0, _) => In(zone.quadrants()[n % 4]),
                    (_, Zone::Abdomen) => At(if left { across } else { -across }, up),
                    _ => At(across, up + 17.0),
                };
                let mut past = given(n, zone, place, hours);
                past.medicine = MEDICINES[medicine].into();
                past
            })
            .collect()
    }
}

fn mirrored(past: &Past) -> Past {
    let mut past = past.clone();
    if past.site.zone == Zone::Abdomen {
        past.site.quadrant =
            Zone::Abdomen.quadrant_at(past.site.quadrant.is_upper(), !past.site.quadrant.is_far());
        if let Some(p) = past.site.point.as_mut() {
            p.across_cm = -p.across_cm;
        }
    }
    past.site.zone = past.site.zone.mirrored();
    past
}

/// The allowed skin, mirrored by the program's own zones: symmetric, so the same.
fn ours() -> Vec<(Zone, MultiPolygon<f64>)> {
    allowed(&[Zone::Abdomen, Zone::LeftThigh, Zone::RightThigh])
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6 * a.abs().max(1.0)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn an_interval_contains_its_share(of in 1usize..100_000, part in 0.0f64..=1.0) {
        let kept = (of as f64 * part) as usize;
        let s = Share::new(kept, of).unwrap();
        prop_assert!(0.0 <= s.low && s.low <= s.share && s.share <= s.high && s.high <= 1.0);
        let turned = Share::new(of - kept, of).unwrap();
        prop_assert!(near(turned.low, 1.0 - s.high) && near(turned.high, 1.0 - s.low));
    }

    #[test]
    fn evenness_is_between_none_and_all(counts in prop::collection::vec(0usize..50, 0..30)) {
        if let Some(e) = evenness(&counts) {
            prop_assert!((0.0..=1.0).contains(&e));
            let mut turned = counts.clone();
            turned.reverse();
            prop_assert!(near(evenness(&turned).unwrap(), e));
        }
    }

    /// A check made at the time would have said the same, injection for injection.
    #[test]
    fn kept_and_broken_agree_with_the_check(past in record()) {
        let (body, book) = (body(), Book::shipped());
        let all = History::new(past.clone()).all().to_vec();
        let (mut spacing, mut rest) = ([0usize; 3], [0usize; 3]);
        for (i, p) in all.iter().enumerate().filter(|(_, p)| p.site.point.is_some()) {
            let history = History::new(all[..i].to_vec());
            let skin = Skin { body, history: &history, book, navel_margin_cm: 1.0, findings: &[] };
            let medicine = book.medicine(&p.medicine).unwrap();
            let proposal = Proposal { site: p.site, at: p.given_at, medicine, self_given: false };
            let reasons = check(&proposal, &skin);
            let says = |rule: &str, high: bool| {
                reasons.iter().any(|r| r.rule == rule && r.measured.is_some_and(|m| m.high.is_some() == high))
            };
            let unsure = says("spacing", true);
            let place = |broken: bool| if broken { 1 } else if unsure { 2 } else { 0 };
            spacing[place(says("spacing", false))] += 1;
            rest[place(says("point_rest", false) || says("zone_rest", false))] += 1;
        }
        let m = ask(past, &ours(), 90);
        for (want, got) in [(spacing, m.spacing.value), (rest, m.rest.value)] {
            match got {
                None => prop_assert_eq!(want[0] + want[1], 0),
                Some(k) => prop_assert_eq!(want, [k.share.kept, k.share.of - k.share.kept, k.unknown]),
            }
        }
    }

    /// The mirrored record has the same measures, with the sides swapped.
    #[test]
    fn a_mirror_image_measures_the_same(past in record()) {
        let (a, b) = (ask(past.clone(), &ours(), 90), ask(past.iter().map(mirrored).collect(), &ours(), 90));
        sound(&a);
        let kept = |k: &Told<Kept>| k.value.map(|k| (k.share, k.unknown));
        prop_assert_eq!(kept(&a.spacing), kept(&b.spacing));
        prop_assert_eq!(kept(&a.rest), kept(&b.rest));
        match (a.skin_used.value, b.skin_used.value) {
            (Some(x), Some(y)) => prop_assert!(near(x.used_cm2, y.used_cm2)),
            (x, y) => prop_assert_eq!(x, y),
        }
        prop_assert_eq!(a.busiest.value.map(|v| v.count), b.busiest.value.map(|v| v.count));
        prop_assert_eq!(a.longest_run.value.map(|v| v.count), b.longest_run.value.map(|v| v.count));
        for (zone, told) in &a.neighbours {
            let other = &b.neighbours.iter().find(|(z, _)| *z == zone.mirrored()).unwrap().1;
            match (told.value, other.value) {
                (Some(x), Some(y)) => prop_assert!(near(x.ratio, y.ratio) && x.count == y.count),
                (x, y) => prop_assert_eq!(x, y),
            }
        }
        match (a.sides.value, b.sides.value) {
            (Some(x), Some(y)) => {
                let swapped: Vec<_> = x.counts.iter().rev().map(|(s, n)| (s.other(), *n)).collect();
                prop_assert_eq!(swapped, y.counts);
                prop_assert!(near(x.evenness, y.evenness));
            }
            (x, y) => prop_assert_eq!(x, y),
        }
        match (a.quadrants.value, b.quadrants.value) {
            (Some(x), Some(y)) => prop_assert!(near(x.evenness, y.evenness)),
            (x, y) => prop_assert_eq!(x, y),
        }
    }

    /// Entries of one instant may arrive in any order.
    #[test]
    fn the_order_of_arrival_does_not_matter(past in record()) {
        let mut turned = past.clone();
        turned.reverse();
        prop_assert_eq!(ask(past, &ours(), 90), ask(turned, &ours(), 90));
    }
}
