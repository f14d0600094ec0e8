//! When injections of an order are due: its times of day on the person's clock, and which of them were given.
//!
//! Not here: where an injection goes ([`crate::plan::weeks`]), or whether one is too soon after another
//! ([`crate::rules::Interval`], whose half interval decides here what belongs to which slot).

use chrono::{DateTime, Datelike, Days, Duration, FixedOffset, NaiveDate};
use chrono_tz::Tz;

use crate::person::Order;
use crate::rules::Interval;
use crate::time::{Clock, Meaning, day_in, length_words, meaning};

/// One moment an order asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Slot {
    /// When, at the offset of the person's zone.
    pub at: DateTime<FixedOffset>,
    /// Which of the injections given fills it, by its place in the list.
    pub given: Option<usize>,
}

/// The slots of an order from `from` to `to`, both included, the earliest first; each with the injection that fills it.
///
/// # Units
/// Days count from the order's first day; a time of day the clocks skip is due when they have moved on, one that comes
/// twice is due the first time.
/// # How
/// An injection fills the nearest slot, no farther off than half the usual interval; of two for one slot the nearer
/// fills it. `given` may be in any order.
/// # Returns
/// Nothing for an order without times of day: nobody knows when it will be needed.
pub fn slots(
    order: &Order,
    zone: Tz,
    (from, to): (DateTime<FixedOffset>, DateTime<FixedOffset>),
    given: &[DateTime<FixedOffset>],
) -> Vec<Slot> {
    let interval = Interval::of(order);
    let Some(usual) = interval.usual.filter(|_| !order.times.is_empty()) else {
        return Vec::new();
    };
    // A slot outside the asked span may be the nearer one of an injection inside it.
    let around = usual.min(Duration::days(31));
    let mut all = times(order, zone, from - around, to + around);
    for (n, at) in given.iter().enumerate() {
        let Some(nearest) = all
            .iter_mut()
            .min_by_key(|slot| ((slot.at - *at).abs(), slot.at))
        else {
            break;
        };
        let nearer = nearest
            .given
            .is_none_or(|other| (nearest.at - given[other]).abs() > (nearest.at - *at).abs());
        if nearer && interval.judge(*at, nearest.at).needs_reason {
            nearest.given = Some(n);
        }
    }
    all.retain(|slot| (from..=to).contains(&slot.at));
    all
}

/// Every moment the order asks for.
fn times(
    order: &Order,
    zone: Tz,
    from: DateTime<FixedOffset>,
    to: DateTime<FixedOffset>,
) -> Vec<Slot> {
    let mut of_day = order.times.clone();
    of_day.sort_unstable();
    of_day.dedup();
    let last = order
        .to
        .map_or(day_in(to, zone), |last| last.min(day_in(to, zone)));
    let mut found = Vec::new();
    let mut day = first_day(order, day_in(from, zone));
    while let Some(today) = day.filter(|d| *d <= last) {
        let weekdays = &order.terms.weekdays;
        let asked = weekdays.is_empty() || weekdays.contains(&today.weekday());
        found.extend(of_day.iter().filter(|_| asked).map(|time| Slot {
            at: match meaning(today.and_time(*time), zone) {
                Meaning::Once(at) | Meaning::Twice(at, _) | Meaning::Never(_, at) => at,
            },
            given: None,
        }));
        day = today.checked_add_days(Days::new(u64::from(order.every_days.max(1))));
    }
    found.retain(|slot| (from..=to).contains(&slot.at));
    // A skipped hour may put two times of day at one moment, which is one injection.
    found.sort_by_key(|slot| slot.at);
    found.dedup_by_key(|slot| slot.at);
    found
}

/// The first day on or after `day` the order asks for anything.
fn first_day(order: &Order, day: NaiveDate) -> Option<NaiveDate> {
    if day <= order.from {
        return Some(order.from);
    }
    let every = i64::from(order.every_days.max(1));
    let gone = i64::from(day.num_days_from_ce() - order.from.num_days_from_ce());
    let cycles = (gone + every - 1).div_euclid(every);
    order
        .from
        .checked_add_days(Days::new(u64::try_from(cycles * every).ok()?))
}

/// Where a slot stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standing {
    /// Its time has passed and nobody recorded anything; it can still be given.
    Late,
    /// It is time.
    Due,
    /// Still to come.
    Upcoming,
    /// Nobody recorded anything, and the next one is nearer by now. What happened is not known.
    NoRecord,
    /// Recorded as not given.
    NotGiven,
    /// Recorded as given.
    Given,
}

impl Standing {
    /// The word at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::Late => "late",
            Self::Due => "due",
            Self::Upcoming => "upcoming",
            Self::NoRecord => "no_record",
            Self::NotGiven => "not_given",
            Self::Given => "given",
        }
    }

    /// The standing with this word at the door.
    pub fn from_code(code: &str) -> Option<Self> {
        let all = [
            Self::Late,
            Self::Due,
            Self::Upcoming,
            Self::NoRecord,
            Self::NotGiven,
            Self::Given,
        ];
        all.into_iter().find(|standing| standing.code() == code)
    }

    /// Whether the injection can still be given for this slot.
    pub fn is_open(self) -> bool {
        matches!(self, Self::Late | Self::Due | Self::Upcoming)
    }
}

/// Where a slot stands at `now`; `not_given` is whether it was recorded as not given.
///
/// # How
/// It is due within the order's window, late after it, and without a record once half the usual interval has passed:
/// then the next slot is the nearer one, so that a late dose is never taken for the old slot and its own. Given wins
/// over not given.
pub fn standing(
    slot: &Slot,
    order: &Order,
    not_given: bool,
    now: DateTime<FixedOffset>,
) -> Standing {
    if slot.given.is_some() {
        Standing::Given
    } else if not_given {
        Standing::NotGiven
    } else {
        Turns::of(slot.at, order).standing(now)
    }
}

/// When a slot that nobody recorded anything for comes to stand otherwise.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Turns {
    /// From here on it is due.
    due: DateTime<FixedOffset>,
    /// After this it is late.
    late: DateTime<FixedOffset>,
    /// From here on it has no record.
    over: DateTime<FixedOffset>,
}

impl Turns {
    /// Those of the order's slot at this time.
    pub fn of(at: DateTime<FixedOffset>, order: &Order) -> Self {
        let (before, after) = order.terms.window().lengths();
        let half = Interval::of(order).usual.map_or(after, |usual| usual / 2);
        Self {
            due: at - before,
            late: at + after.min(half),
            over: at + half,
        }
    }

    /// Where the slot stands at `now`.
    pub fn standing(self, now: DateTime<FixedOffset>) -> Standing {
        if now < self.due {
            Standing::Upcoming
        } else if now <= self.late {
            Standing::Due
        } else if now < self.over {
            Standing::Late
        } else {
            Standing::NoRecord
        }
    }
}

/// How a slot stands in words: `due at 08:00`, `late by 2 h`, `in 45 min`.
pub fn standing_words(
    slot: &Slot,
    standing: Standing,
    now: DateTime<FixedOffset>,
    clock: Clock,
) -> String {
    let time = clock.words(slot.at.time());
    match standing {
        Standing::Upcoming => format!("in {}", length_words(slot.at - now)),
        Standing::Due => format!("due at {time}"),
        Standing::Late => format!("late by {}", length_words(now - slot.at)),
        Standing::NoRecord => format!("no record for {time}"),
        Standing::NotGiven => format!("not given at {time}"),
        Standing::Given => format!("given for {time}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::orders::Terms;
    use crate::units::{Dose, DoseUnit};
    use chrono::NaiveTime;
    use chrono_tz::{Asia::Kolkata, Australia::Lord_Howe, Europe::London, Europe::Paris};

    fn order(times: &[&str], every_days: u16, from: &str) -> Order {
        Order {
            medicine: "insulin-glargine-100".to_owned(),
            dose: Dose::parse("12", DoseUnit::Units).unwrap(),
            times: times
                .iter()
                .map(|t| NaiveTime::parse_from_str(t, "%H:%M").unwrap())
                .collect(),
            every_days,
            from: from.parse().unwrap(),
            to: None,
            prescriber: "Dr Halloran Vey".to_owned(),
            note: None,
            terms: Terms::default(),
        }
    }

    fn at(text: &str) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(text).unwrap()
    }

    fn found(order: &Order, zone: Tz, from: &str, to: &str) -> Vec<String> {
        slots(order, zone, (at(from), at(to)), &[])
            .iter()
            .map(|s| s.at.to_rfc3339())
            .collect()
    }

    #[test]
    fn slots_follow_the_persons_clock_through_gaps_and_folds() {
        let night = order(&["02:30"], 1, "2026-01-01");
        assert_eq!(
            found(
                &night,
                Paris,
                "2026-03-28T00:00:00+01:00",
                "2026-03-30T12:00:00+02:00"
            ),
            [
                "2026-03-28T02:30:00+01:00",
                "2026-03-29T03:30:00+02:00",
                "2026-03-30T02:30:00+02:00"
            ],
            "the clocks skipped 02:30: due when they have moved on"
        );
        assert_eq!(
            found(
                &night,
                Paris,
                "2026-10-25T00:00:00+02:00",
                "2026-10-25T12:00:00+01:00"
            ),
            ["2026-10-25T02:30:00+02:00"],
            "once, although 02:30 came twice"
        );
        let half = order(&["02:10"], 1, "2026-01-01");
        assert_eq!(
            found(
                &half,
                Lord_Howe,
                "2026-10-04T00:00:00+10:30",
                "2026-10-04T12:00:00+11:00"
            ),
            ["2026-10-04T02:40:00+11:00"]
        );
        let morning = order(&["08:00"], 1, "2026-01-01");
        assert_eq!(
            found(
                &morning,
                Kolkata,
                "2026-06-03T00:00:00+05:30",
                "2026-06-03T23:00:00+05:30"
            ),
            ["2026-06-03T08:00:00+05:30"]
        );
    }

    #[test]
    fn two_times_the_clocks_put_together_are_one_injection() {
        let close = order(&["02:30", "03:30"], 1, "2026-01-01");
        let day = found(
            &close,
            Paris,
            "2026-03-29T00:00:00+01:00",
            "2026-03-29T23:00:00+02:00",
        );
        assert_eq!(day, ["2026-03-29T03:30:00+02:00"]);
    }

    #[test]
    fn days_are_counted_from_the_orders_first() {
        let weekly = order(&["09:00"], 7, "2026-06-03");
        assert_eq!(
            found(
                &weekly,
                London,
                "2026-06-01T00:00:00+01:00",
                "2026-06-18T00:00:00+01:00"
            ),
            [
                "2026-06-03T09:00:00+01:00",
                "2026-06-10T09:00:00+01:00",
                "2026-06-17T09:00:00+01:00"
            ]
        );
        let mut ended = order(&["09:00"], 2, "2026-06-03");
        ended.to = "2026-06-06".parse().ok();
        assert_eq!(
            found(
                &ended,
                London,
                "2026-06-01T00:00:00+01:00",
                "2026-06-30T00:00:00+01:00"
            ),
            ["2026-06-03T09:00:00+01:00", "2026-06-05T09:00:00+01:00"]
        );
        let when_needed = order(&[], 1, "2026-06-03");
        assert!(
            found(
                &when_needed,
                London,
                "2026-06-01T00:00:00+01:00",
                "2026-06-30T00:00:00+01:00"
            )
            .is_empty()
        );
    }

    #[test]
    fn an_injection_fills_the_nearest_slot_only() {
        let meals = order(&["08:00", "12:30", "18:00", "22:00"], 1, "2026-01-01");
        let day = (
            at("2026-06-03T00:00:00+01:00"),
            at("2026-06-03T23:59:00+01:00"),
        );
        let given = [
            at("2026-06-03T09:40:00+01:00"),
            at("2026-06-03T12:20:00+01:00"),
            at("2026-06-03T12:50:00+01:00"),
        ];
        let filled: Vec<Option<usize>> = slots(&meals, London, day, &given)
            .iter()
            .map(|s| s.given)
            .collect();
        assert_eq!(
            filled,
            [Some(0), Some(1), None, None],
            "of two for one slot the nearer fills it"
        );
        // 23:30 on the day before belongs to that day's 22:00, and not to 08:00.
        let late = [at("2026-06-02T23:30:00+01:00")];
        assert!(
            slots(&meals, London, day, &late)
                .iter()
                .all(|s| s.given.is_none())
        );
    }

    #[test]
    fn a_slot_is_upcoming_due_late_and_then_without_a_record() {
        let meals = order(&["08:00", "12:30", "18:00", "22:00"], 1, "2026-01-01");
        let slot = Slot {
            at: at("2026-06-03T08:00:00+01:00"),
            given: None,
        };
        // Four a day, the shortest gap 4 h: half of it is 2 h.
        for (now, want, words) in [
            ("06:59", Standing::Upcoming, "in 1 h 1 min"),
            ("07:00", Standing::Due, "due at 08:00"),
            ("09:00", Standing::Due, "due at 08:00"),
            ("09:01", Standing::Late, "late by 1 h 1 min"),
            ("09:59", Standing::Late, "late by 1 h 59 min"),
            ("10:00", Standing::NoRecord, "no record for 08:00"),
        ] {
            let now = at(&format!("2026-06-03T{now}:00+01:00"));
            let found = standing(&slot, &meals, false, now);
            assert_eq!(
                (
                    found,
                    standing_words(&slot, found, now, Clock::Hours24).as_str()
                ),
                (want, words),
                "{now}"
            );
        }
        let noon = at("2026-06-03T12:00:00+01:00");
        assert_eq!(standing(&slot, &meals, true, noon), Standing::NotGiven);
        let given = Slot {
            given: Some(0),
            ..slot
        };
        assert_eq!(
            standing(&given, &meals, true, noon),
            Standing::Given,
            "what was given counts"
        );
        // An order's own window.
        let mut strict = meals;
        strict.terms.window = Some(crate::orders::Window {
            before_min: 10,
            after_min: 15,
        });
        assert_eq!(
            standing(&slot, &strict, false, at("2026-06-03T08:16:00+01:00")),
            Standing::Late
        );
        // Once a week it can be late for days.
        let weekly = order(&["08:00"], 7, "2026-06-03");
        assert_eq!(
            standing(&slot, &weekly, false, at("2026-06-06T08:00:00+01:00")),
            Standing::Late
        );
    }

    #[test]
    fn weekdays_are_kept() {
        let mut twice = order(&["09:00"], 1, "2026-06-01");
        twice.terms.weekdays = vec![chrono::Weekday::Mon, chrono::Weekday::Thu];
        assert_eq!(
            found(
                &twice,
                London,
                "2026-06-01T00:00:00+01:00",
                "2026-06-12T00:00:00+01:00"
            ),
            [
                "2026-06-01T09:00:00+01:00",
                "2026-06-04T09:00:00+01:00",
                "2026-06-08T09:00:00+01:00",
                "2026-06-11T09:00:00+01:00"
            ]
        );
        assert_eq!(
            Interval::of(&twice).usual,
            Some(Duration::days(3)),
            "Monday to Thursday is the shorter way"
        );
    }

    proptest::proptest! {
        /// One injection never fills two slots, whatever the zone, and slots come in order.
        #[test]
        fn one_injection_fills_one_slot(
            start in 0_i64..1_500_000_000, hours in proptest::collection::vec(0_i64..200, 0..12),
            pick in 0_usize..600, every in 1_u16..9, minutes in proptest::collection::vec(0_u32..1440, 1..6)
        ) {
            let zone = chrono_tz::TZ_VARIANTS[pick % chrono_tz::TZ_VARIANTS.len()];
            let from = DateTime::<chrono::Utc>::from_timestamp(start, 0).unwrap().with_timezone(&zone).fixed_offset();
            let mut asked = order(&[], every, "1970-01-01");
            asked.times = minutes.iter().map(|m| NaiveTime::from_num_seconds_from_midnight_opt(m * 60, 0).unwrap()).collect();
            let given: Vec<_> = hours.iter().map(|h| from + Duration::hours(*h)).collect();
            let found = slots(&asked, zone, (from, from + Duration::days(8)), &given);
            let mut used: Vec<usize> = found.iter().filter_map(|s| s.given).collect();
            let count = used.len();
            used.sort_unstable();
            used.dedup();
            proptest::prop_assert_eq!(used.len(), count);
            proptest::prop_assert!(found.windows(2).all(|w| w[0].at < w[1].at));
        }
    }
}
