//! The factors against small records, and the published figures against what the sources say.

use chrono::NaiveDate;

use super::*;
use crate::body::Body;
use crate::measures::{Period, Question, measure};
use crate::medicines::Book;
use crate::person::Sizes;
use crate::rules::{History, Past};
use crate::site::{Point, Quadrant, Site, Zone};
use crate::skin::{Feel, Look, NeedleUses, Noticed, Place, Seen, ZoneSeen};

fn at(text: &str) -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339(text).unwrap()
}

const NOW: &str = "2026-11-20T08:00:00+00:00";

/// Measures of one injection a day at these points of the abdomen, the last one today; `None` is quadrant only.
fn measured(points: &[Option<(f64, f64)>]) -> Measures {
    let days = i64::try_from(points.len()).unwrap();
    let past = (0..).zip(points).map(|(n, point)| {
        let point = point.map(|(across_cm, up_cm)| Point { across_cm, up_cm });
        Past {
            id: format!("{n}"),
            medicine: "insulin-glargine-100".into(),
            class: INSULIN.into(),
            site: Site {
                zone: Zone::Abdomen,
                quadrant: Quadrant::LeftLower,
                point,
            },
            given_at: at(NOW) - chrono::Duration::days(days - 1 - n),
        }
    });
    measure(&Question {
        body: &Body::of(&Sizes::default()),
        history: &History::new(past.collect()),
        book: Book::shipped(),
        allowed: &[],
        period: Period {
            from: NaiveDate::from_ymd_opt(2026, 9, 1).unwrap(),
            to: NaiveDate::from_ymd_opt(2026, 11, 20).unwrap(),
        },
        seed: 1,
    })
}

fn check(needle: Option<u16>, since: Option<i32>) -> SkinCheck {
    SkinCheck {
        id: "c".into(),
        at: at(NOW),
        by: "Nurse Larkspur".into(),
        zones: vec![(Zone::Abdomen, ZoneSeen::Clear)],
        needle_uses: needle.and_then(NeedleUses::new),
        insulin_since: since,
        unexplained_lows: None,
        note: None,
    }
}

fn lump_course(healed: bool) -> Course {
    let centre = Point {
        across_cm: 5.0,
        up_cm: -3.0,
    };
    let there = Seen::There {
        place: Place::ellipse(centre, 1.0, 1.0, 0.0).unwrap(),
        noticed: Noticed::Felt,
        feel: Some(Feel::Soft),
    };
    let look = |id: &str, when: &str, seen| Look {
        id: id.into(),
        at: at(when),
        by: "Nurse Larkspur".into(),
        seen,
        note: None,
    };
    let mut looks = vec![look("a", "2026-09-01T08:00:00+00:00", there)];
    if healed {
        looks.push(look("b", "2026-10-01T08:00:00+00:00", Seen::Healed));
    }
    let margin = FindingKind::Lump.usual_margin().clone();
    Course::new(
        "a".into(),
        FindingKind::Lump,
        Zone::Abdomen,
        margin,
        None,
        looks,
    )
    .unwrap()
}

fn standings(known: &Known<'_>) -> Vec<(&'static str, Standing)> {
    factors(known)
        .iter()
        .map(|f| (f.code, f.standing))
        .collect()
}

#[test]
fn nothing_known_is_unknown_and_never_absent() {
    let empty = measured(&[]);
    let known = Known {
        measures: &empty,
        insulin_a_day: None,
        last_check: None,
        courses: &[],
        at: at(NOW),
    };
    for (code, standing) in standings(&known) {
        assert_eq!(standing, Standing::Unknown, "{code}");
    }
    // Entries known only to the quadrant say nothing of distances.
    let unplaced = measured(&[None; 10]);
    let known = Known {
        measures: &unplaced,
        ..known
    };
    for (code, standing) in standings(&known) {
        assert_eq!(standing, Standing::Unknown, "{code}");
    }
}

#[test]
fn each_factor_is_held_against_its_own_figure() {
    let apart: Vec<_> = (0..10)
        .map(|n| Some((f64::from(n).mul_add(1.2, 1.0), -4.0)))
        .collect();
    let one_place = vec![Some((5.0, -4.0)); 10];
    let (good, bad) = (measured(&apart), measured(&one_place));
    let (new, old) = (check(Some(1), Some(2024)), check(Some(6), Some(2010)));
    let fine = Known {
        measures: &good,
        insulin_a_day: Some(2.0),
        last_check: Some(&new),
        courses: &[],
        at: at(NOW),
    };
    let is = |known: &Known<'_>, code: &str| {
        standings(known)
            .into_iter()
            .find(|s| s.0 == code)
            .unwrap()
            .1
    };
    for code in ["spacing", "rotation", "needle", "per_day", "years", "lump"] {
        assert_eq!(is(&fine, code), Standing::Absent, "{code}");
    }
    let lumps = [lump_course(false)];
    let hard = Known {
        measures: &bad,
        insulin_a_day: Some(4.0),
        last_check: Some(&old),
        courses: &lumps,
        ..fine
    };
    for code in ["spacing", "rotation", "needle", "per_day", "years", "lump"] {
        assert_eq!(is(&hard, code), Standing::Present, "{code}");
    }
    let healed = [lump_course(true)];
    let known = Known {
        courses: &healed,
        ..fine
    };
    assert_eq!(
        is(&known, "lump"),
        Standing::Present,
        "a lump before counts"
    );
    let edge = check(None, Some(2021));
    let known = Known {
        last_check: Some(&edge),
        ..fine
    };
    assert_eq!(
        is(&known, "years"),
        Standing::Unknown,
        "five years, give or take one"
    );
    assert_eq!(is(&known, "needle"), Standing::Unknown);
}

#[test]
fn the_published_figures_are_those_of_the_sources() {
    // Acta Diabetol 2018: not spacing 20.4 (10.5-39.6), not rotating 2.01 (1.08-3.75). Mader 2025, as quoted elsewhere:
    // wrong rotation 8.85 (5.10-15.33), needle reuse 3.20 (1.99-5.13), over 5 years 2.62, over 2 a day 2.27.
    let words = |factor: &str| odds(factor).iter().map(Odds::words).collect::<Vec<_>>();
    assert_eq!(words("spacing"), ["20.4 (10.5 to 39.6)"]);
    assert_eq!(
        words("rotation"),
        ["2.01 (1.08 to 3.75)", "8.85 (5.1 to 15.33)"]
    );
    assert_eq!(words("needle"), ["3.2 (1.99 to 5.13)"]);
    assert_eq!(words("years"), ["2.62 (interval not known here)"]);
    assert_eq!(words("per_day"), ["2.27 (interval not known here)"]);
    for (_, odds) in ODDS.iter() {
        let quoted = odds.source.contains("as quoted elsewhere");
        assert_eq!(quoted, odds.source.starts_with("Mader"), "{}", odds.source);
        assert!(
            odds.interval
                .is_none_or(|(low, high)| low < odds.ratio && odds.ratio < high)
        );
    }
}
