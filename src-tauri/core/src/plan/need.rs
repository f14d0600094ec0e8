//! How many sites orders ask for: injections a day times days of rest, and what several orders cost each other.
//!
//! Not here: how many the skin has (`capacity`), or whether they are enough (`room`).

use crate::medicines::{General, Medicine};
use crate::person::Order;

/// What one order asks of the skin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Need {
    /// Injections a day; a weekly order has one seventh.
    pub per_day: f64,
    /// Days a point rests.
    pub rest_days: f64,
}

impl Need {
    /// Of an order and the rest its medicine asks for; `None` where it is given when needed, so that nobody knows.
    pub fn of(order: &Order, medicine: &Medicine) -> Option<Self> {
        let times = order.times.len();
        let mut weekdays = order.terms.weekdays.clone();
        weekdays.sort_unstable_by_key(chrono::Weekday::num_days_from_monday);
        weekdays.dedup();
        let of_week = if weekdays.is_empty() {
            1.0
        } else {
            weekdays.len() as f64 / 7.0
        };
        (times > 0).then(|| Self {
            per_day: times as f64 * of_week / f64::from(order.every_days.max(1)),
            rest_days: medicine.point_rest_days.value,
        })
    }

    /// Separate sites until the first has rested: 4 a day for 28 days are 112.
    pub fn sites(self) -> usize {
        let sites = self.per_day * self.rest_days;
        if sites.is_finite() && sites > 0.0 {
            (sites - 1e-9).ceil() as usize
        } else {
            0
        }
    }
}

/// One medicine and what it asks for.
#[derive(Debug, Clone, Copy)]
pub struct Treatment<'a> {
    /// The medicine.
    pub medicine: &'a Medicine,
    /// What its order asks for.
    pub need: Need,
}

/// Sites that treatments need together on a hexagonal grid of this spacing, none of their rules given up.
///
/// # How
/// Spacing holds against every earlier injection, whatever the medicine, and each medicine keeps its own: a site of a
/// medicine that asks for more than the grid's spacing takes up every grid point within its own. Two classes on one
/// day keep the distance between different medicines: the points around the other class's injections of that day are
/// needed beside. Both are counted in full although they may overlap, so the answer is rather too high than too low.
pub fn sites_together(treatments: &[Treatment<'_>], spacing_cm: f64, general: &General) -> usize {
    let own = treatments.iter().map(|t| {
        t.need
            .sites()
            .saturating_mul(within(t.medicine.spacing_cm.value / spacing_cm))
    });
    let own = own.fold(0_usize, usize::saturating_add);
    let apart = within(general.other_medicine_cm.value / spacing_cm) - 1;
    let others_today = |class: &str| {
        let others = treatments.iter().filter(|t| t.medicine.class != class);
        let today = others
            .map(|t| (t.need.per_day * general.other_medicine_days.value - 1e-9).ceil() as usize);
        today.fold(0_usize, usize::saturating_add)
    };
    let most = treatments
        .iter()
        .map(|t| others_today(&t.medicine.class))
        .max()
        .unwrap_or(0);
    own.saturating_add(apart.saturating_mul(most))
}

/// Points of a hexagonal grid of spacing 1 nearer than `radius` to one of them, itself included.
fn within(radius: f64) -> usize {
    if radius <= 1.0 + 1e-9 {
        return 1;
    }
    let reach = (radius * 1.2).ceil() as i32 + 1;
    let points =
        (-reach..=reach).flat_map(|a| (-reach..=reach).map(move |b| (f64::from(a), f64::from(b))));
    points
        .filter(|(a, b)| a * a + a * b + b * b < (radius - 1e-9) * (radius - 1e-9))
        .count()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::medicines::Book;

    fn treatment(id: &str, per_day: f64) -> Treatment<'static> {
        let medicine = Book::shipped().medicine(id).unwrap();
        Treatment {
            medicine,
            need: Need {
                per_day,
                rest_days: medicine.point_rest_days.value,
            },
        }
    }

    #[test]
    fn four_a_day_for_four_weeks_are_112_sites() {
        // The arithmetic of the clinical basis, computed.
        for (per_day, rest_days, sites) in [
            (4.0, 28.0, 112),
            (6.0, 28.0, 168),
            (1.0 / 7.0, 28.0, 4),
            (0.5, 7.0, 4),
            (48.0, 28.0, 1344),
            (0.0, 28.0, 0),
        ] {
            assert_eq!(Need { per_day, rest_days }.sites(), sites);
        }
    }

    #[test]
    fn points_within_a_radius_are_those_of_the_grid() {
        // 6 neighbours at 1, 6 at √3, 6 at 2, 12 at √7.
        for (radius, count) in [
            (0.3, 1),
            (1.0, 1),
            (1.1, 7),
            (1.8, 13),
            (2.0, 13),
            (2.1, 19),
            (2.7, 31),
        ] {
            assert_eq!(within(radius), count, "{radius}");
        }
    }

    #[test]
    fn medicines_share_the_skin_by_each_ones_own_rules() {
        let general = &Book::shipped().general;
        let (basal, bolus) = (
            treatment("insulin-glargine-100", 1.0),
            treatment("insulin-aspart-100", 3.0),
        );
        // One class: just more of the same.
        assert_eq!(sites_together(&[basal, bolus], 1.0, general), 112);
        // Another class: 4 sites, each with the 31 points nearer than 3 cm; and 18 points kept free around 4 of today.
        let weekly = treatment("methotrexate", 1.0 / 7.0);
        assert_eq!(
            sites_together(&[basal, bolus, weekly], 1.0, general),
            112 + 4 * within(3.0) + 4 * (within(2.5) - 1)
        );
        assert_eq!(sites_together(&[basal, bolus, weekly], 3.0, general), 116);
    }
}
