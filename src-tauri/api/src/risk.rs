//! The published risk factors for lumps, one by one, with the figures of this record.

use chrono::Days;
use fallow_core::measures::Period;
use fallow_core::medicines::Book;
use fallow_core::plan::need::Need;
use fallow_core::risk::{self as core, Standing};
use fallow_core::time;
use fallow_store::{PersonEntry, Reader};

use crate::error::{ApiError, ErrorCode as Code};
use crate::wire::{FactorData, OddsData, RiskData, RiskGet};
use crate::{App, Now, measures, raise, record, skin, skin_check};

pub(crate) fn risk(app: &App, args: &RiskGet, now: Now) -> Result<RiskData, ApiError> {
    let days = args.days.unwrap_or(84);
    if !(7..=366).contains(&days) {
        return Err(ApiError::new(Code::BadCount, "Look at 7 to 366 days."));
    }
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let at = now.at.with_timezone(&person.person.zone).fixed_offset();
    let to = time::day_in(now.at, person.person.zone);
    let from = to - Days::new(u64::from(days) - 1);
    let period = Period { from, to };
    let measured = measures::of_period(&reader, &person, period)?;
    let checks = reader.skin_checks(&person.head.root)?;
    let last = skin_check::last(&checks);
    let courses = skin::courses_of(&reader, &person.head.root)?;
    let factors = core::factors(&core::Known {
        measures: &measured.found,
        insulin_a_day: insulin_a_day(&reader, &person, now)?,
        last_check: last,
        courses: &courses,
        at,
    });
    Ok(RiskData {
        period_words: period.words(),
        factors: factors.iter().map(factor).collect(),
        caution: core::CAUTION.to_owned(),
    })
}

/// Injections of insulin a day of the orders in force; `None` where none is, or one is given when needed.
fn insulin_a_day(
    reader: &Reader<'_>,
    person: &PersonEntry,
    now: Now,
) -> Result<Option<f64>, ApiError> {
    let day = time::day_in(now.at, person.person.zone);
    let mut sum = None;
    for entry in reader.orders_of(&person.head.root)? {
        let order = &entry.order;
        let Some(medicine) = Book::shipped().medicine(&order.medicine) else {
            continue;
        };
        if medicine.class != core::INSULIN || raise::order_state(order, day) != "in_force" {
            continue;
        }
        let Some(need) = Need::of(order, medicine) else {
            return Ok(None);
        };
        sum = Some(sum.unwrap_or(0.0) + need.per_day);
    }
    Ok(sum)
}

fn factor(factor: &core::Factor) -> FactorData {
    let (standing, words) = match factor.standing {
        Standing::Present => ("present", "In this record"),
        Standing::Absent => ("absent", "Not in this record"),
        Standing::Unknown => ("unknown", "Not known"),
        Standing::Shown => ("shown", "Shown, not judged"),
    };
    FactorData {
        code: factor.code.to_owned(),
        name: factor.name.to_owned(),
        standing: standing.to_owned(),
        standing_words: words.to_owned(),
        figure: factor.figure.clone(),
        odds: factor
            .odds
            .iter()
            .map(|odds| OddsData {
                words: odds.words(),
                source: odds.source.clone(),
            })
            .collect(),
        published: factor.published.map(str::to_owned),
        helps: factor.helps.to_owned(),
    }
}
