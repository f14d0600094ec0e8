//! The clinic's chart as a file: reads the record once, asks for the file, words nothing of it. Not here: where the
//! bytes go; that is a shell's.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use fallow_charts::page::{self, About, Format, Paper, Stopped};
use sha2::{Digest, Sha256};

use crate::chart::{Choice, Read};
use crate::error::{ApiError, ErrorCode as Code};
use crate::wire::{ChartFileData, ChartFileGet};
use crate::{App, Now, journal, record, terms};

pub(crate) fn file(app: &App, args: &ChartFileGet, now: Now) -> Result<ChartFileData, ApiError> {
    let (format, ending, media_type) = format(args)?;
    let reader = app.store()?.reader();
    let person = record::person(&reader, &args.person)?;
    let choice = Choice {
        from: args.from.as_deref(),
        to: args.to.as_deref(),
        weeks: args.weeks,
        compare: args.compare,
    };
    let periods = choice.periods(&person, now)?;
    let read = Read::of(&reader, &person, periods, now)?;
    let journal = journal::end_words(reader)?;
    let about = About {
        name: &person.person.name,
        born: person.person.born,
        identifier: person.person.identifier.as_deref(),
        made: now.at.with_timezone(&person.person.zone).fixed_offset(),
        clock: now.clock,
        journal: &journal,
    };
    // One request, one answer: nobody can ask how far it is, or call it back.
    let made = page::make(&read.facts(), &about, format, &mut |_, _| {
        std::ops::ControlFlow::Continue(())
    })
    .map_err(not_made)?;
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let (from, to) = (periods.0.from, periods.0.to);
    Ok(ChartFileData {
        name: format!("fallow-chart-{from}-to-{to}.{ending}"),
        media_type: media_type.to_owned(),
        bytes: count(made.bytes.len()),
        sha256: hex::encode(Sha256::digest(&made.bytes)),
        base64: STANDARD.encode(&made.bytes),
        pages: count(made.pages),
    })
}

/// The kind of file asked for, its ending and its media type.
fn format(args: &ChartFileGet) -> Result<(Format, &'static str, &'static str), ApiError> {
    match args.format.as_str() {
        "pdf" => {
            let paper = match args.paper.as_deref() {
                None | Some("a4") => Paper::A4,
                Some("letter") => Paper::Letter,
                Some(other) => return Err(terms::not_one_of(other, &["a4", "letter"])),
            };
            Ok((Format::Pdf(paper), "pdf", "application/pdf"))
        }
        "svg" => Ok((Format::Svg, "svg", "image/svg+xml")),
        "png" => Ok((Format::Png, "png", "image/png")),
        other => Err(terms::not_one_of(other, &["pdf", "svg", "png"])),
    }
}

fn not_made(stopped: Stopped) -> ApiError {
    let why = match stopped {
        Stopped::Cancelled => "it was called back".to_owned(),
        Stopped::Failed(why) => why,
    };
    ApiError::new(
        Code::Internal,
        format!(
            "The file could not be made ({why}). Nothing was changed. Try another kind of file."
        ),
    )
}
