//! A year of injections by a hand that misses: the plan beside three other ways of choosing a place.
//!
//! `cargo xtask replay`. The record holds the place that was meant; what is counted is where the needle landed. An
//! error of 3 mm means: across and up are each off by a normal deviate with a standard deviation of 3 mm, so that a
//! landing is 4.2 mm off as a root mean square. The row marked `rms` reads the same 3 mm as the root mean square of the
//! distance (2.1 mm each way). Everything is seeded; it prints the same figures every time, times apart.
#![allow(clippy::unwrap_used)]

use std::f64::consts::{SQRT_2, TAU};
use std::path::Path;
use std::time::Instant;

use chrono::{DateTime, Duration, FixedOffset};
use fallow_core::body::Body;
use fallow_core::medicines::Book;
use fallow_core::person::Sizes;
use fallow_core::plan::allowed::{AllowedSkin, allowed_in};
use fallow_core::rules::{History, Past, Skin};
use fallow_core::site::{Point, Quadrant, Site, Zone};
use fallow_core::suggest::{Wish, areas_in_use, suggest};
use geo::Contains;
use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng, SeedableRng};

// Only the times are of interest here.
#[allow(dead_code, unreachable_pub)]
#[path = "../../../tests/replay/log.rs"]
mod log;

const MEDICINE: &str = "insulin-glargine-100";
const NAVEL_CM: f64 = 2.5;
const DAYS: i64 = 365;
const REST_DAYS: i64 = 28;
/// Years of misses counted for each year of intended places.
const YEARS: u64 = 20;
/// Standard deviation each way in centimetres, and its name.
const ERRORS: [(f64, &str); 4] = [
    (0.0, "0 mm"),
    (0.3 / SQRT_2, "3 mm rms"),
    (0.3, "3 mm"),
    (0.5, "5 mm"),
];

/// A part of the body: zone and quadrants.
type Part = (Zone, Vec<Quadrant>);

/// One year by one way of choosing.
struct Year {
    sites: Vec<(i64, Site)>,
    off_pattern: usize,
    seconds: f64,
}

struct Setting<'a> {
    body: &'a Body,
    zones: &'a [Zone],
    /// When injections are given, in order.
    times: Vec<DateTime<FixedOffset>>,
    /// How many a day that is.
    per_day: f64,
    seed: u64,
}

impl Setting<'_> {
    /// Each time with its day, counted from the first.
    fn days(&self) -> impl Iterator<Item = (i64, DateTime<FixedOffset>)> + '_ {
        let first = self.times[0].date_naive();
        self.times
            .iter()
            .map(move |at| ((at.date_naive() - first).num_days(), *at))
    }
}

fn main() {
    println!(
        "standard deviation each way: 3 mm = 3.0 mm; 3 mm rms = 2.1 mm; a break is a landing under 1 cm from one of the"
    );
    println!(
        "last {REST_DAYS} days; figures over {YEARS} seeded years of misses; skin used: within 0.5 cm of a landing, one year\n"
    );
    println!(
        "{:<22} {:>5} {:<14} {:<9} {:>11} {:>10} {:>9} {:>7} {:>6} {:>8}",
        "body and zones",
        "a day",
        "way",
        "error",
        "breaks/year",
        "broken %",
        "least cm",
        "skin %",
        "off",
        "s/year"
    );
    let bodies = [
        (
            "smaller",
            Sizes {
                height_cm: Some(155.0),
                waist_cm: Some(70.0),
                thigh_cm: Some(52.0),
                upper_arm_cm: Some(25.0),
            },
        ),
        ("reference", Sizes::default()),
        (
            "larger",
            Sizes {
                height_cm: Some(183.0),
                waist_cm: Some(115.0),
                thigh_cm: Some(70.0),
                upper_arm_cm: Some(37.0),
            },
        ),
    ];
    let abdomen = [Zone::Abdomen];
    let with_thighs = [Zone::Abdomen, Zone::LeftThigh, Zone::RightThigh];
    for (name, sizes) in &bodies {
        let body = Body::of(sizes);
        for (zones, of) in [(&abdomen[..], "abdomen"), (&with_thighs[..], "with thighs")] {
            for a_day in [1, 2, 4, 6] {
                if zones.len() > 1 && a_day < 6 {
                    continue;
                }
                let setting = Setting {
                    body: &body,
                    zones,
                    times: times(a_day),
                    per_day: a_day as f64,
                    seed: 20_260_601 + a_day as u64,
                };
                let name = format!("{name}, {of}");
                rows(&name, &a_day.to_string(), &[setting]);
            }
        }
    }
    open_logs(&abdomen);
}

/// The published logs: when each person really injected, on the reference abdomen alone.
fn open_logs(abdomen: &[Zone]) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/fixtures/uci-diabetes");
    let body = Body::of(&Sizes::default());
    let logs = log::all(&folder);
    let settings = logs.iter().zip(1..).map(|(log, n)| {
        let times: Vec<_> = log.doses.iter().map(|d| d.at).collect();
        let days = (times[times.len() - 1].date_naive() - times[0].date_naive()).num_days() + 1;
        Setting {
            body: &body,
            zones: abdomen,
            per_day: times.len() as f64 / days as f64,
            times,
            seed: 20_260_601 + n,
        }
    });
    let settings: Vec<Setting<'_>> = settings.collect();
    let doses: usize = settings.iter().map(|s| s.times.len()).sum();
    println!(
        "\n{} open logs (UCI Diabetes, CC BY 4.0), {doses} doses at their real times, reference abdomen; a row sums all logs",
        settings.len()
    );
    rows("open logs", "real", &settings);
}

/// A row for every way and every error; several settings are summed.
fn rows(name: &str, a_day: &str, settings: &[Setting<'_>]) {
    type Choose = fn(&Setting<'_>) -> Year;
    let ways: [(&str, Choose); 4] = [
        ("plan", planned),
        ("random points", |s| random(s, false)),
        ("1 cm grid", tight),
        ("one side", |s| random(s, true)),
    ];
    for (way, choose) in ways {
        let years: Vec<Year> = settings.iter().map(choose).collect();
        for (error, error_name) in ERRORS {
            let mut sum = Counted::default();
            for (setting, year) in settings.iter().zip(&years) {
                sum.add(&counted(setting, year, error));
            }
            println!(
                "{name:<22} {a_day:>5} {way:<14} {error_name:<9} {:>11.2} {:>10.3} {:>9.2} {:>7.1} {:>6} {:>8.3}",
                sum.breaks,
                100.0 * sum.breaks / sum.of,
                sum.least_cm,
                100.0 * sum.share / settings.len() as f64,
                years.iter().map(|y| y.off_pattern).sum::<usize>(),
                years.iter().map(|y| y.seconds).sum::<f64>()
            );
        }
    }
}

/// What came of one setting, a year's mean over the seeded years.
struct Counted {
    breaks: f64,
    of: f64,
    least_cm: f64,
    share: f64,
}

impl Default for Counted {
    fn default() -> Self {
        Self {
            breaks: 0.0,
            of: 0.0,
            least_cm: f64::INFINITY,
            share: 0.0,
        }
    }
}

impl Counted {
    fn add(&mut self, other: &Self) {
        self.breaks += other.breaks;
        self.of += other.of;
        self.least_cm = self.least_cm.min(other.least_cm);
        self.share += other.share;
    }
}

fn start() -> DateTime<FixedOffset> {
    DateTime::parse_from_rfc3339("2026-06-01T00:00:00+00:00").unwrap()
}

/// A year of so many a day, spread from 8 to 22.
fn times(a_day: usize) -> Vec<DateTime<FixedOffset>> {
    let hour = |n: usize| 8 + i64::try_from(n * 14 / a_day).unwrap();
    (0..DAYS)
        .flat_map(|day| {
            (0..a_day).map(move |n| start() + Duration::days(day) + Duration::hours(hour(n)))
        })
        .collect()
}

/// By suggestion, each recorded before the next is asked for.
fn planned(setting: &Setting<'_>) -> Year {
    let book = Book::shipped();
    let medicine = book.medicine(MEDICINE).unwrap();
    let began = Instant::now();
    let mut history = History::default();
    let (mut sites, mut off_pattern) = (Vec::new(), 0);
    for (day, at) in setting.days() {
        let wish = Wish {
            at,
            medicine,
            self_given: true,
            from: setting.times[0].date_naive(),
            zones: setting.zones,
            count: 1,
            per_day: setting.per_day,
        };
        let skin = Skin {
            findings: &[],
            body: setting.body,
            history: &history,
            book,
            navel_margin_cm: NAVEL_CM,
        };
        let answer = suggest(&wish, &skin);
        off_pattern += usize::from(answer.note.is_some());
        let site = answer.sites[0].site;
        sites.push((day, site));
        history.add(Past {
            id: format!("{:06}", sites.len()),
            medicine: medicine.id.clone(),
            class: medicine.class.clone(),
            site,
            given_at: at,
        });
    }
    Year {
        sites,
        off_pattern,
        seconds: began.elapsed().as_secs_f64(),
    }
}

/// The week's part of the body, as the plan has it: zone and quadrants.
fn of_the_week(setting: &Setting<'_>, day: i64) -> Part {
    let book = Book::shipped();
    let history = History::default();
    let wish = Wish {
        at: start() + Duration::days(day),
        medicine: book.medicine(MEDICINE).unwrap(),
        self_given: true,
        from: start().date_naive(),
        zones: setting.zones,
        count: 1,
        per_day: 1.0,
    };
    let skin = Skin {
        findings: &[],
        body: setting.body,
        history: &history,
        book,
        navel_margin_cm: NAVEL_CM,
    };
    let area = areas_in_use(&wish, &skin).0.swap_remove(0);
    (area.zone, area.quadrants)
}

/// Anywhere in the week's part, or always anywhere in the left side of the abdomen.
fn random(setting: &Setting<'_>, one_side: bool) -> Year {
    let began = Instant::now();
    let mut rng = Pcg64Mcg::seed_from_u64(setting.seed);
    let skins = skins(setting);
    let mut sites = Vec::new();
    for (day, _) in setting.days() {
        let (zone, quadrants) = if one_side {
            (
                Zone::Abdomen,
                vec![Quadrant::LeftUpper, Quadrant::LeftLower],
            )
        } else {
            of_the_week(setting, day)
        };
        let patch = setting.body.patch(zone);
        let skin = skins.iter().find(|s| s.zone == zone).unwrap();
        let (left, low, right, high) = patch.bounds();
        let site = loop {
            let p = Point {
                across_cm: left + unit(&mut rng) * (right - left),
                up_cm: low + unit(&mut rng) * (high - low),
            };
            if quadrants.contains(&patch.quadrant_of(p))
                && skin.region.contains(&geo::Point::new(p.across_cm, p.up_cm))
            {
                break Site {
                    zone,
                    quadrant: patch.quadrant_of(p),
                    point: Some(p),
                };
            }
        };
        sites.push((day, site));
    }
    Year {
        sites,
        off_pattern: 0,
        seconds: began.elapsed().as_secs_f64(),
    }
}

/// The week's part filled row by row on a square grid of 1 cm, each time from where it was left.
fn tight(setting: &Setting<'_>) -> Year {
    let began = Instant::now();
    let skins = skins(setting);
    let mut grids: Vec<(Part, Vec<Site>, usize)> = Vec::new();
    let mut sites = Vec::new();
    for (day, _) in setting.days() {
        let part = of_the_week(setting, day);
        let at = grids.iter().position(|g| g.0 == part).unwrap_or_else(|| {
            let skin = skins.iter().find(|s| s.zone == part.0).unwrap();
            grids.push((part.clone(), grid(setting.body, skin, &part.1), 0));
            grids.len() - 1
        });
        let (_, grid, next) = &mut grids[at];
        sites.push((day, grid[*next % grid.len()]));
        *next += 1;
    }
    Year {
        sites,
        off_pattern: 0,
        seconds: began.elapsed().as_secs_f64(),
    }
}

fn grid(body: &Body, skin: &AllowedSkin, quadrants: &[Quadrant]) -> Vec<Site> {
    let patch = body.patch(skin.zone);
    let (left, low, right, high) = patch.bounds();
    let mut sites = Vec::new();
    for up in (low as i32 - 1..=high as i32 + 1).rev() {
        for across in left as i32 - 1..=right as i32 + 1 {
            let p = Point {
                across_cm: f64::from(across),
                up_cm: f64::from(up),
            };
            let quadrant = patch.quadrant_of(p);
            if quadrants.contains(&quadrant)
                && skin.region.contains(&geo::Point::new(p.across_cm, p.up_cm))
            {
                sites.push(Site {
                    zone: skin.zone,
                    quadrant,
                    point: Some(p),
                });
            }
        }
    }
    sites
}

fn skins(setting: &Setting<'_>) -> Vec<AllowedSkin> {
    setting
        .zones
        .iter()
        .map(|z| allowed_in(setting.body.patch(*z), NAVEL_CM, &[]))
        .collect()
}

fn unit(rng: &mut Pcg64Mcg) -> f64 {
    (rng.next_u64() >> 11) as f64 / (1u64 << 53) as f64
}

/// Two independent standard normal deviates (Box and Muller 1958).
fn two_normal(rng: &mut Pcg64Mcg) -> (f64, f64) {
    let (radius, angle) = ((-2.0 * (1.0 - unit(rng)).ln()).sqrt(), TAU * unit(rng));
    (radius * angle.cos(), radius * angle.sin())
}

fn counted(setting: &Setting<'_>, year: &Year, error_cm: f64) -> Counted {
    let years = if error_cm > 0.0 { YEARS } else { 1 };
    let (mut breaks, mut least) = (0_usize, f64::INFINITY);
    let mut share = 0.0;
    for seed in 0..years {
        let mut rng = Pcg64Mcg::seed_from_u64(setting.seed * 1000 + seed);
        let landed: Vec<(i64, Zone, Point)> = year
            .sites
            .iter()
            .map(|(day, site)| {
                let (p, (dx, dy)) = (site.point.unwrap(), two_normal(&mut rng));
                (
                    *day,
                    site.zone,
                    Point {
                        across_cm: p.across_cm + error_cm * dx,
                        up_cm: p.up_cm + error_cm * dy,
                    },
                )
            })
            .collect();
        for (n, (day, zone, at)) in landed.iter().enumerate() {
            let nearest = landed[..n]
                .iter()
                .rev()
                .take_while(|l| day - l.0 < REST_DAYS)
                .filter(|l| l.1 == *zone)
                .map(|l| l.2.distance_cm(*at))
                .fold(f64::INFINITY, f64::min);
            breaks += usize::from(nearest < 1.0 - 1e-9);
            least = least.min(nearest);
        }
        if seed == 0 {
            share = used(setting, &landed);
        }
    }
    Counted {
        breaks: breaks as f64 / years as f64,
        of: year.sites.len() as f64,
        least_cm: least,
        share,
    }
}

/// The share of quarter-centimetre cells of the allowed skin with a landing within half a centimetre of their middle.
fn used(setting: &Setting<'_>, landed: &[(i64, Zone, Point)]) -> f64 {
    const CELL: f64 = 0.25;
    let (mut all, mut used) = (0_usize, 0_usize);
    for skin in skins(setting) {
        let (left, low, right, high) = setting.body.patch(skin.zone).bounds();
        for row in 0..((high - low) / CELL) as usize {
            for column in 0..((right - left) / CELL) as usize {
                let p = Point {
                    across_cm: left + (column as f64 + 0.5) * CELL,
                    up_cm: low + (row as f64 + 0.5) * CELL,
                };
                if skin.region.contains(&geo::Point::new(p.across_cm, p.up_cm)) {
                    all += 1;
                    used += usize::from(
                        landed
                            .iter()
                            .any(|l| l.1 == skin.zone && l.2.distance_cm(p) <= 0.5),
                    );
                }
            }
        }
    }
    used as f64 / all.max(1) as f64
}
