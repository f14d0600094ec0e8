//! What people are reminded of while the app is open: an injection that has become due, and once more when it is late.
//!
//! Pure: it is told where the slots stand ([`crate::due`]) and remembers what it reminded of. Not here: how a reminder
//! reaches anybody, and how often somebody looks.

use std::collections::HashMap;

use chrono::{DateTime, FixedOffset};

use crate::due::Standing;
use crate::time::Clock;

/// One injection somebody has to give: whose, by which order, and when. Moments are compared as instants, so that a
/// change of zone makes no new injection.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Injection {
    /// The person.
    pub person: String,
    /// The order.
    pub order: String,
    /// When it is due, at the offset of the person's zone.
    pub at: DateTime<FixedOffset>,
}

/// An injection that is open, with where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Open {
    /// Which one.
    pub injection: Injection,
    /// How far it has come.
    pub stage: Stage,
}

/// How far an open injection has come; the later stage is the greater.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// It is time.
    Due,
    /// Its time has passed and there is no record yet.
    Late,
}

impl Stage {
    /// The stage of a slot; `None` where nobody needs to be reminded: still to come, given, not given, no record.
    pub fn of(standing: Standing) -> Option<Self> {
        match standing {
            Standing::Due => Some(Self::Due),
            Standing::Late => Some(Self::Late),
            Standing::Upcoming | Standing::NoRecord | Standing::NotGiven | Standing::Given => None,
        }
    }
}

impl Open {
    /// A slot as the door tells it. `None` where nobody needs to be reminded of it.
    ///
    /// # Errors
    /// None: a moment that cannot be read or a standing nobody knows is not reminded of.
    pub fn read(person: &str, order: &str, at: &str, standing: &str) -> Option<Self> {
        Some(Self {
            injection: Injection {
                person: person.to_owned(),
                order: order.to_owned(),
                at: DateTime::parse_from_rfc3339(at).ok()?,
            },
            stage: Stage::of(Standing::from_code(standing)?)?,
        })
    }
}

/// What was reminded of since the program started.
#[derive(Debug, Default)]
pub struct Reminded {
    // Never thinned: then a clock set back, however far, repeats nothing. A few hundred bytes an injection.
    stages: HashMap<Injection, Stage>,
}

impl Reminded {
    /// Those of the open injections that nobody was reminded of yet at this stage, and remembers them.
    ///
    /// # Laws
    /// An injection comes at most once at each stage, and never as due after it came as late, whatever the clock
    /// does. One that is late when it is first seen comes once.
    pub fn news(&mut self, open: impl IntoIterator<Item = Open>) -> Vec<Open> {
        let mut news = Vec::new();
        for one in open {
            let before = self.stages.get(&one.injection);
            if before.is_none_or(|before| *before < one.stage) {
                self.stages.insert(one.injection.clone(), one.stage);
                news.push(one);
            }
        }
        news
    }
}

/// One reminder for all of these, late first, as read at `now`; `None` when there are none.
///
/// No name, medicine or dose: a locked screen shows it to anybody. A time is the person's own, as on the round, with
/// the day where that is another one: an injection once a week can be late for days. What happened to a late one is
/// not known, so it "has no record yet" and is never called missed.
pub fn words(news: &[Open], now: DateTime<FixedOffset>, clock: Clock) -> Option<String> {
    let late = sentence(
        news,
        (Stage::Late, now, clock),
        |when| format!("An injection due {when} has no record yet."),
        |count, when| format!("{count} injections have no record yet, the first due {when}."),
    );
    let due = sentence(
        news,
        (Stage::Due, now, clock),
        |when| format!("An injection is due {when}."),
        |count, when| format!("{count} injections are due, the first {when}."),
    );
    let both: Vec<String> = late.into_iter().chain(due).collect();
    (!both.is_empty()).then(|| both.join(" "))
}

/// What is said of those at one stage: of a single one, or how many and when the first.
fn sentence(
    news: &[Open],
    (stage, now, clock): (Stage, DateTime<FixedOffset>, Clock),
    one: impl FnOnce(&str) -> String,
    several: impl FnOnce(usize, &str) -> String,
) -> Option<String> {
    let those = || news.iter().filter(|open| open.stage == stage);
    let first = those().map(|open| open.injection.at).min()?;
    let today = now.with_timezone(first.offset()).date_naive() == first.date_naive();
    let when = if today {
        format!("at {}", clock.words(first.time()))
    } else {
        let day = first.format("%a %-d %b");
        format!("on {day} at {}", clock.words(first.time()))
    };
    Some(match those().count() {
        1 => one(&when),
        count => several(count, &when),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::due::{Slot, standing};
    use crate::orders::Terms;
    use crate::person::Order;
    use crate::units::{Dose, DoseUnit};
    use chrono::{Duration, NaiveTime};
    use proptest::prelude::*;

    fn open(order: &str, at: &str, standing: &str) -> Option<Open> {
        Open::read("p", order, at, standing)
    }

    const EIGHT: &str = "2026-06-03T08:00:00+01:00";
    const NINE: &str = "2026-06-03T09:00:00+01:00";

    fn moment(text: &str) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(text).unwrap()
    }

    /// Asks one after the other, and says what a person would read each time.
    fn check(asked: &[&[(&str, &str, &str)]], expected: &[&str]) {
        let mut reminded = Reminded::default();
        let found: Vec<String> = asked
            .iter()
            .map(|slots| {
                let slots = slots.iter().filter_map(|(o, at, s)| open(o, at, s));
                words(&reminded.news(slots), moment(NINE), Clock::Hours24).unwrap_or_default()
            })
            .collect();
        assert_eq!(found, expected, "{asked:?}");
    }

    #[test]
    fn once_when_due_and_once_when_late() {
        check(
            &[
                &[("a", EIGHT, "upcoming")],
                &[("a", EIGHT, "due")],
                &[("a", EIGHT, "due")],
                &[("a", EIGHT, "late")],
                &[("a", EIGHT, "late")],
                &[("a", EIGHT, "no_record")],
            ],
            &[
                "",
                "An injection is due at 08:00.",
                "",
                "An injection due at 08:00 has no record yet.",
                "",
                "",
            ],
        );
    }

    #[test]
    fn what_is_recorded_or_past_is_not_reminded_of() {
        for standing in ["upcoming", "no_record", "not_given", "given", "missed", ""] {
            check(&[&[("a", EIGHT, standing)]], &[""]);
        }
        check(
            &[
                &[("a", EIGHT, "due")],
                &[("a", EIGHT, "given")],
                // Entered in error, and taken back.
                &[("a", EIGHT, "due")],
                &[("a", EIGHT, "late")],
            ],
            &[
                "An injection is due at 08:00.",
                "",
                "",
                "An injection due at 08:00 has no record yet.",
            ],
        );
        check(&[&[("a", "08:00", "due")]], &[""]);
    }

    #[test]
    fn what_was_late_before_the_start_comes_once() {
        check(
            &[&[("a", EIGHT, "late")], &[("a", EIGHT, "late")]],
            &["An injection due at 08:00 has no record yet.", ""],
        );
    }

    #[test]
    fn a_clock_set_back_repeats_nothing() {
        check(
            &[
                &[("a", EIGHT, "late")],
                &[("a", EIGHT, "upcoming")],
                &[("a", EIGHT, "due")],
                &[("a", EIGHT, "late")],
                &[("a", "2026-06-04T08:00:00+01:00", "due")],
            ],
            &[
                "An injection due at 08:00 has no record yet.",
                "",
                "",
                "",
                "An injection is due on Thu 4 Jun at 08:00.",
            ],
        );
    }

    #[test]
    fn another_day_is_named_and_is_the_persons_own() {
        check(
            &[&[("a", "2026-06-01T08:00:00+01:00", "late")]],
            &["An injection due on Mon 1 Jun at 08:00 has no record yet."],
        );
        // 09:00 in London is 17:00 of the same day in Japan, and 22:00 of the day before in Hawaii.
        check(
            &[
                &[("a", "2026-06-03T16:30:00+09:00", "due")],
                &[("b", "2026-06-02T22:00:00-10:00", "due")],
                &[("c", "2026-06-03T01:00:00-10:00", "due")],
            ],
            &[
                "An injection is due at 16:30.",
                "An injection is due at 22:00.",
                "An injection is due on Wed 3 Jun at 01:00.",
            ],
        );
    }

    #[test]
    fn times_are_told_by_the_clock_chosen() {
        let news: Vec<Open> = open("a", "2026-06-03T20:00:00+01:00", "late")
            .into_iter()
            .chain(open("b", "2026-06-04T12:00:00+01:00", "due"))
            .collect();
        assert_eq!(
            words(&news, moment("2026-06-04T12:00:00+01:00"), Clock::Hours12).unwrap(),
            "An injection due on Wed 3 Jun at 8:00 pm has no record yet. \
             An injection is due at 12:00 pm (noon)."
        );
    }

    #[test]
    fn several_at_once_are_one_reminder_with_a_count() {
        check(
            &[
                &[("a", NINE, "due"), ("b", EIGHT, "due"), ("c", NINE, "due")],
                &[
                    ("a", NINE, "late"),
                    ("b", EIGHT, "late"),
                    ("c", NINE, "given"),
                    ("d", "2026-06-03T12:30:00+01:00", "due"),
                ],
            ],
            &[
                "3 injections are due, the first at 08:00.",
                "2 injections have no record yet, the first due at 08:00. An injection is due at 12:30.",
            ],
        );
    }

    #[test]
    fn one_instant_written_at_two_offsets_is_one_injection() {
        check(
            &[
                &[("a", EIGHT, "due")],
                &[("a", "2026-06-03T09:00:00+02:00", "due")],
            ],
            &["An injection is due at 08:00.", ""],
        );
    }

    #[test]
    fn orders_and_people_are_told_apart() {
        let mut reminded = Reminded::default();
        let of = |person, order| Open::read(person, order, EIGHT, "due").unwrap();
        assert_eq!(reminded.news([of("p", "a"), of("p", "b")]).len(), 2);
        assert_eq!(reminded.news([of("q", "a"), of("p", "a")]), [of("q", "a")]);
    }

    proptest! {
        /// Whatever the clock does, an injection is told at most once as due and once as late, in that order; and with
        /// a clock that runs on, looked at often enough, exactly once each.
        #[test]
        fn at_most_once_at_each_stage(
            looks in proptest::collection::vec((-600_i64..900, 0_u8..8), 1..60), onwards: bool
        ) {
            let order = Order {
                medicine: "insulin-glargine-100".to_owned(),
                dose: Dose::parse("12", DoseUnit::Units).unwrap(),
                times: vec![NaiveTime::from_hms_opt(8, 0, 0).unwrap()],
                every_days: 1,
                from: "2026-01-01".parse().unwrap(),
                to: None,
                prescriber: "Dr Halloran Vey".to_owned(),
                note: None,
                terms: Terms::default(),
            };
            let at = moment(EIGHT);
            // Every five minutes from ten hours before to fifteen after, or a clock that jumps about.
            let looks: Vec<(i64, u8)> = if onwards {
                (-120..180).map(|n| (n * 5, 0)).collect()
            } else {
                looks
            };
            let mut reminded = Reminded::default();
            let mut told = Vec::new();
            for (minutes, recorded) in looks {
                let slot = Slot { at, given: (recorded == 1).then_some(0) };
                let now = at + Duration::minutes(minutes);
                let stands = standing(&slot, &order, recorded == 2, now);
                let news = reminded.news(Open::read("p", "o", EIGHT, stands.code()));
                prop_assert_eq!(words(&news, now, Clock::Hours24).is_some(), !news.is_empty());
                for one in news {
                    prop_assert_eq!(Some(one.stage), Stage::of(stands));
                    told.push(one.stage);
                }
            }
            prop_assert!(told.windows(2).all(|pair| pair[0] < pair[1]), "{:?}", told);
            if onwards {
                prop_assert_eq!(told, vec![Stage::Due, Stage::Late]);
            }
        }

        /// Nothing of the record but times of day and counts is ever said.
        #[test]
        fn the_words_hold_times_and_counts_only(
            slots in proptest::collection::vec(("[A-Z][a-z]{2,9}", "[A-Z][a-z]{2,9}", 0_i64..2000, any::<bool>()), 1..9)
        ) {
            let start = moment(EIGHT);
            let news: Vec<Open> = slots.into_iter().map(|(person, order, minutes, late)| Open {
                injection: Injection { person, order, at: start + Duration::minutes(minutes) },
                stage: if late { Stage::Late } else { Stage::Due },
            }).collect();
            let said = words(&news, start, Clock::Hours24).unwrap();
            let (mut counted, mut day) = (0, 0);
            for word in said.split([' ', '.', ',']).filter(|word| !word.is_empty()) {
                if day > 0 {
                    day -= 1; // `Wed 3 Jun`: a count is never in there.
                    continue;
                }
                if word == "on" {
                    day = 3;
                    continue;
                }
                let time = NaiveTime::parse_from_str(word, "%H:%M").is_ok();
                if let Ok(count) = word.parse::<usize>() {
                    counted += count;
                } else if word == "An" {
                    counted += 1;
                } else {
                    prop_assert!(
                        time || ["injection", "injections", "is", "are", "has", "have", "due", "at", "no", "record",
                            "yet", "the", "first"].contains(&word),
                        "{} in {}", word, said
                    );
                }
            }
            prop_assert_eq!(counted, news.len(), "{}", said);
        }
    }
}
