//! A smooth curve through knots, for outlines on the skin and on the drawing.

/// Monotone cubic interpolation (Fritsch & Carlson 1980, SIAM J Numer Anal 17:238-246; harmonic-mean slopes).
pub(super) fn smooth(knots: &[(f64, f64)], at: f64) -> f64 {
    let last = knots.len() - 1;
    let i = knots
        .iter()
        .skip(1)
        .position(|k| k.0 >= at)
        .unwrap_or(last - 1);
    let secant = |i: usize| (knots[i + 1].1 - knots[i].1) / (knots[i + 1].0 - knots[i].0);
    let slope = |k: usize| {
        if k == 0 {
            return secant(0);
        }
        if k == last {
            return secant(last - 1);
        }
        let (a, b) = (secant(k - 1), secant(k));
        if a * b <= 0.0 {
            0.0
        } else {
            2.0 * a * b / (a + b)
        }
    };
    let ((x0, y0), (x1, y1)) = (knots[i], knots[i + 1]);
    let (h, t) = (x1 - x0, (at - x0) / (x1 - x0));
    let (t2, t3) = (t * t, t * t * t);
    y0 * (2.0 * t3 - 3.0 * t2 + 1.0)
        + h * slope(i) * (t3 - 2.0 * t2 + t)
        + y1 * (3.0 * t2 - 2.0 * t3)
        + h * slope(i + 1) * (t3 - t2)
}
