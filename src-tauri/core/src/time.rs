//! Local times and instants: what a clock on the wall meant, and how to say when something was.
//!
//! The offset stored with an entry is the truth for that entry for ever; a zone's rules are used only to read a
//! time somebody types and to say whether a wall time was unusual. Not here: the clock itself, which is an argument.

use chrono::{
    DateTime, Duration, FixedOffset, LocalResult, NaiveDate, NaiveDateTime, NaiveTime, Offset,
    TimeZone, Utc,
};
use chrono_tz::Tz;

/// How times of day are told. What is stored, and every code at the door, has 24 hours whatever is chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Clock {
    /// `20:05`.
    #[default]
    Hours24,
    /// `8:05 pm`; noon and midnight are named, since "12:00 pm" alone is read both ways.
    Hours12,
}

impl Clock {
    /// The word used at the door: `24` or `12`.
    pub fn code(self) -> &'static str {
        match self {
            Self::Hours24 => "24",
            Self::Hours12 => "12",
        }
    }

    /// Reads [`Clock::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        [Self::Hours24, Self::Hours12]
            .into_iter()
            .find(|clock| clock.code() == text)
    }

    /// A time of day in words: `20:05`, or `8:05 pm`, `12:00 pm (noon)`, `12:00 am (midnight)`. Seconds are left out.
    ///
    /// # Source
    /// That 12 am and 12 pm are ambiguous and noon and midnight are to be named: NIST, Times of Day FAQs (from memory).
    pub fn words(self, time: NaiveTime) -> String {
        use chrono::Timelike;
        let Self::Hours12 = self else {
            return time.format("%H:%M").to_string();
        };
        let named = match (time.hour(), time.minute()) {
            (0, 0) => " (midnight)",
            (12, 0) => " (noon)",
            _ => "",
        };
        format!("{}{named}", time.format("%-I:%M %P"))
    }
}

/// What a wall-clock time means in a zone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meaning {
    /// It happened once.
    Once(DateTime<FixedOffset>),
    /// The clock went back over it: the first and the second time.
    Twice(DateTime<FixedOffset>, DateTime<FixedOffset>),
    /// The clock went forward over it. Offered instead: as far before the change as was typed after it, and the
    /// typed time carried forward by the length of the gap (02:30 in a gap of an hour offers 01:30 and 03:30).
    Never(DateTime<FixedOffset>, DateTime<FixedOffset>),
}

/// What `local` means on the clocks of `zone`.
///
/// # Source
/// The two offers around a gap: acceptance case S2; carrying forward by the gap is RFC 5545, 3.3.5.
pub fn meaning(local: NaiveDateTime, zone: Tz) -> Meaning {
    match zone.from_local_datetime(&local) {
        LocalResult::Single(t) => Meaning::Once(t.fixed_offset()),
        LocalResult::Ambiguous(a, b) => Meaning::Twice(a.fixed_offset(), b.fixed_offset()),
        LocalResult::None => {
            // A gap is at most a day long (Samoa, 2011); the offsets a day either side frame it.
            let before = zone
                .offset_from_utc_datetime(&(local - Duration::hours(26)))
                .fix();
            let after = zone
                .offset_from_utc_datetime(&(local + Duration::hours(26)))
                .fix();
            let gap = Duration::seconds(i64::from(
                after.local_minus_utc() - before.local_minus_utc(),
            ));
            let at = |l: NaiveDateTime, o: FixedOffset| {
                DateTime::from_naive_utc_and_offset(
                    l - Duration::seconds(i64::from(o.local_minus_utc())),
                    o,
                )
            };
            Meaning::Never(at(local - gap, before), at(local + gap, after))
        }
    }
}

/// Whether an instant written with its own offset names a wall time that the clocks of `zone` skipped, under one of
/// the two offsets around that gap: then it was typed into a gap, and is not a traveller's own clock.
pub fn typed_into_gap(at: DateTime<FixedOffset>, zone: Tz) -> Option<Meaning> {
    let local = at.naive_local();
    match meaning(local, zone) {
        Meaning::Never(a, b) if at.offset() == a.offset() || at.offset() == b.offset() => {
            Some(Meaning::Never(a, b))
        }
        _ => None,
    }
}

/// The first instant of a calendar day in `zone`; a day may start at 01:00 where the clock skips midnight.
pub fn day_start(day: NaiveDate, zone: Tz) -> DateTime<FixedOffset> {
    match meaning(day.and_time(chrono::NaiveTime::MIN), zone) {
        Meaning::Once(t) | Meaning::Twice(t, _) => t,
        Meaning::Never(_, later) => {
            // Midnight was skipped: the day starts where the gap ends.
            let offset = *later.offset();
            let mut start = later;
            while let Meaning::Once(t) = meaning(start.naive_local() - Duration::minutes(1), zone)
                && t.date_naive() == day
            {
                start = t;
            }
            start.with_timezone(&offset)
        }
    }
}

/// The calendar day of an instant on the clocks of `zone`.
pub fn day_in(at: DateTime<FixedOffset>, zone: Tz) -> NaiveDate {
    at.with_timezone(&zone).date_naive()
}

/// Day and time of day as its own clock read them, without the offset: `Sun 25 Oct 2026, 02:40`.
pub fn moment_words(at: DateTime<FixedOffset>, clock: Clock) -> String {
    format!("{}, {}", at.format("%a %-d %b %Y"), clock.words(at.time()))
}

/// An instant in words, as its own clock read it: `Sun 25 Oct 2026, 02:40`. The offset is added, `(+02:00)`, where
/// the clock alone would mislead: the hour happened twice, or the offset is not the one `zone` had then.
pub fn words(at: DateTime<FixedOffset>, zone: Tz, clock: Clock) -> String {
    let plain = moment_words(at, clock);
    let usual = zone.offset_from_utc_datetime(&at.naive_utc()).fix() == *at.offset();
    let twice = matches!(meaning(at.naive_local(), zone), Meaning::Twice(..));
    if usual && !twice {
        plain
    } else {
        format!("{plain} ({})", at.format("%:z"))
    }
}

/// A calendar day in words: `9 Mar 1951`.
pub fn day_words(day: NaiveDate) -> String {
    day.format("%-d %b %Y").to_string()
}

/// A length of time in words: `4 min`, `17 h 30 min`, `3 days`, `5 weeks`. Counted on instants, so a day is 24 hours.
pub fn length_words(length: Duration) -> String {
    let minutes = length.num_minutes().abs();
    let plural = |n: i64, one: &str| {
        if n == 1 {
            format!("1 {one}")
        } else {
            format!("{n} {one}s")
        }
    };
    match minutes {
        0 => "less than a minute".to_owned(),
        1..=59 => format!("{minutes} min"),
        60..=2879 if minutes % 60 == 0 => format!("{} h", minutes / 60),
        60..=2879 => format!("{} h {} min", minutes / 60, minutes % 60),
        _ if minutes < 70 * 1440 => plural(minutes / 1440, "day"),
        _ => plural(minutes / (7 * 1440), "week"),
    }
}

/// Whole days of rest between two instants: full days of 24 hours, never negative.
pub fn whole_days(from: DateTime<FixedOffset>, to: DateTime<FixedOffset>) -> i64 {
    (to - from).num_days().max(0)
}

/// Age in whole years on a day.
pub fn age_on(born: NaiveDate, day: NaiveDate) -> u32 {
    day.years_since(born).unwrap_or(0)
}

/// An instant from its stored parts.
pub fn from_parts(utc_ms: i64, offset_min: i32) -> Option<DateTime<FixedOffset>> {
    let offset = FixedOffset::east_opt(offset_min.checked_mul(60)?)?;
    Some(DateTime::<Utc>::from_timestamp_millis(utc_ms)?.with_timezone(&offset))
}

/// The version of the time zone rules compiled in.
pub fn zone_rules_version() -> &'static str {
    chrono_tz::IANA_TZDB_VERSION
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono_tz::Tz;

    fn local(text: &str) -> NaiveDateTime {
        NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").unwrap()
    }

    fn offers(text: &str, zone: Tz) -> Vec<String> {
        match meaning(local(text), zone) {
            Meaning::Once(a) => vec![a.to_rfc3339()],
            Meaning::Twice(a, b) => vec!["twice".into(), a.to_rfc3339(), b.to_rfc3339()],
            Meaning::Never(a, b) => vec!["never".into(), a.to_rfc3339(), b.to_rfc3339()],
        }
    }

    #[test]
    fn wall_times_in_gaps_and_folds() {
        // Cases S1 and S2; Lord Howe moves by half an hour, Santiago skips midnight, Apia skipped a whole day.
        for (text, zone, want) in [
            (
                "2026-06-03T08:00",
                Tz::Europe__London,
                vec!["2026-06-03T08:00:00+01:00"],
            ),
            (
                "2026-10-25T02:20",
                Tz::Europe__Paris,
                vec![
                    "twice",
                    "2026-10-25T02:20:00+02:00",
                    "2026-10-25T02:20:00+01:00",
                ],
            ),
            (
                "2026-03-29T02:30",
                Tz::Europe__Paris,
                vec![
                    "never",
                    "2026-03-29T01:30:00+01:00",
                    "2026-03-29T03:30:00+02:00",
                ],
            ),
            (
                "2026-10-04T02:10",
                Tz::Australia__Lord_Howe,
                vec![
                    "never",
                    "2026-10-04T01:40:00+10:30",
                    "2026-10-04T02:40:00+11:00",
                ],
            ),
            (
                "2026-09-06T00:00",
                Tz::America__Santiago,
                vec![
                    "never",
                    "2026-09-05T23:00:00-04:00",
                    "2026-09-06T01:00:00-03:00",
                ],
            ),
            (
                "2011-12-30T12:00",
                Tz::Pacific__Apia,
                vec![
                    "never",
                    "2011-12-29T12:00:00-10:00",
                    "2011-12-31T12:00:00+14:00",
                ],
            ),
        ] {
            assert_eq!(offers(text, zone), want, "{text} {zone}");
        }
    }

    #[test]
    fn a_day_starts_at_its_first_instant() {
        let start = |d: &str, z: Tz| day_start(d.parse().unwrap(), z).to_rfc3339();
        assert_eq!(
            start("2026-09-06", Tz::America__Santiago),
            "2026-09-06T01:00:00-03:00"
        );
        assert_eq!(
            start("2026-06-03", Tz::Europe__London),
            "2026-06-03T00:00:00+01:00"
        );
    }

    #[test]
    fn words_show_the_offset_only_where_the_clock_misleads() {
        let say =
            |t: &str, z: Tz| words(DateTime::parse_from_rfc3339(t).unwrap(), z, Clock::Hours24);
        assert_eq!(
            say("2026-10-25T02:40:00+02:00", Tz::Europe__Paris),
            "Sun 25 Oct 2026, 02:40 (+02:00)"
        );
        assert_eq!(
            say("2026-10-25T02:10:00+01:00", Tz::Europe__Paris),
            "Sun 25 Oct 2026, 02:10 (+01:00)"
        );
        assert_eq!(
            say("2026-06-03T08:00:00+01:00", Tz::Europe__London),
            "Wed 3 Jun 2026, 08:00"
        );
        assert_eq!(
            say("2026-07-14T21:30:00-07:00", Tz::Asia__Tokyo),
            "Tue 14 Jul 2026, 21:30 (-07:00)"
        );
    }

    #[test]
    fn a_clock_of_twelve_hours_names_noon_and_midnight() {
        for (time, day, half) in [
            ("00:00", "00:00", "12:00 am (midnight)"),
            ("00:01", "00:01", "12:01 am"),
            ("08:05", "08:05", "8:05 am"),
            ("11:59", "11:59", "11:59 am"),
            ("12:00", "12:00", "12:00 pm (noon)"),
            ("12:30", "12:30", "12:30 pm"),
            ("13:00", "13:00", "1:00 pm"),
            ("23:59", "23:59", "11:59 pm"),
        ] {
            let time = NaiveTime::parse_from_str(time, "%H:%M").unwrap();
            assert_eq!(Clock::Hours24.words(time), day);
            assert_eq!(Clock::Hours12.words(time), half);
        }
        let at = DateTime::parse_from_rfc3339("2026-10-25T14:40:00+02:00").unwrap();
        assert_eq!(
            words(at, Tz::Europe__Paris, Clock::Hours12),
            "Sun 25 Oct 2026, 2:40 pm (+02:00)"
        );
    }

    #[test]
    fn clocks_are_read_by_their_codes() {
        assert_eq!(Clock::default(), Clock::Hours24);
        for clock in [Clock::Hours24, Clock::Hours12] {
            assert_eq!(Clock::from_code(clock.code()), Some(clock));
        }
        assert_eq!(["", "13", "h12"].map(Clock::from_code), [None; 3]);
    }

    #[test]
    fn lengths_are_counted_on_instants() {
        let t = |s: &str| DateTime::parse_from_rfc3339(s).unwrap();
        // Case S3: two dates apart and 17 h 30 min.
        assert_eq!(
            length_words(t("2026-07-16T07:00:00+09:00") - t("2026-07-14T21:30:00-07:00")),
            "17 h 30 min"
        );
        // Case S1.
        assert_eq!(
            length_words(t("2026-10-25T02:10:00+01:00") - t("2026-10-25T02:40:00+02:00")),
            "30 min"
        );
        for (minutes, want) in [
            (0, "less than a minute"),
            (4, "4 min"),
            (60, "1 h"),
            (2879, "47 h 59 min"),
            (2880, "2 days"),
            (1440 * 80, "11 weeks"),
        ] {
            assert_eq!(length_words(Duration::minutes(minutes)), want);
        }
    }

    #[test]
    fn stored_parts_that_no_program_wrote_are_no_instant() {
        assert_eq!(from_parts(0, 60), Some(DateTime::UNIX_EPOCH.fixed_offset()));
        for (utc_ms, offset_min) in [(0, 1440), (0, i32::MAX), (0, i32::MIN), (i64::MAX, 0)] {
            assert_eq!(from_parts(utc_ms, offset_min), None);
        }
    }

    #[test]
    fn the_zone_rules_are_the_ones_we_know() {
        // Frozen so that an upgrade is seen (pitfall C4): read what changed, then change this line.
        assert_eq!(zone_rules_version(), "2025b");
    }

    proptest::proptest! {
        #[test]
        fn an_instant_is_its_own_meaning(seconds in 0_i64..2_000_000_000, pick in 0_usize..600) {
            let zone = chrono_tz::TZ_VARIANTS[pick % chrono_tz::TZ_VARIANTS.len()];
            let at = DateTime::<Utc>::from_timestamp(seconds, 0).unwrap().with_timezone(&zone).fixed_offset();
            let found = match meaning(at.naive_local(), zone) {
                Meaning::Once(a) => a == at,
                Meaning::Twice(a, b) => a == at || b == at,
                Meaning::Never(..) => false,
            };
            proptest::prop_assert!(found, "{at} in {zone}");
        }
    }
}
