//! Rows that need not be equal: each row of a lattice may slide along itself, at the price of a little more height.
//!
//! Between rows of the same pitch, shifted by `d` against each other, the rise must be at least the square root of
//! `spacing² - d²`; half a pitch of shift asks the least. The best choice of levels and shifts is found by dynamic
//! programming on a fine grid that holds the lattice it starts from, so it is never worse than that lattice.

use geo::MultiPolygon;

use super::field::Field;
use super::lattice::Lattice;

/// Steps of one row's rise.
const STEPS: usize = 40;
/// Shifts along a row; even.
const PHASES: usize = 16;
/// A row's best count and where it was reached are kept in one number: the count above this bit.
const COUNT_BIT: u32 = 18;
/// So that both fit; a region so large beside its spacing gains next to nothing.
const MOST_LEVELS: usize = (1 << COUNT_BIT) / PHASES - 1;
/// Likewise.
const MOST_SITES: usize = (1 << (31 - COUNT_BIT)) - 200;

/// Sites in rows, at least as many as the lattice has, in the region's own coordinates.
pub(super) fn slid(region: &MultiPolygon<f64>, spacing: f64, lattice: &Lattice) -> Vec<(f64, f64)> {
    let field = Field::turned(region, lattice.degrees);
    let as_it_is = || regular(&field, lattice);
    let Some((low, high)) = field.levels() else {
        return Vec::new();
    };
    let step = lattice.rise / STEPS as f64;
    let below = ((lattice.level - low) / step + 1e-9).floor().max(0.0);
    let bottom = lattice.level - below * step;
    let levels = ((high - bottom) / step + 1e-6).floor() as usize + 1;
    if levels > MOST_LEVELS || lattice.count > MOST_SITES {
        return as_it_is();
    }
    let table = Table::of(&field, spacing, lattice, bottom, step, levels);
    let sites = table.sites(&field, lattice, bottom, step);
    if sites.len() > lattice.count {
        sites
    } else {
        as_it_is()
    }
}

fn regular(field: &Field, lattice: &Lattice) -> Vec<(f64, f64)> {
    let mut sites = Vec::new();
    let Some((_, high)) = field.levels() else {
        return sites;
    };
    let rows = ((high - lattice.level) / lattice.rise + 1e-9)
        .floor()
        .max(0.0) as u32;
    for row in 0..=rows {
        let level = lattice.level + f64::from(row) * lattice.rise;
        let shift = if row % 2 == 0 {
            0.0
        } else {
            lattice.pitch / 2.0
        };
        row_sites(
            field,
            level,
            lattice.phase + shift,
            lattice.pitch,
            &mut sites,
        );
    }
    sites
}

fn row_sites(field: &Field, level: f64, phase: f64, pitch: f64, sites: &mut Vec<(f64, f64)>) {
    let mut spans = Vec::new();
    field.spans(level, &mut spans);
    for (from, to) in spans {
        let mut n = ((from - phase) / pitch).ceil();
        while phase + n * pitch <= to {
            sites.push(field.back(phase + n * pitch, level));
            n += 1.0;
        }
    }
}

/// For each level and shift: the most sites in rows up to it, and the highest of those rows.
struct Table {
    /// Count and index of the highest row, twice over so that shifts need not wrap.
    reached: Vec<[i32; 2 * PHASES]>,
    /// Count and index of the row below, were this one used.
    below: Vec<[i32; PHASES]>,
}

impl Table {
    fn of(
        field: &Field,
        spacing: f64,
        lattice: &Lattice,
        bottom: f64,
        step: f64,
        levels: usize,
    ) -> Self {
        let rises = rises(spacing, lattice.pitch, step);
        let mut table = Self {
            reached: Vec::with_capacity(levels),
            below: Vec::with_capacity(levels),
        };
        let mut spans = Vec::new();
        for level in 0..levels {
            spans.clear();
            field.spans(bottom + level as f64 * step, &mut spans);
            let inside = inside(&spans, lattice);
            let mut below = [0; PHASES];
            for (shift, rise) in &rises {
                let Some(under) = level.checked_sub(*rise) else {
                    continue;
                };
                let row = &table.reached[under];
                for phase in 0..PHASES {
                    below[phase] = below[phase]
                        .max(row[phase + shift])
                        .max(row[phase + PHASES - shift]);
                }
            }
            let mut reached = table.reached.last().copied().unwrap_or([0; 2 * PHASES]);
            for phase in 0..PHASES {
                let count = (below[phase] >> COUNT_BIT) + inside[phase];
                if inside[phase] > 0 && count > reached[phase] >> COUNT_BIT {
                    // Index 0 is kept for "no row".
                    let here = (count << COUNT_BIT)
                        + i32::try_from(level * PHASES + phase + 1).unwrap_or(0);
                    reached[phase] = here;
                    reached[phase + PHASES] = here;
                }
            }
            table.reached.push(reached);
            table.below.push(below);
        }
        table
    }

    fn sites(&self, field: &Field, lattice: &Lattice, bottom: f64, step: f64) -> Vec<(f64, f64)> {
        let mut sites = Vec::new();
        let best = self
            .reached
            .last()
            .and_then(|row| row[..PHASES].iter().max());
        let mut here = best.copied().unwrap_or(0) & ((1 << COUNT_BIT) - 1);
        while here > 0 {
            let (level, phase) = ((here as usize - 1) / PHASES, (here as usize - 1) % PHASES);
            let at = lattice.phase + lattice.pitch * phase as f64 / PHASES as f64;
            row_sites(
                field,
                bottom + level as f64 * step,
                at,
                lattice.pitch,
                &mut sites,
            );
            here = self.below[level][phase] & ((1 << COUNT_BIT) - 1);
        }
        sites
    }
}

/// Shifts of one row against the next that are tried, up to half a pitch: less than a quarter costs more height than
/// it ever gains.
const SHIFTS: std::ops::RangeInclusive<usize> = PHASES / 4..=PHASES / 2;

/// How many steps lie at least between two rows, for each of these shifts.
fn rises(spacing: f64, pitch: f64, step: f64) -> Vec<(usize, usize)> {
    SHIFTS
        .map(|shift| {
            let across = pitch * shift as f64 / PHASES as f64;
            let rise = (spacing * spacing - across * across).max(0.0).sqrt();
            (shift, (rise / step - 1e-6).ceil() as usize)
        })
        .collect()
}

/// For each shift the sites of a row that are inside.
fn inside(spans: &[(f64, f64)], lattice: &Lattice) -> [i32; PHASES] {
    let mut change = [0_i32; PHASES + 1];
    let mut base = 0;
    for (from, to) in spans {
        let (from, to) = (
            (from - lattice.phase) / lattice.pitch,
            (to - lattice.phase) / lattice.pitch,
        );
        base += (to.floor() - from.floor()) as i32;
        // A site comes inside at the first shift past `from` and leaves at the first past `to`.
        change[((from - from.floor()) * PHASES as f64).ceil() as usize] += 1;
        change[((to - to.floor()) * PHASES as f64).floor() as usize + 1] -= 1;
    }
    let mut now = base;
    std::array::from_fn(|phase| {
        now += change[phase];
        now
    })
}
