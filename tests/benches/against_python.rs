//! The questions about a site here and in Python, on the same places and records, in one run.
//!
//! `cargo xtask bench --against-python` gives it a Python that has what requirements.txt names. Every answer of
//! against_python.py is compared with ours; one that differs by more than a billionth of a centimetre ends the run as
//! a failure and no time is printed. Not a test: nothing that checks the house runs it.
#![allow(missing_docs, clippy::unwrap_used, clippy::pedantic)]

mod record;

use std::collections::BTreeMap;
use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};
use std::time::Instant;

use chrono::Datelike;
use fallow_core::body::{Body, Patch};
use fallow_core::medicines::{Book, Medicine};
use fallow_core::rules::{History, Proposal, Skin, Verdict, check, navel_margin};
use fallow_core::site::{Point, Site, Zone};
use fallow_core::suggest::nearest_cm;
use serde_json::{Value, json};

use record::{SIZES, adult, at, now, over};

/// Where the places and the earlier injections lie.
const ZONES: [Zone; 3] = [Zone::Abdomen, Zone::LeftThigh, Zone::RightThigh];
/// How many places are asked about.
const PLACES: usize = 1_000;
/// Every question is timed so often over all places; the median round counts, as on the Python side.
const ROUNDS: usize = 25;
/// The navel margin of the practice.
const NAVEL_CM: f64 = 2.5;
/// Two answers are the same when they differ by no more than this.
const SAME_CM: f64 = 1e-9;
const NAVEL: Point = Point {
    across_cm: 0.0,
    up_cm: 0.0,
};

/// What each side does, so that the ratios can be read for what they are.
const WHAT_IS_DONE: &str = "\
Ready before the clock starts, on both sides: the record in order of time, and the skin's outlines and margins.
  nearest   the distance to the nearest injection of the last 28 days
            Fallow         finds the 28 days in the record and measures to each of them, one place after the other
            from record    the same in Python: a slice of numpy arrays already split by zone, a cKDTree of it, one query
            tree ready     a cKDTree of the 28 days made beforehand, one query after the other
            all at once    that tree, one query for all places of a zone
  skin      whether a place is on the skin, how far its edge is, and how much room the margins and the navel leave
            Fallow         one place after the other
            one by one     shapely, prepared geometries, one place after the other
            all at once    shapely, prepared geometries, a few calls for all places of a zone
  verdict   Fallow's whole check with its sentences, sources and ids; in Python the word alone, from record
";

fn main() -> ExitCode {
    let words = std::env::args().skip(1).filter(|word| word != "--bench");
    let [python, folder] = &words.map(PathBuf::from).collect::<Vec<_>>()[..] else {
        println!("against_python: `cargo xtask bench --against-python` runs this one");
        return ExitCode::SUCCESS;
    };
    match run(python, folder) {
        Ok(()) => ExitCode::SUCCESS,
        Err(fault) => {
            eprintln!("against_python: {fault}");
            ExitCode::FAILURE
        }
    }
}

/// Asks here, asks there, compares, prints.
fn run(python: &Path, folder: &Path) -> Result<(), String> {
    let setting = Setting::new();
    let (data, reply) = (folder.join("data.json"), folder.join("answers.json"));
    let said = |fault: std::io::Error| format!("{}: {fault}", folder.display());
    std::fs::write(&data, setting.told().to_string()).map_err(said)?;
    // What an earlier run left must not be taken for this one's.
    if reply.exists() {
        std::fs::remove_file(&reply).map_err(said)?;
    }
    let ours = setting.ask();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("benches/against_python.py");
    let status = Command::new(python)
        .args([&script, &data, &reply])
        .status()
        .map_err(|fault| format!("{} could not be started: {fault}", python.display()))?;
    if !status.success() {
        return Err(format!("against_python.py ended with {status}"));
    }
    let theirs: Value = serde_json::from_slice(&std::fs::read(&reply).map_err(said)?)
        .map_err(|fault| format!("the answers cannot be read: {fault}"))?;
    let (compared, widest) = compare(&ours, &theirs)?;
    let off = setting.places.iter().filter(|site| {
        let patch = setting.body.patch(site.zone);
        !patch.contains(site.point.unwrap())
    });
    println!(
        "\nAsked are {PLACES} places in the boxes round the abdomen and both thighs of the reference adult, {} of them off\n\
         the skin. Earlier injections: four a day over the three zones; those of 28 days count.\n{WHAT_IS_DONE}",
        off.count()
    );
    println!("{}", versions(&theirs));
    println!(
        "{compared} answers are the same on both sides; the widest difference is {widest:.1e} cm.\n"
    );
    print_times(&ours, &theirs)
}

/// The answer to a question at one place.
#[derive(Debug, Clone, PartialEq)]
enum Answer {
    /// Figures; whether is 1 or 0.
    Figures(Vec<f64>),
    Word(&'static str),
}

/// A question, its answers in the order of the places, and the median nanoseconds of one.
struct Asked {
    name: String,
    answers: Vec<Answer>,
    nanoseconds: f64,
}

struct Setting {
    body: Body,
    places: Vec<Site>,
    records: Vec<(usize, History)>,
}

impl Setting {
    fn new() -> Self {
        let body = adult();
        let places = (0..PLACES).map(|n| place(n, &body)).collect();
        let record = |count: usize| (count, History::new(over(&ZONES, count, &body)));
        Self {
            places,
            records: SIZES.map(record).to_vec(),
            body,
        }
    }

    fn skin<'a>(&'a self, history: &'a History) -> Skin<'a> {
        Skin {
            findings: &[],
            body: &self.body,
            history,
            book: Book::shipped(),
            navel_margin_cm: NAVEL_CM,
        }
    }

    /// Everything the other side needs, and no answer.
    fn told(&self) -> Value {
        let (medicine, skin) = (insulin(), self.skin(&self.records[0].1));
        let zones = ZONES.map(|zone| {
            let patch = self.body.patch(zone);
            let margins = patch.margins().iter().map(|m| {
                let line: Vec<_> = m.line.coords().map(|c| [c.x, c.y]).collect();
                json!({ "line": line, "radius_cm": m.radius_cm })
            });
            json!({
                "outline": patch.outline().exterior().coords().map(|c| [c.x, c.y]).collect::<Vec<_>>(),
                "margins": margins.collect::<Vec<_>>(),
                "has_navel": zone == Zone::Abdomen,
            })
        });
        let number = |site: &Site| ZONES.iter().position(|zone| *zone == site.zone).unwrap();
        let pair = |site: &Site| site.point.map(|p| [p.across_cm, p.up_cm]).unwrap();
        let records = self.records.iter().map(|(count, history)| {
            let of_zone = ZONES.map(|zone| {
                let here = || history.all().iter().filter(move |p| p.site.zone == zone);
                json!({
                    "points": here().map(|p| pair(&p.site)).collect::<Vec<_>>(),
                    "days": here().map(|p| p.day().num_days_from_ce()).collect::<Vec<_>>(),
                })
            });
            (count.to_string(), json!(of_zone))
        });
        json!({
            "zones": zones,
            "places": self.places.iter().map(|s| json!({ "zone": number(s), "point": pair(s) })).collect::<Vec<_>>(),
            "records": records.collect::<serde_json::Map<_, _>>(),
            "today": now().date_naive().num_days_from_ce(),
            "limits": {
                "spacing_cm": medicine.spacing_cm.value,
                "rest_days": medicine.point_rest_days.value,
                "least_navel_cm": Book::shipped().general.navel_margins[0].value,
                "navel_cm": navel_margin(medicine, &skin).0,
            },
        })
    }

    /// Every question at every place, timed.
    fn ask(&self) -> Vec<Asked> {
        let mut asked = Vec::new();
        for (count, history) in &self.records {
            let skin = self.skin(history);
            let nearest = |site: &Site| nearest_cm(site, now(), &skin);
            asked.push(self.timed(format!("nearest {count}"), nearest, |found| {
                // A zone without any would be an answer the other side cannot write; every zone was used.
                Answer::Figures(vec![found.unwrap()])
            }));
        }
        for (count, history) in &self.records {
            let skin = self.skin(history);
            let verdict = |site: &Site| check(&proposal(*site), &skin);
            asked.push(self.timed(format!("verdict {count}"), verdict, |reasons| {
                Answer::Word(Verdict::of(&reasons).code())
            }));
        }
        let skin = |site: &Site| on_skin(self.body.patch(site.zone), site.point.unwrap());
        asked.push(self.timed("skin".to_owned(), skin, |found| {
            Answer::Figures(found.to_vec())
        }));
        asked
    }

    fn timed<T>(
        &self,
        name: String,
        ask: impl Fn(&Site) -> T,
        answer: impl Fn(T) -> Answer,
    ) -> Asked {
        let mut rounds = Vec::new();
        let mut found = Vec::new();
        for _ in 0..ROUNDS {
            found = Vec::with_capacity(PLACES);
            let began = Instant::now();
            for site in &self.places {
                found.push(black_box(ask(black_box(site))));
            }
            rounds.push(began.elapsed().as_nanos() as f64 / PLACES as f64);
        }
        rounds.sort_by(f64::total_cmp);
        Asked {
            name,
            answers: found.into_iter().map(answer).collect(),
            nanoseconds: rounds[ROUNDS / 2],
        }
    }
}

/// One of places spread evenly over the boxes round the zones, so that some are off the skin.
fn place(n: usize, body: &Body) -> Site {
    let zone = ZONES[n % ZONES.len()];
    let (left, low, right, high) = body.patch(zone).bounds();
    // The inverse of the plastic number and its square: their multiples spread evenly over a box (from memory).
    let share = |step: f64| (0.5 + n as f64 * step).fract();
    let point = Point {
        across_cm: left + share(0.754_877_666_246_693) * (right - left),
        up_cm: low + share(0.569_840_290_998_053) * (high - low),
    };
    at(zone, point, body)
}

fn insulin() -> &'static Medicine {
    Book::shipped().medicine("insulin-glargine-100").unwrap()
}

fn proposal(site: Site) -> Proposal<'static> {
    Proposal {
        site,
        at: now(),
        medicine: insulin(),
        self_given: true,
    }
}

/// Whether a point is on the skin, centimetres to its edge, and the room the margins and the navel leave.
fn on_skin(patch: &Patch, point: Point) -> [f64; 3] {
    let navel = if patch.zone() == Zone::Abdomen {
        point.distance_cm(NAVEL) - NAVEL_CM
    } else {
        f64::INFINITY
    };
    let room = patch
        .margins()
        .iter()
        .map(|m| m.distance_cm(point) - m.radius_cm);
    let inside = f64::from(u8::from(patch.contains(point)));
    [inside, patch.border_cm(point), room.fold(navel, f64::min)]
}

/// How many answers are the same and the widest difference among them.
fn compare(ours: &[Asked], theirs: &Value) -> Result<(usize, f64), String> {
    let (mut compared, mut widest) = (0, 0.0_f64);
    for asked in ours {
        for (way, answers) in ways(&asked.name, theirs)? {
            let there = answers
                .as_array()
                .filter(|list| list.len() == asked.answers.len());
            let there =
                there.ok_or_else(|| format!("{}, {way}: not an answer a place", asked.name))?;
            for (number, (here, there)) in asked.answers.iter().zip(there).enumerate() {
                let apart = difference(here, there).filter(|apart| *apart <= SAME_CM);
                widest = widest.max(apart.ok_or_else(|| {
                    format!(
                        "{}, {way}: at place {number} Fallow says {here:?} and Python {there}",
                        asked.name
                    )
                })?);
                compared += 1;
            }
        }
    }
    Ok((compared, widest))
}

/// The widest difference between two answers of one place; `None` where they are not of one kind.
fn difference(here: &Answer, there: &Value) -> Option<f64> {
    match here {
        Answer::Word(word) => (there.as_str() == Some(word)).then_some(0.0),
        Answer::Figures(figures) => {
            let one = std::slice::from_ref(there);
            let there = there.as_array().map_or(one, Vec::as_slice);
            if there.len() != figures.len() {
                return None;
            }
            let mut widest = 0.0_f64;
            for (figure, there) in figures.iter().zip(there) {
                let apart = (figure - there.as_f64()?).abs();
                // Not `max`, which would let one that is not a number pass.
                if !apart.is_finite() {
                    return None;
                }
                widest = widest.max(apart);
            }
            Some(widest)
        }
    }
}

/// The other side's answers to a question, by the way they were found.
fn ways<'a>(name: &str, theirs: &'a Value) -> Result<BTreeMap<&'a str, &'a Value>, String> {
    let found = theirs["answers"][name].as_object();
    let found = found.filter(|ways| !ways.is_empty());
    let found = found.ok_or_else(|| format!("{name} was not answered"))?;
    Ok(found
        .iter()
        .map(|(way, list)| (way.as_str(), list))
        .collect())
}

fn versions(theirs: &Value) -> String {
    let each = theirs["versions"].as_object().into_iter().flatten();
    let each = each.map(|(name, version)| format!("{name} {}", version.as_str().unwrap_or("?")));
    each.collect::<Vec<_>>().join(", ")
}

fn print_times(ours: &[Asked], theirs: &Value) -> Result<(), String> {
    println!("Median of one place, in microseconds, and how many times as long Python takes:\n");
    println!(
        "{:<18}{:>10}   {:<14}{:>10}{:>10}",
        "question", "Fallow", "in Python", "Python", "ratio"
    );
    for asked in ours {
        for way in ways(&asked.name, theirs)?.keys() {
            let time = theirs["times"][format!("{}: {way}", asked.name)].as_f64();
            let time = time.ok_or_else(|| format!("{}, {way}: no time", asked.name))?;
            println!(
                "{:<18}{:>10.2}   {way:<14}{:>10.2}{:>9.1}x",
                asked.name,
                asked.nanoseconds / 1e3,
                time / 1e3,
                time / asked.nanoseconds
            );
        }
    }
    Ok(())
}
