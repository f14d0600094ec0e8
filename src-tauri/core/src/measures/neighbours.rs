//! Nearest-neighbour ratio: how far injections lie from their nearest neighbour, against points thrown at random.
//!
//! 1 is what chance would do, less is bunched, more is spread; a perfect lattice reaches 2.15. Not here: which
//! points and which skin.
//!
//! Source: Clark PJ, Evans FC 1954, Ecology 35(4):445-453; Donnelly KP 1978, Simulations to determine the variance
//! and edge effect of total nearest-neighbour distance, in Hodder I (ed), Simulation Studies in Archaeology, 91-95.

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::SeedableRng;

use super::window::Window;
use crate::site::Point;

/// Donnelly's constant for small samples as R's spatstat has it. Many texts round it to 0.041; the ratio then
/// differs by less than 0.0006 on the patterns it was tried on.
pub const DONNELLY_SMALL_SAMPLE: f64 = 0.0412;

/// How many random patterns are thrown where the skin is not a rectangle.
const THROWS: usize = 199;
/// With very many injections fewer throws are as sharp, so that ten years of them are no wait.
const POINTS_THROWN: usize = 200_000;
/// Never fewer throws than this: their spread has to be estimated from them.
const FEWEST_THROWS: usize = 19;
/// Half the width of a 95 % interval, in standard deviations.
const Z95: f64 = 1.959_963_984_540_054;

/// Where the expected distance comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Correction {
    /// Donnelly's formula, for rectangles only.
    Donnelly,
    /// Points thrown at random on the very same skin, this many times.
    Thrown(usize),
}

/// How injections lie to one another on one zone's allowed skin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Neighbours {
    /// Injections on the allowed skin.
    pub count: usize,
    /// Mean distance to the nearest other one, in centimetres.
    pub mean_cm: f64,
    /// What it would be if they had been thrown at random, in centimetres.
    pub expected_cm: f64,
    /// The one divided by the other.
    pub ratio: f64,
    /// From and to which ratio 95 of 100 random patterns of as many points lie (normal approximation).
    pub random: (f64, f64),
    /// How the edge of the skin was allowed for.
    pub correction: Correction,
}

/// Each point's distance to its nearest other point, in the points' order; empty for fewer than two.
pub fn nearest(points: &[Point]) -> Vec<f64> {
    if points.len() < 2 {
        return Vec::new();
    }
    let mut order: Vec<usize> = (0..points.len()).collect();
    order.sort_by(|a, b| points[*a].across_cm.total_cmp(&points[*b].across_cm));
    let mut found = vec![0.0; points.len()];
    for (place, &i) in order.iter().enumerate() {
        let here = points[i];
        let mut least = f64::INFINITY;
        // Both ways from here, until the points are farther off across than the nearest one is at all.
        let before = order[..place].iter().rev();
        let after = order[place + 1..].iter();
        for way in [
            &mut before.into_iter() as &mut dyn Iterator<Item = &usize>,
            &mut after.into_iter(),
        ] {
            for &j in way {
                let across = points[j].across_cm - here.across_cm;
                let square = across * across;
                if square >= least {
                    break;
                }
                let up = points[j].up_cm - here.up_cm;
                least = least.min(square + up * up);
            }
        }
        found[i] = least.sqrt();
    }
    found
}

/// Mean distance to the nearest other point; `None` for fewer than two.
pub fn mean_nearest(points: &[Point]) -> Option<f64> {
    let all = nearest(points);
    (!all.is_empty()).then(|| all.iter().sum::<f64>() / all.len() as f64)
}

/// Clark and Evans' expected mean distance for `count` random points on `area`, edges forgotten, and its standard
/// error.
pub fn clark_evans(count: usize, area: f64) -> (f64, f64) {
    let n = count as f64;
    let density = n / area;
    (0.5 / density.sqrt(), 0.26136 / (n * density).sqrt())
}

/// Donnelly's expected mean distance on a rectangle, and its standard error. `small_sample` is
/// [`DONNELLY_SMALL_SAMPLE`], or 0.041 as many texts print it.
pub fn donnelly(count: usize, area: f64, perimeter: f64, small_sample: f64) -> (f64, f64) {
    let n = count as f64;
    let expected = 0.5 * (area / n).sqrt() + (0.0514 + small_sample / n.sqrt()) * perimeter / n;
    let variance = 0.0703 * area / (n * n) + 0.037 * perimeter * (area / n.powi(5)).sqrt();
    (expected, variance.sqrt())
}

/// The ratio for points that all lie in the window; `None` for fewer than two, or on a mere sliver of skin.
pub(super) fn ratio(points: &[Point], window: &Window, seed: u64) -> Option<Neighbours> {
    let mean_cm = mean_nearest(points)?;
    let count = points.len();
    let ((expected_cm, sd), correction) = if let Some(perimeter) = window.rectangle_perimeter() {
        let formula = donnelly(count, window.area(), perimeter, DONNELLY_SMALL_SAMPLE);
        (formula, Correction::Donnelly)
    } else {
        let throws = (POINTS_THROWN / count).clamp(FEWEST_THROWS, THROWS);
        (
            thrown(count, window, seed, throws)?,
            Correction::Thrown(throws),
        )
    };
    let spread = Z95 * sd / expected_cm;
    Some(Neighbours {
        count,
        mean_cm,
        expected_cm,
        ratio: mean_cm / expected_cm,
        random: ((1.0 - spread).max(0.0), 1.0 + spread),
        correction,
    })
}

/// Mean and standard deviation, over random patterns in the window, of the mean distance to the nearest.
///
/// One pattern's distances depend on one another, so the spread is taken over patterns, not over points.
fn thrown(count: usize, window: &Window, seed: u64, throws: usize) -> Option<(f64, f64)> {
    let mut rng = Pcg64Mcg::seed_from_u64(seed);
    let means = (0..throws)
        .map(|_| {
            let points: Option<Vec<Point>> = (0..count).map(|_| window.random(&mut rng)).collect();
            mean_nearest(&points?)
        })
        .collect::<Option<Vec<f64>>>()?;
    let n = means.len() as f64;
    let mean = means.iter().sum::<f64>() / n;
    let variance = means.iter().map(|m| (m - mean).powi(2)).sum::<f64>() / (n - 1.0);
    Some((mean, variance.sqrt()))
}

/// Ripley's K without edge correction: the area times the share of ordered pairs that are at most `distance` apart.
/// `None` for fewer than two points.
///
/// spatstat's correction `un` is the same. pointpats' `k` is not: it takes the area of the box around the
/// points, divides by the square of the count and leaves out pairs exactly at the distance.
///
/// # Source
/// Ripley BD 1977, J R Stat Soc B 39(2):172-212.
pub fn ripley_k(points: &[Point], distance: f64, area: f64) -> Option<f64> {
    let n = points.len();
    if n < 2 {
        return None;
    }
    let pairs = points
        .iter()
        .enumerate()
        .flat_map(|(i, a)| points[i + 1..].iter().map(|b| a.distance_cm(*b)))
        .filter(|d| *d <= distance)
        .count();
    Some(area * 2.0 * pairs as f64 / (n as f64 * (n - 1) as f64))
}
