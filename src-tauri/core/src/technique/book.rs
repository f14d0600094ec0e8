//! The published values and the steps, read once from `data/technique.toml`.
//!
//! Not here: what follows from them for one person ([`super::advice`]).

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde::Deserialize;

use super::needle::{Angle, Device, NeedleLength};
use crate::cited::{DataError, Raw, Sources};
use crate::medicines::Sourced;
use crate::site::Zone;

/// Mean thickness of what a needle goes through, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tissue {
    /// The skin.
    pub skin_mm: f64,
    /// The fat under it.
    pub fat_mm: f64,
}

/// What is particular to a medicine. `None` is not known.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MedicineFacts {
    /// Whether it is a suspension that must be mixed.
    pub cloudy: Option<Sourced<bool>>,
    /// Whether the air bubble of a full prefilled dose stays in.
    pub keep_air_bubble: Option<Sourced<bool>>,
    /// Whether the place must not be rubbed.
    pub do_not_rub: Option<Sourced<bool>>,
}

/// All of it.
#[derive(Debug, Clone, PartialEq)]
pub struct TechniqueBook {
    /// First choice on a pen.
    pub first_choice_pen: Sourced<NeedleLength>,
    /// First choice on a syringe.
    pub first_choice_syringe: Sourced<NeedleLength>,
    /// From this length on people are to be moved to a shorter one.
    pub move_off: Sourced<NeedleLength>,
    /// From this length on it is for nobody.
    pub for_nobody: Sourced<NeedleLength>,
    /// How far to count before a pen comes out.
    pub pen_count: Sourced<u8>,
    pub(super) fold: FoldRules,
    angles: Vec<(NeedleLength, Sourced<Angle>)>,
    muscle_risks: Vec<(NeedleLength, Part, Sourced<f64>)>,
    tissue: BTreeMap<Part, Sourced<Tissue>>,
    medicines: BTreeMap<String, MedicineFacts>,
    pub(super) steps: Vec<BookStep>,
}

/// When a fold is lifted, and who says so.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FoldRules {
    pub(super) always_up_to_age: Sourced<u16>,
    pub(super) always_under_bmi: Sourced<f64>,
    pub(super) adult_from_age: Sourced<u16>,
    pub(super) late_pregnancy: String,
    pub(super) longer: String,
    pub(super) from_move_off: String,
    pub(super) not_needed: String,
    pub(super) helper_for_arm: String,
}

/// A step as the file has it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BookStep {
    pub(super) id: String,
    pub(super) on: Vec<Device>,
    pub(super) when: When,
    pub(super) words: String,
    pub(super) source: String,
}

/// What a step depends on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum When {
    #[default]
    Always,
    Cloudy,
    CloudyUnknown,
    Fold,
    FoldUnknown,
    #[serde(rename = "angle_90")]
    Straight,
    #[serde(rename = "angle_45")]
    Slanting,
    #[serde(rename = "angle_leaflet")]
    AsLeaflet,
    KeepBubble,
    BubbleUnknown,
    DoNotRub,
}

/// A part of the body without its side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "snake_case")]
enum Part {
    Abdomen,
    Thigh,
    Arm,
    Buttock,
}

impl Part {
    fn of(zone: Zone) -> Self {
        match zone {
            Zone::Abdomen => Self::Abdomen,
            Zone::LeftThigh | Zone::RightThigh => Self::Thigh,
            Zone::LeftArm | Zone::RightArm => Self::Arm,
            Zone::LeftButtock | Zone::RightButtock => Self::Buttock,
        }
    }
}

impl TechniqueBook {
    /// The book this program ships.
    pub fn shipped() -> &'static Self {
        static BOOK: LazyLock<TechniqueBook> = LazyLock::new(|| {
            TechniqueBook::read(include_str!("../../data/technique.toml"))
                .expect("the shipped values are read by a test")
        });
        &BOOK
    }

    /// Reads a book.
    ///
    /// # Errors
    /// [`DataError`] where a value or a step has no source or cannot be used.
    pub fn read(text: &str) -> Result<Self, DataError> {
        let file: file::Book = toml::from_str(text)?;
        let sources = &file.sources;
        let length = |what: &str, raw: Raw<f64>| {
            let cited = sources.value(what, raw)?;
            Ok::<_, DataError>(Sourced {
                value: millimetres(what, cited.value)?,
                source: cited.source,
            })
        };
        let mut angles = Vec::new();
        for row in file.angle {
            let cited = sources.value("angle", row.degrees)?;
            let value = match cited.value {
                90 => Angle::Straight,
                45 => Angle::Slanting,
                other => return Err(bad("angle", &other.to_string())),
            };
            let source = cited.source;
            angles.push((
                millimetres("angle", row.up_to_mm)?,
                Sourced { value, source },
            ));
        }
        if !angles.is_sorted_by_key(|(up_to, _)| *up_to) || angles.is_empty() {
            return Err(bad("angle", "rows out of order"));
        }
        let mut muscle_risks = Vec::new();
        for row in file.muscle_risk {
            let percent = sources.value("muscle_risk", row.percent)?;
            if !(0.0..=100.0).contains(&percent.value) {
                return Err(bad("muscle_risk", &percent.value.to_string()));
            }
            muscle_risks.push((millimetres("muscle_risk", row.mm)?, row.part, percent));
        }
        Ok(Self {
            first_choice_pen: length("first_choice_pen", file.needle_mm.first_choice_pen)?,
            first_choice_syringe: length(
                "first_choice_syringe",
                file.needle_mm.first_choice_syringe,
            )?,
            move_off: length("move_off", file.needle_mm.move_off)?,
            for_nobody: length("for_nobody", file.needle_mm.for_nobody)?,
            pen_count: sources.value("pen_count", file.dwell.pen_count)?,
            fold: fold(file.fold, sources)?,
            angles,
            muscle_risks,
            tissue: tissue(file.tissue, sources)?,
            medicines: medicines(file.medicine, sources)?,
            steps: steps(file.step, sources)?,
        })
    }

    /// The angle for a length of pen or syringe needle.
    pub(super) fn angle(&self, length: NeedleLength) -> &Sourced<Angle> {
        let row = self.angles.iter().find(|(up_to, _)| length <= *up_to);
        // Longer than every row: the last one's words hold all the more.
        let row = row.or(self.angles.last());
        &row.expect("`read` refuses a book without angles").1
    }

    /// The published share of injections into muscle, in percent, at 90 degrees without a fold; `None` where no figure is
    /// known for exactly this length and part of the body.
    pub fn muscle_risk(&self, length: NeedleLength, zone: Zone) -> Option<&Sourced<f64>> {
        let row = self
            .muscle_risks
            .iter()
            .find(|(mm, part, _)| *mm == length && *part == Part::of(zone));
        row.map(|(_, _, percent)| percent)
    }

    /// Mean thickness of skin and fat at a zone, in adults with diabetes.
    pub fn tissue(&self, zone: Zone) -> &Sourced<Tissue> {
        &self.tissue[&Part::of(zone)]
    }

    /// What is particular to a medicine, by its key; nothing known for one that is not listed.
    pub fn medicine(&self, id: &str) -> MedicineFacts {
        self.medicines.get(id).cloned().unwrap_or_default()
    }

    /// The keys of the medicines there is something to say about.
    pub fn medicine_ids(&self) -> impl Iterator<Item = &str> {
        self.medicines.keys().map(String::as_str)
    }
}

fn bad(what: &str, value: &str) -> DataError {
    DataError::BadValue {
        what: what.to_owned(),
        value: value.to_owned(),
    }
}

fn millimetres(what: &str, mm: f64) -> Result<NeedleLength, DataError> {
    let tenths = (mm * 10.0).round();
    if !(0.0..=10_000.0).contains(&tenths) {
        return Err(bad(what, &mm.to_string()));
    }
    NeedleLength::from_tenths_of_mm(tenths as u16).map_err(|_| bad(what, &mm.to_string()))
}

fn fold(raw: file::Fold, sources: &Sources) -> Result<FoldRules, DataError> {
    let cite = |what: &str, key: &str| sources.cite(what, key);
    Ok(FoldRules {
        always_up_to_age: sources.value("always_up_to_age", raw.always_up_to_age)?,
        always_under_bmi: sources.value("always_under_bmi", raw.always_under_bmi)?,
        adult_from_age: sources.value("adult_from_age", raw.adult_from_age)?,
        late_pregnancy: cite("late_pregnancy", &raw.late_pregnancy)?,
        longer: cite("longer", &raw.longer)?,
        from_move_off: cite("from_move_off", &raw.from_move_off)?,
        not_needed: cite("not_needed", &raw.not_needed)?,
        helper_for_arm: cite("helper_for_arm", &raw.helper_for_arm)?,
    })
}

fn tissue(
    raw: file::Tissues,
    sources: &Sources,
) -> Result<BTreeMap<Part, Sourced<Tissue>>, DataError> {
    let parts = [
        (Part::Abdomen, raw.abdomen),
        (Part::Thigh, raw.thigh),
        (Part::Arm, raw.arm),
        (Part::Buttock, raw.buttock),
    ];
    let parts = parts.into_iter().map(|(part, raw)| {
        if !(raw.skin_mm > 0.0 && raw.fat_mm > 0.0) {
            return Err(bad("tissue", "not above zero"));
        }
        let value = Tissue {
            skin_mm: raw.skin_mm,
            fat_mm: raw.fat_mm,
        };
        let source = sources.cite("tissue", &raw.source)?;
        Ok((part, Sourced { value, source }))
    });
    parts.collect()
}

fn medicines(
    raw: Vec<file::Medicine>,
    sources: &Sources,
) -> Result<BTreeMap<String, MedicineFacts>, DataError> {
    let mut medicines = BTreeMap::new();
    for medicine in raw {
        let fact =
            |raw: Option<Raw<bool>>| raw.map(|raw| sources.value(&medicine.id, raw)).transpose();
        let facts = MedicineFacts {
            cloudy: fact(medicine.cloudy)?,
            keep_air_bubble: fact(medicine.keep_air_bubble)?,
            do_not_rub: fact(medicine.do_not_rub)?,
        };
        if medicines.insert(medicine.id.clone(), facts).is_some() {
            return Err(bad("medicine", &medicine.id));
        }
    }
    Ok(medicines)
}

fn steps(raw: Vec<file::Step>, sources: &Sources) -> Result<Vec<BookStep>, DataError> {
    let steps = raw.into_iter().map(|step| {
        let on = step.on.iter();
        let on = on.map(|d| Device::from_code(d).ok_or_else(|| bad(&step.id, d)));
        Ok(BookStep {
            on: on.collect::<Result<_, _>>()?,
            source: sources.cite(&step.id, &step.source)?,
            id: step.id,
            when: step.when,
            words: step.words,
        })
    });
    steps.collect()
}

/// The file as written.
mod file {
    use super::{Deserialize, Part, Raw, Sources, When};

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Book {
        pub sources: Sources,
        pub needle_mm: NeedleMm,
        pub angle: Vec<Angle>,
        pub fold: Fold,
        pub muscle_risk: Vec<MuscleRisk>,
        pub tissue: Tissues,
        pub dwell: Dwell,
        pub medicine: Vec<Medicine>,
        pub step: Vec<Step>,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct NeedleMm {
        pub first_choice_pen: Raw<f64>,
        pub first_choice_syringe: Raw<f64>,
        pub move_off: Raw<f64>,
        pub for_nobody: Raw<f64>,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Angle {
        pub up_to_mm: f64,
        pub degrees: Raw<u8>,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Fold {
        pub always_up_to_age: Raw<u16>,
        pub always_under_bmi: Raw<f64>,
        pub adult_from_age: Raw<u16>,
        pub late_pregnancy: String,
        pub longer: String,
        pub from_move_off: String,
        pub not_needed: String,
        pub helper_for_arm: String,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct MuscleRisk {
        pub mm: f64,
        pub part: Part,
        pub percent: Raw<f64>,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Tissues {
        pub abdomen: Tissue,
        pub thigh: Tissue,
        pub arm: Tissue,
        pub buttock: Tissue,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Tissue {
        pub skin_mm: f64,
        pub fat_mm: f64,
        pub source: String,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Dwell {
        pub pen_count: Raw<u8>,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Medicine {
        pub id: String,
        pub cloudy: Option<Raw<bool>>,
        pub keep_air_bubble: Option<Raw<bool>>,
        pub do_not_rub: Option<Raw<bool>>,
    }

    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    pub(super) struct Step {
        pub id: String,
        pub on: Vec<String>,
        #[serde(default)]
        pub when: When,
        pub words: String,
        pub source: String,
    }
}
