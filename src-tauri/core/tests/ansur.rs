//! The ratios of the body, tried on every one of the 6,068 people of the ANSUR II extracts.
//!
//! Source: Gordon CC et al. 2014, 2012 Anthropometric Survey of U.S. Army Personnel, Natick/TR-15/007; the
//! extracts and their licence are described in `tests/fixtures/README.md`. `cargo test -p fallow-core --test ansur
//! -- --nocapture` prints the table that DEVELOPERS.md shows.

use std::collections::HashMap;
use std::path::Path;

use fallow_core::body::{Body, Patch};
use fallow_core::person::Sizes;
use fallow_core::site::{Point, Zone};

/// The zones of one side; the other side's patches are the same (a unit test holds that).
const ZONES: [Zone; 4] = [
    Zone::Abdomen,
    Zone::LeftThigh,
    Zone::LeftArm,
    Zone::LeftButtock,
];

/// ANSUR II measured the upper arm flexed; a relaxed one is about 6 % less (from memory).
const RELAXED: f64 = 0.94;

/// One person's measures in centimetres, by the survey's names.
struct Measured(HashMap<String, f64>);

impl Measured {
    fn cm(&self, name: &str) -> f64 {
        self.0[name]
    }

    fn sizes(&self) -> Sizes {
        Sizes {
            height_cm: Some(self.cm("stature")),
            waist_cm: Some(self.cm("waistcircumference")),
            thigh_cm: Some(self.cm("thighcircumference")),
            upper_arm_cm: Some(self.cm("bicepscircumferenceflexed") * RELAXED),
        }
    }
}

fn people(sex: &str) -> Vec<Measured> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/fixtures/ansur2");
    let text = std::fs::read_to_string(folder.join(format!("ansur2_{sex}_zones.csv")))
        .expect("the extract is among the fixtures");
    let mut lines = text.lines();
    let names: Vec<&str> = lines.next().expect("a line of names").split(',').collect();
    lines
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            assert_eq!(cells.len(), names.len(), "{line}");
            // Millimetres, but for the columns that are no lengths (sex, age, weight), which are not read.
            let cm = |(name, cell): (&&str, &str)| {
                cell.parse()
                    .ok()
                    .map(|mm: f64| ((*name).to_owned(), mm / 10.0))
            };
            Measured(names.iter().zip(cells).filter_map(cm).collect())
        })
        .collect()
}

fn everybody() -> Vec<Measured> {
    let (women, men) = (people("female"), people("male"));
    assert_eq!((women.len(), men.len()), (1986, 4082));
    women.into_iter().chain(men).collect()
}

/// Allowed skin of each quadrant (outside every margin), in the order the zone lists them; square centimetres,
/// by counting the points of a 8 mm grid.
fn allowed_cm2(patch: &Patch) -> [f64; 4] {
    const GRID: f64 = 0.8;
    let (left, low, right, high) = patch.bounds();
    let order = patch.zone().quadrants();
    let mut counts = [0.0; 4];
    let steps = |from: f64, to: f64| {
        (0..=((to - from) / GRID) as usize).map(move |i| from + (i as f64 + 0.5) * GRID)
    };
    for up_cm in steps(low, high) {
        for across_cm in steps(left, right) {
            let p = Point { across_cm, up_cm };
            if patch.contains(p)
                && patch
                    .margins()
                    .iter()
                    .all(|m| m.distance_cm(p) >= m.radius_cm)
            {
                let quadrant = patch.quadrant_of(p);
                counts[order
                    .iter()
                    .position(|&q| q == quadrant)
                    .expect("one of the four")] += GRID * GRID;
            }
        }
    }
    counts
}

fn percentile(sorted: &[f64], share: f64) -> f64 {
    sorted[((sorted.len() - 1) as f64 * share).round() as usize]
}

#[test]
fn every_zone_and_quadrant_has_skin_and_the_areas_are_printed() {
    let mut whole: HashMap<Zone, Vec<f64>> = HashMap::new();
    let mut allowed: HashMap<Zone, Vec<f64>> = HashMap::new();
    let mut least: HashMap<Zone, f64> = HashMap::new();
    for (number, person) in everybody().iter().enumerate() {
        let body = Body::of(&person.sizes());
        assert_eq!(body.assumed(), []);
        for zone in ZONES {
            let patch = body.patch(zone);
            let quadrants = allowed_cm2(patch);
            let smallest = quadrants.into_iter().fold(f64::MAX, f64::min);
            assert!(
                smallest > 0.0,
                "person {number}: a quadrant of {zone:?} has no allowed skin: {quadrants:?}"
            );
            let sum: f64 = quadrants.iter().sum();
            assert!(sum < patch.area_cm2() * 1.02, "person {number}: {zone:?}");
            whole.entry(zone).or_default().push(patch.area_cm2());
            allowed.entry(zone).or_default().push(sum);
            let known = least.entry(zone).or_insert(f64::MAX);
            *known = known.min(smallest);
        }
    }
    println!(
        "| zone (one side) | whole cm2: 5 % | 50 % | 95 % | allowed cm2: 5 % | 50 % | 95 % | smallest quadrant of anyone |"
    );
    println!("|---|---|---|---|---|---|---|---|");
    for zone in ZONES {
        let row: Vec<String> = [&mut whole, &mut allowed]
            .into_iter()
            .flat_map(|areas| {
                let areas = areas.get_mut(&zone).expect("every zone was measured");
                areas.sort_by(f64::total_cmp);
                [0.05, 0.5, 0.95].map(|share| format!("{:.0}", percentile(areas, share)))
            })
            .collect();
        println!(
            "| {} | {} | {:.1} |",
            zone.code(),
            row.join(" | "),
            least[&zone]
        );
    }
}

#[test]
fn every_zone_stays_within_its_share_of_the_measured_girth() {
    for (number, person) in everybody().iter().enumerate() {
        let body = Body::of(&person.sizes());
        // From side to side in front; a third of the thigh; two fifths of the arm; from the cleft to the side.
        for (zone, girth, share) in [
            (Zone::Abdomen, person.cm("waistcircumference"), 0.5),
            (Zone::LeftThigh, person.cm("thighcircumference"), 1.0 / 3.0),
            (Zone::LeftArm, person.cm("bicepscircumferenceflexed"), 0.4),
            (Zone::LeftButtock, person.cm("buttockcircumference"), 0.25),
        ] {
            let (inner, _, outer, _) = body.patch(zone).bounds();
            assert!(
                outer - inner <= share * girth,
                "person {number}: {zone:?} is {} of {girth}",
                outer - inner
            );
        }
    }
}

/// How high the line under the ribs runs at a distance from the midline.
fn rib_line(patch: &Patch, across: f64) -> f64 {
    let rib = patch
        .margins()
        .iter()
        .find(|m| m.name == "lowest rib")
        .expect("the abdomen has ribs");
    let piece = rib
        .line
        .lines()
        .find(|l| (l.start.x..=l.end.x).contains(&across))
        .expect("the line spans the zone");
    piece.start.y
        + (across - piece.start.x) / (piece.end.x - piece.start.x) * (piece.end.y - piece.start.y)
}

#[test]
fn the_ratios_stop_short_of_bone_for_most_people() {
    let everybody = everybody();
    let count = everybody.len() as f64;
    let (mut rib, mut rib_margin, mut pubic, mut hip, mut arm) = (0.0, 0.0, 0.0, 0.0, 0.0);
    let mut hips_error = Vec::new();
    for person in &everybody {
        let body = Body::of(&person.sizes());
        let abdomen = body.patch(Zone::Abdomen);
        // Where the tenth rib ends: 0.7 of the way from the midline to the flank (from memory of anatomy).
        let measured = person.cm("tenthribheight") - person.cm("waistheightomphalion");
        let line = rib_line(abdomen, 0.7 * abdomen.bounds().2);
        let one = |above: bool| f64::from(u8::from(above));
        rib += one(line > measured);
        rib_margin += one(line - 1.0 > measured);
        // The pubic bone lies above the crotch.
        pubic += one(
            -abdomen.bounds().1 > person.cm("waistheightomphalion") - person.cm("crotchheight")
        );
        let above_knee = person.cm("trochanterionheight") - person.cm("kneeheightmidpatella");
        hip += one(body.patch(Zone::LeftThigh).bounds().3 - 10.0 > above_knee);
        arm += one(
            (body.patch(Zone::LeftArm).bounds().3 - person.cm("acromionradialelength")).abs() > 3.0,
        );
        let buttock = body.patch(Zone::LeftButtock).bounds();
        hips_error.push((buttock.2 - buttock.0) / 0.135 / person.cm("buttockcircumference") - 1.0);
    }
    hips_error.sort_by(f64::total_cmp);
    let shares = [rib, rib_margin, pubic, hip, arm].map(|n| 100.0 * n / count);
    println!(
        "rib line above the person's own tenth rib: {:.1} %",
        shares[0]
    );
    println!(
        "allowed skin (1 cm lower) above the person's own tenth rib: {:.1} %",
        shares[1]
    );
    println!(
        "pubic line below the person's own crotch: {:.1} %",
        shares[2]
    );
    println!(
        "allowed thigh above the person's own trochanter: {:.1} %",
        shares[3]
    );
    println!("arm length off by more than 3 cm: {:.1} %", shares[4]);
    println!(
        "girth round the buttocks, estimated against measured: 5th {:+.1} %, median {:+.1} %, 95th {:+.1} %",
        100.0 * percentile(&hips_error, 0.05),
        100.0 * percentile(&hips_error, 0.5),
        100.0 * percentile(&hips_error, 0.95)
    );
    // What the chosen ratios gave when they were chosen, with a little room; a change of ratio that puts more
    // people's allowed skin over bone has to be argued for here.
    let limits = [25.0, 10.0, 0.5, 0.0, 1.0];
    for (share, limit) in shares.iter().zip(limits) {
        assert!(*share <= limit, "{shares:?} against {limits:?}");
    }
    assert!(percentile(&hips_error, 0.05) > -0.07 && percentile(&hips_error, 0.95) < 0.07);
}
