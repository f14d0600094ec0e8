//! Use of the skin, half centimetre by half centimetre: days of rest and a load that fades with time.
//!
//! An entry known only to its quadrant has no point, so it is kept beside the cells and never spread over them.
//! Not here: zones and quadrants as a whole ([`crate::use_map`]), and colours.

use chrono::{DateTime, FixedOffset};

use crate::body::{Body, Patch};
use crate::rules::{History, Past, day_number};
use crate::site::{Point, Quadrant, Zone};
use crate::units::UnitError;

/// The side of a cell, in centimetres. Cells meet at the zone's landmark, so they do not move as the body's size does.
pub const CELL_CM: f64 = 0.5;

const SECONDS_A_DAY: f64 = 86_400.0;

/// How far round its point an injection is felt, and how fast that fades.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Footprint {
    radius_cm: f64,
    half_life_days: f64,
}

impl Footprint {
    /// A radius of `0.1..=10` cm, usually the spacing asked, and a half-life of `0.1..=3650` days. Neither is a
    /// published figure: the half-life only says how long a past injection stays visible.
    ///
    /// # Errors
    /// [`UnitError`] where one is not a number or out of range.
    pub fn new(radius_cm: f64, half_life_days: f64) -> Result<Self, UnitError> {
        let days = "the half-life of the load";
        if !half_life_days.is_finite() {
            return Err(UnitError::NotANumber { what: days });
        }
        let (low, high) = (0.1, 3650.0);
        if !(low..=high).contains(&half_life_days) {
            return Err(UnitError::OutOfRange {
                what: days,
                value: half_life_days,
                low,
                high,
                unit: "days",
            });
        }
        Ok(Self {
            radius_cm: crate::units::centimetres("the radius of use", radius_cm, 0.1, 10.0)?,
            half_life_days,
        })
    }

    /// Skin strictly nearer to the point than this has been used; centimetres.
    pub fn radius_cm(self) -> f64 {
        self.radius_cm
    }

    /// Days after which an injection weighs half; of elapsed time.
    pub fn half_life_days(self) -> f64 {
        self.half_life_days
    }

    /// What one injection weighs at `at`: 1 when given, half after a half-life.
    fn weight(self, past: &Past, at: DateTime<FixedOffset>) -> f64 {
        let days = (at - past.given_at).num_seconds() as f64 / SECONDS_A_DAY;
        (-days / self.half_life_days).exp2()
    }
}

/// One half-centimetre cell whose centre is on the zone's skin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// Its centre, in centimetres from the zone's landmark.
    pub centre: Point,
    /// Whole calendar days since the last injection within the radius; `None` where none is recorded with a point.
    pub days: Option<u32>,
    /// Injections within the radius, each weighing half after every half-life.
    pub load: f64,
}

/// Entries of one quadrant that have no point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unplaced {
    /// Which quadrant.
    pub quadrant: Quadrant,
    /// How many.
    pub count: u32,
    /// Whole calendar days since the last: its skin has rested at least this long, or less where a cell says less.
    pub days: u32,
    /// What they weigh together, somewhere in the quadrant.
    pub load: f64,
}

/// The use of one zone's skin.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneGrid {
    /// Which.
    pub zone: Zone,
    /// Its cells, from the bottom upwards and in each row from low `across` to high.
    pub cells: Vec<Cell>,
    /// Entries known only to the quadrant, in the zone's order of quadrants; quadrants without any are left out.
    pub unplaced: Vec<Unplaced>,
}

/// Use of every cell of all seven zones as of `at`, from everything given until then.
///
/// # Units
/// Centimetres on the unrolled skin; rest in calendar days of each entry's own offset, load in elapsed time.
/// A point outside its zone still counts for the cells within its radius.
pub fn use_grid(
    history: &History,
    body: &Body,
    at: DateTime<FixedOffset>,
    footprint: Footprint,
) -> Vec<ZoneGrid> {
    let mut boards = Zone::ALL.map(|zone| Board::new(body.patch(zone)));
    let mut unplaced: [[Option<Unplaced>; 4]; 7] = [[None; 4]; 7];
    let today = day_number(at);
    for past in history.before(at) {
        let zone = past.site.zone as usize;
        let days = (today - day_number(past.given_at)).max(0) as u32;
        let load = footprint.weight(past, at);
        match past.site.point {
            Some(p) if p.across_cm.is_finite() && p.up_cm.is_finite() => {
                boards[zone].mark(p, footprint.radius_cm, days, load);
            }
            _ => {
                let quadrant = past.site.quadrant;
                let place = usize::from(!quadrant.is_upper()) * 2 + usize::from(quadrant.is_far());
                let entry = unplaced[zone][place].get_or_insert(Unplaced {
                    quadrant,
                    count: 0,
                    days,
                    load: 0.0,
                });
                entry.count += 1;
                entry.days = entry.days.min(days);
                entry.load += load;
            }
        }
    }
    boards
        .into_iter()
        .zip(unplaced)
        .map(|(board, unplaced)| ZoneGrid {
            zone: board.patch.zone(),
            unplaced: unplaced.into_iter().flatten().collect(),
            cells: board.cells(),
        })
        .collect()
}

/// The cells of the box around a patch, those outside the skin included: marking needs no question of where the
/// skin ends.
struct Board<'a> {
    patch: &'a Patch,
    /// Number of the first column and row, counted in cells from the landmark.
    first: (i32, i32),
    columns: usize,
    rows: usize,
    /// `u32::MAX` is never.
    days: Vec<u32>,
    load: Vec<f64>,
}

impl<'a> Board<'a> {
    fn new(patch: &'a Patch) -> Self {
        let (left, low, right, high) = patch.bounds();
        let cell = |cm: f64| (cm / CELL_CM).floor() as i32;
        let first = (cell(left), cell(low));
        let columns = (cell(right) - first.0 + 1) as usize;
        let rows = (cell(high) - first.1 + 1) as usize;
        Self {
            patch,
            first,
            columns,
            rows,
            days: vec![u32::MAX; columns * rows],
            load: vec![0.0; columns * rows],
        }
    }

    /// Marks every cell whose centre is nearer to the point than the radius.
    fn mark(&mut self, p: Point, radius_cm: f64, days: u32, load: f64) {
        // A distance that equals the spacing keeps it, as in the spacing rule.
        let within = radius_cm - 1e-9;
        for row in overlap(p.up_cm, within, self.first.1, self.rows) {
            let up = centre(self.first.1, row) - p.up_cm;
            let square = within * within - up * up;
            let columns = overlap(
                p.across_cm,
                square.max(0.0).sqrt(),
                self.first.0,
                self.columns,
            );
            let (mut from, mut to) = (columns.start, columns.end);
            // The range is a little wider than the disc; at its ends the distance itself decides.
            let outside = |column: usize| {
                let across = centre(self.first.0, column) - p.across_cm;
                across * across >= square
            };
            while from < to && outside(from) {
                from += 1;
            }
            while from < to && outside(to - 1) {
                to -= 1;
            }
            let cells = row * self.columns + from..row * self.columns + to;
            for cell in &mut self.days[cells.clone()] {
                *cell = days.min(*cell);
            }
            for cell in &mut self.load[cells] {
                *cell += load;
            }
        }
    }

    fn cells(self) -> Vec<Cell> {
        let mut cells = Vec::with_capacity(self.days.len());
        for row in 0..self.rows {
            for column in 0..self.columns {
                let point = Point {
                    across_cm: centre(self.first.0, column),
                    up_cm: centre(self.first.1, row),
                };
                if !self.patch.contains(point) {
                    continue;
                }
                let at = row * self.columns + column;
                cells.push(Cell {
                    centre: point,
                    days: (self.days[at] != u32::MAX).then_some(self.days[at]),
                    load: self.load[at],
                });
            }
        }
        cells
    }
}

/// The centre of the cell `place` steps after the cell numbered `first`.
fn centre(first: i32, place: usize) -> f64 {
    (f64::from(first) + place as f64 + 0.5) * CELL_CM
}

/// The places, of `count` from the cell numbered `first`, whose centres can lie within `reach` of `at`; up to two
/// more at either end.
fn overlap(at: f64, reach: f64, first: i32, count: usize) -> std::ops::Range<usize> {
    let place = (at / CELL_CM) - 0.5 - f64::from(first);
    let cells = reach / CELL_CM;
    // A cast saturates, so a point far away marks nothing; it cuts towards zero, hence one cell more.
    let end = ((place + cells + 2.0) as usize).min(count);
    ((place - cells) as usize).min(end)..end
}

#[cfg(test)]
mod tests {
    use chrono::Duration;
    use proptest::prelude::*;

    use super::*;
    use crate::person::Sizes;
    use crate::site::Site;

    fn now() -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339("2026-06-03T09:00:00+01:00").unwrap()
    }

    fn given(id: usize, zone: Zone, point: Option<(f64, f64)>, hours_ago: i64) -> Past {
        let point = point.map(|(across_cm, up_cm)| Point { across_cm, up_cm });
        Past {
            id: format!("{id:06}"),
            medicine: "insulin-aspart-100".into(),
            class: "insulin".into(),
            site: Site {
                zone,
                quadrant: zone.quadrants()[id % 4],
                point,
            },
            given_at: now() - Duration::hours(hours_ago),
        }
    }

    fn grid(past: Vec<Past>, footprint: Footprint) -> Vec<ZoneGrid> {
        let body = Body::of(&Sizes::default());
        use_grid(&History::new(past), &body, now(), footprint)
    }

    fn month() -> Footprint {
        Footprint::new(1.0, 28.0).unwrap()
    }

    #[test]
    fn one_injection_marks_the_skin_around_it_and_no_other() {
        let grids = grid(
            vec![given(0, Zone::Abdomen, Some((4.0, -3.0)), 28 * 24)],
            month(),
        );
        assert_eq!(grids.len(), 7);
        let marked: Vec<_> = grids
            .iter()
            .flat_map(|g| g.cells.iter().map(move |c| (g.zone, c)))
            .filter(|(_, c)| c.days.is_some())
            .collect();
        // Centres of a half-centimetre grid within 1 cm of one of its corners: (0.25 or 0.75, 0.25 or 0.75) save
        // the four at 1.06 cm.
        assert_eq!(marked.len(), 12);
        for (zone, cell) in marked {
            assert_eq!(zone, Zone::Abdomen);
            assert_eq!(cell.days, Some(28));
            assert!((cell.load - 0.5).abs() < 1e-12, "half after a half-life");
        }
    }

    #[test]
    fn a_quadrant_only_entry_gets_no_point() {
        let mut past = vec![
            given(1, Zone::LeftThigh, None, 49),
            given(5, Zone::LeftThigh, None, 1000),
        ];
        past.push(given(2, Zone::RightArm, Some((f64::NAN, 1.0)), 1));
        let grids = grid(past, month());
        for grid in &grids {
            assert!(
                grid.cells
                    .iter()
                    .all(|c| c.days.is_none() && c.load.abs() < 1e-15)
            );
            match grid.zone {
                Zone::LeftThigh => {
                    let only = grid.unplaced[0];
                    assert_eq!(
                        (only.quadrant, only.count, only.days),
                        (Quadrant::UpperOuter, 2, 2)
                    );
                }
                Zone::RightArm => assert_eq!(grid.unplaced[0].count, 1),
                _ => assert!(grid.unplaced.is_empty()),
            }
        }
    }

    #[test]
    fn cells_cover_the_patch_and_lie_on_it() {
        let body = Body::of(&Sizes::default());
        for grid in grid(Vec::new(), month()) {
            let patch = body.patch(grid.zone);
            assert!(grid.cells.iter().all(|c| patch.contains(c.centre)));
            let area = grid.cells.len() as f64 * CELL_CM * CELL_CM;
            assert!(
                (area / patch.area_cm2() - 1.0).abs() < 0.02,
                "{:?}",
                grid.zone
            );
        }
    }

    #[test]
    fn the_future_and_points_far_away_mark_nothing() {
        let past = vec![
            given(0, Zone::Abdomen, Some((4.0, -3.0)), -1),
            given(1, Zone::Abdomen, Some((1e12, -1e300)), 1),
            given(2, Zone::Abdomen, Some((-60.0, 0.0)), 1),
        ];
        let grids = grid(past, month());
        assert!(grids[0].cells.iter().all(|c| c.days.is_none()));
        assert!(grids[0].unplaced.is_empty());
    }

    #[test]
    fn a_footprint_out_of_range_is_refused() {
        for (radius, half_life) in [
            (0.0, 28.0),
            (11.0, 28.0),
            (f64::NAN, 28.0),
            (1.0, 0.0),
            (1.0, f64::INFINITY),
            (1.0, f64::NAN),
            (1.0, -3.0),
        ] {
            assert!(
                Footprint::new(radius, half_life).is_err(),
                "{radius} {half_life}"
            );
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        /// Every cell against every injection, by the definition.
        #[test]
        fn the_grid_equals_brute_force(
            past in prop::collection::vec((0usize..7, -20.0f64..20.0, -20.0f64..45.0, 0i64..20_000), 0..120),
            radius in 0.1f64..4.0,
            half_life in 0.5f64..200.0,
        ) {
            let past: Vec<Past> = past
                .iter()
                .enumerate()
                .map(|(i, &(zone, across, up, hours))| given(i, Zone::ALL[zone], Some((across, up)), hours))
                .collect();
            let footprint = Footprint::new(radius, half_life).unwrap();
            for grid in grid(past.clone(), footprint) {
                for cell in &grid.cells {
                    let near: Vec<&Past> = past
                        .iter()
                        .filter(|p| {
                            p.site.zone == grid.zone
                                && p.site.point.unwrap().distance_cm(cell.centre) < radius - 1e-9
                        })
                        .collect();
                    let days = near.iter().map(|p| p.rested_days(now()) as u32).min();
                    let load: f64 = near
                        .iter()
                        .map(|p| 0.5f64.powf((now() - p.given_at).num_seconds() as f64 / 86_400.0 / half_life))
                        .sum();
                    prop_assert_eq!(cell.days, days);
                    prop_assert!((cell.load - load).abs() < 1e-9);
                }
            }
        }
    }
}
