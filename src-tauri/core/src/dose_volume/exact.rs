//! Exact numbers in words: a fraction as a decimal where it ends, as a fraction where it does not.
//!
//! Not here: what the numbers count.

use num_rational::Ratio;

/// An exact number. 128 bits, because a volume is a quotient of two amounts of up to 10^11 thousandths each, and nothing
/// here multiplies more than two of them.
pub(super) type Exact = Ratio<i128>;

/// So many thousandths.
pub(super) fn thousandths(n: i64) -> Exact {
    Exact::new(i128::from(n), 1000)
}

/// Whole thousandths, where it is that.
pub(super) fn in_thousandths(value: Exact) -> Option<i64> {
    let value = value * 1000;
    let whole = value.is_integer().then(|| value.to_integer())?;
    i64::try_from(whole).ok()
}

/// A count of parts of `10^decimals`: `12500, 3` is `12.5`, `5200000, 3` is `5,200`. No trailing zero, a leading zero.
pub(super) fn decimal(count: i128, decimals: u32) -> String {
    let scale = 10_i128.pow(decimals);
    let whole = grouped(&(count / scale).to_string());
    let part = format!("{:0width$}", count % scale, width = decimals as usize);
    match part.trim_end_matches('0') {
        "" => whole,
        part => format!("{whole}.{part}"),
    }
}

/// Most decimals a number is written with before a fraction is easier to read.
const DECIMALS: u32 = 9;

/// The exact number: `0.125`, `1,000`, and `1/30` where no decimal ends.
pub(super) fn text(value: Exact) -> String {
    let scaled = value * 10_i128.pow(DECIMALS);
    if scaled.is_integer() {
        decimal(scaled.to_integer(), DECIMALS)
    } else {
        format!("{}/{}", value.numer(), value.denom())
    }
}

fn grouped(digits: &str) -> String {
    let mut text = String::new();
    for (n, digit) in digits.chars().enumerate() {
        if n > 0 && (digits.len() - n).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_so_that_no_zero_misleads() {
        for (numer, denom, words) in [
            (1, 8, "0.125"),
            (3, 10, "0.3"),
            (5, 1, "5"),
            (1000, 1, "1,000"),
            (12_345_678, 1000, "12,345.678"),
            (1, 30, "1/30"),
            (31, 3, "31/3"),
        ] {
            assert_eq!(text(Exact::new(numer, denom)), words);
        }
        assert_eq!(decimal(13, 2), "0.13");
        assert_eq!(decimal(30, 2), "0.3");
        assert_eq!(decimal(7, 0), "7");
        assert_eq!(in_thousandths(Exact::new(1, 8)), Some(125));
        assert_eq!(in_thousandths(Exact::new(1, 3)), None);
    }
}
