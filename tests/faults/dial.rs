//! How many rounds each test makes, and how it tells what it did. Not here: what a round is.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use rand_pcg::Pcg64Mcg;
use rand_pcg::rand_core::{Rng as _, SeedableRng as _};

/// Seconds for the fuzz targets of a long run; `None` in a short one.
fn soak() -> Option<u64> {
    let set = std::env::var("FALLOW_SOAK").ok()?;
    Some(set.parse().expect("FALLOW_SOAK is a number of seconds"))
}

/// How often to do something: in a short run, in a long one.
pub fn rounds(short: u64, long: u64) -> u64 {
    if soak().is_some() { long } else { short }
}

/// Time for one fuzz target that gets `percent` of all: of 15 seconds in a short run, of the seconds asked for in a long
/// one.
pub fn until(percent: u32) -> Instant {
    let all = Duration::from_secs(soak().unwrap_or(15));
    Instant::now() + all * percent / 100
}

/// What a short run begins with: the same on every machine, so that a change is to blame for what it finds.
const SHORT_SEED: u64 = 20_261_201;

/// Numbers that look random: other ones in every long run. The seed is printed; `FALLOW_SEED` repeats a run.
pub struct Chance(Pcg64Mcg);

impl Chance {
    pub fn new(what: &str) -> Self {
        let seed = match std::env::var("FALLOW_SEED") {
            Ok(seed) => seed.parse().expect("FALLOW_SEED is a number"),
            Err(_) if std::env::var_os("FALLOW_SOAK").is_none() => SHORT_SEED,
            Err(_) => std::time::UNIX_EPOCH.elapsed().unwrap().as_nanos() as u64,
        };
        println!("{what}: FALLOW_SEED={seed}");
        Self(Pcg64Mcg::seed_from_u64(seed))
    }

    /// A number below `end`, which is not 0.
    pub fn below(&mut self, end: u64) -> u64 {
        self.0.next_u64() % end
    }

    pub fn duration_below(&mut self, end: Duration) -> Duration {
        Duration::from_nanos(self.below(end.as_nanos().max(1) as u64))
    }

    pub fn fill(&mut self, bytes: &mut [u8]) {
        self.0.fill_bytes(bytes);
    }

    pub fn pick<'a, T>(&mut self, from: &'a [T]) -> &'a T {
        &from[self.below(from.len() as u64) as usize]
    }
}

/// Prints one line in the form that `cargo xtask soak` adds up.
pub fn figure(what: &str, numbers: &[(&str, u64)]) {
    let mut line = format!("figure: {what}");
    for (name, number) in numbers {
        write!(line, " {name}={number}").unwrap();
    }
    println!("{line}");
}
