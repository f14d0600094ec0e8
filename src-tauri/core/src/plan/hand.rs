//! How far a hand may miss before two neighbouring sites lie closer than their rules ask, in words.
//!
//! Not here: how often it happens; `cargo xtask replay` counts that.

use crate::words::cm;

/// This much over the least spacing keeps it under a hand that is 3 mm off each way (one standard deviation) at both
/// sites, but for once in thousands: 3.5 standard deviations of the distance between the two. Centimetres.
pub const COMFORT_CM: f64 = 1.5;

/// With this much over, such a hand breaks the spacing in fewer than 1 of 200 injections; centimetres. `cargo xtask
/// replay`: 1.22 over gives 0.26 %, 0.78 over 5 %.
const SOME_CM: f64 = 1.1;

/// How exact a hand must be where sites lie `spacing_cm` apart and `least_cm` is asked for.
///
/// # Source
/// Geometry: two neighbours keep the spacing while each is off by no more than half of what there is over it. What is
/// said of a hand 3 mm off agrees with the simulated years of `cargo xtask replay`.
pub fn words(spacing_cm: f64, least_cm: f64) -> String {
    let over_cm = spacing_cm - least_cm;
    let least = cm(least_cm);
    if over_cm < 0.05 {
        return format!(
            "That is the least the rules ask for ({least}), so any miss brings two sites closer. Measure each place; more skin would help."
        );
    }
    let each_mm = (over_cm / 2.0 * 10.0 + 1e-9).floor();
    let judged = if over_cm + 1e-9 >= COMFORT_CM {
        "A hand that is often 3 mm off keeps it"
    } else if over_cm + 1e-9 >= SOME_CM {
        "A hand that is often 3 mm off comes closer now and then"
    } else {
        "That is little: a hand that is often 3 mm off comes closer many times a year. Measure each place; more skin would help"
    };
    format!(
        "The least the rules ask for is {least}; it is kept while no injection is more than {each_mm} mm off its place. {judged}."
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hand_may_miss_by_half_of_what_is_left_over() {
        assert!(
            words(2.5, 1.0).contains("more than 7 mm off")
                && words(2.5, 1.0).contains("often 3 mm off keeps it")
        );
        assert!(
            words(2.2, 1.0).contains("more than 6 mm off")
                && words(2.2, 1.0).contains("now and then")
        );
        assert!(
            words(1.4, 1.0).contains("more than 2 mm off")
                && words(1.4, 1.0).contains("many times a year")
        );
        assert!(words(1.0, 1.0).contains("any miss"));
        assert!(words(0.8, 1.0).contains("any miss"));
    }
}
