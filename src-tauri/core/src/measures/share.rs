//! A share with its count and its Wilson interval. Not here: of what.

/// Half the width of a 95 % interval, in standard deviations.
const Z95: f64 = 1.959_963_984_540_054;

/// So many of so many.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// How many did.
    pub kept: usize,
    /// Of how many, at least one.
    pub of: usize,
    /// The one divided by the other, `0..=1`.
    pub share: f64,
    /// Low end of the 95 % Wilson interval.
    pub low: f64,
    /// High end of it.
    pub high: f64,
}

impl Share {
    /// `None` where there is nothing to take a share of, or more kept than there are.
    ///
    /// # Source
    /// Wilson EB 1927, J Am Stat Assoc 22(158):209-212, without continuity correction.
    pub fn new(kept: usize, of: usize) -> Option<Self> {
        if of == 0 || kept > of {
            return None;
        }
        let n = of as f64;
        let share = kept as f64 / n;
        let square = Z95 * Z95;
        let centre = share + square / (2.0 * n);
        let half = Z95 * (share * (1.0 - share) / n + square / (4.0 * n * n)).sqrt();
        let whole = 1.0 + square / n;
        Some(Self {
            kept,
            of,
            share,
            // Rounding must not push an end past the share at none or all.
            low: ((centre - half) / whole).clamp(0.0, share),
            high: ((centre + half) / whole).clamp(share, 1.0),
        })
    }

    /// `93 %`, with one decimal only where rounding would say none or all and it was not.
    pub fn percent(&self) -> String {
        percent(self.share)
    }
}

/// A share as a percentage for people; never `0 %` or `100 %` for what is neither.
pub(super) fn percent(share: f64) -> String {
    let whole = (share * 100.0).round();
    if (whole < 0.5 && share > 0.0) || (whole > 99.5 && share < 1.0) {
        return if share < 0.5 {
            format!("{:.1} %", (share * 100.0).max(0.1))
        } else {
            format!("{:.1} %", (share * 100.0).min(99.9))
        };
    }
    format!("{whole} %")
}
