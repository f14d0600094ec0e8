//! The order's dose as a volume, and how the needle goes in. The core judges and words; no dose is computed but the one
//! ordered.

use fallow_core::before::Device;
use fallow_core::dose_volume::{
    self as volumes, Answer, Kind, Millilitres, Question, Strength, SyringeBook,
};
use fallow_core::medicines::Medicine;
use fallow_core::orders::Device as OrderDevice;
use fallow_core::technique::{self, Asked, NeedleLength, TechniqueBook, TechniqueError};
use fallow_core::time;
use fallow_core::units::{Dose, DoseUnit};

use crate::error::{ApiError, ErrorCode as Code, sentence};
use crate::record::person_and_order;
use crate::terms::{not_one_of, one_of};
use crate::wire::{
    BeforeProblem, DoseVolumeData, DoseVolumeGet, SyringeData, TechniqueData, TechniqueGet,
    TechniqueStep,
};
use crate::{App, Now, lower, record};

pub(crate) fn dose_volume(app: &App, args: &DoseVolumeGet) -> Result<DoseVolumeData, ApiError> {
    let reader = app.store()?.reader();
    let order = record::order(&reader, &args.order)?;
    let medicine = record::medicine(&order.order.medicine)?;
    let device = one_of(&args.device, &Device::ALL, Device::code)?;
    let book = SyringeBook::shipped();
    let strength = strength(args, medicine)?;
    let kind = Kind::of(medicine);
    let syringe = args
        .syringe
        .as_deref()
        .map(|code| {
            book.syringe(code).ok_or_else(|| {
                let codes: Vec<&str> = book.syringes().iter().map(|s| s.code.as_str()).collect();
                not_one_of(code, &codes)
            })
        })
        .transpose()?;
    let container = match device {
        Device::Vial => match strength {
            Some(strength) => volumes::Container::Vial(strength),
            None => {
                return Ok(refused(
                    "The strength is not known. Read it on the vial: how much is in each mL."
                        .to_owned(),
                ));
            }
        },
        Device::Cartridge => volumes::Container::Cartridge,
        Device::Pen | Device::OneDosePen => volumes::Container::Pen,
        Device::PrefilledSyringe => volumes::Container::Prefilled { holds: None },
    };
    let asked = Question {
        dose: order.order.dose,
        kind,
        container,
        syringe,
        site_limit: book.usual_site_limit(),
        decimals: 2,
    };
    Ok(match volumes::measure(&asked, book) {
        Err(error) => refused(sentence(&error)),
        Ok(Answer::GiveAll(all)) => DoseVolumeData {
            answer: "give_all".to_owned(),
            words: all.words,
            volume: None,
            cautions: Vec::new(),
            syringes: Vec::new(),
        },
        Ok(Answer::Draw(draw)) => DoseVolumeData {
            answer: "draw".to_owned(),
            words: draw.words.clone(),
            volume: Some(draw.shown.to_string()),
            cautions: draw
                .cautions
                .iter()
                .map(|c| BeforeProblem {
                    words: c.words.clone(),
                    loud: c.loud,
                    source: c.source.clone(),
                })
                .collect(),
            syringes: book
                .syringes()
                .iter()
                .map(|s| SyringeData {
                    code: s.code.clone(),
                    name: s.name.clone(),
                    fits: s.made_for(kind, &draw.strength),
                    shows: draw.shown_by.iter().any(|by| by.code == s.code),
                })
                .collect(),
        },
    })
}

fn refused(words: String) -> DoseVolumeData {
    DoseVolumeData {
        answer: "refused".to_owned(),
        words,
        volume: None,
        cautions: Vec::new(),
        syringes: Vec::new(),
    }
}

/// The strength that was read, else the one in the medicine's name; `None` where neither says it.
fn strength(args: &DoseVolumeGet, medicine: &Medicine) -> Result<Option<Strength>, ApiError> {
    let Some(amount) = &args.strength else {
        return Ok(named_strength(&medicine.name));
    };
    let bad = |e: fallow_core::units::UnitError| ApiError::said(Code::BadDose, &e);
    let unit = DoseUnit::from_code(&amount.unit).map_err(bad)?;
    let amount = Dose::parse(&amount.value, unit).map_err(bad)?;
    let Some(text) = args.in_ml.as_deref() else {
        return Ok(Some(Strength::per_ml(amount)));
    };
    // Millilitres are read as strictly as a dose; the unit is only there for the reading.
    let millilitres = Dose::parse(text, DoseUnit::Milligrams)
        .ok()
        .and_then(|read| Millilitres::from_thousandths(read.thousandths()).ok())
        .ok_or_else(|| {
            ApiError::new(
                Code::BadDose,
                format!(
                    "\"{text}\" is not a number of mL. Write it as on the label, for example 0.4."
                ),
            )
        })?;
    Ok(Some(Strength::labelled(amount, millilitres)))
}

/// A strength as a medicine's name has it: `100 units/mL`.
fn named_strength(name: &str) -> Option<Strength> {
    let words: Vec<&str> = name.split_whitespace().collect();
    words.windows(2).find_map(|pair| {
        let unit = DoseUnit::from_code(pair[1].strip_suffix("/mL")?).ok()?;
        Some(Strength::per_ml(Dose::parse(pair[0], unit).ok()?))
    })
}

pub(crate) fn technique(
    app: &App,
    args: &TechniqueGet,
    now: Now,
) -> Result<TechniqueData, ApiError> {
    let reader = app.store()?.reader();
    let (person, order) = person_and_order(&reader, &args.person, &args.order)?;
    let medicine = record::medicine(&order.order.medicine)?;
    let zone = lower::zone(&args.zone)?;
    let terms = &order.order.terms;
    let device = crate::terms::device(args.device.as_deref())?.or(terms.device);
    let needle = args.needle_mm.or(terms.needle_mm);
    let mut asks = Vec::new();
    if device.is_none() {
        asks.push("What is it given with: a pen, a syringe, or a filled syringe?".to_owned());
    }
    let filled = device == Some(OrderDevice::PrefilledSyringe);
    if needle.is_none() && !filled {
        asks.push("How long is the needle? Its packet says.".to_owned());
    }
    // A filled syringe has its own needle; any length stands for it, and none is spoken of.
    let (Some(device), Some(needle)) = (device, needle.or(filled.then_some(8.0))) else {
        return Ok(TechniqueData {
            words: None,
            asks,
            fold: None,
            cautions: Vec::new(),
            unknown: Vec::new(),
            steps: Vec::new(),
        });
    };
    let said = |e: TechniqueError| ApiError::said(Code::BadSize, &e);
    if !(0.1..=1000.0).contains(&needle) {
        return Err(ApiError::new(
            Code::BadSize,
            "A needle is from 3 to 40 mm long. Check the length on its packet.",
        ));
    }
    let needle = NeedleLength::from_tenths_of_mm((needle * 10.0).round() as u16).map_err(said)?;
    let age = time::age_on(person.person.born, time::day_in(now.at, person.person.zone));
    let asked = Asked {
        needle,
        device: match device {
            OrderDevice::VialAndSyringe => technique::Device::SyringeNeedle,
            OrderDevice::Pen => technique::Device::PenNeedle,
            OrderDevice::PrefilledSyringe => technique::Device::Prefilled,
        },
        medicine,
        zone,
        age_years: Some(age as u16),
        height_cm: person.person.sizes.height_cm,
        weight_kg: args.weight_kg.or(person.person.weight_kg),
        late_pregnancy: args.late_pregnancy,
    };
    let advice = technique::advise(&asked, TechniqueBook::shipped()).map_err(said)?;
    let mut cautions: Vec<BeforeProblem> = advice
        .cautions
        .iter()
        .map(|c| BeforeProblem {
            words: c.words.clone(),
            loud: c.loud,
            source: c.source.clone(),
        })
        .collect();
    cautions.sort_by_key(|c| !c.loud);
    Ok(TechniqueData {
        words: Some(if filled {
            "The needle is the syringe's own: angle and fold as its leaflet says.".to_owned()
        } else {
            format!("{} mm needle: {}.", needle.mm(), advice.fold.value.words())
        }),
        asks,
        fold: Some(TechniqueStep {
            words: advice.fold.why.clone(),
            source: advice.fold.source.clone(),
        }),
        cautions,
        unknown: advice
            .unknown
            .iter()
            .map(|u| u.words().to_owned())
            .collect(),
        steps: advice
            .steps
            .iter()
            .map(|s| TechniqueStep {
                words: s.words.clone(),
                source: s.source.clone(),
            })
            .collect(),
    })
}
