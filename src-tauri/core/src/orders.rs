//! What an order says beside medicine, dose and times: on which days, how punctual, with what, by whom signed.
//!
//! Every term may be unknown; what is unknown is said and never guessed. Not here: the dose, which only a prescriber
//! sets, or when injections are due ([`crate::due`]).

use chrono::{DateTime, Duration, FixedOffset, NaiveDate, NaiveTime, Timelike, Weekday};

use crate::person::Order;
use crate::site::Zone;
use crate::time::day_words;

/// What the medicine is given with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Device {
    /// Drawn up from a vial.
    VialAndSyringe,
    /// A pen, reusable or prefilled.
    Pen,
    /// A syringe that comes filled.
    PrefilledSyringe,
}

impl Device {
    /// Every device, in the order they are offered.
    pub const ALL: [Self; 3] = [Self::VialAndSyringe, Self::Pen, Self::PrefilledSyringe];

    /// The word used in files and at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::VialAndSyringe => "vial_and_syringe",
            Self::Pen => "pen",
            Self::PrefilledSyringe => "prefilled_syringe",
        }
    }

    /// Reads [`Device::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|d| d.code() == text)
    }

    /// The word on screen.
    pub fn words(self) -> &'static str {
        match self {
            Self::VialAndSyringe => "vial and syringe",
            Self::Pen => "pen",
            Self::PrefilledSyringe => "prefilled syringe",
        }
    }
}

/// How long before and after a time of day an injection counts as on time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    /// Minutes before, 0 to 1440.
    pub before_min: u16,
    /// Minutes after, 0 to 1440.
    pub after_min: u16,
}

impl Window {
    /// Where an order sets none: an hour either way (common practice, no source).
    pub const USUAL: Self = Self {
        before_min: 60,
        after_min: 60,
    };

    /// Minutes as lengths of time.
    pub fn lengths(self) -> (Duration, Duration) {
        let minutes = |n: u16| Duration::minutes(i64::from(n));
        (minutes(self.before_min), minutes(self.after_min))
    }
}

/// Glucose measured before each injection, and the limits the prescriber set; values as they were written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GlucoseTerms {
    /// `mmol/L` or `mg/dL`.
    pub unit: String,
    /// Below this the low-glucose steps come up.
    pub low: Option<String>,
    /// Above this the order's instruction counts.
    pub high: Option<String>,
}

/// Zones kept for a time of day, so that one time's injections stay in one region.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Region {
    /// One of the order's times of day.
    pub time: NaiveTime,
    /// Its zones.
    pub zones: Vec<Zone>,
}

/// The terms of an order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Terms {
    /// Weekdays it is given on; empty is any day the rest of the order asks for.
    pub weekdays: Vec<Weekday>,
    /// How punctual; the usual where none is set.
    pub window: Option<Window>,
    /// With what.
    pub device: Option<Device>,
    /// Needle length; millimetres, 3 to 40.
    pub needle_mm: Option<f64>,
    /// When its prescriber signed it.
    pub signed_on: Option<NaiveDate>,
    /// The last day before it must be looked at again.
    pub review_by: Option<NaiveDate>,
    /// Whether glucose is measured before each injection.
    pub asks_glucose: bool,
    /// The limits, where its prescriber set any.
    pub glucose: Option<GlucoseTerms>,
    /// Whether policy asks for a second person to check.
    pub second_check: bool,
    /// Who may give it, as the order or policy words it.
    pub may_give: Option<String>,
    /// Zones kept for times of day.
    pub regions: Vec<Region>,
}

impl Terms {
    /// How punctual.
    pub fn window(&self) -> Window {
        self.window.unwrap_or(Window::USUAL)
    }
}

/// The first day it is not a day too early or too late for an order, in words; nothing where all is well.
///
/// # Returns
/// One sentence for each doubt: not signed, signed after its first day, review overdue. None of them blocks anything.
pub fn doubts(order: &Order, day: NaiveDate) -> Vec<String> {
    let terms = &order.terms;
    let mut found = Vec::new();
    match terms.signed_on {
        None => found.push(
            "No signature date is on record for this order. Check the signed order.".to_owned(),
        ),
        Some(signed) if signed > day => found.push(format!(
            "This order is dated as signed on {}, which is still to come. Check the date.",
            day_words(signed)
        )),
        Some(_) => {}
    }
    found.extend(review_overdue(order, day));
    found
}

/// Zones kept for the time of day an injection at `at` belongs to; `None` where the order keeps none for it.
///
/// # How
/// It belongs to the order's nearest time of day, round the clock, by its own offset.
pub fn zones_at(order: &Order, at: DateTime<FixedOffset>) -> Option<&[Zone]> {
    let minutes = |t: NaiveTime| i64::from(t.num_seconds_from_midnight()) / 60;
    let now = minutes(at.time());
    let apart = |t: &NaiveTime| {
        let apart = (minutes(*t) - now).abs();
        apart.min(24 * 60 - apart)
    };
    let nearest = order.times.iter().min_by_key(|t| (apart(t), **t))?;
    let region = order.terms.regions.iter().find(|r| r.time == *nearest)?;
    Some(&region.zones)
}

/// That an order's review is overdue on a day, in words.
pub fn review_overdue(order: &Order, day: NaiveDate) -> Option<String> {
    let review = order.terms.review_by.filter(|review| *review < day)?;
    Some(format!(
        "This order was to be reviewed by {}. Ask the prescriber whether it still stands.",
        day_words(review)
    ))
}

/// A weekday as a number, 1 Monday to 7 Sunday (ISO 8601).
pub fn weekday_number(day: Weekday) -> u8 {
    day.number_from_monday() as u8
}

/// Reads [`weekday_number`] back; `None` for anything else.
pub fn weekday_of(number: u8) -> Option<Weekday> {
    Weekday::try_from(number.checked_sub(1)?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Dose, DoseUnit};

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn order(terms: Terms) -> Order {
        Order {
            medicine: "insulin-glargine-100".to_owned(),
            dose: Dose::parse("12", DoseUnit::Units).unwrap(),
            times: Vec::new(),
            every_days: 1,
            from: day("2026-06-01"),
            to: None,
            prescriber: "Dr Halloran Vey".to_owned(),
            note: None,
            terms,
        }
    }

    #[test]
    fn an_order_says_what_is_doubtful_about_it() {
        let today = day("2026-06-03");
        let signed = |signed: &str, review: Option<&str>| {
            let terms = Terms {
                signed_on: Some(day(signed)),
                review_by: review.map(day),
                ..Terms::default()
            };
            doubts(&order(terms), today)
        };
        assert!(doubts(&order(Terms::default()), today)[0].contains("No signature date"));
        assert_eq!(signed("2026-06-01", None), [""; 0]);
        // The day itself still counts.
        assert_eq!(signed("2026-06-03", Some("2026-06-03")), [""; 0]);
        assert!(signed("2026-06-04", None)[0].contains("still to come"));
        assert!(signed("2026-06-01", Some("2026-06-02"))[0].contains("reviewed by 2 Jun 2026"));
    }

    #[test]
    fn an_injection_belongs_to_the_nearest_time_of_day() {
        let at = |text: &str| DateTime::parse_from_rfc3339(text).unwrap();
        let time = |text: &str| NaiveTime::parse_from_str(text, "%H:%M").unwrap();
        let mut order = order(Terms::default());
        order.times = vec![time("08:00"), time("22:00")];
        assert_eq!(zones_at(&order, at("2026-06-03T08:00:00+01:00")), None);
        order.terms.regions = vec![
            Region {
                time: time("08:00"),
                zones: vec![Zone::Abdomen],
            },
            Region {
                time: time("22:00"),
                zones: vec![Zone::LeftThigh, Zone::RightThigh],
            },
        ];
        let abdomen: Option<&[Zone]> = Some(&[Zone::Abdomen]);
        assert_eq!(zones_at(&order, at("2026-06-03T09:40:00+01:00")), abdomen);
        assert_eq!(
            zones_at(&order, at("2026-06-03T23:30:00+01:00"))
                .unwrap()
                .len(),
            2
        );
        // Over midnight 22:00 is nearer than 08:00.
        assert_eq!(
            zones_at(&order, at("2026-06-04T02:00:00+01:00"))
                .unwrap()
                .len(),
            2
        );
        assert_eq!(zones_at(&order, at("2026-06-04T03:30:00+01:00")), abdomen);
    }

    #[test]
    fn weekdays_are_numbered_from_monday() {
        for n in 1..=7 {
            assert_eq!(weekday_number(weekday_of(n).unwrap()), n);
        }
        assert_eq!(weekday_of(1), Some(Weekday::Mon));
        assert_eq!((weekday_of(0), weekday_of(8)), (None, None));
    }
}
