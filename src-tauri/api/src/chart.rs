//! The clinic's chart: reads the record of a period, asks for the drawings, words nothing.

use chrono::{DateTime, Days, Duration, FixedOffset, NaiveDate};
use fallow_charts::{Came, Drawing, Facts, GlucosePoint, Theme, drawings, sources};
use fallow_core::act::About;
use fallow_core::due::{self, Standing};
use fallow_core::glucose::{GlucoseUnit, Reading};
use fallow_core::measures::Period;
use fallow_core::medicines::Book;
use fallow_core::rules::History;
use fallow_core::time;
use fallow_store::{EventEntry, InjectionEntry, OrderEntry, PersonEntry, Reader};

use crate::error::{ApiError, ErrorCode as Code};
use crate::measures::{Measured, around, of_entries};
use crate::wire::{ChartData, ChartDrawing, ChartGet, ChartTable};
use crate::{App, Now, glucose, lower, record, skin};

/// The longest period in weeks: ten years.
const MOST_WEEKS: u16 = 522;
/// Slots are looked for in stretches of so many days, so that a long record is not compared with all of itself.
const STRETCH_DAYS: u64 = 28;

pub(crate) fn chart(app: &App, args: &ChartGet, now: Now) -> Result<ChartData, ApiError> {
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let choice = Choice {
        from: args.from.as_deref(),
        to: args.to.as_deref(),
        weeks: args.weeks,
        compare: args.compare,
    };
    let (period, before) = choice.periods(&person, now)?;
    let theme = match args.theme.as_deref() {
        None | Some("light") => Theme::Light,
        Some("dark") => Theme::Dark,
        Some(other) => return Err(crate::terms::not_one_of(other, &["light", "dark"])),
    };
    let read = Read::of(&reader, &person, (period, before), now)?;
    let facts = read.facts();
    let drawn = drawings(&facts, args.width.unwrap_or(328), theme);
    Ok(ChartData {
        from: period.from.to_string(),
        to: period.to.to_string(),
        period_words: period.words(),
        before_words: before.map(Period::words),
        sources: sources(&facts),
        drawings: drawn.into_iter().map(drawing).collect(),
        cautions: fallow_charts::CAUTIONS.map(str::to_owned).to_vec(),
    })
}

/// Which days are asked for.
pub(crate) struct Choice<'a> {
    pub(crate) from: Option<&'a str>,
    pub(crate) to: Option<&'a str>,
    pub(crate) weeks: Option<u16>,
    pub(crate) compare: bool,
}

impl Choice<'_> {
    /// The days asked for, and as many before them.
    pub(crate) fn periods(
        &self,
        person: &PersonEntry,
        now: Now,
    ) -> Result<(Period, Option<Period>), ApiError> {
        let today = time::day_in(now.at, person.person.zone);
        let to = self
            .to
            .map_or(Ok(today), |t| lower::date("the last day", t))?;
        let from = match (self.weeks, self.from) {
            (Some(weeks), None) if (1..=MOST_WEEKS).contains(&weeks) => {
                to - Days::new(u64::from(weeks) * 7 - 1)
            }
            (None, Some(from)) => lower::date("the first day", from)?,
            (Some(_), None) => {
                return Err(ApiError::new(
                    Code::BadCount,
                    format!("Choose 1 to {MOST_WEEKS} weeks."),
                ));
            }
            (Some(_), Some(_)) | (None, None) => {
                return Err(ApiError::new(
                    Code::BadRequest,
                    "Say how many weeks, or which is the first day; not both.",
                ));
            }
        };
        if to < from {
            return Err(ApiError::new(
                Code::DatesReversed,
                "The period ends before it starts. Swap the two dates.",
            ));
        }
        if (to - from).num_days() >= i64::from(MOST_WEEKS) * 7 {
            return Err(ApiError::new(
                Code::BadCount,
                format!("Choose at most {MOST_WEEKS} weeks."),
            ));
        }
        let period = Period { from, to };
        let long = Duration::days((to - from).num_days() + 1);
        let before = self.compare.then(|| Period {
            from: from - long,
            to: to - long,
        });
        Ok((period, before))
    }
}

/// What was read of the record.
pub(crate) struct Read {
    periods: (Period, Option<Period>),
    measured: Measured,
    before: Option<Measured>,
    /// Everything given from a year before the earlier period on.
    history: History,
    recorders: Vec<(String, String)>,
    courses: Vec<fallow_core::skin::Course>,
    glucose: Vec<GlucosePoint>,
    mg_per_dl: bool,
    low: (f64, String),
    slots: Vec<(NaiveDate, Came)>,
    at: DateTime<FixedOffset>,
}

impl Read {
    /// Reads it, once.
    pub(crate) fn of(
        reader: &Reader<'_>,
        person: &PersonEntry,
        (period, before): (Period, Option<Period>),
        now: Now,
    ) -> Result<Self, ApiError> {
        let zone = person.person.zone;
        let root = &person.head.root;
        let first = before.map_or(period.from, |b| b.from);
        let start = time::day_start(first, zone);
        let end = time::day_start(period.to + Days::new(1), zone);
        // Read once; each question takes what lies around it.
        let all = record::given(
            reader,
            person,
            around(person, before.unwrap_or(period)).0,
            around(person, period).1,
        )?;
        let measure = |period| {
            let (first, last) = around(person, period);
            let near = |e: &&InjectionEntry| (first..=last).contains(&e.injection.given_at);
            let entries: Vec<_> = all.iter().filter(near).collect();
            of_entries(reader, person, period, &entries)
        };
        let given: Vec<_> = all.iter().filter(|e| e.injection.given_at <= end).collect();
        let events = reader.events(
            root,
            (start - Duration::days(1)).timestamp_millis(),
            (end + Duration::days(1)).timestamp_millis(),
        )?;
        let orders = reader.orders_of(root)?;
        let asking = orders.iter().find(|o| o.order.terms.asks_glucose);
        let limits = glucose::limits_of(asking)?;
        let (values, mg_per_dl) = values(&events, asking);
        Ok(Self {
            history: History::of(given.iter().map(|e| &e.injection), Book::shipped()),
            periods: (period, before),
            recorders: given
                .iter()
                .map(|e| (e.head.id.clone(), e.injection.recorder.clone()))
                .collect(),
            courses: skin::courses_of(reader, root)?,
            glucose: values,
            mg_per_dl,
            low: (
                limits.low().at().in_unit(GlucoseUnit::MmolPerLitre),
                limits.low().set_by().words(),
            ),
            slots: slots(person, &orders, (&given, &events), (first, period.to), now),
            measured: measure(period)?,
            before: before.map(measure).transpose()?,
            at: (end - Duration::seconds(1)).min(now.at.with_timezone(&zone).fixed_offset()),
        })
    }

    /// What a chart is made from.
    pub(crate) fn facts(&self) -> Facts<'_> {
        let rules = self.measured.ruling.as_ref().map_or_else(
            || {
                let general = Book::shipped().general.other_medicine_cm.source.as_str();
                (1.0, 28.0, general)
            },
            |(m, _)| {
                (
                    m.spacing_cm.value,
                    m.point_rest_days.value,
                    m.spacing_cm.source.as_str(),
                )
            },
        );
        Facts {
            period: self.periods.0,
            before: self.periods.1,
            body: &self.measured.body,
            history: &self.history,
            recorders: &self.recorders,
            courses: &self.courses,
            glucose: &self.glucose,
            mg_per_dl: self.mg_per_dl,
            low: Some((self.low.0, self.low.1.as_str())),
            slots: &self.slots,
            measures: &self.measured.found,
            measures_before: self.before.as_ref().map(|b| &b.found),
            rules,
            at: self.at,
        }
    }
}

/// Values in mmol/L, and whether mg/dL is the unit of the order, or else of the last value.
fn values(events: &[EventEntry], asking: Option<&OrderEntry>) -> (Vec<GlucosePoint>, bool) {
    let of = |event: &EventEntry| {
        let (value, unit) = event.event.value.as_ref()?;
        let unit = GlucoseUnit::from_code(unit).ok()?;
        let read = Reading::parse(value, unit).ok()?.glucose()?;
        Some((
            GlucosePoint {
                at: event.event.at,
                mmol_per_l: read.in_unit(GlucoseUnit::MmolPerLitre),
            },
            unit,
        ))
    };
    let found: Vec<_> = events
        .iter()
        .filter(|e| e.event.about == About::Glucose)
        .filter_map(of)
        .collect();
    let ordered = asking
        .and_then(|o| o.order.terms.glucose.as_ref())
        .and_then(|g| GlucoseUnit::from_code(&g.unit).ok());
    // Events come newest first.
    let unit = ordered.or_else(|| found.first().map(|f| f.1));
    let mut points: Vec<GlucosePoint> = found.into_iter().map(|f| f.0).collect();
    points.reverse();
    (points, unit == Some(GlucoseUnit::MgPerDecilitre))
}

/// What the slots of every order came to, by the person's day. By the orders as they stand now: an earlier version's
/// times are not looked up.
fn slots(
    person: &PersonEntry,
    orders: &[OrderEntry],
    (given, events): (&[&InjectionEntry], &[EventEntry]),
    (first, last): (NaiveDate, NaiveDate),
    now: Now,
) -> Vec<(NaiveDate, Came)> {
    let zone = person.person.zone;
    let mut found = Vec::new();
    for order in orders {
        let of_order: Vec<DateTime<FixedOffset>> = given
            .iter()
            .filter(|e| e.injection.medicine == order.order.medicine)
            .map(|e| e.injection.given_at)
            .collect();
        let mut day = first.max(order.order.from);
        let end = order.order.to.map_or(last, |to| to.min(last));
        while day <= end {
            let next = (day + Days::new(STRETCH_DAYS)).min(end + Days::new(1));
            let from = time::day_start(day, zone);
            let to = time::day_start(next, zone) - Duration::seconds(1);
            let near: Vec<_> = of_order
                .iter()
                .copied()
                .filter(|t| (from - Duration::days(9)..=to + Duration::days(9)).contains(t))
                .collect();
            for slot in due::slots(&order.order, zone, (from, to), &near) {
                let not_given = events.iter().any(|e| {
                    e.event.about == About::NotGiven
                        && e.event.at == slot.at
                        && e.event.order.as_deref() == Some(order.head.root.as_str())
                });
                let came = match due::standing(&slot, &order.order, not_given, now.at) {
                    Standing::Given => Came::Given,
                    Standing::NotGiven => Came::NotGiven,
                    Standing::NoRecord => Came::NoRecord,
                    Standing::Late | Standing::Due | Standing::Upcoming => continue,
                };
                found.push((time::day_in(slot.at, zone), came));
            }
            day = next;
        }
    }
    found
}

fn drawing(drawing: Drawing) -> ChartDrawing {
    ChartDrawing {
        key: drawing.key.to_owned(),
        title: drawing.title.to_owned(),
        description: drawing.description,
        svg: drawing.svg,
        notes: drawing.notes,
        table: ChartTable {
            caption: drawing.table.caption,
            columns: drawing.table.columns,
            rows: drawing.table.rows,
        },
    }
}
