//! The measures of made-up records: what is counted, what cannot be, and what a mirror image gives.

use std::sync::LazyLock;

use chrono::Duration;

use super::*;
use crate::person::Sizes;
use crate::site::Site;

fn start() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2026-03-02T08:00:00+01:00").unwrap()
}

pub(super) fn body() -> &'static Body {
    static BODY: LazyLock<Body> = LazyLock::new(|| Body::of(&Sizes::default()));
    &BODY
}

/// Skin outside the fixed margins, in the zones named.
pub(super) fn allowed(zones: &[Zone]) -> Vec<(Zone, MultiPolygon<f64>)> {
    let body = body();
    let whole = |zone: Zone| {
        let patch = body.patch(zone);
        MultiPolygon::new(
            zone.quadrants()
                .into_iter()
                .flat_map(|q| patch.allowed_outline(q).0)
                .collect(),
        )
    };
    zones.iter().map(|z| (*z, whole(*z))).collect()
}

pub(super) fn given(n: usize, zone: Zone, place: Place, hours: i64) -> Past {
    let body = body();
    let (quadrant, point) = match place {
        Place::At(across_cm, up_cm) => {
            let point = Point { across_cm, up_cm };
            (body.patch(zone).quadrant_of(point), Some(point))
        }
        Place::In(quadrant) => (quadrant, None),
    };
    Past {
        id: format!("{n:06}"),
        medicine: "insulin-aspart-100".into(),
        class: "insulin".into(),
        site: Site {
            zone,
            quadrant,
            point,
        },
        given_at: start() + Duration::hours(hours),
    }
}

/// When the `n`-th of injections so many hours apart is given.
fn hours(n: usize, apart: i64) -> i64 {
    i64::try_from(n).unwrap() * apart
}

#[derive(Clone, Copy)]
pub(super) enum Place {
    At(f64, f64),
    In(Quadrant),
}
use Place::{At, In};

pub(super) fn ask(past: Vec<Past>, allowed: &[(Zone, MultiPolygon<f64>)], days: u32) -> Measures {
    let (body, history) = (body(), History::new(past));
    measure(&Question {
        body,
        history: &history,
        book: Book::shipped(),
        allowed,
        period: Period {
            from: start().date_naive(),
            to: start().date_naive() + Days::new(u64::from(days)),
        },
        seed: 7,
    })
}

/// No figure of any measure is NaN or endless, and every measure says something.
pub(super) fn sound(m: &Measures) {
    let text = format!("{m:?}");
    for bad in ["NaN", "inf", "words: \"\""] {
        assert!(!text.contains(bad), "{bad} in {text}");
    }
}

#[test]
fn nothing_given_is_unknown_and_never_zero() {
    for allowed in [allowed(&Zone::ALL), Vec::new()] {
        let m = ask(Vec::new(), &allowed, 27);
        sound(&m);
        assert_eq!((m.injections, m.quadrant_only), (0, 0));
        assert!(m.spacing.value.is_none() && m.rest.value.is_none());
        assert!(m.skin_used.value.is_none() && m.busiest.value.is_none());
        assert!(m.sides.value.is_none() && m.quadrants.value.is_none());
        assert!(m.longest_run.value.is_none() && m.neighbours.is_empty());
        for words in [
            &m.spacing.words,
            &m.rest.words,
            &m.skin_used.words,
            &m.sides.words,
            &m.quadrants.words,
            &m.longest_run.words,
            &m.busiest.words,
        ] {
            assert_eq!(words, "No injections in this period.");
        }
    }
}

#[test]
fn one_injection_has_a_share_and_a_place_and_no_spread_or_balance() {
    let m = ask(
        vec![given(0, Zone::Abdomen, At(6.0, -3.0), 0)],
        &allowed(&[Zone::Abdomen]),
        27,
    );
    sound(&m);
    let spacing = m.spacing.value.unwrap();
    assert_eq!((spacing.share.kept, spacing.share.of), (1, 1));
    assert_eq!(
        m.spacing.words,
        "1 of 1 injection (100 %) kept their spacing from skin still resting; from this many, the habit behind it \
         is likely between 21 % and 100 %."
    );
    let used = m.skin_used.value.unwrap();
    assert!(
        (used.used_cm2 - std::f64::consts::PI / 4.0).abs() < 5e-3,
        "{used:?}"
    );
    assert_eq!(m.neighbours.len(), 1);
    assert!(m.neighbours[0].1.value.is_none());
    assert!(m.sides.value.is_none() && m.quadrants.value.is_none());
    assert_eq!(m.busiest.value.unwrap().count, 1);
    assert_eq!(
        m.longest_run.words,
        "No quadrant was used twice running; the first was abdomen, left lower quadrant, on 2 Mar 2026."
    );
}

#[test]
fn all_on_one_spot_is_broken_and_bunched() {
    let past = (0..40)
        .map(|n| given(n, Zone::Abdomen, At(6.0, -3.0), hours(n, 12)))
        .collect();
    let m = ask(past, &allowed(&[Zone::Abdomen]), 27);
    sound(&m);
    let spacing = m.spacing.value.unwrap();
    assert_eq!((spacing.share.kept, spacing.share.of), (1, 40));
    assert_eq!(spacing.worst, Some(0.0));
    assert_eq!(m.rest.value.unwrap().worst, Some(0.0));
    let neighbours = m.neighbours[0].1.value.unwrap();
    assert!(neighbours.ratio.abs() < 1e-12);
    assert!(m.neighbours[0].1.words.contains("more bunched than chance"));
    assert_eq!(m.busiest.value.unwrap().count, 40);
    assert!(m.quadrants.value.unwrap().evenness.abs() < 1e-12);
    assert_eq!(
        m.longest_run.words,
        "The longest run in one quadrant was 40 injections over 20 days, from 2 Mar 2026 to 21 Mar 2026: abdomen, \
         left lower quadrant."
    );
}

#[test]
fn quadrant_only_entries_are_counted_apart() {
    let past = (0..8)
        .map(|n| {
            given(
                n,
                Zone::Abdomen,
                In(Zone::Abdomen.quadrants()[n % 4]),
                hours(n, 24),
            )
        })
        .collect();
    let m = ask(past, &allowed(&[Zone::Abdomen]), 27);
    sound(&m);
    assert_eq!((m.injections, m.quadrant_only), (8, 8));
    assert!(m.spacing.value.is_none() && m.rest.value.is_none());
    assert!(m.skin_used.value.is_none() && m.busiest.value.is_none());
    assert!(m.neighbours.is_empty());
    assert_eq!(
        m.spacing.words,
        "8 injections in this period, known only to the quadrant: whether spacing was kept cannot be known."
    );
    // What a quadrant is enough for is measured.
    assert!((m.quadrants.value.unwrap().evenness - 1.0).abs() < 1e-12);
    assert!((m.sides.value.unwrap().evenness - 1.0).abs() < 1e-12);
    assert_eq!(m.longest_run.value.unwrap().count, 1);
}

#[test]
fn an_entry_without_a_point_nearby_makes_spacing_unknown_unless_it_is_broken_anyway() {
    let past = vec![
        given(0, Zone::Abdomen, In(Quadrant::LeftLower), 0),
        given(1, Zone::Abdomen, At(6.0, -3.0), 24),
        given(2, Zone::Abdomen, At(6.4, -3.0), 48),
        given(3, Zone::Abdomen, At(-6.0, 3.0), 72),
        given(4, Zone::Abdomen, At(6.0, -5.0), 24 * 28),
    ];
    let m = ask(past, &allowed(&[Zone::Abdomen]), 40);
    let spacing = m.spacing.value.unwrap();
    // 1 cannot be known, 2 is 0.4 cm from 1, 3 is in another quadrant, 4 comes when 0 has rested.
    assert_eq!(
        (spacing.share.kept, spacing.share.of, spacing.unknown),
        (2, 3, 1)
    );
    assert!((spacing.worst.unwrap() - 0.4).abs() < 1e-9);
    assert_eq!(m.rest.value.unwrap().worst, Some(1.0));
    assert!(
        m.rest.words.ends_with(
            "The shortest rest was 1 day. Of 1 more it cannot be known. Not counted: 1 known only to the quadrant."
        ),
        "{}",
        m.rest.words
    );
    assert!(m.skin_used.words.starts_with("At least "));
}

#[test]
fn the_days_before_the_period_count_as_rest_and_not_as_injections() {
    let past = vec![
        given(0, Zone::Abdomen, At(6.0, -3.0), -48),
        given(1, Zone::Abdomen, At(6.0, -3.0), 24),
        given(2, Zone::Abdomen, At(6.0, -3.0), 24 * 60),
    ];
    let m = ask(past, &allowed(&[Zone::Abdomen]), 27);
    assert_eq!(m.injections, 1);
    assert_eq!(m.spacing.value.unwrap().share.kept, 0);
    assert_eq!(m.rest.value.unwrap().worst, Some(3.0));
}

#[test]
fn a_medicine_without_rules_is_unknown() {
    let mut past = given(0, Zone::Abdomen, At(6.0, -3.0), 0);
    past.medicine = "no-such-medicine".into();
    let m = ask(vec![past], &allowed(&[Zone::Abdomen]), 27);
    sound(&m);
    assert!(m.spacing.value.is_none() && m.skin_used.value.is_none());
    assert_eq!(
        m.spacing.words,
        "1 injection in this period, but whether spacing was kept cannot be known."
    );
}

#[test]
fn skin_that_is_no_skin_is_unknown() {
    let line = geo::LineString::from(vec![(0.0, 0.0), (5.0, 5.0), (0.0, 0.0)]);
    let flat = MultiPolygon::new(vec![geo::Polygon::new(line, Vec::new())]);
    let nan = geo::LineString::from(vec![(0.0, 0.0), (f64::NAN, 5.0), (3.0, 0.0)]);
    let nan = MultiPolygon::new(vec![geo::Polygon::new(nan, Vec::new())]);
    for skin in [MultiPolygon::new(Vec::new()), flat, nan] {
        let past = (0..9)
            .map(|n| given(n, Zone::Abdomen, At(n as f64, -3.0), hours(n, 1)))
            .collect();
        let m = ask(past, &[(Zone::Abdomen, skin)], 27);
        sound(&m);
        assert!(m.skin_used.value.is_none());
        assert_eq!(
            m.neighbours[0].1.words,
            "Abdomen: no skin is allowed here, so spread cannot be measured."
        );
        assert_eq!(m.spacing.value.unwrap().share.of, 9);
    }
}

/// The same piece of skin twice cancels out in the even-odd sense: nothing to throw at, and no endless loop.
#[test]
fn overlapping_skin_ends() {
    let mut skin = allowed(&[Zone::LeftThigh]).remove(0).1;
    skin.0.extend(skin.0.clone());
    let past = (0..30)
        .map(|n| {
            given(
                n,
                Zone::LeftThigh,
                At(5.0, 15.0 + n as f64 * 0.5),
                hours(n, 1),
            )
        })
        .collect();
    sound(&ask(past, &[(Zone::LeftThigh, skin)], 27));
}

#[test]
fn ten_years_take_no_wait() {
    let zones = [Zone::Abdomen, Zone::LeftThigh, Zone::RightThigh];
    let past: Vec<Past> = (0..14_600)
        .map(|n| {
            let place = At((n * 7 % 41) as f64 * 0.3, (n * 11 % 37) as f64 * 0.3 + 12.0);
            let place = if n % 3 == 0 {
                At(
                    (n * 7 % 41) as f64 * 0.4 - 8.0,
                    (n * 11 % 37) as f64 * 0.3 - 6.0,
                )
            } else if n % 7 == 1 {
                In(zones[n % 3].quadrants()[n % 4])
            } else {
                place
            };
            given(n, zones[n % 3], place, hours(n, 6))
        })
        .collect();
    let m = ask(past, &allowed(&zones), 3660);
    sound(&m);
    assert_eq!(m.injections, 14_600);
    assert!(m.quadrant_only > 1000);
    assert_eq!(m.neighbours.len(), 3);
}

#[test]
fn a_perfect_lattice_is_more_even_than_chance() {
    let skin = geo::Rect::new((-12.0, 2.0), (-2.0, 12.0)).to_polygon();
    let mut past = Vec::new();
    for row in 0..11 {
        for column in 0..10 {
            let across = -11.8 + f64::from(column) + 0.5 * f64::from(row % 2);
            let up = 2.4 + f64::from(row) * 3f64.sqrt() / 2.0;
            let n = past.len();
            past.push(given(n, Zone::Abdomen, At(across, up), hours(n, 6)));
        }
    }
    let m = ask(past, &[(Zone::Abdomen, MultiPolygon::new(vec![skin]))], 40);
    let spread = m.neighbours[0].1.value.unwrap();
    assert_eq!(spread.correction, Correction::Donnelly);
    assert!(spread.ratio > spread.random.1, "{spread:?}");
    assert!(m.neighbours[0].1.words.contains("more evenly spread"));
    let used = m.skin_used.value.unwrap().share;
    // 110 discs of half a centimetre on 100 cm², a few of them cut by the edge.
    assert!(used > 0.8 && used < 0.8640, "{used}");
    assert_eq!(m.spacing.value.unwrap().share.kept, 110);
    assert_eq!(m.busiest.value.unwrap().count, 2);
}

#[test]
fn evenness_needs_as_many_injections_as_places() {
    for (counts, want) in [
        (vec![], None),
        (vec![5], None),
        (vec![0, 0], None),
        (vec![1, 0], None),
        (vec![2, 0], Some(0.0)),
        (vec![1, 1], Some(1.0)),
        (vec![1, 1, 1, 0], None),
    ] {
        assert_eq!(evenness(&counts), want, "{counts:?}");
    }
}

#[test]
fn a_share_near_none_or_all_is_not_called_that() {
    for (kept, of, words) in [
        (0, 500, "0 %"),
        (1, 500, "0.2 %"),
        (1, 5000, "0.1 %"),
        (499, 500, "99.8 %"),
        (4999, 5000, "99.9 %"),
        (500, 500, "100 %"),
        (112, 120, "93 %"),
    ] {
        assert_eq!(Share::new(kept, of).unwrap().percent(), words);
    }
    assert_eq!(Share::new(0, 0), None);
    assert_eq!(Share::new(2, 1), None);
}
