//! The container in hand against the order: medicine, strength, expiry and days since opening.
//!
//! Not here: how much is left in it, or how it was stored.

use chrono::{Datelike, Months, NaiveDate};

use super::names::{self, Strength};
use super::{AsLastTime, COMMON_PRACTICE, Found, InUse, Known, Problem, Said, Used};
use crate::time::day_words;
use crate::words::days;

const LABEL: &str = "the container's label and the order";

/// What it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Device {
    /// A vial, drawn from with a syringe.
    Vial,
    /// A cartridge in a pen.
    Cartridge,
    /// A pen for many doses.
    Pen,
    /// A pen for one dose.
    OneDosePen,
    /// A syringe filled for one dose.
    PrefilledSyringe,
}

impl Device {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Vial,
        Self::Cartridge,
        Self::Pen,
        Self::OneDosePen,
        Self::PrefilledSyringe,
    ];

    /// The word used at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::Vial => "vial",
            Self::Cartridge => "cartridge",
            Self::Pen => "pen",
            Self::OneDosePen => "one_dose_pen",
            Self::PrefilledSyringe => "prefilled_syringe",
        }
    }

    /// Reads [`Device::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|device| device.code() == text)
    }

    /// Whether one dose uses it up, so that it cannot be the one of last time.
    pub fn is_for_one_dose(self) -> bool {
        matches!(self, Self::OneDosePen | Self::PrefilledSyringe)
    }

    /// Whether it comes with a needle under a cover.
    pub fn has_needle_cover(self) -> bool {
        self.is_for_one_dose()
    }
}

/// What the pack says of latex.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum NeedleCover {
    /// Nobody looked, or it says nothing.
    #[default]
    NotRead,
    /// It holds latex, or may.
    Latex,
    /// It holds none.
    NoLatex,
}

impl NeedleCover {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::NotRead, Self::Latex, Self::NoLatex];

    /// The word used in files and at the door.
    pub fn code(self) -> &'static str {
        match self {
            Self::NotRead => "not_read",
            Self::Latex => "latex",
            Self::NoLatex => "no_latex",
        }
    }

    /// Reads [`NeedleCover::code`] back; `None` for anything else.
    pub fn from_code(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|cover| cover.code() == text)
    }
}

/// An expiry date as printed: with a day, or month and year only.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Expiry {
    last: NaiveDate,
    day_given: bool,
}

impl Expiry {
    /// With a day, which is itself still good (common practice, no source).
    pub fn day(day: NaiveDate) -> Self {
        Self {
            last: day,
            day_given: true,
        }
    }

    /// With month and year only: good until the last day of that month (common practice, no source). `None` for a month
    /// that does not exist.
    pub fn month(year: i32, month: u32) -> Option<Self> {
        let next = NaiveDate::from_ymd_opt(year, month, 1)?.checked_add_months(Months::new(1))?;
        Some(Self {
            last: next.pred_opt()?,
            day_given: false,
        })
    }

    /// The last day it is good on.
    pub fn last_good_day(self) -> NaiveDate {
        self.last
    }

    /// Reads `2027-03` or `2027-03-31`, as [`Expiry::code`] writes it; `None` for anything else.
    pub fn parse(text: &str) -> Option<Self> {
        if text.len() == 10 {
            return text.parse().ok().map(Self::day);
        }
        let (year, month) = text.split_once('-')?;
        let digits = |t: &str, n: usize| t.len() == n && t.bytes().all(|b| b.is_ascii_digit());
        if !digits(year, 4) || !digits(month, 2) {
            return None;
        }
        Self::month(year.parse().ok()?, month.parse().ok()?)
    }

    /// For files and the door: `2027-03` or `2027-03-31`.
    pub fn code(self) -> String {
        let form = if self.day_given { "%Y-%m-%d" } else { "%Y-%m" };
        self.last.format(form).to_string()
    }

    /// As printed: `30 Sep 2026`, or `09/2026`.
    pub fn words(self) -> String {
        if self.day_given {
            day_words(self.last)
        } else {
            format!("{:02}/{}", self.last.month(), self.last.year())
        }
    }
}

/// What is read from a container. What was not read is `None`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Container {
    /// The medicine's generic name, as read.
    pub medicine: String,
    /// Its strength, as read, such as `100 units/mL`.
    pub strength: Option<String>,
    /// Its expiry date.
    pub expires: Option<Expiry>,
    /// The day it was opened.
    pub opened: Option<NaiveDate>,
    /// Its batch.
    pub batch: Option<String>,
    /// What it is.
    pub device: Device,
    /// What the pack says of latex.
    pub needle_cover: NeedleCover,
}

pub(super) fn check(known: &Known<'_>, said: &Said, day: NaiveDate) -> Found {
    let Some((container, tick)) = &said.container else {
        return Found::asked(None);
    };
    let mut found = Found::asked(Some(tick));
    label(known, container, &mut found);
    expiry(container, day, &mut found);
    opening(known, container, day, &mut found);
    if let Some(batch) = container.batch.as_ref().filter(|b| !b.trim().is_empty()) {
        found.lines.push(format!("Batch {}.", batch.trim()));
    } else {
        found.lines.push("The batch was not read.".to_owned());
    }
    found
}

/// Medicine and strength against the order.
fn label(known: &Known<'_>, container: &Container, found: &mut Found) {
    let name = known.medicine_name();
    let read = container.medicine.trim();
    if read.is_empty() {
        let words =
            format!("The medicine was not read from the container. The order is for {name}.");
        found.problems.push(Problem::quiet(words, LABEL));
    } else if names::same_medicine(read, name) {
        found.lines.push(format!("The container says {read}."));
    } else {
        found.problems.push(Problem::loud(
            format!("The container says \"{read}\"; the order is for {name}. Read both again."),
            LABEL,
        ));
    }
    let ordered = known.strength.unwrap_or(name);
    // A strength may stand with the name on the label.
    let written = container.strength.as_deref().unwrap_or(read).trim();
    let (ordered_amount, read_amount) = (Strength::find(ordered), Strength::find(written));
    // Spelled alike is the same, even where it cannot be read as an amount.
    let compared = if container.strength.is_some()
        && ordered.trim().eq_ignore_ascii_case(written)
        && !written.is_empty()
    {
        Some(true)
    } else {
        ordered_amount.zip(read_amount).and_then(|(a, b)| a.same(b))
    };
    let ordered = ordered.trim();
    match (ordered_amount, read_amount, compared) {
        (_, _, Some(true)) => found.lines.push(format!("Strength {written}.")),
        (_, _, Some(false)) => found.problems.push(Problem::loud(
            format!("The strength on the container is {written}; the order is for {ordered}. Read both again."),
            LABEL,
        )),
        (Some(_), None, _) if container.strength.as_deref().is_none_or(|s| s.trim().is_empty()) => {
            found.problems.push(Problem::quiet(
                format!("The strength was not read from the container. The order is for {ordered}."),
                LABEL,
            ));
        }
        (None, ..) if known.strength.is_none_or(|s| s.trim().is_empty()) => {
            let of = container.strength.as_deref().unwrap_or("not read").trim();
            found.lines.push(format!(
                "Strength on the container: {of}. The order names none, so it cannot be compared."
            ));
        }
        _ => found.problems.push(Problem::quiet(
            format!(
                "Strength \"{written}\" cannot be compared with \"{ordered}\" here: compare them by eye."
            ),
            LABEL,
        )),
    }
}

fn expiry(container: &Container, day: NaiveDate, found: &mut Found) {
    match container.expires {
        None => found.problems.push(Problem::quiet(
            "The expiry date was not read.".to_owned(),
            COMMON_PRACTICE,
        )),
        Some(expiry) if day > expiry.last_good_day() => found.problems.push(Problem::loud(
            format!(
                "Expired: {}; its last good day was {}. Take another container.",
                expiry.words(),
                day_words(expiry.last_good_day())
            ),
            COMMON_PRACTICE,
        )),
        Some(expiry) => found.lines.push(format!(
            "Expires {}: good until {} ({COMMON_PRACTICE}).",
            expiry.words(),
            day_words(expiry.last_good_day())
        )),
    }
}

/// Days since opening against what is published for the medicine.
fn opening(known: &Known<'_>, container: &Container, day: NaiveDate, found: &mut Found) {
    let name = known.medicine_name();
    let Some(opened) = container.opened else {
        if !container.device.is_for_one_dose() {
            found.problems.push(Problem::quiet(
                "The day it was opened was not read. Look for it on the container; if it is new, write today's date on \
                 it."
                    .to_owned(),
                COMMON_PRACTICE,
            ));
        }
        return;
    };
    let open = (day - opened).num_days();
    if open < 0 {
        let words = format!(
            "Opened on {}, which is after today: look at the date.",
            day_words(opened)
        );
        found.problems.push(Problem::quiet(words, COMMON_PRACTICE));
        return;
    }
    if container.device.is_for_one_dose() {
        if open > 0 {
            let words = format!(
                "It is for one dose, and was opened {} ago: read the leaflet.",
                days(open)
            );
            found.problems.push(Problem::quiet(words, COMMON_PRACTICE));
        }
        return;
    }
    let since = format!("Opened {}, {} ago", day_words(opened), days(open));
    let Some(in_use) = InUse::of(&known.order.medicine) else {
        found.lines.push(format!(
            "{since}. How long {name} lasts once opened is not known here: read the leaflet."
        ));
        return;
    };
    let published = in_use.words();
    match in_use.judge(open) {
        Used::Within => found
            .lines
            .push(format!("{since}; once opened it lasts {published}.")),
        Used::Depends => found.problems.push(Problem::quiet(
            format!(
                "{since}; once opened it lasts {published}, so it depends on which this is: read the leaflet."
            ),
            &in_use.source,
        )),
        Used::Past => found.problems.push(Problem::loud(
            format!("{since}; once opened it lasts {published}. Take another container."),
            &in_use.source,
        )),
    }
}

/// Whether the container of last time is offered again: it has more than one dose, medicine and strength are the
/// order's, it has not expired and its days since opening are within every published life.
pub(super) fn as_last_time(known: &Known<'_>, day: NaiveDate) -> AsLastTime {
    let Some(last) = known.last_container else {
        return AsLastTime::NotNow("No container was recorded last time.".to_owned());
    };
    if last.device.is_for_one_dose() {
        return AsLastTime::NotNow("The last one was for one dose.".to_owned());
    }
    let mut found = Found::default();
    label(known, last, &mut found);
    expiry(last, day, &mut found);
    opening(known, last, day, &mut found);
    if let Some(problem) = found.problems.first() {
        return AsLastTime::NotNow(problem.words.clone());
    }
    if InUse::of(&known.order.medicine).is_none() {
        return AsLastTime::NotNow(format!(
            "How long {} lasts once opened is not known here, so read the container again.",
            known.medicine_name()
        ));
    }
    AsLastTime::Offered(Box::new(last.clone()))
}
